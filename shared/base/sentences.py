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
    """The sentence under `room.name`, each `{name}` in it replaced by that value.

    Replaced in one pass, so that braces which a maker typed into a value stay as they are. A key or
    a value that is missing raises KeyError; tests/engine/test_sentences.py finds those beforehand.
    """
    room, name = key.split(".")
    parts = _TABLE[room][name].split("{")
    text = parts[0]
    for part in parts[1:]:
        value, rest = part.split("}")
        text += str(values[value]) + rest
    return text
