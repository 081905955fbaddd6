"""Every text of the page is in `static/texts/`: each one is used, no screen shows another, and the
rule for it bites. A pseudo-language that marks every text stands for a second language: it has the
same keys, and what a finished screen shows unmarked was written somewhere else.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.page.desk import ask, go, still, synced, until
from tests.page.format.test_words import FILL, read
from tests.page.invented import invented, send
from tests.page.modules import NODE, STATIC, Modules
from tests.page.screens import WAYS
from tests.running import Serving, started

IMPORT = re.compile(r'import \{([^}]+)\} from "[./]*texts/texts\.js"')
KEYS = """async () => {
  const paths = (value, path) => typeof value === "object" && !Array.isArray(value)
    ? Object.entries(value).flatMap(([key, inner]) => paths(inner, [...path, key])) : [path];
  return Object.entries(await import("/texts/en.js")).flatMap(([room, all]) => paths(all, [room]));
}"""


def used() -> set[str]:
    """Texts and groups of texts that modules name, as `room.group.key`."""
    own = (STATIC / "texts" / "en.js").read_text("utf-8")
    found = set(re.findall(r"[:(] ?((?:format|ui|bench|forms|plan)(?:\.[A-Za-z_]\w*)+)", own))
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


# Nothing is marked that is not for a maker: how the language is called, and patterns of the engine's sentences.
# Days are written with digits, so that no name of a month stands unmarked.
PSEUDO = """
import * as en from "./en.js";
const PLAIN = ["language", "rewrites"];
const inner = (text) => text.replace(/\\[([^\\]]*)\\]/g, "[⟦$1⟧]").replace(/\\*\\*(.*?)\\*\\*/g, "**⟦$1⟧**").replace(/`([^`]*)`/g, "`⟦$1⟧`");
const marked = (text, key) => {
  if (key === "locale") return "ja";
  if (PLAIN.includes(key) || text === "") return text;
  if (typeof text === "string") return `⟦${inner(text)}⟧`;
  if (typeof text === "function") return (...values) => marked(text(...values));
  if (Array.isArray(text)) return text.map((one) => marked(one));
  return Object.fromEntries(Object.entries(text).map(([name, one]) => [name, marked(one, name)]));
};
"""


def pseudo_language(modules: Modules) -> str:
    rooms = modules.evaluate("async () => Object.keys(await import('/texts/en.js'))")
    return PSEUDO + "".join(f"export const {room} = marked(en.{room});\n" for room in rooms)


# what the engine answers and what makers typed is not the page's own text
LISTEN = """
const found = new Set();
const gather = (value) => {
  if (typeof value === "string") [value, ...value.split(/(?<=[.:;?]) /)].forEach((one) => found.add(one));
  else if (value && typeof value === "object") Object.values(value).forEach(gather);
};
const asked = store.ask.bind(store);
store.ask = (question) => asked(question).then(
  (answer) => (gather(answer), answer), (error) => { gather(error.why); throw error; });
window.given = async () => {
  gather((await allChanges()).flatMap((c) => [c.value, c.why, ...Object.keys(c.value ?? {})]));
  for (const { id } of store.things("piece")) gather([store.answers.plan(id), store.answers.standing(id)]);
  gather(store.answers.forecast);
  const { pairing, inGroups } = await import("/store/pairing.js");
  if (pairing.code) gather(inGroups(pairing.code.code));
  return [...found].filter((text) => /[a-z]/i.test(text));
};
"""
GIVEN = "return window.given();"
MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
UNITS = re.compile(r"\b(mm|kg/m²|m²|m|g|kg|h|min|s)\b")


def without_marked(text: str) -> str:
    while MARKED.search(text):
        text = MARKED.sub(" ", text)
    return text


def has_letters(text: str) -> bool:
    """Beside units."""
    return bool(re.search(r"[^\W\d_]{2,}", UNITS.sub(" ", text)))


def unmarked(texts: list[str], given: list[str]) -> list[str]:
    """Texts that still have letters once marked ones, given ones and units are taken out."""
    rests = [(text, without_marked(text)) for text in texts]
    doubtful = [(text, rest.lower()) for text, rest in rests if has_letters(rest)]
    if not doubtful:
        return []
    plain = {without_marked(one).strip().lower() for one in given}
    longest_first = sorted(plain - {""}, key=lambda one: (-len(one), one))
    found = []
    for text, rest in doubtful:
        for one in longest_first:
            rest = rest.replace(one, " ")
        if has_letters(rest):
            found.append(text[:160])
    return found


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """A server of the invented workshop that sends every module by itself, so that one can differ."""
    with started(tmp_path_factory.mktemp("unpacked") / "served", "--unpacked") as server:
        send(server.url, invented())
        yield server


@pytest.fixture(scope="module")
def foreign(browser: Browser, unpacked: Serving, modules: Modules) -> Iterator[Page]:
    """A device whose page speaks the pseudo-language, with every field filled in; it sends nothing."""
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
    ask(page, LISTEN)
    synced(page)
    context.route("**/api/sync", lambda route: route.abort())
    (piece, *_) = ask(page, FILL)
    ask(
        page,
        "await store.setOwn('said_lacks',"
        " ['vibration', 'wake lock', 'background sync', 'voice', 'sound']);",
    )
    until(page, "return store.answers.forecast && store.answers.plan(given);", piece)
    yield page
    context.close()


def turn(page: Page, way: str) -> None:
    """To another screen of the same page, which goes on listening."""
    page.evaluate("(way) => { location.hash = way; }", way)
    page.locator(f"html[data-screen={way.split('/')[0]}]").wait_for(state="attached")
    still(page)


def shows_only_texts(page: Page, root: str = "body", least: int = 1) -> None:
    texts = read(page, root)
    assert len([text for text in texts if "⟦" in text]) >= least
    assert unmarked(texts, ask(page, GIVEN)) == []


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


@pytest.mark.parametrize("way", WAYS)
def test_no_screen_shows_a_text_from_elsewhere(foreign: Page, way: str) -> None:
    turn(foreign, way)
    shows_only_texts(foreign, least=10)


BENCH_SHEETS = [
    "document.querySelector('.lane-name').click();",
    "document.querySelector('.undo-list').click();",
    "document.querySelector('rw-bench').choose(true);",
    "const bench = document.querySelector('rw-bench'); bench.choose(false);"
    " [...bench.lanes.values()][0].offer(5000);",
]
# One sitting opened (reading opens and shuts them all), its deletion asked for.
ASK_TO_DELETE = """
const all = (what) => [...document.querySelectorAll(".sittings " + what)];
const there = async (what) => { while (!all(what).length) await new Promise((f) => setTimeout(f, 20)); };
if (!all(".ask .main").length) {
  for (const row of all("li details")) row.open = false;
  while (all(".ends").length) await new Promise((f) => setTimeout(f, 20));
  all("li details")[0].open = true;
  await there(".ends");
  all(".ends button:not(.main)")[0].click();
  await there(".ask .main");
}
"""
# What the server would say of paired devices, and of a code that phones can use.
LISTED = """
const { pairing } = await import("/store/pairing.js"), at = { made_ms: 1, seen_ms: 1, removed_ms: 1 };
const named = (id) => ({ id, name: `⟦${id}⟧`, device: null, ...at });
Object.assign(pairing, { list: { you: 1, devices: [1, 2, 3].map(named), removed: [named(4)] }, problem: null });
store.sync.now.waiting = 3;
pairing.changed();
"""
REFUSED = """
const { pairing, Problem } = await import("/store/pairing.js");
Object.assign(pairing, { list: null, problem: new Problem("KIND", "⟦why⟧") });
pairing.changed();
"""
CODE = """
const { pairing } = await import("/store/pairing.js");
const code = { code: "KTRMWHPD", until_ms: Date.now() + 500000, address: "https://a.example", qr: ["10", "01"] };
pairing.code = { ...code, fingerprint: ["7F2C", "91A4"], guide: true };
pairing.joined = null;
pairing.codeOver = false;
clearInterval(document.querySelector("rw-setup").behind.add.timer);
pairing.changed();
"""
# each is done on its screen, whose texts are read then
MORE = {
    "forecast": [
        "document.querySelector('rw-trial').open(store.answers.plan('coif').steps.find((s) => s.step === 'close'));",
        "const trial = document.querySelector('rw-trial'); trial.begin(); trial.made(1);",
        "document.querySelector('rw-trial').close(); store.setSetting('queue', 'in_order');"
        " store.set('piece', 'coif', { due: '2020-01-05' });"
        " document.querySelector('.due ~ form, form.row').requestSubmit();",
        "store.setSetting('currency', 'XQQ');",
    ],
    "stock": [
        "const [reel] = store.things('reel'); await store.set('reel', reel.id, { empty_g: 99999 });",
        "for (const { id } of store.things('reel')) await store.set('reel', id, { deleted: true });",
    ],
    "setup": [
        "document.querySelector('.deeds button').click();",
        "Object.assign(store.sync.now, { state: 'refused', why: '⟦why⟧' }); store.emit('sync');",
        "store.sync.now.state = 'unpaired'; store.emit('sync');",
        "store.sync.now.state = 'offline'; store.emit('sync');",
        "document.querySelector('.where details').open = true;",
        "document.querySelector('.whose > button').click();",
        "document.querySelector('.whose .question button:not(.main)').click();",
        "store.sync.now.served = '89abcdef01234567'; store.emit('sync', store.sync.now);",
        "document.querySelector('.whose button').click();",
        "document.querySelector('.whose .question button:not(.main)').click();",
    ],
    "setup/devices": [
        LISTED,
        "document.querySelector('.devices li:nth-child(1) button').click();",
        "document.querySelector('.devices li:nth-child(2) .taking').click();",
        "document.querySelector('.devices li:nth-child(1) .taking')?.click();"
        " document.querySelector('.devices input[type=checkbox]')?.click();",
        "document.querySelector('.devices > .taking').click();",
        REFUSED.replace("KIND", "unpaired"),
        REFUSED.replace("KIND", "away"),
    ],
    "setup/add": [
        CODE,
        "const { pairing } = await import('/store/pairing.js'); pairing.codeOver = true; pairing.changed();",
        "const { pairing } = await import('/store/pairing.js');"
        " pairing.joined = { name: '⟦Phone⟧' }; pairing.changed();",
    ],
    "setup/pair": [
        REFUSED.replace("KIND", "away"),
        LISTED,
    ],
    "records/sittings": [
        "const form = document.querySelector('#fg-items').form; form.requestSubmit();",
        ASK_TO_DELETE,
        ASK_TO_DELETE + "document.querySelector('.sittings .ask .main').click();",
        "await document.querySelector('rw-records').parts.get('sittings').load();",
    ],
}


@pytest.mark.parametrize("way", sorted(MORE))
def test_nor_does_what_opens_on_it(foreign: Page, way: str) -> None:
    turn(foreign, way)
    read(foreign)
    for script in MORE[way]:
        ask(foreign, script)
        still(foreign)
        shows_only_texts(foreign)


def test_sheets_and_cards_of_the_bench_show_no_text_from_elsewhere(foreign: Page) -> None:
    turn(foreign, "bench")
    for script in BENCH_SHEETS:
        ask(foreign, script)
        still(foreign)
        sheet = foreign.locator("dialog[open]").count() > 0
        shows_only_texts(foreign, "dialog[open]" if sheet else "rw-bench")
        foreign.evaluate("() => document.querySelector('dialog[open]')?.close()")


def test_every_change_is_told_in_texts(foreign: Page) -> None:
    say = """const { inWords } = await import("/screens/records/change-words.js");
      return [...new Set((await allChanges()).map((c) => inWords(c)))];"""
    told = ask(foreign, say)
    assert len(told) > 150
    assert unmarked(told, ask(foreign, GIVEN)) == []


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
