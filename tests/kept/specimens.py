"""Workshops that earlier programs left behind, as those programs wrote them.

Each folder beside this module is one specimen, made by the program of one moment on the main branch
(`keep.py` plays the same small session in it). Nothing in them is ever changed or made again: what
a maker has on a disk cannot be made again either.

| folder | made by | why this one |
|---|---|---|
| `file-1-page-1-first` | 645ce11, 25 November 2026 | the first program that did the whole main job |
| `file-1-page-1` | a3f10b4 | the last with page database 1 |
| `file-1-page-2` | bba7f4d | the last before workshops had identities |
| `file-2-page-2` | 0d5b3c2 | the last with page database 2 that could be opened |
| `file-2-page-3-first` | 5f4ce10 | the first in which sittings are corrected |
| `file-2-page-3` | ace53e9, 28 November 2026 | the last before checksums |
| `file-3-page-3` | 06373d4 | the last with page database 3 |
| `file-3-page-4` | df7b07a, 28 November 2026 | the present forms; the first with packs |

| file | what it is |
|---|---|
| `workshop.sqlite.gz` | the server's file, after the server was stopped |
| `export.jsonl.gz` | what `ringwright export` wrote of it |
| `page.json.gz` | the phone's database: `{version, stores: [{name, keyPath, autoIncrement, indexes, rows}]}`, a row `[value]` or `[value, key]`, with counts that were not sent yet |
| `page_file.json.gz` | the file that the phone's Records saved then |
| `requests.jsonl.gz` | every body that phone and desk posted to `/api/sync`, byte for byte, in order |
| `answers.jsonl.gz` | what the server answered to each, byte for byte |
| `recorded.json` | what that program itself showed or folded: `first` on the desk after its first sync (`answer` is that answer's place), `file` of the export, `page` on the phone at last, `whole` on the server when all was sent; `sent_before` is how many requests came before those counts |
"""

from __future__ import annotations

import gzip
import json
import re
import sqlite3
from contextlib import closing
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from server.store import FILE
from server.workshop import from_log
from tests.running import ROOT

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Specimen:
    """One kept folder. A frozen value, so that tests are named by it and none can change it."""

    name: str

    def bytes_of(self, file: str) -> bytes:
        return gzip.decompress((HERE / self.name / f"{file}.gz").read_bytes())

    @cached_property
    def recorded(self) -> dict[str, Any]:
        return dict(json.loads((HERE / self.name / "recorded.json").read_text("utf-8")))

    @property
    def requests(self) -> list[bytes]:
        return self.bytes_of("requests.jsonl").splitlines()

    @property
    def answers(self) -> list[bytes]:
        return self.bytes_of("answers.jsonl").splitlines()

    @property
    def page(self) -> dict[str, Any]:
        return dict(json.loads(self.bytes_of("page.json")))

    def rows(self, store: str) -> list[list[Any]]:
        """Those of one of the page's stores."""
        return next(list(each["rows"]) for each in self.page["stores"] if each["name"] == store)

    @property
    def steps(self) -> list[str]:
        """The names of the migration steps that the file has had."""
        with closing(sqlite3.connect(":memory:")) as db:
            whole = bytearray(self.bytes_of("workshop.sqlite"))
            whole[18:20] = b"\1\1"  # a file in memory has no write-ahead log
            db.deserialize(bytes(whole))
            return [name for (name,) in db.execute("SELECT name FROM migrations ORDER BY n")]

    @property
    def workshop(self) -> tuple[str, str]:
        """(workshop, log) of the server, the first derived where it had none yet."""
        answer = json.loads(self.answers[0])
        return answer.get("workshop") or from_log(answer["log"]), answer["log"]

    def lay(self, folder: Path) -> Path:
        """The server's file in a data folder of its own, as a maker has it."""
        folder.mkdir(mode=0o700)
        (folder / FILE).write_bytes(self.bytes_of("workshop.sqlite"))
        (folder / FILE).chmod(0o600)
        return folder


SPECIMENS = [
    Specimen(path.name) for path in sorted(HERE.iterdir()) if (path / "recorded.json").is_file()
]


def page_version() -> int:
    """The version of today's page database."""
    found = re.search(r"\bVERSION = (\d+)", (ROOT / "static/log/database.js").read_text("utf-8"))
    assert found, "static/log/database.js no longer says `VERSION = N`; say here where it is now"
    return int(found[1])


def in_terms_of(recorded: dict[str, Any], folded: dict[str, Any]) -> dict[str, Any]:
    """Today's fold as the recording program told it.

    Programs that did not know `untimed` left the tap that only started the clock out of a sitting's
    items; nothing else is told otherwise.
    """
    if all("untimed" in sitting for sitting in recorded["sittings"]):
        return folded
    sittings = [dict(sitting) for sitting in folded["sittings"]]
    for sitting in sittings:
        sitting["items"] -= sitting.pop("untimed")
    return folded | {"sittings": sittings}
