"""What a field takes at most and at least. The bounds are part of the door: the page and other
programs may rely on them (DEVELOPERS.md, what is stable at the door), so each is held at both sides.
"""

from __future__ import annotations

import copy
import json

import pytest

from shared.ask import answer
from tests.engine.described import not_as_described

RING = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron"}
RIVETED = RING | {"rivet_mm": 0.8}
SWATCH = {"columns": 20, "rows": 20, "width_mm": 146, "height_mm": 136, "state": "relaxed"}
GRID = {"kind": "panel", "rows": 11, "columns": 10}
SIZED = {"kind": "panel", "width_mm": 100, "height_mm": 100}
QUESTIONS = {
    "ring": {"ask": "ring", "ring": RIVETED},
    "measured": {"ask": "ring", "ring": RING | {"mandrel_mm_used": 8.5, "coil_inner_mm": 8.7}},
    "mandrel": {"ask": "mandrel", "ring": {"wire_mm": 1.2, "mandrel_mm": 8}},
    "fabric": {"ask": "fabric", "ring": RING, "swatch": SWATCH, "state": "relaxed"},
    "panel": {"ask": "panel", "shape": GRID},
    "down": {"ask": "panel", "shape": {**GRID, "kind": "tube", "rows": 12, "rows_run": "down"}},
    "sized": {"ask": "panel", "ring": RING, "state": "relaxed", "shape": SIZED},
    "chains": {"ask": "panel", "shape": {"kind": "panel", "chains": 3, "units_per_chain": 5}},
    "taper": {"ask": "panel", "shape": {"kind": "taper", "rows": 21, "from_columns": 60, "to_columns": 60}},
    "collar": {"ask": "panel", "ring": RING, "state": "relaxed", "shape": {"kind": "collar", "neck_mm": 400, "slant_mm": 100, "angle_deg": 45}},
    "count": {"ask": "panel", "shape": {"kind": "count", "rings": 500}},
    "piece": {"ask": "piece", "ring": RIVETED, "panels": [{"name": "Front", "shape": GRID}], "joins": [{"how": "rings", "rings": 41}], "finishing": [{"step": "edge", "items": 5}], "consumables": [{"name": "gas", "per_1000_rings": 1}]},
    "stand": {"ask": "stand", "panels": [{"shape": GRID}], "journal": {"close": {"done": 9, "spoiled": 1}}, "minutes": {"close": 1}},
    "rows": {"ask": "stand", "panels": [{"shape": GRID}], "journal": [{"step": "close", "done": 9, "spoiled": 1}]},
    "losses": {"ask": "losses", "need": 100, "seen": [{"good": 48, "bad": 2}]},
    "weigh": {"ask": "weigh", "reference": {"rings": 20, "grams": 6}, "scale_g": 0.1, "batch_g": 60, "spread_percent": 1},
    "stock": {"ask": "stock", "today": "2027-01-01", "reels": [{"metal": "iron", "wire_mm": 1.2, "left_g": 500}], "rings": [{"ring": RING, "n": 5}], "pieces": [{"id": "a", "wires": [{"metal": "iron", "wire_mm": 1.2, "inner_mm": 8, "metres": 5, "rings": 9}]}], "pace": {"metres_per_day": 6}},
    "weighed": {"ask": "stock", "today": "2027-01-01", "reels": [{"metal": "iron", "wire_mm": 1.2, "gross_g": 500, "empty_g": 0}], "rings": [{"ring": RING, "grams": 5}], "pieces": [{"id": "a", "wires": [{"metal": "iron", "wire_mm": 1.2, "kg": 5}]}]},
    "used": {"ask": "stock", "today": "2027-01-01", "reels": [{"metal": "iron", "wire_mm": 1.2, "start_g": 500, "used_m": 5, "used_g": 1}]},
    "price": {"ask": "price", "currency": "EUR", "hours": {"p50": 5, "p80": 5}, "rate": 1, "margin_on": "cost", "margin_percent": 5, "wire": [{"kg": 5, "per_kg": 1}], "consumables": [{"amount": 5, "per_unit": 1}], "other": [{"name": "lining", "amount": 1}]},
    "forecast": {"ask": "forecast", "today": "2027-01-01", "steps": [{"step": "close", "guess_min_per_item": 1, "lump": 5}], "sittings": [{"step": "close", "date": "2026-12-30", "start_min": 5, "minutes": 60, "items": 50, "untimed": 1}], "week_hours": 6, "levels": [0.5], "off_days": ["2027-02-01"], "pieces": [{"id": "a", "to_go": {"close": 50}, "order": 1}], "trials": [{"step": "close", "minutes": 10, "items": 9}]},
    "bench days": {"ask": "forecast", "today": "2027-01-01", "steps": [{"step": "close", "guess_min_per_item": 1}], "sittings": [], "bench_days": [{"date": "2026-12-30", "minutes": 60}], "week_hours": 6, "pieces": [{"id": "a", "to_go": {"close": 50}}]},
    "summarise": {"ask": "summarise", "steps": [{"step": "close", "lump": 1}], "sittings": [{"step": "close", "date": "2026-12-30", "start_min": 5, "minutes": 60, "items": 50}]},
    "grams": {"ask": "weigh", "reference": {"rings": 20, "grams": 6}, "scale_g": 0.1, "batch_g": 60, "samples": {"size": 5, "grams": [1.5, 1.6, 1.5, 1.4, 1.5]}},
    "profile": {"ask": "panel", "ring": RING, "swatch": SWATCH, "state": "relaxed", "shape": {"kind": "profile", "widths": [[0, 300], [200, 300]]}},
    "fold": {"ask": "fold", "changes": [{"device": "a", "seq": 1, "at": 5, "tz": 0, "v": 1, "kind": "count", "piece": "p", "step": "close", "n": 1, "how": "tap"}]},
    "flat price": {"ask": "price", "currency": "EUR", "hours": 5, "rate": 1, "wire": 5, "consumables": 5},
}  # fmt: skip
MM = 20000  # a shape's measure, mm

NUMBERS = [
    ("ring", "ring.wire_mm", 0.1, 10),
    ("ring", "ring.inner_mm", 0.3, 200),
    ("ring", "ring.kerf_mm", 0, 5),
    ("ring", "ring.density_g_cm3", 0.5, 25),
    ("ring", "ring.rivet_mm", 0.1, 10),
    ("ring", "ring.mandrel_length_mm", 2.4, 5000),  # from two turns of this wire
    ("ring", "ring.reel_kg", 0.001, 10000),
    ("measured", "ring.mandrel_mm_used", 0.5, 200),
    ("measured", "ring.coil_inner_mm", 0.5, 200),
    ("mandrel", "ring.wire_mm", 0.1, 10),
    ("mandrel", "ring.mandrel_mm", 0.3, 200),
    ("fabric", "swatch.width_mm", None, MM),
    ("fabric", "swatch.height_mm", None, MM),
    ("collar", "shape.angle_deg", 0, 90),
    ("piece", "mandrel_length_mm", 1, 5000),
    ("piece", "reel_kg", 0.001, 10000),
    ("piece", "sure", 0.5, 0.999),
    ("piece", "reserve_percent", 0, 100),
    ("piece", "consumables[0].per_1000_rings", 0, 10**6),
    ("piece", "finishing[0].guess_min_per_item", None, 100000),
    ("stand", "minutes.close", 0, 100000),
    ("losses", "sure", 0.5, 0.999),
    ("weigh", "reference.grams", 0.0001, 10**6),
    ("weigh", "scale_g", 0, 1000),
    ("weigh", "batch_g", 0, 10**7),
    ("weigh", "spread_percent", 0, 30),
    ("stock", "reels[0].wire_mm", 0.1, 10),
    ("stock", "reels[0].left_g", 0, 10**7),
    ("stock", "pieces[0].wires[0].wire_mm", 0.1, 10),
    ("stock", "pieces[0].wires[0].inner_mm", 0.3, 200),
    ("stock", "pieces[0].wires[0].metres", 0, 10**7),
    ("stock", "pieces[0].wires[0].reserve_m", 0, 10**7),
    ("stock", "pace.metres_per_day", None, 10**6),
    ("weighed", "reels[0].gross_g", 0, 10**7),
    ("weighed", "reels[0].empty_g", 0, None),
    ("forecast", "steps[0].guess_min_per_item", 1e-6, 100000),
    ("forecast", "sittings[0].start_min", -1, 2880),
    ("forecast", "sittings[0].minutes", 0, 100000),
    ("forecast", "sittings[0].items", 0, 10**9),
    ("forecast", "sittings[0].untimed", 0, 10**9),
    ("forecast", "week_hours", 0, 168),
    ("forecast", "trials[0].minutes", 0.1, 1000),
    ("forecast", "trials[0].items", 0, 10**6),
    ("bench days", "bench_days[0].minutes", 0, 1440),
    ("weighed", "rings[0].grams", 0, 10**7),
    ("weighed", "pieces[0].wires[0].kg", 0, 10000),
    ("used", "reels[0].start_g", 0, 10**7),
    ("used", "reels[0].used_g", 0, 10**7),
    ("used", "reels[0].used_m", 0, 10**7),
    ("price", "hours.p50", 0, 10**6),
    ("price", "hours.p80", 0, 10**6),
    ("price", "wire[0].kg", 0, 10**9),
    ("price", "consumables[0].amount", 0, 10**9),
    ("price", "margin_percent", 0, 1000),
    ("price", "overhead_percent", 0, 1000),
    ("price", "tax_percent", 0, 100),
    ("price", "deposit_percent", 0, 100),
    ("flat price", "hours", 0, 10**6),
]
WHOLE = [
    ("fabric", "swatch.columns", 2, 10000),
    ("fabric", "swatch.rows", 2, 10000),
    ("panel", "shape.rows", 2, None),
    ("panel", "shape.columns", 2, None),
    ("down", "shape.rows", 6, None),
    ("down", "shape.columns", 2, None),
    ("chains", "shape.chains", 1, None),
    ("chains", "shape.units_per_chain", 1, None),
    ("taper", "shape.rows", 3, None),
    ("count", "shape.rings", 0, 10**7),
    ("count", "shape.open", 0, 500),
    ("piece", "joins[0].rings", 0, 10**6),
    ("piece", "finishing[0].items", 0, 10**7),
    ("piece", "finishing[0].batch", 1, 100000),
    ("stand", "journal.close.done", -(10**9), 10**9),
    ("stand", "journal.close.spoiled", 0, 10**9),
    ("rows", "journal[0].done", -(10**9), 10**9),
    ("rows", "journal[0].spoiled", 0, 10**9),
    ("losses", "need", 0, 10**6),
    ("losses", "seen[0].good", 0, 10**7),
    ("losses", "seen[0].bad", 0, 10**7),
    ("weigh", "reference.rings", 1, 10**6),
    ("stock", "rings[0].n", 0, 10**8),
    ("stock", "pieces[0].wires[0].rings", 0, 10**8),
    ("stock", "delivery_days", 0, 3650),
    ("stock", "spare_days", 0, 3650),
    ("grams", "samples.size", 1, 10000),
    ("forecast", "steps[0].lump", 1, 10**6),
    ("forecast", "pieces[0].order", -(10**6), 10**6),
    ("price", "rate", 0, 10**9),
    ("price", "wire[0].per_kg", 0, 10**9),
    ("price", "consumables[0].per_unit", 0, 10**9),
    ("price", "other[0].amount", 0, 10**12),
    ("flat price", "wire", 0, 10**12),
    ("flat price", "consumables", 0, 10**12),
]
TEXTS = [
    ("piece", "panels[0].name", 120),
    ("forecast", "steps[0].step", 80),
    ("piece", "joins[0].name", 120),
    ("piece", "finishing[0].step", 60),
    ("piece", "finishing[0].name", 80),
    ("piece", "finishing[0].item", 40),
    ("piece", "finishing[0].caution", 1000),
    ("piece", "consumables[0].name", 80),
    ("piece", "consumables[0].unit", 20),
    ("rows", "journal[0].step", 200),
    ("stock", "pieces[0].id", 120),
    ("stock", "pieces[0].wires[0].kind", 20),
    ("stock", "reels[0].name", 80),
    ("stock", "reels[0].id", 80),
    ("price", "wire[0].name", 80),
    ("price", "wire[0].unit", 20),
    ("price", "other[0].name", 80),
]
LISTS = [
    ("piece", "panels", 60),
    ("forecast", "steps", 100),
    ("forecast", "sittings", 5000),
    ("forecast", "pieces", 100),
    ("forecast", "trials", 600),
    ("forecast", "levels", 99),
    ("forecast", "off_days", 5000),
    ("bench days", "bench_days", 5000),
    ("summarise", "steps", 100),
    ("summarise", "sittings", 1000),
    ("grams", "samples.grams", 1000),
    ("profile", "shape.widths", 200),
    ("fold", "changes", 5000),
    ("piece", "joins", 200),
    ("piece", "finishing", 100),
    ("piece", "own_steps", 100),
    ("piece", "without", 50),
    ("piece", "consumables", 100),
    ("losses", "seen", 12),
    ("stock", "reels", 500),
    ("stock", "rings", 500),
    ("stock", "pieces", 500),
    ("stock", "pieces[0].wires", 100),
    ("price", "wire", 200),
    ("price", "consumables", 200),
    ("price", "other", 200),
]


def refusal(question, path, value):
    """How the question with this value is refused at this field; "" where it is not."""
    whole = copy.deepcopy(QUESTIONS[question])
    part, names = whole, path.replace("[", ".").replace("]", "").split(".")
    for name in names[:-1]:
        part = part[int(name) if isinstance(part, list) else name]
    part[names[-1]] = value
    got = json.loads(answer(json.dumps(whole)))
    assert not got["ok"] or not_as_described(whole["ask"], got) == []
    return got["error"]["why"] if not got["ok"] and got["error"]["field"] == path else ""


def ends_at(question, path, last, beyond):
    """The last value passes this bound; another rule may still refuse it, in other words."""
    no = refusal(question, path, beyond)
    assert no and refusal(question, path, last)[:20] != no[:20]


@pytest.mark.parametrize("question", sorted(QUESTIONS))
def test_the_questions_of_this_table_are_answered(question):
    got = json.loads(answer(json.dumps(QUESTIONS[question])))
    assert got["ok"], got


@pytest.mark.parametrize(("question", "path", "low", "high"), NUMBERS)
def test_a_number_is_taken_from_its_least_to_its_most(question, path, low, high):
    if low is None:  # above nothing
        ends_at(question, path, 5, 0)
    else:
        ends_at(question, path, low, low - 1e-6)
    if high is not None:
        ends_at(question, path, high, high * 1.000001)


@pytest.mark.parametrize(("question", "path", "low", "high"), WHOLE)
def test_a_whole_number_is_taken_from_its_least_to_its_most(question, path, low, high):
    ends_at(question, path, low, low - 1)
    assert "whole" in refusal(question, path, low + 0.5)
    if high is not None:
        ends_at(question, path, high, high + 1)


@pytest.mark.parametrize(("question", "path", "longest"), TEXTS)
def test_a_text_is_taken_up_to_its_length(question, path, longest):
    ends_at(question, path, "x" * longest, "x" * (longest + 1))


@pytest.mark.parametrize(("question", "path", "most"), LISTS)
def test_a_list_is_taken_up_to_its_length(question, path, most):
    ends_at(question, path, [{}] * most, [{}] * (most + 1))


SUMMARY_ROW = ["close", 739000, 5, 0.1, 0.5, 0.01, 0.01, 60, 50]


@pytest.mark.parametrize(
    ("place", "good", "bad"),
    [
        (1, [1, 740000, 3652059], [0, 3652060]),
        (2, [0, 10**12 - 1], [-1, 10**12]),
        (3, [-39, 39, 39.9], [-40, 40]),
        (4, [1e-9, 10**12 - 1], [0, 10**12]),
        (5, [0, 10**12 - 1], [-1, 10**12]),
        (6, [0, 10**12 - 1], [-1, 10**12]),
        (7, [1 - 10**12, 10**12 - 1], [-(10**12), 10**12]),
        (8, [1 - 10**12, 10**12 - 1], [-(10**12), 10**12]),
    ],
)
def test_a_row_of_a_summary_is_taken_within_its_bounds(place, good, bad):
    def field(value):
        row = [*SUMMARY_ROW[:place], value, *SUMMARY_ROW[place + 1 :]]
        kept = {"made": {"close": 50}, "rows": [row], "hours": {"first": 739000, "minutes": [60]}, "open": [], "sittings": 1}  # fmt: skip
        got = json.loads(answer(json.dumps({**QUESTIONS["forecast"], "summary": kept})))
        return got.get("error", {}).get("field", "")

    assert [field(value) for value in bad] == ["summary.rows"] * len(bad)
    assert [field(value) for value in good] == [""] * len(good)


def test_a_row_of_a_summary_has_nine_parts_and_begins_with_its_step():
    for row in (SUMMARY_ROW[:-1], [*SUMMARY_ROW, 1], [5, *SUMMARY_ROW[1:]], {}):
        kept = {"made": {}, "rows": [row], "hours": {"first": 1, "minutes": []}, "open": []}
        got = json.loads(answer(json.dumps({**QUESTIONS["forecast"], "summary": kept})))
        assert got["error"]["field"] == "summary.rows"


@pytest.mark.parametrize("place", [1, 2, 3, 4])
def test_a_part_of_a_summary_still_open_is_taken_within_its_bounds(place):
    def field(value):
        part = ["close", 739000, 5, 60, 50]
        part[place] = value
        kept = {"made": {"close": 50}, "rows": [], "hours": {"first": 739000, "minutes": [60]}, "open": [part], "sittings": 1}  # fmt: skip
        got = json.loads(answer(json.dumps({**QUESTIONS["forecast"], "summary": kept})))
        return got.get("error", {}).get("field", "")

    least, most = (1, 3652059) if place == 1 else (-1, 1e10 - 1)
    beyond = 3652060 if place == 1 else 1e10
    assert [field(bad) for bad in (least - 1, beyond, "5", None)] == ["summary.open"] * 4
    assert [field(good) for good in (least, 5, most)] == [""] * 3


@pytest.mark.parametrize(("name", "most"), [("made", 10**12), ("lumps", 10**6)])
def test_counts_and_lumps_of_a_summary_are_taken_up_to_their_most(name, most):
    def field(value):
        kept = {
            "made": {"close": 1},
            "rows": [],
            "hours": {"first": 739000, "minutes": []},
            "open": [],
        }
        kept[name] = {"close": value}
        asked = {"ask": "summarise", "today": "2027-01-01", "sittings": [], "summary": kept}
        return json.loads(answer(json.dumps(asked))).get("error", {}).get("field", "")

    assert [field(0), field(most)] == ["", ""]
    assert [field(-1), field(most + 1)] == [f"summary.{name}.close"] * 2
