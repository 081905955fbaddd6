"""How many to start so that enough good ones come out, with the chance the maker asks for.

Each step's yield is not known, only its record: with `good` and `bad` seen it is
Beta(good + 1/2, bad + 1/2) (Jeffreys' prior), so the good ones out of n are beta-binomial;
several steps multiply. For them one Beta is matched to the first two moments of the
product; where the sums are small the exact chance corrects it. Derived, and checked
against scipy (tests/outside/test_yield.py). Without a record there is no answer.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from .errors import NoAnswer
from .fields import Fields, plain
from .figures import figure

if TYPE_CHECKING:
    from collections.abc import Callable
    from typing import Any

SPECK = 1e-16  # a term this small beside the sum no longer matters
BROAD = 150  # standard deviation, in rings, from which a sum is replaced by an integral
WIDE, SLICES = 8, 120  # the integral: so many standard deviations each way, so many slices
MOST_TIMES = 10  # more starts than this for one good ring: the record is too thin or too bad to plan on
EXACT_TERMS, EXACT_RINGS = 12000, 3000  # one exact sum that a phone still does in time


def betas(seen: list[tuple[int, int]]) -> list[tuple[float, float]]:
    return [(good + 0.5, bad + 0.5) for good, bad in seen]


def matched(stages: list[tuple[float, float]]) -> tuple[float, float]:
    """The one Beta with the mean and second moment of the product of all.

    Kept as what is missed (1 - mean) and the excess (second moment / mean^2 - 1), which lose no figures when small.
    """
    if len(stages) == 1:
        return stages[0]
    missed = excess = 0.0
    for a, b in stages:
        missed += (1 - missed) * b / (a + b)
        more = b / (a * (a + b + 1))
        excess += more + excess * more
    t = missed / ((1 - missed) * excess) - 1
    return (1 - missed) * t, missed * t


def _share(a: float, b: float, n: int, most_bad: int) -> float:
    """P(at most `most_bad` bad of n), beta-binomial: summed both ways from its peak, so that nothing underflows."""
    if most_bad >= n:
        return 1.0
    peak = min(n, max(0, math.floor((n + 1) * (b - 1) / (a + b - 2)))) if a + b > 2 else 0
    inside = 1.0 if peak <= most_bad else 0.0
    total, term, k = 1.0, 1.0, peak
    while k < n and term > SPECK * total:
        term *= (n - k) * (b + k) / ((k + 1) * (a + n - k - 1))
        k += 1
        total += term
        inside += term if k <= most_bad else 0.0
    term, k = 1.0, peak
    while k > 0 and term > SPECK * total:
        term *= k * (a + n - k) / ((n - k + 1) * (b + k - 1))
        k -= 1
        total += term
        inside += term if k <= most_bad else 0.0
    return inside / total


def _smooth(a: float, b: float, n: int, need: int) -> float:
    """P(at least `need` good of n) for large n: a Beta of the same mean and variance, by Simpson's rule.

    With y = sin^2 the density has no poles, and it is its own normaliser.
    """
    t = (a + b) * (n - 1) / (n + a + b)
    a, b = t * a / (a + b), t * b / (a + b)
    m = a / (a + b)
    sd = math.sqrt(m * (1 - m) / (t + 1))
    mark = math.asin(math.sqrt(min(1.0, (need - 0.5) / n)))
    low = math.asin(math.sqrt(max(1e-12, m - WIDE * sd)))
    high = math.asin(math.sqrt(min(1 - 1e-12, m + WIDE * sd)))
    if not low < mark < high:
        return 1.0 if mark <= low else 0.0
    peak = _log_density(a, b, math.asin(math.sqrt(m)))
    below, above = _area(a, b, low, mark, peak), _area(a, b, mark, high, peak)
    return above / (below + above)


def _log_density(a: float, b: float, angle: float) -> float:
    return (2 * a - 1) * math.log(math.sin(angle)) + (2 * b - 1) * math.log(math.cos(angle))


def _area(a: float, b: float, low: float, high: float, peak: float) -> float:
    step = (high - low) / SLICES
    total = 0.0
    for i in range(SLICES + 1):
        weight = 1 if i in (0, SLICES) else 2 + 2 * (i % 2)
        total += weight * math.exp(_log_density(a, b, low + i * step) - peak)
    return total * step / 3


def _first(a: float, b: float, n: int) -> float:
    """log P(none bad of n)."""
    log = 0.0
    for i in range(n):
        log += math.log((a + i) / (a + b + i))
    return log


def _terms(a: float, b: float, n: int, most: int, first: float) -> list[float]:
    """P(0 bad), P(1 bad).. up to `most`, of n."""
    out = [math.exp(first)]
    for k in range(most):
        out.append(out[-1] * (n - k) * (b + k) / ((k + 1) * (a + n - k - 1)))
    return out


class Chance:
    """P(at least `need` good of n) after all stages."""

    def __init__(self, need: int, seen: list[tuple[int, int]]) -> None:
        self.need = need
        self.stages = betas(seen)
        self.one = matched(self.stages)
        self.known: dict[int, float] = {}

    def quick(self, n: int) -> float:
        """By the one Beta."""
        a, b = self.one
        if n < self.need:
            return 0.0
        return _smooth(a, b, n, self.need) if self.sd(n) > BROAD else _share(a, b, n, n - self.need)

    def sd(self, n: float) -> float:
        """Spread of the good ones of n."""
        a, b = self.one
        m = a / (a + b)
        return math.sqrt(n * m * (1 - m) * (1 + (n - 1) / (a + b + 1)))

    def small(self, n: int) -> bool:
        spare = n - self.need
        return len(self.stages) > 1 and n <= EXACT_RINGS and spare * spare * (len(self.stages) - 1) <= EXACT_TERMS

    def exact(self, n: int) -> float:
        """Step by step: of n started, P(so many lost in all), while at least `need` are left."""
        spare = n - self.need
        lost = [1.0] + [0.0] * spare
        for a, b in self.stages:
            after = [0.0] * (spare + 1)
            first = _first(a, b, n)
            for gone, p in enumerate(lost):
                if p:
                    for more, q in enumerate(_terms(a, b, n - gone, spare - gone, first)):
                        after[gone + more] += p * q
                first += math.log((a + b + n - gone - 1) / (a + n - gone - 1))
            lost = after
        total = 0.0
        for p in lost:
            total += p
        return total

    def of(self, n: int) -> float:
        """The best that a phone can do in time; remembered."""
        if n not in self.known:
            self.known[n] = self.exact(n) if self.small(n) else self.quick(n)
        return self.known[n]


def _guess(c: Chance, sure: float) -> int:
    """Where to begin the search: as if the good ones were normally spread."""
    m, z = c.one[0] / (c.one[0] + c.one[1]), _normal(sure)
    n = c.need / m
    for _ in range(6):
        n = min((c.need + z * c.sd(n)) / m, float(MOST_TIMES * c.need))
    return max(c.need, math.ceil(n))


def _normal(p: float) -> float:
    """The normal quantile by halving, for 0.5 <= p < 1; a starting point needs no more."""
    low, high = 0.0, 8.0
    for _ in range(20):
        middle = (low + high) / 2
        low, high = (middle, high) if (1 + math.erf(middle / math.sqrt(2))) / 2 < p else (low, middle)
    return low


def _least(chance: Callable[[int], float], low: int, guess: int, high: int, sure: float) -> int:
    """The smallest n in low..high that is sure enough (high + 1 if none), in strides from the guess."""
    stride, n = max(1, (guess - low) // 16), guess
    if chance(n) >= sure:
        while n > low and chance(n) >= sure:
            high, n, stride = n, max(low, n - stride), 2 * stride
        if n == low and chance(low) >= sure:
            return low
        low = n
    else:
        while n <= high and chance(n) < sure:
            low, n, stride = n, n + stride, 2 * stride
        if n > high and chance(high) < sure:
            return high + 1
        high = min(n, high)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if chance(middle) >= sure else (middle, high)
    return high


def _recorded(seen: list[tuple[int, int]]) -> None:
    """Refuses to plan on nothing."""
    if not seen:
        why = "Losses cannot be told without a record: count the good and the spoiled ones of a first batch."
        raise NoAnswer("seen", why)
    for i, (good, bad) in enumerate(seen):
        if good + bad == 0:
            why = "Nothing was counted for this step yet: count good and spoiled ones first."
            raise NoAnswer("seen[" + str(i) + "]", why)


def start_for(need: int, seen: list[tuple[int, int]], sure: float) -> tuple[int, float]:
    """(how many to start, the chance that `need` good ones come out of them).

    `seen`: (good, bad) of each step the rings go through. Raises NoAnswer without a record,
    or where the record is too thin or too bad for ten starts a ring.
    """
    _recorded(seen)
    if need == 0:
        return 0, 1.0
    c = Chance(need, seen)
    most = MOST_TIMES * need + 20
    n = _least(c.quick, need, min(most, _guess(c, sure)), most, sure)
    while n <= most and c.of(n) < sure:
        n += 1
    while n > need and c.small(n) and c.of(n - 1) >= sure:
        n -= 1
    if n > most:
        why = "With this record more than ten starts a good ring would be needed: count more of them first."
        raise NoAnswer("seen", why)
    return n, c.of(n)


def _seen(q: Fields) -> list[tuple[int, int]]:
    return [
        (f.integer("good", 0, 10**7), f.integer("bad", 0, 10**7))
        for f in q.parts("seen", most=12, like='{"good": 48, "bad": 2}')
    ]


def answer(q: Fields) -> dict[str, Any]:
    """`need` good ones, `seen` of each step, `sure` (0.95 where not said)."""
    need = q.integer("need", 0, 100000, example="100")
    sure = q.number("sure", 0.5, 0.999, 0.95, example="0.95")
    seen = _seen(q)
    start, chance = start_for(need, seen, sure)
    a, b = matched(betas(seen))
    out: dict[str, Any] = {"start": start, "chance": chance, "spare": start - need, "sure": sure}
    out["yield"] = a / (a + b)
    out["expected_good"] = start * a / (a + b)
    said = "Start " + plain(start) + ": " + plain(need) + " or more come out good with a chance of "
    out["notes"] = [said + figure(100 * chance, 1) + " %, if the work goes on as recorded."]
    return out
