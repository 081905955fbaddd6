"""A fast look at the change that a season is full of: a plain count, checked in C (`msgspec`).

What passes here needs no more looking at. Everything else (an undo, a correction, a plan's field,
anything wrong) goes through `shared.log.schema`, which knows each kind and says what is wrong.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

import msgspec
from msgspec import Meta, Struct

from shared.log.schema import LAST_MS, MOST_AT_ONCE

from .json_text import LARGEST_WHOLE

Text = Annotated[str, Meta(min_length=1, max_length=200)]


class PlainCount(Struct, forbid_unknown_fields=True, gc=False):
    """The fields of a count as a tap makes it, within the bounds of the schema."""

    device: Text
    seq: Annotated[int, Meta(ge=1, le=LARGEST_WHOLE)]
    at: Annotated[int, Meta(ge=0, le=LAST_MS)]
    tz: Annotated[int, Meta(ge=-1440, le=1440)]
    v: Literal[1]
    kind: Literal["count"]
    piece: Text
    step: Text
    n: Annotated[int, Meta(ge=1, le=MOST_AT_ONCE)]
    how: Literal["tap", "weigh", "hand"]
    panel: Text | None = None
    sitting: Text | None = None
    opens: bool | None = None


def is_plain(change: dict[str, Any]) -> bool:
    """Whether it is a good count with no field too many; False says only that it must be looked at."""
    try:
        msgspec.convert(change, PlainCount)
    except (msgspec.ValidationError, UnicodeError):  # the latter at half of a surrogate pair
        return False
    return True
