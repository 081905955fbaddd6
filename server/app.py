"""The server as lists: routes, middleware, handlers of errors, and what is opened for its life."""

from __future__ import annotations

import logging
import time
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from . import ask_api, assets, sync
from .errors import Refusal, StoreFull, StoreTrouble, error_answer, json_answer
from .guard import HEADERS, Guard
from .json_body import read_json
from .settings import Settings
from .store import Book, open_store

log = logging.getLogger("uvicorn.error")  # the server's own window


def now_ms() -> int:
    return time.time_ns() // 1_000_000


async def health(request: Request) -> Response:
    return json_answer({"ok": True})


async def exchange(request: Request) -> Response:
    """POST a device's changes, get the others'."""
    asked = sync.read_request(await read_json(request))
    answer = await sync.exchange(request.app.state.store, asked, now_ms())
    return json_answer(answer)


ROUTES = [
    Route("/health", health),
    Route("/api/sync", exchange, methods=["POST"]),
    Route("/api/ask", ask_api.ask, methods=["POST"]),
    Route("/sw.js", assets.worker),
    Route("/engine.json", assets.engine),
    Route("/{path:path}", assets.page),
]


async def refused(request: Request, no: Exception) -> Response:
    assert isinstance(no, Refusal)
    return error_answer(no.status, no.field, no.why, more=no.more)


async def unrouted(request: Request, no: Exception) -> Response:
    """Starlette's own refusals, in our shape."""
    assert isinstance(no, HTTPException)
    why = f"{request.method} does nothing at this address." if no.status_code == 405 else no.detail
    return error_answer(
        no.status_code, "method" if no.status_code == 405 else "path", why, dict(no.headers or {})
    )


async def not_kept(request: Request, trouble: Exception) -> Response:
    """The file could not take it: no acknowledgement, so the device keeps it and sends it again."""
    log.error("%s", trouble)
    return error_answer(507 if isinstance(trouble, StoreFull) else 503, "store", str(trouble))


async def failed(request: Request, error: Exception) -> Response:
    """A fault of ours: logged, told without its insides. It leaves outside the guard, so it brings
    the headers.
    """
    why = "The server failed at this request; its window shows more. Nothing you had saved is lost."
    return error_answer(500, "server", why, HEADERS)


@asynccontextmanager
async def lifespan(app: Starlette) -> AsyncIterator[None]:
    async with open_store(app.state.settings.data) as store:
        await sync.readmit(store, now_ms())
        app.state.store = store
        app.state.workshop = await store.read(Book.workshop)
        yield


def build_app(settings: Settings) -> Starlette:
    app = Starlette(
        routes=ROUTES,
        middleware=[
            Middleware(Guard, settings=settings),
            Middleware(GZipMiddleware, minimum_size=600),
        ],
        exception_handlers={
            Refusal: refused,
            HTTPException: unrouted,
            StoreTrouble: not_kept,
            Exception: failed,
        },
        lifespan=lifespan,
    )
    app.state.settings = settings
    return app
