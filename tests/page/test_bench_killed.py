"""The browser is killed in the middle of tapping, twenty times: whatever showed as saved is there."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import Browser, Page, Playwright

from tests.conftest import CHROMIUM, FLAGS
from tests.page.benchwork import LAY, RING, SHAPE, shown
from tests.page.desk import ask, go
from tests.running import Serving, free_port

KILLS = 20


class Killable:
    """A Chromium of our own on a profile that stays, in a process group that can be killed whole."""

    def __init__(self, play: Playwright, profile: Path) -> None:
        self.play = play
        self.profile = profile
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> Page:
        port = free_port()
        options = [f"--remote-debugging-port={port}", f"--user-data-dir={self.profile}", "--headless=new", *FLAGS]
        with open(self.profile.parent / "chromium.out", "ab") as out:
            self.process = subprocess.Popen(
                [CHROMIUM, *options, "about:blank"], stdout=out, stderr=out, start_new_session=True
            )
        return self._joined(port).contexts[0].pages[0]

    def _joined(self, port: int) -> Browser:
        end = time.monotonic() + 30
        while time.monotonic() < end:
            try:
                httpx.get(f"http://127.0.0.1:{port}/json/version", timeout=2)
                return self.play.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
            except httpx.TransportError:
                time.sleep(0.1)
        raise AssertionError("Chromium did not come up")

    def kill(self) -> None:
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(20)
            _gone(self.process.pid)
            self.process = None


def _gone(group: int) -> None:
    """Waits for every process of the browser: one that still holds the profile's files makes the next browser
    take them for damaged and begin an empty store, which no killed phone would meet."""
    end = time.monotonic() + 30
    while time.monotonic() < end:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return
        time.sleep(0.05)
    raise AssertionError("the killed browser is still there")


# Forty taps a second by the page itself, so that the kill falls between any two steps of one.
TAP = """
store.addEventListener("saved", (e) => { window.showed(e.detail.change.seq); });
const pad = document.querySelector(".pad");
const press = { pointerId: 1, pointerType: "mouse", bubbles: true };
const touch = (kind) => pad.dispatchEvent(new PointerEvent(kind, press));
setInterval(() => { touch("pointerdown"); touch("pointerup"); }, 25);
"""


def test_every_tap_that_showed_as_saved_outlives_twenty_kills(
    playing: Playwright, house: Serving, tmp_path: Path
) -> None:
    browser = Killable(playing, tmp_path / "profile")
    rng = random.Random(20)
    seen: set[int] = set()
    try:
        for round_ in range(KILLS):
            page = browser.start()
            page.route("**/api/sync", lambda route: route.abort())
            go(page, house.url)
            if not round_:
                ask(page, LAY, {"lanes": [["unit"]], "own": {}, "ring": RING, "shape": SHAPE, "due": None})
            page.locator(".pad").wait_for()
            check(page, seen)
            page.expose_function("showed", lambda seq: seen.add(seq))
            ask(page, TAP)
            before, end = len(seen), time.monotonic() + 10
            page.wait_for_timeout(rng.uniform(300, 1200))
            while len(seen) < before + 6 and time.monotonic() < end:  # a busy machine gets its time
                page.wait_for_timeout(20)
            browser.kill()
        page = browser.start()
        page.route("**/api/sync", lambda route: route.abort())
        go(page, house.url)
        page.locator(".pad").wait_for()
        check(page, seen)
        assert len(seen) > 5 * KILLS, f"only {len(seen)} taps were seen as saved: too few to prove anything"
    finally:
        browser.kill()


def check(page: Page, seen: set[int]) -> None:
    counts: list[dict[str, Any]] = ask(page, 'return (await store.everything()).filter((c) => c.kind === "count")')
    there = {c["seq"] for c in counts}
    assert seen <= there, f"lost: {sorted(seen - there)}"
    assert len(there) == len(counts) == shown(page)
