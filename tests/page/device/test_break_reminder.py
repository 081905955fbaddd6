"""How long the maker has worked on end: the rest that counts is five minutes."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import Modules

MIN = 60_000
NOW = 1_790_000_000_000


def sitting(name: str, begin: float, end: float | None, *more: dict[str, Any]) -> dict[str, Any]:
    """Minutes before now; `end` None: its clock runs."""
    events = [{"event": "start", "t": NOW - begin * MIN}, *more]
    if end is not None:
        events.append({"event": "stop", "t": NOW - end * MIN})
    return {"sitting": name, "events": events, "last_ms": NOW - (end or 0) * MIN}


def trim(begin: float, end: float, keep: float) -> dict[str, Any]:
    return {
        "event": "trim",
        "at": NOW,
        "from_ms": NOW - begin * MIN,
        "to_ms": NOW - end * MIN,
        "keep_min": keep,
    }


@pytest.mark.parametrize(
    ("sittings", "minutes"),
    [
        ([], 0),
        ([sitting("a", 40, None)], 40),
        ([sitting("b", 90, 44), sitting("a", 40, None)], 90),  # four minutes are no rest
        ([sitting("b", 90, 45), sitting("a", 40, None)], 90),  # nor are five
        ([sitting("b", 90, 45.1), sitting("a", 40, None)], 40),  # a little more is one
        ([sitting("b", 90, 30)], 0),  # rested since
        ([sitting("b", 90, 3)], 90),
        ([sitting("a", 90, None, trim(40, 20, 0))], 20),  # 20 min that were no work
        ([sitting("a", 90, None, trim(40, 20, 15))], 20),  # 5 of 20 min were a rest
        ([sitting("a", 90, None, trim(40, 20, 15.1))], 90),
        (
            [sitting("a", 300, None, trim(200, 20, 180))],
            20,
        ),  # so long unknown: no matter how much was kept
        ([sitting("a", 300, None, trim(139.9, 20, 119.9))], 300),  # just under two hours
        ([sitting("a", 300, None, trim(140, 20, 120))], 20),  # two hours
    ],
)
def test_minutes_on_end_go_back_to_the_last_rest(
    modules: Modules, sittings: list[dict[str, Any]], minutes: float
) -> None:
    found = modules.call("device/break-reminder.js", "minutesOnEnd", sittings, "a", NOW)
    assert found == pytest.approx(minutes, abs=1e-6)


def test_a_sitting_put_on_another_time_or_deleted_says_nothing(modules: Modules) -> None:
    for corrected in ({"from_ms": {"value": 5}}, {"deleted": {"value": True}}):
        rows = [{**sitting("b", 90, 42), "corrected": corrected}, sitting("a", 40, None)]
        assert modules.call("device/break-reminder.js", "minutesOnEnd", rows, "a", NOW) == 40


def test_the_usual_interval_is_an_hour(modules: Modules) -> None:
    got = modules.evaluate("async () => (await import('/device/break-reminder.js')).BREAK_MIN")
    assert got == 60
