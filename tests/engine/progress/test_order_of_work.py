"""The order of work against fabric laid ring by ring: how many closed rings each item takes, which
chain it is in.
"""

from __future__ import annotations

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from shared.base.errors import EngineError
from shared.base.fields import Fields
from shared.fabric.consumption import Consumption, CumulativeUse
from shared.fabric.panel import panel_of
from tests.engine.fabric.laying import RING, Maker, shapes, split


def laid(shape, most):
    try:
        got, work = panel_of(
            Fields({"shape": {**shape, "units_per_chain": most}, "ring": RING, "state": "relaxed"})
        )
    except EngineError:
        reject()  # too steep or too small to be a panel at all
    return got, work, Maker(got, work.rows, most)


@pytest.mark.slow
@settings(deadline=None, max_examples=150)
@given(shapes, split)
def test_every_item_takes_the_closed_rings_that_the_fabric_gives_it(shape, most):
    got, work, maker = laid(shape, most)
    assert len(maker.owner) == got["closed"]
    for step, took in maker.took.items():
        assert [
            used // items for items, used in work.consumption[step].runs for _ in range(items)
        ] == took
        assert all(used % items == 0 for items, used in work.consumption[step].runs)
        assert (got["open_by_step"][step], got["closed_by_step"][step]) == (len(took), sum(took))
    assert work.chains == maker.chains and got["chain_units"] == [
        units for units, _ in maker.chains
    ]
    assert work.hanging == maker.hanging


@pytest.mark.slow
@settings(deadline=None, max_examples=150)
@given(shapes, split)
def test_every_change_names_a_chain_there_is_and_its_own_place_in_it(shape, most):
    got, _, maker = laid(shape, most)
    for change in got["changes"]:
        named = []
        for what in ("units", "joins", "rings"):
            named += [(what, n) for n in change.get(what, [])]
        assert 1 <= change["chain"] <= len(got["chain_units"])
        assert len(named) == len(change["at"]) == abs(change["by"])
        if change["part"] == "left_over":
            continue
        places = [maker.by[change["row"] - 1, x - 1] for x in change["at"]]
        chain = change["to"] if change["part"] == "chain_join" else change["chain"]
        assert sorted((what, chain, n) for what, n in named) == sorted(places)
        assert all(n <= got["chain_units"][chain - 1] for what, n in named if what == "units")


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(0, 5)), max_size=12), st.integers(0, 120))
def test_what_so_many_items_have_used_up_is_found_by_counting_on(parts, n):
    consumption = Consumption()
    for items, each in parts:
        consumption.add(items, each)
    flat = [each for items, each in parts for _ in range(items)]
    use = CumulativeUse(consumption.runs)
    assert (consumption.items, consumption.closed) == (len(flat), sum(flat))
    if n <= len(flat):
        assert use.used_by(n) == use.used_by(n, up=True) == sum(flat[:n])
