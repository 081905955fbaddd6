"""Sittings in Records: written in by hand, corrected, deleted and brought back, each by new changes
of the log.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from shared.log.fold import fold
from tests.page.desk import ask, go, until
from tests.running import Serving

EVERYTHING = "return await allChanges();"
OF_DAY = "return (await history.sittings()).filter((s) => s.date === given);"


@pytest.fixture
def records(desk: Page, full: Serving) -> Page:
    return shown(desk, full.url)


def shown(page: Page, url: str, part: str = "sittings") -> Page:
    go(page, url, f"#records/{part}")
    page.locator("rw-records .part").wait_for()
    return page


def reread(page: Page) -> None:
    """Away and back: the list then shows what was counted meanwhile."""
    page.evaluate("() => { location.hash = '#records/copy'; }")
    page.get_by_role("button", name="Save a backup file").wait_for()
    page.evaluate("() => { location.hash = '#records/sittings'; }")
    shown = 'document.querySelector("rw-records").parts.get("sittings").rows[0].sitting'
    until(page, f"return {shown} === (await history.sittings())[0].sitting;")
    first(page).wait_for()


def writing(page: Page) -> Locator:
    page.get_by_text("Add a sitting by hand").click()
    return page.locator("form", has=page.locator("#fg-items"))


def fill(form: Locator, **fields: str) -> None:
    labels = {"day": "Day", "time": "Begun at", "minutes": "Minutes worked", "items": "Items made"}
    for name, value in fields.items():
        form.get_by_label(labels[name], exact=True).fill(value)


def write_in(form: Locator, sure: bool = False, **fields: str) -> None:
    fill(form, **fields)
    form.get_by_role("button", name="Add it", exact=True).click()
    if sure:
        form.get_by_role("button", name="Yes, add it").click()


def first(page: Page) -> Locator:
    return page.locator(".sittings > li").first


def corrected(page: Page, **fields: str) -> None:
    """The newest sitting with these fields put right."""
    row = first(page)
    row.locator("summary").click()
    for label, value in fields.items():
        field = row.get_by_label(label.replace("_", " "), exact=True)
        if field.evaluate("(field) => field.tagName") == "SELECT":
            field.select_option(value)
        else:
            field.fill(value)
    row.get_by_role("button", name="Correct", exact=True).click()


def newest(page: Page) -> dict[str, Any]:
    row: dict[str, Any] = ask(page, "return (await history.sittings())[0];")
    return row


def done(page: Page, step: str, piece: str = "coif") -> int:
    return int(ask(page, "return store.totals.of(...given).done;", [piece, step]))


def told_by_the_engine(page: Page) -> None:
    """What the page holds is what the engine makes of the same log."""
    here = fold(ask(page, EVERYTHING))
    rows = ask(
        page,
        "return (await history.sittings()).map((s) => [s.sitting, s.step, s.date, s.items,"
        " s.untimed]);",
    )
    assert sorted(rows) == [
        [s[n] for n in ("sitting", "step", "date", "items", "untimed")] for s in here["sittings"]
    ]
    totals: dict[tuple[str, str], int] = {}
    for t in here["totals"]:
        totals[(t["piece"], t["step"])] = totals.get((t["piece"], t["step"]), 0) + t["done"]
    for (piece, step), n in totals.items():
        assert done(page, step, piece) == n


def test_a_decimal_comma_is_a_decimal_comma(records: Page) -> None:
    write_in(writing(records), day="2026-11-20", time="19:30", minutes="7,5", items="4")
    row = until(
        records, f"const rows = await (async () => {{ {OF_DAY} }})(); return rows[0];", "2026-11-20"
    )
    assert (row["minutes"], row["items"], row["start_min"]) == (7.5, 4, 19 * 60 + 30)


@pytest.mark.parametrize(("hour", "back"), [(12, 1), (21, 0)])
def test_the_sitting_offered_first_is_of_the_last_evening_that_is_over(
    desk: Page, full: Serving, hour: int, back: int
) -> None:
    now = datetime.now().replace(hour=hour, minute=0, second=0, microsecond=0)
    desk.clock.set_fixed_time(now)
    form = writing(shown(desk, full.url))
    expect(form.get_by_label("Day", exact=True)).to_have_value(
        (now - timedelta(days=back)).date().isoformat()
    )
    expect(form.get_by_label("Begun at")).to_have_value("19:00")


def test_piece_step_and_day_stay_for_the_next_entry_which_begins_where_the_last_ended(
    records: Page,
) -> None:
    form = writing(records)
    form.get_by_label("Step", exact=True).select_option("close")
    write_in(form, day="2026-11-19", time="19:00", minutes="50", items="44")
    expect(form.get_by_role("status")).to_contain_text("44 items")
    assert form.get_by_label("Day", exact=True).input_value() == "2026-11-19"
    assert form.get_by_label("Step", exact=True).input_value() == "close"
    assert form.get_by_label("Begun at").input_value() == "19:50"
    write_in(form, minutes="20", items="10")
    expect(form.get_by_role("status")).to_contain_text("10 items")
    rows = [
        r
        for r in ask(records, OF_DAY, "2026-11-19")
        if r["step"] == "close" and r["items"] in (44, 10)
    ]
    assert sorted((r["start_min"], r["minutes"]) for r in rows) == [(1140, 50), (1190, 20)]


def test_a_forgotten_evening_before_the_first_record_is_asked_about_and_taken_when_confirmed(
    records: Page,
) -> None:
    before = done(records, "close", "aventail")
    form = writing(records)
    form.get_by_label("Piece").select_option("aventail")
    form.get_by_label("Step").select_option("close")
    write_in(form, day="2026-01-15", time="19:30", minutes="50", items="44")
    question = form.get_by_role("alert")
    expect(question).to_contain_text("Thu, 15 January 2026 is before the first record of")
    assert done(records, "close", "aventail") == before
    form.get_by_role("button", name="Yes, add it").click()
    until(records, 'return store.totals.of("aventail", "close").done === given;', before + 44)
    (row,) = ask(records, OF_DAY, "2026-01-15")
    assert (row["minutes"], row["items"], row["start_min"], row["piece"]) == (
        50,
        44,
        19 * 60 + 30,
        "aventail",
    )


def test_a_day_in_1990_is_not_taken_when_the_maker_takes_it_back(records: Page) -> None:
    said = len(ask(records, EVERYTHING))
    form = writing(records)
    write_in(form, day="1990-03-05", minutes="50", items="44")
    form.get_by_role("button", name="No, change the day").click()
    expect(form.get_by_role("button", name="Add it", exact=True)).to_be_visible()
    assert len(ask(records, EVERYTHING)) == said
    fill(form, day="2026-11-18")
    form.get_by_role("button", name="Add it", exact=True).click()
    until(
        records,
        f"const rows = await (async () => {{ {OF_DAY} }})(); return rows.length;",
        "2026-11-18",
    )


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("day", "0199-03-05", "Day: The year 199 cannot be right"),
        ("day", "2199-03-05", "Day: Tue, 5 March 2199 is still to come"),
        ("minutes", "1,200", "Minutes worked: 1,200 could mean 1200 or 1.2"),
        (
            "minutes",
            "an hour",
            "Minutes worked: “an hour” does not fit here. Enter a number from 0.1 to 1440",
        ),
        ("minutes", "", "Minutes worked: Enter a number"),
        ("items", "7,5", "Items made: “7,5” does not fit here. Enter a whole number"),
        ("items", "-3", "Items made: “-3” does not fit here"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence_that_names_the_field_and_locks_nothing(
    records: Page, field: str, typed: str, words: str
) -> None:
    said = len(ask(records, EVERYTHING))
    form = writing(records)
    good = {"day": "2026-11-17", "time": "19:00", "minutes": "30", "items": "20"}
    write_in(form, **good | {field: typed})
    expect(form.get_by_role("alert")).to_contain_text(words)
    assert len(ask(records, EVERYTHING)) == said
    write_in(form, **{field: good[field]})
    until(
        records,
        f"const rows = await (async () => {{ {OF_DAY} }})(); return rows.length;",
        "2026-11-17",
    )


def test_a_sitting_is_corrected_and_the_correction_is_a_change_of_its_own(
    records: Page, full: Serving
) -> None:
    corrected(records, Minutes_worked="7,5")
    expect(first(records)).to_contain_text("set by hand")
    assert newest(records)["minutes"] == 7.5
    shown(records, full.url, "changes")
    expect(records.locator(".log > li").first).to_contain_text(
        "Bench time corrected, set to 7.5 min"
    )


def test_after_values_that_cannot_be_a_good_one_is_taken_without_loading_anew(
    records: Page,
) -> None:
    before = newest(records)["minutes"]
    row = first(records)
    row.locator("summary").click()
    for wrong in ("-5", "2000", "an hour"):
        row.get_by_label("Minutes worked").fill(wrong)
        row.get_by_role("button", name="Correct", exact=True).click()
        expect(row.get_by_role("alert")).to_contain_text("Minutes worked: ")
        assert newest(records)["minutes"] == before
    row.get_by_label("Minutes worked").fill("25")
    row.get_by_role("button", name="Correct", exact=True).click()
    until(records, "return (await history.sittings())[0].minutes === 25;")


def test_a_sitting_put_on_another_step_takes_its_items_along(records: Page) -> None:
    ask(
        records,
        'for (let k = 0; k < 5; k++) await store.counting.count("coif", "close", 1).saved; await'
        " store.clock.stop();",
    )
    reread(records)
    close, unit = done(records, "close"), done(records, "unit")
    corrected(records, Step="unit", Items_made="4")
    until(records, 'return store.totals.of("coif", "unit").done === given;', unit + 4)
    assert done(records, "close") == close - 5
    expect(first(records)).to_contain_text("4 items")
    ask(records, "await store.counting.undo();")  # the last tap of that sitting, after it was moved
    assert (done(records, "close"), done(records, "unit")) == (close - 5, unit + 3)
    told_by_the_engine(records)


def test_a_sitting_put_on_another_day_stands_there_and_summer_time_moves_no_hour(
    records: Page,
) -> None:
    row = newest(records)
    corrected(records, Day="2026-11-02", Begun_at="00:20")
    until(
        records,
        f"const rows = await (async () => {{ {OF_DAY} }})(); return rows.length;",
        "2026-11-02",
    )
    (moved,) = [r for r in ask(records, OF_DAY, "2026-11-02") if r["sitting"] == row["sitting"]]
    assert (moved["start_min"], moved["minutes"], moved["items"]) == (
        20,
        row["minutes"],
        row["items"],
    )
    told_by_the_engine(records)


def test_deleting_a_sitting_written_by_hand_takes_its_items_out_and_it_can_be_brought_back(
    records: Page,
) -> None:
    close = done(records, "close")
    form = writing(records)
    form.get_by_label("Step", exact=True).select_option("close")
    write_in(form, day="2026-11-24", time="19:00", minutes="50", items="44")
    until(records, 'return store.totals.of("coif", "close").done === given;', close + 44)
    row = first(records)
    row.locator("summary").click()
    row.get_by_role("button", name="Delete this sitting").click()
    expect(row.get_by_role("alert")).to_contain_text("Its 44 items are deleted with it")
    row.get_by_role("button", name="Delete it and its 44 items").click()
    until(records, 'return store.totals.of("coif", "close").done === given;', close)
    told_by_the_engine(records)
    records.get_by_text("Deleted sittings (1)").click()
    records.get_by_role("button", name="Restore").click()
    until(records, 'return store.totals.of("coif", "close").done === given;', close + 44)
    told_by_the_engine(records)


@pytest.mark.parametrize(
    ("way", "left"), [("Delete the time, keep the 6 items", 6), ("Delete the time and the 6", 0)]
)
def test_deleting_a_tapped_sitting_asks_whether_its_counts_stay(
    records: Page, way: str, left: int
) -> None:
    close = done(records, "close")
    ask(
        records,
        'for (let k = 0; k < 6; k++) await store.counting.count("coif", "close", 1).saved; await'
        " store.clock.stop();",
    )
    reread(records)
    gone = newest(records)["sitting"]
    row = first(records)
    row.locator("summary").click()
    row.get_by_role("button", name="Delete this sitting").click()
    row.get_by_role("button", name=way).click()
    until(records, "return (await history.sittings())[0].sitting !== given;", gone)
    assert done(records, "close") == close + left
    told_by_the_engine(records)


def test_a_sitting_whose_clock_runs_is_stopped_before_it_is_corrected(records: Page) -> None:
    ask(records, 'await store.counting.count("coif", "close", 1).saved;')
    reread(records)
    row = first(records)
    row.locator("summary").click()
    row.get_by_role("button", name="Stop the clock").click()
    expect(row.get_by_label("Minutes worked")).to_be_visible()
    assert ask(records, "return store.clock.shown;") is None


def test_all_that_a_correction_altered_is_said_and_what_was_written_in_before_is_not_said_again(
    records: Page,
) -> None:
    form = writing(records)
    begun = datetime.now() - timedelta(minutes=25)
    write_in(form, day=begun.date().isoformat(), time=f"{begun:%H:%M}", minutes="20", items="5")
    expect(form.get_by_role("status")).to_contain_text("Added:")
    corrected(records, Minutes_worked="12,5", Items_made="7")
    expect(records.get_by_text("Corrected: now 12.5 min, 7 items.")).to_be_visible()
    expect(form.get_by_role("status")).to_have_count(0)
