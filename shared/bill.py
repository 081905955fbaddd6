"""The bill of a piece: what its parts come to, step by step, wire by wire, and how the steps feed one another."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .assembly import STEPS
from .errors import BadField
from .flow import Flow, Link
from .parts import MANDREL_MM, RING_STEPS, skipped
from .steps import KEYS, NEEDED

if TYPE_CHECKING:
    from typing import Any

    from .parts import Join, Part
    from .ring import Ring

    Row = dict[str, Any]


def mandrel_of(ring: Ring) -> float:
    return ring.mandrel_length_mm or MANDREL_MM


def same(a: Ring, b: Ring) -> bool:
    """Rings that are wound, cut and bought as one."""
    return _sort(a) == _sort(b)


def _sort(ring: Ring) -> list[Any]:
    rivet = ring.rivet_wire_mm or 0.0
    return [ring.metal, ring.density, ring.wire_mm, ring.inner_mm, ring.lap_mm, ring.kerf_mm, ring.kind,
            ring.reel_kg, mandrel_of(ring), rivet, ring.coating, ring.cut]  # fmt: skip


class Batch:
    """All rings of one sort in the piece."""

    def __init__(self, ring: Ring) -> None:
        self.ring = ring
        self.rings = 0

    @property
    def made(self) -> bool:
        return self.ring.kind != "solid"

    @property
    def riveted(self) -> bool:
        return self.ring.kind == "riveted"


class Bill:
    """Sums over the parts: rings by sort, items by step, links between steps."""

    def __init__(self, parts: list[Part], joins: list[Join], rows: list[Row]) -> None:
        self.parts = parts
        self.joins = joins
        self.rows = rows
        self.order = [row["step"] for row in rows]
        self.batches: list[Batch] = []
        self.need: dict[str, int] = {}
        self.direct: dict[str, int] = {}  # items that the piece itself asks of a step, besides what later steps ask
        self.amounts: dict[str, list[int]] = {}  # "user source" -> [amount, also used by spoiled items]
        for part in parts:
            self._part(part)
        for join in joins:
            self._open("panel_join", join.part, join.rings)
            self._batch(join.part.open_ring, join.rings)
        for row in rows:
            if "need" in row:
                self._direct(row["step"], row["need"])

    def _batch(self, ring: Ring | None, rings: int) -> None:
        if ring is None:
            return
        for batch in self.batches:
            if same(batch.ring, ring):
                batch.rings += rings
                return
        new = Batch(ring)
        new.rings = rings
        self.batches.append(new)

    def _part(self, part: Part) -> None:
        self._batch(part.ring, part.panel["closed"])
        self._batch(part.open_ring, part.panel["open"])
        for step in sorted(part.items):
            if step not in self.order:
                why = "No step is called '" + step[:40] + "'; there are: " + ", ".join(self.order[:20]) + "."
                raise BadField(part.path + ".shape.items", why)
            self._direct(step, part.items[step])
        if part.items:
            return
        if part.kind != "solid":
            self._closed(part)
        for step in STEPS:
            self._open(step, part, part.open_by(step))
        self._add("left_over", part.closed_by("left_over"))

    def _closed(self, part: Part) -> None:
        """Closed rings, and who hangs them; none where they are bought closed."""
        closed = part.panel["closed"]
        self._ring_line(part.ring, closed)
        if "close" not in self.order:
            return
        self._add("close", closed)
        self._link("close", self._last(part.ring), closed, True)
        if part.counted:
            self.direct["close"] = self.direct.get("close", 0) + closed
        for step in STEPS:
            self._link(step, "close", part.closed_by(step), False)

    def _open(self, step: str, part: Part, rings: int) -> None:
        self._add(step, rings)
        self._ring_line(part.open_ring, rings)
        self._link(step, self._last(part.open_ring), rings, True)

    def _line(self, ring: Ring | None) -> list[str]:
        return [s for s in RING_STEPS if s in self.order and s not in skipped(ring)]

    def _last(self, ring: Ring | None) -> str | None:
        line = self._line(ring)
        return line[-1] if line else None

    def _ring_line(self, ring: Ring | None, rings: int) -> None:
        """The one line of steps that rings pass from the coil to the anvil."""
        before = "wind" if "wind" in self.order and self.batches else None
        for step in self._line(ring):
            self._add(step, rings)
            self._link(step, before, rings, True)
            before = step

    def _add(self, step: str, n: int) -> None:
        self.need[step] = self.need.get(step, 0) + n

    def _direct(self, step: str, n: int) -> None:
        self._add(step, n)
        self.direct[step] = self.direct.get(step, 0) + n

    def _link(self, user: str, source: str | None, amount: int, lost: bool) -> None:
        if source is not None and amount > 0:
            kept = self.amounts.setdefault(user + " " + source, [0, 1 if lost else 0])
            kept[0] += amount

    def coils(self, part: Part | None = None) -> list[tuple[int, int]]:
        """(rings, rings a coil gives) of every sort that is wound here, of one part only if it is named."""
        if "wind" not in self.order:
            return []
        made = [b for b in self.batches if b.made and b.rings]
        if part is not None:
            made = [b for b in made if any(same(b.ring, ring) for ring in part.rings)]
        return [(b.rings, b.ring.rings_per_coil(mandrel_of(b.ring))) for b in made]

    def flow(self, part: Part | None = None) -> Flow:
        """How the steps feed one another; the coils are those of `part` where one is named."""
        links = []
        for key in sorted(self.amounts):
            user, source = key.split(" ")
            amount, lost = self.amounts[key]
            links.append(Link(user, source, self.need[user], amount, lost == 1))
        ends = {s: self.need[s] for s in sorted(self.need) if s in NEEDED or s not in KEYS}
        for step in sorted(self.direct):
            ends[step] = self.need[step] if step in NEEDED or step not in KEYS else self.direct[step]
        return Flow(self.order, links, ends, self.coils(part))
