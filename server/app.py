"""The server as lists: routes, middleware, handlers of errors, and what is opened for its life."""

from __future__ import annotations

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from shared import ask as engine

from . import offline
from .body import parse, read_text
from .errors import Refusal, error_answer
from .guard import HEADERS, Guard
from .settings import Settings


async def health(request: Request) -> Response:
    return JSONResponse({"ok": True}, headers={"Cache-Control": "no-store"})


async def ask(request: Request) -> Response:
    """POST one question to the engine; its own refusals come with status 400."""
    text = await read_text(request)
    parse(text)
    answer = await run_in_threadpool(engine.answer, text)
    status = 200 if parse(answer)["ok"] else 400
    return Response(answer, status, {"Content-Type": "application/json", "Cache-Control": "no-store"})


ROUTES = [
    Route("/health", health),
    Route("/api/ask", ask, methods=["POST"]),
    Route("/sw.js", offline.worker),
    Route("/engine.json", offline.engine),
    Route("/{path:path}", offline.page),
]


async def refused(request: Request, no: Exception) -> Response:
    assert isinstance(no, Refusal)
    return error_answer(no.status, no.field, no.why)


async def unrouted(request: Request, no: Exception) -> Response:
    """Starlette's own refusals, in our shape."""
    assert isinstance(no, HTTPException)
    why = f"{request.method} does nothing at this address." if no.status_code == 405 else no.detail
    return error_answer(no.status_code, "method" if no.status_code == 405 else "path", why, dict(no.headers or {}))


async def failed(request: Request, error: Exception) -> Response:
    """A fault of ours: logged, told without its insides. It leaves outside the guard, so it brings the headers."""
    why = "The server failed at this request; its window shows more. Nothing you had saved is lost."
    return error_answer(500, "server", why, HEADERS)


def build_app(settings: Settings) -> Starlette:
    app = Starlette(
        routes=ROUTES,
        middleware=[Middleware(Guard, settings=settings), Middleware(GZipMiddleware, minimum_size=600)],
        exception_handlers={Refusal: refused, HTTPException: unrouted, Exception: failed},
    )
    app.state.settings = settings
    return app
