"""The rivet of one ring: how much round wire or strip it takes, mm.

A round rivet is cut from wire: grip g plus the metal of one head on a shank of diameter s.

    l = g + 1.5 s           solid rivets, airframe practical test material (FAA); cnclathing.com
    l = 1.1 g + 1.3 s       the second rule, for a hole of 1.15 s: solid rivet guide, capmac.eu

A wedge rivet is snipped from strip, point p to butt b in turn, so that two wedges share a length of
b + p: l = (b + p) / 2 (derived here; no waste). The handbooks agree that the right length is found
by trial; these are where to begin.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

KINDS = ("round", "wedge")


def round_length(grip: float, shank: float) -> float:
    """mm of wire for one round rivet with one head to be set."""
    return grip + 1.5 * shank


def second_length(grip: float, shank: float) -> float:
    """The same by the second rule, mm."""
    return 1.1 * grip + 1.3 * shank


def wedge_length(butt: float, point: float) -> float:
    """mm of strip for one wedge, when butts and points are snipped in turn."""
    return (butt + point) / 2


def _grip(f: Fields, wire: float) -> tuple[float, str]:
    """The metal the rivet goes through: measured, or two layers, or two whole wires at most."""
    if f.has("grip_mm"):
        measured = f.number("grip_mm", 0.1, 20, example="1.6")
        return measured, sentence("material.grip_measured")
    if f.has("flat_mm"):
        return 2 * f.number("flat_mm", 0.05, 10, example="0.8"), sentence("material.grip_flattened")
    return 2 * wire, sentence("material.grip_two_wires")


def _round(f: Fields, wire: float, shank: float, density: float) -> dict[str, Any]:
    grip, why = _grip(f, wire)
    length = round_length(grip, shank)
    return {
        "kind": "round",
        "rivet_wire_mm": length,
        "second_rule_mm": second_length(grip, shank),
        "per_metre": 1000 / length,
        "mass_g": density * math.pi * shank * shank / 4 * length / 1000,
        "grip_mm": grip,
        "grip_from": why,
        "sources": [sentence("material.rivet_rule"), sentence("material.rivet_second_rule")],
    }


def _wedge(f: Fields, wire: float, butt: float, density: float) -> dict[str, Any]:
    point = f.number("rivet_point_mm", 0, butt, 0.0)
    length = wedge_length(butt, point)
    tall = f.number("strip_width_mm", 0.2, 30, 3 * wire)
    thick = f.number("strip_mm", 0.1, 10, butt / 2)
    return {
        "kind": "wedge",
        "rivet_wire_mm": length,
        "per_metre": 1000 / length,
        "mass_g": density * length * tall * thick / 1000,
        "strip_width_mm": tall,
        "strip_mm": thick,
        "sources": [sentence("material.wedge_rule")],
    }


def rivet_of(f: Fields, wire: float, density: float) -> dict[str, Any] | None:
    """What one rivet takes, from a ring's fields; None where no `rivet_mm` is given.

    `rivet_mm` is the shank's diameter, or a wedge's width at the butt along the strip.
    """
    kind = f.choice("rivet_kind", KINDS, "round")
    if not f.has("rivet_mm"):
        return None
    size = f.number("rivet_mm", 0.1, 10, example="0.8")
    if size > 2 * wire:
        raise f.bad("rivet_mm", sentence("material.rivet_thick"))
    return (_round if kind == "round" else _wedge)(f, wire, size, density)
