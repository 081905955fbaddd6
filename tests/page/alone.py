"""Pages that only show what they are told: one server hands out the page for all of them, each test
has a profile of its own, and nothing goes to the server's log.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext

from tests.running import Serving

# The worker that keeps the page for use without a server would fetch every file once more.
UNKEPT = """if (navigator.serviceWorker)
  navigator.serviceWorker.register = () => new Promise(() => {});
"""


def alone(browser: Browser, url: str, **options: Any) -> BrowserContext:
    """A profile that sends nothing and gets nothing."""
    context = browser.new_context(base_url=url, **options)
    context.add_init_script(UNKEPT)
    context.route("**/api/sync", lambda route: route.abort())
    return context


@pytest.fixture
def serving(house: Serving) -> Serving:
    """The folder's server; for directories whose conftest takes these two fixtures in."""
    return house


@pytest.fixture
def context(browser: Browser, house: Serving) -> Iterator[BrowserContext]:
    """A phone-sized profile of its own; relative addresses work."""
    fresh = alone(browser, house.url, viewport={"width": 390, "height": 844}, has_touch=True)
    yield fresh
    fresh.close()
