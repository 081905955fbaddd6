"""An empty workshop leads to the first piece and the first tap, without a manual and without the
server.
"""

from __future__ import annotations

import re

from playwright.sync_api import BrowserContext, expect

from tests.page.desk import kept_offline
from tests.running import Serving


def test_first_piece_and_first_tap_come_without_the_server(
    context: BrowserContext, serving: Serving
) -> None:
    page = context.new_page()
    page.goto("/")
    kept_offline(page)
    page.reload()  # now the worker answers
    expect(page.locator("html")).to_have_attribute("data-ready", "yes")
    serving.stop()
    page.reload()
    page.get_by_role("link", name="Plan your first piece").click()
    page.get_by_label("Name").fill("Ten inches of aventail")
    page.get_by_label("Wire", exact=False).first.fill("1,2")
    page.locator("#f-ring-inner_mm").fill("8.0")
    page.locator("#f-panels-0-form").select_option("grid")
    page.locator("#f-panels-0-m-columns").fill("24")
    page.locator("#f-panels-0-m-rows").fill("11")
    # 11 rows of 24: derived, closed 6 x 24, open 5 x 23
    expect(page.locator(".plan-foot [role=status]")).to_contain_text("259 rings")
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("heading", name="On the Bench")).to_be_focused()
    expect(page).to_have_url(re.compile("#plan/.+/lanes$"))
    page.get_by_role("button", name="To the Bench").click()
    pad = page.locator("rw-bench .pad").filter(has_text="Closed rings")
    pad.click()
    expect(pad.locator(".pad-count")).to_have_text("1")
