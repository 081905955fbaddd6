"""Backups of the workshop's file, made and restored with SQLite's backup API.

A backup may be made while the server runs; it is read through before it gets its name. A restored
file gets a new log identity: by it the devices see that the server has gone back, and send again
what is missing. Its workshop identity stays. Nothing that was there before is ever deleted.
"""

from __future__ import annotations

import json
import os
import secrets
import sqlite3
from contextlib import closing, suppress
from pathlib import Path

from . import audit, checksums, workshop
from .errors import StoreBroken, StoreError, StoreTooNew
from .files import (
    make_folder,
    part_beside,
    put_in_place,
    sweep,
    told,
    trouble,
    unused,
    written_whole,
)
from .lock import FolderLock
from .sentences import sentence
from .store import FILE, prepare_file

TAILS = ("", "-wal", "-shm")  # the files of one workshop
_BAD = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def backup(folder: Path, target: Path) -> audit.Report:
    """Copy the workshop of `folder` into the new file `target`, and read the copy through.

    A copy with damaged changes is kept, since the others are worth it; the report names them.
    Raises StoreError; StoreBroken where the workshop's file itself is damaged.
    """
    source = folder / FILE
    if not source.is_file():
        raise StoreError(sentence("backups.no_workshop", folder=folder))
    if os.path.lexists(target):
        raise StoreError(sentence("backups.target_exists", target=target))
    make_folder(target.parent)
    with written_whole(target) as part:
        _copy(source, part, live=True)
        report = audit.examine(part)
        if report.broken:
            raise StoreBroken(sentence("backups.source_damaged", health="; ".join(report.broken)))
    return report


def _copy(source: Path, target: Path, live: bool = False) -> None:
    """Raises StoreBroken where the source is damaged, StoreError for the disk it is written to."""
    with audit.opened(source, live) as a, closing(sqlite3.connect(target)) as b:
        try:
            a.execute("SELECT count(*) FROM sqlite_schema").fetchone()
        except sqlite3.Error as e:
            raise trouble(e, source) from e
        with told(target):
            b.execute("PRAGMA synchronous = FULL")
        try:
            a.backup(b)
            b.execute("PRAGMA journal_mode = DELETE")  # one file, without -wal and -shm
        except sqlite3.Error as e:
            raise trouble(e, source if getattr(e, "sqlite_errorcode", 0) in _BAD else target) from e


def _check(source: Path, anyway: bool) -> None:
    """Raises StoreError unless this is an undamaged backup that this version can read.

    `anyway`: single damaged changes are no obstacle.
    """
    if not source.is_file():
        raise StoreError(sentence("backups.no_source", source=source))
    try:
        report = audit.examine(source)
    except StoreTooNew:
        raise StoreTooNew(sentence("backups.too_new", source=source)) from None
    except StoreBroken as e:
        why = sentence("backups.not_a_backup", source=source, error=e)
        raise StoreBroken(why) from None
    if report.broken:
        health = "; ".join(report.broken)
        raise StoreBroken(sentence("backups.damaged", source=source, health=health))
    if report.damaged and not anyway:
        rows = "; ".join(report.named)
        raise StoreBroken(sentence("backups.damaged_rows", source=source, rows=rows))


def _identity(path: Path) -> tuple[str | None, list[str]]:
    """(workshop, every log identity it has had) of a file; (None, []) if it cannot be read."""
    try:
        with audit.opened(path) as db:
            meta = dict(db.execute("SELECT name, value FROM meta").fetchall())
        logs = json.loads(meta["logs"]) if "logs" in meta else [meta["log"]]
        theirs = meta.get("workshop")
        return theirs if workshop.is_identity(theirs) else None, [str(log) for log in logs]
    except (StoreError, sqlite3.Error, KeyError, ValueError, TypeError):
        return None, []


def workshop_of(path: Path) -> str | None:
    """The workshop identity in a file; None without a file, or in one from before identities."""
    return _identity(path)[0] if path.is_file() else None


def _renew(fresh: Path, live: Path) -> None:
    """Give the copy of a backup a new log identity.

    A backup from before workshop identities gets that of the file it replaces. The log identities
    that either file has had stay known, so that pages that met them are still accepted.
    """
    theirs, logs = _identity(fresh)
    ours, known = _identity(live) if live.is_file() else (None, [])
    identity = theirs or ours or workshop.from_log(logs[0])
    if ours in (None, identity):
        logs = [*logs, *known]
    log = secrets.token_hex(8)
    names = json.dumps(sorted({*logs, log}))
    check = checksums.of_identity(identity, log, names)
    rows = [("workshop", identity), ("log", log), ("logs", names), ("check", check)]
    with told(fresh), closing(sqlite3.connect(fresh)) as db, db:
        db.executemany("INSERT OR REPLACE INTO meta VALUES (?, ?)", rows)


def restore(folder: Path, source: Path, stamp: str, anyway: bool = False) -> Path | None:
    """Replace the workshop in `folder` by the backup `source`; `stamp` names the safety copy.

    Returns the path of the workshop as it was, None where there was none. Raises StoreError, and
    StoreInUse while a server runs; then the workshop is what it was.
    """
    _check(source, anyway)
    make_folder(folder)
    lock = FolderLock(folder)
    try:
        sweep(folder)
        before = folder / "backups" / f"before-restore-{stamp}.sqlite"
        return _restore(folder / FILE, source, unused(before, TAILS))
    finally:
        lock.release()


def _restore(live: Path, source: Path, before: Path) -> Path | None:
    with part_beside(live) as fresh:
        _copy(source, fresh)
        _renew(fresh, live)
        if not live.exists():
            put_in_place(fresh, live)
            return None
        try:
            backup(live.parent, before)
            _copy_over(fresh, live)
        except (StoreBroken, StoreTooNew):  # it cannot be copied, so it is kept as it is
            before = unused(before, TAILS)
            with told(before):
                _set_aside(live, before)
            put_in_place(fresh, live, replace=True)
    return before


def _set_aside(live: Path, aside: Path) -> None:
    """Keep a damaged file with its -wal and -shm under another name; its place is taken next."""
    make_folder(aside.parent)
    try:
        os.link(live, aside)  # so that there is a workshop in its place at every moment
    except OSError:
        live.rename(aside)
    for tail in TAILS[1:]:
        with suppress(FileNotFoundError):
            live.with_name(live.name + tail).rename(aside.with_name(aside.name + tail))


def _copy_over(fresh: Path, live: Path) -> None:
    """In one transaction, so that a power cut leaves the old or the new, never a mixture."""
    prepare_file(live)
    with told(live), closing(sqlite3.connect(fresh)) as a, closing(sqlite3.connect(live)) as b:
        b.execute("PRAGMA synchronous = FULL")
        a.backup(b)
