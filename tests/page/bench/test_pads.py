"""Pads under a thumb: their size in millimetres, their place, and the other hand. WCAG 2.5.5 for
the rest.
"""

from __future__ import annotations

from itertools import combinations
from typing import Any

import pytest
from playwright.sync_api import Page

from tests.page.benchwork import LYING, MM, UPRIGHT, Bench, box

LANES: list[Any] = ["unit", "close", ["soften", "p2"], ["unit_join", "p2"]]
SIZES = UPRIGHT + LYING
SMALL = """(which) => [...document.querySelectorAll(which)].map((e) => [e, e.getBoundingClientRect()])
  .filter(([e, r]) => r.width > 0 && !e.closest(".skip") && (r.width < 43.9 || r.height < 43.9))
  .map(([e, r]) => `${e.className} ${e.id} ${e.textContent} ${r.width} x ${r.height}`)"""
CONTROLS = ":is(a.button, button, input, select, summary)"
IN_SHEETS = f"dialog[open] {CONTROLS}, rw-setup {CONTROLS}"


def pads(page: Page) -> list[dict[str, float]]:
    return [box(page, ".pad", k) for k in range(page.locator(".pad").count())]


@pytest.mark.parametrize("size", SIZES)
def test_one_pad_is_25_mm_and_two_fifths_of_the_height(bench: Bench, size: tuple[int, int]) -> None:
    page = bench(LANES[:1], size=size)
    (pad,) = pads(page)
    assert pad["width"] >= 25 * MM and pad["height"] >= 25 * MM
    assert pad["height"] >= 0.4 * size[1]
    assert pad["y"] + pad["height"] / 2 > size[1] / 2  # in the thumb's half
    assert pad["y"] + pad["height"] <= size[1]


@pytest.mark.parametrize("lanes", [2, 3, 4])
@pytest.mark.parametrize("size", SIZES)
def test_several_pads_are_20_mm_with_6_mm_between(
    bench: Bench, size: tuple[int, int], lanes: int
) -> None:
    page = bench(LANES[:lanes], size=size)
    found = pads(page)
    assert len(found) == lanes
    for pad in found:
        assert pad["width"] >= 20 * MM and pad["height"] >= 20 * MM, pad
        assert (
            pad["y"] + pad["height"] <= size[1] + 0.5 and pad["x"] + pad["width"] <= size[0]
        )  # all on one screen
    for a, b in combinations(found, 2):
        across = max(a["x"], b["x"]) - min(a["x"] + a["width"], b["x"] + b["width"])
        down = max(a["y"], b["y"]) - min(a["y"] + a["height"], b["y"] + b["height"])
        assert max(across, down) >= 6 * MM - 0.5, (a, b)


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("lanes", [1, 4])
def test_every_other_control_is_44_px(bench: Bench, size: tuple[int, int], lanes: int) -> None:
    page = bench(LANES[:lanes], size=size)
    small = page.evaluate(SMALL, "a, button, input, select, summary")
    assert small == []


def test_controls_of_setup_and_sheets_are_44_px(bench: Bench) -> None:
    page = bench(LANES[:1])
    page.locator(".lane-name").click()
    assert page.evaluate(SMALL, IN_SHEETS) == []
    page.keyboard.press("Escape")
    page.get_by_role("link", name="Setup").click()
    page.locator(".setup .step-list > summary").click()
    assert page.evaluate(SMALL, IN_SHEETS) == []


def test_the_left_hand_gets_a_mirror(bench: Bench) -> None:
    right = bench(LANES[:2])
    left = bench(LANES[:2], own={"hand": "left"})
    assert box(right, ".pad", 0)["x"] < box(right, ".pad", 1)["x"]
    assert box(left, ".pad", 0)["x"] > box(left, ".pad", 1)["x"]
    assert box(left, ".undo-last")["x"] > box(left, ".undo-list")["x"]
    lying = bench(LANES[:1], size=(844, 390), own={"hand": "left"})
    assert box(lying, ".pad")["x"] < 844 / 2 - box(lying, ".pad")["width"] / 2
    assert box(bench(LANES[:1], size=(844, 390)), ".pad")["x"] > 400


FIGURES = """() => [...document.querySelectorAll(".pad-count")].map((count) => {
  const text = document.createRange(), edge = count.parentElement.getBoundingClientRect();
  text.selectNodeContents(count);
  const at = text.getBoundingClientRect(), size = parseFloat(getComputedStyle(count).fontSize);
  const middle = (at.top + at.bottom) / 2, half = 0.36 * size;
  const clear = [...count.parentElement.children].filter((e) => e !== count && !e.matches(".quiet"))
    .map((e) => e.getBoundingClientRect()).filter((r) => r.height > 2)
    .every((r) => r.top >= middle + half - 1 || r.bottom <= middle - half + 1);
  return { size, clear, inside: at.left >= edge.left - 0.5 && at.right <= edge.right + 0.5 };
})"""


@pytest.mark.parametrize("lanes", [1, 2, 3, 4])
@pytest.mark.parametrize("size", SIZES)
def test_counts_have_capitals_of_10_mm_and_stay_clear(
    bench: Bench, size: tuple[int, int], lanes: int
) -> None:
    """94 px of font: capitals are about 0.7 of it (45' at 80 cm, ISO 9241-3 and NUREG-0700 from
    their text).
    """
    page = bench(LANES[:lanes], size=size)
    for n in (87, 353, 3082, 14096):
        page.evaluate(
            "(n) => document.querySelector('rw-bench').lanes.forEach((l) => l.pad.count(n))", n
        )
        for figures in page.evaluate(FIGURES):
            assert figures["size"] >= 94 and figures["inside"] and figures["clear"], (n, figures)
