"""The real server as a process of its own, for tests that stop it, start it again or kill it."""

from __future__ import annotations

import itertools
import os
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import httpx

from server.pairing import Pairing

ROOT = Path(__file__).resolve().parent.parent


# Below the ports that systems hand out by themselves (32768 and up on Linux), or a server that is
# stopped and started again could find its own taken by a connection. Each process begins elsewhere.
PORTS = itertools.cycle(range(11_000, 32_000))
for _ in range(os.getpid() * 101 % 21_000):
    next(PORTS)


def free_port() -> int:
    """One that nothing listens on and no other server of this process has had."""
    for port in PORTS:
        with socket.socket() as listener:
            try:
                listener.bind(("127.0.0.1", port))
            except OSError:
                continue
        return port
    raise AssertionError("no port is free")


class Serving:
    """`url` stays the same over stop and start; `data` is the workshop's folder, `options` those
    of `ringwright serve`. With `pairing`, only paired browsers get at the workshop. `program`: the
    folder of the program, this one unless another is named.
    """

    def __init__(
        self, data: Path, *options: str, pairing: bool = False, program: Path = ROOT
    ) -> None:
        self.data = data
        self.program = program
        self.options = options if pairing else ("--no-pairing", *options)
        self.out = data.parent / "server.out"
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-c", "from server.cli import main; main()", "serve"]
        options = ["--port", str(self.port), "--data", str(self.data), *self.options]
        with open(self.out, "ab") as out:
            self.process = subprocess.Popen(
                [*command, *options], cwd=self.program, stdout=out, stderr=out
            )
        self._await_health()

    def _await_health(self) -> None:
        end = time.monotonic() + 120
        while time.monotonic() < end:
            assert self.process is not None and self.process.poll() is None, self.output()
            try:
                if self._asked("/health").status_code == 200:
                    return
            except httpx.TransportError:
                time.sleep(0.05)  # before it is asked again
        raise AssertionError("the server did not answer within two minutes: " + self.output())

    def _asked(self, path: str) -> httpx.Response:
        return httpx.get(self.url + path, timeout=20)

    def stored(self, question: str) -> list[Any]:
        """Rows of the workshop's file, read beside the server."""
        file = f"file:{self.data / 'ringwright.sqlite'}?mode=ro"
        with closing(sqlite3.connect(file, uri=True)) as db:
            return db.execute(question).fetchall()

    def output(self) -> str:
        return self.out.read_text("utf-8", "replace")

    def code(self) -> str:
        """A new pairing code, as `ringwright pair` makes one beside the running server."""
        return Pairing(self.data).make_code(time.time_ns() // 1_000_000)[0]

    def _end(self, sign: int) -> None:
        if self.process is not None:
            os.kill(self.process.pid, sign)
            self.process.wait(120)
            self.process = None

    def stop(self) -> None:
        """As the maker does it, with Ctrl+C."""
        self._end(signal.SIGINT)

    def kill9(self) -> None:
        self._end(signal.SIGKILL)


@contextmanager
def started(folder: Path, *options: str, pairing: bool = False) -> Iterator[Serving]:
    """A running server on this data folder, made where there is none."""
    folder.mkdir(mode=0o700, exist_ok=True)
    server = Serving(folder, *options, pairing=pairing)
    server.start()
    try:
        yield server
    finally:
        server.stop()
