"""When each piece will be done: the question `forecast`, and `pace`.

Bench hours left W (`remaining_hours`, at the pace of `fit`) are laid over the hours C(t) of the
days to come (`calendar_model`): a piece is done by day t with chance P(C(t) >= W), since hours never
run backwards. In a queue in order, W of a piece is all work up to its end; in turns, as much of each
other piece as its turns bring. The forecast is scored by the pinball loss of its quantiles:
T. Gneiting and A. E. Raftery, Strictly proper scoring rules, prediction, and estimation, JASA 102,
2007 (`tests/bench/judge.py`).

Out: per piece quantiles of bench hours and finish day, the chance of the due date, the hours a week
it would take, and why. Hours are bench hours, days are counted from `today`, an ISO date of the
question: nothing here reads a clock.
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
from .calendar_model import (
    MOST_DAYS,
    HoursAhead,
    Weeks,
    chance_by_day,
    chance_of_hours,
    changeability,
    constant_hours_for,
    day_at,
    expected_hours,
    fit_weeks,
    usual_idle,
    weekdays,
)
from .fit import fit
from .observations import MOST_SITTINGS, Record, Row, fill_guesses, read_trials
from .pace_model import Pace, variance_ratio
from .remaining_hours import HoursLeft, WorkLeft
from .summary import LAST_DAY, read_record

if TYPE_CHECKING:
    from typing import Any

FOR_DUE = 0.8  # the chance of the due date that hours a week are given for
MOST_WEEK = 168.0
NEAR, TURNS = 0.003, 30  # how near that chance the search stops; its steps at most
SHOWN = [("p10", 0.1), ("p50", 0.5), ("p80", 0.8), ("p95", 0.95)]

TRIAL_MIN = 10.0  # minutes of a trial of a step
ROUGH_DAYS = 60.0  # days that work takes where only its proportions matter
USUAL_WEEK_H = 6.0  # a few evenings and part of a weekend; common practice, no published source
MAKER, USUAL = "maker", "usual"
ANY_DAY = date(2000, 1, 1).toordinal()  # a guess alone does not know what day it is


class PieceLeft:
    """One piece of the question: items to go by step, due day (ordinal) or None."""

    def __init__(self, name: str, to_go: list[float], due: int | None) -> None:
        self.name = name
        self.to_go = to_go
        self.due = due
        self.done = sum(to_go) <= 0


class MakerModel:
    """All that is known of the maker: record, pace, weeks, hours of the days ahead."""

    def __init__(
        self,
        record: Record,
        pace: Pace,
        weeks: Weeks,
        ahead: HoursAhead,
        stated: float,
        stated_by: str,
        days: int,
    ) -> None:
        self.record = record
        self.pace = pace
        self.weeks = weeks
        self.ahead = ahead
        self.stated = stated  # hours a week
        self.stated_by = stated_by  # MAKER or USUAL
        self.days = days  # length of the record with today; 0 without any hour


def _pieces(q: Fields, record: Record) -> list[PieceLeft]:
    out: list[tuple[int, int, PieceLeft]] = []
    for i, part in enumerate(q.parts("pieces", most=100)):
        counts = part.counts("to_go")
        known = [s.name for s in record.steps]
        for name in sorted(counts):
            if name not in known and counts[name] > 0:
                raise part.bad("to_go." + name, sentence("forecast.step_unknown"))
        to_go = [float(counts.get(name, 0)) for name in known]
        due = part.day("due").toordinal() if part.has("due") else None
        name = part.text("id")
        if name in [p.name for _, _, p in out]:
            raise part.bad("id", sentence("forecast.piece_twice", name=name))
        out.append((part.integer("order", -1000000, 1000000, i), i, PieceLeft(name, to_go, due)))
    return [p for _, _, p in sorted(out, key=lambda r: (r[0], r[1]))]


def _need_guesses(record: Record, pieces: list[PieceLeft]) -> None:
    for s, step in enumerate(record.steps):
        if not step.known and [p for p in pieces if p.to_go[s] > 0]:
            why = sentence("forecast.guess_missing", step=step.name)
            raise BadField("steps[" + str(s) + "].guess_min_per_item", why)


def _shares(i: int, in_order: bool, mean: list[float]) -> list[float]:
    """The part of each piece that is made by the time piece i is done.

    In order all before it, in turns as much as its turns bring.
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


class QueuedWork:
    """All that is worked until one piece is done.

    `to_go` items by step, `hours` roughly what they take; `own` the hours left of the piece alone,
    `all` those of the whole. One sum over steps keeps errors shared.
    """

    def __init__(self, o: MakerModel, piece: PieceLeft, to_go: list[float], hours: float) -> None:
        self.o, self.to_go, self.hours = o, to_go, hours
        work = self._work(o.weeks)
        self.own = work.hours_left(piece.to_go)
        self.all = self.own if to_go == piece.to_go else work.hours_left(to_go)

    def _work(self, weeks: Weeks) -> WorkLeft:
        days = self.hours / weeks.level * 7
        return WorkLeft(self.o.record, self.o.pace, self.o.ahead.today, days)

    def in_weeks(self, weeks: Weeks) -> HoursLeft:
        """The hours of all of it in other weeks, which set how soon the form of today has faded."""
        return self._work(weeks).hours_left(self.to_go)


def _queued_works(o: MakerModel, pieces: list[PieceLeft], in_order: bool) -> list[QueuedWork]:
    rough = WorkLeft(o.record, o.pace, o.ahead.today, ROUGH_DAYS)
    mean = [0.0 if p.done else math.exp(rough.hours_left(p.to_go).mu) for p in pieces]
    out = []
    for i, p in enumerate(pieces):
        share = _shares(i, in_order, mean)
        hours, load = 0.0, [0.0 for _ in p.to_go]
        for j, other in enumerate(pieces):
            hours += share[j] * mean[j]
            load = [n + share[j] * other.to_go[s] for s, n in enumerate(load)]
        out.append(QueuedWork(o, p, load, hours))
    return out


def _stated_hours_for(load: QueuedWork, of_day: list[float], days: int) -> float | None:
    """The hours a week that bring the chance to FOR_DUE if the maker states them.

    None where no statement does.
    """
    left, stated = load.all, 0.0
    for _ in range(4):
        found = _stated_hours_root(load.o.weeks, left, of_day, days)
        if not found:
            return found
        stated, weeks = found, load.o.weeks.with_statement(found)
        left = load.in_weeks(weeks)
        if abs(chance_of_hours(weeks, left, expected_hours(weeks, of_day), days) - FOR_DUE) < NEAR:
            break
    return stated


def _stated_hours_root(
    start: Weeks, left: HoursLeft, of_day: list[float], days: int
) -> float | None:
    """The same for given hours left.

    A root between no hours and MOST_WEEK, by false position with the Illinois rule: an end that
    stays twice counts half (M. Dowell and P. Jarratt, BIT 11, 1971).
    """

    def over(stated: float) -> float:
        weeks = start.with_statement(stated)
        return quantile(
            chance_of_hours(weeks, left, expected_hours(weeks, of_day), days)
        ) - quantile(FOR_DUE)

    low, high = 0.0, MOST_WEEK
    below, above = over(low), over(high)
    if below >= 0 or above < 0:  # the record alone does it, or no statement could
        return None
    mid, side = high, 0
    for _ in range(TURNS):
        mid = (low * above - high * below) / (above - below)
        off = over(mid)
        if abs(off) < NEAR:
            break
        if off < 0:
            low, below, above, side = mid, off, above / 2 if side < 0 else above, -1
        else:
            high, above, below, side = mid, off, below / 2 if side > 0 else below, 1
    return mid


def _for_due(o: MakerModel, p: PieceLeft, load: QueuedWork) -> dict[str, Any]:
    """The chance of the due date, and the hours a week that would bring it to FOR_DUE."""
    out: dict[str, Any] = {
        "p_due": None,
        "hours_per_week_for_due": None,
        "bench_h_per_week_for_due": None,
    }
    if p.due is not None:
        days = p.due - o.ahead.today
        out["p_due"] = chance_by_day(o.ahead, load.all, days) if days > 0 else 0.0
        of_day = weekdays(o.ahead.today, o.ahead.off, days) if days > 0 else [0.0] * 7
        out["bench_h_per_week_for_due"] = constant_hours_for(o.weeks, load.all, of_day, FOR_DUE)
        if max(of_day) > 0:
            out["hours_per_week_for_due"] = _stated_hours_for(load, of_day, days)
    return out


def _finished(p: PieceLeft, today: int, levels: list[float]) -> dict[str, Any]:
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


def _piece(o: MakerModel, p: PieceLeft, load: QueuedWork, levels: list[float]) -> dict[str, Any]:
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


def _why(o: MakerModel, p: PieceLeft) -> str:
    to_go = [o.record.steps[s] for s, n in enumerate(p.to_go) if n > 0]
    own = len([s for s in to_go if not s.usual]) > 0  # whose figures the steps to go start from
    usual = len([s for s in to_go if s.usual]) > 0
    if not o.record.sittings and not o.record.earlier:
        return explanation.no_record(own, usual)
    work = WorkLeft(o.record, o.pace, o.ahead.today, ROUGH_DAYS)
    worst, most, ratio = -1, 0.0, 1.0
    for s, n in enumerate(p.to_go):
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
    parts.append(explanation.week_reason(o.weeks.seen, o.stated, o.days, o.stated_by == USUAL))
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
    """Bench hours by ordinal day, where they are given beside the sittings."""
    out: dict[int, float] = {}
    for part in q.parts("bench_days", most=5000):
        day = part.day("date").toordinal()
        if day > today:
            raise part.bad("date", sentence("forecast.bench_day_later"))
        out[day] = out.get(day, 0.0) + part.number("minutes", 0, 1440) / 60
    return out


def _today(q: Fields) -> int:
    """The ordinal day that is asked about.

    For the pace alone the newest sitting's day stands in, or any day where there is none.
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
    given = q.day("record_from").toordinal() if q.has("record_from") else today
    return min(record.first or today, given) if record.hours else today


def _notes(o: MakerModel, first: int, off: dict[int, bool]) -> list[dict[str, Any]]:
    today = o.ahead.today
    out = (
        diagnostics.gaps(o.record, first, today)
        + diagnostics.form(o.pace, today)
        + diagnostics.weekday_habit(o.weeks)
    )
    return out + diagnostics.days_off(off, today)


def _narrow(o: MakerModel, pieces: list[PieceLeft]) -> list[dict[str, Any]]:
    """Per step to go: the share of the span of all hours left that a trial, or a word on practice,
    takes away.
    """
    to_go = [0.0 for _ in o.record.steps]
    for p in pieces:
        for s, n in enumerate(p.to_go):
            to_go[s] += n
    work = WorkLeft(o.record, o.pace, o.ahead.today, ROUGH_DAYS)
    whole = work.hours_left(to_go).sd ** 2
    terms = work.by_step(to_go)
    hours = 0.0
    for t in terms:
        hours += t.hours
    out = []
    for t in terms:
        step = o.record.steps[t.step]
        trial = work.narrowed(terms, t.step, TRIAL_MIN)
        practice = 0.0
        if step.practised == "unsaid":
            practice = work.practice_variance(t.step, to_go[t.step], t.hours / hours)
        row: dict[str, Any] = {
            "step": step.name,
            "trial": _shrunk(trial, whole),
            "practised": _shrunk(practice, whole),
        }
        row["trial_percent"], row["practised_percent"] = 100 * row["trial"], 100 * row["practised"]
        out.append(row)
    return out


def _shrunk(part: float, whole: float) -> float:
    gone = min(part, whole) / whole
    return gone / (1 + math.sqrt(1 - gone))


def answer(q: Fields) -> dict[str, Any]:
    """Answer the question `forecast`: `{pieces, pace, week, notes, narrow}`; raises BadField.

    Per piece bench hours and calendar days from `today` at 10, 50, 80 and 95 % and at the `levels`
    asked for, and the chance (0 to 1) of its due date; a step to go needs a guess or a record.
    """
    record, trials, today = _known(q)
    stated = q.number("week_hours", 0, 168, q.number("week", 0, 168, USUAL_WEEK_H))
    pieces = _pieces(q, record)
    _need_guesses(record, pieces)
    levels, off, first = _levels(q), _off(q), _first(q, record, today)
    pace, lines = fit(record, today, trials)
    notes = (
        diagnostics.overlapping_clocks(record)
        + diagnostics.implausible_rows(record, lines)
        + diagnostics.uncounted_steps(record)
        + diagnostics.overlong_days(record)
    )
    varied = variance_ratio(pace.s2)
    changeable, idle = changeability(varied), usual_idle(varied)
    weeks = fit_weeks(record.hours, first, today, stated, off, changeable, idle)
    stated_by = MAKER if q.has("week_hours") or q.has("week") else USUAL
    days = today - first + 1 if record.hours else 0
    o = MakerModel(record, pace, weeks, HoursAhead(weeks, today, off), stated, stated_by, days)
    in_order = q.choice("queue", ["in_order", "in_turns"], "in_order") == "in_order"
    loads = _queued_works(o, pieces, in_order)
    out = []
    for i, p in enumerate(pieces):
        out.append(_finished(p, today, levels) if p.done else _piece(o, p, loads[i], levels))
    notes = notes + _notes(o, first, off)
    return {
        "pieces": out,
        "pace": pace.by_step(today),
        "week": _week(o),
        "notes": notes,
        "narrow": _narrow(o, pieces),
    }


def _week(o: MakerModel) -> dict[str, Any]:
    """Hours a week: expected from now on, worked so far (null before the first), and stated, by the
    maker or as usual.
    """
    out: dict[str, Any] = {
        "expected_h": o.weeks.level,
        "worked_h": o.weeks.seen if o.days else None,
    }
    out.update({"record_days": o.days, "said_h": o.stated, "said_by": o.stated_by})
    return out


def answer_pace(q: Fields) -> dict[str, Any]:
    """Door question `pace`: the steps and sittings of `forecast`, without the pieces."""
    record, trials, today = _known(q)
    pace, lines = fit(record, today, trials)
    notes = (
        diagnostics.overlapping_clocks(record)
        + diagnostics.implausible_rows(record, lines)
        + diagnostics.uncounted_steps(record)
        + diagnostics.form(pace, today)
    )
    return {"pace": pace.by_step(today), "notes": notes}
