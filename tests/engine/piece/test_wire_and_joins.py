"""Wire to buy, reels, and how far two panels may differ where they are joined."""

from __future__ import annotations

import math

import pytest

from tests.engine.asking import ask

RING = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron", "mandrel_length_mm": 200}
RINGS = {"kind": "count", "rings": 9000}
G_PER_M = 7.87 * math.pi * 1.6**2 / 4  # iron


def wire(**more):
    (only,) = ask("piece", ring=RING, panels=[{"shape": RINGS}], **more)["wires"]
    return only


def test_five_percent_is_kept_in_reserve_where_nobody_says_otherwise():
    got = wire()
    assert got["reserve_percent"] == 5
    assert got["reserve_m"] == pytest.approx(0.05 * got["metres"])
    assert got["buy_m"] == pytest.approx(1.05 * got["metres"])
    assert wire(reserve_percent=0)["buy_m"] == wire()["metres"]


def test_weights_are_metres_times_grams_a_metre():
    got = wire()
    assert got["metres"] == pytest.approx(got["rings_m"] + got["ends_m"])
    for name, metres in (("kg", "metres"), ("reserve_kg", "reserve_m"), ("buy_kg", "buy_m")):
        assert got[name] == pytest.approx(got[metres] * G_PER_M / 1000)


def test_each_ring_bears_its_share_of_its_coils_end():
    """A coil on 200 mm has as many rings as turns of 1.6 mm fit; the rest of its wire is its end."""
    got, ring = wire(), ask("ring", ring=RING)
    assert got["rings_m"] == pytest.approx(9000 * ring["wire_per_ring_mm"] / 1000)
    assert 0 < got["ends_m"] < 9000 * ring["wire_per_ring_mm"] / 1000 / ring["rings_per_coil"]


def test_reels_hold_what_is_bought_and_no_hair_more_takes_another():
    kg = wire()["buy_kg"]
    assert wire()["reels"] is None
    for reel, reels in ((kg, 1), (kg / 2, 2), (kg / 2 * 0.999, 3), (kg * 1.001, 1)):
        assert wire(reel_kg=reel)["reels"] == reels


def test_a_rings_own_reel_goes_before_the_pieces():
    got = ask("piece", ring=RING | {"reel_kg": 2}, panels=[{"shape": RINGS}], reel_kg=500)
    assert got["wires"][0]["reel_kg"] == 2


def test_what_is_used_up_goes_by_the_rings_started():
    gas = {"name": "gas", "unit": "kg", "per_1000_rings": 1.5}
    got = ask("piece", ring=RING, panels=[{"shape": RINGS}], consumables=[gas])
    assert got["consumables"] == [{"name": "gas", "unit": "kg", "amount": pytest.approx(13.5)}]


@pytest.mark.parametrize(
    ("wider", "warned"), [(1.0, 0), (1.019, 0), (1.021, 1), (0.981, 0), (0.979, 1)]
)
def test_pitches_may_differ_by_a_fiftieth_where_panels_are_joined(wider, warned):
    """By the columns where edges meet; the first panel's pitch is the measure."""
    swatch = {"columns": 20, "rows": 20, "width_mm": 146, "height_mm": 136, "state": "relaxed"}
    panels = [
        {"name": name, "swatch": swatch | {"width_mm": 146 * times}, "state": "relaxed", "shape": {"kind": "panel", "rows": 11, "columns": 10}}
        for name, times in (("Front", 1), ("Back", wider))
    ]  # fmt: skip
    got = ask(
        "piece", ring=RING, panels=panels, joins=[{"how": "stacked", "panels": ["Front", "Back"]}]
    )
    assert len([w for w in got["warnings"] if "ring to ring" in w]) == warned
