"""The first tap counts, even in the very moment the pad is first there, while the rest of the page
is on its way.
"""

from __future__ import annotations

from playwright.sync_api import Route, expect

from tests.page.benchwork import Bench, Finger, log, middle, saved, shown

# tapped by the page itself, in the task that first puts the pad there: no finger can be sooner
EAGER = """
window.eager = null;
new MutationObserver((_, watch) => {
  const pad = document.querySelector(".pad");
  if (!pad) return;
  watch.disconnect();
  for (const kind of ["pointerdown", "pointerup"]) {
    pad.dispatchEvent(new PointerEvent(kind, { bubbles: true, pointerId: 7, pointerType: "touch", button: 0 }));
  }
  window.eager = [document.documentElement.dataset.ready ?? "not ready", pad.querySelector(".pad-count").textContent];
}).observe(document, { subtree: true, childList: true });
"""


def test_a_tap_in_the_moment_the_pad_is_there_is_shown_saved_and_kept(bench: Bench) -> None:
    page = bench(["unit"])
    page.add_init_script(EAGER)
    for tapped in (1, 2):
        page.reload()
        page.locator("html[data-ready=yes]").wait_for(state="attached")
        assert page.evaluate("() => window.eager") == ["not ready", str(tapped)]
        saved(page)
        assert shown(page) == tapped
        assert [c["n"] for c in log(page, "count")] == [1] * tapped
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    assert shown(page) == 3  # the two kept, and this start's own


def test_pads_count_while_everything_around_them_is_still_on_its_way(bench: Bench) -> None:
    page = bench(["unit"])
    held: list[Route] = []
    page.route("**/later.js", lambda route: held.append(route))
    page.reload()
    page.locator(".pad").wait_for()
    finger, (x, y) = Finger(page), middle(page)
    for k in range(5):  # a chain of this piece takes five units
        finger.tap(x, y, at_ms=1000 + 200 * k)
    saved(page)
    assert shown(page) == 5
    assert page.locator(".strip").count() == 0 and len(held) == 1
    held[0].continue_()
    expect(page.locator(".cards")).to_contain_text("Chain 1 is full")
    expect(page.locator(".undo-last")).to_contain_text("Undo +1")
    expect(page.locator(".strip")).to_have_attribute("data-clock", "running")
    assert sum(c["n"] for c in log(page, "count")) == 5
