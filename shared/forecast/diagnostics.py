"""Notes beside a forecast: what in the record looks wrong, and what weighs on the dates.

A note is `{kind, why, date?, step?}`. Kinds: `clock` (a clock ran too long), `taps` (taps
forgotten), `odd` (too many items for the time), `gap` and `idle` (no bench time), `form` (a better
or worse stretch just now), `weekday`, `off`. A row of the record is doubted where the fit gives it
a weight below 0.3; its residual r is the natural logarithm of found over expected time, so the time
that was to be expected is minutes * exp(-r).
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from ..base.rounding import figure
from ..base.sentences import sentence
from .explanation import capital, compare_times, work_name

if TYPE_CHECKING:
    from typing import Any

    from .calendar_model import Weeks
    from .fit import Lines
    from .observations import BenchSitting, Record, Row
    from .pace_model import Pace

    Note = dict[str, Any]

DOUBTED = 0.3  # weight in the fit below which a row is named
LONG_MIN = 60.0  # minutes; no shorter sitting is called a clock left running
LONG_TIMES = 1.8  # nor one below so many times the median sitting
GAP_DAYS = 10
DAY_H = 24.0
MOST_NOTES = 12  # of one kind, the newest
FORM = 0.06  # a form nearer to none than this is not worth a note
DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def iso_day(day: int) -> str:
    """An ordinal day (1 is 0001-01-01) as ISO 8601."""
    return date.fromordinal(day).isoformat()


def note(kind: str, why: str, day: int = 0, step: str = "") -> Note:
    """One note; `day` is an ordinal, 0 for none."""
    out: Note = {"kind": kind, "why": why}
    if day > 0:
        out["date"] = iso_day(day)
    if step:
        out["step"] = step
    return out


def _minutes(m: float) -> str:
    return figure(m) + " min" if m < 100 else figure(m / 60, 1) + " h"


def overlapping_clocks(record: Record) -> list[Note]:
    """Sittings whose clock ran on into the next sitting and was shortened."""
    out = []
    for s in record.sittings:
        if s.minutes < s.clock:
            name = record.steps[s.step].name
            values = {"clock": _minutes(s.clock), "minutes": _minutes(s.minutes)}
            why = sentence("forecast.clock_overlap", work=work_name(name), **values)
            out.append(note("clock", why, s.day, name))
    return out[-MOST_NOTES:]


def usual_minutes(sittings: list[BenchSitting]) -> float:
    """Median minutes of the last 99 sittings; an hour where there are none."""
    ranked = sorted([int(s.minutes) for s in sittings[-99:]])
    return float(ranked[len(ranked) // 2]) if ranked else LONG_MIN


def _implausible(record: Record, row: Row, res: float, usual: float) -> Note:
    longest = row.parts[0]
    for s in row.parts:
        longest = s if s.minutes > longest.minutes else longest
    name = record.steps[row.step].name
    work = capital(work_name(name))
    if res < 0:
        return note("odd", sentence("forecast.too_many_items", work=work), longest.day, name)
    if longest.minutes > max(LONG_MIN, LONG_TIMES * usual):
        fair = longest.minutes * math.exp(-res)
        excess = (longest.minutes - fair) / 60
        record.hours[longest.day] = max(0.0, record.hours.get(longest.day, 0.0) - excess)
        values = {"minutes": _minutes(longest.minutes), "usual": _minutes(fair)}
        why = sentence("forecast.clock_left_running", work=work, **values)
        return note("clock", why, longest.day, name)
    n = len(row.parts)
    key = "forecast.few_items" if n == 1 else "forecast.few_items_sittings"
    why = sentence(key, work=work, minutes=_minutes(row.minutes), n=n)
    return note("taps", why, longest.day, name)


def implausible_rows(record: Record, lines: Lines) -> list[Note]:
    """Rows that the fit gives little weight.

    Hours of a clock left running are also taken out of `record.hours`.
    """
    usual = usual_minutes(record.sittings)
    out = []
    for row, w, res in zip(lines.rows, lines.w, lines.res):
        if w < DOUBTED and row.parts:
            out.append(_implausible(record, row, res, usual))
    return out[-MOST_NOTES:]


def uncounted_steps(record: Record) -> list[Note]:
    """Steps with an hour or more on record and not one item: time for the dates, not the pace."""
    minutes = [0.0 for _ in record.steps]
    for s in record.sittings:
        minutes[s.step] += s.minutes
    out = []
    for i, step in enumerate(record.steps):
        if minutes[i] >= LONG_MIN and record.made[i] <= 0:
            work, spent = capital(work_name(step.name)), _minutes(minutes[i])
            why = sentence("forecast.no_items", work=work, minutes=spent)
            out.append(note("taps", why, 0, step.name))
    return out[:MOST_NOTES]


def overlong_days(record: Record) -> list[Note]:
    """Days with more than 24 h of bench time; cut to 24 h in `record.hours`."""
    out = []
    for day in sorted([d for d in record.hours if record.hours[d] > DAY_H]):
        why = sentence("forecast.day_too_long", hours=_minutes(60 * record.hours[day]))
        out.append(note("clock", why, day))
        record.hours[day] = DAY_H
    return out[-MOST_NOTES:]


def _gap(start: int, end: int) -> Note:
    why = sentence("forecast.gap", first=iso_day(start), last=iso_day(end))
    return note("gap", why, start)


def gaps(record: Record, first: int, today: int) -> list[Note]:
    """Stretches of ten days and more without bench time in the last 200 days, up to today.

    `first` is the ordinal day on which the record begins.
    """
    out, last = [], max(first, today - 200) - 1
    for day in range(last + 1, today + 1):
        if record.hours.get(day, 0.0) > 0:
            if day - last > GAP_DAYS:
                out.append(_gap(last + 1, day - 1))
            last = day
    if today - last >= GAP_DAYS and record.hours:
        out.append(note("idle", sentence("forecast.idle", days=today - last)))
    return out[-MOST_NOTES:]


def form(pace: Pace, today: int) -> list[Note]:
    """A better or worse stretch just now: the last block's effect, faded to today."""
    if not pace.blocks:
        return []
    now = pace.u[-1] * pace.fade(today - pace.blocks[-1])
    if abs(now) < FORM:
        return []
    return [note("form", compare_times("forecast.form", math.exp(now)))]


def weekday_habit(weeks: Weeks) -> list[Note]:
    """The two days that carry at least half of the week's hours, after three known weeks."""
    if weeks.known < 3 or weeks.level <= 0:
        return []
    order = sorted(range(7), key=lambda d: (-weeks.shape[d], d))
    share = (weeks.shape[order[0]] + weeks.shape[order[1]]) / weeks.level
    if share < 0.5:
        return []
    # ordinal day 1 was a Monday
    names = [DAYS[(d - 1) % 7] for d in sorted(order[:2], key=lambda d: ((d - 1) % 7, d))]
    first, second = [sentence("forecast." + name) for name in names]
    percent = figure(100 * share)
    why = sentence("forecast.weekdays", first=first, second=second, percent=percent)
    return [note("weekday", why)]


def days_off(off: dict[int, bool], today: int) -> list[Note]:
    """How many days off (ordinals in `off`) lie ahead; [] for none."""
    n = len([d for d in sorted(off) if d > today])
    if not n:
        return []
    key = "forecast.days_off_one" if n == 1 else "forecast.days_off"
    return [note("off", sentence(key, n=n))]
