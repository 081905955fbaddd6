"""No room on the disk at any point of a command: the workshop is the old or the new, nothing that
was acknowledged is missing, and what is told is a sentence.

The room ends where the system's limit for the size of a file ends (RLIMIT_FSIZE): every write of the
real process beyond it fails, as on a full disk. It is moved up until the command goes by untouched.
"""

from __future__ import annotations

import asyncio
import json
import os
import resource
import shutil
import signal
import sqlite3
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path

import pytest

from server import backups, files
from server.store import FILE
from tests.faults.commands import limited
from tests.server.link import Device, app_link
from tests.server.test_cli import run
from tests.server.test_workshop import age

STEP = 4096  # a page of the file
MOST = 300  # steps; no file here is larger


def told(result: subprocess.CompletedProcess[str]) -> bool:
    """Whether it went well; if not, it said so in a sentence."""
    said = result.stdout + result.stderr
    assert "Traceback" not in said and "[Errno" not in said, said
    if result.returncode:
        assert "room" in said or "disk" in said, said
        assert len(result.stderr.splitlines()) <= 2, said
    return result.returncode == 0


def limits(largest: int) -> Iterator[int]:
    """None at all, then a page or two more near the beginning, and in growing steps after it."""
    limit = 0
    while limit <= largest:
        yield limit
        limit += max(STEP, limit // 2 // STEP * STEP)


def fill(folder: Path, taps: int = 900) -> Device:
    device = Device("phone")
    for n in range(1, taps + 1):
        device.count(n)

    async def sync() -> None:
        async with app_link(folder) as link:
            await link.meet(device)

    asyncio.run(sync())
    return device


def lines(folder: Path) -> list[str]:
    """The changes of a sound workshop."""
    with closing(sqlite3.connect(folder / FILE)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        return [row[0] for row in db.execute("SELECT body FROM changes ORDER BY place")]


def leftovers(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if files.PART in path.name]


def until_well(folder: Path, try_once: Callable[[int], bool]) -> int:
    """Move the limit up; returns how many tries failed. The last, without a limit, must go well."""
    failed = 0
    for limit in limits(MOST * STEP):
        if try_once(limit):
            break
        failed += 1
    else:
        raise AssertionError("the command never had room enough")
    assert failed >= 3, "the limit never struck"
    assert leftovers(folder) == []
    return failed


def test_a_backup_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    fill(tmp_path / "w")
    before = lines(tmp_path / "w")
    copy = tmp_path / "out" / "copy.sqlite"

    def try_once(limit: int) -> bool:
        well = told(limited(limit, "backup", "--data", tmp_path / "w", "--to", copy))
        assert copy.exists() == well and lines(tmp_path / "w") == before
        return well

    until_well(tmp_path, try_once)
    assert lines(copy.parent.rename(tmp_path / "n") and _as_workshop(tmp_path / "n")) == before


def _as_workshop(folder: Path) -> Path:
    (folder / "copy.sqlite").rename(folder / FILE)
    return folder


def test_an_export_is_there_whole_or_the_file_is_what_it_was(tmp_path: Path) -> None:
    fill(tmp_path / "w")
    log = tmp_path / "log.jsonl"
    log.write_text("last week's\n")

    def try_once(limit: int) -> bool:
        words = ("export", "--data", tmp_path / "w", "--to", log, "--force")
        well = told(limited(limit, *words))
        assert (log.read_text() == "last week's\n") == (not well)
        return well

    until_well(tmp_path, try_once)
    assert log.read_text().splitlines()[1:] == lines(tmp_path / "w")


@pytest.mark.parametrize("state", ["good", "damaged", "none"])
def test_a_restore_leaves_the_old_or_the_new(tmp_path: Path, state: str) -> None:
    fill(tmp_path / "old", taps=40)
    backups.backup(tmp_path / "old", tmp_path / "copy.sqlite")
    new = lines(tmp_path / "old")
    fill(tmp_path / "w")
    old = lines(tmp_path / "w")
    live = tmp_path / "w" / FILE
    if state == "damaged":
        live.write_bytes(live.read_bytes()[:8192] + b"\xff" * 60_000)
    if state == "none":
        live.unlink()
    content = live.read_bytes() if live.exists() else b""

    def try_once(limit: int) -> bool:
        well = told(limited(limit, "restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w"))
        if well:
            assert lines(tmp_path / "w") == new
        elif state == "good":
            assert lines(tmp_path / "w") == old
        else:
            assert (live.read_bytes() if live.exists() else b"") == content
        return well

    until_well(tmp_path, try_once)
    kept = sorted((tmp_path / "w").glob("backups/before-restore-*.sqlite"))
    assert bool(kept) == (state != "none")
    if state == "damaged":
        assert content in [path.read_bytes() for path in kept]


def test_a_migration_is_done_or_not_begun(tmp_path: Path) -> None:
    fill(tmp_path / "w")
    age(tmp_path / "w" / FILE)
    before = lines(tmp_path / "w")
    line = json.dumps(Device("tablet").count(5))

    def try_once(limit: int) -> bool:
        (tmp_path / "one.jsonl").write_text(line + "\n")
        words = ("import", tmp_path / "one.jsonl", "--join", "--data", tmp_path / "w")
        well = told(limited(limit, *words))
        assert lines(tmp_path / "w")[: len(before)] == before
        with closing(sqlite3.connect(tmp_path / "w" / FILE)) as db:
            (step,) = db.execute("SELECT max(n) FROM migrations").fetchone()
            columns = {row[1] for row in db.execute("PRAGMA table_info(changes)")}
            assert ("mark" in columns) == (step >= 3)
        return well

    until_well(tmp_path, try_once)
    assert len(lines(tmp_path / "w")) == len(before) + 1
    assert run("doctor", "--data", tmp_path / "w").exit_code == 0


def test_a_batch_is_stored_whole_and_acknowledged_or_neither(tmp_path: Path) -> None:
    """The app in this very process, since a server would have to start again for every limit."""
    device = fill(tmp_path / "w", taps=30)
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    before = signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    async def push_until_well() -> int:
        failed = 0
        async with app_link(tmp_path / "w") as link:
            for n in range(470):
                device.count(n + 1, piece="a piece with a long name " * 6)
            for step in range(200):
                size = (tmp_path / "w" / f"{FILE}-wal").stat().st_size
                resource.setrlimit(resource.RLIMIT_FSIZE, (size + step * 1024, hard))
                response = await link.post(device.request())
                resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
                acked = (await link.push({"v": 1, "device": "phone", "changes": []}))["acked"]
                if response.status_code == 200:
                    assert response.json()["acked"] == acked == 500
                    return failed
                assert response.status_code in (503, 507) and acked == 30
                assert "stays on the device" in response.json()["error"]["why"]
                failed += 1
        raise AssertionError("it never had room enough")

    try:
        assert asyncio.run(push_until_well()) >= 10
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        signal.signal(signal.SIGXFSZ, before)
    assert len(lines(tmp_path / "w")) == 500


STEPS = ("open", "fsync", "link", "replace", "rename", "unlink")


@pytest.mark.parametrize("command", ["backup", "export", "restore", "restore damaged"])
def test_a_failure_at_the_nth_step_with_a_file_leaves_the_old_or_the_new(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    """Opening, bringing to the disk, naming: the Nth call fails, N = 1, 2, 3 ... to the end."""
    fill(tmp_path / "old", taps=5)
    fill(tmp_path / "new", taps=3)
    backups.backup(tmp_path / "new", tmp_path / "copy.sqlite")
    old, new = lines(tmp_path / "old"), lines(tmp_path / "new")
    for nth in range(1, 100):
        shutil.rmtree(tmp_path / "w", ignore_errors=True)
        shutil.copytree(tmp_path / "old", tmp_path / "w")
        live = tmp_path / "w" / FILE
        if command == "restore damaged":
            live.write_bytes(b"damaged " * 2000)
        words = {
            "backup": ("backup", "--to", tmp_path / "w" / "out" / "copy.sqlite"),
            "export": ("export", "--to", tmp_path / "w" / "out.jsonl"),
        }.get(command, ("restore", tmp_path / "copy.sqlite"))
        calls = fail_nth(monkeypatch, nth)
        result = run(*words, "--data", tmp_path / "w")
        monkeypatch.undo()
        assert result.exception is None or isinstance(result.exception, SystemExit), nth
        if result.exit_code:
            assert "[Errno" not in result.output
        if command == "restore damaged":
            unharmed = live.read_bytes().startswith(b"damaged")
            assert unharmed or lines(tmp_path / "w") == new
            assert unharmed == (result.exit_code != 0) or live.exists()
        else:
            wanted = [new] if command == "restore" and not result.exit_code else [old]
            assert lines(tmp_path / "w") in wanted, nth
        if calls[0] < nth:
            break
    assert 3 <= nth < 99


def fail_nth(monkeypatch: pytest.MonkeyPatch, nth: int) -> list[int]:
    calls = [0]

    def failing(name: str) -> Callable[..., object]:
        real = getattr(os, name)

        def call(*args: object, **more: object) -> object:
            calls[0] += 1
            if calls[0] == nth:
                raise OSError(5, "Input/output error")
            return real(*args, **more)

        return call

    for name in STEPS:
        monkeypatch.setattr(files.os, name, failing(name))
    return calls
