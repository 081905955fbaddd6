"""The rows of a panel: how many rings each closed row holds, and where rings are added or taken away.

Closed rows c_0 .. c_s are planned first, two row pitches apart; an open row lies between each two and
follows from them:

    o_i = min(c_i, c_i+1) - 1                     flat: an open ring sits between two columns
    o_i = min(c_i, c_i+1)                         round: rows closed on themselves
    links = sum(4 o_i + |c_i+1 - c_i|) + 2 e      e rings of an open edge row

A change of width is a ring more or fewer in the next closed row: one ring of the open row between
holds five instead of four, so that every closed ring can still be riveted before assembly. The n
changes of a row lie at floor((2 j + 1) o / (2 n)), j = 0 .. n - 1, on a tube turned on by 0.618 of a
gap a step. Derived here, checked by fabrics built ring by ring (tests/outside/test_assembly.py).
Integers only, so that both runtimes agree.
"""

from __future__ import annotations

from ..base.rounding import ratio

# thousandths of a gap by which changes on a tube move on each step, so that they do not line up: the
# golden ratio leaves the most even spread
TURN_PERMILLE = 618


class Rows:
    """A row plan: rings of each closed row from the start edge.

    `round`: rows closed on themselves (a tube). `ringed`: the last row joined back to the
    first (a tube whose rows run down). `edge`: one more open row, held on one side only.
    `wanted`: the width wanted at each closed row, mm, where a size was asked for.
    `starts`: where each closed row begins, in rings, if the rows are cut short in steps at their
    ends; else [].
    `remarks`: where the plan had to leave what was asked for, in sentences.
    """

    def __init__(
        self, closed: list[int], round: bool = False, ringed: bool = False, edge: bool = False
    ) -> None:
        self.closed = closed
        self.round = round
        self.ringed = ringed
        self.edge = edge
        self.wanted: list[float] = []
        self.starts: list[int] = []
        self.sloped = False  # rows run down a shape whose sides may slope
        self.remarks: list[str] = []
        self.clipped = False

    @property
    def steps(self) -> int:
        """From one closed row to the next."""
        return len(self.closed) if self.ringed else len(self.closed) - 1

    def pair(self, i: int) -> tuple[int, int]:
        """The closed rows on both sides of open row i."""
        return self.closed[i], self.closed[(i + 1) % len(self.closed)]

    def open_row(self, i: int) -> int:
        """Rings of open row i."""
        a, b = self.pair(i)
        if self.starts:
            return min(self.starts[i] + a, self.starts[i + 1] + b) - self.open_start(i) - 1
        return min(a, b) - (0 if self.round else 1)

    def open_start(self, i: int) -> int:
        """Where open row i begins between rows cut short."""
        return max(self.starts[i], self.starts[i + 1])

    @property
    def all_starts(self) -> list[int]:
        """`starts` of closed and open rows in turn."""
        out: list[int] = []
        for i, start in enumerate(self.starts):
            out.append(start)
            if i < self.steps:
                out.append(self.open_start(i))
        return out

    @property
    def open(self) -> list[int]:
        """Every open row that is held on both sides."""
        return [self.open_row(i) for i in range(self.steps)]

    @property
    def edge_rings(self) -> int:
        """Rings of the open edge row."""
        return self.closed[-1] - (0 if self.round else 1) if self.edge else 0

    @property
    def count(self) -> int:
        """How many rows, closed and open."""
        return len(self.closed) + self.steps + (1 if self.edge else 0)

    @property
    def rings(self) -> int:
        """All rings, closed and open."""
        return sum(self.closed) + sum(self.open) + self.edge_rings

    @property
    def rows(self) -> list[int]:
        """Closed and open in turn, first one closed."""
        out: list[int] = []
        for closed, open_row in zip(self.closed, self.open):
            out.append(closed)
            out.append(open_row)
        if not self.ringed:
            out.append(self.closed[-1])
        return out + [self.edge_rings] if self.edge else out

    @property
    def links(self) -> int:
        """An open ring holds four closed ones, five at a change, two in an edge row."""
        out = 2 * self.edge_rings
        for i in range(self.steps):
            out += 4 * self.open_row(i) + abs(self.change(i))
        return out

    def change(self, i: int) -> int:
        """Rings more (or fewer, below 0) in the closed row after open row i; rows cut short have no
        changes.
        """
        a, b = self.pair(i)
        return 0 if self.starts else b - a

    def changes(self) -> list[int]:
        """The open rows whose two closed rows differ, from 0."""
        return [i for i in range(self.steps) if self.change(i)]

    def fives(self, i: int) -> list[int]:
        """Which rings of open row i hold five, from 0, ascending."""
        n = abs(self.change(i))
        return spread_evenly(self.open_row(i), n, i if self.round else 0) if n else []

    def steep(self) -> int | None:
        """The first open row with fewer rings than changes to carry."""
        for i in range(self.steps):
            if abs(self.change(i)) > self.open_row(i):
                return i
        return None


def spread_evenly(row: int, n: int, turn: int = 0) -> list[int]:
    """n of `row` rings, evenly spread (gaps differ by one at most), 0 < n <= row; turned on by
    `turn` steps.
    """
    shift = turn * TURN_PERMILLE * row // (1000 * n)
    return sorted([((2 * j + 1) * row // (2 * n) + shift) % row for j in range(n)])


def even_steps(first: int, last: int, steps: int) -> list[int]:
    """first..last in even steps: 60 to 32 in 10 is 60 57 54 52 49 46 43 40 38 35 32."""
    sign = 1 if last >= first else -1
    return [first + sign * ratio(i * abs(last - first), steps) for i in range(steps + 1)]


def interpolate(widths: list[tuple[float, float]], at: float) -> float:
    """The width at a height, straight lines between the points given (heights ascending)."""
    for (a, low), (b, high) in zip(widths, widths[1:]):
        if at <= b:
            return low + (high - low) * (at - a) / (b - a)
    return widths[-1][1]


def limit_changes(ideal: list[int], most: int) -> list[int]:
    """The nearest row of integers that changes by `most` a step: halfway between the two hulls."""
    high, low = list(ideal), list(ideal)
    n = len(ideal)
    for i, j in [(k, k - 1) for k in range(1, n)] + [(k, k + 1) for k in range(n - 2, -1, -1)]:
        high[i] = min(high[i], high[j] + most)
        low[i] = max(low[i], low[j] - most)
    return [(a + b) // 2 for a, b in zip(high, low)]
