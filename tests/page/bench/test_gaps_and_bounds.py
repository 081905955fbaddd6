"""What makers found at the bench: words that lie over each other, questions out of date, dead
touches.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.page.bench.test_clock import middle, slept
from tests.page.benchwork import Bench, saved
from tests.page.desk import ask, still, until

LARGE = {"kind": "panel", "rows": 101, "columns": 82}
COVERED = """() => [...document.querySelectorAll(".pad-face")].flatMap((face) => {
  const range = document.createRange();
  range.selectNodeContents(face.querySelector(".pad-count"));
  const count = range.getBoundingClientRect(), free = count.height * 0.19; // above and below the digits' ink
  return [".pad-item", ".pad-of", ".pad-brief", ".pad-finish"].filter((name) => {
    const box = face.querySelector(name).getBoundingClientRect();
    return box.height > 2 && box.top < count.bottom - free - 1 && box.bottom > count.top + free + 1;
  }).map((name) => `${face.textContent}: ${name}`);
})"""


@pytest.mark.parametrize("size", [(390, 844), (360, 640)])
def test_no_figure_lies_over_a_date_with_its_year_or_a_chain_of_a_panel(
    bench: Bench, size: tuple[int, int]
) -> None:
    page = bench(["wind", "cut", "close", "unit"], size=size, shape=LARGE)
    panel = (
        'await store.set("panel", "p1-b", { piece: "p1", name: "Panel 2", order: 2, shape: given,'
        ' state: "relaxed" });'
    )
    ask(page, panel, LARGE)
    until(page, "return store.answers.plan('p1').panels.length === 2 && store.answers.forecast;")
    expect(page.locator(".pad-finish").first).to_contain_text("safe ")
    still(page)
    assert page.evaluate(COVERED) == []


def test_a_question_about_a_count_goes_when_another_count_has_changed_its_figures(
    bench: Bench,
) -> None:
    page = bench(["unit"])
    page.get_by_role("button", name="more for this step").click()
    page.locator("#lane-number").fill("1000000")
    page.get_by_role("button", name="Add", exact=True).click()
    card = page.locator(".cards")
    expect(card).to_contain_text("are left")
    x, y = middle(page)
    page.touchscreen.tap(x, y)
    expect(page.locator(".pad-count")).to_have_text("1")
    expect(card).not_to_contain_text("are left")


@pytest.mark.parametrize("typed", ["1.000", "1,000"])
def test_a_thousand_written_with_a_point_is_asked_about_where_whole_numbers_are_meant(
    bench: Bench, typed: str
) -> None:
    page = bench(["unit"])
    page.get_by_role("button", name="more for this step").click()
    page.locator("#lane-number").fill(typed)
    page.get_by_role("button", name="Add", exact=True).click()
    expect(
        page.get_by_text("could mean 1000 or 1. Write it one of these two ways.")
    ).to_be_visible()
    assert ask(page, "return store.totals.of('p1', 'unit').done;") == 0


def test_a_notice_beside_the_list_of_steps_is_whole(bench: Bench) -> None:
    page = bench(["unit"])
    x, y = middle(page)
    page.touchscreen.tap(x, y)
    saved(page)
    page.locator(".undo-last").click()
    page.get_by_role("button", name="Choose steps").click()
    card = page.locator(".cards")
    expect(card).to_contain_text("Took back")
    assert card.evaluate("(e) => e.scrollHeight - e.clientHeight") <= 1
    below = page.get_by_role("heading", name="Add a step to the Bench").bounding_box()
    box = card.bounding_box()
    assert box and below and box["y"] + box["height"] <= below["y"] + 1


def test_start_with_nothing_on_the_bench_says_what_is_lacking(bench: Bench) -> None:
    page = bench()
    page.get_by_role("button", name="Start the clock").click()
    expect(page.locator(".cards")).to_contain_text("Add a step to the Bench first")


def test_a_gap_that_is_still_asked_about_is_no_bench_time(bench: Bench) -> None:
    page = slept(bench)
    x, y = middle(page)
    page.touchscreen.tap(x, y)
    saved(page)
    rows = "return [...(store.answers.refresh?.rows?.values() ?? [])].map((r) => r.minutes);"
    (minutes,) = until(page, rows)
    assert minutes < 10
    page.reload()
    (minutes,) = until(page, rows)
    assert minutes < 10
    page.get_by_role("button", name="All of it").click()
    until(page, "return [...store.answers.refresh.rows.values()].some((r) => r.minutes > 500);")


def test_a_finished_workshop_is_not_taken_for_an_empty_one(bench: Bench) -> None:
    page = bench(["unit"])
    ask(page, "for (const id of ['p1', 'p2']) await store.set('piece', id, { state: 'done' });")
    expect(page.get_by_role("heading", name="Every piece is finished")).to_be_visible()
    expect(page.get_by_role("link", name="Plan the next piece")).to_be_visible()


def test_a_batch_makes_a_gap_usual_wherever_it_was_set(bench: Bench) -> None:
    """Counted by the tray, a tray's time between two taps is no gap: by the lane, the step or the plan."""
    page = bench(["close"])
    until(page, "return store.answers.plan('p1') && store.answers.forecast?.pace?.length;")
    usual = "return store.clock.usualMinutes({ piece: 'p1', step: 'close' });"
    pace = """store.answers.forecast.pace.find((p) => p.step === "close").min_per_item.p50"""
    planned = ask(
        page, "return store.answers.plan('p1').steps.find((s) => s.step === 'close').batch;"
    )
    found = ask(page, usual)
    assert found == pytest.approx(max(10, 3 * planned * ask(page, f"return {pace};")))
    ask(page, "await store.set('step', 'close', { lump: 200 });")
    assert ask(page, usual) == pytest.approx(600 * ask(page, f"return {pace};"))
    (lane,) = ask(page, "return store.things('lane').map((l) => l.id);")
    ask(page, "await store.set('lane', given, { batch: 300 });", lane)
    assert ask(page, usual) == pytest.approx(900 * ask(page, f"return {pace};"))


def test_a_batch_that_is_no_number_is_refused_at_its_field(bench: Bench) -> None:
    page = bench(["close"])
    page.get_by_role("button", name="more for this step").click()
    field = page.locator("#lane-batch")
    field.fill("25")
    field.blur()
    until(page, "return store.things('lane')[0].batch === 25;")
    for typed in ("abc", "0"):
        field.fill(typed)
        field.blur()
        expect(page.locator("#lane-batch-why")).to_contain_text("whole number from 1 to")
    assert ask(page, "return store.things('lane')[0].batch;") == 25
