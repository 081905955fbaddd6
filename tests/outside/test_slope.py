"""Rows that run down a panel with sloping sides: the fabric built ring by ring (networkx), the area
it covers.
"""

from __future__ import annotations

import json
from itertools import pairwise

import networkx as nx
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import answer
from shared.fabric.stepped_rows import has_waist

RING = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron"}


def plan(**shape):
    question = {
        "ask": "panel",
        "ring": RING,
        "state": "relaxed",
        "shape": {**shape, "rows_run": "down"},
    }
    got = json.loads(answer(json.dumps(question)))
    assert got["ok"], got
    return got


def profile(points):
    return plan(kind="profile", widths=[list(point) for point in points])


def woven(got):
    """Each open ring takes the two rings beside it of both closed rows, at the same height."""
    rows, fabric = got["rows"], nx.Graph()
    starts = got.get("starts") or [0] * len(rows)
    for y in range(0, len(rows), 2):
        fabric.add_nodes_from(("closed", y, starts[y] + x) for x in range(rows[y]))
    closed = set(fabric)
    for y in range(1, len(rows), 2):
        for x in range(starts[y], starts[y] + rows[y]):
            held = {("closed", y + dy, x + dx) for dy in (-1, 1) for dx in (0, 1)}
            assert held <= closed
            fabric.add_edges_from((("open", y, x), ring) for ring in held)
    return fabric


def judge(fabric, got):
    """Four in one: every open ring holds four closed ones, every closed ring is held, no more than
    four times.
    """
    assert fabric.number_of_nodes() == got["rings"]
    assert fabric.number_of_edges() == got["links"]
    assert nx.is_connected(fabric)
    held = dict(fabric.degree)
    assert {n for ring, n in held.items() if ring[0] == "open"} == {4}
    assert all(1 <= n <= 4 for ring, n in held.items() if ring[0] == "closed")
    assert got["changes"] == []


def taken(fabric, got):
    """Closed rings by the step that takes them up, made in order: units, unit joins, then the rows
    between chains.
    """
    rows, starts = got["rows"], got.get("starts") or [0] * len(got["rows"])
    done, by = set(), dict.fromkeys(("unit", "unit_join", "chain_join", "left_over"), 0)
    inside = list(range(1, len(rows), 4))
    between = list(range(3, len(rows), 4))
    odd = len(rows) // 2 % 2 == 0
    for step, ys, first, stride in (
        ("unit", inside, 0, 2),
        ("unit_join", inside, 1, 2),
        ("chain_join", between, 0, 1),
    ):
        for y in ys:
            now = "left_over" if odd and y == len(rows) - 2 else step
            for x in range(starts[y] + first, starts[y] + rows[y], stride):
                new = set(fabric[("open", y, x)]) - done
                by[now] += len(new)
                done |= new
    return by


slopes = st.fixed_dictionaries(
    {"from_mm": st.floats(40, 600), "to_mm": st.floats(40, 600), "length_mm": st.floats(60, 700)}
)


@settings(max_examples=150, deadline=None)
@given(slopes)
def test_any_panel_with_sloping_sides_is_four_in_one(size):
    got = plan(kind="taper", **size)
    judge(woven(got), got)


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.floats(40, 600), min_size=1, max_size=4),
    st.lists(st.floats(40, 600), min_size=1, max_size=4),
    st.floats(30, 120),
)
def test_any_panel_widest_in_its_middle_is_four_in_one(rising, falling, apart):
    widths = sorted(rising) + sorted(falling, reverse=True)
    got = profile([(i * apart, w) for i, w in enumerate(widths)])
    judge(woven(got), got)


@settings(max_examples=150, deadline=None)
@given(slopes)
def test_each_closed_ring_is_taken_up_by_its_step(size):
    got = plan(kind="taper", **size)
    if "starts" in got:
        assert got["closed_by_step"] == taken(woven(got), got)


@settings(max_examples=150, deadline=None)
@given(slopes)
def test_no_ring_is_lost_between_the_steps(size):
    got = plan(kind="taper", **size)
    assert got["rings"] == sum(got["rows"]) == got["closed"] + got["open"]
    assert got["closed"] == sum(got["rows"][0::2]) == sum(got["closed_by_step"].values())
    assert (
        got["open"]
        == got["units"] + got["unit_joins"] + got["chain_joins"] + got["left_over"]["open"]
    )
    assert sum(got["chain_units"]) == got["units"] and len(got["chain_units"]) == got["chains"]


def area_mm2(points):
    return sum((b - a) * (v + w) / 2 for (a, v), (b, w) in pairwise(points))


@pytest.mark.parametrize(
    "points",
    [
        [(0, 420), (550, 220)],
        [(0, 220), (550, 420)],
        [(0, 300), (300, 420), (600, 260)],
        [(0, 500), (200, 500), (400, 300)],
    ],
)
def test_the_rows_cover_the_area_asked(points):
    """Closed rings times the cell of two rows: within 2 %, whichever edge is the wide one."""
    got = profile(points)
    covered = got["closed"] * got["pitch_mm"]["column"] * 2 * got["pitch_mm"]["row"]
    strips = (len(got["rows"]) + 1) / (
        len(got["rows"]) - 1
    )  # n rows stand for n - 1 steps of the widest place
    assert covered / strips == pytest.approx(area_mm2(points), rel=0.02)


@pytest.mark.parametrize(
    ("wide", "narrow", "length"), [(420, 220, 550), (600, 300, 300), (333, 300, 700)]
)
def test_each_row_is_as_long_as_the_panel_in_the_middle_of_its_strip(wide, narrow, length):
    """By numpy's own interpolation along the sloping side."""
    got = plan(kind="taper", from_mm=wide, to_mm=narrow, length_mm=length)
    closed, pitch = got["rows"][0::2], got["pitch_mm"]["column"]
    middles = (np.arange(len(closed)) + 0.5) / len(closed) * wide - wide / 2
    ideal = np.interp(2 * np.abs(middles), [narrow, wide], [length, 0])
    assert np.abs(np.array(closed) * pitch - ideal).max() <= pitch / 2 * (1 + 1e-9)
    assert got["error_mm"] <= pitch / 2 * (1 + 1e-9)


def test_turned_upside_down_it_is_the_same_panel():
    one, other = (
        plan(kind="taper", from_mm=500, to_mm=260, length_mm=437),
        plan(kind="taper", from_mm=260, to_mm=500, length_mm=437),
    )
    assert set(one["starts"]) == {0} and max(other["starts"]) > 0
    assert all(abs(a - b) <= 1 for a, b in zip(one["rows"], other["rows"], strict=True))


def test_without_a_slope_it_is_the_plain_panel():
    sloped, straight = (
        plan(kind="taper", from_mm=420, to_mm=420, length_mm=550),
        plan(kind="panel", width_mm=420, height_mm=550),
    )
    same = (
        "rows",
        "rings",
        "links",
        "units",
        "chains",
        "unit_joins",
        "chain_joins",
        "left_over",
        "error_mm",
    )
    assert {k: sloped[k] for k in same} == {k: straight[k] for k in same}
    assert "starts" not in sloped
    assert (
        sloped["size_mm"]["from_mm"]
        == sloped["size_mm"]["to_mm"]
        == pytest.approx(straight["size_mm"]["width_mm"])
    )


def test_a_point_comes_out_blunt_and_says_so():
    got = profile([(0, 5), (200, 380), (450, 5)])
    judge(woven(got), got)
    assert (
        any("blunt" in w for w in got["warnings"])
        and got["size_error_mm"]["length_mm"] < -2 * got["pitch_mm"]["column"]
    )


def test_outermost_rows_too_short_to_hold_are_left_out_and_it_says_so():
    got = plan(kind="taper", from_mm=420, to_mm=15, length_mm=50)
    judge(woven(got), got)
    assert any("left out" in w for w in got["warnings"]) and got["size_error_mm"]["from_mm"] < -50


@pytest.mark.parametrize(
    ("widths", "is_so"),
    [
        ([5, 3, 4], True),
        ([5, 3, 3, 4], True),
        ([3, 5, 4], False),
        ([5, 4, 4, 1], False),
        ([1, 2, 2, 3], False),
    ],
)
def test_a_waist_is_a_fall_before_a_rise(widths, is_so):
    assert has_waist([(float(i), float(w)) for i, w in enumerate(widths)]) is is_so
