"""Plan: what is typed is kept, what is wrong is said where it stands, what is right is answered at
once.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.page.desk import synced

WRONG = [
    ("#f-ring-wire_mm", "thick", "thick"),
    ("#f-ring-wire_mm", "0", "out of range"),
    (
        "#f-ring-inner_mm",
        "4,7",
        "Too tight for four in one",
    ),  # 4.7 / 1.6 = 2.94, below 2.98: four-in-one contact search
    ("#f-panels-0-m-width_mm", "-5", "out of range"),
    ("#f-panels-0-m-height_mm", "", "Enter the height, for example 600."),
    ("#f-panels-0-m-width_mm", "1e9", "1e9"),
]


@pytest.fixture
def plan(page: Page) -> Iterator[Page]:
    """A new piece with a good ring and a good panel."""
    page.goto("/#plan/new")
    page.locator("#f-piece-name").fill("Coif")
    page.locator("#f-ring-wire_mm").fill("1.6")
    page.locator("#f-ring-inner_mm").fill("8")
    page.locator("#f-panels-0-m-width_mm").fill("200")
    page.locator("#f-panels-0-m-height_mm").fill("160")
    foot_says(page, "663 rings")
    yield page


def foot_says(page: Page, text: str) -> None:
    expect(page.locator(".plan-foot [role=status]")).to_contain_text(text)


def save(page: Page) -> None:
    page.locator("[data-do=save]").click()
    expect(page.locator("#h-lanes")).to_be_visible()


def things(page: Page, kind: str) -> list[dict[str, object]]:
    return list(
        page.evaluate("async (kind) => (await import('./store/store.js')).store.things(kind)", kind)
    )


@pytest.mark.parametrize(("where", "typed", "why"), WRONG)
def test_what_is_wrong_stands_beside_its_field_and_is_not_saved(
    plan: Page, where: str, typed: str, why: str
) -> None:
    field = plan.locator(where)
    field.fill(typed)
    expect(field).to_have_attribute("aria-invalid", "true")
    expect(plan.locator(f"{where}-why")).to_contain_text(why)
    plan.locator("[data-do=save]").click()
    expect(field).to_be_focused()
    expect(field).to_have_value(typed)
    assert things(plan, "piece") == []


def test_a_piece_without_a_name_is_asked_for_one(plan: Page) -> None:
    plan.locator("#f-piece-name").fill("  ")
    plan.locator("[data-do=save]").click()
    expect(plan.locator("#f-piece-name-why")).to_contain_text("Enter a name")
    assert things(plan, "piece") == []


def test_comma_and_point_are_the_same_number(plan: Page) -> None:
    plan.locator("#f-ring-wire_mm").fill("1,6")
    foot_says(plan, "663 rings")
    save(plan)
    assert [(r["wire_mm"], r["inner_mm"]) for r in things(plan, "ring")] == [(1.6, 8)]


def test_nothing_typed_is_lost_by_leaving_or_reloading(plan: Page) -> None:
    plan.locator("#f-ring-inner_mm").fill("eight")
    plan.goto("/#pieces")
    plan.reload()
    plan.goto("/#plan/new")
    expect(plan.locator("#f-piece-name")).to_have_value("Coif")
    expect(plan.locator("#f-ring-inner_mm")).to_have_value("eight")
    expect(plan.locator("#f-ring-inner_mm")).to_have_attribute("aria-invalid", "true")


def test_one_touch_takes_a_size_without_left_overs(plan: Page) -> None:
    panel = plan.get_by_label("Panel", exact=True)
    expect(panel).to_contain_text("76 rings are left over")
    plan.locator("[data-do=size]").first.click()
    expect(panel).to_contain_text("No rings are left over")
    expect(plan.locator("[data-do=size]")).to_have_count(0)


def test_a_gauge_number_shows_its_wire_in_every_system(plan: Page) -> None:
    plan.get_by_text("I know only the gauge number").click()
    plan.locator("#f-gauge").fill("16")
    choices = plan.locator(".choices", has_text="American")
    for wire in (
        "1.29",
        "1.63",
        "1.59",
        "1.65",
    ):  # ASTM B258 formula; tables/gauges.json for the others
        expect(choices).to_contain_text(wire)
    choices.get_by_role("button").filter(has_text="1.29").click()
    expect(plan.locator("#f-ring-wire_mm")).to_have_value("1.291")


def test_a_sleeve_is_counted_and_drawn(plan: Page) -> None:
    plan.locator("#f-panels-0-form").select_option("sleeve")
    for name, value in (("from", "420"), ("to", "220"), ("length", "550")):
        plan.locator(f"#f-panels-0-m-{name}_mm").fill(value)
    foot_says(plan, "3544 rings")  # derived: 81 rows 58 to 30, closed 1801, open 1743
    expect(plan.locator(".shape-picture .change")).to_have_count(28)
    said = re.compile("^81 rows of 30 to 58 rings.* Laid open.* 28 changes: − marks a dropped ring")
    expect(plan.locator(".shape-picture svg")).to_have_attribute("aria-label", said)


def test_a_zinc_coated_metal_warns_of_the_fire(plan: Page) -> None:
    plan.locator("#f-ring-metal").select_option("galvanised steel")
    expect(plan.locator(".caution").filter(has_text="never heated")).to_be_visible()


def test_a_count_needs_no_ring(page: Page) -> None:
    page.goto("/#plan/new")
    page.locator("#f-piece-name").fill("Rings for repair")
    page.locator("#f-panels-0-form").select_option("count")
    page.locator("#f-panels-0-m-rings").fill("500")
    foot_says(page, "500 rings")
    save(page)


def test_own_steps_joins_losses_and_consumables_reach_the_bill(plan: Page) -> None:
    plan.get_by_text("Extra steps").click()
    plan.get_by_role("button", name="Add a step").click()
    plan.locator("#f-piece-finishing-0-name").fill("Lining stitches")
    plan.locator("#f-piece-finishing-0-item").fill("stitch")
    plan.locator("#f-piece-finishing-0-items").fill("240")
    plan.get_by_role("heading", name="Losses").click()
    plan.locator("#f-piece-losses-pierce-good").fill("95")
    plan.locator("#f-piece-losses-pierce-bad").fill("5")
    plan.get_by_text("Other materials").click()
    plan.get_by_role("button", name="Add a material").click()
    plan.locator("#f-piece-consumables-0-name").fill("propane")
    plan.locator("#f-piece-consumables-0-unit").fill("kg")
    plan.locator("#f-piece-consumables-0-per_1000_rings").fill("0,4")
    bill = plan.locator("#bill")
    expect(bill.locator("[data-step=own_lining_stitches]")).to_contain_text("240")
    expect(bill.locator("[data-step=pierce]")).to_contain_text("for losses")
    expect(bill).to_contain_text("propane")
    save(plan)
    piece = things(plan, "piece")[0]
    assert piece["losses"] == {"pierce": {"good": 95, "bad": 5}}
    assert piece["consumables"] == [{"name": "propane", "unit": "kg", "per_1000_rings": 0.4}]


def test_a_saved_piece_is_changed_field_by_field(plan: Page) -> None:
    save(plan)
    before = plan.evaluate(
        "async () => (await import('./log/queries.js')).mapChanges((all) => all)"
    )
    plan.get_by_role("link", name="To its plan").click()
    plan.locator("#f-panels-0-m-width_mm").fill("240")
    foot_says(plan, "rings")
    plan.locator("[data-do=save]").click()
    expect(plan.locator("[data-do=save]")).to_have_text("Saved")
    after = plan.evaluate("async () => (await import('./log/queries.js')).mapChanges((all) => all)")
    new = [c for c in after if c not in before and c["thing"] != "forecast"]
    assert [(c["thing"], c["field"]) for c in new] == [("panel", "shape")]


def test_a_piece_taken_off_the_list_is_asked_twice(plan: Page) -> None:
    save(plan)
    plan.get_by_role("link", name="To its plan").click()
    plan.locator("[data-do=remove]").click()
    assert len(things(plan, "piece")) == 1
    plan.locator("[data-do=remove-yes]").click()
    expect(plan.locator("rw-pieces")).to_contain_text("No pieces yet")


def test_zinc_coated_wire_offers_to_leave_the_fire_out(plan: Page) -> None:
    plan.locator("#f-ring-metal").select_option("galvanised steel")
    plan.locator("[data-do=no-fire]").click()
    expect(plan.locator("#bill [data-step=flatten]")).to_be_visible()
    expect(plan.locator("#bill [data-step^=soften]")).to_have_count(0)


def own(page: Page, i: int) -> Locator:
    """What panel i has of its own, opened."""
    part = page.get_by_label(f"Panel {i + 1}", exact=True).locator("[data-part=own]")
    if part.get_attribute("open") is None:
        part.locator("summary").first.click()
    return part


def test_a_panel_of_other_rings_is_planned_and_refused_for_itself(plan: Page) -> None:
    plan.get_by_role("button", name="Add another panel").click()
    plan.locator("#f-panels-1-m-width_mm").fill("100")
    plan.locator("#f-panels-1-m-height_mm").fill("60")
    own(plan, 1).get_by_text("Other rings in this panel").click()
    plan.locator("#f-panels-1-ring-inner_mm").fill("3")
    expect(plan.locator("#f-panels-1-ring-inner_mm-why")).to_contain_text("Too tight")
    expect(plan.locator("#f-ring-inner_mm")).to_have_attribute("aria-invalid", "false")
    plan.locator("#f-panels-1-ring-wire_mm").fill("1")
    plan.locator("#f-panels-1-ring-inner_mm").fill("6")
    expect(plan.locator("#bill")).to_contain_text("mild steel wire, 1.00 mm")
    expect(plan.locator("#bill")).to_contain_text("mild steel wire, 1.60 mm")
    save(plan)
    assert sorted(str(r["inner_mm"]) for r in things(plan, "ring")) == ["6", "8"]


def test_what_another_device_changed_meanwhile_is_not_written_over(plan: Page) -> None:
    save(plan)
    plan.get_by_role("link", name="To its plan").click()
    piece = things(plan, "piece")[0]["id"]
    plan.locator("#f-panels-0-m-width_mm").fill("240")
    plan.evaluate(
        "async (id) => (await import('./store/store.js')).store.set('piece', id, { due: '2027-05-17' })",
        piece,
    )
    foot_says(plan, "rings")
    plan.locator("[data-do=save]").click()
    expect(plan.locator("[data-do=save]")).to_have_text("Saved")
    assert things(plan, "piece")[0]["due"] == "2027-05-17"
    expect(plan.locator("#f-piece-due")).to_have_value("2027-05-17")


def test_a_second_sleeve_starts_from_the_first(plan: Page) -> None:
    save(plan)
    plan.get_by_role("link", name="To its plan").click()
    plan.locator("[data-do=another]").click()
    expect(plan.locator("rw-plan h1")).to_have_text("New piece")
    expect(plan.locator("#f-piece-name")).to_have_value("")
    expect(plan.locator("#f-panels-0-m-width_mm")).to_have_value("200")
    plan.locator("#f-piece-name").fill("Coif, the second")
    foot_says(plan, "663 rings")
    save(plan)
    assert sorted(str(p["name"]) for p in things(plan, "piece")) == ["Coif", "Coif, the second"]
    assert len({str(p["id"]) for p in things(plan, "panel")}) == 2


def test_a_swatch_rules_the_count_and_a_slip_in_it_is_refused(plan: Page) -> None:
    plan.get_by_text("Fabric: relaxed, a guess").click()
    plan.get_by_text("I have measured a swatch").click()
    for name, value in {
        "columns": "20",
        "width_mm": "150",
        "rows": "20",
        "height_mm": "14",
    }.items():
        plan.locator(f"#f-fabric-{name}").fill(value)
    expect(plan.locator("#f-fabric-height_mm-why")).to_contain_text("count and measure again")
    plan.locator("#f-fabric-height_mm").fill("140")
    foot_says(plan, "610 rings")  # pitch 7.5 x 7.0 mm: 27 columns, 23 rows, less 11 (derived)
    save(plan)
    swatch = things(plan, "swatch")[0]
    assert (swatch["columns"], swatch["width_mm"], swatch["state"]) == (20, 150, "relaxed")


def test_steps_for_the_bench_are_chosen_and_taken_back(plan: Page) -> None:
    save(plan)
    plan.locator("[data-lane=wind] [type=checkbox]").uncheck()
    plan.get_by_label("Close: batch of one touch").fill("0")
    plan.locator("[data-do=lanes]").click()
    expect(plan.locator(".lanes .bad")).to_contain_text("whole number from 1 to")
    plan.get_by_label("Close: batch of one touch").fill("25")
    plan.locator("[data-do=lanes]").click()
    expect(plan.locator("rw-bench .pad").first).to_be_visible()
    assert {(lane["step"], lane["batch"]) for lane in things(plan, "lane")} == {
        ("close", 25),
        ("unit", None),
    }


def test_counts_step_by_step_are_planned_as_they_are(page: Page) -> None:
    page.goto("/#plan/new")
    page.locator("#f-piece-name").fill("Units for a friend")
    page.locator("#f-panels-0-form").select_option("items")
    page.locator("#f-panels-0-m-items-unit").fill("300")
    expect(page.locator("#bill [data-step=unit]")).to_contain_text("300")
    save(page)
    assert things(page, "panel")[0]["shape"] == {"kind": "count", "items": {"unit": 300}}


def test_an_outline_of_widths_is_planned_and_a_fault_in_it_is_found(plan: Page) -> None:
    plan.locator("#f-panels-0-form").select_option("profile")
    plan.get_by_role("button", name="Add a width").click()
    for k, (at, width) in enumerate([("0", "500"), ("200", "380"), ("100", "460")]):
        plan.locator(f"#f-panels-0-m-widths-{k}-0").fill(at)
        plan.locator(f"#f-panels-0-m-widths-{k}-1").fill(width)
    expect(plan.get_by_label("Panel", exact=True)).to_contain_text("Heights must rise")
    plan.locator("#f-panels-0-m-widths-2-0").fill("450")
    foot_says(plan, "rings")
    expect(plan.locator(".shape-picture .change")).not_to_have_count(0)
    plan.locator("#f-panels-0-m-widths-1-1").fill("narrow")
    expect(plan.locator("#f-panels-0-m-widths-1-1-why")).to_contain_text("narrow")


def test_a_ring_taken_again_brings_its_swatch(plan: Page) -> None:
    plan.get_by_text("Fabric: relaxed, a guess").click()
    plan.get_by_text("I have measured a swatch").click()
    for name, value in {
        "columns": "20",
        "width_mm": "150",
        "rows": "20",
        "height_mm": "140",
    }.items():
        plan.locator(f"#f-fabric-{name}").fill(value)
    foot_says(plan, "610 rings")
    save(plan)
    plan.goto("/#plan/new")
    plan.get_by_role("button", name="As before").click()
    expect(plan.locator("#f-ring-wire_mm")).to_have_value("1.6")
    expect(plan.get_by_text("Fabric: relaxed, from your swatch")).to_be_visible()
    assert len(things(plan, "swatch")) == 1


def test_a_piece_of_another_device_opens_when_it_comes(plan: Page, browser: Browser) -> None:
    save(plan)
    piece = things(plan, "piece")[0]["id"]
    plan.context.unroute("**/api/sync")  # pages of this folder send nothing; this one does
    synced(plan)
    other = browser.new_context(base_url=plan.url.split("/#")[0])
    page = other.new_page()
    page.goto(f"/#plan/{piece}")
    expect(page.locator("#f-piece-name")).to_have_value("Coif")
    foot_says(page, "663 rings")
    other.close()


def test_making_rules_stand_with_the_steps_they_matter_to(plan: Page) -> None:
    plan.get_by_text("How you make it").click()
    plan.get_by_text("right over left").click()
    plan.get_by_text("on the outside", exact=True).click()
    save(plan)
    plan.locator("[data-lane=cut] [type=checkbox]").check()
    plan.locator("[data-do=lanes]").click()
    for step, says, keeps_back in (
        ("Cut", "Overlap: right over left", "Heads:"),
        ("Close", "Heads: on the outside", "Overlap:"),
    ):
        plan.get_by_role("button", name=f"{step}, Coif", exact=False).first.click()
        card = plan.get_by_label("How it is done")
        expect(card).to_contain_text(says)
        expect(card).not_to_contain_text(keeps_back)
        plan.get_by_role("dialog").get_by_role("button", name="Done").click()


@pytest.mark.parametrize("kept", ["{", "null", "[]", '{"piece": {}}', '"x"'])
def test_a_spoilt_draft_begins_anew(page: Page, kept: str) -> None:
    page.goto("/#pieces")
    page.evaluate("(kept) => localStorage.setItem('ringwright-draft:new', kept)", kept)
    page.goto("/#plan/new")
    expect(page.locator("#f-piece-name")).to_have_value("")


def test_a_fresh_form_does_not_complain_of_what_one_has_not_come_to(page: Page) -> None:
    page.goto("/#plan/new")
    page.locator("#f-piece-name").fill("Coif")
    foot_says(page, "No totals yet")
    page.wait_for_function("() => document.querySelector('rw-plan').model.problems.length > 0")
    expect(page.locator("rw-plan .bad")).to_have_count(0)
    page.locator("[data-do=save]").click()
    expect(page.locator("#f-ring-wire_mm")).to_have_attribute("aria-invalid", "true")


def add_panel(page: Page, form: str, **measures: str) -> int:
    page.get_by_role("button", name="Add another panel").click()
    i = page.locator("section.panel").count() - 1
    page.locator(f"#f-panels-{i}-form").select_option(form)
    for name, value in measures.items():
        page.locator(f"#f-panels-{i}-m-{name}").fill(value)
    return i


def test_a_blank_panel_leaves_drawing_and_totals_of_the_others(plan: Page) -> None:
    plan.get_by_role("button", name="Add another panel").click()
    foot_says(plan, "663 rings, 350 g")
    foot_says(plan, "Without Panel 2: 663 rings")
    expect(plan.locator("[data-lacks='panels.1']")).to_have_text(
        "Not in the totals yet. Enter the width, for example 500."
    )
    expect(plan.locator(".shape-picture")).to_have_count(1)
    expect(plan.locator("#bill")).to_contain_text("663")
    expect(plan.locator("rw-plan .bad")).to_have_count(0)
    plan.locator("#f-panels-1-m-width_mm").fill("wide")
    expect(plan.locator("#f-panels-1-m-width_mm-why")).to_contain_text("wide")
    foot_says(plan, "663 rings")
    plan.locator("#f-panels-1-m-width_mm").fill("100")
    plan.locator("#f-panels-1-m-height_mm").fill("60")
    foot_says(plan, "785 rings")  # 9 rows more: 5 closed of 14, 4 open of 13 (derived)
    expect(plan.locator("[data-lacks]")).to_have_count(0)


def test_a_blank_join_leaves_the_totals_and_says_what_it_lacks(plan: Page) -> None:
    add_panel(plan, "rect", width_mm="200", height_mm="160")
    foot_says(plan, "1326 rings")
    plan.get_by_text("Joins between panels").click()
    plan.get_by_role("button", name="Add a join").click()
    lacks = plan.locator("[data-lacks='piece.joins.0']")
    expect(lacks).to_have_text("Not in the totals yet. Choose the two panels that are joined.")
    foot_says(plan, "1326 rings")
    foot_says(plan, "Without a join: 1326 rings")
    plan.locator("[data-do=save]").click()
    expect(plan.locator("#f-piece-joins-0-panels-0")).to_be_focused()
    plan.locator("#f-piece-joins-0-panels-0").select_option(label="Panel 1")
    plan.locator("#f-piece-joins-0-panels-1").select_option(label="Panel 2")
    foot_says(plan, "1338 rings")  # one more open ring in each of the 12 open rows (derived)
    plan.get_by_label("Panel 1", exact=True).locator("summary").first.click()
    plan.locator("#f-panels-0-name").fill("Front")
    foot_says(plan, "1338 rings")
    save(plan)
    assert things(plan, "piece")[0]["joins"] == [
        {"how": "end_to_end", "panels": ["Front", "Panel 2"]}
    ]


def test_a_panel_taken_out_takes_its_joins_along(plan: Page) -> None:
    add_panel(plan, "rect", width_mm="200", height_mm="160")
    plan.get_by_text("Joins between panels").click()
    plan.get_by_role("button", name="Add a join").click()
    plan.locator("#f-piece-joins-0-panels-0").select_option(label="Panel 1")
    plan.locator("#f-piece-joins-0-panels-1").select_option(label="Panel 2")
    foot_says(plan, "1338 rings")
    plan.get_by_role("button", name="Remove this panel").last.click()
    foot_says(plan, "663 rings")
    expect(plan.get_by_role("button", name="Remove this join")).to_have_count(0)


def test_a_row_saved_unfinished_takes_only_itself_out_of_the_plan(plan: Page) -> None:
    """As another device or an older page may have left it: Bench and Forecast keep the rest."""
    save(plan)
    spoil = """async (id) => { const { store } = await import('./store/store.js');
      await store.set('piece', id, { joins: [{ how: 'end_to_end', panels: ['', ''] }] });
      await store.answers.freshen();
      return [store.answers.plan(id)?.rings, Boolean(store.answers.standing(id)), store.answers.planFaults(id).length]; }"""
    assert plan.evaluate(spoil, things(plan, "piece")[0]["id"]) == [663, True, 1]
    plan.goto("/#pieces")
    expect(plan.locator("rw-pieces")).to_contain_text("Part of its plan is not included here")


def test_a_plan_made_smaller_than_what_is_counted_says_so(plan: Page) -> None:
    save(plan)
    piece = things(plan, "piece")[0]["id"]
    count = (
        "async (id) => (await import('./store/store.js')).store.counting.count(id, 'unit', 150, { how: 'hand'"
        " }).saved"
    )
    plan.evaluate(count, piece)
    plan.get_by_role("link", name="To its plan").click()
    expect(plan.locator("[data-over]")).to_have_text(
        re.compile("You have counted more than this plan needs: Unit 150, planned")
    )
    plan.locator("#f-panels-0-m-width_mm").fill("400")
    expect(plan.locator("[data-over]")).to_have_count(0)
    plan.locator("#f-panels-0-m-width_mm").fill("100")
    expect(plan.locator("[data-over]")).to_be_visible()
    plan.locator("[data-do=save]").click()
    expect(plan.locator("[data-do=save]")).to_have_text("Saved")
    plan.goto("/#pieces")
    expect(plan.locator("rw-pieces [data-over]")).to_contain_text("Unit 150, planned")


def test_rows_are_told_in_words_for_the_bench(plan: Page) -> None:
    expect(plan.get_by_label("Panel", exact=True)).to_contain_text("closed rows of 27 rings")
    add_panel(plan, "sleeve", from_mm="200", to_mm="100", length_mm="120")
    sleeve = plan.get_by_label("Panel 2", exact=True)
    sleeve.get_by_text("Row by row").click()
    # rows 27, 26, 26, 24, 24 ...: in chain 1 the 14th open ring, a joining one, holds five; then
    # joining rings 2 and 14
    # between chains 1 and 2 (derived: shared/places.py, checked against the tally in
    # tests/engine/fabric/test_panel.py)
    rows = sleeve.locator(".rows tbody tr")
    expect(rows.nth(0)).to_contain_text(
        "1 ring fewer: the ring after unit 7 holds 3 above, 2 below"
    )
    expect(rows.nth(1)).to_contain_text(
        "2 rings fewer: joining rings 2 and 14 hold 3 above, 2 below"
    )
    expect(rows.nth(1)).to_contain_text("chain 1 to 2")


def test_several_panels_fold_to_their_sums_and_open_at_a_fault(plan: Page) -> None:
    i = add_panel(plan, "tube", around_mm="400", length_mm="200")
    expect(plan.locator("#f-panels-0-m-width_mm")).to_be_hidden()
    expect(plan.get_by_label("Panel 1", exact=True)).to_contain_text("663 rings; 197 mm wide")
    plan.get_by_label("Panel 1", exact=True).locator("summary").first.click()
    plan.locator("#f-panels-0-m-width_mm").fill("wide")
    plan.get_by_label("Panel 1", exact=True).locator("summary").first.click()
    expect(plan.get_by_label("Panel 1", exact=True)).to_contain_text("has an error", timeout=20000)
    foot_says(plan, "Panel 1, Width: ")
    plan.locator("[data-do=save]").click()
    expect(plan.locator("#f-panels-0-m-width_mm")).to_be_focused()
    expect(plan.locator(f"#f-panels-{i}-m-around_mm")).to_be_visible()


def test_a_panel_may_have_ring_swatch_and_state_of_its_own(plan: Page) -> None:
    swatch(plan, "fabric", columns="20", width_mm="150", rows="20", height_mm="140")
    i = add_panel(plan, "rect", width_mm="200", height_mm="160")
    part = own(plan, i)
    part.get_by_text("Other rings in this panel").click()
    plan.locator(f"#f-panels-{i}-ring-wire_mm").fill("1.2")
    expect(part).to_contain_text("a guess until you measure a swatch of its own")
    part.get_by_text("A swatch of its own", exact=True).click()
    swatch(plan, f"panels-{i}-swatch", columns="20", width_mm="80", rows="20", height_mm="8")
    expect(plan.locator(f"#f-panels-{i}-swatch-height_mm-why")).to_be_visible()
    expect(plan.locator("#f-fabric-height_mm")).to_have_attribute("aria-invalid", "false")
    plan.locator(f"#f-panels-{i}-swatch-height_mm").fill("80")
    # pitch 4 x 4 mm: 50 columns, 41 rows: 21 closed of 50, 20 open of 49 (derived)
    expect(plan.get_by_label("Panel 2", exact=True)).to_contain_text("2030 rings")
    plan.locator(f"#f-panels-{i}-state").select_option("hang")
    expect(plan.get_by_label("Panel 2", exact=True)).not_to_contain_text("2030 rings")
    foot_says(plan, "rings")
    save(plan)
    ring, piece = things(plan, "ring"), things(plan, "piece")
    body, hem = things(plan, "panel")
    assert (body.get("ring"), body["swatch"], body["state"]) == (
        None,
        piece[0]["swatch"],
        "relaxed",
    )
    assert (hem["ring"], hem["state"]) == (
        next(r["id"] for r in ring if r["wire_mm"] == 1.2),
        "hang",
    )
    assert hem["swatch"] not in (None, body["swatch"])
    assert {s["width_mm"]: s["ring"] for s in things(plan, "swatch")} == {
        150: piece[0]["ring"],
        80: hem["ring"],
    }
    plan.get_by_role("link", name="To its plan").click()
    plan.reload()
    plan.get_by_label("Panel 2", exact=True).locator("summary").first.click()
    own(plan, i)
    expect(plan.locator(f"#f-panels-{i}-swatch-width_mm")).to_have_value("80")
    expect(plan.locator(f"#f-panels-{i}-state")).to_have_value("hang")
    expect(plan.locator("#f-fabric-width_mm")).to_have_value("150")


def test_a_piece_saved_before_panels_had_their_own_keeps_its_fabric(plan: Page) -> None:
    """Older pieces say their fabric in each panel only: read so, and written as the piece's with
    the next save.
    """
    swatch(plan, "fabric", columns="20", width_mm="150", rows="20", height_mm="140")
    plan.locator("#f-fabric-state").get_by_text("Hanging").click()
    save(plan)
    piece = things(plan, "piece")[0]["id"]
    forget = (
        "async (id) => (await import('./store/store.js')).store.set('piece', id, { fabric: null, swatch:"
        " null })"
    )
    plan.evaluate(forget, piece)
    plan.goto(f"/#plan/{piece}")
    plan.reload()
    expect(plan.get_by_text("Fabric: hanging, from your swatch")).to_be_visible()
    plan.locator("#f-panels-0-m-width_mm").fill("240")
    plan.locator("[data-do=save]").click()
    expect(plan.locator("[data-do=save]")).to_have_text("Saved")
    saved = things(plan, "piece")[0]
    assert (saved["fabric"], saved["swatch"]) == ("hang", things(plan, "panel")[0]["swatch"])


def swatch(page: Page, path: str, **typed: str) -> None:
    if path == "fabric":
        page.locator("[data-part=fabric] summary").click()
        page.get_by_text("I have measured a swatch").click()
    for name, value in typed.items():
        page.locator(f"#f-{path}-{name}").fill(value)


def test_a_mandrel_at_hand_gives_the_inside(plan: Page) -> None:
    plan.get_by_text("I know only the mandrel").click()
    plan.locator("#f-mandrel").fill("8")
    take = plan.locator("[data-do=mandrel]")
    expect(take).to_contain_text("8 mm")  # cut with the overlap, the ring is as wide as its coil
    plan.get_by_text("Riveted, lap 3.2 mm").click()
    plan.locator("#f-ring-cut").get_by_text("Straight", exact=True).click()
    expect(take).to_contain_text("6.98 mm")  # lap 3.2: 8 - 3.2/pi = 6.981 (derived)
    plan.get_by_text("Coil, reel, kerf, spring-back").click()
    plan.locator("#f-ring-mandrel_mm_used").fill("8")
    plan.locator("#f-ring-coil_inner_mm").fill("8.5")
    expect(take).to_contain_text("7.48 mm")  # the coil measured, 8.5, less the lap's share
    take.click()
    expect(plan.locator("#f-ring-inner_mm")).to_have_value("7.48")
    plan.locator("#f-mandrel").fill("thick")
    expect(plan.locator("#f-mandrel + .bad")).to_contain_text("thick")
