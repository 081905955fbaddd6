"""Fits the pace model (see `pace_model`) to the rows of a record.

With weights q = w / v, u has the normal equations (P + sum q l l') u = P m + sum q l y, P and m the
prior's; each step's own d_s is taken out of them first, so that their size is 2 + blocks whatever
the number of steps (C. R. Henderson, Best linear unbiased estimation and prediction, Biometrics 31,
1975). TURNS times in turn:

  u, U       solved by Cholesky
  w          chance that a row with residual r is sound (`aggregate`)
  s2         (SPREAD_ROWS SPREAD^2 + sum w (r^2 - fixed) / shares) / (SPREAD_ROWS + rows - unknowns)
  c2         likewise from the forms' expected squares: A. P. Dempster, N. M. Laird and D. B. Rubin,
             Maximum likelihood from incomplete data via the EM algorithm, JRSS B 39, 1977
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from ..statistics.cholesky import dot, inverse, times
from .aggregate import SPREAD, sound_chance
from .observations import Record, Row
from .pace_model import FORM, GUESS_ALL, GUESS_OWN, Pace, variance_ratio

if TYPE_CHECKING:
    from ..statistics.cholesky import Matrix

TURNS = 3  # of the iteration: more change the scores by under .003 and cost steps
SPREAD_ROWS = 6.0  # rows that the usual SPREAD is worth
FORM_BLOCKS = 4.0  # blocks that the usual FORM is worth; both chosen on makers 1-5000
LEAST_S2 = 0.003  # nobody's sittings vary less than 5 %
FIRST_V = GUESS_ALL + GUESS_OWN + SPREAD * SPREAD  # ln variance of a row beside its guess
BLOCK_ENDS = (14, 35, 77, 161, 350)  # days ago; each block twice as long as the one before, or so
BLOCK_OF = [len([e for e in BLOCK_ENDS if e <= age]) for age in range(BLOCK_ENDS[-1])]


class Lines:
    """The rows by columns, which MicroPython runs over quicker than objects.

    `y` ln of the pace over the guess, `block` (-1: a trial, outside every block, which in lists by
    block is the spare last place), `x` experience, `v` variance, `w` chance of being sound,
    `q` = w / v, `res` residual.
    """

    def __init__(self, rows: list[Row], y: list[float], block: list[int]) -> None:
        self.rows = rows
        self.y = y
        self.block = block
        self.step = [r.step for r in rows]
        self.mid = [r.mid for r in rows]
        self.shares = [r.shares for r in rows]
        self.fixed = [r.fixed for r in rows]
        self.x: list[float] = []
        self.v: list[float] = []
        self.w: list[float] = []
        self.q: list[float] = []
        self.res = [0.0] * len(rows)

    def set_experience(self, pace: Pace) -> None:
        """x, from the items made before the record as the pace has them."""
        part = [1 / pace.before(s) for s in range(len(pace.steps))]
        log = math.log
        self.x = [log(1 + mid * part[s]) for mid, s in zip(self.mid, self.step)]

    def set_variances(self, s2: float) -> None:
        """v and q, from the variance of sittings."""
        self.v = [s2 * shares + fixed for shares, fixed in zip(self.shares, self.fixed)]
        self.q = [w / v for w, v in zip(self.w, self.v)]


class Sums:
    """The rows' part of the equations that x does not enter: sums of q and q y.

    `all` and `t` by step, `of_block` of q by step and block, `y` of q y by block.
    """

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


def _add_rows(sums: Sums, lines: Lines, a: Matrix, b: list[float]) -> Matrix:
    """Adds the rows to the equations; returns per step the sums of q l."""
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


def _eliminate_steps(
    a: Matrix, b: list[float], sums: Matrix, t: list[float], weight: list[float]
) -> None:
    """Takes the steps' own unknowns out of the equations, and fills the lower half."""
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
    """Sets u, d and their covariance."""
    a, b = pace.prior()
    sums, t = _add_rows(rows, lines, a, b), rows.t
    weight = [s[0] + pace.own[i] for i, s in enumerate(sums)]
    _eliminate_steps(a, b, sums, t, weight)
    pace.cov = inverse(a)
    pace.u = times(pace.cov, b)
    pace.weight, pace.sums = weight, sums
    pace.d = [(t[i] - dot(s, pace.u)) / weight[i] for i, s in enumerate(sums)]


def _set_weights(pace: Pace, lines: Lines) -> None:
    b, form = pace.u[1], pace.u[2:] + [0.0]
    usual = [pace.u[0] + d for d in pace.d]
    rows = zip(lines.y, lines.x, lines.step, lines.block)
    lines.res = [y - usual[s] - b * x - form[k] for y, x, s, k in rows]
    lines.w = [1.0 if r * r < v else sound_chance(r, v) for r, v in zip(lines.res, lines.v)]


def _set_spreads(pace: Pace, lines: Lines) -> None:
    """s2 and c2, each drawn to the usual one while little is known."""
    rows = square = used = 0.0
    for w, r, fixed, shares in zip(lines.w, lines.res, lines.fixed, lines.shares):
        rows += w
        square += w * max(-0.5, r * r - fixed) / shares
    for i, s in enumerate(pace.sums):
        used += s[0] / pace.weight[i]
    free = max(0.0, rows - used)
    pace.s2 = max(LEAST_S2, (SPREAD_ROWS * SPREAD * SPREAD + square) / (SPREAD_ROWS + free))
    usual = FORM * FORM * variance_ratio(pace.s2)
    pace.c2 = (FORM_BLOCKS * usual + _form_squares(pace)) / (FORM_BLOCKS + len(pace.blocks))


def _form_squares(pace: Pace) -> float:
    """Sum over blocks of E (f_k - r f_(k-1))^2 / (1 - r^2): each has the mean c2."""
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
        age = max(0.0, today - row.day)  # another device's clock may run ahead
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


def fit(record: Record, today: int, trials: list[Row]) -> tuple[Pace, Lines]:
    """The pace as of an ordinal day, and the rows with their weights and residuals.

    `trials` are minutes timed on purpose, before or beside the record.
    """
    blocks, which = _blocks(record.rows, today)
    lines = _lines(record, which, trials)
    pace = Pace(record.steps, blocks, record.made)
    lines.w = [sound_chance(y, FIRST_V) for y in lines.y]
    for turn in range(TURNS):
        if turn:
            _set_weights(pace, lines)
            _set_spreads(pace, lines)
        lines.set_experience(pace)
        lines.set_variances(pace.s2)
        _solve(pace, lines, Sums(pace, lines))
    return pace, lines
