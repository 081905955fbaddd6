"""Work in progress of a piece: its plan and the log's totals, step by step.

    good  = done - spoiled      (`done` counts every item, the spoiled ones too)
    loose = good - used up by later steps
    left  = what the piece needs of the step's own - good

Steps are settled from the last to the first, so that what each uses up is known. Where more was
used than counted, the missing count is listed in `missing`, and the rest is worked out as if it
had been made: no figure is below zero unnoticed.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.sentences import sentence
from ..fabric import chains
from ..piece.piece import Piece
from ..piece.requirements import NetRequirements, coils_begun, most_rings_of, per_coil, rings_of
from ..piece.steps import KEYS, NEEDED, counted

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from ..piece.parts import Part

    Row = dict[str, Any]

COIL_SURPLUS = 0.05  # coils may give so much more than planned before one is missing


class Counts:
    """The log's totals beside the piece's plan: good, used up, loose and missing items by step.

    `journal` is `{step: {done, spoiled}}`; raises BadField naming the total that is no number.
    """

    def __init__(self, piece: Piece, journal: Fields) -> None:
        self.piece = piece
        self.counted: dict[str, int] = {}  # done, as counted
        self.done: dict[str, int] = {}  # done, with what is missing put in
        self.spoiled: dict[str, int] = {}
        self.good: dict[str, int] = {}
        self.in_hand: dict[str, int] = {}
        self.left: dict[str, int] = {}
        self.beyond: dict[str, int] = {}  # good items over what the piece holds
        self.missing: list[Row] = []  # {step, n, why}, in making order
        self.notes: list[Row] = []
        self.panels = [(p.panel["chains"], p.hanging_runs) for p in piece.parts]
        self._read(journal)
        for step in reversed(piece.structure.order):
            self._settle(step)
        self.missing.reverse()
        for row in self.missing:
            row["why"] = " ".join([self._missing_sentence(row)] + row["why"])

    def _read(self, journal: Fields) -> None:
        for step in self.piece.structure.order:
            one = journal.maybe_part(step, like='{"done": 120, "spoiled": 3}')
            done = one.integer("done", -(10**9), 10**9, 0) if one else 0
            self.counted[step] = self.done[step] = done
            self.spoiled[step] = one.integer("spoiled", 0, 10**9, 0) if one else 0
        for step in sorted(journal.data):
            if step not in self.done:
                why = sentence("progress.unknown_step", step=step[:60])
                self.notes.append({"step": step, "n": 0, "why": why})

    def _settle(self, step: str) -> None:
        """Good, left and loose of one step; the steps that use its items are settled already."""
        if self.spoiled[step] > self.done[step]:
            n = self.spoiled[step] - self.done[step]
            negative = self.counted[step] < 0
            self._miss(step, n, "progress.below_zero" if negative else "progress.spoiled_more")
            self.done[step] += n
        used = self._used(step)
        self.good[step] = self.done[step] - self.spoiled[step]
        if used > self.good[step]:
            n = used - self.good[step]
            self._miss(step, n, "progress.used_more")
            self.done[step] += n
            self.good[step] += n
        self._loose(step, used)

    def _miss(self, step: str, n: int, key: str) -> None:
        """Note that n items are missing from a step's count; `key`: the sentence on why."""
        if not self.missing or self.missing[-1]["step"] != step:
            self.missing.append({"step": step, "n": 0, "why": []})
        self.missing[-1]["n"] += n
        self.missing[-1]["why"].append(sentence(key))

    def _missing_sentence(self, row: Row) -> str:
        amount = counted(row["n"], self.piece.row(row["step"]))
        key = "progress.missing_one" if row["n"] == 1 else "progress.missing"
        return sentence(key, amount=amount)

    def _used(self, step: str) -> int:
        if step == "wind":
            return self._coils_used()
        if step == "unit":
            return self.chains_done()[1]
        if step == "unit_join":
            return chains.joins_within(self.piece.chains, self.hung())
        return sum(
            [
                k.used(self.good[k.user], self.spoiled[k.user])
                for k in self.piece.structure.uses_of(step)
            ]
        )

    def _cut(self) -> int:
        return sum([self.done[usage.user] for usage in self.piece.structure.uses_of("wind")])

    def _coils_used(self) -> int:
        """Coils that the cut rings must have come from, the missing ones included.

        A few rings more than planned from the coils wound are no missing coil.
        """
        coils, wound = self.piece.structure.coils, self.good_of("wind")
        each = per_coil(coils)
        if not each:
            return 0
        planned = most_rings_of(wound, coils)
        over = self._cut() - planned
        if over <= COIL_SURPLUS * planned:
            return 0
        return wound + max(1, int(over / each + 0.999))

    def good_of(self, step: str) -> int:
        """Good items of a step, 0 for one the piece does without."""
        return self.done.get(step, 0) - self.spoiled.get(step, 0)

    def hung(self) -> int:
        """Chains hung on their panels."""
        return chains.chains_hung(self.panels, self.good_of("chain_join"))

    def chains_done(self) -> tuple[int, int, int]:
        """(chains complete, units in chains, joins made in the chain in work)."""
        return chains.chains_done(
            self.piece.chains, self.good_of("unit_join"), self.good_of("unit")
        )

    def chains_loose(self) -> int:
        """Complete chains that are not hung and do not stand alone."""
        complete = self.chains_done()[0]
        return max(0, complete - self.hung() - chains.alone(self.panels, complete))

    def _loose(self, step: str, used: int) -> None:
        good, need = self.good[step], self.piece.structure.demand.get(step, 0)
        if step in NEEDED or step not in KEYS:
            self.left[step], self.beyond[step] = max(0, need - good), max(0, good - need)
            self.in_hand[step] = good - used if step == "unit" else 0
            return
        if step == "wind":
            used = 0
        self.left[step] = max(0, need - (good - used))
        self.in_hand[step] = max(0, good - used - need)

    def rings_on_coils(self) -> int:
        """Rings still to cut from the coils wound."""
        coils = self.piece.structure.coils
        return max(0, rings_of(self.in_hand.get("wind", 0), coils) - self._cut()) if coils else 0

    def coils_whole(self) -> int:
        """Coils wound and not begun."""
        wound = self.in_hand.get("wind", 0)
        return max(0, wound - coils_begun(self._cut(), self.piece.structure.coils))

    def loose(self) -> dict[str, int]:
        """Loose items by step, in the unit the next step uses: coils as the rings on them."""
        out = {step: self.in_hand[step] for step in sorted(self.in_hand)}
        if "wind" in out:
            out["wind"] = self.rings_on_coils()
        return out

    def stocktake_of(self, step: str) -> tuple[str, int]:
        """(what a maker can count by hand there, how many the log has).

        "loose" where later steps use the items up one by one, else "done", the good ones. Below 0
        where counts are missing.
        """
        good = self.counted[step] - self.spoiled[step]
        if step == "wind":
            return "loose", good - coils_begun(self._cut(), self.piece.structure.coils)
        if step == "unit" or (step in KEYS and step not in NEEDED):
            return "loose", good - self._used(step)
        return "done", good

    def in_hand_of(self, step: str) -> int:
        """Loose items as a maker counts them: whole coils, rings, units; chains for unit joins."""
        if step == "wind":
            return self.coils_whole()
        return self.chains_loose() if step == "unit_join" else self.in_hand[step]

    def requirements(self) -> NetRequirements:
        """Items to go by step for the whole piece, losses included."""
        piece = self.piece
        return NetRequirements(
            piece.structure, self.left, self.loose(), piece.seen, piece.sure, piece.known, self.good
        )

    def requirements_of(self, left: dict[str, int], part: Part | None) -> NetRequirements:
        """Items to go by step for so much of the work, without losses.

        `left`: good items still to make by step; `part`: whose coils they come from, None for all.
        """
        return NetRequirements(
            self.piece.bill.structure(part),
            left,
            self.loose(),
            {},
            self.piece.sure,
            None,
            self.good,
        )
