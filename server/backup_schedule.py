"""Backups made by themselves while the server runs, and which of them are kept.

One is made after a day with changes: at the first look after that day, and at the start if it has
passed meanwhile. Of each of the last 7 days, 8 weeks and 24 months that have any, the newest stays.
Where they go, and how the last one went, stands in a file of its own in the data folder, so that it
holds at the next start.
"""

from __future__ import annotations

import asyncio
import json
import logging
import re
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager, suppress
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

from . import audit, backups, sync
from .errors import StoreError
from .files import make_folder, sweep, told, unused, written_whole
from .sentences import sentence
from .store import LogTransaction, Store, now_ms

log = logging.getLogger("uvicorn.error")  # shown in the server's own window

NAME = "backups.json"
DAY_MS = 24 * 3600 * 1000
LOOK_S = 600.0  # between two looks at whether one is due
DAYS, WEEKS, MONTHS = 7, 8, 24
_STAMP = "%Y-%m-%d-%H%M%S"


@dataclass(frozen=True)
class State:
    """`folder`: the maker's choice, "" for the usual one. The last good backup: when, and up to which
    place of the log. `why`: what went wrong at the last try, "" for nothing.
    """

    folder: str = ""
    last_ms: int = 0
    place: int = 0
    why: str = ""


def read_state(data: Path) -> State:
    """The state in this data folder; a fresh one where there is none or it cannot be read."""
    try:
        found = json.loads((data / NAME).read_text("utf-8"))
        return State(str(found["folder"]), int(found["last_ms"]), int(found["place"]), found["why"])
    except (OSError, ValueError, KeyError, TypeError):
        return State()


def _keep_state(data: Path, state: State) -> None:
    with written_whole(data / NAME, replace=True) as part, told(part):
        part.write_text(json.dumps(asdict(state)), "utf-8")


def folder_of(data: Path) -> Path:
    """Where the backups of this data folder go."""
    chosen = read_state(data).folder
    return Path(chosen) if chosen else data / "backups"


def choose_folder(data: Path, folder: Path) -> None:
    """Backups go to this folder from now on; it is made where there is none. Raises StoreError."""
    make_folder(data)
    make_folder(folder)
    _keep_state(data, replace(read_state(data), folder=str(folder.resolve())))


def kept(moments: Iterable[datetime]) -> set[datetime]:
    """Which backups stay: the newest of each of the last days, weeks and months that have any."""
    newest_first = sorted(set(moments), reverse=True)
    stay: set[datetime] = set()
    for most, period in ((DAYS, "%Y-%m-%d"), (WEEKS, "%G-%V"), (MONTHS, "%Y-%m")):
        newest: dict[str, datetime] = {}
        for moment in newest_first:
            newest.setdefault(moment.strftime(period), moment)
        stay |= set(list(newest.values())[:most])
    return stay


def is_due(state: State, place: int, now: int) -> bool:
    """Whether there is something new, and a day has passed; also where the clock was put back."""
    if place == state.place:
        return False
    return not state.last_ms <= now < state.last_ms + DAY_MS


def status(data: Path) -> dict[str, Any] | None:
    """The last good backup as the page shows it; None before the first try."""
    state = read_state(data)
    if not state.last_ms and not state.why:
        return None
    known = {"last_ms": state.last_ms, "folder": str(folder_of(data)), "ok": not state.why}
    return known | ({"why": state.why} if state.why else {})


def _named(workshop: str, when: datetime) -> str:
    return f"ringwright-{workshop[:8]}-{when.strftime(_STAMP)}.sqlite"


def _dated(folder: Path, workshop: str) -> dict[datetime, list[Path]]:
    """The backups of this workshop that were made by themselves, by their moments."""
    shape = re.compile(rf"ringwright-{workshop[:8]}-(\d{{4}}-\d\d-\d\d-\d{{6}})(-\d+)?\.sqlite")
    found: dict[datetime, list[Path]] = {}
    for path in folder.iterdir():
        match = shape.fullmatch(path.name)
        if match:
            with suppress(ValueError):
                found.setdefault(datetime.strptime(match[1], _STAMP), []).append(path)
    return found


def make(data: Path, workshop: str, now: int) -> State:
    """Make a backup, check it, and let go of those no longer kept; returns the state after it.

    Never raises for a folder that is missing, full or read-only: the state says so.
    """
    state = read_state(data)
    try:
        report = _make(data, state, workshop, datetime.fromtimestamp(now / 1000))
    except StoreError as e:
        state = replace(state, why=str(e))
    else:
        state = replace(state, last_ms=now, place=report.last_place, why=_why(report))
    try:
        _keep_state(data, state)
    except StoreError as e:
        state = replace(state, why=state.why or str(e))
    return state


def _why(report: audit.Report) -> str:
    rows = "; ".join(report.named)
    return sentence("backup_schedule.damaged", rows=rows) if report.damaged else ""


def _make(data: Path, state: State, workshop: str, when: datetime) -> audit.Report:
    folder = folder_of(data)
    if state.folder and not folder.is_dir():  # not made: an unplugged disk is no empty folder
        raise StoreError(sentence("backup_schedule.no_folder", folder=folder))
    make_folder(folder)
    with told(folder):
        report = backups.backup(data, unused(folder / _named(workshop, when)))
        if not report.damaged:  # or good ones would go, and damaged ones stay
            _let_go(folder, workshop)
    sweep(folder)
    return report


def _let_go(folder: Path, workshop: str) -> None:
    found = _dated(folder, workshop)
    stay = kept(found)
    for moment, paths in found.items():
        for path in paths if moment not in stay else []:
            path.unlink()


async def make_if_due(data: Path, store: Store, now: int) -> State | None:
    """Make a backup beside the running server if one is due; the state after it, None if not."""
    store.check_place()
    place = await store.read(LogTransaction.last_place)
    if not is_due(read_state(data), place, now):
        return None
    workshop = await store.read(LogTransaction.workshop)
    return await asyncio.to_thread(make, data, workshop, now)


async def _look_after(data: Path, store: Store) -> None:
    """Look for damage once, then make backups whenever they are due."""
    told_last = ""
    try:
        for row in await sync.put_damaged_aside(store, now_ms()):
            log.error("%s", sentence("backup_schedule.aside", device=row.device, seq=row.seq))
    except StoreError as e:
        log.error("%s", e)
    while True:
        try:
            state = await make_if_due(data, store, now_ms())
            why = state.why if state else told_last
        except StoreError as e:
            why = str(e)
        if why and why != told_last:
            log.error("%s", sentence("backup_schedule.trouble", why=why))
        told_last = why
        await asyncio.sleep(LOOK_S)


@asynccontextmanager
async def looked_after(data: Path, store: Store) -> AsyncIterator[None]:
    """Inside, the workshop is backed up by itself."""
    task = asyncio.create_task(_look_after(data, store))
    try:
        yield
    finally:
        task.cancel()
        with suppress(asyncio.CancelledError):
            await task
