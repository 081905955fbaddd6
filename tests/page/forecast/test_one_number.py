"""One count, one number: what the pad shows, Records, cards, pieces and the forecast's question say
too.
"""

from __future__ import annotations

from typing import Any

from playwright.sync_api import Page, expect

from shared.ask import reply
from tests.page.benchwork import Bench, Finger, middle, saved, shown
from tests.page.desk import ask, still, until

SIT = """for (const n of given) {
  for (let k = 0; k < n; k++) await store.counting.count("p1", "close", 1).saved;
  await store.clock.stop();
}"""
QUESTION = 'return JSON.parse(store.answers.saved.get("forecast").asked);'


def way(page: Page, to: str) -> None:
    page.evaluate("(to) => { location.hash = to; }", to)


def asked(page: Page) -> list[dict[str, Any]]:
    ask(page, "await store.answers.freshen();")
    rows: list[dict[str, Any]] = ask(page, QUESTION)["sittings"]
    return rows


def test_a_count_is_one_number_from_the_tap_to_the_forecast(bench: Bench) -> None:
    """Sittings of 40, 50 and 60; the tap that starts each clock is counted and only left out of the
    pace.
    """
    page = bench(["close"])
    ask(page, SIT, [40, 50, 59])
    ask(page, 'await store.clock.start("p1", "close");')
    still(page)
    Finger(page).tap(*middle(page))
    until(page, 'return store.totals.of("p1", "close").done === 150;')
    saved(page)
    assert shown(page) == 150
    ask(page, "await store.clock.stop();")

    way(page, "#records/sittings")
    rows = page.locator(".sittings > li")
    expect(rows).to_have_count(4)
    for nth, words in enumerate(("1 item ·", "59 items", "50 items", "40 items")):
        expect(rows.nth(nth)).to_contain_text(words)
    expect(rows.nth(3)).to_contain_text("(39 timed; 1 was made before the clock ran)")
    expect(rows.nth(0)).not_to_contain_text("timed")
    expect(page.get_by_role("row", name="Close")).to_contain_text("150")
    expect(page.get_by_role("row", name="Close")).to_contain_text("147 timed")
    expect(page.get_by_text("leaves out 3 items made before the clock ran")).to_be_visible()

    way(page, "#records/cards")
    expect(page.get_by_role("article", name="Apron")).to_contain_text("Close 150")

    said = asked(page)
    assert sorted(s["items"] for s in said) == [1, 40, 50, 59]
    assert sum(s["items"] for s in said) == 150
    assert sum(s.get("untimed", 0) for s in said) == 3

    way(page, "#pieces")
    share = ask(page, 'return store.answers.standing("p1").share;')
    done = ask(page, 'return JSON.parse(store.answers.saved.get("stand:p1").asked);')
    assert done["journal"]["close"]["done"] == 150
    assert reply(done)["share"] == share
    expect(page.locator('[data-piece="p1"] .figure').first).to_contain_text(f"{int(share * 100)} %")


def test_the_pace_is_that_of_the_timed_items_alone(bench: Bench) -> None:
    page = bench(["close"])
    ask(page, SIT, [40, 50, 60])
    asked(page)
    question = ask(page, QUESTION)
    bare = [
        {k: v for k, v in s.items() if k != "untimed"} | {"items": s["items"] - 1}
        for s in question["sittings"]
    ]
    assert reply(question)["pace"] == reply(question | {"sittings": bare})["pace"]
