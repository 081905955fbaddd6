"""Reads a whole workshop's file and says what is damaged in it. Changes nothing.

Used on a backup after it was written, before one is restored, and by `ringwright doctor`.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from . import checksums, migrations
from .errors import StoreBroken, StoreTooNew
from .files import told, trouble
from .sentences import sentence
from .store import PRAGMAS
from .sync import problem_of

SUMS_FROM = 3  # the step since which rows have a checksum
MOST_NAMED = 10  # damaged changes named one by one


@dataclass
class Report:
    """What a file has: its counts, and what is damaged, each as a sentence.

    `broken`: the file itself; `damaged`: single changes, each of which costs only itself.
    """

    changes: int = 0
    last_place: int = 0
    oldest_ms: int = 0
    newest_ms: int = 0
    broken: list[str] = field(default_factory=list)
    damaged: list[str] = field(default_factory=list)

    @property
    def named(self) -> list[str]:
        """The damage in a few lines."""
        lines = self.broken + self.damaged[:MOST_NAMED]
        more = len(self.damaged) - MOST_NAMED
        return [*lines, sentence("audit.more", n=more)] if more > 0 else lines


@contextmanager
def opened(path: Path, live: bool = False) -> Iterator[sqlite3.Connection]:
    """The file, open only to read; `live`: a server may be writing to it. Raises StoreError."""
    with told(path):
        path.open("rb").close()
        # nobody writes to a backup, so nothing is made beside it, and a read-only disk will do
        still = not live and not path.with_name(path.name + "-wal").exists()
        way = "immutable=1" if still else "mode=ro"
        db = sqlite3.connect(f"{path.resolve().as_uri()}?{way}", uri=True)
    db.text_factory = checksums.as_text
    with closing(db):
        yield db


def examine(path: Path, live: bool = False) -> Report:
    """Read all of a file; raises StoreError where that cannot even begin, StoreTooNew."""
    report = Report()
    with opened(path, live) as db:
        try:
            step = _step(db)
        except sqlite3.Error as e:
            raise trouble(e, path) from None
        if step > len(migrations.STEPS):
            raise StoreTooNew(sentence("audit.too_new", path=path))
        if step < 1:
            raise StoreBroken(sentence("audit.no_workshop", path=path))
        try:
            _check_whole(db, step, report)
            _check_rows(db, step, report)
        except (sqlite3.Error, OverflowError, ValueError, IndexError) as e:
            report.broken.append(sentence("audit.unreadable", error=e))
    return report


def _step(db: sqlite3.Connection) -> int:
    known = "SELECT count(*) FROM sqlite_schema WHERE name IN ('migrations', 'changes', 'meta')"
    if db.execute(known).fetchone()[0] < 3:
        return 0
    return int(db.execute("SELECT coalesce(max(n), 0) FROM migrations").fetchone()[0])


def _check_whole(db: sqlite3.Connection, step: int, report: Report) -> None:
    for (health,) in db.execute("PRAGMA integrity_check(5)"):
        if health != "ok":
            report.broken.append(sentence("audit.integrity", health=health))
    foreign = "SELECT name FROM sqlite_schema WHERE type IN ('trigger', 'view') ORDER BY name"
    for (name,) in db.execute(foreign):  # such a thing changes rows behind the server's back
        report.broken.append(sentence("audit.foreign", name=ascii(name)))
    steps = db.execute("SELECT n, name FROM migrations ORDER BY n").fetchall()
    names = [getattr(each, "__name__", "") for each in migrations.STEPS[:step]]
    if steps != list(enumerate(names, 1)):
        report.broken.append(sentence("audit.steps"))
    meta = dict(db.execute("SELECT name, value FROM meta").fetchall())
    if not _knows_itself(meta, step):
        report.broken.append(sentence("audit.identity"))


def _knows_itself(meta: dict[str, str], step: int) -> bool:
    if step < SUMS_FROM:
        return "log" in meta
    parts = [str(meta.get(name)) for name in ("workshop", "log", "logs")]
    return meta.get("check") == checksums.of_identity(*parts)


def _check_rows(db: sqlite3.Connection, step: int, report: Report) -> None:
    for place, *row in db.execute("SELECT * FROM changes ORDER BY place"):
        device, seq, received_ms, *_ = row
        report.changes += 1
        report.last_place = place
        if _is_good(row, step):
            report.oldest_ms = report.oldest_ms or received_ms
            report.newest_ms = max(report.newest_ms, received_ms)
        else:
            report.damaged.append(name_of(place, device, seq))
    clashes = db.execute("SELECT * FROM clashes")
    report.damaged += [name_of(0, row[0], row[1]) for row in clashes if not _is_good(row, step)]
    if step >= SUMS_FROM:
        lost = "SELECT device, seq FROM damaged EXCEPT SELECT device, seq FROM changes"
        report.damaged += [name_of(0, device, seq) for device, seq in db.execute(lost)]


def _is_good(row: Sequence[Any], step: int) -> bool:
    """Whether a row is as it was written, its text can be read, and it has the form of a change.

    `row`: device, seq, received_ms, body, why, and the checksum where the file has any.
    """
    device, seq, received_ms, body, why, *kept = row
    mark = kept[0] if step >= SUMS_FROM else checksums.of_row(device, seq, received_ms, body, why)
    if not checksums.is_sound(device, seq, received_ms, body, why, mark):
        return False
    try:
        change = json.loads(body)
    except (ValueError, RecursionError):
        return False
    if why is not None:
        return True  # set aside since it has no good form
    return isinstance(change, dict) and change.get("seq") == seq and not problem_of(device, change)


def pragmas(path: Path) -> dict[str, str | int]:
    """SQLite's settings on a live workshop: how the file keeps its journal, and whether this SQLite
    takes the others, which each connection sets for itself. Raises StoreError.
    """
    found: dict[str, str | int] = {}
    with opened(path, live=True) as db, told(path):
        for name, wanted, _ in PRAGMAS:
            if name != "journal_mode":
                db.execute(f"PRAGMA {name} = {wanted}")
            (found[name],) = db.execute(f"PRAGMA {name}").fetchone()
    return found


def name_of(place: object, device: object, seq: object) -> str:
    """A damaged change as people read of it; in such a row anything can stand."""
    shown = "".join(each if each.isprintable() else "?" for each in str(device))[:60]
    return sentence("audit.row", device=shown, seq=seq, place=place)
