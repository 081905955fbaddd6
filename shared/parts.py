"""The parts of a piece: its panels with their rings, and the joins that hold them together.

A part says how many closed and open rings it has, what they are made of, and how they
gather into units and chains. Which ring passes which steps follows from its kind: a
butted ring is neither flattened nor pierced, a solid one is bought or punched whole, a
zinc-coated one is never heated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from . import chains
from .panel import panel_of
from .ring import ring_of

if TYPE_CHECKING:
    from typing import Any

    from .fields import Fields
    from .ring import Ring

MANDREL_MM = 200.0  # taken where no mandrel length is said; the answer says so
RING_STEPS = ("cut", "soften", "flatten", "soften_again", "pierce")
HEATED = ("soften", "soften_again")  # zinc-coated wire never goes there
SKIPS: dict[str, tuple[str, ...]] = {"riveted": (), "butted": ("flatten", "soften_again", "pierce")}


def skipped(ring: Ring | None) -> tuple[str, ...]:
    """Steps of RING_STEPS that this ring does not pass; where no ring is given it is riveted and bare."""
    if ring is None:
        return ()
    return SKIPS.get(ring.kind, ()) + (HEATED if ring.zinc else ())


def _unheated(q: Fields, panel: dict[str, Any], zinc: bool) -> dict[str, Any]:
    """A free count without the softening of rings that are never heated."""
    items = panel.get("items") or {}
    if not zinc or not any(items.get(step) for step in HEATED):
        return panel
    kept = {step: items[step] for step in sorted(items) if step not in HEATED}
    if not any(kept[step] for step in kept):
        why = "These rings are zinc-coated, or not known to be bare, and are never softened: count another step, "
        raise q.bad("shape.items", why + "or give bare rings a panel of their own.")
    out = {key: panel[key] for key in sorted(panel)}
    out["items"] = kept
    return out


class Part:
    """One panel of the piece, worked out. `ring` is of the closed rows; None where none was said."""

    def __init__(self, q: Fields, name: str, ring: Ring | None, open_ring: Ring | None, panel: dict[str, Any]) -> None:
        self.path = q.path
        self.name = name
        self.ring = ring
        self.open_ring = open_ring
        self.panel = _unheated(q, panel, self.zinc)
        self.chains = chains.chains_of(panel)
        self.hanging_runs = chains.hanging_runs(panel)

    @property
    def rings(self) -> list[Ring]:
        return [ring for ring in (self.ring, self.open_ring) if ring is not None]

    @property
    def zinc(self) -> bool:
        """Some of its rings are never heated."""
        return any(ring.zinc for ring in self.rings)

    @property
    def counted(self) -> bool:
        """A free count: no rows are known of it."""
        return not self.panel["rows"]

    @property
    def round(self) -> bool:
        return chains.is_round(self.panel["rows"])

    @property
    def items(self) -> dict[str, int]:
        """Items of each step, where a free count names them."""
        return self.panel.get("items") or {}

    @property
    def kind(self) -> str:
        return self.ring.kind if self.ring else "riveted"

    @property
    def open_kind(self) -> str:
        return self.open_ring.kind if self.open_ring else "riveted"

    def closed_by(self, step: str) -> int:
        """Closed rings that a step takes up."""
        return 0 if self.counted else int(self.panel["closed_by_step"][step])

    def open_by(self, step: str) -> int:
        """Open rings that a step joins in place."""
        if self.counted:
            return int(self.panel["open"]) if step == "left_over" and not self.items else 0
        return int(self.panel["open_by_step"][step])

    def weight_g(self) -> float | None:
        if self.ring is None or self.open_ring is None or not self.ring.density or not self.open_ring.density:
            return None
        return float(self.panel["closed"] * self.ring.mass_g + self.panel["open"] * self.open_ring.mass_g)


def _ring(q: Fields, name: str, piece: Fields) -> Ring | None:
    """The panel's own ring, or the piece's."""
    part = q.maybe_part(name) or piece.maybe_part(name)
    return ring_of(part, weighed=False) if part else None


def _open_ring(q: Fields, piece: Fields, ring: Ring | None) -> Ring | None:
    """The ring of the open rows: the same, but a solid one cannot be opened."""
    other = _ring(q, "open_ring", piece)
    if other is not None and other.kind == "solid":
        raise q.bad("open_ring.kind", "A solid ring cannot be opened: choose riveted or butted.")
    if other is not None or ring is None or ring.kind != "solid":
        return other or ring
    part = q.maybe_part("ring") or piece.part("ring")
    other = ring_of(part.joined({"kind": "riveted"}, {}), weighed=False)
    other.warnings.append(
        "Between solid rings the open ones are taken as riveted, of the same wire: or give open_ring."
    )
    return other


def part_of(piece: Fields, q: Fields, number: int) -> Part:
    """`{name?, ring?, open_ring?, swatch?, state?, shape}`; rings of the piece's own stand in for missing ones."""
    ring = _ring(q, "ring", piece)
    panel = panel_of(q, ring)
    return Part(q, q.text("name", "Panel " + str(number), longest=120), ring, _open_ring(q, piece, ring), panel)


class Join:
    """Open rings that hold panels together; `part` lends its ring."""

    def __init__(self, name: str, rings: int, part: Part) -> None:
        self.name = name
        self.rings = rings
        self.part = part


def _named(q: Fields, field: str, name: Any, parts: list[Part]) -> Part:
    for part in parts:
        if part.name == name:
            return part
    raise q.bad(field, "No panel has this name; there are: " + ", ".join([p.name for p in parts[:12]]) + ".")


def _pair(q: Fields, parts: list[Part]) -> tuple[Part, Part]:
    names = q.entries("panels", least=2, most=2, like='"Front", "Back"')
    one = _named(q, "panels", names[0], parts)
    others = [part for part in parts if part is not one]
    if names[1] == one.name and all(part.name != one.name for part in others):
        raise q.bad("panels", "A panel is not joined to itself this way: name two panels, or close it with how: round.")
    return one, _named(q, "panels", names[1], others)


def _end_to_end(q: Fields, parts: list[Part]) -> tuple[int, Part]:
    """Side by side along the rows: one open ring for each open row."""
    a, b = _pair(q, parts)
    rows = len(a.panel["rows"])
    if rows < 3 or rows != len(b.panel["rows"]):
        why = (
            "Panels joined along their rows need equally many rows: " + str(rows) + " and " + str(len(b.panel["rows"]))
        )
        raise q.bad("panels", why + ".")
    return rows // 2, a


def _stacked(q: Fields, parts: list[Part]) -> tuple[int, Part]:
    """One under the other: an open row between two closed ones of the same length."""
    a, b = _pair(q, parts)
    lower, upper = a.panel["rows"], b.panel["rows"]
    why = "Panels joined row to row must meet in closed rows of the same number of rings"
    if not lower or not upper or len(lower) % 2 == 0:
        raise q.bad("panels", why + ": one of these has no closed row there.")
    if lower[-1] != upper[0]:
        raise q.bad(
            "panels", why + ", not " + str(lower[-1]) + " and " + str(upper[0]) + ": or give the rings, how: rings."
        )
    return lower[-1] - (0 if a.round else 1), a


def _closed_round(q: Fields, parts: list[Part]) -> tuple[int, Part]:
    """A flat panel closed to a tube: one open ring for each open row."""
    names = q.entries("panels", least=1, most=1)
    part = _named(q, "panels", names[0], parts)
    if part.round or len(part.panel["rows"]) < 3:
        raise q.bad("panels", "Only a flat panel of three rows or more can be closed to a tube.")
    return len(part.panel["rows"]) // 2, part


def _by_count(q: Fields, parts: list[Part]) -> tuple[int, Part]:
    names = q.entries("panels", most=2)
    return q.integer("rings", 0, 10**6, example="41"), _named(q, "panels", names[0], parts) if names else parts[0]


_HOW = {"end_to_end": _end_to_end, "stacked": _stacked, "round": _closed_round, "rings": _by_count}


def joins_of(q: Fields, parts: list[Part]) -> list[Join]:
    """`joins: [{how, panels: [names], rings?, name?}]`; how: end_to_end, stacked, round (to a tube) or rings."""
    out = []
    for join in q.parts("joins", most=200):
        how = join.choice("how", sorted(_HOW))
        rings, part = _HOW[how](join, parts)
        out.append(Join(join.text("name", how, longest=120), rings, part))
    return out
