"""From rows to work: units, chains, joins, left-overs; what is riveted before weaving and what in place.

A unit is four closed rings on one open ring. Units in a row make a chain three rows tall,
an open ring joining each to the next; a row of open rings joins chain to chain. Rows come
in fours less one; what does not fit is left over and woven in singly: a last closed row
with the open row that holds it, a last column, an open edge row.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

    from .rows import Rows

STEPS = ("unit", "unit_join", "chain_join", "left_over")


class Work:
    """Tally of one row plan: `open_by` are rings each step rivets in place, `closed_by` closed ones it takes up."""

    def __init__(self, rows: Rows, most_units: int = 0) -> None:
        self.rows = rows
        self.open_rows = rows.open
        self.most_units = most_units  # in one chain; 0 = as many as the row holds
        self.open_by = dict.fromkeys(STEPS, 0)
        self.closed_by = dict.fromkeys(STEPS, 0)
        self.chain_units: list[int] = []
        self.row = [0, 0]  # left over: closed, open
        self.column = [0, 0]
        self.plain = not rows.round and not rows.starts and not rows.changes() and rows.closed[0] % 2 == 1
        for i in range(rows.steps):
            self._open_row(i)
        self._leftovers()

    @property
    def paired(self) -> int:
        """Closed rows that belong to a chain."""
        return len(self.rows.closed) // 2 * 2

    def _open_row(self, i: int) -> None:
        n = self.open_rows[i]
        if self.plain:  # a last odd column: its ring of this row is left over
            n -= 1
            self.column[1] += 1
        if i % 2 == 0 and i < self.paired:
            self._chain(i, n)
        elif i == self.paired - 1 and i < len(self.rows.closed) - 1:
            self.row[1] += n
        else:
            self.open_by["chain_join"] += n

    def _chain(self, i: int, n: int) -> None:
        units = n // 2 if self.rows.round else (n + 1) // 2
        lengths = _lengths(units, self.most_units)
        self.chain_units.extend(lengths)
        ends = len(lengths) - 1
        self.open_by["unit"] += units
        self.open_by["unit_join"] += n - units - ends
        self.open_by["chain_join"] += ends
        a, b = self.rows.pair(i)
        extra = a + b - 4 * units
        if self.plain:
            self.column[0] += 2
            extra -= 2
        if self.rows.starts:
            extra = self._reaching(i, n, a, b) - 4 * units
        on_units = self._on_units(i)
        self.closed_by["unit"] += 4 * units + on_units
        self.closed_by["unit_join"] += extra - on_units

    def _reaching(self, i: int, n: int, a: int, b: int) -> int:
        """Rows cut short: closed rings within the chain; what reaches beyond it is taken up by the next open row."""
        beyond = a + b - 2 * (n + 1)
        if i + 1 == self.paired - 1 and self.paired < len(self.rows.closed):
            last = b - (n + 1)
            self.row[0] += last
            beyond -= last
        self.closed_by["chain_join"] += beyond
        return 2 * (n + 1)

    def _on_units(self, i: int) -> int:
        """Changes that fall on the middle ring of a unit: it then holds five."""
        by = abs(self.rows.change(i))
        if not by:
            return 0
        middles = self.open_rows[i] // 2 * 2 if self.rows.round else self.open_rows[i]
        return len([x for x in self.rows.places(i) if x % 2 == 0 and x < middles])

    def _leftovers(self) -> None:
        closed = self.rows.closed
        if self.paired < len(closed):
            self.row[0] += closed[-1] - (1 if self.plain else 0)
            self.column[0] += 1 if self.plain else 0
        self.closed_by["left_over"] = self.row[0] + self.column[0]
        self.open_by["left_over"] = self.row[1] + self.column[1] + self.rows.edge_rings

    @property
    def closed(self) -> int:
        return sum(self.rows.closed)

    @property
    def open(self) -> int:
        return sum(self.open_rows) + self.rows.edge_rings

    @property
    def closing(self) -> int:
        """Open rings that make the tube of a flat panel; they are among the joins."""
        if self.rows.round:
            return self.rows.steps + (1 if self.rows.edge else 0)
        return self.rows.open_row(self.rows.steps - 1) if self.rows.ringed else 0

    def fits(self) -> bool:
        """Nothing is left over."""
        return not self.open_by["left_over"] and not self.closed_by["left_over"]

    def figures(self) -> dict[str, Any]:
        left = {
            "closed": self.closed_by["left_over"],
            "open": self.open_by["left_over"],
            "row": {"closed": self.row[0], "open": self.row[1]},
            "column": {"closed": self.column[0], "open": self.column[1]},
            "edge": {"closed": 0, "open": self.rows.edge_rings},
        }
        return {
            "rings": self.closed + self.open,
            "closed": self.closed,
            "open": self.open,
            "links": self.rows.links,
            "units": self.open_by["unit"],
            "chains": len(self.chain_units),
            "chain_units": self.chain_units,
            "unit_joins": self.open_by["unit_join"],
            "chain_joins": self.open_by["chain_join"],
            "left_over": left,
            "left_over_rings": self.closed_by["left_over"] + self.open_by["left_over"],
            "closed_by_step": self.closed_by,
            "open_by_step": self.open_by,
            "closing_rings": self.closing,
        }


def _lengths(units: int, most: int) -> list[int]:
    """One chain, or several of `most` units and one of the rest."""
    if not most or units <= most:
        return [units]
    return [most] * (units // most) + ([units % most] if units % most else [])
