"""One server to a data folder: a file lock, which the system frees when its process ends."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from .errors import StoreInUse
from .files import told
from .sentences import sentence

NAME = "in-use"

if sys.platform == "win32":
    import msvcrt

    def _lock(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _lock(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class FolderLock:
    """Locked from construction to `release`; raises StoreInUse where another process has it,
    StoreError where it cannot be locked.
    """

    def __init__(self, folder: Path) -> None:
        with told(folder / NAME):
            self.handle = os.open(folder / NAME, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _lock(self.handle)
        except OSError:
            os.close(self.handle)
            raise StoreInUse(sentence("lock.in_use", folder=folder)) from None

    def release(self) -> None:
        """Free the folder for another process."""
        os.close(self.handle)


def is_held(folder: Path) -> bool:
    """Whether a process has the folder open now; makes nothing. Raises OSError."""
    if not (folder / NAME).exists():
        return False
    try:
        FolderLock(folder).release()
    except StoreInUse:
        return True
    return False
