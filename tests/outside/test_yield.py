"""How many to start, against scipy's beta-binomial and against two steps summed with numpy."""

from __future__ import annotations

import json

import numpy as np
import pytest
from scipy.stats import beta, betabinom

from shared.ask import answer


def losses(need, seen, sure=0.95):
    pairs = [{"good": good, "bad": bad} for good, bad in seen]
    got = json.loads(
        answer(json.dumps({"ask": "losses", "need": need, "seen": pairs, "sure": sure}))
    )
    assert got["ok"], got
    return got["start"], got["chance"]


def one_step(need, start, good, bad):
    return betabinom.sf(need - 1, start, good + 0.5, bad + 0.5)


def steps(need, start, seen):
    """P(at least need good) through several steps: the spread of the good ones handed on from each
    to the next.
    """
    spread = np.zeros(start + 1)
    spread[start] = 1.0
    for good, bad in seen:
        after = np.zeros(start + 1)
        for n in np.nonzero(spread)[0]:
            after[: n + 1] += spread[n] * betabinom.pmf(np.arange(n + 1), n, good + 0.5, bad + 0.5)
        spread = after
    return spread[need:].sum()


@pytest.mark.parametrize(
    ("need", "good", "bad"),
    [(100, 48, 2), (100, 20, 0), (100, 95, 5), (24, 10, 1), (1, 3, 0), (7, 2, 2), (800, 300, 9)],
)
@pytest.mark.parametrize("sure", [0.5, 0.8, 0.95, 0.99])
def test_the_start_is_the_smallest_that_is_sure_enough(need, good, bad, sure):
    start, chance = losses(need, [(good, bad)], sure)
    assert chance == pytest.approx(one_step(need, start, good, bad), rel=1e-9)
    assert chance >= sure
    assert start == need or one_step(need, start - 1, good, bad) < sure


@pytest.mark.parametrize(
    ("need", "good", "bad"), [(100, 1, 0), (200, 3, 1), (90, 2, 3), (250, 8, 0)]
)
@pytest.mark.parametrize("sure", [0.5, 0.8, 0.95])
def test_a_thin_record_gets_the_exact_start_too(need, good, bad, sure):
    """Spread by hundreds of rings; the integral alone is one or two off."""
    start, chance = losses(need, [(good, bad)], sure)
    assert chance == pytest.approx(one_step(need, start, good, bad), rel=1e-9)
    assert one_step(need, start, good, bad) >= sure > one_step(need, start - 1, good, bad)


@pytest.mark.parametrize(
    ("need", "seen"),
    [(500, [(95, 5), (48, 2)]), (60, [(30, 1), (20, 2)]), (40, [(60, 3), (50, 2), (90, 4)])],
)
def test_several_steps_are_exact_where_the_sums_are_small(need, seen):
    start, chance = losses(need, seen)
    assert chance == pytest.approx(steps(need, start, seen), rel=1e-9)
    assert steps(need, start - 1, seen) < 0.95


def test_many_steps_and_rings_are_two_rings_off_at_most():
    """Three steps of a thousand: the exact start is 1205."""
    start, chance = losses(1000, [(190, 10), (97, 3), (49, 1)])
    assert abs(start - 1205) <= 2
    assert chance == pytest.approx(steps(1000, start, [(190, 10), (97, 3), (49, 1)]), abs=0.003)


@pytest.mark.parametrize(
    ("need", "good", "bad"),
    [(30000, 900, 100), (30000, 2000, 0), (20000, 100, 3), (100000, 50, 50), (9000, 40, 4)],
)
def test_a_garment_of_rings_by_the_integral(need, good, bad):
    start, chance = losses(need, [(good, bad)])
    assert chance == pytest.approx(one_step(need, start, good, bad), abs=0.001)
    assert beta.sf(need / start, good + 0.5, bad + 0.5) == pytest.approx(0.95, abs=0.005)


@pytest.mark.parametrize(
    ("need", "good", "bad", "sure"),
    [
        (36896, 33, 0, 0.999),
        (30000, 900, 100, 0.95),
        (250000, 480, 20, 0.95),
        (5000, 60, 2, 0.9),
        (76000, 13, 0, 0.99),
    ],
)
def test_a_garments_start_is_one_ring_off_at_most(need, good, bad, sure):
    """A thin record without a fault has a long slope on its bad side; it counts at 999 in 1,000."""
    start, _ = losses(need, [(good, bad)], sure)
    assert one_step(need, start + 1, good, bad) >= sure > one_step(need, start - 2, good, bad)


def test_the_promise_is_kept_when_the_yield_is_drawn_from_the_record():
    chance = np.random.default_rng(3)
    start, _ = losses(100, [(48, 2)])
    good = chance.binomial(start, chance.beta(48.5, 2.5, 200_000))
    assert (good >= 100).mean() == pytest.approx(0.9523, abs=0.002)
