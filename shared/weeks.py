"""Bench hours over the calendar: how much this maker works, on which weekdays, how steadily.

Days are ordinals. The latest weeks count most; known off days are left out.
"""

from __future__ import annotations

import math

from .left import Left
from .normal import below, point
from .record import Sitting

HALF_LIFE = 70.0
SCATTER, SCATTER_WORTH = 0.35, 4.0  # cv^2 of weekly hours before any is known, and its worth in weeks
HOPE, HOPE_SD = 0.10, 0.36  # makers say more than they do; ln
MOST_A_DAY = 12.0
DRIFT = 0.06
MOST_DAYS = 4000


class Weeks:
    def __init__(self) -> None:
        self.level = 0.0  # hours a week
        self.cv2 = SCATTER
        self.known = 0.0  # weighted weeks on record
        self.prior = 0.0
        self.shape = [0.0] * 7  # expected hours of each weekday
        self.seen = 0.0  # plain hours a week over the record


def learn(hours: dict[int, float], first: int, today: int, said: float) -> Weeks:
    """`hours` by ordinal day, `first` the first day of the record, `said` the maker's own hours a week."""
    w = Weeks()
    week_h: dict[int, float] = {}
    sum_w = sum_h = total = 0.0
    by_day, by_w = [0.0] * 7, [0.0] * 7
    for day in range(max(first, today - 1100), today + 1):
        f = 0.5 ** ((today - day) / HALF_LIFE)
        h = hours.get(day, 0.0)
        sum_w += f
        sum_h += f * h
        total += h
        by_day[day % 7] += f * h
        by_w[day % 7] += f
        k = (today - day) // 7
        week_h[k] = week_h.get(k, 0.0) + h
    days = today + 1 - max(first, today - 1100)
    whole = [week_h[k] for k in sorted(week_h) if (k + 1) * 7 <= days]
    mean = 0.0
    for h in whole:
        mean += h / max(1, len(whole))
    var = 0.0
    for h in whole:
        var += (h - mean) * (h - mean)
    cv2 = var / (mean * mean) if mean > 0 else 0.0
    w.cv2 = 1.2 * (SCATTER * SCATTER_WORTH + cv2) / (SCATTER_WORTH + len(whole)) if mean > 0 else SCATTER
    w.prior = w.cv2 / (HOPE_SD * HOPE_SD)
    w.known = sum_w / 7
    w.level = max(0.05, (w.prior * said * math.exp(-HOPE) + sum_h) / (w.prior + w.known))
    tot = 0.0
    for d in range(7):
        w.shape[d] = (2 * w.level / 7 + by_day[d]) / (2 + by_w[d])
        tot += w.shape[d]
    w.shape = [h * w.level / tot for h in w.shape]
    w.seen = total * 7 / max(1, days)
    return w


class Ahead:
    """Expected hours to each coming day, and the log variance of the sum."""

    def __init__(self, weeks: Weeks, today: int, off: dict[int, bool]) -> None:
        self.weeks = weeks
        self.sums = [0.0]
        self.work = [0.0]
        self.today = today
        self.off = off

    def hours(self, day: int) -> float:
        while len(self.sums) <= day:
            d = self.today + len(self.sums)
            h = 0.0 if d in self.off else self.weeks.shape[d % 7]
            self.sums.append(self.sums[-1] + h)
        return self.sums[day]

    def var(self, day: float) -> float:
        k = max(day, 1.0) / 7
        w = self.weeks
        return math.log(1 + w.cv2 / (w.prior + w.known) + w.cv2 / k + DRIFT * k / (k + 26))


def chance(ahead: Ahead, work: Left, day: int) -> float:
    m = ahead.hours(day)
    if m <= 0:
        return 0.0
    return below((math.log(m) - work.mu) / math.sqrt(ahead.var(day) + work.sd * work.sd))


def day_at(ahead: Ahead, work: Left, p: float) -> float:
    low, high = 0, 1
    while high < MOST_DAYS and chance(ahead, work, high) < p:
        low, high = high, high * 2
    high = min(high, MOST_DAYS)
    while high - low > 1:
        mid = (low + high) // 2
        if chance(ahead, work, mid) < p:
            low = mid
        else:
            high = mid
    a, b = chance(ahead, work, low), chance(ahead, work, high)
    day = high if b <= a else low + min(1.0, max(0.0, (p - a) / (b - a)))
    return max(day, 0.0, work.at(p) / MOST_A_DAY)


def bench_hours(sittings: list[Sitting]) -> dict[int, float]:
    """Hours by day."""
    out: dict[int, float] = {}
    for s in sittings:
        out[s.day] = out.get(s.day, 0.0) + s.minutes / 60
    return out


def hours_needed(ahead: Ahead, work: Left, due: int, p: float) -> float | None:
    """Hours a week that bring the due date with chance p; None when no working day is left."""
    days = 0
    for day in range(1, min(due, MOST_DAYS) + 1):
        days += 0 if ahead.today + day in ahead.off else 1
    if days == 0:
        return None
    weeks = days / 7
    return math.exp(work.mu + point(p) * math.sqrt(math.log(1 + ahead.weeks.cv2 / weeks) + work.sd * work.sd)) / weeks
