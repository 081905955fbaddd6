"""The real server as a process of its own, for tests that stop it, start it again or kill it."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import httpx

ROOT = Path(__file__).resolve().parent.parent


def free_port() -> int:
    with socket.socket() as listener:
        listener.bind(("127.0.0.1", 0))
        return int(listener.getsockname()[1])


class Serving:
    """`url` stays the same over stop and start; `data` is the workshop's folder."""

    def __init__(self, data: Path) -> None:
        self.data = data
        self.port = free_port()
        self.url = f"http://127.0.0.1:{self.port}"
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-c", "from server.cli import main; main()", "serve"]
        options = ["--port", str(self.port), "--data", str(self.data)]
        with open(self.data.parent / "server.out", "ab") as out:
            self.process = subprocess.Popen([*command, *options], cwd=ROOT, stdout=out, stderr=out)
        self._await_health()

    def _await_health(self) -> None:
        end = time.monotonic() + 30
        while time.monotonic() < end:
            assert self.process is not None and self.process.poll() is None, self.output()
            try:
                if httpx.get(self.url + "/health", timeout=2).status_code == 200:
                    return
            except httpx.TransportError:
                time.sleep(0.05)
        raise AssertionError("the server did not answer within 30 seconds: " + self.output())

    def output(self) -> str:
        return (self.data.parent / "server.out").read_text("utf-8", "replace")

    def _end(self, sign: int) -> None:
        if self.process is not None:
            os.kill(self.process.pid, sign)
            self.process.wait(20)
            self.process = None

    def stop(self) -> None:
        """As the maker does it, with Ctrl+C."""
        self._end(signal.SIGINT)

    def kill9(self) -> None:
        self._end(signal.SIGKILL)
