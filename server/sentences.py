"""The server's sentences: every one a maker can read, in one table, `sentences_en.json`.

`sentence("backups.damaged", source=path, health=text)` is the text under that key with its
`{names}` filled in. The engine has a table of its own (`shared/tables/`), read in the same way.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

TABLE: dict[str, dict[str, str]] = json.loads(
    Path(__file__).with_name("sentences_en.json").read_text("utf-8")
)
_NAME = re.compile(r"\{(\w+)\}")


def sentence(key: str, **values: object) -> str:
    """The sentence under `module.name`, each `{name}` in it replaced by that value.

    Raises KeyError for a key or a value that is missing.
    """
    module, name = key.split(".")
    return _NAME.sub(lambda found: str(values[found[1]]), TABLE[module][name])
