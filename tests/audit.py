"""Asks an advisory service for known faults of every locked package.

Ends with 0 where all were asked about and none is known, 1 where one is, 3 where the service did
not answer for all of them: then nothing is known, and it counts as not run.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
NOT_RUN = 3


def main() -> int:
    tool = Path(sys.executable).with_name("pip-audit")
    command = [tool, "--disable-pip", "--progress-spinner", "off", "--timeout", "10"]
    lock = ROOT / ".ci" / "requirements.lock"
    done = subprocess.run(
        [*command, "--format", "json", "-r", lock], capture_output=True, text=True, timeout=600
    )
    try:
        parts = json.loads(done.stdout)["dependencies"]
    except (ValueError, KeyError):
        print("not run: no advisory service reachable")
        return NOT_RUN
    faulty = [part for part in parts if part.get("vulns")]
    for part in faulty:
        names = ", ".join(fault["id"] for fault in part["vulns"])
        print(f"{part['name']} {part['version']}: {names}")
    unknown = sum("skip_reason" in part for part in parts)
    if faulty:
        return 1
    if unknown or not parts:
        print(f"not run: no advisory service reachable ({unknown} of {len(parts)} unanswered)")
        return NOT_RUN
    return 0


if __name__ == "__main__":
    sys.exit(main())
