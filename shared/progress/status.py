"""The question `stand`: how far a piece has got, from its plan and the log's totals.

With w minutes an item, t items a step comes to in all and g items to go, summed over the steps:

    share = 1 - sum(w * g) / sum(w * t)
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import Fields
from ..base.sentences import sentence
from ..material.metals import ZINC, caution_for
from ..piece.parts import HEATED
from ..piece.piece import Piece
from ..piece.steps import counted, row_of
from .chain_states import chain_states
from .next_step import bottleneck, next_of, position_of
from .work_in_progress import Counts

if TYPE_CHECKING:
    from typing import Any

    Row = dict[str, Any]


def minutes_of(q: Fields, piece: Piece) -> dict[str, float]:
    """Minutes an item by step: `minutes: {step: minutes}` where given, else the steps' guesses."""
    given = q.maybe_part("minutes")
    out = {}
    for row in piece.rows:
        step = row["step"]
        out[step] = row["guess_min_per_item"]
        if given is not None and given.has(step):
            out[step] = given.number(step, 0, 100000)
    return out


def _total(piece: Piece, step: str, to_go: int) -> int:
    """Items the step comes to in all: the planned ones, or more where some must be made again."""
    return max(piece.start(step), to_go)


def _share(piece: Piece, step: str, to_go: int) -> float:
    total = _total(piece, step, to_go)
    return 1 - to_go / total if total else 1.0


def _share_of_work(piece: Piece, to_go: dict[str, int], minutes: dict[str, float]) -> float:
    """The share of all the work that is done, in minutes."""
    work = left = 0.0
    for step in piece.structure.order:
        work += minutes[step] * _total(piece, step, to_go[step])
        left += minutes[step] * to_go[step]
    return 1 - left / work if work else 1.0


def _totals(q: Fields) -> Fields:
    """`journal` as `{step: {done, spoiled}}`.

    Rows like those of `fold` (`[{step, done, spoiled}]`, one a panel) are added up.
    """
    if not isinstance(q.data.get("journal"), list):
        return q.maybe_part("journal") or Fields({}, q.at("journal"))
    sums: Row = {}
    for row in q.parts("journal"):
        for name in ("piece", "panel", "stocktake"):
            row.get(name)  # `fold` gives it, and it is not used here
        one = sums.setdefault(row.text("step", longest=200), {"done": 0, "spoiled": 0})
        one["done"] += row.integer("done", -(10**9), 10**9, 0)
        one["spoiled"] += row.integer("spoiled", 0, 10**9, 0)
    return Fields(sums, q.at("journal"))


def _step(counts: Counts, step: str, to_go: int, nexts: dict[str, Row]) -> Row:
    piece = counts.piece
    row: Row = {"step": step, "need": piece.need(step), "start": piece.start(step), "to_go": to_go}
    row["done"], row["spoiled"] = counts.counted[step], counts.spoiled[step]
    row["in_hand"] = counts.in_hand_of(step)
    row["share"] = _share(piece, step, to_go)
    row["share_percent"] = 100 * row["share"]
    row["next"] = nexts.get(step)
    row["at"] = position_of(counts, step)
    what, n = counts.stocktake_of(step)
    row["stocktake"] = {"what": what, "n": n}
    return row


def _loose(counts: Counts) -> list[Row]:
    """The loose items, in making order."""
    out = []
    for step in counts.piece.structure.order:
        n = counts.in_hand_of(step)
        if n > 0:
            many = "chains" if step == "unit_join" else counts.piece.row(step)["items"]
            out.append({"what": many, "step": step, "n": n})
    return out


def _surplus(counts: Counts, spare: dict[str, int]) -> list[Row]:
    """Steps with more made than the piece can still take."""
    out = []
    for step in counts.piece.structure.order:
        n = spare.get(step, 0) or counts.beyond.get(step, 0)
        if n > 0:
            key = "progress.surplus_one" if n == 1 else "progress.surplus"
            why = sentence(key, amount=counted(n, counts.piece.row(step)))
            out.append({"step": step, "n": n, "why": why})
    return out


def _heated(piece: Piece, totals: Fields) -> list[str]:
    """Warnings where more rings were softened than are known to be bare."""
    if not any(part.zinc for part in piece.parts):
        return []
    out = []
    for step in HEATED:
        one = totals.maybe_part(step)
        done = one.integer("done", 0, 10**9, 0) if one else 0
        spoiled = one.integer("spoiled", 0, 10**9, 0) if one else 0
        bare = piece.need(step) if step in piece.structure.order else 0
        if done - spoiled > bare:
            none = "progress.heated_one_none_bare" if done == 1 else "progress.heated_none_bare"
            key = "progress.heated" if bare else none
            text = sentence(key, amount=counted(done, row_of(step)), bare=bare)
            out.append(text + " " + caution_for(ZINC))
    return out


def answer(q: Fields) -> dict[str, Any]:
    """Answer the question `stand`; raises BadField or NoAnswer as `piece` does.

    The fields of `piece` (or all of them under `piece`), `journal: {step: {done, spoiled}}` or the
    totals of `fold`, `minutes?: {step: minutes an item}`. In the answer `panels` is how far each
    chain has got, see `chain_states`; a step's `stocktake` is what can be counted there by hand,
    `{what: "loose" | "done", n}`, with n as the log has it.
    """
    piece = Piece(q.maybe_part("piece") or q)
    totals = _totals(q)
    counts = Counts(piece, totals)
    requirements = counts.requirements()
    minutes = minutes_of(q, piece)
    first, nexts = next_of(counts)
    share = _share_of_work(piece, requirements.to_go, minutes)
    bottleneck_step = bottleneck(counts, requirements.to_go, minutes)
    steps = piece.needed() + [
        s for s in piece.structure.order if counts.counted[s] and s not in piece.needed()
    ]
    rows = [_step(counts, step, requirements.to_go[step], nexts) for step in steps]
    for row in rows:
        row["bottleneck"] = row["step"] == bottleneck_step
    return {
        "steps": rows,
        "to_go": {step: requirements.to_go[step] for step in steps},
        "loose": _loose(counts),
        "panels": chain_states(counts),
        "next": first,
        "bottleneck": bottleneck_step,
        "missing": counts.missing,
        "notes": counts.notes + _surplus(counts, requirements.spare),
        "warnings": _heated(piece, totals),
        "share": share,
        "share_percent": 100 * share,
    }
