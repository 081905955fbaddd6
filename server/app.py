"""The web application: its routes, middleware, error handlers, and what is open while it runs."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.middleware import Middleware
from starlette.middleware.gzip import GZipMiddleware
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from . import ask_api, assets, devices_api, sync
from .errors import Refusal, StoreError, StoreFull, error_answer, json_answer
from .guard import Guard, headers_for
from .json_body import read_json
from .paired import PairedOnly
from .pairing import Pairing
from .sentences import sentence
from .settings import Settings
from .store import LogTransaction, now_ms, open_store

log = logging.getLogger("uvicorn.error")  # shown in the server's own window


async def health(request: Request) -> Response:
    """GET /health: the server is up, its file is open and in its place."""
    request.app.state.store.check_place()
    return json_answer({"ok": True})


async def exchange(request: Request) -> Response:
    """POST /api/sync: a device's changes in, the other devices' out."""
    batch = sync.read_request(await read_json(request))
    answer = await sync.exchange(request.app.state.store, batch, request.app.state.clock())
    return json_answer(answer)


ROUTES = [
    Route("/health", health),
    Route("/api/sync", exchange, methods=["POST"]),
    Route("/api/ask", ask_api.ask, methods=["POST"]),
    Route("/api/pair", devices_api.pair, methods=["POST"]),
    Route("/api/devices", devices_api.devices),
    Route("/api/devices/name", devices_api.rename, methods=["POST"]),
    Route("/api/devices/remove", devices_api.remove, methods=["POST"]),
    Route("/api/code", devices_api.code_state, methods=["GET"]),
    Route("/api/code", devices_api.make_code, methods=["POST"]),
    Route("/api/code/stop", devices_api.end_codes, methods=["POST"]),
    Route("/api/server", devices_api.server),
    Route("/sw.js", assets.worker),
    Route("/engine.json", assets.engine),
    Route("/modules.json", assets.module_archive),
    Route("/{path:path}", assets.page),
]


async def answer_refusal(request: Request, error: Exception) -> Response:
    """A request that cannot be accepted: its own status, field and reason."""
    # the assertion is for the type checker: only Refusals are sent here
    assert isinstance(error, Refusal)  # nosec B101
    return error_answer(error.status, error.field, error.why, error.headers, error.more)


async def answer_unrouted(request: Request, error: Exception) -> Response:
    """Starlette's own refusals (404, 405), in our shape."""
    # as above
    assert isinstance(error, HTTPException)  # nosec B101
    headers = dict(error.headers or {})
    if error.status_code == 405:
        why = sentence("app.method", method=request.method)
        return error_answer(405, "method", why, headers)
    return error_answer(error.status_code, "path", error.detail, headers)


async def answer_not_stored(request: Request, error: Exception) -> Response:
    """The file could not store it: no acknowledgement, so the device keeps it and sends it again."""
    log.error("%s", error)
    return error_answer(507 if isinstance(error, StoreFull) else 503, "store", str(error))


async def answer_failure(request: Request, error: Exception) -> Response:
    """A fault of ours, answered without a traceback; uvicorn logs it.

    This answer is made outside the guard, so it brings the guard's headers itself.
    """
    headers = headers_for(request.app.state.settings)
    return error_answer(500, "server", sentence("app.failed"), headers)


@asynccontextmanager
async def opened(app: Starlette) -> AsyncIterator[None]:
    """Keep the workshop's file open while the server runs; raises StoreError.

    The command opens it before it serves, so that trouble is told in a sentence.
    """
    async with open_store(app.state.settings.data, app.state.settings.existing) as store:
        await run_in_threadpool(app.state.pairing.check)
        await sync.readmit(store, app.state.clock())
        app.state.store = store
        app.state.workshop = await store.read(LogTransaction.workshop)
        yield


def build_app(settings: Settings, clock: Callable[[], int] = now_ms) -> Starlette:
    """The application for these settings; it opens its files when it is started. `clock` gives the
    milliseconds UTC since 1970.
    """
    app = Starlette(
        routes=ROUTES,
        middleware=[
            Middleware(Guard, settings=settings),
            Middleware(PairedOnly, settings=settings),
            Middleware(GZipMiddleware, minimum_size=600),
        ],
        exception_handlers={
            Refusal: answer_refusal,
            HTTPException: answer_unrouted,
            StoreError: answer_not_stored,
            Exception: answer_failure,
        },
        lifespan=opened,
    )
    app.state.settings = settings
    app.state.clock = clock
    app.state.pairing = Pairing(settings.data)
    return app
