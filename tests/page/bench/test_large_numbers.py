"""Large numbers ask before they count; an undo shows such a count as the one it was."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, log, saved, shown
from tests.page.desk import until


def type_number(page: Page, typed: str) -> None:
    page.get_by_role("button", name="Number").click()
    page.get_by_label("Add a number of").fill(typed)
    page.keyboard.press("Enter")


def test_more_than_is_left_is_asked_about_and_one_touch_counts_what_is_left(bench: Bench) -> None:
    page = bench(["close"])
    card = page.locator(".cards")
    type_number(page, "1000000")
    expect(card).to_contain_text("Count 1\u202f000\u202f000? Only 60 are left on Close, Apron.")
    assert shown(page) == 0 and log(page, "count") == []
    card.get_by_role("button", name="No").click()
    expect(card).to_have_attribute("data-card", "none")
    assert log(page, "count") == []
    type_number(page, "61")
    card.get_by_role("button", name="Count 60", exact=True).click()
    assert shown(page) == 60
    until(page, "return store.answers.standing('p1').to_go.close === 0")
    type_number(page, "2")
    expect(card).to_contain_text("Count 2? None are left to make on Close, Apron.")


def test_a_large_count_said_yes_to_is_one_count_and_one_undo(bench: Bench) -> None:
    page = bench(["close"])
    type_number(page, "400")
    page.locator(".cards").get_by_role("button", name="Count 400").click()
    saved(page)
    assert [(c["n"], c["how"]) for c in log(page, "count")] == [(400, "hand")]
    expect(page.locator(".undo-last")).to_have_text("Undo +400 on Close, Apron")
    page.get_by_role("button", name="Last 50").click()
    expect(page.get_by_role("dialog").get_by_role("listitem")).to_have_count(1)
    page.get_by_role("dialog").get_by_role("button", name="Undo +400 on Close, Apron").click()
    page.get_by_role("button", name="Done").click()
    expect(page.locator(".pad-count")).to_have_text("0")


def test_more_than_ten_batches_is_asked_about(bench: Bench) -> None:
    page = bench([["cut", "p1", {"batch": 8}]])
    card = page.locator(".cards")
    type_number(page, "80")
    assert shown(page) == 80
    page.locator(".undo-last").click()
    type_number(page, "81")
    expect(card).to_contain_text("Count 81? That is more than ten times 8 on Cut, Apron.")
    card.get_by_role("button", name="Count 81").click()
    assert shown(page) == 81


def test_without_a_batch_more_than_a_hundred_is_asked_about(bench: Bench) -> None:
    page = bench(["unit"], shape={"kind": "panel", "rows": 51, "columns": 60})
    type_number(page, "100")
    assert shown(page) == 100
    type_number(page, "101")
    expect(page.locator(".cards")).to_contain_text(
        "Count 101? That is more than 100 at once on Unit, Apron."
    )


def test_a_tray_that_would_go_over_is_asked_about(bench: Bench) -> None:
    page = bench([["close", "p1", {"batch": 50}]])
    tray = page.locator(".lane-tray")
    tray.click()
    assert shown(page) == 50
    saved(page)
    tray.click()
    page.locator(".cards").get_by_role("button", name="Count 10", exact=True).click()
    assert shown(page) == 60
    page.locator(".pad").click()  # a tap never waits
    assert shown(page) == 61
