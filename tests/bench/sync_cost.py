"""What a sync costs: 20,000 changes pushed, pulled by another device and pushed again, beside bare SQLite.

Bare: the same rows into the same tables of an empty workshop's file, with its own settings, one
transaction a batch, each change written down by Python's `json`. The server's work is timed from the
request that has arrived to the answer that is ready; what a phone does itself is not in it. Rounds
take turns, and the middle one counts, since a busy machine slows now the one, now the other.

Run it: .venv/bin/python tests/bench/sync_cost.py [rounds]. It prints; nothing is asserted.
"""

from __future__ import annotations

import asyncio
import json
import sqlite3
import statistics
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from starlette.types import ASGIApp, Receive, Scope, Send

from server.store import FILE, PRAGMAS, open_store
from tests.server.link import Device, Link, app_link

N = 20_000
BATCH = 500
INSERT = "INSERT INTO changes (device, seq, received_ms, body, why, mark) VALUES (?, ?, ?, ?, ?, ?)"


async def empty_file(folder: Path) -> Path:
    """A new workshop's file, as the server makes it."""
    async with open_store(folder):
        pass
    return folder / FILE


def bare(own: list[dict[str, Any]], file: Path) -> float:
    """Seconds for the same rows with nothing looked at, looked up or worked out."""
    with closing(sqlite3.connect(file, isolation_level=None)) as db:
        for name, wanted, _ in PRAGMAS:
            db.execute(f"PRAGMA {name} = {wanted}")
        began = time.perf_counter()
        for start in range(0, len(own), BATCH):
            batch = own[start : start + BATCH]
            db.execute("BEGIN IMMEDIATE")
            db.executemany(
                INSERT, [(c["device"], c["seq"], c["at"], json.dumps(c), None, 0) for c in batch]
            )
            db.execute("COMMIT")
        return time.perf_counter() - began


class Timed:
    """The app, and the seconds spent in it."""

    def __init__(self, app: ASGIApp) -> None:
        self.app, self.seconds = app, 0.0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        began = time.perf_counter()
        try:
            await self.app(scope, receive, send)
        finally:
            self.seconds += time.perf_counter() - began


async def replay(link: Link, device: Device) -> None:
    for start in range(0, len(device.own), BATCH):
        batch = device.own[start : start + BATCH]
        await link.push({"v": 1, "device": device.name, "changes": batch})


async def served(own: list[dict[str, Any]], folder: Path) -> list[float]:
    """Seconds in the app: pushed, pulled by another device, pushed again."""
    device = Device("a")
    device.own = own
    spent = []
    async with app_link(folder) as link:
        timed = link.client._transport.app = Timed(link.app)  # type: ignore[attr-defined]
        for work in (link.meet(device), link.meet(Device("b")), replay(link, device)):
            timed.seconds = 0.0
            await work
            spent.append(timed.seconds)
    return spent


def said() -> list[dict[str, Any]]:
    """What a device says in a season of taps."""
    device = Device("a")
    for n in range(N):
        device.count(n % 50 + 1, sitting=f"{n // 200:016x}")
    return device.own


def round_of(own: list[dict[str, Any]]) -> list[float]:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        base = bare(own, asyncio.run(empty_file(folder / "bare")))
        return [base, *asyncio.run(served(own, folder / "served"))]


def show(names: list[str], rounds: list[list[float]]) -> None:
    """One line a name: the middle of its seconds, and of its ratios to the round's first."""
    for k, name in enumerate(names):
        seconds = statistics.median(r[k] for r in rounds)
        ratio = statistics.median(r[k] / r[0] for r in rounds)
        print(f"{name:24} {seconds:7.2f} s {ratio:6.2f}  {N / seconds:9,.0f} changes a second")


def main() -> None:
    own = said()
    rounds = [round_of(own) for _ in range(int(sys.argv[1]) if len(sys.argv) > 1 else 7)]
    names = ["bare SQLite writes", "pushed", "pulled by another", "pushed again"]
    show(names, rounds)


if __name__ == "__main__":
    main()
