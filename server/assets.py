"""The files of the page and the engine, and the list of them that the service worker keeps.

Only what is listed here is served, so no path can lead out of the page's folder. The lists are
made again at each request, so a changed file is served at once and changes the version.
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
from .sentences import sentence
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
NOT_SERVED = {"node_modules", "eslint.config.js"}  # only for developers of the page
LARGE_BYTES = 400_000
REVALIDATE = {"Cache-Control": "no-cache"}  # cached, but asked about each time


def _below(folder: Path, suffixes: set[str]) -> list[Path]:
    """Files with one of these endings, in a fixed order; no hidden ones, no links."""
    found: list[Path] = []
    for path in sorted(folder.iterdir()):
        if (
            (path.name.startswith((".", "__")) and path.suffix != ".py")
            or path.name in NOT_SERVED
            or path.is_symlink()
        ):
            continue
        if path.is_dir():
            found.extend(_below(path, suffixes))
        elif path.suffix in suffixes:
            found.append(path)
    return found


def page_files(settings: Settings) -> dict[str, Path]:
    """Address -> file, for everything in the page's folder that a browser asks for."""
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
    """All engine files as one JSON object, `{"shared/ask.py": "...", ...}`.

    One request instead of more than fifty.
    """
    files = engine_files(settings)
    return json.dumps(
        {name.removeprefix("/engine/"): path.read_text("utf-8") for name, path in files.items()}
    ).encode()


def start_page(settings: Settings, workshop: str) -> bytes:
    """index.html with the identity of this workshop in it.

    A page counts taps before its first sync, and must know from the start whose they are.
    """
    empty = b'<meta name="workshop" content="">'
    filled = f'<meta name="workshop" content="{workshop}">'.encode()
    return (settings.static / "index.html").read_bytes().replace(empty, filled)


def offline_list(settings: Settings, workshop: str) -> dict[str, object]:
    """`{version, files}` for the service worker.

    `version` is a hash of names, contents and workshop; `files` is what the page needs offline.
    """
    files = page_files(settings)
    own = {"/sw.js", "/index.html"}  # browsers cache the worker; the start page is cached as /
    names = ["/", "/engine.json"]
    names += [
        name
        for name in files
        if name not in own and not name.startswith(("/icons/bench-", "/icons/pieces-"))
    ]
    digest = hashlib.sha256(engine_text(settings) + workshop.encode())
    for name, path in files.items():
        digest.update(name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return {"version": digest.hexdigest()[:16], "files": names}


@lru_cache(maxsize=400)
def _compressed(body: bytes) -> bytes:
    """Compressed once for each content; large files less, or the first visit would wait for it."""
    out: bytes = brotli.compress(body, quality=11 if len(body) < LARGE_BYTES else 9)
    return out


def _accepts(request: Request, coding: str) -> bool:
    """Whether the browser accepts this content coding (RFC 9110, 12.5.3)."""
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
    known = [
        tag.strip().removeprefix("W/")
        for tag in request.headers.get("if-none-match", "").split(",")
    ]
    headers = REVALIDATE | {"ETag": tag, "Vary": "Accept-Encoding"}
    if tag in known:
        return Response(status_code=304, headers=headers)
    if kind != TYPES[".png"] and _accepts(request, "br"):
        return Response(
            _compressed(body), headers=headers | {"Content-Type": kind, "Content-Encoding": "br"}
        )
    return Response(body, headers=headers | {"Content-Type": kind})


def page(request: Request) -> Response:
    """GET a page file or an engine source; raises Refusal 404.

    A plain function, so that Starlette runs it in a thread and files do not hold up the server.
    """
    settings: Settings = request.app.state.settings
    name = "/index.html" if request.url.path == "/" else request.url.path
    path = (page_files(settings) | engine_files(settings)).get(name)
    if path is None:
        raise Refusal(404, "path", sentence("assets.nothing_here"))
    start = name == "/index.html"
    body = start_page(settings, request.app.state.workshop) if start else path.read_bytes()
    return _answer(request, body, TYPES[path.suffix])


def engine(request: Request) -> Response:
    """GET /engine.json: all sources and tables of the engine."""
    return _answer(request, engine_text(request.app.state.settings), TYPES[".json"])


def worker(request: Request) -> Response:
    """GET /sw.js: the service worker behind its list of files; raises Refusal 404.

    With the list in it, a changed file makes a changed worker, which the browser then installs.
    """
    settings: Settings = request.app.state.settings
    path = settings.static / "sw.js"
    if not path.is_file():
        raise Refusal(404, "path", sentence("assets.no_worker"))
    first = (
        "self.RINGWRIGHT = "
        + json.dumps(offline_list(settings, request.app.state.workshop))
        + ";\n"
    )
    return _answer(request, first.encode() + path.read_bytes(), TYPES[".js"])
