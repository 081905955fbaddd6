"""The Bench on the invented workshop, with everything it has to say at once: no pad leaves the
screen.
"""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from server.settings import ROOT
from tests.page.desk import opened, still, until
from tests.running import Serving, started

PADS = """() => [...document.querySelectorAll("rw-bench .pad")].map((p) => {
  const box = p.getBoundingClientRect();
  return [box.left, box.top, innerWidth - box.right, innerHeight - box.bottom, box.width, box.height];
})"""


@pytest.fixture
def filled(tmp_path: Path) -> Iterator[Serving]:
    data = tmp_path / "filled"
    subprocess.run(
        [sys.executable, "demo/fill.py", str(data)], cwd=ROOT, check=True, capture_output=True
    )
    with started(data) as server:
        yield server


@pytest.mark.parametrize("size", [(390, 844), (360, 640), (844, 390), (640, 360), (1280, 800)])
def test_four_lanes_of_a_full_workshop_need_no_scrolling(
    browser: Browser, filled: Serving, size: tuple[int, int]
) -> None:
    """Pads of 20 mm and more: 126 px in the class of 160 px to the inch (Colle and Hiszem 2004)."""
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, has_touch=True)
    page = opened(context, filled.url)
    until(page, 'return store.answers.forecast && store.things("lane").length > 4;')
    page.locator("rw-bench .sight-next").wait_for()
    still(page)
    pads = page.evaluate(PADS)
    assert len(pads) == 4
    for left, top, right, bottom, width, height in pads:
        assert min(left, top, right, bottom) >= 0
        assert width >= 126 and height >= 126
    assert page.evaluate("() => document.documentElement.scrollHeight <= innerHeight + 1")
    context.close()
