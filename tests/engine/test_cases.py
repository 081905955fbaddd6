"""The case table under CPython; tests/page runs the same table in the page's Python."""

from __future__ import annotations

import json

import pytest

from shared.ask import ANSWERS, answer
from tests.engine.cases import check, load_cases, look_up, same

CASES = load_cases()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_the_engine_answers_the_case(case):
    assert check(json.loads(answer(json.dumps(case["question"]))), case) == []


def test_every_case_names_its_source_and_claims_something():
    assert [
        c["id"] for c in CASES if not c.get("source") or ("refuse" in c) == bool(c.get("expect"))
    ] == []


def test_names_of_cases_are_unique():
    names = [case["id"] for case in CASES]
    assert sorted(set(names)) == sorted(names)


def test_every_question_of_the_door_has_cases():
    assert set(ANSWERS) - {case["question"].get("ask") for case in CASES} == set()


def test_a_case_of_its_own_tolerance_says_why():
    assert [c["id"] for c in CASES if "rel" in c and len(c["source"]) < 25] == []


def test_a_wrong_number_is_found():
    case = {"expect": {"a.b[1]": 3.0, "len(rows)": 2}}
    assert check({"ok": True, "a": {"b": [1, 3.0]}, "rows": [1, 2]}, case) == []
    assert len(check({"ok": True, "a": {"b": [1, 3.00001]}, "rows": [1]}, case)) == 2


def test_a_wrong_refusal_is_found():
    case = {"refuse": "ring.wire_mm", "says": ["give"]}
    assert check({"ok": True}, case)
    assert check({"ok": False, "error": {"field": "ring", "why": "give"}}, case)
    assert check({"ok": False, "error": {"field": "ring.wire_mm", "why": "no"}}, case)


def test_truth_is_no_number_and_lists_have_a_length():
    assert not same(True, 1, 1e-9)
    assert not same(1, True, 1e-9)
    assert not same([1, 2], [1], 1e-9)
    assert look_up({"a": [{"b": 2}]}, "a[0].b") == 2
