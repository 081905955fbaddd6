"""Bench hours over the calendar: how much this maker works, on which weekdays, how steadily.

Days are ordinals. The latest weeks count most; known off days are left out.
"""

from __future__ import annotations

import math

from .left import Left
from .normal import below, point

# Set on invented makers with known endings (tests/bench); no published source.
HALF_LIFE = 70.0  # days
SCATTER, SCATTER_WORTH = 0.25, 4.0  # cv^2 of weekly hours before any is known, and its worth in weeks
SCATTER_MORE = 1.2  # weeks hang together, so they tell less than they seem to
HOPE, HOPE_SD = 0.10, 0.5  # makers say more than they do; ln
SHAPE_WORTH = 2.0  # weeks of evenly spread days that the habit of weekdays starts from
HALF_A_GAP = 1.0  # who asks has often just worked: the days until the next time belong to the record too
LONG_GAP, GAPS = 7, 3.0  # idle days in a row beyond these; what their share of all days adds to the scatter
LEVEL_UNSURE = 1.1  # on top of the scatter of weeks
SHIFT, SHIFT_WEEKS = 0.085, 26  # how far the level itself may move, ln variance, and how soon
CORE, TAIL = 0.06, 0.08  # surer near the middle, less sure far out than the normal curve
BEND = 0.4  # between ln-normal (0) and normal (1): gaps make a tail of low weeks
RUSH, RUSH_DAYS = 0.21, (10, 28)  # a fifth more before a date, from so many days before it
PUSH = 0.35
LEAST_WEEK = 0.05  # hours; nobody is taken never to work again
MOST_A_DAY = 12.0  # hours
MOST_DAYS = 4000
LOOK_BACK = 1100
MEMORIES = ((50.0, 0.2), (150.0, 0.4), (700.0, 0.4))  # half-lives in days, belief before the record
AHEAD = 13  # weeks that a memory is tried on
MISS_WORTH = 8.0


def rush(to_due: int) -> float:
    """How much more a maker does when the first piece's date is so many days off; 1 when it is past."""
    if to_due < 0 or to_due > RUSH_DAYS[1]:
        return 1.0
    a, b = RUSH_DAYS
    return 1.0 + RUSH * min(1.0, (b - to_due) / (b - a))


class Weeks:
    """The record week by week, then what it says: `level`, `shape`, `cv2`, `seen`, and how far off it has been."""

    def __init__(self) -> None:
        self.day_hours = [0.0] * 7  # weighted hours and days of each weekday
        self.day_weight = [0.0] * 7
        self.hours: list[float] = []  # by whole weeks back from today
        self.days: list[int] = []
        self.seen = 0.0  # plain hours a week
        self.lost = 0.0  # share of days in idle stretches beyond LONG_GAP
        self.known = 0.0  # weighted weeks on record
        self.cv2 = SCATTER  # of weekly hours
        self.prior = 0.0  # weeks that the maker's own word is worth
        self.level = 0.0  # hours a week
        self.shape = [0.0] * 7  # expected hours of each weekday, by ordinal mod 7
        self.missed = 1.0  # variance of the level as it proved over the variance reckoned

    def add(self, day: int, hours: float, age: int, lift: float) -> None:
        k = age // 7
        while len(self.hours) <= k:
            self.hours.append(0.0)
            self.days.append(0)
        self.hours[k] += hours / lift
        self.days[k] += 1
        f = math.pow(0.5, age / HALF_LIFE)
        self.day_hours[day % 7] += f * hours / lift
        self.day_weight[day % 7] += f

    def settle(self, said: float) -> None:
        """From the sums to the level; `said` is the maker's own hours a week."""
        self.cv2 = SCATTER_MORE * self._scatter() * (1 + GAPS * self.lost)
        self.prior = self.cv2 / (HOPE_SD * HOPE_SD)
        told = said * math.exp(-HOPE)
        self.level = self._memory(told)
        total = 0.0
        for d in range(7):
            self.shape[d] = (SHAPE_WORTH * self.level / 7 + self.day_hours[d]) / (SHAPE_WORTH + self.day_weight[d])
            total += self.shape[d]
        self.shape = [h * self.level / total for h in self.shape]

    def _scatter(self) -> float:
        """cv^2 of the hours of weeks that are known for the most part, drawn to the usual one while they are few."""
        whole = [self.hours[k] * 7 / n for k, n in enumerate(self.days) if n >= 4]
        mean = square = 0.0
        for h in whole:
            mean += h / len(whole)
        if mean <= 0:
            return SCATTER
        for h in whole:
            square += (h / mean - 1) * (h / mean - 1)
        return (SCATTER * SCATTER_WORTH + square) / (SCATTER_WORTH + max(0, len(whole) - 1))

    def _memory(self, told: float) -> float:
        """The level with a memory as long as served this maker best: each is tried on the months already past."""
        tried = [self._remember(told, life) for life, _ in MEMORIES]
        least = min([t[2] for t in tried])
        belief = level = miss = known = 0.0
        for i, (now, weeks, square, n) in enumerate(tried):
            b = MEMORIES[i][1] * math.pow(least / square, 0.5 * n)
            belief += b
            level += b * now
            known += b * weeks
            miss += b * square
            worth = n
        self.known = known / belief
        reckoned = self.cv2 * (LEVEL_UNSURE / (self.prior + self.known) + 1 / AHEAD) + SHIFT * AHEAD / SHIFT_WEEKS
        self.missed = (MISS_WORTH + worth * miss / belief / reckoned) / (MISS_WORTH + worth)
        return max(LEAST_WEEK, level / belief)

    def _remember(self, told: float, life: float) -> tuple[float, float, float, float]:
        """With one half-life: level now, weeks known, mean square of its ln misses over the next weeks, their worth."""
        fade = math.pow(0.5, 7 / life)
        hours = square = 0.0
        known = HALF_A_GAP / 7
        tried, last = 0, len(self.hours) - 1
        for k in range(last, -1, -1):
            hours = fade * hours + self.hours[k]
            known = fade * known + self.days[k] / 7
            if last - k >= 3 and k >= AHEAD:
                now = (self.prior * told + hours) / (self.prior + known)
                came = n = 0.0
                for m in range(k - AHEAD, k):
                    came += self.hours[m]
                    n += self.days[m] / 7
                if n > AHEAD / 2:
                    tried += 1
                    square += math.log((came / n + 0.1 * now + LEAST_WEEK) / (1.1 * now + LEAST_WEEK)) ** 2
        worth = tried / AHEAD
        now = (self.prior * told + hours) / (self.prior + known)
        return now, known, (0.1 + square / AHEAD) / (1 + worth), worth


def learn(hours: dict[int, float], first: int, today: int, said: float, off: dict[int, bool], due: int | None) -> Weeks:
    """`hours` by ordinal day, `first` the first day of the record, `due` the date of the piece that comes first."""
    w = Weeks()
    total, days, idle, lost = 0.0, 0, 0, 0
    for day in range(max(first, today - LOOK_BACK), today + 1):
        if day not in off:
            h = hours.get(day, 0.0)
            idle = 0 if h > 0 else idle + 1
            lost += 1 if idle > LONG_GAP else 0
            w.add(day, h, today - day, rush(due - day) if due is not None else 1.0)
            if today - day < LOOK_BACK:
                total += h
                days += 1
    w.lost = lost / max(1, days)
    w.settle(said)
    w.seen = total * 7 / max(1, days)
    return w


class Ahead:
    """Expected hours to each coming day, and the log variance of the sum."""

    def __init__(self, weeks: Weeks, today: int, off: dict[int, bool]) -> None:
        self.queue: list[tuple[int | None, float]] = []  # due day and hours worked until done, of each piece in turn
        self.weeks = weeks
        self.sums = [0.0]
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
        return w.missed * math.log(
            1 + LEVEL_UNSURE * w.cv2 / (w.prior + w.known) + w.cv2 / k + SHIFT * k / (k + SHIFT_WEEKS)
        )


def chance(ahead: Ahead, work: Left, day: int) -> float:
    """That the work is done by that day: that the hours until then reach it. Hours never run backwards."""
    hours = ahead.hours(day)
    if hours <= 0:
        return 0.0
    room = (1 - math.exp(BEND * (work.mu - math.log(hours)))) / BEND
    z = room / math.sqrt(ahead.var(day) + work.sd * work.sd)
    return below((1 + CORE) * z / math.sqrt(1 + TAIL * z * z))


def day_at(ahead: Ahead, work: Left, p: float) -> int:
    """The first day by which the work is done with chance p; MOST_DAYS when it is later."""
    low, high = 0, 1
    while high < MOST_DAYS and chance(ahead, work, high) < p:
        low, high = high, high * 2
    high = min(high, MOST_DAYS)
    while high - low > 1:
        mid = (low + high) // 2
        low, high = (mid, high) if chance(ahead, work, mid) < p else (low, mid)
    return min(MOST_DAYS, max(high, math.ceil(min(work.at(p) / MOST_A_DAY, MOST_DAYS))))


def promise(p: float) -> float:
    """Chance of a date that was promised: makers push hardest when they are behind, more than `rush` alone tells."""
    return p + PUSH * p * (1 - p) * (1 - p)


def hours_needed(ahead: Ahead, work: Left, due: int, p: float) -> float | None:
    """Hours a week that bring the due date with chance p; None when no working day is left."""
    days = 0
    for day in range(1, min(due, MOST_DAYS) + 1):
        days += 0 if ahead.today + day in ahead.off else 1
    if days == 0:
        return None
    weeks = days / 7
    spread = math.sqrt(math.log(1 + ahead.weeks.cv2 / weeks) + work.sd * work.sd)
    return math.exp(work.mu + point(p) * spread) / weeks
