"""The workshop's file: the only SQL beside the migrations; one connection, one writer.

`store.write(work)` is the only way to change data: it locks, opens a transaction (BEGIN IMMEDIATE),
calls `work` with a `LogTransaction`, and commits or rolls back. Reading uses the same lock: on one
connection, a reader beside an open transaction would see what may yet be rolled back.
"""

from __future__ import annotations

import asyncio
import json
import os
import sqlite3
import time
from collections.abc import Awaitable, Callable, Iterable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

import aiosqlite

from . import checksums, migrations
from .errors import StoreBroken, StoreError, StoreFull, StoreTooNew
from .files import make_folder, sqlite_code, told
from .lock import FolderLock
from .sentences import sentence

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

T = TypeVar("T")

FILE = "ringwright.sqlite"
PORTION = 50  # rows read at once where they may be large
# (pragma, value set, value read back); builds of SQLite differ, so each is checked
PRAGMAS = [
    ("journal_mode", "WAL", "wal"),
    ("synchronous", "FULL", 2),  # a commit that was answered survives a power cut
    ("foreign_keys", "ON", 1),
    ("trusted_schema", "OFF", 0),
    ("mmap_size", "0", 0),
]


def now_ms() -> int:
    """Milliseconds UTC since 1970."""
    return time.time_ns() // 1_000_000


class Row(NamedTuple):
    """One stored change. `why` is set where it was set aside.

    One that is not `sound` is not as it was written: the disk has damaged it.
    """

    place: int
    device: str
    seq: int
    body: str
    why: str | None
    received_ms: int = 0
    sound: bool = True


class Entry(NamedTuple):
    """One change to store, or one stored; its device stands beside it."""

    seq: int
    body: str
    why: str | None


def _row(place: int, device: str, seq: int, body: str, why: str | None, at: int, kept: int) -> Row:
    sound = checksums.is_sound(device, seq, at, body, why, kept)
    return Row(place, device, seq, body, why, at, sound)


def prepare_file(path: Path) -> None:
    """Make the file where there is none; it, its -wal and its -shm are closed to other users.

    Raises StoreError.
    """
    with told(path):
        os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
        for tail in ("", "-wal", "-shm"):
            each = path.with_name(path.name + tail)
            if each.exists():
                each.chmod(0o600)


def as_store_error(error: sqlite3.Error) -> StoreError:
    """SQLite's error with the workshop's file as ours, by its primary result code."""
    code = sqlite_code(error)
    if code == sqlite3.SQLITE_FULL:
        return StoreFull(sentence("store.disk_full"))
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return StoreBroken(sentence("store.damaged"))
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_PERM, sqlite3.SQLITE_CANTOPEN):
        return StoreError(sentence("store.closed"))
    if code == sqlite3.SQLITE_IOERR:
        return StoreError(sentence("store.disk_fails", error=error))
    return StoreError(sentence("store.unusable", error=error))


def _values(device: str, e: Entry, now_ms: int) -> tuple[str, int, int, str, str | None, int]:
    kept = checksums.of_row(device, e.seq, now_ms, e.body, e.why)
    return device, e.seq, now_ms, e.body, e.why, kept


class LogTransaction:
    """The log inside one open transaction. Its methods raise sqlite3.Error where the file fails."""

    def __init__(self, db: aiosqlite.Connection) -> None:
        self.db = db

    async def log(self) -> str:
        """This log's identity; a restored copy gets a new one."""
        return await self._meta("log")

    async def workshop(self) -> str:
        """Whose counts these are; see workshop.py."""
        return await self._meta("workshop")

    async def identity(self) -> tuple[str, str]:
        """Both, the workshop's and the log's, asked for at once."""
        sql = "SELECT name, value FROM meta WHERE name IN ('workshop', 'log')"
        found = {name: str(value) for name, value in await self.db.execute_fetchall(sql)}
        if len(found) < 2:
            raise StoreBroken(sentence("store.damaged"))
        return found["workshop"], found["log"]

    async def logs(self) -> list[str]:
        """Every identity this log has had, the current one too."""
        return [str(log) for log in json.loads(await self._meta("logs"))]

    async def _meta(self, name: str) -> str:
        sql = "SELECT value FROM meta WHERE name = ?"
        for (value,) in await self.db.execute_fetchall(sql, (name,)):
            return str(value)
        raise StoreBroken(sentence("store.damaged"))

    async def check_identity(self) -> None:
        """Raises StoreBroken where it no longer says whose file this is."""
        parts = [await self._meta(name) for name in ("workshop", "log", "logs")]
        if await self._meta("check") != checksums.of_identity(*parts):
            raise StoreBroken(sentence("store.damaged"))

    async def is_empty(self) -> bool:
        """Whether no change was ever stored."""
        (row,) = await self.db.execute_fetchall(
            "SELECT EXISTS (SELECT 1 FROM changes) OR EXISTS (SELECT 1 FROM clashes)"
        )
        return not row[0]

    async def adopt(self, workshop: str, logs: list[str]) -> None:
        """Take over another workshop's identity, and the log identities its pages may know."""
        known = json.dumps(sorted({*logs, *await self.logs()}))
        kept = checksums.of_identity(workshop, await self.log(), known)
        sql = "UPDATE meta SET value = ? WHERE name = ?"
        rows = [(workshop, "workshop"), (known, "logs"), (kept, "check")]
        await self.db.executemany(sql, rows)

    async def acked(self, device: str) -> int:
        """The highest stored seq of this device without a gap below it, 0 for none."""
        return (await self.reach(device))[0]

    async def reach(self, device: str) -> tuple[int, int]:
        """(what `acked` says, the highest stored seq of this device, 0 for none)."""
        sql = (
            "SELECT (SELECT first FROM holes WHERE device = ?1), coalesce(max(seq), 0) FROM changes"
            " WHERE device = ?1"
        )
        ((first, last),) = await self.db.execute_fetchall(sql, (device,))
        return int(last if first is None else first - 1), int(last)

    async def find_holes(self) -> None:
        """Find of which devices a number is missing below others, in place of what was noted before.

        Such a device sends again from there on; see `acked`.
        """
        await self.db.execute("DELETE FROM holes")
        await self.db.execute(
            "INSERT INTO holes SELECT device, min(before + 1) FROM (SELECT device, seq, lag(seq, 1,"
            " 0) OVER (PARTITION BY device ORDER BY seq) AS before FROM changes) WHERE seq > before"
            " + 1 GROUP BY device"
        )

    async def last_place(self) -> int:
        """The place of the change that arrived last, 0 for none."""
        (row,) = await self.db.execute_fetchall("SELECT coalesce(max(place), 0) FROM changes")
        return int(row[0])

    async def known(self, device: str, seqs: list[int]) -> dict[int, Entry]:
        """Those of these seqs that are stored for this device and sound: seq -> entry."""
        found = await self.rows_of(device, seqs) if seqs else []
        return {row.seq: Entry(row.seq, row.body, row.why) for row in found if row.sound}

    async def rows_of(self, device: str, seqs: list[int]) -> list[Row]:
        """The rows under these numbers of a device, sound or not."""
        sql = (
            "SELECT place, device, seq, body, why, received_ms, mark FROM changes WHERE device = ?"
            " AND seq IN (SELECT value FROM json_each(?))"
        )
        rows = await self.db.execute_fetchall(sql, (device, json.dumps(seqs)))
        return [_row(*row) for row in rows]

    async def add(self, device: str, entries: Iterable[Entry], now_ms: int) -> None:
        """Store new changes of a device, as received at `now_ms`."""
        sql = (
            "INSERT INTO changes (device, seq, received_ms, body, why, mark) VALUES (?, ?, ?, ?, ?,"
            " ?)"
        )
        await self.db.executemany(sql, [_values(device, entry, now_ms) for entry in entries])

    async def add_clash(self, device: str, entry: Entry, now_ms: int) -> None:
        """Store a second, different change that came under a key already in use."""
        sql = (
            "INSERT OR IGNORE INTO clashes (device, seq, received_ms, body, why, mark) VALUES (?, ?,"
            " ?, ?, ?, ?)"
        )
        await self.db.execute(sql, _values(device, entry, now_ms))

    async def row_at(self, place: int) -> Row | None:
        """The row at this place; None where there is none (any more)."""
        sql = "SELECT place, device, seq, body, why, received_ms, mark FROM changes WHERE place = ?"
        rows = list(await self.db.execute_fetchall(sql, (place,)))
        return _row(*rows[0]) if rows else None

    async def changes_of_others(
        self, device: str, after: int, most: int, letters: int
    ) -> tuple[list[Row], bool]:
        """The other devices' changes after a place, in order of arrival, none set aside; and whether
        there are more.

        At most `most` of at most `letters` letters together, but one at least, so that every device
        gets further. Read a few at a time, so that no more lies in memory than is given out.
        """
        sql = (
            "SELECT place, device, seq, body, why, received_ms, mark FROM changes"
            " WHERE place > ? AND device <> ? AND why IS NULL ORDER BY place"
        )
        given: list[Row] = []
        cursor = await self.db.execute(sql, (after, device))
        try:
            while rows := await cursor.fetchmany(PORTION):
                for row in (_row(*each) for each in rows):
                    letters -= len(str(row.body))
                    if len(given) == most or (given and letters < 0):
                        return given, True
                    given.append(row)
            return given, False
        finally:
            await cursor.close()

    async def count_of_others(self, device: str, after: int) -> int:
        """How many changes of other devices follow a place, or a few more: empty places count too.

        Only the device's own numbers are looked at, not the log.
        """
        sql = (
            "SELECT coalesce(max(place), 0) - ?1 - (SELECT count(*) FROM changes WHERE device = ?2"
            " AND place > ?1) FROM changes"
        )
        (row,) = await self.db.execute_fetchall(sql, (after, device))
        return max(0, int(row[0]))

    async def all_changes(self, after: int, most: int) -> list[Row]:
        """All devices' changes after a place, in order of arrival, those set aside too."""
        sql = (
            "SELECT place, device, seq, body, why, received_ms, mark FROM changes WHERE place > ?"
            " ORDER BY place LIMIT ?"
        )
        return [_row(*row) for row in await self.db.execute_fetchall(sql, (after, most))]

    async def clashes(self) -> list[Row]:
        """The changes that came under a key already in use; their place is 0."""
        sql = (
            "SELECT 0, device, seq, body, why, received_ms, mark FROM clashes ORDER BY device, seq,"
            " received_ms, body"
        )
        return [_row(*row) for row in await self.db.execute_fetchall(sql)]

    async def set_aside(self) -> list[Row]:
        """The changes that were set aside, in order of arrival."""
        sql = (
            "SELECT place, device, seq, body, why, received_ms, mark FROM changes WHERE why IS NOT"
            " NULL ORDER BY place"
        )
        return [_row(*row) for row in await self.db.execute_fetchall(sql)]

    async def readmit(self, row: Row, now_ms: int) -> None:
        """A change set aside earlier is good now: move it to the end, where others will get it."""
        await self.db.execute("DELETE FROM changes WHERE place = ?", (row.place,))
        await self.add(row.device, [Entry(row.seq, row.body, None)], now_ms)

    async def put_damaged_aside(self, rows: list[Row], now_ms: int) -> None:
        """Take damaged rows out of the log, as they are, so that their devices send them again."""
        sql = (
            "INSERT INTO damaged SELECT device, seq, received_ms, body, why, mark, ? FROM changes"
            " WHERE place = ?"
        )
        await self.db.executemany(sql, [(now_ms, row.place) for row in rows])
        sql = "DELETE FROM changes WHERE place = ?"
        await self.db.executemany(sql, [(row.place,) for row in rows])
        await self.find_holes()

    async def lost(self) -> list[tuple[str, int]]:
        """(device, seq) of what was damaged and has not come again."""
        sql = "SELECT device, seq FROM damaged EXCEPT SELECT device, seq FROM changes ORDER BY 1, 2"
        return [(str(row[0]), row[1]) for row in await self.db.execute_fetchall(sql)]

    async def devices(self) -> list[tuple[str, int, int, int]]:
        """(device, changes, of them set aside, last received_ms) of each device."""
        sql = (
            "SELECT device, count(*), count(why), max(received_ms) FROM changes GROUP BY device"
            " ORDER BY device"
        )
        return [(row[0], row[1], row[2], row[3]) for row in await self.db.execute_fetchall(sql)]

    async def pragma(self, name: str) -> str | int:
        """The value of one of SQLite's pragmas; `name` is never a user's text."""
        rows = list(await self.db.execute_fetchall(f"PRAGMA {name}"))
        value: str | int = rows[0][0]
        return value


def _file_at(path: Path) -> tuple[int, int] | None:
    """(device, number on it) of the file at this path; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


class Store:
    """An open workshop's file. Open it with `open_store` or `open_read_only`."""

    def __init__(self, path: Path, db: aiosqlite.Connection) -> None:
        self.path = path
        self.db = db
        self._lock = asyncio.Lock()
        self._opened = _file_at(path)

    def is_in_place(self) -> bool:
        """Whether the open file is still what stands at its path: a disk can be pulled out, a folder
        moved away, another put in its place.
        """
        return _file_at(self.path) == self._opened

    def check_place(self) -> None:
        """Raises StoreError where it is not; nothing is stored then, so nothing acknowledged."""
        if not self.is_in_place():
            raise StoreError(sentence("store.gone", folder=self.path.parent))

    async def write(self, work: Callable[[LogTransaction], Awaitable[T]]) -> T:
        """Run `work` in one transaction and commit.

        Raises StoreError where the file fails, and what `work` raises; then nothing is stored.
        """
        self.check_place()
        return await self._transaction("BEGIN IMMEDIATE", work)

    async def read(self, work: Callable[[LogTransaction], Awaitable[T]]) -> T:
        """Run `work`, which only reads; raises StoreError where the file fails."""
        return await self._transaction("BEGIN", work)

    async def _transaction(self, begin: str, work: Callable[[LogTransaction], Awaitable[T]]) -> T:
        async with self._lock:
            try:
                await self.db.execute(begin)
                out = await work(LogTransaction(self.db))
                await self.db.commit()
            except BaseException as e:
                await asyncio.shield(
                    self.db.rollback()
                )  # no-op where SQLite has rolled back by itself
                if isinstance(e, sqlite3.Error):
                    raise as_store_error(e) from e
                raise
            return out


async def _set_pragmas(db: aiosqlite.Connection) -> None:
    for name, wanted, expected in PRAGMAS:
        await db.execute(f"PRAGMA {name} = {wanted}")
        found = await LogTransaction(db).pragma(name)
        if found != expected:
            values = {"name": name, "found": found, "wanted": wanted}
            raise StoreError(sentence("store.pragma", **values))


@asynccontextmanager
async def open_store(folder: Path, existing: bool = False) -> AsyncIterator[Store]:
    """Open the folder's workshop for writing, with all migrations run; make it where there is none.

    With `existing` none is made: the folder of a disk that is not there must not get an empty one.
    Raises StoreError: StoreInUse, StoreTooNew, StoreBroken or StoreFull among others.
    """
    if existing and not (folder / FILE).is_file():
        raise StoreError(sentence("store.not_there", folder=folder))
    make_folder(folder)
    lock = FolderLock(folder)
    try:
        prepare_file(folder / FILE)
        async with aiosqlite.connect(folder / FILE, isolation_level=None) as db:
            db.text_factory = checksums.as_text
            try:
                await _set_pragmas(db)
                await migrations.migrate(db)
                await LogTransaction(db).check_identity()
            except sqlite3.Error as e:
                raise as_store_error(e) from e
            yield Store(folder / FILE, db)
    finally:
        lock.release()


@asynccontextmanager
async def open_read_only(folder: Path) -> AsyncIterator[Store]:
    """Open the folder's workshop only to read, beside a running server; raises StoreError.

    It never writes, so it never checkpoints.
    """
    path = folder / FILE
    if not path.is_file():
        raise StoreError(sentence("store.no_workshop", folder=folder))
    with told(path):
        path.open("rb").close()
    async with aiosqlite.connect(path, isolation_level=None) as db:
        db.text_factory = checksums.as_text
        await _check_step(db)
        yield Store(path, db)


async def _check_step(db: aiosqlite.Connection) -> None:
    try:
        await db.execute("PRAGMA query_only = ON")
        step = await migrations.step_reached(db)
    except sqlite3.Error as e:
        raise as_store_error(e) from e
    if step < len(migrations.STEPS):
        raise StoreError(sentence("store.older"))
    if step > len(migrations.STEPS):
        raise StoreTooNew(migrations.too_new(step))
