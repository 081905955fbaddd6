"""The whole log as JSON lines, out and in again. What goes out comes in on any other server, once;
so does the file that the page writes of what a device has.

A line is a change as its device said it. A change that was put aside travels as
`{"device", "seq", "put_aside": change, "why"}`, so that its number leaves no gap.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Iterable
from dataclasses import dataclass, field
from typing import Any

from . import sync
from .body import parse
from .errors import Unreadable
from .store import Book, Row, Store

PORTION = 2000


def _line(row: Row) -> str:
    if row.why is None:
        return row.body
    return json.dumps({"device": row.device, "seq": row.seq, "put_aside": json.loads(row.body), "why": row.why})


async def lines(store: Store) -> AsyncIterator[str]:
    """Every change in order of arrival, then those that came under a taken number."""
    place = 0
    while rows := await store.read(lambda book, after=place: book.everything(after, PORTION)):  # type: ignore[misc]
        for row in rows:
            yield _line(row)
        place = rows[-1].place
    for row in await store.read(Book.clashes):
        yield _line(row)


@dataclass
class Brought:
    """What an import did."""

    fresh: int = 0
    known: int = 0
    refused: list[dict[str, Any]] = field(default_factory=list)
    gaps: list[dict[str, Any]] = field(default_factory=list)


def _changes(text: str) -> list[tuple[str, dict[str, Any]]]:
    """(device, change) of one line; a file that the page wrote is one line with all its `changes`."""
    said = parse(text)
    if isinstance(said, dict) and "seq" not in said and isinstance(said.get("changes"), list):
        return [_change(each) for each in said["changes"]]
    return [_change(said)]


def _change(said: Any) -> tuple[str, dict[str, Any]]:
    if not isinstance(said, dict) or not isinstance(said.get("device"), str):
        raise Unreadable("device", "each line is one change with its device.")
    change = said.get("put_aside", said)
    return said["device"], change


def read_lines(text: Iterable[str]) -> dict[str, list[dict[str, Any]]]:
    """The changes of a file by device, in order of seq; raises Unreadable naming the line."""
    found: dict[str, list[dict[str, Any]]] = {}
    for n, line in enumerate(text, 1):
        if not line.strip():
            continue
        try:
            for device, change in _changes(line):
                sync.read_request({"v": sync.V, "device": device, "changes": [change]})
                found.setdefault(device, []).append(change)
        except Unreadable as e:
            raise Unreadable(f"line {n}", f"{e.field}: {e.why}") from None
    return {device: sorted(found[device], key=lambda c: int(c["seq"])) for device in sorted(found)}


async def bring(store: Store, by_device: dict[str, list[dict[str, Any]]], now_ms: int) -> Brought:
    """Take all changes in, as if each device had sent its own; what is known already is skipped."""
    out = Brought()
    for device, changes in by_device.items():
        for start in range(0, len(changes), sync.MOST):
            asked = sync.Asked(device, None, 0, changes[start : start + sync.MOST])
            taken = await store.write(lambda book, asked=asked: sync.take(book, asked, now_ms))  # type: ignore[misc]
            out.fresh += len(taken.fresh)
            out.known += len(asked.changes) - len(taken.fresh)
            out.refused += [{"device": device} | each for each in taken.refused]
            if taken.gap:
                out.known -= sum(c["seq"] > taken.acked for c in asked.changes)
                out.gaps.append({"device": device} | taken.gap)
                break
    return out
