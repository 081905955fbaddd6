"""Behind a reverse proxy: who really asks."""

from __future__ import annotations

import ipaddress

from starlette.requests import Request

from .settings import Settings


def _as_address(text: str) -> str:
    """An IP address in its one usual form; "" where it is none."""
    try:
        return str(ipaddress.ip_address(text.strip()))
    except ValueError:
        return ""


def is_loopback(text: str) -> bool:
    """Whether this is an IP address of this machine itself."""
    address = _as_address(text)
    return address != "" and ipaddress.ip_address(address).is_loopback


def client_address(request: Request) -> str:
    """The IP address to which limits apply; "" where there is no socket.

    What a proxy says is believed only behind one (`public_name`) and from this machine itself; and
    only the last address, which the proxy wrote: those before it were sent by who asks.
    """
    settings: Settings = request.app.state.settings
    peer = _as_address(request.client.host) if request.client else ""
    said = request.headers.getlist("x-forwarded-for")
    if settings.behind_proxy and said and is_loopback(peer):
        return _as_address(said[-1].rpartition(",")[2]) or peer
    return peer
