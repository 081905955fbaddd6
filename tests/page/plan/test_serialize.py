"""A form as typed, in the engine's words and as what is saved."""

from __future__ import annotations

from typing import Any

import pytest

from tests.page.modules import STORE, Modules

RUN = f"""async (kept, changes, script) => {{
  const s = await import('/screens/plan/serialize.js'), d = await import('/screens/plan/draft.js');
  let next = 0;
  const store = {{ ...({STORE})(kept), newId: () => `id${{++next}}` }};
  const draft = kept.piece?.p ? s.draftOf(store, "p") : d.freshDraft(store, "hexagon");
  for (const [path, value] of changes) {{
    const keys = path.split("."), last = keys.pop();
    keys.reduce((part, key) => (part[key] ??= {{}}), draft)[last] = value;
  }}
  return (await import("data:text/javascript," + encodeURIComponent("export default " + script))).default(s, store, draft);
}}"""


def run(modules: Modules, script: str, *changes: tuple[str, Any], kept: Any = None) -> Any:
    return modules.evaluate(RUN, kept or {}, list(changes), f"(s, store, draft) => {script}")


def entities(modules: Modules, *changes: tuple[str, Any], kept: Any = None) -> dict[str, Any]:
    rows = run(modules, "s.entitiesOf(draft)", *changes, kept=kept)
    return {f"{kind}:{id}": fields for kind, id, fields in rows}


@pytest.mark.parametrize(
    ("changes", "shape"),
    [
        (
            [("panels.0.m.width_mm", "12 in"), ("panels.0.m.height_mm", "30 cm")],
            {"kind": "panel", "width_mm": 304.8, "height_mm": 300},
        ),
        (
            [("panels.0.form", "grid"), ("panels.0.m.columns", "1 200"), ("panels.0.m.rows", "7")],
            {"kind": "panel", "columns": 1200, "rows": 7},
        ),
        (
            [("panels.0.form", "sleeve"), ("panels.0.m.from_mm", "300"), ("panels.0.m.to_mm", "x")],
            {"kind": "taper", "from_mm": 300, "to_mm": "x", "length_mm": None, "round": True},
        ),
        (
            [("panels.0.form", "items"), ("panels.0.m.items", {"close": "40", "unit": ""})],
            {"kind": "count", "items": {"close": 40}},
        ),
        (
            [
                ("panels.0.form", "profile"),
                ("panels.0.m.round", True),
                ("panels.0.m.widths", [["0", "30 cm"], [" ", ""], ["", "5"]]),
            ],
            {"kind": "profile", "round": True, "widths": [[0, 300], [None, 5]]},
        ),
        (
            [("panels.0.form", "profile")],
            {"kind": "profile", "round": False, "widths": [[0, None]]},
        ),
    ],
)
def test_a_panel_is_read_in_its_form(
    modules: Modules, changes: list[Any], shape: dict[str, Any]
) -> None:
    assert run(modules, "s.shapeOf(draft.panels[0])", *changes) == shape


@pytest.mark.parametrize(
    ("ring", "fields"),
    [
        (
            {"wire_mm": "1,6", "inner_mm": "8", "reel_kg": "2500 g", "lap_mm": "3"},
            {"wire_mm": 1.6, "inner_mm": 8, "reel_kg": 2.5, "lap_mm": 3, "kind": "riveted", "metal": "mild steel", "rivet_kind": "round"},
        ),
        # a butted ring has no lap, whatever was typed before
        ({"kind": "butted", "lap_mm": "3", "cut": "overlap", "wire_mm": "1"}, {"wire_mm": 1, "kind": "butted", "metal": "mild steel"}),
        # a metal of the table has the table's density; the maker's own has its own
        ({"density_g_cm3": "7,9"}, {"kind": "riveted", "metal": "mild steel", "rivet_kind": "round"}),
        ({"metal": "", "own_metal": " bog iron ", "density_g_cm3": "7,9"}, {"kind": "riveted", "metal": "bog iron", "rivet_kind": "round", "density_g_cm3": 7.9}),
        ({"metal": "", "reel_kg": "5"}, {"kind": "riveted", "metal": "this metal", "rivet_kind": "round", "reel_kg": 5}),
        ({"coating": "bare"}, {"kind": "riveted", "metal": "mild steel", "rivet_kind": "round", "zinc": False}),
        ({"coating": "coated"}, {"kind": "riveted", "metal": "mild steel", "rivet_kind": "round", "zinc": True}),
        ({"zinc": True}, {"kind": "riveted", "metal": "mild steel", "rivet_kind": "round", "zinc": True}),
        ({"kind": "", "lap_mm": "3"}, {"lap_mm": 3, "metal": "mild steel", "rivet_kind": "round"}),
    ],
)  # fmt: skip
def test_a_ring_is_what_its_kind_has(
    modules: Modules, ring: dict[str, Any], fields: dict[str, Any]
) -> None:
    assert run(modules, "s.ringOf(draft)", *[(f"ring.{k}", v) for k, v in ring.items()]) == fields


def test_a_swatch_is_told_only_where_there_is_one(modules: Modules) -> None:
    assert run(modules, "s.swatchOf(draft)", ("fabric.columns", "10")) is None
    swatch = run(modules, "s.swatchOf(draft)", ("fabric.swatch", True), ("fabric.columns", "10"))
    assert swatch == {"columns": 10, "rows": None, "width_mm": None, "height_mm": None, "state": "relaxed"}  # fmt: skip


TWO = ("panels.1", {"id": "b", "name": " Back ", "form": "rect", "m": {}, "rows_run": "down", "ring": None, "swatch": None, "units_per_chain": "3", "max_change": "", "state": "hang"})  # fmt: skip


@pytest.mark.parametrize(
    ("how", "panels", "field", "why"),
    [
        ("end_to_end", ["id4", "b"], None, None),
        ("end_to_end", ["id4", "gone"], "joins[0].panels[1]", "two panels"),
        ("end_to_end", [], "joins[0].panels[0]", "two panels"),
        ("stacked", ["Panel"], "joins[0].panels[1]", "two panels"),  # an older one, by its name
        ("round", ["b"], None, None),
        ("round", ["", "b"], "joins[0].panels[0]", "the panel that is closed"),
        ("rings", [], None, None),
        ("", ["b"], "joins[0].panels[1]", "two panels"),
    ],
)
def test_a_join_wants_its_panels(
    modules: Modules, how: str, panels: list[str], field: str | None, why: str | None
) -> None:
    changes = [TWO, ("piece.joins", [{"how": how, "panels": panels}])]
    found = run(modules, "s.incompleteJoins(draft)", *changes)
    if field is None:
        assert found == []
    else:
        (one,) = found
        assert (one["field"], one["missing"]) == (field, True) and why and why in one["why"]


def test_all_entities_of_a_draft_are_written(modules: Modules) -> None:
    found = entities(
        modules,
        TWO,
        ("panels.0.rows_run", "down"),
        ("panels.0.form", "collar"),
        ("panels.0.ring", {"id": "r2", "wire_mm": "2", "metal": "iron"}),
        ("panels.0.swatch", {"id": "s2", "columns": "4", "swatch_state": "hang"}),
        ("fabric.swatch", True),
        ("fabric.rows", "9"),
        ("piece.name", " Shirt "),
        ("piece.due", ""),
        ("piece.sure", "0,9"),
        ("piece.losses", {"close": {"good": "90"}, "cut": {"good": "", "bad": ""}}),
        (
            "piece.finishing",
            [{"name": "Sew on", "items": "3", "note": ""}, {"name": "!", "batch": "2"}, {"name": "x", "step": "kept"}],
        ),
        ("piece.consumables", [{"name": "gas", "per_1000_rings": "1,5"}]),
        ("piece.joins", [{"how": "stacked", "panels": ["b", "id4"], "rings": ""}]),
    )  # fmt: skip
    assert list(found) == ["ring:id2", "ring:r2", "swatch:id3", "swatch:s2", "panel:id4", "panel:b", "piece:id1"]  # fmt: skip
    assert found["ring:r2"]["wire_mm"] == 2 and found["ring:r2"]["lap_mm"] is None
    assert "zinc" in found["ring:r2"]
    assert found["swatch:id3"] == {"columns": None, "rows": 9, "width_mm": None, "height_mm": None, "state": "relaxed", "ring": "id2"}  # fmt: skip
    assert (found["swatch:s2"]["ring"], found["swatch:s2"]["state"]) == ("r2", "hang")
    first, second = found["panel:id4"], found["panel:b"]
    assert (first["order"], second["order"], first["piece"]) == (0, 1, "id1")
    assert (first["ring"], first["swatch"], second["ring"], second["swatch"]) == ("r2", "s2", None, "id3")  # fmt: skip
    assert (first["rows_run"], second["rows_run"]) == ("round", "down")  # a collar has no choice
    assert (first["state"], second["state"]) == ("relaxed", "hang")
    assert (second["name"], second["units_per_chain"], second["max_change"]) == ("Back", 3, None)
    piece = found["piece:id1"]
    assert (piece["name"], piece["due"], piece["sure"], piece["mark"]) == ("Shirt", None, 0.9, "hexagon")  # fmt: skip
    assert piece["losses"] == {"close": {"good": 90, "bad": 0}}
    assert piece["finishing"] == [
        {"name": "Sew on", "items": 3, "step": "own_sew_on"},
        {"name": "!", "batch": 2, "step": "own__"},
        {"name": "x", "step": "kept"},
    ]
    assert piece["consumables"] == [{"name": "gas", "per_1000_rings": 1.5}]
    assert piece["joins"] == [{"how": "stacked", "panels": ["Back", "Panel"]}]
    assert (piece["ring"], piece["fabric"], piece["swatch"]) == ("id2", "relaxed", "id3")


def test_a_step_without_a_name_gets_a_key_by_its_place(modules: Modules) -> None:
    piece = entities(modules, ("piece.finishing", [{"name": ""}, {"name": ""}]))["piece:id1"]
    assert [r["step"] for r in piece["finishing"]] == ["own_1", "own_2"]
    long = entities(modules, ("piece.finishing", [{"name": "a" * 60}]))["piece:id1"]
    assert long["finishing"][0]["step"] == "own_" + 50 * "a"


def test_a_panel_with_a_ring_of_its_own_leaves_the_pieces_swatch(modules: Modules) -> None:
    found = entities(modules, ("fabric.swatch", True), ("panels.0.ring", {"id": "r2"}))
    assert found["panel:id4"]["swatch"] is None


def test_a_fresh_piece_is_saved_whole_with_its_place(modules: Modules) -> None:
    kept = {"piece": {"x": {}, "y": {}}}
    rows = run(modules, "s.changesOf(store, draft)", ("piece.name", "Coif"), kept=kept)
    assert [kind for kind, _, _ in rows] == ["ring", "panel", "piece"]
    piece = rows[-1][2]
    assert (piece["name"], piece["state"], piece["order"]) == ("Coif", "open", 2)
    assert "due" not in piece  # nothing differs from nothing


SAVED = {
    "piece": {"p": {"name": "Coif", "ring": "r", "fabric": "hang", "mark": "star", "joins": []}},
    "ring": {"r": {"wire_mm": 1.6, "metal": "iron"}},
    "panel": {
        "f": {"piece": "p", "name": "Front", "state": "hang", "shape": {"kind": "tube", "around_mm": 5}},
        "g": {"piece": "p", "name": "Back", "state": "flat"},
    },
}  # fmt: skip


def test_a_saved_piece_writes_only_what_was_changed(modules: Modules) -> None:
    assert run(modules, "s.changesOf(store, draft)", kept=SAVED) == []
    rows = run(modules, "s.changesOf(store, draft)", ("ring.wire_mm", "1.8"), ("piece.name", "Hood"), kept=SAVED)  # fmt: skip
    assert rows == [["ring", "r", {"wire_mm": 1.8}], ["piece", "p", {"name": "Hood"}]]


def test_what_an_older_piece_has_in_its_panels_is_written_with_the_next_save(
    modules: Modules,
) -> None:
    """Before pieces had a state of their own to measure in, each panel had one."""
    older = {k: v for k, v in SAVED["piece"]["p"].items() if k != "fabric"}
    panels = {id: {**panel, "state": "relaxed"} for id, panel in SAVED["panel"].items()}
    kept = {**SAVED, "piece": {"p": older}, "panel": panels}
    rows = run(modules, "s.changesOf(store, draft)", ("piece.name", "Hood"), kept=kept)
    assert rows == [["piece", "p", {"name": "Hood", "fabric": "relaxed"}]]


@pytest.mark.parametrize(
    ("path", "value", "saved"),
    [
        ("piece.rules.overlap", "right_over_left", {"rules": {"heads": "outside", "overlap": "right_over_left"}}),
        ("piece.without.0", "soften", {"without": ["soften"]}),
        ("piece.losses.cut.bad", "4", {"losses": {"cut": {"good": 90, "bad": 4}}}),
        ("piece.joins.0.rings", "9", {"joins": [{"how": "rings", "panels": [], "rings": 9}]}),
        ("piece.consumables.0.unit", "kg", {"consumables": [{"name": "gas", "unit": "kg"}]}),
        ("piece.finishing.0.items", "7", {"finishing": [{"step": "own_x", "name": "x", "items": 7}]}),
    ],
)  # fmt: skip
def test_what_changes_within_a_list_or_a_choice_of_a_saved_piece_is_saved(
    modules: Modules, path: str, value: str, saved: dict[str, Any]
) -> None:
    piece = {
        **SAVED["piece"]["p"],
        "rules": {"heads": "outside"},
        "without": ["pierce"],
        "losses": {"cut": {"good": 90, "bad": 3}},
        "joins": [{"how": "rings", "panels": [], "rings": 3}],
        "consumables": [{"name": "gas"}],
        "finishing": [{"step": "own_x", "name": "x"}],
    }
    kept = {**SAVED, "piece": {"p": piece}}
    rows = run(modules, "s.changesOf(store, draft)", (path, value), kept=kept)
    assert rows == [["piece", "p", saved]]


def test_a_panel_taken_out_is_deleted(modules: Modules) -> None:
    script = "(draft.panels.pop(), s.changesOf(store, draft))"
    assert run(modules, script, kept=SAVED) == [["panel", "g", {"deleted": True}]]


def test_a_piece_that_is_not_there_is_no_draft(modules: Modules) -> None:
    assert run(modules, 's.draftOf(store, "gone")', kept=SAVED) is None


def test_a_draft_is_asked_about_as_if_it_were_saved(modules: Modules) -> None:
    asked = run(
        modules,
        """(() => { const t = s.asStore(store, draft);
      return [t.things("panel").map((p) => p.id), t.thing("ring", "r")?.wire_mm, t.thing("ring", "f"), t.setting("reel_kg", 7)]; })()""",
        kept=SAVED | {"setting": {"reel_kg": 4}},
    )
    assert asked == [["f", "g"], 1.6, None, 4]


def test_another_like_it_has_ids_of_its_own_and_joins_its_own_panels(modules: Modules) -> None:
    found = run(
        modules,
        "s.copyOf(store, draft)",
        ("piece.joins", [{"how": "stacked", "panels": ["g", "f"]}, {"how": "round", "panels": ["x"]}]),
        ("piece.due", "2027-05-01"),
        ("panels.0.ring", {"id": "own"}),
        kept=SAVED,
    )  # fmt: skip
    ids = [found["id"], found["ring"]["id"], found["fabric"]["id"], *(p["id"] for p in found["panels"])]  # fmt: skip
    assert len(set(ids)) == 5 and not {"p", "r", "f", "g", "own"} & {*ids, found["panels"][0]["ring"]["id"]}  # fmt: skip
    front, back = (p["id"] for p in found["panels"])
    assert [j["panels"] for j in found["piece"]["joins"]] == [[back, front], [""]]
    assert (found["fresh"], found["base"]) == (True, {})
    assert (found["piece"]["name"], found["piece"]["due"], found["piece"]["mark"]) == ("", "", "star")  # fmt: skip
