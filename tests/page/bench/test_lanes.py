"""Several lanes: chosen, pinned, ordered, named, marked; and an empty bench that leads on."""

from __future__ import annotations

from playwright.sync_api import Page, expect

from tests.page.benchwork import Bench, shown
from tests.page.desk import ask, worked_out

SAME = """() => { const now = [...document.querySelectorAll(".pad, .pad *")];
  return now.length === window.pads.length && now.every((e, k) => e === window.pads[k]); }"""


def items(page: Page) -> list[str]:
    return page.locator(".pad-item").all_inner_texts()


def test_an_empty_workshop_leads_to_the_first_piece(bench: Bench) -> None:
    page = bench()
    expect(page.get_by_role("heading", name="Start with a piece")).to_be_visible()
    assert page.locator(".pad:visible").count() == 0
    page.get_by_role("link", name="Plan your first piece").click()
    expect(page.locator("rw-plan")).to_be_visible()


def test_a_piece_without_lanes_offers_its_steps_with_their_cautions(bench: Bench) -> None:
    page = bench([])
    steps = page.locator(".chooser li")
    expect(steps.first).to_contain_text("(next)")
    cautions = page.locator(".chooser .step-care summary").all_inner_texts()
    assert any("zinc" in text for text in cautions)  # never heat zinc-coated wire
    assert any("eye protection" in text for text in cautions)
    assert len(cautions) == steps.count()
    steps.filter(has_text="Unit:").first.get_by_role("button").click()
    expect(page.locator(".pad")).to_have_count(1)
    expect(page.locator(".cards")).to_contain_text("▲")  # its caution, until the first tap
    page.locator(".pad").click()
    expect(page.locator(".cards")).not_to_contain_text("▲")
    assert shown(page) == 1


def test_lanes_can_be_ordered_named_pinned_and_marked(bench: Bench) -> None:
    page = bench(["unit", "close"])
    assert items(page) == ["Units", "Closed rings"]
    page.locator(".lane-name").nth(1).click()
    page.get_by_role("button", name="Move forward").click()
    page.get_by_label("Name").fill("Rings for the hem")
    page.get_by_role("button", name="Stay on this step").click()
    page.get_by_role("button", name="Diamond").click()
    page.get_by_role("button", name="Straw").click()
    page.get_by_role("button", name="Done").click()
    expect(page.locator(".pad-item")).to_have_text(["Closed rings", "Units"])
    first = page.locator(".lane").first
    expect(first.locator(".lane-name")).to_have_text("Rings for the hem")
    expect(first.locator(".lane-name")).to_have_accessible_name(
        "Rings for the hem, diamond: more for this step"
    )
    expect(first.locator(".mark")).to_have_attribute("data-mark", "diamond")
    assert ask(page, "return store.thing('lane', 'l2')")["pinned"] is True
    page.reload()
    expect(page.locator(".lane-name").first).to_have_text("Rings for the hem")


def test_each_colour_to_choose_is_shown(bench: Bench) -> None:
    page = bench([["unit"], ["close"]])
    page.locator(".lane-name").first.click()
    shown_colours = page.locator(".choice .swatch").evaluate_all(
        "(all) => all.map((e) => getComputedStyle(e).backgroundColor)"
    )
    assert len(set(shown_colours)) == 6 and "rgba(0, 0, 0, 0)" not in shown_colours


def test_pieces_are_told_apart_by_shape_and_word_besides_colour(bench: Bench) -> None:
    page = bench(["unit", ["unit", "p2"]])
    marks = [page.locator(".lane .mark").nth(k).get_attribute("data-mark") for k in (0, 1)]
    assert marks == ["square", "triangle"]
    assert page.locator(".lane-name").all_inner_texts() == ["Unit, Apron", "Unit, Left sleeve"]


def test_each_lane_shows_its_own_share_and_finish(bench: Bench) -> None:
    page = bench(["unit", ["close", "p2"]])
    for _ in range(3):
        page.locator(".pad").nth(0).click()
    for _ in range(6):
        page.locator(".pad").nth(1).click()
    assert [t.strip() for t in page.locator(".pad-of").all_inner_texts()] == [
        "of 15 · 20 %",
        "of 60 · 10 %",
    ]
    widths = page.locator(".pad-bar").evaluate_all(
        "all => all.map((e) => getComputedStyle(e).getPropertyValue('--share'))"
    )
    assert [round(float(w), 2) for w in widths] == [0.2, 0.1]
    for text in page.locator(".pad-finish").all_inner_texts():
        assert "safe " in text


def test_more_than_four_lanes_are_turned_like_leaves(bench: Bench) -> None:
    page = bench(["wind", "cut", "soften", "pierce", "close", "unit"])
    assert len(items(page)) == 4
    turn = page.get_by_role("button", name="Steps 1 to 4 of 6")
    turn.click()
    assert items(page) == ["Closed rings", "Units"]
    page.get_by_role("button", name="Steps 5 to 6 of 6").click()
    assert len(items(page)) == 4


def test_a_lane_taken_off_the_bench_keeps_its_counts(bench: Bench) -> None:
    page = bench(["unit", "close"])
    page.locator(".pad").nth(1).click()
    page.locator(".lane-name").nth(1).click()
    page.get_by_role("button", name="Remove from the Bench").click()
    expect(page.locator(".pad")).to_have_count(1)
    page.get_by_role("button", name="Choose steps").click()
    page.locator(".chooser li").filter(has_text="Close:").first.get_by_role("button").click()
    expect(page.locator(".pad")).to_have_count(2)
    assert shown(page, 1) == 1


def test_a_tap_never_builds_a_pad_anew(bench: Bench) -> None:
    page = bench(["unit", "close"])
    page.evaluate("() => { window.pads = [...document.querySelectorAll('.pad, .pad *')]; }")
    for _ in range(6):
        page.locator(".pad").nth(0).click()
    worked_out(page)
    assert page.evaluate(SAME)


def test_names_are_text_never_markup(bench: Bench) -> None:
    page = bench(["unit"])
    nasty = "<img src=x onerror=\"document.title='bad'\"> & \u202e<b>hem</b>"
    page.locator(".lane-name").click()
    page.get_by_label("Name").fill(nasty)
    page.get_by_role("button", name="Done").click()
    expect(page.locator(".lane-name")).to_contain_text("<b>hem</b>")
    assert page.locator(".lane-name img, .lane-name b").count() == 0
