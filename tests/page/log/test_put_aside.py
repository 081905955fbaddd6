"""What the server cannot use stops nothing behind it, is shown with its reason, and need not count here alone."""

from __future__ import annotations

from playwright.sync_api import BrowserContext, Page, expect

from tests.page.desk import ask, opened, synced, total
from tests.running import Serving

PIECE = 'await store.set("piece", "coif", { name: "Coif", order: 1, state: "open" });'
# as a page of another time may have written it: a step without its name cannot be used
BAD = """
  const { append } = await import("/log/log.js");
  await store.append([{ kind: "count", piece: "coif", step: "close", n: 7, how: "eye" }]);
  store.emitTotals([{ piece: "coif", step: "close" }]);"""


def with_a_bad_count(context: BrowserContext, serving: Serving) -> Page:
    page = opened(context, serving.url)
    ask(page, PIECE)
    ask(page, 'await store.counting.count("coif", "close", 5).saved;')
    ask(page, BAD)
    ask(page, 'await store.counting.count("coif", "close", 20).saved;')
    synced(page)
    page.get_by_role("link", name="What it is, and why").click()
    return page


def seen_elsewhere(context: BrowserContext, serving: Serving) -> int:
    other = context.browser.new_context()  # type: ignore[union-attr]
    page = opened(other, serving.url)
    synced(page)
    there = total(page, "coif", "close")
    other.close()
    return there


def test_a_count_put_aside_can_be_counted_again(context: BrowserContext, serving: Serving) -> None:
    page = with_a_bad_count(context, serving)
    assert seen_elsewhere(context, serving) == 25 and total(page, "coif", "close") == 32
    expect(page.get_by_text("It counts on this device only")).to_be_visible()
    page.get_by_role("button", name="Count it again").click()
    expect(page.get_by_text("Counted again: 7 items")).to_be_visible()
    synced(page)
    assert total(page, "coif", "close") == seen_elsewhere(context, serving) == 32
    assert page.get_by_role("button", name="Count it again").count() == 0


def test_a_count_put_aside_can_be_taken_out(context: BrowserContext, serving: Serving) -> None:
    page = with_a_bad_count(context, serving)
    page.get_by_role("button", name="Take it out of the count").click()
    expect(page.get_by_text("Taken out: 7 items")).to_be_visible()
    synced(page)
    assert total(page, "coif", "close") == seen_elsewhere(context, serving) == 25


def test_what_is_too_large_or_too_deep_for_the_server_stops_no_count(
    context: BrowserContext, serving: Serving
) -> None:
    page = opened(context, serving.url)
    ask(page, PIECE)
    ask(
        page,
        """
      let deep = 1;
      for (let k = 0; k < 60; k++) deep = [deep];
      await store.set("piece", "coif", { place: "x".repeat(1_200_000) });
      await store.set("piece", "coif", { steps: deep });
      await store.set("piece", "coif", { note: "x".repeat(100_000) });
      await store.counting.count("coif", "close", 5).saved;""",
    )
    synced(page)
    expect(page.locator("#carried")).to_have_attribute("data-state", "synced")
    assert seen_elsewhere(context, serving) == 5
    reasons = ask(page, "return (await history.refused()).map((r) => r.why);")
    assert len(reasons) == 3 and all("shorter" in why for why in reasons), reasons
