"""One way of cutting, one wire figure and one answer about zinc, from the Plan to Stock, price and
Bench.
"""

from __future__ import annotations

import math
from typing import Any

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.page.benchwork import RING, Bench, box, middle
from tests.page.desk import ask, go, still, until

TURN = math.hypot(math.pi * 9.6, 1.6)  # a helix turn of 1.6 mm wire, 8 mm inside (derived)


@pytest.fixture
def plan(page: Page) -> Page:
    """1,857 rings of 1.6 mm wire, 8 mm inside, lap 3.2, from coils of 200 mm."""
    page.goto("/#plan/new")
    page.locator("#f-piece-name").fill("Rings")
    page.locator("#f-ring-wire_mm").fill("1.6")
    page.locator("#f-ring-inner_mm").fill("8")
    page.get_by_text("Coil, reel, kerf, spring-back").click()
    page.locator("#f-ring-mandrel_length_mm").fill("200")
    page.locator("#f-panels-0-form").select_option("count")
    page.locator("#f-panels-0-m-rings").fill("1857")
    expect(page.locator(".plan-foot [role=status]")).to_contain_text("rings")
    return page


def ring_said(page: Page, word: str) -> Locator:
    return page.locator("section[aria-labelledby=h-ring] dl div", has_text=word)


def save(page: Page) -> str:
    page.locator("[data-do=save]").click()
    expect(page.locator("#h-lanes")).to_be_visible()
    piece = until(page, 'return store.things("piece")[0]?.id')
    until(page, "return Boolean(store.answers.plan(given) && store.answers.standing(given))", piece)
    return str(piece)


def test_mandrel_coils_and_notes_are_of_the_way_of_cutting(plan: Page) -> None:
    """With the overlap 8 mm and 112 rings a coil; straight 8 + 3.2/pi and 200/1.6 - 1 = 124
    (derived).
    """
    expect(ring_said(plan, "mandrel")).to_contain_text("8.00 mm")
    expect(ring_said(plan, "rings from a coil")).to_contain_text("112")
    other = plan.locator("[data-part=other-cut]")
    expect(other).to_contain_text("cut straight: mandrel 9.02 mm and 124 rings")
    coils = plan.locator("#bill dl div").filter(has=plan.locator("dt", has_text="coils"))
    expect(coils).to_contain_text("17")
    plan.get_by_text("Riveted, lap 3.2 mm, cut with the overlap").click()
    plan.locator("#f-ring-cut").get_by_text("Straight", exact=True).click()
    expect(ring_said(plan, "mandrel")).to_contain_text("9.02 mm")
    expect(ring_said(plan, "rings from a coil")).to_contain_text("124")
    expect(other).to_contain_text("cut with the overlap: mandrel 8.00 mm and 112 rings")
    expect(coils).to_contain_text("15")
    piece = save(plan)
    notes = ask(plan, "return store.answers.plan(given).steps.flatMap((s) => s.notes)", piece)
    assert any("9.02 mm" in note for note in notes) and not any(
        "cut with their overlap" in note for note in notes
    )
    assert ask(plan, 'return store.things("ring")[0].cut') == "straight"


def test_a_metal_of_ones_own_is_asked_whether_it_is_coated(plan: Page) -> None:
    plan.locator("#f-ring-metal").select_option("")
    plan.locator("#f-ring-own_metal").fill("bright drawn")
    plan.locator("#f-ring-density_g_cm3").fill("7.85")
    expect(plan.get_by_text("Is this wire coated? Until you say that it is bare")).to_be_visible()
    soft = plan.locator("#bill [data-step=soften]")
    expect(soft).to_have_count(0)
    plan.locator("#f-ring-coating").get_by_text("No, it is bare").click()
    expect(soft).to_be_visible()
    expect(plan.locator("section[aria-labelledby=h-ring] .caution")).to_have_count(0)
    piece = save(plan)
    kept = ask(plan, 'return store.things("ring")[0]')
    assert (kept["metal"], kept["zinc"]) == ("bright drawn", False)
    plan.reload()
    go(plan, plan.url.split("/#")[0], f"#plan/{piece}")
    expect(plan.locator("#f-ring-own_metal")).to_have_value("bright drawn")
    expect(plan.locator("#f-ring-coating input[value=bare]")).to_be_checked()
    plan.locator("#f-ring-own_metal").fill("galv, pickled")
    expect(plan.locator("section[aria-labelledby=h-ring] .caution")).to_contain_text(
        "points to zinc"
    )
    expect(soft).to_be_visible()


@pytest.mark.parametrize("name", ["GI wire", "bright drawn", ""])
def test_a_metal_without_its_density_is_never_planned_for_the_fire_and_keeps_its_name(
    plan: Page, name: str
) -> None:
    plan.locator("#f-ring-metal").select_option("")
    plan.locator("#f-ring-own_metal").fill(name)
    plan.locator("#f-ring-density_g_cm3").fill("")
    expect(plan.locator("section[aria-labelledby=h-ring]")).to_contain_text(
        "No density is known for"
    )
    expect(plan.locator("#bill [data-step=soften]")).to_have_count(0)
    plan.get_by_role("button", name="Save").click()
    still(plan)
    assert ask(plan, 'return store.things("piece").length') == 0
    expect(plan.locator("#f-ring-own_metal")).to_have_value(name)


def test_a_ring_saved_without_a_word_of_its_metal_is_not_softened(plan: Page) -> None:
    """As an older page saved it."""
    plan.locator("#f-ring-metal").select_option("mild steel")
    piece = save(plan)
    ask(
        plan,
        "await store.set('ring', store.things('ring')[0].id, { metal: null, density_g_cm3:"
        " null });",
    )
    steps = (
        "return store.answers.plan(given)?.steps.map((s) => s.step).includes('soften') === false;"
    )
    until(plan, steps, piece)


def test_wire_of_a_metal_not_named_is_not_free_but_named_as_not_in_the_price(
    plan: Page,
) -> None:
    """As an older page saved it: how long the wire is is known, what it weighs is not."""
    plan.locator("#f-ring-metal").select_option("mild steel")
    piece = save(plan)
    metres = ask(plan, "return store.answers.plan(given).wires[0].buy_m", piece)
    ask(
        plan,
        "await store.setSetting('wire_per_kg', 1000);"
        " await store.set('ring', store.things('ring')[0].id, { metal: null, density_g_cm3: null });",
    )
    until(plan, "return store.answers.plan(given)?.wires[0].metal === '';", piece)
    price = """
      const { priceQuestion, unpriced } = await import("/engine/price-question.js");
      const plan = store.answers.plan(given), piece = store.thing("piece", given);
      return [plan.wires[0].buy_m, plan.wires[0].buy_kg, unpriced(store, plan),
        priceQuestion(store, piece, plan, { p50: 1, p80: 1 }).wire];"""
    assert ask(plan, price, piece) == [metres, None, ["wire 1.6 mm"], []]


def test_one_wire_figure_goes_from_the_plan_to_stock_and_price(plan: Page) -> None:
    """Coils of 40 mm: 24 turns give 21 rings, so 1,857 rings use up 64.1 m; with 10 % in reserve
    70.5 m (derived).
    """
    ask(plan, "await store.setSetting('wire_reserve_percent', 10)")
    plan.locator("#f-ring-mandrel_length_mm").fill("40")
    used = 1857 * 24 * TURN / 21 / 1000
    bought = plan.locator("#bill dl div", has_text="to buy")
    expect(bought).to_contain_text(f"{1.1 * used:.1f} m")
    parts = plan.locator("#bill [data-part=wire]")
    expect(parts).to_contain_text(
        "62.0 m in rings, 2.1 m lost at the ends of coils, 6.4 m in reserve (10 %"
    )
    piece = save(plan)
    wire: dict[str, Any] = ask(plan, "return store.answers.plan(given).wires[0]", piece)
    assert wire["metres"] == pytest.approx(used, rel=1e-9)
    go(plan, plan.url.split("/#")[0], "#stock")
    card = plan.get_by_role("region", name="mild steel 1.60 mm")
    expect(card).to_contain_text(f"{used:.1f} m")
    expect(card).to_contain_text(f"To buy: {1.1 * used:.1f} m")
    price = """const { priceQuestion } = await import("/engine/price-question.js");
      await store.setSetting("wire_per_kg", 1000);
      return priceQuestion(store, store.thing("piece", given), store.answers.plan(given), { p50: 1, p80: 1 }).wire[0].kg;"""
    assert ask(plan, price, piece) == pytest.approx(wire["buy_kg"], rel=1e-12)


def test_the_reserve_is_set_in_setup(page: Page) -> None:
    go(page, "", "#setup")
    field = page.locator("#wire_reserve_percent")
    expect(field).to_have_value("5")
    field.fill("150")
    field.blur()
    expect(
        page.get_by_role("alert").filter(has_text="Enter a number from 0 to 100")
    ).to_be_visible()
    field.fill("12")
    field.blur()
    until(page, 'return store.setting("wire_reserve_percent") === 12')


def test_reels_are_weighed_in_kilograms_too(page: Page) -> None:
    go(page, "", "#stock")
    page.get_by_role("button", name="Add a reel").click()
    page.get_by_text("Change Reel 1").click()
    full = page.get_by_label("Weight now, reel and wire g", exact=True)
    full.fill("1,31 kg")
    full.blur()
    kept = 'return store.things("reel")[0]'
    until(page, f"{kept}.gross_g === 1310")
    page.get_by_label("Reels are weighed in").select_option("kg")
    full = page.get_by_label("Weight now, reel and wire kg", exact=True)
    expect(full).to_have_value("1.31")
    empty = page.get_by_label("Empty reel kg", exact=True)
    empty.fill("0.19")
    empty.blur()
    until(page, f"{kept}.empty_g === 190")
    full.fill("900 g")
    full.blur()
    until(page, f"{kept}.gross_g === 900")
    expect(full).to_have_value("0.9")


def test_a_reel_of_two_tons_is_a_slip_of_the_unit(page: Page) -> None:
    go(page, "", "#stock")
    page.get_by_role("button", name="Add a reel").click()
    page.get_by_label("Reels are weighed in").select_option("kg")
    page.get_by_text("Change Reel 1").click()
    full = page.get_by_label("Weight now, reel and wire kg", exact=True)
    full.fill("2400")
    full.blur()
    expect(
        page.get_by_role("alert").filter(has_text="Enter a number from 0 to 100")
    ).to_be_visible()
    full.fill("2.4")
    full.blur()
    until(page, 'return store.things("reel")[0].gross_g === 2400')


@pytest.mark.parametrize("typed", ["7,5", "1.000"])
def test_rings_on_hand_are_whole(page: Page, typed: str) -> None:
    go(page, "", "#stock")
    ask(
        page,
        'await store.set("ring", "r", { name: "R", wire_mm: 1.6, inner_mm: 8, metal: "mild'
        ' steel" });',
    )
    ask(page, 'await store.set("rings", "h", { ring: "r", n: 20 });')
    field = page.locator("#heap-h-n")
    field.fill(typed)
    field.blur()
    expect(field).to_have_attribute("aria-invalid", "true")
    assert ask(page, 'return store.thing("rings", "h").n') == 20


MASSES = [
    ("1.3", "g", 1.3),
    ("1.3", "kg", 1300),
    ("1,3 kg", "g", 1300),
    ("950 g", "kg", 950),
    ("2 lb", "g", 907.18474),
]


@pytest.mark.parametrize(("typed", "unit", "g"), MASSES)
def test_a_weight_is_read_in_the_unit_it_says(page: Page, typed: str, unit: str, g: float) -> None:
    page.goto("/#setup")
    read = "async ([typed, unit]) => (await import('/format/parse-mass.js')).typedMass(typed, unit)"
    assert page.evaluate(read, [typed, unit]) == pytest.approx(g, rel=1e-12)


@pytest.mark.parametrize("typed", ["heavy", "kg", "3 stone", "1e9"])
def test_what_is_no_weight_stays_as_it_was_typed(page: Page, typed: str) -> None:
    page.goto("/#setup")
    read = "async (typed) => (await import('/format/parse-mass.js')).typedMass(typed, 'g')"
    assert page.evaluate(read, typed) == typed


def heat_card(page: Page) -> Locator:
    return page.locator(".cards[data-card=care]")


def put_soften_on_the_bench(page: Page) -> None:
    ask(
        page,
        'for (const lane of store.things("lane")) await store.set("lane", lane.id, { deleted:'
        " true })",
    )
    page.get_by_role("heading", name="What are you working on?").wait_for()
    page.locator(".chooser button", has_text="Soften:").first.click()


def test_a_maker_of_plain_steel_reads_of_the_fire_once(bench: Bench) -> None:
    page = bench([])
    soften = page.locator(".chooser li", has=page.locator("button", has_text="Soften:")).first
    expect(soften.locator("details")).to_have_attribute("open", "")
    soften.locator("button").click()
    expect(heat_card(page)).to_be_visible()
    page.get_by_role("button", name="Understood").click()
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    put_soften_on_the_bench(page)
    page.locator(".pad").first.wait_for()
    expect(heat_card(page)).to_have_count(0)
    ask(
        page,
        'for (const lane of store.things("lane")) await store.set("lane", lane.id, { deleted:'
        " true })",
    )
    expect(soften.locator("details")).not_to_have_attribute("open", "")
    expect(soften.locator("summary")).to_contain_text("zinc")


def test_with_a_panel_of_zinc_coated_rings_the_caution_of_the_fire_stays(bench: Bench) -> None:
    page = bench([], own={"fire_caution_read": True})
    ask(page, 'await store.set("ring", "r2", { ...given, metal: "galvanised steel" });', RING)
    more = """await store.set("panel", "p1-b", { piece: "p1", name: "Back", order: 2, ring: "r2", state: "relaxed",
      shape: { kind: "panel", rows: 7, columns: 6 } });"""
    ask(page, more)
    until(page, 'return store.answers.plan("p1")?.coating === "zinc"')
    soften = page.locator(".chooser li", has=page.locator("button", has_text="Soften:")).first
    expect(soften.locator("details")).to_have_attribute("open", "")
    soften.locator("button").click()
    expect(heat_card(page)).to_be_visible()


def test_softened_rings_of_zinc_coated_wire_get_a_notice(bench: Bench) -> None:
    page = bench(["soften"])
    page.touchscreen.tap(*middle(page))
    until(page, 'return store.totals.of("p1", "soften").done === 1')
    ask(page, 'await store.set("ring", "r1", { metal: "galvanised steel" })')
    card = page.locator(".cards[data-card=fire]")
    expect(card).to_contain_text(
        "1 softened ring is counted, but none of this piece's rings is known to be bare",
    )
    expect(card).to_contain_text("never heated")
    assert box(page, ".cards")["height"] < 260
    page.get_by_role("button", name="Understood").click()
    page.locator(".lane-name").first.click()
    expect(page.locator("[data-part=heated]")).to_contain_text("never heated")


def test_what_an_older_engine_answered_is_asked_again(bench: Bench) -> None:
    page = bench(["close"])
    wrong = """const journal = await import("/log/log.js");
      const kept = store.answers.saved.get("plan:p1");
      await journal.saveAnswer("plan:p1", { ...kept, by: "an older one", answer: { ...kept.answer, wire_m: 0.5 } });"""
    right = ask(page, 'return store.answers.plan("p1").wire_m')
    ask(page, wrong)
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    until(page, 'return store.answers.plan("p1")?.wire_m === given', right)
