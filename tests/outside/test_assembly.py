"""Fabric built ring by ring as a graph (networkx): what the plan counts is what comes together.

Two builders that share nothing: one hangs every open ring of the plan's rows, one works as
at the bench, unit by unit, chain by chain. Links are edges; four in one is judged on the graph.
"""

from __future__ import annotations

import json
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import answer

RING = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron"}


def plan(**shape):
    got = json.loads(
        answer(json.dumps({"ask": "panel", "ring": RING, "state": "relaxed", "shape": shape}))
    )
    assert got["ok"], got
    return got


def hang(fabric, ring, closed):
    fabric.add_edges_from((ring, other) for other in closed)


def fives_of(got):
    """{row: {by, at}} from 0, however many chains share the row."""
    out = {}
    for change in got["changes"]:
        row = out.setdefault(change["row"] - 1, {"by": 0, "at": []})
        row["by"] += change["by"]
        row["at"] = sorted(row["at"] + [x - 1 for x in change["at"]])
    return out


def woven(got, round=False, ringed=False):
    """The fabric of the plan's rows: each open ring takes the next two above and below, five at a
    change.
    """
    rows, fabric = got["rows"], nx.Graph()
    changed = fives_of(got)
    for y in range(0, len(rows), 2):
        fabric.add_nodes_from(("closed", y, x) for x in range(rows[y]))
    for y in range(1, len(rows), 2):
        above, below = y - 1, (y + 1) % len(rows) if ringed else y + 1
        five = changed.get(y, {"at": [], "by": 0})
        up = down = 0
        for x in range(rows[y]):
            more_up = 1 if five["by"] < 0 and x in five["at"] else 0
            more_down = 1 if five["by"] > 0 and x in five["at"] else 0
            ups = [("closed", above, (up + i) % rows[above]) for i in range(2 + more_up)]
            downs = []
            if below < len(rows):
                downs = [("closed", below, (down + i) % rows[below]) for i in range(2 + more_down)]
            hang(fabric, ("open", y, x), ups + downs)
            up, down = up + 1 + more_up, down + 1 + more_down
        end = 0 if round else 1
        assert up == rows[above] - end
        assert below >= len(rows) or down == rows[below] - end
    return fabric


def judge(fabric, got):
    """Four in one: closed rings touch none of their kind and hold four at most; open ones four,
    five at a change.
    """
    assert fabric.number_of_nodes() == got["rings"]
    assert fabric.number_of_edges() == got["links"]
    assert nx.is_connected(fabric)
    assert all({a[0], b[0]} == {"closed", "open"} for a, b in fabric.edges)
    held = dict(fabric.degree)
    assert max(n for ring, n in held.items() if ring[0] == "closed") <= 4
    fives = sum(len(c["at"]) for c in got["changes"])
    edge = got["left_over"]["edge"]["open"]
    opens = [n for ring, n in held.items() if ring[0] == "open"]
    assert len(opens) == got["open"]
    assert (opens.count(5), opens.count(2), opens.count(4)) == (
        fives,
        edge,
        got["open"] - fives - edge,
    )


def at_the_bench(units, chains, most=0):
    """Units, then chains of them, then the panel; rings riveted in place are counted by step."""
    fabric, done = nx.Graph(), {"unit": 0, "unit_join": 0, "chain_join": 0}

    def rivet(step, y, x, *corners):
        hang(fabric, ("open", y, x), [("closed", *corner) for corner in corners])
        done[step] += 1

    for c in range(chains):
        top = 4 * c
        for k in range(units):
            rivet(
                "unit", top + 1, 2 * k, *[(top + dy, 2 * k + dx) for dy in (0, 2) for dx in (0, 1)]
            )
        for k in range(units - 1):
            step = "chain_join" if most and (k + 1) % most == 0 else "unit_join"
            rivet(
                step,
                top + 1,
                2 * k + 1,
                *[(top + dy, 2 * k + dx) for dy in (0, 2) for dx in (1, 2)],
            )
    for c in range(chains - 1):
        low = 4 * c + 2
        for x in range(2 * units - 1):
            rivet("chain_join", low + 1, x, *[(low + dy, x + dx) for dy in (0, 2) for dx in (0, 1)])
    return fabric, done


def edges(fabric):
    return {frozenset(pair) for pair in fabric.edges}


@pytest.mark.parametrize("chains", range(1, 13))
@pytest.mark.parametrize("units", range(1, 13))
def test_the_bench_makes_the_very_fabric_of_the_plan(units, chains):
    """144 panels: the same links, and each step's rings as planned."""
    got = plan(kind="panel", rows=4 * chains - 1, columns=2 * units)
    fabric, done = at_the_bench(units, chains)
    assert edges(fabric) == edges(woven(got))
    assert done == {
        "unit": got["units"],
        "unit_join": got["unit_joins"],
        "chain_join": got["chain_joins"],
    }
    assert got["chains"] == chains
    assert got["left_over"]["closed"] == got["left_over"]["open"] == 0


@pytest.mark.parametrize("most", [1, 2, 3, 5])
def test_chains_cut_short_come_to_the_same_fabric(most):
    got = plan(kind="panel", rows=11, columns=24, units_per_chain=most)
    fabric, done = at_the_bench(12, 3, most)
    assert edges(fabric) == edges(woven(got))
    assert done == {
        "unit": got["units"],
        "unit_join": got["unit_joins"],
        "chain_join": got["chain_joins"],
    }
    assert sum(got["chain_units"]) == got["units"]
    assert len(got["chain_units"]) == got["chains"] == 3 * -(-12 // most)


@pytest.mark.parametrize("rows", range(2, 16))
@pytest.mark.parametrize("columns", [2, 3, 4, 7, 10, 11])
def test_any_rows_and_columns_are_four_in_one(rows, columns):
    got = plan(kind="panel", rows=rows, columns=columns)
    judge(woven(got), got)
    assert got["rings"] == rows * columns - rows // 2


@pytest.mark.parametrize("rows", range(3, 16))
@pytest.mark.parametrize("columns", [3, 4, 7, 10])
def test_any_tube_is_four_in_one(rows, columns):
    got = plan(kind="tube", rows=rows, columns=columns)
    judge(woven(got, round=True), got)
    assert got["rings"] == rows * columns


@pytest.mark.parametrize("around", [150, 260, 333, 400])
def test_a_tube_with_rows_down_closes_on_itself(around):
    got = plan(kind="tube", around_mm=around, length_mm=120, rows_run="down")
    fabric = woven(got, ringed=True)
    judge(fabric, got)
    tops = [
        n for ring, n in fabric.degree if ring[0] == "closed" and 0 < ring[2] < got["rows"][0] - 1
    ]
    assert set(tops) == {4}


def steps_of(fabric, got, round):
    """Closed rings by the step that takes them up, read off the graph: on a unit's middle ring, or
    hung at a join.
    """
    rows, taken = got["rows"], {"unit": set(), "chains": set()}
    for y in range(1, len(rows), 4):
        if y + 1 == len(rows):
            continue
        middles = [x for x in range(0, rows[y], 2) if x < rows[y] // 2 * 2 or not round]
        for x in middles:
            taken["unit"] |= set(fabric[("open", y, x)])
        taken["chains"] |= {("closed", y + dy, x) for dy in (-1, 1) for x in range(rows[y + dy])}
    last = {ring for ring in fabric if ring[0] == "closed"} - taken["chains"]
    return len(taken["unit"]), len(taken["chains"] - taken["unit"]), len(last)


@settings(max_examples=120, deadline=None)
@given(
    first=st.integers(4, 60),
    last=st.integers(4, 60),
    steps=st.integers(1, 25),
    round=st.booleans(),
)
def test_each_closed_ring_is_taken_up_by_its_step(first, last, steps, round):
    got = plan(
        kind="taper",
        from_columns=first,
        to_columns=last,
        rows=2 * steps + 1,
        round=round,
        max_change=2,
    )
    on_units, at_joins, in_row = steps_of(woven(got, round=round), got, round)
    column = got["left_over"]["column"]["closed"]
    assert got["closed_by_step"]["unit"] == on_units
    assert got["left_over"]["row"]["closed"] + (1 if column and in_row else 0) == in_row
    assert got["closed_by_step"]["unit_join"] + column - (1 if column and in_row else 0) == at_joins


@settings(max_examples=120, deadline=None)
@given(
    first=st.integers(3, 60),
    last=st.integers(3, 60),
    steps=st.integers(1, 25),
    round=st.booleans(),
    limit=st.integers(1, 6),
)
def test_any_taper_is_four_in_one(first, last, steps, round, limit):
    got = plan(
        kind="taper",
        from_columns=first,
        to_columns=last,
        rows=2 * steps + 1,
        round=round,
        max_change=min(limit, 2),
    )
    judge(woven(got, round=round), got)


@settings(max_examples=80, deadline=None)
@given(widths=st.lists(st.integers(60, 500), min_size=2, max_size=6), round=st.booleans())
def test_any_profile_is_four_in_one(widths, round):
    got = plan(
        kind="profile",
        widths=[[60 * i, w] for i, w in enumerate(widths)],
        round=round,
        max_change=5,
    )
    judge(woven(got, round=round), got)


def test_a_mantle_is_four_in_one():
    got = plan(kind="collar", neck_mm=450, slant_mm=250, angle_deg=90)
    judge(woven(got, round=True), got)


@pytest.mark.parametrize(("chains", "left", "right"), [(1, 2, 3), (3, 5, 4), (4, 1, 1)])
def test_panels_end_to_end_take_one_ring_an_open_row(chains, left, right):
    """2c - 1 rings and the units add up: the joined graph is the wider panel."""
    a, b, whole = (
        plan(kind="panel", rows=4 * chains - 1, columns=2 * k) for k in (left, right, left + right)
    )
    fabric, joins = woven(a), 0
    for (kind1, y1, x1), (kind2, y2, x2) in woven(b).edges:
        fabric.add_edge((kind1, y1, x1 + 2 * left), (kind2, y2, x2 + 2 * left))
    for y in range(1, 4 * chains - 1, 2):
        hang(
            fabric,
            ("open", y, 2 * left - 1),
            [("closed", y + dy, 2 * left + dx) for dy in (-1, 1) for dx in (-1, 0)],
        )
        joins += 1
    assert edges(fabric) == edges(woven(whole))
    assert joins == 2 * chains - 1 == whole["rings"] - a["rings"] - b["rings"]


@pytest.mark.parametrize(("units", "top", "low"), [(2, 1, 2), (5, 3, 1)])
def test_panels_stacked_take_one_open_row(units, top, low):
    """2k - 1 rings and the chains add up."""
    a, b, whole = (
        plan(kind="panel", rows=4 * c - 1, columns=2 * units) for c in (top, low, top + low)
    )
    fabric, down = woven(a), 4 * top
    for (kind1, y1, x1), (kind2, y2, x2) in woven(b).edges:
        fabric.add_edge((kind1, y1 + down, x1), (kind2, y2 + down, x2))
    for x in range(2 * units - 1):
        hang(
            fabric,
            ("open", down - 1, x),
            [("closed", down + dy, x + dx) for dy in (-2, 0) for dx in (0, 1)],
        )
    assert edges(fabric) == edges(woven(whole))
    assert whole["rings"] - a["rings"] - b["rings"] == 2 * units - 1


@pytest.mark.parametrize(("rows", "columns"), [(3, 6), (11, 10), (12, 7)])
def test_a_tube_is_a_panel_closed_by_its_closing_rings(rows, columns):
    flat, tube = (
        plan(kind="panel", rows=rows, columns=columns),
        plan(kind="tube", rows=rows, columns=columns),
    )
    fabric = woven(flat)
    for y in range(1, rows, 2):
        ends = [("closed", y + dy, x) for dy in (-1, 1) for x in (columns - 1, 0) if y + dy < rows]
        hang(fabric, ("open", y, columns - 1), ends)
    assert edges(fabric) == edges(woven(tube, round=True))
    assert tube["rings"] - flat["rings"] == tube["closing_rings"] == rows // 2


def test_grain_turns_but_counts_stay():
    """k and c change places: chains along the row or across it, the same rings and links (derived)."""
    one, other = plan(kind="panel", rows=11, columns=10), plan(kind="panel", rows=19, columns=6)
    assert (one["rings"], one["links"]) == (other["rings"], other["links"])
    assert nx.is_isomorphic(woven(one), woven(other))


def test_places_are_spread_evenly():
    """Gaps between increases differ by one ring at most, around the tube."""
    got = plan(kind="collar", neck_mm=450, slant_mm=250, angle_deg=60)
    for y, change in fives_of(got).items():
        at, row = change["at"], got["rows"][y]
        around = [b - a for a, b in pairwise([*at, at[0] + row])]
        assert max(around) - min(around) <= 1
        assert len(at) == abs(change["by"])


def piece(panels, joins):
    got = json.loads(
        answer(json.dumps({"ask": "piece", "ring": RING, "panels": panels, "joins": joins}))
    )
    assert got["ok"], got
    return got


def named(name, rows, columns):
    return {"name": name, "shape": {"kind": "panel", "rows": rows, "columns": columns}}


def beside(rows, *columns):
    """Panels laid side by side, each ring with its panel's number; nothing joins them yet."""
    fabric = nx.Graph()
    for i, wide in enumerate(columns):
        one = woven(plan(kind="panel", rows=rows, columns=wide))
        fabric.update(nx.relabel_nodes(one, {ring: (*ring, i) for ring in one}))
    return fabric


def seam(fabric, rows, left, right):
    """A joining ring in every open row, through the last closed rings of one panel and the first of
    the other.
    """
    for y in range(1, rows, 2):
        for panel, x in (left, right):
            hang(
                fabric,
                ("join", y, left),
                [("closed", y + dy, x, panel) for dy in (-1, 1) if y + dy < rows],
            )


@pytest.mark.parametrize("rows", [3, 6, 10, 11])
@pytest.mark.parametrize(("wide", "other"), [(4, 7), (20, 20)])
def test_joined_panels_have_the_links_of_the_fabric_joined(rows, wide, other):
    """End to end, at both sides, and one panel closed round: odd rows, and even ones with their
    open edge row.
    """
    fabric, panels = beside(rows, wide, other), [named("A", rows, wide), named("B", rows, other)]
    seam(fabric, rows, (0, wide - 1), (1, 0))
    once = piece(panels, [{"how": "end_to_end", "panels": ["A", "B"]}])
    assert (once["rings"], once["links"]) == (fabric.number_of_nodes(), fabric.number_of_edges())
    seam(fabric, rows, (1, other - 1), (0, 0))
    twice = [
        {"how": "end_to_end", "panels": ["A", "B"]},
        {"how": "end_to_end", "panels": ["B", "A"]},
    ]
    both = piece(panels, twice)
    assert (both["rings"], both["links"]) == (fabric.number_of_nodes(), fabric.number_of_edges())
    alone = beside(rows, wide)
    seam(alone, rows, (0, wide - 1), (0, 0))
    closed = piece(panels[:1], [{"how": "round", "panels": ["A"]}])
    assert (closed["rings"], closed["links"]) == (alone.number_of_nodes(), alone.number_of_edges())
