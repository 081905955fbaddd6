"""A piece with rows that cannot be used yet is answered without them, and each is told."""

from __future__ import annotations

from typing import Any

from tests.page.modules import Modules

# an engine that refuses every row marked `bad`, in order, and losses of the step `bad`
ASK = """async (question, known) => {
  const { askByParts } = await import('/engine/question-parts.js');
  const asked = [];
  const refuse = (field, why, missing) => { throw Object.assign(new Error(why), { field, why, missing }); };
  try {
    return { ...await askByParts(async (q) => {
      asked.push(q);
      if (q.bad) refuse("sure", "not that sure");
      for (const list of ["panels", "joins", "finishing", "consumables"])
        (q[list] ?? []).forEach((row, i) => { if (row.bad) refuse(`${list}[${i}]${row.bad}`, `bad ${row.name}`, row.missing); });
      for (const step of Object.keys(q.losses ?? {})) if (q.losses[step].bad > 5) refuse(`losses.${step}.bad`, "too many");
      return { n: asked.length };
    }, question, known ?? undefined), asked: asked.length };
  } catch (error) { return { refused: error.field, why: error.why ?? String(error), asked: asked.length }; }
}"""


def parts(modules: Modules, question: dict[str, Any], known: Any = None) -> Any:
    return modules.evaluate(ASK, question, known)


def row(name: str, bad: str = "", **more: Any) -> dict[str, Any]:
    return {"name": name, **({"bad": bad} if bad else {}), **more}


def test_a_whole_question_is_asked_once_as_it_is(modules: Modules) -> None:
    question = {"ask": "piece", "panels": [row("Front"), row("Back")], "sure": 0.9}
    found = parts(modules, question)
    assert found["question"] == question and found["asked"] == 1
    assert found["faults"] == [] and found["panels"] == [0, 1]


def test_a_panel_that_cannot_be_used_is_left_out_with_its_joins(modules: Modules) -> None:
    question = {
        "panels": [row("Front"), row("Side", ".shape.width_mm", missing=True), row("Back")],
        "joins": [row("a", panels=["Front", "Side"]), row("b", panels=["Front", "Back"]), row("c")],
    }
    found = parts(modules, question)
    assert found["panels"] == [0, 2] and found["asked"] == 2
    assert [p["name"] for p in found["question"]["panels"]] == ["Front", "Back"]
    assert [j["name"] for j in found["question"]["joins"]] == ["b", "c"]
    assert found["faults"] == [
        {"field": "panels[1].shape.width_mm", "why": "bad Side", "missing": True},
        {"field": "joins[0].panels", "why": "This join waits for Side.", "missing": True},
    ]


def test_faults_keep_the_places_of_the_form(modules: Modules) -> None:
    rows = [row("a", ".name"), row("b"), row("c", ".items")]
    found = parts(modules, {"panels": [row("Front")], "finishing": rows})
    assert [f["field"] for f in found["faults"]] == ["finishing[0].name", "finishing[2].items"]
    assert [r["name"] for r in found["question"]["finishing"]] == ["b"]


def test_the_only_panel_is_never_left_out(modules: Modules) -> None:
    found = parts(modules, {"panels": [row("Front", ".shape.rows")]})
    assert found["refused"] == "panels[0].shape.rows" and found["asked"] == 1


def test_what_all_panels_share_is_the_pieces_own_fault(modules: Modules) -> None:
    ring = {"wire_mm": 0}
    alike = [row(n, ".ring.wire_mm", ring=ring) for n in ("Front", "Back")]
    assert parts(modules, {"panels": alike})["refused"] == "panels[0].ring.wire_mm"
    own = [row("Front", ".ring.wire_mm", ring=ring), row("Back", ring={"wire_mm": 1})]
    found = parts(modules, {"panels": own})
    assert found["panels"] == [1]


def test_a_record_of_losses_that_is_wrong_is_left_out_alone(modules: Modules) -> None:
    losses = {"close": {"good": 1, "bad": 9}, "cut": {"good": 9, "bad": 1}}
    found = parts(modules, {"panels": [row("Front")], "losses": losses})
    assert found["question"]["losses"] == {"cut": losses["cut"]}
    assert [f["field"] for f in found["faults"]] == ["losses.close.bad"]


def test_what_is_no_row_refuses_the_whole_with_its_first_reason(modules: Modules) -> None:
    question = {"panels": [row("Front")], "consumables": [row("gas", ".amount")], "bad": True}
    assert parts(modules, question)["refused"] == "sure"


def test_rows_known_to_be_blank_are_not_asked_with(modules: Modules) -> None:
    known = [{"field": "joins[1].panels[0]", "why": "Choose.", "missing": True}]
    question = {"panels": [row("Front")], "joins": [row("a"), row("b"), row("c", ".rings")]}
    found = parts(modules, question, known)
    assert [j["name"] for j in found["question"]["joins"]] == ["a"]
    assert [f["field"] for f in found["faults"]] == ["joins[1].panels[0]", "joins[2].rings"]
