"""Renders icon.svg and takes both pictures of the manifest, of the demo's workshop: `python
tests/page/icons.py`.
"""

from __future__ import annotations

import base64
import math
import struct
import subprocess
import sys
import tempfile
import zlib
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from tests.conftest import CHROMIUM, FLAGS  # noqa: E402
from tests.page.screens import device, show  # noqa: E402
from tests.running import started  # noqa: E402

ICONS = ROOT / "static" / "icons"
# name, pixels, scale of the rings (in the drawing 1.18), whether the ground runs to the corners.
# A mask may cut away all but the circle of 80 % of the size: W3C Web Application Manifest, icon
# masks.
RENDERED = [
    ("icon-192", 192, 1.18, False),
    ("icon-512", 512, 1.18, False),
    ("maskable-512", 512, 1.0, True),
    ("touch-180", 180, 1.12, True),
]
SCREENSHOTS = [
    ("bench-390x844", "bench", "phone", "dark"),
    ("pieces-1280x800", "pieces", "desk", "light"),
]
PIXELS = """async (png) => {
  const image = new Image();
  image.src = png;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height);
  const pen = canvas.getContext("2d");
  pen.drawImage(image, 0, 0);
  return [image.width, image.height, Array.from(pen.getImageData(0, 0, image.width, image.height).data)];
}"""


def indexed(rgba: list[int]) -> tuple[list[tuple[int, ...]], bytes]:
    """The 256 commonest colours as they are, and each pixel's place among them or beside the
    nearest.
    """
    quads = [tuple(rgba[i : i + 4]) for i in range(0, len(rgba), 4)]
    common = Counter(quads).most_common()
    colours = [quad for quad, _ in common[:256]]
    place = {colour: i for i, colour in enumerate(colours)}
    for rare, _ in common[256:]:
        place[rare] = min(range(256), key=lambda i: math.dist(colours[i], rare))
    return colours, bytes(place[q] for q in quads)


def chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))


def png(width: int, height: int, rgba: list[int]) -> bytes:
    """A PNG with a palette. Source: PNG specification, 11.2 and 11.3 (IHDR, PLTE, tRNS, IDAT)."""
    colours, places = indexed(rgba)
    lines = b"".join(b"\0" + places[y * width : (y + 1) * width] for y in range(height))
    parts = [
        chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 3, 0, 0, 0)),
        chunk(b"PLTE", b"".join(bytes(c[:3]) for c in colours)),
        chunk(b"tRNS", bytes(c[3] for c in colours)),
        chunk(b"IDAT", zlib.compress(lines, 9)),
        chunk(b"IEND", b""),
    ]
    return b"\x89PNG\r\n\x1a\n" + b"".join(parts)


def write(browser: Browser, name: str, shot: bytes) -> None:
    page = browser.new_page()
    width, height, rgba = page.evaluate(
        PIXELS, "data:image/png;base64," + base64.b64encode(shot).decode()
    )
    page.close()
    small = png(width, height, rgba)
    (ICONS / f"{name}.png").write_bytes(small)
    print(f"{name}.png {width} x {height}, {len(small)} bytes")


def icons(browser: Browser) -> None:
    drawing = (ICONS / "icon.svg").read_text("utf-8")
    for name, size, scale, full in RENDERED:
        page = browser.new_page(viewport={"width": size, "height": size})
        rings = (
            f"#rings {{ transform: translate(256px, 256px) scale({scale}) translate(-256px,"
            " -256px); }"
        )
        ground = "#ground { rx: 0; }" if full else ""
        frame = (
            f"body {{ margin: 0; }} svg {{ display: block; width: {size}px; height: {size}px; }}"
        )
        page.set_content(f"<style>{frame}{rings}{ground}</style>{drawing}")
        write(browser, name, page.screenshot(omit_background=not full))
        page.close()


def screenshots(browser: Browser) -> None:
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "served").mkdir(mode=0o700)
        subprocess.run(
            [sys.executable, ROOT / "demo" / "fill.py", Path(folder) / "served"],
            cwd=ROOT,
            check=True,
        )
        with started(Path(folder) / "served") as server:
            for name, way, size, theme in SCREENSHOTS:
                context, page = device(browser, server.url, size, theme)
                show(page, server.url, way)
                write(browser, name, page.screenshot())
                context.close()


def main() -> None:
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        icons(browser)
        screenshots(browser)
        browser.close()


if __name__ == "__main__":
    main()
