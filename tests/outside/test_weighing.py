"""Counting by weight against weighing simulated ring by ring: spread, bounds and promises (numpy,
seeded).
"""

from __future__ import annotations

import json

import numpy as np
import pytest

from shared.ask import answer

TRIALS = 40_000


def weigh(n, mean, cv, step, batch_g, reference_g=None, **more):
    reference = {"rings": n, "grams": n * mean if reference_g is None else reference_g}
    question = {
        "ask": "weigh",
        "reference": reference,
        "scale_g": step,
        "spread_percent": 100 * cv,
        "batch_g": batch_g,
    }
    got = json.loads(answer(json.dumps(question | more)))
    assert got["ok"], got
    return got


def shown(grams, step, chance):
    """A reading: the true mass rounded, less a tare that was rounded too."""
    tare = chance.uniform(0, step, grams.shape)
    return step * (np.round((grams + tare) / step) - np.round(tare / step))


def counts(count, n, mean, cv, step, in_pan=False):
    """Estimated counts of many weighings of the same true count, each with rings of its own mean
    near the nominal:
    at one exact mean the two roundings of a coarse scale would cancel or add up by chance."""
    chance = np.random.default_rng(11)
    means = mean * chance.uniform(0.95, 1.05, TRIALS)

    def rings(k):
        return means * (k + np.sqrt(k) * cv * chance.standard_normal(TRIALS))

    known = rings(n)
    poured = known + rings(count - n) if in_pan else rings(count)
    return n * shown(poured, step, chance) / shown(known, step, chance)


@pytest.mark.parametrize(
    ("count", "n", "mean", "cv", "step"),
    [
        (200, 20, 0.3, 0.01, 0.1),
        (500, 50, 0.3, 0.01, 0.01),
        (500, 100, 0.2, 0.02, 0.01),
        (1000, 100, 0.26, 0.01, 0.1),
    ],
)
@pytest.mark.parametrize("in_pan", [False, True])
def test_the_spread_and_its_bounds_are_those_of_many_weighings(count, n, mean, cv, step, in_pan):
    found = counts(count, n, mean, cv, step, in_pan)
    u = weigh(n, mean, cv, step, count * mean, in_pan=in_pan)["u_rings"]
    assert found.std() == pytest.approx(u, rel=0.03)
    assert (abs(found - count) <= 1.96 * u).mean() == pytest.approx(0.95, abs=0.012)


@pytest.mark.parametrize(
    ("count", "cv", "step"), [(100, 0.01, 0.01), (100, 0.01, 0.1), (200, 0.01, 0.01)]
)
def test_the_reference_asked_for_counts_within_one_ring(count, cv, step):
    n = weigh(50, 0.26, cv, step, count * 0.26)["need_reference"]
    near = np.abs(np.floor(counts(count, n, 0.26, cv, step) + 0.5) - count) <= 1
    assert near.mean() > 0.945


@pytest.mark.parametrize(
    ("count", "cv", "step"), [(1000, 0.01, 0.1), (1000, 0.02, 0.1), (1000, 0.05, 0.1)]
)
def test_the_reference_asked_for_counts_within_one_per_cent(count, cv, step):
    n = weigh(50, 0.26, cv, step, count * 0.26)["need_reference_percent"]
    assert (abs(counts(count, n, 0.26, cv, step) - count) <= count / 100).mean() == pytest.approx(
        0.953, abs=0.015
    )


def test_groups_of_ten_tell_the_spread_of_single_rings():
    chance = np.random.default_rng(5)
    sums = chance.normal(0.3, 0.006, (400, 10)).sum(1)
    question = {"reference": {"rings": 100, "grams": 30.0}, "scale_g": 0.0001, "batch_g": 30.0}
    samples = {"size": 10, "grams": [float(x) for x in sums]}
    got = json.loads(answer(json.dumps({"ask": "weigh", **question, "samples": samples})))
    assert got["u_rings"] == pytest.approx(0.02 * np.sqrt(100 + 100), rel=0.1)
