"""What a sync costs: 20,000 changes pushed, pulled and replayed through the app, beside the bare
SQLite writes.

Run it: .venv/bin/python tests/bench/sync_cost.py. It prints; nothing is asserted.
"""

from __future__ import annotations

import asyncio
import json
import sqlite3
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.server.link import Device, Link, app_link

N = 20_000
BATCH = 500


def bare(device: Device, path: Path) -> None:
    """The same rows, the same durability, one transaction a batch, and nothing else."""
    with closing(sqlite3.connect(path, isolation_level=None)) as db:
        db.execute("PRAGMA journal_mode = WAL")
        db.execute("PRAGMA synchronous = FULL")
        db.execute(
            "CREATE TABLE changes (device TEXT, seq INTEGER, body TEXT, PRIMARY KEY (device, seq))"
        )
        for start in range(0, N, BATCH):
            db.execute("BEGIN IMMEDIATE")
            rows = [
                (c["device"], c["seq"], json.dumps(c)) for c in device.own[start : start + BATCH]
            ]
            db.executemany("INSERT INTO changes VALUES (?, ?, ?)", rows)
            db.execute("COMMIT")


async def replay(link: Link, device: Device) -> None:
    for start in range(0, N, BATCH):
        await link.push(
            {"v": 1, "device": device.name, "changes": device.own[start : start + BATCH]}
        )


def timed(work: Callable[[], None]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


async def measure(folder: Path) -> None:
    device = Device("a")
    for n in range(N):
        device.count(n + 1)
    base = timed(lambda: bare(device, folder / "bare.sqlite"))
    print(f"{'bare SQLite writes':24} {base:7.2f} s    1.0")
    async with app_link(folder / "w") as link:
        for name, work in (
            ("pushed", lambda: link.meet(device)),
            ("pulled by another", lambda: link.meet(Device("b"))),
            ("pushed again", lambda: replay(link, device)),
        ):
            began = time.perf_counter()
            await work()
            spent = time.perf_counter() - began
            print(f"{name:24} {spent:7.2f} s {spent / base:6.1f}")


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        asyncio.run(measure(Path(name)))
