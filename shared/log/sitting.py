"""One sitting at the bench: its minutes from the clock's events, in any order of arrival.

Bench time is the sum of the stretches start/go to pause/stop in order of time. A stretch
still running ends at the sitting's last count, or where it began. A trim keeps `keep_min`
minutes of what the clock ran in a stretch; where trims overlap the later one rules its
part. A trim with `minutes` sets the whole sitting by hand; the latest of those wins.

A `correct` says afterwards what was wrong: the beginning (`from_ms`), the piece and step
(`to_piece`,
`to_step`: all its counts go with it), that it never was (`deleted`), and that its counts count
nothing
(`uncounted`). Of each of these what was said with the latest stamp holds.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from .schema import CORRECTED

if TYPE_CHECKING:
    from typing import Any

    Rank = tuple[int, int, str, int]
    Row = tuple[str, str, str]  # piece, step, panel or ""

MINUTE = 60000
DAY = 86400000


def _moment(change: dict[str, Any]) -> tuple[int, str, int]:
    """When it took effect: a time given beats the time it was written."""
    given = change.get("from_ms")
    return (change["at"] if given is None else given, change["device"], change["seq"])


def _written(change: dict[str, Any]) -> tuple[int, str, int]:
    return (change["at"], change["device"], change["seq"])


def rank(change: dict[str, Any]) -> Rank:
    """The later stamp wins, then the device's name; seq only parts one device's equal stamps."""
    ms, n = change.get("stamp") or [change["at"], 0]
    return (ms, n, change["device"], change["seq"])


def local_start(ms: int, tz: int) -> tuple[str, int]:
    """The calendar day (ISO) and the minute of that day, on the clock of the maker's zone."""
    local = ms + tz * MINUTE
    day = date(1970, 1, 1) + timedelta(days=local // DAY)
    return day.isoformat(), local % DAY // MINUTE


def cut(stretches: list[tuple[int, int]], a: int, b: int) -> tuple[int, list[tuple[int, int]]]:
    """How much of the stretches lies in a..b, and what is left of them outside."""
    inside, left = 0, []
    for start, end in stretches:
        low, high = max(start, a), min(end, b)
        if low >= high:
            left.append((start, end))
            continue
        inside += high - low
        left.extend([s for s in ((start, low), (high, end)) if s[0] < s[1]])
    return inside, left


class Sitting:
    """Collects a sitting's events and counts; `result` says what they come to."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.items = 0
        self.untimed = (
            0  # of them those whose tap only started the clock: their making was not timed
        )
        self.last_count: int | None = None
        self.clock: list[dict[str, Any]] = []
        self.trims: list[dict[str, Any]] = []
        self.sums: dict[Row, list[int]] = {}  # its counts as they were said -> [done, spoiled]
        self.corrected: dict[str, dict[str, Any]] = {}  # field -> the change that holds

    def event(self, change: dict[str, Any]) -> None:
        if change["event"] == "correct":
            self._correct(change)
        else:
            (self.trims if change["event"] == "trim" else self.clock).append(change)

    def _correct(self, change: dict[str, Any]) -> None:
        for field in CORRECTED:
            held = self.corrected.get(field)
            if change.get(field) is not None and (held is None or rank(change) > rank(held)):
                self.corrected[field] = change

    def holds(self, field: str) -> Any:
        """What the corrections come to for this field, None where none spoke of it."""
        change = self.corrected.get(field)
        return None if change is None else change[field]

    def add(self, said: Row, kind: str, n: int, untimed: bool) -> None:
        """A count or scrap of this sitting, or (n < 0) one taken back."""
        total = self.sums.setdefault(said, [0, 0])
        total[1 if kind == "scrap" else 0] += n
        if kind == "count":
            self.items += n
            self.untimed += n if untimed else 0

    def place(self, said: Row) -> Row | None:
        """Where a count said for this row counts; None: nowhere."""
        piece, step, panel = said
        moved = self.holds("to_piece")
        if self.holds("uncounted"):
            return None
        if moved is not None and moved != piece:
            piece, panel = moved, ""
        return (piece, self.holds("to_step") or step, panel)

    def seen_count(self, at: int) -> None:
        self.last_count = at if self.last_count is None else max(self.last_count, at)

    def began(self) -> bool:
        """Without a start or go there is no stretch to speak of: nothing to show yet. Nor when it
        is deleted.
        """
        return not self.holds("deleted") and any(c["event"] in ("start", "go") for c in self.clock)

    def stretches(self) -> tuple[list[tuple[int, int]], bool]:
        """[(from, to)] in ms, and whether the clock still runs."""
        out: list[tuple[int, int]] = []
        since: int | None = None
        for change in sorted(self.clock, key=_moment):
            t = _moment(change)[0]
            runs = change["event"] in ("start", "go")
            if runs and since is None:
                since = t
            elif not runs and since is not None:
                out.append((since, t))
                since = None
        if since is not None:
            out.append((since, max(since, self.last_count or since)))
        return out, since is not None

    def minutes(self) -> float:
        by_hand = [c for c in self.trims if c.get("minutes") is not None]
        if by_hand:
            return float(sorted(by_hand, key=_written)[-1]["minutes"])
        stretches, _ = self.stretches()
        kept = 0.0
        for trim in sorted(self.trims, key=_written, reverse=True):
            inside, stretches = cut(stretches, trim["from_ms"], trim["to_ms"])
            kept += min(float(inside), trim["keep_min"] * MINUTE)
        return (kept + sum([b - a for a, b in stretches])) / MINUTE

    def result(self) -> dict[str, Any]:
        """`open` until stopped; `running` while the clock runs. `start_min` is the minute of the
        local day.

        `items` is all that was counted, `untimed` how many of them the pace leaves out.
        """
        ordered = sorted(self.clock, key=_moment)
        first = next(c for kind in ("start", "go") for c in ordered if c["event"] == kind)
        begun = self.corrected.get("from_ms", first)
        day, minute = local_start(_moment(begun)[0], begun["tz"])
        return {
            "sitting": self.name,
            "piece": self.holds("to_piece") or first["piece"],
            "step": self.holds("to_step") or first["step"],
            "date": day,
            "start_min": minute,
            "start_ms": _moment(begun)[0],
            "minutes": self.minutes(),
            "items": self.items,
            "untimed": self.untimed,
            "open": ordered[-1]["event"] != "stop",
            "running": self.stretches()[1],
        }
