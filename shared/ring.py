"""One ring: its wire, mass and aspect, and what a coil, a kilogram and a reel give.

Lengths in mm, masses in g, density in g/cm3. A ring is one turn of a close-wound helix
plus the lap; the saw or snips take `kerf_mm` besides. The coil itself is coil.py's.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from . import coil
from .fields import Fields, plain
from .metals import ZINC_CAUTION, ZINC_SOURCE, density_of, is_zinced, names
from .rivet import rivet_of

if TYPE_CHECKING:
    from typing import Any

TIGHTEST = 2.98  # rigid round rings, four in one: locked below (contact search, derived)
SUPPLE = 3.5  # below this the lap and the rivet take up the play (workshop judgement, no published source)
CHECKED_TO = 8.0  # the pitch formulas were fitted for aspects up to here
KINDS = ("riveted", "butted", "solid")


class Ring:
    """A ring as planned. `density` 0 stands for a metal not said: then masses are 0 too."""

    def __init__(self, wire_mm: float, inner_mm: float, lap_mm: float = 0.0, kerf_mm: float = 0.0) -> None:
        self.wire_mm = wire_mm
        self.inner_mm = inner_mm
        self.lap_mm = lap_mm
        self.kerf_mm = kerf_mm
        self.kind = "riveted"
        self.metal = ""
        self.density = 0.0
        self.zinc = False
        self.rivet: dict[str, Any] | None = None
        self.mandrel_length_mm = 0.0  # 0 where not said, and so for the reel
        self.reel_kg = 0.0
        self.springback = 0.0  # change of curvature when the coil is let go, 1/mm
        self.warnings: list[str] = []

    @property
    def outer_mm(self) -> float:
        return self.inner_mm + 2 * self.wire_mm

    @property
    def aspect(self) -> float:
        return self.inner_mm / self.wire_mm

    @property
    def turn_mm(self) -> float:
        return coil.turn(self.wire_mm, self.inner_mm)

    @property
    def wire_per_ring_mm(self) -> float:
        return self.turn_mm + self.lap_mm + self.kerf_mm

    @property
    def g_per_mm(self) -> float:
        return self.density * math.pi * self.wire_mm * self.wire_mm / 4 / 1000

    @property
    def mass_g(self) -> float:
        """The finished ring without its rivet: what the kerf takes is gone."""
        return self.g_per_mm * (self.turn_mm + self.lap_mm)

    @property
    def cut_g(self) -> float:
        """What one ring takes from the reel, kerf included."""
        return self.g_per_mm * self.wire_per_ring_mm

    @property
    def coil_inner_mm(self) -> float:
        """Inside of a coil that, cut straight and lapped, gives the ring wanted."""
        return self.inner_mm + (self.lap_mm + self.kerf_mm) / math.pi

    @property
    def mandrel_mm(self) -> float:
        return coil.mandrel(self.wire_mm, self.coil_inner_mm, self.springback)

    @property
    def rivet_wire_mm(self) -> float | None:
        return None if self.rivet is None else float(self.rivet["rivet_wire_mm"])

    def rings_per_coil(self, length_mm: float) -> int:
        """Rings of a coil as wide inside as the finished ring, each cut with its own lap."""
        return coil.rings(self.wire_per_coil_mm(length_mm), self.wire_per_ring_mm)

    def wire_per_coil_mm(self, length_mm: float) -> float:
        return coil.turns(self.wire_mm, length_mm) * self.turn_mm

    def straight_cut(self, length_mm: float) -> dict[str, Any]:
        """The other way: a coil wound wider by (lap + kerf)/pi and cut along one line, a ring a turn."""
        inner, n = self.coil_inner_mm, coil.turns(self.wire_mm, length_mm)
        return {
            "coil_inner_mm": inner,
            "rings_per_coil": coil.rings(n, 1.0),
            "wire_per_coil_mm": n * coil.turn(self.wire_mm, inner),
        }


def _joint(f: Fields, ring: Ring) -> None:
    """Kind, lap and kerf: only a riveted ring has a lap."""
    ring.kind = f.choice("kind", KINDS, "riveted")
    most = math.pi * (ring.inner_mm + ring.wire_mm) / 2
    if f.has("lap_mm"):
        ring.lap_mm = f.number("lap_mm", 0, most, example="2.4")
        if ring.lap_mm and ring.kind != "riveted":
            raise f.bad("lap_mm", "A " + ring.kind + " ring has no lap: give 0, or leave it out.")
    elif ring.kind == "riveted":
        ring.lap_mm = 2 * ring.wire_mm
        ring.warnings.append(
            "No lap was given: twice the wire is taken, " + plain(ring.lap_mm) + " mm (common practice)."
        )
    ring.kerf_mm = f.number("kerf_mm", 0, 5, 0.0, example="0.5")


def _tight(f: Fields, ring: Ring) -> None:
    """Four in one needs room for four wires in each ring."""
    if ring.aspect + coil.HAIR < TIGHTEST:
        least = plain(math.ceil(TIGHTEST * ring.wire_mm * 100 - 1e-9) / 100)
        easy = plain(math.ceil(SUPPLE * ring.wire_mm * 10 - 1e-9) / 10)
        why = "Too tight for four in one: this wire needs an inside of " + least + " mm at the very least"
        raise f.bad("inner_mm", why + ", and " + easy + " mm to move freely.")
    if ring.aspect + coil.HAIR < SUPPLE:
        easy = plain(math.ceil(SUPPLE * ring.wire_mm * 10 - 1e-9) / 10)
        why = "Stiff: the inside is under 3.5 wires wide, and the lap and rivet take more; "
        ring.warnings.append(why + easy + " mm or more would be supple (workshop judgement).")
    if ring.aspect > CHECKED_TO + coil.HAIR:
        ring.warnings.append(
            "Very open: the pitches of geometry were checked up to an inside of 8 wires; measure a swatch."
        )


def _metal(f: Fields, ring: Ring, weighed: bool) -> None:
    ring.metal, ring.density = density_of(f)
    if weighed and not ring.density:
        raise f.bad("metal", "Name the metal or give density_g_cm3, for example 7.85; known are: " + names() + ".")
    ring.zinc = is_zinced(f, ring.metal)
    if ring.zinc:
        ring.warnings.append(ZINC_CAUTION + " Source: " + ZINC_SOURCE + ".")


def _measured(f: Fields, ring: Ring) -> None:
    """Spring-back from one coil of the maker's own: its mandrel and its inside once let go."""
    if not f.has("mandrel_mm_used") and not f.has("coil_inner_mm"):
        return
    used = f.number("mandrel_mm_used", 0.5, 200, example="8.5")
    came = f.number("coil_inner_mm", 0.5, 200, example="8.7")
    if not used <= came <= 1.5 * used:
        raise f.bad(
            "coil_inner_mm",
            "A coil let go opens, by half at most: " + plain(came) + " does not fit a mandrel of " + plain(used) + ".",
        )
    ring.springback = coil.springback(ring.wire_mm, used, came)


def _rivet(f: Fields, ring: Ring) -> None:
    ring.rivet = rivet_of(f, ring.wire_mm, ring.density) if ring.kind == "riveted" else None
    if f.has("rivet_mm") and ring.kind != "riveted":
        raise f.bad("rivet_mm", "A " + ring.kind + " ring has no rivet: leave this out.")


def ring_of(f: Fields, weighed: bool = True) -> Ring:
    """The ring described by these fields. `weighed`: a metal or a density must be said.

    Raises BadField, also for a ring too tight for four in one.
    """
    ring = Ring(
        f.number("wire_mm", 0.1, 10, example="1.6"),
        f.number("inner_mm", 0.3, 200, example="8"),
    )
    _tight(f, ring)
    _joint(f, ring)
    _metal(f, ring, weighed)
    _rivet(f, ring)
    ring.mandrel_length_mm = f.maybe("mandrel_length_mm", 2 * ring.wire_mm, 5000, example="200") or 0.0
    ring.reel_kg = f.maybe("reel_kg", 0.001, 10000, example="5") or 0.0
    _measured(f, ring)
    return ring


LIKE = '{"wire_mm": 1.6, "inner_mm": 8, "metal": "steel"}'
BESIDE = ("mandrel_length_mm", "kerf_mm", "reel_kg", "mandrel_mm_used", "coil_inner_mm")


def ring_beside(q: Fields, weighed: bool = True) -> Ring:
    """The question's `ring`; what belongs to the bench may stand beside it and goes first."""
    part = q.part("ring", like=LIKE)
    beside = [name for name in BESIDE if q.has(name)]
    return ring_of(part.joined({n: q.get(n) for n in beside}, {n: q.at(n) for n in beside}), weighed)


def _coil(ring: Ring) -> dict[str, Any]:
    """What one coil gives; nulls where the mandrel's length is not said."""
    length = ring.mandrel_length_mm
    return {
        "rings_per_coil": ring.rings_per_coil(length) if length else None,
        "wire_per_coil_mm": ring.wire_per_coil_mm(length) if length else None,
        "straight_cut": ring.straight_cut(length) if length else None,
    }


def answer(q: Fields) -> dict[str, Any]:
    """`ring` with its metal; `mandrel_length_mm`, `kerf_mm`, `reel_kg` in the ring or beside it."""
    ring = ring_beside(q)
    out = _coil(ring)
    out["wire_mm"] = ring.wire_mm
    out["inner_mm"] = ring.inner_mm
    out["lap_mm"] = ring.lap_mm
    out["wire_per_ring_mm"] = ring.wire_per_ring_mm
    out["turn_mm"] = ring.turn_mm
    out["mass_g"] = ring.mass_g
    out["aspect"] = ring.aspect
    out["outer_mm"] = ring.outer_mm
    out["coil_inner_mm"] = ring.coil_inner_mm
    out["mandrel_mm"] = ring.mandrel_mm
    out["springback_measured"] = ring.springback != 0
    out["rings_per_kg"] = 1000 / ring.mass_g
    out["rings_per_reel"] = coil.rings(1000 * ring.reel_kg, ring.cut_g) if ring.reel_kg else None
    out["rivet_wire_mm"] = ring.rivet_wire_mm
    out["rivet"] = ring.rivet
    out["metal"] = ring.metal
    out["density_g_cm3"] = ring.density
    out["kind"] = ring.kind
    out["zinc"] = ring.zinc
    out["warnings"] = ring.warnings
    return out


def answer_mandrel(q: Fields) -> dict[str, Any]:
    """The other way round: the ring that a mandrel gives, lapped and with the spring-back measured. All in mm."""
    f = q.part("ring")
    ring = Ring(f.number("wire_mm", 0.1, 10, example="1.6"), f.number("mandrel_mm", 0.3, 200, example="8"))
    _joint(f, ring)
    _measured(f, ring)
    came = coil.opened(ring.wire_mm, ring.inner_mm, ring.springback)
    if came is None:
        raise f.bad("mandrel_mm", "This wire, as measured, springs open on so thick a mandrel: measure it again.")
    inner = came - (ring.lap_mm + ring.kerf_mm) / math.pi
    if inner <= 0:
        raise f.bad("mandrel_mm", "The lap leaves no ring: take a thicker mandrel or a shorter lap.")
    return {"coil_inner_mm": came, "inner_mm": inner, "springback_measured": ring.springback != 0}
