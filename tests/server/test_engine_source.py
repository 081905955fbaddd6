"""The engine as it is sent: the same program, whoever asks for it at the same time."""

from __future__ import annotations

import gc
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest

from server.engine_source import lean_source
from server.settings import ROOT
from tests.server.test_assets import program

SOURCES = [file.read_text("utf-8") for file in (ROOT / "shared").rglob("*.py")]


@pytest.fixture
def threads_that_take_turns() -> Iterator[None]:
    """Every garbage collection lets another thread in, as a busy machine does now and then."""

    def yield_turn(*_: object) -> None:
        time.sleep(0)

    before = gc.get_threshold()
    gc.set_threshold(100)
    gc.callbacks.append(yield_turn)
    yield
    gc.callbacks.remove(yield_turn)
    gc.set_threshold(*before)


def test_requests_at_the_same_time_each_get_the_whole_program(
    threads_that_take_turns: None,
) -> None:
    lean_source.cache_clear()
    with ThreadPoolExecutor(8) as pool:
        sent = list(pool.map(lean_source, SOURCES * 4))
    for source, lean in zip(SOURCES, sent, strict=False):
        assert program(lean) == program(source)


def test_what_goes_from_one_line_goes_from_its_end_on() -> None:
    source = 'def one(): "What it does."  # and why\ndef two(): return 2  # so\n'
    assert lean_source(source) == "def one(): pass\ndef two(): return 2\n"


def test_a_text_of_several_lines_is_sent_as_it_is_written() -> None:
    source = 'Z = 1   \nA = """\n    in  # no comment\n\n  end   \n"""\n\nB = (  # gone\n    1\n)\n'
    assert (
        lean_source(source)
        == 'Z = 1\nA = """\n    in  # no comment\n\n  end   \n"""\nB = (\n    1\n)\n'
    )
