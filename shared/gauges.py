"""Wire gauges: number to millimetres and back, in every system at once."""

from __future__ import annotations

from .fields import Fields

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any


def american_mm(number: int) -> float:
    """American wire gauge by its formula, mm. Source: ASTM B258 (0.005 in at No. 36, 39 steps of 92^(1/39))."""
    return 0.127 * math_pow(92.0, (36 - number) / 39)


def math_pow(a: float, b: float) -> float:
    return float(a**b)


def answer(q: Fields) -> dict[str, Any]:
    n = q.integer("gauge", 0, 40)
    return {"systems": [{"system": "awg", "wire_mm": american_mm(n)}]}
