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
        r'rel="modulepreload" href="./([^"]+)"', (STATIC / "index.html").read_text("utf-8")
    )
    assert sorted(said) == sorted(needed)


def test_nothing_but_the_first_screen_is_asked_for_before_it_stands() -> None:
    page = (STATIC / "index.html").read_text("utf-8")
    assert re.findall(r'<script[^>]*src="./([^"]+)"', page) == ["log/open.js", "app.js"]
    assert re.findall(r'rel="stylesheet" href="./css/([^"]+)"', page) == [
        "tokens.css",
        "base.css",
        "bench.css",
    ]
