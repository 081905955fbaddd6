"""This computer's place on the home network: its name there and its present addresses."""

from __future__ import annotations

import ipaddress
import socket
from contextlib import suppress

import ifaddr

from .authority import HOME_NETWORKS

# any address beyond the home network (RFC 5737): asked for the way to it, nothing is sent there
_ELSEWHERE = ("203.0.113.1", 9)


def _first_choice() -> str:
    """The address under which this computer goes out; "" with no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as way:
        try:
            way.connect(_ELSEWHERE)
        except OSError:
            return ""
        return str(way.getsockname()[0])


def _is_useful(address: str) -> bool:
    """One of a home network that a phone can open: no browser takes fe80:: with its interface."""
    found = ipaddress.ip_address(address)
    if found.is_loopback or (found.version == 6 and found.is_link_local):
        return False
    return any(found in network for network in HOME_NETWORKS if network.version == found.version)


def present_addresses() -> tuple[str, ...]:
    """This computer's addresses at home, the likeliest for a phone first."""
    every = [
        str(ip.ip) if ip.is_IPv4 else str(ip.ip[0])
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
    ]
    first = _first_choice()
    useful = {address for address in every if _is_useful(address)}
    return tuple(sorted(useful, key=lambda each: (each != first, ":" in each, each)))


def in_address(name: str) -> str:
    """A name or IP address as it stands in a page's address: IPv6 in brackets."""
    return f"[{name}]" if ":" in name else name


class Home:
    """`name` ("" where there is none) and `addresses`, which `look` keeps up with the network."""

    def __init__(self, name: str = "", addresses: tuple[str, ...] = ()) -> None:
        self.name = name
        self.addresses = addresses

    def look(self) -> bool:
        """Whether the addresses are others than before."""
        before = self.addresses
        with suppress(OSError):  # the system does not say at this moment
            self.addresses = present_addresses()
        return self.addresses != before
