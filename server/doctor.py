"""`ringwright doctor`: is everything in place, and if not, what to do. Looks, and changes nothing."""

from __future__ import annotations

import platform
import sqlite3
import sys
from collections.abc import AsyncIterator
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

from shared.ask import answer

from . import vendor
from .errors import StoreTrouble
from .settings import Settings
from .store import FILE, Book, look_into
from .workshop import short


class Finding(NamedTuple):
    well: bool
    what: str


def _programs() -> Finding:
    said = (
        f"ringwright {version('ringwright')}, Python {platform.python_version()}, SQLite"
        f" {sqlite3.sqlite_version}"
    )
    return Finding(True, said)


def _page(settings: Settings) -> Finding:
    gone = vendor.missing(settings.static)
    if gone:
        return Finding(
            False, f"the page lacks {', '.join(gone)}; bring them with: {vendor.COMMAND}"
        )
    return Finding(True, f"the page's libraries are in place ({len(vendor.FILES)} files)")


def _engine() -> Finding:
    said = answer('{"ask": "gauge", "gauge": 16}')
    return Finding(
        '"ok": true' in said,
        "the engine answers" if '"ok": true' in said else f"the engine says {said}",
    )


def _closed(path: Path) -> Finding:
    """Only the owner may read the workshop. Windows keeps this in access lists, which are not
    judged here.
    """
    mode = path.stat().st_mode & 0o777
    well = sys.platform == "win32" or not mode & 0o077
    advice = "" if well else f"; close it with: chmod {'700' if path.is_dir() else '600'} {path}"
    return Finding(well, f"{path} has mode {mode:04o}{advice}")


async def _look(book: Book) -> list[Finding]:
    health = await book.pragma("integrity_check")
    mode = await book.pragma("journal_mode")
    devices = await book.devices()
    workshop = await book.workshop()
    aside = sum(each[2] for each in devices)
    found = [
        Finding(health == "ok", f"SQLite's integrity check says {health}"),
        Finding(mode == "wal", f"journal mode {mode}"),
        Finding(True, f"workshop {short(workshop)} ({workshop})"),
        Finding(
            True,
            f"log {await book.log()}: {sum(each[1] for each in devices)} changes of {len(devices)}"
            " devices",
        ),
        Finding(aside == 0, f"{aside} changes set aside; read them with: ringwright export"),
    ]
    return found + [
        Finding(True, f"device {name}: {n} changes, {bad} set aside") for name, n, bad, _ in devices
    ]


async def findings(settings: Settings) -> AsyncIterator[Finding]:
    """Each thing looked at, in order; stops where the file cannot be opened."""
    for finding in (_programs(), _page(settings), _engine()):
        yield finding
    if not (settings.data / FILE).is_file():
        yield Finding(True, f"no workshop in {settings.data} yet; ringwright serve makes one")
        return
    for path in (settings.data, settings.data / FILE):
        yield _closed(path)
    try:
        async with look_into(settings.data) as store:
            for finding in await store.read(_look):
                yield finding
    except (StoreTrouble, sqlite3.Error) as e:
        yield Finding(False, str(e))
