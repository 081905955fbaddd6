"""A server with the invented workshop, and a device of its own for each test that keeps what it
does to itself. What stays as it is serves all of this folder: the browser, the server that only
hands out the page, the invented workshop and a device that has taken it in.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, Playwright, sync_playwright

from tests.conftest import launched
from tests.page.alone import alone
from tests.page.benchwork import bench, house
from tests.page.desk import go, until, worked_out
from tests.page.invented import filled
from tests.page.modules import Modules
from tests.page.screens import SIZES, device
from tests.running import Serving

__all__ = ["bench", "house"]  # fixtures of the Bench under test


@pytest.fixture(scope="package")
def playing() -> Iterator[Playwright]:
    """Playwright itself: no test of this folder has an event loop of its own."""
    with sync_playwright() as play:
        yield play


@pytest.fixture(scope="package")
def browser(playing: Playwright, chromium_options: dict[str, Any]) -> Iterator[Browser]:
    yield from launched(playing, chromium_options)


@pytest.fixture(scope="package")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """The invented workshop, for devices that send nothing of their own."""
    with filled(tmp_path_factory.mktemp("full") / "served") as server:
        yield server


@pytest.fixture(scope="package")
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
