"""The log folded: what was counted, spoiled, timed and written down, from changes in any order.

A change is known by (device, seq); the same one met again counts once, and no order of
arrival alters the result. Times are milliseconds UTC, `tz` minutes east of UTC. A change
that cannot be read is set aside with its reason and blocks nothing. `Log` takes a long
journal in portions: `add` as often as wanted, `result` at the end.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ..base.fields import Fields
from .schema import is_whole, problem
from .sitting import Sitting, rank

if TYPE_CHECKING:
    from typing import Any

    from .sitting import Row

    Key = tuple[str, int]

MOST_CHANGES = 5000  # one question; longer journals go through `Log` in portions


def key_of(change: dict[str, Any]) -> Key:
    return (change["device"], change["seq"])


class Log:
    """The fold under way: totals, sittings, things, holds and what was set aside."""

    def __init__(self) -> None:
        self.seen: dict[Key, bool] = {}
        self.counted: dict[Key, dict[str, Any]] = {}  # counts and scraps that can be undone
        self.undone: dict[Key, bool] = {}
        self.totals: dict[
            tuple[str, str, str], list[int]
        ] = {}  # (piece, step, panel or "") -> done, spoiled, of done: by stocktakes
        self.sittings: dict[str, Sitting] = {}
        self.things: dict[
            tuple[str, str], dict[str, list[dict[str, Any]]]
        ] = {}  # field -> its changes
        self.holds: dict[Key, dict[str, Any]] = {}
        self.told: dict[Key, list[Key]] = {}  # hold -> the counts that answered it
        self.refused: dict[tuple[str, int, str], bool] = {}

    def add(self, changes: list[Any]) -> None:
        """Any order, any repetition."""
        for change in changes:
            why = problem(change)
            if why:
                self._refuse(change, why)
                continue
            key = key_of(change)
            if key not in self.seen:
                self.seen[key] = True
                _TAKE[change["kind"]](self, key, change)

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
            self._sitting(change["sitting"]).seen_count(change["at"])
        hold = _answered(change)
        if hold:
            was = self._teller(hold)
            self.told.setdefault(hold, []).append(key)
            self._pass_on(was, self._teller(hold))
        elif key not in self.undone:
            self._sum(change, 1)

    def _undo(self, target: Key) -> None:
        """The target counts nothing from now on, once, whether it has arrived or not."""
        if target in self.undone:
            return
        hold = _answered(self.counted[target]) if target in self.counted else None
        was = self._teller(hold) if hold else None
        self.undone[target] = True
        if hold:
            self._pass_on(was, self._teller(hold))
        elif target in self.counted:
            self._sum(self.counted[target], -1)

    def _teller(self, hold: Key) -> Key | None:
        """Of the counts that answer a hold one counts: the first by (device, seq) that is not
        undone.
        """
        living = [key for key in self.told.get(hold, []) if key not in self.undone]
        return min(living) if living else None

    def _pass_on(self, was: Key | None, now: Key | None) -> None:
        if was == now:
            return
        if was:
            self._sum(self.counted[was], -1)
        if now:
            self._sum(self.counted[now], 1)

    def _sum(self, change: dict[str, Any], sign: int) -> None:
        said: Row = (change["piece"], change["step"], change.get("panel") or "")
        row: Row | None = said
        kind, n = change["kind"], sign * change["n"]
        if change.get("sitting"):
            sitting = self._sitting(change["sitting"])
            sitting.add(said, kind, n, bool(change.get("opens")))
            row = sitting.place(said)
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
        """A correction takes the sitting's counts along, those that are here and those still to
        come.
        """
        sitting = self._sitting(change["sitting"])
        said = sorted(sitting.sums)
        was = [sitting.place(row) for row in said]
        sitting.event(change)
        for i, row in enumerate(said):
            done, spoiled = sitting.sums[row]
            self._add(was[i], [-done, -spoiled, 0])
            self._add(sitting.place(row), [done, spoiled, 0])

    def _set(self, key: Key, change: dict[str, Any]) -> None:
        fields = self.things.setdefault((change["thing"], change["id"]), {})
        fields.setdefault(change["field"], []).append(change)

    def _hold(self, key: Key, change: dict[str, Any]) -> None:
        self.holds[key] = change

    def result(self) -> dict[str, Any]:
        """`totals`, `sittings`, `things`, `holds`, `refused`, each sorted; rows that came to
        nothing are left out.
        """
        ended = [self.sittings[name] for name in sorted(self.sittings)]
        return {
            "totals": [
                _total(row, self.totals[row])
                for row in sorted(self.totals)
                if self.totals[row] != [0, 0, 0]
            ],
            "sittings": [s.result() for s in ended if s.began()],
            "things": [_thing(name, self.things[name]) for name in sorted(self.things)],
            "holds": [_held(self.holds[key]) for key in sorted(self.holds) if key not in self.told],
            "refused": [{"device": d, "seq": s, "why": why} for d, s, why in sorted(self.refused)],
        }


_TAKE = {
    "count": Log._count,
    "scrap": Log._count,
    "sitting": Log._event,
    "set": Log._set,
    "hold": Log._hold,
}


def _answered(change: dict[str, Any]) -> Key | None:
    """The hold that a count answers."""
    hold = change.get("holds") if change["kind"] == "count" else None
    return key_of(hold) if hold else None


def _total(row: tuple[str, str, str], total: list[int]) -> dict[str, Any]:
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
        ranked = sorted(fields[field], key=rank)
        won[field] = ranked[-1].get("value")
        lost.extend([_loser(c) for c in ranked[:-1]])
    return {"thing": name[0], "id": name[1], "fields": won, "lost": lost}


def _loser(change: dict[str, Any]) -> dict[str, Any]:
    out = {name: change.get(name) for name in ("field", "value", "device", "seq")}
    out["stamp"] = list(rank(change)[:2])
    return out


def _held(change: dict[str, Any]) -> dict[str, Any]:
    return {name: change.get(name) for name in ("device", "seq", "piece", "step", "n", "why", "at")}


def fold(changes: list[Any]) -> dict[str, Any]:
    """One portion folded whole; see `Log.result`."""
    log = Log()
    log.add(changes)
    return log.result()


def answer(q: Fields) -> dict[str, Any]:
    """Door question `fold`: up to 5,000 changes."""
    return fold(q.entries("changes", most=MOST_CHANGES))
