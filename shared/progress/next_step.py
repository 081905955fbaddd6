"""What to make next and how much of it, and which step starves the others.

The aim is the nearest joining point: the end of the chain under way, then its hanging on
the panel, then what is left over. Rolling that aim back through what lies loose gives the
first step that has anything to do, and how much of it the aim takes.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..fabric import chains
from ..piece.steps import KEYS, NEEDED, counted

if TYPE_CHECKING:
    from typing import Any

    from ..piece.parts import Part
    from ..piece.requirements import Link
    from .work_in_progress import Counts

    Row = dict[str, Any]
    Aim = tuple[
        dict[str, int], str, Part | None
    ]  # good items of the piece's own ends, where that leads, whose they are

HANDFUL = 10  # a step with fewer loose items before it waits for the step before


def _part_at(counts: Counts, group: int, sizes: list[int]) -> tuple[Part | None, int]:
    """(the part that a group belongs to, its number within the part); `sizes` are the groups of
    each part.
    """
    for part, size in zip(counts.piece.parts, sizes):
        if group <= size:
            return part, group
        group -= size
    return None, group


def _chain_part(counts: Counts, group: int) -> tuple[Part | None, str]:
    """Chains are counted within their panel; the panel is named where there are several."""
    parts = counts.piece.parts
    part, number = _part_at(counts, group, [p.panel["chains"] for p in parts])
    if part is None:
        return None, "the chain"
    return part, "chain " + str(number) + (" of " + part.name if len(parts) > 1 else "")


def _hanging(counts: Counts) -> tuple[int, int, int] | None:
    return chains.place(counts.piece.runs("chain_join"), counts.good_of("chain_join"))


def _can_hang(counts: Counts) -> bool:
    """A panel's first run of joins takes two loose chains, every further one takes one, as far as
    there are any.
    """
    if _hanging(counts) is None:
        return False
    laid = chains.chains_hung(counts.panels, counts.good_of("chain_join") + 1)
    return laid - counts.hung() <= counts.chains_loose()


def _can_join(counts: Counts) -> bool:
    """The first join of a chain takes two loose units, every further one takes one, a closing one
    none.
    """
    complete, _, begun = counts.chains_done()
    if complete >= len(counts.piece.chains):
        return True
    size = counts.piece.chains[complete][0]
    more = chains.begun_units(size, begun + 1) - chains.begun_units(size, begun)
    return counts.in_hand.get("unit", 0) >= more


def _chain_aim(counts: Counts) -> Aim | None:
    complete, _, begun = counts.chains_done()
    if complete >= len(counts.piece.chains):
        return None
    size, joins = counts.piece.chains[complete]
    in_chain = chains.begun_units(size, begun) + counts.in_hand.get("unit", 0)
    left = {"unit": max(0, size - in_chain), "unit_join": joins - begun}
    part, name = _chain_part(counts, complete + 1)
    return left, "the end of " + name, part


def _hang_aim(counts: Counts) -> Aim | None:
    at = _hanging(counts)
    if at is None or not _can_hang(counts):
        return None
    part, _ = _part_at(
        counts, at[0], [sum([times for _, times in runs]) for _, runs in counts.panels]
    )
    return {"chain_join": at[2] - at[1] + 1}, "the end of this row of chain joins", part


def _rest_aim(counts: Counts) -> Aim | None:
    """Left-over rows, joins of panels, own steps and free counts: the first with anything to do,
    whole.
    """
    piece = counts.piece
    for step in piece.flow.order:
        left = counts.left.get(step, 0)
        if left and step not in ("unit", "unit_join", "chain_join"):
            return {step: left}, "the end of '" + piece.row(step)["name"] + "'", None
    for step in ("unit", "unit_join", "chain_join"):
        if counts.left.get(step, 0):
            return {step: counts.left[step]}, "the end of '" + piece.row(step)["name"] + "'", None
    return None


def aim(counts: Counts) -> Aim | None:
    """Where the work leads next; None when all is done."""
    begun = counts.chains_done()[2] > 0 or counts.in_hand.get("unit", 0) > 0
    order = [_chain_aim, _hang_aim] if begun else [_hang_aim, _chain_aim]
    for find in order + [_rest_aim]:
        found = find(counts)
        if found and any(found[0][step] for step in found[0]):
            return found
    return None


def next_of(counts: Counts) -> tuple[Row | None, dict[str, Row]]:
    """(the piece's next work, each step's own next); a step with nothing to do towards the aim has
    none.
    """
    found = aim(counts)
    steps: dict[str, Row] = {}
    if found is None:
        return None, steps
    roll = counts.rolled_for(found[0], found[2])
    first: Row | None = None
    for step in counts.piece.flow.order:
        n = roll.to_go[step]
        if n <= 0:
            continue
        why = counted(n, counts.piece.row(step)) + " to reach " + found[1] + "."
        steps[step] = {"n": n, "why": why}
        first = first or {"step": step, "n": n, "why": why}
    return first, steps


def spot_of(counts: Counts, step: str) -> Row | None:
    """`unit 14 of 20 in chain 7` as figures, for steps whose items gather in groups."""
    at = chains.place(counts.piece.runs(step), counts.good_of(step))
    return None if at is None else {"group": at[0], "n": at[1], "of": at[2]}


def _reaches(counts: Counts, link: Link, items: int) -> bool:
    """Whether the loose items of this source are enough for so many items of the user."""
    if link.source == "wind":
        return counts.rings_on_coils() >= items
    return counts.in_hand[link.source] >= link.wanted(counts.good[link.user], items)


def _starving(counts: Counts) -> str:
    """What the next chain waits for: a join, or a unit where it is a single one."""
    complete = counts.chains_done()[0]
    chain = counts.piece.chains[complete] if complete < len(counts.piece.chains) else (0, 1)
    return "unit_join" if chain[1] else "unit"


def _lacks(counts: Counts, step: str, to_go: int) -> list[str]:
    """Sources too empty for even a handful of this step's items."""
    piece, out = counts.piece, []
    enough = max(1, min(HANDFUL, piece.row(step)["batch"], to_go))
    for link in piece.flow.out_of(step):
        if not _reaches(counts, link, enough):
            out.append(link.source)
    if step == "unit_join" and not _can_join(counts):
        out.append("unit")
    if step == "chain_join" and not _can_hang(counts):
        out.append(_starving(counts))
    return out


def _culprit(counts: Counts, to_go: dict[str, int], step: str) -> str | None:
    """From a starved step back to the one that can be worked now; None if the step is not starved.

    A source with nothing left to go is no culprit: what it lacks is only its rounding to a batch.
    """
    lacks = [s for s in _lacks(counts, step, to_go[step]) if to_go.get(s, 0) > 0]
    if not lacks:
        return None
    return _culprit(counts, to_go, lacks[0]) or lacks[0]


def bottleneck(counts: Counts, to_go: dict[str, int], minutes: dict[str, float]) -> str | None:
    """The step that holds up the most work, in minutes of the steps it starves; None where every
    step can go on.
    """
    held: dict[str, float] = {}
    for step in counts.piece.flow.order:
        if to_go.get(step, 0) <= 0 or (step not in NEEDED and step not in KEYS):
            continue
        culprit = _culprit(counts, to_go, step)
        if culprit is not None:
            held[culprit] = held.get(culprit, 0.0) + to_go[step] * minutes[step]
    worst: str | None = None
    for step in counts.piece.flow.order:
        if step in held and (worst is None or held[step] > held[worst]):
            worst = step
    return worst
