"""Whose counts these are: one identity for a workshop, kept through every road its file can take."""

from __future__ import annotations

import asyncio
import json
import shutil
import sqlite3
from collections.abc import Iterable
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest

from server import workshop
from server.store import FILE, open_read_only
from server.store import LogTransaction as Log
from tests.server.link import Device, Link, app_link
from tests.server.test_cli import filled, run, totals

OTHER = "0123456789abcdef" * 2


def identity(folder: Path) -> str:
    async def read() -> str:
        async with open_read_only(folder) as store:
            return await store.read(Log.workshop)

    return asyncio.run(read())


def alter(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as db, db:
        for statement in statements:
            db.execute(statement)


def age(path: Path) -> None:
    """A file as it was before workshops had a name."""
    alter(
        path,
        "DELETE FROM meta WHERE name <> 'log'",
        "DELETE FROM migrations WHERE n > 1",
        "ALTER TABLE changes DROP COLUMN mark",
        "ALTER TABLE clashes DROP COLUMN mark",
        "DROP TABLE damaged",
        "DROP TABLE holes",
    )


def changes(link: Link) -> list[Any]:
    with closing(sqlite3.connect(link.app.state.store.path)) as db:
        return db.execute("SELECT device, seq FROM changes").fetchall()


def joined(lines: Iterable[str]) -> str:
    return "\n".join(lines) + "\n"


async def test_a_fresh_workshop_has_an_identity_of_its_own_and_tells_it(tmp_path: Path) -> None:
    told = []
    for name in "ab":
        async with app_link(tmp_path / name) as link:
            answer = await link.push(Device("phone").request())
            told.append(answer["workshop"])
            page = (await link.client.get("/")).text
            assert f'<meta name="workshop" content="{answer["workshop"]}">' in page
    assert all(workshop.is_identity(each) for each in told) and told[0] != told[1]
    async with app_link(tmp_path / "a") as link:
        assert (await link.push(Device("phone").request()))["workshop"] == told[0]


async def test_the_page_of_another_workshop_is_another_page_to_the_service_worker(
    tmp_path: Path,
) -> None:
    said = []
    for name in "aab":
        async with app_link(tmp_path / name) as link:
            said.append((await link.client.get("/sw.js")).text.split("\n", 1)[0])
    assert said[0] == said[1] != said[2]


async def test_a_device_of_another_workshop_is_refused_and_nothing_is_stored_or_given(
    link: Link,
) -> None:
    at_home, stranger = Device("phone"), Device("stray")
    at_home.count(7)
    await link.meet(at_home)
    stranger.count(3)
    stranger.workshop = OTHER
    response = await link.post(stranger.request())
    assert response.status_code == 409
    said = response.json()
    assert set(said) == {"error", "workshop"} and said["workshop"] == at_home.workshop
    assert said["error"]["field"] == "workshop"
    for word in ("0123-4567", workshop.short(str(at_home.workshop)), "Nothing was mixed"):
        assert word in said["error"]["why"]
    assert changes(link) == [("phone", 1)]


async def test_a_page_older_than_the_name_is_known_by_the_log_it_met(link: Link) -> None:
    page = Device("old")
    page.count(2)
    await link.meet(page)
    known, page.workshop = page.workshop, None
    page.count(2)
    await link.meet(page)
    assert page.workshop == known and changes(link) == [("old", 1), ("old", 2)]


async def test_a_page_that_met_another_server_s_log_does_not_belong_here(link: Link) -> None:
    page = Device("old")
    page.count(2)
    page.log = "feedfacefeedface"
    response = await link.post(page.request())
    assert response.status_code == 409 and "another workshop" in response.json()["error"]["why"]
    assert changes(link) == []


async def test_a_device_that_was_never_sent_anywhere_joins_with_what_it_has(link: Link) -> None:
    first, second = Device("first"), Device("second")
    first.count(1)
    second.count(2)
    await link.meet(first, second)
    assert first.workshop == second.workshop is not None and len(changes(link)) == 2


async def test_an_old_file_gets_the_same_identity_wherever_it_is_opened(tmp_path: Path) -> None:
    page, told = Device("old"), []
    page.count(2)
    async with app_link(tmp_path / "w") as link:
        await link.meet(page)
    age(tmp_path / "w" / FILE)
    (tmp_path / "copy").mkdir()
    shutil.copy(tmp_path / "w" / FILE, tmp_path / "copy" / FILE)
    page.workshop = None
    for folder in ("w", "copy"):
        async with app_link(tmp_path / folder) as link:
            await link.meet(page)
            told.append(page.workshop)
    assert told[0] == told[1] == workshop.from_log(str(page.log))


def test_a_restored_workshop_is_the_same_workshop(tmp_path: Path) -> None:
    device = filled(tmp_path / "w")
    run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite")
    was, log = identity(tmp_path / "w"), device.log
    result = run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert identity(tmp_path / "w") == was and "refused" not in result.output
    device.workshop = None  # last used before workshops had a name, and before the restore
    totals(tmp_path / "w", device)
    assert device.workshop == was and device.log != log
    run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "elsewhere")
    assert identity(tmp_path / "elsewhere") == was


def test_a_copy_older_than_the_name_is_restored_as_the_workshop_it_was_taken_of(
    tmp_path: Path,
) -> None:
    device = filled(tmp_path / "w")
    run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite")
    age(tmp_path / "copy.sqlite")
    was = identity(tmp_path / "w")
    run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert totals(tmp_path / "w", device) == [6]
    assert identity(tmp_path / "w") == was == device.workshop


def test_two_old_copies_restored_one_after_the_other_stay_one_workshop(tmp_path: Path) -> None:
    device = filled(tmp_path / "w")
    run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite")
    age(tmp_path / "copy.sqlite")
    age(tmp_path / "w" / FILE)
    device.workshop = None
    for _ in range(2):
        run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
        assert totals(tmp_path / "w", device) == [6]


def test_a_copy_of_another_workshop_brings_its_identity_and_says_so(tmp_path: Path) -> None:
    device, _ = filled(tmp_path / "w"), filled(tmp_path / "other")
    run("backup", "--data", tmp_path / "other", "--to", tmp_path / "copy.sqlite")
    was, wanted = identity(tmp_path / "w"), identity(tmp_path / "other")
    result = run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert identity(tmp_path / "w") == wanted
    assert (
        f"Devices of workshop {workshop.short(was)}, kept here before, are refused" in result.output
    )
    device.workshop = None  # by its log it is known as a device of the one that was replaced
    with pytest.raises(AssertionError, match="belong to another workshop"):
        totals(tmp_path / "w", device)


def test_an_empty_workshop_becomes_the_one_that_is_imported(tmp_path: Path) -> None:
    device = filled(tmp_path / "old")
    exported = run("export", "--data", tmp_path / "old").output
    result = run("import", "-", "--data", tmp_path / "new", given=exported)
    assert result.exit_code == 0, result.output
    assert identity(tmp_path / "new") == identity(tmp_path / "old")
    assert workshop.short(identity(tmp_path / "new")) in result.output
    assert totals(tmp_path / "new", device) == [6]
    device.workshop = None
    assert totals(tmp_path / "new", device) == [6]


def test_a_file_of_another_workshop_is_refused_with_the_ways_out_unless_it_shall_join(
    tmp_path: Path,
) -> None:
    filled(tmp_path / "old")
    filled(tmp_path / "own", taps=4)
    exported = run("export", "--data", tmp_path / "old").output.replace('"phone"', '"tablet"')
    was = run("export", "--data", tmp_path / "own").output
    result = run("import", "-", "--data", tmp_path / "own", given=exported)
    assert result.exit_code == 1
    for word in (
        "Nothing was taken in",
        "--data FOLDER",
        "--join",
        workshop.short(identity(tmp_path / "old")),
    ):
        assert word in result.output
    assert run("export", "--data", tmp_path / "own").output == was
    result = run("import", "-", "--join", "--data", tmp_path / "own", given=exported)
    assert result.exit_code == 0 and "4 changes taken in" in result.output
    assert identity(tmp_path / "own") == json.loads(was.split("\n", 1)[0])["workshop"]


@pytest.mark.parametrize(
    "head", [{"workshop": OTHER}, {"workshop": None, "log": "feedfacefeedface"}]
)
def test_the_file_of_a_page_is_of_its_workshop_too(tmp_path: Path, head: dict[str, Any]) -> None:
    filled(tmp_path / "own")
    change = {
        "device": "page",
        "seq": 1,
        "at": 1,
        "tz": 0,
        "v": 1,
        "kind": "count",
        "piece": "p",
        "step": "close",
    }
    file = {"ask": "fold", "v": 1, "device": "page", "changes": [change | {"n": 1, "how": "tap"}]}
    refused = run("import", "-", "--data", tmp_path / "own", given=json.dumps(file | head))
    assert refused.exit_code == 1 and "Nothing was taken in" in refused.output
    own = {"workshop": identity(tmp_path / "own"), "log": "feedfacefeedface"}
    for good in (own, {"workshop": None}, {}):
        taken = run("import", "-", "--data", tmp_path / "own", given=json.dumps(file | good))
        assert taken.exit_code == 0, taken.output
    assert totals(tmp_path / "own", Device("other")) == [7]


def test_an_export_of_the_time_before_the_name_comes_in(tmp_path: Path) -> None:
    filled(tmp_path / "old")
    filled(tmp_path / "own", taps=1)
    lines = run("export", "--data", tmp_path / "old").output.splitlines()[1:]
    given = joined(lines).replace('"phone"', '"tablet"')
    assert run("import", "-", "--data", tmp_path / "own", given=given).exit_code == 0
    assert totals(tmp_path / "own", Device("other")) == [7]


@pytest.mark.parametrize(
    "head",
    ['{"workshop": "<script>"}', '{"workshop": 5}', f'{{"workshop": "{OTHER}", "logs": "x"}}'],
)
def test_a_head_that_names_no_workshop_is_refused_by_its_line(tmp_path: Path, head: str) -> None:
    result = run("import", "-", "--data", tmp_path / "new", given=head + "\n")
    assert result.exit_code == 1 and "line 1" in result.output
    assert not (tmp_path / "new" / FILE).exists()


def test_the_doctor_names_the_workshop(tmp_path: Path) -> None:
    filled(tmp_path / "w")
    own = identity(tmp_path / "w")
    assert (
        f"workshop {workshop.short(own)} ({own})" in run("doctor", "--data", tmp_path / "w").output
    )


def test_a_workshop_is_named_by_its_first_eight_figures_in_two_groups() -> None:
    assert workshop.short("0123456789abcdef0123456789abcdef") == "0123-4567"
