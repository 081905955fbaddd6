"""The disk full, or failing at any write: no acknowledgement, nothing half stored, and all arrives
later.
"""

from __future__ import annotations

import sqlite3
from typing import Any

import aiosqlite
import pytest

from server.store import LogTransaction
from tests.server.link import Device, Link
from tests.server.test_app import shape


async def pages(link: Link, most: int) -> None:
    db = link.app.state.store.db
    await db.execute(f"PRAGMA max_page_count = {most}")


def taps(n: int) -> Device:
    device = Device("a")
    for i in range(1, n + 1):
        device.count(i, piece="a piece with a long name " * 6)
    return device


async def test_a_full_disk_acknowledges_nothing_and_later_all_arrives(link: Link) -> None:
    device = taps(3000)
    assert device.take(await link.push(device.request()))
    await pages(
        link, int(await link.app.state.store.read(lambda log: log.pragma("page_count"))) + 8
    )
    for _ in range(3):
        error = shape(await link.post(device.request()), 507)
        assert "disk is full" in error["why"] and "Nothing is lost" in error["why"]
    assert (await link.push(device.request() | {"changes": []}))["acked"] == 500
    await pages(link, 1_000_000)
    other = Device("b")
    await link.meet(device, other)
    assert other.totals()[0]["done"] == 3000 * 3001 // 2
    assert await link.app.state.store.read(lambda log: log.pragma("integrity_check")) == "ok"


@pytest.mark.parametrize("for_good", [False, True])
async def test_a_failure_at_any_step_stores_all_or_nothing(
    link: Link, monkeypatch: pytest.MonkeyPatch, for_good: bool
) -> None:
    """The Nth call to SQLite fails, N = 1, 2, 3... until a whole exchange goes by untouched."""
    device, nth, failed = taps(0), 0, 0
    while nth < 60:
        nth += 1
        for n in range(1, 4):
            device.count(n)
        before = (await link.push({"v": 1, "device": "x", "changes": []}))["upto"]
        calls = fail_nth(monkeypatch, nth, for_good)
        response = await link.post(device.request())
        monkeypatch.undo()
        stored = (await link.push({"v": 1, "device": "x", "changes": []}))["upto"]
        if response.status_code == 200:
            assert device.take(response.json()) is False and stored == len(device.own)
            if calls[0] < nth:
                break
            continue
        failed += 1
        shape(response, 503)
        assert stored == before
    assert failed >= 5 and calls[0] < nth, "the loop never reached an exchange without failure"
    other = Device("b")
    await link.meet(device, other)
    assert other.totals()[0]["done"] == sum(c["n"] for c in device.own)
    assert await link.app.state.store.read(lambda log: log.pragma("integrity_check")) == "ok"


def fail_nth(monkeypatch: pytest.MonkeyPatch, nth: int, for_good: bool) -> list[int]:
    calls = [0]

    def failing(name: str) -> Any:
        real = getattr(aiosqlite.Connection, name)

        async def call(self: aiosqlite.Connection, *args: Any) -> Any:
            calls[0] += 1
            if calls[0] == nth or (for_good and calls[0] > nth):
                raise sqlite3.OperationalError("disk I/O error")
            return await real(self, *args)

        return call

    for name in ("execute", "execute_fetchall", "executemany", "commit"):
        monkeypatch.setattr(aiosqlite.Connection, name, failing(name))
    return calls


async def test_a_poisoned_change_among_five_hundred_costs_only_itself(link: Link) -> None:
    device = Device("a")
    for n in range(1, 501):
        device.count(n if n != 250 else 0)
    await link.meet(device)
    assert device.acked == 500 and list(device.refused) == [250]
    (row,) = await link.app.state.store.read(LogTransaction.set_aside)
    assert row.seq == 250
    other = Device("b")
    await link.meet(other)
    assert other.totals()[0]["done"] == 500 * 501 // 2 - 250
