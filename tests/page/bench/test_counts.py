"""Counting more than one at a time, by weight, spoiled items, and taking back."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from tests.page.benchwork import Bench, log, saved, shown
from tests.page.desk import ask, still, until

WEIGHED = {
    "Counted sample: how many": "50",
    "Your counted sample weighs": "13",
    "Smallest step": "0.1",
    "Rings differ": "1",
    "The whole heap weighs": "52",
}
PAN = {"scale_g": 0.1, "spread_percent": 1, "batch_g": 52}
FULL = """() => { IDBObjectStore.prototype.put = IDBObjectStore.prototype.add =
  () => { throw new DOMException("full", "QuotaExceededError"); }; }"""


def test_a_tray_counts_the_step_s_batch(bench: Bench) -> None:
    page = bench(["cut"])
    page.get_by_role("button", name="+50 cut rings").click()
    assert shown(page) == 50
    saved(page)
    assert [c["n"] for c in log(page, "count")] == [50]


def test_the_batch_of_a_lane_can_be_changed(bench: Bench) -> None:
    page = bench(["cut"])
    page.locator(".lane-name").click()
    page.get_by_label("One touch adds").fill("36")
    page.get_by_role("button", name="Done").click()
    page.locator(".lane-tray").click()
    assert shown(page) == 36


def test_a_typed_number_counts(bench: Bench) -> None:
    page = bench(["close"])
    page.get_by_role("button", name="Number").click()
    page.get_by_label("Add a number of closed rings").fill("37")
    page.keyboard.press("Enter")
    assert shown(page) == 37
    saved(page)
    assert [(c["n"], c["how"]) for c in log(page, "count")] == [(37, "hand")]


@pytest.mark.parametrize("typed", ["", "abc", "0", "-4", "2.5", "99999999", "1e9"])
def test_a_bad_number_is_told_and_counts_nothing(bench: Bench, typed: str) -> None:
    page = bench(["close"])
    page.get_by_role("button", name="Number").click()
    field = page.get_by_label("Add a number of closed rings")
    field.fill(typed)
    page.keyboard.press("Enter")
    expect(page.get_by_role("alert")).to_contain_text("Enter a whole number")
    expect(field).to_have_attribute("aria-invalid", "true")
    assert log(page, "count") == []


def test_a_weighed_batch_counts_with_one_touch(bench: Bench) -> None:
    page = bench(["close"], shape={"kind": "panel", "rows": 51, "columns": 60})
    page.get_by_role("button", name="Weigh").click()
    for label, typed in WEIGHED.items():
        page.get_by_label(label).fill(typed)
    page.get_by_role("button", name="Work it out").click()
    result = page.locator(".weigh-result")
    expect(result).to_contain_text("About 200 closed rings")  # 52 g / (13 g / 50)
    expect(result).to_contain_text("between")
    answer = ask(
        page,
        "return store.ask(given)",
        {"ask": "weigh", "reference": {"rings": 50, "grams": 13}, **PAN},
    )
    assert answer["low"] < 200 < answer["high"]
    expect(result).to_contain_text(f"{answer['low']}")
    result.get_by_role("button", name="Count these 200").click()
    assert shown(page) == 200
    saved(page)
    assert [(c["n"], c["how"]) for c in log(page, "count")] == [(200, "weigh")]
    page.get_by_role("button", name="Weigh").click()
    expect(page.get_by_label("Your counted sample weighs")).to_have_value(
        "13"
    )  # the reference is kept for the next batch
    expect(page.get_by_label("The whole heap weighs")).to_have_value("")


def test_a_heap_made_before_the_clock_ran_says_nothing_about_the_pace(bench: Bench) -> None:
    page = bench(["close"], shape={"kind": "panel", "rows": 51, "columns": 60})
    until(page, "return store.answers.forecast?.pace?.length;")
    page.get_by_role("button", name="Start the clock").click()
    until(page, "return store.clock.shown?.running;")
    page.get_by_role("button", name="Weigh").click()
    for label, typed in WEIGHED.items():
        page.get_by_label(label).fill(typed)
    page.get_by_role("button", name="Work it out").click()
    result = page.locator(".weigh-result")
    expect(result.get_by_role("alert")).to_contain_text("of work, and the clock has run")
    expect(result.get_by_role("button", name="Count these 200")).to_be_visible()
    result.get_by_role("button", name="made before the clock ran").click()
    assert shown(page) == 200
    saved(page)
    (change,) = log(page, "count")
    assert (change["n"], change["how"]) == (200, "hand") and "sitting" not in change


def test_a_bad_weight_is_told_at_its_field(bench: Bench) -> None:
    page = bench(["close"])
    page.get_by_role("button", name="Weigh").click()
    for label, typed in (
        ("Counted sample: how many", "50"),
        ("Your counted sample weighs", "heavy"),
        ("The whole heap weighs", "52"),
    ):
        page.get_by_label(label).fill(typed)
    page.get_by_role("button", name="Work it out").click()
    expect(page.get_by_label("Your counted sample weighs")).to_have_attribute(
        "aria-invalid", "true"
    )
    expect(page.get_by_role("alert").first).not_to_be_empty()
    assert page.locator(".weigh-result").count() == 0


def test_spoiled_items_are_noted_by_one_touch_and_by_number(bench: Bench) -> None:
    page = bench(["close"])
    for _ in range(3):
        page.locator(".pad").click()
    page.locator(".lane-tool", has_text="1 spoiled").click()
    page.locator(".lane-name").click()
    page.get_by_label("Spoiled closed rings (1 so far)").fill("1")
    page.get_by_role("button", name="Mark as spoiled").click()
    until(page, "return store.totals.of('p1', 'close').spoiled === 2")
    assert [c["n"] for c in log(page, "scrap")] == [1, 1]
    assert shown(page) == 3
    until(
        page,
        "return store.answers.standing('p1').steps.find((s) => s.step === 'close').spoiled === 2",
    )


def test_undo_says_what_and_takes_back_the_last_fifty(bench: Bench) -> None:
    page = bench(["close", "cut"])
    page.get_by_role("button", name="+50 cut rings").click()
    for _ in range(52):
        page.locator(".pad").first.click()
    saved(page)
    undo = page.locator(".undo-last")
    expect(undo).to_have_text("Undo +1 on Close, Apron")
    for left in range(51, 2, -1):
        undo.click()
        expect(page.locator(".pad-count").first).to_have_text(str(left))
    expect(page.locator(".cards")).to_contain_text("Took back +1 on Close, Apron.")
    undo.click()
    expect(page.locator(".pad-count").first).to_have_text("2")
    undos = [c for c in log(page, "count") if "undoes" in c]
    assert len(undos) == 50
    assert len({c["undoes"]["seq"] for c in undos}) == 50


def test_two_quick_undos_take_back_two(bench: Bench) -> None:
    page = bench(["close"])
    for _ in range(5):
        page.locator(".pad").click()
    saved(page)
    page.evaluate("() => { const b = document.querySelector('.undo-last'); b.click(); b.click(); }")
    expect(page.locator(".pad-count")).to_have_text("3")
    until(page, "return store.totals.of('p1', 'close').done === 3")


def test_one_of_the_last_fifty_can_be_taken_back_by_itself(bench: Bench) -> None:
    page = bench(["close", "cut"])
    page.get_by_role("button", name="+50 cut rings").click()
    for _ in range(3):
        page.locator(".pad").first.click()
    saved(page)
    page.get_by_role("button", name="Last 50").click()
    page.get_by_role("dialog").get_by_role("button", name="Undo +50 on Cut, Apron").click()
    expect(page.get_by_role("dialog").get_by_role("listitem")).to_have_count(3)
    page.get_by_role("button", name="Done").click()
    assert [shown(page, k) for k in (0, 1)] == [3, 0]


def test_a_spoiled_item_can_be_taken_back(bench: Bench) -> None:
    page = bench(["close"])
    page.locator(".pad").click()
    page.locator(".lane-tool", has_text="1 spoiled").click()
    expect(page.locator(".undo-last")).to_have_text("Undo 1 spoiled on Close, Apron")
    page.locator(".undo-last").click()
    until(page, "return store.totals.of('p1', 'close').spoiled === 0")
    assert shown(page) == 1


def test_a_device_that_does_not_save_shows_it(bench: Bench) -> None:
    page = bench(["close"])
    page.locator(".pad").click()
    saved(page)
    page.evaluate(FULL)
    page.locator(".pad").click()
    expect(page.locator(".pad")).to_have_attribute("data-saved", "lost")
    expect(page.locator(".pad-count")).to_have_text("1")
    expect(page.locator(".notice")).to_contain_text("could not save it")
    ask(page, "store.sync.dispatchEvent(new Event('change'));")  # a round with the server ends
    still(page)
    assert page.locator(".pad").get_attribute("data-saved") == "lost"


def test_pressed_saved_and_sent_look_different(bench: Bench) -> None:
    page = bench(["close"])
    look = """() => { const of = document.querySelector(".pad-of"), n = document.querySelector(".pad-count");
      return [getComputedStyle(of, "::before").content, getComputedStyle(n).textDecorationStyle]; }"""
    looks = []
    for state in ("pressed", "saved", "sent", "lost"):
        page.locator(".pad").evaluate("(e, state) => { e.dataset.saved = state; }", state)
        looks.append(tuple(page.evaluate(look)))
    assert len(set(looks)) == 4, looks


def test_counts_that_must_have_been_made_are_offered_outside_the_clock(bench: Bench) -> None:
    page = bench(["unit"])
    for _ in range(3):
        page.locator(".pad").click()
    until(
        page,
        "return store.answers.standing('p1').missing.some((m) => m.step === 'close' && m.n === 12)",
    )
    page.locator(".lane-name").click()
    missing = page.get_by_role("region", name="Counts you forgot to tap")
    missing.get_by_role("button", name="Count 12", exact=True).first.click()
    until(page, "return store.totals.of('p1', 'close').done === 12")
    made = log(page, "count")[-1]
    assert made["how"] == "hand" and "sitting" not in made
    until(page, "return !store.answers.standing('p1').missing.some((m) => m.step === 'close')")


def test_a_sheet_closes_when_another_screen_is_opened(bench: Bench) -> None:
    page = bench(["unit"])
    page.locator(".lane-name").click()
    page.get_by_role("button", name="Correct it in Records").click()
    expect(page.get_by_role("heading", name="Records", level=1)).to_be_visible()
    assert page.evaluate("() => document.querySelectorAll('dialog[open]').length") == 0
