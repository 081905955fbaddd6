"""The engine's door, from outside: `ringwright ask` on standard input and output, and POST
/api/ask.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import IO

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response

from shared.ask import answer

from .json_body import parse, read_text

MARK = "\ufeff"  # the byte order mark that some editors write before a text


async def ask(request: Request) -> Response:
    """POST one question; the engine's own refusals come with status 400. It runs beside the event
    loop.
    """
    text = (await read_text(request)).removeprefix(MARK)
    parse(text)
    said = await run_in_threadpool(answer, text)
    status = 200 if json.loads(said)["ok"] else 400
    return Response(said, status, {"Content-Type": "application/json", "Cache-Control": "no-store"})


def _whole(text: str) -> bool:
    """Whether this text is one complete JSON value, a byte order mark before it left aside."""
    try:
        json.loads(text.removeprefix(MARK))
    except (ValueError, RecursionError):
        return False
    return True


def answers(source: IO[bytes]) -> Iterator[str]:
    """One object spread over lines gets one answer; otherwise each line is a question, answered as
    it comes.
    """
    first = _next_line(source)
    if first and not _whole(first):
        rest = source.read().decode("utf-8", "replace")
        if _whole(first + rest):
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
        if text.removeprefix(MARK).strip():
            return text
    return ""
