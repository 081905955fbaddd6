"""'Set the count to what is here': a correction of its own, that spoils neither pace nor losses."""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, log, saved, shown
from tests.page.desk import ask, until

LOSSES = """
const { useCountedLosses } = await import("/screens/plan/actions.js");
const model = { answer: { table: { steps: [{ step: "close" }] } }, draft: { piece: { losses: {} } }, edited() {} };
useCountedLosses(model);
return model.draft.piece.losses;
"""


def sheet(page: Page) -> Any:
    page.locator(".lane-name").first.click()
    return page.get_by_role("form", name="Set the count to what is here")


def pace(page: Page) -> Any:
    return ask(
        page,
        "return (await history.sittings()).map((s) => [s.step, s.items, Math.round(s.minutes)])",
    )


def test_the_bench_sets_the_count_to_what_lies_here(bench: Bench) -> None:
    page = bench(["close", "unit"])
    ask(page, "await store.counting.count('p1', 'close', 30, { how: 'hand' }).saved")
    for _ in range(3):
        page.locator(".pad").nth(1).click()  # three units take up twelve closed rings
    saved(page, 1)
    form = sheet(page)
    expect(form).to_contain_text("How many closed rings are here, not used yet? By the count: 18.")
    form.get_by_label("How many closed rings are here").fill("9")
    form.get_by_role("button", name="Set the count").click()
    expect(page.locator(".cards")).to_contain_text("Good ones set to 9, 9 fewer.")
    assert shown(page) == 21
    said = log(page, "count")[-1]
    assert (said["how"], said["n"], said["found"]) == ("stocktake", -9, 9) and "sitting" not in said
    until(
        page,
        "return store.answers.standing('p1').steps.find((s) => s.step === 'close').in_hand === 9",
    )
    expect(page.locator(".undo-last")).to_have_text("Undo good ones set to 9 on Close, Apron")
    page.get_by_role("button", name="Last 50").click()
    expect(page.get_by_role("dialog")).to_contain_text(
        "good ones set to 9, 9 fewer on Close, Apron"
    )
    page.get_by_role("dialog").get_by_role("button", name="Done").click()
    page.locator(".undo-last").click()
    expect(page.locator(".pad-count").first).to_have_text("30")
    until(
        page,
        "return store.answers.standing('p1').steps.find((s) => s.step === 'close').in_hand === 18",
    )


def test_a_count_that_is_right_stays_and_a_far_one_is_asked_about(bench: Bench) -> None:
    page = bench(["close"])
    ask(page, "await store.counting.count('p1', 'close', 12, { how: 'hand' }).saved")
    form = sheet(page)
    field = form.get_by_label("How many closed rings are here")
    for typed in ("", "-3", "2.5", "many"):
        field.fill(typed)
        form.get_by_role("button", name="Set the count").click()
        expect(form.get_by_role("alert")).to_contain_text("Enter how many you counted")
    field.fill("12")
    form.get_by_role("button", name="Set the count").click()
    expect(form).to_contain_text("The count is 12 already. Nothing has changed.")
    field.fill("1200")
    form.get_by_role("button", name="Set the count").click()
    expect(form.get_by_role("alert")).to_contain_text(
        "That is 1188 more than the count. Set it to 1200?"
    )
    assert len(log(page, "count")) == 1
    form.get_by_role("button", name="Set it to 1200").click()
    expect(page.locator(".pad-count")).to_have_text("1200")


def test_where_nothing_lies_loose_what_is_done_is_set(bench: Bench) -> None:
    page = bench(["unit_join"])
    form = sheet(page)
    expect(form).to_contain_text("are done in all? By the count: 0.")
    form.get_by_label("are done in all").fill("5")
    form.get_by_role("button", name="Set the count").click()
    expect(page.locator(".pad-count")).to_have_text("5")
    expect(page.locator(".strip")).to_have_attribute("data-clock", "stopped")  # it is no tap


def test_pace_and_losses_do_not_follow_a_stocktake_but_what_is_to_go_does(bench: Bench) -> None:
    """From the Bench through Records to Pieces."""
    page = bench(["close"])
    for _ in range(4):
        page.locator(".pad").click()
    page.locator(".lane-tool", has_text="1 spoiled").click()
    until(
        page,
        "return store.answers.standing('p1').steps.find((s) => s.step === 'close').spoiled === 1",
    )
    before, losses = pace(page), ask(page, LOSSES)
    assert losses == {"close": {"good": "3", "bad": "1"}}
    page.get_by_role("link", name="Records").click()
    page.get_by_role("link", name="Counts").click()
    page.get_by_label("Step", exact=True).select_option(label="Close")
    form = page.get_by_role("form", name="Set the count to what is here")
    expect(form).to_contain_text("By the count: 3.")
    form.get_by_label("How many closed rings are here").fill("40")
    form.get_by_role("button", name="Set the count").click()
    expect(form).to_contain_text("Good ones set to 40, 37 more.")
    until(page, "return store.answers.standing('p1').to_go.close === 20")
    assert pace(page) == before and ask(page, LOSSES) == losses
    assert ask(page, "return store.totals.of('p1', 'close')") == {"done": 41, "spoiled": 1}
    page.get_by_role("link", name="Changes").click()
    expect(page.locator(".log li").first).to_contain_text(
        "Good ones set to 40, 37 more: Close, Apron"
    )
    page.get_by_role("link", name="Pieces").click()
    share = ask(page, "return store.answers.standing('p1').share")
    expect(page.locator("[data-piece=p1] progress")).to_have_attribute("value", str(share))
    asked = (
        "JSON.parse(store.answers.saved.get('forecast').asked).pieces.find((p) => p.id === 'p1')"
    )
    until(page, f"return {asked}.to_go.close === 20")
