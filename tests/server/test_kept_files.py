"""Files, exports and batches of every earlier program against today's server; tests/kept has them."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from server import cli, doctor
from server.audit import examine
from server.log_transfer import LogFile, adopt_workshop
from server.migrations import STEPS
from server.settings import Settings
from server.store import FILE, Row, open_store
from shared.log.fold import fold
from shared.log.schema import FIELDS
from tests.kept.specimens import SPECIMENS, Specimen, in_terms_of, page_version
from tests.server.link import Device, Link, app_link

every_specimen = pytest.mark.parametrize("specimen", SPECIMENS, ids=lambda each: each.name)

HOW = (
    "Run `.venv/bin/python -m tests.kept.keep` (with a name of your own where that folder is there),"
    " look at what it wrote under tests/kept, name it in the table of tests/kept/specimens.py, and"
    " commit it: it is what later programs are held against."
)
# fields that the schema allows and no page has ever written
UNWRITTEN = {("scrap", "panel"), ("scrap", "sitting"), ("hold", "sitting")}


def run(*arguments: object) -> str:
    result = CliRunner().invoke(cli.main, [str(each) for each in arguments])
    assert result.exit_code == 0, result.output
    return result.output


async def rows_of(folder: Path) -> list[Row]:
    async with open_store(folder) as store:
        return await store.read(lambda tx: tx.all_changes(0, 10_000))


async def folded(folder: Path) -> dict[str, Any]:
    rows = await rows_of(folder)
    assert all(row.sound and row.why is None for row in rows)
    return fold([json.loads(row.body) for row in rows])


def folded_there(folder: Path) -> dict[str, Any]:
    """As `folded`, where commands run that have an event loop of their own."""
    return asyncio.run(folded(folder))


async def fill(folder: Path) -> None:
    """Another workshop, with a count of its own."""
    async with app_link(folder) as link:
        here = Device("here")
        here.count(5)
        await link.meet(here)


async def met(link: Link) -> dict[str, Any]:
    """What a new device makes of all it gets by sync."""
    device = Device("new")
    await link.meet(device)
    return fold(list(device.heard.values()))


def test_each_step_of_the_file_and_each_version_of_the_page_is_kept() -> None:
    files = {len(specimen.steps) for specimen in SPECIMENS}
    pages = {specimen.page["version"] for specimen in SPECIMENS}
    lacking = [
        f"step {n} of server/migrations.py" for n in range(1, len(STEPS) + 1) if n not in files
    ]
    lacking += [
        f"version {n} of the page's database"
        for n in range(1, page_version() + 1)
        if n not in pages
    ]
    assert not lacking, f"No workshop is kept of {' and '.join(lacking)}. {HOW}"


def test_each_field_that_a_page_writes_is_in_a_kept_batch() -> None:
    sent = [
        change
        for specimen in SPECIMENS
        for body in specimen.requests
        for change in json.loads(body)["changes"]
    ]
    kept = {(change["kind"], name) for change in sent for name in change}
    known = {(kind, name) for kind, names in FIELDS.items() for name in names}
    lacking = ", ".join(f"{name} of a {kind}" for kind, name in sorted(known - kept - UNWRITTEN))
    assert not lacking, (
        f"No kept batch has {lacking}. Let the session of tests/kept/keep.py do it. {HOW}"
    )


@every_specimen
def test_steps_that_were_released_keep_their_names(specimen: Specimen) -> None:
    assert specimen.steps == [step.__name__ for step in STEPS[: len(specimen.steps)]]


@every_specimen
async def test_an_old_file_opens_is_sound_and_adds_up_to_what_its_program_told(
    specimen: Specimen, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    data, wanted = specimen.lay(tmp_path / "data"), specimen.recorded["file"]
    async with app_link(data) as link:
        assert in_terms_of(wanted, await met(link)) == wanted
    assert in_terms_of(wanted, await folded(data)) == wanted
    newest = examine(data / FILE).newest_ms
    monkeypatch.setattr(doctor, "now_ms", lambda: newest)  # as on the day it was made
    monkeypatch.setattr(doctor, "_built_ms", lambda: 0)
    found = [each async for each in doctor.findings(Settings(data=data))]
    assert [what for ok, what in found if not ok] == []


@every_specimen
async def test_an_old_file_keeps_whose_it_is(specimen: Specimen, tmp_path: Path) -> None:
    async with open_store(specimen.lay(tmp_path / "data")) as store:
        workshop, log = specimen.workshop
        assert await store.read(lambda tx: tx.workshop()) == workshop
        assert await store.read(lambda tx: tx.log()) == log
        assert await store.read(lambda tx: tx.logs()) == [log]


@every_specimen
@pytest.mark.parametrize("over_another", [False, True], ids=["no workshop there", "over today's"])
def test_an_old_file_is_a_backup_that_can_be_restored(
    specimen: Specimen, tmp_path: Path, over_another: bool
) -> None:
    old, data, wanted = specimen.lay(tmp_path / "old"), tmp_path / "data", specimen.recorded["file"]
    if over_another:
        asyncio.run(fill(data))
    run("restore", old / FILE, "--data", data)
    assert in_terms_of(wanted, folded_there(data)) == wanted


@every_specimen
def test_an_old_file_goes_through_backup_and_restore(specimen: Specimen, tmp_path: Path) -> None:
    data, wanted = specimen.lay(tmp_path / "data"), specimen.recorded["file"]
    run(
        "backup", "--to", tmp_path / "copy.sqlite", "--data", data
    )  # beside a file at an earlier step
    run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "new")
    assert in_terms_of(wanted, folded_there(tmp_path / "new")) == wanted
    assert in_terms_of(wanted, folded_there(data)) == wanted
    run(
        "backup", "--to", tmp_path / "later.sqlite", "--data", data
    )  # the same file, brought up to date
    run("restore", tmp_path / "later.sqlite", "--data", tmp_path / "newer")
    assert in_terms_of(wanted, folded_there(tmp_path / "newer")) == wanted


@every_specimen
def test_an_old_file_goes_through_export_and_import(specimen: Specimen, tmp_path: Path) -> None:
    data, wanted = specimen.lay(tmp_path / "data"), specimen.recorded["file"]
    before = asyncio.run(rows_of(data))
    run("export", "--to", tmp_path / "log.jsonl", "--data", data)
    run("import", tmp_path / "log.jsonl", "--data", tmp_path / "new")
    assert in_terms_of(wanted, folded_there(tmp_path / "new")) == wanted
    assert sorted(row.body for row in asyncio.run(rows_of(tmp_path / "new"))) == sorted(
        row.body for row in before
    )


@every_specimen
@pytest.mark.parametrize(("file", "moment"), [("export.jsonl", "file"), ("page_file.json", "page")])
def test_an_old_export_and_a_file_saved_by_an_old_page_come_in_once(
    specimen: Specimen, tmp_path: Path, file: str, moment: str
) -> None:
    data, wanted = tmp_path / "data", specimen.recorded[moment]
    (tmp_path / file).write_bytes(specimen.bytes_of(file))
    for _ in range(2):
        run("import", tmp_path / file, "--data", data)
        now = folded_there(data)
        if moment == "file":
            assert in_terms_of(wanted, now) == wanted
        else:
            assert lane_totals(now, wanted["totals"]) == wanted["totals"]


def lane_totals(folded: dict[str, Any], lanes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """As a page shows them: all panels of a piece together."""
    return [
        {"piece": lane["piece"], "step": lane["step"]}
        | {
            what: sum(
                row[what]
                for row in folded["totals"]
                if (row["piece"], row["step"]) == (lane["piece"], lane["step"])
            )
            for what in ("done", "spoiled")
        }
        for lane in lanes
    ]


@pytest.fixture
async def same_workshop(specimen: Specimen, tmp_path: Path) -> AsyncIterator[Link]:
    """Today's server, with nothing in it yet, as the workshop that the old pages belong to."""
    workshop, log = specimen.workshop
    async with open_store(tmp_path / "workshop") as store:
        await adopt_workshop(store, LogFile(workshop, [log]), join=False)
    async with app_link(tmp_path / "workshop") as link:
        yield link


@every_specimen
async def test_an_old_pages_batches_are_taken_byte_for_byte_and_twice_as_once(
    specimen: Specimen, same_workshop: Link
) -> None:
    wanted = specimen.recorded["whole"]
    assert len(specimen.requests) == len(specimen.answers) > 5
    for repeated in (False, True):
        for body, then in zip(specimen.requests, specimen.answers, strict=True):
            response = await same_workshop.client.post(
                "/api/sync", content=body, headers={"Content-Type": "application/json"}
            )
            assert response.status_code == 200, response.text
            now, then = response.json(), json.loads(then)
            assert now["refused"] == then["refused"]
            assert "parted" not in now and "gap" not in now
            assert now["acked"] >= then["acked"] if repeated else now["acked"] == then["acked"]
        assert in_terms_of(wanted, await met(same_workshop)) == wanted
