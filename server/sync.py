"""POST /api/sync: a device sends its changes and gets the other devices'.

1. The request is read and checked as a whole; one that cannot be read changes nothing (400). A page
   that belongs to another workshop is refused (409); one that belongs to none yet joins this one.
2. In one transaction, in order of seq: a change already stored is skipped; the next number is
   stored; one that can never apply is stored as set aside, with its reason, and uses up its number.
   At a gap storing stops, and `gap` names the number that is wanted.
3. The answer goes out after the commit: `acked`, and the others' changes after the device's cursor;
   where there are `more`, `left` is how many, for a bar that shows how far it is.

A device that sees another `log`, or a lower `acked` than it knew, sends again what is missing.

The cursor comes back with its `mark`, which says what stood at that place: in a file that somebody
put back to an earlier state something else stands there, and the device gets everything again.

A device put back to an earlier copy of itself uses numbers that its later life has used already. A
request that names its own last number (`seq`) gets `parted` then: up to that number both agree. It
goes on under a new name with what lies above, and gets its later life back as another device's.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from shared.log.schema import problem, trimmed

from . import json_text
from .errors import Unreadable
from .plain_counts import is_plain
from .sentences import sentence
from .store import Entry, LogTransaction, Row, Store
from .workshop import OtherWorkshop, is_identity

V = 1  # the schema number of changes that this server writes
MOST = 500  # changes in one batch, either way
MOST_LETTERS = 512 * 1024  # of all changes in one answer
LARGEST = 64 * 1024  # letters of one change; a whole plan's largest field has a tenth of that
PORTION = 1000  # rows read at once while the log is looked through

Change = dict[str, Any]
# schema number -> function from a change of that number to one of the next
UPGRADES: dict[int, Callable[[Change], Change]] = {}


@dataclass(frozen=True)
class SyncRequest:
    """A checked request of one device: `changes` in order of seq, `after` its cursor (a place), `mark`
    what it was given with that, `seq` its own last number (None from pages that cannot part).
    """

    device: str
    log: str | None
    after: int
    changes: list[Change]
    workshop: str | None = None
    seq: int | None = None
    mark: str | None = None


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
    workshop = data.get("workshop")
    if workshop is not None and not is_identity(workshop):
        raise Unreadable("workshop", sentence("sync.workshop"))
    return SyncRequest(
        device,
        _given_text(data, "log"),
        _whole(data, "after", 0) if "after" in data else 0,
        _read_changes(data.get("changes")),
        workshop,
        _whole(data, "seq", 0) if data.get("seq") is not None else None,
        _given_text(data, "mark"),
    )


def _given_text(data: Change, name: str) -> str | None:
    """What this server once gave out, handed back; None where the page has none yet."""
    value = data.get(name)
    if value is not None and (not isinstance(value, str) or len(value) > 200):
        raise Unreadable(name, sentence("sync.given", name=name))
    return value


def _whole(data: Change, name: str, least: int) -> int:
    value = data.get(name)
    if type(value) is not int or not least <= value <= json_text.LARGEST_WHOLE:
        raise Unreadable(name, sentence("sync.whole_number", least=least))
    return value


def _read_changes(changes: Any) -> list[Change]:
    if not isinstance(changes, list):
        raise Unreadable("changes", sentence("sync.no_list"))
    if len(changes) > MOST:
        raise Unreadable("changes", sentence("sync.too_many", n=len(changes), most=MOST))
    for i, change in enumerate(changes):
        seq = change.get("seq") if isinstance(change, dict) else None
        if type(seq) is not int or not 1 <= seq <= json_text.LARGEST_WHOLE:
            raise Unreadable(f"changes[{i}].seq", sentence("sync.seq"))
    return sorted(changes, key=lambda change: int(change["seq"]))


def canonical_text(change: Change) -> str:
    """The stored text of a change: names sorted, no spaces, so that equal changes are equal texts.

    Fields that its kind does not have are left out.
    """
    return json_text.write_sorted(trimmed(change))


def entry_of(device: str, change: Change) -> Entry:
    """A change as it is stored. Of one that is too large only the beginning is, with the reason."""
    if change.get("device") == device and is_plain(change):  # six short texts: never too large
        return Entry(change["seq"], json_text.write_sorted(change), None)
    body = canonical_text(change)
    if len(body) <= LARGEST:
        return Entry(change["seq"], body, problem_of(device, change))
    why = sentence("sync.too_large", n=f"{len(body):,}", most=f"{LARGEST:,}")
    stub = {"seq": change["seq"], "kind": "too large", "begins": body[:200]}
    return Entry(change["seq"], json_text.write_sorted(stub), why)


def upgrade(change: Change, upgrades: dict[int, Callable[[Change], Change]] = UPGRADES) -> Change:
    """A change of an older schema in the form of the newest; others as they are."""
    while isinstance(change.get("v"), int) and change["v"] in upgrades:
        change = upgrades[change["v"]](change)
    return change


def problem_of(device: str, change: Change) -> str | None:
    """Why a change can never apply, as a sentence; None when it can.

    It may quote half of a surrogate pair, which no text of the file can hold: that is written out.
    """
    if change.get("device") != device:
        return sentence("sync.not_its_own", device=device)
    why = problem(upgrade(change))
    return why and why.encode("utf-8", "backslashreplace").decode("utf-8")


def _clash(entry: Entry, change: Change, stored: Entry) -> str | None:
    """Why a change under a stored number is refused; None where it is the same change again.

    Two devices with one name (a copied browser profile) use the same numbers for different changes.
    """
    if entry.body == stored.body:
        return None
    before = json_text.read(stored.body)
    if before.get("v") not in (change.get("v"), None):
        return None  # the page has brought its rows up to date meanwhile
    if canonical_text(before) == canonical_text(change):
        return None  # stored by a server that knew no bounds, or kept more fields
    return sentence("sync.clash", seq=stored.seq)


@dataclass
class BatchResult:
    """What became of one batch: `acked` the highest seq stored, without a gap below it.

    `fresh` entries are to be stored, `clashes` came under a number already in use; `refused` is
    `[{seq, why}]`, `gap` `{wanted, got, why}`, `parted` the last number on which both agree; `holes`
    are first and last number of each gap that was passed over.
    """

    acked: int
    fresh: list[Entry]
    clashes: list[Entry]
    refused: list[dict[str, Any]]
    gap: dict[str, Any] | None = None
    parted: int | None = None
    holes: list[tuple[int, int]] = field(default_factory=list)

    def refuse(self, seq: int, why: str) -> None:
        """Report a change that was set aside."""
        self.refused.append({"seq": seq, "why": why})


def sort_batch(
    request: SyncRequest, acked: int, known: dict[int, Entry], over_gaps: bool = False
) -> BatchResult:
    """Step 2 of the protocol, worked out without touching the file.

    `acked`: the highest seq stored before; `known`: what is stored under the batch's numbers. One
    below `acked` that is not known was damaged or never came, and is taken in.
    """
    result = BatchResult(acked, [], [], [])
    known = dict(known)
    for change in request.changes:
        seq = change["seq"]
        if seq > result.acked + 1:
            if not over_gaps:
                result.gap = _gap(result.acked + 1, seq)
                break
            result.holes.append((result.acked + 1, seq - 1))
        entry = entry_of(request.device, change)
        if seq not in known:
            result.fresh.append(entry)
            known[seq] = entry
        elif (why := _clash(entry, change, known[seq])) is not None:
            if request.seq is not None:
                result.parted = seq - 1
                break
            entry = Entry(seq, entry.body, why)
            result.clashes.append(entry)
        else:
            entry = known[seq]  # sent again, it gets the same answer as the first time
        result.acked = max(result.acked, seq)
        if entry.why:
            result.refuse(seq, entry.why)
    return result


def _gap(wanted: int, got: int) -> dict[str, Any]:
    why = sentence("sync.gap", wanted=wanted, got=got)
    return {"wanted": wanted, "got": got, "why": why}


async def check_workshop(
    tx: LogTransaction, workshop: str | None, log: str | None
) -> tuple[str, str]:
    """The identities of this server's workshop and log; raises OtherWorkshop if the request belongs
    to another.

    A request that names no workshop comes from a page from before workshop identities, or one that
    has never synced: then the log that it last met decides.
    """
    ours, current = await tx.identity()
    if workshop != ours and (workshop or (log and log not in await tx.logs())):
        raise OtherWorkshop(workshop, ours)
    return ours, current


async def _add(
    tx: LogTransaction, device: str, result: BatchResult, last: int, now_ms: int
) -> None:
    """Store what is fresh; where that fills a hole below `last`, `acked` says how far it goes then."""
    filled = [entry.seq for entry in result.fresh if entry.seq <= last]
    if filled:
        rows = await tx.rows_of(device, filled)
        await tx.put_damaged_aside([row for row in rows if not row.sound], now_ms)
    await tx.add(device, result.fresh, now_ms)
    if filled or result.holes:
        await tx.find_holes()
        result.acked = await tx.acked(device)


async def store_batch(
    tx: LogTransaction, request: SyncRequest, now_ms: int, over_gaps: bool = False
) -> BatchResult:
    """Store one batch of one device inside the caller's transaction.

    `over_gaps`, for a file that may lack numbers: what stands behind a gap is stored too, and the
    device is asked for the missing numbers when it syncs.
    """
    acked, last = await tx.reach(request.device)
    seqs = [change["seq"] for change in request.changes if change["seq"] <= last]
    known = await tx.known(request.device, seqs)
    result = sort_batch(request, last if over_gaps else acked, known, over_gaps)
    await _add(tx, request.device, result, last, now_ms)
    for entry in result.clashes:
        await tx.add_clash(request.device, entry, now_ms)
    return result


def _mark(row: Row) -> str:
    """What stands at a row's place, as a short text."""
    text = f"{row.place} {row.device} {row.seq} {row.received_ms} {row.body}"
    return hashlib.sha256(text.encode()).hexdigest()[:16]


async def _begin_after(tx: LogTransaction, request: SyncRequest, log: str, last: int) -> int:
    """The device's cursor; 0 where it was given by another log, or by another state of this one."""
    if request.log not in (None, log) or request.after > last:
        return 0
    if request.mark is None or not request.after:
        return request.after
    row = await tx.row_at(request.after)
    return request.after if row and _mark(row) == request.mark else 0


async def _changes_of_others(
    tx: LogTransaction, request: SyncRequest, log: str, stored: int
) -> dict[str, Any]:
    """The others' changes after the cursor; from the start for a cursor of another log.

    Where the changes just `stored` fill every place after the cursor there are none, and none are
    looked for.
    """
    last = await tx.last_place()
    after = await _begin_after(tx, request, log, last)
    given: list[Row] = []
    more = False
    if last - after != stored:
        given, more = await tx.changes_of_others(request.device, after, MOST, MOST_LETTERS)
    changes = [upgrade(json_text.read(row.body)) for row in given if row.sound]
    upto = given[-1].place if more else last
    row = await tx.row_at(upto)
    answer = {"changes": changes, "upto": upto, "mark": _mark(row) if row else None, "more": more}
    return answer | ({"left": await tx.count_of_others(request.device, upto)} if more else {})


async def exchange(store: Store, request: SyncRequest, now_ms: int) -> dict[str, Any]:
    """Answer one request: its changes are committed before the answer is given.

    Raises OtherWorkshop, and StoreError where the file fails; then nothing is stored.
    """

    async def work(tx: LogTransaction) -> dict[str, Any]:
        workshop, log = await check_workshop(tx, request.workshop, request.log)
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
        if result.parted is not None:
            answer["parted"] = result.parted
        return answer | await _changes_of_others(tx, request, log, len(result.fresh))

    return await store.write(work)


async def put_damaged_aside(store: Store, now_ms: int) -> list[Row]:
    """Read the whole log, and take out what the disk has damaged; returns that.

    Its device then sees a lower `acked` and sends it again. A portion at a time, so that requests
    are answered meanwhile.
    """
    place, found = 0, []
    while rows := await store.read(lambda tx, after=place: tx.all_changes(after, PORTION)):  # type: ignore[misc]
        place = rows[-1].place
        bad = [row for row in rows if not row.sound]
        if bad:
            await store.write(lambda tx, bad=bad: tx.put_damaged_aside(bad, now_ms))  # type: ignore[misc]
            found += bad
    return found


async def readmit(store: Store, now_ms: int) -> int:
    """Check set-aside changes again; returns how many are good now.

    Run at each start: an older server may have set aside what a newer device wrote.
    """

    async def work(tx: LogTransaction) -> int:
        good = [
            row
            for row in await tx.set_aside()
            if row.sound and problem_of(row.device, json_text.read(row.body)) is None
        ]
        for row in good:
            await tx.readmit(row, now_ms)
        return len(good)

    return await store.write(work)
