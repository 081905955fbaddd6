"""A save that breaks midway: nothing of it is kept, the maker is told, and the next save takes all."""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.page.desk import ask, go, until
from tests.page.plan.test_plan_pieces import LAY, names, row
from tests.running import Serving

# The disk is full at the second row (of a kind, if one is given), once. The day's forecasts were
# saved before, if any.
BREAK = """
await store.answers.settled;
const { add } = IDBObjectStore.prototype;
const kind = given;
let rows = 0;
IDBObjectStore.prototype.add = function (...given) {
  if (this.name === "changes" && given[0].thing === (kind ?? given[0].thing) && ++rows === 2) {
    IDBObjectStore.prototype.add = add;
    throw new DOMException("no room", "QuotaExceededError");
  }
  return add.apply(this, given);
};
"""
LANES = """
for (const [k, step] of ["unit", "close"].entries())
  await store.set("lane", `l${k}`, { piece: "p1", step, order: k + 1 });
await store.clock.start("p1", "unit");
"""
LOGGED = "return (await allChanges()).length"
REFUSED = "This device could not save it."


@pytest.fixture
def laid(page: Page, serving: Serving) -> Page:
    go(page, serving.url)
    ask(page, LAY, [["p1", "Apron", 51], ["p2", "Coif", 11], ["p3", "Left sleeve", 31]])
    ask(page, LANES)
    until(page, "return store.answers.forecast?.pieces.length === 3")
    return page


def kept(page: Page) -> dict[str, Any]:
    """What the store shows, and what the disk holds for a page opened afterwards."""
    shown = """return { name: store.thing("piece", "p1")?.name, rows: store.thing("panel", "p1-a")?.shape.rows,
      lanes: store.things("lane").map((l) => l.id).sort(), clock: store.clock.shown?.piece ?? "",
      order: store.things("piece").map((p) => p.id) }"""
    before = dict(ask(page, shown))
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    assert dict(ask(page, shown)) == before
    return before


def test_a_plan_is_saved_whole_or_not_at_all(laid: Page) -> None:
    laid.goto("/#plan/p1")
    laid.locator("#f-piece-name").fill("Long apron")
    laid.locator("#f-panels-0-m-rows").fill("61")
    logged = ask(laid, LOGGED)
    ask(laid, BREAK)
    laid.locator("[data-do=save]").click()
    expect(laid.locator("#notices")).to_contain_text(REFUSED)
    assert ask(laid, LOGGED) == logged
    assert ask(laid, 'return store.thing("piece", "p1").name') == "Apron"
    expect(laid.locator("#f-piece-name")).to_have_value("Long apron")
    laid.locator("[data-do=save]").click()
    until(laid, 'return store.thing("piece", "p1").name === "Long apron"')
    after = kept(laid)
    assert (after["name"], after["rows"]) == ("Long apron", 61)


def test_a_piece_leaves_with_its_lanes_and_its_clock_or_not_at_all(laid: Page) -> None:
    laid.goto("/#plan/p1")
    ask(laid, BREAK)
    laid.locator("[data-do=remove]").click()
    laid.locator("[data-do=remove-yes]").click()
    expect(laid.locator("#notices")).to_contain_text(REFUSED)
    until(laid, 'return store.clock.shown?.piece === "p1"')  # the clock runs on, as it is saved
    before = kept(laid)
    assert (before["name"], before["lanes"], before["clock"]) == ("Apron", ["l0", "l1"], "p1")
    laid.locator("[data-do=remove]").click()
    laid.locator("[data-do=remove-yes]").click()
    expect(laid.locator("rw-pieces .piece")).to_have_count(2)
    after = kept(laid)
    assert (after["lanes"], after["clock"], after["order"]) == ([], "", ["p2", "p3"])


def test_dates_that_cannot_be_saved_stand_on_the_screen_and_the_notice_is_plain(
    page: Page, serving: Serving
) -> None:
    go(page, serving.url)
    ask(page, BREAK, "forecast")
    ask(page, LAY, [["p1", "Apron", 51], ["p2", "Coif", 11], ["p3", "Left sleeve", 31]])
    expect(page.locator("#notices")).to_contain_text(REFUSED)
    until(page, "await store.answers.settled; return store.answers.forecast?.pieces.length === 3")
    expect(page.locator("#notices")).to_contain_text(REFUSED)
    assert "Error" not in page.locator("#notices").inner_text()


def test_the_order_of_pieces_changes_whole_or_not_at_all(laid: Page) -> None:
    laid.goto("/#pieces")
    expect(row(laid, "Coif").get_by_role("button", name="Move up")).to_be_enabled()
    ask(laid, BREAK)
    row(laid, "Coif").get_by_role("button", name="Move up").click()
    expect(laid.locator("#notices")).to_contain_text(REFUSED)
    assert names(laid) == ["Apron", "Coif", "Left sleeve"]
    row(laid, "Coif").get_by_role("button", name="Move up").click()
    expect(laid.locator("rw-pieces .piece-name strong").first).to_have_text("Coif")
    assert kept(laid)["order"] == ["p2", "p1", "p3"]
