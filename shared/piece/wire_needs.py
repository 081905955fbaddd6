"""Wire, rivets and reels of a piece: metres and kilograms by kind of wire, from the rings started.

What leaves the reel is more than what goes into rings: the end of a coil too short for a ring is lost,
so each ring bears its share of its coil's end. With N rings started, w wire in a ring, W wire in a
coil of R rings, and a reserve of p percent for kinked starts, wire held in the mandrel and coils that
fail:

    into rings  N w      lost at ends  N (W / R - w)      to buy  N W / R (1 + p / 100)

Derived here; the reserve is common practice, no published source, and the maker's own to replace.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields
from ..base.sentences import sentence
from ..material.metals import BARE, NO_METAL, UNKNOWN, ZINC
from ..material.wire import g_per_m
from .bill_of_materials import mandrel_of
from .parts import RING_STEPS

if TYPE_CHECKING:
    from typing import Any

    from .bill_of_materials import Batch, Bill

    Wire = dict[str, Any]

ZINC_BY_COATING: dict[str, bool | None] = {ZINC: True, BARE: False, UNKNOWN: None, NO_METAL: None}
RESERVE_PERCENT = 5.0


def starts_per_ring(bill: Bill, start: dict[str, int]) -> float:
    """How many times the rings of the finished piece are started, for losses; 0 where rings are
    bought ready.
    """
    for step in RING_STEPS:
        if step in bill.order and bill.need.get(step, 0) > bill.direct.get(step, 0):
            return start[step] / bill.need[step]
    return 1.0 if "wind" in bill.order or "cut" in bill.order else 0.0


def reserve_of(q: Fields) -> tuple[float, str]:
    """(percent bought beyond what is used up, where that figure comes from)."""
    if q.has("reserve_percent"):
        return q.number("reserve_percent", 0, 100, example="5"), sentence("piece.source_own")
    return RESERVE_PERCENT, sentence("piece.source_practice")


def _row(wires: list[Wire], batch: Batch) -> Wire:
    ring = batch.ring
    for wire in wires:
        alike = wire["metal"] == ring.metal and wire["zinc"] == ring.zinc
        if alike and (wire["wire_mm"], wire["density_g_cm3"]) == (ring.wire_mm, ring.density):
            return wire
    new = {
        "metal": ring.metal,
        "wire_mm": ring.wire_mm,
        "density_g_cm3": ring.density,
        "zinc": ring.zinc,
    }
    new["coating"] = ring.coating or None
    new["rings"], new["reel_kg"] = 0, None
    new["rings_m"] = new["ends_m"] = 0.0
    wires.append(new)
    return new


def wires_of(bill: Bill, times: float, reel_kg: float, reserve: float) -> list[Wire]:
    """The wire by kind: `[{metal, wire_mm, density_g_cm3, zinc, rings, rings_m, ends_m, metres,
    buy_m, ..}]`.

    `rings_m` goes into rings, `ends_m` is lost at the ends of coils, `metres` is both: what the reel
    loses. With `reserve_m` that is `buy_m`; `kg`, `reserve_kg`, `buy_kg` are the same by weight, null
    for a metal without density; `reels` holds `buy_kg` (null without a reel's weight too).
    """
    out: list[Wire] = []
    for batch in bill.batches:
        if not batch.made or not batch.rings or not times:
            continue
        wire, ring, started = _row(out, batch), batch.ring, times * batch.rings
        wire["rings"] += batch.rings
        wire["rings_m"] += started * ring.wire_per_ring_mm / 1000
        wire["ends_m"] += (
            started * (ring.used_per_ring_mm(mandrel_of(ring)) - ring.wire_per_ring_mm) / 1000
        )
        wire["reel_kg"] = ring.reel_kg or reel_kg or None
    for wire in out:
        _bought(wire, reserve)
    return out


def _kg(metres: float, wire_mm: float, density_g_cm3: float | None) -> float | None:
    """Weight of so much wire; None where its metal has no density given."""
    return metres * g_per_m(wire_mm, density_g_cm3) / 1000 if density_g_cm3 else None


def _bought(wire: Wire, reserve: float) -> None:
    """Adds up one wire: used, in reserve, to buy, and the reels that hold it."""
    wire["metres"] = wire["rings_m"] + wire["ends_m"]
    wire["reserve_percent"] = reserve
    wire["reserve_m"] = wire["metres"] * reserve / 100
    wire["buy_m"] = wire["metres"] + wire["reserve_m"]
    for name, metres in (("kg", "metres"), ("reserve_kg", "reserve_m"), ("buy_kg", "buy_m")):
        wire[name] = _kg(wire[metres], wire["wire_mm"], wire["density_g_cm3"])
    known = wire["reel_kg"] and wire["buy_kg"] is not None
    wire["reels"] = math.ceil(wire["buy_kg"] / wire["reel_kg"] - 1e-9) if known else None


def sizes_of(bill: Bill, times: float, reserve: float) -> list[Wire]:
    """The rings by size, as `stock` takes them: `[{metal, wire_mm, inner_mm, kind, rings, metres,
    reserve_m, kg}]`.

    `metres` and `kg` are what the reel loses, ends of coils included; `kg` is null for a metal
    without density, `zinc` where the coating is not known.
    """
    out = []
    for batch in bill.batches:
        ring, rings = batch.ring, batch.rings
        size: Wire = {"metal": ring.metal, "density_g_cm3": ring.density, "wire_mm": ring.wire_mm}
        size["inner_mm"], size["kind"], size["rings"], size["zinc"] = (
            ring.inner_mm,
            ring.kind,
            rings,
            ZINC_BY_COATING[ring.coating],
        )
        wound = times if batch.made else 0.0
        size["metres"] = wound * rings * ring.used_per_ring_mm(mandrel_of(ring)) / 1000
        size["reserve_m"] = size["metres"] * reserve / 100
        size["kg"] = _kg(size["metres"], ring.wire_mm, ring.density)
        out.append(size)
    return out


def rivets_of(bill: Bill, started: int) -> dict[str, Any]:
    """Rivets of the finished piece, to be made with losses, and their wire where a ring has its
    rivet given.
    """
    good, metres, grams, known = 0, 0.0, 0.0, True
    for batch in bill.batches:
        if not batch.riveted or not batch.rings:
            continue
        good += batch.rings
        if batch.ring.rivet is None:
            known = False
            continue
        metres += batch.rings * batch.ring.rivet["rivet_wire_mm"] / 1000
        grams += batch.rings * batch.ring.rivet["mass_g"]
    known = known and good > 0
    share = started / good if good else 0.0
    return {
        "rivets": good,
        "rivets_start": started,
        "rivet_wire_m": metres * share if known else None,
        "rivets_g": grams if known else None,
    }


def consumables_of(q: Fields, rings: float) -> list[dict[str, Any]]:
    """`consumables: [{name, unit, per_1000_rings}]` by the maker's own use, for the rings started."""
    out = []
    for part in q.parts("consumables", most=100):
        per = part.number("per_1000_rings", 0, 10**6, example="1.5")
        unit = part.text("unit", "", longest=20)
        out.append(
            {
                "name": part.text("name", longest=80, example="gas"),
                "unit": unit,
                "amount": per * rings / 1000,
            }
        )
    return out
