"""What each step must still make: net requirements, from the finished piece back to the wire.

Material requirements planning (Orlicky 1975) along the steps of one piece. Going back from the last
step, with D_s what the piece itself asks of step s (independent demand), U_us what items of a later
step u use of s, and L_s what lies loose:

    wanted_s = max(0, sum_u U_us(items of u) - L_s) + D_s
    to_go_s  = the smallest number of starts that gives wanted_s good ones, by the record of losses

The use runs in the order of work, see fabric.consumption. With nothing made this is the plan; with
the log's counts, it is what is left to go. Rings pass a line of steps (cut .. pierce): for them the
chance asked holds for the line as a whole (statistics.yield_starts). No ring is lost between steps:
what a step must hand on is what the later ones start with.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.errors import NoAnswer
from ..base.rounding import added
from ..fabric.consumption import CumulativeUse
from ..statistics.yield_starts import start_for
from .steps import NEEDED

if TYPE_CHECKING:
    Seen = dict[str, tuple[int, int]]  # step -> (good, bad)


class Usage:
    """Items of step `user` use up items of step `source`: `runs` [[items, used], ...] in the order
    of work.

    `lost`: what an item used is lost when the item is spoiled, so that spoiled ones use up too. Where
    not (the closed rings of a unit whose rivet failed), the same things serve the next try.
    """

    def __init__(self, user: str, source: str, runs: list[list[int]], lost: bool) -> None:
        self.user = user
        self.source = source
        self.need = sum([items for items, _ in runs])
        self.amount = sum([used for _, used in runs])
        self.cumulative = CumulativeUse(runs)
        self.lost = lost

    def used(self, good: int, bad: int) -> int:
        """Source items that so many good items, and the bad ones made on the way, have used up."""
        return self.cumulative.used_by(good) + (bad * self.amount // self.need if self.lost else 0)

    def wanted(self, at: int, items: int, extra: int = 0) -> int:
        """Source items that are enough for the next so many good items after `at` good ones, with
        `extra` spoiled.
        """
        out = self.cumulative.used_by(at + items, up=True) - self.cumulative.used_by(at)
        return out + ((extra * self.amount + self.need - 1) // self.need if self.lost else 0)


class ProductStructure:
    """The uses of one piece, its steps in making order, and the coils its rings come from."""

    def __init__(
        self,
        order: list[str],
        usages: list[Usage],
        demand: dict[str, int],
        coils: list[tuple[int, int]],
    ) -> None:
        self.order = order
        self.usages = [usage for usage in usages if usage.need > 0 and usage.amount > 0]
        # independent demand: step -> items the piece itself asks of it (units, joins, own steps)
        self.demand = demand
        self.coils = coils  # (rings of one kind, rings a coil of it gives)

    def uses_of(self, source: str) -> list[Usage]:
        """The uses of this step's items by later ones."""
        return [usage for usage in self.usages if usage.source == source]

    def uses_by(self, user: str) -> list[Usage]:
        """What this step's items use of earlier ones."""
        return [usage for usage in self.usages if usage.user == user]


def per_coil(coils: list[tuple[int, int]]) -> float:
    """Rings a coil gives, over all kinds of ring in the piece."""
    rings = sum([n for n, _ in coils])
    wound = added([n / each for n, each in coils])
    return rings / wound if wound else 0.0


def coils_for(rings: int, coils: list[tuple[int, int]], on_coils: int) -> int:
    """Whole coils to wind for so many rings still to be cut, of which `on_coils` come from coils
    wound already.

    Kinds are cut one after another in the order of `coils`, so what is left are the last of them;
    no coil serves two.
    Where losses ask for more than all kinds' rings, each kind gets its share of the more.
    """
    total = sum([n for n, _ in coils])
    if rings <= 0 or not total:
        return 0
    left, out = rings, 0
    for i in range(len(coils) - 1, -1, -1):
        n, each = coils[i]
        here = left if i == 0 else min(left, (max(rings, total) * n + total - 1) // total)
        left -= here
        if not left:
            here -= on_coils
        if here > 0:
            out += (here + each - 1) // each
        if not left:
            break
    return out


def rings_of(wound: int, coils: list[tuple[int, int]]) -> int:
    """Rings that so many coils give, wound and cut kind after kind; the last kind takes all further
    coils.
    """
    left, out = wound, 0
    for n, each in coils[:-1]:
        whole = (n + each - 1) // each
        if left < whole:
            return out + min(n, left * each)
        left, out = left - whole, out + n
    return out + left * coils[-1][1] if coils else 0


def coils_begun(rings: int, coils: list[tuple[int, int]]) -> int:
    """Coils that so many rings were cut from, kind after kind, the last one perhaps in part."""
    left, out = rings, 0
    for n, each in coils[:-1]:
        here = min(left, n)
        left, out = left - here, out + (here + each - 1) // each
    return out + (left + coils[-1][1] - 1) // coils[-1][1] if coils else 0


def _by_yield(kind: tuple[int, int]) -> int:
    return -kind[1]


def most_rings_of(wound: int, coils: list[tuple[int, int]]) -> float:
    """The most that so many coils can have given, whatever was wound first."""
    left, out = float(wound), 0.0
    for n, each in sorted(coils, key=_by_yield):
        take = min(left, n / each)
        left, out = left - take, out + take * each
    return out + left * max([each for _, each in coils])


def share_through(seen: list[tuple[int, int]]) -> float:
    """The share that comes through these steps, by the record; 1 where there is none."""
    out = 1.0
    for good, bad in seen:
        out *= (good + 0.5) / (good + bad + 1.0)
    return out


class NetRequirements:
    """The net requirements of every step. `left`: good items still to come of what the piece itself
    asks for; `in_hand`: what lies loose.

    `at`: good items that each step has made so far, which tells where in the order of work the next
    ones fall.
    """

    def __init__(
        self,
        structure: ProductStructure,
        left: dict[str, int],
        in_hand: dict[str, int],
        seen: Seen,
        sure: float,
        known: dict[str, int] | None = None,
        at: dict[str, int] | None = None,
    ) -> None:
        self.at = {} if at is None else at
        self.structure = structure
        self.known = {} if known is None else known  # starts already worked out, for this `sure`
        self.in_hand = in_hand
        self.seen = seen
        self.sure = sure
        self.to_make: dict[str, int] = {}  # good items wanted of each step
        self.to_go: dict[str, int] = {}  # items to work, spoiled ones among them
        self.spare: dict[str, int] = {}  # loose items that nothing wants any more
        self.thin_records: list[str] = []  # steps whose record does not bear planning on
        self._lines: dict[
            str, list[tuple[int, int]]
        ] = {}  # ring step -> records along the line from there on
        self._ended: dict[
            str, int
        ] = {}  # ring step -> rings wanted at the end of the line that pass it
        for step in reversed(structure.order):
            self._step(step, left.get(step, 0))

    def _step(self, step: str, left: int) -> None:
        usages = self.structure.uses_of(step)
        if step in NEEDED or not usages:
            self._set(step, left, self._start(step, left, self._seen(step)))
        elif step == "wind":
            self._coils(step, sum([self.to_go[usage.user] for usage in usages]), left)
        elif step == "close":
            wanted = self._net(step, self._wanted(usages)) + left
            self._set(step, wanted, self._start(step, wanted, self._seen(step)))
        else:
            self._ring_step(step, usages, left)

    def _seen(self, step: str) -> list[tuple[int, int]]:
        return [self.seen[step]] if sum(self.seen.get(step, (0, 0))) else []

    def _start(self, step: str, need: int, seen: list[tuple[int, int]]) -> int:
        """Items to begin with; where nothing was recorded, none are expected to spoil."""
        if need <= 0 or not seen:
            return need
        try:
            return self._by_record(need, seen)
        except NoAnswer:
            self.thin_records.append(step)
            return need

    def _by_record(self, need: int, seen: list[tuple[int, int]]) -> int:
        key = str(need) + " " + " ".join([str(good) + "/" + str(bad) for good, bad in seen])
        if key not in self.known:
            self.known[key] = start_for(need, seen, self.sure)[0]
        return self.known[key]

    def _set(self, step: str, wanted: int, to_go: int) -> None:
        self.to_make[step] = max(0, wanted)
        self.to_go[step] = max(0, to_go)

    def _net(self, step: str, wanted: int) -> int:
        """What is wanted beyond what lies loose."""
        loose = self.in_hand.get(step, 0)
        self.spare[step] = max(0, loose - wanted)
        return max(0, wanted - loose)

    def _wanted(self, usages: list[Usage]) -> int:
        """Source items for all these users; what spoils at a unit's rivet leaves its closed rings
        good.
        """
        out = 0
        for usage in usages:
            good = self.to_make[usage.user]
            out += usage.wanted(self.at.get(usage.user, 0), good, self.to_go[usage.user] - good)
        return out

    def _ring_step(self, step: str, usages: list[Usage], left: int) -> None:
        """Rings pass a line of steps: the chance asked holds for the line as a whole, not for each
        step by itself.
        """
        loose = self.in_hand.get(step, 0)
        demand = [usage for usage in usages if usage.user in NEEDED or usage.user == "close"]
        on = [usage for usage in usages if usage not in demand]
        direct, later = self._wanted(demand), self._later(on)
        ended = direct + sum(
            [usage.wanted(self.at.get(usage.user, 0), self._ended[usage.user]) for usage in on]
        )
        self._ended[step] = max(0, ended - int(loose * share_through(later) + 1e-9))
        self._lines[step] = self._seen(step) + later
        wanted = self._net(step, direct + self._wanted(on))
        line = self._start(step, self._ended[step], self._lines[step]) if wanted else 0
        self._set(step, wanted + left, max(wanted, line) + left)

    def _later(self, on: list[Usage]) -> list[tuple[int, int]]:
        """The records still before these rings; where the line parts, the longer ones."""
        out: list[tuple[int, int]] = []
        for usage in on:
            out = max(out, self._lines[usage.user], key=len)
        return out

    def _coils(self, step: str, rings: int, left: int) -> None:
        """`in_hand` of winding is in rings still on the coils, since a coil can be half cut."""
        coils = coils_for(rings, self.structure.coils, self.in_hand.get(step, 0)) + left
        self._set(step, coils, self._start(step, coils, self._seen(step)))
