"""A sitting's minutes where trims meet, as the engine has them too."""

from __future__ import annotations

from typing import Any

import pytest

from shared.log.fold import fold
from tests.page.modules import Modules

MIN = 60_000
T = 1_790_000_000_000


def event(name: str, minute: float, seq: int, device: str = "a", **more: Any) -> dict[str, Any]:
    at = int(T + minute * MIN)
    return {"event": name, "at": at, "t": at, "device": device, "seq": seq, "tz": 0, **more}


def trim(begin: float, end: float, keep: float, at: float, seq: int, device: str = "a") -> Any:
    more = {"from_ms": int(T + begin * MIN), "to_ms": int(T + end * MIN), "keep_min": keep}
    return event("trim", at, seq, device, **more)


HOUR = [event("start", 0, 1), event("stop", 60, 2)]


@pytest.mark.parametrize(
    ("more", "minutes"),
    [
        ([], 60),
        ([trim(10, 30, 5, 70, 3)], 45),
        ([trim(10, 30, 500, 70, 3)], 60),  # no more is kept than there was
        ([trim(50, 90, 2, 70, 3)], 52),  # only what lies within
        ([trim(60, 90, 9, 70, 3)], 60),
        # where two meet, the later rules its part: 10 to 30 keeps 5, of 30 to 40 nothing is kept
        ([trim(10, 30, 5, 71, 3), trim(20, 40, 0, 70, 4)], 35),
        ([trim(10, 30, 5, 70, 3), trim(20, 40, 0, 71, 4)], 35),
        ([trim(10, 30, 20, 71, 3), trim(20, 40, 0, 70, 4)], 50),
        ([trim(10, 30, 20, 70, 3), trim(20, 40, 0, 71, 4)], 40),
        # written in the same moment: the greater device, then the later number
        ([trim(10, 30, 20, 70, 3), trim(20, 40, 0, 70, 4)], 40),
        ([trim(10, 30, 20, 70, 4), trim(20, 40, 0, 70, 3)], 50),
        ([trim(10, 30, 20, 70, 9, "a"), trim(20, 40, 0, 70, 3, "b")], 40),
        ([trim(10, 30, 20, 70, 3, "b"), trim(20, 40, 0, 70, 9, "a")], 50),
        # a time set by hand rules all, the latest of them
        ([trim(10, 30, 5, 70, 3), event("trim", 69, 4, minutes=12)], 12),
        ([event("trim", 70, 3, minutes=12), event("trim", 71, 4, minutes=0)], 0),
    ],
)
def test_where_trims_meet_the_later_rules(
    modules: Modules, more: list[dict[str, Any]], minutes: float
) -> None:
    sitting = {"sitting": "s", "events": HOUR + more, "last_ms": T + 60 * MIN, "items": 0}
    for events in (HOUR + more, HOUR + more[::-1]):
        shown = modules.call("log/sitting.js", "benchMinutes", {**sitting, "events": events})
        assert shown == pytest.approx(minutes)
    log = [
        {k: v for k, v in e.items() if k != "t"}
        | {"v": 1, "kind": "sitting", "sitting": "s", "piece": "p", "step": "close"}
        for e in HOUR + more
    ]
    folded = fold(log)
    assert folded["refused"] == []
    (row,) = folded["sittings"]
    assert row["minutes"] == pytest.approx(minutes)


@pytest.mark.parametrize(
    ("events", "state"),
    [
        ([], "stopped"),
        ([event("start", 0, 1)], "running"),
        ([event("start", 0, 1), event("pause", 5, 2)], "paused"),
        ([event("start", 0, 1), event("pause", 5, 2), event("go", 6, 3)], "running"),
        ([event("start", 0, 1), trim(0, 1, 0, 5, 2)], "running"),
        (HOUR, "stopped"),
    ],
)
def test_the_clock_stands_as_its_last_event_says(
    modules: Modules, events: list[Any], state: str
) -> None:
    sitting = {"events": events}
    assert modules.call("log/sitting.js", "stateOf", sitting) == state
    gone = {**sitting, "corrected": {"deleted": {"value": True}}}
    assert modules.call("log/sitting.js", "stateOf", gone) == "stopped"


def test_without_its_beginning_a_sitting_starts_with_its_last_sign(modules: Modules) -> None:
    start = modules.call("log/sitting.js", "startOf", {"events": [], "last_ms": T})
    assert start == {"t": T, "tz": 0}
    moved = {"events": HOUR, "last_ms": T, "corrected": {"from_ms": {"value": 5, "tz": 60}}}
    assert modules.call("log/sitting.js", "startOf", moved) == {"t": 5, "tz": 60}
    assert modules.call("log/sitting.js", "timedItems", {"items": 3, "untimed": 5}) == 0
    assert modules.call("log/sitting.js", "timedItems", {"items": 5}) == 5
