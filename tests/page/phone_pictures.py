"""Takes the pictures of README's way to the phone, of a real server at home: `python
tests/page/phone_pictures.py`.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Browser, Page, sync_playwright  # noqa: E402

from tests.at_home import AtHome, started_at_home  # noqa: E402
from tests.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.page.desk import synced  # noqa: E402

PICTURES = ROOT / "demo" / "pictures"
PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}
ANDROID = "Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36"


def page_of(browser: Browser, phone: bool) -> Page:
    """A device that trusts the workshop: what it shows is the same, whoever vouches for it."""
    size, agent = (PHONE, ANDROID) if phone else (DESK, None)
    fresh = browser.new_context(
        viewport=size,
        user_agent=agent,
        has_touch=phone,
        color_scheme="light",
        reduced_motion="reduce",
        ignore_https_errors=True,
    )
    return fresh.new_page()


def paired(page: Page, server: AtHome) -> None:
    page.goto(f"{server.url}/#pair={server.code()}")
    page.get_by_role("heading", name="is paired").wait_for()
    synced(page)
    undistrusted(page)


def undistrusted(page: Page) -> None:
    """A device that trusts the workshop has no notice about that; this browser only looks away."""
    page.get_by_role("button", name="Dismiss").click()


def take(browser: Browser, server: AtHome) -> None:
    desk = page_of(browser, phone=False)
    paired(desk, server)
    desk.goto(f"{server.url}/#setup/add")
    desk.locator("svg.qr").first.wait_for()
    desk.screenshot(path=PICTURES / "add-a-phone.png")
    phone = page_of(browser, phone=True)
    phone.goto(server.guide)
    phone.screenshot(path=PICTURES / "guide.png")
    paired(phone, server)
    phone.screenshot(path=PICTURES / "paired.png")


def main() -> None:
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        with started_at_home(Path(name) / "served", "--name", "anvil") as server:
            take(browser, server)
        browser.close()


if __name__ == "__main__":
    main()
