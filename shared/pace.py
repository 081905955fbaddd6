"""The maker's own pace per step, from guesses, trials and the record, with how sure it is.

y = ln(minutes an item / guess) = g + d_step + b x + form + noise
  g     all guesses together; d each guess alone; b learning, x = ln(1 + made / made before the record)
        (the curve of T. P. Wright, Factors Affecting the Cost of Airplanes, 1936, with earlier practice)
  form  good and bad stretches of days, fading: a chain of blocks of days
Closed form: normal equations with the d taken out, a few turns of robust weights.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from .compact import SPREAD, trust
from .linear import dot, inverse, times
from .record import Record, Row, Step

if TYPE_CHECKING:
    from typing import Any

    from .linear import Matrix

GUESS_ALL = 0.12  # variance of ln of all guesses together
GUESS_OWN = 0.125  # of each guess alone
UNGUESSED = 4.0  # of a step that was never guessed
LEARN_MEAN, LEARN_VAR = -0.16, 0.01
PRACTICE_H = {"new": 4.0, "used": 15.0, "old_hand": 100.0, "unsaid": 18.0}
SPREAD_WORTH = 6.0
FORM, FORM_WORTH = 0.10, 4.0
FORM_DAYS = 30.0
SAME_DAY = 0.009
TURNS = 3
TIE = 0.8
PRACTICES = ((1.0, 0.4), (0.15, 0.3), (6.0, 0.3))
TEMPER = 1.0
BLOCK_ENDS = (7, 14, 21, 35, 49, 77, 105, 161, 231, 350, 500)


def pace_scale(s2: float) -> float:
    return (s2 / SPREAD**2) ** TIE


class Pace:
    """The fit. `u` = (g, b, form of each block), `cov` its covariance, per step sums q, a, t and d."""

    def __init__(self, steps: list[Step], blocks: list[float], practice: float) -> None:
        self.steps = steps
        self.blocks = blocks  # mean day of each block
        self.size = 2 + len(blocks)
        self.practice = practice
        self.s2 = SPREAD * SPREAD
        self.c2 = FORM * FORM
        self.u = [0.0, LEARN_MEAN] + [0.0] * len(blocks)
        self.cov: Matrix = []
        self.d = [0.0] * len(steps)
        self.own = [1 / GUESS_OWN if s.guessed else 1 / UNGUESSED for s in steps]
        self.weight = list(self.own)
        self.made = [0.0] * len(steps)
        self.sums: Matrix = []
        self.evidence = 0.0
        self.share = 1.0

    def before(self, step: int) -> float:
        """Items made before the record, as practice tells."""
        s = self.steps[step]
        h = PRACTICE_H[s.practised] * self.practice
        return max(1e-9, h * 60 / (s.guess * math.exp(max(-3.0, min(3.0, self.u[0] + self.d[step])))))

    def prior(self) -> tuple[Matrix, list[float]]:
        n = self.size
        p = [[0.0] * n for _ in range(n)]
        p[0][0], p[1][1] = 1 / GUESS_ALL, 1 / LEARN_VAR
        for k in range(len(self.blocks)):
            self._chain(p, k)
        m = [0.0] * n
        m[1] = LEARN_MEAN / LEARN_VAR
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
        p[i][i - 1] -= r * q
        p[i - 1][i] -= r * q

    def same_day(self) -> float:
        return SAME_DAY * (pace_scale(self.s2))

    def fade(self, days: float) -> float:
        return math.exp(-max(days, 1.0) / FORM_DAYS)

    def theta(self, line: list[float], step: int) -> float:
        return dot(line, self.u) + self.d[step]

    def now(self, step: int, today: int, days_ago: float) -> list[float]:
        """The line of a step as it stands today, or stood some days ago (only the form is taken back)."""
        out = [1.0, math.log(1 + self.made[step] / self.before(step))] + [0.0] * len(self.blocks)
        if self.blocks:
            out[-1] = self.fade(today - self.blocks[-1])
        return out

    def told(self, today: int) -> list[dict[str, Any]]:
        """Per step: minutes an item at 10/50/90 %, where from, and the trend over a doubling of the items made."""
        out = []
        for s, step in enumerate(self.steps):
            if not step.known:
                continue
            line = self.now(s, today, 0.0)
            h = [line[k] - self.sums[s][k] / self.weight[s] for k in range(self.size)]
            sd = math.sqrt(max(0.0, dot(h, times(self.cov, h)) + 1 / self.weight[s]))
            mid = step.guess * math.exp(self.theta(line, s))
            wide = math.exp(1.2815515655446004 * sd)
            source = (
                "guess"
                if self.made[s] <= 0
                else ("both" if step.guessed and self.own[s] > 0.1 * self.weight[s] else "own")
            )
            row: dict[str, Any] = {
                "step": step.name,
                "min_per_item": {"p10": mid / wide, "p50": mid, "p90": mid * wide},
            }
            row["from"], row["trend"] = source, 2 ** self.u[1] - 1
            out.append(row)
        return out


class Line:
    """A row as the fit sees it."""

    def __init__(self, row: Row, y: float, block: int) -> None:
        self.row = row
        self.step = row.step
        self.y = y
        self.block = block  # -1: outside every block (a trial)
        self.x = 0.0
        self.v = 1.0
        self.w = 1.0
        self.res = 0.0


def _solve(pace: Pace, lines: list[Line]) -> None:
    n, ns = pace.size, len(pace.steps)
    a, b = pace.prior()
    sums = [[0.0] * n for _ in range(ns)]
    t = [0.0] * ns
    for ln in lines:
        q, x, y, s = ln.w / ln.v, ln.x, ln.y, sums[ln.step]
        s[0] += q
        s[1] += q * x
        t[ln.step] += q * y
        a[1][1] += q * x * x
        b[1] += q * x * y
        if ln.block >= 0:
            k = 2 + ln.block
            s[k] += q
            a[1][k] += q * x
            a[k][1] += q * x
            a[0][k] += q
            a[k][0] += q
            a[k][k] += q
            b[k] += q * y
    weight = [s[0] + pace.own[i] for i, s in enumerate(sums)]
    for i, s in enumerate(sums):
        a[0][0] += s[0]
        a[0][1] += s[1]
        a[1][0] += s[1]
        b[0] += t[i]
        if s[0] > 0:
            for j in range(n):
                r = s[j] / weight[i]
                b[j] -= r * t[i]
                for k in range(n):
                    a[j][k] -= r * s[k]
    pace.cov, size = inverse(a)
    pace.u = times(pace.cov, b)
    pace.weight, pace.sums = weight, sums
    pace.d = [(t[i] - dot(sums[i], pace.u)) / weight[i] for i in range(ns)]
    pace.evidence = 0.5 * (dot(b, pace.u) - size)
    for i in range(ns):
        pace.evidence += 0.5 * t[i] * t[i] / weight[i]


def _weigh(pace: Pace, lines: list[Line]) -> None:
    u = pace.u
    for ln in lines:
        r = ln.y - u[0] - pace.d[ln.step] - u[1] * ln.x - (u[2 + ln.block] if ln.block >= 0 else 0.0)
        ln.res = r
        ln.w = trust(r, ln.v)


def _spreads(pace: Pace, lines: list[Line]) -> None:
    sw = sr = used = 0.0
    for ln in lines:
        sw += ln.w
        sr += ln.w * max(-0.5, ln.res * ln.res - ln.row.fixed - pace.same_day()) / ln.row.shares
    for i, s in enumerate(pace.sums):
        used += s[0] / pace.weight[i]
    keep = max(0.0, 1 - used / sw) if sw > 0 else 1.0
    prior = SPREAD_WORTH * SPREAD * SPREAD
    pace.s2 = max(0.003, (prior + sr) / (SPREAD_WORTH + sw * keep))
    chain = 0.0
    last, lastv = 0.0, 0.0
    for k in range(len(pace.blocks)):
        i = 2 + k
        f, v = pace.u[i], pace.cov[i][i]
        r = pace.fade(pace.blocks[k] - pace.blocks[k - 1]) if k else 0.0
        c = pace.cov[i][i - 1] if k else 0.0
        e = f - r * last
        chain += (e * e + v - 2 * r * c + r * r * lastv) / (1 - r * r)
        last, lastv = f, v
    pace.c2 = (FORM_WORTH * FORM * FORM * pace_scale(pace.s2) + chain) / (FORM_WORTH + len(pace.blocks))


def _prepare(pace: Pace, lines: list[Line]) -> None:
    before = [pace.before(s) for s in range(len(pace.steps))]
    for ln in lines:
        ln.x = math.log(1 + ln.row.mid / before[ln.step])
        ln.v = pace.s2 * ln.row.shares + ln.row.fixed + pace.same_day() * ln.row.days


def _blocks(rows: list[Row], today: int) -> tuple[list[float], list[int]]:
    """Blocks of days with a record, oldest first: their mean day, and each row's block."""
    which = []
    for row in rows:
        k = 0
        while k < len(BLOCK_ENDS) and today - row.day >= BLOCK_ENDS[k]:
            k += 1
        which.append(k)
    order = sorted(set(which), reverse=True)
    place = {k: i for i, k in enumerate(order)}
    total, count = [0.0] * len(order), [0] * len(order)
    for i, row in enumerate(rows):
        total[place[which[i]]] += row.day
        count[place[which[i]]] += 1
    return [total[i] / count[i] for i in range(len(order))], [place[k] for k in which]


def _lines(record: Record, which: list[int], trials: list[Row]) -> list[Line]:
    guess = [math.log(s.guess) if s.known else 0.0 for s in record.steps]
    lines = [Line(r, r.y - guess[r.step], which[i]) for i, r in enumerate(record.rows)]
    return lines + [Line(r, r.y - guess[r.step], -1) for r in trials]


def fit(record: Record, today: int, trials: list[Row]) -> list[Pace]:
    """One pace for each practice thought possible, with its `share` of belief; the middle one first."""
    blocks, which = _blocks(record.rows, today)
    lines = _lines(record, which, trials)
    out = []
    for practice, share in PRACTICES:
        pace = Pace(record.steps, blocks, practice)
        pace.made = record.made
        pace.share = share
        if out:
            pace.s2, pace.c2, pace.u, pace.d = out[0].s2, out[0].c2, out[0].u, out[0].d
        for turn in range(1 if out else TURNS):
            _prepare(pace, lines)
            _solve(pace, lines)
            if turn < TURNS - 1 and not out:
                _weigh(pace, lines)
                _spreads(pace, lines)
        out.append(pace)
    most = max([p.evidence for p in out])
    total = 0.0
    for p in out:
        p.share *= math.exp(TEMPER * (p.evidence - most))
        total += p.share
    for p in out:
        p.share /= total
    return out
