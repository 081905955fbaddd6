"""A server with the invented workshop, and a device of its own for each test that keeps what it
does to itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.page.alone import alone
from tests.page.benchwork import bench, house
from tests.page.desk import go, until, worked_out
from tests.page.invented import elsewhere, invented, send
from tests.page.modules import Modules
from tests.page.screens import SIZES, device
from tests.running import Serving

__all__ = ["bench", "house"]  # fixtures of the Bench under test


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """A server that holds the invented workshop."""
    folder: Path = tmp_path_factory.mktemp("full") / "served"
    folder.mkdir(mode=0o700)
    server = Serving(folder)
    server.start()
    send(server.url, invented())
    send(server.url, elsewhere())
    yield server
    server.stop()


@pytest.fixture(scope="module")
def taken(browser: Browser, full: Serving) -> Any:
    """What a device has in its store that has taken everything from the server."""
    context, page = device(browser, full.url, "desk", "dark")
    worked_out(page)  # with the day's forecasts in its log
    state = context.storage_state(indexed_db=True)
    context.close()
    return state


@pytest.fixture
def desk(browser: Browser, full: Serving, taken: Any) -> Iterator[Page]:
    """A desk that has taken everything and sends nothing: tests do not meet on the server."""
    width, height = SIZES["desk"]
    context = alone(
        browser,
        full.url,
        viewport={"width": width, "height": height},
        color_scheme="dark",
        reduced_motion="reduce",
        storage_state=taken,
    )
    page = context.new_page()
    go(page, full.url)
    until(page, "return store.answers.forecast && store.answers.standing(given);", "aventail")
    yield page
    context.close()


@pytest.fixture(scope="session")
def modules() -> Iterator[Modules]:
    """The page's modules without a browser."""
    running = Modules()
    yield running
    running.stop()
