"""What counts as a tap. Times and millimetres are those of a finger, sent as the browser's own
touches.
"""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.page.benchwork import MM, Bench, Finger, box, log, middle, saved, shown, spot
from tests.page.desk import ready, still, until


def test_a_tap_counts_when_the_finger_lifts_and_looks_pressed_at_once(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    pad = page.locator(".pad")
    finger.down(x, y)
    expect(pad).to_have_class("pad pressed")
    assert shown(page) == 0
    finger.up()
    assert shown(page) == 1
    expect(pad).not_to_have_class("pad pressed")
    saved(page)
    assert [c["n"] for c in log(page, "count")] == [1]


def test_sliding_off_takes_the_tap_back(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    pad = box(page, ".pad")
    finger.down(x, y)
    finger.move(x, y - 60)
    finger.move(x, pad["y"] - 30 * MM)
    expect(page.locator(".pad")).not_to_have_class("pad pressed")
    finger.up()
    still(page)
    assert shown(page) == 0
    assert log(page, "count") == [] and log(page, "hold") == []


@pytest.mark.parametrize("millimetres", [0, 3, 6, 9, 12])
def test_a_drifting_finger_still_counts(bench: Bench, millimetres: float) -> None:
    page = bench(["unit"])
    finger = Finger(page)
    pad = box(page, ".pad")
    x, y = pad["x"] + pad["width"] - 40, pad["y"] + 3  # so that the drift leaves the pad
    finger.down(x, y)
    for part in (0.3, 0.7, 1):
        finger.move(x, y - millimetres * MM * part)
    finger.up()
    assert shown(page) == 1


def test_contacts_closer_than_80_ms_are_held_apart_and_counted_by_one_touch(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    finger.tap(x, y, 0, 20)
    finger.tap(x, y, 60, 10)
    finger.tap(x, y, 400, 20)
    assert shown(page) == 2
    card = page.locator(".cards")
    expect(card).to_contain_text("Was that a tap")
    expect(card).to_contain_text("too soon after the last")
    (held,) = log(page, "hold")
    card.get_by_role("button", name="Yes, count it").click()
    expect(page.locator(".pad-count")).to_have_text("3")
    saved(page)
    assert log(page, "count")[-1]["holds"] == {"device": held["device"], "seq": held["seq"]}
    expect(card).to_have_attribute("data-card", "none")


def test_a_held_contact_is_still_asked_about_after_the_page_was_closed(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    finger.tap(x, y, 0, 20)
    finger.tap(x, y, 50, 20)
    expect(page.locator(".cards")).to_contain_text("Was that a tap")
    page.reload()
    expect(page.locator(".cards")).to_contain_text("Was that a tap")
    page.locator(".cards").get_by_role("button", name="Not a tap").click()
    until(page, "return (await store.counting.holds()).length === 0;")  # the answer is on the disk
    page.reload()
    page.locator(".pad").wait_for()
    ready(page)
    still(page)
    expect(page.locator(".cards")).not_to_contain_text("Was that")
    assert shown(page) == 1


def test_a_held_contact_counted_and_taken_back_is_not_asked_about_again(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    finger.tap(x, y, 0, 20)
    finger.tap(x, y, 50, 20)
    card = page.locator(".cards")
    card.get_by_role("button", name="Yes, count it").click()
    expect(page.locator(".pad-count")).to_have_text("2")
    saved(page)
    page.locator(".undo-last").click()
    expect(page.locator(".pad-count")).to_have_text("1")
    page.reload()
    page.locator(".pad").wait_for()
    page.locator(".undo-last:enabled").wait_for()
    ready(page)
    still(page)
    expect(card).not_to_contain_text("Was that")
    assert shown(page) == 1


def test_a_contact_as_wide_as_a_palm_is_held_apart(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    finger.tap(x, y, 0, radius=16 * MM)
    expect(page.locator(".cards")).to_contain_text("as wide as a palm")
    assert shown(page) == 0
    finger.tap(x, y, 400, radius=8 * MM)
    assert shown(page) == 1


def test_three_contacts_at_once_are_a_palm(bench: Bench) -> None:
    page = bench(["unit", "close", "pierce"])
    finger = Finger(page)
    spots = [spot(*middle(page, ".pad", k), 20, k) for k in range(3)]
    for k in range(3):
        finger.send("touchStart", spots[: k + 1])
    finger.send("touchEnd", [])
    expect(page.locator(".cards")).to_contain_text("as wide as a palm")
    assert [shown(page, k) for k in range(3)] == [0, 0, 0]
    assert len(log(page, "hold")) == 3


def test_two_fingers_on_two_pads_both_count(bench: Bench) -> None:
    page = bench(["unit", "close"])
    finger = Finger(page)
    a, b = spot(*middle(page, ".pad", 0), 20, 0), spot(*middle(page, ".pad", 1), 20, 1)
    finger.send("touchStart", [a])
    finger.send("touchStart", [a, b])
    finger.send("touchEnd", [b])
    finger.send("touchEnd", [])
    assert [shown(page, k) for k in (0, 1)] == [1, 1]


def test_a_finger_taken_by_the_system_is_held_apart(bench: Bench) -> None:
    page = bench(["unit"])
    finger, (x, y) = Finger(page), middle(page)
    finger.down(x, y)
    finger.send("touchCancel", [])
    expect(page.locator(".cards")).to_contain_text("the finger slipped away")
    assert shown(page) == 0


def test_a_key_counts_once_however_long_it_is_held(bench: Bench) -> None:
    page = bench(["unit"])
    page.locator(".pad").focus()
    for key in ("Enter", " "):
        page.keyboard.down(key)
        page.keyboard.down(key)  # repeat
        page.keyboard.down(key)
        page.keyboard.up(key)
    assert shown(page) == 2


def test_a_click_without_a_finger_counts_once(bench: Bench) -> None:
    """Screen readers may click and touch nothing."""
    page = bench(["unit"])
    page.locator(".pad").evaluate("e => e.click()")
    assert shown(page) == 1
    page.locator(".pad").click()
    assert shown(page) == 2


def test_a_thousand_taps_at_ten_a_second_are_a_thousand(bench: Bench) -> None:
    page = bench(["cut"], shape={"kind": "panel", "rows": 51, "columns": 60})
    Finger(page).taps(*middle(page), 1000)
    saved(page)
    assert shown(page) + len(log(page, "hold")) == 1000
    assert shown(page) == 1000
    counts = log(page, "count")
    assert sum(c["n"] for c in counts) == 1000
    assert len({c["seq"] for c in counts}) == 1000
