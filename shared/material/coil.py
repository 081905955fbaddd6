"""The coil: one turn, the turns on a mandrel, the rings they give, the mandrel to take. All in mm.

With wire d, inside of the coil D, length of the coil l:

    wire of one turn    t = sqrt((pi (D + d))^2 + d^2)      a helix, close wound: it rises d a turn
    full turns          n = max(0, l / d - 1)               the last turn's end takes one wire
    spring-back         k = 1/(M + d) - 1/(D + d)           M the mandrel, D what came out

k does not depend on the mandrel: a round wire bent well past yielding springs back by the same
curvature, k = 1.698 Y / (E d) on mean diameters, Y the yield strength, E Young's modulus. Derived
here from the plastic bending of a round section, (16 / (3 pi)) Y / (E d); k itself is measured from
one coil of the maker's own.
"""

from __future__ import annotations

import math

# a whole number may come out of the division a hair short of itself
ROUNDING_SLACK = 1e-9


def turn_length(wire: float, inner: float) -> float:
    """Wire in one turn of a close-wound coil, mm."""
    around = math.pi * (inner + wire)
    return math.sqrt(around * around + wire * wire)


def full_turns(wire: float, length: float) -> float:
    """Full turns on a coil of this length."""
    return max(0.0, length / wire - 1)


def whole_rings(wire_length: float, each: float) -> int:
    """Whole rings in a length of wire; both in the same unit."""
    return math.floor(wire_length / each + ROUNDING_SLACK)


def springback(wire: float, mandrel_used: float, released_inner: float) -> float:
    """The curvature lost when a coil is let go, 1/mm, from one mandrel and the coil it gave."""
    return 1 / (mandrel_used + wire) - 1 / (released_inner + wire)


def mandrel_for(wire: float, wanted_inner: float, spring: float = 0.0) -> float:
    """The mandrel whose coil, let go, has the inside wanted; `spring` in 1/mm."""
    return 1 / (1 / (wanted_inner + wire) + spring) - wire


def released_inner(wire: float, mandrel: float, spring: float = 0.0) -> float | None:
    """The inside of a coil wound on this mandrel, once let go; None where it would not stay a coil."""
    curvature = 1 / (mandrel + wire) - spring
    return 1 / curvature - wire if curvature > 0 else None
