"""The engine's sentences: every one a maker can read stands in one table, a file a language.

`sentence("fabric.too_long", name="Back")` is the text under that key with its `{name}` filled in.
Values are texts or whole numbers; other numbers are written by `rounding.figure` first, since the
two runtimes write them differently.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from typing import Any

with open(__file__[: -len("base/sentences.py")] + "tables/sentences_en.json", "rb") as _file:
    _TABLE: dict[str, dict[str, str]] = json.load(_file)


def sentence(key: str, **values: Any) -> str:
    """The sentence under `room.name`, each `{name}` in it replaced by that value."""
    room, name = key.split(".")
    text = _TABLE[room][name]
    for each in sorted(values):
        text = text.replace("{" + each + "}", str(values[each]))
    return text
