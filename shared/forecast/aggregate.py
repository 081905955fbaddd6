"""Old rows drawn together, so that a forecast costs the same after ten years as after one.

The older the rows, the longer the stretch of days that becomes one row a step. Rows far off
their neighbours count little when drawn together, as they would have alone.
"""

from __future__ import annotations

import math

from .observations import Row

SPREAD = 0.20  # ln spread of a sitting before any is known
LATE, LATE_SD, LATE_SHARE = 1.1, 0.6, 0.03  # clocks left running, taps forgotten
ODD_SD, ODD_SHARE = 2.0, 0.003  # anything else
STRETCHES = (
    (28, 0),
    (100, 7),
    (400, 28),
    (1500, 112),
    (100000, 448),
)  # up to this age in days: stretches of so many days
NEIGHBOURS = 12


def bell(r: float, v: float) -> float:
    return math.exp(-0.5 * min(r * r / v, 1000.0)) / math.sqrt(v)


def trust(r: float, v: float) -> float:
    """How likely a row that is r off (ln) with variance v is a sound one, 0 to 1."""
    if r * r < v:
        return 1.0
    good = bell(r, v)
    bad = LATE_SHARE * bell(r - LATE, v + LATE_SD * LATE_SD) + ODD_SHARE * bell(
        r, v + ODD_SD * ODD_SD
    )
    return good / (good + bad + 1e-300)


STRETCH_OF = [
    next(days for most, days in STRETCHES if age <= most) for age in range(STRETCHES[-2][0] + 1)
]


def middle(values: list[float]) -> float:
    """The median, the upper one of two; numbers need no stable sort."""
    return sorted(values)[len(values) // 2]


def _one(rows: list[Row], usual: float) -> Row:
    """Several rows as one, weighted by their sureness about the usual ln pace."""
    total = day = mid = y = shares = days = fixed = minutes = items = 0.0
    for r in rows:
        v = SPREAD * SPREAD * r.shares + r.fixed + 0.01 * r.days
        w = (trust(r.y - usual, max(v, SPREAD * SPREAD) + 0.03) + 1e-6) / v
        total += w
        day += w * r.day
        mid += w * r.mid
        y += w * r.y
        shares += w * w * r.shares
        days += w * w * r.days
        fixed += w * w * r.fixed
        minutes += r.minutes
        items += r.items
    out = Row(
        rows[0].step,
        day / total,
        mid / total,
        y / total,
        shares / (total * total),
        fixed / (total * total),
    )
    out.days, out.minutes, out.items = days / (total * total), minutes, items
    return out


def compact(rows: list[Row], today: int) -> list[Row]:
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
            old.append(_one(group, middle(ys[-min(2 * NEIGHBOURS, NEIGHBOURS + len(group)) :])))
    return old + out
