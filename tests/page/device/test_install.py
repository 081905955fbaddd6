"""The page installs, keeps itself for use without the server, and asks nothing of any other place."""

from __future__ import annotations

import json
import struct
from pathlib import Path
from typing import Any

import httpx
from playwright.sync_api import BrowserContext, Page, Route, expect

from tests.page.desk import kept_offline, still
from tests.running import ROOT, Serving

STATIC = ROOT / "static"
MANIFEST: dict[str, Any] = json.loads((STATIC / "manifest.webmanifest").read_text("utf-8"))
GROUND = (0x14, 0x11, 0x0F)


def png_size(path: Path) -> tuple[int, int]:
    """Width and height from the header. Source: PNG specification, 11.2.1 IHDR."""
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    return struct.unpack(">II", data[16:24])


def file_of(src: str) -> Path:
    return STATIC / src.removeprefix("./")


def test_manifest_has_what_an_install_asks_for() -> None:
    # W3C Web Application Manifest; Chromium's install criteria: name, icons 192 and 512, start_url,
    # display
    for member in (
        "id",
        "name",
        "short_name",
        "start_url",
        "scope",
        "description",
        "theme_color",
        "background_color",
    ):
        assert MANIFEST[member]
    assert MANIFEST["display"] == "standalone"
    sizes = {(i["sizes"], i.get("purpose", "any")) for i in MANIFEST["icons"]}
    assert sizes == {("192x192", "any"), ("512x512", "any"), ("512x512", "maskable")}


def test_every_picture_of_the_manifest_has_the_size_it_says() -> None:
    for picture in MANIFEST["icons"] + MANIFEST["screenshots"]:
        width, height = map(int, picture["sizes"].split("x"))
        assert png_size(file_of(picture["src"])) == (width, height)
    assert png_size(STATIC / "icons" / "touch-180.png") == (180, 180)


def test_screenshots_keep_the_bounds_of_an_install_sheet() -> None:
    # 320 to 3840 px, the long side at most 2.3 times the short one. Source: web.dev, add-manifest
    for shot in MANIFEST["screenshots"]:
        short, long = sorted(map(int, shot["sizes"].split("x")))
        assert short >= 320 and long <= min(3840, 2.3 * short)
        assert shot["label"] and shot["form_factor"] in ("narrow", "wide")


def pixels(page: Page, src: str) -> list[list[int]]:
    """Every pixel that is not the ground, as [x, y, alpha]; drawn by the browser itself."""
    return list(
        page.evaluate(
            """async ([src, ground]) => {
        const image = new Image();
        image.src = src;
        await image.decode();
        const canvas = new OffscreenCanvas(image.width, image.height);
        const pen = canvas.getContext("2d");
        pen.drawImage(image, 0, 0);
        const { data } = pen.getImageData(0, 0, image.width, image.height);
        const out = [];
        for (let k = 0; k < data.length; k += 4) {
          const off = Math.max(...ground.map((c, j) => Math.abs(data[k + j] - c)));
          if (off <= 12 && data[k + 3] === 255) continue;
          out.push([(k / 4) % image.width, Math.floor(k / 4 / image.width), data[k + 3]]);
        }
        return out;
    }""",
            [src, list(GROUND)],
        )
    )


def test_maskable_icon_is_opaque_and_keeps_its_art_inside_the_safe_circle(page: Page) -> None:
    # safe zone: the circle of 80 % of the size. Source: W3C Web Application Manifest, icon masks
    page.goto("/")
    art = pixels(page, "/icons/maskable-512.png")
    assert len(art) > 10000
    assert {alpha for _, _, alpha in art} == {255}
    assert max(((x - 255.5) ** 2 + (y - 255.5) ** 2) ** 0.5 for x, y, _ in art) <= 0.4 * 512


def controlled(page: Page) -> None:
    """Opened and kept: the worker answers this page from now on."""
    page.goto("/")
    kept_offline(page)
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-ready", "yes")
    assert page.evaluate("navigator.serviceWorker.controller !== null")


def test_every_screen_opens_with_the_server_stopped(page: Page, serving: Serving) -> None:
    controlled(page)
    serving.stop()
    for name in ("bench", "pieces", "plan/new", "forecast", "stock", "records", "setup"):
        page.goto(f"/#{name}")
        page.reload()
        screen = page.locator(f"rw-{name.split('/')[0]}")
        expect(screen).to_be_visible()
        expect(screen.get_by_role("heading").first).to_be_visible()


def test_engine_answers_from_a_cold_start_with_the_server_stopped(
    page: Page, serving: Serving
) -> None:
    controlled(page)
    serving.stop()
    page.reload()
    answer = page.evaluate(
        "async () => (await import('./store/store.js')).store.ask({ask: 'gauge', gauge: 16})"
    )
    # American wire gauge 16: 1.291 mm by the formula of ASTM B258
    assert (
        abs(next(s["wire_mm"] for s in answer["systems"] if s["system"] == "awg") - 1.290) < 0.002
    )


def test_no_request_leaves_the_origin(context: BrowserContext, serving: Serving) -> None:
    asked: list[str] = []

    def note(route: Route) -> None:
        asked.append(route.request.url)
        route.continue_()

    context.route("**/*", note)
    page = context.new_page()
    page.on("request", lambda request: asked.append(request.url))
    controlled(page)
    for name in ("bench", "pieces", "plan/new", "forecast", "stock", "records", "setup"):
        page.goto(f"/#{name}")
        still(page)
    foreign = {u for u in asked if not u.startswith((serving.url + "/", "data:", "blob:"))}
    assert foreign == set()
    assert len(asked) > 20


def test_cache_holds_every_file_the_page_and_the_manifest_name(
    page: Page, serving: Serving
) -> None:
    controlled(page)
    kept = set(
        page.evaluate("""async () => {
        const names = (await caches.keys()).filter((n) => n.startsWith("ringwright-"));
        const keys = await (await caches.open(names[0])).keys();
        return keys.map((k) => new URL(k.url).pathname);
    }""")
    )
    wanted = {i["src"].removeprefix(".") for i in MANIFEST["icons"]} | {
        "/",
        "/manifest.webmanifest",
        "/engine.json",
        "/engine/worker.js",
    }
    wanted |= {f"/screens/{p.name}" for p in (STATIC / "screens").glob("*.js")}
    assert wanted <= kept


def test_worker_says_what_it_holds(serving: Serving) -> None:
    answer = httpx.get(serving.url + "/sw.js", timeout=60)
    assert answer.headers["content-type"].startswith("text/javascript")
    assert (
        "no-cache" in answer.headers["cache-control"]
        or "no-store" in answer.headers["cache-control"]
    )


def test_a_bad_link_in_the_address_leads_to_the_bench(page: Page) -> None:
    page.goto("/#no/such/screen")
    expect(page.locator("rw-bench")).to_be_visible()
    page.goto("/#plan/gone")
    expect(page.locator("rw-plan")).to_contain_text("No such piece")
