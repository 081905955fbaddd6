"""Reading a request's JSON body: bounded in size and time, and strictly JSON (RFC 8259).

Python's own reader accepts NaN, repeated names and numbers of any length. Here they are refused
with the reason, since another reader may understand them differently.
"""

from __future__ import annotations

import asyncio
import json
import math
from typing import Any

from starlette.requests import ClientDisconnect, Request

from . import json_text
from .errors import Refusal, Unreadable
from .sentences import sentence
from .settings import Settings

DEEPEST = 40  # nested lists and objects; no shape of ours has more than ten
LONGEST_NUMBER = 24  # characters; a double needs no more
_NESTS = (dict, list)
SMALL = 4096  # bytes of a body with a handful of fields


async def read_json(request: Request) -> Any:
    """The body as JSON; raises Refusal 400, 408, 413 or 415."""
    return parse(await read_text(request))


async def read_object(request: Request, names: set[str]) -> dict[str, Any]:
    """A small body: one object with none but these names, any of which may be missing.

    Raises Refusal 400, 408, 413 or 415.
    """
    value = parse(await read_text(request, SMALL))
    if not isinstance(value, dict):
        raise Unreadable("body", sentence("json_body.no_object"))
    for name in value:
        if name not in names:
            raise Unreadable(name[:40], sentence("json_body.not_asked", name=name[:40]))
    return value


async def read_text(request: Request, most: int | None = None) -> str:
    """The body as text, at most `most` bytes of it (else `body_bytes`); raises Refusal 400, 408, 413
    or 415.
    """
    settings: Settings = request.app.state.settings
    most = settings.body_bytes if most is None else most
    _check_kind(request)
    try:
        body = await asyncio.wait_for(_collect(request, most), settings.body_seconds)
    except TimeoutError:
        raise Refusal(408, "body", sentence("json_body.too_slow")) from None
    except ClientDisconnect:
        raise Unreadable("body", sentence("json_body.broke_off")) from None
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError:
        raise Unreadable("body", sentence("json_body.not_utf8")) from None


def _check_kind(request: Request) -> None:
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json":
        raise Refusal(415, "Content-Type", sentence("json_body.content_type"))
    if request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Refusal(415, "Content-Encoding", sentence("json_body.compressed"))


async def _collect(request: Request, most: int) -> bytes:
    """Counted while it arrives: a stated length can be wrong, and a chunked body states none."""
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > most:
            raise Refusal(413, "body", sentence("json_body.too_large", most=f"{most:,}"))
    return bytes(body)


def parse(text: str) -> Any:
    """The value of a strict JSON text of bounded depth; raises Unreadable."""
    value = json_text.read_exact(text)
    try:
        if value is None:
            value = json.loads(
                text,
                parse_constant=_no_constant,
                parse_int=_whole,
                parse_float=_decimal,
                object_pairs_hook=_once_each,
            )
    except RecursionError:
        raise _too_deep() from None
    except ValueError as e:
        raise Unreadable("body", sentence("json_body.not_json", error=e)) from None
    _check_depth(value)
    return value


def _too_deep() -> Unreadable:
    return Unreadable("body", sentence("json_body.too_deep", most=DEEPEST))


def _check_depth(value: Any) -> None:
    nests, depth = [value] if type(value) in _NESTS else [], 0
    while nests:
        depth += 1
        if depth > DEEPEST:
            raise _too_deep()
        nests = [
            inner
            for each in nests
            for inner in (each.values() if type(each) is dict else each)
            if type(inner) in _NESTS
        ]


def _no_constant(name: str) -> None:
    raise Unreadable("body", sentence("json_body.no_constant", name=name))


def _whole(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        values = {"begin": digits[:12], "n": len(digits), "most": LONGEST_NUMBER}
        raise Unreadable("body", sentence("json_body.long_number", **values))
    return int(digits)


def _decimal(digits: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise Unreadable("body", sentence("json_body.large_number", number=digits[:24]))
    return value


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        why = sentence("json_body.name_twice", name=_first_twice(pairs)[:40])
        raise Unreadable("body", why)
    return out


def _first_twice(pairs: list[tuple[str, Any]]) -> str:
    """The first name that comes again, found in one pass."""
    seen: set[str] = set()
    for name, _ in pairs:
        if name in seen:
            break
        seen.add(name)
    return name
