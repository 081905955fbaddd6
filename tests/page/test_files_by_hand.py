"""A file of the log carried by hand: from page to page, to the server and back, to another address. Every tap is
there once, everywhere; what cannot be taken in is named, and nothing is half taken.

Expected sums are the taps themselves, each with a weight of its own (derived): a wrong sum names the missing one.
"""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Page, expect

from server.workshop import short
from shared.log.fold import fold
from tests.page.desk import ask, go, opened, ready, synced, total, wait_until
from tests.page.log.test_two_workshops import identity, stored
from tests.page.static_host import Host, hosted, phone, tell, till, visited
from tests.running import ROOT, Serving

TAP = "for (const n of given) await store.counting.count('coif', 'close', n).saved;"
NAME = "await store.set('piece', 'coif', { name: given, order: 1, state: 'open' });"
DONE = "return store.totals.of('coif', 'close').done;"
COUNTS = """return (await allChanges()).filter((c) => c.kind === "count").map((c) => c.n).sort((a, b) => a - b);"""
TOTALS = "return store.totals.counted().map(([p, s]) => [p, s, store.totals.of(p, s)]).sort();"


@pytest.fixture(scope="module")
def host(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Host]:
    with hosted(tmp_path_factory.mktemp("host") / "host") as running:
        yield running


@pytest.fixture
def devices(browser: Browser) -> Iterator[list[BrowserContext]]:
    all_ = [phone(browser, accept_downloads=True) for _ in range(3)]
    yield all_
    for context in all_:
        context.close()


def saved_file(page: Page, to: Path) -> Path:
    """As a maker saves it."""
    page.evaluate("() => { location.hash = 'setup'; }")
    with page.expect_download() as saved:
        page.locator(".keeping").get_by_role("button", name="Save a backup file").click()
    saved.value.save_as(to)
    return to


def shown_file(page: Page, file: Path) -> Any:
    """Chosen on Setup; what it then shows."""
    page.evaluate("() => { location.hash = 'setup'; }")
    page.locator(".file-in input").set_input_files(file)
    return page.locator(".file-in")


def brought_in(page: Page, file: Path) -> str:
    """Chosen, looked at and taken in; what the page says of it."""
    section = shown_file(page, file)
    section.get_by_role("button", name="Take in").click()
    said = section.locator("[role=status]").filter(has_text="taken in")
    said.wait_for()
    return str(said.inner_text())


def agrees(page: Page) -> None:
    """The page's rows are what the engine counts from the log."""
    totals = {
        (row["piece"], row["step"]): row["done"]
        for row in fold(tell(page, "return await allChanges();"))["totals"]
    }
    assert totals == {(p, s): row["done"] for p, s, row in tell(page, TOTALS)}


def imported(server: Serving, file: Path) -> str:
    command = [sys.executable, "-c", "from server.cli import main; main()", "import"]
    done = subprocess.run(
        [*command, file, "--data", server.data], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


# — two pages without a server —


def test_a_file_carried_both_ways_twice_ends_in_the_same_counts_on_both(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    one = visited(devices[0], host)
    tell(one, NAME, "Coif")
    tell(one, TAP, [1, 2, 4])
    tell(one, "await store.counting.undo();")
    file = saved_file(one, tmp_path / "1.json")
    two = visited(devices[1], host)
    section = shown_file(two, file)
    expect(section).to_contain_text("This device has nothing yet")
    expect(section).to_contain_text("Its pieces: Coif.")
    assert tell(two, "return (await allChanges()).length;") == 0, "nothing before it is confirmed"
    n = tell(one, "return (await allChanges()).length;")
    assert f"{n} changes were taken in." in brought_in(two, file)
    assert tell(two, "return journal.meta('workshop');") == tell(
        one, "return journal.meta('workshop');"
    )
    for _ in range(2):
        tell(one, TAP, [8, 16])
        tell(two, TAP, [32, 64])
        brought_in(two, saved_file(one, tmp_path / "2.json"))
        brought_in(one, saved_file(two, tmp_path / "3.json"))
        section = shown_file(one, tmp_path / "3.json")
        expect(section).to_contain_text("Everything in it is here already.")
        expect(shown_file(two, tmp_path / "2.json")).to_contain_text("is here already")
        assert tell(one, COUNTS) == tell(two, COUNTS)
        assert tell(one, TOTALS) == tell(two, TOTALS)
    assert tell(one, DONE) == 1 + 2 + 2 * (8 + 16 + 32 + 64)
    for page in (one, two):
        agrees(page)
        page.reload()
        ready(page)
        assert tell(page, DONE) == 243
    assert [path for path in host.asked if "/api" in path or "/health" in path] == []


def test_another_open_page_and_the_bench_follow_what_comes_in(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    one = visited(devices[0], host)
    tell(one, NAME, "Coif")
    tell(one, TAP, [1, 2])
    bench = visited(devices[1], host)
    setup = visited(devices[1], host)
    brought_in(setup, saved_file(one, tmp_path / "1.json"))
    till(bench, "return store.totals.of('coif', 'close').done === 3;")
    assert tell(bench, "return store.thing('piece', 'coif').name;") == "Coif"


# — the server —


def test_what_comes_by_file_ends_like_a_sync_on_page_and_server(
    host: Host, devices: list[BrowserContext], serving: Serving, tmp_path: Path
) -> None:
    """Phone without a server, to the server by the command, to a page there, and back to the phone."""
    out = visited(devices[0], host)
    tell(out, NAME, "Coif")
    tell(out, TAP, [1, 2, 4])
    file = saved_file(out, tmp_path / "1.json")
    serving.stop()
    assert "changes taken in" in imported(serving, file)
    assert "0 changes taken in" in imported(serving, file)
    serving.start()
    assert identity(serving) == tell(out, "return journal.meta('workshop');")
    desk = opened(devices[1], serving.url)
    synced(desk)
    ask(desk, TAP, [8])
    synced(desk)
    assert total(desk, "coif", "close") == 15
    export = tmp_path / "all.jsonl"
    command = [sys.executable, "-c", "from server.cli import main; main()", "export"]
    subprocess.run(
        [*command, "--to", export, "--data", serving.data],
        cwd=ROOT,
        check=True,
        capture_output=True,
    )
    brought_in(out, export)
    assert tell(out, DONE) == 15 and tell(out, COUNTS) == [1, 2, 4, 8]
    expect(shown_file(out, export)).to_contain_text("Everything in it is here already.")


def test_a_file_saved_with_unsent_taps_and_given_to_the_server_doubles_none_when_the_phone_syncs(
    devices: list[BrowserContext], serving: Serving, tmp_path: Path
) -> None:
    page = opened(devices[0], serving.url)
    synced(page)
    ask(page, TAP, [1, 2])
    synced(page)
    page.route("**/api/sync", lambda route: route.abort())
    ask(page, TAP, [4, 8])
    file = saved_file(page, tmp_path / "1.json")
    ask(page, TAP, [16])
    serving.stop()
    imported(serving, file)
    serving.start()
    page.unroute("**/api/sync")
    synced(page)
    said = [json.loads(body) for _, _, body in stored(serving)]
    assert sorted(c["n"] for c in said if c["kind"] == "count") == [1, 2, 4, 8, 16]
    assert total(page, "coif", "close") == 31


def test_unsent_taps_of_an_old_address_reach_the_server_through_a_page_at_the_new_one_once(
    devices: list[BrowserContext], serving: Serving, tmp_path: Path
) -> None:
    """The address of the server has changed: for the browser the new one is another page."""
    old = opened(devices[0], serving.url)
    synced(old)
    ask(old, NAME, "Coif")
    ask(old, TAP, [1, 2])
    synced(old)
    old.route("**/api/sync", lambda route: route.abort())
    ask(old, TAP, [4, 8])
    file = saved_file(old, tmp_path / "1.json")
    new = opened(devices[0], serving.url.replace("127.0.0.1", "localhost"))
    synced(new)
    assert total(new, "coif", "close") == 3
    ask(new, TAP, [16])
    new.route("**/api/sync", lambda route: route.abort())
    section = shown_file(new, file)
    expect(section).to_contain_text("were here already")
    brought_in(new, file)
    expect(new.locator("#carried")).not_to_contain_text("Sent")
    ask(new, "await store.sync.run();")
    assert new.locator("#carried[data-state=synced]").count() == 0
    expect(new.locator(".keeping")).to_contain_text("is not on the server yet")
    new.unroute("**/api/sync")
    synced(new)
    expect(new.locator("#carried")).to_contain_text("Sent")
    said = [json.loads(body) for _, _, body in stored(serving)]
    assert sorted(c["n"] for c in said if c["kind"] == "count") == [1, 2, 4, 8, 16]
    tablet = opened(devices[1], serving.url)
    for page in (tablet, new):
        synced(page)
        assert total(page, "coif", "close") == 31
    old.unroute("**/api/sync")  # should the old address ever answer again
    synced(old)
    synced(new)
    assert total(old, "coif", "close") == 31 == total(new, "coif", "close")
    assert stored(serving, "select count(*) from clashes") == [(0,)]


def test_a_hole_in_a_file_is_never_filled_on_the_server_by_anyone_but_its_device(
    devices: list[BrowserContext], serving: Serving, tmp_path: Path
) -> None:
    old = opened(devices[0], serving.url)
    synced(old)
    old.route("**/api/sync", lambda route: route.abort())
    ask(old, TAP, [1, 2, 4])
    file = saved_file(old, tmp_path / "1.json")
    content = json.loads(file.read_text("utf-8"))
    lost = next(c for c in content["changes"] if c.get("n") == 2)
    content["changes"].remove(lost)
    file.write_text(json.dumps(content))
    new = opened(devices[1], serving.url)
    synced(new)
    brought_in(new, file)
    synced(new)
    seqs = [seq for device, seq, _ in stored(serving) if device == lost["device"]]
    assert max(seqs) == lost["seq"] - 1
    old.unroute("**/api/sync")
    synced(old)
    synced(new)
    said = [json.loads(body) for _, _, body in stored(serving)]
    assert sorted(c["n"] for c in said if c["kind"] == "count") == [1, 2, 4]
    assert total(new, "coif", "close") == 7


def test_a_phone_whose_browser_cleared_everything_gets_it_back_from_the_server(
    devices: list[BrowserContext], serving: Serving
) -> None:
    page = opened(devices[0], serving.url)
    ask(page, NAME, "Coif")
    ask(page, TAP, [1, 2])
    synced(page)
    device = ask(page, "return store.device;")
    page.route("**/api/sync", lambda route: route.abort())
    devtools = devices[0].new_cdp_session(page)
    page.goto("about:blank")
    devtools.send("Storage.clearDataForOrigin", {"origin": serving.url, "storageTypes": "all"})
    go(page, serving.url)
    mark = page.locator("#carried")
    expect(mark).to_contain_text("no server")
    expect(mark).not_to_contain_text("Sent")
    assert ask(page, "return store.things('piece').length;") == 0
    page.unroute("**/api/sync")
    synced(page)
    assert total(page, "coif", "close") == 3
    assert ask(page, "return store.device;") != device
    ask(page, TAP, [4])
    synced(page)
    assert total(page, "coif", "close") == 7
    said = [json.loads(body) for _, _, body in stored(serving)]
    assert sorted(c["n"] for c in said if c["kind"] == "count") == [1, 2, 4]


# — what is refused, and how —


def other_file(context: BrowserContext, host: Host, to: Path) -> tuple[Path, str]:
    page = visited(context, host)
    tell(page, "await store.set('piece', 'hood', { name: 'Hood', order: 1, state: 'open' });")
    tell(page, "await store.counting.count('hood', 'close', 5).saved;")
    return saved_file(page, to), tell(page, "return journal.meta('workshop');")


def test_a_file_of_another_workshop_is_mixed_in_only_when_that_is_said_twice(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    file, theirs = other_file(devices[0], host, tmp_path / "1.json")
    page = visited(devices[1], host)
    tell(page, TAP, [1, 2])
    ours = tell(page, "return journal.meta('workshop');")
    n = tell(page, "return (await allChanges()).length;")
    section = shown_file(page, file)
    expect(section).to_contain_text(f"another workshop, {short(theirs)}")
    for way in ("Keep both apart", "Start empty", "Bring its records into this workshop"):
        expect(section.get_by_role("heading", name=way)).to_be_visible()
    assert section.get_by_role("button", name="Take in").count() == 0
    section.get_by_role("button", name="Bring them into this workshop …").click()
    expect(section).to_contain_text("for good?")
    assert tell(page, "return (await allChanges()).length;") == n
    section.get_by_role("button", name="Bring them in", exact=True).click()
    section.locator("[role=status]").filter(has_text="taken in").wait_for()
    assert tell(page, "return journal.meta('workshop');") == ours
    assert tell(page, "return store.totals.of('hood', 'close').done;") == 5
    assert tell(page, DONE) == 3


@pytest.mark.parametrize(
    ("spoil", "says"),
    [
        (lambda text: text[: len(text) // 2], "Line 1 of the file is not whole"),
        (lambda text: text.replace('"kind":', '"kind"', 1), "Line 1 of the file is not whole"),
        (lambda _: '{"rings": [1, 2, 3]}', "no backup file of Ringwright"),
        (lambda _: "", "no backup file of Ringwright"),
        (lambda _: "Dear customer", "Line 1 of the file is not whole"),
    ],
)
def test_a_spoiled_file_is_named_and_nothing_of_it_is_taken_in(
    host: Host, devices: list[BrowserContext], tmp_path: Path, spoil: Any, says: str
) -> None:
    file, _ = other_file(devices[0], host, tmp_path / "1.json")
    file.write_text(spoil(file.read_text("utf-8")), "utf-8")
    page = visited(devices[1], host)
    section = shown_file(page, file)
    expect(section.get_by_role("alert")).to_contain_text(says)
    assert section.get_by_role("button", name="Take in").count() == 0
    assert tell(page, "return (await allChanges()).length;") == 0


def test_a_file_that_is_no_text_is_named(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    file = tmp_path / "picture.json"
    file.write_bytes(b"\x89PNG\r\n\xff\xfe\x00")
    page = visited(devices[0], host)
    expect(shown_file(page, file).get_by_role("alert")).to_contain_text("is no backup file")


def test_the_servers_own_backup_is_named_with_what_would_do(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    file = tmp_path / "workshop.sqlite"
    with closing(sqlite3.connect(file)) as backup:
        backup.execute("CREATE TABLE changes (device TEXT)")
        backup.commit()
    page = visited(devices[0], host)
    said = shown_file(page, file).get_by_role("alert")
    expect(said).to_contain_text("a backup of the server's own file. Nothing was taken in.")
    assert said.locator("code").all_inner_texts() == [
        "ringwright restore",
        "ringwright export --to FILE",
    ]


def test_only_a_file_that_the_browser_cannot_read_is_to_be_copied_first(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    file = tmp_path / "away.json"
    file.write_text("{}", "utf-8")
    page = visited(devices[0], host)
    page.evaluate(
        "() => { Blob.prototype.stream = () => new ReadableStream({ pull() {"
        " throw new DOMException('', 'NotReadableError'); } }); }"
    )
    expect(shown_file(page, file).get_by_role("alert")).to_contain_text(
        "The browser could not read the file. Nothing was taken in. Copy it to this device first"
    )


def test_what_cannot_be_counted_is_left_out_and_named_and_the_rest_is_taken_in(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    head = {"workshop": "a" * 32, "logs": []}
    good = {"device": "tablet", "at": 1, "tz": 0, "v": 1, "kind": "count", "piece": "coif"}
    good |= {"step": "close", "how": "tap"}
    rows: list[dict[str, Any]] = [
        good | {"seq": 1, "n": 1},
        good | {"seq": 2, "n": 2e9},
        {"device": "tablet", "seq": 3, "put_aside": good | {"seq": 3, "n": 0}, "why": "n is 0"},
        good | {"seq": 4, "n": 4},
    ]
    file = tmp_path / "1.jsonl"
    file.write_text("\n".join(map(json.dumps, [head, *rows])), "utf-8")
    page = visited(devices[0], host)
    section = shown_file(page, file)
    expect(section).to_contain_text("1 change left out")
    expect(section).to_contain_text("Line 3, tablet 2: it is not whole")
    expect(section).to_contain_text("1 change that the server had set aside")
    assert "2 changes were taken in." in brought_in(page, file)
    assert tell(page, DONE) == 5
    rows[0]["n"] = 64
    file.write_text("\n".join(map(json.dumps, [head, *rows, good | {"seq": 5, "n": 8}])), "utf-8")
    section = shown_file(page, file)
    expect(section).to_contain_text("Line 2, tablet 1: something else has this number here.")
    brought_in(page, file)
    assert tell(page, DONE) == 13


@pytest.mark.parametrize("since", [[], [64, 128]])
def test_a_device_put_back_to_an_earlier_state_gets_its_later_life_from_a_file_and_keeps_what_it_counted_since(
    host: Host, browser: Browser, tmp_path: Path, since: list[int]
) -> None:
    first = phone(browser, accept_downloads=True)
    page = visited(first, host)
    tell(page, NAME, "Coif")
    tell(page, TAP, [1, 2])
    earlier = first.storage_state(indexed_db=True)
    tell(page, TAP, [4, 8])
    file = saved_file(page, tmp_path / "1.json")
    device = tell(page, "return store.device;")
    first.close()
    put_back = phone(browser, accept_downloads=True, storage_state=earlier)
    page = visited(put_back, host)
    assert tell(page, "return store.device;") == device and tell(page, DONE) == 3
    tell(page, TAP, since)
    section = shown_file(page, file)
    expect(section).to_contain_text("of this very device that are not here")
    page.evaluate("() => { window.before = true; }")
    section.get_by_role("button", name="Take in").click()
    wait_until(page, lambda: begun_again(page), what="the page has read everything again")
    assert tell(page, DONE) == 15 + sum(since)
    assert tell(page, COUNTS) == [1, 2, 4, 8, *since]
    assert tell(page, "return store.device;") != device
    agrees(page)
    tell(page, TAP, [256])
    again = saved_file(page, tmp_path / "2.json")
    expect(shown_file(page, file)).to_contain_text("Everything in it is here already.")
    other = phone(browser)
    fresh = visited(other, host)
    brought_in(fresh, again)
    assert tell(fresh, COUNTS) == [1, 2, 4, 8, *since, 256]
    for context in (put_back, other):
        context.close()


def begun_again(page: Page) -> bool:
    try:
        return bool(
            page.evaluate(
                "() => !window.before && document.documentElement.dataset.ready === 'yes'"
            )
        )
    except Error as error:  # the page is between two documents
        assert "context" in str(error).lower() or "navigat" in str(error).lower(), error
        return False


def test_an_own_change_that_was_altered_in_the_file_is_left_out_and_doubles_nothing(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    page = visited(devices[0], host)
    tell(page, TAP, [1, 2, 4])
    file = saved_file(page, tmp_path / "1.json")
    content = json.loads(file.read_text("utf-8"))
    next(c for c in content["changes"] if c.get("n") == 2)["n"] = 3
    file.write_text(json.dumps(content))
    section = shown_file(page, file)
    expect(section).to_contain_text("something else has this number here")
    expect(section).to_contain_text("Everything else in it is here already.")
    assert section.get_by_role("button", name="Take in").count() == 0
    assert tell(page, COUNTS) == [1, 2, 4]


def test_a_full_device_stops_between_two_portions_and_the_same_file_brings_the_rest(
    host: Host, devices: list[BrowserContext], tmp_path: Path
) -> None:
    good = {"device": "tablet", "at": 1, "tz": 0, "v": 1, "kind": "count", "piece": "coif"}
    good |= {"step": "close", "how": "tap", "n": 1}
    rows = [good | {"seq": seq} for seq in range(1, 1301)]
    file = tmp_path / "1.json"
    file.write_text(json.dumps({"ask": "fold", "workshop": "a" * 32, "changes": rows}), "utf-8")
    page = visited(devices[0], host)
    tell(page, """
      const add = IDBObjectStore.prototype.add;
      let left = 1; // a portion of one device is added as one row
      IDBObjectStore.prototype.add = function (...said) {
        if (!left--) {
          IDBObjectStore.prototype.add = add;
          throw new DOMException("no room", "QuotaExceededError");
        }
        return add.apply(this, said);
      };""")  # fmt: skip
    section = shown_file(page, file)
    section.get_by_role("button", name="Take in").click()
    expect(section.get_by_role("alert")).to_contain_text("It stopped after 500 changes.")
    assert tell(page, DONE) == 500 == tell(page, "return (await allChanges()).length;")
    section = shown_file(page, file)
    expect(section).to_contain_text("500 changes were here already.")
    assert "800 changes were taken in." in brought_in(page, file)
    assert tell(page, DONE) == 1300
    agrees(page)
