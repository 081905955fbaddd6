"""What to make next and how much of it, and which step is the bottleneck.

The next aim is the nearest point where something is joined: the end of the chain in work, then the
run of joins that hangs it on its panel, then what is left over. The net requirements of that aim
(`piece.requirements`: what it takes less what is loose, step by step back to the wire) give the
first step with anything to do, and how many of its items the aim takes.

The bottleneck is the step s with the greatest sum, over the steps that wait for s, of items to go
times minutes an item.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.sentences import sentence
from ..fabric import chains
from ..piece.steps import KEYS, NEEDED, counted

if TYPE_CHECKING:
    from typing import Any

    from ..piece.parts import Part
    from ..piece.requirements import Usage
    from .work_in_progress import Counts

    Row = dict[str, Any]

HANDFUL = 10  # a step waits for the one before it while fewer items than this are loose there


class Aim:
    """What to work towards: `left`, good items still to make by step, and the part they are of.

    `key` and `values` are those of the sentence on it, without its {amount}.
    """

    def __init__(self, left: dict[str, int], part: Part | None, key: str, **values: Any) -> None:
        self.left, self.part, self.key, self.values = left, part, key, values

    def why(self, amount: str) -> str:
        """ "16 units to reach the end of chain 4."; `amount` is "16 units"."""
        return sentence(self.key, amount=amount, **self.values)


def _part_at(counts: Counts, group: int, sizes: list[int]) -> tuple[Part | None, int]:
    """(the part a group belongs to, its number within it); `sizes`: groups of each part."""
    for part, size in zip(counts.piece.parts, sizes):
        if group <= size:
            return part, group
        group -= size
    return None, group


def _chain_aim_at(counts: Counts, left: dict[str, int], group: int) -> Aim:
    """Chains are numbered within their panel; the panel is named where there are several."""
    parts = counts.piece.parts
    part, number = _part_at(counts, group, [p.panel["chains"] for p in parts])
    if part is None:
        return Aim(left, None, "progress.next_any_chain")
    if len(parts) == 1:
        return Aim(left, part, "progress.next_chain", number=number)
    return Aim(left, part, "progress.next_chain_of", number=number, panel=part.name)


def _hanging(counts: Counts) -> tuple[int, int, int] | None:
    return chains.place(counts.piece.runs("chain_join"), counts.good_of("chain_join"))


def _can_hang(counts: Counts) -> bool:
    """Whether enough chains are loose: two for a panel's first run of joins, one for each more."""
    if _hanging(counts) is None:
        return False
    laid = chains.chains_hung(counts.panels, counts.good_of("chain_join") + 1)
    return laid - counts.hung() <= counts.chains_loose()


def _can_join(counts: Counts) -> bool:
    """Whether enough units are loose: two for a chain's first join, one for each more.

    The join that closes a chain into a ring takes none.
    """
    complete, _, begun = counts.chains_done()
    if complete >= len(counts.piece.chains):
        return True
    size = counts.piece.chains[complete][0]
    more = chains.begun_units(size, begun + 1) - chains.begun_units(size, begun)
    return counts.in_hand["unit"] >= more


def _chain_aim(counts: Counts) -> Aim | None:
    complete, _, begun = counts.chains_done()
    if complete >= len(counts.piece.chains):
        return None
    size, joins = counts.piece.chains[complete]
    in_chain = chains.begun_units(size, begun) + counts.in_hand["unit"]
    left = {"unit": max(0, size - in_chain), "unit_join": joins - begun}
    return _chain_aim_at(counts, left, complete + 1)


def _hang_aim(counts: Counts) -> Aim | None:
    at = _hanging(counts)
    if at is None or not _can_hang(counts):
        return None
    part, _ = _part_at(
        counts, at[0], [sum([times for _, times in runs]) for _, runs in counts.panels]
    )
    return Aim({"chain_join": at[2] - at[1] + 1}, part, "progress.next_hang")


def _rest_aim(counts: Counts) -> Aim | None:
    """The first with anything to do of left-over rows, panel joins, own steps and counted items."""
    piece = counts.piece
    for step in piece.structure.order:
        left = counts.left.get(step, 0)
        if left and step not in ("unit", "unit_join", "chain_join"):
            return Aim({step: left}, None, "progress.next_step", step=piece.row(step)["name"])
    for step in ("unit", "unit_join", "chain_join"):
        left = counts.left.get(step, 0)
        if left:
            return Aim({step: left}, None, "progress.next_step", step=piece.row(step)["name"])
    return None


def next_aim(counts: Counts) -> Aim | None:
    """What to work towards next; None when all is done."""
    begun = counts.chains_done()[2] > 0 or counts.in_hand["unit"] > 0
    order = [_chain_aim, _hang_aim] if begun else [_hang_aim, _chain_aim]
    for find in order + [_rest_aim]:
        found = find(counts)
        if found and any(found.left[step] for step in found.left):
            return found
    return None


def next_of(counts: Counts) -> tuple[Row | None, dict[str, Row]]:
    """(the piece's next work `{step, n, why}` or None, each step's own `{n, why}`).

    A step with nothing to do towards the next aim has none.
    """
    aim = next_aim(counts)
    steps: dict[str, Row] = {}
    if aim is None:
        return None, steps
    roll = counts.requirements_of(aim.left, aim.part)
    first: Row | None = None
    for step in counts.piece.structure.order:
        n = roll.to_go[step]
        if n <= 0:
            continue
        why = aim.why(counted(n, counts.piece.row(step)))
        steps[step] = {"n": n, "why": why}
        first = first or {"step": step, "n": n, "why": why}
    return first, steps


def position_of(counts: Counts, step: str) -> Row | None:
    """`{group, n, of}` of the next item: unit 14 of 20 in chain 7; None where all is made.

    Only steps whose items form groups have one.
    """
    at = chains.place(counts.piece.runs(step), counts.good_of(step))
    return None if at is None else {"group": at[0], "n": at[1], "of": at[2]}


def _reaches(counts: Counts, usage: Usage, items: int) -> bool:
    """Whether the loose items of this source are enough for so many items of the user."""
    if usage.source == "wind":
        return counts.rings_on_coils() >= items
    return counts.in_hand[usage.source] >= usage.wanted(counts.good[usage.user], items)


def _next_chain_lacks(counts: Counts) -> str:
    """The step that the next chain waits for: joins, or its unit where it is a single one."""
    complete = counts.chains_done()[0]
    chain = counts.piece.chains[complete] if complete < len(counts.piece.chains) else (0, 1)
    return "unit_join" if chain[1] else "unit"


def _lacks(counts: Counts, step: str, to_go: int) -> list[str]:
    """The steps of which too little is loose for even a handful of this step's items."""
    piece, out = counts.piece, []
    enough = max(1, min(HANDFUL, piece.row(step)["batch"], to_go))
    for usage in piece.structure.uses_by(step):
        if not _reaches(counts, usage, enough):
            out.append(usage.source)
    if step == "unit_join" and not _can_join(counts):
        out.append("unit")
    if step == "chain_join" and not _can_hang(counts):
        out.append(_next_chain_lacks(counts))
    return out


def _waits_for(counts: Counts, to_go: dict[str, int], step: str) -> str | None:
    """The step back along the line that can be worked now; None if this step need not wait.

    A source with nothing left to go is not it: it lacks only what rounding to a batch adds.
    """
    lacks = [s for s in _lacks(counts, step, to_go[step]) if to_go.get(s, 0) > 0]
    if not lacks:
        return None
    return _waits_for(counts, to_go, lacks[0]) or lacks[0]


def bottleneck(counts: Counts, to_go: dict[str, int], minutes: dict[str, float]) -> str | None:
    """The step for which the most work waits, in minutes; None where every step can go on.

    `to_go`: items to go by step; `minutes`: minutes an item by step.
    """
    waiting: dict[str, float] = {}
    for step in counts.piece.structure.order:
        if to_go.get(step, 0) <= 0 or (step not in NEEDED and step not in KEYS):
            continue
        cause = _waits_for(counts, to_go, step)
        if cause is not None:
            waiting[cause] = waiting.get(cause, 0.0) + to_go[step] * minutes[step]
    worst: str | None = None
    for step in counts.piece.structure.order:
        if step in waiting and (worst is None or waiting[step] > waiting[worst]):
            worst = step
    return worst
