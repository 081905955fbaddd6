"""A browser is paired by a code, loses nothing while it is not, and never says 'sent' untruly.

Expected sums are the taps themselves (derived: each counts once).
"""

from __future__ import annotations

import json
import re
import time
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from server.pairing import Pairing
from tests.page.benchwork import Finger, middle, saved, shown
from tests.page.desk import ask, go, ready, still, synced, until, wait_until
from tests.page.pairing.conftest import Phone
from tests.running import Serving

TAP = 'await store.counting.count("coif", "close", given).saved;'
LANE = """await store.set("piece", "coif", { name: "Coif", state: "open", order: 1 });
await store.set("lane", "l1", { piece: "coif", step: "close", order: 1 });"""
COOKIES = "ringwright-"


def counts_stored(server: Serving) -> list[int]:
    """What each count in the server's file counts."""
    found = server.stored(
        "SELECT json_extract(body, '$.n') FROM changes WHERE json_extract(body, '$.kind') = 'count'"
    )
    return sorted(n for (n,) in found)


def living(server: Serving) -> list[str]:
    """Names of the paired devices, as the server keeps them."""
    devices, _ = Pairing(server.data).all(time.time_ns() // 1_000_000)
    return sorted(device.name for device in devices)


def revoke(server: Serving) -> None:
    """Every pairing ends, as `ringwright devices --remove-all` does it."""
    Pairing(server.data).remove_others(0, time.time_ns() // 1_000_000)


class Held:
    """Requests that wait on their way, until they are let go."""

    def __init__(self, where: Page | BrowserContext, *patterns: str) -> None:
        self.waiting: list[Route] | None = []
        for pattern in patterns:
            where.route(pattern, self._meet)

    def _meet(self, route: Route) -> None:
        if self.waiting is None:
            route.continue_()
        else:
            self.waiting.append(route)

    def let_go(self) -> None:
        waiting, self.waiting = self.waiting or [], None
        for route in waiting:
            route.continue_()


MARKS = """window.marks = [];
document.addEventListener("DOMContentLoaded", () => {
  const mark = document.getElementById("carried");
  new MutationObserver(() => window.marks.push(mark.dataset.state)).observe(mark, { attributes: true });
});"""


def mark(page: Page) -> Any:
    return page.locator("#carried")


def test_the_link_of_the_server_pairs_a_phone_and_leaves_the_address(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(f"#pair={serving_paired.code()}")
    expect(page.get_by_role("heading", name="This phone is paired")).to_be_visible()
    expect(page.get_by_label("Name of this phone")).to_have_value("Phone")
    assert "pair=" not in page.url
    synced(page)
    expect(mark(page)).to_have_attribute("data-state", "synced")
    assert living(serving_paired) == ["Phone"]
    page.go_back()
    assert "pair=" not in page.url, "nor is the code in the history"
    cookies = page.context.cookies()
    assert [c["httpOnly"] for c in cookies if c["name"].startswith(COOKIES)] == [True]
    assert page.evaluate("() => document.cookie") == ""


@pytest.mark.parametrize(
    ("agent", "touches", "kind"),
    [
        ("Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 Chrome/140.0", False, "Computer"),
        ("Mozilla/5.0 (Linux; Android 14; K) AppleWebKit/537.36 Chrome/140.0", True, "Tablet"),
        ("Mozilla/5.0 (iPad; CPU OS 18_0 like Mac OS X) Safari/604.1", True, "Tablet"),
        ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Mobile/15E148", True, "Phone"),
    ],
)
def test_the_name_begins_with_what_the_browser_says_it_runs_on(
    phone: Phone, agent: str, touches: bool, kind: str
) -> None:
    page = phone("#setup/pair", user_agent=agent, has_touch=touches)
    expect(page.get_by_label("Name of this", exact=False)).to_have_value(kind)


def test_the_first_tap_waits_neither_for_the_pairing_nor_for_the_engine(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone()
    ask(page, LANE)
    held = Held(page.context, "**/api/devices", "**/engine/worker.js")
    page.goto("about:blank")
    page.goto(f"{serving_paired.url}/#pair={serving_paired.code()}")
    page.locator(".pad").wait_for()
    x, y = middle(page)
    Finger(page).tap(x, y)
    saved(page)
    assert shown(page) == 1 and living(serving_paired) == []
    assert "pair=" not in page.url
    wait_until(page, lambda: held.waiting)
    held.let_go()
    expect(page.locator(".notice:visible")).to_contain_text("This phone is paired.")
    synced(page)
    assert counts_stored(serving_paired) == [1]
    assert page.url.endswith("/"), "the Bench is not taken away under the finger"


def test_the_mark_says_that_a_code_is_being_tried_and_not_yet_that_it_is_not_paired(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone()
    ask(page, LANE)
    expect(page.locator(".notice:visible")).to_contain_text("Not paired: counts stay here.")
    expect(mark(page)).to_have_attribute("data-state", "unpaired")
    page.context.add_init_script(MARKS)
    held = Held(page.context, "**/api/pair")
    page.goto("about:blank")
    page.goto(f"{serving_paired.url}/#pair={serving_paired.code()}")
    wait_until(page, lambda: held.waiting)
    expect(mark(page)).to_have_text("Pairing …")
    expect(page.locator(".notice:visible")).to_have_count(0)
    held.let_go()
    synced(page)
    expect(mark(page)).to_have_attribute("data-state", "synced")
    assert "unpaired" not in page.evaluate("() => window.marks")
    page.goto("about:blank")
    other = phone("#pair=KTRMWHPX")
    expect(mark(other)).to_contain_text("Not paired")
    expect(other.locator(".notice:visible")).to_contain_text("Not paired.")


def test_a_code_opened_where_the_page_is_open_already_pairs_it(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone()
    ask(page, LANE)
    expect(page.locator(".notice:visible")).to_contain_text("Not paired")
    page.evaluate("(code) => { location.hash = `pair=${code}`; }", serving_paired.code())
    expect(page.locator(".notice:visible")).to_contain_text("This phone is paired.")
    synced(page)
    assert "pair=" not in page.url and living(serving_paired) == ["Phone"]


def test_a_paired_browser_uses_up_no_code(phone: Phone, serving_paired: Serving) -> None:
    page = phone(paired=True)
    code = serving_paired.code()
    page.evaluate("() => { location.hash = 'bench'; }")
    page.evaluate("(code) => { location.hash = `pair=${code}`; }", code)
    expect(page.locator(".notice:visible")).to_contain_text("The code is still unused.")
    other = phone(f"#pair={code}")
    expect(other.get_by_role("heading", name="This phone is paired")).to_be_visible()
    assert living(serving_paired) == ["Phone", "Phone"]


def test_a_code_is_typed_forgivingly_and_a_wrong_one_says_the_tries_left(
    phone: Phone, serving_paired: Serving
) -> None:
    code = serving_paired.code()
    page = phone("#setup/pair")
    expect(page.locator("rw-setup")).to_contain_text("iPhone needs a code of its own")
    typed, button = (
        page.get_by_label("Code", exact=True),
        page.get_by_role("button", name="Pair this phone"),
    )
    wrong = code[:-1] + ("B" if code[-1] != "B" else "C")
    for what, why in (
        ("", "A code has eight letters"),
        ("KTRM WHP", "A code has eight letters"),
        ("KTRM WHP0", "is in no code"),
        (wrong, "4 tries are left"),
        (wrong, "3 tries are left"),
    ):
        typed.fill(what)
        button.click()
        expect(page.locator("#pair-code-why")).to_contain_text(why)
        expect(typed).to_have_attribute("aria-invalid", "true")
        expect(typed).to_be_focused()
    typed.fill(f" {code[:4].lower()} - {code[4:]}")
    expect(page.locator("#pair-code-why")).to_have_count(0)
    page.get_by_label("Name of this phone").fill("Anvil phone")
    button.click()
    expect(page.get_by_role("heading", name="This phone is paired")).to_be_visible()
    assert living(serving_paired) == ["Anvil phone"]
    page.get_by_label("Name of this phone").fill("Forge phone")
    page.get_by_label("Name of this phone").blur()
    expect(page.get_by_text("It is called Forge phone now.")).to_be_visible()
    assert living(serving_paired) == ["Forge phone"]


def test_a_name_that_the_server_refuses_is_refused_at_its_field(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone("#setup/pair")
    page.get_by_label("Code", exact=True).fill(serving_paired.code())
    page.get_by_label("Name of this phone").evaluate(
        "(e) => { e.value = 'a\\u202eb'; e.dispatchEvent(new Event('input', { bubbles: true })); }"
    )
    page.get_by_role("button", name="Pair this phone").click()
    expect(page.locator("#pair-name-why")).to_be_visible()
    assert living(serving_paired) == []


def test_a_device_that_was_removed_keeps_fifty_taps_and_sends_them_once_it_is_paired_again(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(paired=True)
    ask(page, LANE)
    synced(page)
    revoke(serving_paired)
    go(page, serving_paired.url, "#bench")
    until(page, 'await store.sync.run(); return store.sync.now.state === "unpaired";')
    finger, (x, y) = Finger(page), middle(page)
    said: set[str] = set()
    for _ in range(50):
        finger.taps(x, y, 1)
        said.add(page.locator(".pad").get_attribute("data-saved") or "")
        said.add(mark(page).get_attribute("data-state") or "")
    wait_until(page, lambda: ask(page, "return store.totals.of('coif', 'close').done;") == 50)
    saved(page)
    assert not said & {"sent", "synced"}
    waiting = ask(page, "return store.sync.now.waiting;")
    assert waiting >= 50
    expect(mark(page)).to_have_text(f"Not paired · {waiting} changes only here")
    assert counts_stored(serving_paired) == []
    page.reload()  # nor does a start lose any
    ready(page)
    notice = page.locator(".notice:visible")
    expect(notice).to_contain_text("No longer paired: this device was removed from the workshop")
    notice.get_by_role("link", name="Pair this phone").click()
    page.get_by_label("Code", exact=True).fill(serving_paired.code())
    page.get_by_role("button", name="Pair this phone").click()
    expect(page.get_by_role("heading", name="This phone is paired")).to_be_visible()
    until(page, 'return store.sync.now.state === "synced" && store.sync.now.waiting === 0;')
    assert counts_stored(serving_paired) == [1] * 50
    expect(mark(page)).to_have_attribute("data-state", "synced")
    expect(page.locator(".notice")).to_have_count(0)


def test_a_tap_takes_the_word_sent_back_before_it_is_on_its_way(phone: Phone) -> None:
    page = phone(paired=True)
    ask(page, LANE)
    synced(page)
    held = Held(page, "**/api/sync")
    expect(mark(page)).to_have_attribute("data-state", "synced")
    state = ask(page, TAP + 'return document.getElementById("carried").dataset.state;', 3)
    assert state == "idle"
    waiting = ask(page, "return store.sync.now.waiting;")
    expect(mark(page)).to_contain_text(f"Sending · {waiting} changes since")
    held.let_go()
    synced(page)


@pytest.mark.parametrize(
    ("status", "why", "short"),
    [
        (507, "The server's disk is full. Make room there.", "the server's disk is full"),
        (503, "The file is locked.", "the server has a fault"),
        (500, "Something went wrong.", "the server has a fault"),
        (400, "The field 'n' is no number.", "the server refused it"),
        (401, "A sign-in of something else.", "the server refused it"),
        (0, "", "no server"),
    ],
)
def test_the_mark_says_why_nothing_was_sent(
    phone: Phone, status: int, why: str, short: str
) -> None:
    page = phone(paired=True)
    error = json.dumps({"error": {"field": "", "why": why}})

    def refuse(route: Route) -> None:
        if status:
            route.fulfill(status=status, content_type="application/json", body=error)
        else:
            route.abort()

    page.route("**/api/sync", refuse)
    ask(page, TAP + "await store.sync.run();", 1)
    state = "refused" if status else "offline"
    expect(mark(page)).to_have_attribute("data-state", state)
    waiting = ask(page, "return store.sync.now.waiting;")
    expect(mark(page)).to_have_text(
        re.compile(rf"^Kept here, {short} · {waiting} changes? since \d\d:\d\d")
    )
    page.evaluate("() => { location.hash = 'setup'; }")
    where = page.locator(".where")
    expect(where).to_contain_text(why or "Nothing answers at 127.0.0.1")
    expect(where).to_contain_text("only on this phone")
    page.unroute("**/api/sync")
    synced(page)
    expect(where).to_contain_text("All that was counted here is on the workshop's server")


def test_a_network_that_wants_a_sign_in_is_no_server(phone: Phone) -> None:
    page = phone(paired=True)
    page.route(
        "**/api/**",
        lambda route: route.fulfill(status=200, content_type="text/html", body="<h1>Sign in</h1>"),
    )
    ask(page, TAP + "await store.sync.run();", 1)
    expect(mark(page)).to_have_attribute("data-state", "offline")
    page.evaluate("() => { location.hash = 'setup/devices'; }")
    expect(page.locator("rw-setup")).to_contain_text("Nothing answers at")
    expect(page.get_by_role("button", name="Remove", exact=False)).to_have_count(0)


def test_a_code_of_a_link_that_met_no_server_waits_to_be_tried_again(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone()
    ask(page, LANE)
    page.context.route("**/api/**", lambda route: route.abort())
    code = serving_paired.code()
    page.evaluate("(code) => { location.hash = `pair=${code}`; }", code)
    notice = page.locator(".notice:visible")
    wait_until(
        page, lambda: "Nothing answers" in page.locator("#notices").inner_text() or _next(page)
    )
    expect(notice).to_contain_text("Not paired. Nothing answers at")
    notice.get_by_role("link").click()
    expect(page.get_by_label("Code", exact=True)).to_have_value(code)
    expect(page.locator(".pair-form")).to_contain_text("Switch the workshop's computer on")
    page.context.unroute("**/api/**")
    page.get_by_role("button", name="Pair this phone").click()
    expect(page.get_by_role("heading", name="This phone is paired")).to_be_visible()
    synced(page)
    expect(page.locator(".notice")).to_have_count(0)


def _next(page: Page) -> bool:
    """Dismisses what stands, so that the next notice is seen."""
    page.locator(".notice:visible").get_by_role("button", name="Dismiss").click()
    still(page)
    return False
