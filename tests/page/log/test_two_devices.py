"""Several devices, several open pages: every tap is stored once, everywhere, whoever sends it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Route

from tests.page.desk import ask, go, opened, synced, until
from tests.running import ROOT, Serving

TAP = """
  const [piece, step, times] = given, saved = [];
  for (let k = 0; k < times; k++) {
    saved.push(store.counting.count(piece, step, 1).saved);
    if (k % 10 === 9) await new Promise((r) => setTimeout(r)); // the other page gets its turn
  }
  window.tapped = Promise.all(saved);"""
UNDO = "for (let k = 0; k < given; k++) await store.counting.undo();"
NAME = 'await store.set("piece", given[0], { name: given[1], order: 1, state: "open" });'
NAMED = 'return store.thing("piece", given).name;'


@pytest.fixture
def devices(browser: Browser) -> Iterator[list[BrowserContext]]:
    """Two profiles: storage of their own, so two devices."""
    both = [browser.new_context(), browser.new_context()]
    yield both
    for context in both:
        context.close()


def test_two_devices_end_with_the_same_counts(
    devices: list[BrowserContext], serving: Serving
) -> None:
    phone, desk = [opened(context, serving.url) for context in devices]
    ask(phone, NAME, ["coif", "Coif"])
    ask(phone, TAP + "await window.tapped;", ["coif", "close", 40])
    ask(desk, TAP + "await window.tapped;", ["coif", "close", 25])
    ask(desk, UNDO, 5)
    ask(phone, UNDO, 2)
    for page in (phone, desk, phone):
        synced(page)
    for page in (phone, desk):
        until(page, 'return store.totals.of("coif", "close").done === 58;')
    assert ask(desk, NAMED, "coif") == "Coif"


def test_a_page_left_open_hears_what_another_device_counts(
    devices: list[BrowserContext], serving: Serving
) -> None:
    phone, desk = [context.new_page() for context in devices]
    desk.clock.install()
    for page in (phone, desk):
        go(page, serving.url)
        synced(page)
    ask(phone, TAP + "await window.tapped;", ["coif", "close", 7])
    synced(phone)
    assert ask(desk, 'return store.totals.of("coif", "close").done;') == 0
    desk.clock.fast_forward(31_000)
    until(desk, 'return store.totals.of("coif", "close").done === 7;')


def test_a_field_said_on_both_ends_alike_and_the_loser_can_be_put_back(
    devices: list[BrowserContext], serving: Serving
) -> None:
    phone, desk = [opened(context, serving.url) for context in devices]
    ask(phone, NAME, ["coif", "Coif of the north"])
    ask(desk, NAME, ["coif", "Coif of the south"])
    for page in (phone, desk, phone):
        synced(page)
    for page in (phone, desk):
        until(page, 'return store.thing("piece", "coif").name === "Coif of the south";')
    go(phone, serving.url, "#records/twice")
    phone.get_by_text("Replaced: “Coif of the north”").wait_for()
    phone.get_by_role("button", name="Restore “Coif of the north”").click()
    phone.get_by_text("No two devices have entered different values.").wait_for()
    for page in (phone, desk):
        synced(page)
    until(desk, 'return store.thing("piece", "coif").name === "Coif of the north";')


def test_a_value_replaced_knowingly_is_no_quarrel(
    devices: list[BrowserContext], serving: Serving
) -> None:
    phone, desk = [opened(context, serving.url) for context in devices]
    ask(phone, NAME, ["coif", "Coif"])
    for page in (phone, desk):
        synced(page)
    until(desk, 'return store.thing("piece", "coif");')
    ask(desk, NAME, ["coif", "Coif with a square front"])
    for page in (desk, phone):
        synced(page)
    until(phone, 'return store.thing("piece", "coif").name === "Coif with a square front";')
    go(phone, serving.url, "#records/twice")
    phone.get_by_text("No two devices have entered different values.").wait_for()


def test_a_quarrel_can_be_left_as_it_stands(
    devices: list[BrowserContext], serving: Serving
) -> None:
    phone, desk = [opened(context, serving.url) for context in devices]
    ask(phone, NAME, ["coif", "Coif of the north"])
    ask(desk, NAME, ["coif", "Coif of the south"])
    for page in (phone, desk):
        synced(page)
    go(desk, serving.url, "#records/twice")
    desk.get_by_role("button", name="Keep “Coif of the south”").click()
    desk.get_by_text("No two devices have entered different values.").wait_for()
    for page in (desk, phone):
        synced(page)
    assert until(phone, NAMED, "coif") == "Coif of the south"


COUNT_HELD = """
  const [held] = await history.unansweredHolds();
  await store.counting.count("coif", "close", 1, { how: "hand", holds: { device: held.device, seq: held.seq } }).saved;"""


def test_a_contact_held_apart_and_counted_on_two_devices_counts_once(
    devices: list[BrowserContext], serving: Serving
) -> None:
    phone, desk = [opened(context, serving.url) for context in devices]
    ask(phone, 'await store.counting.hold("coif", "close", 1, "bounce");')
    for page in (phone, desk):
        synced(page)
    until(desk, "return (await history.unansweredHolds()).length;")
    for page in (phone, desk):  # neither knows of the other's yet
        page.context.set_offline(True)
        ask(page, COUNT_HELD)
    for page in (phone, desk):
        page.context.set_offline(False)
    for page in (phone, desk, phone):
        synced(page)
    for page in (phone, desk):
        assert ask(page, 'return store.totals.of("coif", "close").done;') == 1
        assert ask(page, "return (await history.unansweredHolds()).length;") == 0
    ask(desk, "await store.counting.undo();")
    for page in (desk, phone):
        synced(page)
        until(page, 'return store.totals.of("coif", "close").done === 0;')


def test_what_one_page_fetched_is_seen_by_the_other_page_of_the_device(
    devices: list[BrowserContext], serving: Serving
) -> None:
    desk = opened(devices[1], serving.url)
    first, second = opened(devices[0], serving.url), opened(devices[0], serving.url)
    for page in (first, second):
        synced(page)
    second.route("**/api/sync", lambda route: route.abort())  # it learns from the other page alone
    ask(desk, NAME, ["coif", "Coif"])
    ask(desk, TAP + "await window.tapped;", ["coif", "close", 7])
    synced(desk)
    synced(first)
    until(
        second,
        'return store.totals.of("coif", "close").done === 7 && store.thing("piece", "coif")?.name ==='
        ' "Coif";',
    )


def test_a_tap_on_another_page_is_marked_sent_there_too(
    devices: list[BrowserContext], serving: Serving
) -> None:
    first, second = opened(devices[0], serving.url), opened(devices[0], serving.url)
    synced(second)
    second.route("**/api/sync", lambda route: route.abort())
    ask(first, TAP + "await window.tapped;", ["coif", "close", 3])
    until(second, 'return store.totals.of("coif", "close").done === 3;')
    synced(first)
    until(second, "return store.sync.now.waiting === 0;")


SPY = """
  const all = IDBObjectStore.prototype.getAll;
  window.read = [];
  IDBObjectStore.prototype.getAll = function (...said) {
    window.read.push(this.name);
    return all.apply(this, said);
  };"""


def test_a_tap_on_another_page_reads_no_store_whole(
    devices: list[BrowserContext], serving: Serving
) -> None:
    """Else its cost would grow with the years."""
    first, second = opened(devices[0], serving.url), opened(devices[0], serving.url)
    for page in (first, second):
        synced(page)
    ask(second, "await store.answers.freshen();" + SPY)
    ask(first, TAP + "await window.tapped;", ["coif", "close", 3])
    until(second, 'return store.totals.of("coif", "close").done === 3;')
    ask(second, "await store.answers.freshen();")
    assert set(ask(second, "return window.read;")) <= {
        "changes"
    }  # what waits to be sent, at most 500


def test_two_pages_of_one_device_lose_no_tap(
    devices: list[BrowserContext], serving: Serving
) -> None:
    """500 taps on each page at once: 1,000 counts and seq 1, 2, 3... without a gap, each stored
    once.
    """
    pages = [opened(devices[0], serving.url) for _ in range(2)]
    for page in pages:  # begun side by side, awaited afterwards
        page.evaluate(
            '(given) => { window.tapping = import("/store/store.js").then(async ({ store }) => {'
            f" {TAP} }}); }}",
            ["shirt", "unit", 500],
        )
    for page in pages:
        page.evaluate("() => window.tapping.then(() => window.tapped).then(() => null)")
    synced(pages[0])
    for page in pages:
        until(page, 'return store.totals.of("shirt", "unit").done === 1000;')
    rows = serving.stored(
        "select json_extract(body, '$.seq'), json_extract(body, '$.kind') from changes order by 1",
    )
    assert [kind for _, kind in rows].count("count") == 1000
    assert [seq for seq, _ in rows] == list(range(1, len(rows) + 1))


def test_a_new_device_works_nothing_out_from_half_the_record(
    devices: list[BrowserContext], tmp_path: Path
) -> None:
    def slowly(route: Route) -> None:
        ask(page, "await store.answers.freshen();")  # as after a while without a change
        route.continue_()

    folder = tmp_path / "served"
    folder.mkdir(mode=0o700)
    subprocess.run([sys.executable, ROOT / "demo" / "fill.py", folder], cwd=ROOT, check=True)
    server = Serving(folder)
    server.start()
    page = devices[0].new_page()
    page.route("**/api/sync", slowly)
    page.goto(server.url)
    ask(page, """
      window.said = [];
      const put = () => window.said.push(...(store.answers.forecast?.pieces ?? []).map((p) => `${p.id} ${p.finish.p50}`));
      store.addEventListener("forecast", put);""")  # fmt: skip
    until(page, 'return store.sync.now.state === "synced" && store.answers.forecast;')
    ask(page, "await store.answers.freshen();")
    said = page.evaluate("() => window.said")
    server.stop()
    assert said
    assert len(set(said)) == len({one.split()[0] for one in said})
