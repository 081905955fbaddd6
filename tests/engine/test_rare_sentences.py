"""Sentences that few questions bring about, each with one that does: a wrong word would stand in them
unread for years.
"""

from __future__ import annotations

import json

import pytest

from shared.ask import answer
from tests.engine.test_sentences import KEYS, VALUE

RING = {"wire_mm": 1.2, "inner_mm": 8, "lap_mm": 2.4, "metal": "iron", "rivet_mm": 0.8}
SWATCH = {"columns": 20, "rows": 20, "width_mm": 146, "height_mm": 136, "state": "relaxed"}
FINE = {
    "ask": "panel",
    "ring": {"wire_mm": 0.3, "inner_mm": 1, "lap_mm": 0.6, "metal": "iron"},
    "swatch": {**SWATCH, "width_mm": 10, "height_mm": 8},
    "state": "relaxed",
}
FLAT = {"kind": "panel", "rows": 12, "columns": 10}
SQUARE = {"kind": "panel", "rows": 11, "columns": 10}
TUBE = {"kind": "tube", "rows": 12, "columns": 12, "rows_run": "down"}
ZINC = {"ring": {**RING, "metal": "galvanised steel"}}


def piece(*shapes, joins=(), **more):
    names = "ABCDEF"
    panels = [{"name": names[i], "shape": shape} for i, shape in enumerate(shapes)]
    return {"ask": "piece", "ring": RING, "panels": panels, "joins": list(joins), **more}


def joined(how, *panels):
    return {"how": how, "panels": list(panels)}


def heated(panels, done):
    journal = {"soften": {"done": done}}
    return {"ask": "stand", "ring": RING, "panels": panels, "journal": journal}


BARE, COATED = {"shape": {"kind": "count", "rings": 2}}, {"shape": SQUARE, **ZINC}
QUESTIONS = {
    "fabric.columns_many": {**FINE, "shape": {"kind": "panel", "width_mm": 19999, "height_mm": 9}},
    "fabric.rows_many": {**FINE, "shape": {"kind": "panel", "width_mm": 9, "height_mm": 19999}},
    "fabric.rings_many": {
        "ask": "panel",
        "shape": {"kind": "panel", "rows": 4001, "columns": 19998},
    },
    "fabric.changes_many": {
        **FINE,
        "shape": {"kind": "taper", "from_mm": 9999, "to_mm": 100, "length_mm": 1500},
    },
    "fabric.widths_many": {
        **FINE,
        "shape": {
            "kind": "profile",
            "rows_run": "down",
            "widths": [[20 * i, 300] for i in range(200)],
        },
    },
    "piece.tube_has_no_edges": piece(TUBE, FLAT, joins=[joined("stacked", "A", "B")]),
    "piece.tube_and_flat_rows": piece(TUBE, FLAT, joins=[joined("end_to_end", "A", "B")]),
    "piece.joined_already_beginning": piece(
        FLAT, FLAT, FLAT, joins=[joined("end_to_end", "A", "B"), joined("end_to_end", "C", "B")]
    ),
    "piece.joined_already_upper_edge": piece(
        SQUARE, SQUARE, SQUARE, joins=[joined("stacked", "A", "B"), joined("stacked", "C", "B")]
    ),
    "material.coil_springs_open": {
        "ask": "mandrel",
        "ring": {"wire_mm": 0.1, "mandrel_mm": 200, "mandrel_mm_used": 8, "coil_inner_mm": 11.9},
    },
    "piece.mandrel": piece(SQUARE) | {"ring": {**RING, "mandrel_mm_used": 8, "coil_inner_mm": 8.2}},
    "progress.heated": heated([{**COATED, "name": "A"}, {**BARE, "name": "B"}], 3),
    "progress.heated_none_bare": heated([COATED], 2),
    "progress.heated_one_none_bare": heated([COATED], 1),
    "forecast.sitting_no_object": {
        "ask": "forecast",
        "today": "2027-01-01",
        "steps": [{"step": "close", "guess_min_per_item": 1}],
        "sittings": [5],
        "week_hours": 5,
        "pieces": [{"id": "a", "to_go": {"close": 5}}],
    },
    "base.number_above_wanted": {
        "ask": "piece",
        "panels": [{"name": "A", "shape": SQUARE}],
        "ring": RING,
        "finishing": [{"step": "edge", "items": 5, "guess_min_per_item": "soon"}],
    },
    "money.order_today_none": {
        "ask": "stock",
        "today": "2027-01-01",
        "reels": [],
        "pieces": [
            {
                "id": "a",
                "from": "2027-01-03",
                "until": "2027-02-01",
                "wires": [{"metal": "iron", "wire_mm": 1.2, "metres": 50}],
            }
        ],
        "pace": {"metres_per_day": 6},
        "delivery_days": 2,
    },
}


@pytest.mark.parametrize("key", sorted(QUESTIONS))
def test_a_rare_sentence_is_given_where_it_belongs(key):
    """Word for word, whatever the values in it."""
    found = answer(json.dumps(QUESTIONS[key]))
    parts = [part for part in VALUE.sub("\0", KEYS[key]).split("\0") if len(part) > 2]
    assert all(json.dumps(part)[1:-1] in found for part in parts), found[:1500]


def test_a_step_without_a_count_has_heated_nothing():
    asked = {**heated([COATED], 1), "journal": {"soften": {}}}
    assert json.loads(answer(json.dumps(asked)))["warnings"] == []
