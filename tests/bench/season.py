"""A long log goes to the server and comes from it while its maker taps: `python tests/bench/season.py
[changes sent] [changes fetched]`, of themselves 100,000 (a season offline) and 500,000 (ten years).

The page is a real one in Chromium, the server a process of its own. Taps are a finger's, on the pad: from
pointerup to the task after the next frame, and to the strict commit. Beside it the same changes written
bare: into a browser's store of their own, in the same portions, and into the same tables of SQLite. The
server's memory is that of its whole process. It prints; nothing is asserted.
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from playwright.sync_api import Browser, Page, Route, sync_playwright

from tests.bench.pull_page import BARE, log
from tests.bench.sync_cost import bare, empty_file
from tests.bench.taps import COUNTED, PROBE
from tests.conftest import CHROMIUM, FLAGS
from tests.page.benchwork import LAY, RING, SHAPE, Finger, middle
from tests.page.desk import ask, go, synced, until
from tests.page.invented import send
from tests.running import Serving, started

SENT, FETCHED = 100_000, 500_000
AT_ONCE = 50_000  # changes handed to the page in one call
PACE_MS = 300  # between two taps
# what this device counted while nothing answered, in portions of its own log
COUNT = """const journal = await import("/log/log.js");
const many = given, sitting = (k) => `season${Math.floor(k / 200)}`;
for (let at = 0; at < many; at += 500)
  await journal.append(Array.from({ length: Math.min(500, many - at) }, (_, k) => ({ kind: "count", piece: "p1",
    step: "unit", n: 1, how: "tap", sitting: sitting(at + k), at: 1790000000000 + 2000 * (at + k) })));
await store.reload();"""
WATCH = """() => {
  window.tasks = [];
  new PerformanceObserver((list) => list.getEntries().forEach((e) => window.tasks.push(e.duration)))
    .observe({ type: "longtask" });
}"""
READ = "() => [window.painted, window.kept, window.tasks]"
DONE = "return store.totals.of(...given).done;"
RUN = "store.sync.soon(0);"


def memory(server: Serving) -> dict[str, float]:
    """MB of the server's process now, and the most since it began."""
    assert server.process is not None
    lines = Path(f"/proc/{server.process.pid}/status").read_text("ascii").splitlines()
    kept = {
        name: rest.split()[0]
        for name, _, rest in (line.partition(":") for line in lines)
        if rest.split()
    }
    return {"now": int(kept["VmRSS"]) / 1024, "most": int(kept["VmHWM"]) / 1024}


def show_memory(server: Serving, when: str) -> None:
    kept = memory(server)
    print(
        f"server's memory {when}: {kept['now']:.0f} MB, at most so far {kept['most']:.0f} MB",
        flush=True,
    )


@contextmanager
def bench(browser: Browser, url: str) -> Iterator[Page]:
    """A phone's bench with one lane; nothing answers it yet."""
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    )
    page = context.new_page()
    page.set_default_timeout(900_000)
    page.route("**/api/sync", cut)
    go(page, url)
    ask(page, LAY, {"lanes": [["unit"]], "own": {}, "ring": RING, "shape": SHAPE, "due": None})
    until(page, "return Boolean(store.answers.standing('p1') && store.answers.forecast)")
    page.evaluate("() => window.scrollTo(0, 0)")
    ask(page, COUNTED)
    yield page
    context.close()


def cut(route: Route) -> None:
    route.abort()


def tapped(page: Page, over: str, given: Any) -> tuple[float, list[list[float]]]:
    """The net is back: seconds until `over`, and what was measured of taps and tasks meanwhile."""
    page.evaluate(PROBE)
    page.evaluate(WATCH)
    finger, (x, y) = Finger(page), middle(page)
    page.unroute("**/api/sync", cut)
    began = time.perf_counter()
    ask(page, RUN)
    while not ask(page, over, given):
        finger.tap(x, y)
        page.wait_for_timeout(PACE_MS)
    seconds = time.perf_counter() - began
    page.wait_for_timeout(1500)
    return seconds, page.evaluate(READ)


def show(what: str, many: int, seconds: float, read: list[list[float]]) -> None:
    painted, kept, tasks = read
    print(f"{what:34} {seconds:7.1f} s  {many / seconds:9,.0f} changes a second")
    for name, values in (("shown", painted), ("saved", kept)):
        print(
            f"  {len(values)} taps {name} in {statistics.median(values):.0f} ms (median), {max(values):.0f} ms at most"
        )
    print(f"  longest task of the page's thread: {max(tasks, default=0):.0f} ms", flush=True)


def show_bare(page: Page, changes: list[dict[str, Any]]) -> None:
    """The same rows, bare: in the browser, and in SQLite."""
    browser_ms = sum(
        ask(page, BARE, changes[at : at + AT_ONCE]) for at in range(0, len(changes), AT_ONCE)
    )
    with tempfile.TemporaryDirectory() as folder:
        with ThreadPoolExecutor() as beside:  # the browser's own loop runs in this thread
            file = beside.submit(lambda: asyncio.run(empty_file(Path(folder)))).result()
        sqlite = bare(changes, file)
    for name, seconds in (
        ("bare IndexedDB, a row a change", browser_ms / 1000),
        ("bare SQLite", sqlite),
    ):
        print(
            f"{name:34} {seconds:7.1f} s  {len(changes) / seconds:9,.0f} changes a second",
            flush=True,
        )


def season(browser: Browser, server: Serving, many: int) -> None:
    with bench(browser, server.url) as page:
        ask(page, COUNT, many)
        before = ask(page, DONE, ["p1", "unit"])
        over = 'return store.sync.now.state === "synced" && store.sync.now.waiting < 50;'
        show_memory(server, "before the season")
        seconds, read = tapped(page, over, None)
        show(f"{many} changes of a season sent", many, seconds, read)
        show_memory(server, "after it")
        synced(page)
        device, taps = ask(page, "return store.device;"), len(read[1])
        stored = server.stored(
            f"SELECT count(*), sum(body ->> 'n') FROM changes WHERE device = '{device}' AND body ->> 'kind' = 'count'"
        )
        print(f"  counted {before + taps}; the server has {stored[0][1]} in {stored[0][0]} counts")


def ten_years(browser: Browser, server: Serving, many: int) -> None:
    changes = log(many)
    began = time.perf_counter()
    send(server.url, changes)
    print(f"{many} changes sent by a script in {time.perf_counter() - began:.1f} s")
    show_memory(server, "after that")
    counts = sum(c["kind"] == "count" for c in changes)
    with bench(browser, server.url) as page:
        over = "return store.totals.of('coif', 'close').done >= given;"
        seconds, read = tapped(page, over, counts)
        show(f"{many} changes fetched and added up", many, seconds, read)
        print(f"  counted {counts}; the page has {ask(page, DONE, ['coif', 'close'])}")
        show_memory(server, "after it")
        show_bare(page, changes)


def main() -> None:
    given = [int(n) for n in sys.argv[1:3]]
    sent, fetched = given + [SENT, FETCHED][len(given) :]
    with (
        tempfile.TemporaryDirectory() as folder,
        sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for work, many in ((season, sent), (ten_years, fetched)):
            with started(Path(folder) / work.__name__) as server:
                work(browser, server, many)
        browser.close()


if __name__ == "__main__":
    main()
