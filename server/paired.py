"""Middleware behind the guard: nothing under /api/ answers a browser that is not paired.

What stands outside is the shell: the page, its engine and its worker, the same for everyone and
without a single count. `request.state.paired` has who asks.
"""

from __future__ import annotations

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from .errors import StoreError, error_answer
from .pairing import IDLE_LIFE, Paired
from .sentences import sentence
from .settings import Settings

PREFIX = "ringwright-"
OPEN = "/api/pair"  # the one door for whoever is not paired
# an answer 401 has to name a way to sign in (RFC 9110, 15.5.2); no browser has this one of its own
CHALLENGE = {"WWW-Authenticate": "Pairing"}
MOST_TOKENS = 8  # looked up for one request; each other port of this host may have left one


def cookie_name(settings: Settings, workshop: str) -> str:
    """A name to each workshop: the ports of one host share their cookies.

    `__Host-` makes a browser refuse it from anywhere but this very host over https. Over http, which
    is on this machine only, some browsers keep no such cookie.
    """
    return ("__Host-" if settings.secure else "") + PREFIX + workshop[:8]


def set_cookie(response: Response | MutableHeaders, name: str, token: str, secure: bool) -> None:
    """Give the browser its token, for as long as a pairing may rest; "" takes it away."""
    age = IDLE_LIFE // 1000 if token else 0
    value = f"{name}={token}; Max-Age={age}; Path=/; HttpOnly; SameSite=Strict"
    headers = response.headers if isinstance(response, Response) else response
    headers.append("Set-Cookie", value + ("; Secure" if secure else ""))


def _tokens(request: Request, own: str) -> list[str]:
    """The tokens a browser shows, that of this workshop first. One under another name is looked at
    too: an empty workshop takes the identity of the first file that is imported.
    """
    kin = own[: own.index(PREFIX) + len(PREFIX)]
    shown = [(name, value) for name, value in request.cookies.items() if name.startswith(kin)]
    return [value for _, value in sorted(shown, key=lambda c: c[0] != own)][:MOST_TOKENS]


class PairedOnly:
    """ASGI middleware: 401 for an API request that shows no living pairing."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http" or not scope["path"].startswith("/api/"):
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        try:
            paired, cookie = await self._who(request)
        except StoreError as e:
            await error_answer(503, "store", str(e))(scope, receive, send)
            return
        if paired is None and self.settings.needs_pairing and scope["path"] != OPEN:
            why = sentence("paired.not")
            await error_answer(401, "pairing", why, CHALLENGE)(scope, receive, send)
            return
        request.state.paired = paired
        await self.app(scope, receive, _sending(send, cookie, self.settings.secure))

    async def _who(self, request: Request) -> tuple[Paired | None, tuple[str, str] | None]:
        """(who asks, (name, token) of a cookie to send again)."""
        state = request.app.state
        own = cookie_name(self.settings, state.workshop)
        state.store.check_place()  # or a pulled-out disk would look like a workshop that knows nobody
        for token in _tokens(request, own):
            met = await run_in_threadpool(state.pairing.meet, token, state.clock())
            if met is not None:
                paired, again = met
                again = again or request.cookies.get(own) != token
                return paired, (own, token) if again else None
        return None, None


def _sending(send: Send, cookie: tuple[str, str] | None, secure: bool) -> Send:
    """`send` that adds the cookie, where there is one to send again and the answer sets no other."""
    if cookie is None:
        return send

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            if "set-cookie" not in headers:
                set_cookie(headers, *cookie, secure)
        await send(message)

    return sending
