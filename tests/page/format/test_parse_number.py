"""Numbers as makers type them: one reader for all screens, which guesses at nothing."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.page.desk import go, until
from tests.page.modules import Modules
from tests.running import Serving

READ = (
    "async (all) => { const { typedNumber } = await import('/format/parse-number.js'); return"
    " all.map(typedNumber); }"
)
LENGTH = (
    "async (all) => { const { typedLength } = await import('/format/parse-length.js'); return"
    " all.map(typedLength); }"
)
GOOD = {
    "7,5": 7.5,
    "7.5": 7.5,
    " 12 ": 12,
    ",5": 0.5,
    "1 200": 1200,
    "1\u202f200": 1200,
    "1\u00a0200,5": 1200.5,
    "12 345 678": 12345678,
    "1,200.50": 1200.5,
    "1.200,50": 1200.5,
    "1,200,300": 1200300,
    "0,125": 0.125,
    "1.628": 1.628,
    "-3": -3,
}
NONE = [
    "1,200",
    "12,345",
    "7 5",
    "12 34",
    "1,2,3",
    "1,20,300",
    "1 200 30",
    "7,5,",
    "an hour",
    "1e3",
    "0x10",
    "--1",
]


def test_comma_point_and_parted_thousands_are_read(modules: Modules) -> None:
    assert modules.evaluate(READ, list(GOOD)) == list(GOOD.values())
    assert modules.evaluate(READ, ["", "  "]) == [None, None]


def test_what_could_be_two_numbers_or_none_stays_as_typed(modules: Modules) -> None:
    assert modules.evaluate(READ, NONE) == NONE


def test_a_length_with_its_unit_is_read_by_the_same_rule(modules: Modules) -> None:
    lengths = {
        "7,5 mm": 7.5,
        "1 200 mm": 1200,
        "1,2 m": 1200,
        "1,200 mm": "1,200 mm",
        "7 5 mm": "7 5 mm",
    }
    assert modules.evaluate(LENGTH, list(lengths)) == list(lengths.values())


@pytest.mark.parametrize(("typed", "kept"), [("7,5", 7.5), ("7.5", 7.5)])
def test_hours_a_week_take_a_comma(desk: Page, full: Serving, typed: str, kept: float) -> None:
    go(desk, full.url, "#forecast")
    field = desk.get_by_label("Hours at the bench in a usual week")
    field.fill(typed)
    field.blur()
    until(desk, 'return store.setting("week_hours") === given;', kept)


def test_a_number_that_can_be_read_in_two_ways_is_refused_with_the_name_of_its_field(
    desk: Page, full: Serving
) -> None:
    go(desk, full.url, "#forecast")
    field = desk.get_by_label("Hours at the bench in a usual week")
    field.fill("1,200")
    field.blur()
    expect(desk.locator("#week-hours-why")).to_have_text(
        "Hours at the bench in a usual week: 1,200 could mean 1200 or 1.2. Write it one of these two ways."
    )
    field.fill("6,5")
    field.blur()
    until(desk, 'return store.setting("week_hours") === 6.5;')


def test_a_count_typed_at_the_bench_takes_parted_thousands_and_no_decimals(
    desk: Page, full: Serving
) -> None:
    read = (
        "async (t) => { const { wholeNumber } = await import('/screens/bench/lane-sheet.js'); return"
        " wholeNumber(t); }"
    )
    go(desk, full.url, "#bench")
    assert desk.evaluate(read, "1 200") == {"n": 1200, "why": ""}
    for typed in ("7,5", "1,200", "7 5", "0"):
        found = desk.evaluate(read, typed)
        assert found["n"] == 0 and found["why"].startswith("Number: ")


def test_a_form_refused_once_takes_the_next_good_value(desk: Page, full: Serving) -> None:
    """A cost of nothing, then one of 12.50: the first refusal must not hold the second back."""
    go(desk, full.url, "#forecast")
    desk.get_by_text("Price", exact=True).first.click()
    form = desk.locator("form", has=desk.get_by_role("button", name="Add a cost")).first
    form.get_by_label("What").fill("Lining")
    form.get_by_label("How much").fill("0")
    form.get_by_role("button", name="Add a cost").click()
    form.get_by_label("How much").fill("12,50")
    form.get_by_role("button", name="Add a cost").click()
    expect(desk.get_by_role("button", name="Remove: Lining").first).to_be_visible()


def test_days_off_refused_once_can_be_put_right(desk: Page, full: Serving) -> None:
    go(desk, full.url, "#forecast")
    form = desk.locator("form", has=desk.get_by_role("button", name="Add days away"))
    form.get_by_label("First day away").fill("2031-06-10")
    form.get_by_label("Last day away").fill("2031-06-01")
    form.get_by_role("button", name="Add days away").click()
    form.get_by_label("Last day away").fill("2031-06-11")
    form.get_by_role("button", name="Add days away").click()
    until(desk, 'return store.setting("off_days", []).includes("2031-06-11");')
