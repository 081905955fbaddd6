"""A real browser at home: with the workshop's authority in its store the page is installed and works
offline; without it the guide explains; under another name there is nothing.
"""

from __future__ import annotations

import os
import re
import shutil
import sqlite3
import ssl
import subprocess
import threading
from base64 import b64encode
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import httpx
import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from playwright.sync_api import Browser, BrowserContext, Error, Page, Playwright, expect

from server import tls
from tests.at_home import AtHome, started_at_home
from tests.page.desk import ask, kept_offline, synced
from tests.page.test_access import AXE, RULES, RUN, SMALL, WIDER
from tests.server.certificates import forged, key_text

CODE = "#pair=KTRMWHPD"
IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X) Safari"


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[AtHome]:
    """A server at home that stays as it is."""
    with started_at_home(tmp_path_factory.mktemp("home") / "served") as server:
        yield server


def trust(person: Path, root: Path) -> None:
    """Puts the workshop's certificate into the store that Chromium reads in this person's folder."""
    program = shutil.which("certutil")
    assert program, (
        "The tool for the browser's own certificates is missing: apt install libnss3-tools"
    )
    store = person / ".pki" / "nssdb"
    store.mkdir(parents=True)
    command = [program, "-d", f"sql:{store}"]
    subprocess.run([*command, "-N", "--empty-password"], check=True)
    added = ["-A", "-n", "workshop", "-t", "C,,", "-i", str(root)]
    subprocess.run([*command, *added], check=True)


class Devices:
    """Browsers of persons with a folder of their own, on a network where these names lead here."""

    def __init__(self, playing: Playwright, options: dict[str, Any], folder: Path) -> None:
        self.playing = playing
        self.options = options
        self.folder = folder

    @contextmanager
    def opened(self, server: AtHome, *, trusting: bool, **more: Any) -> Iterator[BrowserContext]:
        person = self.folder / "person"
        person.mkdir()
        if trusting:
            trust(person, server.root)
        names = ", ".join(
            f"MAP {n} 127.0.0.1" for n in (server.name, "hammer.local", "bank.example")
        )
        flags = [*self.options["args"], f"--host-resolver-rules={names}"]
        options = self.options | {"args": flags, "env": os.environ | {"HOME": str(person)}}
        context = self.playing.chromium.launch_persistent_context(
            self.folder / "profile", **options, **more
        )
        try:
            yield context
        finally:
            context.close()


@pytest.fixture
def devices(playing: Playwright, chromium_options: dict[str, Any], tmp_path: Path) -> Devices:
    return Devices(playing, chromium_options, tmp_path)


def address(server: AtHome) -> str:
    return f"https://{server.name}:{server.port}/"


def stands(page: Page) -> None:
    """The Bench is there, and the engine answers."""
    page.locator("html[data-ready=yes]").wait_for(state="attached")
    expect(page.locator("rw-bench")).to_be_visible()
    answer = page.evaluate(
        "async () => (await import('./store/store.js')).store.ask({ask: 'gauge', gauge: 16})"
    )
    assert answer["ok"]


def test_a_browser_that_trusts_the_workshop_installs_the_page_and_works_offline(
    devices: Devices, tmp_path: Path
) -> None:
    with (
        started_at_home(tmp_path / "served") as server,
        devices.opened(server, trusting=True) as context,
    ):
        page = context.new_page()
        answer = page.goto(address(server))
        assert answer is not None and answer.status == 200
        assert page.evaluate("isSecureContext")
        stands(page)
        kept_offline(page)
        page.reload()
        asked = context.new_cdp_session(page)
        assert asked.send("Page.getInstallabilityErrors")["installabilityErrors"] == []
        server.stop()
        page.reload()
        stands(page)
        assert page.evaluate("navigator.serviceWorker.controller !== null")


def test_a_phone_that_trusts_the_workshop_pairs_counts_offline_and_meets_the_desk(
    devices: Devices, tmp_path: Path
) -> None:
    """From the code to the counts of two devices, over https and by name; what is stolen from the
    server's files lets nobody in.
    """
    with (
        started_at_home(tmp_path / "served") as server,
        devices.opened(server, trusting=True) as phone,
    ):
        page = phone.new_page()
        page.goto(f"{address(server)}#pair={server.code()}")
        page.get_by_role("heading", name="This computer is paired").wait_for()
        page.goto(address(server))
        stands(page)
        synced(page)
        assert [c["name"][:18] for c in phone.cookies() if c["secure"]] == ["__Host-ringwright-"]
        kept_offline(page)
        ask(page, 'await store.set("piece", "coif", { name: "Coif", order: 1, state: "open" });')
        server.stop()
        page.reload()
        stands(page)
        for weight in (1, 2, 4):
            ask(page, 'await store.counting.count("coif", "close", given).saved;', weight)
        expect(page.locator("#carried")).to_have_attribute("data-state", "offline")
        server.start()
        synced(page)
        with server.paired() as desk:
            pulled = desk.post(
                "/api/sync", json={"v": 1, "device": "desk", "log": None, "after": 0, "changes": []}
            ).json()
            counts = [c["n"] for c in pulled["changes"] if c["kind"] == "count"]
            assert counts == [1, 2, 4]
            cookie = next(name for name in desk.cookies if name.startswith("__Host-"))
        with closing(sqlite3.connect(server.data / "paired.sqlite")) as db:
            hashes = [row[0] for row in db.execute("SELECT token FROM devices")]
        assert len(hashes) == 2
        with server.client() as thief:
            for stolen in (*[h.hex() for h in hashes], *[b64encode(h).decode() for h in hashes]):
                thief.cookies = httpx.Cookies({cookie: stolen})
                assert thief.get("/api/devices").status_code == 401


def test_the_page_opens_at_the_number_too(devices: Devices, home: AtHome) -> None:
    with devices.opened(home, trusting=True) as context:
        page = context.new_page()
        answer = page.goto(f"https://127.0.0.1:{home.port}/")
        assert answer is not None and answer.status == 200
        stands(page)


def test_without_trust_the_browser_refuses_the_page_and_the_guide_explains(
    devices: Devices, home: AtHome
) -> None:
    with devices.opened(home, trusting=False) as context:
        page = context.new_page()
        with pytest.raises(Error, match="ERR_CERT_AUTHORITY_INVALID"):
            page.goto(address(home))
        page = (
            context.new_page()
        )  # the refused one is still on its way to the browser's own warning
        page.goto(f"{home.guide}/{CODE}")
        expect(page.get_by_role("heading", name="Trust this workshop")).to_be_visible()
        for link in page.locator("a.page").all():
            assert (link.get_attribute("href") or "").endswith(CODE)
        first = page.get_by_role("link", name="Open the workshop").first
        assert first.get_attribute("href") == address(home) + CODE
        page.get_by_role("link", name="Android", exact=True).click()
        page.reload()  # as a phone does after minutes in its Settings
        assert page.url.endswith("#android")
        assert first.get_attribute("href") == address(home) + CODE
        with page.expect_download() as file:
            page.get_by_role("link", name="Get the file").first.click()
        given = ssl.DER_cert_to_PEM_cert(file.value.path().read_bytes())
        assert given == home.root.read_text()


def test_under_another_name_there_is_nothing_with_trust_or_past_the_warning(
    devices: Devices, home: AtHome, browser: Browser
) -> None:
    with devices.opened(home, trusting=True) as context:
        page = context.new_page()
        for name in ("hammer.local", "bank.example"):
            with pytest.raises(Error, match="ERR_CERT_COMMON_NAME_INVALID"):
                page.goto(f"https://{name}:{home.port}/")
    past = browser.new_context(ignore_https_errors=True)
    page = past.new_page()
    answer = page.goto(f"https://127.0.0.2:{home.port}/")
    assert answer is not None and answer.status == 421
    assert "Ringwright" not in page.title() and page.locator("script").count() == 0
    past.close()


class Bait(BaseHTTPRequestHandler):
    """What a thief of the key would show."""

    def do_GET(self) -> None:
        self.send_response(200)
        self.end_headers()
        self.wfile.write(b"a bank")

    def log_message(self, *_: object) -> None:
        """Says nothing."""


@contextmanager
def thief(home: AtHome, folder: Path, name: str) -> Iterator[int]:
    """A server with a certificate for this name, signed with the workshop's own key: its port."""
    found = tls.load(home.data)
    assert found is not None
    certificate, key = forged(found, datetime.now(UTC), name)
    chain = b"".join(c.public_bytes(Encoding.PEM) for c in (certificate, found.intermediate))
    (folder / "thief.pem").write_bytes(key_text(key) + chain)
    context = tls.new_context()
    context.load_cert_chain(folder / "thief.pem")
    server = ThreadingHTTPServer(("127.0.0.1", 0), Bait)
    server.socket = context.wrap_socket(server.socket, server_side=True)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    try:
        yield server.server_address[1]
    finally:
        server.shutdown()
        server.server_close()
        thread.join()


def test_b2_28_asvs_12_3_4_the_browser_takes_a_stolen_key_for_no_other_place(
    devices: Devices, home: AtHome, tmp_path: Path
) -> None:
    with devices.opened(home, trusting=True) as context:
        page = context.new_page()
        with thief(home, tmp_path, home.name) as port:  # which shows that the bait would be taken
            page.goto(f"https://{home.name}:{port}/")
            assert page.content().count("a bank") == 1
        with (
            thief(home, tmp_path, "bank.example") as port,
            pytest.raises(Error, match="ERR_CERT"),
        ):
            page.goto(f"https://bank.example:{port}/")


LOOKS = [
    (width, height, theme, points)
    for width, height in ((360, 640), (390, 844), (1280, 800))
    for theme in ("dark", "light")
    for points in (16, 32)
]


@pytest.mark.parametrize("agent", ["", IPHONE], ids=["computer", "iphone"])
@pytest.mark.parametrize(("width", "height", "theme", "points"), LOOKS)
def test_axe_finds_nothing_wrong_in_the_guide_and_nothing_runs_over(
    browser: Browser, home: AtHome, agent: str, width: int, height: int, theme: Any, points: int
) -> None:
    context = browser.new_context(
        viewport={"width": width, "height": height}, color_scheme=theme, user_agent=agent
    )
    page = context.new_page()
    told: list[str] = []
    page.on("console", lambda message: told.append(message.text))
    page.goto(home.guide)
    page.evaluate("(size) => { document.documentElement.style.fontSize = `${size}px`; }", points)
    page.evaluate(AXE.read_text("utf-8"))
    assert page.evaluate(RUN, RULES) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate(WIDER) == 0
    assert told == []
    context.close()


def test_the_guide_asks_nothing_of_another_place(browser: Browser, home: AtHome) -> None:
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(home.guide)
    assert len(asked) == 3 and all(re.match(re.escape(home.guide), url) for url in asked)
    context.close()
