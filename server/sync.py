"""POST /api/sync: a device brings its changes and takes what the others said.

1. The batch is read and checked as a whole; a request that cannot be read changes nothing (400).
   A page that belongs to another workshop is refused whole (409); one that belongs to none yet
   joins.
2. In one transaction, in order of seq: a change already stored is skipped; the next number is
   stored; one that can never apply is stored as set aside, with its reason, and uses up its
   number; at a gap the taking stops, and `gap` names the number that is wanted.
3. The answer goes out after the commit: `acked`, and the others' changes after the device's cursor.
A device that sees another `log` or a lower `acked` sends again what is missing.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from shared.log.schema import problem

from .errors import Unreadable
from .store import Book, Entry, Row, Store
from .workshop import OtherWorkshop, is_identity

V = 1  # the schema this server speaks
MOST = 500  # changes in one batch, either way
MOST_LETTERS = 512 * 1024  # of the changes in one answer
LAST = 2**53 - 1

Change = dict[str, Any]
# schema number -> what makes a change of that number one of the next
UPGRADES: dict[int, Callable[[Change], Change]] = {}


@dataclass(frozen=True)
class Asked:
    """A request in order: `changes` sorted by seq."""

    device: str
    log: str | None
    after: int
    changes: list[Change]
    workshop: str | None = None


def read_request(data: Any) -> Asked:
    """Checks everything that is not one change's own matter; raises Unreadable."""
    if not isinstance(data, dict):
        raise Unreadable(
            "body", 'One JSON object is needed: {"v", "device", "log", "after", "changes"}.'
        )
    _whole(data, "v", 1)
    device = data.get("device")
    if not isinstance(device, str) or not 0 < len(device) <= 200 or not device.isprintable():
        raise Unreadable("device", "The name of the device is needed: 1 to 200 letters.")
    log = data.get("log")
    if log is not None and (not isinstance(log, str) or len(log) > 200):
        raise Unreadable("log", "Give the log's identity as the server told it, or null.")
    workshop = data.get("workshop")
    if workshop is not None and not is_identity(workshop):
        raise Unreadable(
            "workshop", "Give the workshop's identity as the server named it, or null."
        )
    after = _whole(data, "after", 0) if "after" in data else 0
    return Asked(device, log, after, _read_changes(data.get("changes")), workshop)


def _whole(data: Change, name: str, least: int) -> int:
    value = data.get(name)
    if type(value) is not int or not least <= value <= LAST:
        raise Unreadable(name, f"A whole number from {least} up is needed.")
    return value


def _read_changes(changes: Any) -> list[Change]:
    if not isinstance(changes, list):
        raise Unreadable("changes", "A list of changes is needed; it may be empty.")
    if len(changes) > MOST:
        raise Unreadable("changes", f"{len(changes)} changes came at once; send {MOST} at most.")
    for i, change in enumerate(changes):
        seq = change.get("seq") if isinstance(change, dict) else None
        if type(seq) is not int or not 1 <= seq <= LAST:
            raise Unreadable(
                f"changes[{i}].seq", "Each change is an object with its number, from 1 up."
            )
    return sorted(changes, key=lambda change: int(change["seq"]))


def written(change: Change) -> str:
    """One text for one change, whatever the order of its names, so that equal changes compare
    equal.
    """
    return json.dumps(change, sort_keys=True, separators=(",", ":"))


def upgraded(change: Change, upgrades: dict[int, Callable[[Change], Change]] = UPGRADES) -> Change:
    """A change of an older schema as the newest one says it."""
    while isinstance(change.get("v"), int) and change["v"] in upgrades:
        change = upgrades[change["v"]](change)
    return change


def judge(device: str, change: Change) -> str | None:
    """Why a change can never apply; None when it can."""
    if change.get("device") != device:
        return (
            f"device is not the one that sent it ({device}); a device sends its own changes only."
        )
    return problem(upgraded(change))


def _clash(change: Change, stored: Entry) -> str | None:
    """Two devices with one name (a copied browser profile) would use the same numbers for different
    things.
    """
    if written(change) == stored.body or json.loads(stored.body).get("v") != change.get("v"):
        return None
    return (
        f"number {stored.seq} of this device is already another change. Two devices share one name:"
        " this one is kept aside, count it again if it is missing."
    )


@dataclass
class Taken:
    """What became of one batch."""

    acked: int
    fresh: list[Entry]
    clashes: list[Entry]
    refused: list[dict[str, Any]]
    gap: dict[str, Any] | None = None

    def refuse(self, seq: int, why: str) -> None:
        self.refused.append({"seq": seq, "why": why})


def sort_out(asked: Asked, acked: int, known: dict[int, Entry]) -> Taken:
    """Step 2; pure, the file is not touched."""
    taken = Taken(acked, [], [], [])
    known = dict(known)
    for change in asked.changes:
        seq = change["seq"]
        if seq > taken.acked + 1:
            taken.gap = _gap(taken.acked + 1, seq)
            break
        if seq <= taken.acked:
            _meet_again(taken, change, known[seq])
            continue
        entry = Entry(seq, written(change), judge(asked.device, change))
        taken.fresh.append(entry)
        known[seq] = entry
        taken.acked = seq
        if entry.why:
            taken.refuse(seq, entry.why)
    return taken


def _meet_again(taken: Taken, change: Change, stored: Entry) -> None:
    """A replay is answered as the first time was."""
    why = _clash(change, stored)
    if why:
        taken.clashes.append(Entry(stored.seq, written(change), why))
    if why or stored.why:
        taken.refuse(stored.seq, why or str(stored.why))


def _gap(wanted: int, got: int) -> dict[str, Any]:
    why = (
        f"Number {wanted} of this device is wanted next, and {got} came. Send again from {wanted}."
    )
    return {"wanted": wanted, "got": got, "why": why}


async def check_workshop(book: Book, workshop: str | None, log: str | None) -> str:
    """The identity of the workshop kept here; raises OtherWorkshop where what comes belongs to
    another.

    What names no workshop is older than the name, or was never sent anywhere: then the log it last
    met decides.
    """
    ours = await book.workshop()
    if workshop != ours and (workshop or (log and log not in await book.logs())):
        raise OtherWorkshop(workshop, ours)
    return ours


async def take(book: Book, asked: Asked, now_ms: int) -> Taken:
    """Store one batch of one device inside the caller's transaction."""
    acked = await book.acked(asked.device)
    known = await book.known(asked.device, [change["seq"] for change in asked.changes])
    taken = sort_out(asked, acked, known)
    await book.add(asked.device, taken.fresh, now_ms)
    for entry in taken.clashes:
        await book.clash(asked.device, entry, now_ms)
    return taken


def _fitting(rows: list[Row]) -> list[Row]:
    """As many as one answer may carry; at least one, so that every device gets on."""
    letters = 0
    for n, row in enumerate(rows[:MOST]):
        letters += len(row.body)
        if n and letters > MOST_LETTERS:
            return rows[:n]
    return rows[:MOST]


async def _give(book: Book, asked: Asked, log: str) -> dict[str, Any]:
    """The others' changes past the cursor. A cursor of another log, or past our end, counts from
    the start.
    """
    last = await book.last_place()
    after = asked.after if asked.log in (None, log) and asked.after <= last else 0
    found = await book.others(asked.device, after, MOST + 1)
    given = _fitting(found)
    more = len(given) < len(found)
    changes = [upgraded(json.loads(row.body)) for row in given]
    return {"changes": changes, "upto": given[-1].place if more else last, "more": more}


async def exchange(store: Store, asked: Asked, now_ms: int) -> dict[str, Any]:
    """The whole of one request, stored before it is answered."""

    async def work(book: Book) -> dict[str, Any]:
        workshop = await check_workshop(book, asked.workshop, asked.log)
        log = await book.log()
        taken = await take(book, asked, now_ms)
        answer = {
            "v": V,
            "workshop": workshop,
            "log": log,
            "acked": taken.acked,
            "refused": taken.refused,
        }
        if taken.gap:
            answer["gap"] = taken.gap
        return answer | await _give(book, asked, log)

    return await store.write(work)


async def readmit(store: Store, now_ms: int) -> int:
    """At start: what a newer device said and an older server set aside may be good by now."""

    async def work(book: Book) -> int:
        good = [
            row for row in await book.put_aside() if judge(row.device, json.loads(row.body)) is None
        ]
        for row in good:
            await book.readmit(row, now_ms)
        return len(good)

    return await store.write(work)
