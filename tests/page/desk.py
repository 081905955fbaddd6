"""A page under test: opened until ready, asked through its own store, waited for without eval (its
policy). Tests wait for states, never for a time: `until`, `wait_until`, `still`.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from playwright.sync_api import BrowserContext, Page

# How long a state may take before it counts as not coming: no claim about speed, and a busy machine
# is no failing test.
PATIENCE_S = 120
STORE = """const { store } = await import("/store/store.js"),
  history = await import("/store/history.js"), workshop = await import("/store/workshop.js"),
  { mapChanges } = await import("/log/queries.js"), allChanges = () => mapChanges((all) => all);"""


def opened(context: BrowserContext, url: str, way: str = "") -> Page:
    page = context.new_page()
    go(page, url, way)
    return page


def go(page: Page, url: str, way: str = "") -> None:
    page.goto(f"{url}/{way}")
    ready(page)


def ready(page: Page) -> None:
    """Until the first screen stands, with all that is around it."""
    page.locator("html[data-ready=yes]").wait_for(state="attached")


def kept_offline(page: Page) -> None:
    """Until the service worker has all it keeps."""
    wait_until(page, lambda: page.evaluate(WORKER) == "activated", what="an active service worker")


WORKER = """async () => (await navigator.serviceWorker.getRegistration())?.active?.state"""


def ask(page: Page, body: str, given: Any = None) -> Any:
    """Runs `body` in the page with `store`, `history`, `workshop`, `allChanges` and `given` at hand."""
    return page.evaluate(f"async (given) => {{ {STORE} {body} }}", given)


def until(page: Page, body: str, given: Any = None, seconds: float = PATIENCE_S) -> Any:
    """The first truthy answer of `body`."""
    return wait_until(page, lambda: ask(page, body, given), seconds, body)


def wait_until(
    page: Page, answering: Callable[[], Any], seconds: float = PATIENCE_S, what: str = "the state"
) -> Any:
    """The first truthy answer."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        answer = answering()
        if answer:
            return answer
        page.wait_for_timeout(50)  # before it is asked again; what the browser told is heard here
    raise AssertionError(
        f"still not so after {seconds} s: {what}; the page says:"
        f" {page.locator('#notices').inner_text()}"
    )


STILL = """async () => {
  const [{ ask }, { meta }] = await Promise.all([import("/engine/client.js"), import("/log/log.js")]);
  const frame = () => new Promise((seen) => requestAnimationFrame(seen));
  let moved = true;
  const watch = new MutationObserver(() => { moved = true; });
  watch.observe(document, { subtree: true, childList: true, attributes: true, characterData: true });
  while (moved) {
    moved = false;
    await ask({ ask: "steps" }).catch(() => {});
    await meta("device");
    for (let k = 0; k < 3; k++) await frame();
  }
  watch.disconnect();
}"""


def still(page: Page) -> None:
    """Until everything that has been asked of engine and log is answered, both in their order, and
    three frames change nothing: what was to appear by now is there.
    """
    page.evaluate(STILL)


def worked_out(page: Page) -> None:
    """Until plans, standings and forecast are those of everything counted, and drawn."""
    ask(page, "await store.answers.freshen();")
    still(page)


def synced(page: Page) -> None:
    """Until nothing waits: rounds of one page hold off while another's runs."""
    done = 'await store.sync.run(); return store.sync.now.state === "synced" && store.sync.now.waiting === 0;'
    until(page, done)


def total(page: Page, piece: str, step: str) -> int:
    return int(ask(page, "return store.totals.of(...given).done;", [piece, step]))
