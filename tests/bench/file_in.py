"""A file of a long log is brought in while its maker taps: `python tests/bench/file_in.py [changes]`.

Beside it the same changes written bare into a store of their own: the same portions, the same durability, nothing
looked up and nothing derived. It prints; nothing is asserted.
"""

from __future__ import annotations

import json
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from playwright.sync_api import sync_playwright

from tests.bench.pull_page import BARE, log
from tests.conftest import CHROMIUM, FLAGS
from tests.page.static_host import hosted, phone, tell, visited

CHANGES = 100_000
# taps all the while; the longest time in which the page's thread gave nobody else a turn
TAPPING = """
  window.taps = [];
  window.tasks = [];
  new PerformanceObserver((list) => list.getEntries().forEach((e) => window.tasks.push(e.duration)))
    .observe({ type: "longtask" });
  window.tapping = setInterval(async () => {
    const at = performance.now();
    await store.counting.count("hood", "cut", 1).saved;
    window.taps.push(performance.now() - at);
  }, 250);"""


def bring(page, file: Path) -> tuple[float, float]:  # type: ignore[no-untyped-def]
    """Seconds until it is shown what is in the file, and until it is taken in."""
    now = "() => performance.now()"
    page.evaluate("() => { location.hash = 'setup'; }")
    at = page.evaluate(now)
    page.locator(".file-in input").set_input_files(file)
    page.get_by_role("button", name="Take in").wait_for()
    looked = page.evaluate(now)
    page.get_by_role("button", name="Take in").click()
    page.locator(".file-in [role=status]").filter(has_text="taken in").wait_for(timeout=900_000)
    return (looked - at) / 1000, (page.evaluate(now) - looked) / 1000


def main(many: int) -> None:
    changes = log(many)
    with tempfile.TemporaryDirectory() as name, sync_playwright() as playing:
        file = Path(name) / "log.json"
        with hosted(Path(name) / "host") as host:
            browser = playing.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
            bare_ms = tell(visited(phone(browser), host), BARE, changes)
            page = visited(phone(browser), host)
            page.set_default_timeout(900_000)
            workshop = tell(page, "return journal.meta('workshop');")
            text = json.dumps({"ask": "fold", "workshop": workshop, "changes": changes})
            file.write_text(text, "utf-8")
            tell(page, TAPPING.replace("window.tapping = ", "window.begin = () => ", 1))
            page.evaluate("() => { window.tapping = window.begin(); }")
            looked, taken = bring(page, file)
            page.evaluate("() => clearInterval(window.tapping)")
            taps, tasks = page.evaluate("() => [window.taps.sort((a, b) => a - b), window.tasks]")
            browser.close()
    print(f"{many} changes, {len(text) / 1e6:.1f} MB")
    print(
        f"looked through in {looked:.1f} s, taken in in {taken:.1f} s; bare {bare_ms / 1000:.1f} s"
    )
    print(
        f"{len(taps)} taps meanwhile saved in {taps[len(taps) // 2]:.0f} ms (median),"
        f" {taps[int(len(taps) * 0.95)]:.0f} ms (95 in 100), {taps[-1]:.0f} ms (slowest)"
    )
    print(f"longest task of the page's thread: {max(tasks, default=0):.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else CHANGES)
