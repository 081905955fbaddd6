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

from .engine_source import lean_source
from .errors import Refusal
from .page_pack import (
    APART,
    APP,
    FIRST_CSS,
    LATER,
    LATER_CSS,
    lean,
    pack,
    packed_start_page,
    style_sheets,
)
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
# only for developers
NOT_SERVED = {"node_modules", "eslint.config.js", "answers.schema.json"}
# bytes below which -> how hard brotli compresses; else 9
QUALITY = {100_000: 11, 400_000: 10}
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
    """All engine files in one answer, `{"shared/ask.py": "...", ...}`, as lean as they run: one
    request instead of eighty.
    """
    files = engine_files(settings)
    return json.dumps(
        {
            name.removeprefix("/engine/"): lean_source(path.read_text("utf-8"))
            if path.suffix == ".py"
            else path.read_text("utf-8")
            for name, path in files.items()
        }
    ).encode()


def modules(settings: Settings) -> tuple[tuple[str, str], ...]:
    """(name below the page, text) of the page's own modules."""
    return tuple(
        (name[1:], path.read_text("utf-8"))
        for name, path in page_files(settings).items()
        if path.suffix == ".js" and name[1:] not in APART and not name.startswith("/vendor/")
    )


def sent_otherwise(settings: Settings) -> dict[str, str]:
    """Address -> text, for each script and style sheet that travels in another form than it is kept."""
    if not settings.packed or not (settings.static / "index.html").is_file():
        return {}
    page = (settings.static / "index.html").read_text("utf-8")
    files = page_files(settings)
    css = {
        name[1:]: files[name].read_text("utf-8") for name in files if files[name].suffix == ".css"
    }
    packed = pack(modules(settings), page)
    apart = {name: settings.static / name for name in APART if name != "sw.js"}
    out = {"/" + name: text for name, text in (packed.scripts | style_sheets(page, css)).items()}
    return out | {
        "/" + name: lean(path.read_text("utf-8")) for name, path in apart.items() if path.is_file()
    }


def start_page(settings: Settings, workshop: str) -> bytes:
    """The start page with the identity of the workshop that serves it: a page taps before it first
    meets the server.
    """
    text = (settings.static / "index.html").read_text("utf-8")
    bare, filled = (
        '<meta name="workshop" content="">',
        f'<meta name="workshop" content="{workshop}">',
    )
    return (packed_start_page(text) if settings.packed else text).replace(bare, filled).encode()


def module_text(settings: Settings) -> bytes:
    """`{"/store/store.js": "...", ...}`: what stands at each packed module's own address."""
    packs = {f"/{name}" for name in (APP, LATER, FIRST_CSS, LATER_CSS, *APART)}
    return json.dumps(
        {name: text for name, text in sent_otherwise(settings).items() if name not in packs}
    ).encode()


def offline_list(settings: Settings, workshop: str) -> dict[str, object]:
    """`version` is a hash over names, contents and workshop; `files` is what the page needs with no
    server, `modules` the archive of what stands at the modules' own addresses ("" where each of
    them is a file by itself).
    """
    files = page_files(settings)
    sent = sent_otherwise(settings)
    own = {"/sw.js", "/index.html"}  # the worker keeps itself; the start page is kept as /
    archived = set(json.loads(module_text(settings))) if sent else set()
    in_packs = {name for name in files if sent and name.endswith(".css")}
    kept = [
        name
        for name in sorted({*files} - in_packs | {*sent})
        if name not in own | archived and not name.startswith(("/icons/bench-", "/icons/pieces-"))
    ]
    digest = hashlib.sha256(engine_text(settings) + workshop.encode() + repr(kept).encode())
    for name, path in files.items():
        digest.update(name.encode() + b"\0" + hashlib.sha256(path.read_bytes()).digest())
    return {
        "version": digest.hexdigest()[:16],
        "files": ["/", "/engine.json", *kept],
        "modules": "/modules.json" if archived else "",
    }


@lru_cache(maxsize=400)
def _compressed(body: bytes) -> bytes:
    """Compressed once for each content; large files less, or the first visit would wait for it."""
    quality = next((q for size, q in sorted(QUALITY.items()) if len(body) < size), 9)
    out: bytes = brotli.compress(body, quality=quality)
    return out


def prepare(settings: Settings) -> None:
    """Packs and compresses what a first visit asks for, in the order it asks: some two seconds of
    work that no visitor then waits for.
    """
    sent = sent_otherwise(settings)
    for name in (f"/{FIRST_CSS}", f"/{APP}", f"/{LATER}", f"/{LATER_CSS}"):
        _compressed(sent.get(name, "").encode())
    _compressed(engine_text(settings))


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
    packed = name.endswith((".js", ".css"))
    if packed and (text := sent_otherwise(settings).get(name)) is not None:
        return _answer(request, text.encode(), TYPES[Path(name).suffix])
    path = (page_files(settings) | engine_files(settings)).get(name)
    if path is None:
        raise Refusal(404, "path", sentence("assets.nothing_here"))
    start = name == "/index.html"
    body = start_page(settings, request.app.state.workshop) if start else path.read_bytes()
    return _answer(request, body, TYPES[path.suffix])


def engine(request: Request) -> Response:
    """GET /engine.json: all sources and tables of the engine."""
    return _answer(request, engine_text(request.app.state.settings), TYPES[".json"])


def module_archive(request: Request) -> Response:
    """GET /modules.json: what stands at the modules' own addresses, for the service worker."""
    return _answer(request, module_text(request.app.state.settings), TYPES[".json"])


def worker(request: Request) -> Response:
    """GET /sw.js: the service worker behind its list of files; raises Refusal 404.

    With the list in it, a changed file makes a changed worker, which the browser then installs.
    """
    settings: Settings = request.app.state.settings
    path = settings.static / "sw.js"
    if not path.is_file():
        raise Refusal(404, "path", sentence("assets.no_worker"))
    listed = json.dumps(offline_list(settings, request.app.state.workshop))
    text = path.read_text("utf-8")
    script = f"self.RINGWRIGHT = {listed};\n{lean(text) if settings.packed else text}"
    return _answer(request, script.encode(), TYPES[".js"])
