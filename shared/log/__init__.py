"""The log of changes: their form, sittings, and the state they add up to."""
