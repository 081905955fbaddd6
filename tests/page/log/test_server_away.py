"""A server that is off most of the day, or whose disk is away: the page catches up by itself, untouched."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from typing import Any

from playwright.sync_api import BrowserContext, Page, expect

from tests.page.desk import ask, go, opened, synced, until, wait_until
from tests.running import Serving

TAP = "await store.counting.count('coif', 'close', given).saved;"
IDLE = "return !store.sync.busy;"


def counts_stored(serving: Serving) -> list[int]:
    rows = serving.stored(
        "SELECT json_extract(body, '$.n') FROM changes WHERE json_extract(body, '$.kind') = 'count'"
    )
    return sorted(n for (n,) in rows)


def a_minute_passes(page: Page) -> None:
    """On the page's own clock; what it asked in that minute is answered or failed afterwards."""
    page.clock.fast_forward(60_000)
    until(page, IDLE)


def tries(page: Page) -> list[Any]:
    seen: list[Any] = []
    page.on("request", lambda request: seen.append(request) if "/api/sync" in request.url else None)
    return seen


def test_after_hours_off_all_arrives_within_a_minute_of_the_server_s_start_and_nobody_touches_the_page(
    context: BrowserContext, serving: Serving
) -> None:
    page = context.new_page()
    page.clock.install()
    go(page, serving.url)
    until(page, "return store.sync.now.state === 'synced' && !store.sync.busy;")
    serving.stop()
    seen = tries(page)
    for n in (1, 10, 100):
        ask(page, TAP, n)
        for _ in range(60):
            a_minute_passes(page)
    assert ask(page, "return store.sync.now.state;") == "offline"
    assert ask(page, "return store.sync.now.waiting;") >= 3
    assert 170 <= len(seen) <= 200, "about once a minute, never more: a phone's battery"
    serving.start()
    before = len(seen)
    a_minute_passes(page)
    until(page, "return store.sync.now.waiting === 0 && !store.sync.busy;")
    assert counts_stored(serving) == [1, 10, 100]
    assert len(seen) - before <= 3


def test_a_phone_taken_in_hand_asks_at_once(context: BrowserContext, serving: Serving) -> None:
    """Its own clock stands, so nothing but the event can be the reason."""
    page = context.new_page()
    page.clock.install()
    go(page, serving.url)
    until(page, "return store.sync.now.state === 'synced' && !store.sync.busy;")
    page.clock.pause_at(datetime.now() + timedelta(minutes=5))
    for n, what in enumerate(
        (
            "window.dispatchEvent(new Event('online'))",
            "window.dispatchEvent(new Event('focus'))",
            "document.dispatchEvent(new Event('visibilitychange'))",
        )
    ):
        serving.stop()
        ask(page, TAP, 10**n)
        for _ in range(5):
            a_minute_passes(page)
        assert ask(page, "return store.sync.now.state;") == "offline"
        serving.start()
        page.evaluate(f"() => {{ {what} }}")
        page.clock.run_for(1)
        until(page, "return store.sync.now.waiting === 0;")
        assert counts_stored(serving) == [10**k for k in range(n + 1)]


def test_while_the_workshop_s_disk_is_away_the_page_says_why_and_sends_all_once_it_is_back(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    ask(page, TAP, 1)
    synced(page)
    away = serving.data.with_name("away")
    serving.data.rename(away)
    for n in (10, 100):
        ask(page, TAP, n)
    until(page, "await store.sync.run(); return store.sync.now.state === 'refused';")
    expect(page.locator("#carried")).to_have_attribute("data-state", "refused")
    page.goto(f"{serving.url}/#setup")
    where = page.locator("rw-setup")
    expect(where).to_contain_text(re.compile("its disk was pulled out, or the folder moved"))
    expect(where).to_contain_text("stays on this device")
    assert ask(page, "return store.sync.now.waiting;") >= 2
    assert not serving.data.exists(), "nothing is made in its place"
    wait_until(page, lambda: "not there any more" in serving.output(), what="the window says so")
    away.rename(serving.data)
    synced(page)
    assert counts_stored(serving) == [1, 10, 100]
    wait_until(page, lambda: "is there again" in serving.output(), what="the window says so")
