"""What of the list in `tests/server/test_checklist.py` needs a real browser."""

from __future__ import annotations

import re

from playwright.sync_api import Browser, BrowserContext

from tests.page.desk import ask, opened
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


def test_b2_24_asvs_5_4_1_no_text_of_the_maker_gets_into_the_name_of_a_saved_file(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    for n, name in enumerate(
        ["=cmd|' /C calc'!A0", "../../etc/passwd", 'a"; filename="b.exe', "@SUM(1)"]
    ):
        row = {"name": name, "order": n, "state": "open"}
        ask(page, "await store.set('piece', given.name, given);", row)
    page.goto(f"{serving.url}/#setup")
    with page.expect_download() as got:
        page.get_by_role("button", name="Save a backup file").first.click()
    assert re.fullmatch(r"ringwright-\d{4}-\d\d-\d\d\.json", got.value.suggested_filename)
