"""Prices, and the wire and rings on the shelf."""
