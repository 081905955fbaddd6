"""The shelf day by day: so many rings an evening, heaps before reels, piece after piece; the dates
that are said.

Source of every expectation here: derived, by taking ring after ring off the shelf and writing down
the day.
"""

from __future__ import annotations

import json
import math
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import answer

TODAY = date(2026, 11, 25)
FINE = {
    "wire_mm": 1.2,
    "inner_mm": 6.5,
    "lap_mm": 3,
    "metal": "mild steel",
    "mandrel_length_mm": 260,
}
STOUT = {
    "wire_mm": 1.6,
    "inner_mm": 8.5,
    "lap_mm": 4,
    "metal": "mild steel",
    "mandrel_length_mm": 260,
}
WIDE = {
    "wire_mm": 1.6,
    "inner_mm": 10,
    "lap_mm": 4,
    "metal": "mild steel",
    "mandrel_length_mm": 120,
}
RINGS = {"fine": FINE, "stout": STOUT, "wide": WIDE}


def ask(name, **question):
    got = json.loads(answer(json.dumps({"ask": name, **question})))
    assert got["ok"], got["error"]
    return got


def grams_of(metres, wire_mm, density):
    return metres * density * math.pi * wire_mm**2 / 4


def planned(parts):
    """One piece of so many rings of each size: what its plan hands to the shelf."""
    panels = [{"ring": RINGS[name], "shape": {"kind": "count", "rings": n}} for name, n in parts]
    return ask("piece", panels=panels)["sizes"]


class Shelf:
    """Wire in metres by its thickness, finished rings in heaps by size; `lacked` is the day of the
    first lack.
    """

    def __init__(self, wire, heaps):
        self.wire, self.heaps = dict(wire), dict(heaps)
        self.made = 0
        self.lacked = {}

    def ring(self, size, metres, pace):
        """One more ring into the piece: off its heap, else cut from the wire; what lacks is
        brought, and noted.
        """
        key = size["wire_mm"], size["inner_mm"]
        if self.heaps.get(key, 0):
            self.heaps[key] -= 1
        elif self.wire[size["wire_mm"]] < metres:
            day = TODAY + timedelta(days=self.made // pace)
            self.lacked.setdefault(size["wire_mm"], day)
        else:
            self.wire[size["wire_mm"]] -= metres
        self.made += 1

    def work(self, pieces, pace):
        for sizes in pieces:
            for size in sizes:
                for _ in range(size["rings"]):
                    self.ring(size, size["metres"] / size["rings"], pace)


part = st.tuples(st.sampled_from(sorted(RINGS)), st.integers(1, 900))


@settings(max_examples=60, deadline=None)
@given(
    pieces=st.lists(
        st.lists(part, min_size=1, max_size=3, unique_by=lambda p: p[0]), min_size=1, max_size=4
    ),
    fine=st.integers(0, 40),
    stout=st.integers(0, 60),
    heaps=st.dictionaries(st.sampled_from(sorted(RINGS)), st.integers(1, 800)),
    pace=st.integers(4, 90),
    delivery=st.integers(0, 20),
)
def test_wire_lacks_on_the_day_that_is_said(pieces, fine, stout, heaps, pace, delivery):
    plans = [planned(parts) for parts in pieces]
    density = plans[0][0]["density_g_cm3"]
    # a third of a millimetre more keeps both ways off the stroke of midnight
    wire = {1.2: fine + 1 / 3000, 1.6: stout + 1 / 3000}
    shelf = Shelf(
        wire, {(RINGS[name]["wire_mm"], RINGS[name]["inner_mm"]): n for name, n in heaps.items()}
    )
    shelf.work(plans, pace)
    said = ask(
        "stock",
        today=TODAY.isoformat(),
        reels=[
            {"wire_mm": mm, "metal": "mild steel", "left_g": grams_of(part * metres, mm, density)}
            for mm, metres in wire.items()
            for part in (0.25, 0.75)  # two reels of each
        ],
        rings=[{"ring": RINGS[name], "n": n} for name, n in sorted(heaps.items())],
        pieces=[{"id": f"p{i}", "wires": sizes} for i, sizes in enumerate(plans)],
        pace={"rings_per_day": pace},
        delivery_days=delivery,
    )
    for row in said["wires"]:
        day = shelf.lacked.get(row["wire_mm"])
        assert row["runs_out"] == (day and day.isoformat()), (row, shelf.lacked)
        assert row["reaches"] == (day is None)
        if day:
            order = max(TODAY, day - timedelta(days=delivery))
            assert row["order_by"] == order.isoformat()
            assert row["late_days"] == max(0, (TODAY - (day - timedelta(days=delivery))).days)
        else:
            assert row["order_by"] is None
            assert row["left_m"] == pytest.approx(shelf.wire[row["wire_mm"]], abs=1e-3)


def test_rings_on_hand_put_the_day_off_by_the_evenings_they_stand_for():
    """500 g of 1.6 mm wire (31.8 m) and 6,000 rings of it ready, 9,000 to make, 60 an evening: 115
    days, not 15.
    """
    ring = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron"}
    sizes = ask("piece", ring=ring, panels=[{"shape": {"kind": "count", "rings": 9000}}])["sizes"]
    shelf = Shelf({1.6: 500 / grams_of(1, 1.6, 7.87)}, {(1.6, 8.0): 6000})
    shelf.work([sizes], 60)
    said = ask(
        "stock",
        today=TODAY.isoformat(),
        reels=[{"wire_mm": 1.6, "metal": "iron", "gross_g": 500, "empty_g": 0}],
        rings=[{"ring": ring, "n": 6000}],
        pieces=[{"id": "a", "wires": sizes}],
        pace={"rings_per_day": 60},
        delivery_days=14,
    )
    (row,) = said["wires"]
    assert (
        row["runs_out"]
        == shelf.lacked[1.6].isoformat()
        == (TODAY + timedelta(days=115)).isoformat()
    )
    assert row["order_by"] == (TODAY + timedelta(days=101)).isoformat()
    assert row["short_m"] == pytest.approx(
        3000 * sizes[0]["metres"] / 9000 - 500 / grams_of(1, 1.6, 7.87), rel=1e-6
    )


@settings(max_examples=60, deadline=None)
@given(
    pieces=st.lists(
        st.tuples(st.sampled_from([1.2, 1.6]), st.integers(5, 90), st.integers(1, 60)),
        min_size=1,
        max_size=4,
    ),
    held=st.dictionaries(st.sampled_from([1.2, 1.6]), st.integers(0, 120), min_size=2),
    delivery=st.integers(0, 20),
)
def test_with_the_days_of_each_piece_wire_lacks_on_the_day_the_diary_says(pieces, held, delivery):
    """Pieces of (wire, metres, days), one after the other, each taking its wire evenly over its
    days.
    """
    shelf, lacked, day = {mm: metres + 1 / 3000 for mm, metres in held.items()}, {}, 0
    asked = []
    for number, (mm, metres, days) in enumerate(pieces):
        for evening in range(days):
            shelf[mm] -= metres / days
            if shelf[mm] < 0:
                lacked.setdefault(mm, TODAY + timedelta(days=day + evening))
        day += days
        wires = [{"wire_mm": mm, "metal": "mild steel", "metres": metres}]
        asked.append(
            {"id": f"p{number}", "wires": wires, "until": (TODAY + timedelta(days=day)).isoformat()}
        )
    reels = [
        {"wire_mm": mm, "metal": "mild steel", "left_g": grams_of(metres + 1 / 3000, mm, 7.85)}
        for mm, metres in held.items()
    ]
    said = ask("stock", today=TODAY.isoformat(), reels=reels, pieces=asked, delivery_days=delivery)
    for row in said["wires"]:
        lacks = lacked.get(row["wire_mm"])
        assert row["runs_out"] == (lacks and lacks.isoformat())
        assert row["order_by"] == (
            lacks and max(TODAY, lacks - timedelta(days=delivery)).isoformat()
        )


def test_a_later_piece_of_another_wire_moves_no_day_to_order():
    """340 m over 200 days with 100 m held run out on day 58, whatever is worked afterwards."""
    first = {"id": "a", "until": (TODAY + timedelta(days=200)).isoformat()}
    first["wires"] = [{"wire_mm": 1.6, "metal": "mild steel", "metres": 340}]
    second = {"id": "b", "until": (TODAY + timedelta(days=500)).isoformat()}
    second["wires"] = [{"wire_mm": 1.2, "metal": "galvanised steel", "metres": 900}]
    reels = [{"wire_mm": 1.6, "metal": "mild steel", "left_g": grams_of(100, 1.6, 7.85)}]
    for pieces in ([first], [first, second]):
        row, *_ = ask(
            "stock", today=TODAY.isoformat(), reels=reels, pieces=pieces, delivery_days=7
        )["wires"]
        assert row["runs_out"] == (TODAY + timedelta(days=58)).isoformat()


def test_pieces_worked_in_turns_begin_together():
    """Both from today: the second's 100 m over 100 days, 40 m held, run out on day 40, not after
    the first piece.
    """
    day = {n: (TODAY + timedelta(days=n)).isoformat() for n in (0, 50, 100, 40)}
    pieces = [
        {
            "id": "a",
            "from": day[0],
            "until": day[50],
            "wires": [{"wire_mm": 1.2, "metal": "mild steel", "metres": 30}],
        },
        {
            "id": "b",
            "from": day[0],
            "until": day[100],
            "wires": [{"wire_mm": 1.6, "metal": "mild steel", "metres": 100}],
        },
    ]
    reels = [{"wire_mm": 1.6, "metal": "mild steel", "left_g": grams_of(40 + 1 / 3000, 1.6, 7.85)}]
    rows = ask("stock", today=TODAY.isoformat(), reels=reels, pieces=pieces)["wires"]
    assert {row["wire_mm"]: row["runs_out"] for row in rows} == {1.6: day[40], 1.2: day[0]}


def test_a_piece_that_needs_no_more_wire_still_takes_its_evenings():
    """Another size is worked before: 600 wide rings all ready take ten evenings before the fine
    wire is touched.
    """
    ready = ask("piece", ring=WIDE, panels=[{"shape": {"kind": "count", "rings": 600}}])["sizes"]
    wanted = ask("piece", ring=FINE, panels=[{"shape": {"kind": "count", "rings": 600}}])["sizes"]
    said = ask(
        "stock",
        today=TODAY.isoformat(),
        reels=[{"wire_mm": 1.2, "metal": "mild steel", "left_g": 0.001}],
        rings=[{"ring": WIDE, "n": 600}],
        pieces=[{"id": "a", "wires": ready}, {"id": "b", "wires": wanted}],
        pace={"rings_per_day": 60},
    )
    rows = {row["wire_mm"]: row for row in said["wires"]}
    assert rows[1.2]["runs_out"] == (TODAY + timedelta(days=10)).isoformat()
    assert rows[1.6]["runs_out"] is None
