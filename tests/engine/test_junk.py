"""Junk at the door: whatever is asked, the answer is a JSON object, ok or with a field and a
reason.
"""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import OWN_FAULT, answer
from tests.engine.cases import load_cases

ODD = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.integers(-3, 30),
    st.floats(allow_nan=False, allow_infinity=False),
    st.sampled_from(
        [
            0,
            -0.0,
            1e308,
            -1e308,
            5e-324,
            2**64,
            10**400,
            "",
            " ",
            "16",
            "ä",
            "\U0001f528",
            [],
            {},
            [[]],
            [None],
        ]
    ),
    st.text(max_size=8),
    st.lists(st.integers(), max_size=3),
    st.dictionaries(st.text(max_size=4), st.integers(), max_size=3),
)
CASES = [
    c
    for c in load_cases()
    if c["question"]["ask"] in ("gauge", "ring", "fabric", "panel", "weigh", "losses")
]


def sound(text):
    """Never an exception, never NaN, always an answer or a refusal that says where and why."""
    got = json.loads(text, parse_constant=lambda name: pytest.fail(f"{name} in an answer"))
    assert got["ok"] in (True, False)
    if not got["ok"]:
        assert isinstance(got["error"]["field"], str)
        assert got["error"]["field"] != OWN_FAULT, got
        assert got["error"]["why"].strip().endswith((".", "!"))
    return got


def spots(node, path=()):
    """Every place in a question."""
    out = [path] if path else []
    if isinstance(node, dict):
        for key in sorted(node):
            out += spots(node[key], (*path, key))
    if isinstance(node, list):
        for i, one in enumerate(node):
            out += spots(one, (*path, i))
    return out


def put(node, path, value):
    """A copy with one place changed."""
    if not path:
        return value
    copied = dict(node) if isinstance(node, dict) else list(node)
    copied[path[0]] = put(copied[path[0]], path[1:], value)
    return copied


@pytest.mark.slow
@settings(max_examples=400)
@given(st.data())
def test_junk_in_any_place_of_a_question_is_answered_or_refused(data):
    question = data.draw(st.sampled_from(CASES))["question"]
    for _ in range(data.draw(st.integers(1, 3))):
        places = spots({k: question[k] for k in question if k != "ask"})
        question = (
            put(question, data.draw(st.sampled_from(places)), data.draw(ODD))
            if places
            else question
        )
    sound(answer(json.dumps(question)))


@settings(max_examples=150)
@given(
    st.sampled_from(["gauge", "ring", "fabric", "panel", "weigh", "losses"]),
    st.dictionaries(st.text(max_size=6), ODD),
)
def test_fields_from_nowhere_are_refused_in_words(name, fields):
    sound(answer(json.dumps({**fields, "ask": name})))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        "3",
        '{"ask": 1}',
        '{"ask": "wind"}',
        "NaN",
        '{"ask":"gauge","gauge":NaN}',
        '{"ask":"ring","ring":{"wire_mm":Infinity,"inner_mm":8}}',
        "[" * 5000,
    ],
)
def test_text_that_is_no_question_is_refused(text):
    assert sound(answer(text))["ok"] is False
