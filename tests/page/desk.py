"""A page under test: opened until ready, asked through its own store, waited for without eval (its
policy).
"""

from __future__ import annotations

import time
from typing import Any

from playwright.sync_api import BrowserContext, Page

STORE = 'const { store } = await import("/store/store.js");'


def opened(context: BrowserContext, url: str, way: str = "") -> Page:
    page = context.new_page()
    go(page, url, way)
    return page


def go(page: Page, url: str, way: str = "") -> None:
    page.goto(f"{url}/{way}")
    page.locator("html[data-ready=yes]").wait_for(state="attached")


def ask(page: Page, body: str, given: Any = None) -> Any:
    """Runs `body` in the page with `store` and `given` at hand."""
    return page.evaluate(f"async (given) => {{ {STORE} {body} }}", given)


def until(page: Page, body: str, given: Any = None, seconds: float = 30) -> Any:
    """The first truthy answer of `body`."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = ask(page, body, given)
        if answer:
            return answer
        page.wait_for_timeout(100)
    raise AssertionError(
        f"still not so after {seconds} s: {body}; the page says:"
        f" {page.locator('#notices').inner_text()}"
    )


def synced(page: Page) -> None:
    """Until nothing waits: rounds of one page hold off while another's runs."""
    done = (
        'await store.syncNow(); return store.sync.state === "synced" && store.sync.waiting === 0;'
    )
    until(page, done, seconds=20)


def total(page: Page, piece: str, step: str) -> int:
    return int(ask(page, "return store.total(...given).done;", [piece, step]))
