"""The workshop's .local name, announced by multicast DNS so that phones find it (RFC 6762, 6763)."""

from __future__ import annotations

import ipaddress
import logging
from contextlib import suppress

from zeroconf import (  # type: ignore[attr-defined]  # AddressResolver is documented, and not in __all__
    AddressResolver,
    InterfaceChoice,
    IPVersion,
    ServiceInfo,
)
from zeroconf.asyncio import AsyncZeroconf

from .home import Home, in_address
from .sentences import sentence

log = logging.getLogger("uvicorn.error")  # shown in the server's own window
KIND = "_https._tcp.local."
ASKING_MS = 1500  # in which any other holder of the name has answered


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
            taken = await self._held_by_others(self.net)
            await (await self.net.async_register_service(self._service()))
        except Exception as e:  # whatever the network does, counts are taken in all the same
            await self.stop()
            error = getattr(e, "strerror", None) or str(e) or type(e).__name__
            self._complain(sentence("announce.failed", error=error, **self._names()))
        else:
            self.told, self.trouble = self.home.addresses, ""
            if taken:
                others = ", ".join(taken)
                self._complain(sentence("announce.taken", others=others, **self._names()))

    async def _held_by_others(self, net: AsyncZeroconf) -> list[str]:
        """Addresses at which another computer answers for the name already."""
        asking = AddressResolver(f"{self.home.name}.")
        await asking.async_request(net.zeroconf, ASKING_MS)
        return sorted(set(asking.parsed_addresses(IPVersion.All)) - set(self.home.addresses))

    def _service(self) -> ServiceInfo:
        return ServiceInfo(
            KIND,
            f"Ringwright {self.workshop}.{KIND}",
            port=self.port,
            addresses=[ipaddress.ip_address(a).packed for a in self.home.addresses],
            properties={"path": "/"},
            server=f"{self.home.name}.",
        )

    def _names(self) -> dict[str, str]:
        address = f"https://{in_address(self.home.addresses[0])}:{self.port}/"
        return {"name": self.home.name, "address": address}

    def _complain(self, why: str) -> None:
        if why != self.trouble:
            log.warning("%s", why)
        self.trouble = why

    async def stop(self) -> None:
        """Take the name back, so that phones do not ask for it in vain."""
        net, self.net, self.told = self.net, None, None
        if net:
            with suppress(Exception):  # nothing hangs on it
                await net.async_close()
