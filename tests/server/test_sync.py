"""The protocol of POST /api/sync, claim by claim."""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest

from server import sync
from server.store import Entry, LogTransaction, Row, Store
from tests.server.link import Device, Link, app_link


def counted(device: str, seq: int, n: Any = 1, **more: Any) -> dict[str, Any]:
    change = {"device": device, "seq": seq, "at": 1700000000000, "tz": 0, "v": 1, "kind": "count"}
    return change | {"piece": "p", "step": "close", "n": n, "how": "tap"} | more


def request(device: str, *changes: Any, **more: Any) -> dict[str, Any]:
    return {"v": 1, "device": device, "log": None, "after": 0, "changes": list(changes)} | more


async def test_an_empty_exchange_tells_the_log_and_nothing_else(link: Link) -> None:
    answer = await link.push(request("a"))
    assert len(answer.pop("log")) == 16 and len(answer.pop("workshop")) == 32
    nothing = {"v": 1, "acked": 0, "changes": [], "upto": 0, "mark": None, "more": False}
    assert answer == nothing | {"refused": []}


async def test_what_one_device_says_the_other_hears_word_for_word(link: Link) -> None:
    said = counted("a", 1, 7, panel="front", opens=True)
    answer = await link.push(request("a", said))
    assert answer["acked"] == 1 and answer["changes"] == []
    heard = await link.push(request("b"))
    assert heard["changes"] == [said] and heard["upto"] == 1 and not heard["more"]


async def test_a_replayed_batch_is_answered_as_the_first_time_and_stored_once(link: Link) -> None:
    body = request("a", counted("a", 1), counted("a", 2, n=0), counted("a", 3))
    first = await link.push(body)
    assert [await link.push(body) for _ in range(3)] == [first] * 3
    assert len((await link.push(request("b")))["changes"]) == 2


async def test_a_gap_is_refused_as_a_gap_and_nothing_beyond_it_is_stored(link: Link) -> None:
    answer = await link.push(
        request("a", counted("a", 1), counted("a", 2), counted("a", 4), counted("a", 5))
    )
    assert answer["acked"] == 2 and answer["refused"] == []
    assert (
        answer["gap"]["wanted"] == 3
        and answer["gap"]["got"] == 4
        and "from 3" in answer["gap"]["why"]
    )
    assert [c["seq"] for c in (await link.push(request("b")))["changes"]] == [1, 2]


async def test_a_batch_out_of_order_is_put_in_order(link: Link) -> None:
    answer = await link.push(request("a", counted("a", 3), counted("a", 1), counted("a", 2)))
    assert answer["acked"] == 3 and "gap" not in answer


@pytest.mark.parametrize(
    ("bad", "word"),
    [
        (counted("a", 2, n=0), "n must be"),
        (counted("a", 2, n=-5), "undo"),
        (counted("a", 2, n=10**15), "n must be"),
        (counted("a", 2, n="three"), "n must be"),
        (counted("a", 2, piece="x" * 5000), "piece must be"),
        (counted("a", 2) | {"kind": "levitate"}, "kind must be"),
        (counted("a", 2, undoes={"device": "a", "seq": 1}), "undo"),
        (counted("a", 2, v=7), "v must be"),
        (counted("b", 2), "device"),
        ({"seq": 2}, "device"),
        (counted("a", 2) | {"kind": "hold", "n": -1}, "n must be above 0"),
        (counted("a", 2) | {"kind": "set"}, "thing must be"),
        (
            counted("a", 2)
            | {"kind": "set", "thing": "t", "id": "i", "field": "f", "over": {"seq": 1}},
            "over must be",
        ),
        (counted("a", 2) | {"kind": "sitting", "sitting": "s", "event": "trim"}, "trim"),
    ],
)
async def test_a_change_that_can_never_apply_is_put_aside_and_blocks_nothing(
    link: Link, bad: dict[str, Any], word: str
) -> None:
    answer = await link.push(request("a", counted("a", 1), bad, counted("a", 3)))
    assert answer["acked"] == 3
    assert [r["seq"] for r in answer["refused"]] == [2] and word in answer["refused"][0]["why"]
    assert [c["seq"] for c in (await link.push(request("b")))["changes"]] == [1, 3]


async def test_a_hold_is_taken_like_any_other_change(link: Link) -> None:
    held = {"device": "a", "seq": 1, "at": 1700000000000, "tz": 0, "v": 1, "kind": "hold"}
    held |= {"piece": "p", "step": "close", "n": 1, "why": "bounce"}
    answer = await link.push(request("a", held, counted("a", 2, holds={"device": "a", "seq": 1})))
    assert answer["acked"] == 2 and answer["refused"] == []


async def test_another_change_under_a_taken_number_is_kept_and_told(link: Link) -> None:
    await link.push(request("a", counted("a", 1, n=5)))
    answer = await link.push(request("a", counted("a", 1, n=6), counted("a", 2)))
    assert answer["acked"] == 2 and "Two devices share one name" in answer["refused"][0]["why"]
    kept = await link.app.state.store.read(LogTransaction.clashes)
    assert [json.loads(row.body)["n"] for row in kept] == [6]
    assert [c["n"] for c in (await link.push(request("b")))["changes"]] == [5, 1]


async def test_a_long_log_comes_in_portions_that_neither_miss_nor_repeat(link: Link) -> None:
    a, b = Device("a"), Device("b")
    for n in range(1, 1702):
        a.count(n)
    await link.meet(a)
    seen: list[int] = []
    while True:
        answer = await link.push(b.request())
        assert len(answer["changes"]) <= 500
        seen += [c["seq"] for c in answer["changes"]]
        if not b.take(answer):
            break
    assert seen == list(range(1, 1702))
    assert b.totals() == [{"piece": "p", "step": "close", "done": 1701 * 1702 // 2, "spoiled": 0}]


async def test_a_portion_says_how_many_changes_are_left(link: Link) -> None:
    a, b = Device("a"), Device("b")
    for n in range(1100):
        a.count(n + 1)
    await link.meet(a)
    for _ in range(7):
        b.count(1)
    left = []
    while True:
        answer = await link.push(b.request())
        left.append(answer.get("left"))
        if not b.take(answer):
            break
    assert left == [600, 100, None]


async def test_an_answer_with_heavy_changes_stays_small_and_moves_on(link: Link) -> None:
    a, b = Device("a"), Device("b")
    for n in range(20):
        a.say("set", thing="piece", id="p", field=f"note{n}", value="x" * 60_000, stamp=[1, n])
    for n in range(20):
        await link.push(request("a", a.own[n]))
    answer = await link.push(b.request())
    assert answer["more"] and len(answer["changes"]) == 8
    await link.meet(b)
    assert len(b.heard) == 20


async def test_a_cursor_of_another_log_counts_from_the_start(link: Link) -> None:
    await link.push(request("a", counted("a", 1), counted("a", 2)))
    known = (await link.push(request("a")))["workshop"]
    for foreign in ({"log": "other", "after": 1, "workshop": known}, {"log": None, "after": 900}):
        answer = await link.push(request("b", **foreign))
        assert [c["seq"] for c in answer["changes"]] == [1, 2] and answer["upto"] == 2


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"v": 0}, "v"),
        ({"v": True}, "v"),
        ({"v": "1"}, "v"),
        ({"device": ""}, "device"),
        ({"device": 5}, "device"),
        ({"device": "a\nb"}, "device"),
        ({"device": "d" * 201}, "device"),
        ({"log": 5}, "log"),
        ({"log": "l" * 201}, "log"),
        ({"workshop": 5}, "workshop"),
        ({"workshop": "x" * 32}, "workshop"),
        ({"workshop": ""}, "workshop"),
        ({"after": -1}, "after"),
        ({"after": 1.5}, "after"),
        ({"after": 2**53}, "after"),
        ({"v": 2**53}, "v"),
        ({"changes": None}, "changes"),
        ({"changes": {}}, "changes"),
        ({"changes": [counted("a", n) for n in range(1, 502)]}, "changes"),
        ({"changes": [counted("a", 1), 7]}, "changes[1].seq"),
        ({"changes": [counted("a", 0)]}, "changes[0].seq"),
        ({"changes": [counted("a", 2**53)]}, "changes[0].seq"),
        ({"changes": [counted("a", True)]}, "changes[0].seq"),
    ],
)
async def test_a_request_that_cannot_be_read_is_refused_whole(
    link: Link, change: Any, field: str
) -> None:
    response = await link.post(request("a", counted("a", 1)) | change)
    assert response.status_code == 400
    assert response.json()["error"]["field"] == field and len(response.json()["error"]["why"]) > 20
    assert (await link.push(request("b")))["changes"] == []


@pytest.mark.parametrize(
    "change",
    [
        {"device": "d" * 200},
        {"log": "l" * 200},
        {"v": 2**53 - 1},
        {"after": 2**53 - 1},
        {"changes": [counted("a", n) for n in range(1, 501)]},
    ],
)
async def test_a_request_at_a_bound_is_read(link: Link, change: Any) -> None:
    assert (await link.post(request("a") | change)).status_code in (200, 409)  # 409: of another log


async def test_the_largest_number_a_page_can_give_a_change_is_read(link: Link) -> None:
    answer = await link.push(request("a", counted("a", 2**53 - 1)))
    assert answer["gap"]["got"] == 2**53 - 1


def test_an_old_schema_is_upgraded_step_by_step() -> None:
    steps = {
        1: lambda c: c | {"v": 2, "n": c["n"] * 10},
        2: lambda c: c | {"v": 3, "who": c["device"]},
    }
    assert sync.upgrade(counted("a", 1, n=4), steps) == counted("a", 1, n=40, v=3, who="a")


async def test_what_an_older_server_put_aside_is_taken_once_it_is_understood(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app_link(tmp_path / "w") as link:
        answer = await link.push(request("a", counted("a", 1, v=2), counted("a", 2)))
        assert [r["seq"] for r in answer["refused"]] == [1]
        cursor = (await link.push(request("b")))["upto"]
    monkeypatch.setattr(sync, "problem", lambda change: None)  # stands for a newer engine
    async with app_link(tmp_path / "w") as link:
        heard = await link.push(request("b", after=cursor))
        assert [c["seq"] for c in heard["changes"]] == [1]
        assert (await link.push(request("a")))["acked"] == 2


async def test_texts_come_through_exactly_even_half_letters(link: Link) -> None:
    texts = ["Würfel & Söhne", "🛡️", "\ud83d", "a\u0000b", "'; DROP TABLE changes; --", "<b>&amp;"]
    for n, text in enumerate(texts, 1):
        change = {"device": "a", "seq": n, "at": 1, "tz": 0, "v": 1, "kind": "set"}
        change |= {"thing": "piece", "id": "p", "field": "notes", "value": text, "stamp": [1, n]}
        body = json.dumps(request("a", change))
        response = await link.client.post(
            "/api/sync", content=body, headers={"Content-Type": "application/json"}
        )
        assert response.json()["acked"] == n and response.json()["refused"] == []
    heard = (await link.push(request("b")))["changes"]
    assert [c["value"] for c in heard] == texts


async def test_a_muddled_network_ends_in_equal_counts(link: Link) -> None:
    chance = random.Random(20261125)
    devices = [Device(name) for name in "abc"]
    expected = 0
    for round_ in range(60):
        device = chance.choice(devices)
        n = 1 + (round_ * 7919) % 9973  # each weight but once: a wrong sum shows which are missing
        expected += n
        device.count(n)
        await link.muddle(chance.choice(devices), chance)
    await link.meet(*devices, *devices)
    assert {d.totals()[0]["done"] for d in devices} == {expected}


async def test_the_same_change_with_its_names_in_another_order_is_the_same_change(
    link: Link,
) -> None:
    change = counted("a", 1)
    await link.push(request("a", change))
    answer = await link.push(request("a", dict(reversed(change.items()))))
    assert answer["refused"] == [] and answer["acked"] == 1
    assert await link.app.state.store.read(LogTransaction.clashes) == []


@pytest.mark.parametrize(("letters", "given"), [(101, 2), (100, 1), (0, 1)])
async def test_an_answer_ends_before_its_bound_but_gives_one_at_least(
    workshop: Store, letters: int, given: int
) -> None:
    async def work(tx: LogTransaction) -> tuple[list[Row], bool]:
        await tx.add("a", [Entry(1, "x", None), Entry(2, "y" * 100, None)], 1)
        return await tx.changes_of_others("b", 0, 500, letters)

    rows, more = await workshop.write(work)
    assert [row.seq for row in rows] == [1, 2][:given] and more == (given < 2)


# — what is too large, and what does not belong —


async def test_a_change_too_large_is_put_aside_and_the_rest_goes_on(link: Link) -> None:
    large = counted("a", 2) | {"kind": "scrap", "why": "x" * 70_000}
    answer = await link.push(request("a", counted("a", 1), large, counted("a", 3)))
    assert answer["acked"] == 3
    ((refused),) = answer["refused"]
    assert refused["seq"] == 2 and "letters" in refused["why"]
    heard = await link.push(request("b"))
    assert [c["seq"] for c in heard["changes"]] == [1, 3]
    again = await link.push(request("a", large))
    assert again["refused"] == answer["refused"], "sent again, it gets the same answer"


async def test_fields_that_no_change_has_are_not_stored(link: Link) -> None:
    await link.push(request("a", counted("a", 1, ballast="x" * 1000)))
    heard = await link.push(request("b"))
    assert heard["changes"] == [counted("a", 1)]
    again = await link.push(request("a", counted("a", 1, ballast="y")))
    assert again["refused"] == []


async def test_what_an_older_server_stored_with_more_fields_is_the_same_change(link: Link) -> None:
    whole = counted("a", 1, ballast="x")

    async def work(tx: LogTransaction) -> None:
        await tx.add("a", [Entry(1, json.dumps(whole), None)], 1)

    await link.app.state.store.write(work)
    answer = await link.push(request("a", whole, seq=1))
    assert answer["refused"] == [] and "parted" not in answer


# — a device put back to an earlier copy of itself —


async def test_a_device_that_goes_other_ways_hears_where_they_parted(link: Link) -> None:
    later = [counted("a", n, n) for n in range(1, 9)]
    await link.push(request("a", *later, seq=8))
    own = [*later[:5], counted("a", 6, 60), counted("a", 7, 70)]
    answer = await link.push(request("a", *own[3:], seq=7))
    assert answer["parted"] == 5 and answer["acked"] == 8 and answer["refused"] == []
    heard = await link.push(request("b"))
    assert heard["changes"] == later, "nothing of it was stored"


async def test_a_page_that_cannot_part_has_its_clashes_put_aside(link: Link) -> None:
    await link.push(request("a", counted("a", 1)))
    answer = await link.push(request("a", counted("a", 1, 5)))
    assert "parted" not in answer and [r["seq"] for r in answer["refused"]] == [1]


# — a file put back by hand —


async def test_a_cursor_of_another_state_of_the_file_begins_again(link: Link) -> None:
    await link.push(request("a", counted("a", 1), counted("a", 2)))
    first = await link.push(request("b"))
    cursor = {"after": first["upto"], "log": first["log"]}
    assert (await link.push(request("b", mark=first["mark"], **cursor)))["changes"] == []

    async def work(tx: LogTransaction) -> None:
        (row,) = await tx.all_changes(1, 1)
        await tx.db.execute("DELETE FROM changes WHERE place = 2")
        await tx.add("a", [Entry(row.seq, row.body, None)], row.received_ms + 1)
        await tx.db.execute("UPDATE changes SET place = 2 WHERE seq = 2")

    await link.app.state.store.write(work)
    assert len((await link.push(request("b", mark=first["mark"], **cursor)))["changes"]) == 2
    assert (await link.push(request("b", **cursor)))["changes"] == [], "a page without marks"


@pytest.mark.parametrize("field", ["kind", "v", "at", "tz", "n"])
async def test_half_of_a_surrogate_pair_where_none_belongs_costs_its_change_alone(
    link: Link, field: str
) -> None:
    device = Device("a")
    for n in (1, 2, 3):
        device.count(n)
    device.own[1][field] = "\ud800"
    answer = await link.client.post(
        "/api/sync",
        content=json.dumps(device.request()),  # in ASCII: httpx would encode it as UTF-8
        headers={"Content-Type": "application/json"},
    )
    assert answer.status_code == 200, answer.text
    told = answer.json()
    assert told["acked"] == 3 and [each["seq"] for each in told["refused"]] == [2]
    other = Device("b")
    await link.meet(other)
    assert sum(row["done"] for row in other.totals()) == 1 + 3
