"""The parts of a piece: its panels with their rings.

A part knows how many closed and open rings it has, what they are made of, and how they
gather into units and chains. Which ring passes which steps follows from its kind: a
butted ring is neither flattened nor pierced, a solid one is bought or punched whole, a
zinc-coated one is never heated.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.sentences import sentence
from ..fabric.panel import panel_of
from ..material.ring import ring_of

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from ..material.ring import Ring

MANDREL_MM = 200.0  # used where no mandrel length is given; the answer warns of it
RING_STEPS = ("cut", "soften", "flatten", "soften_again", "pierce")
HEATED = ("soften", "soften_again")  # zinc-coated wire never goes there
SKIPS: dict[str, tuple[str, ...]] = {"riveted": (), "butted": ("flatten", "soften_again", "pierce")}


def skipped_steps(ring: Ring | None) -> tuple[str, ...]:
    """Steps of RING_STEPS that this ring does not pass; where no ring is given it is riveted and
    bare.
    """
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
        raise q.bad("shape.items", sentence("piece.only_softening"))
    out = {key: panel[key] for key in sorted(panel)}
    out["items"] = kept
    return out


class Part:
    """One panel of the piece, worked out. `ring` is of the closed rows; None where none was given."""

    def __init__(self, q: Fields, name: str, ring: Ring | None, open_ring: Ring | None) -> None:
        self.path = q.path
        self.name = name
        self.ring = ring
        self.open_ring = open_ring
        panel, self.assembly = panel_of(q, ring)
        self.panel = _unheated(q, panel, self.zinc)
        self.chains = self.assembly.chains if self.assembly else []
        self.hanging_runs: list[list[int]] = self.panel["hanging_runs"]

    @property
    def rings(self) -> list[Ring]:
        """The rings of its closed and of its open rows, as far as they are known."""
        return [ring for ring in (self.ring, self.open_ring) if ring is not None]

    @property
    def zinc(self) -> bool:
        """Some of its rings are never heated."""
        return any(ring.zinc for ring in self.rings)

    @property
    def counted(self) -> bool:
        """A free count: no rows are known of it."""
        return self.assembly is None

    @property
    def items(self) -> dict[str, int]:
        """Items of each step, where a free count names them."""
        return self.panel.get("items") or {}

    @property
    def kind(self) -> str:
        """The kind of its closed rings, riveted where none is given."""
        return self.ring.kind if self.ring else "riveted"

    def consumption(self, step: str) -> list[list[int]]:
        """[[open rings, closed ones they take up], ...] of a step, in the order of work; none of a
        free count.
        """
        if self.assembly is not None:
            return self.assembly.consumption[step].runs
        rings = int(self.panel["open"])
        return [[rings, 0]] if step == "left_over" and rings and not self.items else []

    def weight_g(self) -> float | None:
        """Grams of its rings, without rivets; None where a ring or a density is not known."""
        if (
            self.ring is None
            or self.open_ring is None
            or not self.ring.density
            or not self.open_ring.density
        ):
            return None
        return float(
            self.panel["closed"] * self.ring.mass_g + self.panel["open"] * self.open_ring.mass_g
        )


def _ring(q: Fields, name: str, piece: Fields) -> Ring | None:
    """The panel's own ring, or the piece's."""
    part = q.maybe_part(name) or piece.maybe_part(name)
    return ring_of(part, weighed=False) if part else None


def _open_ring(q: Fields, piece: Fields, ring: Ring | None) -> Ring | None:
    """The ring of the open rows: the same, but a solid one cannot be opened."""
    other = _ring(q, "open_ring", piece)
    if other is not None and other.kind == "solid":
        raise q.bad("open_ring.kind", sentence("piece.open_ring_solid"))
    if other is not None or ring is None or ring.kind != "solid":
        return other or ring
    part = q.maybe_part("ring") or piece.part("ring")
    other = ring_of(part.joined({"kind": "riveted"}, {}), weighed=False)
    other.warnings.append(sentence("piece.open_rings_assumed"))
    return other


def part_of(piece: Fields, q: Fields, number: int) -> Part:
    """`{name?, ring?, open_ring?, swatch?, state?, shape}`; rings of the piece's own stand in for
    missing ones.
    """
    ring = _ring(q, "ring", piece)
    name = q.text("name", sentence("piece.panel_number", n=number), longest=120)
    return Part(q, name, ring, _open_ring(q, piece, ring))
