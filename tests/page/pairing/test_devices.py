"""Who is paired, and a code for one more: lists, names, removal, what is seen when a code is used,
and what is said when no server answers.
"""

from __future__ import annotations

import io
import json
import time
from typing import Any

import pytest
import zxingcpp
from PIL import Image
from playwright.sync_api import Page, Route, expect

from server import ways_in
from tests.page.desk import ask, still, synced, until
from tests.page.pairing.conftest import Phone
from tests.page.pairing.test_pairing import TAP, counts_stored, living
from tests.page.test_access import AXE, RULES, RUN, SMALL, WIDER
from tests.running import Serving

GROUPS = [
    "7F2C",
    "91A4",
    "0BD8",
    "E35A",
    "C6F1",
    "48D0",
    "2B97",
    "AE13",
    "11E0",
    "5C3D",
    "90AB",
    "7710",
    "D4E2",
    "0F6B",
    "8A55",
    "3C91",
]
HOME = "https://workshop.local:8737"


def goes(page: Page, way: str) -> None:
    page.evaluate("(way) => { location.hash = way; }", way)


def at_home(page: Page) -> None:
    """As if the server were reached over the home network: its own answer, with other addresses."""

    def answer(route: Route) -> None:
        got = route.fetch()
        if "code" not in (said := got.json()):
            route.fulfill(response=got)
            return
        way = {"address": HOME, "start": HOME + "/", "fingerprint": GROUPS, "guide": True}
        route.fulfill(response=got, json=said | ways_in.with_code(way, said["code"]))

    page.route("**/api/code", answer)


def test_a_device_is_renamed_and_removed_after_being_asked_once_more(
    phone: Phone, serving_paired: Serving
) -> None:
    desk, other = phone(paired=True), phone(paired=True)
    goes(desk, "setup/devices")
    own = desk.locator(".devices li", has_text="this phone")
    expect(own).to_have_count(1)
    third = desk.locator(".devices li", has_text="last seen")
    third.get_by_role("button", name="Rename: Phone").click()
    field = third.get_by_role("textbox", name="Name")
    expect(field).to_be_focused()
    field.fill(" ")
    third.get_by_role("button", name="Save").click()
    expect(third).to_contain_text("Name: enter a name")
    field.fill("Old phone")
    third.get_by_role("button", name="Save").click()
    expect(desk.get_by_role("heading", name="Old phone")).to_be_visible()
    assert living(serving_paired) == ["Old phone", "Phone"]
    desk.get_by_role("button", name="Remove: Old phone").click()
    question = desk.get_by_role("group", name="Remove Old phone?")
    expect(question).to_contain_text("Its counts stay in the workshop.")
    question.get_by_role("button", name="Leave it as it is").click()
    assert living(serving_paired) == ["Old phone", "Phone"]
    desk.get_by_role("button", name="Remove: Old phone").click()
    question.get_by_role("button", name="Remove it").click()
    expect(desk.get_by_role("heading", name="Old phone")).to_have_count(0)
    assert living(serving_paired) == ["Phone"]
    until(other, 'await store.sync.run(); return store.sync.now.state === "unpaired";')
    desk.get_by_text("Removed devices: 1").click()
    expect(desk.locator(".devices details")).to_contain_text("Old phone")


def test_all_other_devices_are_removed_at_once(phone: Phone, serving_paired: Serving) -> None:
    desk = phone(paired=True)
    for _ in range(2):
        phone(paired=True)
    goes(desk, "setup/devices")
    desk.get_by_role("button", name="Remove all others").click()
    desk.get_by_role("button", name="Remove them").click()
    expect(desk.get_by_text("All other devices are removed.")).to_be_visible()
    expect(desk.locator(".devices li.sheet")).to_have_count(1)
    assert living(serving_paired) == ["Phone"]


def test_this_device_offers_a_copy_and_keeps_its_records_when_it_is_removed(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(paired=True)
    page.route("**/api/sync", lambda route: route.abort())
    ask(page, TAP, 7)
    goes(page, "setup/devices")
    page.get_by_role("button", name="Remove: Phone").click()
    question = page.get_by_role("group", name="Remove this phone from the workshop?")
    expect(question).to_contain_text("On no server yet")
    with page.expect_download() as got:
        question.get_by_role("button", name="Save a backup file first").click()
    file = json.loads(got.value.path().read_text("utf-8"))
    assert [c["n"] for c in file["changes"] if c["kind"] == "count"] == [7]
    page.unroute("**/api/sync")
    page.route("**/api/sync", lambda route: route.abort())
    question.get_by_role("button", name="Remove it, keep the records").click()
    expect(page.get_by_text("This phone is removed. Its records are still here.")).to_be_visible()
    assert living(serving_paired) == []
    assert ask(page, "return store.totals.of('coif', 'close').done;") == 7
    page.unroute("**/api/sync")
    page.get_by_role("link", name="Pair this phone").click()
    page.get_by_label("Code", exact=True).fill(serving_paired.code())
    page.get_by_role("button", name="Pair this phone").click()
    expect(page.get_by_role("heading", name="This phone is paired")).to_be_visible()
    synced(page)
    assert counts_stored(serving_paired) == [7]


def test_this_device_is_emptied_only_after_its_counts_were_sent(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(paired=True)
    ask(page, TAP, 7)
    goes(page, "setup/devices")
    page.get_by_role("button", name="Remove: Phone").click()
    page.get_by_text("Also erase what Ringwright keeps").click()
    page.get_by_role("button", name="Remove it and erase everything").click()
    page.locator("html[data-screen=bench][data-ready=yes]").wait_for()
    assert ask(page, "return store.totals.of('coif', 'close').done;") == 0
    assert counts_stored(serving_paired) == [7] and living(serving_paired) == []


def test_what_was_never_sent_is_erased_only_where_the_question_said_so(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(paired=True)
    synced(page)
    goes(page, "setup/devices")
    page.get_by_role("button", name="Remove: Phone").click()
    page.get_by_text("Also erase what Ringwright keeps").click()
    expect(page.get_by_text("Lost for good")).to_have_count(0)
    page.route("**/api/sync", lambda route: route.abort())
    agreed = page.get_by_role("button", name="Remove it and erase everything")
    page.evaluate(  # a tap on another open page, in the moment of the press
        """async (button) => { const { store } = await import("/store/store.js");
        const asked = [...document.querySelectorAll("button")].find((b) => b.textContent === button);
        const { run } = store.sync;
        store.sync.run = async () => { store.sync.run = run; await store.counting.count("coif", "close", 5).saved; };
        asked.click(); }""",
        agreed.inner_text(),
    )
    expect(page.get_by_text("so nothing was erased")).to_be_visible()
    assert living(serving_paired) == ["Phone"]
    expect(page.get_by_text("Lost for good, unless they are in a backup file")).to_be_visible()
    agreed.click()
    page.locator("html[data-screen=bench][data-ready=yes]").wait_for()
    assert living(serving_paired) == []
    assert ask(page, "return store.totals.of('coif', 'close').done;") == 0


def test_a_code_made_here_is_seen_to_be_used_and_by_whom(
    phone: Phone, serving_paired: Serving
) -> None:
    desk = phone(paired=True, user_agent="Mozilla/5.0 (X11; Linux x86_64) Chrome/140.0")
    goes(desk, "setup/add")
    expect(desk.locator("rw-setup")).to_contain_text("No phone can reach this server")
    expect(desk.locator(".qr")).to_have_count(0)
    expect(desk.locator(".code-left")).to_contain_text("min")
    code = desk.locator(".code").inner_text()
    other = phone("#setup/pair")
    other.get_by_label("Code", exact=True).fill(code.lower())
    other.get_by_label("Name of this phone").fill("Anvil phone")
    other.get_by_role("button", name="Pair this phone").click()
    expect(desk.locator(".code-state")).to_have_text("● Paired: Anvil phone")
    desk.get_by_role("button", name="Add another").click()
    expect(desk.locator(".code")).not_to_have_text(code)
    again = desk.locator(".code").inner_text()
    goes(desk, "setup")
    goes(desk, "setup/add")
    still(desk)
    assert desk.locator(".code").inner_text() == again, "one that lives is shown again"
    desk.get_by_role("button", name="Stop").click()
    expect(desk.get_by_text("No code is open.")).to_be_visible()
    assert living(serving_paired) == ["Anvil phone", "Computer"]
    other.evaluate("(code) => { location.hash = `pair=${code}`; }", again)
    assert ask(desk, "return (await (await fetch('/api/code')).json()).alive;") is False


def test_a_code_that_five_wrong_tries_have_ended_is_not_shown_as_alive(
    phone: Phone, serving_paired: Serving
) -> None:
    desk, other = phone(paired=True), phone("#setup/pair")
    goes(desk, "setup/add")
    code = desk.locator(".code").inner_text().replace(" ", "")
    wrong = code[:-1] + ("B" if code[-1] != "B" else "C")
    other.get_by_label("Code", exact=True).fill(wrong)
    for left in ("4 tries", "3 tries", "2 tries", "one try", "no longer valid"):
        other.get_by_role("button", name="Pair this phone").click()
        expect(other.locator("#pair-code-why")).to_contain_text(left)
    expect(desk.locator(".code-state")).to_have_text("This code has ended. Nobody has used it.")
    expect(desk.locator(".code")).to_have_count(0)


@pytest.mark.parametrize("theme", ["dark", "light"])
def test_a_camera_reads_the_drawn_code_in_both_themes(phone: Phone, theme: str) -> None:
    desk = phone(paired=True, color_scheme=theme)
    at_home(desk)
    goes(desk, "setup/add")
    code = desk.locator(".code").inner_text().replace(" ", "")
    picture = Image.open(io.BytesIO(desk.locator(".qr").screenshot()))
    (found,) = zxingcpp.read_barcodes(picture)
    assert found.text == f"{HOME}/#pair={code}"
    expect(desk.locator(".way").first).to_contain_text("Trust this workshop")
    assert desk.locator(".groups").inner_text().split() == GROUPS
    expect(desk.locator(".print")).to_contain_text("When the file is installed")
    expect(desk.locator(".print")).to_contain_text("It must be these 16 groups")
    expect(desk.locator(".way").first).to_contain_text(
        "Compare the groups before you open the workshop."
    )


def test_a_page_with_no_server_says_so_and_has_no_dead_buttons(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(paired=True)
    page.context.route("**/api/**", lambda route: route.abort())
    ask(page, "await store.sync.run();")
    for way in ("setup/devices", "setup/add"):
        page.reload()
        goes(page, way)
        expect(page.locator("rw-setup")).to_contain_text("Nothing answers at")
        names = page.locator("rw-setup :is(button, a)").all_inner_texts()
        assert names == ["← Setup", "Ask again"]
    page.context.unroute("**/api/**")
    page.get_by_role("button", name="Ask again").click()
    expect(page.get_by_role("button", name="Ask again")).to_have_count(0)


def test_an_unpaired_page_leads_to_pairing_from_every_screen_about_devices(phone: Phone) -> None:
    page = phone()
    for way in ("setup", "setup/devices", "setup/add"):
        goes(page, way)
        expect(page.locator("rw-setup").get_by_role("link", name="Pair this phone")).to_be_visible()
        expect(page.locator("rw-setup").get_by_role("link", name="Paired devices")).to_have_count(0)


def says(page: Page, more: dict[str, Any]) -> None:
    """The server's own answer about itself, with more that it would know."""
    page.route("**/api/server", lambda route: route.fulfill(json=route.fetch().json() | more))


def test_where_the_server_went_is_told_with_the_way_over(
    phone: Phone, serving_paired: Serving
) -> None:
    page = phone(paired=True)
    says(page, {"name_address": "https://workshop.local:8737", "ip_addresses": ["192.168.1.20"]})
    goes(page, "setup")
    until(
        page,
        "const { meta } = await import('/log/log.js'); return (await meta('server'))?.ip_addresses;",
    )
    page.context.route("**/api/**", lambda route: route.abort())
    ask(page, TAP + "await store.sync.run();", 1)
    where = page.locator(".where")
    expect(where).to_contain_text("Nothing answers at 127.0.0.1")
    expect(where.locator("details")).not_to_have_attribute("open", "")
    days_ago = round(time.time() * 1000) - 4 * 86_400_000
    ask(
        page,
        """const { meta, setMeta } = await import("/log/log.js");
        await setMeta({ server: { ...(await meta("server")), at_ms: given } });""",
        days_ago,
    )
    page.reload()
    until(page, "await store.sync.run(); return store.sync.now.state === 'offline';")
    expect(where.locator("details")).to_have_attribute("open", "")
    expect(where).to_contain_text(f"This page belongs to {serving_paired.url} and keeps")
    links = where.locator("details a").all_inner_texts()
    assert links == ["https://workshop.local:8737", f"http://192.168.1.20:{serving_paired.port}"]
    with page.expect_download():
        where.get_by_role("button", name="Save the file").click()


@pytest.mark.parametrize(
    ("backup", "words"),
    [
        (None, "The server has no good backup yet."),
        ({"last_ms": 1_780_000_000_000, "folder": "/media/disk", "ok": True}, "● Last good backup"),
        (
            {
                "last_ms": 1_780_000_000_000,
                "folder": "/media/disk",
                "ok": False,
                "why": "The disk is full.",
            },
            "The last backup did not succeed: The disk is full. Last good backup",
        ),
    ],
)
def test_setup_shows_the_last_good_backup_and_its_trouble(
    phone: Phone, backup: dict[str, Any] | None, words: str
) -> None:
    page = phone(paired=True)
    says(page, {"backup": backup})
    goes(page, "setup")
    expect(page.locator(".where")).to_contain_text(words)
    page.unroute_all(behavior="ignoreErrors")


SIZES = [(360, 640, "dark"), (390, 844, "light"), (1280, 800, "dark"), (1280, 800, "light")]


@pytest.mark.parametrize(("width", "height", "theme"), SIZES)
def test_axe_finds_nothing_wrong_with_pairing(
    phone: Phone, serving_paired: Serving, width: int, height: int, theme: str
) -> None:
    size = {"width": width, "height": height}
    options = {"viewport": size, "color_scheme": theme, "reduced_motion": "reduce"}
    page, other = phone(paired=True, **options), phone("#setup/pair", **options)

    def fine(page: Page) -> None:
        still(page)
        page.evaluate(AXE.read_text("utf-8"))
        assert page.evaluate(RUN, RULES) == []
        assert page.evaluate(SMALL) == []
        assert page.evaluate(WIDER) <= 0

    fine(page)  # this phone is paired
    at_home(page)
    goes(page, "setup/add")
    page.locator(".qr").wait_for()
    fine(page)
    goes(page, "setup/devices")
    page.get_by_role("button", name="Rename").click()
    fine(page)
    page.get_by_role("button", name="Leave it as it is").click()
    page.get_by_role("button", name="Remove", exact=False).click()
    page.get_by_text("Also erase what Ringwright keeps").click()
    fine(page)
    other.get_by_role("button", name="Pair this").click()
    expect(other.locator("#pair-code-why")).to_be_visible()
    fine(other)
    other.set_viewport_size({"width": 320, "height": 640})
    assert other.evaluate(WIDER) <= 0
    other.context.route("**/api/**", lambda route: route.abort())
    ask(other, "await store.sync.run();")
    goes(other, "setup")
    other.locator(".where summary").click()
    fine(other)
