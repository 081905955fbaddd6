"""From rows to work: units, chains, joins, left-overs; what is riveted before assembly and what in
place.

A unit is four closed rings on one open ring. Units in a row make a chain three rows tall, an open
ring joining each to the next; a row of open rings joins chain to chain. So r = 4 c - 1 rows of 2 k
columns are c chains of k units with k - 1 unit joins each, hung by c - 1 runs of 2 k - 1 chain joins;
on a tube k joins a chain, and runs of 2 k. What does not fit is left over and put in singly: a last
closed row with the open row that holds it, a last column, an open edge row.

Every open ring is one item of one step, and takes along the closed rings that no earlier item holds.
The order of work is fixed, so that it is known how many the n-th item takes: chain by chain along the
rows from the start edge; each further chain is hung by its own run of chain joins: the ring at the
end of the chain before it, the ring that closes a round row (at the row's last chain), then the open
row above it as far as the chain reaches. Left-overs come last: the column, the row, the edge.

Units of four on one, joined to chains and chains to fabric, are common practice in four-in-one; the
counts are derived here and checked by fabrics built ring by ring (tests/outside/test_assembly.py).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .consumption import Consumption

if TYPE_CHECKING:
    from typing import Any

    from .rows import Rows

    Span = tuple[int, int]  # units of a chain along its row, from 0: first, behind the last

STEPS = ("unit", "unit_join", "chain_join", "left_over")


class AssemblyOrder:
    """The order of assembly of one row plan.

    `consumption[step]`: open rings that the step rivets, with the closed ones they take along.
    `chains`: (units, unit joins) of each, in order of work; `hanging`: chain joins of each run, the
    first hanging the second chain. `spans[r]`: the chains of the r-th three rows; `first[r]`: how
    many lie before.
    """

    def __init__(self, rows: Rows, most_units: int = 0) -> None:
        self.rows = rows
        self.open_rows = rows.open
        self.most_units = most_units  # in one chain; 0 = as many as the row holds
        self.consumption = {step: Consumption() for step in STEPS}
        self.chains: list[tuple[int, int]] = []
        self.hanging: list[int] = []
        self.spans: list[list[Span]] = []
        self.first: list[int] = []
        self.upto: list[
            list[int]
        ] = []  # rings of the open row above that lie over each of these chains or before it
        self.fives = [rows.fives(i) for i in range(rows.steps)]
        self.row = [0, 0]  # left over: closed, open
        self.column = [0, 0]
        self.plain = (
            not rows.round and not rows.starts and not rows.changes() and rows.closed[0] % 2 == 1
        )
        for i in range(0, self.paired, 2):
            self._chain_row(i)
        if rows.ringed and not self.odd:
            self._hang(self._width(rows.steps - 1), [])
        self._leftovers()

    @property
    def paired(self) -> int:
        """Closed rows that belong to a chain."""
        return len(self.rows.closed) // 2 * 2

    @property
    def odd(self) -> bool:
        """A last closed row belongs to no chain."""
        return self.paired < len(self.rows.closed)

    @property
    def chain_units(self) -> list[int]:
        """Units of each chain, in order of work."""
        return [units for units, _ in self.chains]

    @property
    def open_by(self) -> dict[str, int]:
        """Rings that each step rivets in place."""
        return {step: self.consumption[step].items for step in STEPS}

    @property
    def closed_by(self) -> dict[str, int]:
        """Closed rings that each step takes up."""
        return {step: self.consumption[step].closed for step in STEPS}

    def _width(self, i: int) -> int:
        """Rings of open row i that are not of the column left over."""
        return self.open_rows[i] - (1 if self.plain else 0)

    def split(self, r: int) -> bool:
        """The r-th three rows are of several chains."""
        return len(self.spans[r]) > 1

    def closing(self, r: int) -> bool:
        """The r-th three rows close on themselves by a ring between their last chain and their
        first.
        """
        return self.rows.round and self.split(r)

    def _chain_row(self, i: int) -> None:
        """Closed rows i and i + 1 with the open row between: their chains, made and hung one after
        the other.
        """
        r, n = i // 2, self._width(i)
        units = n // 2 if self.rows.round else (n + 1) // 2
        self.spans.append(_spans(units, self.most_units))
        self.first.append(len(self.chains))
        self.upto.append(self._hung_upto(r))
        fives, upto = self.fives[i], self.upto[r]
        for t, (a, b) in enumerate(self.spans[r]):
            here = fives[count_upto(fives, 2 * a - 1) : count_upto(fives, 2 * b - 1)]
            self.consumption["unit"].add_spotted(b - a, 4, [x // 2 - a for x in here if x % 2 == 0])
            inner = [(x - 1) // 2 - a for x in here if x % 2 == 1 and x < 2 * b - 1]
            self.chains.append((b - a, self._joins(r, n, t, inner)))
            if r or t:
                before = [x for x in self._ends(r, n, t) if x is not None]
                above = upto[t] - (upto[t - 1] if t else 0)
                self._hang(
                    above + len(before),
                    [1 if x in fives else 0 for x in before],
                    r,
                    upto[t] - above,
                )

    def _joins(self, r: int, n: int, t: int, inner: list[int]) -> int:
        """The rings that join the units of one chain (`inner` of them hold five), and at its row's
        end: how many.
        """
        (a, b), consumption = self.spans[r][t], self.consumption["unit_join"]
        consumption.add_spotted(b - a - 1, 0, inner)
        if t < len(self.spans[r]) - 1:
            return b - a - 1
        last = n - 1 if self.closing(r) else n
        for x in range(2 * b - 1, last):
            consumption.add(1, self._beyond_units(n, x) + (1 if x in self.fives[2 * r] else 0))
        return b - a - 1 + max(0, last - 2 * b + 1)

    def _beyond_units(self, n: int, x: int) -> int:
        """Closed rings of a last odd column, above and below, that the ring behind the last unit
        takes.
        """
        return 0 if self.rows.round and (n % 2 == 0 or x == n - 1) else 2

    def _ends(self, r: int, n: int, t: int) -> list[int | None]:
        """Places in the chains' own open row of the rings that hang chain t: at its beginning, at
        the row's end.
        """
        begin = 2 * self.spans[r][t][0] - 1 if t else None
        return [begin, n - 1 if self.closing(r) and t == len(self.spans[r]) - 1 else None]

    def _hang(self, rings: int, first: list[int], r: int = 0, skip: int = 0) -> None:
        """One run of chain joins; `first` are closed rings that its first items take, the rest are
        of the row above.
        """
        self.hanging.append(rings)
        consumption = self.consumption["chain_join"]
        for closed in first:
            consumption.add(1, closed)
        rest = rings - len(first)
        loose = self._reaching(2 * r - 1) if r and self.rows.starts else []
        consumption.add_counted(rest, [x - skip for x in loose if skip <= x < skip + rest])

    def _hung_upto(self, r: int) -> list[int]:
        """Rings of the open row above the r-th three rows that lie over each chain of theirs or one
        before it.
        """
        if not r:
            return [0] * len(self.spans[r])
        rows, i = self.rows, 2 * r - 1
        width = self._width(i)
        out: list[int] = []
        more = self.fives[i] if rows.change(i) > 0 else []
        shift = rows.open_start(2 * r) - rows.open_start(i) if rows.starts else 0
        for t in range(len(self.spans[r]) - 1):
            end = self.end(r, t, True) + shift
            x = min(end - 2, width - 1)
            while x >= 0 and x + 2 + count_upto(more, x) > end:
                x -= 1
            out.append(max(out[-1] if out else 0, x + 1))
        return out + [width]

    def end(self, r: int, t: int, upper: bool) -> int:
        """Closed rings of the upper (or lower) row of the r-th three that chains up to t take up."""
        rows, b = self.rows, self.spans[r][t][1]
        fives = self.fives[2 * r] if (rows.change(2 * r) < 0) == upper else []
        return 2 * b + count_upto(fives, 2 * b - 2)

    def _reaching(self, i: int) -> list[int]:
        """Rows cut short: the ring of open row i that takes each closed ring reaching beyond its
        own chain.
        """
        rows, begin = self.rows, self.rows.open_start(i)
        out = []
        beside = [(i, i - 1)] if self.odd and i == self.paired - 1 else [(i, i - 1), (i + 1, i + 1)]
        for row, chain in beside:
            start, inner = rows.starts[row], rows.open_start(chain)
            reach = inner + self.open_rows[chain] + 1
            columns = list(range(start, inner)) + list(range(reach, start + rows.closed[row]))
            out.extend([max(0, column - begin - 1) for column in columns])
        return sorted(out)

    def _leftovers(self) -> None:
        rows, consumption = self.rows, self.consumption["left_over"]
        if self.plain:
            whole = (
                self.paired - 1 if self.odd else rows.steps
            )  # open rows that are not of the row left over
            consumption.add_counted(
                whole, [0] + list(range(self.paired - 1)) if self.paired else []
            )
        self.column = [consumption.closed, consumption.items]
        if self.odd and rows.steps:
            self._last_row(self.paired - 1)
            self.row = [consumption.closed - self.column[0], consumption.items - self.column[1]]
        self._edge()

    def _last_row(self, i: int) -> None:
        """The closed row left over, hung by open row i; where the rows meet, then joined on to the
        first.
        """
        rows, n = self.rows, self.open_rows[i]
        more = self.fives[i] if rows.change(i) > 0 else []
        new = [0] + list(range(n - 1 if rows.round else n)) + more
        self.consumption["left_over"].add_counted(
            n, sorted(new + (self._reaching(i) if rows.starts else []))
        )
        if rows.ringed:
            self.consumption["left_over"].add(self.open_rows[i + 1], 0)

    def _edge(self) -> None:
        """The open edge row hangs on what is there; under a single closed row it takes up that."""
        n = self.rows.edge_rings
        new = [] if self.rows.steps or not n else [0] + list(range(n - 1 if self.rows.round else n))
        self.consumption["left_over"].add_counted(n, new)
        if new:
            self.row[0] = len(new)

    @property
    def closed(self) -> int:
        """Closed rings in all."""
        return sum(self.rows.closed)

    @property
    def open(self) -> int:
        """Open rings in all, those of the edge row too."""
        return sum(self.open_rows) + self.rows.edge_rings

    @property
    def closing_rings(self) -> int:
        """Open rings that make the tube of a flat panel; they are among the joins."""
        if self.rows.round:
            return self.rows.steps + (1 if self.rows.edge else 0)
        return self.rows.open_row(self.rows.steps - 1) if self.rows.ringed else 0

    def fits(self) -> bool:
        """Nothing is left over."""
        return not self.consumption["left_over"].items

    def _corner(self) -> tuple[list[int], list[int]]:
        """(row, column) left over, the rings where both meet counted with the column."""
        row, column = list(self.row), list(self.column)
        if self.plain and self.odd:
            row[0], column[0] = row[0] - 1, column[0] + 1
            if self.rows.steps:
                over = 2 if self.rows.ringed else 1
                row[1], column[1] = row[1] - over, column[1] + over
        return row, column

    def as_json(self) -> dict[str, Any]:
        """Rings, links, units, chains, joins and left-overs, as the question `panel` answers them."""
        row, column = self._corner()
        open_by, closed_by = self.open_by, self.closed_by
        left = {
            "closed": closed_by["left_over"],
            "open": open_by["left_over"],
            "row": {"closed": row[0], "open": row[1]},
            "column": {"closed": column[0], "open": column[1]},
            "edge": {"closed": 0, "open": self.rows.edge_rings},
        }
        return {
            "rings": self.closed + self.open,
            "closed": self.closed,
            "open": self.open,
            "links": self.rows.links,
            "units": open_by["unit"],
            "chains": len(self.chains),
            "chain_units": self.chain_units,
            "unit_joins": open_by["unit_join"],
            "chain_joins": open_by["chain_join"],
            "left_over": left,
            "left_over_rings": closed_by["left_over"] + open_by["left_over"],
            "closed_by_step": closed_by,
            "open_by_step": open_by,
            "closing_rings": self.closing_rings,
        }


def _spans(units: int, most: int) -> list[Span]:
    """One chain, or several of `most` units and one of the rest."""
    most = most or units
    return [(a, min(a + most, units)) for a in range(0, units, most)]


def count_upto(places: list[int], x: int) -> int:
    """How many of these places (ascending) are x or before it."""
    low, high = 0, len(places)
    while low < high:
        middle = (low + high) // 2
        if places[middle] <= x:
            low = middle + 1
        else:
            high = middle
    return low
