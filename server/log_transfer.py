"""The whole log as JSON lines, out and in again. What goes out comes in on any other server, once;
so does the file that the page writes of what a device has.

The first line says whose counts these are, `{"workshop", "logs"}`; the page's file says it at its
head.
Every other line is a change as its device said it. A change that was set aside travels as
`{"device", "seq", "put_aside": change, "why"}`, so that its number leaves no gap.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Iterable
from dataclasses import dataclass, field
from typing import Any

from . import sync
from .errors import StoreTrouble, Unreadable
from .json_body import parse
from .store import Book, Row, Store
from .workshop import OtherWorkshop, is_identity, short

PORTION = 2000


def _line(row: Row) -> str:
    if row.why is None:
        return row.body
    return json.dumps(
        {"device": row.device, "seq": row.seq, "put_aside": json.loads(row.body), "why": row.why}
    )


async def _head(book: Book) -> str:
    return json.dumps({"workshop": await book.workshop(), "logs": await book.logs()})


async def lines(store: Store) -> AsyncIterator[str]:
    """Whose counts these are; every change in order of arrival; then those that came under a taken
    number.
    """
    yield await store.read(_head)
    place = 0
    while rows := await store.read(lambda book, after=place: book.everything(after, PORTION)):  # type: ignore[misc]
        for row in rows:
            yield _line(row)
        place = rows[-1].place
    for row in await store.read(Book.clashes):
        yield _line(row)


@dataclass
class Found:
    """What a file holds: whose counts, and each device's changes in order of seq."""

    workshop: str | None = None
    logs: list[str] = field(default_factory=list)
    by_device: dict[str, list[dict[str, Any]]] = field(default_factory=dict)


@dataclass
class Brought:
    """What an import did."""

    fresh: int = 0
    known: int = 0
    refused: list[dict[str, Any]] = field(default_factory=list)
    gaps: list[dict[str, Any]] = field(default_factory=list)


def _changes(said: Any) -> list[tuple[str, dict[str, Any]]]:
    """(device, change) of one line; a file that the page wrote is one line with all its `changes`."""
    if isinstance(said, dict) and "seq" not in said:
        if isinstance(said.get("changes"), list):
            return [_change(each) for each in said["changes"]]
        if "workshop" in said:
            return []
    return [_change(said)]


def _read_head(said: Any, found: Found) -> None:
    """What a first line, or the head of a page's file, says of the workshop."""
    if not isinstance(said, dict) or "seq" in said:
        return
    workshop, logs = (
        said.get("workshop"),
        said.get("logs", [said["log"]] if said.get("log") else []),
    )
    if workshop is not None and not is_identity(workshop):
        raise Unreadable("workshop", "an identity is 32 digits from 0 to f.")
    if not isinstance(logs, list) or not all(
        isinstance(log, str) and len(log) <= 200 for log in logs
    ):
        raise Unreadable("logs", "a list of texts is needed.")
    found.workshop, found.logs = workshop or found.workshop, logs or found.logs


def _change(said: Any) -> tuple[str, dict[str, Any]]:
    if not isinstance(said, dict) or not isinstance(said.get("device"), str):
        raise Unreadable("device", "each line is one change with its device.")
    change = said.get("put_aside", said)
    return said["device"], change


def read_lines(text: Iterable[str]) -> Found:
    """A file's content; raises Unreadable naming the line."""
    found = Found()
    by_device: dict[str, list[dict[str, Any]]] = {}
    for n, line in enumerate(text, 1):
        if not line.strip():
            continue
        try:
            said = parse(line)
            _read_head(said, found)
            for device, change in _changes(said):
                sync.read_request({"v": sync.V, "device": device, "changes": [change]})
                by_device.setdefault(device, []).append(change)
        except Unreadable as e:
            raise Unreadable(f"line {n}", f"{e.field}: {e.why}") from None
    found.by_device = {
        device: sorted(by_device[device], key=lambda c: int(c["seq"]))
        for device in sorted(by_device)
    }
    return found


async def settle(store: Store, found: Found, join: bool) -> str:
    """Before anything is taken in: whose workshop this is from now on. An empty one takes over the
    file's identity; one with counts of its own refuses a file of another workshop, unless it shall
    `join` for good.
    """

    async def work(book: Book) -> str:
        if found.workshop and await book.is_empty():
            await book.become(found.workshop, found.logs)
        if join:
            return await book.workshop()
        try:
            return await sync.check_workshop(
                book, found.workshop, found.logs[0] if found.logs else None
            )
        except OtherWorkshop:
            raise StoreTrouble(_ways_out(found.workshop, await book.workshop())) from None

    return await store.write(work)


def _ways_out(theirs: str | None, ours: str) -> str:
    whose = f"workshop {short(theirs)}" if theirs else "another workshop"
    return (
        f"This file is of {whose}, and this folder keeps workshop {short(ours)}. Nothing was taken"
        " in. To have it apart, import it into a folder of its own: --data FOLDER. To start with"
        " it alone, move this folder away first. To bring its counts into this workshop for good:"
        " --join; make a backup before."
    )


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
