"""The walls of the house: who may lean on whom, in Python and in the page's scripts."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from server.settings import ROOT

PAGE = ROOT / "static"
SQL = re.compile(r"\b(SELECT|INSERT INTO|UPDATE|DELETE FROM|PRAGMA|CREATE TABLE)\b")
SQL_ROOMS = {"store.py", "migrations.py", "backups.py"}
IMPORT = re.compile(
    r"""(?:^|\n)\s*(?:import|export)\s[^;]*?from\s*"([^"]+)"|import\("([^"]+)"\)|^import "([^"]+)";"""
)
# who may import these; every other script of the page may not
ONLY_FOR = {
    "journal.js": {
        "keeper.js",
        "counting.js",
        "timing.js",
        "record.js",
        "reckoning.js",
        "sync.js",
        "workshop.js",
    },
    "looking.js": {"journal.js", "record.js"},
    "transaction.js": {"journal.js", "looking.js", "workshop.js"},
    "database.js": {"journal.js", "transaction.js", "ahead.js"},
    "sync.js": {"keeper.js"},
    "engine.js": {"plain-answers.js", "keeper.js", "reckoning.js"},
    "plain-answers.js": {"store.js", "reckoning.js"},
    "vendor/idb.js": {"transaction.js"},
    "vendor/micropython.mjs": {"engine-worker.js"},
    "app.js": set(),
}


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


def scripts() -> dict[str, set[str]]:
    """Script of the page -> what it imports, both as paths below static/."""
    out: dict[str, set[str]] = {}
    for path in sorted(PAGE.rglob("*.js")):
        name = path.relative_to(PAGE).as_posix()
        if name.startswith(("node_modules/", "vendor/")) or name == "eslint.config.js":
            continue
        code = re.sub(
            r"/\*.*?\*/", "", path.read_text("utf-8"), flags=re.DOTALL
        )  # types are named in comments
        wanted = {a or b or c for a, b, c in IMPORT.findall(code)}
        assert all(w.startswith(("./", "../")) for w in wanted), (name, wanted)
        out[name] = {(path.parent / w).resolve().relative_to(PAGE).as_posix() for w in wanted}
    return out


def test_every_import_of_the_page_leads_to_a_file() -> None:
    found = scripts()
    assert len(found) > 20 and sum(len(each) for each in found.values()) > len(found)
    assert {t for each in found.values() for t in each if not (PAGE / t).is_file()} == set()


@pytest.mark.parametrize("behind", sorted(ONLY_FOR))
def test_what_stands_behind_the_store_is_not_reached_past_it(behind: str) -> None:
    reached_from = {name for name, each in scripts().items() if behind in each}
    assert reached_from <= ONLY_FOR[behind]


def test_pictures_know_no_store() -> None:
    for name, each in scripts().items():
        if name.startswith("pictures/"):
            assert {t for t in each if not t.startswith(("pictures/", "vendor/"))} <= {
                "figures.js",
                "plainly.js",
            }, name


def test_no_script_knows_an_address_outside() -> None:
    for name in scripts():
        text = (PAGE / name).read_text("utf-8").replace("http://www.w3.org/", "")
        assert not re.search(r"""["'`(](?:https?:)?//[a-z]""", text), name
