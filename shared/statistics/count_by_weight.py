"""Counting by weight: how many rings lie in the pan, and how far that can be trusted.

A reference of n counted rings gives the mean mass m. Single rings differ by cv (standard deviation
over mean), and the scale shows steps of s, a rounding error of s / sqrt(12), twice over where the
zero or tare is rounded as well. In rings, with rho = s / (sqrt(12) m) or s / (sqrt(6) m) and
N = batch / m the count:

    u^2 = cv^2 (N + N^2 / n) + rho^2 (1 + (N / n)^2)       reference beside the pan
    u^2 = cv^2 N (N - n) / n + rho^2 (1 + (N / n)^2)       reference counted in the pan

by first-order propagation of uncertainty (JCGM 100:2008, Guide to the Expression of Uncertainty in
Measurement); 95 % is 1.96 u. The smallest reference and the largest batch for an error e solve
(e / 1.96)^2 = u^2, a quadratic in 1/n or in N. Masses in g, everything else in rings.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.fields import Fields, plain
from ..base.rounding import nearest
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

Z = 1.96  # normal quantile of 97.5 %: two-sided 95 %
ONE_RING = 1.5  # an estimate this near rounds to the count or its neighbour
MOST_RINGS = 10**7
ROUNDING_SLACK = 1e-9


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
        n = 1 if root is None else math.ceil(1 / root - ROUNDING_SLACK)
        n = min(n, math.ceil(count - ROUNDING_SLACK)) if self.in_pan else n
        return max(1, n) if n <= MOST_RINGS else None

    def largest_batch(self, error: float) -> int:
        """The most rings that this reference still counts within `error` at 95 %; 0 if none."""
        limit = (error / Z) * (error / Z)
        a = self.cv2 / self.n + self.rho2 / (self.n * self.n)
        b = -self.cv2 if self.in_pan else self.cv2
        root = _root(a, b, self.rho2 - limit)
        if root is None:
            return MOST_RINGS if self.rho2 < limit else 0
        return min(MOST_RINGS, math.floor(root + ROUNDING_SLACK))


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
    """How sure the count is at 95 %, and what would bring it to one ring."""
    n = plain(count)
    if within == 0:
        return [sentence("statistics.exact", n=n)]
    off = plain(within)
    if within == 1 or (not largest and not best):
        out = [sentence("statistics.within", off=off, n=n)]
        return out if within == 1 else out + [_hopeless(scale)]
    if best and largest:
        text = sentence(
            "statistics.within_both", off=off, n=n, reference=plain(best), batch=plain(largest)
        )
    elif best:
        text = sentence("statistics.within_reference", off=off, n=n, reference=plain(best))
    else:
        text = sentence("statistics.within_batch", off=off, n=n, batch=plain(largest))
    return [text]


def _hopeless(scale: Scale) -> str:
    """Why no batch of this size can be counted to one ring, and what would help."""
    if scale.rho2 < (ONE_RING / Z) * (ONE_RING / Z):
        return sentence("statistics.reference_small")
    finest = (ONE_RING / Z) * scale.mean_g * scale.roundings
    return sentence("statistics.scale_coarse", step_g=_step(finest))


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
    if exact > MOST_RINGS:
        raise q.bad("batch_g", sentence("statistics.batch_large", most=plain(MOST_RINGS)))
    if scale.in_pan and exact < scale.n - 0.5:
        why = sentence("statistics.pan_light", least_g=plain(scale.n * mean))
        raise q.bad("batch_g", why)
    count, u = nearest(exact), scale.u(exact)
    low, high = (
        math.ceil(exact - Z * u - ROUNDING_SLACK),
        math.floor(exact + Z * u + ROUNDING_SLACK),
    )
    within = max(0, math.ceil(Z * u - 0.5 - ROUNDING_SLACK))
    best, largest = scale.reference_for(exact, ONE_RING), scale.largest_batch(ONE_RING)
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
