"""The record fitted: normal equations with each step's own unknown taken out, a few turns of robust
weights.

Rows in, paces out (see `pace` for the unknowns). How practised the maker was before the record
is tried at three values, and beside them that the maker learns no more and hardly has good and
bad stretches; each is believed as far as the record bears it out.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..statistics.cholesky import dot, inverse, times
from .aggregate import SPREAD, middle, trust
from .observations import Record, Row
from .pace_model import FORM, LEARN, Pace, beside

if TYPE_CHECKING:
    from ..statistics.cholesky import Matrix

TURNS = 3
SPREAD_WORTH, FORM_WORTH = 6.0, 4.0  # rows, blocks that the usual spreads are worth
LEAST_S2 = 0.003
SEEN, AT_SIGHT, AT_SIGHT_FEW = 60, 0.2, 0.6  # newest rows for the middle; ln variances
PRACTICES = (
    (1.0, 0.4),
    (0.15, 0.3),
    (6.0, 0.3),
)  # times the usual practice, belief before the record
SETTLED, SETTLED_LEARN, SETTLED_FORM = (
    0.4,
    (0.0, 0.0004),
    0.4,
)  # belief; learning; part of the form's variance left
BLOCK_ENDS = (7, 14, 21, 35, 49, 77, 105, 161, 231, 350, 500)  # days ago
BLOCK_OF = [len([e for e in BLOCK_ENDS if e <= age]) for age in range(BLOCK_ENDS[-1])]


class Lines:
    """The rows as the fit sees them, by columns, which the page's Python runs over quicker than
    objects.
    """

    def __init__(self, rows: list[Row], y: list[float], block: list[int]) -> None:
        self.rows = rows
        self.y = y
        self.block = (
            block  # -1: outside every block (a trial); lists by block end with a spare for these
        )
        self.step = [r.step for r in rows]
        self.mid = [r.mid for r in rows]
        self.shares = [r.shares for r in rows]
        self.fixed = [r.fixed for r in rows]
        self.days = [r.days for r in rows]
        self.x: list[float] = []
        self.v: list[float] = []
        self.w: list[float] = []
        self.q: list[float] = []  # w / v
        self.res = [0.0] * len(rows)

    def lean(self, pace: Pace) -> None:
        """x, as the practice before the record tells."""
        part = [1 / pace.before(s) for s in range(len(pace.steps))]
        log = math.log
        self.x = [log(1 + mid * part[s]) for mid, s in zip(self.mid, self.step)]

    def spread(self, pace: Pace) -> None:
        """v and q, as the spreads tell."""
        s2, same_day = pace.s2, pace.same_day()
        rows = zip(self.shares, self.fixed, self.days)
        self.v = [s2 * shares + fixed + same_day * days for shares, fixed, days in rows]
        self.q = [w / v for w, v in zip(self.w, self.v)]


class Sums:
    """The rows' part of the equations that no practice alters: by step and block, of q and q y."""

    def __init__(self, pace: Pace, lines: Lines) -> None:
        spare = len(pace.blocks) + 1
        self.all = [0.0 for _ in pace.steps]
        self.t = [0.0 for _ in pace.steps]
        self.of_block = [[0.0] * spare for _ in pace.steps]
        self.y = [0.0] * spare
        whole, t, of_block, by = self.all, self.t, self.of_block, self.y
        for q, y, s, k in zip(lines.q, lines.y, lines.step, lines.block):
            qy = q * y
            whole[s] += q
            t[s] += qy
            of_block[s][k] += q
            by[k] += qy


def _gather(sums: Sums, lines: Lines, a: Matrix, b: list[float]) -> Matrix:
    """Adds the rows to the equations; returns per step the sums of q by unknown."""
    xs = [0.0] * len(sums.all)
    by_block = [0.0] * len(sums.y)
    xx = xy = 0.0
    for q, x, y, s, k in zip(lines.q, lines.x, lines.y, lines.step, lines.block):
        qx = q * x
        xs[s] += qx
        xx += qx * x
        xy += qx * y
        by_block[k] += qx
    a[1][1] += xx
    b[1] += xy
    for k in range(len(sums.y) - 1):
        a[1][2 + k] += by_block[k]
        b[2 + k] += sums.y[k]
        for of_block in sums.of_block:
            a[2 + k][2 + k] += of_block[k]
    return [[q, xs[s]] + sums.of_block[s][:-1] for s, q in enumerate(sums.all)]


def _square_up(
    a: Matrix, b: list[float], sums: Matrix, t: list[float], weight: list[float]
) -> None:
    """Takes the steps' own unknowns out, and fills the lower half."""
    n = len(b)
    for i, s in enumerate(sums):
        if s[0] <= 0:
            continue
        b[0] += t[i]
        first = a[0]
        for j in range(n):
            first[j] += s[j]
        for j in range(n):
            r = s[j] / weight[i]
            b[j] -= r * t[i]
            if r:
                row = a[j]
                for k in range(j, n):
                    row[k] -= r * s[k]
    for j in range(n):
        for k in range(j):
            a[j][k] = a[k][j]


def _solve(pace: Pace, lines: Lines, rows: Sums) -> None:
    a, b = pace.prior()
    sums, t = _gather(rows, lines, a, b), rows.t
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
    pace.evidence -= 0.5 * (
        mean * mean / var + math.log(var) + len(pace.blocks) * math.log(pace.c2)
    )


def _weigh(pace: Pace, lines: Lines) -> None:
    b, form = pace.u[1], pace.u[2:] + [0.0]
    usual = [pace.u[0] + d for d in pace.d]
    rows = zip(lines.y, lines.x, lines.step, lines.block)
    lines.res = [y - usual[s] - b * x - form[k] for y, x, s, k in rows]
    lines.w = [1.0 if r * r < v else trust(r, v) for r, v in zip(lines.res, lines.v)]


def _spreads(pace: Pace, lines: Lines) -> None:
    """How much sittings vary, and stretches of days, each drawn to the usual while little is known."""
    trusted = square = used = 0.0
    same_day = pace.same_day()
    for w, r, fixed, shares in zip(lines.w, lines.res, lines.fixed, lines.shares):
        trusted += w
        square += w * max(-0.5, r * r - fixed - same_day) / shares
    for i, s in enumerate(pace.sums):
        used += s[0] / pace.weight[i]
    free = trusted * max(0.0, 1 - used / trusted) if trusted > 0 else 0.0
    pace.s2 = max(LEAST_S2, (SPREAD_WORTH * SPREAD * SPREAD + square) / (SPREAD_WORTH + free))
    usual = FORM * FORM * beside(pace.s2)
    pace.c2 = (FORM_WORTH * usual + _chain(pace)) / (FORM_WORTH + len(pace.blocks))


def _chain(pace: Pace) -> float:
    """Expected square of each block's step from the one before, over what a variance of 1 would
    make it.
    """
    total = last = last_v = 0.0
    for k, day in enumerate(pace.blocks):
        f, v = pace.u[2 + k], pace.cov[2 + k][2 + k]
        r = pace.fade(day - pace.blocks[k - 1]) if k else 0.0
        c = pace.cov[2 + k][1 + k] if k else 0.0
        total += ((f - r * last) ** 2 + v - 2 * r * c + r * r * last_v) / (1 - r * r)
        last, last_v = f, v
    return total


def _blocks(rows: list[Row], today: int) -> tuple[list[float], list[int]]:
    """Blocks of days with a record, oldest first: their mean day, and each row's block."""
    which = []
    for row in rows:
        age = today - row.day
        which.append(BLOCK_OF[int(age)] if age < BLOCK_ENDS[-1] else len(BLOCK_ENDS))
    order = sorted(set(which), reverse=True)
    place = {k: i for i, k in enumerate(order)}
    total, count = [0.0] * len(order), [0] * len(order)
    for i, row in enumerate(rows):
        total[place[which[i]]] += row.day
        count[place[which[i]]] += 1
    return [total[i] / count[i] for i in range(len(order))], [place[k] for k in which]


def _lines(record: Record, which: list[int], trials: list[Row]) -> Lines:
    guess = [math.log(s.guess) if s.known else 0.0 for s in record.steps]
    rows = record.rows + trials
    return Lines(rows, [r.y - guess[r.step] for r in rows], which + [-1 for _ in trials])


def _doubt_at_sight(pace: Pace, lines: Lines) -> None:
    """Weights before any fit: each row beside its step's middle, or beside the guess where there
    are too few.
    """
    of_step: list[list[float]] = [[] for _ in pace.steps]
    for y, s in zip(lines.y, lines.step):
        of_step[s].append(y)
    middles = [middle(y[-SEEN:]) if len(y) >= 3 else 0.0 for y in of_step]
    doubt = [AT_SIGHT_FEW if len(y) < 3 else AT_SIGHT for y in of_step]
    off = [y - middles[s] for y, s in zip(lines.y, lines.step)]
    lines.w = [1.0 if r * r < doubt[s] else trust(r, doubt[s]) for r, s in zip(off, lines.step)]


def _first(pace: Pace, lines: Lines) -> Sums:
    _doubt_at_sight(pace, lines)
    for turn in range(TURNS):
        if turn:
            _weigh(pace, lines)
            _spreads(pace, lines)
        lines.lean(pace)
        lines.spread(pace)
        sums = Sums(pace, lines)
        _solve(pace, lines, sums)
    return sums


def _like(pace: Pace, other: Pace, lines: Lines, sums: Sums, form: float) -> None:
    """The same rows seen with another practice; weights stay, and spreads but for the form's."""
    pace.s2, pace.c2, pace.u, pace.d = other.s2, other.c2 * form, other.u, other.d
    lines.lean(pace)
    _solve(pace, lines, sums)


def _believe(paces: list[Pace]) -> None:
    most, total = max([p.evidence for p in paces]), 0.0
    for p in paces:
        p.share *= math.exp(p.evidence - most)
        total += p.share
    for p in paces:
        p.share /= total


def fit(record: Record, today: int, trials: list[Row]) -> tuple[list[Pace], Lines]:
    """Paces by practice, the middle one first, and settled, each with its `share` of belief; and
    the rows.
    """
    blocks, which = _blocks(record.rows, today)
    lines = _lines(record, which, trials)
    tried = [(practice, share, LEARN, 1.0) for practice, share in PRACTICES]
    tried.append((1.0, SETTLED, SETTLED_LEARN, SETTLED_FORM))
    paces: list[Pace] = []
    for practice, share, learn, _ in tried:
        pace = Pace(record.steps, blocks, practice, learn)
        pace.made, pace.share = record.made, share
        paces.append(pace)
    sums = _first(paces[0], lines)
    for i, pace in enumerate(paces[1:]):
        _like(pace, paces[0], lines, sums, tried[i + 1][3])
    _believe(paces)
    return paces, lines


def likeliest(paces: list[Pace]) -> Pace:
    best = paces[0]
    for p in paces:
        best = p if p.share > best.share else best
    return best
