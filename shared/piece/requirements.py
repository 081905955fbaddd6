"""What each step must still make: wants roll backwards from the finished piece to the wire.

A link says that `need` items of a step use up `amount` items of an earlier one. What lies
loose is taken first; what the maker's record says will spoil is added. With nothing made,
this is the plan; with the log's counts, it is what is left to go. No ring is lost between
steps: what a step must hand on is what the later ones start with.
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


class Link:
    """Items of step `user` use up items of step `source`: `runs` [[items, used], ...] in the order
    of work.

    `lost`: what an item used is lost when the item is spoiled, so that spoiled ones use up too.
    Where not
    (the closed rings of a unit whose rivet failed), the same things serve the next try.
    """

    def __init__(self, user: str, source: str, runs: list[list[int]], lost: bool) -> None:
        self.user = user
        self.source = source
        self.need = sum([items for items, _ in runs])
        self.amount = sum([used for _, used in runs])
        self.tally = CumulativeUse(runs)
        self.lost = lost

    def used(self, good: int, bad: int) -> int:
        """Source items that so many good items, and the bad ones made on the way, have used up."""
        return self.tally.upto(good) + (bad * self.amount // self.need if self.lost else 0)

    def wanted(self, at: int, items: int, extra: int = 0) -> int:
        """Source items that are enough for the next so many good items after `at` good ones, with
        `extra` spoiled.
        """
        out = self.tally.upto(at + items, up=True) - self.tally.upto(at)
        return out + ((extra * self.amount + self.need - 1) // self.need if self.lost else 0)


class Flow:
    """The links of one piece, its steps in making order, and the coils its rings come from."""

    def __init__(
        self,
        order: list[str],
        links: list[Link],
        ends: dict[str, int],
        coils: list[tuple[int, int]],
    ) -> None:
        self.order = order
        self.links = [link for link in links if link.need > 0 and link.amount > 0]
        self.ends = (
            ends  # step -> items the piece itself asks of it: units, joins, own steps, free counts
        )
        self.coils = coils  # (rings of one kind, rings a coil of it gives)

    def into(self, source: str) -> list[Link]:
        return [link for link in self.links if link.source == source]

    def out_of(self, user: str) -> list[Link]:
        return [link for link in self.links if link.user == user]


def per_coil(coils: list[tuple[int, int]]) -> float:
    """Rings a coil gives, over all kinds of ring in the piece."""
    rings = sum([n for n, _ in coils])
    wound = added([n / each for n, each in coils])
    return rings / wound if wound else 0.0


def coils_for(rings: int, coils: list[tuple[int, int]], on_coils: int = 0) -> int:
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


def through(seen: list[tuple[int, int]]) -> float:
    """The share that comes through these steps, by the record; 1 where there is none."""
    out = 1.0
    for good, bad in seen:
        out *= (good + 0.5) / (good + bad + 1.0)
    return out


class Roll:
    """One rolling back. `left` are good items of the ends still to come, `in_hand` what lies loose.

    `at`: good items that each step has made so far, which tells where in the order of work the next
    ones fall.
    """

    def __init__(
        self,
        flow: Flow,
        left: dict[str, int],
        in_hand: dict[str, int],
        seen: Seen,
        sure: float,
        known: dict[str, int] | None = None,
        at: dict[str, int] | None = None,
    ) -> None:
        self.at = {} if at is None else at
        self.flow = flow
        self.known = {} if known is None else known  # starts already reckoned, for this `sure`
        self.in_hand = in_hand
        self.seen = seen
        self.sure = sure
        self.hand_on: dict[str, int] = {}  # good items wanted of each step
        self.to_go: dict[str, int] = {}  # items to work, spoiled ones among them
        self.spare: dict[str, int] = {}  # loose items that nothing wants any more
        self.thin: list[str] = []  # steps whose record does not bear planning on
        self._lines: dict[
            str, list[tuple[int, int]]
        ] = {}  # ring step -> records along the line from there on
        self._ended: dict[
            str, int
        ] = {}  # ring step -> rings wanted at the end of the line that pass it
        for step in reversed(flow.order):
            self._step(step, left.get(step, 0))

    def _step(self, step: str, left: int) -> None:
        links = self.flow.into(step)
        if step in NEEDED or not links:
            self._set(step, left, self._start(step, left, self._seen(step)))
        elif step == "wind":
            self._coils(step, sum([self.to_go[link.user] for link in links]), left)
        elif step == "close":
            wanted = self._net(step, self._wanted(links)) + left
            self._set(step, wanted, self._start(step, wanted, self._seen(step)))
        else:
            self._ring_step(step, links, left)

    def _seen(self, step: str) -> list[tuple[int, int]]:
        return [self.seen[step]] if sum(self.seen.get(step, (0, 0))) else []

    def _start(self, step: str, need: int, seen: list[tuple[int, int]]) -> int:
        """Items to begin with; where nothing was recorded, none are expected to spoil."""
        if need <= 0 or not seen:
            return need
        try:
            return self._by_record(need, seen)
        except NoAnswer:
            self.thin.append(step)
            return need

    def _by_record(self, need: int, seen: list[tuple[int, int]]) -> int:
        key = str(need) + " " + " ".join([str(good) + "/" + str(bad) for good, bad in seen])
        if key not in self.known:
            self.known[key] = start_for(need, seen, self.sure)[0]
        return self.known[key]

    def _set(self, step: str, wanted: int, to_go: int) -> None:
        self.hand_on[step] = max(0, wanted)
        self.to_go[step] = max(0, to_go)

    def _net(self, step: str, wanted: int) -> int:
        """What is wanted beyond what lies loose."""
        loose = self.in_hand.get(step, 0)
        self.spare[step] = max(0, loose - wanted)
        return max(0, wanted - loose)

    def _wanted(self, links: list[Link]) -> int:
        """Source items for all these users; what spoils at a unit's rivet leaves its closed rings
        good.
        """
        out = 0
        for link in links:
            good = self.hand_on[link.user]
            out += link.wanted(self.at.get(link.user, 0), good, self.to_go[link.user] - good)
        return out

    def _ring_step(self, step: str, links: list[Link], left: int) -> None:
        """Rings pass a line of steps: the chance asked holds for the line as a whole, not for each
        step anew.
        """
        loose = self.in_hand.get(step, 0)
        ends = [link for link in links if link.user in NEEDED or link.user == "close"]
        on = [link for link in links if link not in ends]
        direct, later = self._wanted(ends), self._later(on)
        ended = direct + sum(
            [link.wanted(self.at.get(link.user, 0), self._ended[link.user]) for link in on]
        )
        self._ended[step] = max(0, ended - int(loose * through(later) + 1e-9))
        self._lines[step] = self._seen(step) + later
        wanted = self._net(step, direct + self._wanted(on))
        line = self._start(step, self._ended[step], self._lines[step]) if wanted else 0
        self._set(step, wanted + left, max(wanted, line) + left)

    def _later(self, on: list[Link]) -> list[tuple[int, int]]:
        """The records still before these rings; where the line parts, the longer ones."""
        out: list[tuple[int, int]] = []
        for link in on:
            out = max(out, self._lines[link.user], key=len)
        return out

    def _coils(self, step: str, rings: int, left: int) -> None:
        """`in_hand` of winding is told in rings still on the coils, since a coil can be half cut."""
        coils = coils_for(rings, self.flow.coils, self.in_hand.get(step, 0)) + left
        self._set(step, coils, self._start(step, coils, self._seen(step)))
