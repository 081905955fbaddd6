"""Pieces: the list answers at once when a piece is moved, finished or taken up again."""

from __future__ import annotations

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.page.desk import ask, go, until
from tests.running import Serving

LAY = """
const ring = { wire_mm: 1.2, inner_mm: 8, lap_mm: 2.4, metal: "mild steel" };
for (const [k, [id, name, rows]] of Object.entries(given)) {
  const shape = { kind: "panel", rows, columns: 24 }, due = id === "p1" ? "2025-11-26" : null;
  await store.set("ring", `${id}-r`, ring);
  await store.set("panel", `${id}-a`, { piece: id, name: "Front", shape, state: "relaxed" });
  await store.set("piece", id, { name, mark: "disc", state: "open", ring: `${id}-r`, order: Number(k), due });
}
"""
DATES = "store.answers.forecast.pieces.map((p) => [p.id, p.finish.p50])"
SAID = f"return store.answers.forecast?.pieces.length === given && {DATES}"
FIRST = f"return store.answers.forecast.pieces[0].id === given && {DATES}"


@pytest.fixture
def pieces(page: Page, serving: Serving) -> Page:
    go(page, serving.url)
    ask(page, LAY, [["p1", "Apron", 51], ["p2", "Coif", 11], ["p3", "Left sleeve", 31]])
    until(page, SAID, 3)
    page.goto("/#pieces")
    return page


def names(page: Page) -> list[str]:
    return page.locator("rw-pieces .piece-name strong").all_inner_texts()


def row(page: Page, name: str) -> Locator:
    return page.locator("rw-pieces .piece").filter(has_text=name)


def test_a_piece_put_first_has_its_date_at_once(pieces: Page) -> None:
    before = dict(until(pieces, SAID, 3))
    row(pieces, "Coif").get_by_role("button", name="Move up").click()
    expect(pieces.locator("rw-pieces .piece-name strong").first).to_have_text("Coif")
    after = dict(until(pieces, FIRST, "p2"))
    assert after["p2"] < before["p2"]
    assert after["p1"] >= before["p1"]
    expect(row(pieces, "Coif").get_by_role("button", name="Move down")).to_be_focused()


def test_the_first_cannot_go_up_nor_the_last_down(pieces: Page) -> None:
    expect(row(pieces, "Apron").get_by_role("button", name="Move up")).to_be_disabled()
    expect(row(pieces, "Left sleeve").get_by_role("button", name="Move down")).to_be_disabled()


def test_a_finished_piece_leaves_the_queue_and_can_come_back(pieces: Page) -> None:
    row(pieces, "Apron").get_by_role("button", name="Done").click()
    row(pieces, "Apron").get_by_role("button", name="Yes, it is done").click()
    expect(row(pieces, "Apron")).to_contain_text("Done, with")
    assert names(pieces) == ["Coif", "Left sleeve", "Apron"]
    until(pieces, SAID, 2)
    expect(row(pieces, "Apron").locator(".share")).not_to_contain_text(
        "100 %"
    )  # it was not all made
    row(pieces, "Apron").get_by_role("button", name="Reopen").click()
    until(pieces, SAID, 3)
    assert names(pieces) == ["Apron", "Coif", "Left sleeve"]


def test_a_date_that_cannot_be_met_is_said_in_words(pieces: Page) -> None:
    expect(row(pieces, "Apron").locator(".due")).to_have_text("Due 26 Nov 2025 ▲ likely late")


def test_what_is_counted_moves_the_share(pieces: Page) -> None:
    expect(row(pieces, "Coif").locator(".share")).to_contain_text("0 %")
    ask(pieces, 'await store.counting.count("p2", "unit", 36).saved;')
    expect(row(pieces, "Coif").locator(".share")).not_to_contain_text("0 %")


def test_a_hostile_name_stays_text(page: Page, serving: Serving) -> None:
    go(page, serving.url)
    name = '<img src=x onerror="document.title=1">&amp;'
    ask(page, LAY, [["p1", name, 11]])
    page.goto("/#pieces")
    expect(page.locator("rw-pieces .piece-name strong")).to_have_text(name)
    assert page.locator("rw-pieces img").count() == 0
