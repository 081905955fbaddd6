"""Copies of the workshop's file, made and put back with SQLite's own copier; a running server may
go on.

A restored file gets a new log identity: by it the devices see that the server is older than
they are, and send again what is missing. Whose counts it holds stays: a restored file is the same
workshop.
"""

from __future__ import annotations

import json
import secrets
import sqlite3
from contextlib import closing
from pathlib import Path

from . import workshop
from .errors import StoreBroken, StoreTooNew, StoreTrouble
from .lock import FolderLock
from .migrations import STEPS
from .store import FILE, prepare_file, prepare_folder, told


def backup(folder: Path, target: Path) -> Path:
    """Copy the workshop of `folder` into a new single file; raises StoreTrouble."""
    source = folder / FILE
    if not source.is_file():
        raise StoreTrouble(f"There is no workshop in {folder} to copy.")
    if target.exists():
        raise StoreTrouble(f"{target} exists already; name a new file for the copy.")
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    prepare_file(target)
    try:
        _copy(source, target)
    except sqlite3.Error as e:
        target.unlink()
        raise told(e) from e
    return target


def _copy(source: Path, target: Path) -> None:
    with closing(sqlite3.connect(source)) as a, closing(sqlite3.connect(target)) as b:
        a.execute("PRAGMA query_only = ON")
        a.backup(b)
        b.execute("PRAGMA journal_mode = DELETE")  # the copy is one file, without companions


def _check(source: Path) -> None:
    """Raises StoreTrouble unless this is a sound copy of a workshop, no newer than this program."""
    if not source.is_file():
        raise StoreTrouble(f"{source} is not there.")
    try:
        with closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as db:
            (health,) = db.execute("PRAGMA integrity_check").fetchone()
            (step,) = db.execute("SELECT max(n) FROM migrations").fetchone()
            db.execute("SELECT value FROM meta WHERE name = 'log'").fetchone()
    except sqlite3.Error as e:
        raise StoreBroken(
            f"{source} is no copy of a workshop, or is damaged ({e}). Choose another."
        ) from None
    if health != "ok":
        raise StoreBroken(f"{source} is damaged ({health}). Choose another copy.")
    if step > len(STEPS):
        raise StoreTooNew(
            f"{source} was written by a newer Ringwright. Install that version to restore it."
        )


def _identity(path: Path) -> tuple[str | None, list[str]]:
    """(workshop, every log identity it had) of a file; (None, []) of one that cannot be read."""
    try:
        with closing(sqlite3.connect(path)) as db:
            db.execute("PRAGMA query_only = ON")
            meta = dict(db.execute("SELECT name, value FROM meta").fetchall())
            return meta.get("workshop"), (
                json.loads(meta["logs"]) if "logs" in meta else [meta["log"]]
            )
    except (sqlite3.Error, KeyError, ValueError):
        return None, []


def workshop_of(path: Path) -> str | None:
    """The identity of the workshop in a file; None where there is none, or it is older than the
    name.
    """
    return _identity(path)[0] if path.is_file() else None


def _renewed(source: Path, folder: Path) -> Path:
    """A copy of the copy, with a log identity of its own. A copy older than the workshop's name takes
    the one in whose place it comes; the logs that either had stay known, so that pages of that time
    find home.
    """
    fresh = folder / "restoring.sqlite"
    fresh.unlink(missing_ok=True)
    prepare_file(fresh)
    _copy(source, fresh)
    theirs, logs = _identity(fresh)
    ours, known = _identity(folder / FILE) if (folder / FILE).is_file() else (None, [])
    identity = theirs or ours or workshop.from_log(logs[0])
    if ours in (None, identity):
        logs = [*logs, *known]
    log = secrets.token_hex(8)
    rows = [("workshop", identity), ("log", log), ("logs", json.dumps(sorted({*logs, log})))]
    with closing(sqlite3.connect(fresh)) as db, db:
        db.executemany("INSERT OR REPLACE INTO meta VALUES (?, ?)", rows)
    return fresh


def _set_aside(folder: Path, aside: Path) -> None:
    """Move a file that cannot even be copied, with its companions, out of the way; nothing is
    deleted.
    """
    for tail in ("", "-wal", "-shm"):
        path = folder / (FILE + tail)
        if path.exists():
            path.rename(aside.with_name(aside.name + tail))


def restore(folder: Path, source: Path, stamp: str) -> Path | None:
    """Put a copy in the workshop's place; returns where the workshop as it was is kept. No server
    may run.
    """
    _check(source)
    prepare_folder(folder)
    lock = FolderLock(folder)
    try:
        return _restore(folder, source, folder / "backups" / f"before-restore-{stamp}.sqlite")
    finally:
        lock.release()


def _restore(folder: Path, source: Path, before: Path) -> Path | None:
    fresh, live = _renewed(source, folder), folder / FILE
    if not live.exists():
        fresh.rename(live)
        return None
    try:
        backup(folder, before)
        _copy_over(fresh, live)
        fresh.unlink()
    except (StoreTrouble, sqlite3.Error):
        before.unlink(missing_ok=True)
        _set_aside(folder, before)
        fresh.rename(live)
    return before


def _copy_over(fresh: Path, live: Path) -> None:
    """In one transaction of SQLite's: a power cut leaves the old or the new, never a mixture."""
    with closing(sqlite3.connect(fresh)) as a, closing(sqlite3.connect(live)) as b:
        a.backup(b)
