"""The workshop on a disk of its own: not there at the start, gone while the server runs, back again.

A disk that is pulled out is a folder that is moved away, at the mount point an empty folder stays.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import httpx
import pytest

from server.store import FILE
from tests.running import ROOT, Serving, started
from tests.server.link import Device
from tests.server.test_app import shape

pytestmark = pytest.mark.slow
PATIENCE_S = 120


def wait_until(answering: Callable[[], object], what: str) -> None:
    end = time.monotonic() + PATIENCE_S
    while time.monotonic() < end:
        if answering():
            return
        time.sleep(0.05)  # before it is asked again
    raise AssertionError(f"still not so: {what}")


class AsService(Serving):
    """Started as the system starts it; nobody waits for its health."""

    def __init__(self, data: Path, *options: str) -> None:
        super().__init__(data, "--as-service", *options, pairing=True)
        self.out = data.parent.with_suffix(".out")  # not on the disk that goes

    def _await_health(self) -> None:
        pass

    def answers(self) -> bool:
        try:
            return self._asked("/health").status_code == 200
        except httpx.TransportError:
            return False


@pytest.fixture
def disk(tmp_path: Path) -> Path:
    """A mount point with the workshop's folder on the disk."""
    (tmp_path / "mount").mkdir()
    with started(tmp_path / "mount" / "rings"):
        pass
    (tmp_path / "mount" / "server.out").unlink()
    return tmp_path / "mount"


@pytest.fixture
def service(disk: Path) -> Iterator[AsService]:
    server = AsService(disk / "rings")
    yield server
    server.stop()


def pull_out(disk: Path) -> Callable[[], None]:
    """The disk goes, and the mount point stays, empty; what is returned puts it back."""
    away = disk.with_name("away")
    disk.rename(away)
    disk.mkdir()

    def put_back() -> None:
        disk.rmdir()  # refused where something was written in the disk's place
        away.rename(disk)

    return put_back


def test_a_service_whose_disk_is_not_there_makes_no_workshop_and_serves_it_once_it_is(
    disk: Path, service: AsService
) -> None:
    put_back = pull_out(disk)
    service.start()
    wait_until(lambda: "plug that in" in service.output(), "it says what would do")
    assert service.process is not None and service.process.poll() is None
    assert list(disk.iterdir()) == []
    put_back()
    wait_until(service.answers, "it serves by itself")
    assert service.output().count("plug that in") == 1, "said once, however often it was tried"


def test_a_pulled_out_disk_acknowledges_nothing_leaves_nobody_out_and_all_arrives_when_it_is_back(
    disk: Path, service: AsService
) -> None:
    service.start()
    wait_until(service.answers, "it serves")
    device = Device("phone")
    with httpx.Client(base_url=service.url, timeout=30) as client:
        paired = client.post("/api/pair", json={"code": service.code(), "name": "Phone"})
        assert paired.status_code == 200, paired.text

        def send() -> httpx.Response:
            return client.post("/api/sync", json=device.request())

        device.count(1)
        device.take(send().json())
        put_back = pull_out(disk)
        device.count(10)
        for path in ("/api/sync", "/api/pair", "/api/code"):
            why = shape(client.post(path, json=device.request()), 503)["why"]
            assert "stays on this device" in why and str(disk / "rings") in why
        assert client.get("/health").status_code == 503
        assert client.get("/").status_code == 200, "the page itself is still handed out"
        wait_until(lambda: "not there any more" in service.output(), "its log says so")
        assert list(disk.iterdir()) == [], "nothing is written in the disk's place"
        put_back()
        wait_until(lambda: send().status_code == 200, "it takes counts again")
        while device.take(send().json()):
            pass
    assert device.acked == 2
    assert service.stored("SELECT count(*) FROM changes") == [(2,)]


def test_a_disk_that_comes_back_as_another_is_opened_again_by_a_server_in_a_window(
    tmp_path: Path,
) -> None:
    """After a pull the system knows the same files under other numbers; here they are copied."""
    with started(tmp_path / "mount") as server:
        device = Device("phone")
        device.count(1)

        def send() -> httpx.Response:
            return httpx.post(server.url + "/api/sync", json=device.request(), timeout=30)

        device.take(send().json())
        (tmp_path / "copy").mkdir()
        for path in server.data.glob(f"{FILE}*"):
            (tmp_path / "copy" / path.name).write_bytes(path.read_bytes())
        pull_out(tmp_path / "mount")
        device.count(10)
        shape(send(), 503)
        (tmp_path / "mount").rmdir()
        (tmp_path / "copy").rename(tmp_path / "mount")

        def taken() -> bool:
            try:
                answer = send()
            except httpx.TransportError:
                return False  # while it opens the workshop again
            return answer.status_code == 200 and device.take(answer.json()) is False

        wait_until(taken, "it takes counts again at the same address")
        assert device.acked == 2
        assert server.stored("SELECT count(*) FROM changes") == [(2,)]
        assert "opens the workshop again" in server.output()


@pytest.mark.parametrize("options", [[], ["--as-service"]])
def test_the_system_s_wish_to_end_it_closes_everything(disk: Path, options: list[str]) -> None:
    server = Serving(disk / "rings", *options, pairing=True)
    server.start()
    process = server.process
    assert process is not None
    process.send_signal(signal.SIGTERM)
    assert process.wait(60) == 0
    server.process = None
    assert "Stopped. What was saved is saved." in server.output()
    assert not list((disk / "rings").glob(f"{FILE}-*")), "the file is whole, with nothing beside it"


def test_a_service_that_waits_ends_at_once(disk: Path, service: AsService) -> None:
    pull_out(disk)
    service.start()
    wait_until(lambda: "tries again" in service.output(), "it waits")
    assert service.process is not None
    service.process.send_signal(signal.SIGTERM)
    assert service.process.wait(60) in (0, -signal.SIGTERM)
    service.process = None


@pytest.mark.parametrize("wrong", [["--name", "anvil"], ["--no-such-option"], ["--port", "x"]])
def test_wrong_options_end_a_service_with_the_status_that_is_not_tried_again(
    disk: Path, wrong: list[str]
) -> None:
    command = [sys.executable, "-m", "server.cli", "serve", "--as-service"]
    done = subprocess.run(
        [*command, "--data", str(disk / "rings"), *wrong], cwd=ROOT, capture_output=True, timeout=60
    )
    assert done.returncode == 2, done.stderr


def test_a_service_shows_no_code_and_the_command_makes_one_beside_it(
    disk: Path, service: AsService
) -> None:
    service.start()
    wait_until(service.answers, "it serves")
    wait_until(lambda: "ringwright pair --data" in service.output(), "its log names the command")
    assert "#pair=" not in service.output()
    command = [sys.executable, "-m", "server.cli", "pair", "--data", str(disk / "rings")]
    env = {**os.environ, "COLUMNS": "200"}
    made = subprocess.run(command, cwd=ROOT, env=env, capture_output=True, text=True, timeout=60)
    code = made.stdout.partition("#pair=")[2][:8]
    assert f"{service.url}/#pair={code}" in made.stdout
    with httpx.Client(base_url=service.url) as client:
        assert client.post("/api/pair", json={"code": code, "name": "Phone"}).status_code == 200
        assert client.get("/api/devices").status_code == 200
