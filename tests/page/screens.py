"""Every screen of the page, full of an invented workshop: for looking, for the checks of access,
for pictures.
"""

from __future__ import annotations

from playwright.sync_api import Browser, BrowserContext, Page

from tests.page.desk import go, still, synced, until

RECORDS = ["sittings", "counts", "changes", "twice", "aside", "past", "cards", "copy"]
WAYS = ["bench", "pieces", "plan/new", "plan/coif", "plan/coif/lanes", "forecast", "stock", "setup"]
WAYS += [f"records/{part}" for part in RECORDS]
WAYS += [f"setup/{part}" for part in ("devices", "add", "pair")]
SIZES = {"phone": (390, 844), "desk": (1280, 800)}
THEMES = ["dark", "light"]


def device(browser: Browser, url: str, size: str, theme: str) -> tuple[BrowserContext, Page]:
    """A fresh device that has taken everything from the server and worked it out."""
    width, height = SIZES[size]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if theme == "dark" else "light",
        has_touch=size == "phone",
        reduced_motion="reduce",
    )
    page = context.new_page()
    go(page, url)
    synced(page)
    until(page, "return store.answers.forecast && store.answers.standing(given);", "aventail")
    return context, page


def show(page: Page, url: str, way: str) -> None:
    go(page, url, f"#{way}")
    page.locator(f"html[data-screen={way.split('/')[0]}]").wait_for(state="attached")
    still(page)
