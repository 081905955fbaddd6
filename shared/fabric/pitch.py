"""Pitch of four-in-one fabric: ring to ring along a row (column) and row to row, in mm.

From the maker's swatch, or as a first guess from geometry: rigid round rings of nominal size, every
wire at least one wire from its neighbours, each interior ring through four others, rows leaning in
turn. With wire d, inside D, outside O = D + 2 d and aspect a = D / d:

    state                                 column                                   row
    across   pulled along the rows        sqrt(3 D (D^2 - 4 d^2) / (D + 4 d))      O / 2
    hang     pulled across the rows       d sqrt(2 a + 0.18)                       d (a - 0.25 - k)
    flat     spread for the largest area  d (1.4036 a - 1.406), from a = 4 up      d (0.7079 a + 0.187)
    relaxed  between hang and across      mean of both columns                     d (0.8767 a - 0.126)

with k = 0.2906 / (a - 1.75), and no row closer than O / 2. Derived here: the closed form of `across`
is exact, the others are fits to a contact search over rigid rings, within 0.3 % at the aspects tested
(4 to 6.667, tests/outside/test_contact.py). `relaxed` has the longest rows that its column allows,
halfway being a choice of ours; a swatch replaces all of it. No published pitch formula was found. A
swatch of n columns, w wide, gives column = w / n; in another state it is scaled by the ratio of
geometry.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.rounding import figure
from ..base.sentences import sentence
from ..material.ring import Ring, ring_beside

if TYPE_CHECKING:
    from typing import Any

STATES = ("hang", "relaxed", "flat", "across")
FLAT_FROM_ASPECT = 4.0  # aspect from which lying flat is more than being pulled across
SMALL_SWATCH = (
    10  # rows or columns below which the edges of a swatch weigh too much (workshop judgement)
)
STATE_MISMATCH_RATIO = (
    1.4  # times the pitch of geometry; flattened rings and laps change it by less (judgement)
)


def _across(ring: Ring) -> tuple[float, float]:
    inner, d = ring.inner_mm, ring.wire_mm
    return math.sqrt(3 * inner * (inner * inner - 4 * d * d) / (inner + 4 * d)), ring.outer_mm / 2


def _hang(ring: Ring) -> tuple[float, float]:
    a, d = ring.aspect, ring.wire_mm
    return d * math.sqrt(2 * a + 0.18), d * (a - 0.25 - 0.2906 / (a - 1.75))


def _flat(ring: Ring) -> tuple[float, float]:
    a, d = ring.aspect, ring.wire_mm
    return (
        (d * (1.4036 * a - 1.406), d * (0.7079 * a + 0.187))
        if a >= FLAT_FROM_ASPECT
        else _across(ring)
    )


def _relaxed(ring: Ring) -> tuple[float, float]:
    column = (_hang(ring)[0] + _across(ring)[0]) / 2
    return column, ring.wire_mm * (0.8767 * ring.aspect - 0.126)


_GEOMETRY = {"hang": _hang, "relaxed": _relaxed, "flat": _flat, "across": _across}


def geometry(ring: Ring, state: str) -> tuple[float, float]:
    """(column, row) pitch in mm; a row is never closer than half a ring's outside."""
    column, row = _GEOMETRY[state](ring)
    return column, max(row, ring.outer_mm / 2)


class Pitch:
    """The pitch in the state asked, and where it comes from: `basis` is "swatch" or "geometry".
    `column` and `row` are mm.
    """

    def __init__(self, ring: Ring, state: str, column: float, row: float, basis: str) -> None:
        self.ring = ring
        self.state = state
        self.column = column
        self.row = row
        self.basis = basis
        self.notes: list[str] = []
        self.warnings: list[str] = []

    @property
    def area_per_ring_mm2(self) -> float:
        """Fabric that one ring covers."""
        return self.column * self.row

    def as_json(self) -> dict[str, Any]:
        """Pitch, rings per area, mass per area (null where no metal is named)."""
        return {
            "pitch_mm": {"column": self.column, "row": self.row},
            "rings_per_100cm2": 10000 / self.area_per_ring_mm2,
            "kg_per_m2": 1000 * self.ring.mass_g / self.area_per_ring_mm2
            if self.ring.density
            else None,
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
            raise swatch.bad(
                name,
                sentence(
                    "fabric.swatch_impossible",
                    pitch_mm=figure(pitch, 2),
                    least_mm=plain(ring.wire_mm),
                    most_mm=plain(most),
                ),
            )


def _state_doubts(ring: Ring, state: str, column: float) -> list[str]:
    """A pitch far from what that state gives: measured in another one? Relaxed is anything between."""
    ideal = geometry(ring, state)[0]
    if state == "relaxed" or ideal / STATE_MISMATCH_RATIO <= column <= ideal * STATE_MISMATCH_RATIO:
        return []
    return [
        sentence(
            "fabric.state_doubtful",
            pitch_mm=figure(column, 2),
            geometry_mm=figure(ideal, 2),
            state=state,
        )
    ]


def _doubts(ring: Ring, state: str, column: float, row: float) -> list[str]:
    """A pitch outside what rigid rings of this size can do is a slip, or flattened rings."""
    out = _state_doubts(ring, state, column)
    if not 1.9 * ring.wire_mm <= column <= 1.1 * _across(ring)[0]:
        out.append(sentence("fabric.column_strange", pitch_mm=figure(column, 2)))
    if not 0.9 * ring.outer_mm / 2 <= row <= 1.1 * _hang(ring)[1]:
        out.append(sentence("fabric.row_strange", pitch_mm=figure(row, 2)))
    return out


def _from_swatch(ring: Ring, swatch: Fields, asked: str | None) -> Pitch:
    measured = swatch.choice("state", STATES)
    state = asked or measured
    column, row = _swatch_pitch(ring, swatch)
    _absurd(ring, swatch, column, row)
    old, new = geometry(ring, measured), geometry(ring, state)
    pitch = Pitch(ring, state, column * new[0] / old[0], row * new[1] / old[1], "swatch")
    pitch.warnings.extend(_doubts(ring, measured, column, row))
    if state != measured:
        pitch.notes.append(sentence("fabric.swatch_scaled", measured=measured, state=state))
    if min(swatch.integer("columns", 2, 10000), swatch.integer("rows", 2, 10000)) < SMALL_SWATCH:
        pitch.warnings.append(sentence("fabric.swatch_small", least=SMALL_SWATCH))
    return pitch


def pitch_of(q: Fields, ring: Ring) -> Pitch:
    """From the question's `swatch?` and `state?` (the swatch's own, or relaxed, where not given).

    Raises BadField where the swatch cannot be of this ring.
    """
    asked = q.choice("state", STATES) if q.has("state") else None
    swatch = q.maybe_part("swatch")
    if swatch is not None:
        return _from_swatch(ring, swatch, asked)
    state = asked or "relaxed"
    column, row = geometry(ring, state)
    pitch = Pitch(ring, state, column, row, "geometry")
    pitch.notes.append(sentence("fabric.needs_swatch"))
    return pitch


def states_of(pitch: Pitch) -> tuple[dict[str, Any], float]:
    """Each state's figures by the ratio of geometry, and most rings per area over fewest."""
    base = geometry(pitch.ring, pitch.state)
    out: dict[str, Any] = {}
    cells: list[float] = []
    for state in STATES:
        column, row = geometry(pitch.ring, state)
        one = Pitch(
            pitch.ring,
            state,
            pitch.column * column / base[0],
            pitch.row * row / base[1],
            pitch.basis,
        )
        out[state] = one.as_json()
        cells.append(one.area_per_ring_mm2)
    return out, max(cells) / min(cells)


def answer(q: Fields) -> dict[str, Any]:
    """`fabric`: the pitch in one state, and how far the states differ."""
    ring = ring_beside(q, weighed=False)
    pitch = pitch_of(q, ring)
    out = pitch.as_json()
    out["basis"] = pitch.basis
    out["state"] = pitch.state
    out["states"], differ = states_of(pitch)
    out["states_differ"] = differ
    out["notes"] = pitch.notes + [sentence("fabric.states_differ", times=figure(differ, 2))]
    out["needs_swatch"] = pitch.basis == "geometry"
    out["warnings"] = ring.warnings + pitch.warnings
    return out
