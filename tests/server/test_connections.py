"""Real sockets that are slow, many or junk: each is closed in time, and the server goes on."""

from __future__ import annotations

import asyncio
import json
import logging
import select
import socket
import ssl
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, closing, contextmanager, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest
import uvicorn

from server.app import build_app
from server.connections import JunkFilter, bounded_loop, protocol_for
from server.guard import HEADERS
from server.settings import Settings
from tests.running import Serving
from tests.server.certificates import own_pair

PATIENCE = 60  # seconds until something counts as never coming
HEAD = b"GET /health HTTP/1.1\r\nHost: 127.0.0.1:%d\r\n"


@contextmanager
def served(data: Path, context: ssl.SSLContext | None = None, **limits: Any) -> Iterator[int]:
    """The app behind the bounded connections, in a thread of this process; its port."""
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        settings = Settings(data=data, port=port, needs_pairing=False, **limits)
        protocol = protocol_for(settings)
        config = uvicorn.Config(
            build_app(settings),
            http=protocol,
            log_config=None,
            ssl_context_factory=(lambda *_: context) if context else None,
        )
        server = uvicorn.Server(config)

        def run() -> None:
            loop = bounded_loop(asyncio.new_event_loop(), protocol)
            with asyncio.Runner(loop_factory=lambda: loop) as runner:
                runner.run(server.serve([listener]))

        thread = threading.Thread(target=run)
        thread.start()
        try:
            until(lambda: server.started)
            yield port
        finally:
            server.should_exit = True
            thread.join(PATIENCE)


def until(state: Any) -> None:
    """Look again and again until it is so."""
    end = time.monotonic() + PATIENCE
    while not state():
        assert time.monotonic() < end, "it never came to be"
        time.sleep(0.01)  # before it is looked at again


def opened(port: int, sent: bytes = b"") -> socket.socket:
    sock = socket.create_connection(("127.0.0.1", port), timeout=PATIENCE)
    sock.sendall(sent)
    return sock


def rest_of(sock: socket.socket) -> bytes:
    """All that comes until the other end closes; a reset is a close too."""
    out = b""
    with suppress(ConnectionResetError):
        while part := sock.recv(65536):
            out += part
    return out


def answers_from(sock: socket.socket, n: int) -> bytes:
    """That many answers of /health."""
    out = b""
    while out.count(b'{"ok":true}') < n:
        part = sock.recv(65536)
        assert part, out
        out += part
    return out


def head(port: int) -> bytes:
    return HEAD % port


def is_well(port: int, **headers: str) -> bool:
    said = httpx.get(f"http://127.0.0.1:{port}/health", timeout=PATIENCE, headers=headers)
    return said.status_code == 200


def answers(port: int) -> bool:
    """Whether a new connection is let in: one that was closed holds its place until that is noticed."""
    with suppress(httpx.TransportError):
        return is_well(port)
    return False


@pytest.mark.parametrize("sent", [b"", b"G", b"GET / HTTP/1.1\r\nHost: "])
def test_a_head_that_never_ends_is_given_up(tmp_path: Path, sent: bytes) -> None:
    with served(tmp_path / "w", head_seconds=0.3) as port, ExitStack() as kept:
        many = [kept.enter_context(opened(port, sent)) for _ in range(30)]
        assert is_well(port)
        assert [rest_of(sock) for sock in many] == [b""] * 30


@pytest.fixture
def own(tmp_path: Path) -> ssl.SSLContext:
    """A server's context with a certificate of its own."""
    now = datetime.now(UTC)
    cert, key = own_pair(tmp_path, ["localhost"], now - timedelta(1), now + timedelta(30))
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(cert, key)
    return context


def is_well_over_tls(port: int) -> bool:
    try:
        said = httpx.get(f"https://127.0.0.1:{port}/health", verify=False, timeout=PATIENCE)
    except httpx.TransportError:
        return False
    return said.status_code == 200


def test_a_handshake_that_never_ends_is_given_up(tmp_path: Path, own: ssl.SSLContext) -> None:
    with served(tmp_path / "w", own, handshake_seconds=0.3) as port, ExitStack() as kept:
        many = [kept.enter_context(opened(port)) for _ in range(20)]
        assert [rest_of(sock) for sock in many] == [b""] * 20
        until(lambda: is_well_over_tls(port))


def test_handshakes_too_many_at_once_are_closed_and_their_places_are_free_again(
    tmp_path: Path, own: ssl.SSLContext
) -> None:
    limits = {"handshake_seconds": 3.0, "handshakes_each": 5}
    with served(tmp_path / "w", own, **limits) as port, ExitStack() as kept:
        waiting = [kept.enter_context(opened(port)) for _ in range(5)]
        more = [kept.enter_context(opened(port)) for _ in range(10)]
        assert [rest_of(sock) for sock in more] == [b""] * 10
        assert select.select(waiting, [], [], 0)[0] == [], "the first ones still have their time"
        until(lambda: is_well_over_tls(port))


def test_an_answer_that_is_never_read_is_given_up(tmp_path: Path) -> None:
    limits = {"unread_seconds": 1.0, "connections_each": 1}
    with served(tmp_path / "w", **limits) as port, socket.socket() as sock:
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        sock.settimeout(PATIENCE)
        sock.connect(("127.0.0.1", port))
        picture = head(port).replace(b"/health", b"/icons/bench-390x844.png") + b"\r\n"
        sock.sendall(picture * 80)
        assert not answers(port), "the one place is taken"
        until(lambda: answers(port))


def test_an_answer_read_slowly_comes_whole(tmp_path: Path) -> None:
    with served(tmp_path / "w", unread_seconds=0.3) as port, socket.socket() as sock:
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        sock.settimeout(PATIENCE)
        sock.connect(("127.0.0.1", port))
        name = "/icons/bench-390x844.png"
        sock.sendall(head(port).replace(b"/health", name.encode()) + b"Connection: close\r\n\r\n")
        out = b""
        while part := sock.recv(2048):
            out += part
            time.sleep(0.01)  # a poor network
    body = out.partition(b"\r\n\r\n")[2]
    assert body == (Path(__file__).parents[2] / "static" / name[1:]).read_bytes()


def test_a_byte_now_and_then_does_not_keep_a_connection(tmp_path: Path) -> None:
    with served(tmp_path / "w", head_seconds=0.3) as port, opened(port, head(port)) as sock:
        with suppress(ConnectionError):
            for n in range(PATIENCE * 20):
                sock.sendall(b"X-%d: 1\r\n" % n)
                if select.select([sock], [], [], 0.05)[0]:
                    break
            else:
                raise AssertionError("it may send for ever")
        assert rest_of(sock) == b""


def test_the_second_head_of_a_connection_is_bounded_too(tmp_path: Path) -> None:
    with served(tmp_path / "w", head_seconds=0.3) as port, opened(port) as sock:
        sock.sendall(head(port) + b"\r\n")
        assert sock.recv(65536).startswith(b"HTTP/1.1 200")
        sock.sendall(b"GET /health HTTP/1.1\r\n")
        rest_of(sock)
        assert is_well(port)


def test_a_body_that_was_answered_before_its_end_is_given_up(tmp_path: Path) -> None:
    with served(tmp_path / "w", head_seconds=0.3) as port, opened(port) as sock:
        sock.sendall(
            head(port).replace(b"GET /health", b"POST /health") + b"Content-Length: 99999\r\n\r\n"
        )
        assert sock.recv(65536).startswith(b"HTTP/1.1 405")
        with suppress(ConnectionError):
            for _ in range(PATIENCE * 20):
                sock.sendall(b"x")
                if select.select([sock], [], [], 0.05)[0]:
                    break
            else:
                raise AssertionError("it may send for ever")


def test_a_head_in_pieces_and_many_requests_on_one_connection_are_answered(
    tmp_path: Path,
) -> None:
    with served(tmp_path / "w") as port, opened(port) as sock:
        for _ in range(20):
            for piece in (head(port)[:9], head(port)[9:], b"\r", b"\n"):
                sock.sendall(piece)
            assert answers_from(sock, 1).startswith(b"HTTP/1.1 200")
        sock.sendall((head(port) + b"\r\n") * 3)  # three at once
        assert answers_from(sock, 3).count(b"HTTP/1.1 200") == 3


def test_one_connection_too_many_is_closed_at_once_and_a_freed_place_is_taken(
    tmp_path: Path,
) -> None:
    with served(tmp_path / "w", connections=5) as port, ExitStack() as kept:
        many = [kept.enter_context(opened(port, head(port))) for _ in range(5)]
        for _ in range(10):
            with opened(port) as excess:
                assert rest_of(excess) == b""
        for sock in many:  # all that were in before still are
            sock.sendall(b"\r\n")
            assert sock.recv(65536).startswith(b"HTTP/1.1 200")
        many[0].close()
        until(lambda: answers(port))


def test_one_address_may_not_take_all_places(tmp_path: Path) -> None:
    with served(tmp_path / "w", connections_each=3) as port, ExitStack() as kept:
        for _ in range(3):
            kept.enter_context(opened(port, head(port)))
        with opened(port) as excess:
            assert rest_of(excess) == b""


def test_a_proxy_on_this_machine_may_since_it_stands_for_everyone(tmp_path: Path) -> None:
    with (
        served(tmp_path / "w", connections_each=3, public_name="anvil.example") as port,
        ExitStack() as kept,
    ):
        for _ in range(20):
            kept.enter_context(opened(port, head(port)))
        assert is_well(port, Host="anvil.example")


JUNK = [
    b"hello\r\n\r\n",
    b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(200),  # https at the port of http
    b"GET / HTTP/9.9\r\n\r\n",
    b"GET /\xff HTTP/1.1\r\nHost: x\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: x\r\nHo st: y\r\n\r\n",
    b"GET / HTTP/1.1\r\n\r\n",
    b"POST /api/sync HTTP/1.1\r\nHost: x\r\nContent-Length: -1\r\n\r\n",
    b"POST /api/sync HTTP/1.1\r\nHost: x\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\n",
    b"POST /api/sync HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: gzip\r\n\r\n",
    b"GET / HTTP/1.1\r\nHost: x\r\nX: " + b"y" * 200_000 + b"\r\n\r\n",
]


def test_what_is_no_request_is_answered_in_our_shape_and_told_once(serving: Serving) -> None:
    for n in range(30):
        with opened(serving.port, JUNK[n % len(JUNK)]) as sock:
            said = rest_of(sock)
        assert said.startswith((b"HTTP/1.1 400 ", b"HTTP/1.1 421 ")) or said == b""
        if said.startswith(b"HTTP/1.1 400"):
            answer_head, body = said.split(b"\r\n\r\n", 1)
            assert json.loads(body)["error"]["field"] == "request"
            told = httpx.Headers(
                [tuple(line.split(b": ", 1)) for line in answer_head.split(b"\r\n")[1:]]
            )
            assert {name: told[name] for name in HEADERS} == HEADERS
    assert is_well(serving.port)
    assert serving.output().count("Something sent what is no request") == 1
    assert "Invalid HTTP" not in serving.output() and "Traceback" not in serving.output()


def test_a_body_that_turns_to_junk_ends_its_connection_without_a_traceback(
    serving: Serving,
) -> None:
    chunked = b"Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n2\r\n{}\r\n"
    for path in (b"/api/sync", b"/nothing", b"/health"):
        begin = head(serving.port).replace(b"GET /health", b"POST " + path) + chunked
        for pause in (False, True):
            with opened(serving.port, begin) as sock:
                if pause and path != b"/api/sync":
                    assert sock.recv(65536).startswith(b"HTTP/1.1 4")
                with suppress(ConnectionError):
                    sock.sendall(b"no chunk\r\n\r\n")
                rest_of(sock)
    assert is_well(serving.port) and "Traceback" not in serving.output()


def test_who_wants_to_speak_otherwise_is_answered_as_usual_and_told_once(
    serving: Serving,
) -> None:
    for _ in range(5):
        with opened(serving.port) as sock:
            upgrade = b"Connection: Upgrade, close\r\nUpgrade: websocket\r\n\r\n"
            sock.sendall(head(serving.port) + upgrade)
            assert rest_of(sock).startswith(b"HTTP/1.1 200")
    said = serving.output()
    assert said.count("Something sent what is no request") == 1 and "WebSocket" not in said


def test_a_line_about_junk_comes_once_a_minute_and_others_always() -> None:
    now = 0.0
    quiet = JunkFilter(lambda: now)

    def shown(text: str, kind: str = "") -> bool:
        record = logging.makeLogRecord({"msg": text} | ({"kind": kind} if kind else {}))
        return bool(quiet.filter(record))

    assert [shown("Invalid HTTP request received.") for _ in range(3)] == [True, False, False]
    assert not shown("Unsupported upgrade request.") and shown("full", "too many")
    assert shown("The disk is full") and shown("The disk is full")
    now = 59.9
    assert not shown("Invalid HTTP request received.") and not shown("full", "too many")
    now = 60.0
    assert shown("Invalid HTTP request received.") and shown("full", "too many")


def test_three_hundred_half_sent_heads_leave_the_server_answering(serving: Serving) -> None:
    with ExitStack() as kept:
        for _ in range(300):
            kept.enter_context(closing(opened(serving.port, b"GET / HTTP/1.1\r\nHos")))
    until(lambda: answers(serving.port))
