"""The description of all answers, `shared/answers.schema.json`, and what of an answer it lacks."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

from jsonschema import Draft7Validator

from server.settings import ROOT

SCHEMA: dict[str, Any] = json.loads((ROOT / "shared/answers.schema.json").read_text("utf-8"))


@cache
def _validator(ask: str) -> Draft7Validator:
    return Draft7Validator({**SCHEMA["properties"][ask], "$defs": SCHEMA["$defs"]})


def not_as_described(ask: str, found: dict[str, Any]) -> list[str]:
    """Where an answer differs from its description, and how; [] where it does not."""
    return [
        f"{ask}: {'.'.join(map(str, fault.path))}: {fault.message}"
        for fault in _validator(ask).iter_errors(found)
    ]
