"""JSON read and written in C where that gives exactly what Python's own `json` gives, else by that.

A text is taken from the fast reader only where the fast writer makes the same bytes of what it read:
then no name came twice, no number was rounded and nothing but JSON was in it.
"""

from __future__ import annotations

import json
from typing import Any

import orjson

LARGEST_WHOLE = 2**53 - 1  # JavaScript's Number.MAX_SAFE_INTEGER

_SORTED = json.JSONEncoder(sort_keys=True, separators=(",", ":"), check_circular=False)


def read_exact(text: str) -> Any:
    """The value of a text written as most writers do it; None for any other, which may be JSON too."""
    raw = text.encode("utf-8", "surrogatepass")
    try:
        value = orjson.loads(raw)
        return value if orjson.dumps(value) == raw else None
    except (orjson.JSONDecodeError, orjson.JSONEncodeError):
        return None


def read(text: str) -> Any:
    """The value of a text that this server wrote; raises ValueError where it is no JSON."""
    value = read_exact(text)
    return json.loads(text) if value is None else value


def write(value: Any) -> bytes:
    """A value as JSON without spaces.

    Half of a surrogate pair, which UTF-8 cannot encode, and numbers past 64 bits are left to `json`.
    """
    try:
        return orjson.dumps(value)
    except orjson.JSONEncodeError:
        return json.dumps(value, separators=(",", ":")).encode("ascii")


def write_sorted(value: Any) -> str:
    """A value as JSON in ASCII, names sorted, without spaces: equal values are equal texts."""
    try:
        raw = orjson.dumps(value, option=orjson.OPT_SORT_KEYS)
    except orjson.JSONEncodeError:
        return _SORTED.encode(value)
    return raw.decode("ascii") if raw.isascii() else _SORTED.encode(value)
