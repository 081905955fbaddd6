"""What is on hand: wire on reels, known by weight or by use, and rings already made, by size.

grams on a reel  = gross_g - empty_g, or left_g, or start_g - used_g - used_m * g_per_m
metres on a reel = grams / g_per_m
rings in a lot   = n, or grams / grams of one ring, to the nearest
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.rounding import nearest
from ..base.sentences import sentence
from ..material.metals import coating_of, density_of
from ..material.ring import ring_of
from ..material.wire import g_per_m, wire_key

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields

MOST_G = 10000000


class Reel:
    """One reel: `grams` of wire still on it, how that is known, a warning if figures clash or "".

    Raises BadField naming the field of the reel.
    """

    def __init__(self, q: Fields, number: int) -> None:
        self.name = q.text("name", q.text("id", _reel_name(number), longest=80), longest=80)
        self.id = q.text("id", self.name, longest=80)
        self.wire_mm = q.number("wire_mm", 0.1, 10, example="1.6")
        self.metal, density = density_of(q)
        if not density:
            raise q.bad("metal", sentence("money.reel_metal"))
        self.coating = coating_of(q, self.metal)[0]
        self.g_per_m = g_per_m(self.wire_mm, density)
        self.warning = ""
        self.grams, self.known = self._grams(q)

    @property
    def metres(self) -> float:
        """Metres of wire on it."""
        return self.grams / self.g_per_m

    def _grams(self, q: Fields) -> tuple[float, str]:
        if q.has("gross_g"):
            return self._weighed(q), "weight"
        if q.has("left_g"):
            return q.number("left_g", 0, MOST_G), "given"
        if not q.has("start_g"):
            raise q.bad("start_g", sentence("money.reel_unknown"))
        start = q.number("start_g", 0, MOST_G, example="5000")
        used = (
            q.number("used_g", 0, MOST_G, 0.0) + q.number("used_m", 0, MOST_G, 0.0) * self.g_per_m
        )
        if used > start:
            self.warning = sentence("money.reel_overused", reel=self.name)
        return max(0.0, start - used), "use"

    def _weighed(self, q: Fields) -> float:
        gross, empty = q.number("gross_g", 0, MOST_G), q.number("empty_g", 0, MOST_G, 0.0)
        if empty > gross:
            raise q.bad("empty_g", sentence("money.reel_empty_heavier"))
        if not q.has("empty_g"):
            self.warning = sentence("money.reel_empty_missing", reel=self.name)
        return gross - empty

    def row(self) -> dict[str, Any]:
        """The reel as the answer lists it."""
        out: dict[str, Any] = {
            "id": self.id,
            "name": self.name,
            "metal": self.metal,
            "wire_mm": self.wire_mm,
        }
        out["grams"], out["metres"], out["known_by"] = self.grams, self.metres, self.known
        return out


def _reel_name(number: int) -> str:
    return sentence("money.reel_name", number=number)


class RingLot:
    """Rings on hand of one size, `n` of them, counted or weighed."""

    def __init__(self, q: Fields) -> None:
        ring = ring_of(q.part("ring"))
        self.metal, self.wire_mm, self.inner_mm, self.kind = (
            ring.metal,
            ring.wire_mm,
            ring.inner_mm,
            ring.kind,
        )
        self.metres_each = ring.wire_per_ring_mm / 1000
        self.n = (
            q.integer("n", 0, 10**8)
            if q.has("n")
            else nearest(q.number("grams", 0, MOST_G) / ring.mass_g)
        )

    def key(self) -> str:
        """Equal for rings that can stand in for each other: wire, inside to 1 µm, kind."""
        return (
            wire_key(self.metal, self.wire_mm)
            + " "
            + str(nearest(self.inner_mm * 1000))
            + " "
            + self.kind
        )

    def row(self) -> dict[str, Any]:
        """The lot as the answer lists it."""
        out: dict[str, Any] = {
            "metal": self.metal,
            "wire_mm": self.wire_mm,
            "inner_mm": self.inner_mm,
            "n": self.n,
        }
        out["kind"] = self.kind
        out["metres"] = self.n * self.metres_each
        return out


def read_ring_lots(q: Fields) -> list[RingLot]:
    """`rings: [{ring, n | grams}]`, equal sizes added up."""
    out: list[RingLot] = []
    for part in q.parts("rings", most=500, like='{"ring": {..}, "n": 1200}'):
        new = RingLot(part)
        old = [lot for lot in out if lot.key() == new.key()]
        if old:
            old[0].n += new.n
        else:
            out.append(new)
    return out
