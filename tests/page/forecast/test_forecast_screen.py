"""What the maker says on the Forecast screen, and what it answers."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests.page.desk import ask, go, still, until
from tests.running import Serving

FINISH = "return store.answers.forecast.pieces.find((p) => p.id === given).finish.p50;"
PAST = "return history.forecasts();"
STEP = 'return store.thing("step", given);'


@pytest.fixture
def forecast(desk: Page, full: Serving) -> Page:
    go(desk, full.url, "#forecast")
    desk.get_by_role("heading", name="Dates", exact=True).wait_for()
    return desk


def finish(page: Page, piece: str) -> str:
    ask(page, "await store.answers.freshen();")
    return str(ask(page, FINISH, piece))


def test_the_dates_are_said_in_words_and_drawn(forecast: Page) -> None:
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    when = date.fromisoformat(finish(forecast, "coif"))
    expect(card).to_contain_text(f"{when.day} {when:%B %Y}")
    expect(card.get_by_role("img", name="Row of")).to_be_visible()
    expect(card).to_contain_text("Safe to promise")


def test_a_promised_day_gets_its_chance_and_the_hours_it_takes(forecast: Page) -> None:
    card = forecast.get_by_role("region", name="Aventail", exact=True)
    card.get_by_label("Due").fill((date.today() + timedelta(days=30)).isoformat())
    card.get_by_label("Due").blur()
    expect(card).to_contain_text("Chance of being on time: less than 1 in 100")
    expect(card).to_contain_text(
        re.compile("a week at the bench until then|more than twelve hours every day")
    )
    card.get_by_label("Due").fill("2020-01-05")
    card.get_by_label("Due").blur()
    expect(card).to_contain_text("That day has passed. Enter a new due date.")


def test_in_turns_the_first_piece_waits_for_the_others(forecast: Page) -> None:
    before = finish(forecast, "coif")
    forecast.get_by_role("radio", name="In turns").check()
    until(forecast, 'return store.setting("queue") === "in_turns";')
    assert finish(forecast, "coif") > before


def test_days_off_move_the_dates_and_can_be_taken_back(forecast: Page) -> None:
    before = finish(forecast, "coif")
    start = date.today() + timedelta(days=3)
    forecast.get_by_label("First day away").fill(start.isoformat())
    forecast.get_by_label("Last day away").fill((start + timedelta(days=20)).isoformat())
    forecast.get_by_role("button", name="Add days away").click()
    forecast.get_by_text("21 days", exact=True).wait_for()
    assert finish(forecast, "coif") > before
    forecast.get_by_role("button", name="Remove: days away").click()
    until(forecast, 'return store.setting("off_days").length === 0;')
    assert finish(forecast, "coif") == before


def test_days_off_the_wrong_way_round_are_refused_on_the_spot(forecast: Page) -> None:
    forecast.get_by_label("First day away").fill((date.today() + timedelta(days=9)).isoformat())
    forecast.get_by_label("Last day away").fill((date.today() + timedelta(days=2)).isoformat())
    forecast.get_by_role("button", name="Add days away").click()
    expect(forecast.locator("#off-to-why")).to_have_text(
        "The last day must not be before the first."
    )
    assert ask(forecast, 'return store.setting("off_days", []);') == []


def test_hours_a_week_are_kept_only_when_they_can_be(forecast: Page) -> None:
    field = forecast.get_by_label("Hours at the bench in a usual week")
    for typed, kept in (("12,5", 12.5), ("many", 12.5), ("-3", 12.5), ("1000", 12.5), ("7", 7)):
        field.fill(typed)
        field.blur()
        until(forecast, 'return store.setting("week_hours") === given;', kept)
        assert field.get_attribute("aria-invalid") == (
            "false" if typed in ("12,5", "7") else "true"
        )


def test_hours_a_week_never_given_are_left_to_the_usual_figure(forecast: Page) -> None:
    field = forecast.get_by_label("Hours at the bench in a usual week")
    field.fill("")
    field.blur()
    until(forecast, 'return store.setting("week_hours", null) === null;')
    expect(forecast.locator("#week-hours-hint")).to_contain_text("Left empty: 6 h (common practice")
    ask(forecast, "await store.answers.freshen();")
    expect(forecast.locator("#main")).not_to_contain_text("you gave")
    go(forecast, forecast.url.split("/#")[0], "#setup")
    expect(forecast.locator("#week_hours")).to_have_value("")


def test_a_piece_due_today_is_not_given_a_chance_of_nothing(forecast: Page) -> None:
    ask(
        forecast,
        'await store.set("piece", "coif", { due: given }); await store.answers.freshen();',
        date.today().isoformat(),
    )
    expect(forecast.get_by_role("region", name="Coif").locator(".due .hint")).to_contain_text(
        "That is today."
    )
    words = """async () => {
      const { forecastWords } = await import("/screens/bench/piece-status.js");
      return forecastWords({ finish: { p50: "2099-01-01", p80: null }, hours: { p50: 5 }, p_due: null });
    }"""
    assert forecast.evaluate(words) == "Likely 1 Jan 2099, no safe date yet. About 5 h left."


def test_a_guess_of_nothing_is_refused_and_a_real_one_moves_the_pace(forecast: Page) -> None:
    field = forecast.locator("#guess-chain_join")
    before = finish(forecast, "aventail")
    field.fill("0")
    field.blur()
    assert ask(forecast, STEP, "chain_join") is None
    field.fill("60 min")
    field.blur()
    until(forecast, 'return store.thing("step", "chain_join")?.guess_min_per_item === 60;')
    assert finish(forecast, "aventail") > before


def test_a_usual_figure_is_never_called_the_makers_guess(forecast: Page) -> None:
    ask(forecast, 'await store.set("step", "unit_join", { guess_min_per_item: null });')
    card = forecast.get_by_role("article").filter(has=forecast.locator("#guess-unit_join"))
    expect(card).to_contain_text("so the usual")
    expect(card).not_to_contain_text("your guess only")
    expect(forecast.locator("#guess-unit_join")).to_have_value("")


def test_a_guess_is_taken_in_the_unit_beside_it_or_in_the_one_that_is_written(
    forecast: Page,
) -> None:
    field = forecast.locator("#guess-close")
    ask(forecast, 'await store.set("step", "close", { guess_min_per_item: 0.6 });')
    expect(forecast.get_by_text("Your guess, seconds").first).to_be_visible()
    for typed, kept in (
        ("45", 0.75),
        ("48 s", 0.8),
        ("0,5 min", 0.5),
        ("1:30", 1.5),
        ("2", 2),
        ("30 sec", 0.5),
    ):
        field.fill(typed)
        field.blur()
        until(
            forecast,
            'return Math.abs(store.thing("step", "close").guess_min_per_item - given) < 1e-6;',
            kept,
        )
    field.fill("soon")
    field.blur()
    expect(field).to_have_attribute("aria-invalid", "true")
    assert ask(forecast, STEP, "close")["guess_min_per_item"] == 0.5


def test_a_deposit_of_more_than_all_is_refused_by_name(forecast: Page) -> None:
    forecast.locator("summary", has_text="Price").first.click()
    forecast.locator("summary", has_text="Your rates").first.click()
    box = forecast.locator("[id^=deposit_percent]").first
    box.fill("150")
    box.blur()
    expect(
        forecast.get_by_text("Deposit: “150” does not fit here. Enter a number from 0 to 100.")
    ).to_be_visible()
    expect(forecast.get_by_text("Your price").first).to_be_visible()


ELSEWHERE = (
    "for (const [to, more] of given) await (to ? store.set('step', to, more) :"
    " store.setSetting(...more));"
)


@pytest.mark.parametrize(
    ("field", "typed", "elsewhere", "held"),
    [
        (
            "#guess-close",
            "48 s",
            [["close", {"guess_min_per_item": 0.7}]],
            "store.thing('step', 'close').guess_min_per_item === 0.8",
        ),
        ("#week-hours", "11", [["", ["week_hours", 7.5]]], "store.setting('week_hours', 0) === 11"),
        (
            "[id^=deposit_percent]",
            "25",
            [["", ["deposit_percent", 30]]],
            "store.setting('deposit_percent', 0) === 25",
        ),
    ],
)
def test_what_is_being_typed_is_not_written_over_by_what_another_device_says(
    forecast: Page, field: str, typed: str, elsewhere: list[Any], held: str
) -> None:
    if "percent" in field:
        forecast.locator("summary", has_text="Price").first.click()
        forecast.locator("summary", has_text="Your rates").first.click()
    box = forecast.locator(field).first
    box.fill(typed)
    ask(forecast, ELSEWHERE, elsewhere)
    still(forecast)  # the redraw that it brings
    assert box.input_value() == typed
    box.blur()
    until(forecast, f"return {held};")


def test_ten_timed_minutes_are_kept_to_the_last_item_and_counted(forecast: Page) -> None:
    """Clock begun at 12:00, eight rings, the last at 12:09:30; what is in the hand then counts for
    nothing.
    """
    before = ask(forecast, 'return store.totals.of("coif", "close").done;')
    forecast.clock.set_fixed_time("2026-11-25T12:00:00Z")
    forecast.get_by_role("button", name="Time ten minutes: Close").click()
    forecast.get_by_role("button", name="Start the clock").click()
    pad = forecast.get_by_role("button", name="one more ring")
    for _ in range(7):
        pad.click()
    expect(forecast.get_by_role("button", name="Use this pace")).to_be_disabled()
    forecast.clock.set_fixed_time("2026-11-25T12:09:30Z")
    pad.click()
    forecast.clock.set_fixed_time("2026-11-25T12:11:00Z")
    forecast.get_by_role("button", name="Use this pace").click()
    step = until(forecast, STEP, "close")
    assert step["trial"] == {"minutes": 9.5, "items": 8, "date": "2026-11-25"}
    until(forecast, 'return store.totals.of("coif", "close").done === given;', before + 8)


def test_a_trial_thrown_away_leaves_nothing(forecast: Page) -> None:
    forecast.get_by_role("button", name="Time ten minutes: Unit").click()
    forecast.get_by_role("button", name="Start the clock").click()
    forecast.get_by_role("button", name="one more unit").click()
    before = ask(forecast, 'return store.totals.of("coif", "unit").done;')
    forecast.get_by_role("button", name="Discard", exact=True).click()
    forecast.get_by_role("button", name="Discard both").click()
    expect(forecast.get_by_role("dialog")).to_be_hidden()
    assert ask(forecast, STEP, "unit") is None
    assert ask(forecast, 'return store.totals.of("coif", "unit").done;') == before


def test_items_of_a_trial_outlast_a_reload_and_a_key_and_can_be_counted_alone(
    forecast: Page,
) -> None:
    before = ask(forecast, 'return store.totals.of("coif", "unit").done;')
    forecast.get_by_role("button", name="Time ten minutes: Unit").click()
    forecast.get_by_role("button", name="Start the clock").click()
    for _ in range(3):
        forecast.get_by_role("button", name="one more unit").click()
    forecast.reload()
    expect(forecast.get_by_role("button", name="3 one more unit")).to_be_visible()
    forecast.get_by_role("button", name="one more unit").click()
    forecast.keyboard.press("Escape")
    expect(forecast.get_by_role("alert")).to_contain_text("4 units and their time would be thrown")
    forecast.get_by_role("button", name="Count them, without the time").click()
    until(forecast, 'return store.totals.of("coif", "unit").done === given;', before + 4)
    assert ask(forecast, STEP, "unit") is None
    forecast.reload()
    forecast.get_by_role("heading", name="Dates", exact=True).wait_for()
    still(forecast)
    expect(forecast.get_by_role("dialog")).to_be_hidden()


def price(page: Page) -> Any:
    return until(
        page, 'return document.querySelector("rw-forecast").prices.kept.get("coif")?.answer;'
    )


def test_the_price_counts_the_work_done_and_to_come(forecast: Page) -> None:
    """Labour is the hours worked and those forecast at the rate of 22.00 an hour; 15 % of the price
    is profit.
    """
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    told = price(forecast)
    spent = ask(
        forecast,
        'return (await history.sittings({ piece: "coif" })).reduce((sum, s) => sum + s.minutes /'
        " 60, 0);",
    )
    left = ask(forecast, 'return store.answers.forecast.pieces.find((p) => p.id === "coif").hours;')
    labour = next(line for line in told["lines"] if line["name"] == "Labour")
    assert labour["p50"] == pytest.approx(2200 * (spent + left["p50"]), abs=1)
    assert labour["p80"] == pytest.approx(2200 * (spent + left["p80"]), abs=1)
    assert told["margin_percent"] == pytest.approx(15, abs=0.01)
    expect(card).to_contain_text("Ask aboutEUR")


def test_money_is_typed_as_money(forecast: Page) -> None:
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    price(forecast)
    card.get_by_text("Your rates, for every piece").click()
    field = card.get_by_label("Your hourly rate")
    for typed, cents, shown in (
        ("2500", 250000, "2500.00"),
        ("25,5", 2550, "25.50"),
        ("2.500,00", 250000, "2500.00"),
        ("2,500.25", 250025, "2500.25"),
        ("2.500", 250000, "2500.00"),
        ("31.40", 3140, "31.40"),
    ):
        field.fill(typed)
        field.blur()
        until(forecast, 'return store.setting("rate") === given;', cents)
        expect(field).to_have_value(shown)
    for typed in ("25.12.3", "much", "-4"):
        field.fill(typed)
        field.blur()
        expect(field).to_have_attribute("aria-invalid", "true")
        assert ask(forecast, 'return store.setting("rate");') == 3140


def test_a_cost_too_large_for_money_is_refused_at_its_field(forecast: Page) -> None:
    card = forecast.get_by_role("region", name="Aventail", exact=True)
    card.get_by_text("Price", exact=True).click()
    form = card.locator("form").filter(has=forecast.locator('[name="amount"]'))
    form.locator('[name="name"]').fill("Lining")
    for typed, why in [
        ("99000000", "enter at most"),
        ("soon", "“soon”"),
        ("", "above 0"),
        ("0", "above 0"),
    ]:
        form.locator('[name="amount"]').fill(typed)
        form.get_by_role("button").click()
        expect(form.locator(".bad:visible")).to_contain_text(why)
    form.locator('[name="amount"]').fill("12.50")
    form.get_by_role("button").click()
    expect(card.get_by_role("listitem").filter(has_text="Lining")).to_be_visible()


def test_the_price_of_a_maker_who_said_nothing_yet_does_not_open_in_red(forecast: Page) -> None:
    ask(forecast, 'await store.setSetting("currency", null); await store.setSetting("rate", null);')
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    expect(card).to_contain_text("Enter your currency and your hourly rate below")
    expect(card.get_by_label("Your hourly rate")).to_be_visible()
    expect(card.locator('.bad, [aria-invalid="true"]')).to_have_count(0)
    assert "2500" not in card.inner_text()


def test_a_currency_that_is_none_is_refused_and_one_without_cents_is_shown_so(
    forecast: Page,
) -> None:
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    price(forecast)
    card.get_by_text("Your rates, for every piece").click()
    card.get_by_label("Currency").fill("XQQ")
    card.get_by_label("Currency").blur()
    expect(card.get_by_text("Give a currency by its three capital letters")).to_be_visible()
    card.get_by_label("Currency").fill("jpy")
    card.get_by_label("Currency").blur()
    expect(card).to_contain_text("Ask aboutJPY")
    assert "." not in card.locator(".money .total td").first.inner_text()


def test_a_piece_without_a_plan_says_what_is_missing(forecast: Page) -> None:
    ask(
        forecast,
        'await store.set("piece", "bare", { name: "Bare idea", order: 9, state: "open" });',
    )
    card = forecast.get_by_role("region", name="Bare idea", exact=True)
    expect(card.get_by_role("link", name="Enter its size")).to_have_attribute("href", "#plan/bare")


def test_a_forecast_is_kept_once_a_day_and_piece(forecast: Page) -> None:
    for hours in (8, 11, 6):
        ask(
            forecast,
            'await store.setSetting("week_hours", given); await store.answers.freshen();',
            hours,
        )
    kept = [
        {"id": row["id"], "said": row["fields"]["said"]["value"]} for row in ask(forecast, PAST)
    ]
    today = date.today().isoformat()
    assert sorted(k["id"] for k in kept) == [
        f"{piece}:{today}" for piece in ("aventail", "coif", "skirt")
    ]
    assert {"hours", "finish", "p_due", "hours_at", "days_at", "to_go"} <= kept[0]["said"].keys()


def test_the_forecasts_kept_are_not_read_at_the_start(forecast: Page, full: Serving) -> None:
    kept = len(ask(forecast, PAST))
    forecast.goto("about:blank")
    go(forecast, full.url)
    assert ask(forecast, 'return store.things("forecast");') == []
    assert len(ask(forecast, PAST)) == kept
    assert ask(forecast, 'return store.things("piece").length;') == 3


def test_a_clock_left_running_is_doubted_aloud_and_leads_to_its_sitting(forecast: Page) -> None:
    ask(
        forecast,
        'const t = Date.now() - 40 * 36e5; await history.writeSitting("coif", "close", t, t + 14 *'
        " 36e5, 55);",
    )
    doubted = forecast.get_by_role("region", name="Doubtful in your record")
    expect(doubted).to_contain_text("Clock left running?")
    doubted.get_by_role("link", name="Look at the sittings").click()
    expect(forecast.locator(".sittings > li").first).to_contain_text("55 items")


def test_notes_write_their_days_as_the_rest_of_the_page_does(forecast: Page) -> None:
    ask(
        forecast,
        'const t = Date.now() - 40 * 36e5; await history.writeSitting("coif", "close", t, t + 14 *'
        " 36e5, 55);",
    )
    forecast.get_by_role("region", name="Doubtful in your record").wait_for()
    assert not re.search(r"\d{4}-\d\d-\d\d", forecast.locator("rw-forecast").inner_text())


def test_what_would_tell_most_is_named_for_a_new_maker(forecast: Page) -> None:
    """Nothing timed yet: the step with most work left and only a guess is worth ten minutes."""
    ask(
        forecast,
        "for (const s of await history.sittings()) await history.correctSitting(s.sitting, { minutes:"
        " 0 });",
    )
    expect(forecast.get_by_text("Most useful now")).to_be_visible()
    named = ask(
        forecast, "return store.answers.forecast.narrow.toSorted((a, b) => b.trial - a.trial)[0];"
    )
    card = forecast.get_by_role("article").filter(has=forecast.locator(f"#guess-{named['step']}"))
    expect(card).to_contain_text(f"Would make the dates {int(named['trial'] * 100 + 1e-9)} % surer")


def test_a_forecast_the_engine_refuses_says_why_instead_of_waiting(forecast: Page) -> None:
    ask(
        forecast,
        'await store.set("step", "close", { guess_min_per_item: -1 }); await'
        " store.answers.freshen();",
    )
    expect(forecast.get_by_role("alert")).to_contain_text("out of range")
    ask(
        forecast,
        'await store.set("step", "close", { guess_min_per_item: 0.7 }); await'
        " store.answers.freshen();",
    )
    expect(forecast.get_by_role("alert")).to_have_count(0)


def test_a_piece_counted_to_its_end_is_said_to_be_so(forecast: Page) -> None:
    ask(
        forecast,
        """const { steps } = store.answers.standing("skirt");
        for (const s of steps) if (s.to_go) await store.counting.count("skirt", s.step, s.to_go, { how:
        "hand" }).saved;
        await store.clock.stop(); await store.answers.freshen();""",
    )
    card = forecast.get_by_role("region", name="Skirt with a slit back", exact=True)
    expect(card).to_contain_text("All its steps are counted.")


def test_the_rates_stay_open_while_they_are_typed_in(forecast: Page) -> None:
    ask(forecast, 'await store.setSetting("currency", null);')
    forecast.reload()
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    currency = card.get_by_label("Currency")
    currency.fill("EUR")
    currency.blur()
    expect(card.get_by_role("table")).to_be_visible()
    expect(currency).to_be_visible()


def test_hours_worked_meanwhile_are_in_the_price_at_once(forecast: Page) -> None:
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    before = card.get_by_text("already worked are included").inner_text()
    now = "Date.UTC(2026, 0, 15, 18)"
    ask(forecast, f'await history.writeSitting("coif", "close", {now}, {now} + 10 * 3600000, 9);')
    expect(card.get_by_text("already worked are included")).not_to_have_text(before)


def test_what_a_field_refuses_stands_in_red_below_it(forecast: Page) -> None:
    guess = forecast.locator("#guess-chain_join")
    guess.fill("soon")
    guess.blur()
    said = forecast.locator("#guess-chain_join-why")
    expect(said).to_contain_text("“soon” is not a time. Enter how long one item takes you")
    expect(guess).to_have_value("soon")
    guess.fill("50 s")
    guess.blur()
    expect(said).to_have_count(0)
    card = forecast.get_by_role("region", name="Coif with a square front", exact=True)
    card.get_by_text("Price", exact=True).click()
    card.get_by_role("button", name="Add a cost").click()
    expect(card.get_by_role("alert")).to_have_count(2)
