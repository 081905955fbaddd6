"""Page databases of every earlier program, opened by today's page in a real browser; and what earlier
servers answered, taken in by today's page. tests/kept has them.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, Route

from shared.log.fold import fold
from tests.kept.keep import ALL_ROWS
from tests.kept.specimens import SPECIMENS, Specimen, in_terms_of, page_version
from tests.page.desk import ask, go, synced, until
from tests.running import Serving, started

every_specimen = pytest.mark.parametrize("specimen", SPECIMENS, ids=lambda each: each.name)
with_workshops = [each for each in SPECIMENS if len(each.steps) > 1]
Change = dict[str, Any]

PLANT = """async (kept) => {
  const asked = indexedDB.open("ringwright", kept.version);
  asked.onupgradeneeded = () => {
    for (const { name, keyPath, autoIncrement, indexes } of kept.stores) {
      const store = asked.result.createObjectStore(name, { keyPath, autoIncrement });
      for (const { name, keyPath, ...how } of indexes) store.createIndex(name, keyPath, how);
    }
  };
  const db = await new Promise((done, failed) => {
    asked.onsuccess = () => done(asked.result); asked.onerror = () => failed(asked.error); });
  const tx = db.transaction(kept.stores.map(({ name }) => name), "readwrite");
  for (const { name, rows } of kept.stores)
    for (const row of rows) tx.objectStore(name).add(...row);
  await new Promise((done, failed) => { tx.oncomplete = done; tx.onabort = () => failed(tx.error); });
  db.close();
}"""
SHOWN = """
  const totals = given.map(({ piece, step }) => {
    const { done, spoiled } = store.totals.of(piece, step);
    return { piece, step, done, spoiled };
  });
  const sittings = (await history.sittings()).sort((a, b) => (a.sitting < b.sitting ? -1 : 1));
  return { totals, sittings };"""
PADS = "[...document.querySelectorAll('.pad-count')].map((pad) => pad.textContent)"
META = "return Object.fromEntries(await Promise.all(given.map(async (name) => [name, await (await import('/log/log.js')).meta(name) ?? null])));"


@pytest.fixture
def serving(specimen: Specimen, tmp_path: Path) -> Iterator[Serving]:
    """Today's server on the kept file."""
    specimen.lay(tmp_path / "served")
    with started(tmp_path / "served") as server:
        yield server


@pytest.fixture
def device(browser: Browser, serving: Serving) -> Iterator[Callable[[], BrowserContext]]:
    """`device()`: a phone-sized profile with nothing in it."""
    made: list[BrowserContext] = []

    def fresh() -> BrowserContext:
        made.append(browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True))
        return made[-1]

    yield fresh
    for context in made:
        context.close()


def plant(context: BrowserContext, serving: Serving, specimen: Specimen) -> Page:
    """A page at the server's address, before it has opened the page that counts; the old database is there."""
    page = context.new_page()
    page.goto(f"{serving.url}/health")
    page.evaluate(PLANT, specimen.page)
    return page


def opened(page: Page, serving: Serving) -> Page:
    go(page, serving.url)
    page.locator(".pad").first.wait_for()
    return page


def shown(page: Page, recorded: dict[str, Any], version: int) -> dict[str, Any]:
    """What today's page shows, in the terms of the recording one: before version 3 a sitting's items
    were those that its minutes were spent on.
    """
    now = ask(page, SHOWN, recorded["totals"])
    for row in now["sittings"]:
        row["items"] = row["timed"] if version < 3 else row["items"]
    fields = ("sitting", "piece", "step", "date", "start_min", "items", "minutes")
    return {
        "totals": now["totals"],
        "sittings": [{name: row[name] for name in fields} for row in now["sittings"]],
    }


def told(recorded: dict[str, Any]) -> dict[str, Any]:
    return {"totals": recorded["totals"], "sittings": recorded["sittings"]}


def in_database(page: Page) -> dict[str, Any]:
    rows: dict[str, Any] = page.evaluate(f"async () => {{ {ALL_ROWS} }}")
    return rows


def shape(database: dict[str, Any]) -> Any:
    """Version, stores and their indexes, without rows."""
    stores = {
        store["name"]: (store["keyPath"], store["autoIncrement"], store["indexes"])
        for store in database["stores"]
    }
    return database["version"], stores


def derived(page: Page) -> dict[str, Any]:
    """The log, in whatever rows it stands, and the rows that follow from it alone, whoever holds it;
    without today's forecasts.
    """
    changes = ask(page, "return await allChanges();")
    stores = {
        store["name"]: [row[0] for row in store["rows"]] for store in in_database(page)["stores"]
    }
    names = ("totals", "things", "sittings", "undone", "holds")
    rows = {name: stores[name] for name in names} | {"changes": changes}
    return {name: [row for row in rows[name] if row.get("thing") != "forecast"] for name in rows}


def kept_unsent(specimen: Specimen) -> list[Change]:
    meta = {key: value for value, key in specimen.rows("meta")}
    changes = [row[0] for row in specimen.rows("changes")]
    return [c for c in changes if c["device"] == meta["device"] and c["seq"] > meta["acked"]]


def listen(page: Page) -> list[Change]:
    """The changes that the page sends, as they go out."""
    sent: list[Change] = []

    def hear(request: Request) -> None:
        if request.url.endswith("/api/sync"):
            sent.extend(json.loads(request.post_data or "{}")["changes"])

    page.on("request", hear)
    return sent


def check_server(serving: Serving, wanted: dict[str, Any]) -> None:
    """The log on the server adds up to this; what the page foretold today is beside it."""
    changes = [json.loads(body) for (body,) in serving.stored("SELECT body FROM changes")]
    now = in_terms_of(wanted, fold(changes))
    for part in ("totals", "sittings", "holds", "refused"):
        assert now[part] == wanted[part]
    here = {(thing["thing"], thing["id"]): thing["fields"] for thing in now["things"]}
    for thing in wanted["things"]:
        assert here[(thing["thing"], thing["id"])] == thing["fields"]


@every_specimen
def test_an_old_page_database_opens_shows_its_totals_and_sends_what_it_had_not_sent_once(
    specimen: Specimen, serving: Serving, device: Callable[[], BrowserContext]
) -> None:
    recorded, unsent = specimen.recorded["page"], kept_unsent(specimen)
    assert len(unsent) > 4
    phone = plant(device(), serving, specimen)
    sent = listen(phone)
    opened(phone, serving)
    assert ask(phone, "return store.device;") == recorded["device"]
    assert shown(phone, recorded, specimen.page["version"]) == told(recorded)
    assert phone.evaluate(PADS) == recorded["pads"]
    synced(phone)
    assert [c for c in sent if c["seq"] <= unsent[-1]["seq"]] == unsent  # each once, in order
    assert shown(phone, recorded, specimen.page["version"]) == told(recorded)
    check_server(serving, specimen.recorded["whole"])


@every_specimen
def test_an_old_page_database_becomes_what_a_second_device_makes_of_the_same_log(
    specimen: Specimen, serving: Serving, device: Callable[[], BrowserContext]
) -> None:
    recorded, phone, other = (
        specimen.recorded["page"],
        plant(device(), serving, specimen),
        device().new_page(),
    )
    opened(phone, serving)
    synced(phone)
    opened(other, serving)
    for page in (other, phone, other):
        synced(page)
    assert shown(other, recorded, specimen.page["version"]) == told(recorded)
    assert derived(phone) == derived(other)
    assert shape(in_database(phone)) == shape(in_database(other))
    assert in_database(phone)["version"] == page_version()


@pytest.mark.parametrize("specimen", [Specimen("file-1-page-1-first")], ids=lambda each: each.name)
def test_a_contact_that_the_first_pages_counted_on_two_devices_counts_once(
    specimen: Specimen, serving: Serving, device: Callable[[], BrowserContext]
) -> None:
    """They added each count that answers it. Here the answer of a third device, as they took it in,
    behind so many of its counts that the log is read in several portions.
    """
    page, kept = device().new_page(), specimen.page
    rows = {store["name"]: store["rows"] for store in kept["stores"]}
    held = next(row[0] for row in rows["changes"] if "holds" in row[0])
    answer = {name: value for name, value in held.items() if name != "sitting"}
    answer |= {"device": "third", "seq": 500}
    other = answer | {"piece": "p2", "step": "chain"}
    del other["holds"]
    rows["changes"] += [[other | {"seq": seq}] for seq in range(1, 500)]
    rows["changes"].append([answer])
    total = next(row[0] for row in rows["totals"] if row[0]["key"] == "p1||close")
    total["done"] += 1
    there = {"key": "p2||chain", "piece": "p2", "step": "chain", "done": 499, "spoiled": 0}
    rows["totals"].append([total | there])
    lanes = specimen.recorded["page"]["totals"]
    wanted = {(lane["piece"], lane["step"]): lane["done"] for lane in lanes}
    wanted["p2", "chain"] = 499

    page.goto(f"{serving.url}/health")
    page.evaluate(PLANT, kept)
    opened(page, serving)
    now = ask(page, SHOWN, lanes)["totals"]
    assert {(lane["piece"], lane["step"]): lane["done"] for lane in now} == wanted
    ask(page, "await store.counting.undo((await allChanges()).find((c) => c.holds));")
    close = wanted["p1", "close"]
    assert ask(page, "return store.totals.of('p1', 'close').done;") == close - 1


def answering(context: BrowserContext, body: bytes) -> None:
    """From now on every request to sync gets this answer, as it was at the wire."""

    def answer(route: Route) -> None:
        route.fulfill(status=200, content_type="application/json", body=body)

    context.route("**/api/sync", answer)


@every_specimen
def test_a_new_device_takes_in_what_an_older_server_answers(
    specimen: Specimen, serving: Serving, device: Callable[[], BrowserContext]
) -> None:
    first = specimen.recorded["first"]
    context = device()
    answering(context, specimen.answers[first["answer"]])
    page = context.new_page()
    go(page, serving.url)
    upto = json.loads(specimen.answers[first["answer"]])["upto"]
    until(page, f"return (await (await import('/log/log.js')).meta('after')) === {upto};")
    assert shown(page, first, specimen.recorded["page_version"]) == told(first)


@every_specimen
def test_a_page_of_its_time_is_told_by_its_own_server_that_all_is_kept(
    specimen: Specimen, serving: Serving, device: Callable[[], BrowserContext]
) -> None:
    """The page is today's, its database and the server's answer are from then."""
    recorded, unsent, since = (
        specimen.recorded["page"],
        kept_unsent(specimen),
        specimen.recorded["sent_before"],
    )
    answer = next(
        answer
        for body, answer in list(zip(specimen.requests, specimen.answers, strict=True))[since:]
        if any(change == unsent[-1] for change in json.loads(body)["changes"])
    )
    context = device()
    answering(context, answer)
    page = opened(plant(context, serving, specimen), serving)
    wanted = json.loads(answer)
    until(
        page, f"return (await (await import('/log/log.js')).meta('acked')) === {unsent[-1]['seq']};"
    )
    assert ask(page, META, ["log"]) == {"log": wanted["log"]}
    assert shown(page, recorded, specimen.page["version"]) == told(recorded)


@pytest.mark.parametrize("specimen", with_workshops, ids=lambda each: each.name)
def test_a_page_with_a_workshop_gives_nothing_to_a_server_from_before_workshops_and_keeps_all(
    specimen: Specimen, serving: Serving, device: Callable[[], BrowserContext]
) -> None:
    oldest = next(each for each in SPECIMENS if len(each.steps) == 1)
    context = device()
    answering(context, oldest.answers[-1])
    page = plant(context, serving, specimen)
    before = {value[1]: value[0] for value in specimen.rows("meta")}
    opened(page, serving)
    why = until(
        page,
        "return store.sync.now.state === 'refused' || store.sync.now.state === 'offline' ? store.sync.now.why : '';",
    )
    assert "The server is older than this page" in why
    names = ["device", "acked", "after", "log", "workshop"]
    assert ask(page, META, names) == {name: before[name] for name in names}
    recorded = specimen.recorded["page"]
    assert shown(page, recorded, specimen.page["version"]) == told(recorded)
