"""Wire, rivets and reels of a piece: metres and kilograms by kind of wire, from the rings to be started."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from .fields import Fields
from .parts import RING_STEPS

if TYPE_CHECKING:
    from typing import Any

    from .bill import Batch, Bill

    Wire = dict[str, Any]


def more(bill: Bill, start: dict[str, int]) -> float:
    """How many times the rings of the finished piece are started, for losses; 0 where rings are bought ready."""
    for step in RING_STEPS:
        if step in bill.order and bill.need.get(step, 0) > bill.direct.get(step, 0):
            return start[step] / bill.need[step]
    return 1.0 if "wind" in bill.order or "cut" in bill.order else 0.0


def _row(wires: list[Wire], batch: Batch) -> Wire:
    ring = batch.ring
    for wire in wires:
        if (wire["metal"], wire["wire_mm"], wire["density_g_cm3"]) == (ring.metal, ring.wire_mm, ring.density):
            return wire
    new = {"metal": ring.metal, "wire_mm": ring.wire_mm, "density_g_cm3": ring.density, "metres": 0.0, "kg": 0.0}
    new["rings"] = 0
    wires.append(new)
    return new


def wires_of(bill: Bill, times: float, reel_kg: float) -> list[Wire]:
    """`[{metal, wire_mm, density_g_cm3, rings, metres, kg, reels}]`; `reels` is null without a reel's weight."""
    out: list[Wire] = []
    for batch in bill.batches:
        if not batch.made or not batch.rings or not times:
            continue
        wire = _row(out, batch)
        wire["rings"] += batch.rings
        wire["metres"] += times * batch.rings * batch.ring.wire_per_ring_mm / 1000
        wire["kg"] += times * batch.rings * batch.ring.cut_g / 1000
        wire["reel_kg"] = batch.ring.reel_kg or reel_kg or None
    for wire in out:
        wire["reels"] = math.ceil(wire["kg"] / wire["reel_kg"] - 1e-9) if wire["reel_kg"] else None
    return out


def sizes_of(bill: Bill, times: float) -> list[Wire]:
    """The rings by size, as `stock` takes them: `[{metal, wire_mm, inner_mm, kind, rings, metres, kg}]`."""
    out = []
    for batch in bill.batches:
        ring, rings = batch.ring, batch.rings
        size: Wire = {"metal": ring.metal, "density_g_cm3": ring.density, "wire_mm": ring.wire_mm}
        size["inner_mm"], size["kind"], size["rings"] = ring.inner_mm, ring.kind, rings
        wound = times if batch.made else 0.0
        size["metres"] = wound * rings * ring.wire_per_ring_mm / 1000
        size["kg"] = wound * rings * ring.cut_g / 1000
        out.append(size)
    return out


def rivets_of(bill: Bill, started: int) -> dict[str, Any]:
    """Rivets of the finished piece, to be made with losses, and their wire where a ring says its rivet."""
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
        out.append({"name": part.text("name", longest=80, example="gas"), "unit": unit, "amount": per * rings / 1000})
    return out
