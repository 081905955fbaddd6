"""The papers keep up with the code: every setting, address and command is written down."""

from __future__ import annotations

import re
import tomllib
from dataclasses import fields
from importlib.metadata import packages_distributions

from server.app import ROUTES
from server.cli import main
from server.settings import ROOT, Settings

PAPER = (ROOT / "DEVELOPERS.md").read_text("utf-8")


def test_every_setting_is_written_down() -> None:
    assert [f.name for f in fields(Settings) if f"`{f.name}`" not in PAPER] == []


def test_every_address_is_written_down() -> None:
    assert [
        r.path for r in ROUTES if f"`{r.path}`" not in PAPER and f"`POST {r.path}`" not in PAPER
    ] == []


def test_every_command_is_written_down() -> None:
    assert [name for name in main.commands if f"`{name}`" not in PAPER] == []


HOP = re.compile(r"^\d+\. `([^`]+)` `([^`]+)`: ", re.MULTILINE)
WALKS = PAPER[PAPER.index("### Three walks") : PAPER.index("### shared/: the rules")]
MENTIONED = re.compile(r"`((?:shared|server|static|tests|demo)/[\w./-]+\.\w+)`")


def test_every_hop_of_the_three_walks_leads_to_a_file_and_what_it_names() -> None:
    hops = HOP.findall(WALKS)
    assert len(hops) == len(re.findall(r"^\d+\. ", WALKS, re.MULTILINE)) > 25
    for file, name in hops:
        text = (ROOT / file).read_text("utf-8")
        kind = (
            r"(?:def|class|function|const) "
            if file.endswith(".py")
            else r"(?:function |const |async |  )"
        )
        assert re.search(rf"{kind}{re.escape(name)}\b", text), (file, name)


FAILURES = PAPER[PAPER.index("### The 22 failures") : PAPER.index("## How to add")]


def test_each_of_the_22_failures_is_shown_by_tests_that_are_there() -> None:
    rows = re.findall(r"^\| (\d+) \| [^|]+ \| (.+) \|$", FAILURES, re.MULTILINE)
    assert [int(n) for n, _ in rows] == list(range(1, 23))
    for n, shown in rows:
        file, named = "", 0
        for word in re.findall(r"`([^`]+)`", shown):
            if word.startswith("tests/"):
                file = word
            else:
                text = (ROOT / file).read_text("utf-8")
                assert re.search(rf"^(?:async )?def {re.escape(word)}\(", text, re.MULTILINE), word
                named += 1
        assert named, n


def test_every_file_that_is_named_exists() -> None:
    for page in ("DEVELOPERS.md", "README.md"):
        named = MENTIONED.findall((ROOT / page).read_text("utf-8"))
        missing = [name for name in named if not (ROOT / name).exists()]
        assert [
            name for name in missing if not name.startswith(("static/vendor/", "tests/shots/"))
        ] == []


def test_every_library_that_is_asked_for_is_used() -> None:
    asked = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["dependencies"]
    sources = "\n".join(file.read_text("utf-8") for file in (ROOT / "server").rglob("*.py"))
    imported = set(re.findall(r"^\s*(?:import|from) (\w+)", sources, re.MULTILINE))
    for need in asked:
        library = re.split(r"[<>=]", need)[0]
        modules = {m for m, names in packages_distributions().items() if library in names}
        assert modules & imported, library
