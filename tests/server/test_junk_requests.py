"""Ten thousand junk requests at every address: none fails the server, none changes a count.

They are drawn by chance from a fixed seed, so each run sends the same ones.
"""

from __future__ import annotations

import gzip
import json
import random
import socket
from collections import Counter
from contextlib import suppress
from typing import Any

import httpx
import pytest

from tests.running import Serving
from tests.server.link import Device, Link

METHODS = [
    "GET",
    "HEAD",
    "OPTIONS",
    "POST",
    "POST",
    "POST",
    "PUT",
    "PATCH",
    "DELETE",
    "TRACE",
    "BREW",
]
WORDS = ["", "x", "KTRMWHPD", "ktrm whpd", "\ud800", "\u0000", "\u202e", "a" * 300, "__proto__", "../..", "' OR 1=1",
         "<b>", "é", "👩‍🔧", "NaN", "-0", "true"]  # fmt: skip
NUMBERS = [0, 1, -1, 2, 999, 2**31, 2**53, 2**63, 10**30, 0.5, -0.0, 1e308, 5e-324]
NAMES = [
    "code",
    "name",
    "device",
    "id",
    "others",
    "v",
    "log",
    "after",
    "changes",
    "workshop",
    "seq",
    "ask",
    "gauge",
    "x",
]
KINDS = ["application/json", "application/json; charset=utf-8", "APPLICATION/JSON", "text/plain", "multipart/form-data",
         "application/x-www-form-urlencoded", "", "x" * 2000, ";;;"]  # fmt: skip
PATHS = ["/", "/nothing", "/index.html", "/engine/shared/ask.py", "/..%2f..%2fetc/passwd", "/%00", "/%ff%fe", "/" + "a" * 4000,
         "/api", "/api/", "/api/nothing", "/api/pair/", "//api/sync", "/icons/icon.svg", "/%f0%9f%91%a9", "/;x?y=z"]  # fmt: skip
# (name, values) of what a header may have; a few of them at once
HEADERS = [
    ("Host", ["127.0.0.1:8737", "evil.example", "", "127.0.0.1", "[::1]:8737", "x" * 500]),
    ("Origin", ["http://127.0.0.1:8737", "null", "", "http://evil.example", "\u00ff"]),
    ("Sec-Fetch-Site", ["same-origin", "none", "cross-site", "", "same-site, none"]),
    (
        "Cookie",
        [
            "",
            "=",
            "ringwright-=x",
            "ringwright-00000000=" + "A" * 43,
            "\u00ff=\u00ff",
            ";" * 300,
            "a" * 6000,
        ],
    ),
    ("Content-Type", KINDS),
    ("Content-Encoding", ["gzip", "br", "identity", "", "x"]),
    ("Content-Length", ["0", "5", "99999999999"]),
    ("Accept-Encoding", ["br", "gzip", "br;q=0", "*;q=x", ",,,", "gzip, br"]),
    ("If-None-Match", ["*", '""', "W/", ",,,", "x" * 3000]),
    ("Range", ["bytes=0-1", "bytes=-1", "bytes=9-1,1-2,", "x"]),
    ("X-Forwarded-For", ["1.2.3.4", "::1", "", "x, y"]),
    ("X-Forwarded-Proto", ["http", "https", ""]),
    ("Accept", ["text/html", "*/*", ""]),
    ("X-Junk", ["\u00ff" * 50, "\t", "x" * 9000]),
]


class Chance:
    """Draws of one seed."""

    def __init__(self, seed: int) -> None:
        self.draw = random.Random(seed)

    def value(self, depth: int = 0) -> Any:
        kind = self.draw.randrange(8 if depth < 4 else 5)
        if kind < 2:
            return self.draw.choice(WORDS)
        if kind < 4:
            return self.draw.choice(NUMBERS)
        if kind == 4:
            return self.draw.choice([None, True, False])
        if kind == 5:
            return [self.value(depth + 1) for _ in range(self.draw.randrange(4))]
        return self.fields(depth + 1)

    def fields(self, depth: int = 0) -> dict[str, Any]:
        return {self.draw.choice(NAMES): self.value(depth) for _ in range(self.draw.randrange(5))}

    def near(self) -> dict[str, Any]:
        """What some door reads, with one field gone astray."""
        good: list[dict[str, Any]] = [
            {"code": "KTRMWHPD", "name": "Phone", "device": "x"},
            {"id": self.draw.randrange(4), "name": "Phone"},
            {"id": self.draw.randrange(4)},
            {"others": True},
            {},
            {"v": 1, "device": "junk", "log": None, "after": 0, "changes": []},
            {"v": 1, "device": "junk", "changes": [self.fields() | {"seq": 1, "device": "junk"}]},
            {"ask": "gauge", "gauge": 16},
        ]
        body = self.draw.choice(good)
        if self.draw.random() < 0.7:
            name = self.draw.choice([*body, self.draw.choice(NAMES)])
            body = body | {name: self.value()}
        return body

    def body(self) -> bytes:
        kind = self.draw.randrange(12)
        if kind == 0:
            return b""
        if kind == 1:
            return self.draw.randbytes(self.draw.randrange(200))
        if kind == 2:
            return self.draw.choice([b"[" * 2000, b'{"a":' * 60 + b"1" + b"}" * 60, b"\xef\xbb\xbf{}", b"nul", b'{"v":1e999}'])  # fmt: skip
        if kind == 3 and self.draw.random() < 0.05:
            return b" " * 1_100_000
        if kind == 4:
            return gzip.compress(json.dumps(self.near()).encode())
        if kind < 7:
            return json.dumps(self.value()).encode()
        return json.dumps(self.near()).encode()

    def headers(self) -> list[tuple[bytes, bytes]]:
        """Mostly such that the request gets past the guard."""
        out = []
        if self.draw.random() < 0.85:
            out.append((b"Content-Type", b"application/json"))
        if self.draw.random() < 0.35:
            for name, values in self.draw.sample(HEADERS, self.draw.randrange(1, 4)):
                out.append((name.encode(), self.draw.choice(values).encode("latin-1")))
        return out


@pytest.mark.slow
@pytest.mark.parametrize("is_paired", [False, True])
async def test_ten_thousand_junk_requests_at_every_address_fail_nothing(
    unpaired: Link, is_paired: bool
) -> None:
    chance, told = Chance(20261), Counter[int]()
    paths = sorted({r.path for r in unpaired.app.routes if "{" not in r.path}) + PATHS
    clock = unpaired.app.state.clock
    device = Device("phone")
    device.count(7)
    async with unpaired.another() as owner:
        await owner.pair("Owner")
        await owner.meet(device)
        for n in range(5000):
            if is_paired and n % 100 == 0:  # it may have removed itself meanwhile
                clock.ms += 11 * 60_000
                await unpaired.pair()
            request = unpaired.client.build_request(
                chance.draw.choice(METHODS),
                chance.draw.choice(paths),
                content=chance.body(),
                headers=chance.headers(),
            )
            said = await unpaired.client.send(request)
            told[said.status_code] += 1
            assert said.status_code < 500, (
                request.method,
                request.url,
                request.headers,
                request.content,
            )
            if said.status_code >= 400 and request.method != "HEAD" and said.headers["content-type"] == "application/json":  # fmt: skip
                assert said.json()["error"]["why"]
        assert told.total() == 5000 and len(told) > 6 and told[200] > 100
        assert (told[401] < 1000) == is_paired
        assert (await unpaired.client.get("/health")).json() == {"ok": True}
        clock.ms += 11 * 60_000
        await owner.pair("Owner")
        await owner.meet(other := Device("desk"))
    assert [row["done"] for row in other.totals() if row["piece"] == "p"] == [7]


@pytest.mark.slow
def test_a_thousand_broken_requests_on_real_sockets_leave_the_server_answering(
    serving_paired: Serving,
) -> None:
    chance = Chance(20262)
    good = (
        b"POST /api/sync HTTP/1.1\r\nHost: 127.0.0.1:%d\r\nContent-Type: application/json\r\n"
        b"Content-Length: 2\r\nConnection: close\r\n\r\n{}"
    ) % serving_paired.port
    for _ in range(1000):
        broken = bytearray(good)
        for _ in range(chance.draw.randrange(1, 5)):
            at = chance.draw.randrange(len(broken))
            piece = chance.draw.randbytes(chance.draw.randrange(4))
            broken[at : at + chance.draw.randrange(4)] = piece
        with socket.create_connection(("127.0.0.1", serving_paired.port), timeout=60) as sock:
            with suppress(ConnectionError):
                sock.sendall(broken)
                sock.shutdown(socket.SHUT_WR)
            said = b""
            with suppress(ConnectionError):
                while part := sock.recv(65536):
                    said += part
        assert not said.startswith(b"HTTP/1.1 5"), (bytes(broken), said)
    assert httpx.get(serving_paired.url + "/health", timeout=60).status_code == 200
    said_in_window = serving_paired.output()
    assert "Traceback" not in said_in_window
    assert said_in_window.count("Something sent what is no request") <= 5
