"""Start with the server stopped, to the first usable pad, ours beside the bare page: `python
tests/bench/start.py`.

From the navigation's own start to the frame in which the pad is there. A pad is only drawn once the
store is
open, and counts from its first moment: `tests/page/bench/test_first_tap.py`. The starts of both take
turns, so that
whatever else the machine does falls on both.
"""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import click
from playwright.sync_api import BrowserContext

from tests.bench.measured import both, line, ratio
from tests.page.benchwork import LAY, RING, SHAPE
from tests.page.desk import ask, go, until

WATCH = """(() => { const look = () => {
  const pad = document.querySelector(".pad");
  const open = pad && (pad.dataset.usable || pad.closest("rw-bench"));
  if (open && pad.getBoundingClientRect().height > 100) window.usable = performance.now();
  else requestAnimationFrame(look);
}; requestAnimationFrame(look); })();"""


def start(context: BrowserContext, url: str, slow: int) -> float:
    """Milliseconds to the usable pad."""
    page = context.new_page()
    context.new_cdp_session(page).send("Emulation.setCPUThrottlingRate", {"rate": slow})
    page.add_init_script(WATCH)
    page.goto(url)
    page.locator(".pad").wait_for()
    page.wait_for_timeout(500)
    at = page.evaluate("() => window.usable")
    page.close()
    return float(at)


@click.command()
@click.option("--times", default=50)
def main(times: int) -> None:
    with both() as (browser, serving, baseline):
        mine = browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
        )
        bare = browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
        )
        page = mine.new_page()
        go(page, serving.url)
        page.evaluate("async () => { await navigator.serviceWorker.ready; }")
        ask(page, LAY, {"lanes": [["unit"]], "own": {}, "ring": RING, "shape": SHAPE, "due": None})
        until(page, "return Boolean(store.answers.standing('p1') && store.answers.forecast)")
        first = bare.new_page()
        first.goto(baseline.url)
        first.evaluate("async () => { await navigator.serviceWorker.ready; }")
        page.close()
        first.close()
        serving.stop()
        baseline.server.shutdown()
        for slow in (1, 4):
            print(f"\nserver stopped, slowed {slow}x, {times} starts")
            theirs, ours = [], []
            for _ in range(times):
                theirs.append(start(bare, baseline.url, slow))
                ours.append(start(mine, serving.url, slow))
            print(line("bare page: start to usable pad", theirs))
            print(line("Ringwright: start to usable pad", ours))
            print(ratio(ours, theirs), flush=True)


if __name__ == "__main__":
    main()
