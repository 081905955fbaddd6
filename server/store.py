"""The workshop's file: the only SQL beside the migrations, one connection, one writer.

`store.write(work)` is the only way to change data: it holds the lock, opens BEGIN IMMEDIATE,
hands `work` a `Book`, and commits or rolls back. Reading takes the same lock: on one
connection a reader beside an open transaction would see what may yet be rolled back.
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
from .errors import StoreBroken, StoreFull, StoreTrouble
from .lock import FolderLock

if TYPE_CHECKING:
    from collections.abc import AsyncIterator

T = TypeVar("T")

FILE = "ringwright.sqlite"
# pragma -> value asked for, value read back; wrappers and builds differ, so each is asserted
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


class Entry(NamedTuple):
    """One change to be stored; its device is said beside it."""

    seq: int
    body: str
    why: str | None


def prepare_folder(folder: Path) -> None:
    """The data folder, closed to other users when made here."""
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)


def prepare_file(path: Path) -> None:
    """An empty file closed to other users; SQLite gives its companions the same mode."""
    os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))
    path.chmod(0o600)


def told(error: sqlite3.Error) -> StoreTrouble:
    """SQLite's error as ours, by its primary result code."""
    code = (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return StoreFull(
            "The server's disk is full. Nothing is lost: the change stays on the device. Make room"
            " there."
        )
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
        return StoreBroken(
            "The workshop's file is damaged. Stop the server and restore a backup: ringwright"
            " restore."
        )
    return StoreTrouble(f"The workshop's file cannot be used ({error}). See ringwright doctor.")


class Book:
    """The log inside one open transaction."""

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
        """Every identity this log has had, the present one included."""
        (row,) = await self.db.execute_fetchall("SELECT value FROM meta WHERE name = 'logs'")
        return [str(log) for log in json.loads(row[0])]

    async def is_empty(self) -> bool:
        (row,) = await self.db.execute_fetchall(
            "SELECT EXISTS (SELECT 1 FROM changes) OR EXISTS (SELECT 1 FROM clashes)"
        )
        return not row[0]

    async def become(self, workshop: str, logs: list[str]) -> None:
        """An empty workshop takes over the identity of the one that moves in, with the logs its
        pages may know.
        """
        known = sorted({*logs, *await self.logs()})
        sql = "UPDATE meta SET value = ? WHERE name = ?"
        await self.db.executemany(sql, [(workshop, "workshop"), (json.dumps(known), "logs")])

    async def acked(self, device: str) -> int:
        """Highest seq of this device stored; there is no gap below it."""
        sql = "SELECT coalesce(max(seq), 0) FROM changes WHERE device = ?"
        (row,) = await self.db.execute_fetchall(sql, (device,))
        return int(row[0])

    async def last_place(self) -> int:
        (row,) = await self.db.execute_fetchall("SELECT coalesce(max(place), 0) FROM changes")
        return int(row[0])

    async def known(self, device: str, seqs: list[int]) -> dict[int, Entry]:
        """What this device has stored under these numbers."""
        sql = (
            "SELECT seq, body, why FROM changes WHERE device = ? AND seq IN (SELECT value FROM"
            " json_each(?))"
        )
        rows = await self.db.execute_fetchall(sql, (device, json.dumps(seqs)))
        return {row[0]: Entry(*row) for row in rows}

    async def add(self, device: str, entries: Iterable[Entry], now_ms: int) -> None:
        sql = "INSERT INTO changes (device, seq, received_ms, body, why) VALUES (?, ?, ?, ?, ?)"
        await self.db.executemany(sql, [(device, e.seq, now_ms, e.body, e.why) for e in entries])

    async def clash(self, device: str, entry: Entry, now_ms: int) -> None:
        """Keep a second, different change that came under a taken key."""
        sql = (
            "INSERT OR IGNORE INTO clashes (device, seq, received_ms, body, why) VALUES (?, ?, ?,"
            " ?, ?)"
        )
        await self.db.execute(sql, (device, entry.seq, now_ms, entry.body, entry.why))

    async def others(self, device: str, after: int, most: int) -> list[Row]:
        """Good changes of all other devices past a place, in order of arrival."""
        sql = (
            "SELECT place, device, seq, body, why FROM changes"
            " WHERE place > ? AND device <> ? AND why IS NULL ORDER BY place LIMIT ?"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql, (after, device, most))]

    async def everything(self, after: int, most: int) -> list[Row]:
        """All devices' changes past a place, those set aside included."""
        sql = (
            "SELECT place, device, seq, body, why FROM changes WHERE place > ? ORDER BY place"
            " LIMIT ?"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql, (after, most))]

    async def clashes(self) -> list[Row]:
        sql = (
            "SELECT 0, device, seq, body, why FROM clashes ORDER BY device, seq, received_ms, body"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql)]

    async def put_aside(self) -> list[Row]:
        sql = (
            "SELECT place, device, seq, body, why FROM changes WHERE why IS NOT NULL ORDER BY place"
        )
        return [Row(*row) for row in await self.db.execute_fetchall(sql)]

    async def readmit(self, row: Row, now_ms: int) -> None:
        """A change set aside earlier is good now: it moves to the end, where other devices meet it."""
        await self.db.execute("DELETE FROM changes WHERE place = ?", (row.place,))
        await self.add(row.device, [Entry(row.seq, row.body, None)], now_ms)

    async def devices(self) -> list[tuple[str, int, int, int]]:
        """(device, changes, set aside, last received_ms) of each."""
        sql = (
            "SELECT device, count(*), count(why), max(received_ms) FROM changes GROUP BY device"
            " ORDER BY device"
        )
        return [(row[0], row[1], row[2], row[3]) for row in await self.db.execute_fetchall(sql)]

    async def pragma(self, name: str) -> str | int:
        rows = list(await self.db.execute_fetchall(f"PRAGMA {name}"))
        value: str | int = rows[0][0]
        return value


class Store:
    """An open workshop's file. Make it with `open_store`."""

    def __init__(self, path: Path, db: aiosqlite.Connection) -> None:
        self.path = path
        self.db = db
        self._lock = asyncio.Lock()

    async def write(self, work: Callable[[Book], Awaitable[T]]) -> T:
        """Run `work` in one transaction; raises StoreTrouble where the file fails, then nothing is
        stored.
        """
        return await self._transaction("BEGIN IMMEDIATE", work)

    async def read(self, work: Callable[[Book], Awaitable[T]]) -> T:
        return await self._transaction("BEGIN", work)

    async def _transaction(self, begin: str, work: Callable[[Book], Awaitable[T]]) -> T:
        async with self._lock:
            try:
                await self.db.execute(begin)
                out = await work(Book(self.db))
                await self.db.commit()
            except BaseException as e:
                await asyncio.shield(
                    self.db.rollback()
                )  # no-op where SQLite has rolled back by itself
                if isinstance(e, sqlite3.Error):
                    raise told(e) from e
                raise
            return out


async def _assert_pragmas(db: aiosqlite.Connection) -> None:
    for name, wanted, expected in PRAGMAS:
        await db.execute(f"PRAGMA {name} = {wanted}")
        found = await Book(db).pragma(name)
        if found != expected:
            raise StoreTrouble(
                f"SQLite keeps {name} at {found} where {wanted} is needed to lose nothing. "
                "Put the data folder on a local disk, not a network drive."
            )


@asynccontextmanager
async def open_store(folder: Path) -> AsyncIterator[Store]:
    """Open for writing, alone, brought up to date."""
    prepare_folder(folder)
    lock = FolderLock(folder)
    try:
        prepare_file(folder / FILE)
        async with aiosqlite.connect(folder / FILE, isolation_level=None) as db:
            try:
                await _assert_pragmas(db)
                await migrations.migrate(db)
            except sqlite3.Error as e:
                raise told(e) from e
            yield Store(folder / FILE, db)
    finally:
        lock.release()


@asynccontextmanager
async def look_into(folder: Path) -> AsyncIterator[Store]:
    """Open beside a running server, only to read. It never writes, so it never checkpoints."""
    path = folder / FILE
    if not path.is_file():
        raise StoreTrouble(
            f"There is no workshop in {folder}. Start one with: ringwright serve --data {folder}"
        )
    async with aiosqlite.connect(path, isolation_level=None) as db:
        await db.execute("PRAGMA query_only = ON")
        if await _step(db) < len(migrations.STEPS):
            raise StoreTrouble(
                "The workshop's file is of an older version. Start ringwright serve once, then try"
                " again."
            )
        yield Store(path, db)


async def _step(db: aiosqlite.Connection) -> int:
    try:
        return await migrations.at(db)
    except sqlite3.Error as e:
        raise told(e) from e
