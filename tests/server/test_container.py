"""The container's recipe, `.ci/Containerfile`: no image can be fetched here, so each of its lines is run
outside a container, in folders of its own, in the place of what it would find inside one.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from server.settings import ROOT
from tests.running import free_port

RECIPE = (ROOT / ".ci" / "Containerfile").read_text("utf-8")
LOCK = (ROOT / ".ci" / "requirements.lock").read_text("utf-8")


def instructions() -> list[tuple[str, str]]:
    """(instruction, the rest of its line)."""
    lines = [line for line in RECIPE.splitlines() if line and not line.startswith("#")]
    return [(word, rest.strip()) for word, _, rest in (line.partition(" ") for line in lines)]


def all_of(word: str) -> list[str]:
    return [rest for each, rest in instructions() if each == word]


def entries(text: str) -> dict[str, str]:
    """Package -> its version and hashes, as the lock file has them; not for which Python it is."""
    text = re.sub(r" ; .+?(?= \\\n)", "", text)
    blocks = re.split(r"\n(?=\w)", "\n" + text)
    found = [(re.match(r"([\w.-]+)==", block.strip()), block.strip()) for block in blocks]
    return {match[1]: block for match, block in found if match}


@pytest.mark.parametrize("name", ["runtime.lock", "build.lock"])
def test_the_container_s_lock_files_hold_what_the_tests_run_with(name: str) -> None:
    whole, part = entries(LOCK), entries((ROOT / ".ci" / name).read_text("utf-8"))
    assert 5 < len(part) < len(whole)
    for package, block in part.items():
        assert block == whole[package], package


def test_nothing_is_installed_without_its_hashes_and_nobody_runs_as_root() -> None:
    installs = [rest for rest in all_of("RUN") if "pip install" in rest]
    assert len(installs) == 3
    assert [line for line in installs if not re.search("--require-hashes|--no-index", line)] == []
    assert all("--no-deps" in line for line in installs)
    last = instructions()[max(n for n, (word, _) in enumerate(instructions()) if word == "FROM") :]
    order = [word for word, _ in last]
    assert dict(last)["USER"] == "maker" and order.index("USER") < order.index("ENTRYPOINT")
    assert dict(last)["VOLUME"] == "/data" and "HEALTHCHECK" in order
    assert "XDG_DATA_HOME=/data" in dict(last)["ENV"]
    assert "--mode 0700 /data" in RECIPE


def run_in(folder: Path, line: str) -> None:
    """A line of the recipe, its folders those of this test, its Python the one of the tests."""
    placed = re.sub(r"(?<=[ =])/(opt|data)\b", rf"{folder}/\1", f" {line}").strip()
    placed = placed.replace("python3 -m venv", f"{sys.executable} -m venv")
    done = subprocess.run(
        placed, shell=True, cwd=folder / "src", capture_output=True, text=True, timeout=600
    )
    assert done.returncode == 0, f"{placed}\n{done.stdout}\n{done.stderr}"


def copy_in(folder: Path, what: str) -> None:
    """A line COPY of the first stage, into its WORKDIR."""
    *sources, target = shlex.split(what)
    for source in sources:
        place = folder / "src" / target
        if (ROOT / source).is_dir():
            ignored = shutil.ignore_patterns("node_modules", "__pycache__")
            shutil.copytree(ROOT / source, place, ignore=ignored)
        else:
            place.mkdir(parents=True, exist_ok=True)
            shutil.copy(ROOT / source, place / Path(source).name)


def healthy(folder: Path, port: int) -> int:
    (line,) = all_of("HEALTHCHECK")
    program, script, _ = json.loads(line.partition("CMD ")[2])
    assert (program, script) == ("python3", "/opt/ringwright/container_health.py")
    command = [sys.executable, str(ROOT / ".ci" / "container_health.py"), str(port)]
    return subprocess.run(command, timeout=60).returncode


@pytest.mark.slow
def test_each_line_does_what_it_says_and_what_is_started_serves_pairs_and_ends(
    tmp_path: Path,
) -> None:
    (tmp_path / "src").mkdir()
    (tmp_path / "opt").mkdir()
    first = instructions()[: [word for word, _ in instructions()].index("VOLUME")]
    for word, rest in first:
        if word == "COPY" and not rest.startswith("--from"):
            if "container_health" not in rest:
                copy_in(tmp_path, rest)
        elif word == "RUN" and not rest.startswith(("useradd", "install ")):
            run_in(tmp_path, rest)
    env = {**os.environ, "XDG_DATA_HOME": str(tmp_path / "data"), "PYTHONUNBUFFERED": "1"}
    env.pop("PYTHONPATH", None)
    (entry,), (cmd,) = map(json.loads, all_of("ENTRYPOINT")), map(json.loads, all_of("CMD"))
    program = str(tmp_path / "opt" / "ringwright" / "bin" / entry[0])
    port = free_port()
    with open(tmp_path / "log", "wb") as log:
        command = [program, *cmd, "--port", str(port)]
        server = subprocess.Popen(command, env=env, cwd=tmp_path, stdout=log, stderr=log)
    try:
        end = time.monotonic() + 120
        while healthy(tmp_path, port) != 0 and time.monotonic() < end:
            assert server.poll() is None, (tmp_path / "log").read_text()
        assert healthy(tmp_path, port) == 0, (tmp_path / "log").read_text()
        # what `podman exec ... ringwright pair` runs beside it
        paired = subprocess.run([program, "pair"], env=env, cwd=tmp_path, capture_output=True, text=True)  # fmt: skip
        assert f"http://127.0.0.1:{port}/#pair=" in paired.stdout, paired.stderr
        assert (tmp_path / "data" / "ringwright" / "ringwright.sqlite").is_file()
    finally:
        server.send_signal(signal.SIGTERM)
        assert server.wait(60) == 0
    assert healthy(tmp_path, port) == 1
