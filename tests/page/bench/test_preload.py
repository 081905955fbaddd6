"""The first screen's modules are asked for at once, not one after the other as each is read."""

from __future__ import annotations

import re

from tests.running import ROOT

STATIC = ROOT / "static"
FROM = re.compile(r'^(?:import|export)[^;]*?from\s+"([^"]+)"|^import\s+"([^"]+)"', re.MULTILINE)


def graph(name: str, seen: set[str]) -> set[str]:
    if name not in seen:
        seen.add(name)
        for found in FROM.finditer((STATIC / name).read_text("utf-8")):
            path = (STATIC / name).parent / (found[1] or found[2])
            graph(path.resolve().relative_to(STATIC).as_posix(), seen)
    return seen


def test_every_module_of_the_first_screen_is_preloaded() -> None:
    needed = graph("screens/bench/bench.js", graph("app.js", set()))
    said = re.findall(
        r'rel="modulepreload" href="./([^"]+)">', (STATIC / "index.html").read_text("utf-8")
    )
    assert sorted(said) == sorted(needed)


def test_what_follows_the_first_screen_is_asked_for_early_and_waits_its_turn() -> None:
    page = (STATIC / "index.html").read_text("utf-8")
    later = re.findall(r'href="./([^"]+)" fetchpriority="low"', page)
    sheets = {f"css/{path.name}" for path in (STATIC / "css").iterdir()}
    first = set(re.findall(r'rel="stylesheet" href="./([^"]+)"', page))
    assert {name for name in later if name.startswith("css/")} == sheets - first
    assert {"vendor/lit-html.js", "vendor/lit-directive.js"} < set(later)


def test_nothing_but_the_first_screen_is_asked_for_before_it_stands() -> None:
    page = (STATIC / "index.html").read_text("utf-8")
    assert re.findall(r'<script[^>]*src="./([^"]+)"', page) == ["log/open.js", "app.js"]
    assert re.findall(r'rel="stylesheet" href="./css/([^"]+)"', page) == [
        "tokens.css",
        "base.css",
        "bench.css",
    ]
