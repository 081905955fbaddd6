"""Pitch of four-in-one fabric: ring to ring along a row (column) and row to row, in mm.

From the maker's swatch, or as a first guess from geometry: rigid round rings of nominal
size, every wire at least one wire from its neighbours, each interior ring through four
others, rows leaning in turn. Derived for this project and checked by a contact search
(tests/outside/test_contact.py); no published pitch formula was found. The states:
across = pulled along the rows, hang = pulled across them, flat = spread both ways for
the largest area, relaxed = between hang and across.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.rounding import figure
from ..material.ring import Ring, ring_beside

if TYPE_CHECKING:
    from typing import Any

STATES = ("hang", "relaxed", "flat", "across")
LOOSE = 4.0  # aspect from which lying flat is more than being pulled across
FEW = 10  # rows or columns below which the edges of a swatch weigh too much (workshop judgement)
FAR_OFF = 1.4  # times the pitch of geometry; flattened rings and laps change it by less (judgement)
ASK_SWATCH = (
    "This is a first guess from geometry: count and measure a swatch of your own rings, and say in"
    " which state."
)


def _across(ring: Ring) -> tuple[float, float]:
    inner, d = ring.inner_mm, ring.wire_mm
    return math.sqrt(3 * inner * (inner * inner - 4 * d * d) / (inner + 4 * d)), ring.outer_mm / 2


def _hang(ring: Ring) -> tuple[float, float]:
    a, d = ring.aspect, ring.wire_mm
    return d * math.sqrt(2 * a + 0.18), d * (a - 0.25 - 0.2906 / (a - 1.75))


def _flat(ring: Ring) -> tuple[float, float]:
    a, d = ring.aspect, ring.wire_mm
    return (d * (1.4036 * a - 1.406), d * (0.7079 * a + 0.187)) if a >= LOOSE else _across(ring)


def _relaxed(ring: Ring) -> tuple[float, float]:
    column = (_hang(ring)[0] + _across(ring)[0]) / 2
    return column, ring.wire_mm * (0.8767 * ring.aspect - 0.126)


_GEOMETRY = {"hang": _hang, "relaxed": _relaxed, "flat": _flat, "across": _across}


def geometry(ring: Ring, state: str) -> tuple[float, float]:
    """(column, row) pitch in mm; a row is never closer than half a ring's outside."""
    column, row = _GEOMETRY[state](ring)
    return column, max(row, ring.outer_mm / 2)


class Weave:
    """The pitch in the state asked, and where it comes from. `column` and `row` are mm."""

    def __init__(self, ring: Ring, state: str, column: float, row: float, basis: str) -> None:
        self.ring = ring
        self.state = state
        self.column = column
        self.row = row
        self.basis = basis
        self.notes: list[str] = []
        self.warnings: list[str] = []

    @property
    def cell_mm2(self) -> float:
        """Fabric to one ring."""
        return self.column * self.row

    def figures(self) -> dict[str, Any]:
        """Pitch, rings per area, mass per area (null where the metal is not said)."""
        return {
            "pitch_mm": {"column": self.column, "row": self.row},
            "rings_per_100cm2": 10000 / self.cell_mm2,
            "kg_per_m2": 1000 * self.ring.mass_g / self.cell_mm2 if self.ring.density else None,
        }


def extent(ring: Ring) -> float:
    """How far one ring reaches along its row, mm: leaning as when pulled across (tan^2 = 2
    wires/outside).

    In the other states the lean differs by a few degrees, the reach by 2 % (derived, contact
    search).
    """
    lean = math.sqrt(ring.outer_mm / (ring.outer_mm + 2 * ring.wire_mm))
    return (ring.inner_mm + ring.wire_mm) * lean + ring.wire_mm


def _swatch_pitch(ring: Ring, swatch: Fields) -> tuple[float, float]:
    """Sizes run from a ring to the same side of the ring `columns` (`rows`) further on, or with
    `edges` over all.
    """
    columns = swatch.integer("columns", 2, 10000, example="20")
    rows = swatch.integer("rows", 2, 10000, example="20")
    width = swatch.number("width_mm", 0, 20000, above=True, example="146")
    height = swatch.number("height_mm", 0, 20000, above=True, example="136")
    if swatch.flag("edges"):
        return (width - extent(ring)) / (columns - 1), (height - ring.outer_mm) / (rows - 1)
    return width / columns, height / rows


def _absurd(ring: Ring, swatch: Fields, column: float, row: float) -> None:
    """Linked rings can be no closer than their wires and no further apart than their holes."""
    for name, pitch, most in (
        ("width_mm", column, 2 * ring.outer_mm),
        ("height_mm", row, ring.outer_mm),
    ):
        if not ring.wire_mm <= pitch <= most:
            why = (
                " mm from ring to ring cannot be with this ring ("
                + plain(ring.wire_mm)
                + " to "
                + plain(most)
                + " mm): "
            )
            raise swatch.bad(name, figure(pitch, 2) + why + "count and measure again.")


def _state_doubts(ring: Ring, state: str, column: float) -> list[str]:
    """Far from what the state said would give: measured in another one? Relaxed is anything
    between.
    """
    ideal = geometry(ring, state)[0]
    if state == "relaxed" or ideal / FAR_OFF <= column <= ideal * FAR_OFF:
        return []
    said = figure(column, 2) + " mm from ring to ring in a row is far from the " + figure(ideal, 2)
    return [said + " mm that geometry gives for '" + state + "': was it measured in another state?"]


def _doubts(ring: Ring, state: str, column: float, row: float) -> list[str]:
    """A pitch outside what rigid rings of this size can do is a slip, or flattened rings."""
    out = _state_doubts(ring, state, column)
    if not 1.9 * ring.wire_mm <= column <= 1.1 * _across(ring)[0]:
        out.append(
            figure(column, 2)
            + " mm from ring to ring in a row is strange for this ring: count again."
        )
    if not 0.9 * ring.outer_mm / 2 <= row <= 1.1 * _hang(ring)[1]:
        out.append(figure(row, 2) + " mm from row to row is strange for this ring: count again.")
    return out


def _from_swatch(ring: Ring, swatch: Fields, asked: str | None) -> Weave:
    measured = swatch.choice("state", STATES)
    state = asked or measured
    column, row = _swatch_pitch(ring, swatch)
    _absurd(ring, swatch, column, row)
    old, new = geometry(ring, measured), geometry(ring, state)
    weave = Weave(ring, state, column * new[0] / old[0], row * new[1] / old[1], "swatch")
    weave.warnings.extend(_doubts(ring, measured, column, row))
    if state != measured:
        said = (
            "The swatch was measured "
            + measured
            + "; for "
            + state
            + " it is scaled by the ratio of geometry."
        )
        weave.notes.append(said + " A swatch measured " + state + " would be better.")
    if min(swatch.integer("columns", 2, 10000), swatch.integer("rows", 2, 10000)) < FEW:
        weave.warnings.append(
            "A small swatch: its edges weigh much. From 10 rows and 10 columns on it is trusted."
        )
    return weave


def weave_of(q: Fields, ring: Ring) -> Weave:
    """From the question's `swatch?` and `state?` (the swatch's own, or relaxed, where not said)."""
    asked = q.choice("state", STATES) if q.has("state") else None
    swatch = q.maybe_part("swatch")
    if swatch is not None:
        return _from_swatch(ring, swatch, asked)
    state = asked or "relaxed"
    column, row = geometry(ring, state)
    weave = Weave(ring, state, column, row, "geometry")
    weave.notes.append(ASK_SWATCH)
    return weave


def states_of(weave: Weave) -> tuple[dict[str, Any], float]:
    """Each state's figures by the ratio of geometry, and most rings per area over fewest."""
    base = geometry(weave.ring, weave.state)
    out: dict[str, Any] = {}
    cells: list[float] = []
    for state in STATES:
        column, row = geometry(weave.ring, state)
        one = Weave(
            weave.ring,
            state,
            weave.column * column / base[0],
            weave.row * row / base[1],
            weave.basis,
        )
        out[state] = one.figures()
        cells.append(one.cell_mm2)
    return out, max(cells) / min(cells)


def answer(q: Fields) -> dict[str, Any]:
    """`fabric`: the pitch in one state, and how far the states differ."""
    ring = ring_beside(q, weighed=False)
    weave = weave_of(q, ring)
    out = weave.figures()
    out["basis"] = weave.basis
    out["state"] = weave.state
    out["states"], differ = states_of(weave)
    out["states_differ"] = differ
    said = (
        "Between its closest and its widest state this fabric changes its area "
        + figure(differ, 2)
        + " times."
    )
    out["notes"] = weave.notes + [said]
    out["needs_swatch"] = weave.basis == "geometry"
    out["warnings"] = ring.warnings + weave.warnings
    return out
