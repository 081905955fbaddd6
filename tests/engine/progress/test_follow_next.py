"""A maker who does what `next` says, shape after shape: nothing is ever missing, in hand is what
lies on the bench.
"""

from __future__ import annotations

import random

import pytest
from hypothesis import given, reject, settings
from hypothesis import strategies as st

from shared.ask import reply
from shared.base.errors import EngineError
from shared.base.fields import Fields
from shared.fabric.panel import panel_of
from tests.engine.asking import ask
from tests.engine.fabric.laying import RING, Maker, shapes, split

LINE = ["cut", "soften", "flatten", "soften_again", "pierce"]
IN_PLACE = ["unit", "unit_join", "chain_join", "left_over", "panel_join"]


class Bench:
    """What lies on the bench, from what each item takes of it by the fabric laid ring by ring."""

    def __init__(self, makers, panel_joins=0):
        self.makers = makers
        self.log = {step: [0, 0] for step in ["wind", *LINE, "close", *IN_PLACE]}
        self.loose = dict.fromkeys(["coils", "coil_rings", *LINE, "close", "unit", "chain"], 0)
        self.takes = {s: [n for m in makers for n in m.took[s]] for s in IN_PLACE[:-1]}
        self.takes["panel_join"] = [0] * panel_joins
        self.chains = [chain for m in makers for chain in m.chains]
        self.runs = self.hangs()
        self.at = dict.fromkeys(IN_PLACE, 0)
        self.chain = self.begun = 0  # chains complete, joins in the one under way

    def hangs(self):
        """Chains that each chain join takes up, one after the other."""
        out = []
        for m in self.makers:
            hung = 0
            for run, joins in enumerate(m.hanging):
                if joins:
                    now = min(len(m.chains), run + 2)
                    out += [now - hung] + [0] * (joins - 1)
                    hung = now
        return out

    def take(self, what, n):
        self.loose[what] -= n
        assert self.loose[what] >= 0, f"{n} {what} more than there are"

    def whole(self):
        """Chains that need no further join are whole with their unit; a panel of one chain hangs by
        itself.
        """
        while self.chain < len(self.chains):
            units, joins = self.chains[self.chain]
            if self.begun < joins or (not joins and self.loose["unit"] < units):
                return
            if not joins:
                self.take("unit", units)
            self.loose["chain"] += not self.alone(self.chain)
            self.chain, self.begun = self.chain + 1, 0

    def alone(self, chain):
        for m in self.makers:
            if chain < len(m.chains):
                return not m.hanging
            chain -= len(m.chains)
        raise AssertionError("no such chain")

    def do(self, step, n, spoiled, coil):
        self.log[step][0] += n
        self.log[step][1] += spoiled
        good = n - spoiled
        if step == "wind":
            self.loose["coil_rings"] += coil * good
        elif step in [*LINE, "close"]:
            before = {"cut": "coil_rings", "close": "pierce"}.get(step) or LINE[
                LINE.index(step) - 1
            ]
            self.take(before, n)
            self.loose[step] += good
        else:
            self.take("pierce", n)
            for _ in range(good):
                self.rivet(step)
            self.whole()

    def rivet(self, step):
        self.whole()
        self.take("close", self.takes[step][self.at[step]])
        if step == "unit":
            self.loose["unit"] += 1
        elif step == "unit_join":
            units, _ = self.chains[self.chain]
            self.take("unit", min(units, 2) if not self.begun else int(self.begun + 1 < units))
            self.begun += 1
        elif step == "chain_join":
            self.take("chain", self.runs[self.at[step]])
        self.at[step] += 1


def stands(panels, bench, **more):
    journal = {
        step: {"done": done, "spoiled": bad} for step, (done, bad) in bench.log.items() if done
    }
    return reply(
        {
            "ask": "stand",
            "ring": RING,
            "mandrel_length_mm": 200,
            "panels": panels,
            "journal": journal,
            **more,
        }
    )


def agrees(out, bench):
    assert out["missing"] == [] and out["notes"] == []
    for row in out["steps"]:
        if row["step"] in [*LINE, "close", "unit"]:
            assert row["in_hand"] == bench.loose[row["step"]], row["step"]
        if row["step"] == "unit_join":
            assert row["in_hand"] == bench.loose["chain"]


def laid(shape, most):
    got, work = panel_of(
        Fields({"shape": {**shape, "units_per_chain": most}, "ring": RING, "state": "relaxed"})
    )
    return Maker(got, work.rows, most)


@pytest.mark.slow
@settings(deadline=None, max_examples=15)
@given(st.lists(st.tuples(shapes, split), min_size=1, max_size=2), st.integers(0, 10**6))
def test_whoever_follows_next_through_any_shape_never_sees_anything_missing(asked, seed):
    try:
        makers = [laid(shape, most) for shape, most in asked]
    except EngineError:
        reject()  # too steep or too small to be a panel at all
    if sum(len(m.fabric) for m in makers) > 120:
        reject()
    panels = [
        {"shape": {**shape, "units_per_chain": most}, "state": "relaxed"} for shape, most in asked
    ]
    rng, bench = random.Random(seed), Bench(makers)
    coil = reply({"ask": "ring", "ring": RING, "mandrel_length_mm": 200})["rings_per_coil"]
    for _ in range(4000):
        out = stands(panels, bench)
        agrees(out, bench)
        if out["next"] is None:
            break
        n = out["next"]["n"]
        part = rng.randint(1, n) if rng.random() < 0.2 else n
        bench.do(out["next"]["step"], part, int(rng.random() < 0.05), coil)
    assert set(out["to_go"].values()) == {0}
    assert all(bench.at[step] == len(bench.takes[step]) for step in IN_PLACE)
    assert bench.loose["close"] == bench.loose["unit"] == bench.loose["chain"] == 0


def test_the_extra_closed_rings_of_a_profile_are_used_where_the_plan_puts_them():
    """14 chains of a round profile made and hung, all they use counted ring by ring: nothing is
    missing.
    """
    shape = {"kind": "profile", "widths": [[0, 400], [400, 400], [500, 700]], "round": True}
    bench = Bench([laid(shape, None)])
    coil = 150
    bench.do("wind", 40, 0, coil)
    for step in [*LINE, "close"]:
        bench.do(step, {"close": 1600}.get(step, 3400), 0, coil)
    units = sum(units for units, _ in bench.chains[:14])
    joins = sum(joins for _, joins in bench.chains[:14])
    for step, n in (
        ("unit", units),
        ("unit_join", joins),
        ("chain_join", sum(bench.makers[0].hanging[:13])),
    ):
        bench.do(step, n, 0, coil)
    out = stands([{"shape": shape, "state": "relaxed"}], bench)
    assert out["missing"] == []
    assert {row["step"]: row["in_hand"] for row in out["steps"]}["close"] == bench.loose["close"]


def wound_and_planned(*panels):
    """A maker who follows `next` to the end: coils wound, coils planned, what is missing and loose
    on the way's end.
    """
    journal, out = {}, ask("stand", panels=list(panels), journal={})
    planned = next(
        s["need"] for s in ask("piece", panels=list(panels))["steps"] if s["step"] == "wind"
    )
    for _ in range(2000):
        if out["missing"] or not out["next"]:
            break
        done = journal.setdefault(out["next"]["step"], {"done": 0, "spoiled": 0})
        done["done"] += out["next"]["n"]
        out = ask("stand", panels=list(panels), journal=journal)
    return journal["wind"]["done"], planned, out["missing"], out["loose"]


def sized(name, rows, columns, **ring):
    base = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron", "mandrel_length_mm": 200}
    return {
        "name": name,
        "ring": base | ring,
        "shape": {"kind": "panel", "rows": rows, "columns": columns},
    }


@pytest.mark.parametrize(
    "panels",
    [
        [sized("A", 7, 8), sized("B", 7, 8, metal="brass")],
        [sized("A", 7, 8, mandrel_length_mm=60), sized("B", 7, 8)],
        [sized("A", 7, 8), sized("B", 7, 8, mandrel_length_mm=60)],
        [sized("A", 31, 60), sized("B", 3, 60, metal="brass")],
        [
            sized("A", 3, 60),
            sized("B", 31, 60, metal="brass", mandrel_length_mm=60),
            sized("C", 3, 60),
        ],
    ],
)
def test_no_ring_is_cut_from_a_coil_of_another_kind(panels):
    """Derived: rings of a kind over rings a coil of it gives, rounded up, kind by kind, as the plan
    says.
    """
    wound, planned, missing, loose = wound_and_planned(*panels)
    assert (wound, missing, loose) == (planned, [], [])
