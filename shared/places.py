"""Where a row changes, in the words of the work: which unit or joining ring holds five.

The rings of an open row inside a chain are by turns the middle of a unit and the ring that
joins it to the next; an open row between two chains is joining rings only. All counted from 1,
along the row from its beginning, chains from the start edge. assembly.py counts by the same rule.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

    from .assembly import Work
    from .rows import Rows


def _in_chain(rows: Rows, i: int, at: list[int]) -> dict[str, Any]:
    """`units` whose own open ring holds five, `joins` (join 3: the ring between units 3 and 4) that do."""
    n = rows.open_row(i)
    middles = n // 2 * 2 if rows.round else n
    on_units = [x for x in at if x % 2 == 0 and x < middles]
    joins = [x for x in at if x not in on_units]
    return {
        "part": "chain",
        "chain": i // 2 + 1,
        "units": [x // 2 + 1 for x in on_units],
        "joins": [(x + 1) // 2 for x in joins],
    }


def _between(i: int, at: list[int], left: bool) -> dict[str, Any]:
    """`rings` of the open row below `chain` that hold five."""
    return {"part": "left_over" if left else "chain_join", "chain": (i + 1) // 2, "rings": [x + 1 for x in at]}


def changes(rows: Rows, work: Work) -> list[dict[str, Any]]:
    """Rows.changes(), each with the place of its work."""
    out = rows.changes()
    for change in out:
        i = change["row"] // 2
        if i % 2 == 0 and i < work.paired:
            place = _in_chain(rows, i, change["at"])
        else:
            place = _between(i, change["at"], i == work.paired - 1 and i < len(rows.closed) - 1)
        for name in sorted(place):
            change[name] = place[name]
    return out
