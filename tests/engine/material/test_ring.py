"""Rings: what must hold whatever the sizes."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.engine.asking import ask, refused

WIRE = st.floats(0.3, 5)
ASPECT = st.floats(3.0, 12)
LAPS = st.floats(0, 4)


def ring(wire, aspect, lap=2.0, **more):
    return {
        "wire_mm": wire,
        "inner_mm": wire * aspect,
        "lap_mm": wire * lap,
        "metal": "iron",
    } | more


@given(WIRE, ASPECT, LAPS, st.floats(1, 4))
def test_a_ring_made_larger_keeps_its_ratios(wire, aspect, lap, scale):
    scale = min(
        scale, 9.9 / wire
    )  # wire above 10 mm is refused, and 10 / wire * wire may be a hair above 10
    small, large = (
        ask("ring", ring=ring(wire, aspect, lap)),
        ask("ring", ring=ring(wire * scale, aspect, lap)),
    )
    assert large["aspect"] == pytest.approx(small["aspect"], rel=1e-12)
    assert large["wire_per_ring_mm"] == pytest.approx(scale * small["wire_per_ring_mm"], rel=1e-12)
    assert large["mass_g"] == pytest.approx(scale**3 * small["mass_g"], rel=1e-12)
    assert large["mandrel_mm"] == pytest.approx(scale * small["mandrel_mm"], rel=1e-12)


@given(WIRE, ASPECT, LAPS, st.floats(0.01, 2))
def test_more_lap_takes_more_wire_and_where_cut_straight_a_wider_mandrel(wire, aspect, lap, more):
    a, b = (ask("ring", ring=ring(wire, aspect, x, cut="overlap")) for x in (lap, lap + more))
    assert b["wire_per_ring_mm"] - a["wire_per_ring_mm"] == pytest.approx(more * wire, rel=1e-9)
    assert b["mandrel_mm"] == a["mandrel_mm"] == pytest.approx(wire * aspect, rel=1e-12)
    c, d = (ask("ring", ring=ring(wire, aspect, x, cut="straight")) for x in (lap, lap + more))
    assert d["mandrel_mm"] - c["mandrel_mm"] == pytest.approx(more * wire / math.pi, rel=1e-6)
    assert d["wire_per_ring_mm"] > c["wire_per_ring_mm"] and d["mass_g"] > c["mass_g"]
    assert b["mass_g"] > a["mass_g"]
    assert b["rings_per_kg"] < a["rings_per_kg"]


@given(WIRE, ASPECT, st.integers(20, 1000), st.integers(20, 1000))
def test_two_coils_lose_one_wire_more_than_one(wire, aspect, first, second):
    """Wire is additive but for the end of each coil."""
    a, b, both = (
        ask("ring", ring=ring(wire, aspect), mandrel_length_mm=n)
        for n in (first, second, first + second)
    )
    turn = both["turn_mm"]
    assert both["wire_per_coil_mm"] == pytest.approx(
        a["wire_per_coil_mm"] + b["wire_per_coil_mm"] + turn, rel=1e-9
    )
    assert both["rings_per_coil"] >= a["rings_per_coil"] + b["rings_per_coil"]


@given(WIRE, ASPECT, LAPS, st.integers(20, 2000))
def test_the_rings_of_a_coil_fit_its_wire(wire, aspect, lap, length):
    got = ask("ring", ring=ring(wire, aspect, lap), mandrel_length_mm=length)
    used = got["rings_per_coil"] * got["wire_per_ring_mm"]
    assert used <= got["wire_per_coil_mm"] * (1 + 1e-9)
    assert used + got["wire_per_ring_mm"] > got["wire_per_coil_mm"]


@given(WIRE, ASPECT, st.floats(0.1, 20))
def test_a_reel_gives_its_weight_in_rings(wire, aspect, kg):
    got = ask("ring", ring=ring(wire, aspect), reel_kg=kg)
    assert got["rings_per_reel"] == math.floor(1000 * kg / got["mass_g"] + 1e-9)


@given(st.floats(1.0, 1.3), ASPECT)
def test_the_mandrel_for_the_coil_that_was_wound_is_its_own(opened, aspect):
    used = 1.6 * aspect
    got = ask(
        "ring",
        ring=ring(1.6, aspect * opened, 0.0, mandrel_mm_used=used, coil_inner_mm=used * opened),
    )
    assert got["mandrel_mm"] == pytest.approx(used, rel=1e-9)


@given(WIRE, st.floats(0.5, 2.97))
def test_a_ring_too_tight_is_told_the_inside_that_would_do(wire, aspect):
    if wire * aspect < 0.3:
        return
    field, why = refused("ring", ring=ring(wire, aspect))
    assert field == "ring.inner_mm"
    least = float(why.split("an inside of ")[1].split(" mm")[0].replace(",", "."))
    assert (
        ask("ring", ring={"wire_mm": wire, "inner_mm": least, "lap_mm": wire, "metal": "iron"})[
            "aspect"
        ]
        >= 2.98
    )


def test_the_zinc_caution_says_never_and_names_its_source():
    warned = ask("ring", ring=ring(1.6, 5, metal="galvanised steel"))["warnings"]
    assert "never heated" in warned[0]
    assert "OSHA" in warned[0]


def test_no_warning_ever_calls_anything_safe():
    rings = [ring(1.6, 3.2), ring(1.6, 9), ring(1.6, 5, zinc=True)]
    texts = " ".join(w for r in rings for w in ask("ring", ring=r)["warnings"])
    assert "safe" not in texts.lower()


def test_what_stands_beside_the_ring_goes_before_what_stands_in_it():
    inside = ring(1.2, 6.5, mandrel_length_mm=100, kerf_mm=0.2)
    assert (
        ask("ring", ring=inside, mandrel_length_mm=200, kerf_mm=0.4)["rings_per_coil"]
        == ask("ring", ring=inside | {"mandrel_length_mm": 200, "kerf_mm": 0.4})["rings_per_coil"]
    )


def test_galvanised_wire_is_warned_of_whatever_else_is_said_of_zinc():
    ring = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "galvanised steel"}
    for said in ({}, {"zinc": True}, {"zinc": False}):
        assert any(
            "never heated" in warning for warning in ask("ring", ring={**ring, **said})["warnings"]
        )
    bare = ask("ring", ring={**ring, "metal": "mild steel"})
    assert not any("never heated" in warning for warning in bare["warnings"])


@given(WIRE, ASPECT, LAPS, st.floats(0, 1), st.integers(60, 1000))
def test_each_way_of_cutting_is_the_other_way_of_the_other(wire, aspect, lap, kerf, length):
    ask_for = {"mandrel_length_mm": length, "kerf_mm": kerf}
    one, two = (
        ask("ring", ring=ring(wire, aspect, lap, cut=cut), **ask_for)
        for cut in ("overlap", "straight")
    )
    if not lap:
        assert one["other_cut"] is two["other_cut"] is None
        return
    for name in one["other_cut"]:
        assert one["other_cut"][name] == two[name] and two["other_cut"][name] == one[name]


@given(WIRE, ASPECT, st.floats(0.2, 4), st.floats(0, 1))
def test_both_ways_of_cutting_give_the_ring_that_was_asked_for(wire, aspect, lap, kerf):
    """The finished ring's wire is its circle and its lap, whichever way it came off the coil; the
    rise is small.
    """
    for cut in ("overlap", "straight"):
        got = ask("ring", ring=ring(wire, aspect, lap, cut=cut, kerf_mm=kerf))
        circle = math.pi * (wire * aspect + wire) + lap * wire
        assert got["wire_per_ring_mm"] - kerf == pytest.approx(circle, rel=5e-3)
        wound = {
            "wire_mm": wire,
            "mandrel_mm": got["mandrel_mm"],
            "lap_mm": wire * lap,
            "kerf_mm": kerf,
            "cut": cut,
        }
        assert ask("mandrel", ring=wound)["inner_mm"] == pytest.approx(wire * aspect, rel=1e-9)


@pytest.mark.parametrize("cut", ["overlap", "straight"])
def test_the_mandrel_of_a_ring_gives_that_ring_back(cut):
    measured = {"mandrel_mm_used": 8.5, "coil_inner_mm": 8.9, "kerf_mm": 0.3}
    ring = {
        "wire_mm": 1.6,
        "inner_mm": 9.1,
        "lap_mm": 3,
        "metal": "mild steel",
        "cut": cut,
    } | measured
    mandrel = ask("ring", ring=ring)["mandrel_mm"]
    wound = {"wire_mm": 1.6, "mandrel_mm": mandrel, "lap_mm": 3, "cut": cut} | measured
    assert ask("mandrel", ring=wound)["inner_mm"] == pytest.approx(9.1, rel=1e-12)
