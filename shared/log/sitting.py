"""One sitting at the bench: its minutes from the clock's events, in any order of arrival.

In order of time, a `start` or `go` begins a stretch and a `pause` or `stop` ends it; a stretch that
still runs ends at the sitting's last count, or where it began. With stretches S and trims T, latest
written first, each trim taking its part out of what is left of S:

    minutes = sum(|s| of what is left of S) + sum(min(|S within t|, t.keep_min) for t in T)

A trim with `minutes` sets the whole sitting by hand; the latest written of those holds.

A `correct` puts right afterwards where the sitting began (`from_ms`), its piece and step
(`to_piece`, `to_step`: all its counts go along), that it never was (`deleted`), or that its counts
count nothing (`uncounted`). Of each of these fields the last writer wins, see `stamp`.
"""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from .schema import CORRECTED
from .stamp import later

if TYPE_CHECKING:
    from typing import Any

    Row = tuple[str, str, str]  # piece, step, panel or ""

MINUTE_MS = 60000
DAY_MS = 86400000


def _moment(change: dict[str, Any]) -> tuple[int, str, int]:
    """When it took effect: a time given beats the time it was written."""
    given = change.get("from_ms")
    return (change["at"] if given is None else given, change["device"], change["seq"])


def _written(change: dict[str, Any]) -> tuple[int, str, int]:
    return (change["at"], change["device"], change["seq"])


def local_start(ms: int, tz: int) -> tuple[str, int]:
    """(ISO calendar day, minute of that day) of a time on the maker's own clock.

    `ms`: milliseconds UTC since 1970; `tz`: minutes east of UTC.
    """
    local = ms + tz * MINUTE_MS
    day = date(1970, 1, 1) + timedelta(days=local // DAY_MS)
    return day.isoformat(), local % DAY_MS // MINUTE_MS


def cut(stretches: list[tuple[int, int]], a: int, b: int) -> tuple[int, list[tuple[int, int]]]:
    """(how much of the stretches lies in a..b, what is left of them outside), all in ms."""
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
    """Collects one sitting's events and counts; `result` sums them up."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.items = 0
        # of `items`, those whose tap only started the clock: the time for them is not in it
        self.untimed = 0
        self.last_count_ms: int | None = None
        self.clock: list[dict[str, Any]] = []
        self.trims: list[dict[str, Any]] = []
        self.sums: dict[Row, list[int]] = {}  # its counts as first counted -> [done, spoiled]
        self.corrections: dict[str, dict[str, Any]] = {}  # field -> the change that won

    def add_event(self, change: dict[str, Any]) -> None:
        """Add a checked change of kind `sitting`."""
        if change["event"] == "correct":
            self._correct(change)
        else:
            (self.trims if change["event"] == "trim" else self.clock).append(change)

    def _correct(self, change: dict[str, Any]) -> None:
        for field in CORRECTED:
            if change.get(field) is not None:
                self.corrections[field] = later(self.corrections.get(field, change), change)

    def corrected(self, field: str) -> Any:
        """The corrected value of a field of `CORRECTED`, None where it was never corrected."""
        change = self.corrections.get(field)
        return None if change is None else change[field]

    def add_count(self, counted_as: Row, kind: str, n: int, untimed: bool) -> None:
        """Add a count or scrap of this sitting, or take one back (n < 0)."""
        total = self.sums.setdefault(counted_as, [0, 0])
        total[1 if kind == "scrap" else 0] += n
        if kind == "count":
            self.items += n
            self.untimed += n if untimed else 0

    def corrected_row(self, counted_as: Row) -> Row | None:
        """The row on which a count of this sitting counts after corrections; None for nowhere."""
        piece, step, panel = counted_as
        moved = self.corrected("to_piece")
        if self.corrected("uncounted"):
            return None
        if moved is not None and moved != piece:
            piece, panel = moved, ""
        return (piece, self.corrected("to_step") or step, panel)

    def add_count_time(self, at_ms: int) -> None:
        """A count was made at this time: a running clock runs at least so long."""
        last = self.last_count_ms
        self.last_count_ms = at_ms if last is None else max(last, at_ms)

    def has_started(self) -> bool:
        """Whether there is anything to show: not deleted, and its start or a go has arrived."""
        started = any(c["event"] in ("start", "go") for c in self.clock)
        return not self.corrected("deleted") and started

    def stretches(self) -> tuple[list[tuple[int, int]], bool]:
        """([(from, to)] in ms, whether the clock still runs)."""
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
            out.append((since, max(since, self.last_count_ms or since)))
        return out, since is not None

    def minutes(self) -> float:
        """Bench time in minutes after trims."""
        by_hand = [c for c in self.trims if c.get("minutes") is not None]
        if by_hand:
            return float(sorted(by_hand, key=_written)[-1]["minutes"])
        stretches, _ = self.stretches()
        kept = 0.0
        for trim in sorted(self.trims, key=_written, reverse=True):
            inside, stretches = cut(stretches, trim["from_ms"], trim["to_ms"])
            kept += min(float(inside), trim["keep_min"] * MINUTE_MS)
        return (kept + sum([b - a for a, b in stretches])) / MINUTE_MS

    def result(self) -> dict[str, Any]:
        """One row of `fold`'s `sittings`; ask only where `has_started`.

        `open` until stopped; `running` while the clock runs; `start_min` is the minute of the
        local day. `items` is all that was counted, `untimed` how many of them the pace leaves out.
        """
        ordered = sorted(self.clock, key=_moment)
        first = next(c for kind in ("start", "go") for c in ordered if c["event"] == kind)
        begin = self.corrections.get("from_ms", first)
        day, minute = local_start(_moment(begin)[0], begin["tz"])
        return {
            "sitting": self.name,
            "piece": self.corrected("to_piece") or first["piece"],
            "step": self.corrected("to_step") or first["step"],
            "date": day,
            "start_min": minute,
            "start_ms": _moment(begin)[0],
            "minutes": self.minutes(),
            "items": self.items,
            "untimed": self.untimed,
            "open": ordered[-1]["event"] != "stop",
            "running": self.stretches()[1],
        }
