"""Pads never move by themselves: a lane keeps its place until the maker moves it."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, box
from tests.page.desk import ask, still

PLAN_LANES = """
const { Lanes } = await import("/screens/plan/steps.js");
const lanes = new Lanes(() => {});
lanes.open(given, store.answers.plan(given));
await lanes.save();
"""
# What a sync brings: another device's lane, under its own name and in the order all devices share.
BROUGHT = """
const said = Object.entries(given.fields).map(([field, value], k) => ({ device: "other", seq: given.seq + k,
  at: Date.now(), tz: 0, v: 1, kind: "set", thing: "lane", id: given.id, field, value, stamp: [Date.now(), k] }));
const { receive, meta } = await import("/log/log.js");
await store.refresh(await receive(said, {}, { device: await meta("device"), workshop: await meta("workshop") }));
"""


def places(page: Page) -> dict[str, tuple[str, str]]:
    """Which row and side each named pad stands in, as the thumb finds it."""
    still(page)
    names = page.locator(".lane:not(.free) .lane-name").all_inner_texts()
    middles = []
    for k in range(len(names)):
        b = box(page, ".pad", k)
        middles.append((b["x"] + b["width"] / 2, b["y"] + b["height"] / 2))
    tops = sorted({round(box(page, ".lane", k)["y"]) for k in range(page.locator(".lane").count())})
    rows = [min(range(len(tops)), key=lambda r: (tops[r] > y, -tops[r])) for _, y in middles]
    return {
        name: ("top" if row == 0 and len(tops) > 1 else "bottom", "left" if x < 195 else "right")
        for name, (x, _), row in zip(names, middles, rows, strict=True)
    }


def test_a_second_piece_leaves_the_pads_of_the_first_where_they_are(bench: Bench) -> None:
    page = bench([])
    ask(page, PLAN_LANES, "p1")
    before = places(page)
    assert list(before) == ["Wind, Apron", "Close, Apron", "Unit, Apron"]
    ask(page, PLAN_LANES, "p2")
    after = places(page)
    assert {name: after[name] for name in list(before)[:2]} == {
        n: before[n] for n in list(before)[:2]
    }
    assert list(after)[:3] == list(before)


def test_a_done_or_deleted_piece_leaves_the_other_pads_where_they_are(bench: Bench) -> None:
    page = bench(["wind", ["close", "p2"], "unit", ["unit", "p2"]])
    before = places(page)
    assert before["Unit, Left sleeve"] == ("bottom", "right")
    at = box(page, ".lane", 3)
    ask(page, "await store.set('piece', 'p1', { state: 'done' })")
    expect(page.locator(".lane.free")).to_have_count(2)
    assert places(page) == {
        name: before[name] for name in ("Close, Left sleeve", "Unit, Left sleeve")
    }
    assert box(page, ".lane", 3) == at
    page.reload()
    page.locator(".pad").first.wait_for()
    assert places(page) == {
        name: before[name] for name in ("Close, Left sleeve", "Unit, Left sleeve")
    }
    ask(
        page, "await store.set('piece', 'p1', { state: 'open' })"
    )  # taken up again: back in its places
    expect(page.locator(".lane.free")).to_have_count(0)
    assert places(page) == before
    ask(page, "await store.set('piece', 'p1', { deleted: true })")
    assert places(page) == {
        name: before[name] for name in ("Close, Left sleeve", "Unit, Left sleeve")
    }


def test_a_free_place_takes_a_new_step_or_is_closed_up_by_one_touch(bench: Bench) -> None:
    page = bench(["wind", "cut", "close", "unit"])
    before = places(page)
    page.locator(".lane-name").nth(1).click()
    page.get_by_role("button", name="Remove from the Bench").click()
    free = page.get_by_role("region", name="Empty place 2")
    free.get_by_role("button", name="Add a step here").click()
    page.locator(".chooser li").filter(has_text="Pierce:").first.get_by_role("button").click()
    expect(page.locator(".pad")).to_have_count(4)
    assert places(page) == {n: before[n] for n in before if not n.startswith("Cut")} | {
        "Pierce, Apron": ("top", "right")
    }
    page.locator(".lane-name").nth(0).click()
    page.get_by_role("button", name="Remove from the Bench").click()
    page.get_by_role("button", name="Close the gap").click()
    expect(page.locator(".lane")).to_have_count(3)
    assert page.locator(".lane-name").all_inner_texts() == [
        "Pierce, Apron",
        "Close, Apron",
        "Unit, Apron",
    ]


def test_lanes_of_another_device_come_behind_and_its_order_moves_nothing_here(bench: Bench) -> None:
    page = bench(["wind", "close"])
    ask(
        page,
        BROUGHT,
        {"id": "0-first", "seq": 1, "fields": {"piece": "p1", "step": "unit", "order": 1}},
    )
    expect(page.locator(".pad")).to_have_count(3)
    names = ["Wind, Apron", "Close, Apron", "Unit, Apron"]
    assert page.locator(".lane-name").all_inner_texts() == names
    ask(
        page, BROUGHT, {"id": "0-first", "seq": 9, "fields": {"order": 0}}
    )  # moved there, by its maker
    still(page)
    assert page.locator(".lane-name").all_inner_texts() == names
    page.reload()
    page.locator(".pad").nth(2).wait_for()
    assert page.locator(".lane-name").all_inner_texts() == names


def test_the_maker_s_own_order_holds_after_a_reload_and_with_new_lanes(bench: Bench) -> None:
    page = bench(["wind", "cut", "close", "unit"])
    page.locator(".lane-name").nth(3).click()
    for _ in range(2):
        page.get_by_role("button", name="Move forward").click()
    page.get_by_role("button", name="Done").click()
    mine = ["Wind, Apron", "Unit, Apron", "Cut, Apron", "Close, Apron"]
    assert page.locator(".lane-name").all_inner_texts() == mine
    ask(page, PLAN_LANES, "p2")
    assert page.locator(".lane-name").all_inner_texts() == mine
    page.reload()
    page.locator(".pad").nth(3).wait_for()
    assert page.locator(".lane-name").all_inner_texts() == mine
    page.get_by_role("button", name="Steps 1 to 4 of 7").click()
    assert page.locator(".lane-name").all_inner_texts() == [
        "Wind, Left sleeve",
        "Close, Left sleeve",
        "Unit, Left sleeve",
    ]


def test_a_leaf_that_nothing_lies_on_is_not_turned_to(bench: Bench) -> None:
    page = bench(["wind", "cut", "close", "unit", ["wind", "p2"], ["close", "p2"]])
    ask(page, "await store.set('piece', 'p1', { state: 'done' })")
    expect(page.locator(".lane-name")).to_have_text(["Wind, Left sleeve", "Close, Left sleeve"])
    assert page.get_by_role("button", name="Lanes").count() == 0
