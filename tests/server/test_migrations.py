"""Migrations: each whole or not at all, and an old file keeps its rows."""

from __future__ import annotations

import time
from collections.abc import AsyncIterator
from pathlib import Path

import aiosqlite
import pytest

from server.errors import StoreTooNew
from server.migrations import STEPS, migrate, step_reached
from server.store import FILE, Entry, open_store


@pytest.fixture
async def db() -> AsyncIterator[aiosqlite.Connection]:
    async with aiosqlite.connect(":memory:", isolation_level=None) as connection:
        yield connection


async def tables(db: aiosqlite.Connection) -> set[str]:
    return {
        row[0]
        for row in await db.execute_fetchall("SELECT name FROM sqlite_schema WHERE type = 'table'")
    }


async def lay_a_table(db: aiosqlite.Connection) -> None:
    await db.execute("CREATE TABLE fresh (x)")
    await db.execute("INSERT INTO fresh VALUES (1)")


async def fail_late(db: aiosqlite.Connection) -> None:
    await db.execute("CREATE TABLE half (x)")
    await db.execute("DROP TABLE changes")
    await db.execute("INSERT INTO nowhere VALUES (1)")


async def test_an_empty_file_is_brought_up_and_then_left_alone(db: aiosqlite.Connection) -> None:
    assert await step_reached(db) == 0
    assert await migrate(db) == len(STEPS)
    assert {"meta", "changes", "clashes", "migrations"} <= await tables(db)
    (first,) = await db.execute_fetchall("SELECT value FROM meta WHERE name = 'log'")
    assert await migrate(db) == len(STEPS) == await step_reached(db)
    assert list(await db.execute_fetchall("SELECT value FROM meta WHERE name = 'log'")) == [first]


async def test_a_failing_step_leaves_the_file_as_it_was_before_it(db: aiosqlite.Connection) -> None:
    await migrate(db)
    with pytest.raises(aiosqlite.OperationalError, match="nowhere"):
        await migrate(db, [*STEPS, lay_a_table, fail_late])
    assert await step_reached(db) == len(STEPS) + 1
    assert {"changes", "fresh"} <= await tables(db) and "half" not in await tables(db)


async def test_each_step_is_recorded_by_number_and_name(db: aiosqlite.Connection) -> None:
    await migrate(db, [*STEPS, lay_a_table])
    rows = list(await db.execute_fetchall("SELECT n, name FROM migrations ORDER BY n"))
    named = ["lay_the_log", "name_the_workshop", "keep_checksums", "lay_a_table"]
    assert rows == list(enumerate(named, 1))


async def test_an_old_file_keeps_its_rows(tmp_path: Path) -> None:
    async with open_store(tmp_path) as store:
        await store.write(lambda tx: tx.add("a", [Entry(1, '{"seq":1}', None)], 1))
    async with aiosqlite.connect(tmp_path / FILE, isolation_level=None) as db:
        await migrate(db, [*STEPS, lay_a_table])
        assert list(await db.execute_fetchall("SELECT body FROM changes")) == [('{"seq":1}',)]


async def test_a_file_of_a_newer_version_is_refused_untouched(tmp_path: Path) -> None:
    async with open_store(tmp_path):
        pass
    async with aiosqlite.connect(tmp_path / FILE, isolation_level=None) as db:
        await migrate(db, [*STEPS, lay_a_table])
    with pytest.raises(StoreTooNew, match="newer"):
        async with open_store(tmp_path):
            pass


async def test_the_time_of_a_step_is_kept_in_milliseconds_since_1970(
    db: aiosqlite.Connection,
) -> None:
    before = time.time_ns() // 1_000_000
    await migrate(db)
    after = time.time_ns() // 1_000_000
    rows = await db.execute_fetchall("SELECT applied_ms FROM migrations")
    assert all(before - 1 <= row[0] <= after + 1 for row in rows) and len(list(rows)) == len(STEPS)
