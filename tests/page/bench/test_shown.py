"""The fabric's picture, missing abilities, breaks, and the rules of access."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.page.bench.test_clock import TURN, turn
from tests.page.benchwork import Bench, log, middle, saved, shown
from tests.page.desk import ask, ready, still, until, wait_until

AXE = Path(__file__).resolve().parents[3] / "static" / "node_modules" / "axe-core" / "axe.min.js"

# share of pixels of a column of the canvas that are painted, and of its middle that is left open
COLUMNS = """(columns) => {
  const c = document.querySelector(".fabric canvas"), pen = c.getContext("2d"), each = c.width / columns;
  return Array.from({ length: columns }, (_, k) => {
    const { data } = pen.getImageData(Math.floor(k * each) + 3, 2, Math.floor(each) - 6, c.height - 4);
    let ink = 0;
    for (let i = 3; i < data.length; i += 4) if (data[i] > 60) ink++;
    return ink / (data.length / 4);
  }); }"""
PICTURE = "Picture of the fabric. Apron: "
FOCUSED = """() => { const e = document.activeElement;
  return e === document.body ? "" : e.getAttribute("aria-label") ?? e.innerText; }"""


def test_the_fabric_is_drawn_as_far_as_it_is_made(bench: Bench) -> None:
    """Three chains: one hangs (both its row's neighbours), one is in hand, one is to come; told in
    words too.
    """
    page = bench(
        [
            ["unit", "p1", {"batch": 12}],
            ["unit_join", "p1", {"batch": 8}],
            ["chain_join", "p1", {"batch": 9}],
        ]
    )
    words = page.locator(".fabric")
    assert words.get_attribute("role") == "img"
    expect(words).to_have_attribute(
        "aria-label", PICTURE + "0 of 3 chains hang in the fabric, 0 in hand, 3 to come."
    )
    none = page.evaluate(COLUMNS, 3)
    assert max(none) < 0.2
    for k in range(3):
        page.locator(".lane-tray").nth(k).click()
    expect(words).to_have_attribute(
        "aria-label",
        PICTURE
        + "2 of 3 chains hang in the fabric, 1 in hand, chain 3 has 2 of its 5 units, 0 to come.",
    )
    still(page)  # the picture is painted in the next frame
    hangs, also, hand = page.evaluate(COLUMNS, 3)
    assert hangs > 0.5 and also > 0.5
    assert none[2] < hand < 0.45  # hatched, and only as high as its two units


def test_a_piece_without_chains_is_drawn_by_its_steps(bench: Bench) -> None:
    page = bench(["close"], shape={"kind": "count", "items": {"close": 40, "unit": 10}})
    for _ in range(10):
        page.locator(".pad").click()
    label = page.locator(".fabric")
    expect(label).to_have_attribute("aria-label", PICTURE + "close 25 %, unit 0 %.")


LACKING = """
delete Navigator.prototype.vibrate; delete Navigator.prototype.wakeLock; delete window.SyncManager;
"""


def test_what_the_browser_lacks_is_said_once_and_the_bench_works_without(bench: Bench) -> None:
    page = bench(["unit"], init=LACKING, own={"said_lacks": []})
    card = page.locator(".cards")
    expect(card).to_contain_text("cannot vibrate")
    expect(card).to_contain_text("cannot keep the screen on")
    expect(card).to_contain_text("sends nothing while the page is closed")
    x, y = middle(page)
    page.touchscreen.tap(x, y)
    assert shown(page) == 1
    expect(page.locator(".strip-what")).to_contain_text("May go dark")
    card.get_by_role("button", name="Understood").click()
    until(page, "return store.own('said_lacks').length === 3")
    page.reload()
    ready(page)
    page.evaluate("() => document.querySelector('rw-bench').panels.prompts.reportLacks()")
    still(page)
    expect(card).to_have_attribute("data-card", "none")
    page.get_by_role("link", name="Setup").click()
    expect(page.locator(".setup")).to_contain_text(
        "This browser cannot vibrate: signals come by sight and sound."
    )


def check_breaks(page: Page) -> None:
    """As every 30 seconds; what it has to say is said."""
    page.evaluate("() => document.querySelector('rw-bench').panels.prompts.breaks.check()")
    still(page)


def work(page: Page, minutes: int) -> None:
    for _ in range(minutes // 5):
        turn(page, 5)
        page.locator(".pad").click()


def test_a_break_is_reminded_by_the_maker_s_own_interval_and_blocks_nothing(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    ask(page, "await store.setSetting('break_min', 30)")
    page.locator(".pad").click()
    work(page, 25)
    check_breaks(page)
    expect(page.locator(".cards")).not_to_contain_text("without a rest")
    work(page, 5)
    card = page.locator(".cards")

    def reminded() -> bool:  # as soon as the last tap is in the record that it reads
        check_breaks(page)
        return "30 min at the bench without a rest" in card.inner_text()

    wait_until(page, reminded, what="a reminder")
    x, y = middle(page)
    page.touchscreen.tap(x, y)
    assert shown(page) == 8
    card.get_by_role("button", name="Pause the clock").click()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "paused")


def test_after_a_rest_the_minutes_begin_anew_and_zero_means_never(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    ask(page, "await store.setSetting('break_min', 30)")
    page.locator(".pad").click()
    work(page, 20)
    page.get_by_role("button", name="Pause the clock").click()
    turn(page, 10)
    work(page, 20)
    saved(page)
    check_breaks(page)
    expect(page.locator(".cards")).not_to_contain_text("without a rest")
    ask(page, "await store.setSetting('break_min', 0)")
    work(page, 60)
    check_breaks(page)
    expect(page.locator(".cards")).not_to_contain_text("without a rest")


def test_the_default_interval_says_where_it_comes_from(bench: Bench) -> None:
    page = bench(["unit"])
    page.get_by_role("link", name="Setup").click()
    expect(page.get_by_label("Remind me to rest after (minutes)")).to_have_value("60")
    expect(page.locator(".setup")).to_contain_text("INDG438")
    expect(page.locator(".setup")).to_contain_text("the figure is from memory")


@pytest.mark.parametrize("typed", ["-1", "abc", "999999", "1.5"])
def test_a_bad_interval_is_told_and_not_kept(bench: Bench, typed: str) -> None:
    page = bench(["unit"])
    page.get_by_role("link", name="Setup").click()
    field = page.get_by_label("Remind me to rest after (minutes)")
    field.fill(typed)
    field.blur()
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(page.get_by_role("alert").first).to_contain_text("Enter a whole number from 0 to 600")
    assert ask(page, "return store.setting('break_min', null)") is None


def test_a_step_s_guess_practice_and_batch_are_kept(bench: Bench) -> None:
    page = bench(["unit"])
    page.get_by_role("link", name="Setup").click()
    page.locator(".setup .step-list > summary").click()
    unit = page.get_by_role("group", name="Unit", exact=True)
    unit.get_by_label("Minutes for one unit").fill("3,5 min")
    unit.get_by_label("One touch adds").fill("4")
    unit.get_by_label("One touch adds").blur()
    until(page, "return store.thing('step', 'unit')?.lump === 4")
    unit.get_by_label("Your experience").select_option("old_hand")
    until(page, "return store.thing('step', 'unit')?.practised === 'old_hand'")
    kept = ask(page, "return store.thing('step', 'unit')")
    assert (kept["guess_min_per_item"], kept["lump"]) == (3.5, 4)
    page.get_by_role("link", name="Bench").click()
    expect(page.locator(".lane-tray")).to_have_text("+4")


def test_the_whole_log_can_be_saved_as_a_file(bench: Bench) -> None:
    page = bench(["unit"])
    page.locator(".pad").click()
    page.get_by_role("link", name="Setup").click()
    with page.expect_download() as caught:
        page.get_by_role("button", name="Save a backup file").click()
    file: dict[str, Any] = json.loads(Path(caught.value.path()).read_text("utf-8"))
    assert file["changes"] == ask(page, "return await allChanges()")
    assert [c["n"] for c in file["changes"] if c["kind"] == "count"] == [1]
    assert log(page, "count")[0]["device"] == file["device"]


RULES = {
    "runOnly": {
        "type": "tag",
        "values": [
            "wcag2a",
            "wcag2aa",
            "wcag2aaa",
            "wcag21a",
            "wcag21aa",
            "wcag22aa",
            "best-practice",
        ],
    },
    # skip-link takes a route (#plan/p1) in an open sheet for a place on this page
    "rules": {
        "skip-link": {"enabled": False},
        "color-contrast-enhanced": {"enabled": True},
        "target-size": {"enabled": True},
    },
}


def violations(page: Page) -> list[str]:
    page.evaluate(AXE.read_text("utf-8"))
    found = page.evaluate("async (rules) => (await axe.run(document, rules)).violations", RULES)
    return [
        f"{v['id']}: {n['html'][:120]} {n['failureSummary'][:200]}"
        for v in found
        for n in v["nodes"]
    ]


@pytest.mark.parametrize("theme", ["dark", "light"])
@pytest.mark.parametrize("lanes", [1, 4])
def test_axe_finds_nothing_on_the_bench(bench: Bench, theme: str, lanes: int) -> None:
    page = bench(
        ["unit", "close", ["cut", "p2"], ["soften", "p2"]][:lanes],
        theme=theme,
        reduced_motion="reduce",
    )
    for _ in range(5):
        page.locator(".pad").first.click()
    expect(page.locator(".cards")).to_contain_text("is full")
    assert violations(page) == []
    sheet = page.locator("dialog[open]")
    for opener in (
        page.locator(".lane-name").first,
        page.get_by_role("button", name="Last 50"),
    ):
        opener.click()
        sheet.wait_for()  # its rows are read first
        assert violations(page) == []
        page.keyboard.press("Escape")
        expect(sheet).to_have_count(0)
    page.get_by_role("button", name="Choose steps").click()
    assert violations(page) == []


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_axe_finds_nothing_in_setup(bench: Bench, theme: str) -> None:
    page = bench(["unit"], theme=theme, reduced_motion="reduce")
    page.get_by_role("link", name="Setup").click()
    page.locator(".setup .step-list > summary").click()
    still(page)
    assert violations(page) == []


def tab_to(page: Page, text: str, most: int = 80) -> None:
    for _ in range(most):
        page.keyboard.press("Tab")
        if text in page.evaluate(FOCUSED):
            return
    raise AssertionError(f"Tab does not reach {text!r}")


def test_the_main_job_needs_no_pointer(bench: Bench) -> None:
    page = bench([])
    tab_to(page, "Unit: 15 units")
    page.keyboard.press("Enter")
    page.locator(".pad").wait_for()
    expect(page.locator(".pad")).to_be_focused()
    for _ in range(5):
        page.keyboard.press("Enter")
    assert shown(page) == 5
    tab_to(page, "Undo +1")
    page.keyboard.press("Enter")
    expect(page.locator(".pad-count")).to_have_text("4")
    tab_to(page, "Count one")
    page.keyboard.press("Space")
    tab_to(page, "Go to: join units")
    page.keyboard.press("Enter")
    expect(page.locator(".pad-item")).to_have_text("Unit joins")
    tab_to(page, "Pause the clock")
    page.keyboard.press("Space")
    expect(page.locator(".strip")).to_have_attribute("data-clock", "paused")
    tab_to(page, "more for this step")
    page.keyboard.press("Enter")
    page.get_by_role("dialog").wait_for()
    page.keyboard.type("3")  # the first field has the focus
    page.keyboard.press("Enter")
    assert shown(page) == 3


def tab_to_field(page: Page, path: str) -> None:
    for _ in range(120):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == path:
            return
    raise AssertionError(f"Tab does not reach #{path}")


def test_the_first_piece_too_needs_no_pointer(bench: Bench) -> None:
    """From an empty workshop to the first count: 11 rows of 10 at 8 mm inside, 1.2 mm wire."""
    page = bench()
    tab_to(page, "Plan your first piece")
    page.keyboard.press("Enter")
    page.locator("#f-piece-name").wait_for()
    fields = [("f-piece-name", "Apron"), ("f-ring-wire_mm", "1.2"), ("f-ring-inner_mm", "8")]
    for path, text in fields:
        tab_to_field(page, path)
        page.keyboard.type(text)
    tab_to_field(page, "f-panels-0-form")
    options = page.locator("#f-panels-0-form option").evaluate_all("all => all.map((o) => o.value)")
    page.keyboard.press("Home")
    for _ in range(options.index("grid")):
        page.keyboard.press("ArrowDown")
    expect(page.locator("#f-panels-0-form")).to_have_value("grid")
    for path, text in (("f-panels-0-m-columns", "10"), ("f-panels-0-m-rows", "11")):
        tab_to_field(page, path)
        page.keyboard.press("Control+a")
        page.keyboard.type(text)
    expect(page.locator(".plan-foot [role=status]")).to_contain_text("105 rings")
    tab_to(page, "Save")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="On the Bench")).to_be_focused()
    tab_to(page, "To the Bench")
    page.keyboard.press("Enter")
    page.locator(".pad").first.wait_for()
    tab_to(page, "Count one")
    page.keyboard.press("Enter")
    expect(page.locator(".pad-count", has_text="1")).to_have_count(1)


@pytest.mark.parametrize("lanes", [["unit"], ["cut", "close", "unit", "unit_join"]])
def test_what_is_only_told_leaves_undo_free(bench: Bench, lanes: list[str]) -> None:
    page = bench(lanes)
    page.locator(".pad").first.click()
    long = "Metal stays hot long after it has stopped glowing. " * 12
    page.evaluate(
        """(text) => document.querySelector("rw-bench").panels.prompts.cards
          .put("fire", { text, acts: [], away: "Understood" })""",
        long,
    )
    expect(page.locator(".cards")).to_have_attribute("data-card", "fire")
    page.locator(
        ".undo-last"
    ).click()  # refused by the browser's driver where something lies over it
    until(page, "return store.totals.of('p1', given).done === 0;", lanes[0])
