"""The fast reader and writer give what Python's own `json` gives, or leave it to that."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from server import json_text
from server.errors import Unreadable
from server.json_body import parse

LETTERS = st.text(alphabet=st.characters(), max_size=12)  # halves of surrogate pairs too
NUMBERS = st.one_of(
    st.integers(-(2**70), 2**70), st.floats(allow_nan=False, allow_infinity=False), st.booleans()
)
VALUES = st.recursive(
    st.one_of(st.none(), NUMBERS, LETTERS),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(LETTERS, inner, max_size=4)
    ),
    max_leaves=12,
)
# pieces of which texts are made that are nearly JSON, and of which a name comes twice at times
SCRAPS = st.sampled_from(
    [
        *'{}[],:" 0123456789.-+eE\\/\n',
        '"a":',
        '"a" :',
        '{"a":1,',
        '"',
        "NaN",
        "1e5",
        "null",
        "\\u0061",
    ]
)


def same(a: Any, b: Any) -> bool:
    """Equal in value and in kind: 1, 1.0 and true are three things."""
    if isinstance(a, float) and isinstance(b, float):
        return a == b and math.copysign(1, a) == math.copysign(1, b)
    if type(a) is not type(b):
        return False
    if isinstance(a, dict):
        return list(a) == list(b) and all(same(a[name], b[name]) for name in a)
    if isinstance(a, list):
        return len(a) == len(b) and all(map(same, a, b))
    return bool(a == b)


@given(VALUES, st.sampled_from([None, 1]), st.booleans())
def test_a_text_is_read_as_pythons_own_reader_reads_it(
    value: Any, indent: int | None, ascii_only: bool
) -> None:
    text = json.dumps(value, indent=indent, ensure_ascii=ascii_only, separators=(",", ":"))
    assert same(json_text.read(text), value)
    assert same(
        json_text.read(json_text.write_sorted(value)), json.loads(json.dumps(value, sort_keys=True))
    )
    assert same(json.loads(json_text.write(value)), value)


def _unlike(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(dict(pairs)) != len(pairs):
        raise ValueError("a name twice")
    return dict(pairs)


@given(st.lists(SCRAPS, max_size=14).map("".join))
def test_a_text_that_the_fast_reader_takes_is_strict_json_of_that_value(text: str) -> None:
    value = json_text.read_exact(text)
    if value is None:
        return  # left to the strict reader
    strict = json.loads(text, object_pairs_hook=_unlike, parse_constant=lambda name: 1 / 0)
    assert same(value, strict)


@pytest.mark.parametrize(
    "text",
    ['{"a":1,"a":1}', '{"a":{"b":1,"b":2}}', "[1e999]", "[NaN]", '["a" "b"]', f"[{'9' * 25}]"],
)
def test_what_is_no_strict_json_is_left_to_the_reader_that_says_why(text: str) -> None:
    assert json_text.read_exact(text) is None
    with pytest.raises(Unreadable):
        parse(text)


@given(st.integers(-(10**24) + 1, 10**24 - 1))
def test_no_whole_number_is_rounded_on_its_way_through(number: int) -> None:
    assert parse(f'{{"n":{number}}}') == {"n": number}
    assert json_text.read(json_text.write_sorted({"n": number})) == {"n": number}


@given(VALUES)
def test_what_is_stored_is_ascii_on_one_line(value: Any) -> None:
    text = json_text.write_sorted(value)
    assert text.isascii() and "\n" not in text and "\r" not in text
