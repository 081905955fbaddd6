"""Counting by weight: bounds that hold for every scale."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.asking import ask

SCALES = st.fixed_dictionaries(
    {
        "reference": st.fixed_dictionaries(
            {"rings": st.integers(1, 200), "grams": st.floats(5, 100)}
        ),
        "scale_g": st.sampled_from([0.001, 0.01, 0.1, 1]),
        "spread_percent": st.floats(0, 5),
        "batch_g": st.floats(0, 2000),
        "tare_rounded": st.booleans(),
    }
)


@given(SCALES)
def test_the_count_lies_between_its_bounds(scale):
    got = ask("weigh", **scale)
    assert 0 <= got["low"] <= got["count"] <= got["high"]
    assert got["certain_within"] >= 0
    assert got["high"] - got["count"] <= 1.96 * got["u_rings"] + 1


@given(SCALES, st.integers(1, 50))
def test_a_larger_reference_of_the_same_rings_is_no_worse(scale, times):
    more = {
        "rings": scale["reference"]["rings"] * times,
        "grams": scale["reference"]["grams"] * times,
    }
    a, b = ask("weigh", **scale), ask("weigh", **scale | {"reference": more})
    assert b["u_rings"] <= a["u_rings"] * (1 + 1e-9)
    assert b["largest_batch"] >= a["largest_batch"]


@given(SCALES)
def test_the_largest_batch_is_the_last_that_holds_one_ring(scale):
    got = ask("weigh", **scale)
    n = got["largest_batch"]
    if not 0 < n < 1_000_000 or n * got["mean_g"] > 9_000_000:
        return
    assert 1.96 * ask("weigh", **scale | {"batch_g": n * got["mean_g"]})["u_rings"] <= 1.5 + 1e-6
    assert (
        1.96 * ask("weigh", **scale | {"batch_g": (n + 1) * got["mean_g"]})["u_rings"] > 1.5 - 1e-6
    )


@given(SCALES)
def test_the_reference_needed_is_the_smallest_that_holds_one_ring(scale):
    got = ask("weigh", **scale)
    n = got["need_reference"]
    if n is None or n > 900_000:
        return
    best = ask("weigh", **scale | {"reference": {"rings": n, "grams": n * got["mean_g"]}})
    assert 1.96 * best["u_rings"] <= 1.5 + 1e-6
    if n > 1:
        less = ask(
            "weigh", **scale | {"reference": {"rings": n - 1, "grams": (n - 1) * got["mean_g"]}}
        )
        assert 1.96 * less["u_rings"] > 1.5 - 1e-6


@given(SCALES, st.floats(0.1, 40))
def test_another_unit_of_mass_leaves_the_count_alone(scale, factor):
    """Grams, grains or ounces: all three masses in the same unit."""
    one = ask("weigh", **scale)
    reference = {**scale["reference"], "grams": scale["reference"]["grams"] * factor}
    other = ask(
        "weigh",
        **{
            **scale,
            "reference": reference,
            "batch_g": scale["batch_g"] * factor,
            "scale_g": scale["scale_g"] * factor,
        },
    )
    assert other["u_rings"] == pytest.approx(one["u_rings"], rel=1e-9)
    assert abs(other["count"] - one["count"]) <= 1
    assert other["largest_batch"] == pytest.approx(one["largest_batch"], rel=1e-6, abs=1)
