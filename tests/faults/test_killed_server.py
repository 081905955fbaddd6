"""The server killed in the middle of its work, again and again: what was acknowledged is stored,
once.
"""

from __future__ import annotations

import asyncio
import os
import random
import socket
import sqlite3
import struct
import threading
import time
from contextlib import closing

import httpx

from server.store import FILE
from tests.running import Serving
from tests.server.link import Device

KILLS = int(os.environ.get("RINGWRIGHT_KILLS", "20"))  # 200 in a nightly run


class Sender(threading.Thread):
    """A device that counts and syncs without pause, through every failure."""

    def __init__(self, url: str, name: str) -> None:
        super().__init__()
        self.url = url
        self.device = Device(name)
        self.ending = threading.Event()
        self.highest_ack = 0

    def run(self) -> None:
        while not self.ending.is_set():
            for _ in range(random.Random(len(self.device.own)).randint(1, 40)):
                self.device.count(len(self.device.own) + 1)
            self.exchange()

    def exchange(self) -> None:
        try:
            with httpx.Client(timeout=5) as client:
                response = client.post(self.url + "/api/sync", json=self.device.request(500))
        except httpx.TransportError:
            time.sleep(0.01)  # while no server is there; then it tries again
            return
        assert response.status_code == 200, response.text
        assert response.json()["acked"] >= self.highest_ack, "an acknowledged change is gone"
        self.device.take(response.json())
        self.highest_ack = self.device.acked


def test_kills_in_mid_sync_lose_nothing_that_was_acknowledged(serving: Serving) -> None:
    chance = random.Random(50)
    senders = [Sender(serving.url, name) for name in ("a", "b")]
    for sender in senders:
        sender.start()
    try:
        for _ in range(KILLS):
            time.sleep(chance.uniform(0.0, 0.12))  # so that the kill falls anywhere in an exchange
            serving.kill9()
            check_file(serving, {s.device.name: s.highest_ack for s in senders})
            serving.start()
    finally:
        for sender in senders:
            sender.ending.set()
            sender.join()
    settle(serving, [sender.device for sender in senders])


def check_file(serving: Serving, acknowledged: dict[str, int]) -> None:
    """Sound, without gaps, and holding at least what was acknowledged before the kill."""
    with closing(sqlite3.connect(serving.data / FILE)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        rows = dict(db.execute("SELECT device, max(seq) FROM changes GROUP BY device"))
        assert (
            db.execute(
                "SELECT device FROM changes GROUP BY device HAVING max(seq) <> count(*)"
            ).fetchall()
            == []
        )
    for name, seq in acknowledged.items():
        assert rows.get(name, 0) >= seq


def settle(serving: Serving, devices: list[Device]) -> None:
    """With the server up again all arrives, and every device has the same sum."""
    expected = sum(n for device in devices for n in range(1, len(device.own) + 1))
    for device in [*devices, *devices]:
        while device.take(
            httpx.post(serving.url + "/api/sync", json=device.request(), timeout=10).json()
        ):
            pass
    assert expected > 0 and {device.totals()[0]["done"] for device in devices} == {expected}


def test_an_answer_lost_after_the_commit_is_made_good_by_the_next(serving: Serving) -> None:
    """The socket is closed once the request is out, before the answer is read."""

    async def send_and_leave(body: bytes) -> None:
        _, writer = await asyncio.open_connection("127.0.0.1", serving.port)
        head = (
            f"POST /api/sync HTTP/1.1\r\nHost: 127.0.0.1:{serving.port}\r\nContent-Type:"
            " application/json\r\n"
        )
        writer.write(f"{head}Content-Length: {len(body)}\r\n\r\n".encode() + body)
        await writer.drain()
        writer.close()
        await writer.wait_closed()

    device = Device("a")
    for n in range(1, 61):
        device.count(n)
        request = httpx.Request("POST", serving.url, json=device.request())
        asyncio.run(send_and_leave(request.content))
        if n % 7 == 0:
            device.take(httpx.post(serving.url + "/api/sync", json=device.request()).json())
    other = Device("b")
    settle(serving, [device, other])
    assert len(other.heard) == 60


def _answered_and_cut(port: int, body: bytes) -> None:
    """Send a request, wait until its answer has come, and break the connection with it unread."""
    head = (
        f"POST /api/sync HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nContent-Type: application/json\r\n"
        f"Content-Length: {len(body)}\r\n\r\n"
    )
    with socket.create_connection(("127.0.0.1", port), 60) as link:
        link.setsockopt(
            socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0)
        )  # cut, not closed
        link.sendall(head.encode() + body)
        assert link.recv(1, socket.MSG_PEEK) == b"H"  # it is there, so its change is committed


def test_a_thousand_answers_cut_off_after_their_commit_cost_and_double_no_count(
    serving: Serving,
) -> None:
    """Each count is sent until its answer arrives: once at least, up to five times."""
    device = Device("a")
    chance = random.Random(1000)
    cut = 0
    while cut < 1000:
        device.count(len(device.own) + 1)
        for _ in range(chance.randint(0, 4)):
            body = httpx.Request("POST", serving.url, json=device.request()).content
            _answered_and_cut(serving.port, body)
            cut += 1
        if chance.random() < 0.5:  # the others wait for a later one
            device.take(httpx.post(serving.url + "/api/sync", json=device.request()).json())
    other = Device("b")
    settle(serving, [device, other])
    assert serving.stored("SELECT count(*), max(seq) FROM changes") == [(len(device.own),) * 2]
    assert device.refused == {}
