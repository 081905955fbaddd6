"""How many to start: what must hold for every record."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shared.base.errors import NoAnswer
from shared.statistics.yield_starts import start_for
from tests.engine.asking import ask

RECORD = st.tuples(st.integers(5, 3000), st.integers(0, 200))


def start(need, seen, sure=0.95):
    try:
        return start_for(need, seen, sure)
    except NoAnswer:
        assume(False)


@given(st.integers(1, 3000), RECORD)
def test_more_needed_never_starts_fewer(need, record):
    assert start(need + 1, [record])[0] >= start(need, [record])[0] >= need


@given(st.integers(1, 2000), RECORD, st.floats(0.5, 0.95), st.floats(0.001, 0.04))
def test_surer_never_starts_fewer(need, record, sure, more):
    assert start(need, [record], sure + more)[0] >= start(need, [record], sure)[0]


@given(st.integers(1, 2000), RECORD, st.integers(1, 50))
def test_more_spoiled_never_starts_fewer(need, record, bad):
    assert start(need, [(record[0], record[1] + bad)])[0] >= start(need, [record])[0]


@given(st.integers(1, 400), RECORD, RECORD)
def test_a_further_step_never_starts_fewer(need, one, other):
    assert start(need, [one, other])[0] >= start(need, [one])[0] - 2


@given(st.integers(1, 20000), st.lists(RECORD, min_size=1, max_size=4), st.floats(0.5, 0.999))
def test_the_chance_is_what_was_asked_or_more(need, seen, sure):
    n, chance = start(need, seen, sure)
    assert sure <= chance <= 1
    assert n >= need


def test_the_answer_says_the_chance_in_words():
    got = ask("losses", need=100, seen=[{"good": 48, "bad": 2}], sure=0.95)
    assert "95.2 %" in got["notes"][0]
    assert got["yield"] == pytest.approx(48.5 / 51)
