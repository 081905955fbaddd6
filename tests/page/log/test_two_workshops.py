"""Two workshops in one browser: the demo is served, stopped, and then the maker's own at the same
address.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Route, expect

from server.workshop import is_identity, short
from tests.page.desk import ask, go, kept_offline, opened, still, synced, until
from tests.running import ROOT, Serving

TAP = (  # one change
    'await store.append([{ kind: "count", piece: given[0], step: "close", n: given[1], how: "tap" }]);'
)
WHOSE = "return (await workshop.holdings()).workshop;"
DEVICES = "return [...new Set((await allChanges()).map((c) => c.device))].sort();"


def stored(server: Serving, question: str = "select device, seq, body from changes") -> list[Any]:
    return server.stored(question)


def identity(server: Serving) -> str:
    ((own,),) = stored(server, "select value from meta where name = 'workshop'")
    return str(own)


def python(*arguments: object) -> str:
    """A command in a process of its own: the browser keeps this one's event loop. Returns what it
    prints.
    """
    command = [sys.executable, *map(str, arguments)]
    done = subprocess.run(
        command,
        cwd=ROOT,
        capture_output=True,
        text=True,
        env=os.environ | {"PYTHONPATH": str(ROOT)},
    )
    return done.stdout + done.stderr


def brought(file: Path, server: Serving) -> str:
    return python("-m", "server.cli", "import", file, "--data", server.data)


def at_the_same_address(first: Serving, data: Path) -> Serving:
    data.mkdir(mode=0o700, parents=True)
    second = Serving(data)
    second.port, second.url = first.port, first.url
    return second


def few() -> list[dict[str, Any]]:
    """Three pieces and some counts of a device called demo: what matters of it here, and quickly
    read.
    """
    said: list[dict[str, Any]] = []
    for n, (piece, name) in enumerate(
        (("sleeve", "Left sleeve"), ("aventail", "Aventail"), ("voiders", "Voiders"))
    ):
        for field, value in (("name", name), ("order", n), ("state", "open")):
            said.append(
                {"kind": "set", "thing": "piece", "id": piece, "field": field, "value": value}
            )
            said[-1]["stamp"] = [1700000000000, len(said)]
        said.append(
            {"kind": "set", "thing": "lane", "id": f"lane-{n}", "field": "piece", "value": piece}
        )
        said[-1]["stamp"] = [1700000000000, len(said)]
        said.append(
            {"kind": "set", "thing": "lane", "id": f"lane-{n}", "field": "step", "value": "close"}
        )
        said[-1]["stamp"] = [1700000000000, len(said)]
        said += [
            {"kind": "count", "piece": piece, "step": "close", "n": k, "how": "tap"}
            for k in range(1, 9)
        ]
    key = {"device": "demo", "at": 1700000000000, "tz": 0, "v": 1}
    return [change | key | {"seq": seq} for seq, change in enumerate(said, 1)]


@pytest.fixture(scope="module")
def demo_data(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small workshop that stands for the demo."""
    folder = tmp_path_factory.mktemp("demo")
    (folder / "log").write_text("\n".join(map(json.dumps, few())))
    said = python("-m", "server.cli", "import", folder / "log", "--data", folder / "data")
    assert f"{len(few())} changes taken in" in said and "0 set aside" in said, said
    return folder / "data"


@pytest.fixture
def demo(demo_data: Path, tmp_path: Path) -> Iterator[Serving]:
    data = tmp_path / "demo" / "data"
    shutil.copytree(demo_data, data)
    server = Serving(data)
    server.start()
    yield server
    server.stop()


@pytest.fixture
def own(demo: Serving, tmp_path: Path) -> Iterator[Serving]:
    """The maker's own, fresh: not started yet."""
    server = at_the_same_address(demo, tmp_path / "own" / "data")
    yield server
    server.stop()


@pytest.fixture
def phone(context_of: BrowserContext, demo: Serving, own: Serving) -> Page:
    """It has seen the demo and tapped there; then the demo was stopped and the own workshop
    started.
    """
    page = opened(context_of, demo.url)
    synced(page)
    ask(page, TAP, ["sleeve", 5])
    synced(page)
    demo.stop()
    own.start()
    go(page, own.url)
    other(page)
    return page


@pytest.fixture
def context_of(browser: Any, own: Serving) -> Iterator[BrowserContext]:
    """Closed before the servers stop, so that they need not wait for it."""
    fresh = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    yield fresh
    fresh.close()


def other(page: Page) -> None:
    until(page, 'await store.sync.run(); return store.sync.now.state === "other";')


def settle(page: Page, url: str) -> None:
    go(page, url, "#setup")
    go(page, url, "#setup/workshop")
    page.get_by_role("heading", name="Two workshops at one address").wait_for()
    expect(page.locator(".whose")).to_contain_text("It has ")  # what is held has been read
    still(page)


def press(page: Page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def test_the_own_workshop_gets_no_tap_of_the_demo_and_shows_none_as_sent(
    browser: Any, tmp_path: Path
) -> None:
    """With the demo's real data."""
    assert "Filled" in python("demo/fill.py", tmp_path / "demo" / "data")
    demo = Serving(tmp_path / "demo" / "data")
    own = at_the_same_address(demo, tmp_path / "own" / "data")
    context = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True)
    demo.start()
    try:
        phone = opened(context, demo.url)
        synced(phone)
        assert ask(phone, "return store.things('piece').length;") == 3
        demo.stop()
        own.start()
        go(phone, own.url)
        other(phone)
        assert_apart(phone, demo, own)
    finally:
        context.close()
        demo.stop()
        own.stop()


def assert_apart(phone: Page, demo: Serving, own: Serving) -> None:
    ask(phone, TAP, ["sleeve", 7])
    other(phone)
    expect(phone.locator("#carried")).to_contain_text(
        re.compile(r"Kept here, another workshop.s server · [1-9]")
    )
    assert phone.locator(".pad[data-state=sent]").count() == 0
    notice = phone.locator('.notice[data-key="workshop"]')
    expect(notice).to_contain_text(short(identity(own)))
    expect(notice).to_contain_text(short(identity(demo)))
    assert stored(own) == [] and ask(phone, WHOSE) == identity(demo)


def test_the_page_of_another_workshop_is_not_offered_as_a_new_version(
    context_of: BrowserContext, demo: Serving, own: Serving
) -> None:
    page = opened(context_of, demo.url)
    kept_offline(page)
    synced(page)
    demo.stop()
    own.start()
    go(page, own.url)
    other(page)
    until(
        page,
        "return Boolean((await (await"
        " navigator.serviceWorker.getRegistration()).update()).waiting);",
    )
    still(page)
    expect(page.locator('.notice[data-key="workshop"]')).to_have_count(1)
    expect(page.locator('.notice[data-key="offer"]')).to_have_count(0)


def test_each_goes_to_its_own_server_again_when_that_is_back(
    phone: Page, demo: Serving, own: Serving
) -> None:
    ask(phone, TAP, ["sleeve", 7])
    other(phone)
    own.stop()
    demo.start()
    synced(phone)
    expect(phone.locator('.notice[data-key="workshop"]')).to_have_count(0)
    device = ask(phone, "return store.device;")
    said = [json.loads(body) for name, _, body in stored(demo) if name == device]
    assert [c["n"] for c in said if c["kind"] == "count"] == [5, 7]


def test_a_tap_before_the_first_word_with_the_demo_belongs_to_the_demo(
    context_of: BrowserContext, demo: Serving, own: Serving
) -> None:
    page = context_of.new_page()
    page.route("**/api/sync", lambda route: route.abort())
    go(page, demo.url)
    ask(page, TAP, ["sleeve", 3])
    page.unroute("**/api/sync")
    demo.stop()
    own.start()
    go(page, own.url)
    other(page)
    assert stored(own) == [] and ask(page, WHOSE) == identity(demo)


def test_a_page_with_nothing_on_it_belongs_to_the_workshop_it_meets(
    context_of: BrowserContext, demo: Serving, own: Serving
) -> None:
    page = context_of.new_page()
    page.route("**/api/sync", lambda route: route.abort())
    go(page, demo.url)
    demo.stop()
    own.start()
    page.unroute(
        "**/api/sync"
    )  # not before: a round that begins meanwhile would still meet the demo
    go(page, own.url)
    synced(page)
    ask(page, TAP, ["mine", 2])
    synced(page)
    assert ask(page, WHOSE) == identity(own) and len(stored(own)) == 1


def test_the_page_refuses_an_answer_of_another_workshop_before_it_takes_anything_in(
    context_of: BrowserContext, demo: Serving
) -> None:
    """Whatever the server lets pass: nothing comes in and nothing is marked as sent."""
    page = opened(context_of, demo.url)
    synced(page)

    def foreign(route: Route) -> None:
        asked = json.loads(route.request.post_data or "{}")
        change = {"device": "stranger", "seq": 1, "at": 1, "tz": 0, "v": 1, "kind": "count"}
        change |= {"piece": "sleeve", "step": "close", "n": 900, "how": "tap"}
        acked = max([c["seq"] for c in asked["changes"]], default=0)
        answer = {
            "v": 1,
            "workshop": "0123456789abcdef" * 2,
            "log": "feedfacefeedface",
            "acked": acked,
            "upto": 1,
        }
        route.fulfill(json=answer | {"changes": [change], "more": False, "refused": []})

    page.route("**/api/sync", foreign)
    ask(page, TAP, ["sleeve", 5])
    other(page)
    assert ask(page, "return store.sync.now.waiting;") == 1 and "stranger" not in ask(page, DEVICES)
    expect(page.locator('.notice[data-key="workshop"]')).to_contain_text("0123-4567")
    page.unroute("**/api/sync")
    synced(page)
    assert ask(page, WHOSE) == identity(demo)


def test_a_page_older_than_the_name_is_taken_home_by_the_log_it_knows(
    context_of: BrowserContext, demo: Serving, own: Serving
) -> None:
    page = opened(context_of, demo.url)
    synced(page)
    ask(page, TAP, ["sleeve", 5])
    forget = (
        'const journal = await import("/log/log.js"); await journal.setMeta({ workshop:'
        " undefined });"
    )
    ask(page, forget)
    synced(page)
    assert ask(page, WHOSE) == identity(demo)
    ask(page, forget)
    demo.stop()
    own.start()
    go(page, own.url)
    other(page)
    assert stored(own) == []
    expect(page.locator('.notice[data-key="workshop"]')).to_contain_text("a workshop of their own")


def test_the_way_out_of_a_place_of_its_own_names_a_port(phone: Page, own: Serving) -> None:
    phone.get_by_role("link", name="What to do").click()
    section = phone.locator(".whose")
    expect(section).to_contain_text("ringwright serve --port")
    expect(section).to_contain_text("Left sleeve")
    expect(section).to_contain_text("Stop the server and start it with a port of its own")


def test_starting_empty_asks_twice_offers_a_copy_and_begins_a_new_numbering(
    phone: Page, demo: Serving, own: Serving, tmp_path: Path
) -> None:
    device = ask(phone, "return store.device;")
    ask(phone, TAP, ["sleeve", 11])
    ask(phone, "localStorage.setItem('ringwright-draft:new', '{}');")
    settle(phone, own.url)
    press(phone, "Empty this device …")
    section = phone.locator(".whose")
    expect(section).to_contain_text("1 change is on no server yet and would be lost")
    with phone.expect_download() as download:
        press(phone, "Save a backup file first")
    download.value.save_as(tmp_path / "copy.json")
    press(phone, "Continue")
    expect(section).to_contain_text("Erase")
    assert ask(phone, "return store.device;") == device  # asked twice, done once
    press(phone, "Empty this device")
    phone.locator("html[data-screen=bench][data-ready=yes]").wait_for(state="attached")
    synced(phone)
    assert ask(phone, "return store.device;") != device
    assert ask(phone, "return store.things('piece').length + (await allChanges()).length;") == 0
    assert ask(phone, "return localStorage.length;") == 0
    assert ask(phone, WHOSE) == identity(own)
    ask(phone, TAP, ["mine", 4])
    synced(phone)
    assert [(name, seq) for name, seq, _ in stored(own)] == [
        (ask(phone, "return store.device;"), 1)
    ]
    demo.stop()
    own.stop()
    assert "1 change taken in" in brought(tmp_path / "copy.json", demo)
    assert "--join" in brought(tmp_path / "copy.json", own) and len(stored(own)) == 1


def test_the_records_brought_over_are_there_once_from_however_many_devices(
    phone: Page, browser: Any, demo: Serving, own: Serving
) -> None:
    """Whole: what other devices said comes along under their own names; a second device adds only
    what it alone has.
    """
    ask(phone, TAP, ["sleeve", 11])
    pieces = ask(phone, "return store.things('piece').length;")
    done = ask(phone, "return store.totals.of('sleeve', 'close').done;")
    settle(phone, own.url)
    press(phone, "Bring the records over …")
    expect(phone.locator(".whose")).to_contain_text("stand side by side")
    press(phone, "Continue")
    assert stored(own) == []  # asked twice, done once
    press(phone, "Bring them over")
    phone.get_by_role("heading", name="Two workshops at one address").wait_for(state="detached")
    synced(phone)
    assert ask(phone, WHOSE) == identity(own)
    here = {(name, seq): body for name, seq, body in stored(own)}
    was = {(name, seq) for name, seq, _ in stored(demo)}
    device = ask(phone, "return store.device;")
    assert was | {(device, seq) for seq in range(1, 3)} == set(here)
    second = browser.new_context()
    page = opened(second, own.url)
    synced(page)
    assert ask(page, "return store.things('piece').length;") == pieces
    assert ask(page, "return store.totals.of('sleeve', 'close').done;") == done
    second.close()


def test_a_question_stays_while_the_same_workshop_answers(
    phone: Page, demo: Serving, own: Serving
) -> None:
    settle(phone, own.url)
    press(phone, "Bring the records over …")
    go_on = phone.get_by_role("button", name="Continue", exact=True)
    expect(go_on).to_be_visible()
    ask(phone, "store.sync.set({ waiting: store.sync.now.waiting + 1 });")  # as a round tells it
    still(phone)
    expect(go_on).to_be_visible()
    ask(phone, "store.sync.set({ served: '' });")  # the own one is back: nothing to bring anywhere
    expect(go_on).to_have_count(0)


def test_a_second_device_of_the_lost_workshop_brings_over_what_is_lacking(
    browser: Any, demo: Serving, own: Serving
) -> None:
    contexts = [browser.new_context() for _ in range(2)]
    pages = [opened(context, demo.url) for context in contexts]
    for page in pages:
        synced(page)
    for page, n in zip(pages, (3, 4), strict=True):
        ask(page, TAP, ["sleeve", n])
        synced(page)
    expected = ask(pages[1], "return store.totals.of('sleeve', 'close').done;")
    demo.stop()
    own.start()
    for page in pages:
        go(page, own.url)
        other(page)
        ask(page, "await workshop.bringOver(store.sync.now.served);")
        synced(page)
    for page in pages:
        synced(page)
        assert ask(page, "return store.totals.of('sleeve', 'close').done;") == expected
    assert (
        len(stored(own)) == len(stored(demo)) == len({(name, seq) for name, seq, _ in stored(own)})
    )
    for context in contexts:
        context.close()


def test_bringing_over_goes_on_where_it_was_cut_short(
    phone: Page, demo: Serving, own: Serving
) -> None:
    cut: list[int] = []

    def cutting(route: Route) -> None:
        cut.append(1)
        if len(cut) == 2:
            route.abort()
        else:
            route.continue_()

    phone.route("**/api/sync", cutting)
    ask(phone, "await workshop.bringOver(store.sync.now.served);")
    assert ask(phone, "return store.sync.now.state;") == "offline"
    phone.unroute("**/api/sync")
    go(phone, own.url)
    synced(phone)
    assert len(stored(own)) == len(stored(demo))


def test_a_number_that_was_kept_aside_elsewhere_holds_up_no_record(
    phone: Page, demo: Serving, own: Serving
) -> None:
    """The old server never told it to other devices, so it is missing here; the server takes
    numbers without a gap.
    """
    ask(
        phone,
        """const journal = await import("/log/log.js"), whose = await Promise.all(["device", "workshop"].map(journal.meta));
        const change = (seq) => ({ device: "tablet", seq, at: seq, tz: 0, v: 1, kind: "count",
        piece: "sleeve",
          step: "close", n: 1, how: "tap" });
        await journal.receive([change(2), change(5)], {}, { device: whose[0], workshop: whose[1] });
        await workshop.bringOver(store.sync.now.served);""",
    )
    synced(phone)
    rows = stored(own, "select seq, why is null from changes where device = 'tablet' order by seq")
    assert rows == [(1, 0), (2, 1), (3, 0), (4, 0), (5, 1)]


def test_another_open_page_of_an_emptied_device_writes_nothing_into_the_new_log(
    phone: Page, own: Serving, context_of: BrowserContext
) -> None:
    second = opened(context_of, own.url)
    missed = (  # it did not hear of it
        "store.channel.onmessage = null; window.device = store.device;"
    )
    ask(second, missed)
    ask(phone, "store.leave = () => {}; await workshop.emptyDevice(store.sync.now.served);")
    said = ask(
        second,
        'return store.counting.count("sleeve", "close", 1).saved.then(() => "saved", (error) =>'
        " error.message);",
    )
    assert "emptied" in said
    expect(second.get_by_role("alert")).to_contain_text("This device was emptied in the meantime")
    go(second, own.url)
    synced(second)
    assert stored(own) == [] and ask(second, "return store.device !== window.device;")


def test_another_open_page_begins_again_when_the_device_is_emptied(
    phone: Page, own: Serving, context_of: BrowserContext
) -> None:
    second = opened(context_of, own.url, "#pieces")
    device = ask(second, "return store.device;")
    ask(phone, "workshop.emptyDevice(store.sync.now.served);")
    second.locator("html[data-screen=bench][data-ready=yes]").wait_for(state="attached")
    until(second, "return store.device !== given;", device)
    assert ask(second, "return store.things('piece').length;") == 0


def test_a_device_can_be_emptied_at_home_too(context_of: BrowserContext, demo: Serving) -> None:
    page = opened(context_of, demo.url, "#setup")
    synced(page)
    device, pieces = (
        ask(page, "return store.device;"),
        ask(page, "return store.things('piece').length;"),
    )
    press(page, "Empty this device …")
    press(page, "Continue without a backup")
    expect(page.locator(".whose")).to_contain_text(
        "It then fetches what its workshop's server holds"
    )
    press(page, "Empty this device")
    page.locator("html[data-screen=bench][data-ready=yes]").wait_for(state="attached")
    synced(page)
    until(page, "return store.things('piece').length === given;", pieces)
    assert ask(page, "return store.device;") != device and ask(page, WHOSE) == identity(demo)


def test_the_file_of_the_log_says_whose_it_is(context_of: BrowserContext, demo: Serving) -> None:
    page = opened(context_of, demo.url)
    synced(page)
    head = ask(
        page,
        "return (await (await history.logFile({ ask: 'fold', v: 1 })).file.text()).slice(0, 200);",
    )
    assert is_identity(identity(demo)) and f'"workshop":"{identity(demo)}","log":"' in head


def test_the_demo_is_served_on_a_port_of_its_own() -> None:
    script = (ROOT / "demo" / "run.sh").read_text("utf-8")
    assert "serve --port 8747" in script and "8747" in (ROOT / "README.md").read_text("utf-8")
