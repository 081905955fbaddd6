"""The real server with `--lan`, and what a device that trusts its workshop needs to ask it."""

from __future__ import annotations

import ssl
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.running import Serving, free_port


class AtHome(Serving):
    """`url` is the page over https, `guide` the guide over http."""

    def __init__(self, data: Path, *options: str) -> None:
        guide_port = free_port()
        super().__init__(data, "--lan", "--guide-port", str(guide_port), *options, pairing=True)
        self.url = f"https://localhost:{self.port}"
        self.guide = f"http://127.0.0.1:{guide_port}"

    @property
    def root(self) -> Path:
        return self.data / "tls" / "root.crt"

    @property
    def name(self) -> str:
        """The workshop's .local name, out of the line that the server prints first."""
        return self.output().partition("https://")[2].partition(":")[0]

    def trusting(self) -> ssl.SSLContext:
        """A device that trusts this workshop and nothing else."""
        return ssl.create_default_context(cafile=str(self.root))

    def client(self) -> httpx.Client:
        return httpx.Client(base_url=self.url, verify=self.trusting(), timeout=60)

    @contextmanager
    def paired(self) -> Iterator[httpx.Client]:
        """A device that trusts this workshop and was let in by a code."""
        with self.client() as client:
            answer = client.post("/api/pair", json={"code": self.code(), "name": "Phone"})
            assert answer.status_code == 200, answer.text
            yield client

    def _asked(self, path: str) -> httpx.Response:
        """Once both ports answer: first the guide's, since the certificate is there by then."""
        httpx.get(self.guide, timeout=20)
        with self.client() as client:
            return client.get(path)


@contextmanager
def started_at_home(folder: Path, *options: str) -> Iterator[AtHome]:
    """A running server on this data folder, made where there is none."""
    folder.mkdir(mode=0o700, exist_ok=True)
    server = AtHome(folder, *options)
    server.start()
    try:
        yield server
    finally:
        server.stop()
