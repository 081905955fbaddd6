"""The making steps as one table, in making order: what is counted, what it uses up, what it yields.

`tables/steps.json` is the table; the code only walks it. A piece adds steps of its own,
leaves some out, and puts the maker's batch and guess in place of the ones printed here,
which are common practice and no published figure. Guesses are minutes an item.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from ..base.fields import Fields
from ..base.sentences import sentence
from ..material.ring import CUTS

if TYPE_CHECKING:
    from typing import Any

    Row = dict[str, Any]


# as bytes, so that no system's own alphabet comes between: the table is UTF-8
with open(__file__[: -len("piece/steps.py")] + "tables/steps.json", "rb") as _file:
    _FILE: dict[str, list[Row]] = json.loads(_file.read().decode())

ROWS: list[Row] = _FILE["steps"]
RULES: list[Row] = _FILE["rules"]
KEYS = [row["step"] for row in ROWS]
NEEDED = (
    "unit",
    "unit_join",
    "chain_join",
    "left_over",
    "panel_join",
)  # without these nothing holds together


def row_of(step: str) -> Row:
    """The table's row of this step."""
    return ROWS[KEYS.index(step)]


def _copied(row: Row) -> Row:
    return {key: row[key] for key in row}


def counted(n: int, row: Row) -> str:
    """`1 coil`, `3 cut rings`: an amount of a step's items in words."""
    items = row["one"] if n == 1 else row["items"]
    return sentence("piece.amount", n=n, items=items)


def _many(item: str) -> str:
    """English plural of a maker's own word, as far as a letter tells it."""
    return item + ("es" if item[-1:] in ("s", "x", "z") or item[-2:] in ("ch", "sh") else "s")


def caution_of(row: Row) -> tuple[str, str]:
    """The step's cautions as one text, and their sources."""
    parts = [p for c in _FILE["cautions"] if c["key"] in row["caution"] for p in c["parts"]]
    parts = parts or _FILE["own_caution"]
    sources: list[str] = []
    for part in parts:
        if part["source"] not in sources:
            sources.append(part["source"])
    return " ".join([p["text"] for p in parts]), "; ".join(sources)


def _own(q: Fields) -> Row:
    """A step of the piece's own: a key, a name and how many items there are to do."""
    step, item = q.text("step", longest=60), q.text("item", "item", longest=40)
    return {
        "step": step,
        "name": q.text("name", step, longest=80),
        "item": item,
        "one": item,
        "items": _many(item),
        "uses": [],
        "yields": {"what": item, "n": 1},
        "batch": q.integer("batch", 1, 100000, 1),
        "guess_min_per_item": q.number("guess_min_per_item", 0, 100000, 1.0, above=True),
        "guess_source": (
            sentence("piece.source_own")
            if q.has("guess_min_per_item")
            else sentence("piece.source_no_guess")
        ),
        "caution": [],
        "own_caution": q.text("caution", "", longest=1000),
        "notes": [],
        "need": q.integer("items", 0, 10**7, example="340"),
    }


def _changed(row: Row, q: Fields) -> Row:
    """A row of the table with the maker's own name, batch and guess."""
    out = _copied(row)
    out["name"] = q.text("name", row["name"], longest=80)
    out["batch"] = q.integer("batch", 1, 100000, row["batch"])
    if q.has("guess_min_per_item"):
        out["guess_min_per_item"] = q.number("guess_min_per_item", 0, 100000, above=True)
        out["guess_source"] = sentence("piece.source_own")
    return out


def _place(rows: list[Row], q: Fields) -> None:
    """Where `after` says, or at the end, behind what already stands there."""
    keys = [row["step"] for row in rows]
    new = _own(q)
    if not q.has("after"):
        rows.append(new)
        return
    after = q.choice("after", keys)
    rows.insert(keys.index(after) + 1, new)


def rows_for(q: Fields) -> list[Row]:
    """The steps of one piece: the table, less `without`, with `own_steps` and `finishing` put in."""
    without = q.entries("without", most=50)
    for key in without:
        if key not in KEYS or key in NEEDED:
            names = ", ".join([k for k in KEYS if k not in NEEDED])
            raise q.bad("without", sentence("piece.without_bad", names=names))
    rows = [_copied(row) for row in ROWS if row["step"] not in without]
    for own in q.parts("own_steps", most=100) + q.parts("finishing", most=100):
        keys = [row["step"] for row in rows]
        step = own.text("step", longest=60, example="edge")
        if step in keys and "need" not in rows[keys.index(step)]:
            rows[keys.index(step)] = _changed(rows[keys.index(step)], own)
        elif step in keys or step in KEYS:
            raise own.bad("step", sentence("piece.step_taken", step=step))
        else:
            _place(rows, own)
    return rows


INSIDE = ("caution", "one", "own_caution", "need", "notes_by_cut")  # of a row, not of the answer


def step_json(row: Row, cuts: tuple[str, ...] | list[str] = CUTS) -> Row:
    """A row as it goes out: cautions written out, with their sources; notes for the ways of cutting
    named.
    """
    text, source = caution_of(row)
    out = {key: row[key] for key in sorted(row) if key not in INSIDE}
    by_cut = row.get("notes_by_cut") or {}
    out["notes"] = row["notes"] + [by_cut[cut] for cut in cuts if cut in by_cut]
    own = row.get("own_caution")
    out["caution"] = own or text
    out["caution_source"] = sentence("piece.source_own") if own else source
    return out


def answer(q: Fields) -> dict[str, Any]:
    """Door question `steps`: the table, with a piece's own steps if given, and the making rules of
    its card.
    """
    return {"steps": [step_json(row) for row in rows_for(q)], "rules": RULES}
