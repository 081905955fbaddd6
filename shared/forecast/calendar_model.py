"""Bench hours over the calendar: how much this maker works, on which weekdays, how steadily.

Days are ordinals. The latest weeks count most; known off days are left out. Long gaps are
taken out of the weeks and reckoned apart: a short record without a gap will have one yet, and one
that had a gap will not have it all the time.
"""

from __future__ import annotations

import math

from ..base.rounding import added
from ..statistics.normal import cdf, quantile
from .remaining_hours import Left

# Set on invented makers with known endings (tests/bench); no published source.
HALF_LIFE = 70.0  # days
SCATTER, SCATTER_WORTH = (
    0.25,
    4.0,
)  # cv^2 of weekly hours before any is known, and its worth in weeks
SCATTER_MORE = 1.2  # weeks hang together, so they tell less than they seem to
HOPE, HOPE_SD = 0.10, 0.42  # makers say more than they do; ln
SHAPE_WORTH = 2.0  # weeks of evenly spread days that the habit of weekdays starts from
HALF_A_GAP = (
    1.0  # who asks has often just worked: the days until the next time belong to the record too
)
SHORTEST_GAP, SPACINGS = (
    5,
    3.0,
)  # a gap is longer than so many days, and than so many usual waits for the next time
IDLE, IDLE_WORTH = 0.08, 300.0  # share of days in gaps before any is known, and its worth in days
GAP_CV2 = 0.25  # what gaps add to the cv^2 of a week's hours, before any is known
IDLE_UNSURE = 0.004  # ln variance from the share of gaps to come
LEVEL_UNSURE = 1.1  # on top of the scatter of weeks
SHIFT, SHIFT_WEEKS = 0.2, 52  # how far the level itself may move, ln variance, and how soon
SHIFT_WORTH = 3.0  # stretches of AHEAD weeks
ALL = 0.8  # of the variances together: they overlap
CORE, TAIL = 0.12, 0.10  # surer near the middle, less sure far out than the normal curve
BEND = 0.4  # between ln-normal (0) and normal (1): gaps make a tail of low weeks
VARIED = 0.8  # who varies much at the bench also does from week to week, and stays away more
AWAY_TIMES = (0.3, 3.0)  # least and most of that, as to staying away
LEAST_WEEK = 0.05  # hours; nobody is taken never to work again
MOST_A_DAY = 12.0  # hours
MOST_DAYS = 4000
LOOK_BACK = 1100
MOST_LN = 40.0
SHORT_WEEKS = (
    2.0  # work that takes less is not as unsure as its few days: free evenings after them come too
)
MEMORIES = ((50.0, 0.2), (150.0, 0.4), (700.0, 0.4))  # half-lives in days, belief before the record
AHEAD = 13  # weeks that a memory is tried on


FADES = [math.pow(0.5, age / HALF_LIFE) for age in range(LOOK_BACK)]


def temper(varied: float) -> float:
    """How changeable a maker is beside the usual one, as a variance; `varied` is that of sittings."""
    return math.pow(varied, VARIED)


class Weeks:
    """The record week by week, then what it says: `level`, `shape`, `cv2`, `seen`, and how far off
    it has been.
    """

    def __init__(self) -> None:
        self.day_hours = [0.0] * 7  # weighted hours and days of each weekday
        self.day_weight = [0.0] * 7
        self.hours: list[float] = []  # by whole weeks back from today
        self.days: list[int] = []
        self.seen = 0.0  # plain hours a week
        self.idle = IDLE  # share of days in gaps to come
        self.gap_cv2 = GAP_CV2
        self.known = 0.0  # weighted weeks on record
        self.cv2 = SCATTER  # of weekly hours
        self.prior = 0.0  # weeks that the maker's own word is worth
        self.level = 0.0  # hours a week
        self.shape = [0.0] * 7  # expected hours of each weekday, by ordinal mod 7
        self.shift = SHIFT  # as SHIFT, drawn to what the record shows
        self.temper = 1.0  # how changeable the weeks are beside the usual ones, as a variance

    def fill(self, days: list[int], hours: list[float], today: int, gap: dict[int, bool]) -> None:
        """Hours of each day, oldest first, those in a gap left out."""
        if not days:
            return
        weeks, fades = (today - days[0]) // 7 + 1, FADES
        self.hours, self.days = [0.0] * weeks, [0] * weeks
        week_hours, week_days, of_day, weight = (
            self.hours,
            self.days,
            self.day_hours,
            self.day_weight,
        )
        for day, h in zip(days, hours):
            if day in gap:
                continue
            age, d = today - day, day % 7
            week_days[age // 7] += 1
            weight[d] += fades[age]
            if h > 0:
                week_hours[age // 7] += h
                of_day[d] += fades[age] * h

    def settle(self, said: float) -> None:
        """From the sums to the level; `said` is the maker's own hours a week."""
        self.cv2 = SCATTER_MORE * self._scatter()
        self.prior = self.cv2 / (HOPE_SD * HOPE_SD)
        told = said * math.exp(-HOPE) / (1 - IDLE)
        self.level = self._memory(told)
        total = 0.0
        for d in range(7):
            self.shape[d] = (SHAPE_WORTH * self.level / 7 + self.day_hours[d]) / (
                SHAPE_WORTH + self.day_weight[d]
            )
            total += self.shape[d]
        self.shape = [h * self.level / total for h in self.shape]

    def _scatter(self) -> float:
        """cv^2 of the hours of weeks that are known for the most part, drawn to the usual one while
        they are few.
        """
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
        """The level with a memory as long as served this maker best: each is tried on the months
        already past.
        """
        came = self._came()
        tried = [self._remember(told, life, came) for life, _ in MEMORIES]
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
        reckoned = self.cv2 * (LEVEL_UNSURE / (self.prior + self.known) + 1 / AHEAD)
        moved = max(0.0, miss / belief - reckoned) * (AHEAD + SHIFT_WEEKS) / AHEAD
        self.shift = (SHIFT_WORTH * SHIFT + worth * moved) / (SHIFT_WORTH + worth)
        return max(LEAST_WEEK, level / belief * (1 - self.idle))

    def _came(self) -> list[float]:
        """Hours a week that came in the AHEAD weeks after each; -1 where too few of their days
        count.
        """
        out = [-1.0] * len(self.hours)
        for k in range(AHEAD, len(self.hours)):
            days = sum(self.days[k - AHEAD : k])
            if days > 3.5 * AHEAD:
                out[k] = added(self.hours[k - AHEAD : k]) * 7 / days
        return out

    def _remember(
        self, told: float, life: float, came: list[float]
    ) -> tuple[float, float, float, float]:
        """With one half-life: level now, weeks known, mean square of its ln misses over the next
        weeks, their worth.
        """
        fade = math.pow(0.5, 7 / life)
        hours = square = 0.0
        known = HALF_A_GAP / 7
        tried, last = 0, len(self.hours) - 1
        for k in range(last, -1, -1):
            hours = fade * hours + self.hours[k]
            known = fade * known + self.days[k] / 7
            if last - k >= 3 and came[k] >= 0:
                now = (self.prior * told + hours) / (self.prior + known)
                tried += 1
                miss = math.log((came[k] + 0.1 * now + LEAST_WEEK) / (1.1 * now + LEAST_WEEK))
                square += miss * miss
        worth = tried / AHEAD
        now = (self.prior * told + hours) / (self.prior + known)
        return now, known, (0.1 + square / AHEAD) / (1 + worth), worth

    def restated(self, said: float) -> Weeks:
        """The same record with other hours a week stated by the maker."""
        w = Weeks()
        w.day_hours, w.day_weight, w.hours, w.days = (
            self.day_hours,
            self.day_weight,
            self.hours,
            self.days,
        )
        w.seen, w.idle, w.gap_cv2, w.temper = self.seen, self.idle, self.gap_cv2, self.temper
        w.settle(said)
        return w

    def var(self, weeks: float) -> float:
        """Log variance of the hours of so many weeks to come."""
        k = max(weeks, 1 / 7)
        level = LEVEL_UNSURE * self.cv2 / (self.prior + self.known) + IDLE_UNSURE
        return math.log(
            1
            + ALL * self.temper * (level + self._scattered(k) + self.shift * k / (k + SHIFT_WEEKS))
        )

    def uneven(self, weeks: float) -> float:
        """The same where the level is held to: weeks still differ."""
        return math.log(1 + ALL * self.temper * self._scattered(max(weeks, 1 / 7)))

    def _scattered(self, weeks: float) -> float:
        return (self.cv2 + self.gap_cv2) / weeks


class Gaps:
    """Long stretches without bench time that are over: their `days`, and how many such days to
    reckon with.
    """

    def __init__(self) -> None:
        self.days: dict[int, bool] = {}
        self.lost = 0.0
        self.square = 0.0

    def add(self, end: int, length: int) -> None:
        for day in range(end - length, end):
            self.days[day] = True
        self.lost += length
        self.square += length * length

    def share(self, span: int, temper: float) -> float:
        """Of the days to come; before any are known, more of them for the changeable."""
        usual = IDLE * max(AWAY_TIMES[0], min(AWAY_TIMES[1], temper))
        return (usual * IDLE_WORTH + self.lost) / (IDLE_WORTH + span)

    def cv2(self, span: int) -> float:
        """Of a week's hours: gaps of so many days, as often as they came."""
        return (GAP_CV2 * IDLE_WORTH + self.square / 7) / (IDLE_WORTH + span)


def find_gaps(days: list[int], hours: list[float]) -> Gaps:
    """From the hours of each day on record, known off days left out."""
    gaps = Gaps()
    worked = [k for k, h in enumerate(hours) if h > 0]
    usual = len(days) / max(1, len(worked))
    for i in range(1, len(worked)):
        wait = worked[i] - worked[i - 1]
        if wait > max(SHORTEST_GAP, SPACINGS * usual):
            gaps.add(days[worked[i]], int(wait - usual))
    return gaps


def learn(
    hours: dict[int, float],
    first: int,
    today: int,
    said: float,
    off: dict[int, bool],
    temper: float = 1.0,
) -> Weeks:
    """`hours` by ordinal day, `first` the first day of the record."""
    w = Weeks()
    days = [day for day in range(max(first, today - LOOK_BACK + 1), today + 1) if day not in off]
    worked = [hours.get(day, 0.0) for day in days]
    gaps = find_gaps(days, worked)
    w.fill(days, worked, today, gaps.days)
    w.idle, w.gap_cv2 = gaps.share(len(days), temper), gaps.cv2(len(days))
    w.temper = max(1.0, temper)  # who varies little at the bench may yet do so from week to week
    w.settle(said)
    w.seen = added(worked) * 7 / max(1, len(days))
    return w


class Ahead:
    """Expected hours to each coming day."""

    def __init__(self, weeks: Weeks, today: int, off: dict[int, bool]) -> None:
        self.weeks = weeks
        self.sums = [0.0]
        self.today = today
        self.off = off

    def hours(self, day: int) -> float:
        """Day by day for as long as a finish is told; after that weeks are alike."""
        near = min(day, MOST_DAYS)
        while len(self.sums) <= near:
            d = self.today + len(self.sums)
            h = 0.0 if d in self.off else self.weeks.shape[d % 7]
            self.sums.append(self.sums[-1] + h)
        return self.sums[near] + (day - near) * self.weeks.level / 7


def reached(weeks: Weeks, work: Left, hours: float, days: int) -> float:
    """Chance that the work is done in so many days with these hours expected in them.

    How sure the hours are is asked of the weeks it takes to do the work: what comes after can only
    add to them, and days off alter nothing. An hour's work is done as soon as one of the next
    evenings is free, so the time it may take counts there up to SHORT_WEEKS. Nobody works more than
    MOST_A_DAY, so the work must fit in that too.
    """
    if hours <= 0 or days <= 0:
        return 0.0
    room = (1 - math.exp(min(BEND * (work.mu - math.log(hours)), MOST_LN))) / BEND
    z = room / math.sqrt(weeks.var(_weeks_asked(weeks, work, hours)) + work.sd * work.sd)
    fits = cdf((math.log(MOST_A_DAY * days) - work.mu) / work.sd)
    return min(fits, cdf((1 + CORE) * z / math.sqrt(1 + TAIL * z * z)))


def _weeks_asked(weeks: Weeks, work: Left, hours: float) -> float:
    needed, coming = math.exp(work.mu) / weeks.level, hours / weeks.level
    return coming if coming < needed else max(needed, min(coming, SHORT_WEEKS))


def chance(ahead: Ahead, work: Left, day: int) -> float:
    """That the work is done by that day: that the hours until then reach it. Hours never run
    backwards.
    """
    return reached(ahead.weeks, work, ahead.hours(day), day)


def day_at(ahead: Ahead, work: Left, p: float) -> int:
    """The first day by which the work is done with chance p; MOST_DAYS when it is later."""
    low, high = 0, 1
    while high < MOST_DAYS and chance(ahead, work, high) < p:
        low, high = high, high * 2
    high = min(high, MOST_DAYS)
    while high - low > 1:
        mid = (low + high) // 2
        low, high = (mid, high) if chance(ahead, work, mid) < p else (low, mid)
    return high


def weekdays(today: int, off: dict[int, bool], days: int) -> list[float]:
    """How many of each weekday come in so many days, off days left out; by ordinal mod 7."""
    near = min(days, MOST_DAYS)
    out = [(days - near) / 7] * 7
    for day in range(today + 1, today + near + 1):
        if day not in off:
            out[day % 7] += 1
    return out


def expected(weeks: Weeks, of_day: list[float]) -> float:
    """Hours expected in so many of each weekday."""
    total = 0.0
    for d in range(7):
        total += of_day[d] * weeks.shape[d]
    return total


def held(weeks: Weeks, work: Left, of_day: list[float], p: float) -> float | None:
    """Hours a week that do the work with chance p, held to from today on; None where no day is long
    enough for them.

    That is the curve of `reached` turned round, with no doubt about the level itself.
    """
    days = added(of_day)
    if days <= 0:
        return None
    z = quantile(p) / math.sqrt((1 + CORE) * (1 + CORE) - TAIL * quantile(p) * quantile(p))
    room = z * math.sqrt(weeks.uneven(days / 7) + work.sd * work.sd)
    if BEND * room >= 1:
        return None
    a_week = (
        max(math.exp(min(work.mu - math.log(1 - BEND * room) / BEND, MOST_LN)), work.at(p))
        / days
        * 7
    )
    return a_week if a_week <= 7 * MOST_A_DAY else None
