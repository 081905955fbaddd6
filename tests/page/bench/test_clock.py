"""The clock of a sitting, by a clock that the test turns."""

from __future__ import annotations

import re
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, log, middle, saved
from tests.page.desk import ask, ready, still, until

# The page's own Date runs ahead by what the test adds; timers and touches keep theirs.
TURN = """
const real = Date.now.bind(Date); const From = Date;
window.ahead = Number(localStorage.getItem("ahead") ?? 0);
Date.now = () => real() + window.ahead;
window.turn = (minutes) => { window.ahead += minutes * 60000; localStorage.setItem("ahead", window.ahead); };
window.Date = class extends From { constructor(...a) { super(...(a.length ? a : [Date.now()])); } };
window.Date.now = () => real() + window.ahead;
"""


WIDE = {"kind": "panel", "rows": 51, "columns": 60}  # room for a batch of 200 and more


def turn(page: Page, minutes: float) -> None:
    page.evaluate("(m) => window.turn(m)", minutes)


def wake(page: Page) -> None:
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")


def sittings(page: Page) -> list[dict[str, Any]]:
    """Oldest first."""
    return list(reversed(ask(page, "return await history.sittings()")))


def minutes_of(page: Page, step: str) -> float:
    return float(sum(s["minutes"] for s in sittings(page) if s["step"] == step))


def test_the_first_tap_starts_a_sitting_and_the_next_ones_fill_it(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    strip = page.locator(".strip")
    expect(strip).to_have_attribute("data-clock", "stopped")
    page.locator(".pad").click()
    expect(strip).to_have_attribute("data-clock", "running")
    for _ in range(3):
        turn(page, 2)
        page.locator(".pad").click()
    saved(page)
    (sitting,) = sittings(page)
    assert abs(sitting["minutes"] - 6) < 0.1
    assert sitting["items"] == 4
    assert sitting["untimed"] == 1  # the tap that started the clock took its time before it
    expect(page.locator(".strip-time")).to_have_text("0:06")


def test_pause_and_go_by_touch(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 3)
    page.get_by_role("button", name="Pause the clock").tap()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "paused")
    turn(page, 45)
    page.get_by_role("button", name="Resume the clock").tap()
    turn(page, 4)
    page.locator(".pad").click()
    page.get_by_role("button", name="Stop the clock").tap()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "stopped")
    assert abs(minutes_of(page, "unit") - 7) < 0.1


def test_the_clock_follows_the_lane(bench: Bench) -> None:
    page = bench(["unit", "close"], init=TURN)
    page.locator(".pad").nth(0).click()
    turn(page, 5)
    page.locator(".pad").nth(0).click()
    turn(page, 2)
    page.locator(".pad").nth(1).click()  # those two minutes made this one
    expect(page.locator(".strip-what")).to_contain_text("Close, Apron")
    turn(page, 1)
    page.locator(".pad").nth(1).click()
    saved(page, 1)
    assert abs(minutes_of(page, "unit") - 5) < 0.1
    assert abs(minutes_of(page, "close") - 3) < 0.1


def test_a_touch_starts_the_clock_and_a_batch_gets_its_whole_time(bench: Bench) -> None:
    page = bench(["soften"], init=TURN, shape=WIDE)
    page.get_by_role("button", name="Start the clock").tap()
    turn(page, 26)
    page.locator(".lane-tray").click()
    saved(page)
    (sitting,) = sittings(page)
    assert abs(sitting["minutes"] - 26) < 0.1 and sitting["items"] == 200


def test_the_sitting_goes_on_after_the_page_was_closed(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    saved(page)
    turn(page, 6)
    page.reload()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "running")
    page.locator(".pad").click()
    saved(page)
    (sitting,) = sittings(page)
    assert abs(sitting["minutes"] - 6) < 0.1


def slept(bench: Bench) -> Page:
    """Two units made in four minutes, nine hours with the clock on, and the page is looked at
    again.
    """
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 4)
    page.locator(".pad").click()
    saved(page)
    turn(page, 9 * 60)
    wake(page)
    return page


def test_nine_hours_of_sleep_are_asked_about_and_cut(bench: Bench) -> None:
    page = slept(bench)
    card = page.locator(".cards")
    expect(card).to_contain_text(
        "No taps for 9 hours on Unit, Apron. How long did you really work?"
    )
    x, y = middle(page)
    page.touchscreen.tap(x, y)  # nothing waits for the answer
    expect(page.locator(".pad-count")).to_have_text("3")
    card.get_by_role("button", name="None of it").click()
    expect(card).not_to_contain_text("9 h")
    saved(page)
    assert abs(minutes_of(page, "unit") - 4) < 0.1


def test_of_a_gap_a_few_minutes_can_be_kept(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 9 * 60)
    wake(page)
    page.get_by_role("button", name="Other").click()
    page.get_by_role("button", name="45", exact=True).click()
    page.locator(".pad").click()
    saved(page)
    assert abs(minutes_of(page, "unit") - 45) < 0.1
    assert [c["keep_min"] for c in log(page, "sitting") if c["event"] == "trim"] == [45]


def test_a_gap_can_be_kept_whole_and_is_not_asked_again(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    saved(page)
    turn(page, 40)
    page.reload()
    page.get_by_role("button", name="All of it").click()
    page.locator(".pad").click()
    saved(page)
    page.reload()
    ready(page)
    still(page)
    expect(page.locator(".cards")).not_to_contain_text("No taps for")
    assert abs(minutes_of(page, "unit") - 40) < 0.2


def test_a_usual_pause_is_not_asked_about(bench: Bench) -> None:
    """A batch of 200 at 0.02 min takes four minutes; ten minutes are allowed at any step."""
    page = bench(["soften"], init=TURN, shape=WIDE)
    page.locator(".lane-tray").click()
    turn(page, 9)
    wake(page)
    page.locator(".lane-tray").click()
    saved(page)
    still(page)
    expect(page.locator(".cards")).not_to_contain_text("No taps for")


def test_bench_time_of_a_step_is_shown_and_leads_to_records(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 8)
    page.locator(".pad").click()
    saved(page)
    page.locator(".lane-name").click()
    expect(page.get_by_role("dialog")).to_contain_text(
        "Time at the bench on this step: 8 min in 1 sitting, up to the last count."
    )
    turn(page, 3)  # the clock runs on; nothing is counted meanwhile
    page.get_by_role("button", name="Correct it in Records").click()
    expect(page).to_have_url(re.compile("#records$"))
    row = page.locator(".sittings > li").first
    expect(row).to_contain_text("8 min")
    expect(row).to_contain_text("clock still running: up to the last count")
    expect(page.get_by_role("region", name="Bench time by step")).to_contain_text("8 min")


def test_of_a_gap_any_minutes_can_be_typed(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 9 * 60)
    wake(page)
    page.get_by_role("button", name="Other").click()
    card = page.locator(".cards")
    card.get_by_label("or type").fill("1000")
    card.get_by_role("button", name="Save").click()
    expect(card.get_by_role("alert")).to_contain_text("Enter minutes from 0 to 540")
    page.locator(".pad").click()  # counting goes on, and what is asked stays
    card.get_by_role("button", name="Other").click()
    card.get_by_label("or type").fill("12,5")
    card.get_by_role("button", name="Save").click()
    expect(card).to_have_attribute("data-card", "none")
    saved(page)
    assert abs(minutes_of(page, "unit") - 12.5) < 0.1


def test_a_gap_is_asked_about_first_and_alone(bench: Bench) -> None:
    """What else waits, a contact held apart and a missing sense, comes after the answer."""
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    saved(page)
    ask(page, "await store.counting.hold('p1', 'unit', 1, 'bounce')")
    card = page.locator(".cards")
    expect(card).to_contain_text("Was that a tap")
    turn(page, 9 * 60)
    wake(page)
    expect(card).to_contain_text("No taps for 9 hours")
    expect(card).not_to_contain_text("more)")
    expect(card).to_have_attribute("data-card", "gap")
    card.get_by_role("button", name="None of it").click()
    expect(card).to_contain_text("Was that a tap")


REST = """
const { BreakWatch } = await import("/device/break-reminder.js");
let said = 0;
const watch = new BreakWatch(store, (minutes) => { said = minutes; });
await watch.check();
return said;
"""


@pytest.mark.parametrize("answer", ["None of it", "All of it", "3 minutes"])
def test_after_nine_hours_nobody_is_told_of_a_day_without_a_rest(bench: Bench, answer: str) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 4)
    page.locator(".pad").click()
    saved(page)
    turn(page, 9 * 60)
    assert ask(page, REST) == 0  # a page left open: nobody has tapped yet
    wake(page)
    assert ask(page, REST) == 0  # asked, not answered
    page.locator(".pad").click()
    saved(page)
    assert ask(page, REST) == 0
    page.get_by_role("button", name=answer).click()
    expect(page.locator(".cards")).to_have_attribute("data-card", "none")
    assert ask(page, REST) == 0
    for _ in range(10):
        turn(page, 7)
        page.locator(".pad").click()
    saved(page)
    assert 70 <= ask(page, REST) < 76  # from then on it watches again


def test_a_gap_before_a_tap_elsewhere_is_asked_about_and_can_be_kept(bench: Bench) -> None:
    page = bench(["unit", "close"], init=TURN)
    page.locator(".pad").nth(0).click()
    turn(page, 4)
    page.locator(".pad").nth(0).click()
    saved(page)
    turn(page, 60)
    page.locator(".pad").nth(1).click()
    saved(page, 1)
    assert abs(minutes_of(page, "unit") - 4) < 0.1
    card = page.locator(".cards")
    expect(card).to_contain_text("No taps for 60 minutes on Unit, Apron")
    card.get_by_role("button", name="Other").click()
    card.get_by_role("button", name="20", exact=True).click()
    expect(card).to_have_attribute("data-card", "none")
    until(
        page,
        "return (await history.sittings()).some((s) => s.step === 'unit' && Math.abs(s.minutes - 24)"
        " < 0.1)",
    )
    expect(page.locator(".strip")).to_have_attribute(
        "data-clock", "running"
    )  # the clock of the other lane goes on
    turn(page, 2)
    page.locator(".pad").nth(1).click()
    saved(page, 1)
    assert abs(minutes_of(page, "close") - 2) < 0.1


def test_a_clock_started_elsewhere_after_a_gap_asks_about_it(bench: Bench) -> None:
    page = bench(["unit", "close"], init=TURN)
    page.locator(".pad").nth(0).click()
    saved(page)
    turn(page, 60)
    ask(page, "await store.clock.start('p1', 'close')")
    page.locator(".cards").get_by_role("button", name="None of it").click()
    until(
        page, "return (await history.sittings()).some((s) => s.step === 'unit' && s.minutes < 0.2)"
    )
