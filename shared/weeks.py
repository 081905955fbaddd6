"""Bench hours over the calendar: how much this maker works, on which weekdays, how steadily.

Days are ordinals. The latest weeks count most; known off days are left out.
"""

from __future__ import annotations

import math

from .left import Left
from .normal import below, point

HALF_LIFE = 70.0
SCATTER, SCATTER_WORTH = 0.25, 4.0  # cv^2 of weekly hours before any is known, and its worth in weeks
HOPE, HOPE_SD = 0.10, 0.5  # makers say more than they do; ln
MOST_A_DAY = 12.0
DRIFT = 0.07
CV_FACTOR = 1.2
SHAPE_WORTH = 2.0
EXTRA = 1.0
PAST, FUT, LAM, DRIFT_WEEKS = 1.1, 1.0, 0.4, 26
INTER = 1
RUSH, RUSH_DAYS = 0.21, (10, 28)
MOST_DAYS = 4000
LOOK_BACK = 390  # days; older ones would count 2 % or less


class Weeks:
    def __init__(self) -> None:
        self.level = 0.0  # hours a week
        self.cv2 = SCATTER
        self.known = 0.0  # weighted weeks on record
        self.prior = 0.0
        self.shape = [0.0] * 7  # expected hours of each weekday
        self.seen = 0.0  # plain hours a week over the record


def rush(to_due: int) -> float:
    """How much more a maker does when the first piece's date is so many days off; 1 when it is past."""
    if to_due < 0 or to_due > RUSH_DAYS[1]:
        return 1.0
    a, b = RUSH_DAYS
    return 1.0 + RUSH * min(1.0, (b - to_due) / (b - a))


def learn(hours: dict[int, float], first: int, today: int, said: float, off: dict[int, bool], due: int | None) -> Weeks:
    """`hours` by ordinal day, `first` the first day of the record, `said` the maker's own hours a week.

    Today is left out: who asks has often just worked, and that day would count for more than it is.
    """
    w = Weeks()
    week_h: dict[int, float] = {}
    week_n: dict[int, int] = {}
    sum_w = sum_h = total = 0.0
    by_day, by_w = [0.0] * 7, [0.0] * 7
    begin = max(first, today - LOOK_BACK)
    days = 0
    for day in range(begin, today + 1):
        if day in off:
            continue
        f = 0.5 ** ((today - day) / HALF_LIFE)
        h = hours.get(day, 0.0)
        total += h
        days += 1
        if due is not None:
            h /= rush(due - day)
        sum_w += f
        sum_h += f * h
        by_day[day % 7] += f * h
        by_w[day % 7] += f
        k = (today - day) // 7
        week_h[k] = week_h.get(k, 0.0) + h
        week_n[k] = week_n.get(k, 0) + 1
    sum_w += EXTRA
    whole = [week_h[k] * 7 / week_n[k] for k in sorted(week_h) if week_n[k] >= 4]
    mean = 0.0
    for h in whole:
        mean += h / max(1, len(whole))
    var = 0.0
    for h in whole:
        var += (h - mean) * (h - mean)
    n = len(whole)
    cv2 = var / (mean * mean) if mean > 0 else 0.0
    w.cv2 = CV_FACTOR * (SCATTER * SCATTER_WORTH + cv2) / (SCATTER_WORTH + max(0, n - 1)) if mean > 0 else CV_FACTOR * SCATTER
    w.prior = w.cv2 / (HOPE_SD * HOPE_SD)
    w.known = sum_w / 7
    w.level = max(0.05, (w.prior * said * math.exp(-HOPE) + sum_h) / (w.prior + w.known))
    tot = 0.0
    for d in range(7):
        w.shape[d] = (SHAPE_WORTH * w.level / 7 + by_day[d]) / (SHAPE_WORTH + by_w[d])
        tot += w.shape[d]
    w.shape = [h * w.level / tot for h in w.shape]
    w.seen = total * 7 / max(1, days)
    return w


class Ahead:
    """Expected hours to each coming day, and the log variance of the sum."""

    def __init__(self, weeks: Weeks, today: int, off: dict[int, bool], queue: list[tuple[int | None, float]]) -> None:
        self.queue = list(queue)  # due day and hours worked until done, of each piece in turn
        self.weeks = weeks
        self.sums = [0.0]
        self.work = [0.0]
        self.today = today
        self.off = off

    def _rush(self, day: int) -> float:
        """Of the piece that comes first on that day: the dates of pieces thought finished by then are passed over."""
        while self.queue and self.queue[0][1] <= self.sums[-1]:
            self.queue.pop(0)
        if not self.queue or self.queue[0][0] is None:
            return 1.0
        return rush(self.queue[0][0] - day)

    def hours(self, day: int) -> float:
        while len(self.sums) <= day:
            d = self.today + len(self.sums)
            h = 0.0 if d in self.off else self.weeks.shape[d % 7] * self._rush(d)
            self.sums.append(self.sums[-1] + h)
        return self.sums[day]

    def var(self, day: float) -> float:
        k = max(day, 1.0) / 7
        w = self.weeks
        return math.log(1 + PAST * w.cv2 / (w.prior + w.known) + FUT * w.cv2 / k + DRIFT * k / (k + DRIFT_WEEKS))


def chance(ahead: Ahead, work: Left, day: int) -> float:
    m = ahead.hours(day)
    if m <= 0:
        return 0.0
    r = math.exp(work.mu) / m
    g = (1 - r**LAM) / LAM if LAM else -math.log(r)
    return below(g / math.sqrt(ahead.var(day) + work.sd * work.sd))


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
    day = high if b <= a else low + max(INTER, min(1.0, max(0.0, (p - a) / (b - a))))
    return max(day, 0.0, work.at(p) / MOST_A_DAY)


def hours_needed(ahead: Ahead, work: Left, due: int, p: float) -> float | None:
    """Hours a week that bring the due date with chance p; None when no working day is left."""
    days = 0
    for day in range(1, min(due, MOST_DAYS) + 1):
        days += 0 if ahead.today + day in ahead.off else 1
    if days == 0:
        return None
    weeks = days / 7
    return math.exp(work.mu + point(p) * math.sqrt(math.log(1 + ahead.weeks.cv2 / weeks) + work.sd * work.sd)) / weeks
