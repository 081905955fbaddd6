"""The table of sentences and the code that reads it: nothing missing, nothing left over, no sentence
anywhere else.
"""

from __future__ import annotations

import ast
import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from shared.base.sentences import sentence

SHARED = Path(__file__).parents[2] / "shared"
TABLE = json.loads((SHARED / "tables" / "sentences_en.json").read_text(encoding="utf-8"))
KEYS = {f"{room}.{name}": text for room in TABLE for name, text in TABLE[room].items()}
FILES = sorted(SHARED.rglob("*.py"))
VALUE = re.compile(r"\{([a-z_0-9]+)\}")

# Functions that hand a key on to `sentence`, and the keys they make of it.
ON = {"sentence": ("",), "_refusal": ("", "_example")}

# Three words in a row are no name, no key and no example: a maker would read them as English.
ENGLISH = re.compile(r"[A-Za-z]{2,} [a-z']+ [a-z']{2,}|[a-z]+ [a-z]+\.$")

# Texts of three words that no maker reads as a sentence: each with its reason.
NOT_SENTENCES = {
    '{"p50": 120, "p80": 150}, or one number': "money/price.py: an example of a value",
}


def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def texts(node: ast.AST) -> list[str]:
    """The texts an expression can be: of a condition both, of anything worked out none."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return [node.value]
    if isinstance(node, ast.IfExp):
        return texts(node.body) + texts(node.orelse)
    return []


def literals(module: ast.Module) -> Iterator[ast.Constant]:
    """Every text in the code but docstrings and annotations."""
    skipped = set()
    for node in ast.walk(module):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            skipped.add(id(node.value))
        for name in ("annotation", "returns"):
            if getattr(node, name, None) is not None:
                skipped.update(id(part) for part in ast.walk(getattr(node, name)))
    for node in ast.walk(module):
        text = isinstance(node, ast.Constant) and isinstance(node.value, str)
        if text and id(node) not in skipped:
            yield node


def calls() -> Iterator[tuple[str, list[str], set[str] | None]]:
    """(where, keys it may be, values) of every call with its key in the code; no values by `**`."""
    for path in FILES:
        for node in ast.walk(tree(path)):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id not in ON or not node.args:
                continue
            given = {k.arg for k in node.keywords}
            for ending in ON[node.func.id]:
                keys = [key + ending for key in texts(node.args[0])]
                values = None if None in given else given | ({"example"} if ending else set())
                if keys:
                    yield f"{path.relative_to(SHARED)}:{node.lineno}", keys, values


def test_every_sentence_asked_for_is_in_the_table():
    missing = [f"{where} {key}" for where, keys, _ in calls() for key in keys if key not in KEYS]
    assert missing == []


def test_a_sentence_is_given_exactly_the_values_it_names():
    """Of two sentences to choose from, each value is in one of them at least. Keys put together at
    run time are reached by the cases: a value that is missing fails there.
    """
    wrong = []
    for where, keys, values in calls():
        named = {value for key in keys for value in VALUE.findall(KEYS[key])}
        if values is not None and values != named:
            wrong.append(f"{where} {keys}: {sorted(values)}, not {sorted(named)}")
    assert wrong == []


def used(key: str, words: list[set[str]]) -> bool:
    """Named whole; by its beginning, as `forecast.work_`; by the key before an ending such as
    `_example`; or by its name in a file that puts the room before it.
    """
    room, name = key.split(".")
    everywhere = set().union(*words)
    cuts = [i for i, letter in enumerate(key) if letter == "_"]
    if key in everywhere or any(key[: i + 1] in everywhere for i in cuts):
        return True
    if any(key[:i] in everywhere and key[i:] in everywhere for i in cuts):
        return True
    return any(room + "." in here and name in here for here in words)


def test_every_sentence_of_the_table_is_used():
    words = [{str(node.value) for node in literals(tree(path))} for path in FILES]
    assert [key for key in KEYS if not used(key, words)] == []


def test_braces_typed_into_a_value_stay_as_they_are():
    assert sentence("base.kind_text", text="{text} {n}") == "the text '{text} {n}'"


def test_a_sentence_begins_and_ends_like_one_or_is_a_phrase_without_an_end():
    for key, text in KEYS.items():
        assert text == text.strip() and "  " not in text, key
        assert not text.endswith((",", ":", " ")), key
        assert text.count("{") == text.count("}") == len(VALUE.findall(text)), key


@pytest.mark.parametrize(
    "path",
    FILES,
    ids=lambda path: str(path.relative_to(SHARED)),
)
def test_no_sentence_stands_outside_the_table(path):
    found = [
        f"{path.name}:{node.lineno}: {node.value}"
        for node in literals(tree(path))
        if ENGLISH.search(node.value) and node.value not in NOT_SENTENCES
    ]
    assert found == []
