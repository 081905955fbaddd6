"""Where a piece stands: its plan and the log's totals, step by step.

`done` counts every item that went through a step, the spoiled ones among them; good is
done less spoiled. Loose is what was made and not yet used up. Where more was used than
counted, the count that is missing is named, and the piece is worked out as if it were there:
nothing is ever below zero in silence.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..fabric import chains
from ..piece.piece import Piece
from ..piece.requirements import Roll, coils_begun, most_rings_of, per_coil, rings_of
from ..piece.steps import KEYS, NEEDED, counted

if TYPE_CHECKING:
    from typing import Any

    from ..base.fields import Fields
    from ..piece.parts import Part

    Row = dict[str, Any]

_SPOILED = "More were spoiled than counted: every item is counted, the spoiled ones too."
OPEN_HANDED = 0.05  # coils may give so much more than planned before a coil is missed


def _missed(row: Row) -> Row:
    return {"step": row["step"], "n": row["n"], "why": row["text"] + ". " + row["why"]}


class Counts:
    """Totals of the log laid over the piece's flow: good, used up, loose, missing."""

    def __init__(self, piece: Piece, journal: Fields) -> None:
        self.piece = piece
        self.told: dict[str, int] = {}  # done, as counted
        self.done: dict[str, int] = {}  # done, with what is missing put in
        self.spoiled: dict[str, int] = {}
        self.good: dict[str, int] = {}
        self.in_hand: dict[str, int] = {}
        self.left: dict[str, int] = {}
        self.beyond: dict[str, int] = {}  # good items over what the piece holds
        self.missing: list[Row] = []
        self.notes: list[Row] = []
        self.panels = [(p.panel["chains"], p.hanging_runs) for p in piece.parts]
        self._read(journal)
        for step in reversed(piece.flow.order):
            self._settle(step)
        self.missing = [_missed(row) for row in reversed(self.missing)]

    def _read(self, journal: Fields) -> None:
        for step in self.piece.flow.order:
            one = journal.maybe_part(step, like='{"done": 120, "spoiled": 3}')
            self.told[step] = self.done[step] = (
                one.integer("done", -(10**9), 10**9, 0) if one else 0
            )
            self.spoiled[step] = one.integer("spoiled", 0, 10**9, 0) if one else 0
        for step in sorted(journal.data):
            if step not in self.done:
                self.notes.append(
                    {
                        "step": step,
                        "n": 0,
                        "why": "'" + step[:60] + "' is counted, but no step of this piece.",
                    }
                )

    def _settle(self, step: str) -> None:
        """One step, its users being settled before it."""
        if self.spoiled[step] > self.done[step]:
            n = self.spoiled[step] - self.done[step]
            why = "More were taken off than were ever counted." if self.told[step] < 0 else _SPOILED
            self._miss(step, n, why)
            self.done[step] += n
        used = self._used(step)
        self.good[step] = self.done[step] - self.spoiled[step]
        if used > self.good[step]:
            n = used - self.good[step]
            self._miss(step, n, "Later steps used up more than was counted here.")
            self.done[step] += n
            self.good[step] += n
        self._loose(step, used)

    def _miss(self, step: str, n: int, why: str) -> None:
        if self.missing and self.missing[-1]["step"] == step:
            last = self.missing.pop()
            n, why = n + last["n"], last["why"] + " " + why
        text = (
            counted(n, self.piece.row(step))
            + (" is" if n == 1 else " are")
            + " missing from the count"
        )
        self.missing.append({"step": step, "n": n, "why": why, "text": text})

    def _used(self, step: str) -> int:
        if step == "wind":
            return self._coils_used()
        if step == "unit":
            return self.chains_done()[1]
        if step == "unit_join":
            return chains.joins_within(self.piece.chains, self.hung())
        return sum(
            [k.used(self.good[k.user], self.spoiled[k.user]) for k in self.piece.flow.into(step)]
        )

    def _cut(self) -> int:
        return sum([self.done[link.user] for link in self.piece.flow.into("wind")])

    def _coils_used(self) -> int:
        """Coils that the rings cut must have come from; a few rings more from a coil are no missing
        coil.
        """
        coils, wound = self.piece.flow.coils, self.good_of("wind")
        each = per_coil(coils)
        if not each:
            return 0
        given = most_rings_of(wound, coils)
        over = self._cut() - given
        if over <= OPEN_HANDED * given:
            return 0
        return wound + max(1, int(over / each + 0.999))

    def good_of(self, step: str) -> int:
        return self.done.get(step, 0) - self.spoiled.get(step, 0)

    def hung(self) -> int:
        return chains.chains_hung(self.panels, self.good_of("chain_join"))

    def chains_done(self) -> tuple[int, int, int]:
        """(chains complete, units taken up, joins in the chain under way)."""
        return chains.chains_done(
            self.piece.chains, self.good_of("unit_join"), self.good_of("unit")
        )

    def chains_loose(self) -> int:
        complete = self.chains_done()[0]
        return max(0, complete - self.hung() - chains.alone(self.panels, complete))

    def _loose(self, step: str, used: int) -> None:
        good, need = self.good[step], self.piece.flow.ends.get(step, 0)
        if step in NEEDED or step not in KEYS:
            self.left[step], self.beyond[step] = max(0, need - good), max(0, good - need)
            self.in_hand[step] = good - used if step == "unit" else 0
            return
        if step == "wind":
            used = 0
        self.left[step] = max(0, need - (good - used))
        self.in_hand[step] = max(0, good - used - need)

    def rings_on_coils(self) -> int:
        """Rings still to be cut from coils wound."""
        coils = self.piece.flow.coils
        return max(0, rings_of(self.in_hand.get("wind", 0), coils) - self._cut()) if coils else 0

    def coils_whole(self) -> int:
        wound = self.in_hand.get("wind", 0)
        return max(0, wound - coils_begun(self._cut(), self.piece.flow.coils))

    def stock(self) -> dict[str, int]:
        """What lies loose, as the flow takes it: coils in rings."""
        out = {step: self.in_hand[step] for step in sorted(self.in_hand)}
        if "wind" in out:
            out["wind"] = self.rings_on_coils()
        return out

    def lying(self, step: str) -> tuple[str, int]:
        """What a maker can count by hand, and how many the log says: ("loose", n) where later steps
        take items up one by one, else ("done", n), the good ones. Below zero where counts are
        missing.
        """
        good = self.told[step] - self.spoiled[step]
        if step == "wind":
            return "loose", good - coils_begun(self._cut(), self.piece.flow.coils)
        if step == "unit" or (step in KEYS and step not in NEEDED):
            return "loose", good - self._used(step)
        return "done", good

    def shown(self, step: str) -> int:
        """In hand as a maker counts it: whole coils, loose rings, loose units, loose chains."""
        if step == "wind":
            return self.coils_whole()
        return self.chains_loose() if step == "unit_join" else self.in_hand[step]

    def rolled(self) -> Roll:
        """What is left to go."""
        piece = self.piece
        return Roll(
            piece.flow, self.left, self.stock(), piece.seen, piece.sure, piece.known, self.good
        )

    def rolled_for(self, left: dict[str, int], part: Part | None) -> Roll:
        """What that much of the work takes, losses aside, from coils of the part it belongs to."""
        return Roll(
            self.piece.bill.flow(part), left, self.stock(), {}, self.piece.sure, None, self.good
        )
