"""Whether kept forecasts came true: only what is settled counts."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules

FILE = "engine/forecast-calibration.js"
JUDGE = """async (kept, known) => (await import('/engine/forecast-calibration.js')).judge(kept, { ...known,
  addDays: (day, n) => new Date(Date.parse(day) + n * 86400000).toISOString().slice(0, 10) })"""
KEPT = {
    "piece": "shirt",
    "day": "2027-01-01",
    "said": {
        "finish": {"p80": "2027-01-21"},
        "hours": {"p80": 40},
        "days_at": [10, 30],
        "hours_at": [20, 60],
    },
}


@pytest.mark.parametrize(
    ("end", "today", "hours", "verdict"),
    [
        # not done: open until the day or the hours are passed
        (None, "2027-01-21", 40, (None, None, None, None)),
        (None, "2027-01-22", 40.1, (False, False, None, None)),
        (None, "2027-01-31", 60, (False, False, None, None)),
        (None, "2027-02-01", 60.1, (False, False, False, False)),
        # done: on the last day and hour it is still in time
        ("2027-01-21", "2027-03-01", 40, (True, True, True, True)),
        ("2027-01-22", "2027-03-01", 41, (False, False, True, True)),
        ("2027-01-31", "2027-03-01", 60, (False, False, True, True)),
        ("2027-02-01", "2027-03-01", 61, (False, False, False, False)),
        ("2027-01-11", "2027-03-01", 20, (True, True, True, True)),
        ("2027-01-10", "2027-03-01", 19, (True, True, False, False)),  # before the span
    ],
)
def test_a_bound_holds_breaks_or_stays_open(
    modules: Modules, end: str | None, today: str, hours: float, verdict: tuple[Any, ...]
) -> None:
    found = modules.evaluate(JUDGE, KEPT, {"end": end, "today": today, "hours": hours})
    assert tuple(found[k] for k in ("finish80", "hours80", "span", "hoursSpan")) == verdict


def test_without_a_bound_there_is_no_verdict(modules: Modules) -> None:
    kept = {**KEPT, "said": {"finish": {"p80": None}, "hours": {"p80": 40}}}
    found = modules.evaluate(JUDGE, kept, {"end": "2027-01-05", "today": "2027-01-06", "hours": 5})
    assert found == {"finish80": None, "hours80": True, "span": None, "hoursSpan": None}


def test_only_what_is_settled_is_counted(modules: Modules) -> None:
    verdicts = [{"span": v} for v in (True, False, None, True)]
    assert modules.call(FILE, "tally", verdicts, "span") == {"held": 2, "of": 3}
    assert modules.call(FILE, "tally", [], "span") == {"held": 0, "of": 0}


def test_kept_forecasts_are_read_oldest_first(modules: Modules) -> None:
    def thing(id: str, ms: int, said: Any) -> dict[str, Any]:
        return {"key": id, "id": id, "fields": {"said": {"value": said, "stamp": [ms, 0]}}}

    said = {"hours": {}, "finish": {}}
    rows = [
        thing("a:b:2027-01-02", 5, said),
        thing("c:2027-01-01", 3, said),
        thing("d:2027-01-01", 1, {"hours": {}}),
        thing("e:2027-01-01", 1, {"finish": {}}),
        {"key": "f", "id": "f", "fields": {}},
    ]
    assert modules.call(FILE, "keptForecasts", rows) == [
        {"piece": "c", "day": "2027-01-01", "ms": 3, "said": said},
        {"piece": "a:b", "day": "2027-01-02", "ms": 5, "said": said},
    ]
