"""A forecast in the page after two months and after ten years: `python tests/bench/ten_years_page.py [sittings ...]`.

Figures: start to a page that can be tapped; the first forecast after a start, when old sittings are
summed up for the first time; the next start, when the sum is kept; and a forecast after one more
sitting, in the page and in the worker alone. Rows are laid straight into the browser's store.
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
from tests.running import Serving  # noqa: E402

SIT = 'await store.writeSitting("coif", "close", Date.now() - 36e5 - given * 1e5, Date.now() - 18e5 - given * 1e5, 40);'
AGAIN = f"""{SIT}
const from = performance.now();
await store.answers.freshen();
return performance.now() - from;"""
WORKER = """const question = JSON.parse(store.answers.kept.get("forecast").asked);
const from = performance.now();
await store.ask({ ...question, week_hours: question.week_hours + given / 100 });
return performance.now() - from;"""


def started(page: Page, url: str) -> tuple[float, float]:
    """Milliseconds to a usable page, and from there to the forecast of today's record."""
    start = time.perf_counter()
    page.goto("about:blank")
    go(page, url)
    usable = time.perf_counter()
    ask(page, "while (!store.forecast) await new Promise((r) => setTimeout(r, 20)); await store.answers.freshen();")
    return 1000 * (usable - start), 1000 * (time.perf_counter() - usable)


def best(values: list[float]) -> float:
    return min(values)


def measure(page: Page, url: str, many: int) -> dict[str, Any]:
    lay_old(page, many)
    _, first = started(page, url)
    usable, later = started(page, url)
    again = best([ask(page, AGAIN, k) for k in range(7)])
    worker = best([ask(page, WORKER, k) for k in range(1, 8)])
    sent = ask(page, 'return JSON.parse(store.answers.kept.get("forecast").asked).sittings.length;')
    return {
        "sittings": many,
        "usable_ms": usable,
        "first_ms": first,
        "later_ms": later,
        "again_ms": again,
        "worker_ms": worker,
        "as_they_are": sent,
    }


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as play:
        (Path(folder) / "served").mkdir(mode=0o700)
        server = Serving(Path(folder) / "served")
        server.start()
        send(server.url, invented())
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for many in [int(n) for n in sys.argv[1:]] or [60, 2000, 20000]:
            context = browser.new_context()
            page = context.new_page()
            go(page, server.url)
            synced(page)
            until(page, "return store.forecast;")
            print("  ".join(f"{k} {v:.0f}" for k, v in measure(page, server.url, many).items()), flush=True)
            context.close()
        browser.close()
        server.stop()


if __name__ == "__main__":
    main()
