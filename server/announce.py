"""The workshop's .local name, announced by multicast DNS so that phones find it (RFC 6762, 6763)."""

from __future__ import annotations

import ipaddress
import logging
from contextlib import suppress

from zeroconf import InterfaceChoice, ServiceInfo
from zeroconf.asyncio import AsyncZeroconf

from .home import Home, in_address
from .sentences import sentence

log = logging.getLogger("uvicorn.error")  # shown in the server's own window
KIND = "_https._tcp.local."


class Announcer:
    """Answers for `home.name` while the server runs. Trouble is told once and never stops it."""

    def __init__(
        self, home: Home, workshop: str, port: int, interfaces: list[str] | None = None
    ) -> None:
        self.home = home
        self.workshop = workshop  # as people read it
        self.port = port
        self.interfaces = interfaces or InterfaceChoice.All
        self.net: AsyncZeroconf | None = None
        self.told: tuple[str, ...] | None = None  # the addresses that are announced
        self.trouble = ""

    async def keep_up(self) -> None:
        """Announce the present addresses, where others or none are announced."""
        if self.told == self.home.addresses:
            return
        await self.stop()
        if not self.home.addresses:
            return
        try:
            # made again, since it listens only on the interfaces that were there when it was made
            self.net = AsyncZeroconf(interfaces=self.interfaces)
            await (await self.net.async_register_service(self._service()))
        except Exception as e:  # whatever the network does, counts are taken in all the same
            await self.stop()
            self._complain(getattr(e, "strerror", None) or str(e) or type(e).__name__)
        else:
            self.told, self.trouble = self.home.addresses, ""

    def _service(self) -> ServiceInfo:
        return ServiceInfo(
            KIND,
            f"Ringwright {self.workshop}.{KIND}",
            port=self.port,
            addresses=[ipaddress.ip_address(a).packed for a in self.home.addresses],
            properties={"path": "/"},
            server=f"{self.home.name}.",
        )

    def _complain(self, error: str) -> None:
        if error != self.trouble:
            address = f"https://{in_address(self.home.addresses[0])}:{self.port}/"
            log.warning(
                "%s",
                sentence("announce.failed", name=self.home.name, error=error, address=address),
            )
        self.trouble = error

    async def stop(self) -> None:
        """Take the name back, so that phones do not ask for it in vain."""
        net, self.net, self.told = self.net, None, None
        if net:
            with suppress(Exception):  # nothing hangs on it
                await net.async_close()
