"""The bill of materials of a piece: what its parts come to, step by step, wire by wire, and how the
steps feed one another.

Each step's items are a level of the bill. Where items of step u use up items of step s, the use runs
in the order of work: [[items, used], ...]; see fabric.consumption and requirements.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.errors import BadField
from ..base.sentences import sentence
from ..fabric.assembly import STEPS
from .parts import MANDREL_MM, RING_STEPS, skipped_steps
from .requirements import ProductStructure, Usage
from .steps import KEYS, NEEDED

if TYPE_CHECKING:
    from typing import Any

    from ..material.ring import Ring
    from .joins import Join
    from .parts import Part

    Row = dict[str, Any]


def mandrel_of(ring: Ring) -> float:
    """Length of a coil on the mandrel, mm; the usual one where none is given."""
    return ring.mandrel_length_mm or MANDREL_MM


def same_ring(a: Ring, b: Ring) -> bool:
    """Rings that are wound, cut and bought as one."""
    return _ring_key(a) == _ring_key(b)


def _ring_key(ring: Ring) -> list[Any]:
    rivet = ring.rivet_wire_mm or 0.0
    return [
        ring.metal,
        ring.density,
        ring.wire_mm,
        ring.inner_mm,
        ring.lap_mm,
        ring.kerf_mm,
        ring.kind,
        ring.reel_kg,
        mandrel_of(ring),
        rivet,
        ring.coating,
        ring.cut,
    ]


class Batch:
    """All rings of one sort in the piece."""

    def __init__(self, ring: Ring) -> None:
        self.ring = ring
        self.rings = 0

    @property
    def made(self) -> bool:
        """Wound and cut here, not bought closed."""
        return self.ring.kind != "solid"

    @property
    def riveted(self) -> bool:
        """Closed with a rivet each."""
        return self.ring.kind == "riveted"


class Bill:
    """Sums over the parts: rings by sort, items by step, links between steps.

    Items are entered in the order of work, part by part: first all that hangs in the chains, then
    what is left over, then the joins of panels. So a link knows what the n-th item uses up.
    """

    def __init__(self, parts: list[Part], joins: list[Join], rows: list[Row]) -> None:
        self.parts = parts
        self.joins = joins
        self.rows = rows
        self.order = [row["step"] for row in rows]
        self.batches: list[Batch] = []
        self.need: dict[str, int] = {}
        self.direct: dict[
            str, int
        ] = {}  # items that the piece itself asks of a step, besides what later steps ask
        self.uses: dict[str, list[list[int]]] = {}  # "user source" -> runs [[items, used], ...]
        self.lost: list[str] = []  # of these, those that spoiled items use up too
        self._links: list[Usage] | None = None
        for part in parts:
            self._batch(part.ring, part.panel["closed"])
            self._batch(part.open_ring, part.panel["open"])
        for join in joins:
            self._batch(join.part.open_ring, join.rings)
        for part in parts:
            self._counts(part)
            self._work(part, STEPS[:-1])
        for part in parts:
            self._work(part, STEPS[-1:])
        for join in joins:
            self._rings([(join.part.open_ring, join.rings)])
            self._open("panel_join", join.part, [[join.rings, 0]])
        for row in rows:
            if "need" in row:
                self._direct(row["step"], row["need"])

    def _batch(self, ring: Ring | None, rings: int) -> None:
        if ring is None:
            return
        for batch in self.batches:
            if same_ring(batch.ring, ring):
                batch.rings += rings
                return
        new = Batch(ring)
        new.rings = rings
        self.batches.append(new)

    def _counts(self, part: Part) -> None:
        """What a free count asks of the steps."""
        for step in sorted(part.items):
            if step not in self.order:
                names = ", ".join(self.order[:20])
                why = sentence("piece.step_unknown", step=step[:40], names=names)
                raise BadField(part.path + ".shape.items", why)
            self._direct(step, part.items[step])

    def _work(self, part: Part, steps: tuple[str, ...]) -> None:
        """Rings through the line, closed ones closed, open ones riveted; nothing where the items
        were given.
        """
        if part.items:
            return
        runs = [part.consumption(step) for step in steps]
        open_rings = sum([items for consumption in runs for items, _ in consumption])
        closed = sum([used for consumption in runs for _, used in consumption])
        solid = part.kind == "solid"  # bought closed
        if part.counted and steps == STEPS[-1:]:
            closed = part.panel["closed"]
            if "close" in self.order and not solid:
                self.direct["close"] = self.direct.get("close", 0) + closed
        self._rings(
            [(part.open_ring, open_rings)]
            if solid
            else [(part.ring, closed), (part.open_ring, open_rings)]
        )
        if not solid and "close" in self.order:
            self._use("close", self._last(part.ring), [[closed, closed]], True)
            self._add("close", closed)
        for step, consumption in zip(steps, runs):
            self._open(step, part, consumption)

    def _open(self, step: str, part: Part, consumption: list[list[int]]) -> None:
        """Open rings riveted in this step, with the closed ones they take up."""
        rings = sum([items for items, _ in consumption])
        self._use(step, self._last(part.open_ring), [[rings, rings]], True)
        if part.kind != "solid":
            self._use(step, "close" if "close" in self.order else None, consumption, False)
        self._add(step, rings)

    def _line(self, ring: Ring | None) -> list[str]:
        return [s for s in RING_STEPS if s in self.order and s not in skipped_steps(ring)]

    def _last(self, ring: Ring | None) -> str | None:
        line = self._line(ring)
        return line[-1] if line else None

    def _rings(self, sorts: list[tuple[Ring | None, int]]) -> None:
        """The one line of steps that rings pass from the coil to the anvil; these sorts mixed
        evenly.
        """
        wound = "wind" if "wind" in self.order and self.batches else None
        lines = [(self._line(ring), rings) for ring, rings in sorts]
        for step in RING_STEPS:
            passing = [(line, rings) for line, rings in lines if step in line]
            items = sum([rings for _, rings in passing])
            before = [
                line[line.index(step) - 1] if line[0] != step else wound for line, _ in passing
            ]
            for source in ["wind"] + list(RING_STEPS):
                used = sum([passing[i][1] for i in range(len(passing)) if before[i] == source])
                self._use(step, source, [[items, used]], True)
            self._add(step, items)

    def _add(self, step: str, n: int) -> None:
        self.need[step] = self.need.get(step, 0) + n

    def _direct(self, step: str, n: int) -> None:
        self._add(step, n)
        self.direct[step] = self.direct.get(step, 0) + n

    def _use(self, user: str, source: str | None, runs: list[list[int]], lost: bool) -> None:
        """The next items of `user` use up so many of `source`; to be called before they are added."""
        if source is None or sum([used for _, used in runs]) <= 0:
            return
        key = user + " " + source
        kept = self.uses.setdefault(key, [])
        if lost and key not in self.lost:
            self.lost.append(key)
        before = self.need.get(user, 0) - sum([items for items, _ in kept])
        if before > 0:  # items that use none of this source
            kept.append([before, 0])
        kept.extend([run for run in runs if run[0] > 0])

    def usages(self) -> list[Usage]:
        """Every link between two steps, worked out once."""
        if self._links is None:
            self._links = []
            for key in sorted(self.uses):
                user, source = key.split(" ")
                after = self.need[user] - sum([items for items, _ in self.uses[key]])
                runs = self.uses[key] + ([[after, 0]] if after > 0 else [])
                self._links.append(Usage(user, source, runs, key in self.lost))
        return self._links

    def coils(self, part: Part | None = None) -> list[tuple[int, int]]:
        """(rings, rings a coil gives) of every sort that is wound here, of one part only if it is
        named.
        """
        if "wind" not in self.order:
            return []
        made = [b for b in self.batches if b.made and b.rings]
        if part is not None:
            made = [b for b in made if any(same_ring(b.ring, ring) for ring in part.rings)]
        return [(b.rings, b.ring.rings_per_coil(mandrel_of(b.ring))) for b in made]

    def structure(self, part: Part | None = None) -> ProductStructure:
        """How the steps feed one another; the coils are those of `part` where one is named."""
        demand = {s: self.need[s] for s in sorted(self.need) if s in NEEDED or s not in KEYS}
        for step in sorted(self.direct):
            demand[step] = (
                self.need[step] if step in NEEDED or step not in KEYS else self.direct[step]
            )
        return ProductStructure(self.order, self.usages(), demand, self.coils(part))
