"""The settings of one run of the server: made once by the command, then only read."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import platformdirs

ROOT = Path(__file__).resolve().parent.parent  # the tree, or site-packages when installed


def default_data() -> Path:
    """The user's data folder for this program, where the system keeps such things."""
    return Path(platformdirs.user_data_dir("ringwright", appauthor=False))


@dataclass(frozen=True)
class Settings:
    """Folders, port and limits of one run."""

    data: Path  # folder of the workshop's file
    port: int = 8737
    static: Path = ROOT / "static"
    engine: Path = ROOT / "shared"
    packed: bool = True  # scripts travel in two packs, without comments; else each by itself
    body_bytes: int = 1024 * 1024  # largest request body
    body_seconds: float = 30.0  # longest wait for one

    @property
    def address(self) -> str:
        """The page's address on this machine."""
        return f"http://127.0.0.1:{self.port}/"

    @property
    def hosts(self) -> frozenset[str]:
        """Host headers that are accepted: this machine's own names with the port."""
        return frozenset(f"{name}:{self.port}" for name in ("localhost", "127.0.0.1", "[::1]"))
