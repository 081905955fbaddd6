"""The main job, whole: installed, the server stopped, a piece made, 300 taps, 5 undone, closed,
opened again, synced.

In the end SQLite, `ringwright ask` and the page must agree to the last unit. A maker's counts are
what is expected; nothing here is computed by the code under test.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from tests.page.benchwork import Finger
from tests.page.desk import ask, go, kept_offline, until
from tests.running import ROOT, Serving

LANES = {"Pierce": "pierce", "Close": "close", "Unit": "unit"}
SUMS = """
SELECT json_extract(body, '$.step'), sum(json_extract(body, '$.n')) FROM changes AS c
WHERE json_extract(body, '$.kind') = 'count' AND json_extract(body, '$.undoes') IS NULL AND NOT EXISTS (
  SELECT 1 FROM changes AS u WHERE json_extract(u.body, '$.undoes.device') = c.device
  AND json_extract(u.body, '$.undoes.seq') = c.seq)
GROUP BY 1"""


def installed(page: Page, url: str) -> None:
    """As far as a browser without windows goes: nothing stands against installing, and the worker
    holds every file.
    """
    go(page, url)
    kept_offline(page)
    page.reload()
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    assert page.evaluate("() => Boolean(navigator.serviceWorker.controller)")
    session = page.context.new_cdp_session(page)
    assert session.send("Page.getInstallabilityErrors")["installabilityErrors"] == []
    session.detach()


def make_piece(page: Page) -> None:
    page.get_by_role("link", name="Plan your first piece").click()
    page.get_by_role("textbox", name="Name", exact=True).fill("Coif")
    for name, value in (("Wire", "1.2"), ("Inside", "8"), ("Width", "300"), ("Height", "200")):
        page.get_by_role("textbox", name=f"{name} mm", exact=True).fill(value)
    expect(page.locator("main")).to_contain_text("chains: 8 × 20")
    page.get_by_role("button", name="Save").last.click()


def choose_lanes(page: Page) -> None:
    page.get_by_role("checkbox", name="Wind").uncheck()
    page.get_by_role("checkbox", name="Pierce").check()
    for name in ("Pierce", "Close"):
        page.get_by_role("textbox", name=f"{name}: batch of one touch").fill("1")
    page.get_by_role("button", name="To the Bench").click()


def pad(page: Page, lane: str) -> Any:
    return page.get_by_role("region", name=f"{lane}, Coif", exact=True).get_by_role(
        "button", name="Count one"
    )


def tap(page: Page, finger: Finger, lane: str, times: int) -> None:
    """A finger on the glass, at a fast hand's pace."""
    box = pad(page, lane).bounding_box()
    assert box is not None
    finger.taps(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2, times)


def shown(page: Page) -> dict[str, str]:
    """The big figures on the pads, as the maker reads them."""
    return {
        step: pad(page, lane).locator(".pad-count").inner_text() for lane, step in LANES.items()
    }


def in_sqlite(serving: Serving) -> dict[str, int]:
    return dict(serving.stored(SUMS))


def by_command(question: dict[str, Any]) -> dict[str, Any]:
    run = subprocess.run(
        [sys.executable, "-c", "from server.cli import main; main()", "ask"],
        input=json.dumps(question), capture_output=True, text=True, cwd=ROOT, check=True,
    )  # fmt: skip
    answer: dict[str, Any] = json.loads(run.stdout)
    assert answer["ok"], answer
    return answer


def exported(page: Page, url: str) -> dict[str, Any]:
    """The file that Records writes is a question the engine folds."""
    go(page, url, "#records/copy")
    with page.expect_download() as waited:
        page.get_by_role("button", name="Save a backup file").click()
    question: dict[str, Any] = json.loads(Path(waited.value.path()).read_text("utf-8"))
    return question


def numbers(value: Any) -> list[float]:
    if isinstance(value, dict):
        return [n for key in sorted(value) for n in numbers(value[key])]
    if isinstance(value, list):
        return [n for one in value for n in numbers(one)]
    return [float(value)] if isinstance(value, (int, float)) and not isinstance(value, bool) else []


def test_the_main_job_holds_from_the_first_tap_to_the_server(
    playing: Playwright, chromium_options: dict[str, Any], serving: Serving, tmp_path: Path
) -> None:
    asked: list[str] = []

    def opened() -> tuple[BrowserContext, Page]:
        context = playing.chromium.launch_persistent_context(
            tmp_path / "phone",
            viewport={"width": 390, "height": 844},
            has_touch=True,
            **chromium_options,
        )
        context.on("request", lambda request: asked.append(request.url))
        return context, context.pages[0]

    context, page = opened()
    installed(page, serving.url)
    serving.stop()
    go(page, serving.url)
    make_piece(page)
    choose_lanes(page)
    finger = Finger(page)
    for lane in LANES:
        tap(page, finger, lane, 100)
    assert shown(page) == {"pierce": "100", "close": "100", "unit": "100"}
    for left in range(99, 94, -1):
        page.get_by_role("button", name="Undo").first.click()
        expect(pad(page, "Unit").locator(".pad-count")).to_have_text(str(left))
    wanted = {"pierce": 100, "close": 100, "unit": 95}
    context.close()

    context, page = opened()
    go(page, serving.url)
    assert shown(page) == {step: str(n) for step, n in wanted.items()}
    expect(page.locator("rw-bench")).to_contain_text("safe")
    go(page, serving.url, "#forecast")
    expect(page.locator("rw-forecast")).to_contain_text("Safe to promise")

    serving.start()
    page.locator("#carried[data-state=synced]").wait_for()
    until(page, "return store.sync.now.waiting === 0;")
    piece = ask(page, 'return store.things("piece")[0].id;')
    on_page = {
        step: ask(page, "return store.totals.of(...given).done;", [piece, step]) for step in wanted
    }
    folded = by_command(exported(page, serving.url))
    assert (
        on_page == in_sqlite(serving) == {t["step"]: t["done"] for t in folded["totals"]} == wanted
    )

    kept = ask(page, 'await store.answers.settled; return store.answers.saved.get("forecast");')
    told = by_command(json.loads(kept["asked"]))
    assert numbers(told["pieces"]) == pytest.approx(numbers(kept["answer"]["pieces"]), rel=1e-9)
    assert [p["finish"] for p in told["pieces"]] == [p["finish"] for p in kept["answer"]["pieces"]]
    context.close()
    assert [url for url in asked if not url.startswith((serving.url, "blob:"))] == []
