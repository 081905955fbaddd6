"""The clock of a sitting, by a clock that the test turns."""

from __future__ import annotations

import re
from typing import Any

from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, log, middle, saved
from tests.page.desk import ask

# The page's own Date runs ahead by what the test adds; timers and touches keep theirs.
TURN = """
const real = Date.now.bind(Date); const From = Date;
window.ahead = Number(localStorage.getItem("ahead") ?? 0);
Date.now = () => real() + window.ahead;
window.turn = (minutes) => { window.ahead += minutes * 60000; localStorage.setItem("ahead", window.ahead); };
window.Date = class extends From { constructor(...a) { super(...(a.length ? a : [Date.now()])); } };
window.Date.now = () => real() + window.ahead;
"""


def turn(page: Page, minutes: float) -> None:
    page.evaluate("(m) => window.turn(m)", minutes)


def wake(page: Page) -> None:
    page.evaluate("() => document.dispatchEvent(new Event('visibilitychange'))")


def sittings(page: Page) -> list[dict[str, Any]]:
    """Oldest first."""
    return list(reversed(ask(page, "return await store.sittings()")))


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
    assert sitting["items"] == 3  # the tap that started the clock took its time before it
    expect(page.locator(".strip-time")).to_have_text("0:06", timeout=6000)


def test_pause_and_go_by_touch(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 3)
    page.get_by_role("button", name="Pause the clock").tap()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "paused")
    turn(page, 45)
    page.get_by_role("button", name="Let the clock go on").tap()
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
    page = bench(["soften"], init=TURN)
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


def test_nine_hours_of_sleep_are_asked_about_and_cut(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 4)
    page.locator(".pad").click()
    saved(page)
    turn(page, 9 * 60)
    wake(page)
    card = page.locator(".cards")
    expect(card).to_contain_text("9 h without a tap on Unit, Apron")
    x, y = middle(page)
    page.touchscreen.tap(x, y)  # nothing waits for the answer
    expect(page.locator(".pad-count")).to_have_text("3")
    card.get_by_role("button", name="Cut").click()
    expect(card).not_to_contain_text("9 h")
    saved(page)
    assert abs(minutes_of(page, "unit") - 4) < 0.1


def test_of_a_gap_a_few_minutes_can_be_kept(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 9 * 60)
    wake(page)
    page.get_by_role("button", name="Keep …").click()
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
    page.get_by_role("button", name="Keep all").click()
    page.locator(".pad").click()
    saved(page)
    page.reload()
    page.wait_for_timeout(300)
    expect(page.locator(".cards")).not_to_contain_text("without a tap")
    assert abs(minutes_of(page, "unit") - 40) < 0.2


def test_a_usual_pause_is_not_asked_about(bench: Bench) -> None:
    """A batch of 200 at 0.02 min takes four minutes; ten minutes are allowed at any step."""
    page = bench(["soften"], init=TURN)
    page.locator(".lane-tray").click()
    turn(page, 9)
    wake(page)
    page.locator(".lane-tray").click()
    page.wait_for_timeout(200)
    expect(page.locator(".cards")).not_to_contain_text("without a tap")


def test_bench_time_of_a_step_is_shown_and_leads_to_records(bench: Bench) -> None:
    page = bench(["unit"], init=TURN)
    page.locator(".pad").click()
    turn(page, 8)
    page.locator(".pad").click()
    saved(page)
    page.locator(".lane-name").click()
    expect(page.get_by_role("dialog")).to_contain_text("Time at the bench on this step: 8 min")
    page.get_by_role("button", name="Correct it in Records").click()
    expect(page).to_have_url(re.compile("#records$"))
