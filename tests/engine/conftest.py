"""What the engine answers stays as it is until somebody means to change it: each test's answers
whole, not only what the test asks of them. Kept is a digest for each test, in `answers.json`.

After a change that is meant to change answers: `pytest tests/engine --keep-answers`, and name in
the commit whose answers changed. That an answer is right is no claim of this: the tests themselves,
the case table and `tests/outside` derive it.
"""

from __future__ import annotations

import functools
import hashlib
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import shared.ask

KEPT = Path(__file__).parent / "answers.json"
DIGITS = 9  # of a number: libraries of mathematics differ in the last of sixteen
CHANGED = (
    "Something in the answers that this test asked for is not as it was. If that is meant: "
    "pytest tests/engine --keep-answers"
)
heard: list[str] = []  # of the test that runs: each question and its answer


def plain(value: Any) -> Any:
    """Floats to so many digits, whatever a question holds to something that JSON has."""
    if isinstance(value, float):
        return float(f"{value:.{DIGITS}g}")
    if isinstance(value, dict):
        return {str(key): plain(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [plain(inner) for inner in value]
    return value if isinstance(value, int | str | None) else str(value)


def hear(reply: Any) -> Any:
    @functools.wraps(reply)
    def listening(question: Any) -> Any:
        try:
            out = reply(question)
        except shared.ask.EngineError as error:
            heard.append(json.dumps([plain(question), plain(error.as_json())]))
            raise
        heard.append(json.dumps([plain(question), plain(out)]))
        return out

    return listening


shared.ask.reply = hear(shared.ask.reply)  # `answer` asks it too


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--keep-answers", action="store_true", help="keep the answers as they are now")


def _kept() -> dict[str, dict[str, str]]:
    return json.loads(KEPT.read_text("utf-8")) if KEPT.exists() else {}


def is_there(name: str) -> bool:
    """Whether a test of this name still is."""
    file, test = name.split("::")
    path = KEPT.parent / file
    return path.exists() and f"def {test}(" in path.read_text("utf-8")


@pytest.fixture(scope="session")
def kept(request: pytest.FixtureRequest) -> Iterator[dict[str, dict[str, str]]]:
    """By test and by what it was run with. Written only on demand, in one process."""
    if not request.config.getoption("--keep-answers"):
        yield _kept()
        return
    found: dict[str, dict[str, str]] = {}
    yield found
    whole = {name: by for name, by in (_kept() | found).items() if is_there(name)}
    text = json.dumps({name: dict(sorted(whole[name].items())) for name in sorted(whole)}, indent=0)
    KEPT.write_text(text + "\n", "utf-8")


@pytest.fixture(autouse=True)
def answers_stay(request: pytest.FixtureRequest, kept: dict[str, dict[str, str]]) -> Iterator[None]:
    heard.clear()
    yield
    test = request.node
    if not heard or getattr(test.function, "is_hypothesis_test", False):
        return  # what hypothesis asks is another thing with each release of it
    name = test.nodeid.split("[")[0].removeprefix("tests/engine/")
    params = test.callspec.id if hasattr(test, "callspec") else ""
    digest = hashlib.sha256("\n".join(heard).encode()).hexdigest()[:12]
    if request.config.getoption("--keep-answers"):
        kept.setdefault(name, {})[params] = digest
    else:
        assert kept.get(name, {}).get(params) == digest, CHANGED
