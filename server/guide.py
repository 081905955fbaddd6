"""The guide: the one page over plain http, which leads a new device through trusting the workshop.

It has nothing else: no counts, no questions to the engine, and no way to change anything. Whoever
listens or alters it on its way gains nothing, as long as the fingerprint is compared.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

from cryptography.hazmat.primitives.serialization import Encoding
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from starlette.applications import Starlette
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route
from starlette.types import ASGIApp, Receive, Scope, Send

from . import authority, guard, tls
from .assets import TYPES
from .errors import error_answer
from .sentences import sentence
from .settings import Settings

FOLDER = Path(__file__).with_name("templates")
HEADERS = guard.HEADERS | {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; "
    "object-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
    "Cache-Control": "no-store",  # the next one may be another workshop's
}
# in the order in which they are shown, but that the one who asks comes first
DEVICES = ("android", "iphone", "computer")


def first_device(agent: str) -> str:
    """Whose steps come first, by what the browser says of itself (it may say anything)."""
    if "Android" in agent:
        return "android"
    return "iphone" if any(name in agent for name in ("iPhone", "iPad")) else "computer"


def _day(day: date) -> str:
    """A day as people write it: 5 March 2031."""
    return f"{day.day} {day:%B %Y}"


class GuideGuard:
    """ASGI middleware: only our own hosts, and only reading; our headers on every answer."""

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self.app = app
        self.settings = settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        guarded = guard.sending_with(send, HEADERS)
        hosts = Headers(scope=scope).getlist("host")
        if len(hosts) == 1 and hosts[0].lower() in self.settings.guide_hosts:
            await self.app(scope, receive, guarded)
            return
        why = sentence("guide.host", address=self.settings.guide_address)
        await error_answer(421, "Host", why)(scope, receive, guarded)


class Guide:
    """Answers of the guide; the certificate is read once, at the start."""

    def __init__(self, settings: Settings, workshop: str) -> None:
        self.settings = settings
        self.workshop = workshop  # as people read it
        self.root = tls.opened(settings.data).root
        pages = Environment(
            loader=FileSystemLoader(FOLDER),
            autoescape=True,
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.template = pages.get_template("guide_en.html.j2")

    @property
    def file_name(self) -> str:
        """Letters, digits and hyphens only, whatever the workshop is called."""
        return f"ringwright-{self.workshop}.crt"

    def page(self, request: Request) -> Response:
        """GET /: the steps."""
        first = first_device(request.headers.get("user-agent", ""))
        text = self.template.render(
            devices=sorted(DEVICES, key=lambda each: each != first),
            workshop=self.workshop,
            file=self.file_name,
            groups=authority.fingerprint(self.root),
            address=self.settings.address,
            addresses=self.settings.addresses,
            name=self.settings.home.name,
            until=_day(self.root.not_valid_after_utc.date()),
        )
        return Response(text.strip() + "\n", media_type="text/html")

    def certificate(self, request: Request) -> Response:
        """GET /workshop.crt: what phones trust. It is public.

        iOS offers to install it only under this type, and only where it is no attachment.
        """
        return Response(
            self.root.public_bytes(Encoding.DER),
            media_type="application/x-x509-ca-cert",
            headers={"Content-Disposition": f'inline; filename="{self.file_name}"'},
        )

    def _file(self, name: str) -> Response:
        kind = TYPES[Path(name).suffix]
        return Response((FOLDER / name).read_bytes(), headers={"Content-Type": kind})

    def style(self, request: Request) -> Response:
        """GET /guide.css"""
        return self._file("guide.css")

    def script(self, request: Request) -> Response:
        """GET /guide.js: hands a pairing code on to the page."""
        return self._file("guide.js")

    def nothing(self, request: Request, error: Exception) -> Response:
        """Any other address or method: what is here, and where the rest is."""
        # the assertion is for the type checker: only these are sent here
        assert isinstance(error, HTTPException)  # nosec B101
        why = sentence("guide.nothing_here", address=self.settings.address)
        return error_answer(error.status_code, "path", why, dict(error.headers or {}))


def build_guide(settings: Settings, workshop: str) -> Starlette:
    """The guide's own application; `workshop` is the identity as people read it."""
    guide = Guide(settings, workshop)
    app = Starlette(
        routes=[
            Route("/", guide.page),
            Route("/workshop.crt", guide.certificate),
            Route("/guide.css", guide.style),
            Route("/guide.js", guide.script),
        ],
        middleware=[Middleware(GuideGuard, settings=settings)],
        exception_handlers={HTTPException: guide.nothing},
    )
    app.state.settings = settings
    app.router.redirect_slashes = False  # what is not listed is not there, in any spelling
    return app
