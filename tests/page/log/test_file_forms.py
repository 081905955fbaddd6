"""What a file of the log is made of, read without a browser: its entries out of any portions, and which of
them are changes. Expected: what Python's json and the engine's own schema say.
"""

from __future__ import annotations

import copy
import json
import random
from typing import Any

import pytest

from shared.log.schema import SHAPES, problem
from tests.page.modules import Modules

SPLIT = """async (texts) => {
  const { Splitter } = await import("/log/file-parts.js"), splitter = new Splitter(), out = [];
  try {
    for (const text of texts) for (const part of splitter.push(text)) out.push([part.line, part.head, part.text]);
    splitter.end();
  } catch (error) { out.push(["broken", error.line]); }
  return out;
}"""

HEAD = {"ask": "fold", "v": 1, "device": "phone", "workshop": "a" * 32, "log": None}
NASTY = [
    {"device": "a", "seq": 1, "value": 'quoted " and \\ and \\" }]{[ , "changes":['},
    {"device": "a", "seq": 2, "value": {"changes": [[1, {}], [], "\\"]}},
    {"device": "ü\U0001f528", "seq": 3, "value": "\n\t\u2028"},
    {"device": "b", "seq": 1, "over": [{"device": "a", "seq": 1}]},
]


def chopped(text: str, rng: random.Random) -> list[str]:
    """The same text in portions of any length."""
    out, at = [], 0
    while at < len(text):
        n = rng.choice((1, 1, 2, 3, 7, 40))
        out.append(text[at : at + n])
        at += n
    return out


@pytest.mark.parametrize("seed", range(12))
def test_both_forms_of_a_file_give_their_entries_whatever_the_portions(
    modules: Modules, seed: int
) -> None:
    rng = random.Random(seed)
    ascii_only = seed % 2 == 0
    rows = [json.dumps(c, ensure_ascii=ascii_only) for c in NASTY]
    one = json.dumps(HEAD | {"changes": NASTY}, ensure_ascii=ascii_only, indent=seed % 3 or None)
    got = modules.evaluate(SPLIT, chopped(one, rng))
    assert [json.loads(text) for _, head, text in got if not head] == NASTY
    ((_, _, head),) = [each for each in got if each[1]]
    assert json.loads(head) == HEAD | {"changes": []}
    lines = "\r\n".join([json.dumps({"workshop": "a" * 32}), *rows, ""])
    got = modules.evaluate(SPLIT, chopped(lines, rng))
    assert [line for line, _, _ in got] == [1, 2, 3, 4, 5]
    assert [json.loads(text) for _, _, text in got][1:] == NASTY
    tail = modules.evaluate(SPLIT, chopped(json.dumps({"changes": NASTY, "after": {}}), rng))
    assert [json.loads(text) for _, head, text in tail if not head] == NASTY


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ('{"device": "a"}\n{"device": "b\n{"device": "c"}\n', 2),  # a text runs over the line's end
        ('{"device": "a"}\nnot json\n{"device": "c"}\n', 3),
        ('{"device": "a"}\n{"device": "c", ', 2),
        ('{"v": 1, "changes": [{"device": "a"}, {"dev', 1),
        ('{"v": 1, "changes": [{"device": "a"}, 7, {"device": "b"}]}', 1),
        ('{"v": 1, "changes": [{"device": "a"}', 1),
        ('{"device": "a"}}\n', 1),
    ],
)
def test_an_entry_that_is_not_whole_is_named_by_its_line(
    modules: Modules, text: str, line: int
) -> None:
    assert modules.evaluate(SPLIT, [text])[-1] == ["broken", line]
    assert modules.evaluate(SPLIT, list(text))[-1] == ["broken", line]


GOOD: list[dict[str, Any]] = [
    {"kind": "count", "piece": "p", "step": "close", "n": 3, "how": "tap", "sitting": "s"},
    {"kind": "count", "piece": "p", "step": "close", "n": -3, "undoes": {"device": "a", "seq": 1}},
    {"kind": "count", "piece": "p", "step": "close", "n": -2, "how": "stocktake", "found": 4},
    {"kind": "count", "piece": "p", "step": "close", "n": -2, "how": "correct", "sitting": "s"},
    {"kind": "scrap", "piece": "p", "panel": "a", "step": "close", "n": 1, "why": ""},
    {"kind": "hold", "piece": "p", "step": "close", "n": 1, "why": "bounce"},
    {"kind": "sitting", "piece": "p", "step": "close", "sitting": "s", "event": "start"},
    {"kind": "sitting", "piece": "p", "step": "close", "sitting": "s", "event": "trim",
     "from_ms": 5, "to_ms": 9, "keep_min": 2.5},
    {"kind": "sitting", "piece": "p", "step": "close", "sitting": "s", "event": "correct",
     "deleted": False, "stamp": [7, 0]},
    {"kind": "set", "thing": "piece", "id": "p", "field": "name", "value": {"a": [1, None]},
     "stamp": [7, 1], "over": [{"device": "a", "seq": 2}]},
]  # fmt: skip
VALUES: list[Any] = [
    None, True, False, 0, 1, -1, 2.5, -2.5, 200000, 1000000, 1000001, 2**53, 4102444800001, "", "tap",
    "stocktake", "correct", "trim", "go", "x" * 200, "x" * 201, "\U0001f528" * 200, "\U0001f528" * 201,
    "x" * 2000, "x" * 2001, [], {}, [1, 2], [1, 2, 3], [[]], {"device": "a", "seq": 1},
    {"device": "", "seq": 1}, [{"device": "a", "seq": 0}], [{"device": "a", "seq": 1}] * 101, 1e301,
    [0] * 19999, [0] * 20000, {"toString": 1}, "constructor",
]  # fmt: skip


def altered(rng: random.Random) -> Any:
    """A change that is good, or has up to three fields that may not be."""
    change = {"device": "a", "seq": 4, "at": 1000, "tz": 60, "v": 1} | copy.deepcopy(
        rng.choice(GOOD)
    )
    names = sorted({name for shape in SHAPES.values() for name, _, _ in shape})
    for _ in range(rng.randrange(4)):
        name = rng.choice([*names, *change, "kind"])
        if rng.random() < 0.2:
            change.pop(name, None)
        else:
            change[name] = rng.choice(VALUES)
    return change


def test_the_page_and_the_engine_agree_on_what_a_change_is(modules: Modules) -> None:
    rng = random.Random(7)
    rows = [altered(rng) for _ in range(6000)] + [None, 7, "x", [], {}, [GOOD[0]]]
    rows += [{"device": "a", "seq": 4, "at": 1, "tz": 0, "v": 1} | good for good in GOOD]
    said = modules.evaluate(
        "async (rows) => (await import('/log/change-form.js').then(({ isChange }) => rows.map(isChange)))",
        rows,
    )
    expected = [problem(row) is None for row in rows]
    differ = [row for row, ours, theirs in zip(rows, said, expected, strict=True) if ours != theirs]
    assert differ == []
    assert 500 < sum(expected) < 5500, "both kinds are met"
