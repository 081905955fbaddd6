"""A log that is long in one go: a season without a server, a new device after years.

6,000 changes here; the large run: RINGWRIGHT_SEASON=100000 pytest tests/page/log/test_long_log.py
"""

from __future__ import annotations

import json
import os
import random
from typing import Any

import httpx
import pytest
from playwright.sync_api import Page, Route, expect

from shared.log.fold import fold
from tests.page.desk import ask, go, opened, ready, synced, total, until, wait_until
from tests.page.invented import send
from tests.page.log.test_fold_agrees import random_log
from tests.running import Serving

SEASON = int(os.environ.get("RINGWRIGHT_SEASON", "6000"))
MOST = 500  # changes a request takes, and an answer gives
SYNC = "**/api/sync"
# as a maker's taps over a season; what is noted beside them can be long
COUNT = """const { append } = await import("/log/log.js"), [many, note] = given;
for (let at = 0; at < many; at += 500)
  await append(Array.from({ length: Math.min(500, many - at) }, (_, k) => note
    ? { kind: "set", thing: "piece", id: "coif", field: `note${at + k}`, value: "x".repeat(note) }
    : { kind: "count", piece: "coif", step: "close", n: 1, how: "tap", sitting: `s${Math.floor((at + k) / 200)}` }));
await store.reload();"""
TAP = 'await store.counting.count("coif", "cut", 1).saved;'
ROUND = "await store.sync.run(); return store.sync.now.state;"
KINDS = """const kept = {};
for (const c of await allChanges()) kept[c.kind] = (kept[c.kind] ?? 0) + 1;
return [kept, new Set((await allChanges()).map((c) => `${c.device} ${c.seq}`)).size];"""


class Net:
    """What lies between a page and its server. `asked` has every request's changes; `tricks` are played in
    turn on requests that move something, and `cuts` counts those that broke one off.
    """

    def __init__(self, page: Page, *tricks: str) -> None:
        self.asked: list[list[dict[str, Any]]] = []
        self.tricks = list(tricks)
        self.cuts = 0
        self.held: list[Route] = []
        self.turn = 0
        page.context.route(SYNC, self.meet)

    def meet(self, route: Route) -> None:
        body = json.loads(route.request.post_data or "{}")
        self.asked.append(body["changes"])
        trick = self.tricks[self.turn % len(self.tricks)] if self.tricks else "pass"
        self.turn += 1
        if trick == "before":
            self.cuts += 1
            route.abort()
        elif trick == "after":
            route.fetch()  # the server has stored it; the page never hears of that
            self.cuts += 1
            route.abort()
        elif trick == "hold":
            self.held.append(route)
        else:
            route.continue_()

    def pass_all(self) -> None:
        self.tricks = []
        for route in self.held:
            route.continue_()
        self.held = []


def said(many: int, device: str = "0ther") -> list[dict[str, Any]]:
    """Counts of another device, a sitting's start before every two hundred."""
    out: list[dict[str, Any]] = []
    for k in range(many):
        head = {"device": device, "seq": k + 1, "at": 1790000000000 + 2000 * k, "tz": 0, "v": 1}
        lane = {"piece": "coif", "step": "close", "sitting": f"{device}{k // 200}"}
        what = (
            {"kind": "count", "n": 1, "how": "tap"}
            if k % 200
            else {"kind": "sitting", "event": "start"}
        )
        out.append({**head, **lane, **what})
    return out


def counts(changes: list[dict[str, Any]]) -> int:
    return sum(c["kind"] == "count" for c in changes)


def of_device(page: Page, serving: Serving) -> tuple[int, int]:
    """How many counts of this page's device the server has, and their sum; it has all the page has, each once."""
    device = ask(page, "return store.device;")
    own = ask(
        page,
        "return (await allChanges()).filter((c) => c.device === store.device).map((c) => c.seq);",
    )
    question = f"SELECT seq, body ->> 'kind', body ->> 'n' FROM changes WHERE device = '{device}'"
    stored = serving.stored(question)
    assert sorted(row[0] for row in stored) == sorted(own)
    counted = [row[2] for row in stored if row[1] == "count"]
    return len(counted), sum(counted)


def go_on(page: Page, over: str) -> None:
    """One round after the other, as the page does by itself after a while."""
    rounds = iter(range(20 + 6 * SEASON // MOST))
    wait_until(
        page,
        lambda: next(rounds) >= 0 and ask(page, ROUND) == "synced" and ask(page, over),
        3600,
        over,
    )


@pytest.mark.parametrize(("many", "note"), [(2100, 0), (90, 9000)])
def test_a_season_goes_in_batches_of_500_changes_and_256_kib_at_most(
    page: Page, serving: Serving, many: int, note: int
) -> None:
    go(page, serving.url)
    net = Net(page, "before")
    ask(page, COUNT, [many, note])
    net.pass_all()
    net.asked.clear()
    synced(page)
    batches = [batch for batch in net.asked if batch]
    numbers = [c["seq"] for batch in batches for c in batch]
    assert numbers == list(range(1, len(numbers) + 1)) and len(numbers) >= many
    assert max(len(batch) for batch in batches) <= MOST
    assert (
        max(len(json.dumps(batch, separators=(",", ":"))) for batch in batches)
        <= 256 * 1024 + 2 * MOST
    )
    assert 2 < len(batches) <= 6
    assert of_device(page, serving) == (many * (not note), many * (not note))


def test_a_season_cut_off_at_every_batch_arrives_whole_and_once(
    page: Page, serving: Serving
) -> None:
    go(page, serving.url)
    net = Net(page, "before")
    ask(page, COUNT, [SEASON, 0])
    net.tricks, net.turn = ["before", "after", "pass"], 0
    taps = 0
    while ask(page, ROUND) != "synced" or ask(page, "return store.sync.now.waiting;"):
        ask(page, TAP)
        taps += 1
        if sum(map(bool, net.asked)) > 3 * SEASON / MOST:
            net.pass_all()  # each batch of the season was cut both ways
    assert net.cuts >= 2 * SEASON / MOST
    assert of_device(page, serving) == (SEASON + taps, SEASON + taps)
    assert (total(page, "coif", "close"), total(page, "coif", "cut")) == (SEASON, taps)


def test_how_far_a_season_is_on_its_way_stands_in_the_mark_and_in_setup(
    page: Page, serving: Serving
) -> None:
    go(page, serving.url)
    net = Net(page, "before")
    ask(page, COUNT, [2500, 0])
    page.evaluate("() => { location.hash = 'setup'; }")
    net.tricks, net.turn = ["pass", "pass", "hold"], 0
    ask(page, "store.sync.soon(0);")
    wait_until(page, lambda: net.held, what="the third batch")
    where = page.locator(".where")
    bar = where.get_by_role("progressbar")
    expect(page.locator("#carried")).to_have_text("Sending · 1000 of 2500")
    expect(where).to_contain_text("1000 of 2500 changes sent to the server.")
    assert bar.evaluate("(it) => it.position") == 0.4
    net.pass_all()
    until(page, 'return store.sync.now.state === "synced" && !store.sync.now.waiting;')
    expect(page.locator("#carried")).to_contain_text("Sent")
    expect(bar).to_have_count(0)


def test_how_far_a_new_device_has_caught_up_stands_there_too(page: Page, serving: Serving) -> None:
    send(serving.url, said(2500))
    net = Net(page, "pass", "pass", "hold")
    go(page, f"{serving.url}/#setup")
    wait_until(page, lambda: net.held, what="the third portion")
    where = page.locator(".where")
    expect(page.locator("#carried")).to_have_text("Fetching · 1000 of 2500")
    expect(where).to_contain_text("1000 of 2500 changes of your other devices fetched")
    net.pass_all()
    until(page, 'return store.sync.now.state === "synced";')
    expect(where.get_by_role("progressbar")).to_have_count(0)
    shows(page, counts(said(2500)))


def test_where_sending_breaks_off_no_progress_is_shown(page: Page, serving: Serving) -> None:
    go(page, serving.url)
    net = Net(page, "before")
    ask(page, COUNT, [2000, 0])
    net.tricks, net.turn = ["pass", "pass", *["before"] * 100], 0
    wait_until(page, lambda: ask(page, ROUND) == "offline", what="the break")
    expect(page.locator("#carried")).to_contain_text("no server · 1000")


def test_a_page_opened_again_sends_and_fetches_on_from_where_it_stopped(
    page: Page, serving: Serving
) -> None:
    go(page, serving.url)
    net = Net(page, "before")
    ask(page, COUNT, [2500, 0])
    net.tricks, net.turn = ["pass", "pass", *["before"] * 100], 0
    wait_until(page, lambda: ask(page, ROUND) == "offline", what="the break")
    send(serving.url, said(1500))
    net.asked.clear()
    net.pass_all()
    page.reload()
    ready(page)
    synced(page)
    assert next(batch[0]["seq"] for batch in net.asked if batch) == 1001
    net.tricks = ["before"]
    send(serving.url, said(1500, "third"))
    net.tricks, net.turn = ["pass", *["before"] * 100], 0
    wait_until(page, lambda: ask(page, ROUND) == "offline", what="the break")
    got = total(page, "coif", "close")
    assert 2500 + counts(said(1500)) < got < 2500 + 2 * counts(said(1500))
    net.pass_all()
    page.reload()
    ready(page)
    assert total(page, "coif", "close") >= got
    synced(page)
    shows(page, 2500 + 2 * counts(said(1500)))
    assert ask(page, KINDS)[1] == 2500 + 3000


def test_catching_up_cut_off_at_every_portion_ends_in_the_same_totals(
    page: Page, serving: Serving
) -> None:
    changes = said(SEASON)
    send(serving.url, changes)
    net = Net(page, "before")
    go(page, serving.url)
    beside = opened(page.context, serving.url)
    net.tricks, net.turn = ["before", "pass", "after", "pass"], 0
    go_on(page, "return store.sync.now.waiting === 0;")
    assert net.cuts > SEASON / MOST
    shows(page, counts(changes))
    until(beside, "return store.totals.of('coif', 'close').done === given;", counts(changes))
    assert ask(page, KINDS) == [
        {"count": counts(changes), "sitting": SEASON - counts(changes)},
        SEASON,
    ]


def test_a_long_log_in_any_order_adds_up_as_the_engine_says(page: Page, serving: Serving) -> None:
    rng = random.Random(19)
    log = random_log(rng, 4000)
    queues = {
        device: [c for c in log if c["device"] == device] for device in {c["device"] for c in log}
    }
    parts = [some for queue in queues.values() for some in split(queue)]
    order = [some[0]["device"] for some in parts]
    rng.shuffle(order)
    waiting = {device: iter(split(queue)) for device, queue in queues.items()}
    for device in order:
        push(serving, next(waiting[device]))
    go(page, serving.url)
    synced(page)
    ask(page, "await store.reload();")
    wanted = sorted(
        (t["piece"], t.get("panel", ""), t["step"], t["done"], t["spoiled"])
        for t in fold(log)["totals"]
    )
    rows = ask(page, "return [...store.totals.committed.values()];")
    shown = sorted((t["piece"], t["panel"], t["step"], t["done"], t["spoiled"]) for t in rows)
    assert [t for t in shown if t[3] or t[4]] == [t for t in wanted if t[3] or t[4]]
    assert ask(page, KINDS)[1] == len(log)


def shows(page: Page, closed: int) -> None:
    """The screens read what came in a moment after it is kept."""
    until(page, 'return store.totals.of("coif", "close").done === given;', closed)


def split(queue: list[dict[str, Any]]) -> list[list[dict[str, Any]]]:
    return [queue[at : at + 300] for at in range(0, len(queue), 300)]


def push(serving: Serving, some: list[dict[str, Any]]) -> None:
    """As the next batch of its device."""
    body = {"v": 1, "device": some[0]["device"], "log": None, "after": 0, "changes": some}
    answer = httpx.post(
        f"{serving.url}/api/sync", json=body, headers={"Origin": serving.url}, timeout=20
    ).json()
    assert answer["acked"] == some[-1]["seq"] and answer["refused"] == []


def test_a_log_that_comes_once_more_doubles_nothing(page: Page, serving: Serving) -> None:
    changes = said(1300)
    send(serving.url, changes)
    go(page, serving.url)
    synced(page)
    ask(page, 'await (await import("/log/log.js")).setMeta({ after: 0, mark: null });')
    net = Net(page)
    synced(page)
    assert len(net.asked) >= 3
    shows(page, counts(changes))
    assert ask(page, KINDS)[1] == 1300


def test_one_change_among_hundreds_is_found_listed_and_taken_back(
    page: Page, serving: Serving
) -> None:
    changes = said(1300)
    send(serving.url, changes)
    go(page, serving.url)
    synced(page)
    ask(page, TAP)
    newest = ask(page, "return history.changesByTime(60);")
    older = ask(page, "return history.changesByTime(60, given);", newest[-1])
    wanted = [c["seq"] for c in reversed(changes)]
    own = [c for c in newest if c["device"] != "0ther"]
    assert "cut" in [c.get("step") for c in own] and newest[: len(own)] == own
    assert [c["seq"] for c in newest[len(own) :] + older] == wanted[: 120 - len(own)]
    assert not any(c["undone"] for c in newest)
    undo = {"kind": "count", "piece": "coif", "step": "close", "n": -1, "how": "tap"}
    target = {"undoes": {"device": "0ther", "seq": 1290}, "sitting": changes[1289]["sitting"]}
    last = {"device": "0ther", "seq": 1301, "at": changes[-1]["at"] + 1, "tz": 0, "v": 1}
    push(serving, [{**last, **undo, **target}])
    synced(page)
    shows(page, counts(changes) - 1)
    listed = ask(page, "return history.changesByTime(60);")
    assert [c["seq"] for c in listed if c["undone"]] == [1290]
    assert (
        ask(page, "return (await (await import('/log/queries.js')).change('0ther', 700)).at;")
        == changes[699]["at"]
    )
