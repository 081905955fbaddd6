"""Foot pedals and clickers: anything that acts as a keyboard."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, saved, shown
from tests.page.desk import until


def to_bench(page: Page) -> None:
    page.get_by_role("link", name="Bench").click()
    expect(page.locator("rw-bench")).to_be_visible()


def teach(page: Page, deed: str, key: str) -> None:
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("button", name=f"Set key: {deed}").click()
    expect(page.locator(".deeds")).to_contain_text("press it now")
    page.keyboard.press(key)
    expect(page.locator(".deeds")).not_to_contain_text("press it now")
    to_bench(page)


@pytest.mark.parametrize("key", ["PageDown", "b", "Enter", "Space", "F7"])
def test_a_learnt_key_counts_on_its_lane(bench: Bench, key: str) -> None:
    page = bench(["unit", "close"])
    teach(page, "Count one on pad 2", key)
    page.keyboard.press(key)
    page.keyboard.press(key)
    assert [shown(page, k) for k in (0, 1)] == [0, 2]


def test_a_key_held_down_counts_once(bench: Bench) -> None:
    page = bench(["unit"])
    teach(page, "Count one on pad 1", "PageUp")
    for _ in range(10):
        page.keyboard.down("PageUp")  # from the second on with repeat, as a held pedal sends it
    page.keyboard.up("PageUp")
    assert shown(page) == 1


def test_a_pedal_on_enter_does_not_press_the_button_touched_last(bench: Bench) -> None:
    page = bench(["unit", "close"])
    teach(page, "Count one on pad 1", "Enter")
    page.locator(".pad").nth(1).tap()
    page.get_by_role("button", name="Pause the clock").tap()
    page.keyboard.press("Enter")
    assert [shown(page, k) for k in (0, 1)] == [1, 1]
    expect(page.locator(".strip")).to_have_attribute(
        "data-clock", "running"
    )  # the tap went on, not the button


def test_undo_pause_and_tray_can_be_learnt(bench: Bench) -> None:
    page = bench(["cut"])
    teach(page, "Count a whole batch on the pad in use", "F7")
    teach(page, "Undo", "F8")
    teach(page, "Pause or resume", "F9")
    page.keyboard.press("F7")
    assert shown(page) == 50
    page.keyboard.press("F9")
    expect(page.locator(".strip")).to_have_attribute("data-clock", "paused")
    page.keyboard.press("F9")
    expect(page.locator(".strip")).to_have_attribute("data-clock", "running")
    saved(page)
    page.keyboard.press("F8")
    expect(page.locator(".pad-count")).to_have_text("0")


def test_keys_can_be_switched_off_and_forgotten(bench: Bench) -> None:
    page = bench(["unit"])
    teach(page, "Count one on pad 1", "F7")
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("switch", name="Pedals and keys").click()
    expect(page.get_by_role("switch", name="Pedals and keys")).to_have_attribute(
        "aria-checked", "false"
    )
    to_bench(page)
    page.keyboard.press("F7")
    assert shown(page) == 0
    page.get_by_role("link", name="Setup").click()
    page.get_by_role("switch", name="Pedals and keys").click()
    page.get_by_role("button", name="Clear key: Count one on pad 1").click()
    until(page, "return Object.keys(store.own('keys').map).length === 0")
    to_bench(page)
    page.keyboard.press("F7")
    assert shown(page) == 0


def test_no_key_does_anything_until_it_is_taught(bench: Bench) -> None:
    """WCAG 2.1.4: no single-key shortcuts of our own."""
    page = bench(["unit"])
    page.locator("h1, body").first.click(position={"x": 2, "y": 2})
    for key in "abcdefghijklmnopqrstuvwxyz0123456789":
        page.keyboard.press(key)
    assert shown(page) == 0


def test_typing_in_a_field_is_no_pedal(bench: Bench) -> None:
    page = bench(["unit"])
    teach(page, "Count one on pad 1", "7")
    page.get_by_role("button", name="Number").click()
    page.keyboard.type("77")
    assert shown(page) == 0
    expect(page.get_by_label("Add a number of units")).to_have_value("77")


def test_escape_leaves_a_key_as_it_was(bench: Bench) -> None:
    page = bench(["unit"])
    teach(page, "Undo", "F8")
    teach(page, "Undo", "Escape")
    assert until(page, "return store.own('keys').map") == {"F8": "undo"}
