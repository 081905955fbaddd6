"""At the door of every request: whose name it was sent to, who sent it, and what the answer must
carry.

A page of another site can send requests to this machine (by a form, or by a name that
points here); it is turned away before anything is routed.
"""

from __future__ import annotations

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .errors import Refusal, error_answer
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
READING = ("GET", "HEAD", "OPTIONS")


def check_host(headers: Headers, settings: Settings) -> None:
    """Exactly one Host, and one of ours; else a name of a stranger's was pointed at this machine."""
    asked = headers.getlist("host")
    if len(asked) != 1 or asked[0].lower() not in settings.hosts:
        raise Refusal(
            421,
            "Host",
            f"This server answers on this machine only. Open {settings.address} instead.",
        )


def check_sender(headers: Headers, settings: Settings) -> None:
    """Changes come only from our own page, or from a program that is no browser (it sends neither
    header).
    """
    why = f"Another site may not change this workshop. Open {settings.address} and do it there."
    origins = headers.getlist("origin")
    if any(
        origin.lower() not in {f"http://{host}" for host in settings.hosts} for origin in origins
    ):
        raise Refusal(403, "Origin", why)
    if headers.get("sec-fetch-site", "none") not in ("same-origin", "none"):
        raise Refusal(403, "Sec-Fetch-Site", why)


class Guard:
    """Middleware: refuses strangers, adds the headers to every answer, refusals included."""

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
        except Refusal as no:
            await error_answer(no.status, no.field, no.why)(scope, receive, guarded)
            return
        await self.app(scope, receive, guarded)

    def _check(self, scope: Scope) -> None:
        headers = Headers(scope=scope)
        check_host(headers, self.settings)
        if scope["method"] not in READING:
            check_sender(headers, self.settings)
