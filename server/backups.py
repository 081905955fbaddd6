"""Backups of the workshop's file, made and restored with SQLite's backup API.

A backup may be made while the server runs. A restored file gets a new log identity: by it the
devices see that the server has gone back, and send again what is missing. Its workshop identity
stays.
"""

from __future__ import annotations

import json
import secrets
import sqlite3
from contextlib import closing
from pathlib import Path

from . import workshop
from .errors import StoreBroken, StoreError, StoreTooNew
from .lock import FolderLock
from .migrations import STEPS
from .sentences import sentence
from .store import FILE, as_store_error, prepare_file, prepare_folder


def backup(folder: Path, target: Path) -> Path:
    """Copy the workshop of `folder` into the new file `target`; raises StoreError."""
    source = folder / FILE
    if not source.is_file():
        raise StoreError(sentence("backups.no_workshop", folder=folder))
    if target.exists():
        raise StoreError(sentence("backups.target_exists", target=target))
    target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    prepare_file(target)
    try:
        _copy(source, target)
    except sqlite3.Error as e:
        target.unlink()
        raise as_store_error(e) from e
    return target


def _copy(source: Path, target: Path) -> None:
    with closing(sqlite3.connect(source)) as a, closing(sqlite3.connect(target)) as b:
        a.execute("PRAGMA query_only = ON")
        a.backup(b)
        b.execute("PRAGMA journal_mode = DELETE")  # one file, without -wal and -shm


def _check(source: Path) -> None:
    """Raises StoreError unless this is an undamaged backup that this version can read."""
    if not source.is_file():
        raise StoreError(sentence("backups.no_source", source=source))
    try:
        with closing(sqlite3.connect(f"{source.resolve().as_uri()}?mode=ro", uri=True)) as db:
            (health,) = db.execute("PRAGMA integrity_check").fetchone()
            (step,) = db.execute("SELECT max(n) FROM migrations").fetchone()
            db.execute("SELECT value FROM meta WHERE name = 'log'").fetchone()
    except sqlite3.Error as e:
        why = sentence("backups.not_a_backup", source=source, error=e)
        raise StoreBroken(why) from None
    if health != "ok":
        raise StoreBroken(sentence("backups.damaged", source=source, health=health))
    if step > len(STEPS):
        raise StoreTooNew(sentence("backups.too_new", source=source))


def _identity(path: Path) -> tuple[str | None, list[str]]:
    """(workshop, every log identity it has had) of a file; (None, []) if it cannot be read."""
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
    """The workshop identity in a file; None without a file, or in one from before identities."""
    return _identity(path)[0] if path.is_file() else None


def _renewed(source: Path, folder: Path) -> Path:
    """A copy of the backup in `folder`, with a new log identity.

    A backup from before workshop identities gets that of the file it replaces. The log identities
    that either file has had stay known, so that pages that met them are still accepted.
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
    """Move a damaged file with its -wal and -shm out of the way; nothing is deleted."""
    for tail in ("", "-wal", "-shm"):
        path = folder / (FILE + tail)
        if path.exists():
            path.rename(aside.with_name(aside.name + tail))


def restore(folder: Path, source: Path, stamp: str) -> Path | None:
    """Replace the workshop in `folder` by the backup `source`; `stamp` names the safety copy.

    Returns the path of the workshop as it was, None where there was none. Raises StoreError, and
    StoreInUse while a server runs.
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
    except (StoreError, sqlite3.Error):
        before.unlink(missing_ok=True)
        _set_aside(folder, before)
        fresh.rename(live)
    return before


def _copy_over(fresh: Path, live: Path) -> None:
    """In one transaction, so that a power cut leaves the old or the new, never a mixture."""
    with closing(sqlite3.connect(fresh)) as a, closing(sqlite3.connect(live)) as b:
        a.backup(b)
