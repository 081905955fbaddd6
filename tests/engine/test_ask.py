"""The one door: JSON in, JSON out, and whatever comes in, nothing but an answer or a reason comes
out.
"""

from __future__ import annotations

import copy
import json
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shared.ask import ANSWERS, OWN_FAULT, answer, reply
from shared.base.errors import BadField, EngineError, NoAnswer
from tests.engine.cases import load_cases

QUESTIONS = [case["question"] for case in load_cases()]


def said(text):
    """The answer read strictly: no NaN, no infinity, no fault of the engine's own."""
    out = json.loads(
        answer(text),
        parse_constant=lambda word: pytest.fail(f"{word} in an answer to {text[:200]}"),
    )
    assert out["ok"] or out["error"]["field"] != OWN_FAULT, out
    return out


def is_whole(out):
    if out["ok"]:
        return True
    error = out["error"]
    return (
        set(out) == {"ok", "error"}
        and set(error) - {"missing", "example"} == {"field", "why"}
        and len(error["why"]) > 10
        and error["field"]
    )


def test_every_question_of_the_contract_is_answered():
    contract = (
        "gauge ring fabric panel piece stand weigh losses pace forecast price fold steps stock"
    )
    assert set(contract.split()) <= set(ANSWERS)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[1,",
        "nul",
        '{"ask": "gauge"',
        "\x00",
        '{"ask": 1e',
        "[" * 100_000,
        '{"a":' * 50_000,
    ],
)
def test_what_is_no_json_gets_a_reason(text):
    out = said(text)
    assert (
        out["ok"] is False and out["error"]["field"] == "question" and "JSON" in out["error"]["why"]
    )


@pytest.mark.parametrize("text", ["5", '"gauge"', "[]", "null", "true", "NaN", "1e999"])
def test_what_is_no_object_gets_a_reason(text):
    assert said(text)["error"]["field"] == "question"


@pytest.mark.parametrize(
    "name", [None, "", "gauges", 5, ["gauge"], {"a": 1}, True, float("nan"), "\ud800"]
)
def test_an_unknown_question_is_told_the_known_ones(name):
    error = said(json.dumps({"ask": name}))["error"]
    assert error["field"] == "ask" and "gauge" in error["why"] and "stand" in error["why"]


def test_an_answer_says_ok_and_a_refusal_says_which_field_and_why():
    good = said(json.dumps({"ask": "gauge", "gauge": 16}))
    bad = said(json.dumps({"ask": "gauge", "gauge": "sixteen"}))
    assert (
        good["ok"] is True
        and bad["ok"] is False
        and bad["error"]["field"] == "gauge"
        and "sixteen" in bad["error"]["why"]
    )


def test_numbers_too_long_to_read_are_refused():
    assert said('{"ask": "gauge", "gauge": ' + "9" * 5000 + "}")["ok"] is False


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999", "9" * 400, "-1e308"])
def test_numbers_that_are_none_never_come_through(number):
    for question in QUESTIONS[::7]:
        text = json.dumps(question)
        for field in question:
            if field != "ask":
                assert is_whole(said(text.replace(json.dumps(question[field]), number)))


def test_the_errors_are_one_small_tree():
    assert issubclass(BadField, EngineError) and issubclass(NoAnswer, EngineError)
    error = BadField("ring.wire_mm", "Too thin.")
    assert (error.field, error.why, str(error)) == (
        "ring.wire_mm",
        "Too thin.",
        "ring.wire_mm: Too thin.",
    )


@pytest.mark.slow
def test_the_same_question_twice_gets_the_same_answer_and_stays_as_it_was():
    for question in QUESTIONS:
        kept = copy.deepcopy(question)
        assert answer(json.dumps(question)) == answer(json.dumps(question))
        if "ask" in question and question["ask"] in ANSWERS:
            try:
                reply(question)
            except EngineError:
                continue
            finally:
                assert question == kept


odd = st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=6)
sly = st.sampled_from(
    [
        0,
        -1,
        -0.0,
        1e-300,
        1e300,
        2**63,
        10**30,
        math.nan,
        math.inf,
        "",
        " ",
        "2026-02-30",
        [],
        {},
        [[]],
        [{}],
    ]
)
junk = sly.map(copy.deepcopy) | st.recursive(
    odd,
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3)
    ),
    max_leaves=6,
)


def places(value, path=()):
    """Every place in a question, root aside."""
    keys = (
        value if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    )
    for key in keys:
        if path or key != "ask":
            yield (*path, key)
            yield from places(value[key], (*path, key))


@pytest.mark.slow
@given(st.sampled_from(QUESTIONS), st.data())
@settings(deadline=None, max_examples=400)
def test_a_question_with_one_or_two_values_spoiled_is_answered_or_refused_in_order(question, data):
    spoiled = copy.deepcopy(question)
    for _ in range(data.draw(st.integers(1, 2))):
        found = list(places(spoiled))
        if not found:
            break
        *way, last = data.draw(st.sampled_from(found))
        here = spoiled
        for key in way:
            here = here[key]
        here[last] = data.draw(junk)
    assert is_whole(said(json.dumps(spoiled)))


@given(st.sampled_from(sorted(ANSWERS)), st.dictionaries(st.text(max_size=8), junk, max_size=4))
@settings(deadline=None)
def test_a_question_of_pure_junk_is_refused_or_answered(name, fields):
    assert is_whole(said(json.dumps({**fields, "ask": name})))


@given(st.text(max_size=60))
def test_any_text_at_all_gets_one_json_object(text):
    assert is_whole(said(text))


def test_a_fault_of_the_engine_is_told_as_its_own_and_not_as_a_trace(monkeypatch):
    monkeypatch.setitem(ANSWERS, "gauge", lambda q: 1 / 0)
    out = json.loads(answer('{"ask": "gauge", "gauge": 16}'))
    assert out["error"]["field"] == OWN_FAULT
    assert "ZeroDivisionError" in out["error"]["why"]


def test_a_name_that_nothing_asks_for_is_told_with_the_names_that_are():
    ring = {"wire_mm": 1.2, "inner_mm": 8, "metal": "iron", "lapp_mm": 2.4}
    out = said(
        json.dumps(
            {
                "ask": "piece",
                "panels": [{"ring": ring, "shape": {"kind": "panel", "rows": 7, "columns": 8}}],
            }
        )
    )
    assert [row["field"] for row in out["unread"]] == ["panels[0].ring.lapp_mm"]
    assert "lap_mm, " in out["unread"][0]["why"]


@pytest.mark.parametrize("name", ["forecast", "pace"])
def test_a_slip_of_the_pen_beside_years_of_sittings_is_told(name):
    sitting = {"step": "close", "date": "2026-03-01", "minutes": 60, "items": 80, "mood": "good"}
    steps = [{"step": "close", "guess_min_per_item": 0.6, "lumps": 12}]
    q = {
        "ask": name,
        "today": "2026-03-02",
        "week_hour": 20,
        "steps": steps,
        "sittings": [sitting] * 50,
    }
    out = said(json.dumps(q))
    assert [row["field"] for row in out["unread"]] == ["steps[0].lumps", "week_hour"]
    if name == "forecast":
        assert "week_hours" in out["unread"][1]["why"]


def test_a_byte_order_mark_is_passed_over():
    assert said('\ufeff{"ask": "gauge", "gauge": 16}')["ok"]


def test_what_was_spoiled_is_said_one_way_and_the_older_one_is_still_read():
    pairs = [
        ({"done": 50, "spoiled": 2}, {"good": 48, "bad": 2}),
        ({"done": 9}, {"good": 9, "bad": 0}),
    ]
    panels = [
        {
            "ring": {"wire_mm": 1.2, "inner_mm": 8},
            "shape": {"kind": "panel", "rows": 7, "columns": 8},
        }
    ]
    for new, old in pairs:
        for rest, name in (
            ({"ask": "losses", "need": 100}, "seen"),
            ({"ask": "piece", "panels": panels}, "losses"),
        ):
            now, then = (
                said(json.dumps({**rest, name: [way] if name == "seen" else {"close": way}}))
                for way in (new, old)
            )
            assert now == then and now["ok"]
    bad = said('{"ask": "losses", "need": 5, "seen": [{"done": 2, "spoiled": 3}]}')
    assert bad["error"]["field"] == "seen[0].spoiled"


def test_every_share_is_told_in_percent_beside_its_older_field():
    shape = {"kind": "panel", "rows": 9, "columns": 9}
    stand = said(
        json.dumps(
            {"ask": "stand", "panels": [{"shape": shape}], "journal": {"close": {"done": 9}}}
        )
    )
    assert stand["share_percent"] == 100 * stand["share"]
    assert all(row["share_percent"] == 100 * row["share"] for row in stand["steps"])
    panel = said(json.dumps({"ask": "panel", "shape": shape}))
    assert panel["left_over_rings"] == panel["left_over"]["closed"] + panel["left_over"]["open"] > 0


def test_a_question_in_which_all_is_of_use_leaves_nothing_unread():
    cases = [
        c
        for c in load_cases()
        if "expect" in c and not any(path.startswith("unread") for path in c["expect"])
    ]
    left = {c["id"]: said(json.dumps(c["question"])).get("unread") for c in cases}
    assert {name: rows for name, rows in left.items() if rows} == {}
