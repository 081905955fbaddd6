"""Notices on the Bench: one at a time, and never over the clock's buttons, what comes next, what takes a tap back, or a
pad.
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.page.bench.test_pads import LANES, SIZES, SMALL
from tests.page.benchwork import Bench
from tests.page.desk import still

SHOW = """async ([key, words]) => {
  const { Notices } = await import("/ui/notices.js");
  const all = (window.shownHere ??= new Notices(document.getElementById("notices")));
  const way = { href: "#setup", words: "Pair this phone" };
  if (key === "trouble") all.trouble({ why: words, way });
  else all.show(key, words, way);
}"""
COVERED = """() => {
  const notice = document.querySelector("#notices .notice:not([hidden])").getBoundingClientRect();
  const free = document.querySelectorAll("rw-bench :is(.strip button, .sight-next, .tools button, .lane button)");
  const over = (a, b) => a.left < b.right - 0.5 && b.left < a.right - 0.5 && a.top < b.bottom - 0.5 && b.top < a.bottom - 0.5;
  return [...free].filter((e) => e.checkVisibility() && over(notice, e.getBoundingClientRect()))
    .map((e) => `${e.className} under the notice, which ends at ${notice.bottom}`);
}"""
IN_SIGHT = """() => {
  const box = document.querySelector("#notices .notice:not([hidden])"), at = box.getBoundingClientRect();
  return [...box.children].map((e) => e.getBoundingClientRect()).every((r) => r.bottom <= at.bottom + 0.5);
}"""
SHORT = "Not paired: counts stay here."
LONG = "This device could not save it. Its storage may be full: save a backup file, free some space, then count it again."


def shown(page: Page, key: str, words: str) -> None:
    page.evaluate(SHOW, [key, words])
    still(page)


@pytest.mark.parametrize("lanes", [1, 2, 4])
@pytest.mark.parametrize("size", SIZES)
def test_a_notice_covers_neither_the_clocks_buttons_nor_next_nor_undo_nor_a_pad(
    bench: Bench, size: tuple[int, int], lanes: int
) -> None:
    page = bench(LANES[:lanes], size=size)
    expect(page.locator(".sight-next")).to_be_visible()
    page.locator(".pad").first.click()
    expect(page.locator(".strip")).to_have_attribute("data-clock", "running")
    shown(page, "unpaired", SHORT)
    assert page.evaluate(COVERED) == []
    assert page.evaluate(IN_SIGHT), "a short one is whole"
    assert page.evaluate(SMALL, ".notice :is(a, button)") == []
    shown(page, "trouble", LONG)
    assert page.evaluate(COVERED) == []


def test_one_notice_is_shown_at_a_time_and_trouble_first(bench: Bench) -> None:
    page = bench(LANES[:1])
    said: list[Any] = [["offer", "A newer page."], ["unpaired", SHORT], ["trouble", LONG]]
    for key, words in said:
        shown(page, key, words)
    seen = page.locator(".notice:visible")
    for words in (LONG, "A newer page.", SHORT):
        expect(seen).to_have_count(1)
        expect(seen).to_contain_text(words)
        seen.get_by_role("button", name="Dismiss").click()
    expect(page.locator(".notice")).to_have_count(0)
