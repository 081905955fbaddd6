"""One writer to a data folder: a lock that the system lets go of by itself when its holder dies."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from .errors import StoreHeld

NAME = "in-use"

if sys.platform == "win32":
    import msvcrt

    def _seize(handle: int) -> None:
        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _seize(handle: int) -> None:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


class FolderLock:
    """Held from construction to `release`; raises StoreHeld when another holds it."""

    def __init__(self, folder: Path) -> None:
        self.handle = os.open(folder / NAME, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            _seize(self.handle)
        except OSError:
            os.close(self.handle)
            raise StoreHeld(
                f"Another Ringwright has {folder} open. Stop it first (Ctrl+C in its window), then"
                " try again."
            ) from None

    def release(self) -> None:
        os.close(self.handle)
