"""Wire gauges: a number to millimetres and back, in every system at once.

'16 gauge' is four wires in four systems, so no answer ever shows one system alone.
The table (tables/gauges.json) carries its sources; the American gauge is a formula.
"""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.rounding import figure

if TYPE_CHECKING:
    from typing import Any

FINEST = 36  # the last number that all four systems have
SAME_WIRE = 0.01  # a gauge within 1 % of the wire is called that gauge: drawn wire is no truer

OTHERS = (
    "Sheet metal, music wire and drill steel have gauges of their own again, with other sizes under"
    " the same numbers."
)

with open(__file__[: -len("material/gauges.py")] + "tables/gauges.json") as _file:
    SYSTEMS: list[dict[str, Any]] = json.load(_file)["systems"]


def american_mm(number: int) -> float:
    """American wire gauge by its formula, mm. Source: ASTM B258."""
    return 0.127 * float(92.0 ** ((36 - number) / 39))


def wire_mm(system: dict[str, Any], number: int) -> float:
    """Diameter of one gauge number, 0..36, in mm."""
    if "rows" not in system:
        return american_mm(number)
    return float(system["rows"][number]["ten_thousandths_in"] * 254) / 100000


def nearest_gauge(system: dict[str, Any], wire: float) -> int:
    """The number whose wire is nearest in ratio; of two equally near, the thicker."""
    return min(range(FINEST + 1), key=lambda n: (abs(math.log(wire_mm(system, n) / wire)), n))


def _row(system: dict[str, Any], number: int) -> dict[str, Any]:
    row = {
        "system": system["system"],
        "name": system["name"],
        "gauge": number,
        "wire_mm": wire_mm(system, number),
    }
    row["source"] = system["source"]
    if "rows" in system and "note" in system["rows"][number]:
        row["note"] = system["rows"][number]["note"]
    return row


def _matched(system: dict[str, Any], wire: float) -> dict[str, Any]:
    row = _row(system, nearest_gauge(system, wire))
    row["off_percent"] = 100 * (row["wire_mm"] / wire - 1)
    row["close"] = abs(row["off_percent"]) <= 100 * SAME_WIRE
    return row


def _spread(number: int, rows: list[dict[str, Any]]) -> dict[str, Any]:
    """The same number in every system, and how much that leaves open."""
    thin, thick = min([r["wire_mm"] for r in rows]), max([r["wire_mm"] for r in rows])
    ratio = (thick / thin) * (thick / thin)
    said = (
        plain(number)
        + " gauge is "
        + figure(thin, 2)
        + " to "
        + figure(thick, 2)
        + " mm by system; the thickest weighs "
    )
    said += figure(ratio, 2) + " times the thinnest. Measure the wire, and plan in millimetres."
    return {"gauge": number, "systems": rows, "mass_ratio": ratio, "notes": [said, OTHERS]}


def answer(q: Fields) -> dict[str, Any]:
    """`gauge` (0..36), or `wire_mm`: then each system's nearest number, its own wire and how far
    off that is.
    """
    if q.has("gauge") == q.has("wire_mm"):
        raise q.bad(
            "gauge",
            "Give either a gauge number, for example 16, or wire_mm, for example 1.6; one of the"
            " two.",
        )
    if q.has("gauge"):
        number = q.integer("gauge", 0, FINEST, example="16")
        return _spread(number, [_row(s, number) for s in SYSTEMS])
    wire = q.number("wire_mm", 0.1, 10, example="1.6")
    return {"wire_mm": wire, "systems": [_matched(s, wire) for s in SYSTEMS]}
