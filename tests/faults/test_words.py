"""What each command says when a file, a folder or a disk fails it: a sentence with what would do,
never a traceback or a bare number of the system. Each is a process of its own.
"""

from __future__ import annotations

import json
import sqlite3
import subprocess
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest

from server import backups
from server.store import FILE
from tests.faults.commands import command
from tests.faults.test_no_room import fill
from tests.running import started
from tests.server.link import Device

LINE = json.dumps(Device("tablet").count(1))


def words_of(name: str, root: Path) -> list[object]:
    """A command on the workshop root/w that would go well."""
    more: dict[str, list[object]] = {
        "serve": ["--port", 0],
        "backup": ["--to", root / "out" / "copy.sqlite"],
        "export": ["--to", root / "out" / "log.jsonl"],
        "import": [root / "one.jsonl", "--join"],
        "restore": [root / "good.sqlite"],
        "doctor": [],
    }
    return [name, *more[name], "--data", root / "w"]


COMMANDS = ["serve", "backup", "export", "import", "restore", "doctor"]


def sentence_of(result: subprocess.CompletedProcess[str], *words: str) -> None:
    """It failed, and told why in plain words; one of these stands in it."""
    said = (result.stdout or "") + result.stderr
    assert result.returncode == 1, said
    for ugly in ("Traceback", "[Errno", "Error 1", "sqlite3.", "OSError", "None", "\u2588"):
        assert ugly not in said, said
    lines = result.stderr.splitlines() or [
        line for line in said.splitlines() if line.startswith("TROUBLE")
    ]
    assert 1 <= len(lines) <= 2 and len(lines[-1]) > 50, said
    assert any(word in said for word in words), said


@pytest.fixture
def root(tmp_path: Path) -> Path:
    fill(tmp_path / "w", taps=30)
    backups.backup(tmp_path / "w", tmp_path / "good.sqlite")
    (tmp_path / "one.jsonl").write_text(LINE + "\n")
    (tmp_path / "out").mkdir()
    return tmp_path


def damaged(root: Path) -> None:
    (root / "w" / FILE).write_bytes(b"damaged beyond reading " * 500)


def half_damaged(root: Path) -> None:
    live = root / "w" / FILE
    content = live.read_bytes()
    live.write_bytes(content[:4096] + b"\xfe" * (len(content) - 4096))


def newer(root: Path) -> None:
    with closing(sqlite3.connect(root / "w" / FILE)) as db, db:
        db.execute("INSERT INTO migrations VALUES (99, 'of_tomorrow', 1)")


def closed_file(root: Path) -> None:
    (root / "w" / FILE).chmod(0)


def closed_folder(root: Path) -> None:
    (root / "w").chmod(0)


def read_only_file(root: Path) -> None:
    (root / "w" / FILE).chmod(0o400)
    (root / "w").chmod(0o500)


FAULTS: dict[Callable[[Path], None], tuple[list[str], list[str]]] = {
    damaged: (["serve", "backup", "export", "import", "doctor"], ["damaged"]),
    half_damaged: (["serve", "backup", "export", "import", "doctor"], ["damaged"]),
    newer: (["serve", "backup", "export", "import", "doctor"], ["newer"]),
    closed_file: (["backup", "export", "doctor"], ["may not be read or written by you"]),
    closed_folder: (
        ["serve", "backup", "export", "import", "restore", "doctor"],
        ["may not be read or written by you", "not be read"],
    ),
    read_only_file: (["serve", "import", "restore"], ["may not be", "may only be read"]),
}
PAIRS = [(fault, name) for fault, (names, _) in FAULTS.items() for name in names]


@pytest.mark.parametrize(
    ("fault", "name"), PAIRS, ids=[f"{fault.__name__}-{name}" for fault, name in PAIRS]
)
def test_a_fault_of_the_workshop_is_a_sentence(
    root: Path, fault: Callable[[Path], None], name: str
) -> None:
    fault(root)
    try:
        sentence_of(command(*words_of(name, root)), *FAULTS[fault][1])
    finally:
        (root / "w").chmod(0o700)


@pytest.mark.parametrize("name", ["serve", "import", "restore"])
def test_a_workshop_in_use_is_a_sentence(root: Path, name: str) -> None:
    """Two servers at once among them."""
    with started(root / "w"):
        sentence_of(command(*words_of(name, root)), "Stop it first")


@pytest.mark.parametrize("name", ["serve", "backup", "export", "import", "restore"])
def test_a_full_disk_is_a_sentence(root: Path, name: str) -> None:
    words = words_of(name, root)
    if name == "serve":
        words[-1] = root / "new"
    sentence_of(command(*words, limit=0), "no room left", "disk")


@pytest.mark.parametrize("name", ["backup", "export"])
@pytest.mark.parametrize("where", ["closed", "a file", "a folder", "missing"])
def test_a_place_that_cannot_be_written_is_a_sentence(root: Path, name: str, where: str) -> None:
    words = words_of(name, root)
    out = Path(str(words[2]))
    if where == "closed":
        out.parent.chmod(0o500)
    elif where == "a file":
        words[2] = root / "one.jsonl" / "copy"
    elif where == "a folder":
        out.mkdir()
    elif name == "export":
        words[2] = root / "none" / "log.jsonl"
    else:
        words[2] = root / "good.sqlite"
    sentence_of(command(*words), "name another place", "not there", "exists already", "is a file")


def test_standard_output_that_is_full_is_a_sentence(root: Path) -> None:
    result = command("export", "--data", root / "w", out=Path("/dev/full"))
    sentence_of(result, "no room left for standard output")


@pytest.mark.parametrize("name", [*COMMANDS, "page", "pair", "devices"])
def test_a_user_without_a_home_folder_is_told_what_would_do(root: Path, name: str) -> None:
    words = {"page": ["page", root / "page"], "pair": ["pair"], "devices": ["devices"]}
    result = command(*(words.get(name) or words_of(name, root)[:-2]), homeless=True)
    sentence_of(result, "Your user has no home folder")


@pytest.mark.parametrize("content", [b"\xff\xfe no text", b"[" * 100_000, b"\0" * 50])
def test_a_file_to_import_that_is_no_log_is_a_sentence(root: Path, content: bytes) -> None:
    (root / "one.jsonl").write_bytes(content)
    sentence_of(command(*words_of("import", root)), "UTF-8", "line 1")


def test_a_backup_folder_that_cannot_be_made_is_a_sentence(root: Path) -> None:
    words = [*words_of("serve", root), "--backups", root / "one.jsonl" / "backups"]
    sentence_of(command(*words), "is not there", "exists already", "is a file")
