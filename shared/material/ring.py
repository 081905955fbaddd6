"""One ring: its wire, mass and aspect, and what a coil, a kilogram and a reel give.

Lengths in mm, masses in g, density in g/cm3. There are two ways from the coil to the ring:

- `overlap`: the coil is as wide inside as the ring. Each ring is cut off with its lap L, so it takes
  turn + L + kerf of the coil's wire, and a coil gives floor(coil's wire / that) rings. Notched
  cutters work so (common practice, no published source); it is the default.
- `straight`: the coil is cut along one line, so each ring takes one turn of the coil, and a coil
  gives its whole turns, floor(length / wire - 1). Lapping then closes the ring: a circle of
  pi (D + d) less lap and kerf is one of D - (L + kerf) / pi inside, so the coil must be wider than
  the ring by (L + kerf) / pi.

Mass: m = rho pi d^2 / 4 * (wire taken of the coil - kerf), without the rivet. Derived here; the
helix is coil.py's.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.sentences import sentence
from . import coil
from .metals import BARE, NO_METAL, coating_of, density_of, names
from .rivet import rivet_of

if TYPE_CHECKING:
    from typing import Any

TIGHTEST = 2.98  # rigid round rings, four in one: locked below (contact search, derived)
# below this the lap and the rivet take up the play (workshop judgement, no published source)
SUPPLE = 3.5
CHECKED_TO = 8.0  # the pitch formulas were fitted for aspects up to here
KINDS = ("riveted", "butted", "solid")
CUTS = ("overlap", "straight")


class Ring:
    """A ring as planned, lengths in mm. `density` (g/cm3) 0 stands for a metal not named: then
    masses are 0 too.
    """

    def __init__(
        self, wire_mm: float, inner_mm: float, lap_mm: float = 0.0, kerf_mm: float = 0.0
    ) -> None:
        self.wire_mm = wire_mm
        self.inner_mm = inner_mm
        self.lap_mm = lap_mm
        self.kerf_mm = kerf_mm
        self.kind = "riveted"
        self.cut = "overlap"
        self.metal = ""
        self.density = 0.0
        self.coating = NO_METAL
        self.rivet: dict[str, Any] | None = None
        self.mandrel_length_mm = 0.0  # 0 where not given, and so for the reel
        self.reel_kg = 0.0
        self.springback = 0.0  # change of curvature when the coil is let go, 1/mm
        self.warnings: list[str] = []

    @property
    def zinc(self) -> bool:
        """Never heated: zinc-coated, or not known to be bare."""
        return self.coating not in (BARE, NO_METAL)

    @property
    def outer_mm(self) -> float:
        """Outside of the closed ring."""
        return self.inner_mm + 2 * self.wire_mm

    @property
    def aspect(self) -> float:
        """Inside over wire thickness: the aspect ratio, no unit."""
        return self.inner_mm / self.wire_mm

    @property
    def coil_inner_mm(self) -> float:
        """Inside of the coil to be wound, once let go."""
        return self.inner_mm + (
            (self.lap_mm + self.kerf_mm) / math.pi if self.cut == "straight" else 0.0
        )

    @property
    def mandrel_mm(self) -> float:
        """The mandrel to wind that coil on, spring-back allowed for where it was measured."""
        return coil.mandrel_for(self.wire_mm, self.coil_inner_mm, self.springback)

    @property
    def turn_mm(self) -> float:
        """Wire in one turn of that coil."""
        return coil.turn_length(self.wire_mm, self.coil_inner_mm)

    @property
    def wire_per_ring_mm(self) -> float:
        """What one ring takes of the coil's wire."""
        return self.turn_mm + (0.0 if self.cut == "straight" else self.lap_mm + self.kerf_mm)

    @property
    def g_per_mm(self) -> float:
        """Grams in a millimetre of its wire."""
        return self.density * math.pi * self.wire_mm * self.wire_mm / 4 / 1000

    @property
    def mass_g(self) -> float:
        """The finished ring without its rivet: what the kerf takes is gone."""
        return self.g_per_mm * (self.wire_per_ring_mm - self.kerf_mm)

    @property
    def cut_g(self) -> float:
        """What one ring takes from the reel, kerf included."""
        return self.g_per_mm * self.wire_per_ring_mm

    @property
    def rivet_wire_mm(self) -> float | None:
        """Wire or strip that its rivet takes; None where no rivet was given."""
        return None if self.rivet is None else float(self.rivet["rivet_wire_mm"])

    def rings_per_coil(self, length_mm: float) -> int:
        """Whole rings of a coil of this length."""
        if self.cut == "straight":
            return coil.whole_rings(coil.full_turns(self.wire_mm, length_mm), 1.0)
        return coil.whole_rings(self.wire_per_coil_mm(length_mm), self.wire_per_ring_mm)

    def wire_per_coil_mm(self, length_mm: float) -> float:
        """Wire in a coil of this length."""
        return coil.full_turns(self.wire_mm, length_mm) * self.turn_mm

    def used_per_ring_mm(self, length_mm: float) -> float:
        """What one ring takes from the reel: its own wire and its share of the end of its coil."""
        rings = self.rings_per_coil(length_mm)
        return self.wire_per_coil_mm(length_mm) / rings if rings else self.wire_per_ring_mm

    def other_cut(self) -> Ring:
        """The same ring cut the other way."""
        other = Ring(self.wire_mm, self.inner_mm, self.lap_mm, self.kerf_mm)
        other.kind, other.cut = self.kind, CUTS[1 - CUTS.index(self.cut)]
        other.springback, other.mandrel_length_mm = self.springback, self.mandrel_length_mm
        return other


def _joint(f: Fields, ring: Ring) -> None:
    """Kind, lap, kerf and way of cutting: only a riveted ring has a lap."""
    ring.kind = f.choice("kind", KINDS, "riveted")
    most = math.pi * (ring.inner_mm + ring.wire_mm) / 2
    if f.has("lap_mm"):
        ring.lap_mm = f.number("lap_mm", 0, most, example="2.4")
        if ring.lap_mm and ring.kind != "riveted":
            raise f.bad("lap_mm", sentence("material.no_lap_" + ring.kind))
    elif ring.kind == "riveted":
        ring.lap_mm = 2 * ring.wire_mm
        ring.warnings.append(sentence("material.lap_assumed", lap_mm=plain(ring.lap_mm)))
    ring.kerf_mm = f.number("kerf_mm", 0, 5, 0.0, example="0.5")
    ring.cut = f.choice("cut", CUTS, "overlap" if ring.lap_mm else "straight")
    if ring.cut == "overlap" and ring.kind != "riveted":
        raise f.bad("cut", sentence("material.no_overlap_" + ring.kind))


def _check_aspect(f: Fields, ring: Ring) -> None:
    """Four in one needs room for four wires in each ring."""
    aspect = ring.aspect
    easy = plain(math.ceil(SUPPLE * ring.wire_mm * 10 - 1e-9) / 10)
    if aspect + coil.ROUNDING_SLACK < TIGHTEST:
        least = plain(math.ceil(TIGHTEST * ring.wire_mm * 100 - 1e-9) / 100)
        why = sentence("material.ring_too_tight", least_mm=least, easy_mm=easy)
        raise f.bad("inner_mm", why)
    if aspect + coil.ROUNDING_SLACK < SUPPLE:
        ring.warnings.append(sentence("material.ring_stiff", wires=plain(SUPPLE), easy_mm=easy))
    if aspect > CHECKED_TO + coil.ROUNDING_SLACK:
        ring.warnings.append(sentence("material.ring_open", wires=plain(CHECKED_TO)))


def _metal(f: Fields, ring: Ring, weighed: bool) -> None:
    ring.metal, ring.density = density_of(f)
    if weighed and not ring.density:
        raise f.bad("metal", sentence("material.metal_missing", metals=names()))
    ring.coating, caution = coating_of(f, ring.metal)
    if caution:
        ring.warnings.append(caution)


def _read_springback(f: Fields, ring: Ring) -> None:
    """Spring-back from one coil of the maker's own: its mandrel and its inside once let go."""
    if not f.has("mandrel_mm_used") and not f.has("coil_inner_mm"):
        return
    used = f.number("mandrel_mm_used", 0.5, 200, example="8.5")
    released = f.number("coil_inner_mm", 0.5, 200, example="8.7")
    if not used <= released <= 1.5 * used:
        why = sentence("material.springback_absurd", inner_mm=plain(released), used_mm=plain(used))
        raise f.bad("coil_inner_mm", why)
    ring.springback = coil.springback(ring.wire_mm, used, released)


def _rivet(f: Fields, ring: Ring) -> None:
    ring.rivet = rivet_of(f, ring.wire_mm, ring.density) if ring.kind == "riveted" else None
    if f.has("rivet_mm") and ring.kind != "riveted":
        raise f.bad("rivet_mm", sentence("material.no_rivet_" + ring.kind))


def ring_of(f: Fields, weighed: bool = True) -> Ring:
    """The ring described by these fields. `weighed`: a metal or a density must be given.

    Raises BadField, also for a ring too tight for four in one.
    """
    ring = Ring(
        f.number("wire_mm", 0.1, 10, example="1.6"),
        f.number("inner_mm", 0.3, 200, example="8"),
    )
    _check_aspect(f, ring)
    _joint(f, ring)
    _metal(f, ring, weighed)
    _rivet(f, ring)
    ring.mandrel_length_mm = (
        f.maybe("mandrel_length_mm", 2 * ring.wire_mm, 5000, example="200") or 0.0
    )
    ring.reel_kg = f.maybe("reel_kg", 0.001, 10000, example="5") or 0.0
    _read_springback(f, ring)
    return ring


LIKE = '{"wire_mm": 1.6, "inner_mm": 8, "metal": "steel"}'
BENCH_FIELDS = (
    "mandrel_length_mm",
    "cut",
    "kerf_mm",
    "reel_kg",
    "mandrel_mm_used",
    "coil_inner_mm",
)


def ring_beside(q: Fields, weighed: bool = True) -> Ring:
    """The question's `ring`; what belongs to the bench may stand beside it and goes first.

    Raises BadField.
    """
    part = q.part("ring", like=LIKE)
    beside = [name for name in BENCH_FIELDS if q.has(name)]
    return ring_of(
        part.joined({n: q.get(n) for n in beside}, {n: q.at(n) for n in beside}), weighed
    )


def _coil(ring: Ring) -> dict[str, Any]:
    """What is wound and cut for one way of cutting; the coil's figures are null where its length is
    not given.
    """
    length = ring.mandrel_length_mm
    return {
        "cut": ring.cut,
        "wire_per_ring_mm": ring.wire_per_ring_mm,
        "turn_mm": ring.turn_mm,
        "coil_inner_mm": ring.coil_inner_mm,
        "mandrel_mm": ring.mandrel_mm,
        "rings_per_coil": ring.rings_per_coil(length) if length else None,
        "wire_per_coil_mm": ring.wire_per_coil_mm(length) if length else None,
    }


def answer(q: Fields) -> dict[str, Any]:
    """`ring` with its metal; `mandrel_length_mm`, `kerf_mm`, `reel_kg` in the ring or beside it.

    Mandrel, coil and wire are of the ring's way of cutting; `other_cut` holds those of
    the other.
    """
    ring = ring_beside(q)
    out = _coil(ring)
    out["other_cut"] = _coil(ring.other_cut()) if ring.lap_mm else None
    out["wire_mm"] = ring.wire_mm
    out["inner_mm"] = ring.inner_mm
    out["lap_mm"] = ring.lap_mm
    out["mass_g"] = ring.mass_g
    out["aspect"] = ring.aspect
    out["outer_mm"] = ring.outer_mm
    out["springback_measured"] = ring.springback != 0
    out["rings_per_kg"] = 1000 / ring.mass_g
    out["rings_per_reel"] = (
        coil.whole_rings(1000 * ring.reel_kg, ring.cut_g) if ring.reel_kg else None
    )
    out["rivet_wire_mm"] = ring.rivet_wire_mm
    out["rivet"] = ring.rivet
    out["metal"] = ring.metal
    out["density_g_cm3"] = ring.density
    out["kind"] = ring.kind
    out["zinc"] = ring.zinc
    out["coating"] = ring.coating or None
    out["warnings"] = ring.warnings
    return out


def answer_mandrel(q: Fields) -> dict[str, Any]:
    """The other way round: the ring that a mandrel gives, by its way of cutting and the spring-back
    measured; mm.
    """
    f = q.part("ring")
    ring = Ring(
        f.number("wire_mm", 0.1, 10, example="1.6"), f.number("mandrel_mm", 0.3, 200, example="8")
    )
    _joint(f, ring)
    _read_springback(f, ring)
    released = coil.released_inner(ring.wire_mm, ring.inner_mm, ring.springback)
    if released is None:
        raise f.bad("mandrel_mm", sentence("material.coil_springs_open"))
    inner = released - ((ring.lap_mm + ring.kerf_mm) / math.pi if ring.cut == "straight" else 0.0)
    if inner <= 0:
        raise f.bad("mandrel_mm", sentence("material.lap_leaves_no_ring"))
    return {
        "cut": ring.cut,
        "coil_inner_mm": released,
        "inner_mm": inner,
        "springback_measured": ring.springback != 0,
    }
