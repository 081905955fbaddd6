"""What a room hands out is described where it stands."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SHARED = Path(__file__).parents[2] / "shared"
ROOMS = sorted({path.parent for path in SHARED.rglob("*.py")})
LEAST = 0.95  # share of public functions, methods, properties and classes with a docstring


def public(body: list[ast.stmt]) -> Iterator[ast.FunctionDef | ast.ClassDef]:
    """Functions and classes without a leading underscore, and those inside such classes."""
    for node in body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
            yield node
            if isinstance(node, ast.ClassDef):
                yield from public(node.body)


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_nearly_all_that_is_public_has_a_docstring(room: Path) -> None:
    found = [
        (f"{path.name}: {node.name}", ast.get_docstring(node))
        for path in sorted(room.glob("*.py"))
        for node in public(ast.parse(path.read_text(encoding="utf-8")).body)
    ]
    bare = [name for name, text in found if not text]
    assert len(bare) <= (1 - LEAST) * len(found), bare


@pytest.mark.parametrize("path", sorted(SHARED.rglob("*.py")), ids=lambda p: str(p.name))
def test_every_module_opens_with_what_it_is(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(ast.parse(text)) or not text.strip()
