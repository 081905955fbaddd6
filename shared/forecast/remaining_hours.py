"""Bench hours left: items to make at the maker's pace; errors the steps share stay correlated.

Step s with N_s items to go, from x0 to x1 of experience u = exp(x) (see `pace_model`):

  H_s    = N_s guess_s exp(g + d_s + e f + var_s / 2 - m / 2) mean of u^b between u0 and u1
  mean   of u^b is (u1^(1+b) - u0^(1+b)) / ((1 + b) (u1 - u0)), the learning curve integrated
  e      what is left of the last form on average over the days to come
  m      = s2 + c2: items are made in given minutes, and 1 / mean(1 / T) of an ln-normal T is
         exp(-m / 2) below its median
  hours  = sum H_s, var ln = ln(1 + sum_s sum_r H_s H_r (exp(cov_sr) - 1) / (sum H_s)^2): the sum of
         correlated ln-normals by its first two moments: L. F. Fenton, The sum of log-normal
         probability distributions in scatter transmission systems, IRE Trans. CS-8, 1960

What sittings and form still bring is added to the variance.
"""

from __future__ import annotations

import math

from ..statistics.normal import quantile
from .observations import ITEM_SCATTER, Record
from .pace_model import FORM_DAYS, Pace, Point

WIDER = 1.14  # times the variance, since s2 and c2 are estimates too; chosen on makers 1-5000
# Of the variance of what is unknown of the pace, in ln hours below the mean: 1/2 is the median of an
# ln-normal curve; 1, its mode, did better on makers 211001-212090, whose guesses are better than
# GUESS_* says.
LOWER = 1.0
LEAST_HOURS = 1e-6
MOST_LN = 40.0  # keeps exp() finite


class HoursLeft:
    """Hours left, ln-normal: `mu` and `sd` of ln hours."""

    def __init__(self, mu: float, sd: float) -> None:
        self.mu = mu
        self.sd = sd

    def at(self, p: float) -> float:
        """The quantile for a chance 0 < p < 1, in hours."""
        return math.exp(self.mu + self.sd * quantile(p))


class StepHours:
    """One step's expected `hours`: where its pace is taken, and the variance of its own."""

    def __init__(self, step: int, at: Point, own: float) -> None:
        self.step = step
        self.hours = 0.0
        self.at = at
        self.own = own


class WorkLeft:
    """Hours for given items at a fitted pace, worked over about `days` days."""

    def __init__(self, record: Record, pace: Pace, today: int, days: float) -> None:
        self.record, self.pace = record, pace
        self.days = max(1.0, days)
        self.form = 0.0  # e of the module's text
        if pace.blocks:
            part = FORM_DAYS / self.days
            self.form = pace.fade(today - pace.blocks[-1]) * part * (1 - math.exp(-1 / part))
        self.before = [pace.before(s) for s in range(len(record.steps))]

    def mean(self, step: int, n: float) -> float:
        """ln of the pace over the guess, on average over the next n items."""
        return self.pace.theta(step, 0.0, self.form) + self._learning(step, n, self.before[step])

    def _learning(self, step: int, n: float, before: float) -> float:
        """ln of the mean of u^b over the next n items."""
        u0 = 1 + self.record.made[step] / before
        u1 = u0 + n / before
        b = self.pace.u[1]
        if abs(1 + b) > 1e-6 and u1 - u0 > 1e-9:
            return math.log((u1 ** (1 + b) - u0 ** (1 + b)) / ((1 + b) * (u1 - u0)))
        return b * math.log(0.5 * (u0 + u1))

    def by_step(self, to_go: list[float]) -> list[StepHours]:
        """One for each step with items to go."""
        pace = self.pace
        harmonic = -0.5 * (pace.s2 + pace.c2)
        out = []
        for s, n in enumerate(to_go):
            if n > 0:
                x = math.log(1 + (self.record.made[s] + n / 2) / self.before[s])
                at = pace.at(s, x, self.form)
                row = StepHours(s, at, 1 / pace.weight[s])
                mean = self.mean(s, n) + harmonic + 0.5 * (at.covariance(at) + row.own)
                row.hours = n * self.record.steps[s].guess / 60 * math.exp(min(mean, MOST_LN))
                out.append(row)
        return out

    def hours_left(self, to_go: list[float]) -> HoursLeft:
        """Hours for `to_go` items by step."""
        rows = self.by_step(to_go)
        total = LEAST_HOURS
        for a in rows:
            total += a.hours
        square, expm1 = 0.0, math.expm1
        for i, a in enumerate(rows):
            part = a.hours / total
            square += part * part * expm1(min(a.at.covariance(a.at) + a.own, MOST_LN))
            for b in rows[:i]:
                square += 2 * part * (b.hours / total) * expm1(min(a.at.covariance(b.at), MOST_LN))
        known = math.log(1 + max(0.0, square))
        var = WIDER * (known + self._to_come(total))
        return HoursLeft(math.log(total) - LOWER * known, math.sqrt(max(1e-8, var)))

    def _to_come(self, hours: float) -> float:
        """Variance that sittings, an hour each, and forms to come bring into so many hours."""
        forms = min(1.0, 2 * FORM_DAYS / (FORM_DAYS + self.days)) * (1 - self.form * self.form)
        return self.pace.s2 / (1 + hours) + self.pace.c2 * forms

    def narrowed(self, rows: list[StepHours], step: int, minutes: float) -> float:
        """Variance of ln hours that so many timed minutes of one step would take away."""
        pace = self.pace
        x = math.log(1 + self.record.made[step] / self.before[step])
        now = pace.at(step, x, self.form)
        own = 1 / pace.weight[step]
        total = shared = 0.0
        for t in rows:
            total += t.hours
            shared += t.hours * (now.covariance(t.at) + (own if t.step == step else 0.0))
        if total <= 0:
            return 0.0
        items = minutes / (self.record.steps[step].guess * math.exp(pace.u[0] + pace.d[step]))
        noise = pace.s2 + ITEM_SCATTER / max(items, 0.1)
        return WIDER * (shared / total) ** 2 / (now.covariance(now) + own + noise)

    def practice_variance(self, step: int, n: float, part: float) -> float:
        """Variance of ln hours between the answers to how practised this step is.

        The pace of today is known from the record or the guess: the answer tells how much quicker
        the next n items will still get. `part` is the step's part of all hours.
        """
        later = []
        for practised in ("new", "used", "old_hand"):
            before = self.pace.before(step, practised)
            today = self.pace.u[1] * math.log(1 + self.record.made[step] / before)
            later.append(self._learning(step, n, before) - today)
        mean = (later[0] + later[1] + later[2]) / 3
        square = 0.0
        for v in later:
            square += (v - mean) * (v - mean) / 3
        return WIDER * square * part * part
