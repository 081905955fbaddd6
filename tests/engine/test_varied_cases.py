"""Beside every case of the table lie questions that no case asks: a field fewer or one more, a
number at its edge, a row twice. Whatever they are, they are answered as described or refused in
words, and whole as they were (`answers_stay`), which holds what nobody thought of asking.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Iterator
from random import Random
from typing import Any

import pytest

from shared.ask import OWN_FAULT, answer
from tests.engine.cases import load_cases
from tests.engine.described import not_as_described

CASES = load_cases()
ANSWERED, ASKED = 16, 48  # questions beside each case: those answered, and at most so many asked
MOST_ROWS = 60  # a record of years is varied by its short siblings

Place = tuple[Any, ...]  # keys and indices from the question down


def places(value: Any, at: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Every place of a question but its `ask`, with what stands there."""
    inner = (
        value.items()
        if isinstance(value, dict)
        else enumerate(value[:MOST_ROWS])
        if isinstance(value, list)
        else ()
    )
    for key, one in inner:
        if (*at, key) != ("ask",):
            yield (*at, key), one
            yield from places(one, (*at, key))


def form(ask: str, at: Place) -> Place:
    """A place of any question of this kind: indices do not matter."""
    return (ask, *("" if isinstance(key, int) else key for key in at))


def collect() -> tuple[dict[Place, list[Any]], dict[Place, list[str]]]:
    """What stands at each place in any case, and the fields of each object."""
    values: dict[Place, list[Any]] = {}
    fields: dict[Place, list[str]] = {}
    for case in CASES:
        ask = case["question"]["ask"]
        for at, value in places(case["question"]):
            where = form(ask, at)
            if value not in values.setdefault(where, []):
                values[where].append(value)
            if isinstance(at[-1], str) and at[-1] not in fields.setdefault(where[:-1], []):
                fields[where[:-1]].append(at[-1])
    return values, fields


VALUES, FIELDS = collect()


def other_number(value: float, chance: Random) -> Any:
    near = [0, 1, 2, 3, 4, value + 1, value - 1, -value, value * 2, value / 2, int(value)]
    return chance.choice([*near, value * 1.1, round(value / 3, 2), 10 ** chance.randrange(1, 7)])


def other(value: Any, where: Place, chance: Random) -> Any:
    """Something else for this place."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float) and chance.random() < 0.8:
        return other_number(value, chance)
    if isinstance(value, list) and value and chance.random() < 0.7:
        return chance.choice([value[1:], value[:-1], [*value, value[-1]], value[::-1], value[:1]])
    return copy.deepcopy(chance.choice(VALUES[where]))


def vary(question: dict[str, Any], chance: Random) -> None:
    """One change: a field taken out, one brought in from another case, or something else in one."""
    ask, found = question["ask"], list(places(question))
    if not found or chance.random() < 0.3:
        objects = [((), question), *(f for f in found if isinstance(f[1], dict))]
        at, value = chance.choice(objects)
        lacking = [f for f in FIELDS.get(form(ask, at), []) if f not in value]
        if lacking:
            field = chance.choice(lacking)
            value[field] = copy.deepcopy(chance.choice(VALUES[form(ask, (*at, field))]))
            return
    if not found:
        return
    at, value = chance.choice(found)
    parent = question
    for key in at[:-1]:
        parent = parent[key]
    if chance.random() < 0.15:
        del parent[at[-1]]
    else:
        parent[at[-1]] = other(value, form(ask, at), chance)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["id"])
def test_questions_beside_a_case_are_answered_as_described_or_refused_in_words(
    case: dict[str, Any],
) -> None:
    chance, answered = Random(case["id"]), 0
    for _ in range(ASKED):
        question = copy.deepcopy(case["question"])
        for _ in range(chance.choice([1, 1, 2, 3])):
            vary(question, chance)
        found = json.loads(answer(json.dumps(question)))
        if found["ok"]:
            assert not_as_described(question["ask"], found) == [], question
            answered += 1
        else:
            assert found["error"]["field"] != OWN_FAULT and found["error"]["why"], question
        if answered == ANSWERED:
            break
