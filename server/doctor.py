"""`ringwright doctor`: whether everything is in place, and if not, what to do. Changes nothing."""

from __future__ import annotations

import platform
import shutil
import sqlite3
import sys
from collections.abc import AsyncIterator
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import NamedTuple

from shared.ask import answer

from . import audit, backup_schedule, lock, tls, vendor
from .errors import StoreBroken, StoreError
from .sentences import sentence
from .settings import Settings
from .store import FILE, PRAGMAS, LogTransaction, now_ms, open_read_only
from .workshop import short

DAY_MS = 24 * 3600 * 1000
YEAR_MS = 365 * DAY_MS
LEAST_FREE = 200 * 1024 * 1024  # bytes: below it, a backup or a busy season may find no room
# SQLite can spoil a file where several connections write at one moment; mended since this version
ONE_WRITER_BEFORE = (3, 51, 3)


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


def _sqlite() -> Finding:
    if sqlite3.sqlite_version_info >= ONE_WRITER_BEFORE:
        return Finding(True, sentence("doctor.sqlite", version=sqlite3.sqlite_version))
    return Finding(True, sentence("doctor.sqlite_one_writer", version=sqlite3.sqlite_version))


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


def _day(ms: int) -> str:
    return datetime.fromtimestamp(ms / 1000).strftime("%Y-%m-%d %H:%M")


def _disk(settings: Settings) -> Finding:
    free = shutil.disk_usage(settings.data).free
    wanted = max(LEAST_FREE, 4 * (settings.data / FILE).stat().st_size)
    values = {"free": f"{free / 1e6:,.0f}", "wanted": f"{wanted / 1e6:,.0f}"}
    if free < wanted:
        return Finding(False, sentence("doctor.disk_low", folder=settings.data, **values))
    return Finding(True, sentence("doctor.disk", free=values["free"]))


def _built_ms() -> int:
    """When this program was put here, as its files say."""
    newest = max(path.stat().st_mtime for path in Path(__file__).parent.glob("*.py"))
    return int(newest * 1000)


def clock(now: int, newest: int, built: int) -> Finding:
    """Whether the clock can be right; `newest`: when the last change came in, 0 for none."""
    if now < max(newest, built) - DAY_MS:
        values = {"now": _day(now), "then": _day(max(newest, built))}
        return Finding(False, sentence("doctor.clock_behind", **values))
    if newest and now > newest + YEAR_MS:
        values = {"now": _day(now), "then": _day(newest)}
        return Finding(False, sentence("doctor.clock_ahead", **values))
    return Finding(True, sentence("doctor.clock", now=_day(now)))


def _in_use(settings: Settings) -> Finding:
    if lock.is_held(settings.data):
        return Finding(True, sentence("doctor.one_server"))
    return Finding(True, sentence("doctor.no_server"))


def backups(settings: Settings, report: audit.Report, now: int) -> list[Finding]:
    """The last good backup, and how old it is beside the newest change."""
    state = backup_schedule.read_state(settings.data)
    folder = backup_schedule.folder_of(settings.data)
    out = []
    if state.why:
        out.append(Finding(False, sentence("doctor.backup_failed", why=state.why)))
    since = state.last_ms or report.oldest_ms or now
    late = report.last_place != state.place and now - since >= 2 * DAY_MS
    if not state.last_ms:
        out.append(Finding(not late, sentence("doctor.no_backup", folder=folder)))
        return out
    days = (now - state.last_ms) // DAY_MS
    values = {"folder": folder, "when": _day(state.last_ms), "days": days}
    if late:
        out.append(Finding(False, sentence("doctor.backup_old", **values)))
    else:
        out.append(Finding(True, sentence("doctor.backup", **values)))
    return out


def _damage(report: audit.Report) -> list[Finding]:
    """The file as a whole, then its changes, read one by one."""
    if report.broken:
        health = "; ".join(report.broken)
        return [Finding(False, sentence("doctor.broken", health=health))]
    out = [Finding(True, sentence("doctor.integrity"))]
    if report.damaged:
        rows = "; ".join(report.named)
        out.append(Finding(False, sentence("doctor.damaged", rows=rows)))
    else:
        out.append(Finding(True, sentence("doctor.undamaged", n=report.changes)))
    return out


def _pragmas(settings: Settings) -> list[Finding]:
    """The settings by which nothing is lost."""
    found = audit.pragmas(settings.data / FILE)
    return [_setting(name, found[name], expected) for name, _, expected in PRAGMAS]


def _setting(name: str, found: object, expected: object) -> Finding:
    values = {"name": name, "found": found, "wanted": expected}
    if found == expected:
        return Finding(True, sentence("doctor.setting", **values))
    return Finding(False, sentence("doctor.setting_bad", **values))


async def _log(tx: LogTransaction) -> list[Finding]:
    devices = await tx.devices()
    workshop = await tx.workshop()
    aside = sum(each[2] for each in devices)
    numbers = {"changes": sum(each[1] for each in devices), "devices": len(devices)}
    out = [
        Finding(True, sentence("doctor.workshop", short=short(workshop), workshop=workshop)),
        Finding(True, sentence("doctor.log", log=await tx.log(), **numbers)),
        Finding(aside == 0, sentence("doctor.set_aside", n=aside)),
    ]
    for name, n, bad, _ in devices:
        out.append(Finding(True, sentence("doctor.device", name=name, n=n, aside=bad)))
    return out


async def findings(settings: Settings) -> AsyncIterator[Finding]:
    """Each thing checked, in order; ends early where there is no file or it cannot be opened."""
    for finding in (_programs(), _sqlite(), _page(settings), _engine()):
        yield finding
    if not (settings.data / FILE).is_file():
        yield Finding(True, sentence("doctor.no_workshop", folder=settings.data))
        return
    for finding in _outside(settings):
        yield finding
    for ok, what in tls.examine(settings.data, (settings.port, settings.guide_port)):
        yield Finding(ok, what)
    try:
        report = audit.examine(settings.data / FILE, live=True)
        inside = [*_damage(report), clock(now_ms(), report.newest_ms, _built_ms())]
        for finding in [*inside, *backups(settings, report, now_ms()), *_pragmas(settings)]:
            yield finding
        async with open_read_only(settings.data) as store:
            for finding in await store.read(_log):
                yield finding
    except StoreBroken:
        yield Finding(False, sentence("doctor.unreadable"))
    except StoreError as e:
        yield Finding(False, str(e))


def _outside(settings: Settings) -> list[Finding]:
    """What can be seen without reading the file."""
    folder = backup_schedule.folder_of(settings.data)
    mine = [settings.data / f"{FILE}{tail}" for tail in ("", "-wal", "-shm")]
    paths = [settings.data, *mine, *sorted(folder.glob("*.sqlite"))]
    closed = [_permissions(path) for path in paths if path.exists()]
    shown = [each for n, each in enumerate(closed) if n < 2 or not each.ok]
    return [*shown, _disk(settings), _in_use(settings)]
