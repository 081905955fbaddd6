"""The maker's pace of each step, from guesses, trials and the record, with how sure it is.

A row of step s made in block of days k (rows: `observations`) is modelled as

  y - ln guess_s = g + d_s + b x + f_k + noise
  x    = ln(1 + made / before), items of the step made on and before the record: the learning curve
         of T. P. Wright, Factors affecting the cost of airplanes, J. Aeronautical Sciences 3, 1936,
         with earlier practice as in the Stanford-B curve
  g    N(0, GUESS_ALL)     all guesses together      d_s  N(0, GUESS_OWN)  each guess alone
  b    N(LEARN)            learning                  noise  N(0, s2 shares + fixed)
  f_k  N(0, c2), a form that fades: correlation exp(-days / FORM_DAYS) between blocks, a first-order
       autoregression (G. E. P. Box and G. M. Jenkins, Time Series Analysis, 1970)

The posterior of these is normal, a Bayesian linear model (D. V. Lindley and A. F. M. Smith, Bayes
estimates for the linear model, JRSS B 34, 1972). With rows weighted by q, line l = (1, x, f_k), per
step S = sum q l, W = sum q + 1 / GUESS_OWN, T = sum q y, and u = (g, b, f_1 ..) with covariance U:

  d_s = (T - S u) / W                       the d_s are taken out of the equations before solving
  cov(ln pace of s at l, of r at m) = (l - S_s / W_s)' U (m - S_r / W_r) + [s = r] / W_s

Constants were chosen with `tests/bench/judge.py` on invented makers 1-5000, LEARN on 211001-213060;
what each is worth prints `tests/bench/ablation.py` on others.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..statistics.cholesky import dot, times
from ..statistics.normal import quantile
from .aggregate import SPREAD
from .observations import Step

if TYPE_CHECKING:
    from typing import Any

    from ..statistics.cholesky import Matrix

GUESS_ALL = 0.12  # variance of ln of all guesses together
GUESS_OWN = 0.125  # of each guess alone
UNGUESSED = 4.0  # of a step that was never guessed: next to no knowledge, exp(2) either way
LEARN = (-0.12, 0.01)  # b, mean and variance: a curve of 92 %, two sd reach 80 and 106 %
PRACTICE_H = {
    "new": 4.0,
    "used": 15.0,
    "old_hand": 100.0,
    "unsaid": 18.0,
}  # hours at a step before the record, by how practised the maker is
FORM = 0.11  # ln standard deviation of the form at the usual spread of sittings
FORM_DAYS = 30.0  # days in which the form fades to 1 / e
NINE_IN_TEN = quantile(0.9)


def variance_ratio(s2: float) -> float:
    """Variance of a maker's sittings over the usual one; the form's variance goes with it."""
    return s2 / (SPREAD * SPREAD)


class Ties:
    """What covariances between steps have in common, at any number of items.

    Of the formula above: `line` is U S / W per step, `each` its product between two steps, `cov`
    U itself, all for the unknowns that a line reaches: g, b and the last form.
    """

    def __init__(self, pace: Pace) -> None:
        cov, last = pace.cov, pace.size - 1
        self.r = [[q / pace.weight[s] for q in sums] for s, sums in enumerate(pace.sums)]
        spread = [times(cov, r) for r in self.r]
        self.line = [(v[0], v[1], v[last]) for v in spread]
        self.each = [[dot(r, v) for v in spread] for r in self.r]
        self.cov = [(cov[k][0], cov[k][1], cov[k][last]) for k in (0, 1, last)]


class Point:
    """The pace of a step at one x, with `form` of the last form left (0 to 1)."""

    def __init__(self, ties: Ties, step: int, x: float, form: float) -> None:
        self.ties, self.step, self.x, self.form = ties, step, x, form
        less = ties.line[step]
        self.line = [c[0] + c[1] * x + c[2] * form - less[k] for k, c in enumerate(ties.cov)]

    def covariance(self, other: Point) -> float:
        """Of two ln paces, without what a step has of its own (1 / W)."""
        a, b = self.line, self.ties.line[other.step]
        mine = a[0] + a[1] * other.x + a[2] * other.form
        less = b[0] + b[1] * self.x + b[2] * self.form
        return mine - less + self.ties.each[self.step][other.step]


class Pace:
    """The fitted model.

    `u` = (g, b, f_1 ..) and `cov` its covariance; by step `d`, `weight` (W), `sums` (S) and `own`
    (1 / GUESS_OWN); `s2` and `c2` variances of sittings and form.
    """

    def __init__(self, steps: list[Step], blocks: list[float], made: list[float]) -> None:
        self.steps = steps
        self.blocks = blocks  # mean ordinal day of each block, oldest first
        self.made = made  # items of each step on record
        self.size = 2 + len(blocks)
        self.s2 = SPREAD * SPREAD
        self.c2 = FORM * FORM
        self.u = [0.0, LEARN[0]] + [0.0] * len(blocks)
        self.cov: Matrix = []
        self.d = [0.0] * len(steps)
        self.own = [1 / GUESS_OWN if s.guessed else 1 / UNGUESSED for s in steps]
        self.weight = list(self.own)
        self.sums: Matrix = []
        self.ties: Ties | None = None

    def before(self, step: int, practised: str = "") -> float:
        """Items made before the record, by the step's `practised` or another one."""
        s = self.steps[step]
        off = max(-3.0, min(3.0, self.u[0] + self.d[step]))
        minutes = 60 * PRACTICE_H[practised or s.practised]
        return max(1e-9, minutes / (s.guess * math.exp(off)))

    def prior(self) -> tuple[Matrix, list[float]]:
        """Precision matrix of u before the record, and that matrix times its mean."""
        n = self.size
        p = [[0.0] * n for _ in range(n)]
        p[0][0], p[1][1] = 1 / GUESS_ALL, 1 / LEARN[1]
        for k in range(len(self.blocks)):
            self._add_block(p, k)
        m = [0.0] * n
        m[1] = LEARN[0] / LEARN[1]
        return p, m

    def _add_block(self, p: Matrix, k: int) -> None:
        """Adds the precision of form k given the one before: f_k - r f_(k-1), variance q."""
        i = 2 + k
        if k == 0:
            p[i][i] += 1 / self.c2
            return
        r = self.fade(self.blocks[k] - self.blocks[k - 1])
        q = 1 / (self.c2 * (1 - r * r))
        p[i][i] += q
        p[i - 1][i - 1] += r * r * q
        p[i - 1][i] -= r * q

    def fade(self, days: float) -> float:
        """Correlation of the form over so many days."""
        return math.exp(-max(days, 1.0) / FORM_DAYS)

    def theta(self, step: int, x: float, form: float) -> float:
        """ln of the pace over the guess at x, with `form` of the last form left."""
        last = form * self.u[-1] if self.blocks else 0.0
        return self.u[0] + self.u[1] * x + last + self.d[step]

    def now(self, step: int, today: int) -> Point:
        """The pace of a step as of an ordinal day."""
        form = self.fade(today - self.blocks[-1]) if self.blocks else 0.0
        return self.at(step, math.log(1 + self.made[step] / self.before(step)), form)

    def at(self, step: int, x: float, form: float) -> Point:
        """The pace of a step at x, with `form` of the last form left."""
        if self.ties is None:
            self.ties = Ties(self)
        return Point(self.ties, step, x, form)

    def source(self, step: int) -> str:
        """What the pace of a step stands on: "guess", the "own" record or "both"."""
        if self.sums[step][0] <= 0:
            return "guess"
        some = self.steps[step].guessed and self.own[step] > 0.1 * self.weight[step]
        return "both" if some else "own"

    def proved(self, step: int) -> bool:
        """Whether a step's own record weighs more than its guess."""
        return self.sums[step][0] > self.own[step]

    def by_step(self, today: int) -> list[dict[str, Any]]:
        """Per known step: minutes an item at 10/50/90 %, where from, the trend over a doubling."""
        out = []
        for s, step in enumerate(self.steps):
            if step.known:
                now = self.now(s, today)
                sd = math.sqrt(now.covariance(now) + 1 / self.weight[s])
                wide = math.exp(NINE_IN_TEN * sd)
                mid = step.guess * math.exp(self.theta(s, now.x, now.form))
                row: dict[str, Any] = {
                    "step": step.name,
                    "from": self.source(s),
                    "trend": 2 ** self.u[1] - 1,
                }
                row["guess_from"] = ("usual" if step.usual else "maker") if step.guessed else None
                row["trend_percent"] = 100 * row["trend"]
                row["min_per_item"] = {"p10": mid / wide, "p50": mid, "p90": mid * wide}
                out.append(row)
        return out
