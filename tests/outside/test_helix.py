"""The coil against scipy: the helix integrated, and bending followed through a plastic section."""

from __future__ import annotations

import json
import math

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from shared.ask import answer


def ring(**more):
    base = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron"}
    beside = {k: more.pop(k) for k in ("mandrel_length_mm", "kerf_mm", "cut") if k in more}
    return json.loads(answer(json.dumps({"ask": "ring", "ring": base | more} | beside)))


@pytest.mark.parametrize(("wire", "inner"), [(1.2, 8), (1.0, 6), (1.6, 10), (1.6, 5), (0.5, 4)])
def test_a_turn_is_the_integral_along_the_helix(wire, inner):
    r, rise = (inner + wire) / 2, wire / (2 * math.pi)
    turn, _ = quad(
        lambda t: math.sqrt((r * math.sin(t)) ** 2 + (r * math.cos(t)) ** 2 + rise**2),
        0,
        2 * math.pi,
    )
    assert ring(wire_mm=wire, inner_mm=inner, lap_mm=0)["turn_mm"] == pytest.approx(turn, rel=1e-9)


def test_the_rise_adds_little():
    """ID 8, wire 1.6: 30.202 mm for 30.159 mm flat, 0.141 % more (derived)."""
    assert ring()["turn_mm"] == pytest.approx(30.202, abs=5e-4)
    assert ring()["turn_mm"] / (math.pi * 9.6) == pytest.approx(1.00141, abs=1e-5)


@pytest.mark.parametrize("lap", [0.0, 2.4, 3.2])
def test_a_wider_coil_lapped_has_the_inside_wanted(lap):
    """Geometry, from the start: a turn of the mandrel's coil less the lap, closed on itself, is a circle of
    the inside wanted.
    """
    got = ring(lap_mm=lap, cut="straight")
    closed = math.pi * (got["mandrel_mm"] + 1.6) - lap
    assert closed / math.pi - 1.6 == pytest.approx(8, rel=1e-12)


def plastic_moment(wire, yields):
    """Moment of a round section all of which yields, integrated over its chords."""
    half, _ = quad(lambda y: y * 2 * math.sqrt((wire / 2) ** 2 - y * y), 0, wire / 2)
    return 2 * yields * half


def let_go(mandrel, wire, yields, young):
    """Inside of a coil wound on a mandrel by plastic bending and let go: curvature less moment / (E
    I).
    """
    inertia = math.pi * wire**4 / 64
    bent = 2 / (mandrel + wire)
    return 2 / (bent - plastic_moment(wire, yields) / (young * inertia)) - wire


@pytest.mark.parametrize("yields", [250, 400, 800])
def test_one_coil_measured_gives_the_mandrel_for_another_size(yields):
    """The engine sees one coil of 6 mm; it must find the mandrel for 8 mm that the full bending
    gives.
    """
    came = let_go(6.0, 1.6, yields, 200000)
    wanted = 8 + 3.2 / math.pi
    true = brentq(lambda m: let_go(m, 1.6, yields, 200000) - wanted, 5, 12)
    got = ring(mandrel_mm_used=6.0, coil_inner_mm=came, cut="straight")
    assert got["mandrel_mm"] == pytest.approx(true, rel=1e-9)


def test_the_spring_rule_has_its_factor():
    """1/D on the mandrel less 1/D let go is 1.698 Y/(E d): 32/(6 pi)."""
    came = let_go(8.0, 1.6, 400, 200000)
    assert (1 / 9.6 - 1 / (came + 1.6)) * 200000 * 1.6 / 400 == pytest.approx(
        32 / (6 * math.pi), rel=1e-9
    )


@pytest.mark.parametrize(("yields", "percent"), [(250, 1.3), (400, 2.1), (800, 4.3), (1200, 6.5)])
def test_spring_back_has_the_published_size(yields, percent):
    """Wire 1.6 on a mean radius of 4.8, E 200 GPa (derived with the same rule of the spring shops)."""
    first = let_go(8.0, 1.6, yields, 200000)
    grown = 100 * ((first + 1.6) / 9.6 - 1)
    assert grown == pytest.approx(percent, abs=0.15)


@pytest.mark.parametrize(("wire", "metres"), [(1.0, 161.8), (1.2, 112.3), (1.6, 63.2)])
def test_metres_of_iron_wire_in_a_kilogram(wire, metres):
    got = ring(wire_mm=wire, inner_mm=8, lap_mm=0)
    assert got["rings_per_kg"] * got["turn_mm"] / 1000 == pytest.approx(metres, abs=0.06)


def wound(wire, inside, length):
    """The wire of a close coil of that length, walked along its helix in small steps: (angle, wire
    so far).
    """
    radius, rise, steps = (inside + wire) / 2, wire / (2 * math.pi), 3600
    each = 2 * math.pi / steps * math.hypot(radius, rise)
    total = int(
        (length - wire) / wire * steps + 1e-6
    )  # the coil is as long as its turns and one thickness
    return [(i * 2 * math.pi / steps, i * each) for i in range(total + 1)]


def cut_along_a_line(walk):
    """Wire of each ring when the coil is sawn along one line: from one passage under the saw to the
    next.
    """
    rings, last = [], 0.0
    for angle, along in walk:
        if angle + 1e-9 >= 2 * math.pi * (len(rings) + 1):
            rings.append(along - last)
            last = along
    return rings


def cut_with_the_overlap(walk, each):
    """Wire of each ring when every ring is snipped off with its lap."""
    rings, left = [], walk[-1][1]
    while left >= each - 1e-6:
        rings.append(each)
        left -= each
    return rings


def closed_inside(wire, of_wire, lap):
    """Inside of a ring bent round from so much wire with its ends lapped: a circle whose middle
    line is the rest.
    """
    return brentq(lambda inner: math.pi * (inner + wire) + lap - of_wire, 0.1, 50)


@pytest.mark.parametrize(
    ("wire", "inner", "lap", "length"), [(1.6, 8, 3.2, 200), (1.2, 8, 2.4, 200), (1.0, 6, 2, 151)]
)
def test_rings_cut_from_a_coil_ring_by_ring_are_as_many_and_as_wide_as_said(
    wire, inner, lap, length
):
    for cut in ("straight", "overlap"):
        got = ring(wire_mm=wire, inner_mm=inner, lap_mm=lap, cut=cut, mandrel_length_mm=length)
        walk = wound(wire, got["mandrel_mm"], length)
        turn = next(along for angle, along in walk if angle >= 2 * math.pi - 1e-9)
        rings = (
            cut_along_a_line(walk) if cut == "straight" else cut_with_the_overlap(walk, turn + lap)
        )
        assert len(rings) == got["rings_per_coil"]
        assert rings[0] == pytest.approx(got["wire_per_ring_mm"], rel=1e-6)
        assert closed_inside(wire, rings[0], lap) == pytest.approx(
            inner, abs=0.05
        )  # the helix's rise is pressed flat


def test_one_mandrel_cut_both_ways_gives_two_sizes_of_ring():
    """Cut straight on the mandrel of a ring cut with its overlap, a ring of 8 mm comes out a
    millimetre smaller.
    """
    walk = wound(1.6, 8, 200)
    assert closed_inside(1.6, cut_along_a_line(walk)[0], 3.2) == pytest.approx(
        8 - 3.2 / math.pi, abs=0.05
    )


@pytest.mark.parametrize("cut", ["straight", "overlap"])
@pytest.mark.parametrize("length", [40, 75, 200])
def test_wire_drawn_from_a_reel_coil_by_coil_is_the_wire_said(cut, length):
    """1,857 rings: coil after coil is wound and cut, each end thrown away, the last wound only as
    needed.
    """
    one = {
        "wire_mm": 1.6,
        "inner_mm": 8,
        "lap_mm": 3.2,
        "metal": "steel",
        "cut": cut,
        "mandrel_length_mm": length,
    }
    question = {
        "ask": "piece",
        "ring": one,
        "panels": [{"shape": {"kind": "count", "rings": 1857}}],
    }
    said = json.loads(answer(json.dumps(question)))
    walk = wound(1.6, ring(cut=cut)["mandrel_mm"], length)
    turn = next(along for angle, along in walk if angle >= 2 * math.pi - 1e-9)
    rings = cut_along_a_line(walk) if cut == "straight" else cut_with_the_overlap(walk, turn + 3.2)
    drawn, made, coils = 0.0, 0, 0
    while made < 1857:
        n = min(len(rings), 1857 - made)
        drawn += walk[-1][1] if n == len(rings) else sum(rings[:n])
        made += n
        coils += 1
    assert said["coils"] == coils
    assert said["wire_m"] == pytest.approx(drawn / 1000, abs=walk[-1][1] / 1000 / len(rings))
    assert said["wires"][0]["rings_m"] == pytest.approx(1857 * rings[0] / 1000, rel=1e-6)
    assert said["wire_buy_m"] == pytest.approx(said["wire_m"] + said["wire_reserve_m"], rel=1e-12)
