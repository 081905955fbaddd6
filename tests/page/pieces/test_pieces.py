"""Pieces: what a touch there does to a piece in work."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.page.benchwork import Bench, log, saved
from tests.page.desk import ask, until


def test_done_with_work_left_asks_and_stops_the_clock(bench: Bench) -> None:
    page = bench(["close"])
    page.locator(".pad").click()
    saved(page)
    until(page, "return store.answers.standing('p1').share > 0")
    page.get_by_role("link", name="Pieces").click()
    row = page.locator("[data-piece=p1]")
    row.get_by_role("button", name="Done: Apron").click()
    expect(row).to_contain_text("Mark it as done? Its clock stops.")
    row.get_by_role("button", name="No, not yet").click()
    assert ask(page, "return store.thing('piece', 'p1').state") == "open"
    assert ask(page, "return store.clock.shown.running")
    row.get_by_role("button", name="Done: Apron").click()
    row.get_by_role("button", name="Yes, it is done").click()
    until(page, "return store.thing('piece', 'p1').state === 'done'")
    assert ask(page, "return store.clock.shown") is None
    expect(row).to_contain_text("of its work counted")
    assert [c["event"] for c in log(page, "sitting")] == ["start", "stop"]


def test_a_piece_whose_plan_is_being_worked_out_is_not_called_unplanned(bench: Bench) -> None:
    page = bench(["close"])
    ask(
        page,
        'for (const [key] of store.answers.saved) if (key !== "steps")'
        " store.answers.saved.delete(key);",
    )
    page.get_by_role("link", name="Pieces").click()
    expect(page.locator("[data-piece=p1]")).to_contain_text("Working out its plan …")
    ask(page, 'await store.set("piece", "bare", { name: "Bare idea", order: 9, state: "open" });')
    expect(page.locator("[data-piece=bare]")).to_contain_text("Not planned yet")
