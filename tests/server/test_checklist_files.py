"""What a list of security requirements asks of the workshop's files; the numbers are those of the
OWASP Application Security Verification Standard 5.0.
"""

from __future__ import annotations

import os
import stat
from pathlib import Path

from server import backup_schedule
from server.store import FILE, now_ms, open_store
from tests.server.link import Device, app_link
from tests.server.test_cli import filled, run


def open_to_others(folder: Path) -> list[str]:
    """Files that are not 0600 and folders that are not 0700, this one and all below it."""
    paths = [folder, *folder.rglob("*")]
    assert len(paths) > 1
    wanted = {path: 0o700 if path.is_dir() else 0o600 for path in paths}
    found = {path: stat.S_IMODE(path.stat().st_mode) for path in paths}
    return [f"{path} {found[path]:o}" for path in paths if found[path] != wanted[path]]


async def test_b2_29_asvs_14_2_4_16_4_2_files_are_closed_to_others_while_a_server_runs(
    tmp_path: Path,
) -> None:
    before = os.umask(0)  # the most open that a system can be set to
    try:
        phone = Device("phone")
        phone.count(1)
        async with app_link(tmp_path / "w") as link:
            await link.meet(phone)
            await backup_schedule.make_if_due(tmp_path / "w", link.app.state.store, now_ms())
            names = {path.name for path in (tmp_path / "w").iterdir()}
            assert names >= {
                FILE,
                f"{FILE}-wal",
                f"{FILE}-shm",
                "in-use",
                "backups",
                "backups.json",
            }
            assert open_to_others(tmp_path / "w") == []
    finally:
        os.umask(before)


def test_b2_29_asvs_14_2_4_16_4_2_files_are_closed_to_others_after_each_command(
    tmp_path: Path,
) -> None:
    before = os.umask(0)
    try:
        filled(tmp_path / "w")
        copy, log = tmp_path / "out" / "copy.sqlite", tmp_path / "out" / "log.jsonl"
        for words in (
            ["backup", "--to", copy],
            ["backup"],
            ["export", "--to", log],
            ["restore", copy],
            ["import", log],
        ):
            result = run(*words, "--data", tmp_path / "w")
            assert result.exit_code == 0, result.output
            assert open_to_others(tmp_path / "w") == [] == open_to_others(tmp_path / "out"), words
        (tmp_path / "w" / FILE).write_bytes(b"damaged " * 1000)
        assert run("restore", copy, "--data", tmp_path / "w").exit_code == 0
        assert run("restore", copy, "--data", tmp_path / "new").exit_code == 0
        assert open_to_others(tmp_path / "w") == [] == open_to_others(tmp_path / "new")
    finally:
        os.umask(before)


async def test_b2_29_asvs_14_2_4_16_4_2_what_was_open_is_closed_at_the_next_start(
    tmp_path: Path,
) -> None:
    async with open_store(tmp_path / "w"):
        for tail in ("", "-wal", "-shm"):
            (tmp_path / "w" / f"{FILE}{tail}").chmod(0o644)
        for tail in ("-wal", "-shm"):  # as a killed server leaves them
            os.link(tmp_path / "w" / f"{FILE}{tail}", tmp_path / f"left{tail}")
    for tail in ("-wal", "-shm"):
        os.rename(tmp_path / f"left{tail}", tmp_path / "w" / f"{FILE}{tail}")
    async with open_store(tmp_path / "w"):
        assert open_to_others(tmp_path / "w") == []


def test_b2_29_asvs_14_2_4_16_4_2_the_doctor_names_a_backup_that_others_can_read(
    tmp_path: Path,
) -> None:
    filled(tmp_path / "w")
    assert run("backup", "--data", tmp_path / "w").exit_code == 0
    (copy,) = (tmp_path / "w" / "backups").iterdir()
    copy.chmod(0o644)
    assert f"chmod 600 {copy}" in run("doctor", "--data", tmp_path / "w").output
