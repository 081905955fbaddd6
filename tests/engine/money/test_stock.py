"""Stock: wire held against wire wanted, and the day to order, against a plain day-by-day diary."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.ask import reply
from shared.base.errors import BadField

TODAY = date(2026, 11, 25)
G_PER_M = 7.87 * math.pi * 1.2**2 / 4


def stock(**more):
    return reply({"ask": "stock", "today": TODAY.isoformat(), **more})


def reel(metres, wire_mm=1.2):
    return {"wire_mm": wire_mm, "metal": "iron", "left_g": metres * 7.87 * math.pi * wire_mm**2 / 4}


def piece(name, metres, wire_mm=1.2):
    return {"id": name, "wires": [{"wire_mm": wire_mm, "metal": "iron", "metres": metres}]}


def diary(held, pieces, pace):
    """The day on which wire first lacks, drawing a hundredth of a day's metres at a time."""
    worked, step = 0.0, pace / 100
    for thickness, metres in pieces:
        while metres > 1e-9:
            draw = min(step, metres)
            if held[thickness] < draw - 1e-9:
                return (
                    TODAY + timedelta(days=int((worked + held[thickness]) / pace + 1e-9)),
                    thickness,
                )
            held[thickness] -= draw
            metres -= draw
            worked += draw
    return None, None


whole = st.integers(1, 300)


@given(
    whole,
    whole,
    st.lists(st.tuples(st.sampled_from([1.2, 1.6]), whole), min_size=1, max_size=4),
    st.integers(3, 40),
)
def test_wire_runs_out_on_the_day_a_diary_says(thin, thick, wants, pace):
    # a third of a metre keeps both ways off the exact stroke of midnight
    out = stock(
        reels=[reel(thin + 1 / 3), reel(thick + 1 / 3, 1.6)],
        pieces=[piece(str(i), m, d) for i, (d, m) in enumerate(wants)],
        pace={"metres_per_day": pace},
    )
    day, thickness = diary({1.2: thin + 1 / 3, 1.6: thick + 1 / 3}, wants, pace)
    short = {w["wire_mm"]: w["runs_out"] for w in out["wires"] if not w["reaches"]}
    assert (day is None) == (not short)
    assert day is None or short[thickness] == day.isoformat()


@given(st.lists(whole, max_size=4), st.lists(whole, min_size=1, max_size=4))
def test_what_is_held_less_what_is_needed_is_left_or_short(reels, wants):
    out = stock(
        reels=[reel(m) for m in reels], pieces=[piece(str(i), m) for i, m in enumerate(wants)]
    )
    wire = out["wires"][0]
    assert wire["left_m"] - wire["short_m"] == pytest.approx(sum(reels) - sum(wants), abs=1e-6)
    assert wire["reaches"] == (sum(wants) <= sum(reels) + 1e-6)
    assert wire["needed_kg"] == pytest.approx(sum(wants) * G_PER_M / 1000, rel=1e-9)


@given(whole, whole)
def test_wire_wanted_by_the_kilogram_or_by_the_metre_is_the_same(held, metres):
    by_kg = {"id": "a", "wires": [{"wire_mm": 1.2, "metal": "iron", "kg": metres * G_PER_M / 1000}]}
    one, other = (
        stock(reels=[reel(held)], pieces=[p])["wires"][0] for p in (piece("a", metres), by_kg)
    )
    for name in ("held_m", "needed_m", "short_m", "left_m"):
        assert one[name] == pytest.approx(other[name], rel=1e-9, abs=1e-6)


@given(st.integers(0, 60), st.integers(0, 60))
def test_a_longer_delivery_never_lets_you_order_later(days, more):
    ask = {"reels": [reel(100)], "pieces": [piece("a", 500)], "pace": {"metres_per_day": 7}}
    soon, late = (
        stock(delivery_days=days, **ask)["wires"][0],
        stock(delivery_days=days + more, **ask)["wires"][0],
    )
    assert late["order_by"] <= soon["order_by"] and late["late_days"] >= soon["late_days"]
    assert late["order_by"] >= TODAY.isoformat()


RING = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron", "mandrel_length_mm": 200}


def rings_diary(held, heap, pieces, each, pace):
    """The day on which a ring lacks its wire, working ring by ring: those on hand first, then the
    reel.
    """
    worked = 0
    for rings in pieces:
        ready = min(heap, rings)
        heap -= ready
        for n in range(rings):
            if n >= ready:
                if held < each - 1e-9:
                    return TODAY + timedelta(days=int((worked + held / each) / pace + 1e-9))
                held -= each
            worked += 1
    return None


@given(
    st.integers(0, 90),
    st.integers(0, 900),
    st.lists(st.integers(1, 700), min_size=1, max_size=3),
    st.integers(3, 90),
)
def test_rings_on_hand_put_off_the_day_as_a_diary_says(metres, heap, pieces, pace):
    # metres a ring; a third of a millimetre on the reel keeps both ways off the stroke of midnight
    each = 0.0313
    wires = [
        {"wire_mm": 1.2, "metal": "iron", "metres": n * each, "rings": n, "inner_mm": 8}
        for n in pieces
    ]
    for told in ({"rings_per_day": pace}, {"metres_per_day": pace * each}):
        out = stock(
            reels=[reel(metres + 1 / 3000)],
            rings=[{"ring": RING, "n": heap}],
            pieces=[{"id": str(i), "wires": [wire]} for i, wire in enumerate(wires)],
            pace=told,
        )
        day = rings_diary(metres + 1 / 3000, heap, pieces, each, pace)
        assert out["wires"][0]["runs_out"] == (day and day.isoformat())


@given(
    st.integers(1, 3000),
    st.sampled_from([40, 75, 200]),
    st.sampled_from(["overlap", "straight"]),
    st.integers(0, 30),
)
def test_one_wire_figure_goes_from_the_plan_to_the_stock_and_into_the_price(
    rings, length, cut, percent
):
    """What the plan says to buy is what an empty shelf lacks with its reserve, and what the price
    is paid for.
    """
    ring = {**RING, "mandrel_length_mm": length, "cut": cut}
    shape = {"kind": "count", "rings": rings}
    plan = reply(
        {"ask": "piece", "ring": ring, "panels": [{"shape": shape}], "reserve_percent": percent}
    )
    (wire,) = plan["wires"]
    assert wire["buy_m"] == pytest.approx(
        wire["rings_m"] + wire["ends_m"] + wire["reserve_m"], rel=1e-12
    )
    assert (plan["wire_m"], plan["wire_buy_m"]) == (wire["metres"], wire["buy_m"])
    lacking = stock(pieces=[{"id": "a", "wires": plan["sizes"]}])["wires"][0]
    assert lacking["needed_m"] == pytest.approx(wire["metres"], rel=1e-12)
    assert lacking["buy_m"] == pytest.approx(wire["buy_m"], rel=1e-12)
    assert lacking["buy_kg"] == pytest.approx(wire["buy_kg"], rel=1e-12)
    paid = reply(
        {
            "ask": "price",
            "hours": 1,
            "rate": 1,
            "currency": "EUR",
            "wire": [{"kg": wire["buy_kg"], "per_kg": 10**6}],
        }
    )
    assert paid["lines"][1]["p50"] == pytest.approx(lacking["buy_kg"] * 10**6, abs=0.51)
    held = stock(reels=[reel(wire["buy_m"])], pieces=[{"id": "a", "wires": plan["sizes"]}])[
        "wires"
    ][0]
    assert held["reaches"] and held["buy_m"] == pytest.approx(0, abs=1e-9)
    assert held["left_m"] == pytest.approx(wire["reserve_m"], abs=1e-9)


def test_the_sentence_says_what_to_do():
    ask = {"reels": [reel(100)], "pieces": [piece("a", 150)]}
    assert "Give a pace" in stock(**ask)["wires"][0]["why"]
    assert (
        "Order by 2026-12-01"
        in stock(pace={"metres_per_day": 10}, delivery_days=4, **ask)["wires"][0]["why"]
    )
    assert (
        "Order now"
        in stock(pace={"metres_per_day": 10}, delivery_days=40, **ask)["wires"][0]["why"]
    )
    assert "to spare" in stock(reels=[reel(100)], pieces=[piece("a", 60)])["wires"][0]["why"]


def test_wire_that_nothing_wants_is_still_shown():
    assert stock(reels=[reel(100)])["wires"][0]["reaches"] is True


def test_wanted_wire_of_which_there_is_none_is_short_from_today():
    out = stock(pieces=[piece("a", 10)], pace={"metres_per_day": 1}, delivery_days=3)["wires"][0]
    assert (out["held_m"], out["runs_out"], out["late_days"]) == (0, TODAY.isoformat(), 3)


def test_a_pace_so_slow_that_it_takes_a_century_gives_no_date():
    out = stock(reels=[reel(100)], pieces=[piece("a", 150)], pace={"metres_per_day": 0.001})[
        "wires"
    ][0]
    assert out["runs_out"] is None and out["short_m"] == pytest.approx(50)


@pytest.mark.parametrize(
    ("question", "field"),
    [
        ({"reels": [{"metal": "iron"}]}, "reels[0].wire_mm"),
        ({"reels": [{"wire_mm": 1.2, "metal": "iron"}]}, "reels[0].start_g"),
        ({"pieces": [{"wires": [{"wire_mm": 1.2, "metal": "iron"}]}]}, "pieces[0].wires[0].metres"),
        ({"rings": [{"ring": {"wire_mm": 1.2, "inner_mm": 8, "metal": "iron"}}]}, "rings[0].grams"),
        ({"pace": {}}, "pace.metres_per_day"),
        ({"pace": {"rings_per_day": 5}, "pieces": [piece("a", 5)]}, "pieces[0].wires[0].rings"),
        ({"today": "9999-12-31"}, "today"),
        ({"delivery_days": -1}, "delivery_days"),
    ],
)
def test_what_cannot_be_used_is_named(question, field):
    with pytest.raises(BadField) as caught:
        stock(**question)
    assert caught.value.field == field and len(caught.value.why) > 20


@pytest.mark.parametrize(
    ("said", "coating"), [({}, "unknown"), ({"zinc": True}, "zinc"), ({"zinc": False}, "bare")]
)
def test_the_stock_knows_of_a_coating_what_the_plan_knows(said, coating):
    ring = {**RING, "metal": "bright drawn", "density_g_cm3": 7.85, **said}
    plan = reply(
        {"ask": "piece", "ring": ring, "panels": [{"shape": {"kind": "count", "rings": 10}}]}
    )
    assert plan["coating"] == coating
    assert stock(pieces=[{"id": "a", "wires": plan["sizes"]}])["wires"][0]["coating"] == coating


@pytest.mark.parametrize(("short", "said"), [(3.25, "3.3 m"), (0.04, "0.04 m"), (0.004, "0.004 m")])
def test_a_trifle_that_is_missing_is_never_said_as_nothing(short, said):
    wire = stock(reels=[reel(10)], pieces=[piece("a", 10 + short)])["wires"][0]
    assert wire["why"].startswith(said + " are missing")


@pytest.mark.parametrize(
    ("delivery", "spare", "said"),
    [
        (7, 0, "it runs out 2 days before a delivery could come"),
        (7, 7, "it runs out 2 days before a delivery could come"),
        (5, 4, "a delivery would come on the day it runs out"),
        (3, 4, "a delivery would come 2 days before it runs out, instead of the 4 days"),
    ],
)
def test_days_to_spare_are_no_part_of_the_days_that_a_delivery_is_late(delivery, spare, said):
    """10 m at 2 m a day last 5 days."""
    pace = {"metres_per_day": 2}
    late = stock(
        reels=[reel(10)],
        pieces=[piece("a", 20)],
        pace=pace,
        delivery_days=delivery,
        spare_days=spare,
    )
    assert said in late["wires"][0]["why"]


def test_one_day_late_is_said_as_one_day():
    late = stock(
        reels=[reel(10)], pieces=[piece("a", 20)], pace={"metres_per_day": 2}, delivery_days=6
    )["wires"][0]
    assert "it runs out 1 day before a delivery could come" in late["why"]
