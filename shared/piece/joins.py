"""The joins of a piece: open rings that hold its panels together, where their rows can meet at all.

A flat panel has two ends of rows and two edges; a tube whose rows run round has edges only,
one whose rows run down has ends only. Each end and each edge is joined once: `[A, B]` joins
A's last end or edge to B's first, so that `[B, A]` beside it closes the two to a tube. Links
as built ring by ring in tests/outside: four to a joining ring, two in an open edge row.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import plain
from ..base.rounding import figure

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from ..material.ring import Ring
    from .parts import Part

BY_RINGS = " Or join them by a number of rings."
NEAR = 0.02  # parts of a pitch by which two panels may differ without a word (workshop judgement)


class Join:
    """Open rings that hold panels together, and the links they make; `part` lends its ring."""

    def __init__(self, name: str, rings: int, part: Part, links: int) -> None:
        self.name = name
        self.rings = rings
        self.part = part
        self.links = links
        self.warnings: list[str] = []


class _Joining:
    """The parts, the joins found so far, and which ends and edges they have used up."""

    def __init__(self, parts: list[Part]) -> None:
        self.parts = parts
        self.used: list[
            tuple[int, str]
        ] = []  # (part, "end", "beginning", "lower edge" or "upper edge")
        self.closed: list[
            int
        ] = []  # parts that a join closes to a tube, wherever it stands in the list

    def named(self, q: Fields, name: Any, but: int | None = None) -> int:
        for i, part in enumerate(self.parts):
            if part.name == name and i != but:
                return i
        raise q.bad(
            "panels",
            "No panel has this name; there are: "
            + ", ".join([p.name for p in self.parts[:12]])
            + ".",
        )

    def open(self, q: Fields, done: list[int]) -> int:
        """The one panel named; of several of that name the first that is not done."""
        name = q.entries("panels", least=1, most=1)[0]
        free = [i for i, part in enumerate(self.parts) if part.name == name and i not in done]
        return free[0] if free else self.named(q, name)

    def pair(self, q: Fields) -> tuple[int, int]:
        names = q.entries("panels", least=2, most=2, like='"Front", "Back"')
        one = self.named(q, names[0])
        if names[1] == names[0] and len([p for p in self.parts if p.name == names[0]]) == 1:
            raise q.bad(
                "panels",
                "A panel is not joined to itself this way: name two panels, or close it to a tube.",
            )
        other = self.named(q, names[1], one)
        if names[0] == names[1] and (one, "end") in self.used and (other, "end") not in self.used:
            return other, one
        return one, other

    def take(self, q: Fields, part: int, side: str) -> None:
        if (part, side) in self.used:
            why = (
                "The "
                + side
                + " of "
                + self.parts[part].name
                + " is joined already. Leave this join out, "
            )
            raise q.bad(
                "panels", why + "or name the panels the other way round to join their other sides."
            )
        self.used.append((part, side))

    def round(self, part: int) -> bool:
        assembly = self.parts[part].assembly
        return assembly is not None and (assembly.rows.round or part in self.closed)


def _size(ring: Ring | None) -> list[float] | None:
    return [ring.wire_mm, ring.inner_mm] if ring else None


def _said(ring: Ring) -> str:
    return plain(ring.wire_mm) + " x " + plain(ring.inner_mm) + " mm"


def _unlike(a: Part, b: Part) -> tuple[Ring, Ring] | None:
    """Rings of these two panels that differ in size."""
    for one, other in ((a.ring, b.ring), (a.open_ring, b.open_ring)):
        if one is not None and other is not None and _size(one) != _size(other):
            return one, other
    return None


def _fitting(q: Fields, a: Part, b: Part) -> None:
    """Refuses rows of rings of two sizes: ring to ring they are of different lengths."""
    unlike = _unlike(a, b)
    if unlike:
        why = (
            a.name
            + " and "
            + b.name
            + " are of rings of two sizes ("
            + _said(unlike[0])
            + " and "
            + _said(unlike[1])
        )
        raise q.bad(
            "panels",
            why + "): row for row they do not fit. Give both panels the same ring." + BY_RINGS,
        )


def _doubts(a: Part, b: Part, along: bool) -> list[str]:
    """Sizes planned at two pitches, and grains that cross, go together but not as drawn."""
    out = []
    one, other = a.panel.get("pitch_mm"), b.panel.get("pitch_mm")
    side = "row" if along else "column"
    if one and other and abs(one[side] - other[side]) > NEAR * one[side]:
        said = figure(one[side], 2) + " and " + figure(other[side], 2) + " mm from ring to ring"
        out.append(
            a.name
            + " and "
            + b.name
            + " are planned with "
            + said
            + " where they are joined: their sides come out "
            "of different lengths. Plan both with the same swatch and state."
        )
    if a.panel.get("rows_run") != b.panel.get("rows_run"):
        out.append(
            "Rows run round in one of " + a.name + " and " + b.name + " and down in the other: "
            "joined like this they lie the same way. Check how the rows of both run."
        )
    return out


def _ends(q: Fields, part: Part, round: bool) -> int:
    """Open rows that end at this panel's side; refuses a panel without ends, or with ends in steps."""
    if part.assembly is None:
        raise q.bad("panels", part.name + " is only a count, its rows are not known." + BY_RINGS)
    if round:
        why = (
            part.name
            + " is a tube: its rows close on themselves and have no ends to be joined. Stack it "
        )
        raise q.bad("panels", why + "row to row." + BY_RINGS)
    rows = part.assembly.rows
    if rows.starts:
        raise q.bad(
            "panels",
            "The rows of " + part.name + " end in steps: they do not meet row for row." + BY_RINGS,
        )
    return len(part.panel["rows"]) // 2


def _end_links(part: Part, rings: int) -> int:
    """Four to each ring; two in an open edge row, where one closed ring of each side is held."""
    edge = part.assembly is not None and part.assembly.rows.edge
    return 4 * rings - (2 if edge else 0)


def _end_to_end(q: Fields, all: _Joining) -> tuple[int, Part, int, list[str]]:
    """Side by side along the rows: one open ring for each open row."""
    one, other = all.pair(q)
    a, b = all.parts[one], all.parts[other]
    rings, _ = _ends(q, a, all.round(one)), _ends(q, b, all.round(other))
    rows, more = len(a.panel["rows"]), len(b.panel["rows"])
    if rows != more:
        why = (
            "Panels joined along their rows need equally many rows: "
            + str(rows)
            + " and "
            + str(more)
            + "."
        )
        raise q.bad("panels", why + BY_RINGS)
    if (
        a.assembly is not None
        and b.assembly is not None
        and a.assembly.rows.ringed != b.assembly.rows.ringed
    ):
        why = (
            "One of "
            + a.name
            + " and "
            + b.name
            + " is a tube, the other is flat: their rows do not meet. "
        )
        raise q.bad("panels", why + "Plan both as tubes or both flat." + BY_RINGS)
    _fitting(q, a, b)
    all.take(q, one, "end")
    all.take(q, other, "beginning")
    return rings, a, _end_links(a, rings), _doubts(a, b, True)


def _edges(q: Fields, part: Part) -> list[int]:
    """Rows of a panel that has a first and a last one."""
    if part.assembly is None:
        raise q.bad("panels", part.name + " is only a count, its rows are not known." + BY_RINGS)
    if part.assembly.rows.ringed:
        why = part.name + " is a tube whose rows run down: it has no first or last row. Join it "
        raise q.bad("panels", why + "along its rows." + BY_RINGS)
    rows: list[int] = part.panel["rows"]
    return rows


def _stacked(q: Fields, all: _Joining) -> tuple[int, Part, int, list[str]]:
    """One under the other: an open row between two closed ones of the same length."""
    one, other = all.pair(q)
    a, b = all.parts[one], all.parts[other]
    upper, lower = _edges(q, a), _edges(q, b)
    if all.round(one) != all.round(other):
        tube, flat = (a, b) if all.round(one) else (b, a)
        why = (
            tube.name
            + " is a tube and "
            + flat.name
            + " is flat: their edges do not meet all round. "
        )
        raise q.bad("panels", why + "Close " + flat.name + " to a tube as well." + BY_RINGS)
    why = "Panels joined row to row must meet in closed rows of the same number of rings"
    if len(upper) % 2 == 0:
        raise q.bad(
            "panels",
            why + ": " + a.name + " ends in an open row. Plan it with one row more or fewer.",
        )
    if upper[-1] != lower[0]:
        raise q.bad(
            "panels", why + ", not " + str(upper[-1]) + " and " + str(lower[0]) + "." + BY_RINGS
        )
    _fitting(q, a, b)
    all.take(q, one, "lower edge")
    all.take(q, other, "upper edge")
    rings = upper[-1] - (0 if all.round(one) else 1)
    return rings, a, 4 * rings, _doubts(a, b, False)


def _closed_round(q: Fields, all: _Joining) -> tuple[int, Part, int, list[str]]:
    """A flat panel closed to a tube: one open ring for each open row."""
    one = all.open(q, [i for i, side in all.used if side == "end"])
    part = all.parts[one]
    flat = (
        part.assembly is not None and not part.assembly.rows.round and not part.assembly.rows.ringed
    )
    if not flat or len(part.panel["rows"]) < 3:
        raise q.bad("panels", "Only a flat panel of three rows or more can be closed to a tube.")
    rings = _ends(q, part, False)
    all.take(q, one, "end")
    all.take(q, one, "beginning")
    return rings, part, _end_links(part, rings), []


def _by_count(q: Fields, all: _Joining) -> tuple[int, Part, int, list[str]]:
    """As many rings as the maker says, of the first panel's ring, each through four closed ones."""
    found: list[int] = []
    for name in q.entries("panels", most=2):
        found.append(all.named(q, name, found[0] if found and _twice(all.parts, name) else None))
    rings = q.integer("rings", 0, 10**6, example="41")
    part, warnings = all.parts[found[0] if found else 0], []
    if len(found) == 2:
        other = all.parts[found[1]]
        if _unlike(part, other):
            said = (
                part.name
                + " and "
                + other.name
                + " are of rings of two sizes: the joining rings are taken as those "
            )
            warnings.append(said + "of " + part.name + ".")
    return rings, part, 4 * rings, warnings


def _twice(parts: list[Part], name: Any) -> bool:
    return len([part for part in parts if part.name == name]) > 1


_HOW = {"end_to_end": _end_to_end, "stacked": _stacked, "round": _closed_round, "rings": _by_count}


def joins_of(q: Fields, parts: list[Part]) -> list[Join]:
    """`joins: [{how, panels: [names], rings?, name?}]`; how: end_to_end, stacked, round (to a tube)
    or rings.
    """
    asked = q.parts("joins", most=200)
    all, out = _Joining(parts), []
    for join in asked:
        if join.choice("how", sorted(_HOW)) == "round":
            all.closed.append(all.open(join, all.closed))
    for join in asked:
        how = join.choice("how", sorted(_HOW))
        rings, part, links, warnings = _HOW[how](join, all)
        one = Join(join.text("name", how, longest=120), rings, part, links)
        one.warnings = warnings
        out.append(one)
    return out
