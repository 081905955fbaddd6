"""A new device takes in a long log while its maker taps: `python tests/bench/pull_page.py
[changes]`.

Beside it the same changes written bare into a store of their own: the same portions, the same
durability,
nothing derived. It prints; nothing is asserted.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from playwright.sync_api import sync_playwright

from tests.conftest import CHROMIUM, FLAGS
from tests.page.desk import ask, opened
from tests.page.invented import send
from tests.running import started

SITTING = 200  # taps
BARE = """
const db = await new Promise((done, fail) => {
  const open = indexedDB.open("bare", 1);
  open.onupgradeneeded = () => open.result.createObjectStore("changes", { keyPath: ["device", "seq"] });
  open.onsuccess = () => done(open.result);
  open.onerror = () => fail(open.error);
});
const from = performance.now();
for (let at = 0; at < given.length; at += 500) {
  const tx = db.transaction("changes", "readwrite", { durability: "strict" });
  for (const change of given.slice(at, at + 500)) tx.objectStore("changes").add(change);
  await new Promise((done, fail) => { tx.oncomplete = done; tx.onerror = fail; });
}
db.close();
return performance.now() - from;"""
PULL = """
const taps = [], from = performance.now();
while (store.totals.of("coif", "close").done < given) {
  const at = performance.now();
  await store.counting.count("coif", "cut", 1).saved;
  taps.push(performance.now() - at);
  await new Promise((r) => setTimeout(r, 100));
}
return [performance.now() - from, taps.sort((a, b) => a - b)];"""


def log(many: int) -> list[dict[str, Any]]:
    """Sittings of two hundred taps, two seconds apart."""
    out: list[dict[str, Any]] = []
    for k in range(many):
        head = {"device": "0ther", "seq": k + 1, "at": 1790000000000 + 2000 * k, "tz": 0, "v": 1}
        lane = {"piece": "coif", "step": "close", "sitting": f"s{k // SITTING}"}
        starts = {"kind": "sitting", "event": "start"}
        out.append(
            {**head, **lane, **({"kind": "count", "n": 1, "how": "tap"} if k % SITTING else starts)}
        )
    return out


def main() -> None:
    changes = log(int(sys.argv[1]) if len(sys.argv) > 1 else 20_000)
    with (
        tempfile.TemporaryDirectory() as folder,
        started(Path(folder) / "served") as server,
        sync_playwright() as play,
    ):
        send(server.url, changes)
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = opened(browser.new_context(), server.url)
        spent, taps = ask(page, PULL, sum(c["kind"] == "count" for c in changes))
        bare = ask(page, BARE, changes)
        print(f"{'bare IndexedDB writes':24} {bare / 1000:7.2f} s    1.0")
        print(f"{'pulled and folded':24} {spent / 1000:7.2f} s {spent / bare:6.1f}")
        print(
            f"a tap meanwhile is saved in {taps[len(taps) // 2]:.0f} ms (median), {taps[-1]:.0f} ms"
            " at most"
        )
        browser.close()


if __name__ == "__main__":
    main()
