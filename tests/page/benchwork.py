"""A bench under test: an invented piece with lanes, touched through the browser's own input."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from tests.page.alone import alone
from tests.page.desk import ask, go, still, until, worked_out
from tests.running import Serving, started

MM = 160 / 25.4  # CSS px to the millimetre, 160-per-inch class
UPRIGHT = [(390, 844), (360, 640)]
LYING = [(844, 390), (640, 360)]
RING = {
    "wire_mm": 1.2,
    "inner_mm": 8,
    "lap_mm": 2.4,
    "metal": "mild steel",
    "rivet_mm": 0.8,
    "mandrel_length_mm": 200,
}
# 11 rows of 10: three chains of five units, twelve unit joins, two rows of nine joins (derived)
SHAPE = {"kind": "panel", "rows": 11, "columns": 10}

Bench = Callable[..., Page]

LAY = """
const { lanes, own, ring, shape, due } = given;
await store.set("ring", "r1", { name: "Round, 8 mm", ...ring });
const names = { p1: ["Apron", "square"], p2: ["Left sleeve", "triangle"] };
for (const [id, [name, mark]] of Object.entries(names)) {
  await store.set("piece", id, { name, mark, state: "open", ring: "r1", order: id === "p1" ? 1 : 2, due });
  await store.set("panel", `${id}-a`, { piece: id, name: "Front", order: 1, shape, state: "relaxed" });
}
for (const [k, lane] of lanes.entries()) {
  const [step, piece = "p1", more = {}] = lane;
  await store.set("lane", `l${k + 1}`, { piece, step, order: k + 1, ...more });
}
const said_lacks = ["vibration", "wake lock", "background sync", "voice", "sound"];
for (const [name, value] of Object.entries({ said_lacks, ...own })) await store.setOwn(name, value);
"""


LAID = "return Boolean(store.answers.standing('p1') && store.answers.standing('p2') && store.answers.forecast)"

# What a bench once laid has in its store, so that the next test begins with it: by server and bench.
laid: dict[tuple[str, str], Any] = {}


def benches(browser: Browser, url: str) -> Iterator[Bench]:
    """`bench(lanes, size=, theme=, own=, init=)` opens a page of its own profile, away from the
    server's log.
    """
    made: list[BrowserContext] = []

    def bench(
        lanes: list[Any] | None = None,
        *,
        size: tuple[int, int] = (390, 844),
        theme: Any = "dark",
        own: dict[str, Any] | None = None,
        init: str = "",
        due: str | None = None,
        shape: dict[str, Any] | None = None,
        **more: Any,
    ) -> Page:
        viewport: Any = {"width": size[0], "height": size[1]}
        rows = [[lane] if isinstance(lane, str) else list(lane) for lane in lanes or []]
        given = {"lanes": rows, "own": own or {}, "ring": RING, "shape": shape or SHAPE, "due": due}
        name = (url, json.dumps(given))
        context = alone(
            browser,
            url,
            viewport=viewport,
            has_touch=True,
            is_mobile=True,
            color_scheme=theme,
            storage_state=None if lanes is None else laid.get(name),
            **more,
        )
        made.append(context)
        page = context.new_page()
        page.add_init_script(init)
        go(page, url)
        if lanes is not None:
            if name not in laid:
                ask(page, LAY, given)
            until(page, LAID)
            still(page)
            if name not in laid:
                worked_out(page)  # with the day's forecasts in its log
                laid[name] = context.storage_state(indexed_db=True)
        return page

    yield bench
    for context in made:
        context.close()


@pytest.fixture(scope="package")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Serving]:
    """One server for all: it only hands out the page here."""
    with started(tmp_path_factory.mktemp("house") / "served") as server:
        yield server


@pytest.fixture
def bench(browser: Browser, house: Serving) -> Iterator[Bench]:
    yield from benches(browser, house.url)


class Finger:
    """Fingers on the glass, through the browser's own touch input; times are the touches' own, in
    ms.
    """

    def __init__(self, page: Page) -> None:
        self.cdp = page.context.new_cdp_session(page)
        self.start = time.time()
        self.at_ms = 0.0

    def send(self, kind: str, points: list[dict[str, float]], at_ms: float | None = None) -> None:
        message: dict[str, Any] = {"type": kind, "touchPoints": points}
        if at_ms is not None:
            message["timestamp"] = self.start + at_ms / 1000
        self.cdp.send("Input.dispatchTouchEvent", message)

    def down(
        self, x: float, y: float, at_ms: float | None = None, radius: float = 20, finger: int = 0
    ) -> None:
        self.send("touchStart", [spot(x, y, radius, finger)], at_ms)

    def move(self, x: float, y: float, at_ms: float | None = None) -> None:
        self.send("touchMove", [spot(x, y)], at_ms)

    def up(self, at_ms: float | None = None) -> None:
        self.send("touchEnd", [], at_ms)

    def tap(
        self,
        x: float,
        y: float,
        at_ms: float | None = None,
        held_ms: float = 40,
        radius: float = 20,
    ) -> None:
        self.down(x, y, at_ms, radius)
        self.up(None if at_ms is None else at_ms + held_ms)

    def taps(self, x: float, y: float, times: int) -> None:
        """At a fast hand's pace, ten a second by the touches' own times; the driver need not keep up."""
        for _ in range(times):
            self.at_ms += 100
            self.tap(x, y, self.at_ms, 45)


def spot(x: float, y: float, radius: float = 20, finger: int = 0) -> dict[str, float]:
    return {"x": x, "y": y, "radiusX": radius, "radiusY": radius, "force": 1, "id": finger}


def box(page: Page, selector: str, nth: int = 0) -> dict[str, float]:
    found = page.locator(selector).nth(nth).bounding_box()
    assert found is not None, selector
    return dict(found)


def middle(page: Page, selector: str = ".pad", nth: int = 0) -> tuple[float, float]:
    b = box(page, selector, nth)
    return b["x"] + b["width"] / 2, b["y"] + b["height"] / 2


def shown(page: Page, nth: int = 0) -> int:
    return int(page.locator(".pad-count").nth(nth).inner_text().replace("\u202f", ""))


def saved(page: Page, nth: int = 0) -> None:
    """Until the number on the pad is solid."""
    page.locator(".pad").nth(nth).and_(
        page.locator("[data-saved=saved], [data-saved=sent]")
    ).wait_for()


def log(page: Page, kind: str) -> list[dict[str, Any]]:
    """What was said of one kind, in order."""
    return list(ask(page, "return (await allChanges()).filter((c) => c.kind === given)", kind))
