"""The maker's own pace per step, from guesses, trials and the record, with how sure it is.

y = ln(minutes an item / guess) = g + d_step + b x + form + noise
  g     all guesses together; d each guess alone; b learning, x = ln(1 + made / made before the
  record)
        (the curve of T. P. Wright, Factors Affecting the Cost of Airplanes, 1936, with earlier
        practice)
  form  good and bad stretches of days, fading: a chain of blocks of days
Closed form: normal equations with the d taken out, a few turns of robust weights.
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

# Set on invented makers with known endings (tests/bench); the learning agrees with curves of 80 to
# 100 %.
GUESS_ALL = 0.12  # variance of ln of all guesses together
GUESS_OWN = 0.125  # of each guess alone
UNGUESSED = 4.0  # of a step that was never guessed
LEARN = (-0.16, 0.008)  # mean, variance
PRACTICE_H = {
    "new": 4.0,
    "used": 15.0,
    "old_hand": 100.0,
    "unsaid": 18.0,
}  # hours at a step before the record
SAID = 0.5  # how much of the doubt about practice is left once the maker has said it
FORM = 0.11  # ln spread of good and bad stretches
FORM_DAYS = 30.0
SAME_DAY = 0.009  # variance that all of one day shares
NINE_IN_TEN = quantile(0.9)
TIE = 0.8  # who varies much from sitting to sitting also does from day to day


def beside(s2: float) -> float:
    """How much a maker with this spread of sittings varies beside the usual one."""
    return float((s2 / (SPREAD * SPREAD)) ** TIE)


class Ties:
    """How the paces of the steps hang together, as far as that is alike at any number of items.

    ln pace at a point hangs on the shared unknowns by its line (1, x, .., form) less r = sums /
    weight of its step, whose own unknown is taken out. Here are r's part in the covariance, and r's
    with each other.
    """

    def __init__(self, pace: Pace) -> None:
        cov, last = pace.cov, pace.size - 1
        self.r = [[q / pace.weight[s] for q in sums] for s, sums in enumerate(pace.sums)]
        spread = [times(cov, r) for r in self.r]
        self.line = [(v[0], v[1], v[last]) for v in spread]
        self.each = [[dot(r, v) for v in spread] for r in self.r]
        self.cov = [(cov[k][0], cov[k][1], cov[k][last]) for k in (0, 1, last)]


class Point:
    """The pace of a step at one x and share of the last stretch; `with_other` is a covariance of ln
    paces.
    """

    def __init__(self, ties: Ties, step: int, x: float, form: float) -> None:
        self.ties, self.step, self.x, self.form = ties, step, x, form
        less = ties.line[step]
        self.line = [c[0] + c[1] * x + c[2] * form - less[k] for k, c in enumerate(ties.cov)]

    def with_other(self, other: Point) -> float:
        a, b = self.line, self.ties.line[other.step]
        mine = a[0] + a[1] * other.x + a[2] * other.form
        return (
            mine - (b[0] + b[1] * self.x + b[2] * self.form) + self.ties.each[self.step][other.step]
        )


class Pace:
    """The fit. `u` = (g, b, form of each block), `cov` its covariance, per step sums q, a, t and d."""

    def __init__(
        self, steps: list[Step], blocks: list[float], practice: float, learn: tuple[float, float]
    ) -> None:
        self.steps = steps
        self.blocks = blocks  # mean day of each block
        self.size = 2 + len(blocks)
        self.practice = practice
        self.learn = learn  # of b before the record: mean, variance
        self.s2 = SPREAD * SPREAD
        self.c2 = FORM * FORM
        self.u = [0.0, learn[0]] + [0.0] * len(blocks)
        self.cov: Matrix = []
        self.d = [0.0] * len(steps)
        self.own = [1 / GUESS_OWN if s.guessed else 1 / UNGUESSED for s in steps]
        self.weight = list(self.own)
        self.made = [0.0] * len(steps)
        self.sums: Matrix = []
        self.evidence = 0.0
        self.share = 1.0  # of belief, among the practices thought possible
        self.ties: Ties | None = None

    def before(self, step: int) -> float:
        """Items made before the record, as practice tells."""
        s = self.steps[step]
        h = PRACTICE_H[s.practised] * math.pow(
            self.practice, 1.0 if s.practised == "unsaid" else SAID
        )
        return max(
            1e-9, h * 60 / (s.guess * math.exp(max(-3.0, min(3.0, self.u[0] + self.d[step]))))
        )

    def prior(self) -> tuple[Matrix, list[float]]:
        n = self.size
        p = [[0.0] * n for _ in range(n)]
        p[0][0], p[1][1] = 1 / GUESS_ALL, 1 / self.learn[1]
        for k in range(len(self.blocks)):
            self._chain(p, k)
        m = [0.0] * n
        m[1] = self.learn[0] / self.learn[1]
        return p, m

    def _chain(self, p: Matrix, k: int) -> None:
        """Adds block k given the one before: correlation fading with the days between."""
        i = 2 + k
        if k == 0:
            p[i][i] += 1 / self.c2
            return
        r = self.fade(self.blocks[k] - self.blocks[k - 1])
        q = 1 / (self.c2 * (1 - r * r))
        p[i][i] += q
        p[i - 1][i - 1] += r * r * q
        p[i - 1][i] -= r * q

    def same_day(self) -> float:
        return SAME_DAY * beside(self.s2)

    def fade(self, days: float) -> float:
        return math.exp(-max(days, 1.0) / FORM_DAYS)

    def theta(self, step: int, x: float, form: float) -> float:
        """ln of the pace over the guess; `form` is how much of the last stretch is left."""
        return (
            self.u[0] + self.u[1] * x + (form * self.u[-1] if self.blocks else 0.0) + self.d[step]
        )

    def now(self, step: int, today: int) -> Point:
        """A step as it stands today."""
        form = self.fade(today - self.blocks[-1]) if self.blocks else 0.0
        return self.at(step, math.log(1 + self.made[step] / self.before(step)), form)

    def at(self, step: int, x: float, form: float) -> Point:
        if self.ties is None:
            self.ties = Ties(self)
        return Point(self.ties, step, x, form)

    def source(self, step: int) -> str:
        """Whose word the pace of a step is."""
        if self.sums[step][0] <= 0:
            return "guess"
        return (
            "both"
            if self.steps[step].guessed and self.own[step] > 0.1 * self.weight[step]
            else "own"
        )

    def proved(self, step: int) -> bool:
        """Whether a step's own record says more of its pace than the guess and the other steps do."""
        return self.sums[step][0] > self.own[step]

    def told(self, today: int) -> list[dict[str, Any]]:
        """Per step: minutes an item at 10/50/90 %, where from, and the trend over a doubling of the
        items made.
        """
        out = []
        for s, step in enumerate(self.steps):
            if step.known:
                now = self.now(s, today)
                wide = math.exp(NINE_IN_TEN * math.sqrt(now.with_other(now) + 1 / self.weight[s]))
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
