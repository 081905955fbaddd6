"""A price: lines that add up to the last unit, margin and mark-up kept apart."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.ask import reply
from shared.base.errors import BadField
from shared.money.currency import DIGITS, format_money


def price(**more):
    return reply(
        {"ask": "price", "currency": "EUR", "hours": {"p50": 100, "p80": 130}, "rate": 2500, **more}
    )


def written_as(value):
    """The decimal that was typed, exactly."""
    return Fraction(repr(value))


def halves_up(value):
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


decimals = st.builds(lambda n, places: n / 10**places, st.integers(0, 10**8), st.integers(0, 4))
percents = st.integers(0, 90)
questions = st.fixed_dictionaries(
    {
        "hours": (
            st.tuples(st.integers(0, 2000), st.integers(0, 500)).map(
                lambda h: {"p50": h[0], "p80": h[0] + h[1]}
            )
        ),
        "rate": st.integers(0, 20000),
        "wire": st.lists(
            st.fixed_dictionaries({"kg": st.integers(0, 40), "per_kg": st.integers(0, 3000)}),
            max_size=3,
        ),
        "other": st.lists(
            st.builds(lambda a: {"name": "lining", "amount": a}, st.integers(0, 90000)), max_size=2
        ),
        "overhead_percent": percents,
        "margin_percent": percents,
        "margin_on": st.sampled_from(["price", "cost"]),
        "tax_percent": percents,
        "deposit_percent": percents,
    }
)


@given(questions)
def test_the_lines_add_up_to_the_total_exactly(question):
    out = price(**question)
    for p in ("p50", "p80"):
        assert sum(line[p] for line in out["lines"]) == out["total"][p]
        assert out["deposit"][p] + out["balance"][p] == out["total"][p]
        assert all(isinstance(line[p], int) for line in out["lines"])


@given(questions)
def test_the_careful_price_is_never_below_the_likely_one(question):
    out = price(**question)
    assert all(out[name]["p80"] >= out[name]["p50"] for name in ("cost", "net", "total", "deposit"))


@given(questions)
def test_margin_and_mark_up_are_the_two_shares_of_one_profit(question):
    out = price(**question)
    profit = out["net"]["p50"] - out["cost"]["p50"]
    if out["cost"]["p50"]:
        assert out["margin_percent"] == pytest.approx(100 * profit / out["net"]["p50"], abs=1e-9)
        assert out["markup_percent"] == pytest.approx(100 * profit / out["cost"]["p50"], abs=1e-9)
        wanted = Fraction(question["margin_percent"], 100)
        share = Fraction(out["cost"]["p50"]) * (
            wanted / (1 - wanted) if question["margin_on"] == "price" else wanted
        )
        assert abs(profit - share) <= 1


@given(decimals, st.integers(0, 10**6))
def test_hours_at_a_rate_are_rounded_once_halves_up(hours, rate):
    hours = min(hours, 1e5)
    assert price(hours=hours, rate=rate)["total"]["p50"] == halves_up(written_as(hours) * rate)


@given(st.builds(lambda n: n / 100, st.integers(0, 9500)), st.integers(0, 10**6))
def test_every_percentage_is_rounded_once_halves_up(percent, rate):
    share = written_as(percent) / 100
    cost = 100 * rate
    for name in ("overhead_percent", "tax_percent", "deposit_percent"):
        out = price(hours=100, rate=rate, **{name: percent})
        line = out["deposit"]["p50"] if name == "deposit_percent" else out["total"]["p50"] - cost
        assert line == halves_up(cost * share)
    assert price(hours=100, rate=rate, margin_percent=percent)["net"]["p50"] == halves_up(
        cost / (1 - share)
    )
    on_cost = price(hours=100, rate=rate, margin_percent=percent, margin_on="cost")
    assert on_cost["net"]["p50"] == cost + halves_up(cost * share)


@given(decimals, st.integers(0, 10**4))
def test_material_is_rounded_once_halves_up(much, each):
    out = price(
        hours=0,
        wire=[{"kg": much, "per_kg": each}],
        consumables=[{"amount": much, "per_unit": each}],
    )
    assert [line["p50"] for line in out["lines"][1:3]] == [halves_up(written_as(much) * each)] * 2


def test_a_margin_is_larger_than_the_same_percentage_of_mark_up():
    assert (
        price(margin_percent=30)["net"]["p50"]
        > price(margin_percent=30, margin_on="cost")["net"]["p50"]
    )


def test_the_profit_says_what_it_is_a_share_of():
    words = {on: price(margin_percent=30, margin_on=on)["lines"][-2] for on in ("price", "cost")}
    assert words["price"]["name"] == "Profit" and "of the price (margin)" in words["price"]["why"]
    assert words["cost"]["name"] == "Profit" and "of the cost (mark-up)" in words["cost"]["why"]


def test_the_note_tells_what_the_two_columns_mean():
    assert (
        "one in five" in price()["note"]
        and "one figure" in price(hours={"p50": 5, "p80": 5})["note"]
    )


@pytest.mark.parametrize(
    ("code", "digits"),
    [
        ("EUR", 2),
        ("GBP", 2),
        ("USD", 2),
        ("CHF", 2),
        ("JPY", 0),
        ("ISK", 0),
        ("BHD", 3),
        ("CLF", 4),
    ],
)
def test_the_smallest_units_are_those_of_iso_4217(code, digits):
    """ISO 4217 list one; the whole table was compared with the PyPI package iso4217 1.16.20260101."""
    assert DIGITS[code] == digits


def test_the_table_holds_every_code_once():
    assert len(DIGITS) > 150 and all(len(code) == 3 and code.isupper() for code in DIGITS)


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [(1234, 2, "12.34"), (5, 2, "0.05"), (-5, 3, "-0.005"), (70, 0, "70"), (0, 2, "0.00")],
)
def test_money_is_written_with_its_own_digits(value, digits, text):
    assert format_money(value, digits) == text


@pytest.mark.parametrize(
    ("question", "field"),
    [
        ({"hours": {"p50": 5}}, "hours.p80"),
        ({"hours": "5"}, "hours"),
        ({"margin": 0.25}, "margin"),
        ({"margin": 96}, "margin"),
        ({"wire": -3}, "wire"),
        ({"rate": -1}, "rate"),
        ({"wire": [{"kg": 3}]}, "wire[0].per_kg"),
        ({"consumables": [{"amount": -3, "per_unit": 1}]}, "consumables[0].amount"),
        ({"other": [{"amount": 3}]}, "other[0].name"),
        ({"margin_percent": -1}, "margin_percent"),
        ({"margin_on": "luck"}, "margin_on"),
        ({"deposit_percent": 101}, "deposit_percent"),
        ({"currency": None}, "currency"),
        ({"hours": {"p50": 1e6, "p80": 1e6}, "rate": 10**9}, "rate"),
    ],
)
def test_what_cannot_be_used_is_named(question, field):
    with pytest.raises(BadField) as caught:
        price(**question)
    assert caught.value.field == field and len(caught.value.why) > 20


def test_a_margin_given_twice_is_refused():
    with pytest.raises(BadField, match="given twice"):
        reply(
            {
                "ask": "price",
                "currency": "EUR",
                "hours": 1,
                "rate": 1000,
                "margin": 5,
                "margin_percent": 2,
            }
        )
