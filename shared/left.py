"""Bench hours left: items to make at the maker's pace, with the errors the steps share kept shared."""

from __future__ import annotations

import math

from .linear import dot, times
from .normal import point
from .pace import FORM_DAYS, Pace
from .record import Record

SMEAR = -0.5


class Left:
    """Hours left as ln-normal."""

    def __init__(self, mu: float, sd: float) -> None:
        self.mu = mu
        self.sd = sd

    def at(self, p: float) -> float:
        return math.exp(self.mu + self.sd * point(p))


class Work:
    """Expected hours by step for given items, with the shared errors between steps."""

    def __init__(self, record: Record, pace: Pace, today: int, span: float) -> None:
        self.record, self.pace = record, pace
        ahead = max(1.0, span)
        self.ebar = 0.0
        if pace.blocks:
            self.ebar = pace.fade(today - pace.blocks[-1]) * FORM_DAYS / ahead * (1 - math.exp(-ahead / FORM_DAYS))
        self.ahead = ahead
        self.before = [pace.before(s) for s in range(len(record.steps))]

    def line(self, step: int, x: float) -> list[float]:
        out = [1.0, x] + [0.0] * len(self.pace.blocks)
        if self.pace.blocks:
            out[-1] = self.ebar
        return out

    def mean(self, step: int, n: float) -> float:
        """ln of the pace over the guess, on average over the next n items."""
        n0, n1 = self.before[step], self.record.made[step]
        u0, u1 = 1 + n1 / n0, 1 + (n1 + n) / n0
        x = math.log(0.5 * (u0 + u1))
        b = self.pace.u[1]
        mean = self.pace.theta(self.line(step, x), step)
        if abs(1 + b) > 1e-6 and u1 - u0 > 1e-9:
            mean += math.log((u1 ** (1 + b) - u0 ** (1 + b)) / ((1 + b) * (u1 - u0))) - b * x
        return mean

    def left(self, todo: list[float]) -> Left:
        """`todo` items a step."""
        pace = self.pace
        e, h, uh, own = [], [], [], []
        for s, n in enumerate(todo):
            if n <= 0:
                continue
            line = self.line(s, math.log(1 + (self.record.made[s] + n / 2) / self.before[s]))
            mean = self.mean(s, n)
            hs = [line[k] - pace.sums[s][k] / pace.weight[s] for k in range(pace.size)] if pace.sums else line
            us = times(pace.cov, hs)
            v = dot(hs, us) + 1 / pace.weight[s]
            e.append(n * self.record.steps[s].guess / 60 * math.exp(mean + 0.5 * v + SMEAR * (pace.s2 + pace.same_day() + pace.c2)))
            h.append(hs)
            uh.append(us)
            own.append(1 / pace.weight[s])
        total = var = 0.0
        for i in range(len(e)):
            total += e[i]
            for j in range(len(e)):
                c = dot(h[i], uh[j]) + (own[i] if i == j else 0.0)
                var += e[i] * e[j] * math.expm1(c)
        total = max(total, 1e-6)
        sd2 = math.log(1 + var / (total * total)) + pace.s2 / (1 + total)
        sd2 += pace.c2 * min(1.0, 2 * FORM_DAYS / (FORM_DAYS + self.ahead)) * (1 - self.ebar * self.ebar)
        return Left(math.log(total) - 0.5 * math.log(1 + var / (total * total)), math.sqrt(sd2))


class Works:
    """The same, over every practice thought possible."""

    def __init__(self, record: Record, paces: list[Pace], today: int, span: float) -> None:
        self.each = [Work(record, p, today, span) for p in paces]

    def left(self, todo: list[float]) -> Left:
        mu = sq = 0.0
        for w in self.each:
            one = w.left(todo)
            mu += w.pace.share * one.mu
            sq += w.pace.share * (one.sd * one.sd + one.mu * one.mu)
        return Left(mu, math.sqrt(max(1e-8, sq - mu * mu)))
