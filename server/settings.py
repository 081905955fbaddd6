"""The settings of one run of the server: made once by the command, then only read.

All stays as it is but `home`, which follows this computer's addresses.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

import platformdirs

from .home import Home, in_address

ROOT = Path(__file__).resolve().parent.parent  # the tree, or site-packages when installed
THIS_MACHINE = "127.0.0.1"
# only with --lan or --cert, so over https
EVERYWHERE = "0.0.0.0"  # nosec B104
USUAL_PORTS = {"http": 80, "https": 443}  # browsers leave them out
GUIDE_PORT = 8736


def default_data() -> Path:
    """The user's data folder for this program, where the system keeps such things."""
    return Path(platformdirs.user_data_dir("ringwright", appauthor=False))


def _with_port(name: str, port: int, scheme: str) -> str:
    usual = port == USUAL_PORTS[scheme]
    return in_address(name) if usual else f"{in_address(name)}:{port}"


@dataclass(frozen=True)
class Settings:
    """Folders, ports, names and limits of one run."""

    data: Path  # folder of the workshop's file
    port: int = 8737
    listen: str = THIS_MACHINE  # or EVERYWHERE: on all interfaces, IPv6 too
    lan: bool = False  # https on the home network, with the workshop's own authority
    guide_port: int = GUIDE_PORT  # with lan: the plain-http page that leads a phone to trust it
    public_name: str = ""  # the page's host name, with its port where that is unusual
    cert: Path | None = None  # a certificate of one's own, with its chain
    key: Path | None = None
    home: Home = field(default_factory=Home)
    static: Path = ROOT / "static"
    engine: Path = ROOT / "shared"
    existing: bool = False  # only a workshop that is there is served, none is made
    packed: bool = True  # scripts travel in two packs, without comments; else each by itself
    needs_pairing: bool = True  # else the API answers every browser on this machine
    body_bytes: int = 1024 * 1024  # largest request body
    body_seconds: float = 30.0  # longest wait for one
    head_seconds: float = 15.0  # longest wait for a request's head; a poor network needs one or two
    handshake_seconds: float = 10.0  # longest wait until a TLS connection stands
    handshakes: int = 120  # of those at once, over all
    handshakes_each: int = 20  # of one address
    unread_seconds: float = 30.0  # in which something of an answer has to be read
    connections: int = 300  # open at once, over all
    connections_each: int = 40  # of one address; a browser opens six

    @property
    def speaks_https(self) -> bool:
        """The server itself answers over https."""
        return self.lan or self.cert is not None

    @property
    def behind_proxy(self) -> bool:
        """A reverse proxy on this machine answers over https in its place."""
        return bool(self.public_name) and not self.speaks_https

    @property
    def secure(self) -> bool:
        """Browsers reach the page over https."""
        return self.speaks_https or self.behind_proxy

    @property
    def scheme(self) -> str:
        """How the server itself answers."""
        return "https" if self.speaks_https else "http"

    @property
    def address(self) -> str:
        """The page's address: what a maker opens, and what a browser keeps the counts under."""
        if self.public_name:
            return f"https://{self._public_host}/"
        return f"{self.scheme}://{self._own(self.home.name if self.lan else THIS_MACHINE)}/"

    @property
    def addresses(self) -> list[str]:
        """The same page at this computer's IP addresses, for a device that finds no .local name."""
        return [f"https://{self._own(each)}/" for each in self.home.addresses if self.lan]

    @property
    def guide_address(self) -> str:
        """Where a new phone begins; by IP address, since not every phone finds a .local name."""
        name = (*self.home.addresses, self.home.name)[0]
        return f"http://{_with_port(name, self.guide_port, 'http')}/"

    @property
    def hosts(self) -> frozenset[str]:
        """Host headers that are accepted now: exactly our own names, with the port."""
        return frozenset(origin.partition("://")[2] for origin in self.origins)

    @property
    def origins(self) -> frozenset[str]:
        """Pages that may change something: our own, at each of its names.

        With a usual port both ways of saying it, since not only browsers ask.
        """
        own = [f"{self.scheme}://{self._own(name)}" for name in self._own_names]
        if self.public_name:
            own.append(f"https://{self._public_host}")
        usual = [f"{o}:{USUAL_PORTS[o.partition(':')[0]]}" for o in own if not _has_port(o)]
        return frozenset([*own, *usual])

    @property
    def guide_hosts(self) -> frozenset[str]:
        """Host headers that the guide accepts now."""
        names = [_with_port(name, self.guide_port, "http") for name in self._own_names]
        return frozenset(names)

    @property
    def _own_names(self) -> list[str]:
        if self.public_name:
            return []  # that name alone, whichever way a request came
        at_home = [self.home.name, *self.home.addresses] if self.lan else []
        return ["localhost", THIS_MACHINE, "::1", *at_home]

    @property
    def _public_host(self) -> str:
        """A server of its own certificate is asked at its own port, a proxy at the usual one."""
        if self.speaks_https and not _has_port(self.public_name):
            return self._own(self.public_name)
        return self.public_name

    def _own(self, name: str) -> str:
        return _with_port(name, self.port, self.scheme)


def _has_port(address: str) -> bool:
    return address.rpartition(":")[2].isdigit()
