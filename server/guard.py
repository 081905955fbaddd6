"""Middleware before every route: checks Host and Origin, adds security headers to each answer.

A page of another site can send requests to this machine: by a form (cross-site request forgery),
or by a name that points here (DNS rebinding). Both are refused before anything is routed. Who may
ask is the next question: paired.py.
"""

from __future__ import annotations

import ipaddress
from contextlib import suppress

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .errors import Refusal, error_answer
from .sentences import sentence
from .settings import Settings

CONTENT_POLICY = "; ".join(
    [
        "default-src 'self'",
        "script-src 'self' 'wasm-unsafe-eval'",  # the engine is compiled WebAssembly
        "object-src 'none'",
        "base-uri 'none'",
        "form-action 'self'",
        "frame-ancestors 'none'",
    ]
)
HEADERS = {
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
}
HTTPS_ONLY = {"Strict-Transport-Security": "max-age=31536000"}  # a year
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")  # RFC 9110, 9.2.1: they change nothing


def _is_public(name: str) -> bool:
    """Whether a host name, perhaps with :port, is one that a certificate of the world stands for."""
    host = name.lower().rsplit(":", 1)[0] if not name.endswith("]") else name
    with suppress(ValueError):
        ipaddress.ip_address(host.strip("[]"))
        return False
    return "." in host and not host.endswith((".local", ".localhost"))


def headers_for(settings: Settings) -> dict[str, str]:
    """The headers of every answer. A browser is told to come over https only, for a year, where
    there is a public name: on the home network the address may have to go back to http, and a
    browser that was told would then never open it.
    """
    return HEADERS | (HTTPS_ONLY if _is_public(settings.public_name) else {})


def check_host(headers: Headers, settings: Settings) -> None:
    """Exactly one Host header, and one of ours; raises Refusal 421.

    Any other name was pointed at this machine from outside.
    """
    hosts = headers.getlist("host")
    if len(hosts) != 1 or hosts[0].lower() not in settings.hosts:
        raise Refusal(421, "Host", sentence("guard.host", address=settings.address))


def check_sender(headers: Headers, settings: Settings) -> None:
    """Only our own page may change or read the workshop; raises Refusal 403.

    A program that is no browser sends neither header, and may too.
    """
    why = sentence("guard.sender", address=settings.address)
    if any(origin.lower() not in settings.origins for origin in headers.getlist("origin")):
        raise Refusal(403, "Origin", why)
    if any(site not in ("same-origin", "none") for site in headers.getlist("sec-fetch-site")):
        raise Refusal(403, "Sec-Fetch-Site", why)


def check_way(headers: Headers, settings: Settings) -> None:
    """A proxy that passes on what came to it over plain http is told so; raises Refusal 403."""
    forwarded = headers.getlist("x-forwarded-proto")
    if settings.secure and any(way.strip().lower() != "https" for way in forwarded):
        raise Refusal(403, "X-Forwarded-Proto", sentence("guard.way", address=settings.address))


def sending_with(send: Send, headers: dict[str, str]) -> Send:
    """`send` that puts these headers on the answer."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            MutableHeaders(scope=message).update(headers)
        await send(message)

    return sending


class Guard:
    """ASGI middleware: refuses requests from elsewhere, adds the headers to every answer."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings
        self.headers = headers_for(settings)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        guarded = sending_with(send, self.headers)
        try:
            self._check(scope)
        except Refusal as e:
            await error_answer(e.status, e.field, e.why)(scope, receive, guarded)
            return
        await self.app(scope, receive, guarded)

    def _check(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        check_host(headers, self.settings)
        if scope["path"].startswith("/api/"):
            check_way(headers, self.settings)
            check_sender(headers, self.settings)
        elif scope["method"] not in SAFE_METHODS:
            check_sender(headers, self.settings)
