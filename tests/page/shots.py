"""Pictures of every screen in both sizes and themes into tests/shots/: `python tests/page/shots.py
[way ...]`.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import sync_playwright  # noqa: E402

from tests.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.page.invented import filled  # noqa: E402
from tests.page.screens import SIZES, THEMES, WAYS, device, show  # noqa: E402

SHOTS = ROOT / "tests" / "shots"


def shoot(url: str, ways: list[str]) -> int:
    taken = 0
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for size in SIZES:
            for theme in THEMES:
                context, page = device(browser, url, size, theme)
                for way in ways:
                    show(page, url, way)
                    page.screenshot(path=SHOTS / f"{way.replace('/', '-')}-{size}-{theme}.png")
                    taken += 1
                context.close()
        browser.close()
    return taken


def main() -> None:
    SHOTS.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, filled(Path(folder) / "served") as server:
        print(f"{shoot(server.url, sys.argv[1:] or WAYS)} pictures in {SHOTS}")


if __name__ == "__main__":
    main()
