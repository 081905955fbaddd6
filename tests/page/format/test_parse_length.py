"""Lengths as makers write them. An inch is 25.4 mm exactly, a foot 12 inches (international inch,
by definition).
"""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.page.modules import Modules

READ = "async (typed) => (await import('/format/parse-length.js')).typedLength(typed)"
SAID = "async (typed) => (await import('/format/parse-length.js')).understood(typed)"

LENGTHS = [
    ("304.8", 304.8),
    ("304,8", 304.8),
    (" 30 cm ", 300),
    ("30,5cm", 305),
    ("1.2 m", 1200),
    ("1.6 mm", 1.6),
    ("12 in", 304.8),
    ("12 Inches", 304.8),
    ('12"', 304.8),
    ("12”", 304.8),
    ("12''", 304.8),
    ('3/8"', 9.525),
    ("⅜ in", 9.525),
    ('1 1/2"', 38.1),
    ("1-1/2 in", 38.1),
    ("1½ in", 38.1),
    ("2 ft", 609.6),
    ("5' 3\"", 1600.2),
    ("5′3½″", 1612.9),
    (".5 in", 12.7),
]
NONE = [
    "thick",
    "3/8",
    "12 in 3 in",
    "3 cm 2",
    "in",
    "1/0 in",
    "-2 in",
    "3 in 2 ft",
    "12 stone",
    "1e9",
]


@pytest.mark.parametrize(("typed", "mm"), LENGTHS)
def test_a_length_is_read_in_the_unit_it_says(modules: Modules, typed: str, mm: float) -> None:
    assert modules.evaluate(READ, typed) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize("typed", NONE)
def test_what_is_no_length_stays_as_it_was_typed(modules: Modules, typed: str) -> None:
    assert modules.evaluate(READ, typed) == typed
    assert modules.evaluate(SAID, typed) == ""


def test_inches_are_understood_beside_the_field_at_once_and_kept_as_millimetres(page: Page) -> None:
    page.goto("/#plan/new")
    page.locator("#f-piece-name").fill("Coif")
    page.locator("#f-ring-wire_mm").fill("1/16 in")
    expect(page.locator("label[for=f-ring-wire_mm]")).to_contain_text("= 1.5875 mm")
    page.locator("#f-ring-inner_mm").fill('3/8"')
    page.locator("#f-panels-0-m-width_mm").fill("12 in")
    page.locator("#f-panels-0-m-height_mm").fill("30 cm")
    expect(page.locator("label[for=f-panels-0-m-width_mm]")).to_contain_text("= 304.8 mm")
    expect(page.locator(".plan-foot [role=status]")).to_contain_text("rings")
    page.locator("[data-do=save]").click()
    expect(page.locator("#h-lanes")).to_be_visible()
    kept = page.evaluate("""async () => { const { store } = await import('./store/store.js');
      const [ring] = store.things("ring"), [panel] = store.things("panel");
      return [ring.wire_mm, ring.inner_mm, panel.shape.width_mm, panel.shape.height_mm]; }""")
    assert kept == [1.5875, 9.525, 304.8, 300]


def test_a_fraction_without_a_unit_is_refused_where_it_stands(page: Page) -> None:
    page.goto("/#plan/new")
    page.locator("#f-ring-wire_mm").fill("3/8")
    error = page.locator("#f-ring-wire_mm-why")
    expect(error).to_contain_text("enter 3/8 in for inches, or 9.53 for millimetres", timeout=20000)
    expect(page.locator(".plan-foot [role=status]")).to_contain_text(
        "Ring, Wire: “3/8” has no unit"
    )
    page.locator("#f-ring-wire_mm").fill("16 ga")
    expect(error).to_contain_text("“16 ga” is a gauge number", timeout=20000)
    expect(error).to_contain_text(
        page.locator("#f-gauge").locator("xpath=ancestor::details/summary").inner_text()
    )


def test_letters_for_measures_are_a_choice_of_the_device(page: Page) -> None:
    page.goto("/#plan/new")
    wire = page.locator("#f-ring-wire_mm")
    expect(wire).to_have_attribute("inputmode", "decimal")
    page.goto("/#setup")
    page.get_by_role("switch", name="I type inches: keyboard with letters").click()
    page.goto("/#plan/new")
    expect(wire).to_have_attribute("inputmode", "text")


def test_inches_bring_their_keyboard_where_they_are_typed(page: Page) -> None:
    page.goto("/#plan/new")
    wire, width = page.locator("#f-ring-wire_mm"), page.locator("#f-panels-0-m-width_mm")
    wire.fill('1/16"')
    expect(wire).to_have_attribute("inputmode", "text")
    expect(width).to_have_attribute("inputmode", "decimal")
    page.get_by_role("button", name="I type inches").click()
    expect(width).to_have_attribute("inputmode", "text")
    expect(page.locator("#f-ring-reel_kg")).to_have_attribute("inputmode", "decimal")
    page.get_by_role("button", name="I type inches").click()
    expect(width).to_have_attribute("inputmode", "decimal")
