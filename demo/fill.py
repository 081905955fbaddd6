"""Fills the demo's data folder with the invented workshop, once: python demo/fill.py FOLDER."""

from __future__ import annotations

import asyncio
import sys
from datetime import date
from pathlib import Path

import bench

from server.app import now_ms
from server.log_transfer import ImportResult, import_changes
from server.store import FILE, open_store


async def fill(folder: Path, today: date) -> ImportResult:
    """Through the same door as any import: the same checks, the same writer."""
    async with open_store(folder) as store:
        return await import_changes(store, {"demo": bench.log_of(today)}, now_ms())


def main(folder: Path) -> None:
    if (folder / FILE).is_file():
        print(f"The invented workshop is already in {folder}; delete that folder to begin again.")
        return
    brought = asyncio.run(fill(folder, date.today()))
    print(
        f"Filled {folder} with an invented workshop: {brought.fresh} changes over {bench.DAYS}"
        " days."
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
