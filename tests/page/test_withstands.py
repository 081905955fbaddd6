"""What a page in use must withstand: broken clocks, broken answers, a server put back to an older
copy.

Expected sums are the taps themselves (derived: each counts once, whatever happened on the way).
"""

from __future__ import annotations

import json
import re
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from server import backups
from shared.log.fold import fold
from tests.page.bench.test_clock import TURN, turn, wake
from tests.page.desk import ask, go, opened, still, synced, total, until, wait_until
from tests.running import Serving

YEAR_MIN = 365 * 24 * 60
TAP = 'await store.counting.count("coif", "close", given).saved;'


def folded(page: Page) -> dict[str, Any]:
    """The device's own log as the engine counts it."""
    return fold(ask(page, "return await allChanges();"))


def counts_stored(serving: Serving) -> list[tuple[int, int]]:
    """(seq, n) of every count in the server's file."""
    return sorted(
        serving.stored(
            "SELECT seq, json_extract(body, '$.n') FROM changes WHERE json_extract(body, '$.kind')"
            " = 'count'"
        )
    )


def test_a_clock_that_jumps_a_year_back_and_forth_costs_no_count(
    context: BrowserContext, serving: Serving
) -> None:
    context.add_init_script(TURN)
    page = opened(context, serving.url)
    for years, n in ((0, 1), (-1, 10), (2, 100), (-1, 1000)):
        turn(page, years * YEAR_MIN)
        ask(page, TAP, n)
        ask(page, 'await store.set("piece", "coif", { name: `Coif ${given}` });', n)
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    assert total(page, "coif", "close") == 1111
    assert ask(page, 'return store.thing("piece", "coif").name;') == "Coif 1000", (
        "the last said holds"
    )
    synced(page)
    assert [n for _, n in counts_stored(serving)] == [1, 10, 100, 1000]
    here = folded(page)
    assert here["refused"] == [] and here["totals"][0]["done"] == 1111
    there = {s["sitting"]: s["minutes"] for s in ask(page, "return await history.sittings();")}
    assert there == pytest.approx({s["sitting"]: s["minutes"] for s in here["sittings"]}, abs=1e-6)
    assert min(there.values()) >= 0


def test_a_year_without_a_tap_is_asked_about_and_kept_or_cut_without_a_refusal(
    context: BrowserContext, serving: Serving
) -> None:
    context.add_init_script(TURN)
    page = opened(context, serving.url)
    until(page, "return store.answers.begun;")
    ask(page, TAP, 1)
    for answer in ("store.clock.gaps[0].minutes", "0"):
        turn(page, YEAR_MIN)
        wake(page)
        ask(
            page,
            f"await store.clock.answerGap({answer}); await store.counting.count('coif', 'close', 1).saved;",
        )
    synced(page)
    assert ask(page, "return history.refused();") == [] and folded(page)["refused"] == []
    (sitting,) = ask(page, "return await history.sittings();")
    assert sitting["minutes"] == pytest.approx(folded(page)["sittings"][0]["minutes"], abs=1e-6)


def test_the_hour_that_comes_twice_in_autumn_counts_as_the_time_it_took(
    browser: Browser, serving: Serving
) -> None:
    """Berlin's clocks went from 03:00 back to 02:00 at 01:00 UTC on 2026-10-25 (EU directive
    2000/84/EC, article 3).
    """
    context = browser.new_context(timezone_id="Europe/Berlin")
    page = context.new_page()
    page.clock.install(time="2026-10-25T00:40:00Z")
    go(page, serving.url)
    page.clock.set_system_time("2026-10-25T00:50:00Z")
    ask(page, TAP, 1)
    page.clock.set_system_time("2026-10-25T00:58:00Z")
    ask(page, TAP, 1)
    page.clock.set_system_time(
        "2026-10-25T01:06:00Z"
    )  # 02:06 on the wall, which has shown 02:50 before
    ask(page, TAP, 1)
    (sitting,) = ask(page, "return await history.sittings();")
    assert (sitting["date"], sitting["start_min"], sitting["items"]) == ("2026-10-25", 170, 3)
    assert sitting["minutes"] == pytest.approx(16, abs=0.5)
    assert [c["tz"] for c in ask(page, "return await allChanges();") if c["kind"] == "count"] == [
        120,
        120,
        60,
    ]
    context.close()


def test_answers_lost_refused_or_garbled_cost_no_tap_and_repeat_none(
    context: BrowserContext, serving: Serving
) -> None:
    """Three portions of a long log; on the way each kind of failure comes before an answer is let
    through.
    """
    page = opened(context, serving.url)
    synced(page)
    # "through": one portion gets by, so that the next one meets failures too
    failures = [
        "lost",
        "401",
        "500",
        "through",
        "garbled",
        "lost",
        "401",
        "through",
        "unsent",
        "500",
        "lost",
        "garbled",
    ]
    met: list[str] = []

    def fail(route: Route) -> None:
        how = failures.pop(0) if failures else "through"
        met.append(how)
        if how == "through":
            route.continue_()
        elif how == "lost":
            route.fetch()  # stored there, the answer never seen
            route.abort()
        elif how == "unsent":
            route.abort()
        elif how == "garbled":
            route.fulfill(
                status=200, content_type="text/html", body="<h1>Sign in to this network</h1>"
            )
        else:
            error = {"error": {"field": "", "why": "not now"}}
            route.fulfill(status=int(how), content_type="application/json", body=json.dumps(error))

    page.route("**/api/sync", fail)
    ask(
        page,
        "await Promise.all(Array.from({ length: 1200 }, (_, k) => store.counting.count('coif', 'close', k +"
        " 1).saved));",
    )
    while failures:
        ask(page, "await store.sync.run();")
    until(page, "await store.sync.run(); return store.sync.now.waiting === 0;")
    assert {"lost", "401", "500", "garbled", "unsent"} <= set(met)
    assert [n for _, n in counts_stored(serving)] == list(range(1, 1201))
    assert total(page, "coif", "close") == 1200 * 1201 // 2


def test_what_a_server_cannot_use_is_named_once_and_kept(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    synced(page)

    def refuse(route: Route) -> None:
        got = route.fetch()
        answer = {**got.json(), "refused": [{"seq": 1, "why": "This count is of no step."}]}
        route.fulfill(response=got, json=answer)

    page.route("**/api/sync", refuse)
    ask(page, "await store.counting.count('coif', 'close', 3).saved; await store.sync.run();")
    notice = page.locator("#notices .notice")
    expect(notice).to_contain_text("The server could not use some of what you entered.")
    notice.get_by_role("button", name="Dismiss").click()
    ask(page, "await store.counting.count('coif', 'close', 4).saved; await store.sync.run();")
    still(page)
    expect(notice).to_have_count(0)
    go(page, serving.url, "#records/aside")
    expect(page.get_by_text("This count is of no step.")).to_be_visible()
    assert total(page, "coif", "close") == 7


def test_a_server_put_back_to_an_older_copy_gets_from_the_page_what_it_lacks(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    for n in (1, 10):
        ask(page, TAP, n)
    synced(page)
    copy = serving.data.parent / "copy.sqlite"
    backups.backup(serving.data, copy)
    for n in (100, 1000):
        ask(page, TAP, n)
    synced(page)
    serving.stop()
    backups.restore(serving.data, copy, "before")
    ask(page, TAP, 10000)
    page.route("**/api/sync", lambda route: route.abort())  # until the older copy was looked at
    serving.start()
    assert [n for _, n in counts_stored(serving)] == [1, 10]
    page.unroute("**/api/sync")
    synced(page)
    assert [n for _, n in counts_stored(serving)] == [1, 10, 100, 1000, 10000]
    assert total(page, "coif", "close") == 11111


def test_a_tap_made_while_an_answer_is_on_its_way_is_not_shown_as_sent(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    synced(page)
    held: list[Route] = []
    page.route("**/api/sync", lambda route: route.abort() if held else held.append(route))
    ask(page, "window.round = store.sync.run();")
    wait_until(page, lambda: held)
    ask(page, TAP, 1)
    said = ask(page, "return store.sync.now.waiting;")
    held[0].continue_()
    page.evaluate("() => window.round")
    assert said > 0 and ask(page, "return store.sync.now.waiting;") == said


def test_before_an_install_on_an_iphone_the_maker_is_told_to_send_everything_first(
    context: BrowserContext, serving: Serving
) -> None:
    """The installed page there has a store of its own and begins empty."""
    page = opened(context, serving.url, "#setup")
    way = page.get_by_role("listitem").filter(has_text="iPhone")
    expect(way).to_contain_text("The installed page keeps records of its own")
    expect(way).to_contain_text("wait until everything is sent to the server")
    expect(way).to_contain_text("It first asks for a code of its own")


def test_the_mark_says_since_when_changes_are_only_here(
    context: BrowserContext, serving: Serving
) -> None:
    context.add_init_script(TURN)
    page = opened(context, serving.url)
    synced(page)
    page.route("**/api/sync", lambda route: route.abort())
    mark = page.locator("#carried")
    ask(page, TAP, 1)
    ask(page, "await store.sync.run();")
    n = ask(page, "return store.sync.now.waiting;")
    expect(mark).to_have_text(re.compile(rf"^Kept here, no server · {n} changes? since \d\d:\d\d$"))
    oldest = ask(page, "return new Date(await history.oldestWaiting()).getDate();")
    turn(page, 3 * 24 * 60)
    ask(page, TAP, 1)
    ask(page, "await store.sync.run();")
    n = ask(page, "return store.sync.now.waiting;")
    expect(mark).to_have_text(
        re.compile(rf"^Kept here, no server · {n} changes since {oldest} \w+$")
    )
    page.unroute("**/api/sync")
    synced(page)
    expect(mark).to_have_text(re.compile(r"^Sent \d\d:\d\d$"))


def test_setup_says_that_the_log_may_be_cleared_and_what_is_at_risk(
    context: BrowserContext, serving: Serving
) -> None:
    context.add_init_script("navigator.storage.persisted = async () => false;")
    page = opened(context, serving.url)
    page.route("**/api/sync", lambda route: route.abort())
    ask(page, TAP, 1)
    go(page, serving.url, "#setup")
    waiting = ask(page, "return store.sync.now.waiting;")
    screen = page.locator("rw-setup")
    expect(screen).to_contain_text("This browser may clear these records when space runs short")
    expect(screen).to_contain_text(
        f"Not installed: {waiting} changes not yet on the server are at risk"
    )
    page.unroute("**/api/sync")
    synced(page)
    go(page, serving.url, "#bench")
    go(page, serving.url, "#setup")
    expect(screen).to_contain_text("○ Not installed: everything counted here is on the server")
