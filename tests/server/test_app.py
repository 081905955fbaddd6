"""The app's edges: what it serves, to whom, and how it refuses."""

from __future__ import annotations

from typing import Any

import httpx
import pytest

from server.app import ROUTES
from server.guard import HEADERS
from tests.running import Serving
from tests.server.link import URL, Link

SAID = {"v": 1, "device": "a", "log": None, "after": 0, "changes": []}


def shape(response: httpx.Response, status: int) -> dict[str, str]:
    """The one error shape, pinned here for all tests."""
    assert response.status_code == status, response.text
    assert response.headers["content-type"] == "application/json"
    assert response.headers["cache-control"] == "no-store"
    error = response.json()["error"]
    assert set(response.json()) == {"error"} and set(error) == {"field", "why"}
    return dict(error)


def test_the_running_server_answers_and_stops_on_interrupt(serving: Serving) -> None:
    assert httpx.get(serving.url + "/health").json() == {"ok": True}
    assert httpx.get(serving.url + "/").headers["content-type"] == "text/html; charset=utf-8"
    assert serving.url in serving.output()
    serving.stop()
    assert serving.output().endswith("Stopped. What was saved is saved.\n")
    assert "Traceback" not in serving.output()
    serving.start()
    assert httpx.get(serving.url + "/health").status_code == 200


@pytest.mark.parametrize(
    ("method", "path", "body", "status"),
    [
        ("GET", "/", None, 200),
        ("GET", "/health", None, 200),
        ("GET", "/sw.js", None, 200),
        ("GET", "/nothing", None, 404),
        ("DELETE", "/", None, 405),
        ("GET", "/api/sync", None, 404),
        ("POST", "/api/sync", SAID, 200),
        ("POST", "/api/sync", [], 400),
        ("POST", "/api/ask", 5, 400),
    ],
)
async def test_every_answer_carries_the_strict_headers(
    link: Link, method: str, path: str, body: Any, status: int
) -> None:
    response = await link.client.request(method, path, json=body)
    assert response.status_code == status
    assert {name: response.headers.get(name) for name in HEADERS} == HEADERS
    assert "set-cookie" not in response.headers
    if status >= 400 and path != "/api/ask":
        shape(response, status)


def test_the_content_policy_allows_no_inline_code_and_no_other_origin() -> None:
    policy = HEADERS["Content-Security-Policy"]
    assert "default-src 'self'" in policy and "script-src 'self' 'wasm-unsafe-eval'" in policy
    assert "unsafe-inline" not in policy and "'unsafe-eval'" not in policy and "http" not in policy


async def test_a_fault_of_ours_is_told_without_its_insides(
    link: Link, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("server.sync.exchange", lambda *_: 1 / 0)
    response = await link.post(SAID)
    assert shape(response, 500)["field"] == "server" and "zero" not in response.text
    assert {name: response.headers.get(name) for name in HEADERS} == HEADERS


@pytest.mark.parametrize(
    "host", ["localhost:8737", "127.0.0.1:8737", "[::1]:8737", "LOCALHOST:8737"]
)
async def test_the_machines_own_names_are_answered(link: Link, host: str) -> None:
    assert (await link.client.get("/health", headers={"Host": host})).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["evil.example", "evil.example:8737", "localhost", "localhost:80", "localhost.:8737", "127.0.0.1.evil.example:8737",
     "user@localhost:8737", "[::]:8737", "0.0.0.0:8737", "192.168.1.5:8737", ""],
)  # fmt: skip
async def test_any_other_host_is_refused_before_anything_is_routed(link: Link, host: str) -> None:
    for path in ("/", "/health", "/nothing"):
        assert shape(await link.client.get(path, headers={"Host": host}), 421)["field"] == "Host"


async def test_two_hosts_in_one_request_are_refused(link: Link) -> None:
    twice = [("Host", "localhost:8737"), ("Host", "evil.example")]
    assert (await link.client.get("/health", headers=twice)).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [{"Origin": "http://evil.example"}, {"Origin": "null"}, {"Origin": "http://127.0.0.1:9999"},
     {"Origin": "https://127.0.0.1:8737"}, {"Origin": ""}, {"Sec-Fetch-Site": "cross-site"},
     {"Sec-Fetch-Site": "same-site"}],
)  # fmt: skip
async def test_another_sites_page_may_change_nothing(link: Link, headers: dict[str, str]) -> None:
    said = SAID | {"changes": [{"seq": 1}]}
    assert shape(await link.post(said, headers=headers), 403)["field"] in (
        "Origin",
        "Sec-Fetch-Site",
    )
    assert (await link.push(SAID))["acked"] == 0


async def test_our_own_page_may(link: Link) -> None:
    headers = {"Origin": URL, "Sec-Fetch-Site": "same-origin"}
    response = await link.post(SAID, headers=headers)
    assert response.status_code == 200
    assert not [name for name in response.headers if name.startswith("access-control")]


@pytest.mark.parametrize(
    "kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data", ""]
)
async def test_only_json_is_taken_by_the_api(link: Link, kind: str) -> None:
    for path in ("/api/sync", "/api/ask"):
        response = await link.client.post(path, content=b"{}", headers={"Content-Type": kind})
        assert shape(response, 415)["field"] == "Content-Type"


async def test_a_compressed_body_is_refused(link: Link) -> None:
    headers = {"Content-Type": "application/json", "Content-Encoding": "gzip"}
    assert (
        shape(await link.client.post("/api/sync", content=b"{}", headers=headers), 415)["field"]
        == "Content-Encoding"
    )


async def test_reading_changes_nothing_whatever_the_address(link: Link) -> None:
    for route in ROUTES:
        for method in ("GET", "HEAD", "OPTIONS"):
            path = route.path.replace("{path:path}", "index.html")
            assert (await link.client.request(method, path)).status_code in (200, 404, 405)
    assert (await link.push(SAID))["upto"] == 0


async def test_the_engine_answers_over_http_as_at_its_own_door(link: Link) -> None:
    response = await link.post({"ask": "gauge", "gauge": 16}, "/api/ask")
    answer = response.json()
    assert response.status_code == 200
    assert answer["ok"] is True and len(answer["systems"]) == 4
    refused = await link.post({"ask": "gauge", "gauge": -1}, "/api/ask")
    assert refused.status_code == 400
    assert refused.json()["ok"] is False and refused.json()["error"]["field"] == "gauge"


async def test_a_method_that_an_address_does_not_have_is_named(link: Link) -> None:
    response = await link.client.delete("/")
    error = response.json()["error"]
    assert response.status_code == 405 and error["field"] == "method" and "DELETE" in error["why"]
    assert set(response.headers["Allow"].split(", ")) == {"GET", "HEAD"}  # RFC 9110, 15.5.6


async def test_an_address_with_nothing_at_it_is_refused_as_a_path(link: Link) -> None:
    response = await link.client.get("/nothing")
    assert response.status_code == 404 and response.json()["error"]["field"] == "path"
