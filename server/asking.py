"""`ringwright ask`: questions on standard input, one answer a line on standard output."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import IO

from shared.ask import answer


def _whole(text: str) -> bool:
    """Whether this text is one complete JSON value."""
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return False
    return True


def answers(source: IO[bytes]) -> Iterator[str]:
    """One object spread over lines gets one answer; otherwise each line is a question, answered as it comes."""
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
        if text.strip():
            return text
    return ""
