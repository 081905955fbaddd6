"""Questions to the engine from outside: `ringwright ask` on standard input, and POST /api/ask."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import IO

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from shared.ask import answer

from .json_body import parse, read_text

BYTE_ORDER_MARK = "\ufeff"  # some editors write one before a text


async def ask(request: Request) -> Response:
    """POST /api/ask: one question, answered with 200, or with 400 where the engine refuses it.

    The engine works in a thread, so that the server goes on meanwhile.
    """
    text = (await read_text(request)).removeprefix(BYTE_ORDER_MARK)
    parse(text)
    reply = await run_in_threadpool(answer, text)
    status = 200 if json.loads(reply)["ok"] else 400
    return Response(
        reply, status, {"Content-Type": "application/json", "Cache-Control": "no-store"}
    )


def _is_complete(text: str) -> bool:
    """Whether this text is one complete JSON value, without a byte order mark before it."""
    try:
        json.loads(text.removeprefix(BYTE_ORDER_MARK))
    except (ValueError, RecursionError):
        return False
    return True


def answers(source: IO[bytes]) -> Iterator[str]:
    """The engine's answers, one JSON text each.

    One object spread over several lines is one question; otherwise each line is one, answered as
    it comes.
    """
    first = _next_line(source)
    if first and not _is_complete(first):
        rest = source.read().decode("utf-8", "replace")
        if _is_complete(first + rest):
            yield answer(first + rest)
            return
        yield from (answer(line) for line in [first, *rest.splitlines()] if line.strip())
        return
    while first:
        yield answer(first)
        first = _next_line(source)


def _next_line(source: IO[bytes]) -> str:
    """The next line that is not blank, "" at the end."""
    for line in source:
        text = line.decode("utf-8", "replace")
        if text.removeprefix(BYTE_ORDER_MARK).strip():
            return text
    return ""
