"""The files of the page: which they are, what they weigh in at, and the list the service worker
keeps.

Only what is listed here is served, so no path can lead out of the page's folder. Everything
is looked up again at each request; a changed file is seen at once and changes the version.
"""

from __future__ import annotations

import hashlib
import json
from functools import lru_cache
from pathlib import Path

import brotli
from starlette.requests import Request
from starlette.responses import Response

from .errors import Refusal
from .settings import Settings

TYPES = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".mjs": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".png": "image/png",
    ".py": "text/x-python; charset=utf-8",
}
APART = {"node_modules", "eslint.config.js"}  # in the page's folder, but only for its makers
LARGE = 400_000  # bytes
FRESH = {"Cache-Control": "no-cache"}  # kept, but asked about each time


def _below(folder: Path, suffixes: set[str]) -> list[Path]:
    """Files with one of these endings, in a fixed order; nothing hidden."""
    found: list[Path] = []
    for path in sorted(folder.iterdir()):
        if (
            (path.name.startswith((".", "__")) and path.suffix != ".py")
            or path.name in APART
            or path.is_symlink()
        ):
            continue
        if path.is_dir():
            found.extend(_below(path, suffixes))
        elif path.suffix in suffixes:
            found.append(path)
    return found


def page_files(settings: Settings) -> dict[str, Path]:
    """Address -> file, for everything under the page's folder that a browser asks for."""
    kinds = set(TYPES) - {".json", ".py"}
    return {
        "/" + path.relative_to(settings.static).as_posix(): path
        for path in _below(settings.static, kinds)
    }


def engine_files(settings: Settings) -> dict[str, Path]:
    """Address -> file, for the engine's sources and tables."""
    found = _below(settings.engine, {".py", ".json"})
    return {
        "/engine/shared/" + path.relative_to(settings.engine).as_posix(): path for path in found
    }


def engine_text(settings: Settings) -> bytes:
    """All engine files in one answer, `{"shared/ask.py": "...", ...}`: one request instead of
    forty.
    """
    files = engine_files(settings)
    return json.dumps(
        {name.removeprefix("/engine/"): path.read_text("utf-8") for name, path in files.items()}
    ).encode()


def start_page(settings: Settings, workshop: str) -> bytes:
    """The start page with the identity of the workshop that serves it: a page taps before it first
    meets the server.
    """
    bare, filled = (
        b'<meta name="workshop" content="">',
        f'<meta name="workshop" content="{workshop}">'.encode(),
    )
    return (settings.static / "index.html").read_bytes().replace(bare, filled)


def offline_list(settings: Settings, workshop: str) -> dict[str, object]:
    """`version` is a hash over names, contents and workshop; `files` is what the page needs with no
    server.
    """
    files = page_files(settings)
    own = {"/sw.js", "/index.html"}  # the worker keeps itself; the start page is kept as /
    kept = [
        name
        for name in files
        if name not in own and not name.startswith(("/icons/bench-", "/icons/pieces-"))
    ]
    digest = hashlib.sha256(engine_text(settings) + workshop.encode())
    for name, path in files.items():
        digest.update(name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return {"version": digest.hexdigest()[:16], "files": ["/", "/engine.json", *kept]}


@lru_cache(maxsize=400)
def _small(body: bytes) -> bytes:
    """Pressed once for each content; large files less hard, or the first visit would wait for it."""
    small: bytes = brotli.compress(body, quality=11 if len(body) < LARGE else 9)
    return small


def _takes(request: Request, coding: str) -> bool:
    """Whether the browser says it can read this content coding (RFC 9110, 12.5.3)."""
    offers = [
        offer.strip().split(";")
        for offer in request.headers.get("accept-encoding", "").lower().split(",")
    ]
    return any(
        offer[0].strip() == coding and "q=0" not in [o.strip() for o in offer[1:]]
        for offer in offers
    )


def _answer(request: Request, body: bytes, kind: str) -> Response:
    tag = '"' + hashlib.sha256(body).hexdigest()[:32] + '"'
    asked = [
        tag.strip().removeprefix("W/")
        for tag in request.headers.get("if-none-match", "").split(",")
    ]
    headers = FRESH | {"ETag": tag, "Vary": "Accept-Encoding"}
    if tag in asked:
        return Response(status_code=304, headers=headers)
    if kind != TYPES[".png"] and _takes(request, "br"):
        return Response(
            _small(body), headers=headers | {"Content-Type": kind, "Content-Encoding": "br"}
        )
    return Response(body, headers=headers | {"Content-Type": kind})


def page(request: Request) -> Response:
    """GET a page file or an engine source. Plain function: files are read off the event loop."""
    settings: Settings = request.app.state.settings
    name = "/index.html" if request.url.path == "/" else request.url.path
    path = (page_files(settings) | engine_files(settings)).get(name)
    if path is None:
        raise Refusal(404, "path", "There is nothing at this address; the page begins at /.")
    start = name == "/index.html"
    body = start_page(settings, request.app.state.workshop) if start else path.read_bytes()
    return _answer(request, body, TYPES[path.suffix])


def engine(request: Request) -> Response:
    return _answer(request, engine_text(request.app.state.settings), TYPES[".json"])


def worker(request: Request) -> Response:
    """GET the service worker with its list in front, so that a changed file is a changed worker."""
    settings: Settings = request.app.state.settings
    path = settings.static / "sw.js"
    if not path.is_file():
        raise Refusal(404, "path", "The page's service worker is not in place.")
    first = (
        "self.RINGWRIGHT = "
        + json.dumps(offline_list(settings, request.app.state.workshop))
        + ";\n"
    )
    return _answer(request, first.encode() + path.read_bytes(), TYPES[".js"])
