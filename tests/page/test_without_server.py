"""The page on a host that only hands files out: the whole job at the bench, offline, its updates, and no
word about a server that is missing.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Playwright, expect

from server.settings import ROOT, Settings
from server.workshop import is_identity
from tests.page.benchwork import LAY, RING, SHAPE, Finger, middle, shown
from tests.page.desk import ready, wait_until
from tests.page.static_host import Host, hosted, phone, tell, till, visited

MARK = "#carried"
COUNT = "await store.counting.count('coif', 'close', given).saved;"
NAMED = "await store.set('piece', 'coif', { name: 'Coif', order: 1, state: 'open' });"


@pytest.fixture
def host(tmp_path: Path) -> Iterator[Host]:
    with hosted(tmp_path / "host") as running:
        yield running


@pytest.fixture
def device(browser: Browser) -> Iterator[BrowserContext]:
    context = phone(browser, accept_downloads=True)
    yield context
    context.close()


def laid(page: Page) -> None:
    given = {"lanes": [["close"]], "own": {}, "ring": RING, "shape": SHAPE, "due": "2027-03-01"}
    tell(page, LAY, given)
    till(page, "return Boolean(store.answers.standing('p1') && store.answers.forecast);")


def test_the_whole_job_at_the_bench_needs_no_server_and_asks_for_none(
    host: Host, device: BrowserContext
) -> None:
    page = visited(device, host)
    laid(page)
    finger = Finger(page)
    finger.taps(*middle(page), 12)
    till(page, "return store.totals.of('p1', 'close').done === 12;")
    assert shown(page) == 12
    assert tell(page, "return store.answers.plan('p1').steps.length;") > 3
    till(page, "return store.answers.forecast.pieces.some((p) => p.finish.p50);")
    for name in ("pieces", "plan/p1", "forecast", "stock", "records", "setup"):
        page.goto(f"{host.url}#{name}")
        expect(
            page.locator(f"rw-{name.split('/')[0]}").get_by_role("heading").first
        ).to_be_visible()
    page.goto(host.url + "#bench")
    expect(page.locator(MARK)).to_contain_text("Only here")
    tell(page, "await store.sync.run(); store.sync.soon(0);")
    page.evaluate("window.dispatchEvent(new Event('online'))")
    page.reload()
    ready(page)
    assert shown(page) == 12
    assert [path for path in host.asked if re.search(r"/(api|health)\b", path)] == []
    assert all(path.startswith("/tools/mail/") for path in host.asked), host.asked
    assert page.said == []  # type: ignore[attr-defined]


def test_it_meets_what_an_install_asks_for(
    host: Host, playing: Playwright, chromium_options: dict[str, Any], tmp_path: Path
) -> None:
    """Chromium's own answer to whether the page can be installed, and what it read of the manifest."""
    profile = playing.chromium.launch_persistent_context(tmp_path / "profile", **chromium_options)
    page = visited(profile, host)
    devtools = profile.new_cdp_session(page)
    assert devtools.send("Page.getInstallabilityErrors")["installabilityErrors"] == []
    read = devtools.send("Page.getAppManifest")
    assert read["errors"] == []
    assert read["url"] == host.url + "manifest.webmanifest"
    manifest = read["manifest"]
    assert manifest["startUrl"] == host.url == manifest["scope"]
    assert {icon["url"] for icon in manifest["icons"]} == {
        f"{host.url}icons/{name}.png" for name in ("icon-192", "icon-512", "maskable-512")
    }
    profile.close()


def test_every_screen_and_the_engine_work_offline_after_the_first_visit(
    host: Host, device: BrowserContext
) -> None:
    page = visited(device, host)
    laid(page)
    host.server.shutdown()
    host.server.server_close()
    page.close()
    page = device.new_page()
    said: list[str] = []
    page.on("pageerror", lambda error: said.append(str(error)))
    for name in ("bench", "pieces", "plan/new", "forecast", "stock", "records", "setup"):
        page.goto(f"{host.url}?from=home#{name}")
        ready(page)
        expect(
            page.locator(f"rw-{name.split('/')[0]}").get_by_role("heading").first
        ).to_be_visible()
    answer = tell(page, "return store.ask({ ask: 'gauge', gauge: 16 });")
    # American wire gauge 16: 1.291 mm by the formula of ASTM B258
    awg = next(each for each in answer["systems"] if each["system"] == "awg")
    assert awg["wire_mm"] == pytest.approx(1.291, abs=0.002)
    assert said == []


def test_each_browser_begins_a_workshop_of_its_own(host: Host, browser: Browser) -> None:
    found = []
    for _ in range(2):
        context = phone(browser)
        page = visited(context, host)
        found.append(tell(page, "return journal.meta('workshop');"))
        page.reload()
        ready(page)
        assert tell(page, "return journal.meta('workshop');") == found[-1]
        context.close()
    assert all(is_identity(each) for each in found) and found[0] != found[1]


def renewed(folder: Path) -> Settings:
    shutil.copytree(
        ROOT / "static", folder / "static", ignore=shutil.ignore_patterns("node_modules")
    )
    return Settings(data=folder, static=folder / "static")


def test_a_newer_version_is_offered_and_taken_up_and_the_counts_stay(
    tmp_path: Path, browser: Browser
) -> None:
    settings = renewed(tmp_path)
    with hosted(tmp_path / "host", settings) as host:
        context = phone(browser)
        page = visited(context, host)
        tell(page, COUNT, 3)
        first = till(page, "return (await caches.keys()).join();")
        texts = settings.static / "texts" / "en.js"
        texts.write_text(texts.read_text("utf-8").replace('bench: "Bench"', 'bench: "Anvil"'))
        version = host.put_up()
        page.reload()
        ready(page)
        expect(page.locator("#rooms")).to_contain_text("Bench")
        offer = page.locator('.notice[data-key="offer"]')
        expect(offer).to_contain_text("Your counts stay")
        tell(page, COUNT, 4)
        offer.get_by_role("button", name="Update now").click()
        expect(page.locator("#rooms")).to_contain_text("Anvil")
        ready(page)
        assert tell(page, "return store.totals.of('coif', 'close').done;") == 7
        kept = till(page, "const all = await caches.keys(); return all.length === 1 && all.join();")
        assert version in kept and kept != first
        context.close()


def test_pages_in_two_folders_of_a_host_keep_their_files_apart(
    tmp_path: Path, browser: Browser
) -> None:
    with hosted(tmp_path / "host") as host:
        shutil.copytree(host.root / "tools" / "mail", host.root / "tools" / "mail" / "second")
        context = phone(browser)
        visited(context, host)
        page = context.new_page()
        page.goto(host.url + "second/")
        ready(page)
        names = till(page, "const all = await caches.keys(); return all.length === 2 && all;")
        assert sorted(name.split(" ")[1] for name in names) == [
            "/tools/mail/",
            "/tools/mail/second/",
        ]
        page.goto(host.url + "second/#setup")
        expect(page.locator("rw-setup")).to_contain_text("This page works offline.")
        context.close()


# — what it says —


def test_nothing_is_red_about_a_missing_server_and_the_mark_counts_what_is_in_no_copy(
    host: Host, device: BrowserContext
) -> None:
    page = visited(device, host)
    mark = page.locator(MARK)
    expect(mark).to_have_text("Kept on this device only")
    expect(mark).to_have_attribute("data-state", "alone")
    tell(page, NAMED + COUNT, 3)
    n = tell(page, "return store.sync.now.waiting;")
    assert n == tell(page, "return (await allChanges()).length;") > 3
    expect(mark).to_have_text(f"Only here · no copy yet · {n} changes")
    assert page.locator(".pad[data-saved=sent]").count() == 0
    page.goto(host.url + "#setup")
    keeping = page.locator(".keeping")
    expect(keeping).to_contain_text("This page has no server")
    expect(keeping).to_contain_text(f"{n} changes (the oldest of ")
    expect(keeping).to_contain_text("No copy has been saved from this device yet.")
    screen = page.locator("rw-setup").inner_text()
    assert "not yet on the server" not in screen and "cannot be reached" not in screen
    assert page.locator("#notices .notice").count() == 0


def test_a_copy_is_remembered_with_its_time_and_what_came_after_it(
    host: Host, device: BrowserContext
) -> None:
    page = visited(device, host, "#setup")
    tell(page, NAMED + COUNT, 3)
    with page.expect_download() as saved:
        page.locator(".keeping").get_by_role("button", name="Save a backup file").click()
    assert saved.value.suggested_filename.endswith(".json")
    mark = page.locator(MARK)
    expect(mark).to_have_text(re.compile(r"^Only here · last copy \d\d:\d\d$"))
    before = tell(page, "return journal.meta('copied');")
    assert before["seq"] == tell(page, "return journal.meta('seq');")
    tell(page, COUNT, 4)
    n = tell(page, "return store.sync.now.waiting;")
    expect(mark).to_have_text(re.compile(rf"last copy \d\d:\d\d · {n} changes? since$"))
    page.reload()
    ready(page)
    expect(mark).to_have_text(re.compile(rf"last copy \d\d:\d\d · {n} changes? since$"))
    then = datetime.fromtimestamp(before["at_ms"] / 1000)
    expect(page.locator(".keeping")).to_contain_text(f"Last copy: {then.day} ")


SHARING = """
  navigator.canShare = ({ files }) => files.every((f) => f.type === "text/plain");
  navigator.share = async ({ files: [file] }) => {
    const fail = window.failing?.shift();
    if (fail) throw new DOMException("no", fail);
    window.shared = { name: file.name, text: await file.text() };
  };"""


def test_a_copy_goes_out_by_the_share_sheet_where_there_is_one(
    host: Host, device: BrowserContext
) -> None:
    device.add_init_script(SHARING)
    page = visited(device, host, "#setup")
    tell(page, NAMED + COUNT, 3)
    keeping = page.locator(".keeping")
    share = keeping.get_by_role("button", name="Share a backup file")
    page.evaluate("() => { window.failing = ['AbortError', 'NotAllowedError']; }")
    share.click()
    expect(keeping).to_contain_text("Nothing was handed on.")
    share.click()
    expect(keeping).to_contain_text("touch “Share a backup file” once more")
    assert tell(page, "return journal.meta('copied');") is None, "no copy has left the device"
    share.click()
    expect(keeping).to_contain_text("handed on.")
    shared = page.evaluate("() => window.shared")
    assert shared["name"].endswith(".txt")
    assert f'"workshop":"{tell(page, "return journal.meta(`workshop`);")}"' in shared["text"]
    assert tell(page, "return journal.meta('copied');")["seq"] == tell(
        page, "return journal.meta('seq');"
    )


# — what the browser may do to it —


def test_after_the_first_count_the_browser_is_asked_once_to_keep_it_and_its_answer_shown(
    host: Host, device: BrowserContext
) -> None:
    device.add_init_script("""
      window.asked = 0;
      let kept = false;
      navigator.storage.persisted = async () => kept;
      navigator.storage.persist = async () => { window.asked++; return (kept = Boolean(window.grants)); };""")
    page = visited(device, host)
    assert page.evaluate("() => window.asked") == 0
    tell(page, COUNT, 1)
    wait_until(page, lambda: page.evaluate("() => window.asked") == 1)
    expect(page.locator(MARK)).to_have_attribute("data-risk", "")
    page.goto(host.url + "#setup")
    expect(page.locator(".keeping")).to_contain_text("This browser may clear these records")
    page.goto(host.url + "#bench")
    page.reload()
    ready(page)
    tell(page, COUNT, 1)
    till(page, "return store.totals.of('coif', 'close').done === 2;")
    assert page.evaluate("() => window.asked") == 0, "asked again at the next start"
    page.evaluate("() => { window.grants = true; }")
    page.goto(host.url + "#setup")
    page.get_by_role("button", name="Protect these records from being cleared").click()
    expect(page.locator(".keeping")).to_contain_text("This browser has promised")
    expect(page.locator(MARK)).not_to_have_attribute("data-risk", "")


def test_an_installed_page_is_at_no_risk_and_asks_at_each_start(
    host: Host, device: BrowserContext
) -> None:
    device.add_init_script("""
      window.asked = 0;
      const match = window.matchMedia.bind(window);
      window.matchMedia = (query) => query.includes("standalone") ? { matches: true } : match(query);
      navigator.storage.persisted = async () => false;
      navigator.storage.persist = async () => { window.asked++; return false; };""")
    page = visited(device, host)
    for _ in range(2):
        tell(page, COUNT, 1)
        wait_until(page, lambda: page.evaluate("() => window.asked") == 1)
        expect(page.locator(MARK)).to_contain_text("no copy yet")
        expect(page.locator(MARK)).not_to_have_attribute("data-risk", "")
        page.reload()
        ready(page)


def test_an_emptied_phone_says_nothing_false(host: Host, device: BrowserContext) -> None:
    """What a browser does that runs out of room: everything of this address is gone at once."""
    page = visited(device, host)
    tell(page, NAMED + COUNT, 3)
    before: Any = tell(page, "return [store.device, await journal.meta('workshop')];")
    devtools = device.new_cdp_session(page)
    page.goto("about:blank")
    origin = re.match(r"https?://[^/]+", host.url)
    assert origin
    devtools.send("Storage.clearDataForOrigin", {"origin": origin[0], "storageTypes": "all"})
    page.goto(host.url)
    ready(page)
    expect(page.locator(MARK)).to_have_text("Kept on this device only")
    after = tell(page, "return [store.device, await journal.meta('workshop')];")
    assert after[0] != before[0] and after[1] != before[1]
    assert tell(page, "return store.things('piece').length;") == 0
    page.goto(host.url + "#setup")
    expect(page.locator(".keeping")).to_contain_text("No copy has been saved from this device yet.")
