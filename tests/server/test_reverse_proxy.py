"""Behind a real reverse proxy, set up by the recipe of the README; and whose address limits count."""

from __future__ import annotations

import re
import shutil
import ssl
import subprocess
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
import uvicorn
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route

from server.app import build_app
from server.proxy import client_address
from server.settings import Settings
from tests.running import ROOT, Serving, free_port
from tests.server.certificates import own_pair

NAME = "rings.example.org"
RECIPE = re.compile(r"```\n(rings\.example\.org \{.*?\n\})\n```", re.DOTALL)


def asking(app_state: Any, peer: str | None, *said: str) -> Request:
    headers = [(b"x-forwarded-for", each.encode()) for each in said]
    client = (peer, 4711) if peer else None
    return Request({"type": "http", "app": app_state, "client": client, "headers": headers})


@pytest.mark.parametrize(
    ("public_name", "peer", "said", "address"),
    [
        (NAME, "127.0.0.1", ["192.168.1.9"], "192.168.1.9"),
        (NAME, "127.0.0.1", ["1.1.1.1, 192.168.1.9"], "192.168.1.9"),
        (NAME, "127.0.0.1", ["1.1.1.1", "192.168.1.9"], "192.168.1.9"),
        (NAME, "::1", ["2001:DB8:0::1"], "2001:db8::1"),
        (NAME, "127.0.0.1", [], "127.0.0.1"),
        (NAME, "127.0.0.1", ["nobody"], "127.0.0.1"),
        (NAME, "127.0.0.1", ["192.168.1.9, "], "127.0.0.1"),
        (NAME, "192.168.1.50", ["192.168.1.9"], "192.168.1.50"),
        ("", "127.0.0.1", ["192.168.1.9"], "127.0.0.1"),
        ("", "192.168.1.50", ["192.168.1.9"], "192.168.1.50"),
        (NAME, None, ["192.168.1.9"], ""),
        (NAME, "testclient", ["192.168.1.9"], ""),
    ],
)
def test_what_a_proxy_says_is_believed_only_behind_one_and_only_its_own_word(
    tmp_path: Path, public_name: str, peer: str | None, said: list[str], address: str
) -> None:
    app = Starlette()
    app.state.settings = Settings(data=tmp_path, public_name=public_name)
    assert client_address(asking(app, peer, *said)) == address


def test_a_server_that_speaks_https_itself_believes_no_proxy(tmp_path: Path) -> None:
    app = Starlette()
    app.state.settings = Settings(
        data=tmp_path, public_name=NAME, cert=tmp_path / "a", key=tmp_path / "b"
    )
    assert client_address(asking(app, "127.0.0.1", "192.168.1.9")) == "127.0.0.1"


class Proxy:
    """Caddy with the README's recipe in front of a port of this machine."""

    def __init__(self, folder: Path, upstream: int) -> None:
        self.folder = folder
        self.port = free_port()
        self.cookies: dict[str, str] = {}
        now = datetime.now(UTC)
        dates = (now - timedelta(days=1), now + timedelta(days=9))
        self.cert, key = own_pair(folder, [NAME], *dates)
        (recipe,) = RECIPE.findall((ROOT / "README.md").read_text("utf-8"))
        assert recipe.count("127.0.0.1:8737") == 1
        # as it stands, but for what a test cannot have: the usual ports, and a name in the world
        site = recipe.replace("127.0.0.1:8737", f"127.0.0.1:{upstream}")
        site = site.replace(NAME, f"{NAME}:{self.port}", 1)
        site = site.replace("{\n", f"{{\n    tls {self.cert} {key}\n", 1)
        options = "{\n    admin off\n    auto_https disable_redirects\n}\n"
        (folder / "Caddyfile").write_text(f"{options}{site}\n")

    @contextmanager
    def running(self) -> Iterator[Proxy]:
        program = shutil.which("caddy")
        assert program, "The reverse proxy Caddy is missing: apt install caddy"
        home = {"HOME": str(self.folder), "XDG_DATA_HOME": str(self.folder)}
        command = [program, "run", "--config", str(self.folder / "Caddyfile")]
        with open(self.folder / "proxy.out", "wb") as out:
            process = subprocess.Popen(command, env=home, stdout=out, stderr=out)
        try:
            self._await(process)
            yield self
        finally:
            process.terminate()
            process.wait(60)

    def _await(self, process: subprocess.Popen[bytes]) -> None:
        end = time.monotonic() + 120
        while time.monotonic() < end:
            assert process.poll() is None, (self.folder / "proxy.out").read_text()
            try:
                if self.ask("GET", "/health").status_code == 200:
                    return
            except httpx.TransportError:
                time.sleep(0.05)  # before it is asked again
        raise AssertionError((self.folder / "proxy.out").read_text())

    def let_in(self, code: str) -> None:
        """Pairs: from now on it is asked as that device."""
        answer = self.ask("POST", "/api/pair", json={"code": code, "name": "Phone"})
        assert answer.status_code == 200, answer.text
        self.cookies = dict(answer.cookies)

    def ask(
        self, method: str, path: str, host: str = "", source: str = "127.0.0.1", **more: Any
    ) -> httpx.Response:
        """As a browser that resolves the name to this machine."""
        trusting = ssl.create_default_context(cafile=str(self.cert))
        headers = {"Host": host or f"{NAME}:{self.port}", **more.pop("headers", {})}
        transport = httpx.HTTPTransport(verify=trusting, local_address=source)
        with httpx.Client(transport=transport, timeout=60, cookies=self.cookies) as client:
            return client.request(
                method,
                f"https://127.0.0.1:{self.port}{path}",
                headers=headers,
                extensions={"sni_hostname": NAME},
                **more,
            )


class Behind(Serving):
    """The real server under a public name, which is the only one it answers to."""

    def __init__(self, data: Path, name: str) -> None:
        super().__init__(data, "--public-name", name, pairing=True)
        self.name = name

    def _asked(self, path: str) -> httpx.Response:
        return httpx.get(self.url + path, headers={"Host": self.name}, timeout=20)


@pytest.fixture(scope="module")
def proxy(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Proxy]:
    """The real server behind the real proxy."""
    folder = tmp_path_factory.mktemp("proxy")
    proxy = Proxy(folder, 0)  # its port is the public name's, which the server must know first
    (folder / "served").mkdir(mode=0o700)
    server = Behind(folder / "served", f"{NAME}:{proxy.port}")
    file = folder / "Caddyfile"
    file.write_text(file.read_text().replace("127.0.0.1:0", f"127.0.0.1:{server.port}"))
    server.start()
    try:
        with proxy.running():
            proxy.let_in(server.code())
            yield proxy
    finally:
        server.stop()


SAID = {"v": 1, "device": "a", "log": None, "after": 0, "changes": []}


def test_page_and_api_come_through_the_proxy_over_https(proxy: Proxy) -> None:
    page = proxy.ask("GET", "/")
    assert page.status_code == 200 and page.headers["content-type"].startswith("text/html")
    assert "default-src 'self'" in page.headers["content-security-policy"]
    own = {"Origin": f"https://{NAME}:{proxy.port}", "Sec-Fetch-Site": "same-origin"}
    assert proxy.ask("POST", "/api/sync", json=SAID, headers=own).json()["acked"] == 0


def test_another_name_or_site_gets_nothing_through_the_proxy(proxy: Proxy) -> None:
    for host in (f"evil.example:{proxy.port}", "evil.example", NAME):
        response = proxy.ask("GET", "/health", host=host)
        assert response.status_code != 200 or response.content == b""
        assert "ok" not in response.text
    for origin in (f"https://evil.example:{proxy.port}", f"http://{NAME}:{proxy.port}", "null"):
        refused = proxy.ask("POST", "/api/sync", json=SAID, headers={"Origin": origin})
        assert refused.status_code == 403


def test_the_limits_of_a_body_hold_through_the_proxy(proxy: Proxy) -> None:
    large = b"[" + b"1," * 600_000 + b"1]"
    kind = {"Content-Type": "application/json"}
    assert proxy.ask("POST", "/api/sync", content=large, headers=kind).status_code == 413

    def in_parts() -> Iterator[bytes]:  # with no length said before
        for k in range(0, len(large), 65_536):
            yield large[k : k + 65_536]

    assert proxy.ask("POST", "/api/sync", content=in_parts(), headers=kind).status_code == 413
    plain = proxy.ask("POST", "/api/sync", content=b"{}", headers={"Content-Type": "text/plain"})
    assert plain.status_code == 415
    assert proxy.ask("GET", "/health").json() == {"ok": True}


def test_limits_count_for_who_asks_the_proxy_whatever_he_says_of_himself(tmp_path: Path) -> None:
    def told(request: Request) -> Response:
        return PlainTextResponse(client_address(request))

    upstream = free_port()
    proxy = Proxy(tmp_path, upstream)
    settings = Settings(data=tmp_path / "data", port=upstream, public_name=f"{NAME}:{proxy.port}")
    app = build_app(settings)
    app.router.routes.insert(0, Route("/who", told))
    config = uvicorn.Config(app, port=upstream, log_level="warning", proxy_headers=False, ws="none")
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        with proxy.running():
            for source in ("127.0.0.1", "127.0.0.9"):
                for forged in ({}, {"X-Forwarded-For": "1.1.1.1"}):
                    answer = proxy.ask("GET", "/who", source=source, headers=forged)
                    assert answer.text == source
    finally:
        server.should_exit = True
        thread.join(60)
