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
    needs_pairing: bool = (
        True  # the API answers paired browsers only; else every one on this machine
    )
    public_name: str = (
        ""  # the name by which browsers reach a reverse proxy in front, perhaps :port
    )
    body_bytes: int = 1024 * 1024  # largest request body
    body_seconds: float = 30.0  # longest wait for one
    head_seconds: float = 15.0  # longest wait for a request's head; a poor network needs one or two
    connections: int = 300  # open at once, over all
    connections_each: int = 40  # of one address; a browser opens six

    @property
    def secure(self) -> bool:
        """Whether browsers reach the page over https."""
        return self.public_name != ""

    @property
    def address(self) -> str:
        """The page's address as a maker opens it."""
        if self.public_name:
            return f"https://{self.public_name}/"
        return "http://127.0.0.1/" if self.port == 80 else f"http://127.0.0.1:{self.port}/"

    @property
    def hosts(self) -> frozenset[str]:
        """Host headers that are accepted: this machine's own names with the port, or the public
        name. The usual port of http is left out of addresses.
        """
        if self.public_name:
            return frozenset({self.public_name.lower()})
        names = ("localhost", "127.0.0.1", "[::1]")
        return frozenset(
            {f"{name}:{self.port}" for name in names} | ({*names} if self.port == 80 else set())
        )
