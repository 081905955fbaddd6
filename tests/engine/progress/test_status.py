"""Where a piece stands: following `next` ends the piece, nothing is below zero in silence, nothing
made is lost.
"""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import reply
from shared.base.errors import BadField

RING = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron", "mandrel_length_mm": 200}
A_COIL = 152  # rings of 200 mm of coil at lap 2.4 (derived in cases/ring.json)
LINE = ["cut", "soften", "flatten", "soften_again", "pierce"]
JOINS = ["unit", "unit_join", "chain_join"]


def panel(rows, columns):
    return {"shape": {"kind": "panel", "rows": rows, "columns": columns}}


def stand(panels, journal, **more):
    totals = {
        step: {"done": v[0], "spoiled": v[1]} if isinstance(v, (list, tuple)) else {"done": v}
        for step, v in journal.items()
    }
    return reply({"ask": "stand", "ring": RING, "panels": panels, "journal": totals, **more})


def by_step(out, field):
    return {row["step"]: row[field] for row in out["steps"]}


class Bench:
    """A make-believe bench with its own plain stock of things, for panels of chains of equal
    length.
    """

    def __init__(self, chains, units):
        self.chains, self.units = chains, units
        self.loose = dict.fromkeys(["coil_rings", *LINE, "close", "unit", "chain"], 0)
        self.log = {step: [0, 0] for step in ["wind", *LINE, "close", *JOINS]}
        self.joins = self.row_joins = 0

    def can(self, step):
        """How many items the bench could do now."""
        have = self.loose
        if step == "wind":
            return 50
        if step in LINE:
            return have["coil_rings"] if step == "cut" else have[LINE[LINE.index(step) - 1]]
        if step == "close":
            return have["pierce"]
        if step == "unit":
            return min(have["close"] // 4, have["pierce"])
        if step == "unit_join":
            begun = self.joins % (self.units - 1)
            more = self.units - 1 - begun if begun else 0
            return min(
                have["pierce"],
                min(have["unit"], more) if begun else max(0, min(have["unit"] - 1, self.units - 1)),
            )
        row = 2 * self.units - 1
        fresh = self.row_joins % row == 0
        needed = 2 if self.row_joins == 0 else 1
        return (
            min(have["pierce"], row - self.row_joins % row)
            if not fresh or have["chain"] >= needed
            else 0
        )

    def do(self, step, n, spoiled=0):
        """n items worked, the last `spoiled` of them ruined."""
        assert n <= self.can(step) or step == "wind"
        self.log[step][0] += n
        self.log[step][1] += spoiled
        good, have = n - spoiled, self.loose
        if step == "wind":
            have["coil_rings"] += A_COIL * good
        elif step == "cut":
            have["coil_rings"] -= n
            have["cut"] += good
        elif step in LINE:
            have[LINE[LINE.index(step) - 1]] -= n
            have[step] += good
        elif step == "close":
            have["pierce"] -= n
            have["close"] += good
        else:
            self._join(step, n, good)

    def _join(self, step, n, good):
        have = self.loose
        have["pierce"] -= n
        if step == "unit":
            have["close"] -= 4 * good
            have["unit"] += good
        for _ in range(good if step == "unit_join" else 0):
            have["unit"] -= 2 if self.joins % (self.units - 1) == 0 else 1
            self.joins += 1
            have["chain"] += self.joins % (self.units - 1) == 0
        for _ in range(good if step == "chain_join" else 0):
            if self.row_joins % (2 * self.units - 1) == 0:
                have["chain"] -= 2 if self.row_joins == 0 else 1
            self.row_joins += 1

    def stands(self, **more):
        return stand([panel(4 * self.chains - 1, 2 * self.units)], self.log, **more)


def agrees(bench, out):
    assert out["missing"] == [] and out["notes"] == []
    hand = by_step(out, "in_hand")
    for step in [*LINE, "close", "unit"]:
        assert hand[step] == bench.loose[step]
    assert hand["unit_join"] == bench.loose["chain"]
    assert hand["wind"] == bench.loose["coil_rings"] // A_COIL
    assert all(row["to_go"] >= 0 and 0 <= row["share"] <= 1 for row in out["steps"])


sizes = st.tuples(st.integers(2, 6), st.integers(2, 12))


@pytest.mark.slow
@given(sizes, st.integers(0, 10**6))
@settings(deadline=None, max_examples=40)
def test_following_next_makes_the_piece_to_the_end(size, seed):
    """Whatever spoils on the way, doing what `next` says ends with nothing to go."""
    rng, bench = random.Random(seed), Bench(*size)
    for _ in range(3000):
        out = bench.stands()
        agrees(bench, out)
        todo = out["next"]
        if todo is None:
            break
        n = min(todo["n"], bench.can(todo["step"]))
        assert n > 0
        bench.do(todo["step"], n, 1 if rng.random() < 0.1 else 0)
    assert out["share"] == 1 and set(out["to_go"].values()) == {0} and out["bottleneck"] is None


SHAPES = {
    "left-overs": {"kind": "panel", "rows": 9, "columns": 7},
    "tube": {"kind": "tube", "rows": 11, "columns": 12},
    "sleeve": {"kind": "taper", "from_mm": 200, "to_mm": 120, "length_mm": 180, "round": True},
    "rows down": {
        "kind": "taper",
        "from_mm": 160,
        "to_mm": 80,
        "length_mm": 140,
        "rows_run": "down",
    },
    "rows down, one over": {
        "kind": "taper",
        "from_mm": 105,
        "to_mm": 170,
        "length_mm": 140,
        "rows_run": "down",
    },
    "profile": {"kind": "profile", "widths": [[0, 120], [80, 90], [160, 130]]},
}


@pytest.mark.parametrize("shape", SHAPES.values(), ids=SHAPES)
def test_following_next_ends_any_shape_with_every_step_at_its_need(shape):
    log = {}
    for _ in range(500):
        out = stand([{"shape": shape, "state": "relaxed"}], log)
        assert out["missing"] == out["notes"] == []
        if out["next"] is None:
            break
        step = out["next"]["step"]
        log[step] = log.get(step, 0) + out["next"]["n"]
    assert set(out["to_go"].values()) == {0} and out["loose"] == []
    assert by_step(out, "done") == by_step(out, "need")


@pytest.mark.slow
@given(sizes, st.integers(0, 10**6))
@settings(deadline=None, max_examples=40)
def test_whatever_the_order_of_work_the_loose_things_are_those_on_the_bench(size, seed):
    rng, bench = random.Random(seed), Bench(*size)
    for _ in range(60):
        out = bench.stands()
        agrees(bench, out)
        step = rng.choice(list(bench.log))
        n = min(bench.can(step), rng.randint(1, 60), out["to_go"][step])
        if n > 0:
            bench.do(step, n, rng.randint(0, n) if rng.random() < 0.2 else 0)


@given(sizes)
@settings(deadline=None)
def test_with_nothing_made_all_the_plan_is_to_go(size):
    bench = Bench(*size)
    out = bench.stands(losses={"pierce": {"good": 95, "bad": 5}})
    assert by_step(out, "to_go") == by_step(out, "start")
    assert out["share"] == 0 and out["loose"] == []


counts = st.dictionaries(
    st.sampled_from(["wind", *LINE, "close", *JOINS]),
    st.tuples(st.integers(0, 3000), st.integers(0, 100)),
    max_size=10,
)


@given(sizes, counts)
@settings(deadline=None)
def test_any_counts_whatever_get_an_answer_without_a_number_below_zero(size, journal):
    out = stand([panel(4 * size[0] - 1, 2 * size[1])], journal)
    for row in out["steps"]:
        assert min(row["to_go"], row["in_hand"]) >= 0 and 0 <= row["share"] <= 1
    assert all(m["n"] > 0 and m["why"] for m in out["missing"])
    assert (out["next"] is None) == (set(out["to_go"].values()) == {0})


@given(sizes, counts)
@settings(deadline=None)
def test_counting_what_is_missing_leaves_nothing_missing(size, journal):
    """The corrections offered are the right ones: once counted, the same question has none left."""
    shape, full = (
        [panel(4 * size[0] - 1, 2 * size[1])],
        {step: list(v) for step, v in journal.items()},
    )
    for gap in stand(shape, journal)["missing"]:
        full.setdefault(gap["step"], [0, 0])[0] += gap["n"]
    again = stand(shape, full)
    assert again["missing"] == []


@given(sizes, counts, st.sampled_from(["wind", *LINE, "close", *JOINS]), st.integers(0, 4000))
@settings(deadline=None)
def test_a_stocktake_leaves_at_its_step_just_what_was_found(size, journal, step, found):
    """The difference to what the log says lies there, put into the count, and that many lie there."""
    shape, full = [panel(4 * size[0] - 1, 2 * size[1])], {s: list(v) for s, v in journal.items()}
    before = by_step(stand(shape, full), "stocktake").get(step, {"what": "", "n": 0})
    full.setdefault(step, [0, 0])[0] += found - before["n"]
    out = stand(shape, full)
    now = by_step(out, "stocktake").get(step)
    if now is None:
        return
    assert now["n"] == found and now["what"] == before["what"]
    if now["what"] == "loose":
        assert by_step(out, "in_hand")[step] == found
    assert not [m for m in out["missing"] if m["step"] == step]


@given(sizes, st.integers(1, 40), st.integers(0, 10))
@settings(deadline=None)
def test_a_spoiled_ring_is_to_go_again_at_its_step_and_all_before(size, done, spoiled):
    shape, spoiled = [panel(4 * size[0] - 1, 2 * size[1])], min(done, spoiled)
    rings = stand(shape, {})["to_go"]["pierce"]
    done, spoiled = min(done, rings), min(spoiled, rings)
    before = dict.fromkeys(["cut", "soften", "flatten", "soften_again"], done)
    good, bad = (
        stand(shape, {**before, "wind": 5, "pierce": done}),
        stand(shape, {**before, "wind": 5, "pierce": (done, spoiled)}),
    )
    for step in LINE:
        assert bad["to_go"][step] == good["to_go"][step] + spoiled


def test_the_bottleneck_is_the_step_that_can_be_worked_now():
    made = {"wind": 4, "cut": 600, "soften": 600, "flatten": 600, "soften_again": 600}
    assert stand([panel(47, 40)], made)["bottleneck"] == "pierce"
    assert stand([panel(47, 40)], {**made, "pierce": 600})["bottleneck"] == "close"
    assert stand([panel(47, 40)], {**made, "pierce": 600, "close": 400})["bottleneck"] == "unit"


def test_a_bench_with_something_loose_everywhere_has_no_bottleneck():
    made = {
        "wind": 8,
        "cut": 1000,
        "soften": 900,
        "flatten": 800,
        "soften_again": 700,
        "pierce": 600,
        "close": 300,
    }
    assert stand([panel(47, 40)], {**made, "unit": 60, "unit_join": 38})["bottleneck"] is None


def test_the_makers_own_minutes_weigh_the_share():
    journal = {"wind": 13, "cut": 1857}
    slow = stand([panel(47, 40)], journal, minutes={"cut": 50.0})["share"]
    assert slow > stand([panel(47, 40)], journal)["share"]


def test_chains_are_named_within_their_panel_where_there_are_several():
    left, right = {**panel(11, 10), "name": "Left"}, {**panel(11, 10), "name": "Right"}
    made = {
        "wind": 2,
        **dict.fromkeys(LINE, 210),
        "close": 120,
        "unit": 16,
        "unit_join": 12,
        "chain_join": 18,
    }
    assert (
        stand([left, right], made)["next"]["why"] == "4 units to reach the end of chain 1 of Right."
    )


def test_with_all_chains_hung_the_left_over_row_is_next():
    made = {
        "wind": 6,
        **dict.fromkeys(LINE, 830),
        "close": 440,
        "unit": 100,
        "unit_join": 95,
        "chain_join": 156,
    }
    assert stand([panel(21, 40)], made)["next"]["step"] == "left_over"


def test_a_single_chain_is_the_panel_itself_and_does_not_lie_loose():
    made = {"wind": 1, **dict.fromkeys(LINE, 29), "close": 20, "unit": 5, "unit_join": 4}
    out = stand([panel(3, 10)], made)
    assert out["share"] == 1 and out["loose"] == [] and out["next"] is None


@pytest.mark.parametrize(
    ("journal", "field"),
    [
        ({"cut": {"done": 1.5}}, "journal.cut.done"),
        ({"cut": 7}, "journal.cut"),
        ({"cut": {"spoiled": -1}}, "journal.cut.spoiled"),
    ],
)
def test_totals_that_are_none_are_refused(journal, field):
    with pytest.raises(BadField) as caught:
        reply({"ask": "stand", "ring": RING, "panels": [panel(11, 10)], "journal": journal})
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("loose_units", "towards"),
    [(0, "row of chain joins"), (1, "end of chain 3"), (2, "end of chain 3")],
)
def test_a_single_loose_unit_begins_the_next_chain_before_the_last_is_hung(loose_units, towards):
    """Two chains of six units lie complete: they could be hung."""
    journal = {"wind": 20, "unit": 12 + loose_units, "unit_join": 10}
    journal |= dict.fromkeys(["cut", *LINE[1:], "close"], 2000)
    out = stand([panel(11, 12)], journal)
    assert towards in out["next"]["why"]
