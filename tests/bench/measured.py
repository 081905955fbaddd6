"""What the page's measurements share: the two pages side by side, and how figures are printed."""

from __future__ import annotations

import contextlib
import statistics
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from tests.bench.baseline import Baseline  # noqa: E402
from tests.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.running import Serving  # noqa: E402


@contextlib.contextmanager
def both() -> Iterator[tuple[Browser, Serving, Baseline]]:
    """A browser, our server on an empty workshop, and the bare page's."""
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "served").mkdir(mode=0o700)
        ours, bare = Serving(Path(folder) / "served"), Baseline()
        ours.start()
        try:
            with sync_playwright() as play:
                browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
                yield browser, ours, bare
                browser.close()
        finally:
            ours.stop()
            bare.stop()


def p95(values: list[float]) -> float:
    return sorted(values)[min(len(values) - 1, int(0.95 * len(values)))]


def line(name: str, values: list[float]) -> str:
    return (
        f"{name:34} median {statistics.median(values):7.1f}   p95 {p95(values):7.1f}   max"
        f" {max(values):7.1f} ms"
    )


def ratio(ours: list[float], bare: list[float]) -> str:
    return (
        f"{'  ratio to the bare page':34} median"
        f" {statistics.median(ours) / statistics.median(bare):7.2f}   p95"
        f" {p95(ours) / p95(bare):7.2f}   max {max(ours) / max(bare):7.2f}"
    )
