"""POST /api/sync: a device sends its changes and gets the other devices'.

1. The request is read and checked as a whole; one that cannot be read changes nothing (400). A page
   that belongs to another workshop is refused (409); one that belongs to none yet joins this one.
2. In one transaction, in order of seq: a change already stored is skipped; the next number is
   stored; one that can never apply is stored as set aside, with its reason, and uses up its number.
   At a gap storing stops, and `gap` names the number that is wanted.
3. The answer goes out after the commit: `acked`, and the others' changes after the device's cursor.

A device that sees another `log`, or a lower `acked` than it knew, sends again what is missing.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from shared.log.schema import problem

from .errors import Unreadable
from .sentences import sentence
from .store import Entry, LogTransaction, Row, Store
from .workshop import OtherWorkshop, is_identity

V = 1  # the schema number of changes that this server writes
MOST = 500  # changes in one batch, either way
MOST_LETTERS = 512 * 1024  # of all changes in one answer
LAST = 2**53 - 1  # JavaScript's Number.MAX_SAFE_INTEGER

Change = dict[str, Any]
# schema number -> function from a change of that number to one of the next
UPGRADES: dict[int, Callable[[Change], Change]] = {}


@dataclass(frozen=True)
class SyncRequest:
    """A checked request of one device: `changes` in order of seq, `after` its cursor (a place)."""

    device: str
    log: str | None
    after: int
    changes: list[Change]
    workshop: str | None = None


def read_request(data: Any) -> SyncRequest:
    """The request in a JSON value; raises Unreadable naming the field.

    The changes themselves are checked one by one when they are stored.
    """
    if not isinstance(data, dict):
        raise Unreadable("body", sentence("sync.no_object"))
    _whole(data, "v", 1)
    device = data.get("device")
    if not isinstance(device, str) or not 0 < len(device) <= 200 or not device.isprintable():
        raise Unreadable("device", sentence("sync.device"))
    log = data.get("log")
    if log is not None and (not isinstance(log, str) or len(log) > 200):
        raise Unreadable("log", sentence("sync.log"))
    workshop = data.get("workshop")
    if workshop is not None and not is_identity(workshop):
        raise Unreadable("workshop", sentence("sync.workshop"))
    after = _whole(data, "after", 0) if "after" in data else 0
    return SyncRequest(device, log, after, _read_changes(data.get("changes")), workshop)


def _whole(data: Change, name: str, least: int) -> int:
    value = data.get(name)
    if type(value) is not int or not least <= value <= LAST:
        raise Unreadable(name, sentence("sync.whole_number", least=least))
    return value


def _read_changes(changes: Any) -> list[Change]:
    if not isinstance(changes, list):
        raise Unreadable("changes", sentence("sync.no_list"))
    if len(changes) > MOST:
        raise Unreadable("changes", sentence("sync.too_many", n=len(changes), most=MOST))
    for i, change in enumerate(changes):
        seq = change.get("seq") if isinstance(change, dict) else None
        if type(seq) is not int or not 1 <= seq <= LAST:
            raise Unreadable(f"changes[{i}].seq", sentence("sync.seq"))
    return sorted(changes, key=lambda change: int(change["seq"]))


def canonical_text(change: Change) -> str:
    """The stored text of a change: names sorted, no spaces, so that equal changes are equal texts."""
    return json.dumps(change, sort_keys=True, separators=(",", ":"))


def upgrade(change: Change, upgrades: dict[int, Callable[[Change], Change]] = UPGRADES) -> Change:
    """A change of an older schema in the form of the newest; others as they are."""
    while isinstance(change.get("v"), int) and change["v"] in upgrades:
        change = upgrades[change["v"]](change)
    return change


def problem_of(device: str, change: Change) -> str | None:
    """Why a change can never apply, as a sentence; None when it can."""
    if change.get("device") != device:
        return sentence("sync.not_its_own", device=device)
    return problem(upgrade(change))


def _clash(change: Change, stored: Entry) -> str | None:
    """Why a change under a stored number is refused; None where it is the same change again.

    Two devices with one name (a copied browser profile) use the same numbers for different changes.
    """
    if canonical_text(change) == stored.body or json.loads(stored.body).get("v") != change.get("v"):
        return None
    return sentence("sync.clash", seq=stored.seq)


@dataclass
class BatchResult:
    """What became of one batch: `acked` the highest seq stored, without a gap below it.

    `fresh` entries are to be stored, `clashes` came under a number already in use; `refused` is
    `[{seq, why}]`, `gap` `{wanted, got, why}`.
    """

    acked: int
    fresh: list[Entry]
    clashes: list[Entry]
    refused: list[dict[str, Any]]
    gap: dict[str, Any] | None = None

    def refuse(self, seq: int, why: str) -> None:
        """Report a change that was set aside."""
        self.refused.append({"seq": seq, "why": why})


def sort_batch(request: SyncRequest, acked: int, known: dict[int, Entry]) -> BatchResult:
    """Step 2 of the protocol, worked out without touching the file.

    `acked`: the highest seq stored before; `known`: what is stored under the batch's numbers.
    """
    result = BatchResult(acked, [], [], [])
    known = dict(known)
    for change in request.changes:
        seq = change["seq"]
        if seq > result.acked + 1:
            result.gap = _gap(result.acked + 1, seq)
            break
        if seq <= result.acked:
            _check_known(result, change, known[seq])
            continue
        entry = Entry(seq, canonical_text(change), problem_of(request.device, change))
        result.fresh.append(entry)
        known[seq] = entry
        result.acked = seq
        if entry.why:
            result.refuse(seq, entry.why)
    return result


def _check_known(result: BatchResult, change: Change, stored: Entry) -> None:
    """A change sent again gets the same answer as the first time."""
    why = _clash(change, stored)
    if why:
        result.clashes.append(Entry(stored.seq, canonical_text(change), why))
    if why or stored.why:
        result.refuse(stored.seq, why or str(stored.why))


def _gap(wanted: int, got: int) -> dict[str, Any]:
    why = sentence("sync.gap", wanted=wanted, got=got)
    return {"wanted": wanted, "got": got, "why": why}


async def check_workshop(tx: LogTransaction, workshop: str | None, log: str | None) -> str:
    """This server's workshop identity; raises OtherWorkshop if the request belongs to another.

    A request that names no workshop comes from a page from before workshop identities, or one that
    has never synced: then the log that it last met decides.
    """
    ours = await tx.workshop()
    if workshop != ours and (workshop or (log and log not in await tx.logs())):
        raise OtherWorkshop(workshop, ours)
    return ours


async def store_batch(tx: LogTransaction, request: SyncRequest, now_ms: int) -> BatchResult:
    """Store one batch of one device inside the caller's transaction."""
    acked = await tx.acked(request.device)
    known = await tx.known(request.device, [change["seq"] for change in request.changes])
    result = sort_batch(request, acked, known)
    await tx.add(request.device, result.fresh, now_ms)
    for entry in result.clashes:
        await tx.add_clash(request.device, entry, now_ms)
    return result


def _fit_answer(rows: list[Row]) -> list[Row]:
    """As many as one answer may have; at least one, so that every device gets further."""
    letters = 0
    for n, row in enumerate(rows[:MOST]):
        letters += len(row.body)
        if n and letters > MOST_LETTERS:
            return rows[:n]
    return rows[:MOST]


async def _changes_of_others(tx: LogTransaction, request: SyncRequest, log: str) -> dict[str, Any]:
    """The others' changes after the cursor; from the start for a cursor of another log."""
    last = await tx.last_place()
    after = request.after if request.log in (None, log) and request.after <= last else 0
    found = await tx.changes_of_others(request.device, after, MOST + 1)
    given = _fit_answer(found)
    more = len(given) < len(found)
    changes = [upgrade(json.loads(row.body)) for row in given]
    return {"changes": changes, "upto": given[-1].place if more else last, "more": more}


async def exchange(store: Store, request: SyncRequest, now_ms: int) -> dict[str, Any]:
    """Answer one request: its changes are committed before the answer is given.

    Raises OtherWorkshop, and StoreError where the file fails; then nothing is stored.
    """

    async def work(tx: LogTransaction) -> dict[str, Any]:
        workshop = await check_workshop(tx, request.workshop, request.log)
        log = await tx.log()
        result = await store_batch(tx, request, now_ms)
        answer = {
            "v": V,
            "workshop": workshop,
            "log": log,
            "acked": result.acked,
            "refused": result.refused,
        }
        if result.gap:
            answer["gap"] = result.gap
        return answer | await _changes_of_others(tx, request, log)

    return await store.write(work)


async def readmit(store: Store, now_ms: int) -> int:
    """Check set-aside changes again; returns how many are good now.

    Run at each start: an older server may have set aside what a newer device wrote.
    """

    async def work(tx: LogTransaction) -> int:
        good = [
            row
            for row in await tx.set_aside()
            if problem_of(row.device, json.loads(row.body)) is None
        ]
        for row in good:
            await tx.readmit(row, now_ms)
        return len(good)

    return await store.write(work)
