"""What the device's own store does when it is refused, dropped or renewed under the maker's finger."""

from __future__ import annotations

import shutil
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import httpx
import pytest
import uvicorn
from playwright.sync_api import BrowserContext, Page, expect

from server.app import build_app
from server.settings import ROOT, Settings
from tests.page.desk import ask, go, kept_offline, opened, total, until, wait_until
from tests.running import Serving, free_port

TAP = "return store.counting.count('coif', 'close', 1).saved.then(() => 'saved', (error) => error.name);"
# the real store refuses, as it does on a full disk: only the rows of the log, once
FULL_ONCE = """
  const add = IDBObjectStore.prototype.add;
  IDBObjectStore.prototype.add = function () {
    IDBObjectStore.prototype.add = add;
    throw new DOMException("no room", "QuotaExceededError");
  };"""
# browsers drop the connection in the background: the old handle is then dead for good
DROPPED = """
  const open = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (...said) {
    IDBDatabase.prototype.transaction = open;
    this.close();
    return open.apply(this, said);
  };"""


def test_a_tap_that_the_device_would_not_save_is_taken_off_the_number_and_said(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    assert ask(page, TAP) == "saved"
    assert ask(page, FULL_ONCE + TAP) == "QuotaExceededError"
    assert total(page, "coif", "close") == 1
    expect(page.get_by_role("alert")).to_contain_text("could not save it")
    page.get_by_role("link", name="Save a backup file").click()
    page.get_by_role("button", name="Save a backup file").wait_for()
    assert ask(page, TAP) == "saved"
    assert total(page, "coif", "close") == 2


def test_a_refused_tap_leaves_no_hole_in_the_log(context: BrowserContext, serving: Serving) -> None:
    page = opened(context, serving.url)
    for body in (TAP, FULL_ONCE + TAP, TAP):
        ask(page, body)
    seqs = ask(page, "return (await allChanges()).map((c) => c.seq);")
    assert seqs == list(range(1, len(seqs) + 1))


def test_a_connection_dropped_by_the_browser_is_opened_anew_and_the_tap_is_kept(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    assert ask(page, DROPPED + TAP) == "saved"
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    assert total(page, "coif", "close") == 1


def test_counts_are_written_with_strict_durability(
    context: BrowserContext, serving: Serving
) -> None:
    """Browsers default to relaxed: a power cut could then take back what was shown as saved."""
    page = opened(context, serving.url)
    spy = """
      const open = IDBDatabase.prototype.transaction, asked = [];
      IDBDatabase.prototype.transaction = function (stores, mode, options) {
        if (mode === "readwrite") asked.push(options?.durability);
        return open.call(this, stores, mode, options);
      };
      await store.counting.count('coif', 'close', 1).saved;
      IDBDatabase.prototype.transaction = open;
      return asked;"""
    asked = ask(page, spy)
    assert asked and set(asked) == {"strict"}


FIRST_LAYOUT = """async (given) => {
  const db = await new Promise((done, fail) => {
    const open = indexedDB.open("ringwright", 1);
    open.onsuccess = () => done(open.result);
    open.onerror = () => fail(open.error);
    open.onupgradeneeded = () => {
      const changes = open.result.createObjectStore("changes", { keyPath: ["device", "seq"] });
      changes.createIndex("thing", ["thing", "id"]);
      changes.createIndex("sitting", "sitting");
      changes.createIndex("at", "at");
      for (const name of ["totals", "things", "undone", "holds"])
        open.result.createObjectStore(name, { keyPath: "key" });
      open.result.createObjectStore("sittings", { keyPath: "sitting" });
      for (const name of ["answers", "meta"]) open.result.createObjectStore(name);
    };
  });
  const tx = db.transaction(["meta", "changes", "totals", "sittings", "holds"], "readwrite");
  const put = (store, row, key) => tx.objectStore(store).put(row, key);
  const said = { device: "0ld", at: 5000, tz: 0, v: 1, piece: "coif", step: "close", n: 1 };
  const clock = { device: "0ld", at: 4000, tz: 0, v: 1, kind: "sitting", sitting: "s", piece: "coif", step: "close" };
  const event = { event: "start", piece: "coif", step: "close", at: 4000, t: 4000, device: "0ld", seq: 1, tz: 0 };
  put("meta", "0ld", "device");
  put("meta", 5, "seq");
  put("changes", { ...clock, seq: 1, event: "start" });
  put("changes", { ...said, seq: 2, kind: "count", how: "tap", sitting: "s" });
  put("changes", { ...said, seq: 4, kind: "count", how: "tap", sitting: "s", opens: true, n: 2 });
  put("totals", { key: "coif||close", piece: "coif", panel: "", step: "close", done: 3, spoiled: 0 });
  const events = [event];
  if (given) { // what a newer page corrected: an older one kept it among the events and did nothing with it
    put("changes", { ...clock, seq: 5, at: 6000, event: "correct", to_step: "unit" });
    events.push({ event: "correct", at: 6000, t: 6000, device: "0ld", seq: 5, tz: 0 });
  }
  put("sittings", { sitting: "s", piece: "coif", step: "close", events, items: 1, last_ms: 5000 });
  put("holds", { key: "0ld:3", change: { ...said, seq: 3, kind: "hold" } });
  put("holds", { key: "0ld:9", change: null });
  await new Promise((done) => { tx.oncomplete = done; });
  db.close();
}"""


def test_a_store_of_the_first_layout_is_taken_over_whole(
    context: BrowserContext, serving: Serving
) -> None:
    page = context.new_page()
    page.goto(f"{serving.url}/health")
    page.evaluate(FIRST_LAYOUT, False)
    go(page, serving.url)
    assert total(page, "coif", "close") == 3
    assert ask(page, "return (await history.sittingsSince(5000)).map((s) => s.sitting);") == ["s"]
    assert ask(
        page, "return (await history.sittings({ step: 'close', most: 5 })).map((s) => s.minutes);"
    ) == [1 / 60]
    assert ask(page, "return (await history.unansweredHolds()).map((c) => c.seq);") == [3]
    rows = ask(
        page, "return (await history.sittings()).map((s) => [s.sitting, s.items, s.untimed]);"
    )
    assert rows == [["s", 3, 2]]
    assert ask(page, TAP) == "saved" and total(page, "coif", "close") == 4


def test_a_correction_that_an_older_page_did_not_understand_holds_once_the_page_is_new(
    context: BrowserContext, serving: Serving
) -> None:
    page = context.new_page()
    page.goto(f"{serving.url}/health")
    page.evaluate(FIRST_LAYOUT, True)
    go(page, serving.url)
    assert (total(page, "coif", "close"), total(page, "coif", "unit")) == (0, 3)
    rows = ask(
        page, "return (await history.sittings()).map((s) => [s.step, s.items, s.events.length]);"
    )
    assert rows == [["unit", 3, 1]]


NEWER = """
  const db = await new Promise((done, fail) => {
    const open = indexedDB.open("ringwright", 99);
    open.onsuccess = () => done(open.result);
    open.onerror = () => fail(open.error);
  });
  return new Promise((done) => {
    const all = db.transaction("changes").objectStore("changes").getAll();
    all.onsuccess = () => { db.close(); done(all.result.length); };
  });"""


def test_an_older_page_gives_way_to_a_newer_one_and_says_that_it_saves_no_more(
    context: BrowserContext, serving: Serving
) -> None:
    """Two pages on two versions: the newer opens the log at once, with every tap; the older shows
    none as saved.
    """
    old, new = opened(context, serving.url), opened(context, serving.url)
    assert ask(old, TAP) == "saved"
    said = ask(old, "return (await allChanges()).length;")
    assert new.evaluate(f"async () => {{ {NEWER} }}") == said
    assert ask(old, TAP) == "VersionError"
    assert total(old, "coif", "close") == 1
    expect(old.get_by_role("alert")).to_contain_text("Reload this page")


HOLDS_ON = """async () => new Promise((done, fail) => {
    const open = indexedDB.open("ringwright");
    open.onerror = () => fail(open.error);
    open.onsuccess = () => { window.held = open.result; done(); }; // and gives way to nobody
  })"""


def test_a_page_that_another_holds_up_says_so_and_goes_on_once_it_is_closed(
    context: BrowserContext, serving: Serving
) -> None:
    old = context.new_page()
    old.goto(f"{serving.url}/manifest.webmanifest")  # this address, and no page of ours
    old.evaluate(FIRST_LAYOUT, False)
    old.evaluate(HOLDS_ON)
    new = context.new_page()
    new.goto(serving.url)
    expect(new.get_by_role("alert")).to_contain_text("Close the other Ringwright pages")
    old.close()
    new.locator("html[data-ready=yes]").wait_for(state="attached")
    assert ask(new, TAP) == "saved"
    assert total(new, "coif", "close") == 4, "with the three that were there"


@pytest.fixture
def renewable(tmp_path: Path) -> Iterator[tuple[str, Path]]:
    """The real app over a copy of the page, so that a test can publish a new version of it."""
    copy = tmp_path / "static"
    shutil.copytree(ROOT / "static", copy, ignore=shutil.ignore_patterns("node_modules"))
    (tmp_path / "data").mkdir(mode=0o700)
    port = free_port()
    app = build_app(Settings(data=tmp_path / "data", port=port, static=copy, needs_pairing=False))
    server = uvicorn.Server(uvicorn.Config(app, port=port, log_level="warning"))
    thread = threading.Thread(target=server.run)
    thread.start()
    url = f"http://127.0.0.1:{port}"
    _until_up(url)
    yield url, copy
    server.should_exit = True
    thread.join()


def _until_up(url: str) -> None:
    for _ in range(300):
        try:
            httpx.get(url + "/health")
            return
        except httpx.TransportError:
            time.sleep(0.05)  # before it is asked again
    raise AssertionError("the server did not come up")


def publish(copy: Path) -> None:
    """A new version of the page, as the server hands it out from now on."""
    with (copy / "css" / "base.css").open("a") as css:
        css.write("\n/* renewed */\n")


def _controlled(page: Page) -> None:
    kept_offline(page)
    until(page, "return navigator.serviceWorker.controller !== null;")


def test_a_new_version_waits_for_the_maker_and_loses_no_tap(
    context: BrowserContext, renewable: tuple[str, Path]
) -> None:
    url, copy = renewable
    page = opened(context, url)
    _controlled(page)
    page.evaluate("() => { window.before = true; }")
    publish(copy)
    ask(
        page, "window.renewing = navigator.serviceWorker.getRegistration().then((r) => r.update());"
    )
    for _ in range(30):
        assert ask(page, TAP) == "saved"
    offer = page.get_by_role("button", name="Update now")
    offer.wait_for()
    assert page.evaluate("() => window.before") is True, "the page was reloaded without being asked"
    offer.click()
    until_renewed(page)
    assert total(page, "coif", "close") == 30
    names = page.evaluate("() => caches.keys()")
    assert len(names) == 1


# ten taps a second without a pause, until the page goes
STEADY = """
  store.addEventListener("saved", (e) => window.showed(e.detail.change.seq));
  setInterval(() => store.counting.count("coif", "close", 1), 100);"""


def test_taps_go_on_at_ten_a_second_while_a_new_version_takes_over(
    context: BrowserContext, renewable: tuple[str, Path]
) -> None:
    url, copy = renewable
    page = opened(context, url)
    _controlled(page)
    saved: list[int] = []
    page.expose_function("showed", lambda seq: saved.append(seq))
    page.evaluate("() => { window.before = true; }")
    ask(page, STEADY)
    wait_until(page, lambda: len(saved) >= 5, what="taps before the new version")
    publish(copy)
    ask(page, "navigator.serviceWorker.getRegistration().then((r) => r.update());")
    page.get_by_role("button", name="Update now").click()
    until_renewed(page)
    assert len(saved) > 5
    there = ask(
        page, "return (await allChanges()).filter((c) => c.kind === 'count').map((c) => c.seq)"
    )
    assert set(saved) <= set(there), "a tap that showed as saved is gone"
    assert len(set(there)) == len(there) == total(page, "coif", "close")


HIDE = """() => { Object.defineProperty(document, "hidden", { get: () => true, configurable: true });
  document.dispatchEvent(new Event("visibilitychange")); }"""


def test_a_page_left_behind_by_a_new_version_starts_anew_once_out_of_sight(
    context: BrowserContext, renewable: tuple[str, Path]
) -> None:
    url, copy = renewable
    page, other = opened(context, url), opened(context, url)
    for each in (page, other):
        _controlled(each)
        each.evaluate("() => { window.before = true; }")
    publish(copy)
    ask(page, "navigator.serviceWorker.getRegistration().then((r) => r.update());")
    page.get_by_role("button", name="Update now").click()
    until_renewed(page)
    assert other.evaluate("() => window.before") is True, "a page in use was reloaded"
    other.evaluate(HIDE)
    until_renewed(other)


RENEWED = (
    """() => window.before === undefined && document.documentElement.dataset.ready === 'yes'"""
)


def until_renewed(page: Page) -> None:
    def renewed() -> bool:
        try:
            return bool(page.evaluate(RENEWED))
        except Exception as error:  # the page is between two documents
            assert "context" in str(error).lower() or "navigat" in str(error).lower(), error
            return False

    wait_until(page, renewed, what="the new version has taken over")
