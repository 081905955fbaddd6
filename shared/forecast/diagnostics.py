"""What in the record looks wrong, or weighs on the forecast: each said in a sentence, none dropped
in silence.

A note is {kind, why, date?, step?}. Kinds: clock, taps, odd, gap, idle, form, weekday, off.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from ..base.rounding import figure
from .explanation import by_time, doing

if TYPE_CHECKING:
    from typing import Any

    from .calendar_model import Weeks
    from .fit import Lines
    from .observations import Record, Row, Sitting
    from .pace_model import Pace

    Note = dict[str, Any]

DOUBTED = 0.3
LONG_MIN = 60.0
LONG_TIMES = 1.8
GAP_DAYS = 10
DAY_H = 24.0
MOST_NOTES = 12  # of one kind, the newest
DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def note(kind: str, why: str, day: int = 0, step: str = "") -> Note:
    out: Note = {"kind": kind, "why": why}
    if day > 0:
        out["date"] = iso(day)
    if step:
        out["step"] = step
    return out


def _minutes(m: float) -> str:
    return figure(m) + " min" if m < 100 else figure(m / 60, 1) + " h"


def mended(record: Record) -> list[Note]:
    """Clocks that ran on into the next sitting."""
    out = []
    for s in record.sittings:
        if s.minutes < s.clock:
            name = record.steps[s.step].name
            why = (
                "The clock of "
                + doing(name)
                + " ran "
                + _minutes(s.clock)
                + ", into the next sitting: "
            )
            out.append(
                note(
                    "clock",
                    why + _minutes(s.minutes) + " are counted. Trim it if that is wrong.",
                    s.day,
                    name,
                )
            )
    return out[-MOST_NOTES:]


def usual_minutes(sittings: list[Sitting]) -> float:
    ranked = sorted([int(s.minutes) for s in sittings[-99:]])
    return float(ranked[len(ranked) // 2]) if ranked else LONG_MIN


def _doubt(record: Record, row: Row, res: float, usual: float) -> Note:
    longest = row.parts[0]
    for s in row.parts:
        longest = s if s.minutes > longest.minutes else longest
    name = record.steps[row.step].name
    if res < 0:
        why = (
            "Far more "
            + doing(name)
            + " was counted than the time allows: it counts little. A weighed or typed number?"
        )
        return note("odd", why, longest.day, name)
    if longest.minutes > max(LONG_MIN, LONG_TIMES * usual):
        fair = longest.minutes * math.exp(-res)
        record.hours[longest.day] = max(
            0.0, record.hours.get(longest.day, 0.0) - (longest.minutes - fair) / 60
        )
        why = (
            doing(name)
            + " took "
            + _minutes(longest.minutes)
            + " where about "
            + _minutes(fair)
            + " is usual: "
        )
        return note("clock", "Clock left running? " + why + "it counts little.", longest.day, name)
    over = "" if len(row.parts) == 1 else " in " + str(len(row.parts)) + " sittings"
    why = (
        "Taps forgotten? "
        + doing(name)
        + " shows few items for "
        + _minutes(row.minutes)
        + over
        + ": it counts little."
    )
    return note("taps", why, longest.day, name)


def doubted(record: Record, lines: Lines) -> list[Note]:
    """Rows that the fit does not believe; hours of a clock left running are put right in
    `record.hours`.
    """
    usual = usual_minutes(record.sittings)
    out = []
    for row, w, res in zip(lines.rows, lines.w, lines.res):
        if w < DOUBTED and row.parts:
            out.append(_doubt(record, row, res, usual))
    return out[-MOST_NOTES:]


def uncounted(record: Record) -> list[Note]:
    """Steps with time on record and not one item: the time counts for the dates, and tells nothing
    of the pace.
    """
    minutes = [0.0 for _ in record.steps]
    for s in record.sittings:
        minutes[s.step] += s.minutes
    out = []
    for i, step in enumerate(record.steps):
        if minutes[i] >= LONG_MIN and record.made[i] <= 0:
            why = (
                "Taps forgotten? "
                + doing(step.name)
                + " took "
                + _minutes(minutes[i])
                + " and shows no item: "
            )
            out.append(
                note(
                    "taps",
                    why + "that counts as bench time, and says nothing of the pace.",
                    0,
                    step.name,
                )
            )
    return out[:MOST_NOTES]


def too_long(record: Record) -> list[Note]:
    """Days with more bench time than a day has; cut to a day's length in `record.hours`."""
    out = []
    for day in sorted([d for d in record.hours if record.hours[d] > DAY_H]):
        why = (
            "More than 24 h of bench time in one day, "
            + _minutes(60 * record.hours[day])
            + ": 24 h are counted. "
        )
        out.append(note("clock", why + "Trim its sittings.", day))
        record.hours[day] = DAY_H
    return out[-MOST_NOTES:]


def _gap(start: int, end: int) -> Note:
    why = (
        "No bench time from "
        + iso(start)
        + " to "
        + iso(end)
        + ": it counts as part of how you work."
    )
    return note("gap", why, start)


def gaps(record: Record, first: int, today: int) -> list[Note]:
    """Long stretches without bench time in the last 200 days, and the one that still runs."""
    out, last = [], max(first, today - 200) - 1
    for day in range(last + 1, today + 1):
        if record.hours.get(day, 0.0) > 0:
            if day - last > GAP_DAYS:
                out.append(_gap(last + 1, day - 1))
            last = day
    if today - last >= GAP_DAYS and record.hours:
        why = (
            "Nothing has been timed for "
            + str(today - last)
            + " days or more: each idle day lowers the hours a week."
        )
        out.append(note("idle", why))
    return out[-MOST_NOTES:]


def form(pace: Pace, today: int) -> list[Note]:
    """Good or bad days just now."""
    if not pace.blocks:
        return []
    now = pace.u[-1] * pace.fade(today - pace.blocks[-1])
    if abs(now) < 0.06:
        return []
    why = "These days you take " + by_time(
        math.exp(now), "is usual for you", "the time that is usual for you"
    )
    return [note("form", why + "; that is taken to fade over the weeks.")]


def habit(weeks: Weeks) -> list[Note]:
    """The days that carry most of the week."""
    if weeks.known < 3 or weeks.level <= 0:
        return []
    order = sorted(range(7), key=lambda d: (-weeks.shape[d], d))
    share = (weeks.shape[order[0]] + weeks.shape[order[1]]) / weeks.level
    if share < 0.5:
        return []
    # ordinal 1 was a Monday
    names = [DAYS[(d - 1) % 7] for d in sorted(order[:2], key=lambda d: ((d - 1) % 7, d))]
    why = (
        names[0]
        + " and "
        + names[1]
        + " carry "
        + figure(100 * share)
        + " % of your bench time; the dates follow that."
    )
    return [note("weekday", why)]


def days_off(off: dict[int, bool], today: int) -> list[Note]:
    n = len([d for d in sorted(off) if d > today])
    return (
        [
            note(
                "off",
                str(n)
                + (" day off is" if n == 1 else " days off are")
                + " left out of the weeks ahead.",
            )
        ]
        if n
        else []
    )
