"""The server's table of sentences and the code that reads it: nothing missing, nothing left over."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

from server.sentences import TABLE, sentence
from server.settings import ROOT

TEXTS = {f"{module}.{name}": text for module in TABLE for name, text in TABLE[module].items()}


def keys(node: ast.expr) -> list[str]:
    """The keys an argument can be: of a condition both."""
    if isinstance(node, ast.IfExp):
        return keys(node.body) + keys(node.orelse)
    return [node.value] if isinstance(node, ast.Constant) and isinstance(node.value, str) else []


def calls() -> Iterator[tuple[str, str, set[str] | None]]:
    """(module, key, names of its values) of each call; no names where they come by `**`."""
    for path in sorted((ROOT / "server").glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Name):
                continue
            if node.func.id == "sentence":
                names = {keyword.arg or "" for keyword in node.keywords}
                for key in keys(node.args[0]):
                    yield path.stem, key, None if "" in names else names


def test_every_sentence_is_in_the_table_under_its_module_and_every_one_is_used():
    asked = list(calls())
    assert {key for _, key, _ in asked} == set(TEXTS)
    assert [(module, key) for module, key, _ in asked if key.split(".")[0] != module] == []


def test_a_sentence_gets_the_values_it_names():
    for module, key, names in calls():
        wanted = set(re.findall(r"\{(\w+)\}", TEXTS[key]))
        assert names is None or (wanted <= names if key.startswith("cli.") else wanted == names), (
            module,
            key,
        )


def test_braces_in_a_value_stay_as_they_are():
    assert sentence("backups.no_source", source="{source}").startswith("{source} is not there")
