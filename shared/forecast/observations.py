"""The record of sittings: read, checked against itself, and merged into rows for the pace.

Days are ordinals (1 is 0001-01-01), minutes bench time, items those made in that time: the counted
ones less the `untimed`, whose tap only started the clock. One row is the shortest stretch of one
step that tells a pace: ENOUGH_MIN minutes and a whole lump. A row of m minutes, n items
counted in lumps of l has

  y      = ln(m / n), minutes an item
  var y  = s2 * shares + fixed,  shares = 1 / number of sittings that make up the row
  fixed  = ITEM_SCATTER / n + LUMP_SCATTER (l / n)^2  (+ (EDGES_MIN / m)^2 in a row cut short)

by the delta method, var ln n = var n / n^2 (W. G. Cochran, Sampling Techniques, 1977, 6.19). A count
cut down to whole lumps is off by an even chance from 0 to 1 lump at both ends: variance 2 / 12.

`read_*` raise BadField at the first entry that cannot be used. What was corrected is noted in
`diagnostics`.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from ..base.errors import BadField
from ..base.fields import Fields, kind_of, plain
from ..base.sentences import sentence

if TYPE_CHECKING:
    from typing import Any

MOST_SITTINGS, MOST_STEPS = 5000, 100
LAST_MIN = 2880  # a sitting that began after midnight still belongs to the evening
MOST_MIN, MOST_ITEMS = 100000, 1000000000
MOST_LUMP = 1000000
LEAST_MIN = 0.1
LEAST_GUESS = 0.000001  # minutes an item
ENOUGH_MIN = 20.0  # minutes of a row; shorter stretches of a step are merged
MOST_TIMES_GUESS = 20.0  # times the guessed pace; no more items than that count as practice
USUAL_PAUSE_MIN = 5.0  # minutes between two sittings of a day where the record has none
# A stretch too short for a row may be tried out, or tapped in one go afterwards: its taps lie so
# many minutes from the work (common practice, no published source).
EDGES_MIN = 2.0
ITEM_SCATTER = 0.1  # variance of ln time of one item against the next; chosen on invented makers
LUMP_SCATTER = 1 / 6  # variance in lumps of a count cut off at both ends: 2 / 12


class Step:
    """One making step as the maker describes it: guess in minutes an item, lump in items."""

    def __init__(self, name: str, guess: float, lump: int, practised: str) -> None:
        self.name = name
        self.guess = guess or 1.0
        self.guessed = guess > 0  # else `guess` is filled in from the record
        self.known = guess > 0
        self.usual = False  # the guess is a usual figure, not the maker's own
        self.lump = lump
        self.practised = practised


class BenchSitting:
    """One stretch at the bench: `minutes` may be shortened later, `clock` is what was recorded.

    `start` is in minutes after midnight, -1 where it is not known.
    """

    def __init__(
        self, order: int, step: int, day: int, start: float, minutes: float, items: float
    ) -> None:
        self.order = order
        self.step = step
        self.day = day
        self.start = start
        self.clock = minutes
        self.minutes = minutes
        self.items = items

    def when(self) -> float:
        """A number that sorts sittings by time."""
        return self.day * 10000 + self.start


NO_PARTS: list[BenchSitting] = []  # one for all; never added to


class Row:
    """Merged sittings of one step: `y`, `shares` and `fixed` as in the module's text.

    `day` is the mean ordinal day, `mid` the items of the step made before the middle of the row.
    """

    def __init__(
        self, step: int, day: float, mid: float, y: float, shares: float, fixed: float
    ) -> None:
        self.step = step
        self.day = day
        self.mid = mid
        self.y = y
        self.shares = shares
        self.fixed = fixed
        self.minutes = 0.0
        self.items = 0.0
        self.parts: list[BenchSitting] = NO_PARTS


class Record:
    """All that is known of the maker's work, by step where nothing else is said."""

    def __init__(self, steps: list[Step]) -> None:
        self.steps = steps
        self.sittings: list[BenchSitting] = []
        self.rows: list[Row] = []
        self.made = [0.0 for _ in steps]  # items
        self.first = 0  # day of the first sitting, 0 without any
        self.hours: dict[int, float] = {}  # bench hours by day
        self.open: list[BenchSitting] = []  # too short yet to be a row
        self.earlier = 0  # sittings known only from a summary


def _guess(part: Fields, name: str) -> float:
    guess = part.number(name, 0, 100000, above=True, example="0.5")
    if guess < LEAST_GUESS:
        raise part.bad(name, sentence("forecast.guess_too_small"))
    return guess


def _bare_guesses(part: Fields) -> list[Step]:
    return [Step(name, _guess(part, name), 1, "unsaid") for name in sorted(part.data)]


def read_steps(q: Fields) -> list[Step]:
    """From `steps`, or from the older field `guesses`."""
    steps = []
    if not q.has("steps") and q.has("guesses"):
        return _bare_guesses(q.part("guesses"))
    for part in q.parts("steps", most=MOST_STEPS, least=1):
        name = part.text("step", longest=80)
        guess = 0.0
        if part.has("guess_min_per_item"):
            guess = _guess(part, "guess_min_per_item")
        lump = part.integer("lump", 1, MOST_LUMP, 1)
        steps.append(
            Step(
                name,
                guess,
                lump,
                part.choice("practised", ["unsaid", "new", "used", "old_hand"], "unsaid"),
            )
        )
        steps[-1].usual = part.choice("guess_from", ["maker", "usual"], "maker") == "usual"
    for i, step in enumerate(steps):
        if step.name in [s.name for s in steps[:i]]:
            raise q.bad("steps", sentence("forecast.step_twice", step=step.name))
    return steps


def _ordinal(text: Any, known: dict[str, int]) -> int | None:
    if not isinstance(text, str) or len(text) != 10:
        return None
    if text not in known:
        try:
            known[text] = date.fromisoformat(text).toordinal()
        except ValueError:
            return None
    return known[text]


def _within(value: Any, low: float, high: float) -> bool:
    return (
        isinstance(value, (int, float))
        and value is not True
        and value is not False
        and low <= value <= high
    )


def in_time(sittings: list[BenchSitting]) -> list[BenchSitting]:
    """Sorted by time.

    A merge sort: the built-in sort of one runtime takes n^2 steps on what is nearly sorted already.
    """
    runs: list[list[BenchSitting]] = []
    for s in sittings:
        if runs and runs[-1][-1].when() <= s.when():
            runs[-1].append(s)
        else:
            runs.append([s])
    while len(runs) > 1:
        runs = [
            _zip(runs[i], runs[i + 1]) if i + 1 < len(runs) else runs[i]
            for i in range(0, len(runs), 2)
        ]
    return runs[0] if runs else []


def _zip(a: list[BenchSitting], b: list[BenchSitting]) -> list[BenchSitting]:
    out, i, j = [], 0, 0
    while i < len(a) and j < len(b):
        if b[j].when() < a[i].when():
            out.append(b[j])
            j += 1
        else:
            out.append(a[i])
            i += 1
    return out + a[i:] + b[j:]


def read_sittings(q: Fields, steps: list[Step], today: int) -> list[BenchSitting]:
    """In order of time; raises BadField at the first that cannot be used."""
    index = {step.name: i for i, step in enumerate(steps)}
    known: dict[str, int] = {}
    out = []
    for i, raw in enumerate(q.entries("sittings", most=MOST_SITTINGS)):
        where = "sittings[" + str(i) + "]"
        if not isinstance(raw, dict):
            raise q.bad(where, sentence("forecast.sitting_no_object", kind=kind_of(raw)))
        name, start = raw.get("step"), raw.get("start_min")
        step = index.get(name, -1) if isinstance(name, str) else -1
        day, start = _ordinal(raw.get("date"), known), -1 if start is None else start
        if step < 0 or day is None or day > today or not _numbers(raw, start):
            raise _fault(q, where, raw, step, day)
        out.append(BenchSitting(i, step, day, float(start), float(raw["minutes"]), _timed(raw)))
    return in_time(out)


def _timed(raw: dict[str, Any]) -> float:
    """The items whose making lies within the minutes: all but those whose tap only started the
    clock.
    """
    return max(0.0, float(raw["items"]) - float(raw.get("untimed") or 0))


def _numbers(raw: dict[str, Any], start: Any) -> bool:
    untimed = raw.get("untimed")
    return (
        _within(start, -1, LAST_MIN)
        and _within(raw.get("minutes"), 0, MOST_MIN)
        and _within(raw.get("items"), 0, MOST_ITEMS)
        and (untimed is None or _within(untimed, 0, MOST_ITEMS))
    )


# field, least, most, needed
_ASKED: list[tuple[str, int, int, bool]] = [
    ("minutes", 0, MOST_MIN, True),
    ("items", 0, MOST_ITEMS, True),
    ("untimed", 0, MOST_ITEMS, False),
    ("start_min", -1, LAST_MIN, False),
]


def _fault(q: Fields, where: str, raw: dict[str, Any], step: int, day: int | None) -> BadField:
    """What is wrong with a sitting, the first of it."""
    if step < 0:
        why = sentence("forecast.sitting_step", kind=kind_of(raw.get("step")))
        return q.bad(where + ".step", why)
    if day is None:
        why = sentence("forecast.sitting_date", kind=kind_of(raw.get("date")))
        return q.bad(where + ".date", why)
    for name, least, most, need in _ASKED:
        if (need or raw.get(name) is not None) and not _within(raw.get(name), least, most):
            kind = kind_of(raw.get(name))
            why = sentence("forecast.sitting_number", most=plain(most), kind=kind)
            return q.bad(where + "." + name, why)
    return q.bad(where + ".date", sentence("forecast.sitting_later"))


def _merge(step: int, lump: int, parts: list[BenchSitting], before: float) -> Row:
    minutes = items = day = 0.0
    for s in parts:
        minutes += s.minutes
        items += s.items
        day += s.minutes * s.day
    lumps = items / lump
    row = Row(step, day / minutes, before + items / 2, math.log(minutes / items), 1.0, 0.0)
    row.shares = 1.0 / len([s for s in parts if s.minutes * len(parts) >= 0.5 * minutes])
    row.fixed = ITEM_SCATTER / items + LUMP_SCATTER / (lumps * lumps)
    row.minutes, row.items, row.parts = minutes, items, parts
    return row


def _usual_pause(sittings: list[BenchSitting]) -> float:
    """Median minutes between two sittings of one day."""
    pauses = []
    for i in range(1, len(sittings)):
        a, b = sittings[i - 1], sittings[i]
        if a.day == b.day and a.start >= 0 and b.start >= a.start + a.minutes:
            pauses.append(b.start - a.start - a.minutes)
    return sorted(pauses)[len(pauses) // 2] if pauses else USUAL_PAUSE_MIN


def shorten_overlaps(sittings: list[BenchSitting]) -> None:
    """Ends clocks that ran on into the next sitting of the day a usual pause before it."""
    pause = _usual_pause(sittings)
    for i in range(1, len(sittings)):
        a, b = sittings[i - 1], sittings[i]
        if a.day == b.day and 0 <= a.start < b.start < a.start + a.minutes - 1:
            room = b.start - a.start
            a.minutes = max(1.0, 0.5 * room, room - pause)


def build_rows(record: Record, sittings: list[BenchSitting], to_be_continued: bool = False) -> None:
    """Fills `rows` and `made`, `open` too where the record is to be continued.

    A sitting that ended before its lump is merged with the next of its step.
    """
    record.sittings = sittings
    open_parts: list[list[BenchSitting]] = [[] for _ in record.steps]
    for s in sittings:
        parts, lump = open_parts[s.step], record.steps[s.step].lump
        parts.append(s)
        minutes = items = 0.0
        for p in parts:
            minutes += p.minutes
            items += p.items
        if items >= lump and minutes >= ENOUGH_MIN:
            record.rows.append(_merge(s.step, lump, parts, record.made[s.step]))
            record.made[s.step] += _practice_items(record.steps[s.step], minutes, items)
            open_parts[s.step] = []
    for i, parts in enumerate(open_parts):
        if to_be_continued:
            record.open = record.open + parts
        else:
            _last(record, i, parts)


def _last(record: Record, step: int, parts: list[BenchSitting]) -> None:
    minutes = items = 0.0
    for p in parts:
        minutes += p.minutes
        items += p.items
    if items >= record.steps[step].lump and minutes >= LEAST_MIN:
        row = _merge(step, record.steps[step].lump, parts, record.made[step])
        row.fixed += (EDGES_MIN / minutes) ** 2
        record.rows.append(row)
    record.made[step] += _practice_items(record.steps[step], minutes, items)


def _practice_items(step: Step, minutes: float, items: float) -> float:
    """Items as practice: an absurd count must not count as mastery."""
    return min(items, MOST_TIMES_GUESS * max(minutes, 1.0) / step.guess) if step.guessed else items


def fill_guesses(steps: list[Step], timed: list[tuple[int, float, float]]) -> None:
    """A step without a guess starts from its own record."""
    for i, step in enumerate(steps):
        if step.known:
            continue
        minutes = items = 0.0
        for s, m, n in timed:
            if s == i:
                minutes += m
                items += n
        if items > 0:
            step.guess, step.known = minutes / items, True


def read_trials(q: Fields, record: Record) -> list[Row]:
    """Minutes timed on purpose, before the record or beside it; `items` may be parts of a lump."""
    out = []
    names = [s.name for s in record.steps]
    for part in q.parts("trials", most=600):
        step = names.index(part.choice("step", names))
        minutes = part.number("minutes", LEAST_MIN, 1000, example="10")
        items = part.number("items", 0, 1000000)
        if items >= 0.001:
            row = Row(step, 0.0, 0.0, math.log(minutes / items), 1.0, ITEM_SCATTER / items)
            row.minutes, row.items = minutes, items
            out.append(row)
    fill_guesses(record.steps, [(r.step, r.minutes, r.items) for r in out])
    return out
