"""What each room may use; which room may use which is held by import-linter and dependency-cruiser."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from server.settings import ROOT

PAGE = ROOT / "static"
SQL = re.compile(r"\b(SELECT|INSERT INTO|UPDATE|DELETE FROM|PRAGMA|CREATE TABLE)\b")
SQL_ROOMS = {"store.py", "migrations.py", "backups.py", "audit.py", "pairing.py"}


def imported(path: Path) -> set[str]:
    """Top-level packages this file imports; "." for its own."""
    found: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {name.name.split(".")[0] for name in node.names}
        elif isinstance(node, ast.ImportFrom):
            found.add("." if node.level else (node.module or "").split(".")[0])
    return found


def python_files(room: str) -> list[Path]:
    files = sorted((ROOT / room).rglob("*.py"))
    assert files
    return files


@pytest.mark.parametrize("path", python_files("shared"), ids=lambda p: p.name)
def test_the_engine_leans_on_nothing(path: Path) -> None:
    assert imported(path) <= {
        "__future__",
        ".",
        "math",
        "json",
        "datetime",
        "typing",
        "collections",
    }


@pytest.mark.parametrize("path", python_files("server"), ids=lambda p: p.name)
def test_the_server_leans_on_the_engine_only(path: Path) -> None:
    assert not imported(path) & {"tests", "demo", "bench", "workshop", "fill"}


@pytest.mark.parametrize("path", python_files("server"), ids=lambda p: p.name)
def test_sql_stays_in_its_rooms(path: Path) -> None:
    texts = [
        n.value for n in ast.walk(ast.parse(path.read_text("utf-8"))) if isinstance(n, ast.Constant)
    ]
    found = [t for t in texts if isinstance(t, str) and SQL.search(t)]
    assert bool(found) == (path.name in SQL_ROOMS), found


def scripts() -> list[Path]:
    """The page's own scripts."""
    found = [p for p in sorted(PAGE.rglob("*.js")) if not {"node_modules", "vendor"} & set(p.parts)]
    assert len(found) > 20
    return found


def test_no_script_knows_an_address_outside() -> None:
    for name in scripts():
        text = name.read_text("utf-8").replace("http://www.w3.org/", "")
        assert not re.search(r"""["'`(](?:https?:)?//[a-z]""", text), name
