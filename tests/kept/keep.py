"""Keeps a specimen of today's program: `python -m tests.kept.keep [NAME]` writes a folder beside this
file, by itself named after the forms, as `file-3-page-3`.

A server and two browsers play a small invented session: a phone that counts, a desk that counts at
the same piece, one field written on both, and at last counts that the phone could not send. What a
specimen consists of is in `specimens.py`. The totals in it are what the program shows and folds at
that moment; nothing works them out again later. A folder that is there is never written over.

An earlier program is asked by `keep(name, root, hands)`: `root` a checkout of it with its page's
libraries in place, `hands` the session's hands in the names of its page, as `HANDS` has today's.
"""

from __future__ import annotations

import gzip
import json
import subprocess
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page, Route, sync_playwright

from server.migrations import STEPS
from tests.conftest import CHROMIUM, FLAGS, PATIENCE_MS
from tests.kept.specimens import HERE, page_version
from tests.running import ROOT, Serving

BEGINS_MS = 1729864800000  # 2024-10-25 16:00 in Berlin: no clock of a test is behind it
LANES = ("close", "unit", "chain")

# The page's own Date stands where the session says; timers and touches keep theirs.
TURN = """
const real = Date.now.bind(Date); const From = Date;
window.ahead = Number(localStorage.getItem("ahead") ?? BEGINS - real());
window.turn = (minutes) => { window.ahead += minutes * 60000; localStorage.setItem("ahead", window.ahead); };
window.Date = class extends From { constructor(...a) { super(...(a.length ? a : [Date.now()])); } };
window.Date.now = () => real() + window.ahead;
""".replace("BEGINS", str(BEGINS_MS))

# What the session does, in the names of today's page.
HANDS = """
const { store } = await import("/store/store.js"), history = await import("/store/history.js");
const { setCount } = await import("/store/stocktake.js");
const hands = {
  set: (...a) => store.set(...a), setting: (...a) => store.setSetting(...a), own: (...a) => store.setOwn(...a),
  count: (...a) => store.counting.count(...a).saved, scrap: (...a) => store.counting.scrap(...a).saved,
  undo: () => store.counting.undo(), hold: (...a) => store.counting.hold(...a),
  start: (...a) => store.clock.start(...a), pause: () => store.clock.pause(), go: () => store.clock.resume(),
  stop: () => store.clock.stop(), answerGap: (minutes) => store.clock.answerGap(minutes),
  writeSitting: (...a) => history.writeSitting(...a), minutes: (id, minutes) => history.correctSitting(id, { minutes }),
  correct: (...a) => history.correctSitting(...a), stocktake: (...a) => setCount(store, ...a),
  resolve: (...a) => history.resolveConflict(...a), saidOf: async (kind, id) =>
    (await history.sets()).filter((c) => c.thing === kind && c.id === id),
  total: (...a) => store.totals.of(...a), sittings: () => history.sittings(), device: () => store.device,
  sync: async () => { await store.sync.run(); return store.sync.now.state === "synced" && store.sync.now.waiting === 0; },
};
"""

LAY = """
const ring = { name: "Rund, 8 mm – weich geglüht", wire_mm: 1.2, inner_mm: 8, lap_mm: 2.4, metal: "mild steel",
  rivet_mm: 0.8, mandrel_length_mm: 200 };
await hands.set("ring", "r1", ring);
await hands.set("piece", "p1", { name: "Brünne für Øyvind „größer“ ⚒", mark: "square", state: "open", ring: "r1", order: 1 });
await hands.set("panel", "p1-a", { piece: "p1", name: "Vorderteil, Ärmel", order: 1,
  shape: { kind: "panel", rows: 11, columns: 10 }, state: "relaxed" });
for (const [k, step] of given.entries()) await hands.set("lane", `l${k + 1}`, { piece: "p1", step, order: k + 1, batch: 1 });
await hands.set("piece", "p2", { name: "Handschuh, links", mark: "triangle", state: "open", ring: "r1", order: 2 });
await hands.own("said_lacks", ["vibration", "wake lock", "background sync", "voice", "sound"]);
await hands.setting("delivery_days", 9);
await hands.set("reel", "w1", { name: "Draht Nº 18", how: "weight", gross_g: 2500, empty_g: 210, metal: "mild steel", wire_mm: 1.2 });
"""

# after the taps: all that can be done at the bench and in the records
WORK = """
const minute = 60000, turn = window.turn;
await hands.undo();
const held = await hands.hold("p1", "close", 1, "40 ms after the one before");
await hands.hold("p1", "unit", 1, "35 ms after the one before");
await hands.count("p1", "close", 1, { holds: { device: held.device, seq: held.seq } });
turn(3);
await hands.scrap("p1", "close", 2, "Niet gerissen – spröde");
await hands.scrap("p1", "close", 1); await hands.undo();
turn(4); await hands.pause(); turn(30); await hands.go(); turn(6);
await hands.count("p1", "close", 7, { how: "weigh", panel: "p1-a" });
turn(200); await hands.count("p1", "close", 1); await hands.answerGap(12);
turn(2); await hands.start("p1", "unit"); turn(9); await hands.count("p1", "unit", 3); turn(1); await hands.stop();
turn(60);
await hands.writeSitting("p1", "chain", Date.now() - 45 * minute, Date.now() - 15 * minute, 2);
await hands.writeSitting("p1", "unit", Date.now() - 300 * minute, Date.now() - 260 * minute, 4);
await hands.writeSitting("p1", "unit", Date.now() - 500 * minute, Date.now() - 480 * minute, 5);
await hands.writeSitting("p1", "unit", Date.now() - 800 * minute, Date.now() - 750 * minute, 6);
await hands.writeSitting("p2", "unit", Date.now() - 1000 * minute, Date.now() - 990 * minute, 9);
const rows = (await hands.sittings()).filter((s) => s.step === "unit" && [4, 5, 6, 9].includes(s.items));
const by = (n) => rows.find((s) => s.items === n);
await hands.minutes(by(4).sitting, 35);
await hands.correct?.(by(5).sitting, { step: "chain", items: 8 });
await hands.correct?.(by(6).sitting, { deleted: true });
await hands.correct?.(by(9).sitting, { piece: "p1" });
await hands.correct?.((await hands.sittings()).find((s) => s.step === "chain" && s.items === 2).sitting,
  { uncounted: true, from_ms: Date.now() - 50 * minute });
turn(5); await hands.stocktake?.("p1", "close", 9);
"""

# at the desk, meanwhile; the last counts are as many as come to the phone as one pack
ELSEWHERE = """
window.turn(40); await hands.start("p1", "chain");
window.turn(11); await hands.count("p1", "chain", 1); await hands.count("p1", "close", 2);
for (let k = 0; k < 70; k++) await hands.count("p2", "close", 1);
await hands.stop();
"""

ALL_ROWS = """
const asked = indexedDB.open("ringwright");
const db = await new Promise((done) => { asked.onsuccess = () => done(asked.result); });
const got = (request) => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result); request.onerror = () => failed(request.error); });
const stores = [];
for (const name of db.objectStoreNames) {
  const store = db.transaction(name).objectStore(name), inline = store.keyPath !== null;
  const indexes = [...store.indexNames].map((n) => store.index(n)).map(({ name, keyPath, unique, multiEntry }) => ({ name, keyPath, unique, multiEntry }));
  const [keys, values] = [await got(store.getAllKeys()), await got(store.getAll())];
  stores.push({ name, keyPath: store.keyPath, autoIncrement: store.autoIncrement, indexes,
    rows: values.map((value, k) => (inline ? [value] : [value, keys[k]])) });
}
const isJson = (v) => v === null || v === undefined || ["string", "boolean"].includes(typeof v) || Number.isFinite(v) ||
  (Array.isArray(v) || Object.getPrototypeOf(v) === Object.prototype) && Object.values(v).every(isJson);
if (!isJson(stores)) throw new Error("A row holds what JSON cannot; write it another way here and in specimens.py.");
const { version } = db; db.close();
return { version, stores };
"""

SHOWN = """
const totals = [];
for (const piece of ["p1", "p2"]) for (const step of given) {
  const { done, spoiled } = await hands.total(piece, step);
  totals.push({ piece, step, done, spoiled });
}
const sittings = (await hands.sittings()).map(({ sitting, piece, step, date, start_min, items, minutes }) =>
  ({ sitting, piece, step, date, start_min, items, minutes })).sort((a, b) => (a.sitting < b.sitting ? -1 : 1));
const pads = [...document.querySelectorAll(".pad-count")].map((pad) => pad.textContent);
return { device: hands.device(), totals, sittings, pads };
"""


@dataclass
class Wire:
    """What went over the wire, byte for byte; `away` are the devices that reach nothing just now."""

    requests: list[bytes] = field(default_factory=list)
    answers: list[bytes] = field(default_factory=list)
    away: set[str] = field(default_factory=set)

    def through(self, name: str) -> Callable[[Route], None]:
        """The handler of one device's requests to /api/sync."""

        def handle(route: Route) -> None:
            if name in self.away:
                route.abort()
                return
            answer = route.fetch()
            assert answer.status == 200, answer.text()
            self.requests.append(route.request.post_data_buffer or b"")
            self.answers.append(answer.body())
            route.fulfill(response=answer)

        return handle


class Session:
    """One server of the program in `root`, its wire, and its devices' pages."""

    def __init__(self, root: Path, data: Path, hands: str, options: tuple[str, ...]) -> None:
        self.root, self.hands, self.wire = root, hands, Wire()
        self.server = Serving(data, *options, pairing=True, program=root)

    def command(self, *words: str, given: str | None = None) -> str:
        """What `ringwright ...` of that program prints."""
        run = subprocess.run(
            [sys.executable, "-c", "from server.cli import main; main()", *words],
            input=given, capture_output=True, text=True, cwd=self.root, check=True,
        )  # fmt: skip
        return run.stdout

    def device(self, browser: Browser, name: str) -> tuple[BrowserContext, Page]:
        context = browser.new_context(
            viewport={"width": 390, "height": 844}, has_touch=True, service_workers="block",
            timezone_id="Europe/Berlin", locale="en-GB", accept_downloads=True,
        )  # fmt: skip
        context.set_default_timeout(PATIENCE_MS)
        context.add_init_script(TURN)
        context.route("**/api/sync", self.wire.through(name))
        page = context.new_page()
        self.go(page)
        return context, page

    def go(self, page: Page, way: str = "") -> None:
        page.goto(f"{self.server.url}/{way}")
        page.locator("html[data-ready=yes]").wait_for(state="attached")

    def ask(self, page: Page, body: str, given: Any = None) -> Any:
        return page.evaluate(f"async (given) => {{ {self.hands} {body} }}", given)

    def sync(self, page: Page) -> None:
        while not self.ask(page, "return hands.sync();"):
            page.wait_for_timeout(50)

    def counts(self, page: Page) -> int:
        """How many counts are on the page's disk."""
        stores = page.evaluate(f"async () => {{ {ALL_ROWS} }}")["stores"]
        (changes,) = (store["rows"] for store in stores if store["name"] == "changes")
        return sum(row[0]["kind"] == "count" for row in changes)

    def tap(self, page: Page, lane: int, times: int) -> None:
        """A finger on a pad, a minute and a half apart, each on the disk before the next."""
        for wanted in range(self.counts(page) + 1, self.counts(page) + times + 1):
            page.evaluate("() => window.turn(1.5)")
            page.wait_for_timeout(150)  # closer touches count as one finger that bounced
            box = page.locator(".pad").nth(lane).bounding_box()
            assert box is not None
            page.touchscreen.tap(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
            while self.counts(page) < wanted:
                page.wait_for_timeout(50)

    def folded(self) -> tuple[str, dict[str, Any]]:
        """The exported log, and what it adds up to by that program."""
        text = self.command("export", "--data", str(self.server.data))
        lines = [json.loads(line) for line in text.splitlines()]
        changes = [line for line in lines if "seq" in line]
        asked = json.dumps({"ask": "fold", "changes": changes})
        folded = json.loads(self.command("ask", given=asked))
        assert folded.pop("ok"), folded
        return text, folded

    def shown(self, page: Page) -> dict[str, Any]:
        shown: dict[str, Any] = self.ask(page, SHOWN, list(LANES))
        return shown


def compact(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def write(file: Path, content: bytes) -> None:
    """Compressed where it is named so, with no date in it."""
    file.write_bytes(gzip.compress(content, 9, mtime=0) if file.suffix == ".gz" else content)


def page_file(session: Session, page: Page, button: str) -> bytes:
    """The file that Records saves."""
    session.go(page, "#records/copy")
    with page.expect_download() as waited:
        page.get_by_role("button", name=button).first.click()
    return Path(waited.value.path()).read_bytes()


def play(session: Session, browser: Browser, out: Path, button: str) -> dict[str, Any]:
    """The session; returns the totals to be recorded and writes the rest."""
    recorded: dict[str, Any] = {}
    wire = session.wire
    _, phone = session.device(browser, "phone")
    session.ask(phone, LAY, list(LANES))
    session.go(phone)
    phone.locator(".pad").nth(2).wait_for()
    session.tap(phone, 0, 5)
    session.tap(phone, 1, 3)
    session.ask(phone, WORK)
    session.sync(phone)

    _, desk = session.device(browser, "desk")
    session.sync(desk)
    recorded["first"] = session.shown(desk) | {
        "answer": next(k for k, body in enumerate(wire.requests) if session.shown(desk)["device"] in body.decode())
    }  # fmt: skip
    wire.away = {"phone", "desk"}
    session.ask(phone, 'await hands.set("piece", "p1", { note: "Kragen zuerst – Größe 54" });')
    session.ask(desk, 'await hands.set("piece", "p1", { note: "Saum zuerst, Łódź" });')
    session.ask(desk, ELSEWHERE)
    wire.away = set()
    for page in (phone, desk, phone):
        session.sync(page)
    wire.away = {"desk"}
    session.ask(phone, """
        const said = (await hands.saidOf("piece", "p1")).filter((c) => c.field === "note");
        const lost = said.find((c) => c.value.startsWith("Kragen"));
        if (lost && hands.resolve) await hands.resolve(lost, lost.value);""")  # fmt: skip
    session.sync(phone)
    wire.away = {"phone", "desk"}
    session.server.stop()
    write(out / "workshop.sqlite.gz", (session.server.data / "ringwright.sqlite").read_bytes())
    text, recorded["file"] = session.folded()
    write(out / "export.jsonl.gz", text.encode())
    session.server.start()

    session.go(phone)
    phone.locator(".pad").nth(2).wait_for()
    session.tap(phone, 0, 2)
    session.ask(phone, 'window.turn(2); await hands.scrap("p1", "unit", 1); await hands.setting("spare_days", 11);')  # fmt: skip
    session.tap(phone, 0, 1)
    recorded["page"] = session.shown(phone)
    write(out / "page_file.json.gz", page_file(session, phone, button))
    rows = phone.evaluate(f"async () => {{ {ALL_ROWS} }}")
    recorded["page_version"] = rows["version"]
    write(out / "page.json.gz", compact(rows).encode())

    wire.away = set()
    recorded["sent_before"] = len(wire.requests)
    session.sync(phone)
    session.sync(desk)
    session.server.stop()
    _, recorded["whole"] = session.folded()
    write(out / "requests.jsonl.gz", b"\n".join(wire.requests) + b"\n")
    write(out / "answers.jsonl.gz", b"\n".join(wire.answers) + b"\n")
    return recorded


def keep(
    name: str,
    root: Path = ROOT,
    hands: str = HANDS,
    options: tuple[str, ...] = ("--no-pairing",),
    button: str = "Save a backup file",
) -> None:
    """Write `tests/kept/NAME` from the program in `root`."""
    out = HERE / name
    if out.exists():
        raise SystemExit(f"{out} is kept already and is not written over. Give another name.")
    out.mkdir()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playing:
        data = Path(folder) / "served"
        data.mkdir(mode=0o700)
        session = Session(root, data, hands, options)
        browser = playing.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        session.server.start()
        try:
            recorded = play(session, browser, out, button)
        finally:
            browser.close()
            session.server.stop()
    lines = ",\n".join(f'"{name}": {compact(value)}' for name, value in recorded.items())
    (out / "recorded.json").write_text("{\n" + lines + "\n}\n", "utf-8")


if __name__ == "__main__":
    keep(sys.argv[1] if len(sys.argv) > 1 else f"file-{len(STEPS)}-page-{page_version()}")
