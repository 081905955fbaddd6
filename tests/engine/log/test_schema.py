"""Each field of a change is held at both sides of what it takes."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from shared.log.schema import problem

HEAD = {"device": "phone", "seq": 1, "at": 1, "tz": 0, "v": 1}
LANE = {"piece": "shirt", "step": "close"}
CHANGES = {
    "count": {**HEAD, **LANE, "kind": "count", "n": 1},
    "undo": {**HEAD, **LANE, "kind": "count", "n": -1, "undoes": {"device": "b", "seq": 1}},
    "scrap": {**HEAD, **LANE, "kind": "scrap", "n": 1},
    "sitting": {**HEAD, **LANE, "kind": "sitting", "sitting": "s", "event": "start"},
    "trim": {
        **HEAD,
        **LANE,
        "kind": "sitting",
        "sitting": "s",
        "event": "trim",
        "from_ms": 1,
        "to_ms": 2,
        "keep_min": 0,
    },
    "set": {**HEAD, "kind": "set", "thing": "ring", "id": "r", "field": "wire_mm"},
    "hold": {**HEAD, **LANE, "kind": "hold", "n": 1},
}
EXACT = 2**53 - 1  # the largest whole number that every JSON reader keeps
CENTURY = int(datetime(2100, 1, 1, tzinfo=UTC).timestamp() * 1000)
KEY = {"device": "phone", "seq": 1}


def text(n):
    return "x" * n


@pytest.mark.parametrize(
    ("kind", "field", "good", "bad"),
    [
        ("count", "device", [text(1), text(200)], [text(0), text(201), None, 5]),
        ("count", "piece", [text(1), text(200)], [text(0), text(201)]),
        ("count", "seq", [1, EXACT], [0, EXACT + 1, True, 1.5]),
        ("count", "at", [0, CENTURY], [-1, CENTURY + 1, True]),
        ("count", "tz", [-1440, 0, 1440], [-1441, 1441, 1.5]),
        ("count", "v", [1], [0, 2, True]),
        ("count", "n", [1, 10**6], [0, -1, 10**6 + 1, 1.5, True]),
        ("undo", "n", [-1, -(10**6)], [0, 1, -(10**6) - 1, -1.5]),
        ("count", "found", [0, EXACT], [-1, EXACT + 1]),
        ("count", "opens", [True, False], [0, 1, "yes"]),
        ("count", "how", ["tap", "weigh", "hand"], ["guess", 5]),
        ("count", "holds", [KEY], [{}, {"device": "", "seq": 1}, {"device": "a", "seq": 0}, "a"]),
        ("scrap", "why", ["", text(2000)], [text(2001), 5]),
        ("hold", "why", ["", text(2000)], [text(2001), 5]),
        ("hold", "n", [1, 10**6], [0, 10**6 + 1]),
        ("sitting", "event", ["start", "pause", "go", "stop"], ["begin", None]),
        ("sitting", "from_ms", [0, CENTURY], [-1, CENTURY + 1, 1.5]),
        ("trim", "keep_min", [0, 1.5, 100000], [-1, 100000.5, True]),
        ("trim", "minutes", [0, 1.5, 100000], [-1, 100000.5]),
        ("set", "stamp", [[0, 0], [CENTURY, EXACT]], [[-1, 0], [CENTURY + 1, 0], [0, -1], [0, EXACT + 1], [0], [0, 0, 0], [0, True], "0"]),
        ("set", "over", [[], [KEY], [KEY] * 100], [[KEY] * 101, [{}], KEY]),
        ("set", "value", [None, 0, "", [1] * 19999, {"a": [1.5]}], [[1] * 20000, [1e300], -1e300]),
    ],
)  # fmt: skip
def test_a_field_takes_what_it_should_and_nothing_beyond(kind, field, good, bad):
    for value in good:
        assert problem({**CHANGES[kind], field: value}) is None, value
    for value in bad:
        found = problem({**CHANGES[kind], field: value})
        assert found and field in found, value


@pytest.mark.parametrize(
    ("kind", "needed"),
    [
        ("count", ["device", "seq", "at", "tz", "v", "piece", "step", "n"]),
        ("scrap", ["device", "seq", "at", "tz", "v", "piece", "step", "n"]),
        ("sitting", ["device", "seq", "at", "tz", "v", "piece", "step", "sitting", "event"]),
        ("set", ["device", "seq", "at", "tz", "v", "thing", "id", "field"]),
        ("hold", ["device", "seq", "at", "tz", "v", "piece", "step", "n"]),
    ],
)
def test_a_change_lacks_what_it_needs(kind, needed):
    assert problem(CHANGES[kind]) is None
    for field in needed:
        found = problem({k: v for k, v in CHANGES[kind].items() if k != field})
        assert found and field in found


@pytest.mark.parametrize(
    ("kind", "more", "said"),
    [
        ("count", {"how": "stocktake", "found": 0, "n": -5}, None),
        ("count", {"how": "stocktake", "n": 5}, "found"),
        ("count", {"how": "stocktake", "found": 1, "sitting": "s"}, "sitting"),
        ("count", {"how": "stocktake", "found": 1, "opens": False}, "opens"),
        ("count", {"how": "stocktake", "found": 1, "holds": KEY}, "holds"),
        ("undo", {"how": "stocktake", "n": 5, "sitting": "s"}, None),
        ("count", {"how": "correct", "n": -5, "sitting": "s"}, None),
        ("undo", {"how": "correct", "n": 5}, None),
        ("count", {"how": "correct", "n": 5}, "sitting"),
        ("trim", {"from_ms": 2}, None),
        ("trim", {"from_ms": 3}, "to_ms"),
        ("trim", {"from_ms": None}, "from_ms"),
        ("trim", {"to_ms": None}, "to_ms"),
        ("trim", {"keep_min": None}, "keep_min"),
        ("trim", {"from_ms": None, "minutes": 5}, None),
        ("trim", {"event": "correct", "from_ms": 5}, None),
        ("sitting", {"event": "correct"}, "to_step"),
        ("sitting", {"event": "correct", "deleted": False}, None),
        ("hold", {"n": -1}, "n"),
        ("scrap", {"n": -1}, "undo"),
    ],
)
def test_fields_that_belong_together_are_wanted_together(kind, more, said):
    found = problem({**CHANGES[kind], **more})
    assert found is None if said is None else found and said in found


def test_what_is_no_change_is_told():
    assert problem([]) and problem({"kind": "dream"}) and problem({"kind": ["count"]})
