"""Commands as real processes that are given less than they need."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.running import ROOT

RUNNER = """
import ctypes, json, os, resource, signal, sys
from server.cli import main
words, limit, homeless = json.loads(sys.argv[1])
if homeless:  # a user that the system does not know, as in some containers
    import pwd
    pwd.getpwuid = {}.__getitem__
    os.environ.pop("HOME", None)
    os.environ.pop("XDG_DATA_HOME", None)
if limit is not None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (limit, resource.RLIM_INFINITY))
if os.geteuid() == 0:  # gives up root's right to read and write everything, as capset(2) says
    none = (ctypes.c_uint32 * 6)()
    assert ctypes.CDLL(None).capset((ctypes.c_uint32 * 2)(0x20080522, 0), none) == 0
main(words)
"""


def command(
    *words: object,
    limit: int | None = None,
    given: str = "",
    out: Path | None = None,
    homeless: bool = False,
) -> subprocess.CompletedProcess[str]:
    """A command as a process without root's rights.

    `limit`: bytes beyond which no file can grow; `given`: standard input; `out`: where standard
    output goes, instead of into the result; `homeless`: the user has no home folder.
    """
    arguments = json.dumps([[str(word) for word in words], limit, homeless])
    with open(out or os.devnull, "w") as file:
        return subprocess.run(
            [sys.executable, "-c", RUNNER, arguments],
            cwd=ROOT,
            input=given,
            stdout=file if out else subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            timeout=300,
        )


def limited(limit: int, *words: object) -> subprocess.CompletedProcess[str]:
    """A command whose files cannot grow beyond `limit` bytes, as on a full disk."""
    return command(*words, limit=limit)
