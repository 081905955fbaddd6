"""The fold of the log: from changes in any order to totals, sittings and written-down values.

The changes are a set: (device, seq) is a change's key, the same change met again counts once, and
the result is the same for every order of arrival (a join semilattice, as in the conflict-free
replicated data types of Shapiro and others, 2011):

    total of a row = sum of n over its counts that no undo names

A hold (a tap that was doubted) counts through the least of the counts that answer it. A value that
was written twice is the last writer's, see `stamp`. Times are milliseconds UTC, `tz` minutes east
of UTC. A change of the wrong shape is set aside with its reason and blocks nothing. A long log
goes through `Log` in portions: `add` as often as needed, `result` at the end.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import Fields
from .schema import is_whole, problem
from .sitting import Sitting
from .stamp import later, stamp_key

if TYPE_CHECKING:
    from typing import Any

    from .sitting import Row

    Key = tuple[str, int]

MOST_CHANGES = 5000  # one question; longer journals go through `Log` in portions


def key_of(change: dict[str, Any]) -> Key:
    """(device, seq), by which a change is known; also of an undo's or a hold's target."""
    return (change["device"], change["seq"])


class Log:
    """A fold in progress: totals, sittings, written-down values, holds and what was set aside."""

    def __init__(self) -> None:
        self.seen: dict[Key, bool] = {}
        self.counted: dict[Key, dict[str, Any]] = {}  # counts and scraps that can be undone
        self.undone: dict[Key, bool] = {}
        # (piece, step, panel or "") -> done, spoiled, of done: by stocktakes
        self.totals: dict[Row, list[int]] = {}
        self.sittings: dict[str, Sitting] = {}
        # (kind of thing, id) -> field -> its changes
        self.things: dict[tuple[str, str], dict[str, list[dict[str, Any]]]] = {}
        self.holds: dict[Key, dict[str, Any]] = {}
        self.answers: dict[Key, list[Key]] = {}  # hold -> the counts that answer it
        self.refused: dict[tuple[str, int, str], bool] = {}

    def add(self, changes: list[Any]) -> None:
        """Add changes as they came, in any order and with any repetition; never raises."""
        for change in changes:
            why = problem(change)
            if why:
                self._refuse(change, why)
                continue
            key = key_of(change)
            if key not in self.seen:
                self.seen[key] = True
                _APPLY[change["kind"]](self, key, change)

    def _refuse(self, change: Any, why: str) -> None:
        data: dict[str, Any] = change if isinstance(change, dict) else {}
        device: Any = data.get("device")
        seq: Any = data.get("seq")
        self.refused[
            (device if isinstance(device, str) else "", seq if is_whole(seq) else 0, why)
        ] = True

    def _count(self, key: Key, change: dict[str, Any]) -> None:
        if change.get("undoes"):
            self._undo(key_of(change["undoes"]))
            return
        self.counted[key] = change
        if change.get("sitting"):
            self._sitting(change["sitting"]).add_count_time(change["at"])
        hold = _answered_hold(change)
        if hold:
            before = self._valid_answer(hold)
            self.answers.setdefault(hold, []).append(key)
            self._replace(before, self._valid_answer(hold))
        elif key not in self.undone:
            self._sum(change, 1)

    def _undo(self, target: Key) -> None:
        """The target counts nothing from now on, once, whether it has arrived or not."""
        if target in self.undone:
            return
        hold = _answered_hold(self.counted[target]) if target in self.counted else None
        before = self._valid_answer(hold) if hold else None
        self.undone[target] = True
        if hold:
            self._replace(before, self._valid_answer(hold))
        elif target in self.counted:
            self._sum(self.counted[target], -1)

    def _valid_answer(self, hold: Key) -> Key | None:
        """The one count that counts of those that answer a hold: the least that is not undone."""
        valid = [key for key in self.answers.get(hold, []) if key not in self.undone]
        return min(valid) if valid else None

    def _replace(self, before: Key | None, after: Key | None) -> None:
        if before == after:
            return
        if before:
            self._sum(self.counted[before], -1)
        if after:
            self._sum(self.counted[after], 1)

    def _sum(self, change: dict[str, Any], sign: int) -> None:
        counted_as: Row = (change["piece"], change["step"], change.get("panel") or "")
        row: Row | None = counted_as
        kind, n = change["kind"], sign * change["n"]
        if change.get("sitting"):
            sitting = self._sitting(change["sitting"])
            sitting.add_count(counted_as, kind, n, bool(change.get("opens")))
            row = sitting.corrected_row(counted_as)
        found = n if kind == "count" and change.get("how") == "stocktake" else 0
        self._add(row, [0, n, 0] if kind == "scrap" else [n, 0, found])

    def _add(self, row: Row | None, by: list[int]) -> None:
        if row is not None:
            total = self.totals.setdefault(row, [0, 0, 0])
            for i in range(3):
                total[i] += by[i]

    def _sitting(self, name: str) -> Sitting:
        if name not in self.sittings:
            self.sittings[name] = Sitting(name)
        return self.sittings[name]

    def _event(self, key: Key, change: dict[str, Any]) -> None:
        """A correction moves the sitting's counts: those that are here, and those yet to come."""
        sitting = self._sitting(change["sitting"])
        rows = sorted(sitting.sums)
        before = [sitting.corrected_row(row) for row in rows]
        sitting.add_event(change)
        for i, row in enumerate(rows):
            done, spoiled = sitting.sums[row]
            self._add(before[i], [-done, -spoiled, 0])
            self._add(sitting.corrected_row(row), [done, spoiled, 0])

    def _set(self, key: Key, change: dict[str, Any]) -> None:
        fields = self.things.setdefault((change["thing"], change["id"]), {})
        fields.setdefault(change["field"], []).append(change)

    def _hold(self, key: Key, change: dict[str, Any]) -> None:
        self.holds[key] = change

    def result(self) -> dict[str, Any]:
        """`{totals, sittings, things, holds, refused}`, each a sorted list.

        Rows whose totals are all 0, sittings that have not started and answered holds are left
        out.
        """
        sittings = [self.sittings[name] for name in sorted(self.sittings)]
        return {
            "totals": [
                _total(row, self.totals[row])
                for row in sorted(self.totals)
                if self.totals[row] != [0, 0, 0]
            ],
            "sittings": [s.result() for s in sittings if s.has_started()],
            "things": [_thing(name, self.things[name]) for name in sorted(self.things)],
            "holds": [
                _hold_row(self.holds[key]) for key in sorted(self.holds) if key not in self.answers
            ],
            "refused": [{"device": d, "seq": s, "why": why} for d, s, why in sorted(self.refused)],
        }


_APPLY = {
    "count": Log._count,
    "scrap": Log._count,
    "sitting": Log._event,
    "set": Log._set,
    "hold": Log._hold,
}


def _answered_hold(change: dict[str, Any]) -> Key | None:
    """The hold that a count answers."""
    hold = change.get("holds") if change["kind"] == "count" else None
    return key_of(hold) if hold else None


def _total(row: Row, total: list[int]) -> dict[str, Any]:
    piece, step, panel = row
    out: dict[str, Any] = {"piece": piece, "step": step, "done": total[0], "spoiled": total[1]}
    if total[2]:
        out["stocktake"] = total[2]
    if panel:
        out["panel"] = panel
    return out


def _thing(name: tuple[str, str], fields: dict[str, list[dict[str, Any]]]) -> dict[str, Any]:
    won: dict[str, Any] = {}
    lost: list[dict[str, Any]] = []
    for field in sorted(fields):
        winner = fields[field][0]
        for change in fields[field]:
            winner = later(winner, change)
        won[field] = winner.get("value")
        ordered = sorted(fields[field], key=stamp_key)
        lost.extend([_lost_row(c) for c in ordered if c is not winner])
    return {"thing": name[0], "id": name[1], "fields": won, "lost": lost}


def _lost_row(change: dict[str, Any]) -> dict[str, Any]:
    out = {name: change.get(name) for name in ("field", "value", "device", "seq")}
    out["stamp"] = list(stamp_key(change)[:2])
    return out


def _hold_row(change: dict[str, Any]) -> dict[str, Any]:
    return {name: change.get(name) for name in ("device", "seq", "piece", "step", "n", "why", "at")}


def fold(changes: list[Any]) -> dict[str, Any]:
    """The fold of all these changes at once; see `Log.result`."""
    log = Log()
    log.add(changes)
    return log.result()


def answer(q: Fields) -> dict[str, Any]:
    """Answer the question `fold`: `{changes: [..]}`, 5,000 at most; see `Log.result`.

    Raises BadField where `changes` is no list or too long; a bad change is in `refused`.
    """
    return fold(q.entries("changes", most=MOST_CHANGES))
