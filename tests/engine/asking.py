"""One question to the door, its answer or its refusal."""

from __future__ import annotations

import json
from typing import Any

from shared.ask import answer
from tests.engine.described import not_as_described


def ask(name: str, **question: Any) -> dict[str, Any]:
    """The answer; fails the test if the engine refuses, or answers what is not described."""
    got = json.loads(answer(json.dumps({"ask": name, **question})))
    assert got["ok"], got["error"]
    assert not_as_described(name, got) == []
    return got


def refused(name: str, **question: Any) -> tuple[str, str]:
    """(field, why); fails the test if the engine answers."""
    got = json.loads(answer(json.dumps({"ask": name, **question})))
    assert not got["ok"], got
    return got["error"]["field"], got["error"]["why"]
