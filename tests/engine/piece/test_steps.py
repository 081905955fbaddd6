"""The table of making steps: whole, sourced, and changed only as a piece says."""

from __future__ import annotations

import re

import pytest

from shared.ask import reply
from shared.base.errors import BadField
from shared.piece.steps import KEYS, ROWS, RULES, counted, row_of


def table(**more):
    return reply({"ask": "steps", **more})["steps"]


def test_the_keys_are_those_of_the_contract_in_making_order():
    contract = (
        "wind cut soften flatten soften_again pierce close unit unit_join chain_join left_over"
    )
    assert KEYS[:11] == contract.split()


def test_every_step_uses_only_what_earlier_ones_yield():
    for i, row in enumerate(ROWS):
        assert [
            use["step"] for use in row["uses"] if use["step"] and use["step"] not in KEYS[:i]
        ] == []


def test_what_a_step_uses_bears_the_name_of_what_the_source_yields():
    for row in ROWS:
        for use in row["uses"]:
            assert use["step"] is None or use["what"] == row_of(use["step"])["yields"]["what"]


def test_every_caution_and_every_guess_names_its_source():
    for row in table():
        assert len(row["caution"]) > 40 and row["caution_source"] and row["guess_source"]


def test_a_caution_with_a_limit_defers_to_local_rules():
    limits = [row for row in table() if re.search(r"mg/m|ppm|dB", row["caution"])]
    assert limits and all("local rules come first" in row["caution"] for row in limits)


def test_no_caution_calls_anything_safe():
    assert [
        row["step"] for row in table() if re.search(r"\bsafe(ly)?\b|harmless", row["caution"])
    ] == []


@pytest.mark.parametrize("step", ["soften", "soften_again"])
def test_the_fire_warns_of_zinc_and_of_carbon_monoxide(step):
    caution = next(row["caution"] for row in table() if row["step"] == step)
    assert "zinc" in caution and "carbon monoxide" in caution and "tongs" in caution


@pytest.mark.parametrize("step", ["cut", "pierce", "close"])
def test_flying_ends_and_chips_ask_for_eye_protection(step):
    assert "eye protection" in next(row["caution"] for row in table() if row["step"] == step)


@pytest.mark.parametrize(
    "step", ["flatten", "pierce", "close", "unit", "unit_join", "chain_join", "left_over"]
)
def test_what_is_struck_with_a_hammer_warns_of_its_noise(step):
    assert "hearing protection" in next(row["caution"] for row in table() if row["step"] == step)


def test_the_table_alone_tells_both_ways_of_cutting():
    notes = {row["step"]: " ".join(row["notes"]) for row in table()}
    for step in ("wind", "cut"):
        assert "cut with their overlap" in notes[step] and "cut straight" in notes[step]


def test_the_whole_work_of_a_ring_is_near_two_minutes():
    """One practising maker's public statement: about 2 minutes a ring, all steps (name withheld)."""
    guess = {row["step"]: row["guess_min_per_item"] for row in ROWS}
    rings = (
        sum(guess[s] for s in ("cut", "soften", "flatten", "soften_again", "pierce"))
        + guess["wind"] / 150
    )
    half_closed_half_in_place = (
        guess["close"] + (guess["unit"] + guess["unit_join"] + 2 * guess["chain_join"]) / 4
    ) / 2
    assert 1.4 < rings + half_closed_half_in_place < 2.6


def test_the_making_rules_tell_how_heads_face():
    heads = next(rule for rule in RULES if rule["field"] == "heads")
    assert "two heads one way and two the other" in heads["note"] and "lining" in heads["note"]
    assert {"overlap", "rivet_kind", "heads", "note"} == {rule["field"] for rule in RULES}


def test_the_table_itself_is_never_altered_by_a_piece():
    table(own_steps=[{"step": "close", "batch": 99, "guess_min_per_item": 9, "name": "Shut"}])
    assert row_of("close")["batch"] == 10 and table()[6]["name"] == "Close"


def test_own_steps_behind_the_same_step_keep_their_order():
    first, second = (
        {"step": "oil", "items": 1, "after": "close"},
        {"step": "count", "items": 1, "after": "oil"},
    )
    assert [row["step"] for row in table(own_steps=[first, second])][6:9] == [
        "close",
        "oil",
        "count",
    ]


def test_the_same_own_step_twice_is_refused():
    with pytest.raises(BadField, match="another key"):
        table(finishing=[{"step": "oil", "items": 1}, {"step": "oil", "items": 2}])


@pytest.mark.parametrize(
    ("n", "step", "words"),
    [
        (1, "wind", "1 coil"),
        (3, "cut", "3 cut rings"),
        (1, "soften_again", "1 ring softened again"),
        (1, "unit_join", "1 unit join"),
    ],
)
def test_amounts_are_said_as_a_maker_says_them(n, step, words):
    assert counted(n, row_of(step)) == words
