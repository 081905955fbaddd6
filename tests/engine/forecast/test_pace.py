"""The pace: the record believed as far as it goes, summaries that answer like the record, cost that
stays flat.
"""

from __future__ import annotations

import json
import math
import random
from datetime import date, timedelta
from statistics import NormalDist
from types import SimpleNamespace

import pytest

from shared.ask import answer
from shared.forecast import aggregate, observations
from shared.forecast.remaining_hours import WorkLeft
from shared.statistics import cholesky, normal
from tests.engine.asking import ask, refused

DAY = date(2016, 1, 4)
NAMES = ("cut", "pierce", "close", "unit", "panel_join")
GUESS = (0.05, 0.3, 0.6, 2.5, 6.0)
STEPS = [{"step": n, "guess_min_per_item": g, "lump": 1} for n, g in zip(NAMES, GUESS, strict=True)]


def day(n):
    return (DAY + timedelta(days=n)).isoformat()


def years(count, days, seed=3, curve=-0.1):
    """`count` sittings over so many days, by a maker a fifth slower than guessed who goes on
    learning.
    """
    r = random.Random(seed)
    made, out = dict.fromkeys(NAMES, 0.0), []
    for k in range(count):
        name, guess = r.choice(list(zip(NAMES, GUESS, strict=True)))
        minutes = r.randrange(20, 90)
        pace = 1.2 * guess * (1 + made[name] * guess / 1200) ** curve * math.exp(r.gauss(0, 0.2))
        items = int(minutes / pace)
        made[name] += items
        start = 540 + 100 * (k % 5)
        sitting = {"step": name, "piece": "a", "date": day(k * days // count), "start_min": start}
        out.append({**sitting, "minutes": minutes, "items": items})
    return out


def summed(sittings, portion=1000):
    summary = None
    for i in range(0, len(sittings), portion):
        q = {"sittings": sittings[i : i + portion], "steps": STEPS}
        summary = ask("summarise", **q, **({"summary": summary} if summary else {}))["summary"]
    return summary


def forecast(today, sittings, **more):
    pieces = [
        {
            "id": "a",
            "to_go": {"cut": 4000, "pierce": 4000, "close": 2000, "unit": 800, "panel_join": 30},
        }
    ]
    return ask(
        "forecast",
        today=day(today),
        steps=STEPS,
        sittings=sittings,
        week_hours=8,
        pieces=pieces,
        **more,
    )


def test_the_pace_on_record_is_found():
    got = ask("pace", today=day(400), steps=STEPS, sittings=years(300, 380, curve=0.0))["pace"]
    for row, guess in zip(got, GUESS, strict=True):
        assert row["from"] in ("own", "both")
        assert row["min_per_item"]["p10"] < 1.25 * guess
        assert row["min_per_item"]["p90"] > 1.1 * guess
        assert row["min_per_item"]["p50"] == pytest.approx(1.2 * guess, rel=0.15)


def test_learning_shows_as_a_falling_trend():
    quick = ask("pace", today=day(200), steps=STEPS, sittings=years(300, 190, curve=-0.3))["pace"]
    level = ask("pace", today=day(200), steps=STEPS, sittings=years(300, 190, curve=0.0))["pace"]
    assert quick[2]["trend"] < -0.1
    assert level[2]["trend"] > quick[2]["trend"] + 0.05


def test_a_summary_answers_like_the_record_itself():
    for seed in range(6):
        sittings = years(900, 700, seed)
        old = [s for s in sittings if s["date"] < day(640)]
        whole = forecast(702, sittings)["pieces"][0]
        short = forecast(702, sittings[len(old) :], summary=summed(old, 300))["pieces"][0]
        for name in ("p10", "p50", "p80", "p95"):
            assert short["hours"][name] == pytest.approx(whole["hours"][name], rel=0.02)
            assert short["days"][name] == pytest.approx(whole["days"][name], rel=0.02, abs=1)


def batches(count, days):
    """Step after step, each in one long stretch, counted by lumps: a portion of the record knows
    few of the steps.
    """
    out = years(count, days)
    for k, s in enumerate(out):
        s["step"] = NAMES[len(NAMES) * k // count]
        s["items"] = int(s["minutes"] / GUESS[NAMES.index(s["step"])]) // 7 * 7
    return out


def test_a_summary_keeps_the_steps_that_a_later_portion_does_not_name():
    sittings, lumps = batches(900, 700), [{**s, "lump": 7} for s in STEPS]
    summary = None
    for i in range(0, 800, 50):
        part = sittings[i : i + 50]
        named = [{"step": n, "lump": 7} for n in sorted({s["step"] for s in part})]
        q = {"sittings": part, "steps": named, **({"summary": summary} if summary else {})}
        summary = ask("summarise", **q)["summary"]
    assert sorted(summary["made"]) == sorted(NAMES)
    assert summary["lumps"] == dict.fromkeys(NAMES, 7)
    pieces = [{"id": "a", "to_go": dict.fromkeys(NAMES, 500)}]
    q = {"today": day(702), "steps": lumps, "week_hours": 8, "pieces": pieces}
    whole = ask("forecast", sittings=sittings, **q)["pieces"][0]
    short = ask("forecast", sittings=sittings[800:], summary=summary, **q)["pieces"][0]
    for name in ("p10", "p50", "p80", "p95"):
        assert short["hours"][name] == pytest.approx(whole["hours"][name], rel=0.02)


def test_ten_years_of_sittings_become_a_few_hundred_rows():
    sittings = years(20000, 3650)
    summary = summed(sittings)
    assert summary["sittings"] == 20000
    assert summary["until"] == sittings[-1]["date"]
    assert sum(summary["made"].values()) == pytest.approx(
        sum(s["items"] for s in sittings), rel=0.001
    )
    assert len(summary["rows"]) < 600
    assert len(json.dumps(summary)) < 120000
    p = forecast(3651, [], summary=summary)["pieces"][0]
    assert p["hours"]["p95"] / p["hours"]["p10"] < 1.5


def test_a_summary_goes_on_where_the_last_one_ended():
    sittings = years(400, 300)
    at_once, bit_by_bit = summed(sittings), summed(sittings, 37)
    assert at_once["made"] == bit_by_bit["made"]
    a, b = (
        forecast(305, [], summary=s)["pieces"][0]["hours"]["p50"] for s in (at_once, bit_by_bit)
    )
    assert a == pytest.approx(b, rel=0.02)


def test_more_than_a_thousand_sittings_at_once_are_refused():
    field, why = refused("summarise", sittings=years(1001, 300), steps=STEPS)
    assert field == "sittings"
    assert "1000" in why


def test_a_broken_summary_is_refused_by_its_part():
    good = summed(years(50, 40))
    for part, bad in (
        ("rows", [[1]]),
        ("hours", {"first": 5, "minutes": ["x"]}),
        ("open", [["x", "y"]]),
    ):
        field, _ = refused(
            "pace", today=day(50), steps=STEPS, sittings=[], summary={**good, part: bad}
        )
        assert field.startswith("summary." + part)


def test_the_normal_quantile_agrees_with_the_standard_library():
    # source: Python's statistics.NormalDist (algorithm AS241, Wichura 1988)
    for p in (1e-5, 0.025, 0.1, 0.5, 0.8, 0.95, 0.975, 1 - 1e-5):
        assert normal.quantile(p) == pytest.approx(NormalDist().inv_cdf(p), rel=1e-10, abs=1e-12)
        assert normal.cdf(normal.quantile(p)) == pytest.approx(p, rel=1e-10)


def test_the_inverse_times_the_matrix_is_the_unit_matrix():
    r = random.Random(1)
    rows = [[r.gauss(0, 1) for _ in range(6)] for _ in range(9)]
    a = [[sum(x[i] * x[j] for x in rows) + (i == j) for j in range(6)] for i in range(6)]
    inv = cholesky.inverse(a)
    for i in range(6):
        got = cholesky.times(a, inv[i])
        assert got == pytest.approx([float(i == j) for j in range(6)], abs=1e-10)
    half = cholesky.inverse([[4.0, 0.0], [0.0, 9.0]])
    assert (half[0][0], half[1][1]) == (0.25, pytest.approx(1 / 9))


def test_rows_far_off_count_little_when_drawn_together():
    sound = [observations.Row(0, 100.0 + k, 10.0 * k, 0.1 * (-1) ** k, 1.0, 0.01) for k in range(6)]
    slip = observations.Row(0, 103.0, 35.0, 1.5, 1.0, 0.01)
    usual = aggregate.merge_old_rows(sound, 300)
    spoiled = aggregate.merge_old_rows([*sound, slip], 300)
    assert len(usual) < len(sound)
    mean = [sum(r.y for r in rows) / len(rows) for rows in (usual, spoiled)]
    assert mean[1] == pytest.approx(mean[0], abs=0.06)


def test_sittings_out_of_order_are_put_in_order():
    sittings = years(60, 50)
    shuffled = random.Random(2).sample(sittings, len(sittings))
    q = {"ask": "pace", "today": day(60), "steps": STEPS}
    assert answer(json.dumps({**q, "sittings": shuffled})) == answer(
        json.dumps({**q, "sittings": sittings})
    )


def test_the_pace_needs_no_day_of_its_own():
    """The newest sitting says what day it is; a guess alone does not ask."""
    sittings = years(60, 90)
    newest = max(s["date"] for s in sittings)
    known = ask("pace", sittings=sittings, steps=STEPS)
    assert known == ask("pace", sittings=sittings, steps=STEPS, today=newest)
    guessed = ask("pace", sittings=[], guesses={"close": 0.8})["pace"]
    assert [(row["step"], row["from"]) for row in guessed] == [("close", "guess")]
    assert guessed == ask("pace", sittings=[], guesses={"close": 0.8}, today=day(9))["pace"]


@pytest.mark.parametrize(("b", "n"), [(-1.0, 50.0), (-0.3, 1e-9), (-1.0, 0.0)])
def test_learning_is_whole_where_its_formula_divides_by_nothing(b, n):
    """At b = -1 and for no items the mean of u^b is that of its neighbours."""

    def learning(b, n):
        work = WorkLeft.__new__(WorkLeft)
        work.record = SimpleNamespace(made=[100.0])
        work.pace = SimpleNamespace(u=[0.0, b])
        return work._learning(0, n, 40.0)

    assert learning(b, n) == pytest.approx(learning(b + 2e-6, n + 1e-3), abs=0.03)


def test_a_stretch_that_ends_a_summary_goes_on_with_the_next_sitting():
    """Two times twelve minutes make one row, whether the first lies in the summary or not."""
    parts = [
        {"step": "close", "date": day(k), "start_min": 1140, "minutes": 12, "items": 20 + k}
        for k in range(2)
    ]
    summary = ask("summarise", steps=STEPS, sittings=parts[:1])["summary"]
    assert [part[0] for part in summary["open"]] == ["close"]
    whole = ask("pace", today=day(9), steps=STEPS, sittings=parts)["pace"]
    halves = ask("pace", today=day(9), steps=STEPS, sittings=parts[1:], summary=summary)["pace"]
    assert halves == whole
