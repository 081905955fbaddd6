"""A real server that lets only paired browsers in, and browsers that are not paired yet."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.page.desk import go, synced
from tests.running import Serving

ANDROID = (
    "Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 (KHTML, like Gecko)"
    " Chrome/140.0.0.0 Mobile Safari/537.36"
)

Phone = Callable[..., Page]


@pytest.fixture
def phone(browser: Browser, serving_paired: Serving) -> Iterator[Phone]:
    """`phone(way)` opens the page in a profile of its own, by what follows the `#`; it is a phone
    unless said otherwise.
    """
    made: list[BrowserContext] = []

    def opened(way: str = "", paired: bool = False, **options: Any) -> Page:
        fresh = {"viewport": {"width": 390, "height": 844}, "has_touch": True}
        context = browser.new_context(**(fresh | {"user_agent": ANDROID} | options))
        made.append(context)
        page = context.new_page()
        if paired:
            go(page, serving_paired.url, f"#pair={serving_paired.code()}")
            synced(page)
            page.get_by_role("heading", name="is paired").wait_for()
        if way or not paired:
            go(page, serving_paired.url, way)
        return page

    yield opened
    for context in made:
        context.close()
