"""Every screen can be used without good eyes, a steady finger or a mouse.

Outside check: axe-core 4.14, rules of WCAG 2.2 A and AA and the AAA contrast of 7:1; target sizes
of
44 px (WCAG 2.5.5) and reflow at 320 px (WCAG 1.4.10) are measured here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.page.desk import go, still, until
from tests.page.invented import filled
from tests.page.screens import WAYS, device, show
from tests.running import ROOT, Serving

AXE = ROOT / "static" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RUN = """async (tags) => {
  const options = { runOnly: { type: "tag", values: tags }, rules: { "color-contrast-enhanced": { enabled: true } } };
  const { violations } = await axe.run(document, options);
  return violations.flatMap((v) => v.nodes.map((n) => `${v.id}: ${n.target.join(" ")}: ${n.failureSummary}`));
}"""
SMALL = """() => [...document.querySelectorAll("a, button, input, select, textarea, summary, [role=button]")]
  .map((e) => [e, (e.matches("input[type=checkbox], input[type=radio]") && e.closest("label")) || e])
  .filter(([e, b]) => b.checkVisibility() && !e.closest(".skip") && !(e.matches("a") && e.closest("p, li, td, dd")))
  .map(([e, b]) => [e, b.getBoundingClientRect()])
  .filter(([, r]) => r.width > 0 && (r.width < 43.9 || r.height < 43.9))
  .map(([e, r]) => `${e.tagName} ${e.id || e.className} "${e.textContent.trim()}" ${r.width} x ${r.height}`)"""
WIDER = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


@pytest.fixture(scope="module")
def full(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """The invented workshop for this file alone: its devices send the day's forecasts."""
    with filled(tmp_path_factory.mktemp("full") / "served") as server:
        yield server


@pytest.fixture(scope="module", params=[("phone", "dark"), ("desk", "light")], ids="-".join)
def screens(request: pytest.FixtureRequest, browser: Browser, full: Serving) -> Iterator[Page]:
    size, theme = request.param
    context, page = device(browser, full.url, size, theme)
    yield page
    context.close()


@pytest.mark.parametrize("way", WAYS)
def test_axe_finds_nothing_wrong(screens: Page, full: Serving, way: str) -> None:
    show(screens, full.url, way)
    for folded in screens.locator("main > :not([hidden]) details:not([open]) > summary").all():
        if folded.is_visible():
            folded.evaluate("(summary) => { summary.parentElement.open = true; }")
    # to the end, where the foot of the Plan covers no field by half
    screens.evaluate("() => scrollTo(0, document.scrollingElement.scrollHeight)")
    still(screens)
    screens.evaluate(AXE.read_text("utf-8"))
    assert screens.evaluate(RUN, RULES) == []
    assert screens.evaluate(SMALL) == []


def test_axe_finds_nothing_wrong_in_the_ten_minute_trial(screens: Page, full: Serving) -> None:
    show(screens, full.url, "forecast")
    screens.get_by_role("button", name="Time ten minutes: Close").click()
    screens.evaluate(AXE.read_text("utf-8"))
    assert screens.evaluate(RUN, RULES) == []
    screens.get_by_role("button", name="Start the clock").click()
    screens.get_by_role("button", name="one more ring").click()
    assert screens.evaluate(RUN, RULES) == []
    assert screens.evaluate(SMALL) == []
    screens.keyboard.press("Escape")
    expect(screens.get_by_role("button", name="Discard both")).to_be_visible()
    assert screens.evaluate(RUN, RULES) == []
    screens.get_by_role("button", name="Discard both").click()
    expect(screens.get_by_role("dialog")).to_be_hidden()


def test_nothing_scrolls_sideways_at_320_px(browser: Browser, full: Serving) -> None:
    context, page = device(browser, full.url, "phone", "dark")
    page.set_viewport_size({"width": 320, "height": 640})
    wider: dict[str, Any] = {}
    for way in WAYS:
        show(page, full.url, way)
        wider[way] = page.evaluate(WIDER)
    context.close()
    assert {way: px for way, px in wider.items() if px > 0} == {}


FOCUSED = """() => {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  const name = at.getAttribute("aria-label") || at.textContent.trim();
  return { name, outline: getComputedStyle(at).outlineStyle, html: at.outerHTML };
}"""


def tab_to(page: Page, words: str, most: int = 60) -> None:
    """Tabs on, as a maker without a mouse would, and sees where the focus is at every stop."""
    for _ in range(most):
        page.keyboard.press("Tab")
        at = page.evaluate(FOCUSED)
        if at is None:  # past the last stop: the browser's own frame has it
            continue
        assert at["outline"] != "none", f"no focus to be seen on {at['html']}"
        if words in at["name"]:
            return
    raise AssertionError(f"'{words}' is not reached in {most} stops")


def test_the_bench_is_worked_by_keyboard_alone(browser: Browser, full: Serving) -> None:
    context, page = device(browser, full.url, "desk", "dark")
    go(page, full.url, "#pieces")
    tab_to(page, "Bench")
    page.keyboard.press("Enter")
    page.locator("html[data-screen=bench]").wait_for(state="attached")
    before = until(page, 'return store.totals.of("coif", "pierce").done;')
    tab_to(page, "Count one: Pierced rings")
    page.keyboard.press("Enter")
    page.keyboard.press("Space")
    until(page, 'return store.totals.of("coif", "pierce").done === given;', before + 2)
    context.close()


def test_a_forecast_answers_a_new_order_by_keyboard(browser: Browser, full: Serving) -> None:
    context, page = device(browser, full.url, "desk", "light")
    go(page, full.url, "#forecast")
    finish = 'return store.answers.forecast.pieces.find((p) => p.id === "skirt").finish.p50;'
    before = until(page, finish)
    tab_to(page, "Move up: Skirt")
    page.keyboard.press("Enter")
    until(page, 'return store.answers.forecast.pieces[0].id === "skirt";')
    assert until(page, finish) < before
    context.close()


def test_no_id_stands_twice_on_a_page_and_every_label_leads_to_its_field(
    browser: Browser, full: Serving
) -> None:
    context, page = device(browser, full.url, "phone", "dark")
    for each in [*WAYS, "bench"]:  # screens once opened stay in the page
        show(page, full.url, each)
    page.evaluate("() => { location.hash = '#bench'; }")
    page.locator(".lane-name").first.click()
    page.get_by_role("dialog").get_by_text("Set the count to what is here").wait_for()
    ids: list[str] = page.evaluate("() => [...document.querySelectorAll('[id]')].map((e) => e.id)")
    lost = page.evaluate(
        "() => [...document.querySelectorAll('label[for]')].filter((e) => !e.control).map((e) =>"
        " e.htmlFor)"
    )
    context.close()
    assert sorted({i for i in ids if ids.count(i) > 1}) == []
    assert lost == []
