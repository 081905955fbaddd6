"""What is installed beside us: locked by hashes, written down, and what is said of it is true. The
number is that of the OWASP Application Security Verification Standard 5.0.
"""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from server.settings import ROOT

LOCK = ROOT / ".ci" / "requirements.lock"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
RUNTIME = [Requirement(each) for each in PROJECT["dependencies"]]
TEST = [Requirement(each) for each in PROJECT["optional-dependencies"]["test"]]


def locked() -> dict[str, tuple[str, int]]:
    """name -> (version, number of hashes) of each package in the lock file."""
    entries = re.split(r"\n(?=\w)", LOCK.read_text("utf-8").replace("\\\n", " "))
    found = {}
    for entry in entries:
        match = re.match(r"([\w.-]+)==(\S+)", entry)
        if match:
            n = len(re.findall(r"--hash=sha256:[0-9a-f]{64}\b", entry))
            found[canonicalize_name(match[1])] = (match[2], n)
    return found


@pytest.mark.parametrize("wanted", RUNTIME + TEST, ids=lambda wanted: wanted.name)
def test_b2_30_asvs_15_1_2_each_dependency_is_locked_within_its_range(wanted: Requirement) -> None:
    """Where one is missing: make the lock file again, the command is in DEVELOPERS.md."""
    version, _ = locked()[canonicalize_name(wanted.name)]
    assert wanted.specifier.contains(version, prereleases=True)


def test_b2_30_asvs_15_1_2_each_locked_package_has_its_hashes_and_no_address() -> None:
    text = LOCK.read_text("utf-8")
    assert len(locked()) > len(RUNTIME + TEST)
    assert [name for name, (_, n) in locked().items() if n < 1] == []
    assert "://" not in text and "index-url" not in text and "find-links" not in text


def test_b2_30_asvs_15_1_2_the_list_of_parts_names_every_runtime_dependency(tmp_path: Path) -> None:
    """Made by a kept tool in the CycloneDX form, with the command of DEVELOPERS.md."""
    out = tmp_path / "parts.json"
    tool = Path(sys.executable).with_name("cyclonedx-py")
    command = [str(tool), "requirements", str(LOCK), "--pyproject", str(ROOT / "pyproject.toml")]
    subprocess.run([*command, "-o", str(out)], check=True, capture_output=True, timeout=300)
    parts = json.loads(out.read_text("utf-8"))
    assert parts["bomFormat"] == "CycloneDX"
    assert parts["metadata"]["component"]["name"] == PROJECT["name"]
    named = {canonicalize_name(part["name"]): part["version"] for part in parts["components"]}
    for wanted in RUNTIME:
        name = canonicalize_name(wanted.name)
        assert named[name] == locked()[name][0]
