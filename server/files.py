"""Files written whole or not at all, and the system's errors in plain words.

A new file is written under a name of its own beside its place, brought to the disk, and then given
its name. So a power cut or a full disk leaves what was there before.
"""

from __future__ import annotations

import errno
import os
import secrets
import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from .errors import StoreBroken, StoreError, StoreFull
from .sentences import sentence

PART = ".part"  # ends the name of a file that is being written
LEFT_OVER_S = 24 * 3600  # a part that is older was left by a process that was killed

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)
_DENIED = (errno.EACCES, errno.EPERM)
_ABSENT = (errno.ENOENT, errno.ENOTDIR)
# SQLite's primary result code -> the system error that says the same
_SAME = {
    sqlite3.SQLITE_FULL: errno.ENOSPC,
    sqlite3.SQLITE_PERM: errno.EACCES,
    sqlite3.SQLITE_AUTH: errno.EACCES,
    sqlite3.SQLITE_CANTOPEN: errno.EACCES,
    sqlite3.SQLITE_READONLY: errno.EROFS,
    sqlite3.SQLITE_IOERR: errno.EIO,
    sqlite3.SQLITE_BUSY: errno.EBUSY,
    sqlite3.SQLITE_LOCKED: errno.EBUSY,
}


def sqlite_code(error: sqlite3.Error) -> int:
    """The primary result code (https://sqlite.org/rescode.html); 0 where the error has none."""
    return (getattr(error, "sqlite_errorcode", None) or 0) & 0xFF


def trouble(error: OSError | sqlite3.Error, path: Path | str) -> StoreError:
    """The system's or SQLite's error with this file, as a sentence with what would do."""
    if isinstance(error, sqlite3.Error):
        code = sqlite_code(error)
        if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB):
            return StoreBroken(sentence("files.damaged", path=path))
        number = _SAME.get(code, 0)
    else:
        number = error.errno or 0
    if number in _FULL:
        return StoreFull(sentence("files.full", path=path))
    return StoreError(_why(number, path, error))


def _why(number: int, path: Path | str, error: Exception) -> str:
    if number in _DENIED:
        return sentence("files.denied", path=path)
    if number == errno.EROFS:
        return sentence("files.read_only", path=path)
    if number in _ABSENT:
        return sentence("files.absent", path=path)
    if number == errno.EISDIR:
        return sentence("files.is_folder", path=path)
    if number == errno.EEXIST:
        return sentence("files.exists", path=path)
    if number == errno.EBUSY:
        return sentence("files.busy", path=path)
    what = getattr(error, "strerror", None) or error
    return sentence("files.fails", path=path, error=what)


@contextmanager
def told(path: Path | str) -> Iterator[None]:
    """Inside, an error of the system or of SQLite becomes a StoreError that names the file."""
    try:
        yield
    except (OSError, sqlite3.Error) as e:
        named = getattr(e, "filename", None)
        raise trouble(e, named if isinstance(named, str) else path) from e


def make_folder(folder: Path) -> None:
    """Make it where there is none, closed to other users; raises StoreError."""
    with told(folder):
        try:
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        except FileExistsError:
            raise StoreError(sentence("files.is_file", path=folder)) from None


def unused(path: Path, tails: tuple[str, ...] = ("",)) -> Path:
    """This path, or the next with a number at its end where nothing is yet, with any of the tails."""
    n, wanted = 1, path
    while any(os.path.lexists(f"{wanted}{tail}") for tail in tails):
        n += 1
        wanted = path.with_name(f"{path.stem}-{n}{path.suffix}")
    return wanted


def bring_to_disk(path: Path) -> None:
    """Wait until a file, or the names in a folder, are on the disk; raises OSError."""
    handle = os.open(path, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def _name_it(part: Path, target: Path) -> None:
    """Give the finished file its name; raises FileExistsError, and never replaces anything."""
    try:
        os.link(part, target)
    except FileExistsError:
        raise
    except OSError:  # a file system without a second name for a file, as on memory cards
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST), str(target)) from None
        os.rename(part, target)
    else:
        os.unlink(part)


@contextmanager
def part_beside(target: Path) -> Iterator[Path]:
    """A new file beside `target`, closed to others, to write; gone at the end unless it was renamed.

    Raises StoreError where it cannot be made.
    """
    part = target.with_name(f".{target.name}.{secrets.token_hex(4)}{PART}")
    with told(target):
        os.close(os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600))
    try:
        yield part
    finally:
        for tail in ("", "-journal", "-wal", "-shm"):
            with suppress(OSError):
                os.unlink(f"{part}{tail}")


def put_in_place(part: Path, target: Path, replace: bool = False) -> None:
    """Bring a finished part to the disk and give it its name; raises StoreError.

    Where something has that name already, it is replaced at once, or left and told.
    """
    with told(target):
        bring_to_disk(part)
        if replace:
            os.replace(part, target)
        else:
            _name_it(part, target)
    with suppress(OSError):  # some systems cannot wait for a folder
        bring_to_disk(target.parent)


@contextmanager
def written_whole(target: Path, replace: bool = False) -> Iterator[Path]:
    """A new file to write, which becomes `target` once all of it is on the disk.

    Raises StoreError where that fails; then `target` is what it was before.
    """
    with part_beside(target) as part:
        yield part
        put_in_place(part, target, replace)


def sweep(folder: Path) -> None:
    """Remove what a killed process was writing here a day ago or earlier."""
    with suppress(OSError):
        for path in folder.glob(f".*{PART}*"):
            if time.time() - path.stat().st_mtime > LEFT_OVER_S:
                path.unlink()
