"""What the page gathers for the questions of a piece and of the forecast."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import STORE, Modules

KEPT: dict[str, Any] = {
    "piece": {
        "shirt": {"ring": "k", "joins": [], "sure": 0.9, "finishing": [], "due": "2027-06-01"}
    },
    "panel": {
        "front": {
            "piece": "shirt",
            "name": "Front",
            "shape": {"kind": "panel", "rows": 5, "columns": 6},
            "swatch": "s",
            "state": "hang",
            "max_change": 2,
            "rows_run": "down",
            "units_per_chain": 3,
        },
        "blank": {"piece": "shirt"},
        "other": {"piece": "coif", "shape": {"kind": "count", "rings": 5}},
    },
    "ring": {
        "k": {"wire_mm": 1.2, "inner_mm": 8, "metal": "iron", "density_g_cm3": 7.9, "rivet_mm": ""}
    },
    "swatch": {"s": {"columns": 10, "rows": 11, "width_mm": 90, "note": "soft"}},
    "setting": {"reel_kg": 5, "wire_reserve_percent": 8},
}


def piece_question(modules: Modules, kept: dict[str, Any], id: str = "shirt") -> Any:
    return modules.evaluate(
        f"async (kept, id) => (await import('/engine/questions.js')).pieceQuestion(({STORE})(kept), id)",
        kept,
        id,
    )


def with_ring(**ring: Any) -> dict[str, Any]:
    return {**KEPT, "ring": {"k": ring}}


def test_a_piece_is_asked_with_its_own_panels(modules: Modules) -> None:
    assert piece_question(modules, KEPT) == {
        "ask": "piece",
        "panels": [
            {
                "name": "Front",
                # the metal and the maker's own density, which goes before the table's
                "ring": {"wire_mm": 1.2, "inner_mm": 8, "metal": "iron", "density_g_cm3": 7.9},
                "swatch": {"columns": 10, "rows": 11, "width_mm": 90},
                "state": "hang",
                "shape": {
                    "kind": "panel",
                    "rows": 5,
                    "columns": 6,
                    "units_per_chain": 3,
                    "rows_run": "down",
                    "max_change": 2,
                },
            }
        ],
        "finishing": [],
        "joins": [],
        "sure": 0.9,
        "reel_kg": 5,
        "reserve_percent": 8,
    }


def test_a_piece_without_a_shape_is_no_question(modules: Modules) -> None:
    assert piece_question(modules, KEPT, "coif") is None
    assert piece_question(modules, {**KEPT, "panel": {"blank": {"piece": "shirt"}}}) is None


@pytest.mark.parametrize(
    ("ring", "zinc"),
    [
        ({"wire_mm": 1.2}, True),  # wire of which nothing is known is never heated
        ({"wire_mm": 1.2, "zinc": False}, False),
        ({"wire_mm": 1.2, "metal": "iron"}, None),
        ({"wire_mm": 1.2, "density_g_cm3": 7.8}, None),
        ({"inner_mm": 8}, None),
    ],
)
def test_wire_of_unknown_coating_is_asked_about_as_zinc_coated(
    modules: Modules, ring: dict[str, Any], zinc: Any
) -> None:
    (panel,) = piece_question(modules, with_ring(**ring))["panels"]
    assert panel["ring"].get("zinc") is zinc


@pytest.mark.parametrize(
    ("ring", "given"), [({}, False), ({"wire_mm": 1}, True), ({"inner_mm": 8}, True)]
)
def test_a_count_needs_no_ring(modules: Modules, ring: dict[str, Any], given: bool) -> None:
    kept = {
        **with_ring(**ring),
        "panel": {"n": {"piece": "shirt", "shape": {"kind": "count", "rings": 9}}},
    }
    (panel,) = piece_question(modules, kept)["panels"]
    assert ("ring" in panel) is given
    assert (panel["name"], panel["state"]) == ("Panel", "relaxed")


SITTING = {
    "sitting": "s1",
    "piece": "shirt",
    "step": "close",
    "items": 40,
    "untimed": 2,
    "last_ms": 1_790_000_000_000 + 30 * 60_000,
    "events": [
        {"event": "start", "t": 1_790_000_000_000, "tz": 60},
        {"event": "stop", "t": 1_790_000_000_000 + 30 * 60_000, "tz": 60},
    ],
}


def test_a_sitting_is_told_with_what_its_pace_leaves_out(modules: Modules) -> None:
    """1,790,000,000 s after 1970 is 2026-09-21 14:13:20 UTC; an hour east of it 15:13."""
    rows = [
        SITTING,
        {**SITTING, "untimed": 90},
        {**SITTING, "untimed": 0, "items": 0},
        {**SITTING, "items": -1},
        {**SITTING, "events": SITTING["events"][:1], "last_ms": 0},
        {**SITTING, "corrected": {"deleted": {"value": True}}},
    ]
    told = modules.call("engine/questions.js", "timed", rows)
    first = {
        "sitting": "s1",
        "step": "close",
        "piece": "shirt",
        "date": "2026-09-21",
        "start_min": 913,
        "minutes": 30,
        "items": 40,
        "untimed": 2,
    }
    none = {k: v for k, v in first.items() if k != "untimed"}
    assert told == [first, {**first, "untimed": 40}, {**none, "items": 0}]


@pytest.mark.parametrize(
    ("own", "rows", "lump"),
    [
        ({}, [], 1),
        ({}, [{"step": "cut", "batch": 1}, {"step": "close", "batch": 12}], 12),
        ({"lump": 5}, [{"step": "close", "batch": 12}], 5),
    ],
)
def test_a_lump_is_the_makers_own_else_the_batch_of_the_step(
    modules: Modules, own: dict[str, Any], rows: list[Any], lump: int
) -> None:
    script = f"async (kept, rows) => (await import('/engine/questions.js')).lumpOf(({STORE})(kept), rows, 'close')"
    assert modules.evaluate(script, {"step": {"close": own}}, rows) == lump


def forecast_question(
    modules: Modules, kept: dict[str, Any], recent: list[Any], **more: Any
) -> Any:
    script = f"""async (kept, recent, more) => (await import('/engine/questions.js')).forecastQuestion(({STORE})(kept),
      [{{ id: "shirt", plan: {{ steps: [{{ step: "close", guess_min_per_item: 0.6, batch: 4 }}, {{ step: "unit" }}] }},
         standing: {{ steps: [{{ step: "close", to_go: 30 }}, {{ step: "unit", to_go: 8 }}] }} }}],
      recent, {{ today: "2027-01-10", summary: null, table: [], ...more }})"""
    return modules.evaluate(script, kept, recent, more)


def row(step: str, **more: Any) -> dict[str, Any]:
    return {
        "sitting": "x",
        "step": step,
        "piece": "shirt",
        "date": "2027-01-09",
        "start_min": 600,
        "minutes": 30,
        "items": 10,
        **more,
    }


def test_the_forecast_is_asked_over_the_steps_of_all_plans(modules: Modules) -> None:
    kept: dict[str, Any] = {
        "piece": {
            "shirt": {"due": "2027-06-01", "finishing": [{"step": "unit", "guess_min_per_item": 3}]}
        },
        "step": {
            "close": {
                "guess_min_per_item": 0.5,
                "practised": True,
                "lump": 2,
                "trial": {"minutes": 5, "items": 9},
            },
            "polish": {"trial": {"minutes": 5, "items": 2}},
            "unit": {"trial": {"minutes": 0, "items": 2}},
        },
        "setting": {"workshop": {"week_hours": 6}, "off_days": ["2027-01-12"]},
    }
    asked = forecast_question(modules, kept, [row("close"), row("close", date="2027-01-11")])
    assert asked["steps"] == [
        {"step": "close", "guess_min_per_item": 0.5, "lump": 2, "practised": True},
        {"step": "unit", "guess_min_per_item": 1, "lump": 1},
    ]
    # another device's clock may run ahead of this one's day
    assert [s["date"] for s in asked["sittings"]] == ["2027-01-09", "2027-01-10"]
    assert all("sitting" not in s for s in asked["sittings"])
    assert asked["trials"] == [{"step": "close", "minutes": 5, "items": 9}]
    assert asked["pieces"] == [
        {"id": "shirt", "to_go": {"close": 30, "unit": 8}, "due": "2027-06-01"}
    ]
    assert (asked["week_hours"], asked["queue"], asked["off_days"]) == (
        6,
        "in_order",
        ["2027-01-12"],
    )
    assert asked["levels"] == [0.1, 0.9] and "summary" not in asked


def test_a_guess_nobody_made_says_so(modules: Modules) -> None:
    asked = forecast_question(modules, {}, [])
    assert asked["steps"] == [
        {"step": "close", "guess_min_per_item": 0.6, "guess_from": "usual", "lump": 4},
        {"step": "unit", "guess_min_per_item": 1, "guess_from": "usual", "lump": 1},
    ]


def test_steps_of_the_record_that_no_plan_has_go_along_where_their_pace_is_known(
    modules: Modules,
) -> None:
    recent = [
        row("saw", minutes=30, items=12, untimed=2),
        row("saw", minutes=20, items=10),
        row("rest", items=0),
        row("wind", items=0),
    ]
    asked = forecast_question(
        modules,
        {},
        recent,
        summary={"made": {"cut": 5, "gone": 3, "saw": 7}},
        table=[
            {"step": "wind", "guess_min_per_item": 6},
            {"step": "cut", "guess_min_per_item": 0.05},
        ],
    )
    found = {s["step"]: s["guess_min_per_item"] for s in asked["steps"]}
    assert found == {
        "close": 0.6,
        "unit": 1,
        "cut": 0.05,
        "saw": 2.5,
        "wind": 6,
    }  # 50 min, 20 timed
    assert {s["step"] for s in asked["sittings"]} == {"saw", "wind"}
    assert asked["summary"] == {"made": {"cut": 5, "gone": 3, "saw": 7}}
