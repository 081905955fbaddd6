"""Tap to paint and tap to saved, ours beside the bare page: `python tests/bench/taps.py [--taps
500]`.

From the finger's own time (the pointerup event's) to the task after the next frame, and to the
strict
commit. At 1x and slowed 4x, with the engine idle and kept busy with forecasts (the bare page: with
a
spinning worker). Printed, never asserted.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import click
from playwright.sync_api import Browser, Page

from tests.bench.measured import both, line, ratio
from tests.page.benchwork import LAY, RING, SHAPE, Finger, middle
from tests.page.desk import ask, go, until

PACE_S = 0.125
PROBE = """() => {
  window.painted = []; window.kept = []; const waiting = []; let lifted = 0;
  addEventListener("pointerup", (e) => {
    lifted = e.timeStamp;
    requestAnimationFrame(() => {
      const c = new MessageChannel();
      c.port1.onmessage = () => window.painted.push(performance.now() - e.timeStamp);
      c.port2.postMessage(0);
    });
  }, true);
  window.counted = () => waiting.push(lifted);
  window.keep = () => window.kept.push(performance.now() - waiting.shift());
}"""
COUNTED = """store.addEventListener("pressed", () => window.counted?.());
store.addEventListener("saved", () => window.keep?.());"""
BUSY = """const pieces = [{ id: "p1", to_go: { unit: 500, close: 2000 } }];
const steps = [{ step: "unit", guess_min_per_item: 2, lump: 1 }, { step: "close", guess_min_per_item: 1, lump: 1 }];
const sittings = Array.from({ length: 200 }, (_, k) => ({ step: k % 2 ? "unit" : "close", piece: "p1",
  date: new Date(Date.UTC(2026, 0, 1 + k)).toISOString().slice(0, 10), start_min: 600, minutes: 40, items: 20 }));
const question = { ask: "forecast", today: "2026-11-25", steps, sittings, week_hours: 8, queue: "in_order", pieces };
(async () => { for (;;) await store.ask(question); })();"""


def taps(page: Page, number: int, slow: int) -> tuple[list[float], list[float]]:
    page.evaluate(PROBE)
    finger, (x, y) = Finger(page), middle(page)
    finger.cdp.send("Emulation.setCPUThrottlingRate", {"rate": slow})
    begin = time.monotonic()
    for k in range(number):
        finger.tap(x, y)
        page.wait_for_timeout(max(100.0, 1000 * (begin + (k + 1) * PACE_S - time.monotonic())))
    page.wait_for_timeout(1500)
    finger.cdp.send("Emulation.setCPUThrottlingRate", {"rate": 1})
    return page.evaluate("() => window.painted"), page.evaluate("() => window.kept")


def ours(browser: Browser, url: str, busy: bool) -> Page:
    page = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    ).new_page()
    page.route("**/api/sync", lambda route: route.abort())
    go(page, url)
    ask(page, LAY, {"lanes": [["unit"]], "own": {}, "ring": RING, "shape": SHAPE, "due": None})
    until(page, "return Boolean(store.answers.standing('p1') && store.answers.forecast)")
    page.evaluate("() => window.scrollTo(0, 0)")
    ask(page, COUNTED)
    if busy:
        ask(page, BUSY)
    return page


def bare(browser: Browser, url: str, busy: bool) -> Page:
    page = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True
    ).new_page()
    page.goto(url)
    page.locator("[data-usable]").wait_for()
    page.evaluate("() => addEventListener('counted', () => window.counted?.())")
    page.evaluate("() => addEventListener('saved', () => window.keep?.())")
    if busy:
        page.evaluate("() => window.busy()")
    return page


@click.command()
@click.option("--taps", "number", default=500)
def main(number: int) -> None:
    with both() as (browser, serving, baseline):
        for busy in (False, True):
            for slow in (1, 4):
                print(
                    f"\nslowed {slow}x, engine {'busy' if busy else 'idle'}, {number} taps at"
                    f" {1 / PACE_S:.0f} a second"
                )
                found = {}
                for name, page in (
                    ("bare page", bare(browser, baseline.url, busy)),
                    ("Ringwright", ours(browser, serving.url, busy)),
                ):
                    found[name] = taps(page, number, slow)
                    page.context.close()
                for k, what in enumerate(("painted", "saved")):
                    for name in found:
                        print(
                            line(f"{name}: tap to {what} ({len(found[name][k])})", found[name][k])
                        )
                    print(ratio(found["Ringwright"][k], found["bare page"][k]), flush=True)


if __name__ == "__main__":
    main()
