"""Bench hours over the calendar: how much this maker works, on which weekdays, how steadily.

Days are ordinals (1 is 0001-01-01), hours are bench hours, a week is seven days that are not known
off days. With f = 2^(-1 / HALF_LIFE), a day's age a in days, its hours h_a:

  level   L = (k S + sum f^a h_a) / (k + n),  n = sum f^a / 7 weeks,  S hours a week as stated
          exponential forgetting is the steady state of a level that drifts: J. F. Muth, Optimal
          properties of exponentially weighted forecasts, JASA 55, 1960. Variance of L / L^2 then
          is cv2 / (k + n).
          k = cv2 / HOPE_SD^2, the weeks that a statement with error HOPE_SD is worth: H. Buehlmann,
          Experience rating and credibility, ASTIN Bulletin 4, 1967
  gaps    of length g days come singly: sum g / days are lost, and they add sum g^2 / (7 days) to
          the squared coefficient of variation of a week (compound Poisson: W. Feller, An
          Introduction to Probability Theory and Its Applications 1, 1968, XII.2)
          Before any is known the share lost is IDLE sqrt(varied), at most MOST_IDLE times IDLE:
          who varies more at the bench is away more often (common sense, no published source).
          The statement is taken to leave out IDLE whoever makes it
  C(t)    hours of t weeks to come: mean M(t), and
          var ln C = ln(1 + c (cv2 / (k + n) + (cv2 + gap_cv2) / t + DRIFT t / (t + DRIFT_WEEKS)))
          with c = changeability: the level goes on drifting
  done    by day t with chance P(C(t) >= W) = Phi(z), W the hours left, ln W normal (mu, sd),
          z = 3 (1 - (exp(mu) / M(t))^(1/3)) / sqrt(var ln C + sd^2)
          the cube root of a gamma variable, such as hours of weeks, is nearly normal: E. B. Wilson
          and M. M. Hilferty, The distribution of chi-square, PNAS 17, 1931

Constants were chosen with `tests/bench/judge.py` on invented makers 1-5000; HALF_LIFE, IDLE_DAYS and
DRIFT on the runner's diary of `tests/outside/test_diary.py`, which needs them: invented makers do
as well with a HALF_LIFE of 100 and without DRIFT. What each is worth prints
`tests/bench/ablation.py` on other makers.
"""

from __future__ import annotations

import math

from ..base.rounding import added
from ..statistics.normal import cdf, quantile
from .remaining_hours import HoursLeft

HALF_LIFE = 400.0  # days after which a day counts half; chosen on a diary of five years
CV2 = 0.25  # squared coefficient of variation of weekly hours before any is known
CV2_WEEKS = 4.0  # weeks of record that CV2 is worth
HOPE = 0.10  # ln of stated over worked hours: makers state more than they work
HOPE_SD = 0.42  # ln standard deviation of that
DRIFT, DRIFT_WEEKS = 0.05, 52.0  # ln variance the level may reach in time; weeks to half of it
SHAPE_WEEKS = 2.0  # weeks of evenly spread days that the habit of weekdays starts from
GAP_DAYS = 5  # days; no shorter stretch without bench time is a gap
GAP_WAITS = 3.0  # nor one shorter than so many usual waits from one bench day to the next
IDLE = 0.08  # share of days in gaps before any is known
MOST_IDLE = 2.0  # times IDLE, however much a maker varies; chosen on makers 322001-322800
GAP_CV2 = 0.25  # what gaps add to cv2 before any is known: IDLE in gaps of eleven days on average
IDLE_DAYS = 100.0  # days of record that IDLE and GAP_CV2 are worth; chosen on the same diary
BEND = 1 / 3  # power that makes hours of weeks nearly normal (Wilson and Hilferty)
SHORT_WEEKS = 2.0  # shorter work is as sure as that: the next free evening does it
LEAST_WEEK_H = 0.05  # nobody is taken never to work again
MOST_DAY_H = 12.0  # nobody works longer; common sense
MOST_DAYS = 4000  # a later finish has no date
LOOK_BACK = 1100  # days of record that are read: the rest has faded to a seventh
MOST_LN = 40.0  # keeps exp() finite

FADES = [math.pow(0.5, age / HALF_LIFE) for age in range(LOOK_BACK)]


def changeability(varied: float) -> float:
    """Factor of the variance of weekly hours, 1 and up.

    `varied` is the maker's variance of sittings over the usual one: weeks vary by the square root
    of it, as makers who vary at the bench also vary from week to week, if less. Who varies little
    at the bench may still do so from week to week, so nothing below 1 comes out.
    """
    return max(1.0, math.sqrt(varied))


def usual_idle(varied: float) -> float:
    """Share of days in gaps before any is known, for a maker of so many times the usual variance.

    Gaps come more often to makers who vary more, as the square root of `varied`.
    """
    return IDLE * min(MOST_IDLE, math.sqrt(varied))


class Weeks:
    """The hours a week to expect, and how unsure they are.

    `level` in hours a week, `shape` in hours by weekday (ordinal mod 7, adds up to `level`), `cv2`
    and `gap_cv2` squared coefficients of variation of one week, `known` and `prior` weeks that the
    record and the statement are worth, `seen` plain hours a week on record, `idle` the share of
    days in gaps to come.
    """

    def __init__(self) -> None:
        self.day_hours = [0.0] * 7  # sums of f^a h_a by weekday
        self.day_weight = [0.0] * 7  # sums of f^a by weekday
        self.week_hours: list[float] = []  # by weeks back from today
        self.week_days: list[int] = []
        self.half_wait = 0.0  # days
        self.seen = 0.0
        self.idle = IDLE
        self.gap_cv2 = GAP_CV2
        self.cv2 = CV2
        self.known = 0.0
        self.prior = 0.0
        self.level = 0.0
        self.shape = [0.0] * 7
        self.changeability = 1.0

    def add_days(
        self, days: list[int], hours: list[float], today: int, gaps: dict[int, bool]
    ) -> None:
        """Adds the hours of each day, oldest first, without the days in `gaps`."""
        weeks, fades = (today - days[0]) // 7 + 1 if days else 0, FADES
        self.week_hours, self.week_days = [0.0] * weeks, [0] * weeks
        for day, h in zip(days, hours):
            if day not in gaps:
                age, d = today - day, day % 7
                self.week_days[age // 7] += 1
                self.day_weight[d] += fades[age]
                self.week_hours[age // 7] += h
                self.day_hours[d] += fades[age] * h

    def estimate(self, stated: float) -> None:
        """Sets cv2, level and shape; `stated` are the maker's own hours a week."""
        self.cv2 = self._scatter()
        self.prior = self.cv2 / (HOPE_SD * HOPE_SD)
        self.known = (added(self.day_weight) + self.half_wait) / 7
        expected = stated * math.exp(-HOPE) / (1 - IDLE)
        level = (self.prior * expected + added(self.day_hours)) / (self.prior + self.known)
        self.level = max(LEAST_WEEK_H, level * (1 - self.idle))
        even = SHAPE_WEEKS * self.level / 7
        shape = [(even + h) / (SHAPE_WEEKS + n) for h, n in zip(self.day_hours, self.day_weight)]
        total = added(shape)
        self.shape = [h * self.level / total for h in shape]

    def _scatter(self) -> float:
        """cv2 of the weeks with four known days or more, drawn to CV2 while they are few."""
        whole = [h * 7 / n for h, n in zip(self.week_hours, self.week_days) if n >= 4]
        mean = added(whole) / max(1, len(whole))
        if mean <= 0:
            return CV2
        square = added([(h / mean - 1) * (h / mean - 1) for h in whole])
        return (CV2 * CV2_WEEKS + square) / (CV2_WEEKS + max(0, len(whole) - 1))

    def with_statement(self, stated: float) -> Weeks:
        """The same record with other hours a week stated by the maker."""
        w = Weeks()
        w.day_hours, w.day_weight, w.half_wait = self.day_hours, self.day_weight, self.half_wait
        w.week_hours, w.week_days = self.week_hours, self.week_days
        w.seen, w.idle, w.gap_cv2 = self.seen, self.idle, self.gap_cv2
        w.changeability = self.changeability
        w.estimate(stated)
        return w

    def var(self, weeks: float) -> float:
        """Variance of ln of the hours in so many weeks to come."""
        level = self.cv2 / (self.prior + self.known) + DRIFT * weeks / (weeks + DRIFT_WEEKS)
        return math.log(1 + self.changeability * (level + self._scattered(weeks)))

    def var_at_level(self, weeks: float) -> float:
        """The same where the level is known: weeks still differ."""
        return math.log(1 + self.changeability * self._scattered(weeks))

    def _scattered(self, weeks: float) -> float:
        return (self.cv2 + self.gap_cv2) / max(weeks, 1 / 7)


def find_gaps(days: list[int], hours: list[float], wait: float) -> list[tuple[int, int]]:
    """Stretches without bench time that are over: (first day after it, its length in days).

    `days` ordinals without off days, `hours` of each, `wait` the usual days from one bench day to
    the next, which is no part of the gap.
    """
    worked = [k for k, h in enumerate(hours) if h > 0]
    out = []
    for a, b in zip(worked, worked[1:]):
        if b - a > max(GAP_DAYS, GAP_WAITS * wait):
            out.append((days[b], int(b - a - wait)))
    return out


def half_wait(wait: float) -> float:
    """Days that belong to the record beside those on it.

    Who asks has often just worked, and a record that begins and ends with a bench day is a wait
    for the next one too short; who asks at any time has half of it behind already.
    """
    return 0.5 * wait


def fit_weeks(
    hours: dict[int, float],
    first: int,
    today: int,
    stated: float,
    off: dict[int, bool],
    changeable: float = 1.0,
    idle: float = IDLE,
) -> Weeks:
    """The weeks of a record.

    `hours` by ordinal day, `first` the first day of the record, `stated` the maker's own hours a
    week, `off` known days off, `changeable` as `changeability` gives it, `idle` as
    `usual_idle` does.
    """
    w = Weeks()
    days = [day for day in range(max(first, today - LOOK_BACK + 1), today + 1) if day not in off]
    worked = [hours.get(day, 0.0) for day in days]
    span = len(days)
    bench_days = len([h for h in worked if h > 0])
    wait = span / max(1, bench_days)
    gaps: dict[int, bool] = {}
    lost = square = 0
    for end, length in find_gaps(days, worked, wait):
        for day in range(end - length, end):
            gaps[day] = True
        lost += length
        square += length * length
    w.add_days(days, worked, today, gaps)
    w.idle = (idle * IDLE_DAYS + lost) / (IDLE_DAYS + span)
    w.gap_cv2 = (GAP_CV2 * IDLE_DAYS + square / 7) / (IDLE_DAYS + span)
    w.half_wait = half_wait(wait) if bench_days else 0.0
    w.changeability = changeable
    w.estimate(stated)
    w.seen = added(worked) * 7 / max(1, span)
    return w


class HoursAhead:
    """Expected bench hours from tomorrow to each coming day."""

    def __init__(self, weeks: Weeks, today: int, off: dict[int, bool]) -> None:
        self.weeks = weeks
        self.sums = [0.0]
        self.today = today
        self.off = off

    def hours(self, day: int) -> float:
        """Hours in the next `day` days: day by day to MOST_DAYS, after that by the level."""
        near = min(day, MOST_DAYS)
        while len(self.sums) <= near:
            d = self.today + len(self.sums)
            h = 0.0 if d in self.off else self.weeks.shape[d % 7]
            self.sums.append(self.sums[-1] + h)
        return self.sums[near] + (day - near) * self.weeks.level / 7


def chance_of_hours(weeks: Weeks, work: HoursLeft, hours: float, days: int) -> float:
    """Chance that the work is done in so many days with these hours expected in them.

    How unsure the hours are is asked of the weeks that the work takes: what comes after can only
    add to them, and days off alter nothing. The work must also fit in MOST_DAY_H a day.
    """
    if hours <= 0 or days <= 0:
        return 0.0
    room = (1 - math.exp(min(BEND * (work.mu - math.log(hours)), MOST_LN))) / BEND
    needed = max(math.exp(work.mu) / weeks.level, SHORT_WEEKS)
    var = weeks.var(min(needed, hours / weeks.level)) + work.sd * work.sd
    chance = cdf(room / math.sqrt(var))
    return min(chance, cdf((math.log(MOST_DAY_H * days) - work.mu) / work.sd))


def chance_by_day(ahead: HoursAhead, work: HoursLeft, day: int) -> float:
    """Chance that the work is done in `day` days: hours never run backwards."""
    return chance_of_hours(ahead.weeks, work, ahead.hours(day), day)


def day_at(ahead: HoursAhead, work: HoursLeft, p: float) -> int:
    """The first day by which the work is done with chance p; MOST_DAYS when it is later."""
    low, high = 0, 1
    while high < MOST_DAYS and chance_by_day(ahead, work, high) < p:
        low, high = high, high * 2
    high = min(high, MOST_DAYS)
    while high - low > 1:
        mid = (low + high) // 2
        low, high = (mid, high) if chance_by_day(ahead, work, mid) < p else (low, mid)
    return high


def weekdays(today: int, off: dict[int, bool], days: int) -> list[float]:
    """How many of each weekday (ordinal mod 7) come in so many days, off days left out."""
    near = min(days, MOST_DAYS)
    out = [(days - near) / 7] * 7
    for day in range(today + 1, today + near + 1):
        if day not in off:
            out[day % 7] += 1
    return out


def expected_hours(weeks: Weeks, of_day: list[float]) -> float:
    """Hours expected in so many of each weekday."""
    return added([n * h for n, h in zip(of_day, weeks.shape)])


def constant_hours_for(
    weeks: Weeks, work: HoursLeft, of_day: list[float], p: float
) -> float | None:
    """Hours a week that do the work with chance p when worked from today on.

    The curve of `chance_of_hours` turned round, with the level known. `of_day` counts the weekdays
    to come. None where no day is long enough for these hours.
    """
    days = added(of_day)
    if days <= 0:
        return None
    room = quantile(p) * math.sqrt(weeks.var_at_level(days / 7) + work.sd * work.sd)
    if BEND * room >= 1:
        return None
    hours = math.exp(min(work.mu - math.log(1 - BEND * room) / BEND, MOST_LN))
    a_week = max(hours, work.at(p)) / days * 7
    return a_week if a_week <= 7 * MOST_DAY_H else None
