"""Plan and Pieces can be used by everyone: names, contrast, sizes, no sideways scroll. Checked with
axe-core.
"""

from __future__ import annotations

from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.page.alone import alone
from tests.page.desk import go
from tests.running import ROOT, Serving

AXE = ROOT / "static" / "node_modules" / "axe-core" / "axe.min.js"
TAGS = [
    "wcag2a",
    "wcag2aa",
    "wcag2aaa",
    "wcag21a",
    "wcag21aa",
    "wcag22aa",
    "best-practice",
]  # AAA: text contrast 7:1
SIZES = [(360, 640, "light"), (390, 844, "dark"), (1280, 800, "light")]
TOUCH = 44  # px. Source: WCAG 2.5.5, target size (enhanced)


def found(page: Page) -> list[str]:
    page.evaluate(AXE.read_text("utf-8"))
    result = page.evaluate(
        "(tags) => axe.run(document, { runOnly: { type: 'tag', values: tags } })", TAGS
    )
    return [f"{v['id']}: {v['nodes'][0]['target']}" for v in result["violations"]]


def too_small(page: Page) -> list[str]:
    return list(
        page.evaluate(
            """(least) => ["button", "a", "input", "select", "summary", ".chip"]
      .flatMap((kind) => [...document.querySelectorAll(`main ${kind}`)])
      .filter((e) => e.checkVisibility() && !["radio", "checkbox"].includes(e.type))
      .filter((e) => e.getBoundingClientRect().height < least).map((e) => e.outerHTML.slice(0,
      90))""",
            TOUCH,
        )
    )


def fine(page: Page, width: int) -> None:
    page.evaluate(
        "scrollTo(0, document.documentElement.scrollHeight)"
    )  # where the bar at the foot covers nothing
    assert found(page) == []
    assert too_small(page) == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def fill(page: Page) -> None:
    page.locator("#f-piece-name").fill("Mantle")
    page.locator("#f-ring-wire_mm").fill("1,6")
    page.locator("#f-ring-inner_mm").fill("8")
    page.locator("#f-panels-0-form").select_option("collar")
    for name, value in {"neck_mm": "450", "slant_mm": "80", "angle_deg": "80"}.items():
        page.locator(f"#f-panels-0-m-{name}").fill(value)
    expect(page.locator("#bill table")).to_be_visible()


@pytest.fixture
def sized(browser: Browser, serving: Serving) -> Any:
    made: list[BrowserContext] = []

    def open_at(width: int, height: int, theme: Any) -> Page:
        context = alone(
            browser,
            serving.url,
            viewport={"width": width, "height": height},
            color_scheme=theme,
        )
        made.append(context)
        page = context.new_page()
        go(page, serving.url, "#plan/new")
        return page

    yield open_at
    for context in made:
        context.close()


@pytest.mark.parametrize(("width", "height", "theme"), SIZES)
def test_plan_steps_and_pieces_are_open_to_everyone(
    sized: Any, width: int, height: int, theme: str
) -> None:
    page = sized(width, height, theme)
    fill(page)
    page.evaluate("document.querySelectorAll('rw-plan details').forEach((d) => { d.open = true; })")
    fine(page, width)
    page.locator("#f-ring-inner_mm").fill("3")
    expect(page.locator("#f-ring-inner_mm-why")).to_be_visible()
    fine(page, width)
    page.locator("#f-ring-inner_mm").fill("8")
    expect(page.locator("#f-ring-inner_mm-why")).to_be_hidden()
    page.locator("[data-do=save]").click()
    expect(page.locator("#h-lanes")).to_be_visible()
    fine(page, width)
    page.goto("/#pieces")
    expect(page.locator("rw-pieces .finish")).to_contain_text("Likely ")
    fine(page, width)


def test_whole_way_to_a_saved_piece_goes_by_keyboard(sized: Any) -> None:
    page = sized(1280, 800, "dark")
    page.locator("#f-piece-name").focus()
    page.keyboard.type("Coif")
    for path, typed in {
        "ring-wire_mm": "1.6",
        "ring-inner_mm": "8",
        "panels-0-m-width_mm": "200",
        "panels-0-m-height_mm": "160",
    }.items():
        for _ in range(40):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.id") == f"f-{path}":
                break
        page.keyboard.type(typed)
    expect(page.locator(".plan-foot [role=status]")).to_contain_text("663 rings")
    page.keyboard.press("Enter")
    expect(page.locator("#h-lanes")).to_be_focused()


def test_a_panel_with_its_own_ring_and_swatch_is_open_to_everyone(sized: Any) -> None:
    page = sized(360, 640, "dark")
    fill(page)
    page.get_by_role("button", name="Add another panel").click()
    own = page.get_by_label("Panel 2", exact=True).locator("[data-part=own]")
    own.locator("summary").first.click()
    own.get_by_text("Other rings in this panel").click()
    own.get_by_text("A swatch of its own", exact=True).click()
    page.get_by_label("Panel 1", exact=True).locator("summary").first.click()
    fine(page, 360)
    page.set_viewport_size({"width": 320, "height": 640})
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
