"""Wire gauges: a number to millimetres and back, in every system at once.

'16 gauge' is four wires in four systems, so no answer ever shows one system alone.
The table (tables/gauges.json) carries its sources; the American gauge is a formula, with n the
number: d = 0.127 mm * 92^((36 - n) / 39) (ASTM B258). The nearest number is nearest in ratio,
min |ln(d_n / d)|, since gauge sizes rise by ratios.
"""

from __future__ import annotations

import json
import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.rounding import figure
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

FINEST = 36  # the last number that all four systems have
SAME_WIRE = 0.01  # a gauge within 1 % of the wire is called that gauge: drawn wire is no truer

with open(__file__[: -len("material/gauges.py")] + "tables/gauges.json", "rb") as _file:
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
    text = sentence(
        "material.gauge_by_system",
        gauge=plain(number),
        thin_mm=figure(thin, 2),
        thick_mm=figure(thick, 2),
        ratio=figure(ratio, 2),
    )
    notes = [text, sentence("material.gauge_others")]
    return {"gauge": number, "systems": rows, "mass_ratio": ratio, "notes": notes}


def answer(q: Fields) -> dict[str, Any]:
    """`gauge` (0..36), or `wire_mm`: then each system's nearest number, its own wire and how far
    off that is.
    """
    if q.has("gauge") == q.has("wire_mm"):
        raise q.bad("gauge", sentence("material.gauge_or_wire"))
    if q.has("gauge"):
        number = q.integer("gauge", 0, FINEST, example="16")
        return _spread(number, [_row(s, number) for s in SYSTEMS])
    wire = q.number("wire_mm", 0.1, 10, example="1.6")
    return {"wire_mm": wire, "systems": [_matched(s, wire) for s in SYSTEMS]}
