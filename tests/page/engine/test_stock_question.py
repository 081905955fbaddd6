"""What the page asks of the shelf: only the wire that is still to be wound."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import STORE, Modules

SIZE = {
    "metal": "steel",
    "wire_mm": 1.2,
    "inner_mm": 8,
    "kind": "riveted",
    "zinc": False,
    "metres": 100,
    "reserve_m": 5,
    "rings": 3001,
}
PLAN = {"sizes": [SIZE], "steps": [{"step": "wind", "start": 20}]}
ASK = f"""async (kept, today) => (await import('/engine/stock-question.js')).stockQuestion(({STORE})(kept), today)"""


def standing(to_go: int) -> dict[str, Any]:
    return {"steps": [{"step": "cut", "to_go": 1}, {"step": "wind", "to_go": to_go}]}


@pytest.mark.parametrize(
    ("at", "metres", "reserve", "rings"),
    [
        (None, 100, 5, 3001),
        (standing(20), 100, 5, 3001),
        (standing(5), 25, 1.25, 751),  # a quarter of 3,001, rounded up
        (standing(0), 0, 0, 0),
        (standing(30), 100, 5, 3001),  # made again: never more than the whole
    ],
)
def test_the_wire_still_to_take_is_the_share_still_to_wind(
    modules: Modules, at: Any, metres: float, reserve: float, rings: int
) -> None:
    (wire,) = modules.call("engine/stock-question.js", "wiresToTake", PLAN, at)
    assert (wire["metres"], wire["reserve_m"], wire["rings"]) == (metres, reserve, rings)
    assert {k: wire[k] for k in ("metal", "wire_mm", "inner_mm", "kind", "zinc")} == {
        k: SIZE[k] for k in ("metal", "wire_mm", "inner_mm", "kind", "zinc")
    }


def test_a_size_of_less_than_a_metre_is_taken_too(modules: Modules) -> None:
    plan = {**PLAN, "sizes": [{**SIZE, "metres": 0.4}]}
    (wire,) = modules.call("engine/stock-question.js", "wiresToTake", plan, None)
    assert wire["metres"] == 0.4


def test_a_size_without_a_reserve_takes_none(modules: Modules) -> None:
    bare = {k: v for k, v in SIZE.items() if k != "reserve_m"}
    plan = {**PLAN, "sizes": [bare]}
    (wire,) = modules.call("engine/stock-question.js", "wiresToTake", plan, standing(5))
    assert wire["reserve_m"] == 0


def test_a_piece_that_winds_nothing_takes_no_wire(modules: Modules) -> None:
    plan = {"sizes": [SIZE, {**SIZE, "metres": 0}], "steps": [{"step": "close", "start": 9}]}
    wires = modules.call("engine/stock-question.js", "wiresToTake", plan, None)
    assert [w["metres"] for w in wires] == [0]


def test_a_reel_is_told_the_way_it_is_kept(modules: Modules) -> None:
    reel = {
        "id": "r",
        "metal": "iron",
        "wire_mm": 1.2,
        "gross_g": 900,
        "empty_g": 100,
        "start_g": 5000,
        "used_m": 0,
        "density_g_cm3": 7.8,
    }
    shown = modules.call("engine/stock-question.js", "reelFields", reel)
    own = {"id": "r", "name": "Reel", "metal": "iron", "wire_mm": 1.2, "density_g_cm3": 7.8}
    assert shown == {**own, "gross_g": 900, "empty_g": 100}
    shown = modules.call(
        "engine/stock-question.js", "reelFields", {**reel, "how": "use", "name": "Big"}
    )
    assert shown == {**own, "name": "Big", "start_g": 5000, "used_m": 0}


@pytest.mark.parametrize(
    ("reel", "told"),
    [
        ({"metal": "iron", "wire_mm": 1.2, "gross_g": 0}, True),
        ({"metal": "iron", "wire_mm": 1.2, "start_g": 5}, False),
        ({"metal": "iron", "wire_mm": 1.2, "how": "use", "start_g": 5}, True),
        ({"metal": "iron", "wire_mm": 1.2, "how": "use", "gross_g": 5}, False),
        ({"wire_mm": 1.2, "gross_g": 5}, False),
        ({"metal": "iron", "gross_g": 5}, False),
    ],
)
def test_a_reel_counts_once_its_wire_and_weight_are_known(
    modules: Modules, reel: dict[str, Any], told: bool
) -> None:
    assert modules.call("engine/stock-question.js", "isWhole", reel) is told


def test_open_pieces_with_a_plan_are_asked_about_with_their_days(modules: Modules) -> None:
    kept: dict[str, Any] = {
        "piece": {"a": {}, "b": {"state": "done"}, "c": {}, "d": {}},
        "plans": {
            "a": {**PLAN, "sizes": [SIZE, {**SIZE, "metal": None}]},
            "b": PLAN,
            "d": {**PLAN, "sizes": [{**SIZE, "metal": None, "density_g_cm3": 7.8}]},
        },
        "forecast": {"pieces": [{"id": "a", "finish": {"p50": "2027-05-17"}}]},
        "reel": {"r": {"metal": "iron", "wire_mm": 1.2, "gross_g": 9}, "s": {"metal": "iron"}},
        "ring": {"k": {"wire_mm": 1.2, "inner_mm": 8, "reel_kg": 4}},
        "rings": {
            "x": {"n": 40, "ring": "k"},
            "y": {"n": 0, "ring": "k"},
            "z": {"n": 5, "ring": "gone"},
            "w": {"n": 5},
        },
    }
    asked = modules.evaluate(ASK, kept, "2027-01-01")
    assert [(p["id"], len(p["wires"])) for p in asked["pieces"]] == [("a", 1), ("d", 1)]
    assert asked["pieces"][0]["until"] == "2027-05-17" and "from" not in asked["pieces"][0]
    assert "until" not in asked["pieces"][1]
    assert [r["id"] for r in asked["reels"]] == ["r"]
    assert asked["rings"] == [{"n": 40, "ring": {"wire_mm": 1.2, "inner_mm": 8}}]
    assert (asked["delivery_days"], asked["spare_days"]) == (7, 7)
    assert (asked["ask"], asked["today"]) == ("stock", "2027-01-01")
    kept["setting"] = {"queue": "in_turns", "delivery_days": 0, "spare_days": 2}
    asked = modules.evaluate(ASK, kept, "2027-01-01")
    assert [p.get("from") for p in asked["pieces"]] == ["2027-01-01", None]
    assert (asked["delivery_days"], asked["spare_days"]) == (0, 2)
