"""Bench hours left: items to make at the maker's pace, with the errors the steps share kept shared."""

from __future__ import annotations

import math

from ..statistics.normal import quantile
from .observations import ITEM_SCATTER, Record
from .pace_model import FORM_DAYS, Pace, Point

# Of the variance of ln time: sittings last as long as they last, so minutes an item average
# harmonically (-1/2 for ln-normal sittings; a little less served better on invented makers).
HARMONIC = -0.4
WIDER = 1.14  # times the variance: it is itself only reckoned
# Of the variance of what is not yet known, in ln hours below the mean: 1/2 puts the middle of a
# ln-normal curve there; more served better on invented makers, whose guesses are not as far off as
# that variance says.
LOWER = 1.1
LEAST_HOURS = 1e-6
LEAST_SHARE = 0.02  # a practice less believed is left out
MOST_LN = 40.0


class Left:
    """Hours left, ln-normal: `mu` and `sd` of ln hours."""

    def __init__(self, mu: float, sd: float) -> None:
        self.mu = mu
        self.sd = sd

    def at(self, p: float) -> float:
        return math.exp(self.mu + self.sd * quantile(p))


class Term:
    """One step's part of the hours: where its pace is taken, and the variance of its own."""

    def __init__(self, step: int, at: Point, own: float) -> None:
        self.step = step
        self.hours = 0.0
        self.at = at
        self.own = own


class Work:
    """Expected hours by step for given items, with the shared errors between steps."""

    def __init__(self, record: Record, pace: Pace, today: int, span: float) -> None:
        self.record, self.pace = record, pace
        ahead = max(1.0, span)
        self.ebar = 0.0
        if pace.blocks:
            self.ebar = (
                pace.fade(today - pace.blocks[-1])
                * FORM_DAYS
                / ahead
                * (1 - math.exp(-ahead / FORM_DAYS))
            )
        self.ahead = ahead
        self.before = [pace.before(s) for s in range(len(record.steps))]

    def mean(self, step: int, n: float) -> float:
        """ln of the pace over the guess, on average over the next n items."""
        n0, n1 = self.before[step], self.record.made[step]
        u0, u1 = 1 + n1 / n0, 1 + (n1 + n) / n0
        x = math.log(0.5 * (u0 + u1))
        b = self.pace.u[1]
        mean = self.pace.theta(step, x, self.ebar)
        if abs(1 + b) > 1e-6 and u1 - u0 > 1e-9:
            mean += math.log((u1 ** (1 + b) - u0 ** (1 + b)) / ((1 + b) * (u1 - u0))) - b * x
        return mean

    def terms(self, todo: list[float]) -> list[Term]:
        """One for each step with items to go."""
        pace = self.pace
        usual = HARMONIC * (pace.s2 + pace.same_day() + pace.c2)
        out = []
        for s, n in enumerate(todo):
            if n > 0:
                at = pace.at(
                    s, math.log(1 + (self.record.made[s] + n / 2) / self.before[s]), self.ebar
                )
                term = Term(s, at, 1 / pace.weight[s])
                mean = self.mean(s, n) + usual + 0.5 * (at.with_other(at) + term.own)
                term.hours = n * self.record.steps[s].guess / 60 * math.exp(min(mean, MOST_LN))
                out.append(term)
        return out

    def left(self, todo: list[float]) -> Left:
        """Hours for `todo` items a step, as ln-normal."""
        terms = self.terms(todo)
        total = LEAST_HOURS
        for a in terms:
            total += a.hours
        square, expm1 = 0.0, math.expm1
        for i, a in enumerate(terms):
            part = a.hours / total
            square += part * part * expm1(min(a.at.with_other(a.at) + a.own, MOST_LN))
            for b in terms[:i]:
                square += 2 * part * (b.hours / total) * expm1(min(a.at.with_other(b.at), MOST_LN))
        known = math.log(1 + max(0.0, square))
        return Left(math.log(total) - LOWER * known, math.sqrt(known + self._ahead_var(total)))

    def _ahead_var(self, hours: float) -> float:
        """What sittings and stretches still to come may bring."""
        pace = self.pace
        stretches = min(1.0, 2 * FORM_DAYS / (FORM_DAYS + self.ahead)) * (1 - self.ebar * self.ebar)
        return pace.s2 / (1 + hours) + pace.c2 * stretches

    def narrowed(self, terms: list[Term], step: int, minutes: float) -> float:
        """Variance of ln hours that so many timed minutes of one step would take away."""
        pace = self.pace
        now = pace.at(step, math.log(1 + self.record.made[step] / self.before[step]), self.ebar)
        own = 1 / pace.weight[step]
        total = shared = 0.0
        for t in terms:
            total += t.hours
            shared += t.hours * (now.with_other(t.at) + (own if t.step == step else 0.0))
        if total <= 0:
            return 0.0
        items = minutes / (self.record.steps[step].guess * math.exp(pace.u[0] + pace.d[step]))
        noise = pace.s2 + pace.same_day() + ITEM_SCATTER / max(items, 0.1)
        return WIDER * (shared / total) ** 2 / (now.with_other(now) + own + noise)


class Works:
    """The same, over every practice thought possible."""

    def __init__(self, record: Record, paces: list[Pace], today: int, span: float) -> None:
        self.each = [Work(record, p, today, span) for p in paces if p.share >= LEAST_SHARE]
        self.whole = 0.0
        for w in self.each:
            self.whole += w.pace.share

    def left(self, todo: list[float]) -> Left:
        mu = sq = 0.0
        for w in self.each:
            one, share = w.left(todo), w.pace.share / self.whole
            mu += share * one.mu
            sq += share * (one.sd * one.sd + one.mu * one.mu)
        return Left(mu, math.sqrt(max(1e-8, WIDER * (sq - mu * mu))))

    def practised(self, todo: list[float], step: int, part: float) -> float:
        """Variance of ln hours from not knowing how practised this step is; `part` is its part of
        all hours.
        """
        mu = sq = 0.0
        for w in self.each:
            m, share = w.mean(step, todo[step]), w.pace.share / self.whole
            mu += share * m
            sq += share * m * m
        return WIDER * max(0.0, sq - mu * mu) * part * part
