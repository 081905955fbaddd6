"""When each piece will be done: hours left at the maker's own pace, laid over the weeks as really
worked.

In: the question `forecast`; out: per piece quantiles of bench hours and finish day, the chance
of the due date, the hours a week it would take, and why. Hours are bench hours, days are
counted from today. Nothing here reads a clock: `today` comes in.
"""

from __future__ import annotations

import math
from datetime import date
from typing import TYPE_CHECKING

from ..base.errors import BadField
from ..base.fields import Fields
from ..base.sentences import sentence
from ..statistics.normal import quantile
from . import diagnostics, explanation
from .aggregate import SPREAD
from .calendar_model import (
    MOST_DAYS,
    Ahead,
    Weeks,
    chance,
    day_at,
    expected,
    held,
    learn,
    reached,
    temper,
    weekdays,
)
from .fit import fit, likeliest
from .observations import MOST_SITTINGS, Record, Row, fill_guesses, read_trials
from .pace_model import SAID, Pace
from .remaining_hours import Left, Work, Works
from .summary import read_record

if TYPE_CHECKING:
    from typing import Any

FOR_DUE = 0.8  # the chance that the hours a week for a date are told for
MOST_WEEK = 168.0
NEAR, TURNS = 0.003, 30  # of that chance; steps towards it
SHOWN = [("p10", 0.1), ("p50", 0.5), ("p80", 0.8), ("p95", 0.95)]

TRIAL_MIN = 10.0
USUAL_WEEK_H = 6.0  # a few evenings and part of a weekend; common practice, no published source
MAKER, USUAL = "maker", "usual"
LAST_DAY = date(9999, 12, 31).toordinal()
ANY_DAY = date(2000, 1, 1).toordinal()  # a guess alone does not know what day it is


class Piece:
    """One piece still on the bench: items to go by step, due day or None."""

    def __init__(self, name: str, todo: list[float], due: int | None) -> None:
        self.name = name
        self.todo = todo
        self.due = due
        self.done = sum(todo) <= 0


class Outlook:
    """All that is known about the maker: pace, weeks, and the days ahead."""

    def __init__(
        self,
        record: Record,
        paces: list[Pace],
        weeks: Weeks,
        ahead: Ahead,
        said: float,
        said_by: str,
        days: int,
    ) -> None:
        self.record = record
        self.paces = paces
        self.weeks = weeks
        self.ahead = ahead
        self.said, self.said_by = (
            said,
            said_by,
        )  # hours a week before the record has its word, and whose they are
        self.days = days  # length of the record, today with it; 0 without any hour


def _pieces(q: Fields, record: Record) -> list[Piece]:
    out: list[tuple[int, int, Piece]] = []
    for i, part in enumerate(q.parts("pieces", most=100)):
        counts = part.counts("to_go")
        known = [s.name for s in record.steps]
        for name in sorted(counts):
            if name not in known and counts[name] > 0:
                raise part.bad("to_go." + name, sentence("forecast.step_unknown"))
        todo = [float(counts.get(name, 0)) for name in known]
        due = part.day("due").toordinal() if part.has("due") else None
        name = part.text("id")
        if name in [p.name for _, _, p in out]:
            raise part.bad("id", sentence("forecast.piece_twice", name=name))
        out.append((part.integer("order", -1000000, 1000000, i), i, Piece(name, todo, due)))
    return [p for _, _, p in sorted(out, key=lambda r: (r[0], r[1]))]


def _need_guesses(record: Record, pieces: list[Piece]) -> None:
    for s, step in enumerate(record.steps):
        if not step.known and [p for p in pieces if p.todo[s] > 0]:
            why = sentence("forecast.guess_missing", step=step.name)
            raise BadField("steps[" + str(s) + "].guess_min_per_item", why)


def _shares(i: int, in_order: bool, mean: list[float]) -> list[float]:
    """How much of each piece is made by the time piece i is done: all before it, or as much as its
    turns bring.
    """
    if in_order:
        return [1.0 if j <= i else 0.0 for j in range(len(mean))]
    return [1.0 if j == i else min(1.0, mean[i] / max(m, 1e-9)) for j, m in enumerate(mean)]


def _iso(today: int, days: int) -> str | None:
    return (
        None
        if days >= MOST_DAYS or today + days > LAST_DAY
        else date.fromordinal(today + days).isoformat()
    )


class Load:
    """All that is worked until one piece is done: items by step, roughly the hours of it; and what
    it comes to.

    The same sum over steps keeps errors shared.
    """

    def __init__(self, o: Outlook, piece: Piece, todo: list[float], hours: float) -> None:
        self.o, self.todo, self.hours = o, todo, hours
        work = self._work(o.weeks)
        self.own = work.left(piece.todo)
        self.all = self.own if todo == piece.todo else work.left(todo)

    def _work(self, weeks: Weeks) -> Works:
        return Works(self.o.record, self.o.paces, self.o.ahead.today, self.hours / weeks.level * 7)

    def in_weeks(self, weeks: Weeks) -> Left:
        """The hours of all of it where other weeks are expected: they tell how soon the form of
        today is gone.
        """
        return self._work(weeks).left(self.todo)


def _loads(o: Outlook, pieces: list[Piece], in_order: bool) -> list[Load]:
    rough = Work(o.record, likeliest(o.paces), o.ahead.today, 60.0)
    mean = [0.0 if p.done else math.exp(rough.left(p.todo).mu) for p in pieces]
    out = []
    for i, p in enumerate(pieces):
        share = _shares(i, in_order, mean)
        hours, load = 0.0, [0.0 for _ in p.todo]
        for j, other in enumerate(pieces):
            hours += share[j] * mean[j]
            load = [n + share[j] * other.todo[s] for s, n in enumerate(load)]
        out.append(Load(o, p, load, hours))
    return out


def _said_for(load: Load, of_day: list[float], days: int) -> float | None:
    """The hours a week that, said by the maker, bring the chance to FOR_DUE; None where no word of
    theirs does.
    """
    left, said = load.all, 0.0
    for _ in range(4):
        found = _word(load.o.weeks, left, of_day, days)
        if not found:
            return found
        said, weeks = found, load.o.weeks.restated(found)
        left = load.in_weeks(weeks)
        if abs(reached(weeks, left, expected(weeks, of_day), days) - FOR_DUE) < NEAR:
            break
    return said


def _word(start: Weeks, left: Left, of_day: list[float], days: int) -> float | None:
    """The same for hours left that are taken as they are: a root between no hours and MOST_WEEK, by
    false position.
    """

    def over(said: float) -> float:
        weeks = start.restated(said)
        return quantile(reached(weeks, left, expected(weeks, of_day), days)) - quantile(FOR_DUE)

    low, high = 0.0, MOST_WEEK
    below, above = over(low), over(high)
    if below >= 0 or above < 0:  # the record alone does it, or nothing said could
        return None
    mid, side = high, 0
    for _ in range(TURNS):
        mid = (low * above - high * below) / (above - below)
        off = over(mid)
        if abs(off) < NEAR:
            break
        if (
            off < 0
        ):  # an end that stays twice counts half (the Illinois rule), or it would stay for long
            low, below, above, side = mid, off, above / 2 if side < 0 else above, -1
        else:
            high, above, below, side = mid, off, below / 2 if side > 0 else below, 1
    return mid


def _for_due(o: Outlook, p: Piece, load: Load) -> dict[str, Any]:
    """The chance of the day that was promised, and the hours a week that would bring it to FOR_DUE."""
    out: dict[str, Any] = {
        "p_due": None,
        "hours_per_week_for_due": None,
        "bench_h_per_week_for_due": None,
    }
    if p.due is not None:
        days = p.due - o.ahead.today
        out["p_due"] = chance(o.ahead, load.all, days) if days > 0 else 0.0
        of_day = weekdays(o.ahead.today, o.ahead.off, days) if days > 0 else [0.0] * 7
        out["bench_h_per_week_for_due"] = held(o.weeks, load.all, of_day, FOR_DUE)
        if max(of_day) > 0:
            out["hours_per_week_for_due"] = _said_for(load, of_day, days)
    return out


def _finished(p: Piece, today: int, levels: list[float]) -> dict[str, Any]:
    out: dict[str, Any] = {
        "id": p.name,
        "hours": {k: 0.0 for k, _ in SHOWN},
        "days": {k: 0 for k, _ in SHOWN},
    }
    out["finish"] = {k: _iso(today, 0) for k, _ in SHOWN}
    out["p_due"] = None if p.due is None else 1.0
    out["hours_per_week_for_due"] = out["bench_h_per_week_for_due"] = None if p.due is None else 0.0
    out["why"] = sentence("forecast.nothing_left")
    if levels:
        out["hours_at"], out["days_at"] = [0.0 for _ in levels], [0 for _ in levels]
    return out


def _piece(o: Outlook, p: Piece, load: Load, levels: list[float]) -> dict[str, Any]:
    today, ahead, own, total = o.ahead.today, o.ahead, load.own, load.all
    out: dict[str, Any] = {"id": p.name, "hours": {k: own.at(v) for k, v in SHOWN}}
    out["days"] = {k: day_at(ahead, total, v) for k, v in SHOWN}
    out["finish"] = {k: _iso(today, out["days"][k]) for k, _ in SHOWN}
    out.update(_for_due(o, p, load))
    out["why"] = _why(o, p)
    if levels:
        out["hours_at"] = [own.at(v) for v in levels]
        out["days_at"] = [day_at(ahead, total, v) for v in levels]
    return out


def _why(o: Outlook, p: Piece) -> str:
    to_go = [o.record.steps[s] for s, n in enumerate(p.todo) if n > 0]
    own = len([s for s in to_go if not s.usual]) > 0  # whose figures the steps to go start from
    usual = len([s for s in to_go if s.usual]) > 0
    if not o.record.sittings and not o.record.earlier:
        return explanation.no_record(own, usual)
    work = Work(o.record, likeliest(o.paces), o.ahead.today, 60.0)
    worst, most, ratio = -1, 0.0, 1.0
    for s, n in enumerate(p.todo):
        if n > 0:
            guessed = n * o.record.steps[s].guess
            found = guessed * math.exp(work.mean(s, n))
            if abs(found - guessed) > most:
                worst, most, ratio = s, abs(found - guessed), found / guessed
    parts = []
    if worst >= 0 and not o.record.rows:
        counted = len([s for s in o.record.sittings if s.items > 0]) > 0
        parts.append(explanation.no_pace_yet(counted, own, usual))
    elif worst >= 0:
        step = o.record.steps[worst]
        parts.append(explanation.pace_reason(step.name, ratio, work.pace.proved(worst), step.usual))
    parts.append(explanation.week_reason(o.weeks.seen, o.said, o.days, o.said_by == USUAL))
    return " ".join(parts)


def _levels(q: Fields) -> list[float]:
    out = []
    for i, v in enumerate(q.entries("levels", most=99)):
        if not isinstance(v, (int, float)) or not 0 < v < 1:
            raise q.bad("levels[" + str(i) + "]", sentence("forecast.level_bad"))
        out.append(float(v))
    return out


def _off(q: Fields) -> dict[int, bool]:
    holder = [Fields({"off_days": v}) for v in q.entries("off_days", most=5000)]
    return {h.day("off_days").toordinal(): True for h in holder}


def _bench_days(q: Fields, today: int) -> dict[int, float]:
    """Bench hours by day, where they are told apart from the sittings."""
    out: dict[int, float] = {}
    for part in q.parts("bench_days", most=5000):
        day = part.day("date").toordinal()
        if day > today:
            raise part.bad("date", sentence("forecast.bench_day_later"))
        out[day] = out.get(day, 0.0) + part.number("minutes", 0, 1440) / 60
    return out


def _today(q: Fields) -> int:
    """The day that is asked about; for the pace alone the newest sitting's stands in, and without
    one any does.
    """
    if q.has("today") or q.has("summary") or q.data.get("ask") != "pace":
        return q.day("today").toordinal()
    days = [part.day("date").toordinal() for part in q.parts("sittings", most=MOST_SITTINGS)]
    return max(days) if days else ANY_DAY


def _known(q: Fields) -> tuple[Record, list[Row], int]:
    today = _today(q)
    record = read_record(q, today)
    if q.has("bench_days"):
        record.hours = _bench_days(q, today)
    fill_guesses(record.steps, [(r.step, r.minutes, r.items) for r in record.rows])
    return record, read_trials(q, record), today


def _first(q: Fields, record: Record, today: int) -> int:
    """The day the record begins; with no hour on it, it tells nothing of the weeks either, and
    begins today.
    """
    said = q.day("record_from").toordinal() if q.has("record_from") else today
    return min(record.first or today, said) if record.hours else today


def _notes(o: Outlook, first: int, off: dict[int, bool]) -> list[dict[str, Any]]:
    today = o.ahead.today
    out = (
        diagnostics.gaps(o.record, first, today)
        + diagnostics.form(likeliest(o.paces), today)
        + diagnostics.weekday_habit(o.weeks)
    )
    return out + diagnostics.days_off(off, today)


def _narrow(o: Outlook, pieces: list[Piece]) -> list[dict[str, Any]]:
    """Per step to go: the share of the span of all hours left that a trial, or a word on practice,
    takes away.
    """
    todo = [0.0 for _ in o.record.steps]
    for p in pieces:
        for s, n in enumerate(p.todo):
            todo[s] += n
    works = Works(o.record, o.paces, o.ahead.today, 60.0)
    whole = works.left(todo).sd ** 2
    first = works.each[0]
    terms = first.terms(todo)
    hours = 0.0
    for t in terms:
        hours += t.hours
    out = []
    for t in terms:
        step = o.record.steps[t.step]
        trial = first.narrowed(terms, t.step, TRIAL_MIN)
        said = (
            works.practised(todo, t.step, t.hours / hours) * (1 - SAID * SAID)
            if step.practised == "unsaid"
            else 0.0
        )
        row: dict[str, Any] = {
            "step": step.name,
            "trial": _shrunk(trial, whole),
            "practised": _shrunk(said, whole),
        }
        row["trial_percent"], row["practised_percent"] = 100 * row["trial"], 100 * row["practised"]
        out.append(row)
    return out


def _shrunk(part: float, whole: float) -> float:
    gone = min(part, whole) / whole
    return gone / (1 + math.sqrt(1 - gone))


def answer(q: Fields) -> dict[str, Any]:
    record, trials, today = _known(q)
    said = q.number("week_hours", 0, 168, q.number("week", 0, 168, USUAL_WEEK_H))
    pieces = _pieces(q, record)
    _need_guesses(record, pieces)
    levels, off, first = _levels(q), _off(q), _first(q, record, today)
    paces, lines = fit(record, today, trials)
    notes = (
        diagnostics.overlapping_clocks(record)
        + diagnostics.implausible_rows(record, lines)
        + diagnostics.uncounted_steps(record)
        + diagnostics.overlong_days(record)
    )
    weeks = learn(record.hours, first, today, said, off, temper(paces[0].s2 / (SPREAD * SPREAD)))
    said_by = MAKER if q.has("week_hours") or q.has("week") else USUAL
    days = today - first + 1 if record.hours else 0
    o = Outlook(record, paces, weeks, Ahead(weeks, today, off), said, said_by, days)
    loads = _loads(o, pieces, q.choice("queue", ["in_order", "in_turns"], "in_order") == "in_order")
    out = []
    for i, p in enumerate(pieces):
        out.append(_finished(p, today, levels) if p.done else _piece(o, p, loads[i], levels))
    notes = notes + _notes(o, first, off)
    pace = likeliest(paces).told(today)
    return {
        "pieces": out,
        "pace": pace,
        "week": _week(o),
        "notes": notes,
        "narrow": _narrow(o, pieces),
    }


def _week(o: Outlook) -> dict[str, Any]:
    """Hours a week: expected from now on, worked so far (null before the first), and said, by the
    maker or as usual.
    """
    out: dict[str, Any] = {
        "expected_h": o.weeks.level,
        "worked_h": o.weeks.seen if o.days else None,
    }
    out.update({"record_days": o.days, "said_h": o.said, "said_by": o.said_by})
    return out


def answer_pace(q: Fields) -> dict[str, Any]:
    """Door question `pace`: the steps and sittings of `forecast`, without the pieces."""
    record, trials, today = _known(q)
    paces, lines = fit(record, today, trials)
    pace = likeliest(paces)
    notes = (
        diagnostics.overlapping_clocks(record)
        + diagnostics.implausible_rows(record, lines)
        + diagnostics.uncounted_steps(record)
        + diagnostics.form(pace, today)
    )
    return {"pace": pace.told(today), "notes": notes}
