"""What the fast look lets pass is good by the schema too; the schema's own tests say what good is."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from server import json_text
from server.plain_counts import is_plain
from server.sync import canonical_text, entry_of
from shared.log.schema import problem, trimmed
from tests.server.link import Device

EDGES = [0, 1, -1, 1440, 1441, 10**6, 10**6 + 1, 2**53 - 1, 2**53, 4102444800000, 4102444800001]
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.sampled_from(EDGES),
    st.floats(),
    st.text(max_size=3),
    st.sampled_from(["", "x" * 200, "x" * 201, "\ud800", "count", "tap", "weigh", "hand"]),
)
VALUES = st.one_of(
    SCALARS, st.lists(SCALARS, max_size=2), st.dictionaries(st.text(max_size=2), SCALARS)
)
OPTIONAL = ["panel", "sitting", "opens", "undoes", "holds", "found", "why"]
NAMES = st.sampled_from(
    ["device", "seq", "at", "tz", "v", "kind", "piece", "step", "n", "how", *OPTIONAL, "other"]
)


def tap(**more: Any) -> dict[str, Any]:
    return Device("a").count(3, sitting="0" * 16, **more)


@given(others=st.dictionaries(NAMES, VALUES, max_size=3), without=st.sets(NAMES, max_size=1))
@example(others={"n": True}, without=set())
@example(others={"n": 1.0}, without=set())
@example(others={"tz": -1441}, without=set())
@example(others={"at": "\ud800"}, without=set())
@example(others={"\ud800": 1}, without=set())
def test_what_passes_the_fast_look_is_good_and_has_no_field_too_many(
    others: dict[str, Any], without: set[str]
) -> None:
    change = {name: value for name, value in (tap() | others).items() if name not in without}
    if is_plain(change):
        assert problem(change) is None
        assert trimmed(change) == change
        assert json_text.write_sorted(change) == canonical_text(change)


@pytest.mark.parametrize("more", [{}, {"opens": True}, {"panel": "back"}, {"panel": None}])
def test_a_tap_passes_the_fast_look(more: dict[str, Any]) -> None:
    assert is_plain(tap(**more))
    assert entry_of("a", tap(**more)) == (1, canonical_text(tap(**more)), None)


def test_a_plain_count_of_another_device_is_refused_as_such() -> None:
    entry = entry_of("b", tap())
    assert entry.why is not None and "b" in entry.why


@pytest.mark.parametrize(
    "changed",
    [{"undoes": {"device": "a", "seq": 1}, "n": -3}, {"how": "stocktake", "found": 2}, {"v": 2}],
)
def test_what_is_no_plain_count_is_left_to_the_schema(changed: dict[str, Any]) -> None:
    change = tap() | changed
    assert not is_plain(change)
    assert entry_of("a", change).why == problem(change)
