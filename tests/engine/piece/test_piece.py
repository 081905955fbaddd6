"""A whole piece: additive, monotone, and no ring lost between the steps."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import reply
from shared.base.errors import BadField
from shared.piece.steps import KEYS
from shared.statistics.yield_starts import start_for

RING = {
    "wire_mm": 1.2,
    "inner_mm": 8,
    "lap_mm": 2.4,
    "metal": "iron",
    "rivet_mm": 0.8,
    "mandrel_length_mm": 200,
}
SOLID = {"wire_mm": 1.2, "inner_mm": 8, "metal": "iron", "kind": "solid"}
LINE = ["cut", "soften", "flatten", "soften_again", "pierce"]
IN_PLACE = ["unit", "unit_join", "chain_join"]
COUNTED = [
    "rings",
    "closed",
    "open",
    "links",
    "units",
    "chains",
    "unit_joins",
    "chain_joins",
    "left_over",
    "rivets",
]


def panel(rows=11, columns=10, **more):
    return {"shape": {"kind": "panel", "rows": rows, "columns": columns}, **more}


def plan(*panels, **more):
    return reply({"ask": "piece", "ring": RING, "panels": list(panels), **more})


def column(answer, field):
    return {step["step"]: step[field] for step in answer["steps"]}


sizes = st.tuples(st.integers(3, 60), st.integers(2, 60))


def taper(a, b, length, way):
    shape = {
        "kind": "taper",
        "from_mm": a,
        "to_mm": b,
        "length_mm": length,
        "round": way == "sleeve",
    }
    return {
        "state": "relaxed",
        "shape": {**shape, "rows_run": "down" if way == "rows down" else "round"},
    }


ways = st.sampled_from(["flat", "sleeve", "rows down"])
tapers = st.builds(taper, st.integers(150, 500), st.integers(150, 500), st.integers(200, 700), ways)
panels = st.builds(lambda s: panel(*s), sizes) | tapers
record = st.builds(lambda g, b: {"good": g, "bad": b}, st.integers(40, 900), st.integers(0, 40))
records = st.dictionaries(st.sampled_from(KEYS[:10]), record, max_size=4)


@given(st.lists(panels, min_size=1, max_size=3))
@settings(deadline=None)
def test_no_ring_is_lost_between_the_steps(parts):
    out = plan(*parts)
    need = column(out, "need")
    assert [need[step] for step in LINE] == [out["rings"]] * 5
    assert need["close"] == out["closed"]
    assert need.get("left_over", 0) == sum(p["left_over"]["open"] for p in out["panels"])
    assert out["open"] == sum(need.get(step, 0) for step in [*IN_PLACE, "left_over"])
    assert out["rivets_start"] == out["rivets"] == out["rings"]
    assert out["coils"] == -(-out["rings"] // 152)


@given(st.lists(panels, min_size=1, max_size=3), records)
@settings(deadline=None)
def test_each_step_hands_on_what_the_later_ones_start_with(parts, losses):
    out = plan(*parts, losses=losses)
    start, to_make, need = column(out, "start"), column(out, "to_make"), column(out, "need")
    for step, later in pairwise(LINE):
        assert to_make[step] == start[later] and start[step] >= to_make[step] >= need[step]
    assert to_make["pierce"] == start["close"] + sum(
        start.get(step, 0) for step in [*IN_PLACE, "left_over"]
    )


@pytest.mark.slow
@given(panels, panels)
@settings(deadline=None)
def test_a_piece_of_two_panels_is_the_sum_of_two_pieces(a, b):
    both, one, two = plan(a, b), plan(a), plan(b)
    for name in (
        "rings",
        "closed",
        "open",
        "links",
        "units",
        "chains",
        "unit_joins",
        "chain_joins",
        "left_over",
        "rivets",
    ):
        assert both[name] == one[name] + two[name]
    for name in ("weight_g", "wire_m", "wire_g", "rivet_wire_m"):
        assert both[name] == pytest.approx(one[name] + two[name], rel=1e-9)
    assert one["coils"] + two["coils"] - 1 <= both["coils"] <= one["coils"] + two["coils"]


@given(sizes, st.integers(0, 8), st.integers(0, 8))
@settings(deadline=None)
def test_a_larger_panel_never_needs_less(size, more_rows, more_columns):
    small, large = plan(panel(*size)), plan(panel(size[0] + more_rows, size[1] + more_columns))
    for name in ("rings", "closed", "open", "links", "weight_g", "wire_m", "coils", "rivets"):
        assert large[name] >= small[name]


@pytest.mark.slow
@given(sizes, st.integers(0, 30), st.integers(1, 20))
@settings(deadline=None)
def test_worse_records_never_start_fewer(size, bad, more):
    start = [
        column(plan(panel(*size), losses={"pierce": {"good": 100, "bad": b}}), "start")
        for b in (bad, bad + more)
    ]
    assert all(start[1][step] >= start[0][step] for step in start[0])


@given(panels)
@settings(deadline=None)
def test_the_runs_of_the_groups_hold_all_their_items(shape):
    out = plan(shape)
    for step in out["steps"]:
        if "group" in step:
            assert sum(size * times for size, times in step["group"]["runs"]) == step["need"]
    unit = next(step for step in out["steps"] if step["step"] == "unit")
    assert sum(times for _, times in unit["group"]["runs"]) == out["chains"]


def test_units_per_chain_splits_the_chains_and_leaves_the_rings():
    whole, split = plan(panel(7, 40)), plan(panel(7, 40, units_per_chain=8))
    assert split["rings"] == whole["rings"] and split["chains"] == 6
    groups = {step["step"]: step["group"]["runs"] for step in split["steps"] if "group" in step}
    assert groups["unit"] == [[8, 2], [4, 1], [8, 2], [4, 1]]
    assert groups["unit_join"] == [[7, 2], [3, 1], [7, 2], [3, 1]]
    assert column(split, "need")["chain_join"] == column(whole, "need")["chain_join"] + 4


def test_groups_of_several_panels_are_counted_by_panel():
    out = plan(panel(7, 12, name="Left"), panel(11, 12, name="Right", units_per_chain=3))
    groups = {step["step"]: step["group"]["panels"] for step in out["steps"] if "group" in step}
    assert groups["unit"] == [["Left", 2], ["Right", 6]] == groups["unit_join"]
    assert groups["chain_join"] == [["Left", 1], ["Right", 5]]


def test_a_tube_of_even_rows_joins_its_last_unit_to_its_first():
    out = plan({"state": "relaxed", "shape": {"kind": "tube", "around_mm": 300, "length_mm": 100}})
    rows = out["panels"][0]["rows"]
    groups = {step["step"]: step["group"]["runs"] for step in out["steps"] if "group" in step}
    assert (
        groups["unit"][0][0] == rows[1] // 2 and groups["unit_join"][0][0] == rows[1] - rows[1] // 2
    )


@pytest.mark.parametrize("need_step", ["pierce", "close", "unit"])
def test_one_lossy_step_starts_what_losses_says(need_step):
    out = plan(panel(), losses={need_step: {"good": 48, "bad": 2}})
    need = column(out, "need")[need_step]
    assert column(out, "start")[need_step] == start_for(need, [(48, 2)], 0.95)[0]


def test_a_garments_starts_are_the_smallest_that_are_sure_enough():
    out = plan(panel(151, 200), losses={"pierce": {"good": 95, "bad": 5}})
    start = column(out, "start")["pierce"]
    assert out["rings"] > 30000 and start == start_for(out["rings"], [(95, 5)], 0.95)[0]


def test_a_record_too_thin_to_plan_on_is_said_and_nothing_is_made_up():
    out = plan(panel(), losses={"pierce": {"good": 0, "bad": 9}})
    assert column(out, "start")["pierce"] == 105 and any("too short" in w for w in out["warnings"])


def test_a_failed_units_closed_rings_are_good_again():
    start = column(plan(panel(), losses={"unit": {"good": 48, "bad": 2}}), "start")
    assert (
        start["unit"] > 15 and start["close"] == 60 and start["pierce"] == 60 + 30 + start["unit"]
    )


def test_zinc_on_the_wire_is_warned_of_in_the_plan():
    assert any("zinc" in w.lower() for w in plan(panel(), ring={**RING, "zinc": True})["warnings"])


def test_a_ring_without_a_metal_plans_without_weight_and_says_so():
    out = plan(
        panel(), ring={"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "mandrel_length_mm": 200}
    )
    assert (
        out["rings"] == 105
        and out["weight_g"] is None
        and any("metal" in w for w in out["warnings"])
    )


def test_wire_of_a_metal_not_named_has_a_length_but_no_weight_and_no_reels():
    nameless = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "reel_kg": 5}
    out = plan(panel(), ring=nameless)
    assert out["wire_buy_m"] == plan(panel())["wire_buy_m"] > 0
    assert out["wire_g"] is out["wire_buy_g"] is out["reels"] is None
    (wire,), (size,) = out["wires"], out["sizes"]
    assert wire["kg"] is wire["reserve_kg"] is wire["buy_kg"] is wire["reels"] is size["kg"] is None
    both = plan(panel(ring=nameless), panel())  # a sum with a part that nobody knows is not known
    assert [w["kg"] is None for w in both["wires"]] == [True, False] and both["wire_g"] is None


def test_a_panel_without_any_ring_plans_its_counts_and_says_so():
    out = reply({"ask": "piece", "panels": [panel()]})
    assert (
        out["rings"] == 105 and out["coils"] == 0 and any("no ring" in w for w in out["warnings"])
    )


def test_reels_are_counted_by_kind_of_wire():
    thick = {**RING, "wire_mm": 1.6, "inner_mm": 10, "lap_mm": 3.2, "reel_kg": 0.05}
    out = plan(panel(ring={**RING, "reel_kg": 0.01}), panel(ring=thick))
    # 29.47 g and 66.51 g leave the reels with the ends of coils, 30.94 and 69.83 g with 5 % in
    # reserve (derived)
    assert [w["reels"] for w in out["wires"]] == [4, 2] and out["reels"] == 6
    bare = plan(panel(ring={**RING, "reel_kg": 0.01}), panel(ring=thick), reserve_percent=0)
    assert [w["reels"] for w in bare["wires"]] == [3, 2]


def test_the_sizes_of_a_plan_feed_the_stock():
    out = plan(panel(), panel(ring={**RING, "inner_mm": 9}))
    held = reply({"ask": "stock", "today": "2026-11-25", "reels": [{"metal": "iron", "wire_mm": 1.2, "left_g": 1000}],
                  "pieces": [{"id": "a", "wires": out["sizes"]}]})  # fmt: skip
    assert held["wires"][0]["needed_m"] == pytest.approx(out["wire_m"], rel=1e-12)


@pytest.mark.parametrize(
    ("question", "field"),
    [
        ({"panels": 5}, "panels"),
        ({"panels": [5]}, "panels[0]"),
        ({"panels": [panel(ring={"wire_mm": 0})]}, "panels[0].ring.wire_mm"),
        ({"panels": [panel(ring={**RING, "metal": "moonsilver"})]}, "panels[0].ring.metal"),
        ({"ring": RING, "panels": [panel()], "sure": 2}, "sure"),
        ({"panels": [panel(ring=RING, open_ring=SOLID)]}, "panels[0].open_ring.kind"),
        ({"ring": RING, "panels": [panel()], "joins": [{"how": "sewn"}]}, "joins[0].how"),
        (
            {"ring": RING, "panels": [panel()], "joins": [{"how": "round", "panels": ["none"]}]},
            "joins[0].panels",
        ),
        (
            {"ring": RING, "panels": [panel()], "consumables": [{"name": "oil"}]},
            "consumables[0].per_1000_rings",
        ),
        ({"panels": [{"shape": {"kind": "count", "items": {"weld": 3}}}]}, "panels[0].shape.items"),
    ],
)
def test_what_cannot_be_used_is_named(question, field):
    with pytest.raises(BadField) as caught:
        reply({"ask": "piece", **question})
    assert caught.value.field == field and len(caught.value.why) > 20


def test_of_many_steps_a_refusal_names_the_first_twenty():
    own = [{"step": f"own {i}", "name": f"Own {i}", "items": 1} for i in range(30)]
    shape = {"kind": "count", "items": {"weld": 3}}
    with pytest.raises(BadField) as caught:
        reply({"ask": "piece", "own_steps": own, "panels": [{"shape": shape}]})
    assert caught.value.why.count(",") == 19


def test_coils_asked_for_by_count_are_wound_beside_those_of_the_rings():
    """Coils somebody else cuts: three more than the panel alone takes, to start and still to go."""

    def coils(*counted):
        asked = {"ring": RING, "panels": [panel(), *counted]}
        out = reply({"ask": "stand", **asked, "journal": {}})
        return next(
            (s["need"], s["start"], s["to_go"]) for s in out["steps"] if s["step"] == "wind"
        )

    alone = coils()
    more = coils({"name": "To give away", "shape": {"kind": "count", "items": {"wind": 3}}})
    assert more == tuple(n + 3 for n in alone)
