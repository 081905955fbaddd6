"""The record fitted: normal equations with each step's own unknown taken out, a few turns of robust weights.

Rows in, paces out (see `pace` for the unknowns). How practised the maker was before the record
is tried at three values, and beside them that the maker learns no more and hardly has good and
bad stretches; each is believed as far as the record bears it out.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from .compact import SPREAD, middle, trust
from .linear import dot, inverse, times
from .pace import FORM, LEARN, Pace, beside
from .record import Record, Row

if TYPE_CHECKING:
    from .linear import Matrix

TURNS = 3
SPREAD_WORTH, FORM_WORTH = 6.0, 4.0  # rows, blocks that the usual spreads are worth
LEAST_S2 = 0.003
SEEN, AT_SIGHT, AT_SIGHT_FEW = 60, 0.2, 0.6  # newest rows for the middle; ln variances
PRACTICES = ((1.0, 0.4), (0.15, 0.3), (6.0, 0.3))  # times the usual practice, belief before the record
SETTLED, SETTLED_LEARN, SETTLED_FORM = 0.3, (0.0, 0.0004), 0.4  # belief; learning; part of the form's variance left
BLOCK_ENDS = (7, 14, 21, 35, 49, 77, 105, 161, 231, 350, 500)  # days ago


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


def _gather(pace: Pace, lines: list[Line], a: Matrix, b: list[float]) -> tuple[Matrix, list[float]]:
    """Adds the rows to the equations; returns per step the sums of weights by unknown, and of weighted y."""
    sums = [[0.0] * pace.size for _ in pace.steps]
    t = [0.0] * len(pace.steps)
    for ln in lines:
        q, x, s = ln.w / ln.v, ln.x, sums[ln.step]
        qx, qy = q * x, q * ln.y
        s[0] += q
        s[1] += qx
        t[ln.step] += qy
        a[1][1] += qx * x
        b[1] += qx * ln.y
        if ln.block >= 0:
            k = 2 + ln.block
            s[k] += q
            a[1][k] += qx
            a[k][k] += q
            b[k] += qy
    return sums, t


def _square_up(a: Matrix, b: list[float], sums: Matrix, t: list[float], weight: list[float]) -> None:
    """Takes the steps' own unknowns out, and fills the lower half."""
    n = len(b)
    for i, s in enumerate(sums):
        if s[0] <= 0:
            continue
        b[0] += t[i]
        for j in range(n):
            a[0][j] += s[j]
        for j in range(n):
            r = s[j] / weight[i]
            b[j] -= r * t[i]
            if r:
                for k in range(j, n):
                    a[j][k] -= r * s[k]
    for j in range(n):
        for k in range(j):
            a[j][k] = a[k][j]


def _solve(pace: Pace, lines: list[Line]) -> None:
    a, b = pace.prior()
    sums, t = _gather(pace, lines, a, b)
    weight = [s[0] + pace.own[i] for i, s in enumerate(sums)]
    _square_up(a, b, sums, t, weight)
    pace.cov, size = inverse(a)
    pace.u = times(pace.cov, b)
    pace.weight, pace.sums = weight, sums
    pace.d = [(t[i] - dot(s, pace.u)) / weight[i] for i, s in enumerate(sums)]
    pace.evidence = 0.5 * (dot(b, pace.u) - size)
    for i, w in enumerate(weight):
        pace.evidence += 0.5 * t[i] * t[i] / w
    mean, var = pace.learn
    pace.evidence -= 0.5 * (mean * mean / var + math.log(var) + len(pace.blocks) * math.log(pace.c2))


def _weigh(pace: Pace, lines: list[Line]) -> None:
    u, usual = pace.u, [pace.u[0] + d for d in pace.d]
    for ln in lines:
        r = ln.y - usual[ln.step] - u[1] * ln.x - (u[2 + ln.block] if ln.block >= 0 else 0.0)
        ln.res = r
        ln.w = trust(r, ln.v)


def _spreads(pace: Pace, lines: list[Line]) -> None:
    """How much sittings vary, and stretches of days, each drawn to the usual while little is known."""
    trusted = square = used = 0.0
    same_day = pace.same_day()
    for ln in lines:
        trusted += ln.w
        square += ln.w * max(-0.5, ln.res * ln.res - ln.row.fixed - same_day) / ln.row.shares
    for i, s in enumerate(pace.sums):
        used += s[0] / pace.weight[i]
    free = trusted * max(0.0, 1 - used / trusted) if trusted > 0 else 0.0
    pace.s2 = max(LEAST_S2, (SPREAD_WORTH * SPREAD * SPREAD + square) / (SPREAD_WORTH + free))
    usual = FORM * FORM * beside(pace.s2)
    pace.c2 = (FORM_WORTH * usual + _chain(pace)) / (FORM_WORTH + len(pace.blocks))


def _chain(pace: Pace) -> float:
    """Expected square of each block's step from the one before, over what a variance of 1 would make it."""
    total = last = last_v = 0.0
    for k, day in enumerate(pace.blocks):
        f, v = pace.u[2 + k], pace.cov[2 + k][2 + k]
        r = pace.fade(day - pace.blocks[k - 1]) if k else 0.0
        c = pace.cov[2 + k][1 + k] if k else 0.0
        total += ((f - r * last) ** 2 + v - 2 * r * c + r * r * last_v) / (1 - r * r)
        last, last_v = f, v
    return total


def _prepare(pace: Pace, lines: list[Line]) -> None:
    before = [pace.before(s) for s in range(len(pace.steps))]
    s2, same_day = pace.s2, pace.same_day()
    for ln in lines:
        row = ln.row
        ln.x = math.log(1 + row.mid / before[ln.step])
        ln.v = s2 * row.shares + row.fixed + same_day * row.days


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


def _doubt_at_sight(pace: Pace, lines: list[Line]) -> None:
    """Weights before any fit: each row beside its step's middle, or beside the guess where there are too few."""
    of_step: list[list[float]] = [[] for _ in pace.steps]
    for ln in lines:
        of_step[ln.step].append(ln.y)
    middles = [middle(y[-SEEN:]) if len(y) >= 3 else 0.0 for y in of_step]
    for ln in lines:
        few = len(of_step[ln.step]) < 3
        ln.w = trust(ln.y - middles[ln.step], AT_SIGHT_FEW if few else AT_SIGHT)


def _first(pace: Pace, lines: list[Line]) -> None:
    _doubt_at_sight(pace, lines)
    for turn in range(TURNS):
        if turn:
            _weigh(pace, lines)
            _spreads(pace, lines)
        _prepare(pace, lines)
        _solve(pace, lines)


def _like(pace: Pace, other: Pace, lines: list[Line], form: float) -> None:
    """The same rows seen with another practice; weights stay, and spreads but for the form's."""
    pace.s2, pace.c2, pace.u, pace.d = other.s2, other.c2 * form, other.u, other.d
    _prepare(pace, lines)
    _solve(pace, lines)


def _believe(paces: list[Pace]) -> None:
    most, total = max([p.evidence for p in paces]), 0.0
    for p in paces:
        p.share *= math.exp(p.evidence - most)
        total += p.share
    for p in paces:
        p.share /= total


def fit(record: Record, today: int, trials: list[Row]) -> tuple[list[Pace], list[Line]]:
    """Paces by practice, the middle one first, and settled, each with its `share` of belief; and the rows."""
    blocks, which = _blocks(record.rows, today)
    lines = _lines(record, which, trials)
    tried = [(practice, share, LEARN, 1.0) for practice, share in PRACTICES]
    paces: list[Pace] = []
    for practice, share, learn, form in tried + [(1.0, SETTLED, SETTLED_LEARN, SETTLED_FORM)]:
        pace = Pace(record.steps, blocks, practice, learn)
        pace.made, pace.share = record.made, share
        if paces:
            _like(pace, paces[0], lines, form)
        else:
            _first(pace, lines)
        paces.append(pace)
    _believe(paces)
    return paces, lines


def likeliest(paces: list[Pace]) -> Pace:
    best = paces[0]
    for p in paces:
        best = p if p.share > best.share else best
    return best
