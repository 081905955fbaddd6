"""A forecast in the page after two months and after ten years: `python
tests/bench/ten_years_page.py [sittings ...]`.

Figures: start to a page that can be tapped; the first forecast after a start, when old sittings are
summed up for the first time; the next start, when the sum is kept; a forecast after one more
sitting, in the page and in the worker alone; and what a tap costs a second open page: milliseconds
to its number, and how long its main thread works until its forecast knows of the tap, too
(processor
time, the worker not counted); and what Records and the watch over breaks read. Rows are laid
straight into the browser's store.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Page, sync_playwright  # noqa: E402

from tests.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.page.desk import ask, go, synced, until  # noqa: E402
from tests.page.invented import invented, lay_old, send  # noqa: E402
from tests.running import started  # noqa: E402

SIT = (
    'await history.writeSitting("coif", "close", Date.now() - 36e5 - given * 1e5, Date.now() - 18e5 -'
    " given * 1e5, 40);"
)
AGAIN = f"""{SIT}
const from = performance.now();
await store.answers.freshen();
return performance.now() - from;"""
WORKER = """const question = JSON.parse(store.answers.saved.get("forecast").asked);
const from = performance.now();
await store.ask({ ...question, week_hours: question.week_hours + given / 100 });
return performance.now() - from;"""

LISTEN = """const before = store.totals.of("coif", "close").done;
window.heard = new Promise((done) => {
  const word = new BroadcastChannel("ringwright");
  word.onmessage = async () => {
    word.close();
    const from = performance.now();
    while (store.totals.of("coif", "close").done === before) await new Promise((r) => setTimeout(r));
    const shown = performance.now() - from;
    await store.answers.freshen();
    done(shown);
  };
});"""
READ = """const from = performance.now();
await (given ? history.sittingsSince(Date.now() - 16 * 36e5) : history.sittings());
return performance.now() - from;"""
TAP = 'await store.counting.count("coif", "close", 1).saved;'


def elsewhere(page: Page, url: str) -> tuple[float, float]:
    """Milliseconds until a second page shows a tap of the first; its main thread's work until its
    forecast knows.
    """
    other = page.context.new_page()
    go(other, url)
    until(other, "return store.answers.forecast;")
    ask(other, "await store.answers.freshen();")
    cdp = page.context.new_cdp_session(other)
    cdp.send("Performance.enable", {"timeDomain": "threadTicks"})

    def busy() -> float:
        metrics = {m["name"]: m["value"] for m in cdp.send("Performance.getMetrics")["metrics"]}
        return float(1000 * metrics["TaskDuration"])

    shown, worked = [], []
    for _ in range(5):
        page.wait_for_timeout(1500)  # the rounds of both pages are over
        ask(other, LISTEN)
        before = busy()
        ask(page, TAP)
        shown.append(other.evaluate("() => window.heard"))
        worked.append(busy() - before)
    other.close()
    return best(shown), best(worked)


def start_times(page: Page, url: str) -> tuple[float, float]:
    """Milliseconds to a usable page, and from there to the forecast of today's record."""
    start = time.perf_counter()
    page.goto("about:blank")
    go(page, url)
    usable = time.perf_counter()
    ask(
        page,
        "while (!store.answers.forecast) await new Promise((r) => setTimeout(r, 20)); await"
        " store.answers.freshen();",
    )
    return 1000 * (usable - start), 1000 * (time.perf_counter() - usable)


def best(values: list[float]) -> float:
    return min(values)


def measure(page: Page, url: str, many: int) -> dict[str, Any]:
    lay_old(page, many)
    _, first = start_times(page, url)
    usable, later = start_times(page, url)
    again = best([ask(page, AGAIN, k) for k in range(7)])
    worker = best([ask(page, WORKER, k) for k in range(1, 8)])
    shown, worked = elsewhere(page, url)
    sent = ask(
        page, 'return JSON.parse(store.answers.saved.get("forecast").asked).sittings.length;'
    )
    return {
        "sittings": many,
        "usable_ms": usable,
        "first_ms": first,
        "later_ms": later,
        "again_ms": again,
        "worker_ms": worker,
        "other_shown_ms": shown,
        "other_worked_ms": worked,
        "record_ms": best([ask(page, READ, False) for _ in range(3)]),
        "breaks_ms": best([ask(page, READ, True) for _ in range(3)]),
        "as_they_are": sent,
    }


def main() -> None:
    with (
        tempfile.TemporaryDirectory() as folder,
        started(Path(folder) / "served") as server,
        sync_playwright() as play,
    ):
        send(server.url, invented())
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for many in [int(n) for n in sys.argv[1:]] or [60, 2000, 20000]:
            context = browser.new_context()
            page = context.new_page()
            go(page, server.url)
            synced(page)
            until(page, "return store.answers.forecast;")
            print(
                "  ".join(f"{k} {v:.0f}" for k, v in measure(page, server.url, many).items()),
                flush=True,
            )
            context.close()
        browser.close()


if __name__ == "__main__":
    main()
