"""When each piece will be done: hours left at the maker's own pace, laid over the weeks as really worked.

In: the question `forecast`; out: per piece quantiles of bench hours and finish day, the chance
of the due date, the hours a week it would take, and why. Hours are bench hours, days are
counted from today. Nothing here reads a clock: `today` comes in.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from . import reasons
from .errors import BadField
from .fields import Fields
from .left import Left, Work, Works
from .pace import Pace, fit
from .record import Record, Row, fill_guesses, read_trials
from .summary import read_record
from .weeks import MOST_DAYS, Ahead, Weeks, chance, day_at, hours_needed, learn

if TYPE_CHECKING:
    from typing import Any

SHOWN = [("p10", 0.1), ("p50", 0.5), ("p80", 0.8), ("p95", 0.95)]


class Piece:
    """One piece still on the bench: items to go by step, due day or None."""

    def __init__(self, name: str, todo: list[float], due: int | None) -> None:
        self.name = name
        self.todo = todo
        self.due = due
        self.done = sum(todo) <= 0


class Outlook:
    """All that is known about the maker: pace, weeks, and the days ahead."""

    def __init__(self, record: Record, paces: list[Pace], weeks: Weeks, ahead: Ahead, said: float) -> None:
        self.record = record
        self.paces = paces
        self.weeks = weeks
        self.ahead = ahead
        self.said = said


def _pieces(q: Fields, record: Record) -> list[Piece]:
    out: list[tuple[int, int, Piece]] = []
    for i, part in enumerate(q.parts("pieces", most=100)):
        counts = part.counts("to_go")
        known = [s.name for s in record.steps]
        for name in sorted(counts):
            if name not in known and counts[name] > 0:
                raise part.bad("to_go." + name, "This step is not among `steps`: add it there with a guess.")
        todo = [float(counts.get(name, 0)) for name in known]
        due = part.day("due").toordinal() if part.has("due") else None
        out.append((part.integer("order", -1000000, 1000000, i), i, Piece(part.text("id"), todo, due)))
    return [p for _, _, p in sorted(out, key=lambda r: (r[0], r[1]))]


def _need_guesses(record: Record, pieces: list[Piece]) -> None:
    for s, step in enumerate(record.steps):
        if not step.known and [p for p in pieces if p.todo[s] > 0]:
            why = (
                "Nothing is known of the step " + step.name + ": guess the minutes an item, or time ten minutes of it."
            )
            raise BadField("steps[" + str(s) + "].guess_min_per_item", why)


def _together(pieces: list[Piece], i: int, in_order: bool, mean: list[float]) -> list[float]:
    """Items made by the time piece i is done: the pieces before it, or as much of each as its turn brings."""
    out = list(pieces[i].todo)
    for j, other in enumerate(pieces):
        if j == i:
            continue
        share = (1.0 if j < i else 0.0) if in_order else min(1.0, mean[i] / max(mean[j], 1e-9))
        for s, n in enumerate(other.todo):
            out[s] += share * n
    return out


def _iso(today: int, days: float) -> str | None:
    return None if days >= MOST_DAYS else date.fromordinal(today + math.ceil(days - 1e-9)).isoformat()


def _loads(o: Outlook, pieces: list[Piece], in_order: bool) -> list[tuple[Left, Left]]:
    """Per piece: its own hours, and all hours worked until it is done."""
    rough = Works(o.record, o.paces, o.ahead.today, 60.0)
    mean = [math.exp(rough.left(p.todo).mu) for p in pieces]
    out = []
    for i, p in enumerate(pieces):
        load = _together(pieces, i, in_order, mean)
        span = math.exp(rough.left(load).mu) / o.weeks.level * 7
        work = Works(o.record, o.paces, o.ahead.today, span)
        out.append((work.left(p.todo), work.left(load)))
    return out


def _finished(p: Piece, today: int, levels: list[float]) -> dict[str, Any]:
    out: dict[str, Any] = {"id": p.name, "hours": {k: 0.0 for k, _ in SHOWN}, "days": {k: 0.0 for k, _ in SHOWN}}
    out["finish"] = {k: _iso(today, 0.0) for k, _ in SHOWN}
    out["p_due"] = None if p.due is None else 1.0
    out["hours_per_week_for_due"] = None if p.due is None else 0.0
    out["why"] = "Nothing is left to make."
    if levels:
        out["hours_at"], out["days_at"] = [0.0 for _ in levels], [0.0 for _ in levels]
    return out


def _piece(o: Outlook, p: Piece, own: Left, total: Left, levels: list[float]) -> dict[str, Any]:
    today, ahead = o.ahead.today, o.ahead
    out: dict[str, Any] = {"id": p.name, "hours": {k: own.at(v) for k, v in SHOWN}}
    out["days"] = {k: day_at(ahead, total, v) for k, v in SHOWN}
    out["finish"] = {k: _iso(today, out["days"][k]) for k, _ in SHOWN}
    out["p_due"] = out["hours_per_week_for_due"] = None
    if p.due is not None:
        out["p_due"] = chance(ahead, total, p.due - today) if p.due > today else 0.0
        out["hours_per_week_for_due"] = hours_needed(ahead, total, p.due - today, 0.8)
    out["why"] = _why(o, p)
    if levels:
        out["hours_at"] = [own.at(v) for v in levels]
        out["days_at"] = [day_at(ahead, total, v) for v in levels]
    return out


def _why(o: Outlook, p: Piece) -> str:
    if not o.record.sittings and not o.record.earlier:
        return reasons.why([])
    work = Work(o.record, o.paces[0], o.ahead.today, 60.0)
    worst, most, ratio = -1, 0.0, 1.0
    for s, n in enumerate(p.todo):
        if n > 0:
            guessed = n * o.record.steps[s].guess
            found = guessed * math.exp(work.mean(s, n))
            if abs(found - guessed) > most:
                worst, most, ratio = s, abs(found - guessed), found / guessed
    parts = []
    if worst >= 0:
        parts.append(reasons.pace_reason(o.record.steps[worst].name, ratio, o.record.made[worst] > 0))
    parts.append(reasons.week_reason(o.weeks.seen, o.said))
    return reasons.why(parts)


def _levels(q: Fields) -> list[float]:
    out = []
    for i, v in enumerate(q.entries("levels", most=99)):
        if not isinstance(v, (int, float)) or not 0 < v < 1:
            raise q.bad("levels[" + str(i) + "]", "A chance between 0 and 1 is needed, for example 0.8.")
        out.append(float(v))
    return out


def _off(q: Fields) -> dict[int, bool]:
    holder = [Fields({"off_days": v}) for v in q.entries("off_days", most=5000)]
    return {h.day("off_days").toordinal(): True for h in holder}


def _known(q: Fields) -> tuple[Record, list[Row], int]:
    today = q.day("today").toordinal()
    record = read_record(q, today)
    fill_guesses(record.steps, [(r.step, r.minutes, r.items) for r in record.rows])
    return record, read_trials(q, record), today


def _first(q: Fields, record: Record, today: int) -> int:
    """The day the record begins."""
    began = record.first or today
    return min(began, q.day("record_from").toordinal()) if q.has("record_from") else began


def answer(q: Fields) -> dict[str, Any]:
    record, trials, today = _known(q)
    said = q.number("week_hours", 0, 168, q.number("week", 0, 168, 6.0))
    first = _first(q, record, today)
    pieces = _pieces(q, record)
    _need_guesses(record, pieces)
    paces = fit(record, today, trials)
    open_pieces = [p for p in pieces if not p.done]
    due0 = open_pieces[0].due if open_pieces else None
    weeks = learn(record.hours, first, today, said, _off(q), due0)
    o = Outlook(record, paces, weeks, Ahead(weeks, today, _off(q), []), said)
    levels = _levels(q)
    loads = _loads(o, pieces, q.choice("queue", ["in_order", "in_turns"], "in_order") == "in_order")
    o.ahead.queue = [(p.due, math.exp(loads[i][1].mu)) for i, p in enumerate(pieces) if not p.done]
    out = []
    for i, p in enumerate(pieces):
        out.append(_finished(p, today, levels) if p.done else _piece(o, p, loads[i][0], loads[i][1], levels))
    return {"pieces": out, "pace": paces[0].told(today), "notes": record.notes}


def answer_pace(q: Fields) -> dict[str, Any]:
    """Door question `pace`: the steps and sittings of `forecast`, without the pieces."""
    record, trials, today = _known(q)
    return {"pace": fit(record, today, trials)[0].told(today), "notes": record.notes}
