"""`ringwright doctor`: whether everything is in place, and if not, what to do. Changes nothing."""

from __future__ import annotations

import platform
import sqlite3
import sys
from collections.abc import AsyncIterator
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

from shared.ask import answer

from . import tls, vendor
from .errors import StoreError
from .sentences import sentence
from .settings import Settings
from .store import FILE, LogTransaction, open_read_only
from .workshop import short


class Finding(NamedTuple):
    """One thing checked: whether it is in order, and a line about it."""

    ok: bool
    what: str


def _programs() -> Finding:
    versions = {
        "ringwright": version("ringwright"),
        "python": platform.python_version(),
        "sqlite": sqlite3.sqlite_version,
    }
    return Finding(True, sentence("doctor.versions", **versions))


def _page(settings: Settings) -> Finding:
    gone = vendor.missing(settings.static)
    if gone:
        names = ", ".join(gone)
        return Finding(False, sentence("doctor.page_lacks", names=names, command=vendor.COMMAND))
    return Finding(True, sentence("doctor.page_ok", n=len(vendor.FILES)))


def _engine() -> Finding:
    reply = answer('{"ask": "gauge", "gauge": 16}')
    if '"ok": true' in reply:
        return Finding(True, sentence("doctor.engine_ok"))
    return Finding(False, sentence("doctor.engine_fails", reply=reply))


def _permissions(path: Path) -> Finding:
    """Only the owner may read the workshop. Windows has access lists instead, not checked here."""
    mode = path.stat().st_mode & 0o777
    if sys.platform == "win32" or not mode & 0o077:
        return Finding(True, sentence("doctor.mode", path=path, mode=f"{mode:04o}"))
    private = "700" if path.is_dir() else "600"
    why = sentence("doctor.mode_open", path=path, mode=f"{mode:04o}", private=private)
    return Finding(False, why)


async def _log(tx: LogTransaction) -> list[Finding]:
    health = await tx.pragma("integrity_check")
    mode = await tx.pragma("journal_mode")
    devices = await tx.devices()
    workshop = await tx.workshop()
    aside = sum(each[2] for each in devices)
    numbers = {"changes": sum(each[1] for each in devices), "devices": len(devices)}
    out = [
        Finding(health == "ok", sentence("doctor.integrity", health=health)),
        Finding(mode == "wal", sentence("doctor.journal_mode", mode=mode)),
        Finding(True, sentence("doctor.workshop", short=short(workshop), workshop=workshop)),
        Finding(True, sentence("doctor.log", log=await tx.log(), **numbers)),
        Finding(aside == 0, sentence("doctor.set_aside", n=aside)),
    ]
    for name, n, bad, _ in devices:
        out.append(Finding(True, sentence("doctor.device", name=name, n=n, aside=bad)))
    return out


async def findings(settings: Settings) -> AsyncIterator[Finding]:
    """Each thing checked, in order; ends early where there is no file or it cannot be opened."""
    for finding in (_programs(), _page(settings), _engine()):
        yield finding
    if not (settings.data / FILE).is_file():
        yield Finding(True, sentence("doctor.no_workshop", folder=settings.data))
        return
    for path in (settings.data, settings.data / FILE):
        yield _permissions(path)
    for ok, what in tls.examine(settings.data, (settings.port, settings.guide_port)):
        yield Finding(ok, what)
    try:
        async with open_read_only(settings.data) as store:
            for finding in await store.read(_log):
                yield finding
    except (StoreError, sqlite3.Error) as e:
        yield Finding(False, str(e))
