"""Every text of the page is in `static/texts/`: each one is used, no screen shows another, and the
rule for it bites. A pseudo-language that marks every text stands for a second language: it has the
same keys, and what a finished screen shows unmarked was written somewhere else.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.page.desk import ask, go, synced, until
from tests.page.format.test_words import read
from tests.page.invented import invented, send
from tests.page.modules import NODE, STATIC, Modules
from tests.page.screens import show
from tests.running import Serving

IMPORT = re.compile(r'import \{([^}]+)\} from "[./]*texts/texts\.js"')
KEYS = """async () => {
  const paths = (value, path) => typeof value === "object" && !Array.isArray(value)
    ? Object.entries(value).flatMap(([key, inner]) => paths(inner, [...path, key])) : [path];
  return Object.entries(await import("/texts/en.js")).flatMap(([room, all]) => paths(all, [room]));
}"""


def used() -> set[str]:
    """Texts and groups of texts that modules name, as `room.group.key`."""
    found = set()
    for file in STATIC.rglob("*.js"):
        if {"vendor", "node_modules"} & set(file.parts):
            continue
        source = file.read_text("utf-8")
        for names in IMPORT.findall(source):
            for part in names.split(","):
                room, _, alias = part.strip().partition(" as ")
                for path in re.findall(rf"\b{alias or room}((?:\.[A-Za-z_]\w*)+)", source):
                    found.add(room + path.removesuffix(".map"))
    return found


def test_every_text_is_used(modules: Modules) -> None:
    names = used()
    unused = [
        ".".join(path)
        for path in modules.evaluate(KEYS)
        if not any(".".join(path[:end]) in names for end in range(2, len(path) + 1))
    ]
    assert unused == []


# nothing is marked that is not for a maker: how the language is called, and patterns of the engine's sentences
PSEUDO = """
import * as en from "./en.js";
const PLAIN = ["language", "locale", "rewrites"];
const marked = (text, key) => {
  if (PLAIN.includes(key) || text === "") return text;
  if (typeof text === "string") return `⟦${text}⟧`;
  if (typeof text === "function") return (...values) => marked(text(...values));
  if (Array.isArray(text)) return text.map((one) => marked(one));
  return Object.fromEntries(Object.entries(text).map(([name, one]) => [name, marked(one, name)]));
};
"""


def pseudo_language(modules: Modules) -> str:
    rooms = modules.evaluate("async () => Object.keys(await import('/texts/en.js'))")
    return PSEUDO + "".join(f"export const {room} = marked(en.{room});\n" for room in rooms)


# what the engine answered and what makers typed is not the page's own text
GIVEN = """
const found = new Set();
const gather = (value) => {
  if (typeof value === "string") [value, ...value.split(/(?<=[.])[ ]/)].forEach((one) => found.add(one));
  else if (value && typeof value === "object") Object.values(value).forEach(gather);
};
gather((await allChanges()).map((c) => c.value));
for (const { id } of store.things("piece")) gather([store.answers.plan(id), store.answers.standing(id)]);
return [...found].filter((text) => /[a-z]/i.test(text));
"""
MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
UNITS = re.compile(r"\b(mm|g|kg|h|min|s)\b")


def unmarked(texts: list[str], given: list[str]) -> list[str]:
    """Texts that still have letters once marked ones, given ones and units are taken out."""
    longest_first = sorted(given, key=lambda one: (-len(one), one))
    found = []
    for text in texts:
        rest = text
        while MARKED.search(rest):
            rest = MARKED.sub(" ", rest)
        for one in longest_first:
            rest = re.sub(re.escape(one), " ", rest, flags=re.IGNORECASE)
        if re.search(r"[^\W\d_]{2,}", UNITS.sub(" ", rest)):
            found.append(text[:160])
    return found


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """A server of the invented workshop that sends every module by itself, so that one can differ."""
    folder: Path = tmp_path_factory.mktemp("unpacked") / "served"
    folder.mkdir(mode=0o700)
    server = Serving(folder, "--unpacked")
    server.start()
    send(server.url, invented())
    yield server
    server.stop()


@pytest.fixture(scope="module")
def foreign(
    browser: Browser, unpacked: Serving, modules: Modules
) -> Iterator[tuple[Page, list[str]]]:
    """A device whose page speaks the pseudo-language; it sends nothing."""
    body = pseudo_language(modules)
    context = browser.new_context(
        viewport={"width": 1280, "height": 800}, service_workers="block", reduced_motion="reduce"
    )
    context.route(
        "**/texts/texts.js",
        lambda route: route.fulfill(body=body, content_type="text/javascript"),
    )
    page = context.new_page()
    go(page, unpacked.url)
    synced(page)
    context.route("**/api/sync", lambda route: route.abort())
    ask(
        page,
        "await store.setOwn('said_lacks',"
        " ['vibration', 'wake lock', 'background sync', 'voice', 'sound']);",
    )
    until(page, "return store.answers.forecast && store.answers.standing(given);", "aventail")
    yield page, list(ask(page, GIVEN))
    context.close()


SHAPES = """async (...sources) => {
  const shape = (value) => JSON.stringify(value, (_, inner) =>
    typeof inner === "object" ? inner : typeof inner);
  const [en, other] = await Promise.all(
    sources.map((source) => import("data:text/javascript," + encodeURIComponent(source))));
  return Object.keys(en).filter((room) => shape(en[room]) !== shape(other[room]));
}"""


def test_the_pseudo_language_has_the_same_texts(modules: Modules) -> None:
    english = f"{STATIC.as_uri()}/texts/en.js"
    other = pseudo_language(modules).replace("./en.js", english)
    assert modules.evaluate(SHAPES, f'export * from "{english}";', other) == []


def test_the_frame_and_the_bench_show_no_text_from_elsewhere(
    foreign: tuple[Page, list[str]], unpacked: Serving
) -> None:
    page, given = foreign
    show(page, unpacked.url, "bench")
    texts = read(page)
    assert len([text for text in texts if "⟦" in text]) > 10
    assert unmarked(texts, given) == []


def test_sheets_and_cards_of_the_bench_show_no_text_from_elsewhere(
    foreign: tuple[Page, list[str]], unpacked: Serving
) -> None:
    page, given = foreign
    show(page, unpacked.url, "bench")
    openers: list[tuple[str, str]] = [
        ("document.querySelector('.lane-name').click();", "dialog[open]"),
        ("document.querySelector('.undo-list').click();", "dialog[open]"),
        ("document.querySelector('rw-bench').choose(true);", "rw-bench"),
        (
            "const bench = document.querySelector('rw-bench'); bench.choose(false);"
            " [...bench.lanes.values()][0].offer(5000);",
            "rw-bench",
        ),
    ]
    for script, root in openers:
        ask(page, script)
        page.wait_for_timeout(400)
        texts = read(page, root)
        assert texts and unmarked(texts, given) == [], script
        page.evaluate("() => document.querySelector('dialog[open]')?.close()")


BAD = [
    "html`<p>Count them</p>`",
    "html`<p>${n} rings</p>`",
    'html`<button aria-label="Close the sheet">${icon}</button>`',
    'html`<input placeholder="a number">`',
    'const word = "Pause";',
    'const word = "Move back";',
    'const why = "there are too many rings here";',
    "const why = `${n} rings are missing.`;",
]
GOOD = [
    'html`<p class="soft bad">${text.count}</p>`',
    "html`<button aria-label=${text.close} title=${text.more}>${n} mm</button>`",
    'element.className = "lane free";',
    'document.querySelector("main > :not([hidden]) details");',
    'const path = "M12 3 a9 9 0 0 1 0 18 Z";',
    'if (event.key === "Escape") close();',
]


def refused(lines: list[str]) -> list[bool]:
    """Whether the rule refuses each line, as if it stood in ui/."""
    command: list[Any] = [NODE, "node_modules/eslint/bin/eslint.js", "--stdin", "--format", "json"]
    done = subprocess.run(
        [*command, "--stdin-filename", "ui/example.js"],
        input="\n".join(f"{{ {line} }}" for line in lines),
        cwd=STATIC,
        capture_output=True,
        text=True,
        check=False,
    )
    (answer,) = json.loads(done.stdout)
    at = {m["line"] for m in answer["messages"] if m["ruleId"] == "texts/no-text-outside"}
    return [number in at for number in range(1, len(lines) + 1)]


def test_the_rule_refuses_texts_and_nothing_else() -> None:
    assert refused([*BAD, *GOOD]) == [True] * len(BAD) + [False] * len(GOOD)
