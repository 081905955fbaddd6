"""The coil: one turn, the turns on a mandrel, the rings they give, the mandrel to take. All in mm."""

from __future__ import annotations

import math

# a whole number may come out of the division a hair short of itself
HAIR = 1e-9


def turn(wire: float, inner: float) -> float:
    """Wire in one turn of a close-wound coil: a helix on the mean diameter, rising one wire a turn."""
    around = math.pi * (inner + wire)
    return math.sqrt(around * around + wire * wire)


def turns(wire: float, length: float) -> float:
    """Full turns on a coil of this length: the end of the wire costs one thickness of it."""
    return max(0.0, length / wire - 1)


def rings(wire: float, each: float) -> int:
    """Whole rings in a length of wire."""
    return math.floor(wire / each + HAIR)


def springback(wire: float, mandrel_used: float, came_out: float) -> float:
    """What the curvature loses when the coil is let go, 1/mm.

    A wire bent well past yielding springs by the same curvature whatever the mandrel:
    1/D_mandrel - 1/D_coil = 1.698 Y/(E d) on mean diameters (derived: plastic bending of a round
    wire).
    """
    return 1 / (mandrel_used + wire) - 1 / (came_out + wire)


def mandrel(wire: float, wanted: float, spring: float = 0.0) -> float:
    """The mandrel whose coil, let go, has the inside wanted."""
    return 1 / (1 / (wanted + wire) + spring) - wire


def opened(wire: float, wound: float, spring: float = 0.0) -> float | None:
    """The inside of a coil wound on this mandrel, once let go; None where it would not stay a coil."""
    curvature = 1 / (wound + wire) - spring
    return 1 / curvature - wire if curvature > 0 else None
