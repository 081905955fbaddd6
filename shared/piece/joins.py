"""The joins of a piece: open rings that hold its panels together, where their rows can meet at all.

A flat panel has two ends of rows and two edges; a tube whose rows run round has edges only, one whose
rows run down has ends only. Each end and each edge is joined once: `[A, B]` joins A's last end or edge
to B's first, so that `[B, A]` beside it closes the two to a tube. With r rows (r // 2 open ones) and
rows of n rings where two edges meet:

    side by side, or closed to a tube   r // 2 rings, 4 links each, 2 in an open edge row
    one under the other                 n rings on a tube, n - 1 flat, 4 links each

Derived here, checked by fabrics built ring by ring in tests/outside.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import plain
from ..base.rounding import figure
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from ..material.ring import Ring
    from .parts import Part

PITCH_TOLERANCE = 0.02  # share of a pitch by which two panels may differ (workshop judgement)


class Join:
    """Open rings that hold panels together, and the links they make; `part` lends its ring."""

    def __init__(self, name: str, rings: int, part: Part, links: int) -> None:
        self.name = name
        self.rings = rings
        self.part = part
        self.links = links
        self.warnings: list[str] = []


class _JoinPlan:
    """The parts, the joins found so far, and which ends and edges they have used up."""

    def __init__(self, parts: list[Part]) -> None:
        self.parts = parts
        self.used: list[
            tuple[int, str]
        ] = []  # (part, "end", "beginning", "lower edge" or "upper edge")
        self.closed: list[
            int
        ] = []  # parts that a join closes to a tube, wherever it stands in the list

    def index_of(self, q: Fields, name: Any, but: int | None = None) -> int:
        for i, part in enumerate(self.parts):
            if part.name == name and i != but:
                return i
        names = ", ".join([p.name for p in self.parts[:12]])
        raise q.bad("panels", sentence("piece.panel_unknown", names=names))

    def next_of_name(self, q: Fields, done: list[int]) -> int:
        """The one panel named; of several of that name the first that is not done."""
        name = q.entries("panels", least=1, most=1)[0]
        free = [i for i, part in enumerate(self.parts) if part.name == name and i not in done]
        return free[0] if free else self.index_of(q, name)

    def pair(self, q: Fields) -> tuple[int, int]:
        names = q.entries("panels", least=2, most=2, like='"Front", "Back"')
        one = self.index_of(q, names[0])
        if names[1] == names[0] and len([p for p in self.parts if p.name == names[0]]) == 1:
            raise q.bad("panels", sentence("piece.joined_to_itself"))
        other = self.index_of(q, names[1], one)
        if names[0] == names[1] and (one, "end") in self.used and (other, "end") not in self.used:
            return other, one
        return one, other

    def use_side(self, q: Fields, part: int, side: str) -> None:
        if (part, side) in self.used:
            key = "piece.joined_already_" + side.replace(" ", "_")
            raise q.bad("panels", sentence(key, panel=self.parts[part].name))
        self.used.append((part, side))

    def round(self, part: int) -> bool:
        assembly = self.parts[part].assembly
        return assembly is not None and (assembly.rows.round or part in self.closed)


def _size(ring: Ring | None) -> list[float] | None:
    return [ring.wire_mm, ring.inner_mm] if ring else None


def _size_words(ring: Ring) -> str:
    return sentence("piece.ring_size", wire_mm=plain(ring.wire_mm), inner_mm=plain(ring.inner_mm))


def _unlike(a: Part, b: Part) -> tuple[Ring, Ring] | None:
    """Rings of these two panels that differ in size."""
    for one, other in ((a.ring, b.ring), (a.open_ring, b.open_ring)):
        if one is not None and other is not None and _size(one) != _size(other):
            return one, other
    return None


def _check_ring_sizes(q: Fields, a: Part, b: Part) -> None:
    """Refuses rows of rings of two sizes: ring to ring they are of different lengths."""
    unlike = _unlike(a, b)
    if unlike:
        why = sentence(
            "piece.rings_of_two_sizes",
            panel=a.name,
            other=b.name,
            size=_size_words(unlike[0]),
            other_size=_size_words(unlike[1]),
        )
        raise q.bad("panels", why)


def _mismatches(a: Part, b: Part, along: bool) -> list[str]:
    """Sizes planned at two pitches, and grains that cross, go together but not as drawn."""
    out = []
    one, other = a.panel.get("pitch_mm"), b.panel.get("pitch_mm")
    side = "row" if along else "column"
    if one and other and abs(one[side] - other[side]) > PITCH_TOLERANCE * one[side]:
        out.append(
            sentence(
                "piece.two_pitches",
                panel=a.name,
                other=b.name,
                pitch_mm=figure(one[side], 2),
                other_pitch_mm=figure(other[side], 2),
            )
        )
    if a.panel.get("rows_run") != b.panel.get("rows_run"):
        out.append(sentence("piece.rows_cross", panel=a.name, other=b.name))
    return out


def _ends(q: Fields, part: Part, round: bool) -> int:
    """Open rows that end at this panel's side; refuses a panel without ends, or with ends in steps."""
    if part.assembly is None:
        raise q.bad("panels", sentence("piece.only_a_count", panel=part.name))
    if round:
        raise q.bad("panels", sentence("piece.tube_has_no_ends", panel=part.name))
    rows = part.assembly.rows
    if rows.starts:
        raise q.bad("panels", sentence("piece.rows_end_in_steps", panel=part.name))
    return len(part.panel["rows"]) // 2


def _end_links(part: Part, rings: int) -> int:
    """Four to each ring; two in an open edge row, where one closed ring of each side is held."""
    edge = part.assembly is not None and part.assembly.rows.edge
    return 4 * rings - (2 if edge else 0)


def _end_to_end(q: Fields, plan: _JoinPlan) -> tuple[int, Part, int, list[str]]:
    """Side by side along the rows: one open ring for each open row."""
    one, other = plan.pair(q)
    a, b = plan.parts[one], plan.parts[other]
    rings, _ = _ends(q, a, plan.round(one)), _ends(q, b, plan.round(other))
    rows, more = len(a.panel["rows"]), len(b.panel["rows"])
    if rows != more:
        raise q.bad("panels", sentence("piece.rows_not_equal", rows=rows, other_rows=more))
    if (
        a.assembly is not None
        and b.assembly is not None
        and a.assembly.rows.ringed != b.assembly.rows.ringed
    ):
        raise q.bad("panels", sentence("piece.tube_and_flat_rows", panel=a.name, other=b.name))
    _check_ring_sizes(q, a, b)
    plan.use_side(q, one, "end")
    plan.use_side(q, other, "beginning")
    return rings, a, _end_links(a, rings), _mismatches(a, b, True)


def _edges(q: Fields, part: Part) -> list[int]:
    """Rows of a panel that has a first and a last one."""
    if part.assembly is None:
        raise q.bad("panels", sentence("piece.only_a_count", panel=part.name))
    if part.assembly.rows.ringed:
        raise q.bad("panels", sentence("piece.tube_has_no_edges", panel=part.name))
    rows: list[int] = part.panel["rows"]
    return rows


def _stacked(q: Fields, plan: _JoinPlan) -> tuple[int, Part, int, list[str]]:
    """One under the other: an open row between two closed ones of the same length."""
    one, other = plan.pair(q)
    a, b = plan.parts[one], plan.parts[other]
    upper, lower = _edges(q, a), _edges(q, b)
    if plan.round(one) != plan.round(other):
        tube, flat = (a, b) if plan.round(one) else (b, a)
        why = sentence("piece.tube_and_flat_edges", tube=tube.name, flat=flat.name)
        raise q.bad("panels", why)
    if len(upper) % 2 == 0:
        raise q.bad("panels", sentence("piece.ends_open", panel=a.name))
    if upper[-1] != lower[0]:
        why = sentence("piece.edges_not_equal", rings=upper[-1], other_rings=lower[0])
        raise q.bad("panels", why)
    _check_ring_sizes(q, a, b)
    plan.use_side(q, one, "lower edge")
    plan.use_side(q, other, "upper edge")
    rings = upper[-1] - (0 if plan.round(one) else 1)
    return rings, a, 4 * rings, _mismatches(a, b, False)


def _closed_round(q: Fields, plan: _JoinPlan) -> tuple[int, Part, int, list[str]]:
    """A flat panel closed to a tube: one open ring for each open row."""
    one = plan.next_of_name(q, [i for i, side in plan.used if side == "end"])
    part = plan.parts[one]
    flat = (
        part.assembly is not None and not part.assembly.rows.round and not part.assembly.rows.ringed
    )
    if not flat or len(part.panel["rows"]) < 3:
        raise q.bad("panels", sentence("piece.not_closed_round"))
    rings = _ends(q, part, False)
    # The end stands for both: no other join takes an end or a beginning of a panel in `closed`.
    plan.use_side(q, one, "end")
    return rings, part, _end_links(part, rings), []


def _by_count(q: Fields, plan: _JoinPlan) -> tuple[int, Part, int, list[str]]:
    """As many rings as the maker gives, of the first panel's ring, each through four closed ones."""
    found: list[int] = []
    for name in q.entries("panels", most=2):
        found.append(
            plan.index_of(q, name, found[0] if found and _twice(plan.parts, name) else None)
        )
    rings = q.integer("rings", 0, 10**6, example="41")
    part, warnings = plan.parts[found[0] if found else 0], []
    if len(found) == 2:
        other = plan.parts[found[1]]
        if _unlike(part, other):
            warnings.append(sentence("piece.join_of_two_sizes", panel=part.name, other=other.name))
    return rings, part, 4 * rings, warnings


def _twice(parts: list[Part], name: Any) -> bool:
    return len([part for part in parts if part.name == name]) > 1


_HOW = {"end_to_end": _end_to_end, "stacked": _stacked, "round": _closed_round, "rings": _by_count}


def joins_of(q: Fields, parts: list[Part]) -> list[Join]:
    """`joins: [{how, panels: [names], rings?, name?}]`; how: end_to_end, stacked, round (to a tube)
    or rings.
    """
    asked = q.parts("joins", most=200)
    plan, out = _JoinPlan(parts), []
    for join in asked:
        if join.choice("how", sorted(_HOW)) == "round":
            plan.closed.append(plan.next_of_name(join, plan.closed))
    for join in asked:
        how = join.choice("how", sorted(_HOW))
        rings, part, links, warnings = _HOW[how](join, plan)
        one = Join(join.text("name", how, longest=120), rings, part, links)
        one.warnings = warnings
        out.append(one)
    return out
