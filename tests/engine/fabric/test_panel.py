"""Panels: sums, ends, changes and sizes that must hold for every shape."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.fabric.rows import even_steps, interpolate, limit_changes, spread_evenly
from tests.engine.asking import ask, refused

RING = {"wire_mm": 1.6, "inner_mm": 8, "lap_mm": 3.2, "metal": "iron"}
MM = st.floats(60, 1500)


def panel(state="relaxed", **shape):
    return ask("panel", ring=RING, state=state, shape=shape)


def shapes():
    """Any shape of a fair size."""
    sizes = {
        "panel": st.fixed_dictionaries(
            {"width_mm": MM, "height_mm": MM, "rows_run": st.sampled_from(["round", "down"])}
        ),
        "tube": st.fixed_dictionaries(
            {"around_mm": MM, "length_mm": MM, "rows_run": st.sampled_from(["round", "down"])}
        ),
        "taper": st.fixed_dictionaries(
            {"from_mm": MM, "to_mm": MM, "length_mm": st.floats(300, 1500), "round": st.booleans()}
        ),
        "collar": st.fixed_dictionaries(
            {"neck_mm": st.floats(300, 600), "slant_mm": MM, "angle_deg": st.floats(0, 90)}
        ),
    }
    counted = st.fixed_dictionaries({"rows": st.integers(2, 90), "columns": st.integers(3, 90)})
    sized = st.sampled_from(sorted(sizes)).flatmap(
        lambda kind: sizes[kind].map(lambda size: {"kind": kind, **size})
    )
    limits = st.fixed_dictionaries(
        {"max_change": st.integers(1, 3), "units_per_chain": st.integers(1, 40)}
    )
    plain = st.sampled_from(["panel", "tube"]).flatmap(
        lambda kind: counted.map(lambda size: {"kind": kind, **size})
    )
    return st.one_of(st.tuples(sized, limits).map(lambda two: two[0] | two[1]), plain)


@given(shapes())
def test_no_ring_is_lost_between_the_steps(shape):
    got = panel(**shape)
    left = got["left_over"]
    assert got["rings"] == sum(got["rows"]) == got["closed"] + got["open"]
    assert got["closed"] == sum(got["rows"][0::2]) == sum(got["closed_by_step"].values())
    assert got["open"] == got["units"] + got["unit_joins"] + got["chain_joins"] + left["open"]
    assert (
        got["open_by_step"]["left_over"]
        == left["open"]
        == sum(left[k]["open"] for k in ("row", "column", "edge"))
    )
    assert left["closed"] == left["row"]["closed"] + left["column"]["closed"]
    assert got["closed_by_step"]["unit"] >= 4 * got["units"]
    assert sum(got["chain_units"]) == got["units"]
    assert len(got["chain_units"]) == got["chains"]
    assert min(got["closed_by_step"].values()) >= 0 and min(got["open_by_step"].values()) >= 0


@given(shapes())
def test_links_are_counted_ring_by_ring(shape):
    """Four an open ring, one more at a change, two at an open edge."""
    got = panel(**shape)
    changes = sum(len(c["at"]) for c in got["changes"])
    assert got["links"] == 4 * got["open"] + changes - 2 * got["left_over"]["edge"]["open"]


@given(shapes())
def test_changes_make_the_difference_between_closed_rows(shape):
    got = panel(**shape)
    rows = got["rows"]
    for y in range(1, len(rows) - 1, 2):
        here = [c for c in got["changes"] if c["row"] == y + 1]
        at, by = [x for c in here for x in c["at"]], sum(c["by"] for c in here)
        assert rows[y + 1] - rows[y - 1] == by
        assert len(set(at)) == len(at) == abs(by)
        assert all(1 <= x <= rows[y] for x in at)


@given(st.floats(250, 700), st.floats(250, 700), st.floats(300, 1200), st.booleans())
def test_every_closed_row_is_within_half_a_pitch_of_its_width(first, last, length, round):
    got = panel(
        kind="taper", from_mm=first, to_mm=last, length_mm=length, round=round, max_change=400
    )
    assert got["error_mm"] <= got["pitch_mm"]["column"] / 2 * (1 + 1e-9)
    assert abs(got["size_error_mm"]["length_mm"]) <= got["pitch_mm"]["row"] * (1 + 1e-9)
    closed = got["rows"][0::2]
    rising = all(b >= a for a, b in pairwise(closed))
    assert rising if last >= first else all(b <= a for a, b in pairwise(closed))


@given(st.integers(2, 400), st.integers(2, 400), st.integers(1, 120))
def test_a_counted_taper_ends_exactly_and_steps_evenly(first, last, steps):
    rows = even_steps(first, last, steps)
    assert (rows[0], rows[-1], len(rows)) == (first, last, steps + 1)
    jumps = [b - a for a, b in pairwise(rows)]
    assert max(jumps) - min(jumps) <= 1
    assert all(abs((first + (last - first) * i / steps) - n) <= 0.5 for i, n in enumerate(rows))


@given(st.lists(st.integers(2, 80), min_size=1, max_size=40), st.integers(1, 6))
def test_a_limited_row_is_the_nearest_that_keeps_its_limit(ideal, most):
    """Halfway between the hulls min(N + L d) and max(N - L d); no sequence with that limit strays
    less.
    """
    got = limit_changes(ideal, most)
    n = len(ideal)
    for i in range(n):
        high = min(ideal[j] + most * abs(i - j) for j in range(n))
        low = max(ideal[j] - most * abs(i - j) for j in range(n))
        assert got[i] == (high + low) // 2
    assert all(abs(b - a) <= most for a, b in pairwise(got))
    least = max(
        (abs(ideal[i] - ideal[j]) - most * abs(i - j) + 1) // 2 for i in range(n) for j in range(n)
    )
    assert max(abs(a - b) for a, b in zip(got, ideal, strict=True)) == max(0, least)


@given(st.integers(1, 400), st.data())
def test_places_are_distinct_and_even(row, data):
    n = data.draw(st.integers(1, row))
    at = spread_evenly(row, n, data.draw(st.integers(0, 300)))
    assert len(set(at)) == n
    around = [b - a for a, b in pairwise([*at, at[0] + row])]
    assert max(around) - min(around) <= 1


@given(MM, MM, st.floats(1.0, 500))
def test_a_larger_panel_never_has_fewer_rings(width, height, more):
    small = panel(kind="panel", width_mm=width, height_mm=height)["rings"]
    assert panel(kind="panel", width_mm=width + more, height_mm=height)["rings"] >= small
    assert panel(kind="panel", width_mm=width, height_mm=height + more)["rings"] >= small


GROWING = {
    "width": lambda mm: {"kind": "panel", "width_mm": mm, "height_mm": 200},
    "height": lambda mm: {"kind": "panel", "width_mm": 200, "height_mm": mm},
    "height, rows down": lambda mm: {
        "kind": "panel",
        "width_mm": 200,
        "height_mm": mm,
        "rows_run": "down",
    },
    "around": lambda mm: {"kind": "tube", "around_mm": mm, "length_mm": 200},
    "around, rows down": lambda mm: {
        "kind": "tube",
        "around_mm": mm,
        "length_mm": 200,
        "rows_run": "down",
    },
    "sleeve's length": lambda mm: {
        "kind": "taper",
        "from_mm": 180,
        "to_mm": 160,
        "length_mm": mm,
        "round": True,
    },
    "collar's slant": lambda mm: {
        "kind": "collar",
        "neck_mm": 400,
        "slant_mm": mm,
        "angle_deg": 30,
    },
}


@pytest.mark.parametrize("shape", GROWING.values(), ids=GROWING)
def test_growing_by_five_millimetres_at_a_time_never_takes_rings_away(shape):
    rings = [panel(**shape(mm))["rings"] for mm in range(60, 700, 5)]
    assert all(b >= a for a, b in pairwise(rings)) and rings[-1] > 4 * rings[0]


@given(st.floats(60, 800), st.floats(60, 800), st.floats(0.5, 2))
def test_rings_and_sizes_scaled_alike_need_the_same_rings(width, height, scale):
    ring = {"wire_mm": 1.6 * scale, "inner_mm": 8 * scale, "lap_mm": 3.2 * scale, "metal": "iron"}
    if abs((width / 7.285352807846704) % 1 - 0.5) < 1e-6 or abs((height / 13.624) % 1 - 0.5) < 1e-6:
        return
    a = panel(kind="panel", width_mm=width, height_mm=height)
    shape = {"kind": "panel", "width_mm": width * scale, "height_mm": height * scale}
    b = ask("panel", ring=ring, state="relaxed", shape=shape)
    assert a["rows"] == b["rows"]
    assert b["weight_g"] == pytest.approx(scale**3 * a["weight_g"], rel=1e-9)


taken = st.one_of(
    shapes(),
    st.fixed_dictionaries(
        {"kind": st.just("taper"), "from_mm": st.integers(60, 500), "to_mm": st.integers(60, 500),
         "length_mm": st.integers(60, 500), "rows_run": st.just("down")}
    ),
)  # fmt: skip


@given(taken)
def test_a_suggested_size_can_be_had_as_it_is_named_and_leaves_nothing_over(shape):
    got = panel(**shape)
    left = got["left_over"]["closed"] + got["left_over"]["open"]
    assert left or got["suggest"] == []
    for size in got["suggest"]:
        again = panel(**{**shape, **{name: size[name] for name in size if name in shape}})
        assert again["left_over"]["closed"] == again["left_over"]["open"] == 0
        assert len(again["rows"]) == size["rows"]


def test_a_size_below_the_least_is_refused_alike_along_the_rows_and_across():
    """Two rings of 7.29 mm, three rows of 6.81 mm: from half a pitch (one row) less on, the least
    is the nearest.
    """
    width, height = {"width_mm": 10.9, "height_mm": 50}, {"width_mm": 50, "height_mm": 6.8}
    for size, field in ((width, "width_mm"), (height, "height_mm")):
        where, why = refused("panel", ring=RING, state="relaxed", shape={"kind": "panel", **size})
        least = float(why.split("from ")[1].split(" ")[0])
        assert (
            where == "shape." + field
            and len(panel(kind="panel", **{**size, field: least})["rows"]) >= 3
        )


@given(shapes())
def test_weight_is_rings_times_one_ring(shape):
    got, one = panel(**shape), ask("ring", ring=RING)
    assert got["weight_g"] == pytest.approx(got["rings"] * one["mass_g"], rel=1e-12)
    assert got["area_m2"] == pytest.approx(
        got["rings"] * got["pitch_mm"]["column"] * got["pitch_mm"]["row"] / 1e6
    )


def test_rows_down_turn_the_panel():
    a = panel(kind="panel", width_mm=400, height_mm=600, rows_run="down")
    b = panel(kind="panel", width_mm=600, height_mm=400)
    assert a["rows"] == b["rows"]
    assert (a["size_mm"]["width_mm"], a["size_mm"]["height_mm"]) == (
        b["size_mm"]["height_mm"],
        b["size_mm"]["width_mm"],
    )


def test_an_even_number_of_rows_says_what_would_end_firm():
    warned = " ".join(panel(kind="panel", rows=12, columns=10)["warnings"])
    assert "11" in warned and "13" in warned


def test_cost_grows_with_rows_and_not_with_rings():
    """Ten times the rings in the same rows take no more places, rows or chains."""
    small, large = (panel(kind="panel", rows=151, columns=n) for n in (20, 2000))
    assert large["rings"] > 99 * small["rings"]
    assert [len(large[k]) for k in ("rows", "changes", "chain_units")] == [
        len(small[k]) for k in ("rows", "changes", "chain_units")
    ]


def test_a_steep_slope_is_refused_with_a_change_that_does():
    shape = {"kind": "taper", "from_mm": 100, "to_mm": 900, "length_mm": 60, "round": True}
    field, why = refused("panel", ring=RING, state="relaxed", shape=shape)
    assert field == "shape"
    most = int(why.split("max_change ")[1].split(" ")[0])
    assert panel(**shape, max_change=most)["rings"] > 0


def test_what_stands_beside_the_shape_counts_as_said_in_it():
    shape = {"kind": "tube", "around_mm": 420, "length_mm": 550}
    beside = ask(
        "panel", ring=RING, state="relaxed", shape=shape, rows_run="down", units_per_chain=5
    )
    assert beside == panel(**shape, rows_run="down", units_per_chain=5)
    assert beside != panel(**shape)


def test_changes_named_by_their_work_are_those_that_the_tally_counts():
    """Units said to hold five are the closed rings that units take up beyond four each."""
    for round_ in (True, False):
        got = panel(kind="taper", from_mm=430, to_mm=210, length_mm=560, round=round_)
        in_chains = [c for c in got["changes"] if c["part"] == "chain"]
        assert (
            sum(len(c["units"]) for c in in_chains)
            == got["closed_by_step"]["unit"] - 4 * got["units"]
        )
        for c in got["changes"]:
            named = len(c["units"]) + len(c["joins"]) if c["part"] == "chain" else len(c["rings"])
            assert named == abs(c["by"]) == len(c["at"])
        assert max(c["chain"] for c in in_chains) <= got["chains"]


def test_no_sentence_speaks_of_a_field():
    shape = {"kind": "taper", "from_mm": 200, "to_mm": 120, "length_mm": 200, "rows_run": "down"}
    got = ask(
        "panel", ring={"wire_mm": 1.6, "inner_mm": 8, "metal": "iron"}, state="relaxed", shape=shape
    )
    assert got["starts"]
    assert "`" not in " ".join(got["notes"] + got.get("warnings", []))


def test_a_tube_whose_rows_run_down_is_the_same_by_measures_and_by_rows():
    """Derived: 8 closed rows of 8 and 8 open rows of 7, closed top to bottom: 120 rings, 4 x 8 x 7
    links.
    """
    ring = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron"}
    down = {"kind": "tube", "rows_run": "down"}
    by_rows = ask("panel", ring=ring, shape={**down, "rows": 16, "columns": 8})
    by_mm = ask("panel", ring=ring, shape={**down, "around_mm": 109.7984, "length_mm": 59.44})
    for name in ("rows", "rings", "links", "size_mm", "left_over_rings"):
        assert by_rows[name] == by_mm[name]
    assert (by_rows["rings"], by_rows["links"]) == (120, 224)


def test_an_odd_number_of_rows_cannot_be_closed_top_to_bottom():
    ring = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron"}
    shape = {"kind": "tube", "rows": 15, "columns": 8, "rows_run": "down"}
    field, why = refused("panel", ring=ring, shape=shape)
    assert field == "shape.rows" and "14 or 16 would do" in why


def test_beyond_its_last_width_an_outline_stays_as_wide():
    assert interpolate([(0.0, 10.0), (5.0, 20.0)], 2.5) == 15
    assert interpolate([(0.0, 10.0), (5.0, 20.0)], 7.0) == 20


def test_the_open_edge_row_counts_among_the_two_million_rings():
    """51 closed rows of 20,000 and 51 open ones of 19,999, the last of them the edge: 2,039,949."""
    field, why = refused("panel", shape={"kind": "panel", "rows": 102, "columns": 20000})
    assert field == "shape" and "2000000 rings" in why
