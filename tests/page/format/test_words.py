"""No word of the program stands before a maker's eyes or ears: screens, cards, sheets, lists, drawn
and spoken.

What is looked for: names with an underscore, ids, `null` and its like, days written as 2026-11-25,
a word said
two times in a row. The workshop is the invented one with every field said that a form can write;
then faults are
provoked.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.page.desk import ask, still, until
from tests.page.invented import filled
from tests.page.screens import WAYS, device, show
from tests.running import ROOT, Serving

STATIC = ROOT / "static"

READ = """(root) => {
  const out = [], spoken = ["aria-label", "title", "placeholder", "alt", "aria-description", "aria-valuetext"];
  for (const e of document.querySelectorAll(`${root}, ${root} *`)) {
    if (!e.checkVisibility() && !e.matches("option, optgroup, title, desc")) continue;
    for (const name of spoken) if (e.getAttribute(name)) out.push(e.getAttribute(name));
    const own = [...e.childNodes].filter((n) => n.nodeType === 3).map((n) => n.data).join(" ").trim();
    if (own) out.push(own);
    if (e.matches("p, li, td, th, h1, h2, h3, dd, dt, legend, label, span, button, a, summary"))
      out.push(e.textContent);
  }
  return [...new Set(out.map((text) => text.replace(/\\s+/g, " ").trim()).filter(Boolean))];
}"""
UNFOLD = (
    "() => { for (const e of document.querySelectorAll('main > :not([hidden]) details')) e.open ="
    " true; }"
)
PROGRAM = [
    r"\b[a-z0-9]+_[a-z0-9_]+\b",  # names as the engine writes them
    r"\b(null|undefined|NaN|Infinity)\b|\[object|\{\}|\[\]",
    r"it is nothing|\bhow: [a-z]|\(mm\)",
    r"(?<![-\w])\d{4}-\d\d-\d\d\b(?!\.json)",  # a day as the log writes it
    r"\b(?!had\b|that\b)([A-Za-z]{3,}) \1\b",  # Panel Panel
]
WHEEL = re.compile("|".join(f"(?:{p})" for p in PROGRAM[:4]))
DOUBLED = re.compile(PROGRAM[4])

FILL = Path(__file__).parents[1].joinpath("every_field.js").read_text("utf-8")


def test_each_field_that_an_entity_can_have_is_written_somewhere_here() -> None:
    """Of what a maker makes; settings are the invented workshop's."""
    types = (STATIC / "entities.d.ts").read_text("utf-8")
    interfaces = re.findall(r"export interface (\w+) \{\n(.*?)\n\}", types, re.DOTALL)
    fields = {
        f"{name}.{field}"
        for name, body in interfaces
        if name not in ("SavedForecast", "Settings", "EntityKinds", "Entries")
        for field in re.findall(r"^  (?:/\*\*.*?\*/ )?(\w+)\??:", body, re.MULTILINE)
    }
    assert len(fields) > 80
    lacking = {f for f in fields if not re.search(rf"\b{f.split('.')[1]}\b", FILL)}
    assert lacking == set()


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """The invented workshop for this file alone: its devices send the day's forecasts."""
    with filled(tmp_path_factory.mktemp("full") / "served") as server:
        yield server


@pytest.fixture(scope="module")
def walk(browser: Browser, full: Serving) -> Iterator[tuple[Page, list[str]]]:
    """A device with every field said at least once; it sends nothing."""
    context, page = device(browser, full.url, "desk", "dark")
    context.route("**/api/sync", lambda route: route.abort())
    ids = [*ask(page, FILL), "1nv3nt3d", "0th3r"]
    until(page, "return store.answers.plan(given) && store.answers.forecast;", ids[0])
    yield page, ids
    context.close()


def program_words(texts: list[str], ids: list[str]) -> list[str]:
    """What a maker would stumble over, each with the text it stands in."""
    found = []
    for text in texts:
        bad = WHEEL.search(text) or (DOUBLED.search(text) if len(text) < 200 else None)
        bad_id = next((i for i in ids if i in text or f"device {i[:4]}" in text), "")
        if bad or bad_id:
            found.append(f"{bad.group() if bad else bad_id} | {text[:160]}")
    return found


def read(page: Page, root: str = "body") -> list[str]:
    for _ in range(3):  # folds within folds, and what they ask for
        page.evaluate(UNFOLD)
        still(page)
    return list(page.evaluate(READ, root))


DAYS = """const { day, withDays } = await import("/format/words.js");
const { forecastWords } = await import("/screens/bench/piece-status.js");
const year = new Date().getFullYear(), now = `${year}-07-01`, next = `${year + 1}-07-01`;
const said = [day(now, true), day(next, true), forecastWords({ finish: { p50: now, p80: next } })];
return [...said, withDays(`order by ${next}: now`)].map((t) => t.replaceAll(String(year + 1), "NEXT"));"""


def test_a_day_names_its_year_when_it_is_not_this_one(walk: tuple[Page, list[str]]) -> None:
    page, _ = walk
    here, there, bench, sentence = ask(page, DAYS)
    assert (here, there) == ("1 Jul", "1 Jul NEXT")
    assert bench.startswith("Likely 1 Jul, safe 1 Jul NEXT.")
    assert re.fullmatch(r"order by \w{3},? 1 July NEXT: now", sentence)


@pytest.mark.parametrize("way", [w for w in WAYS if w != "plan/new"])
def test_no_screen_speaks_like_a_program(
    walk: tuple[Page, list[str]], full: Serving, way: str
) -> None:
    page, ids = walk
    show(page, full.url, way)
    texts = read(page)
    assert len(texts) > 10
    assert program_words(texts, ids) == []


def test_every_change_is_listed_in_the_makers_words(
    walk: tuple[Page, list[str]], full: Serving
) -> None:
    page, ids = walk
    say = """const { inWords } = await import("/screens/records/change-words.js");
      return [...new Set((await allChanges()).map((c) => inWords(c)))];"""
    texts = ask(page, say)
    assert len(texts) > 150
    assert program_words(texts, ids) == []
    assert any("Overlap" in t or "overlap right over left" in t for t in texts)
    assert any("a deleted ring" in t for t in texts)
    assert not [t for t in texts if " = " in t or ": nothing" in t]


def test_a_plan_of_every_shape_speaks_plainly(walk: tuple[Page, list[str]], full: Serving) -> None:
    page, ids = walk
    for way in (f"plan/{ids[0]}", f"plan/{ids[0]}/lanes"):
        show(page, full.url, way)
        until(page, "return document.querySelector('rw-plan').model.answer.table;")
        assert program_words(read(page), ids) == []


FAULTS = [
    ("panels.3.m.from_mm", ""),
    ("panels.3.m.from_mm", "wide"),
    ("panels.4.max_change", "x"),
    ("panels.2.units_per_chain", "0"),
    ("panels.5.m.angle_deg", "180"),
    ("panels.6.m.widths", [["0", ""], ["", ""]]),
    ("panels.7.m.rings", ""),
    ("panels.0.form", "collar"),
    ("piece.joins", [{"how": "end_to_end", "panels": ["", ""], "rings": ""}]),
    (
        "piece.joins",
        [
            {"how": "stacked", "panels": [0, 2], "rings": ""},
            {"how": "round", "panels": [2], "rings": ""},
        ],
    ),
    ("piece.joins", [{"how": "rings", "panels": [], "rings": ""}]),
    (
        "piece.finishing",
        [{"step": "", "name": "", "item": "", "items": "", "guess_min_per_item": "", "after": ""}],
    ),
    ("piece.consumables", [{"name": "", "unit": "", "per_1000_rings": ""}]),
    ("piece.losses", {"soften_again": {"good": "x", "bad": ""}}),
    ("ring.wire_mm", ""),
    ("ring.inner_mm", "3"),
    ("ring.metal", ""),
    ("ring.lap_mm", "99"),
    ("ring.mandrel_mm_used", "8"),
    ("fabric.columns", ""),
    ("fabric.swatch_state", ""),
]
PROVOKE = """
const { model } = document.querySelector("rw-plan");
model.discard();
const [path, value] = given, ids = model.draft.panels.map((p) => p.id);
model.set(path, path === "piece.joins" ? value.map((j) => ({ ...j, panels: j.panels.map((p) => ids[p] ?? p) })) : value);
clearTimeout(model.askTimer);
model.triedToSave = true;
for (let round = -1; round !== model.round;) { round = model.round + 1; await model.ask(); }
return model.problems.map(({ why }) => why);
"""


def test_faults_of_a_plan_are_said_in_the_words_of_its_form(
    walk: tuple[Page, list[str]], full: Serving
) -> None:
    page, ids = walk
    show(page, full.url, f"plan/{ids[0]}")
    until(page, "return document.querySelector('rw-plan').model.answer.table;")
    met = 0
    for fault in FAULTS:
        told = ask(page, PROVOKE, fault)
        met += bool(told)
        assert program_words([*told, *read(page, "rw-plan")], ids) == [], fault
    assert met >= 15


def test_refusals_elsewhere_are_said_in_the_words_of_their_forms(
    walk: tuple[Page, list[str]], full: Serving
) -> None:
    page, ids = walk
    spoil = """await store.set("step", "close", { guess_min_per_item: -1 });
      for (const { id } of store.things("reel")) await store.set("reel", id, { empty_g: 99999 });
      await store.setSetting("currency", "XQQ");
      await store.set("piece", "aventail", { joins: [{ how: "end_to_end", panels: ["", ""] }] });
      await store.set("panel", "collar-1", { shape: { kind: "panel", rows: 0, columns: 0 } });
      await store.answers.freshen();"""
    ask(page, spoil)
    for way in (
        "bench",
        "pieces",
        "forecast",
        "stock",
        "plan/collar",
        "plan/aventail",
        "records/cards",
        "records/changes",
    ):
        show(page, full.url, way)
        assert program_words(read(page), ids) == [], way
    questions = [
        {"ask": "weigh", "reference": {}, "batch_g": None},
        {"ask": "ring", "ring": {"wire_mm": 1.6, "inner_mm": 8, "metal": "cheese"}},
        {"ask": "price"},
        {"ask": "forecast"},
        {"ask": "panel", "shape": {"kind": "taper"}, "ring": {"wire_mm": 1.6, "inner_mm": 8}},
        {"ask": "stock", "today": None},
    ]
    why = "return Promise.all(given.map((q) => store.ask(q).then(() => '', (error) => error.why)));"
    told = ask(page, why, questions)
    assert all(told)
    assert program_words(told, ids) == []


def test_sheets_and_lists_of_the_bench_speak_plainly(
    walk: tuple[Page, list[str]], full: Serving
) -> None:
    page, ids = walk
    show(page, full.url, "bench")
    page.locator("rw-bench .lane .name, rw-bench [aria-label*='more for this step']").last.click()
    expect(page.locator("dialog[open]")).to_be_visible()
    page.evaluate(
        "() => { for (const e of document.querySelectorAll('dialog[open] details')) e.open ="
        " true; }"
    )
    assert program_words(read(page, "dialog[open]"), ids) == []
    page.locator("dialog[open]").evaluate("(sheet) => sheet.close()")
    page.get_by_role("button", name="Last 50").click()
    assert program_words(read(page, "dialog[open]"), ids) == []
    page.locator("dialog[open]").evaluate("(sheet) => sheet.close()")
    ask(page, "document.querySelector('rw-bench').choose(true);")
    still(page)
    assert program_words(read(page, "rw-bench"), ids) == []


def test_the_labels_of_the_table_are_those_of_the_form(
    walk: tuple[Page, list[str]], full: Serving
) -> None:
    """A refusal names a field as its form does."""
    page, _ = walk
    show(page, full.url, "plan/coif")
    ask(
        page,
        "const { model } = document.querySelector('rw-plan'); model.draft.panels[0].form = 'rect';"
        " model.notify();",
    )
    labels: Any = ask(
        page,
        """const { label } = await import("/format/labels.js");
        const text = (e) => [...e.childNodes].filter((n) => n.nodeType === 3).map((n) =>
        n.data).join("").trim();
        return [...document.querySelectorAll("rw-plan [data-path]:is(input, textarea)")]
          .map((e) => [e, document.querySelector(`label[for="${e.id}"]`)]).filter(([, l]) => l)
          .map(([e, l]) => [e.dataset.path, text(l), label(e.dataset.path)]);""",
    )
    assert len(labels) > 15
    assert [row for row in labels if row[1] != row[2]] == []


def test_one_item_is_said_as_one(walk: tuple[Page, list[str]]) -> None:
    page, _ = walk
    said = """const { amount } = await import("/format/words.js");
      const some = [[1, "coils"], [1, "closed rings"], [1, "rings softened again"], [1, "boxes", "box"], [2, "units"]];
      return some.map((one) => amount(...one));"""
    assert ask(page, said) == [
        "1 coil",
        "1 closed ring",
        "1 ring softened again",
        "1 box",
        "2 units",
    ]
    alone = said.replace("amount", "noun")
    assert ask(page, alone) == ["coil", "closed ring", "ring softened again", "box", "units"]
