"""An invented workshop of two months as the log of one device: for looking at full screens, proving
nothing.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import Page

from tests.running import Serving, started

Change = dict[str, Any]

DEVICE = "1nv3nt3d"
MINUTE = 60_000
# step, true minutes an item, items in a usual sitting
WORK = [
    ("wind", 5.0, 4),
    ("cut", 0.06, 400),
    ("soften", 0.03, 600),
    ("flatten", 0.25, 180),
    ("soften_again", 0.03, 500),
    ("pierce", 0.4, 120),
    ("close", 0.9, 50),
    ("unit", 2.4, 16),
    ("unit_join", 1.9, 14),
    ("chain_join", 2.0, 12),
]
PIECES = [("coif", "Coif with a square front", "disc", 46, 40), ("skirt", "Skirt with a slit back", "triangle", 21, 60),
          ("aventail", "Aventail", "diamond", 31, 120)]  # fmt: skip


class Workshop:
    def __init__(self, now: datetime, seed: int = 7) -> None:
        self.now = now
        self.rng = random.Random(seed)
        self.changes: list[Change] = []

    def say(self, at: datetime, kind: str, **fields: Any) -> None:
        ms = int(at.timestamp() * 1000)
        head: Change = {
            "device": DEVICE,
            "seq": len(self.changes) + 1,
            "at": ms,
            "tz": 0,
            "v": 1,
            "kind": kind,
        }
        if kind == "set":
            head["stamp"] = [ms, len(self.changes)]
        self.changes.append({**head, **fields})

    def set(self, at: datetime, thing: str, key: str, **fields: Any) -> None:
        for field, value in fields.items():
            self.say(at, "set", thing=thing, id=key, field=field, value=value)

    def lay(self, at: datetime) -> None:
        self.set(at, "ring", "r1", name="Round, 8 mm", kind="riveted", wire_mm=1.2, inner_mm=8, lap_mm=2.4,
                 metal="mild steel", rivet_mm=0.9, mandrel_length_mm=200)  # fmt: skip
        for order, (name, words, mark, rows, columns) in enumerate(PIECES, 1):
            due = (self.now + timedelta(days=60 * order)).date().isoformat()
            self.set(at, "piece", name, name=words, mark=mark, order=order, state="open", ring="r1", due=due,
                     customer="The players' guild")  # fmt: skip
            shape = {"kind": "panel", "rows": rows, "columns": columns}
            self.set(
                at,
                "panel",
                f"{name}-1",
                piece=name,
                name="Body",
                order=1,
                shape=shape,
                state="relaxed",
            )
        for order, (step, _, batch) in enumerate(WORK[5:8], 1):
            self.set(
                at,
                "lane",
                f"l{order}",
                piece="coif",
                step=step,
                order=order,
                batch=10 if batch > 100 else 1,
            )
        self.set(
            at, "setting", "workshop", week_hours=9, rate=2200, currency="EUR", margin_percent=15
        )
        self.set(at, "reel", "a", name="Big reel", metal="mild steel", wire_mm=1.2, how="weight", gross_g=6400,
                 empty_g=900, start_g=10000, per_kg=480, order=1)  # fmt: skip

    def sit(self, at: datetime, name: str, step: str, each: float, items: int) -> datetime:
        """One sitting; returns when it ended."""
        minutes = items * each * self.rng.lognormvariate(0, 0.2)
        end = at + timedelta(minutes=minutes)
        head = {"sitting": f"s{len(self.changes)}", "piece": name, "step": step}
        self.say(at, "sitting", event="start", **head)
        self.say(end, "count", n=items, how="hand", **head)
        self.say(end, "sitting", event="stop", **head)
        return end

    def evening(self, day: datetime, turn: int) -> None:
        at = day.replace(hour=18, minute=self.rng.randrange(0, 50), second=0, microsecond=0)
        for k in range(3):
            step, each, items = WORK[(turn * 3 + k) % len(WORK)]
            at = self.sit(
                at, "coif", step, each, max(1, int(items * self.rng.uniform(0.7, 1.2)))
            ) + timedelta(minutes=4)


def invented(now: datetime | None = None) -> list[Change]:
    """About 60 sittings on three pieces, ending yesterday."""
    now = now or datetime.now(UTC)
    shop = Workshop(now)
    shop.lay(now - timedelta(days=61))
    days = [d for d in range(60, 0, -1) if shop.rng.random() < 0.4]
    for turn, d in enumerate(days):
        shop.evening(now - timedelta(days=d), turn)
    return shop.changes


def elsewhere(now: datetime | None = None) -> list[Change]:
    """What a second device said without knowing of the first: a name that gives way, a contact held
    apart.
    """
    ms = int(((now or datetime.now(UTC)) - timedelta(days=61, minutes=1)).timestamp() * 1000)
    head: Change = {"device": "0th3r", "at": ms, "tz": 0, "v": 1}
    named = {
        "seq": 1,
        "kind": "set",
        "thing": "piece",
        "id": "aventail",
        "field": "name",
        "value": "Mantle",
    }
    held = {"seq": 2, "kind": "hold", "piece": "coif", "step": "close", "n": 1, "why": "bounce"}
    return [{**head, **named, "stamp": [ms, 0]}, {**head, **held}]


def send(url: str, changes: list[Change]) -> None:
    """As their device would: in batches, each acknowledged."""
    device = changes[0]["device"]
    with httpx.Client(headers={"Origin": url}, timeout=20) as client:
        for start in range(0, len(changes), 500):
            some = changes[start : start + 500]
            body = {"v": 1, "device": device, "log": None, "after": 0, "changes": some}
            answer = client.post(url + "/api/sync", json=body).json()
            assert answer["acked"] == min(len(changes), start + 500), answer
            assert answer["refused"] == []


_LAY = """async ([many, work]) => {
  const db = await new Promise((done, fail) => {
    const open = indexedDB.open("ringwright");
    open.onsuccess = () => done(open.result);
    open.onerror = () => fail(open.error);
  });
  const tx = db.transaction("sittings", "readwrite");
  const now = Date.now(), span = 3652 * 864e5 * many / 20000;
  for (let k = 0; k < many; k++) {
    const [step, each, items] = work[k % work.length];
    const t = Math.round(now - 864e5 - span * (1 - k / many)), minutes = each * items * (0.8 + (k * 7919 % 400) / 1000);
    const event = (name, at) => ({ event: name, piece: "coif", step, at, t: at, device: "0ld", seq: k, tz: 0 });
    tx.objectStore("sittings").put({ sitting: `old${k}`, piece: "coif", step, items, untimed: 0, last_ms: t, seen_ms: t,
      events: [event("start", t), event("stop", Math.round(t + minutes * 60000))] });
  }
  await new Promise((done, fail) => { tx.oncomplete = done; tx.onerror = fail; });
  db.close();
}"""


def lay_old(page: Page, many: int) -> None:
    """So many older sittings, ten years for 20,000, straight into the browser's store; seen after
    the next start.
    """
    page.evaluate(_LAY, [many, WORK])


@contextmanager
def filled(folder: Path) -> Iterator[Serving]:
    """A running server that holds the invented workshop."""
    with started(folder) as server:
        send(server.url, invented())
        send(server.url, elsewhere())
        yield server
