"""What tests share: a fresh workshop, the real server as a process, and a real browser."""

from __future__ import annotations

import os
from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect, sync_playwright

from server.store import Store, open_store
from tests.running import Serving, started
from tests.server.link import Clock, Link, app_link

# How long a state may take before it counts as not coming: a busy machine is no failing test.
PATIENCE_MS = 120_000
expect.set_options(timeout=PATIENCE_MS)

CHROMIUM = os.environ.get("RINGWRIGHT_CHROMIUM", "/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]

# Every run tries the same examples, so that a landing does not hang on a draw; a search for new
# ones is
# `pytest --hypothesis-profile search`. No deadline: a busy machine is no failing test.
settings.register_profile("same", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None, max_examples=2000)
settings.load_profile("same")


@pytest.fixture
async def workshop(tmp_path: Path) -> AsyncIterator[Store]:
    """A fresh, empty store."""
    async with open_store(tmp_path / "workshop") as store:
        yield store


@pytest.fixture
async def link(tmp_path: Path) -> AsyncIterator[Link]:
    """The real app on a fresh workshop, asked without a socket."""
    async with app_link(tmp_path / "workshop") as joined:
        yield joined


@pytest.fixture
async def unpaired(tmp_path: Path) -> AsyncIterator[Link]:
    """The same as a server that needs pairing, asked by a browser that is not paired; its clock
    stands: `unpaired.app.state.clock.ms`.
    """
    async with app_link(tmp_path / "workshop", Clock(), needs_pairing=True) as joined:
        yield joined


@pytest.fixture
async def paired(unpaired: Link) -> Link:
    """The same browser, paired."""
    await unpaired.pair()
    return unpaired


@pytest.fixture
def serving_paired(tmp_path: Path) -> Iterator[Serving]:
    """The running server that lets only paired browsers in; `.code()` makes a code."""
    with started(tmp_path / "served", pairing=True) as server:
        yield server


@pytest.fixture
def serving(tmp_path: Path) -> Iterator[Serving]:
    """The running server; `.stop()`, `.start()`, `.kill9()`, `.url`, `.data`."""
    with started(tmp_path / "served") as server:
        yield server


@pytest.fixture(scope="module")
def playing() -> Iterator[Playwright]:
    """Playwright itself. Module-wide and no wider: it keeps an event loop, which async tests could
    not share.
    """
    with sync_playwright() as play:
        yield play


@pytest.fixture(scope="session")
def chromium_options() -> dict[str, Any]:
    """For `playing.chromium.launch(**...)` and `launch_persistent_context(folder, **...)`."""
    return {"executable_path": CHROMIUM, "args": FLAGS}


def launched(playing: Playwright, chromium_options: dict[str, Any]) -> Iterator[Browser]:
    """Chromium, until the fixture ends."""
    chromium = playing.chromium.launch(**chromium_options)
    chromium.on("context", lambda made: made.set_default_timeout(PATIENCE_MS))
    yield chromium
    chromium.close()


@pytest.fixture(scope="module")
def browser(playing: Playwright, chromium_options: dict[str, Any]) -> Iterator[Browser]:
    yield from launched(playing, chromium_options)


@pytest.fixture
def context(browser: Browser, serving: Serving) -> Iterator[BrowserContext]:
    """A phone-sized profile of its own on the running server; relative addresses work."""
    fresh = browser.new_context(
        base_url=serving.url, viewport={"width": 390, "height": 844}, has_touch=True
    )
    yield fresh
    fresh.close()


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return context.new_page()
