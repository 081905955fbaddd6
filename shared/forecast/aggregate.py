"""Old rows merged, so that a forecast costs the same after ten years as after one.

The older the rows, the longer the stretch of days that becomes one row a step. Rows y_i of one
stretch with variances v_i (see `observations`) become their weighted mean, by W_i = w_i / v_i:

  y = sum W_i y_i / sum W_i,  shares = sum W_i^2 shares_i / (sum W_i)^2, and so fixed

w_i is the chance that row i is sound and no slip. A row that is r = y_i - usual off comes from a
mixture of two normal distributions, (1 - e) N(0, v) + e N(SLIP, v + SLIP_SD^2) with e = SLIP_SHARE,
and Bayes' rule gives w = N(0, v) / (N(0, v) + e N(SLIP, v + SLIP_SD^2)): J. W. Tukey, A survey of
sampling from contaminated distributions, 1960; D. Peel and G. J. McLachlan, Robust mixture
modelling, Statistics and Computing 10, 2000.
"""

from __future__ import annotations

import math

from .observations import Row

SPREAD = 0.20  # ln standard deviation of a sitting before any is known; chosen on makers 1-5000
SLIP = 1.1  # ln: a clock left running, taps forgotten; a slip makes about three times the time
SLIP_SD = 0.6  # ln standard deviation of that: two in three from 1.6 to 5.5 times
SLIP_SHARE = 0.03  # odds of a slip in a sitting
# (up to this age in days, length of a stretch in days): ten years stay under 600 rows, and answers
# within 2 % of the whole record's, as tests/engine/forecast/test_pace.py holds.
STRETCHES = ((28, 0), (100, 7), (400, 28), (1500, 112), (100000, 448))
NEIGHBOURS = 12  # rows before a stretch whose median is the usual pace there

STRETCH_OF = [
    next(days for most, days in STRETCHES if age <= most) for age in range(STRETCHES[-2][0] + 1)
]


def _density(r: float, v: float) -> float:
    """Normal density at r with variance v, times the square root of 2 pi."""
    return math.exp(-0.5 * min(r * r / v, 1000.0)) / math.sqrt(v)


def sound_chance(r: float, v: float) -> float:
    """The chance that a row that is r off (ln) with variance v is no slip; 1 within one sd."""
    if r * r < v:
        return 1.0
    sound = _density(r, v)
    slip = SLIP_SHARE * _density(r - SLIP, v + SLIP_SD * SLIP_SD)
    return sound / (sound + slip + 1e-300)


def median(values: list[float]) -> float:
    """The upper one of two; not empty."""
    return sorted(values)[len(values) // 2]


def _merge(rows: list[Row], usual: float) -> Row:
    """Several rows of one step as one; `usual` is the ln minutes an item around them."""
    total = day = mid = y = shares = fixed = minutes = items = 0.0
    for r in rows:
        v = SPREAD * SPREAD * r.shares + r.fixed
        around = 2 * SPREAD * SPREAD + r.fixed  # the row's own and that of the days around it
        w = (sound_chance(r.y - usual, around) + 1e-6) / v
        total += w
        day += w * r.day
        mid += w * r.mid
        y += w * r.y
        shares += w * w * r.shares
        fixed += w * w * r.fixed
        minutes += r.minutes
        items += r.items
    square = total * total
    out = Row(rows[0].step, day / total, mid / total, y / total, shares / square, fixed / square)
    out.minutes, out.items = minutes, items
    return out


def merge_old_rows(rows: list[Row], today: int) -> list[Row]:
    """The rows as of an ordinal day: old stretches merged first, then the recent rows as they are."""
    groups: dict[int, list[Row]] = {}
    order: list[list[Row]] = []
    out: list[Row] = []
    for r in rows:
        age = math.ceil(today - r.day)
        days = STRETCH_OF[max(0, age)] if age < len(STRETCH_OF) else STRETCHES[-1][1]
        if days == 0:
            out.append(r)
            continue
        key = (int(r.day) // days * 1000 + days) * 100 + r.step
        if key in groups:
            groups[key].append(r)
        else:
            groups[key] = group = [r]
            order.append(group)
    before: dict[int, list[float]] = {}
    old = []
    for group in order:
        ys = before.setdefault(group[0].step, [])
        for r in group:
            ys.append(r.y)
        if len(group) == 1:
            old.append(group[0])
        else:
            near = ys[-min(2 * NEIGHBOURS, NEIGHBOURS + len(group)) :]
            old.append(_merge(group, median(near)))
    return old + out
