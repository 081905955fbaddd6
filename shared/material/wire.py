"""Round wire: what a metre weighs, and when two wires are the same."""

from __future__ import annotations

import math

from ..base.rounding import nearest


def g_per_m(wire_mm: float, density: float) -> float:
    """Grams in a metre: g/cm3 times mm2 is g/m."""
    return density * math.pi * wire_mm * wire_mm / 4


def wire_key(metal: str, wire_mm: float) -> str:
    """Wires of one metal and thickness are one stock; thickness to the thousandth of a mm."""
    return metal + " " + str(nearest(wire_mm * 1000))
