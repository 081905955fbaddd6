"""Chains: what joins have taken up, told against a chain-by-chain count with one's fingers."""

from __future__ import annotations

from hypothesis import given, reject
from hypothesis import strategies as st

from shared.ask import reply
from shared.base.errors import EngineError
from shared.fabric import chains

lists = st.lists(st.integers(1, 9).map(lambda k: (k, k - 1)), min_size=1, max_size=6)


def by_hand(todo, joins, units):
    """(complete, taken, begun) by laying one join after the other."""
    complete = taken = begun = 0
    for size, needed in todo:
        laid = 0
        while laid < needed and joins > 0:
            laid += 1
            joins -= 1
        if laid < needed:
            return complete, taken + (laid + 1 if laid else 0), laid
        if needed == 0 and units - taken < size:
            return complete, taken, 0
        complete, taken = complete + 1, taken + size
    return complete, taken, begun + joins


@given(lists, st.integers(0, 60), st.integers(0, 60))
def test_what_joins_took_up_agrees_with_laying_them_one_by_one(todo, joins, units):
    complete, taken, begun = chains.chains_done(todo, joins, units)
    expected = by_hand(todo, joins, units)
    assert (complete, taken) == expected[:2]
    assert complete == len(todo) or begun in (expected[2], joins)


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 5)), max_size=6), st.integers(0, 200))
def test_the_next_items_place_is_found_by_counting_on(runs, n):
    sizes = [size for size, times in runs for _ in range(times)]
    flat = [(group + 1, item + 1, size) for group, size in enumerate(sizes) for item in range(size)]
    assert chains.place([list(run) for run in runs], n) == (flat[n] if n < len(flat) else None)


@given(st.integers(0, 500), st.integers(1, 40))
def test_spreading_keeps_the_sum_and_differs_by_one_at_most(total, parts):
    runs = chains.spread(total, parts)
    assert chains.total(runs) == total and sum(times for _, times in runs) == parts
    assert max(size for size, _ in runs) - min(size for size, _ in runs) <= 1


@given(st.lists(st.integers(0, 5), max_size=30))
def test_runs_hold_the_sizes_in_their_order(sizes):
    assert [size for size, times in chains.runs_of(sizes) for _ in range(times)] == sizes


def each(runs):
    return [size for size, times in runs for _ in range(times)]


def panel_of(shape):
    return reply(
        {"ask": "panel", "ring": {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4}, "shape": shape}
    )


@given(
    st.sampled_from(["panel", "tube", "taper"]), st.integers(60, 400), st.integers(60, 400), st.integers(40, 300),
    st.booleans(), st.sampled_from([None, 1, 3, 8]),
)  # fmt: skip
def test_the_chains_of_any_panel_hold_all_its_units_and_unit_joins(
    kind, a, b, length, round_, most
):
    shape = {
        "panel": {"width_mm": a, "height_mm": length},
        "tube": {"around_mm": a, "length_mm": length},
        "taper": {"from_mm": a, "to_mm": b, "length_mm": length, "round": round_},
    }[kind]
    try:
        panel = panel_of({"kind": kind, "units_per_chain": most, **shape})
    except EngineError:
        reject()  # too steep or too small to be a panel at all
    units, joins = each(panel["chain_runs"]), each(panel["unit_join_runs"])
    assert units == panel["chain_units"] and sum(units) == panel["units"]
    assert len(joins) == len(units) and sum(joins) == panel["unit_joins"]
    assert all(n >= k - 1 >= 0 for k, n in zip(units, joins, strict=True))
    assert sum(each(panel["hanging_runs"])) == panel["chain_joins"]
    assert len(each(panel["hanging_runs"])) == len(units) - 1


def test_the_first_join_of_a_panel_takes_two_chains_and_a_lone_chain_takes_none():
    panels = [(3, [[9, 2]]), (1, []), (2, [[5, 1]])]
    assert [chains.chains_hung(panels, n) for n in (0, 1, 9, 10, 18, 19, 23)] == [
        0,
        2,
        2,
        3,
        3,
        5,
        5,
    ]
    assert [chains.alone(panels, n) for n in (2, 3, 4, 6)] == [0, 0, 1, 1]
