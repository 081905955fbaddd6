"""Stock and Records: what they say, what they refuse, and that nothing said is ever lost from them."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, expect

from shared.log.fold import fold
from tests.page.desk import ask, go, opened, synced, until
from tests.running import ROOT, Serving

REEL = (
    'return store.things("reel").map(({ id, gross_g, empty_g, how }) => ({ id, gross_g, empty_g,'
    " how }));"
)


@pytest.fixture
def stock(desk: Page, full: Serving) -> Page:
    go(desk, full.url, "#stock")
    desk.get_by_text("There is enough").wait_for()
    return desk


def write(page: Page, label: str, value: str) -> None:
    field = page.get_by_label(label, exact=True)
    field.fill(value)
    field.blur()


def test_wire_that_does_not_reach_shows_the_day_to_order(stock: Page) -> None:
    stock.get_by_text("Change Big reel").click()
    write(stock, "Weight now, reel and wire g", "1100")
    card = stock.get_by_role("region", name="mild steel 1.20 mm")
    expect(card).to_contain_text(re.compile(r"m are missing, [\d.]+ m with the reserve\. Order"))


def test_an_empty_reel_heavier_than_the_full_is_refused_beside_its_field(stock: Page) -> None:
    stock.get_by_text("Change Big reel").click()
    write(stock, "Empty reel g", "7000")
    expect(
        stock.get_by_text(
            "The empty reel cannot weigh more than the reel with its wire: check both weights."
        )
    ).to_be_visible()
    write(stock, "Empty reel g", "800")
    expect(stock.get_by_text("The empty reel cannot weigh more")).to_be_hidden()
    until(stock, 'return store.things("reel")[0].empty_g === 800')


def test_a_reel_can_be_known_by_what_was_used(stock: Page) -> None:
    """10 kg full, 200 m of 1.2 mm steel used: 200 * 7.85 * pi * 1.2^2 / 4 = 1776 g gone (derived)."""
    stock.get_by_text("Change Big reel").click()
    stock.get_by_label("How you know what is left").select_option("use")
    write(stock, "Used since m", "200")
    expect(stock.get_by_role("article", name="Big reel")).to_contain_text("8.22 kg")


def test_a_new_reel_and_rings_on_hand_are_taken_in(stock: Page) -> None:
    stock.get_by_role("button", name="Add a reel").click()
    expect(stock.get_by_role("heading", name="Reel 2")).to_be_visible()
    before = stock.get_by_role("region", name="mild steel 1.20 mm").inner_text()
    stock.get_by_role("button", name="Add rings").click()
    write(stock, "How many", "1500")
    expect(stock.get_by_role("region", name="mild steel 1.20 mm")).not_to_have_text(before)
    assert len(ask(stock, REEL)) == 2


def test_a_new_reel_is_of_the_wire_that_is_lacking(stock: Page) -> None:
    ask(stock, 'await store.set("ring", "thin", { metal: "brass", wire_mm: 0.9, inner_mm: 6 });')
    ask(
        stock,
        'await store.set("piece", "lace", { name: "Lace", ring: "thin", order: 9 });'
        'await store.set("panel", "lace-1", { piece: "lace", name: "Panel", ring: "thin",'
        ' shape: { kind: "panel", rows: 201, columns: 300 } });',
    )
    expect(stock.get_by_role("region", name="brass 0.90 mm")).to_be_visible()
    stock.get_by_role("button", name="Add a reel").click()
    expect(stock.get_by_role("heading", name="Reel 2")).to_be_visible()
    reel = ask(stock, 'return store.things("reel").find((r) => r.name === "Reel 2");')
    assert (reel["metal"], reel["wire_mm"]) == ("brass", 0.9)


def test_zinc_coated_wire_is_never_told_without_its_caution(stock: Page) -> None:
    ask(
        stock,
        'await store.set("reel", "z", { name: "Zinc", metal: "galvanised steel", wire_mm: 1.6,'
        " gross_g: 900 });",
    )
    expect(stock.get_by_role("region", name="galvanised steel 1.60 mm")).to_contain_text(
        "never heated"
    )


def records(page: Page, url: str, part: str) -> Page:
    go(page, url, f"#records/{part}")
    page.locator("rw-records .part").wait_for()
    return page


def test_changes_are_paged_to_the_beginning_without_a_gap_or_a_repeat(
    desk: Page, full: Serving
) -> None:
    page = records(desk, full.url, "changes")
    seen = ask(page, "return (await allChanges()).length;")
    older = page.get_by_role("button", name="Older changes")
    beginning = page.get_by_text("That is the first change.")
    older.or_(beginning).wait_for()  # the rows are read after the part stands
    while older.is_visible():
        held = page.locator(".log > li").count()
        older.click()
        page.locator(f".log > li:nth-child({held + 1})").or_(beginning).first.wait_for()
    expect(beginning).to_be_visible()
    rows = page.evaluate(
        '() => document.querySelector("rw-records").parts.get("changes").rows.map((c) => [c.device,'
        " c.seq, c.at])"
    )
    assert len(rows) == seen == len({(device, seq) for device, seq, _ in rows})
    assert [at for _, _, at in rows] == sorted((at for _, _, at in rows), reverse=True)


def test_what_was_taken_back_is_marked_so(desk: Page, full: Serving) -> None:
    ask(desk, 'await store.counting.count("coif", "close", 3).saved; await store.counting.undo();')
    page = records(desk, full.url, "changes")
    expect(page.locator(".log > li", has_text="Counted 3: Close").first).to_contain_text(
        "taken back"
    )
    expect(page.locator(".log > li").first).to_contain_text("Took back 3")


def test_a_contact_held_apart_counts_when_the_maker_says_so(desk: Page, full: Serving) -> None:
    before = ask(desk, 'return store.totals.of("coif", "unit").done;')
    ask(desk, 'await store.counting.hold("coif", "unit", 1, "bounce");')
    page = records(desk, full.url, "aside")
    contacts = page.get_by_role("button", name="Yes, count it")
    expect(contacts).to_have_count(2)  # this one, and one that another device has held
    page.get_by_role("listitem").filter(has_text="Unit").get_by_role("button").click()
    expect(contacts).to_have_count(1)
    assert ask(page, 'return store.totals.of("coif", "unit").done;') == before + 1


def test_what_the_server_puts_aside_is_shown_with_its_reason_and_blocks_nothing(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    ask(
        page,
        'await store.append([{ kind: "count", piece: "coif", step: "close", n: -4, how: "hand" }]);',
    )
    ask(page, 'await store.counting.count("coif", "close", 7).saved;')
    synced(page)
    records(page, serving.url, "aside")
    expect(page.locator(".part")).to_contain_text("n may be negative only in an undo")
    other = opened(context.browser.new_context(), serving.url)  # type: ignore[union-attr]
    synced(other)
    until(other, 'return store.totals.of("coif", "close").done === 7;')
    other.context.close()


def test_the_file_of_the_log_folds_to_what_the_page_shows_and_comes_in_again(
    desk: Page, full: Serving, tmp_path: Path
) -> None:
    page = records(desk, full.url, "copy")
    with page.expect_download() as waited:
        page.get_by_role("button", name="Save a backup file").click()
    kept: dict[str, Any] = json.loads(Path(waited.value.path()).read_text("utf-8"))
    expect(page.get_by_text(f"changes saved to {waited.value.suggested_filename}")).to_be_visible()
    totals = {(t["piece"], t["step"]): t["done"] for t in fold(kept["changes"])["totals"]}
    assert len(totals) == 10
    folder = tmp_path / "again"
    command = [
        sys.executable,
        "-c",
        "from server.cli import main; main()",
        "import",
        str(waited.value.path()),
    ]
    brought = subprocess.run(
        [*command, "--data", str(folder)], cwd=ROOT, capture_output=True, text=True
    )
    assert f"{len(kept['changes'])} changes taken in" in brought.stdout and brought.returncode == 0
    for (piece, step), done in totals.items():
        assert ask(page, "return store.totals.of(...given).done;", [piece, step]) == done


def test_a_card_keeps_what_a_repair_needs(desk: Page, full: Serving) -> None:
    ask(
        desk,
        'await store.set("piece", "coif", { state: "done", rules: { overlap: "right over left"'
        " } });",
    )
    page = records(desk, full.url, "cards")
    card = page.get_by_role("article", name="Coif with a square front")
    for words in (
        "mild steel wire 1.20 mm",
        "inside 8.0 mm",
        "right over left",
        "1817 rings",
        "Close 353",
        "overlap 2.4 mm",  # the usual one of this wire: nobody entered it
    ):
        expect(card).to_contain_text(words)


def test_a_card_names_the_size_that_the_rings_come_to(desk: Page, full: Serving) -> None:
    """Years later it is not the wished-for size that has to be matched."""
    page = records(desk, full.url, "cards")
    found = until(
        page,
        """return store.things("piece").flatMap((p) => (store.answers.plan(p.id)?.panels ?? [])
            .filter((panel) => panel.size_mm?.width_mm).map((panel) => [p.name, panel.size_mm.width_mm]))[0];""",
    )
    card = page.get_by_role("article", name=found[0])
    expect(card).to_contain_text(f"comes to {found[1]:.0f} mm wide")


def test_a_card_keeps_the_reels_a_piece_was_made_of_after_they_are_gone(
    desk: Page, full: Serving
) -> None:
    page = records(desk, full.url, "cards")
    card = page.get_by_role("article", name="Coif with a square front")
    expect(card.locator("dl")).not_to_contain_text("Big reel")
    card.get_by_role("checkbox", name="Big reel").check()
    expect(card.locator("dl")).to_contain_text("Big reel")
    gone = (
        'for (const { id } of store.things("reel")) await store.set("reel", id, { deleted: true });'
    )
    ask(page, gone)
    records(page, full.url, "cards")
    expect(card.locator("dl")).to_contain_text("Big reel")
    card.get_by_role("checkbox", name="Big reel").uncheck()
    expect(card.locator("dl")).not_to_contain_text("Big reel")


def test_a_card_tells_the_ring_and_state_of_a_panel_of_its_own(desk: Page, full: Serving) -> None:
    ring = '{ wire_mm: 1, inner_mm: 6, metal: "copper" }'
    ask(
        desk,
        f'await store.set("ring", "fine", {ring}); await store.set("panel", "coif-1", {{ ring:'
        ' "fine" });',
    )
    planned = "return store.answers.plan('coif')?.panels[0].size_mm?.width_mm < 230;"
    until(desk, planned)  # rings of 6 mm: smaller than before
    page = records(desk, full.url, "cards")
    card = page.get_by_role("article", name="Coif with a square front")
    expect(card).to_contain_text("measured relaxed; comes to 222 mm wide, 231 mm high; no swatch")
    expect(card).to_contain_text("no swatch; its own ring: copper wire 1.00 mm, inside 6.0 mm")


def test_an_open_job_sheet_follows_a_change_of_the_plan(desk: Page, full: Serving) -> None:
    page = records(desk, full.url, "cards")
    card = page.get_by_role("article", name="Coif with a square front")
    expect(card).to_contain_text("comes to")
    expect(card).not_to_contain_text("comes to 222 mm wide")
    ring = '{ wire_mm: 1, inner_mm: 6, metal: "copper" }'
    ask(
        page,
        f'await store.set("ring", "fine", {ring}); await store.set("panel", "coif-1", {{ ring:'
        ' "fine" });',
    )
    expect(card).to_contain_text("comes to 222 mm wide, 231 mm high")


def test_job_sheets_read_twice_at_once_stand_there_once(desk: Page, full: Serving) -> None:
    page = records(desk, full.url, "cards")
    sheets = page.get_by_role("article")
    expect(sheets).to_have_count(ask(page, 'return store.things("piece").length;'))
    twice = """const cards = document.querySelector("rw-records").parts.get("cards");
        await Promise.all([cards.load(), cards.load()]);
        return [cards.cards.length, store.things("piece").length];"""
    read, pieces = ask(page, twice)
    assert read == pieces


JUDGE = """
const { judge } = await import("/engine/forecast-calibration.js"), { daysAfter: addDays } = await import("/format/words.js");
return given.map(([said, known]) => judge({ day: "2026-01-01", piece: "p", ms: 0, said }, { ...known, addDays }));"""
SAID = {
    "finish": {"p80": "2026-02-01"},
    "hours": {"p80": 30},
    "hours_at": [10, 40],
    "days_at": [10, 45],
}


def test_past_forecasts_are_judged_only_when_they_are_settled(desk: Page) -> None:
    """Said on 1 January: done by 1 February (4 in 5), 11 January to 15 February (8 in 10), 30 h; 10
    to 40 h.
    """
    known = [
        {"end": None, "today": "2026-01-20", "hours": 5},  # nothing is settled yet
        {"end": "2026-01-25", "today": "2026-03-01", "hours": 20},  # all held
        {"end": "2026-01-05", "today": "2026-03-01", "hours": 4},  # sooner and less than the spans
        {"end": None, "today": "2026-02-02", "hours": 35},  # the bounds are passed, the spans not
        {"end": None, "today": "2026-02-16", "hours": 41},  # the spans are passed too
    ]
    names = ("finish80", "hours80", "span", "hoursSpan")
    told = [tuple(v[n] for n in names) for v in ask(desk, JUDGE, [[SAID, k] for k in known])]
    assert told == [
        (None, None, None, None),
        (True, True, True, True),
        (True, True, False, False),
        (False, False, None, None),
        (False, False, False, False),
    ]


def test_the_forecasts_of_a_finished_piece_are_counted(desk: Page, full: Serving) -> None:
    late = {"finish": {"p50": "2026-01-03", "p80": "2026-01-05"}, "hours": {"p50": 1, "p80": 1}}
    ask(desk, 'await store.set("forecast", "skirt:2026-01-01", { said: given });', late)
    ask(
        desk,
        'await store.set("piece", "skirt", { state: "done" }); await store.set("piece", "coif", {'
        ' state: "done" });',
    )
    page = records(desk, full.url, "past")
    row = page.locator("tr", has_text="Done by the safe date")
    expect(row).to_contain_text(
        "2 of 3"
    )  # those of today for both hold, the one said in January did not


def test_sittings_stand_newest_first_also_within_a_day(desk: Page, full: Serving) -> None:
    rows = ask(desk, "return (await history.sittings()).map((s) => [s.date, s.start_min]);")
    assert rows == sorted(rows, reverse=True)
    assert len({day for day, _ in rows}) < len(rows)
