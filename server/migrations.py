"""Migrations of the workshop's file. A step that was released is never edited; append new ones.

Each step runs in one transaction together with its row in `migrations`, so a file is always at a
whole step. A step's function name is stored in that row.
"""

from __future__ import annotations

import json
import secrets
import time
from collections.abc import Awaitable, Callable, Sequence

import aiosqlite

from . import checksums, workshop
from .errors import StoreTooNew
from .sentences import sentence

Step = Callable[[aiosqlite.Connection], Awaitable[None]]


async def lay_the_log(db: aiosqlite.Connection) -> None:
    """`changes`: one row a change, with `why` where it was set aside.

    `clashes`: a second, different change under a key already in use.
    """
    await db.execute(
        "CREATE TABLE meta (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT, WITHOUT ROWID"
    )
    await db.execute(
        "CREATE TABLE changes (place INTEGER PRIMARY KEY AUTOINCREMENT, device TEXT NOT NULL, seq"
        " INTEGER NOT NULL CHECK (seq > 0), received_ms INTEGER NOT NULL, body TEXT NOT NULL, why"
        " TEXT, UNIQUE (device, seq)) STRICT"
    )
    await db.execute(
        "CREATE TABLE clashes (device TEXT NOT NULL, seq INTEGER NOT NULL, received_ms INTEGER NOT"
        " NULL, body TEXT NOT NULL, why TEXT NOT NULL, UNIQUE (device, seq, body)) STRICT"
    )
    await db.execute("INSERT INTO meta VALUES ('log', ?)", (secrets.token_hex(8),))


async def name_the_workshop(db: aiosqlite.Connection) -> None:
    """`workshop`: whose counts these are. `logs`: every identity this log has had, a JSON list.

    By one of them a page is recognised that was last used before workshops had identities.
    """
    (row,) = await db.execute_fetchall(
        "SELECT value, EXISTS (SELECT 1 FROM changes) FROM meta WHERE name = 'log'"
    )
    log, filled = row
    identity = workshop.from_log(log) if filled else workshop.make()
    rows = [("workshop", identity), ("logs", json.dumps([log]))]
    await db.executemany(
        "INSERT OR IGNORE INTO meta VALUES (?, ?)", rows
    )  # a restored copy has them already


async def keep_checksums(db: aiosqlite.Connection) -> None:
    """`mark` beside each row: its checksum, NULL for one found damaged here; see checksums.py.

    `check` in `meta`: that of the identities. `damaged`: rows taken out of the log because they
    failed theirs. `holes`: the lowest number missing of a device that has higher ones.
    """
    await db.create_function("mark_of", 5, _mark_of, deterministic=True)
    await db.execute("ALTER TABLE changes ADD COLUMN mark INTEGER")
    await db.execute("ALTER TABLE clashes ADD COLUMN mark INTEGER")
    await db.execute(
        "UPDATE changes SET mark = mark_of(CAST(device AS BLOB), seq, received_ms, CAST(body AS"
        " BLOB), CAST(why AS BLOB))"
    )
    await db.execute(
        "UPDATE clashes SET mark = mark_of(CAST(device AS BLOB), seq, received_ms, CAST(body AS"
        " BLOB), CAST(why AS BLOB))"
    )
    await db.execute(
        "CREATE TABLE damaged (device ANY, seq ANY, received_ms ANY, body ANY, why ANY, mark ANY,"
        " found_ms INTEGER NOT NULL) STRICT"
    )
    await db.execute("CREATE TABLE holes (device TEXT PRIMARY KEY, first INTEGER NOT NULL) STRICT")
    rows = await db.execute_fetchall("SELECT name, value FROM meta")
    meta = {row[0]: str(row[1]) for row in rows}
    kept = checksums.of_identity(*(meta.get(name, "") for name in ("workshop", "log", "logs")))
    await db.execute("INSERT OR REPLACE INTO meta VALUES ('check', ?)", (kept,))


def _mark_of(device: bytes, seq: int, at: int, body: bytes, why: bytes | None) -> int | None:
    """The checksum of an old row; None where its body cannot be read any more."""
    try:
        json.loads(body)
        reason = None if why is None else why.decode()
        return checksums.of_row(device.decode(), seq, at, body.decode(), reason)
    except (ValueError, TypeError, AttributeError):  # in a damaged file a column can hold anything
        return None


STEPS: list[Step] = [lay_the_log, name_the_workshop, keep_checksums]


async def step_reached(db: aiosqlite.Connection) -> int:
    """The number of the last step that has run, 0 for an empty file; raises sqlite3.Error."""
    known = await db.execute_fetchall(
        "SELECT 1 FROM sqlite_schema WHERE type = 'table' AND name = 'migrations'"
    )
    if not list(known):
        return 0
    (row,) = await db.execute_fetchall("SELECT coalesce(max(n), 0) FROM migrations")
    return int(row[0])


def too_new(step: int, known: int = len(STEPS)) -> str:
    """Why a file at this step cannot be used here, as a sentence."""
    return sentence("migrations.too_new", step=step, known=known)


async def migrate(db: aiosqlite.Connection, steps: Sequence[Step] = STEPS) -> int:
    """Run the steps that have not run yet; returns the number reached.

    A failing step leaves the file as it was before it. Raises StoreTooNew for a file with more
    steps than there are, and what a step raises.
    """
    done = await step_reached(db)
    if done > len(steps):
        raise StoreTooNew(too_new(done, len(steps)))
    for n, step in enumerate(steps[done:], done + 1):
        await _one(db, n, step)
    return len(steps)


async def _one(db: aiosqlite.Connection, n: int, step: Step) -> None:
    await db.execute("BEGIN IMMEDIATE")
    try:
        await db.execute(
            "CREATE TABLE IF NOT EXISTS migrations"
            " (n INTEGER PRIMARY KEY, name TEXT NOT NULL, applied_ms INTEGER NOT NULL) STRICT"
        )
        await step(db)
        record = (n, getattr(step, "__name__", "step"), int(time.time() * 1000))
        await db.execute("INSERT INTO migrations VALUES (?, ?, ?)", record)
        await db.commit()
    except BaseException:
        await db.rollback()
        raise
