"""Reading a request's JSON body: bounded, in time, and strictly JSON.

Python's own reader takes NaN, repeated names and numbers of any length; here they are refused
with the reason, since what one reader drops in silence another one counts.
"""

from __future__ import annotations

import asyncio
import json
import math
from typing import Any

from starlette.requests import ClientDisconnect, Request

from .errors import Refusal, Unreadable
from .settings import Settings

DEEPEST = 40  # no shape of ours goes beyond ten
LONGEST_NUMBER = 24  # letters; a double needs at most 24


async def read_json(request: Request) -> Any:
    """The body as JSON; raises Refusal 400, 408, 413 or 415."""
    return parse(await read_text(request))


async def read_text(request: Request) -> str:
    """The body as text, never more of it than the settings allow."""
    settings: Settings = request.app.state.settings
    _check_kind(request)
    try:
        body = await asyncio.wait_for(_collect(request, settings.body_bytes), settings.body_seconds)
    except TimeoutError:
        raise Refusal(408, "body", "The request came too slowly; send it again.") from None
    except ClientDisconnect:
        raise Unreadable("body", "The request broke off; send it again.") from None
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError:
        raise Unreadable("body", "The body is not UTF-8 text; send JSON in UTF-8.") from None


def _check_kind(request: Request) -> None:
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != "application/json":
        raise Refusal(415, "Content-Type", "Send JSON with Content-Type: application/json.")
    if request.headers.get("content-encoding", "identity").lower() != "identity":
        raise Refusal(415, "Content-Encoding", "Send the body as it is, not compressed.")


async def _collect(request: Request, most: int) -> bytes:
    """Counted while it streams: a stated length can lie, and a chunked body states none."""
    body = bytearray()
    async for chunk in request.stream():
        body += chunk
        if len(body) > most:
            raise Refusal(
                413,
                "body",
                f"The request is larger than {most:,} bytes; send fewer changes at once.",
            )
    return bytes(body)


def parse(text: str) -> Any:
    """Strict JSON of bounded depth; raises Unreadable with what is wrong."""
    try:
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
        raise Unreadable("body", f"This is not JSON ({e}).") from None
    _check_depth(value)
    return value


def _too_deep() -> Unreadable:
    return Unreadable("body", f"Lists and objects may be nested {DEEPEST} deep at most.")


def _check_depth(value: Any) -> None:
    nests, depth = [value], 0
    while nests := [v for v in nests if isinstance(v, (dict, list))]:
        depth += 1
        if depth > DEEPEST:
            raise _too_deep()
        nests = [
            inner for each in nests for inner in (each.values() if isinstance(each, dict) else each)
        ]


def _no_constant(name: str) -> None:
    raise Unreadable("body", f"{name} is no number that JSON knows; leave the field out instead.")


def _whole(digits: str) -> int:
    if len(digits) > LONGEST_NUMBER:
        raise Unreadable(
            "body",
            f"The number {digits[:12]}… has {len(digits)} digits; nothing here counts so far.",
        )
    return int(digits)


def _decimal(digits: str) -> float:
    value = float(digits)
    if not math.isfinite(value):
        raise Unreadable("body", f"The number {digits[:24]} is beyond all measure.")
    return value


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out = dict(pairs)
    if len(out) != len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise Unreadable(
            "body",
            f"The name {twice[:40]!r} stands twice in one object; which one counts is not clear.",
        )
    return out
