"""The engine's Python as it travels to the page: without comments and docstrings."""

from __future__ import annotations

import ast
import io
import threading
import tokenize
from functools import lru_cache

# Two threads in `ast.parse` at once can fail with "recursion depth mismatch" (CPython issue 106905,
# where a garbage collection lets the other thread in).
_PARSING = threading.Lock()
_DOCUMENTED = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)


def _docstrings(source: str) -> dict[tuple[int, int], str]:
    """Where each docstring begins -> what stands in its place: a body of nothing else needs `pass`."""
    found: dict[tuple[int, int], str] = {}
    with _PARSING:
        tree = ast.parse(source)
    for node in ast.walk(tree):
        if not isinstance(node, _DOCUMENTED) or ast.get_docstring(node, clean=False) is None:
            continue
        alone = len(node.body) == 1 and not isinstance(node, ast.Module)
        found[(node.body[0].lineno, node.body[0].col_offset)] = "pass" if alone else ""
    return found


@lru_cache(maxsize=400)
def lean_source(source: str) -> str:
    """The same program without comments, docstrings and empty lines."""
    documented = _docstrings(source)
    lines = source.split("\n")
    inside: set[int] = set()  # rows within a text of several lines, which stay as they are
    cuts: list[tuple[tuple[int, int], tuple[int, int], str]] = []
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type == tokenize.COMMENT:
            cuts.append((token.start, token.end, ""))
        elif token.type == tokenize.STRING and token.start in documented:
            cuts.append((token.start, token.end, documented[token.start]))
        elif token.end[0] > token.start[0] and token.type != tokenize.NL:
            inside.update(range(token.start[0], token.end[0] + 1))
    for (row, column), (last, end), text in sorted(cuts, reverse=True):
        lines[row - 1 : last] = [lines[row - 1][:column] + text + lines[last - 1][end:]] + [""] * (
            last - row
        )
    return "\n".join(
        line.rstrip() if row not in inside else line
        for row, line in enumerate(lines, 1)
        if line.strip() or row in inside
    ) + ("\n" if source.strip() else "")
