"""The question `summarise`: old sittings as a few rows, with all that a forecast needs of them.

A call sums up at most 1,000 sittings and the summary so far; a forecast then gets the summary and
the newer sittings. So the work of a forecast does not grow with the years. Hours are stored by day
for as far back as the calendar model looks.
"""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from ..base.errors import BadField
from ..base.fields import Fields, is_number
from ..base.rounding import nearest
from ..base.sentences import sentence
from .aggregate import merge_old_rows
from .calendar_model import LOOK_BACK
from .observations import (
    MOST_LUMP,
    MOST_STEPS,
    BenchSitting,
    Record,
    Row,
    build_rows,
    read_sittings,
    read_steps,
    shorten_overlaps,
)

if TYPE_CHECKING:
    from typing import Any

MOST_AT_ONCE = 1000
MOST_ROWS = 3000
MOST_MADE = 10**12
LAST_DAY = date(9999, 12, 31).toordinal()
KEPT_DAYS = LOOK_BACK
ROW = "step, day, mid, y, shares, days, fixed, minutes, items"
OPEN = "step, day, start, minutes, items"


def _as_list(record: Record, r: Row) -> list[Any]:
    return [
        record.steps[r.step].name,
        r.day,
        r.mid,
        r.y,
        r.shares,
        1.0,  # older engines read a part of the variance that days share here
        r.fixed,
        r.minutes,
        r.items,
    ]


def _sound(v: Any) -> bool:
    """Whether a row is in order. One expression, since each forecast checks hundreds of rows."""
    try:
        return (
            len(v) == 9
            and isinstance(v[0], str)
            and 0 < v[1] <= LAST_DAY
            and 0 <= v[2] < 1e12
            and -40 < v[3] < 40
            and 0 < v[4] < 1e12
            and 0 <= v[5] < 1e12
            and 0 <= v[6] < 1e12
            and -1e12 < v[7] < 1e12
            and -1e12 < v[8] < 1e12
        )
    except (TypeError, KeyError):
        return False


def _as_row(names: dict[str, int], v: Any) -> Row | None:
    """None for a step that is no longer among the steps."""
    if not _sound(v):
        raise BadField("summary.rows", sentence("forecast.summary_row", fields=ROW))
    step = names.get(v[0], -1)
    if step < 0:
        return None
    row = Row(step, v[1], v[2], v[3], v[4], v[6])
    row.minutes, row.items = v[7], v[8]
    return row


def _hours(part: Fields) -> dict[int, float]:
    """Hours by ordinal day, from {"first": day, "minutes": [each day's]}."""
    kept = part.part("hours")
    first = kept.integer("first", 0, 3700000)
    out: dict[int, float] = {}
    for i, m in enumerate(kept.entries("minutes", most=KEPT_DAYS)):
        if not is_number(m) or not 0 <= m <= 100000:
            raise kept.bad("minutes", sentence("forecast.summary_minutes"))
        if m > 0:
            out[first + i] = m / 60
    return out


def _kept_hours(hours: dict[int, float], last: int) -> dict[str, Any]:
    first = max(1, last - KEPT_DAYS + 1)
    while first < last and first not in hours:
        first += 1
    return {
        "first": first,
        "minutes": [nearest(60 * hours.get(d, 0.0)) for d in range(first, last + 1)],
    }


def _step(v: Any) -> str:
    good = (
        isinstance(v, list)
        and len(v) == 5
        and [x for x in v[1:] if not is_number(x) or not -2 < x < 1e10] == []
        and 0 < v[1] <= LAST_DAY
    )
    if not good or not isinstance(v[0], str):
        raise BadField("summary.open", sentence("forecast.summary_open", fields=OPEN))
    return str(v[0])


def _as_sitting(names: dict[str, int], v: Any) -> BenchSitting:
    return BenchSitting(-1, names[v[0]], int(v[1]), float(v[2]), float(v[3]), float(v[4]))


def read_summary(q: Fields, record: Record) -> None:
    """Put the question's `summary`, if any, into an empty record; raises BadField."""
    part = q.maybe_part("summary")
    if part is None:
        return
    names = {s.name: i for i, s in enumerate(record.steps)}
    made = part.counts("made", MOST_MADE)
    for name in sorted(made):
        if name in names:
            record.made[names[name]] += made[name]
    rows = [_as_row(names, v) for v in part.entries("rows", most=MOST_ROWS)]
    record.rows = [r for r in rows if r is not None]
    record.hours = _hours(part)
    record.first = part.day("from").toordinal() if part.has("from") else 0
    record.open = [
        _as_sitting(names, v)
        for v in part.entries("open", most=500)
        if names.get(_step(v), -1) >= 0
    ]
    record.earlier = part.integer("sittings", 0, 10**9, 0)


def read_record(q: Fields, today: int) -> Record:
    """The record of a question, summary and sittings, with old rows merged; raises BadField.

    `today` is an ordinal day.
    """
    record = _read(q, today)
    record.rows = merge_old_rows(record.rows, today)
    return record


def _read(q: Fields, today: int, to_be_continued: bool = False) -> Record:
    """The question's summary, then its sittings."""
    record = Record(read_steps(q))
    read_summary(q, record)
    sittings = read_sittings(q, record.steps, today)
    shorten_overlaps(sittings)
    begun, record.open = record.open, []
    build_rows(record, begun + sittings, to_be_continued)
    for s in sittings:
        record.hours[s.day] = record.hours.get(s.day, 0.0) + s.minutes / 60
    if sittings and (record.first == 0 or sittings[0].day < record.first):
        record.first = sittings[0].day
    return record


def _named_steps(q: Fields) -> Fields:
    """The question with all its steps, those too that only its sittings or its summary name."""
    part = q.maybe_part("summary")
    kept = {} if part is None else part.counts("made", MOST_MADE)
    lumps = {} if part is None else part.counts("lumps", MOST_LUMP)
    named = q.entries("steps", most=MOST_STEPS)
    known = {
        raw["step"]: True
        for raw in named
        if isinstance(raw, dict) and isinstance(raw.get("step"), str)
    }
    others = dict.fromkeys(kept, True)
    for raw in q.entries("sittings", most=MOST_AT_ONCE):
        if (
            not q.has("steps")
            and isinstance(raw, dict)
            and isinstance(raw.get("step"), str)
            and raw["step"]
        ):
            others[raw["step"]] = True
    data = {k: q.data[k] for k in sorted(q.data)}
    more = [
        {"step": name, "lump": max(1, lumps.get(name, 1))}
        for name in sorted(others)
        if name not in known
    ]
    data["steps"] = named + more
    return Fields(data)


def answer(q: Fields) -> dict[str, Any]:
    """Answer the question `summarise`: `{summary}`; raises BadField.

    `sittings` (1,000 at most, the oldest first), `summary?` so far, `steps?` (for their lumps).
    """
    sittings = q.entries("sittings", most=MOST_AT_ONCE)
    if not sittings and not q.has("summary"):
        raise q.bad("sittings", sentence("forecast.summary_empty"))
    record = _read(_named_steps(q), date(2199, 12, 31).toordinal(), True)
    last = max([s.day for s in record.sittings] + sorted(record.hours) + [0])
    rows = merge_old_rows(record.rows, last)
    out: dict[str, Any] = {"v": 1, "from": date.fromordinal(max(1, record.first)).isoformat()}
    out["until"] = date.fromordinal(max(1, last)).isoformat()
    out["made"] = {s.name: int(record.made[i]) for i, s in enumerate(record.steps)}
    out["lumps"] = {s.name: s.lump for s in record.steps if s.lump > 1}
    out["rows"] = [_as_list(record, r) for r in rows]
    out["open"] = [
        [record.steps[s.step].name, s.day, s.start, s.minutes, s.items] for s in record.open
    ]
    out["hours"] = _kept_hours(record.hours, last)
    out["sittings"] = record.earlier + len(q.entries("sittings"))
    return {"summary": out}
