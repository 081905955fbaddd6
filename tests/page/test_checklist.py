"""What of the list in `tests/server/test_checklist.py` needs a real browser."""

from __future__ import annotations

from playwright.sync_api import Browser

from tests.running import Serving


def test_b2_09_asvs_3_2_1_opened_as_a_page_it_draws_no_element(
    serving_paired: Serving, browser: Browser
) -> None:
    markup = "<img src=x onerror=alert(1)><h1>x</h1>"
    context = browser.new_context(base_url=serving_paired.url)
    said = {"code": serving_paired.code(), "name": markup}
    assert context.request.post("/api/pair", data=said).ok
    page = context.new_page()
    page.goto("/api/devices")
    assert markup in page.locator("body").inner_text()
    assert page.locator("h1, img").count() == 0
    context.close()
