"""Middleware before every route: checks Host and Origin, adds security headers to each answer.

A page of another site can send requests to this machine: by a form (cross-site request forgery),
or by a name that points here (DNS rebinding). Both are refused before anything is routed.
"""

from __future__ import annotations

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
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")  # RFC 9110, 9.2.1: they change nothing


def check_host(headers: Headers, settings: Settings) -> None:
    """Exactly one Host header, and one of ours; raises Refusal 421.

    Any other name was pointed at this machine from outside.
    """
    hosts = headers.getlist("host")
    if len(hosts) != 1 or hosts[0].lower() not in settings.hosts:
        raise Refusal(421, "Host", sentence("guard.host", address=settings.address))


def check_sender(headers: Headers, settings: Settings) -> None:
    """Only our own page may change anything; raises Refusal 403.

    A program that is no browser sends neither header, and may too.
    """
    why = sentence("guard.sender", address=settings.address)
    origins = headers.getlist("origin")
    if any(origin.lower() not in settings.origins for origin in origins):
        raise Refusal(403, "Origin", why)
    if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
        raise Refusal(403, "Sec-Fetch-Site", why)


class Guard:
    """ASGI middleware: refuses requests from elsewhere, adds the headers to every answer."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def guarded(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        try:
            self._check(scope)
        except Refusal as e:
            await error_answer(e.status, e.field, e.why)(scope, receive, guarded)
            return
        await self.app(scope, receive, guarded)

    def _check(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        check_host(headers, self.settings)
        if scope["method"] not in SAFE_METHODS:
            check_sender(headers, self.settings)
