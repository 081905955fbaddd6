"""Export and import of the whole log as JSON lines.

An export can be imported on any other server, and again without effect; so can the file that the
page saves of what a device has.

The first line names the workshop, `{"workshop", "logs"}`; in the page's file these are fields of
its one object. Every other line is a change as its device wrote it. A change that was set aside is
`{"device", "seq", "put_aside": change, "why"}`, so that its number leaves no gap.
"""

from __future__ import annotations

import json
from collections.abc import AsyncIterator, Iterable
from dataclasses import dataclass, field
from typing import Any

from . import sync
from .errors import StoreError, Unreadable
from .json_body import parse
from .sentences import sentence
from .store import LogTransaction, Row, Store
from .workshop import OtherWorkshop, is_identity, short

PORTION = 2000  # changes read from the file at once


def _line(row: Row) -> str:
    if row.why is None:
        return row.body
    return json.dumps(
        {"device": row.device, "seq": row.seq, "put_aside": json.loads(row.body), "why": row.why}
    )


async def _head(tx: LogTransaction) -> str:
    return json.dumps({"workshop": await tx.workshop(), "logs": await tx.logs()})


async def export_lines(store: Store, damaged: list[Row]) -> AsyncIterator[str]:
    """The lines: the workshop; every change in order of arrival; then those under a used number.

    Rows that the disk has damaged are left out, and are added to `damaged`.
    """
    yield await store.read(_head)
    place = 0
    while rows := await store.read(lambda tx, after=place: tx.all_changes(after, PORTION)):  # type: ignore[misc]
        for row in _sound(rows, damaged):
            yield _line(row)
        place = rows[-1].place
    for row in _sound(await store.read(LogTransaction.clashes), damaged):
        yield _line(row)


def _sound(rows: list[Row], damaged: list[Row]) -> list[Row]:
    damaged += [row for row in rows if not row.sound]
    return [row for row in rows if row.sound]


@dataclass
class LogFile:
    """The content of a file: its workshop, and each device's changes in order of seq."""

    workshop: str | None = None
    logs: list[str] = field(default_factory=list)
    by_device: dict[str, list[dict[str, Any]]] = field(default_factory=dict)


@dataclass
class ImportResult:
    """What became of an import: numbers of new and known changes, what was set aside, and of which
    device the file lacks which numbers.
    """

    fresh: int = 0
    known: int = 0
    refused: list[dict[str, Any]] = field(default_factory=list)
    holes: list[tuple[str, int, int]] = field(default_factory=list)


def _changes(value: Any) -> list[tuple[str, dict[str, Any]]]:
    """[(device, change)] of one line; a file that the page saved is one line of all `changes`."""
    if isinstance(value, dict) and "seq" not in value:
        if isinstance(value.get("changes"), list):
            return [_change(each) for each in value["changes"]]
        if "workshop" in value:
            return []
    return [_change(value)]


def _read_head(value: Any, file: LogFile) -> None:
    """The workshop in a first line, or in the page's file; raises Unreadable."""
    if not isinstance(value, dict) or "seq" in value:
        return
    workshop, logs = (
        value.get("workshop"),
        value.get("logs", [value["log"]] if value.get("log") else []),
    )
    if workshop is not None and not is_identity(workshop):
        raise Unreadable("workshop", sentence("log_transfer.workshop"))
    if not isinstance(logs, list) or not all(
        isinstance(log, str) and len(log) <= 200 for log in logs
    ):
        raise Unreadable("logs", sentence("log_transfer.logs"))
    file.workshop, file.logs = workshop or file.workshop, logs or file.logs


def _change(value: Any) -> tuple[str, dict[str, Any]]:
    if not isinstance(value, dict) or not isinstance(value.get("device"), str):
        raise Unreadable("device", sentence("log_transfer.device"))
    change = value.get("put_aside", value)
    return value["device"], change


def read_lines(text: Iterable[str]) -> LogFile:
    """The content of a file, line by line; raises Unreadable that names the line."""
    file = LogFile()
    by_device: dict[str, list[dict[str, Any]]] = {}
    for n, line in enumerate(text, 1):
        if not line.strip():
            continue
        try:
            value = parse(line)
            _read_head(value, file)
            for device, change in _changes(value):
                sync.read_request({"v": sync.V, "device": device, "changes": [change]})
                by_device.setdefault(device, []).append(change)
        except Unreadable as e:
            raise Unreadable(f"line {n}", f"{e.field}: {e.why}") from None
    file.by_device = {
        device: sorted(by_device[device], key=lambda c: int(c["seq"]))
        for device in sorted(by_device)
    }
    return file


async def adopt_workshop(store: Store, file: LogFile, join: bool) -> str:
    """The identity of this workshop from now on; call it before importing changes.

    An empty workshop takes over the file's identity. One with counts of its own keeps its own, and
    raises StoreError for a file of another workshop, unless `join` adds that one's counts for good.
    """

    async def work(tx: LogTransaction) -> str:
        if file.workshop and await tx.is_empty():
            await tx.adopt(file.workshop, file.logs)
        if join:
            return await tx.workshop()
        try:
            newest = file.logs[0] if file.logs else None
            return (await sync.check_workshop(tx, file.workshop, newest))[0]
        except OtherWorkshop:
            raise StoreError(_other_workshop(file.workshop, await tx.workshop())) from None

    return await store.write(work)


def _other_workshop(theirs: str | None, ours: str) -> str:
    if theirs:
        return sentence("log_transfer.other_workshop", theirs=short(theirs), ours=short(ours))
    return sentence("log_transfer.other_workshop_unnamed", ours=short(ours))


async def import_changes(
    store: Store, by_device: dict[str, list[dict[str, Any]]], now_ms: int
) -> ImportResult:
    """Store all changes as if each device had sent its own; those known already are skipped.

    `by_device`: each device's changes in order of seq. A page's file lacks numbers of other devices:
    those that the server had set aside.
    """
    out = ImportResult()
    for device, changes in by_device.items():
        for start in range(0, len(changes), sync.MOST):
            batch = sync.SyncRequest(device, None, 0, changes[start : start + sync.MOST])

            async def work(tx: LogTransaction, batch: sync.SyncRequest = batch) -> sync.BatchResult:
                return await sync.store_batch(tx, batch, now_ms, over_gaps=True)

            result = await store.write(work)
            out.fresh += len(result.fresh)
            out.known += len(batch.changes) - len(result.fresh)
            out.refused += [{"device": device} | each for each in result.refused]
            out.holes += [(device, first, last) for first, last in result.holes]
    return out
