"""What the server answers when it cannot do as asked: one shape, `{"error": {"field", "why"}}`.

Refusal            a request that cannot be taken as it stands (4xx)
 ├─ Unreadable     its body is not the JSON that is needed (400)
 └─ OtherWorkshop  it belongs to another workshop (409); see workshop.py
StoreTrouble       the maker's file, not the request
 ├─ StoreFull      no room on the disk (507); nothing was written
 ├─ StoreBroken    the file is damaged (500)
 ├─ StoreHeld      another Ringwright has the data folder open
 └─ StoreTooNew    the file was written by a newer Ringwright
"""

from __future__ import annotations

import json
from typing import Any

from starlette.responses import Response


class Refusal(Exception):
    def __init__(self, status: int, field: str, why: str) -> None:
        super().__init__(f"{field}: {why}")
        self.status = status
        self.field = field
        self.why = why
        self.more: dict[str, Any] = {}  # what the answer carries beside the error


class Unreadable(Refusal):
    def __init__(self, field: str, why: str) -> None:
        super().__init__(400, field, why)


class StoreTrouble(Exception):
    """`str()` of it is a sentence for the maker."""


class StoreFull(StoreTrouble):
    pass


class StoreBroken(StoreTrouble):
    pass


class StoreHeld(StoreTrouble):
    pass


class StoreTooNew(StoreTrouble):
    pass


def json_answer(value: Any, status: int = 200, headers: dict[str, str] | None = None) -> Response:
    """JSON that no cache keeps, in ASCII: a text may hold half a letter, which UTF-8 cannot carry."""
    fixed = {"Content-Type": "application/json", "Cache-Control": "no-store"}
    return Response(json.dumps(value, separators=(",", ":")), status, fixed | (headers or {}))


def error_answer(
    status: int,
    field: str,
    why: str,
    headers: dict[str, str] | None = None,
    more: dict[str, Any] | None = None,
) -> Response:
    """The one error shape on the wire; `more` stands beside the error."""
    return json_answer({"error": {"field": field, "why": why}} | (more or {}), status, headers)
