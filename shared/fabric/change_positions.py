"""Where a row changes, by the work at the bench: which unit or joining ring holds five.

In an open row inside a chain the even rings x = 0, 2, 4 .. are the middles of units x / 2 and the odd
ones join a unit to the next; an open row between two chains is joining rings only. assembly.py lays
down the order in which they are worked. Everything is counted from 1: rows and rings from the start
edge and the row's beginning, chains as in `chain_units`, units and joins within their chain, joining
rings within the run that hangs a chain, left-over rings along their row. Derived here, checked by
fabrics built ring by ring (tests/outside).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from .assembly import count_upto

if TYPE_CHECKING:
    from typing import Any

    from .assembly import AssemblyOrder

    Place = tuple[
        str, int, int, str, int
    ]  # part, chain, the chain hung on it (0: none), what holds five, its number


def _in_chain(assembly: AssemblyOrder, i: int, x: int) -> Place:
    """A ring of the open row inside a chain: a unit's own, a unit join, or one that joins two
    chains' ends.
    """
    r, n = i // 2, assembly.open_rows[i]
    spans = assembly.spans[r]
    units, k = spans[-1][1], min(x // 2, spans[-1][1] - 1)
    t = k // spans[0][1]  # all but the last are of one length
    a, b = spans[t]
    chain = assembly.first[r] + t + 1
    if x % 2 == 0 and x // 2 < units:
        return "chain", chain, 0, "units", k - a + 1
    if assembly.closing(r) and x == n - 1:
        return "chain_join", assembly.first[r] + 1, chain, "rings", 2
    if k == b - 1 and t < len(spans) - 1:
        return "chain_join", chain, chain + 1, "rings", 1
    return "chain", chain, 0, "joins", (x + 1) // 2 - a if x % 2 else units - a + 1


def _above(assembly: AssemblyOrder, i: int, x: int) -> int:
    """The chain that ring x of open row i hangs on: the last of the row above that it reaches."""
    rows, r = assembly.rows, (i - 1) // 2
    shift = rows.open_start(i) - rows.open_start(i - 1) if rows.starts else 0
    more = assembly.fives[i] if rows.change(i) < 0 else []
    column, low, high = x + shift + 1 + count_upto(more, x), 0, len(assembly.spans[r]) - 1
    while low < high:
        middle = (low + high) // 2
        if assembly.end(r, middle, False) <= column:
            low = middle + 1
        else:
            high = middle
    return assembly.first[r] + low + 1


def _between(assembly: AssemblyOrder, i: int, x: int) -> Place:
    """A ring of an open row between chains, counted in the run that hangs the chain below it."""
    if assembly.odd and i >= assembly.paired - 1:
        return "left_over", _above(assembly, i, x), 0, "rings", x + 1
    r = (i + 1) // 2
    upto = assembly.upto[r]
    t = min(count_upto(upto, x), len(upto) - 1)
    ahead = (1 if t else 0) + (1 if assembly.closing(r) and t == len(upto) - 1 else 0)
    at = x - (upto[t - 1] if t else 0) + ahead + 1
    return "chain_join", _above(assembly, i, x), assembly.first[r] + t + 1, "rings", at


def changes(assembly: AssemblyOrder) -> list[dict[str, Any]]:
    """Every change, by open row and by what it falls on: `[{row, by, at, part, chain, ...}]`, all
    from 1.

    `row` is a place in `rows`, `at` are the rings of that open row that hold five, `by` is rings
    more (or fewer, below 0) in the closed row after it. `part` is `chain` (`units` whose own open
    ring holds five, `joins`: join 3 is the ring behind unit 3), `chain_join` (`rings` of the run that
    hangs chain `to` on `chain`) or `left_over` (`rings` of the row below `chain`). A row of several
    chains has an entry for each.
    """
    rows = assembly.rows
    out: list[dict[str, Any]] = []
    for i in rows.changes():
        sign = 1 if rows.change(i) > 0 else -1
        entries: list[dict[str, Any]] = []
        for x in assembly.fives[i]:
            part, chain, to, what, n = (
                _in_chain(assembly, i, x)
                if i % 2 == 0 and i < assembly.paired
                else _between(assembly, i, x)
            )
            entry = _entry(entries, part, chain, to)
            entry["row"] = 2 * i + 2
            entry["by"] += sign
            entry["at"].append(x + 1)
            entry[what].append(n)
        out.extend(entries)
    return out


def _entry(entries: list[dict[str, Any]], part: str, chain: int, to: int) -> dict[str, Any]:
    """The row's entry for this part and chain; a new one where there is none yet."""
    for entry in entries:
        if entry["part"] == part and entry["chain"] == chain and entry.get("to", 0) == to:
            return entry
    new: dict[str, Any] = {"row": 0, "by": 0, "at": [], "part": part, "chain": chain}
    if part == "chain":
        new["units"], new["joins"] = [], []
    else:
        new["rings"] = []
    if to:
        new["to"] = to
    entries.append(new)
    return new
