"""The engine's answers for a garment of 30,000 rings in the page's own worker: `python
tests/bench/answers_page.py`.

Prints each question's median and worst of 15, in ms and as a ratio to the emptiest question of
the same run (one gauge number), which is what the bridge and the worker cost by themselves.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Page, sync_playwright  # noqa: E402

from tests.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.page.desk import ask, go  # noqa: E402
from tests.running import started  # noqa: E402

TIMES = 15
RING = {
    "wire_mm": 1.2,
    "inner_mm": 8,
    "lap_mm": 2.4,
    "metal": "mild_steel",
    "rivet_mm": 0.8,
    "mandrel_length_mm": 200,
}
SHAPES = [
    {"kind": "tube", "around_mm": 1150, "length_mm": 650},
    {"kind": "tube", "around_mm": 1200, "length_mm": 300},
    {"kind": "taper", "from_mm": 480, "to_mm": 280, "length_mm": 550, "round": True},
    {"kind": "taper", "from_mm": 480, "to_mm": 280, "length_mm": 550, "round": True},
    {"kind": "collar", "neck_mm": 420, "slant_mm": 150, "angle_deg": 60},
]
PANELS = [
    {"name": f"Part {i}", "ring": RING, "state": "relaxed", "shape": shape}
    for i, shape in enumerate(SHAPES)
]
LOSSES = {"pierce": {"good": 950, "bad": 50}, "close": {"good": 480, "bad": 20}}
EVERY = (
    "cut",
    "soften",
    "flatten",
    "soften_again",
    "pierce",
    "close",
    "unit",
    "unit_join",
    "chain_join",
)
RECORD = {step: {"good": 950, "bad": 50} for step in EVERY}
JOURNAL = {
    "wind": {"done": 60},
    "cut": {"done": 9000, "spoiled": 40},
    "pierce": {"done": 8000, "spoiled": 300},
}
QUESTIONS: dict[str, dict[str, Any]] = {
    "gauge (baseline)": {"ask": "gauge", "gauge": 16},
    "ring": {"ask": "ring", "ring": RING, "mandrel_length_mm": 200, "reel_kg": 5},
    "fabric": {"ask": "fabric", "ring": RING, "state": "relaxed"},
    "panel": {"ask": "panel", "ring": RING, "state": "relaxed", "shape": SHAPES[0]},
    "piece": {"ask": "piece", "panels": PANELS},
    "piece, losses": {"ask": "piece", "panels": PANELS, "losses": LOSSES, "sure": 0.95},
    "stand": {"ask": "stand", "panels": PANELS, "journal": JOURNAL},
    "stand, losses": {
        "ask": "stand",
        "panels": PANELS,
        "journal": JOURNAL,
        "losses": LOSSES,
        "sure": 0.95,
    },
    "stand, every step's": {"ask": "stand", "panels": PANELS, "journal": JOURNAL, "losses": RECORD},
    "weigh": {
        "ask": "weigh",
        "reference": {"rings": 20, "grams": 6},
        "scale_g": 0.1,
        "spread_percent": 1,
        "batch_g": 60,
    },
    "losses": {"ask": "losses", "need": 30000, "seen": [{"good": 950, "bad": 50}], "sure": 0.95},
}
TIME = """const from = performance.now();
const answer = await store.ask(given);
return [performance.now() - from, answer.rings ?? 0];"""


def measure(page: Page) -> None:
    base = 0.0
    for name, question in QUESTIONS.items():
        runs = [ask(page, TIME, question) for _ in range(TIMES)]
        times = [run[0] for run in runs]
        middle = statistics.median(times)
        base = base or middle
        rings = f"  {runs[0][1]} rings" if runs[0][1] else ""
        print(
            f"{name:19} median {middle:6.1f} ms  worst {max(times):6.1f} ms  {middle / base:5.1f}"
            f" x{rings}"
        )


def main() -> None:
    with (
        tempfile.TemporaryDirectory() as folder,
        started(Path(folder) / "served") as server,
        sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        page = browser.new_page()
        go(page, server.url)
        ask(page, "await store.ask({ ask: 'gauge', gauge: 16 });")
        measure(page)
        browser.close()


if __name__ == "__main__":
    main()
