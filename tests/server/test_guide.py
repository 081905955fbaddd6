"""The guide: what it has, what it refuses, and that nothing else comes over plain http."""

from __future__ import annotations

import re
from collections.abc import AsyncIterator
from pathlib import Path

import httpx
import pytest
from cryptography import x509

from server import authority, tls
from server.app import ROUTES
from server.guide import HEADERS, build_guide, first_device
from server.home import Home
from server.settings import Settings

WORKSHOP = "81b290aa" * 4
ANDROID = "Mozilla/5.0 (Linux; Android 14) Mobile"
IPHONE = "Mozilla/5.0 (iPhone; CPU iPhone OS 18_0 like Mac OS X)"


@pytest.fixture
async def guide(tmp_path: Path) -> AsyncIterator[httpx.AsyncClient]:
    """The guide of a workshop at anvil.local and 192.168.1.20, asked without a socket."""
    home = Home(tls.open_authority(tmp_path, WORKSHOP, "anvil.local"), ("192.168.1.20",))
    settings = Settings(data=tmp_path, lan=True, home=home)
    transport = httpx.ASGITransport(app=build_guide(settings, "81b2-90aa"))
    async with httpx.AsyncClient(
        transport=transport, base_url="http://192.168.1.20:8736"
    ) as asking:
        yield asking


async def test_b2_27_asvs_4_1_2_over_plain_http_there_is_only_the_guide(
    guide: httpx.AsyncClient,
) -> None:
    for path in [route.path.replace("{path:path}", "index.html") for route in ROUTES]:
        for method in ("GET", "POST", "PUT", "DELETE", "OPTIONS"):
            response = await guide.request(method, path, json={})
            assert response.status_code == 404, (method, path)
            assert "https://anvil.local:8737/" in response.json()["error"]["why"]
            assert "set-cookie" not in response.headers
    for path in ("/guide_en.html.j2", "/templates/guide.css", "/..%2fcli.py", "/guide.css/"):
        assert (await guide.get(path)).status_code == 404
    for method in ("POST", "PUT", "DELETE"):
        assert (await guide.request(method, "/")).status_code == 405


async def test_the_file_for_phones_is_the_root_alone_under_the_type_that_they_install(
    guide: httpx.AsyncClient, tmp_path: Path
) -> None:
    response = await guide.get("/workshop.crt")
    assert response.headers["content-type"] == "application/x-x509-ca-cert"
    assert response.headers["content-disposition"] == 'inline; filename="ringwright-81b2-90aa.crt"'
    found = tls.load(tmp_path)
    assert found and x509.load_der_x509_certificate(response.content) == found.root


async def test_b2_24_asvs_5_4_1_the_file_to_get_is_named_in_letters_digits_and_hyphens(
    guide: httpx.AsyncClient,
) -> None:
    """No text that anyone typed is in it, so none can end the header or name another folder."""
    given = (await guide.get("/workshop.crt")).headers["content-disposition"]
    assert re.fullmatch(r'inline; filename="[a-z0-9-]+\.crt"', given)
    asked = await guide.get("/workshop.crt", params={"file": '"; filename="x.exe'})
    assert asked.status_code in (200, 404)
    assert asked.headers.get("content-disposition", given) == given


async def test_the_guide_shows_the_fingerprint_of_the_very_file_that_it_gives(
    guide: httpx.AsyncClient,
) -> None:
    given = x509.load_der_x509_certificate((await guide.get("/workshop.crt")).content)
    shown = re.findall(r"<li>([0-9A-F]{4})</li>", (await guide.get("/")).text)
    assert shown == authority.fingerprint(given) * 3  # for each kind of device


@pytest.mark.parametrize("path", ["/", "/workshop.crt", "/guide.css", "/guide.js", "/nothing"])
async def test_every_answer_of_the_guide_has_the_strict_headers(
    guide: httpx.AsyncClient, path: str
) -> None:
    response = await guide.get(path)
    assert {name: response.headers.get(name) for name in HEADERS} == HEADERS
    policy = response.headers["content-security-policy"]
    assert "default-src 'none'" in policy and "unsafe" not in policy and "http" not in policy


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8736", "anvil.local", "anvil.local:8737", "192.168.1.21:8736",
     "anvil.local.:8736", "user@anvil.local:8736", ""],
)  # fmt: skip
async def test_the_guide_answers_only_at_its_own_names(guide: httpx.AsyncClient, host: str) -> None:
    for path in ("/", "/workshop.crt", "/nothing"):
        response = await guide.get(path, headers={"Host": host})
        assert response.status_code == 421 and "CERTIFICATE" not in response.text
        assert {name: response.headers.get(name) for name in HEADERS} == HEADERS
    twice = [("Host", "anvil.local:8736"), ("Host", "evil.example")]
    assert (await guide.get("/", headers=twice)).status_code == 421
    for own in ("anvil.local:8736", "ANVIL.local:8736", "127.0.0.1:8736"):
        assert (await guide.get("/", headers={"Host": own})).status_code == 200


@pytest.mark.parametrize(
    ("agent", "first"),
    [(ANDROID, "android"), (IPHONE, "iphone"), ("Mozilla/5.0 (iPad)", "iphone"), ("", "computer"),
     ("<script>Windows", "computer")],
)  # fmt: skip
async def test_the_steps_for_the_device_that_asks_come_first_and_all_are_there(
    guide: httpx.AsyncClient, agent: str, first: str
) -> None:
    assert first_device(agent) == first
    text = (await guide.get("/", headers={"User-Agent": agent})).text
    shown = re.findall(r'<h2 id="(android|iphone|computer)"', text)
    assert shown[0] == first and sorted(shown) == ["android", "computer", "iphone"]
    assert "<script>Windows" not in text


async def test_the_guide_has_no_inline_code_and_asks_nothing_of_another_place(
    guide: httpx.AsyncClient,
) -> None:
    text = (await guide.get("/")).text
    assert not re.findall(r"<script(?![^>]*src=)|<style|\son\w+=|\sstyle=", text)
    assert set(re.findall(r'(?:src|<link[^>]*href)="([^"]+)"', text)) == {"/guide.css", "/guide.js"}
    # what is not a template is written out wholly
    assert "{{" not in text and "{%" not in text


def luminance(colour: str) -> float:
    """Relative luminance. Source: WCAG 2.2, its definition."""
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


async def test_the_text_of_the_guide_keeps_seven_to_one_in_both_themes(
    guide: httpx.AsyncClient,
) -> None:
    # WCAG 2.2, 1.4.6
    style = (await guide.get("/guide.css")).text
    themes = re.findall(r":root \{(.*?)\}", style, re.DOTALL)
    assert len(themes) == 2
    for theme in themes:
        colours = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", theme))
        for front in ("text", "soft", "blue"):
            for back in ("ground", "surface", "raised"):
                low, high = sorted(luminance(colours[name]) for name in (front, back))
                assert (high + 0.05) / (low + 0.05) >= 7, (front, back)
