"""How rings make fabric: pitch, rows and shapes, where rings are added or left out, panels, and how
they hang together.
"""
