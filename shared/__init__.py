"""The engine: the trade's arithmetic, portable between CPython and MicroPython."""
