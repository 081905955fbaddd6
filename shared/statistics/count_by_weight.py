"""Counting by weight: how many rings lie in the pan, and how far that can be trusted.

A reference of n counted rings gives the mean mass. Rings differ (`spread_percent`, one
standard deviation of single rings), and the scale shows steps of `scale_g`, a rounding error
of step/sqrt(12), twice over where the zero or tare is rounded as well. First-order
propagation of uncertainty (as in JCGM 100, Guide to the Expression of Uncertainty in
Measurement); 95 % is 1.96 standard deviations. Masses in g, everything else in rings.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.rounding import nearest

if TYPE_CHECKING:
    from typing import Any

Z = 1.96
ONE = 1.5  # an estimate this near rounds to the count or its neighbour
MOST = 10**7
HAIR = 1e-9


class Scale:
    """One way of weighing: n reference rings of a mean mass, spread `cv` (a share), one reading's
    error in rings.
    """

    def __init__(
        self,
        n: int,
        mean_g: float,
        cv: float,
        step_g: float,
        tare: bool = True,
        in_pan: bool = False,
    ) -> None:
        self.n = n
        self.mean_g = mean_g
        self.cv2 = cv * cv
        self.roundings = math.sqrt(6 if tare else 12)
        rho = step_g / self.roundings / mean_g
        self.rho2 = rho * rho
        self.in_pan = in_pan

    def u(self, count: float) -> float:
        """Standard uncertainty of a count, in rings; what is in the reference is known if it stays
        in the pan.
        """
        n, ratio2 = self.n, (count / self.n) * (count / self.n)
        rings = count * (count - n) / n if self.in_pan else count + count * count / n
        return math.sqrt(self.cv2 * max(0.0, rings) + self.rho2 * (1 + ratio2))

    def reference_for(self, count: float, error: float) -> int | None:
        """The smallest reference that holds `error` at 95 %; None where no reference does."""
        limit = (error / Z) * (error / Z)
        a = self.rho2 * count * count
        b = self.cv2 * count * count
        c = self.rho2 - limit + (-self.cv2 * count if self.in_pan else self.cv2 * count)
        if c >= 0:
            return None
        root = _root(a, b, c)
        n = 1 if root is None else math.ceil(1 / root - HAIR)
        n = min(n, math.ceil(count - HAIR)) if self.in_pan else n
        return max(1, n) if n <= MOST else None

    def largest_batch(self, error: float) -> int:
        """The most rings that this reference still counts within `error` at 95 %; 0 if none."""
        limit = (error / Z) * (error / Z)
        a = self.cv2 / self.n + self.rho2 / (self.n * self.n)
        b = -self.cv2 if self.in_pan else self.cv2
        root = _root(a, b, self.rho2 - limit)
        if root is None:
            return MOST if self.rho2 < limit else 0
        return min(MOST, math.floor(root + HAIR))


def _root(a: float, b: float, c: float) -> float | None:
    """The larger root of a x^2 + b x + c where it is above 0."""
    if a == 0:
        return -c / b if b > 0 and c < 0 else None
    inside = b * b - 4 * a * c
    if inside < 0:
        return None
    root = -2 * c / (b + math.sqrt(inside)) if b >= 0 else (math.sqrt(inside) - b) / (2 * a)
    return root if root > 0 else None


def spread_of(sums_g: list[float], size: int) -> float:
    """Spread of single rings (a share of the mean) from weighings of `size` rings each."""
    n, mean, squares = len(sums_g), 0.0, 0.0
    for x in sums_g:
        mean += x / n
    for x in sums_g:
        squares += (x - mean) * (x - mean)
    return math.sqrt(squares / (n - 1)) / math.sqrt(size) / (mean / size)


def _spread(q: Fields) -> float:
    """From `spread_percent`, or from `samples: {size, grams: [..]}` of the maker's own weighing."""
    part = q.maybe_part("samples")
    if part is None:
        return q.number("spread_percent", 0, 30, example="1") / 100
    size = part.integer("size", 1, 10000, 1)
    sums = part.entries("grams", least=5, most=1000)
    each = [Fields({"grams": g}, part.path) for g in sums]
    grams = [f.number("grams", 0.0001, 10**6, example="3.1") for f in each]
    return spread_of(grams, size)


def _scale(q: Fields) -> tuple[Scale, float]:
    reference = q.part("reference", like='{"rings": 20, "grams": 6}')
    n = reference.integer("rings", 1, 10**6, example="20")
    mean = reference.number("grams", 0.0001, 10**6, example="6") / n
    step = q.number("scale_g", 0, 1000, example="0.1")
    return Scale(n, mean, _spread(q), step, q.flag("tare_rounded", True), q.flag("in_pan")), mean


def _advice(scale: Scale, count: int, within: int, best: int | None, largest: int) -> list[str]:
    if within == 0:
        return [plain(count) + " to the very ring, at 95 %."]
    said = ["Within " + plain(within) + " of " + plain(count) + " at 95 %."]
    if within == 1:
        return said
    if not largest and not best:
        return said + [_hopeless(scale)]
    ways = ["take a reference of " + plain(best) + " rings"] if best else []
    if largest:
        ways.append("weigh at most " + plain(largest) + " at a time")
    said[0] = said[0][:-1] + "; for 1 ring either way " + ", or ".join(ways) + "."
    return said


def _hopeless(scale: Scale) -> str:
    """Why no batch of this size can be told to a ring, and what would help."""
    out = "To 1 ring either way this cannot be counted"
    if scale.rho2 < (ONE / Z) * (ONE / Z):
        return out + " with so few in the reference: weigh a larger one, or smaller batches."
    finest = (ONE / Z) * scale.mean_g * scale.roundings
    return (
        out
        + " on this scale, however it is used: one in steps of "
        + _step(finest)
        + " g or finer could."
    )


def _step(most: float) -> str:
    """The largest of 1, 0.5, 0.2, 0.1, ... below `most`, as scales are sold."""
    size, k = 1000.0, 0
    while size > most and k < 24:
        size, k = size / (2.5 if k % 3 == 1 else 2), k + 1
    return plain(size)


def answer(q: Fields) -> dict[str, Any]:
    """Rings in `batch_g` (the whole pan, reference included if `in_pan`), lowest and highest at 95
    %.
    """
    scale, mean = _scale(q)
    exact = q.number("batch_g", 0, 10**7, example="60") / mean
    if exact > MOST:
        raise q.bad("batch_g", "More than " + plain(MOST) + " rings: weigh in smaller batches.")
    if scale.in_pan and exact < scale.n - 0.5:
        why = (
            "The pan is lighter than the reference that is said to lie in it: weigh both together, "
        )
        raise q.bad(
            "batch_g", why + "from " + plain(scale.n * mean) + " g on, or say in_pan: false."
        )
    count, u = nearest(exact), scale.u(exact)
    low, high = math.ceil(exact - Z * u - HAIR), math.floor(exact + Z * u + HAIR)
    within = max(0, math.ceil(Z * u - 0.5 - HAIR))
    best, largest = scale.reference_for(exact, ONE), scale.largest_batch(ONE)
    return {
        "count": count,
        "low": max(0, min(count, low)),
        "high": max(count, high),
        "u_rings": u,
        "mean_g": mean,
        "certain_within": within,
        "need_reference": best,
        "need_reference_percent": scale.reference_for(exact, exact / 100) if exact else None,
        "largest_batch": largest,
        "notes": _advice(scale, count, within, best, largest),
    }
