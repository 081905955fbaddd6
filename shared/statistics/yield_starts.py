"""How many to start so that enough good ones come out, with the chance the maker asks for.

Each step's yield p is not known, only its record of g good and b bad:

    p ~ Beta(g + 1/2, b + 1/2)                    Jeffreys' prior (1946)
    good of n ~ beta-binomial(n, g + 1/2, b + 1/2)

Of several steps the yields multiply. For them one Beta is matched to the first two moments of the
product (derived here; the way of Satterthwaite's approximation); where the sums are small the exact
chance, step by step, replaces it. Wanted: the smallest n with P(good of n >= need) >= sure. Checked
against scipy (tests/outside/test_yield.py). Without a record there is no answer.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..base.errors import NoAnswer
from ..base.fields import Fields, good_and_bad, plain
from ..base.rounding import figure
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

NEGLIGIBLE_TERM = 1e-14  # a term this small beside the sum no longer matters
INTEGRAL_FROM_SD = 100  # standard deviation, in rings, from which a sum is replaced by an integral
WIDTH_SD, PANELS = 7, 3  # the integral: so many standard deviations each way, so many panels each
# Gauss-Legendre rule of eight points on -1..1 (Abramowitz and Stegun, 25.4.30): place either side
# of the middle, weight
NODES = (
    (0.1834346424956498, 0.362683783378362),
    (0.525532409916329, 0.3137066458778873),
    (0.7966664774136267, 0.2223810344533745),
    (0.9602898564975363, 0.1012285362903763),
)
NEGLIGIBLE_LOG = -30.0  # log of a density so far below its peak that it no longer matters
MOST_TIMES = (
    10  # more starts than this for one good ring: the record is too thin or too bad to plan on
)
EXACT_TERMS, EXACT_RINGS = 12000, 3000  # one exact sum that a phone still does in time


def betas(seen: list[tuple[int, int]]) -> list[tuple[float, float]]:
    """The (a, b) of each step's Beta, from its (good, bad)."""
    return [(good + 0.5, bad + 0.5) for good, bad in seen]


def product_beta(stages: list[tuple[float, float]]) -> tuple[float, float]:
    """The one Beta with the mean and second moment of the product of all.

    Kept as what is missed (1 - mean) and the excess (second moment / mean^2 - 1), which lose no
    figures when small.
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


def _at_most_bad(a: float, b: float, n: int, most_bad: int) -> float:
    """P(at most `most_bad` bad of n), beta-binomial: summed both ways from its peak, so that
    nothing underflows. `most_bad` is less than n.
    """
    peak = min(n, max(0, math.floor((n + 1) * (b - 1) / (a + b - 2)))) if a + b > 2 else 0
    inside = 1.0 if peak <= most_bad else 0.0
    total, term, k = 1.0, 1.0, peak
    while k < n and term > NEGLIGIBLE_TERM * total:
        term *= (n - k) * (b + k) / ((k + 1) * (a + n - k - 1))
        k += 1
        total += term
        inside += term if k <= most_bad else 0.0
    term, k = 1.0, peak
    while k > 0 and term > NEGLIGIBLE_TERM * total:
        term *= k * (a + n - k) / ((n - k + 1) * (b + k - 1))
        k -= 1
        total += term
        inside += term if k <= most_bad else 0.0
    return inside / total


def _at_least_good(a: float, b: float, n: int, need: int) -> float:
    """P(at least `need` good of n) for large n: a Beta of the same mean and variance, by Gauss's
    rule.

    With y = sin^2 the density has no poles, and it is its own normaliser.
    """
    t = (a + b) * (n - 1) / (n + a + b)
    a, b = t * a / (a + b), t * b / (a + b)
    m = a / (a + b)
    sd = math.sqrt(m * (1 - m) / (t + 1))
    mark = math.asin(math.sqrt(min(1.0, (need - 0.5) / n)))
    peak = _log_density(a, b, math.asin(math.sqrt(m)))
    low, high = _ends(a, b, m, sd, peak)
    if not low < mark < high:
        return 1.0 if mark <= low else 0.0
    below, above = _area(a, b, low, mark, peak), _area(a, b, mark, high, peak)
    return above / (below + above)


def _ends(a: float, b: float, m: float, sd: float, peak: float) -> tuple[float, float]:
    """Angles beyond which nothing lies; a thin record's slope is followed until it is faint."""
    wide = WIDTH_SD * sd
    low = max(1e-12, m - wide)
    while low > 1e-12 and _log_density(a, b, math.asin(math.sqrt(low))) - peak > NEGLIGIBLE_LOG:
        wide *= 1.5
        low = max(1e-12, m - wide)
    return math.asin(math.sqrt(low)), math.asin(math.sqrt(min(1 - 1e-12, m + WIDTH_SD * sd)))


def _log_density(a: float, b: float, angle: float) -> float:
    return (2 * a - 1) * math.log(math.sin(angle)) + (2 * b - 1) * math.log(math.cos(angle))


def _area(a: float, b: float, low: float, high: float, peak: float) -> float:
    half = (high - low) / (2 * PANELS)
    total = 0.0
    for i in range(PANELS):
        middle = low + (2 * i + 1) * half
        for place, weight in NODES:
            for angle in (middle - place * half, middle + place * half):
                total += weight * math.exp(_log_density(a, b, angle) - peak)
    return total * half


def _log_none_bad(a: float, b: float, n: int) -> float:
    """log P(none bad of n)."""
    log = 0.0
    for i in range(n):
        log += math.log((a + i) / (a + b + i))
    return log


def _bad_terms(a: float, b: float, n: int, most: int, first: float) -> list[float]:
    """P(0 bad), P(1 bad).. up to `most`, of n."""
    out = [math.exp(first)]
    for k in range(most):
        out.append(out[-1] * (n - k) * (b + k) / ((k + 1) * (a + n - k - 1)))
    return out


# good ones to be expected, over those needed, from which the record is called thin (judgement)
THIN_RECORD_RATIO = 1.25


class Chance:
    """P(at least `need` good of n) after all steps; `seen` holds the (good, bad) of each."""

    def __init__(self, need: int, seen: list[tuple[int, int]]) -> None:
        self.need = need
        self.stages = betas(seen)
        self.one = product_beta(self.stages)
        self.known: dict[int, float] = {}
        self.quickly: dict[int, float] = {}

    def quick(self, n: int) -> float:
        """By the one Beta; remembered."""
        if n not in self.quickly:
            self.quickly[n] = self._by_one(n)
        return self.quickly[n]

    def _by_one(self, n: int) -> float:
        a, b = self.one
        if n < self.need:
            return 0.0
        return (
            _at_least_good(a, b, n, self.need)
            if self.sd(n) > INTEGRAL_FROM_SD
            else _at_most_bad(a, b, n, n - self.need)
        )

    def sd(self, n: float) -> float:
        """Standard deviation of the good ones of n."""
        a, b = self.one
        m = a / (a + b)
        return math.sqrt(n * m * (1 - m) * (1 + (n - 1) / (a + b + 1)))

    def small(self, n: int) -> bool:
        """Whether the exact sum is short enough."""
        spare = n - self.need
        return n <= EXACT_RINGS and spare * spare * (len(self.stages) - 1) <= EXACT_TERMS

    def exact(self, n: int) -> float:
        """Step by step: of n started, P(so many lost in all), while at least `need` are left."""
        spare = n - self.need
        if len(self.stages) == 1:
            return _at_most_bad(self.one[0], self.one[1], n, spare)
        lost = [1.0] + [0.0] * spare
        for a, b in self.stages:
            after = [0.0] * (spare + 1)
            first = _log_none_bad(a, b, n)
            for gone, p in enumerate(lost):
                if p:
                    for more, q in enumerate(_bad_terms(a, b, n - gone, spare - gone, first)):
                        after[gone + more] += p * q
                first += math.log((a + b + n - gone - 1) / (a + n - gone - 1))
            lost = after
        total = 0.0
        for p in lost:
            total += p
        return total

    def of(self, n: int) -> float:
        """The exact chance where a phone can sum it in time, else by the one Beta; remembered."""
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
    """The normal quantile by halving; a stride of the search needs no more."""
    low, high = -8.0, 8.0
    for _ in range(24):
        middle = (low + high) / 2
        low, high = (
            (middle, high) if (1 + math.erf(middle / math.sqrt(2))) / 2 < p else (low, middle)
        )
    return low


def _least(c: Chance, low: int, high: int, sure: float) -> int:
    """The smallest n in low..high that is sure enough by the one Beta; high + 1 if none.

    As a normal quantile the chance is nearly a straight line in n: each stride goes where that
    line crosses, inside what is known already, or now and then halves it; the last two are
    neighbours.
    """
    n, wanted, turn = min(high, _guess(c, sure)), _normal(sure), 0
    low, high = low - 1, high + 1  # low is not enough, high is, or nothing is
    under = over = 0.0  # quantiles short and to spare at low and high; 0 where not yet known
    while high - low > 1:
        turn += 1
        n = min(max(n, low + 1), high - 1)
        chance = c.quick(n)
        more = _normal(chance) - wanted
        if chance >= sure:
            high, over = n, max(more, 1e-6)
        else:
            low, under = n, max(-more, 1e-6)
        n = _crossing(c, low, high, under, over) if turn % 4 else (low + high) // 2
    return high


def _crossing(c: Chance, low: int, high: int, under: float, over: float) -> int:
    """Where the line through both ends crosses; through one end, at the slope of a normal spread."""
    if under and over:
        return low + math.ceil((high - low) * under / (under + over))
    m = c.one[0] / (c.one[0] + c.one[1])
    return (
        low + 1 + math.ceil(1.05 * under * c.sd(low) / m)
        if under
        else high - 1 - int(1.05 * over * c.sd(high) / m)
    )


def _check_record(seen: list[tuple[int, int]]) -> None:
    """Refuses to plan without a record."""
    if not seen:
        raise NoAnswer("seen", sentence("statistics.no_record"))
    for i, (good, bad) in enumerate(seen):
        if good + bad == 0:
            raise NoAnswer("seen[" + str(i) + "]", sentence("statistics.step_not_counted"))


def start_for(need: int, seen: list[tuple[int, int]], sure: float) -> tuple[int, float]:
    """(how many to start, the chance that `need` good ones come out of them).

    `seen`: (good, bad) of each step the rings go through. Raises NoAnswer without a record,
    or where the record is too thin or too bad for ten starts a ring.
    """
    _check_record(seen)
    if need == 0:
        return 0, 1.0
    c = Chance(need, seen)
    most = MOST_TIMES * need + 20
    n = _least(c, need, most, sure)
    while n <= most and c.of(n) < sure:
        n += 1
    while n > need and c.small(n) and c.of(n - 1) >= sure:
        n -= 1
    if n > most:
        raise NoAnswer("seen", sentence("statistics.ten_starts"))
    return n, c.of(n)


def _seen(q: Fields) -> list[tuple[int, int]]:
    return [good_and_bad(f) for f in q.parts("seen", most=12, like='{"done": 50, "spoiled": 2}')]


def answer(q: Fields) -> dict[str, Any]:
    """`need` good ones, `seen: [{done, spoiled}]` of each step, `sure` (0.95 where not given)."""
    need = q.integer("need", 0, 1000000, example="100")
    sure = q.number("sure", 0.5, 0.999, 0.95, example="0.95")
    seen = _seen(q)
    start, chance = start_for(need, seen, sure)
    a, b = product_beta(betas(seen))
    out: dict[str, Any] = {"start": start, "chance": chance, "spare": start - need, "sure": sure}
    out["yield"] = a / (a + b)
    out["expected_good"] = start * a / (a + b)
    percent = figure(100 * chance, 1)
    out["notes"] = [
        sentence("statistics.start", start=plain(start), need=plain(need), percent=percent)
    ]
    if out["expected_good"] > THIN_RECORD_RATIO * need:
        out["notes"].append(sentence("statistics.record_thin"))
    return out
