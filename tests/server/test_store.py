"""The file: one writer, all or nothing, closed to others, and the durability it was promised."""

from __future__ import annotations

import asyncio
import json
import os
import sqlite3
import stat
from pathlib import Path

import pytest
from starlette.requests import Request

from server import store as storing
from server.app import answer_not_stored
from server.errors import StoreBroken, StoreError, StoreFull, StoreInUse
from server.lock import FolderLock
from server.store import (
    FILE,
    Entry,
    LogTransaction,
    Store,
    as_store_error,
    open_read_only,
    open_store,
    prepare_file,
)


def entry(seq: int) -> Entry:
    return Entry(seq, "{}", None)


async def count(store: Store) -> int:
    return len(await store.read(lambda log: log.all_changes(0, 10_000)))


async def test_the_file_is_opened_with_every_pragma_it_needs(workshop: Store) -> None:
    found = {
        name: await workshop.read(lambda log, name=name: log.pragma(name))
        for name, _, _ in storing.PRAGMAS
    }
    assert found == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "trusted_schema": 0,
        "mmap_size": 0,
    }


async def test_a_pragma_that_does_not_take_stops_the_start(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(storing, "PRAGMAS", [("synchronous", "OFF", 2)])
    with pytest.raises(StoreError, match="synchronous at 0"):
        async with open_store(tmp_path):
            pass


async def test_folder_and_files_are_closed_to_others(tmp_path: Path) -> None:
    async with open_store(tmp_path / "new" / "w") as store:
        await store.write(lambda log: log.add("a", [entry(1)], 1))
        assert stat.S_IMODE((tmp_path / "new" / "w").stat().st_mode) == 0o700
        files = list((tmp_path / "new" / "w").iterdir())
        assert {path.name for path in files} >= {FILE, FILE + "-wal", FILE + "-shm"}
        assert {stat.S_IMODE(path.stat().st_mode) for path in files} == {0o600}


async def test_a_failed_write_leaves_nothing(workshop: Store) -> None:
    async def half(log: LogTransaction) -> None:
        await log.add("a", [entry(1), entry(2)], 1)
        raise ValueError("in the middle")

    with pytest.raises(ValueError, match="in the middle"):
        await workshop.write(half)
    assert await count(workshop) == 0


async def test_a_cancelled_write_leaves_nothing_and_the_next_one_works(workshop: Store) -> None:
    began = asyncio.Event()

    async def waits(log: LogTransaction) -> None:
        await log.add("a", [entry(1)], 1)
        began.set()
        await asyncio.Event().wait()  # for ever

    task = asyncio.create_task(workshop.write(waits))
    await began.wait()
    task.cancel()
    with pytest.raises(asyncio.CancelledError):
        await task
    await workshop.write(lambda log: log.add("b", [entry(1)], 1))
    assert await count(workshop) == 1


async def test_writes_at_once_do_not_mix(workshop: Store) -> None:
    """Every second one fails after it has written; only its own rows go."""

    async def work(log: LogTransaction, n: int) -> None:
        await log.add(f"d{n}", [entry(1)], 1)
        await asyncio.sleep(0)
        await log.add(f"d{n}", [entry(2)], 1)
        if n % 2:
            raise ValueError

    tasks = [workshop.write(lambda log, n=n: work(log, n)) for n in range(40)]
    done = await asyncio.gather(*tasks, return_exceptions=True)
    assert sum(isinstance(each, ValueError) for each in done) == 20
    rows = await workshop.read(lambda log: log.all_changes(0, 1000))
    assert {row.device for row in rows} == {f"d{n}" for n in range(0, 40, 2)} and len(rows) == 40


async def test_a_reader_never_sees_what_is_rolled_back(workshop: Store) -> None:
    started = asyncio.Event()

    async def work(log: LogTransaction) -> None:
        await log.add("a", [entry(1)], 1)
        started.set()
        for _ in range(5):  # a reader that did not wait would be answered before these are
            await log.pragma("page_count")
        raise ValueError

    task = asyncio.create_task(workshop.write(work))
    await started.wait()
    assert await count(workshop) == 0
    with pytest.raises(ValueError):
        await task


async def test_a_second_server_on_the_same_folder_is_refused(tmp_path: Path) -> None:
    async with open_store(tmp_path):
        with pytest.raises(StoreInUse, match="Stop it first"):
            async with open_store(tmp_path):
                pass
    async with open_store(tmp_path):
        pass


async def test_looking_in_beside_the_writer_reads_and_cannot_write(tmp_path: Path) -> None:
    async with open_store(tmp_path) as store, open_read_only(tmp_path) as beside:
        await store.write(lambda log: log.add("a", [entry(1)], 1))
        assert await count(beside) == 1
        with pytest.raises(StoreError, match="may only be read"):
            await beside.write(lambda log: log.add("b", [entry(1)], 1))


async def test_looking_in_where_nothing_is_makes_nothing(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="no workshop"):
        async with open_read_only(tmp_path / "none"):
            pass
    assert not (tmp_path / "none").exists()


async def test_places_never_go_back(workshop: Store) -> None:
    await workshop.write(lambda log: log.add("a", [Entry(1, "{}", "bad")], 1))
    (row,) = await workshop.read(LogTransaction.set_aside)
    await workshop.write(lambda log: log.readmit(row, 2))
    assert await workshop.read(LogTransaction.last_place) == 2


async def test_a_damaged_file_is_told_as_one(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"this is no database, whatever its name" * 200)
    with pytest.raises(StoreBroken, match="restore"):
        async with open_store(tmp_path):
            pass


def test_errors_of_sqlite_are_told_by_their_code() -> None:
    with sqlite3.connect(":memory:") as db:
        db.execute("PRAGMA max_page_count = 1")
        with pytest.raises(sqlite3.Error) as full:
            db.execute("CREATE TABLE t (x)")
    db.close()
    assert isinstance(as_store_error(full.value), StoreFull)
    assert type(as_store_error(sqlite3.OperationalError("odd"))) is StoreError


@pytest.mark.parametrize(("error", "status"), [(StoreFull, 507), (StoreBroken, 503)])
async def test_a_full_store_and_one_that_cannot_be_read_are_answered_apart(
    error: type[StoreError], status: int
) -> None:
    """RFC 4918 section 11.5: 507 where there is no room; RFC 9110 section 15.6.4: 503 for now."""
    request = Request({"type": "http", "method": "POST", "path": "/sync", "headers": []})
    answer = await answer_not_stored(request, error("It was not stored."))
    assert answer.status_code == status
    assert json.loads(answer.body)["error"] == {"field": "store", "why": "It was not stored."}


def test_a_folder_found_locked_is_not_kept_open(tmp_path: Path) -> None:
    """A file that is opened gets the lowest free number (POSIX open): the same one, if none is kept."""
    held = FolderLock(tmp_path)

    def lowest_free() -> int:
        handle = os.open(tmp_path / "other", os.O_RDWR | os.O_CREAT)
        os.close(handle)
        return handle

    before = lowest_free()
    with pytest.raises(StoreInUse):
        FolderLock(tmp_path)
    assert lowest_free() == before
    held.release()
    FolderLock(tmp_path).release()


def test_a_file_that_was_open_to_others_is_closed_to_them(tmp_path: Path) -> None:
    file = tmp_path / FILE
    file.touch()
    file.chmod(0o644)
    prepare_file(file)
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
