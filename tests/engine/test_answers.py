"""The description of all answers fits every answer of the case table and describes nothing that
never comes. Other tests' answers are held against it as they are asked for: `tests/engine/asking.py`.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from jsonschema import Draft7Validator

from shared.ask import ANSWERS, answer
from tests.engine.cases import load_cases
from tests.engine.conftest import KEPT, is_there
from tests.engine.described import SCHEMA, not_as_described

ACCEPTED = [
    (case["question"]["ask"], found)
    for case in load_cases()
    if (found := json.loads(answer(json.dumps(case["question"])))).get("ok")
]
SELDOM = {"unread"}  # may come with any answer: tests/engine/test_ask.py


def test_the_description_is_a_schema() -> None:
    Draft7Validator.check_schema(SCHEMA)


def test_every_question_is_described() -> None:
    assert set(SCHEMA["properties"]) == set(ANSWERS) == {ask for ask, _ in ACCEPTED}


@pytest.mark.parametrize("ask", sorted(ANSWERS))
def test_every_answer_is_as_described(ask: str) -> None:
    for kind, found in ACCEPTED:
        if kind == ask:
            assert not_as_described(ask, found) == []


def _fields(shape: dict[str, Any], value: Any) -> Iterator[tuple[str, str]]:
    """(definition, field) of each described field that a value has."""
    named = [s["$ref"] for s in [shape, *shape.get("anyOf", [])] if "$ref" in s]
    name = named[0].rsplit("/", 1)[1] if named else ""
    shape = SCHEMA["$defs"].get(name, shape)
    if isinstance(value, list) and isinstance(shape.get("items"), dict):
        for one in value:
            yield from _fields(shape["items"], one)
    elif isinstance(value, dict) and "properties" in shape:
        for field, one in value.items():
            yield name, field
            yield from _fields(shape["properties"][field], one)


def test_answers_are_kept_of_tests_that_are_there_and_of_every_case() -> None:
    by_test = json.loads(KEPT.read_text("utf-8"))
    assert [name for name in by_test if not is_there(name)] == []
    (of_cases,) = (by for name, by in by_test.items() if name.startswith("test_cases.py"))
    assert len(of_cases) == len(load_cases())


def test_every_described_field_comes_in_some_answer() -> None:
    seen = {pair for ask, found in ACCEPTED for pair in _fields(SCHEMA["properties"][ask], found)}
    described = {
        (name, field)
        for name, shape in SCHEMA["$defs"].items()
        for field in shape.get("properties", {})
        if field not in SELDOM
    }
    assert described - seen == set()
