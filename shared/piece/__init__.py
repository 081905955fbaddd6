"""A whole piece: its steps, parts and joins, what each step needs, the wire and rivets to buy."""
