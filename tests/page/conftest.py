"""A server with the invented workshop, and a device of its own for each test that keeps what it
does to itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from tests.page.benchwork import bench, house
from tests.page.invented import elsewhere, invented, send
from tests.page.modules import Modules
from tests.page.screens import device
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


@pytest.fixture
def desk(browser: Browser, full: Serving) -> Iterator[Page]:
    """A desk that has taken everything and, from now on, sends nothing: tests do not meet on the
    server.
    """
    context, page = device(browser, full.url, "desk", "dark")
    context.route("**/api/sync", lambda route: route.abort())
    yield page
    context.close()


@pytest.fixture(scope="session")
def modules() -> Iterator[Modules]:
    """The page's modules without a browser."""
    running = Modules()
    yield running
    running.stop()
