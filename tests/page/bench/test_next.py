"""What the pad and the Bench say comes next. Counts of the invented piece: three chains of five
units,
four unit joins in each, two rows of nine chain joins (derived from 11 rows of 10)."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.page.benchwork import Bench, saved, shown
from tests.page.desk import ask, still, until

HEAR = """
window.heard = []; window.felt = [];
navigator.vibrate = (pattern) => { window.felt.push(pattern); return true; };
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (...a) {
  window.heard.push(Math.round(1000 * this.buffer.duration));
  return start.apply(this, a); };
"""


def test_the_pad_says_how_far_to_the_next_joining_point(bench: Bench) -> None:
    page = bench(["unit"])
    place = page.locator(".pad-place")
    expect(place).to_have_text("unit 0 of 5 in chain 1")
    for _ in range(7):
        page.locator(".pad").click()
    expect(place).to_have_text("unit 2 of 5 in chain 2")
    page.locator(".lane-tool", has_text="1 spoiled").click()
    expect(place).to_have_text("unit 1 of 5 in chain 2")
    at = until(
        page,
        "return store.answers.standing('p1').steps.find((s) => s.step === 'unit' && s.spoiled)?.at",
    )
    assert at == {"group": 2, "n": 2, "of": 5}  # the engine names the next one to make


def test_a_full_chain_is_seen_heard_and_felt_and_one_touch_goes_on(bench: Bench) -> None:
    page = bench(["unit"], init=HEAR)
    pad = page.locator(".pad")
    for _ in range(4):
        pad.click()
    expect(pad).not_to_contain_class("full")
    page.evaluate("() => { window.heard = []; window.felt = []; }")
    pad.click()
    expect(pad).to_contain_class("full")
    expect(page.locator(".pad-place")).to_have_text("Chain 1 is full")
    expect(page.locator(".cards")).to_contain_text("Chain 1 is full.")
    assert len(page.evaluate("() => window.felt")[-1]) == 3  # not the one short buzz of a tap
    heard = page.evaluate("() => window.heard")
    assert max(heard) > 10 * min(heard)
    page.get_by_role("button", name="Go to: join units").tap()
    expect(page.locator(".pad-item")).to_have_text("Unit joins")
    expect(page.locator(".pad-place")).to_have_text("join 0 of 4 in chain 1")
    expect(page.locator(".strip-what")).to_contain_text("Join units, Apron")
    assert page.locator(".pad").count() == 1  # the lane has turned


def test_what_was_full_is_not_called_so_once_it_is_taken_back(bench: Bench) -> None:
    page = bench(["unit"])
    for _ in range(5):
        page.locator(".pad").click()
    expect(page.locator(".cards")).to_contain_text("Chain 1 is full.")
    page.locator(".undo-last").click()
    expect(page.locator(".cards")).to_contain_text("Took back")
    expect(page.locator(".cards")).not_to_contain_text("is full")


def test_with_the_last_item_nothing_else_is_offered_but_the_end(bench: Bench) -> None:
    page = bench(["close"], shape={"kind": "count", "rings": 3})
    until(page, "return store.answers.standing('p1');")
    steps = ask(page, "return store.answers.plan('p1').steps.filter((s) => s.step !== 'close');")
    for step in steps:
        counted = "await store.counting.countByHand('p1', given[0], given[1]).saved;"
        ask(page, counted, [step["step"], step["start"] if "start" in step else step["need"]])
    for _ in range(
        ask(page, "return store.answers.plan('p1').steps.find((s) => s.step === 'close').need;")
    ):
        page.locator(".pad").click()
    expect(page.locator(".cards")).to_contain_text("Nothing is left to make for")
    expect(page.get_by_role("button", name="Go to:")).to_have_count(0)
    page.get_by_role("button", name="To Pieces").click()
    expect(page.get_by_role("heading", name="Pieces", exact=True)).to_be_visible()


def test_the_choice_of_steps_says_what_is_left_as_the_pads_do(bench: Bench) -> None:
    page = bench(["close"])
    until(page, "return store.answers.standing('p1');")
    ask(page, "await store.counting.countByHand('p1', 'close', 7).saved;")
    left = until(
        page, "return store.answers.standing('p1').steps.find((s) => s.step === 'close').to_go;"
    )
    page.get_by_role("button", name="Choose steps").click()
    still(page)
    left = ask(
        page, "return store.answers.standing('p1').steps.find((s) => s.step === 'close').to_go;"
    )
    expect(page.get_by_role("button", name=f"Close: {left} closed rings left")).to_be_visible()


def test_the_next_tap_puts_the_cue_away(bench: Bench) -> None:
    page = bench(["unit"])
    for _ in range(6):
        page.locator(".pad").click()
    expect(page.locator(".pad")).not_to_contain_class("full")
    expect(page.locator(".cards")).not_to_contain_text("is full")


def test_a_batch_that_passes_the_end_of_a_chain_gives_the_cue(bench: Bench) -> None:
    page = bench([["unit", "p1", {"batch": 6}]])
    page.locator(".lane-tray").click()
    expect(page.locator(".pad-place")).to_have_text("Chain 1 is full")


def test_a_full_row_and_a_full_panel_are_told(bench: Bench) -> None:
    page = bench([["chain_join", "p1", {"batch": 8}], ["unit", "p1", {"batch": 14}]])
    page.locator(".lane-tray").nth(0).click()
    page.locator(".pad").nth(0).click()
    expect(page.locator(".pad-place").nth(0)).to_have_text("Join row 1 is full")
    page.locator(".lane-tray").nth(0).click()
    page.locator(".pad").nth(0).click()
    expect(page.locator(".pad-place").nth(0)).to_have_text("All chain joins are made")


def test_each_of_two_panels_is_told_when_full(bench: Bench) -> None:
    page = bench([["unit", "p1", {"batch": 14}]])
    shape = {"kind": "panel", "rows": 11, "columns": 10}
    ask(
        page,
        "await store.set('panel', 'p1-b', {piece: 'p1', name: 'Back', order: 2, state: 'relaxed',"
        " shape: given})",
        shape,
    )
    until(page, "return store.answers.plan('p1').panels.length === 2")
    page.locator(".lane-tray").click()
    page.locator(".pad").click()
    expect(page.locator(".pad-place")).to_have_text("Front has all its units")


def test_a_pinned_lane_stays_and_the_joins_get_their_own(bench: Bench) -> None:
    page = bench([["unit", "p1", {"pinned": True}]])
    for _ in range(5):
        page.locator(".pad").click()
    page.get_by_role("button", name="Go to: join units").tap()
    expect(page.locator(".pad")).to_have_count(2)
    expect(page.locator(".in-hand .pad-item")).to_have_text("Unit joins")


def test_a_lane_that_lies_there_is_taken_instead(bench: Bench) -> None:
    page = bench(["unit", "unit_join"])
    for _ in range(5):
        page.locator(".pad").first.click()
    page.get_by_role("button", name="Go to: join units").tap()
    expect(page.locator(".pad")).to_have_count(2)
    expect(page.locator(".in-hand .pad-item")).to_have_text("Unit joins")


def test_what_lies_loose_and_what_is_next_are_in_sight(bench: Bench) -> None:
    page = bench(["close"])
    for _ in range(20):
        page.locator(".pad").click()
    saved(page)
    expect(page.locator(".pad-loose")).to_contain_text("20 closed rings")
    standing = ask(page, "return store.answers.standing('p1')")
    plan = ask(page, "return store.answers.plan('p1')")
    name = next(s["name"] for s in plan["steps"] if s["step"] == standing["next"]["step"])
    button = page.locator(".sight-next")
    expect(button).to_contain_text(f"Next: {name.lower()}, {standing['next']['n']}")
    button.tap()
    expect(page.locator(".strip-what")).to_contain_text(f"{name}, Apron")


def test_the_forecast_is_in_words_and_the_pad_has_its_line(bench: Bench) -> None:
    page = bench(["close"], due="2031-01-01")
    forecast = page.locator(".sight-forecast")
    expect(forecast).to_contain_text("Likely ")
    expect(forecast).to_contain_text("safe ")
    expect(forecast).to_contain_text(">99 in 100 on time")
    expect(page.locator(".pad-finish")).to_contain_text("safe ")
    expect(page.locator(".pad-of")).to_have_text("of 60 · 0 %")
    assert shown(page) == 0
