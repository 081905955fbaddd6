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
from collections.abc import Awaitable, Callable, Iterable
from contextlib import asynccontextmanager
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple, TypeVar

import aiosqlite

from . import migrations
from .errors import StoreBroken, StoreError, StoreFull
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


class Row(NamedTuple):
    """One stored change. `why` is set where it was set aside."""

    place: int
    device: str
    seq: int
    body: str
    why: str | None
    received_ms: int = 0


class Entry(NamedTuple):
    """One change to store, or one stored; its device stands beside it."""

    seq: int
    body: str
    why: str | None


def prepare_folder(folder: Path) -> None:
    """Make the data folder where there is none, closed to other users."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def prepare_file(path: Path) -> None:
    """Make the file where there is none, closed to other users.

    SQLite gives its -wal and -shm files the same mode.
    """
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    path.chmod(0o600)


def as_store_error(error: sqlite3.Error) -> StoreError:
    """SQLite's error as ours, by its primary result code (https://sqlite.org/rescode.html)."""
    code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return StoreFull(sentence("store.disk_full"))
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return StoreBroken(sentence("store.damaged"))
    return StoreError(sentence("store.unusable", error=error))


class LogTransaction:
    """The log inside one open transaction. Its methods raise sqlite3.Error where the file fails."""

    def __init__(self, db: aiosqlite.Connection) -> None:
        self.db = db

    async def log(self) -> str:
        """This log's identity; a restored copy gets a new one."""
        (row,) = await self.db.execute_fetchall("SELECT value FROM meta WHERE name = 'log'")
        return str(row[0])

    async def workshop(self) -> str:
        """Whose counts these are; see workshop.py."""
        (row,) = await self.db.execute_fetchall("SELECT value FROM meta WHERE name = 'workshop'")
        return str(row[0])

    async def logs(self) -> list[str]:
        """Every identity this log has had, the current one too."""
        (row,) = await self.db.execute_fetchall("SELECT value FROM meta WHERE name = 'logs'")
        return [str(log) for log in json.loads(row[0])]

    async def is_empty(self) -> bool:
        """Whether no change was ever stored."""
        (row,) = await self.db.execute_fetchall(
            "SELECT EXISTS (SELECT 1 FROM changes) OR EXISTS (SELECT 1 FROM clashes)"
        )
        return not row[0]

    async def adopt(self, workshop: str, logs: list[str]) -> None:
        """Take over another workshop's identity, and the log identities its pages may know."""
        known = sorted({*logs, *await self.logs()})
        sql = "UPDATE meta SET value = ? WHERE name = ?"
        await self.db.executemany(sql, [(workshop, "workshop"), (json.dumps(known), "logs")])

    async def acked(self, device: str) -> int:
        """The highest stored seq of this device, 0 for none; there is no gap below it."""
        sql = "SELECT coalesce(max(seq), 0) FROM changes WHERE device = ?"
        (row,) = await self.db.execute_fetchall(sql, (device,))
        return int(row[0])

    async def last_place(self) -> int:
        """The place of the change that arrived last, 0 for none."""
        (row,) = await self.db.execute_fetchall("SELECT coalesce(max(place), 0) FROM changes")
        return int(row[0])

    async def known(self, device: str, seqs: list[int]) -> dict[int, Entry]:
        """Those of these seqs that are stored for this device: seq -> entry."""
        sql = (
            "SELECT seq, body, why FROM changes WHERE device = ? AND seq IN (SELECT value FROM"
            " json_each(?))"
        )
        rows = await self.db.execute_fetchall(sql, (device, json.dumps(seqs)))
        return {row[0]: Entry(*row) for row in rows}

    async def add(self, device: str, entries: Iterable[Entry], now_ms: int) -> None:
        """Store new changes of a device, as received at `now_ms`."""
        sql = "INSERT INTO changes (device, seq, received_ms, body, why) VALUES (?, ?, ?, ?, ?)"
        await self.db.executemany(sql, [(device, e.seq, now_ms, e.body, e.why) for e in entries])

    async def add_clash(self, device: str, entry: Entry, now_ms: int) -> None:
        """Store a second, different change that came under a key already in use."""
        sql = (
            "INSERT OR IGNORE INTO clashes (device, seq, received_ms, body, why) VALUES (?, ?, ?,"
            " ?, ?)"
        )
        await self.db.execute(sql, (device, entry.seq, now_ms, entry.body, entry.why))

    async def row_at(self, place: int) -> Row | None:
        """The row at this place; None where there is none (any more)."""
        sql = "SELECT place, device, seq, body, why, received_ms FROM changes WHERE place = ?"
        rows = list(await self.db.execute_fetchall(sql, (place,)))
        return Row(*rows[0]) if rows else None

    async def changes_of_others(
        self, device: str, after: int, most: int, letters: int
    ) -> tuple[list[Row], bool]:
        """The other devices' changes after a place, in order of arrival, none set aside; and whether
        there are more.

        At most `most` of at most `letters` letters together, but one at least, so that every device
        gets further. Read a few at a time, so that no more lies in memory than is given out.
        """
        sql = (
            "SELECT place, device, seq, body, why FROM changes"
            " WHERE place > ? AND device <> ? AND why IS NULL ORDER BY place"
        )
        given: list[Row] = []
        cursor = await self.db.execute(sql, (after, device))
        try:
            while rows := await cursor.fetchmany(PORTION):
                for row in rows:
                    letters -= len(row[3])
                    if len(given) == most or (given and letters < 0):
                        return given, True
                    given.append(Row(*row))
            return given, False
        finally:
            await cursor.close()

    async def all_changes(self, after: int, most: int) -> list[Row]:
        """All devices' changes after a place, in order of arrival, those set aside too."""
        sql = (
            "SELECT place, device, seq, body, why FROM changes WHERE place > ? ORDER BY place"
            " LIMIT ?"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql, (after, most))]

    async def clashes(self) -> list[Row]:
        """The changes that came under a key already in use; their place is 0."""
        sql = (
            "SELECT 0, device, seq, body, why FROM clashes ORDER BY device, seq, received_ms, body"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql)]

    async def set_aside(self) -> list[Row]:
        """The changes that were set aside, in order of arrival."""
        sql = (
            "SELECT place, device, seq, body, why FROM changes WHERE why IS NOT NULL ORDER BY place"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql)]

    async def readmit(self, row: Row, now_ms: int) -> None:
        """A change set aside earlier is good now: move it to the end, where others will get it."""
        await self.db.execute("DELETE FROM changes WHERE place = ?", (row.place,))
        await self.add(row.device, [Entry(row.seq, row.body, None)], now_ms)

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


class Store:
    """An open workshop's file. Open it with `open_store` or `open_read_only`."""

    def __init__(self, path: Path, db: aiosqlite.Connection) -> None:
        self.path = path
        self.db = db
        self._lock = asyncio.Lock()

    async def write(self, work: Callable[[LogTransaction], Awaitable[T]]) -> T:
        """Run `work` in one transaction and commit.

        Raises StoreError where the file fails, and what `work` raises; then nothing is stored.
        """
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
async def open_store(folder: Path) -> AsyncIterator[Store]:
    """Open the folder's workshop for writing, with all migrations run; make it where there is none.

    Raises StoreError: StoreInUse, StoreTooNew, StoreBroken or StoreFull among others.
    """
    prepare_folder(folder)
    lock = FolderLock(folder)
    try:
        prepare_file(folder / FILE)
        async with aiosqlite.connect(folder / FILE, isolation_level=None) as db:
            try:
                await _set_pragmas(db)
                await migrations.migrate(db)
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
    async with aiosqlite.connect(path, isolation_level=None) as db:
        await db.execute("PRAGMA query_only = ON")
        if await _step(db) < len(migrations.STEPS):
            raise StoreError(sentence("store.older"))
        yield Store(path, db)


async def _step(db: aiosqlite.Connection) -> int:
    try:
        return await migrations.step_reached(db)
    except sqlite3.Error as e:
        raise as_store_error(e) from e
