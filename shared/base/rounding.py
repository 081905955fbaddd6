"""Numbers: integer rounding, and figures as text for sentences, alike in both runtimes.

Float formatting and `round(x, n)` differ between the runtimes at ties, so text is made
from integers here. Everything else the engine returns is a raw number.
"""

from __future__ import annotations

import math

from .sentences import sentence


def nearest(x: float) -> int:
    """The nearest integer, halves up (never to even)."""
    return math.floor(x + 0.5)


def ratio(a: int, b: int) -> int:
    """a / b to the nearest integer, halves up, in integers only; b > 0."""
    return (2 * a + b) // (2 * b)


def added(values: list[float]) -> float:
    """The sum in the order given: `sum()` compensates in newer CPythons only."""
    total = 0.0
    for value in values:
        total += value
    return total


def days_words(n: int) -> str:
    """So many days, for a sentence."""
    return sentence("base.days_one") if n == 1 else sentence("base.days", n=n)


def figure(x: float, places: int = 0) -> str:
    """`figure(3.14159, 2)` is "3.14"; halves go away from zero; no trailing zeros are dropped."""
    scale = 10**places
    whole = math.floor(abs(x) * scale + 0.5)
    sign = "-" if x < 0 and whole else ""
    if not places:
        return sign + str(whole)
    tail = str(whole % scale)
    return sign + str(whole // scale) + "." + "0" * (places - len(tail)) + tail
