"""The server's errors, and their one shape on the wire: `{"error": {"field", "why"}}`.

Refusal            a request that cannot be accepted (4xx)
 ├─ Unreadable     its body is not the JSON that is needed (400)
 └─ OtherWorkshop  it belongs to another workshop (409); see workshop.py
StoreError         trouble with the workshop's file, not with the request (503)
 ├─ StoreFull      no room on the disk (507); nothing was written
 ├─ StoreBroken    the file is damaged
 ├─ StoreInUse     another Ringwright has the data folder open
 └─ StoreTooNew    the file was written by a newer Ringwright
SetupError          `serve` cannot be run as it was asked for: a port, a name, a certificate
"""

from __future__ import annotations

from typing import Any

from starlette.responses import Response

from . import json_text


class Refusal(Exception):
    """A request that cannot be accepted: HTTP `status`, the `field` at fault, and a sentence why."""

    def __init__(self, status: int, field: str, why: str) -> None:
        super().__init__(f"{field}: {why}")
        self.status = status
        self.field = field
        self.why = why
        self.more: dict[str, Any] = {}  # what the answer has beside the error
        self.headers: dict[str, str] = {}  # and in its head


class Unreadable(Refusal):
    """A body, or a line of a file, that is not the JSON that is needed; status 400."""

    def __init__(self, field: str, why: str) -> None:
        super().__init__(400, field, why)


class StoreError(Exception):
    """Trouble with the workshop's file; `str()` of it is a sentence for the maker."""


class StoreFull(StoreError):
    """The disk is full; nothing was written."""


class StoreBroken(StoreError):
    """The file is damaged, or is not a workshop's file."""


class StoreInUse(StoreError):
    """Another Ringwright has the data folder open."""


class StoreTooNew(StoreError):
    """The file was written by a newer Ringwright."""


class SetupError(Exception):
    """`serve` cannot be run as it was asked for; `str()` of it is a sentence for the maker."""


def json_answer(value: Any, status: int = 200, headers: dict[str, str] | None = None) -> Response:
    """A JSON answer that no cache keeps."""
    fixed = {"Content-Type": "application/json", "Cache-Control": "no-store"}
    return Response(json_text.write(value), status, fixed | (headers or {}))


def error_answer(
    status: int,
    field: str,
    why: str,
    headers: dict[str, str] | None = None,
    more: dict[str, Any] | None = None,
) -> Response:
    """The one shape of errors on the wire; `more` comes beside the error."""
    return json_answer({"error": {"field": field, "why": why}} | (more or {}), status, headers)
