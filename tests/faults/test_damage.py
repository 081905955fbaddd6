"""The disk damages the workshop's file: it is found, it costs no more than it hit, and nothing is
answered with a fault of ours.
"""

from __future__ import annotations

import asyncio
import json
import random
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from click.testing import Result

from server import audit, backup_schedule, backups
from server.errors import StoreError
from server.store import FILE, LogTransaction, now_ms, open_store
from server.sync import put_damaged_aside
from tests.server.link import Device, Link, app_link
from tests.server.test_cli import run
from tests.server.test_workshop import age

DAMAGES = 40
TAPS = 900


async def fill(folder: Path) -> list[Device]:
    """Two devices, one change of each set aside, and one under a number already used."""
    devices = [Device("phone"), Device("Gerät am Fenster")]
    async with app_link(folder) as link:
        for device in devices:
            for n in range(1, TAPS + 1):
                device.count(n, piece=f"piece {n % 7}")
            device.count(0)
            await link.meet(device)
            bad = device.own[-1] | {"n": 99}
            await link.push(device.request() | {"changes": [bad]})
        await link.meet(*devices)
    return devices


def rows(path: Path) -> list[list[Any]]:
    """All that the file says."""
    asked = (
        "SELECT * FROM changes ORDER BY place",
        "SELECT * FROM clashes ORDER BY device, seq, body",
        "SELECT * FROM damaged",
        "SELECT * FROM meta ORDER BY name",
        "SELECT n, name FROM migrations ORDER BY n",
    )
    with closing(sqlite3.connect(path)) as db:
        return [db.execute(each).fetchall() for each in asked]


def damage(path: Path, chance: random.Random) -> str:
    """1 to 64 bytes somewhere in the file become others."""
    content = bytearray(path.read_bytes())
    n = chance.randint(1, 64)
    at = chance.randrange(len(content) - n)
    for i in range(at, at + n):
        content[i] ^= chance.randint(1, 255)
    path.write_bytes(content)
    return f"{n} bytes at {at}"


def said(result: Result) -> Result:
    """A command's result, which ended in order or with a sentence, never with a traceback."""
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exc_info
    assert "Traceback" not in result.output and "[Errno" not in result.output
    return result


def commands(folder: Path, aside: Path) -> Iterator[Result]:
    """Every command on the damaged workshop; the first two shall find the damage."""
    yield run("doctor", "--data", folder)
    yield run("backup", "--data", folder, "--to", aside / "copy.sqlite")
    yield run("export", "--data", folder)
    yield run("export", "--data", folder, "--to", aside / "log.jsonl")
    yield run("restore", folder / FILE, "--data", aside / "restored")
    line = '{"device": "x", "seq": 1, "at": 1, "tz": 0, "v": 1, "kind": "hold", "piece": "p", "step": "s", "n": 1}'
    yield run("import", "-", "--data", folder, given=line)


async def exchange(folder: Path) -> None:
    """A device that knows nothing and one that sends: 200, or 503 where the file is past reading."""
    try:
        async with app_link(folder) as link:
            for name in ("newcomer", "phone"):
                device = Device(name)
                device.count(1)
                response = await link.post(device.request())
                assert response.status_code in (200, 503), response.text
            await put_damaged_aside(link.app.state.store, now_ms())
    except StoreError as e:
        assert "restore" in str(e)


@pytest.mark.parametrize("seed", range(DAMAGES))
async def test_every_damage_is_found_or_changed_nothing(
    seed: int, tmp_path: Path, filled: Path
) -> None:

    shutil.copytree(filled, tmp_path / "w")
    where = damage(tmp_path / "w" / FILE, random.Random(seed))
    shutil.copytree(tmp_path / "w", tmp_path / "served")

    def all_commands() -> list[Result]:
        return [said(result) for result in commands(tmp_path / "w", tmp_path)]

    doctor, backup, *_ = await asyncio.to_thread(all_commands)
    named = [line for line in doctor.output.splitlines() if line.startswith("TROUBLE")]
    found = any("set aside" not in line for line in named)
    assert found == (backup.exit_code != 0), where
    if not found:
        assert rows(tmp_path / "copy.sqlite") == rows(filled / FILE), where
    await exchange(tmp_path / "served")


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Path:

    folder = tmp_path_factory.mktemp("filled") / "w"
    asyncio.run(fill(folder))
    return folder


def test_damages_do_hit_changes(filled: Path, tmp_path: Path) -> None:
    """Of the forty, most reach a row: otherwise the test above would show little."""
    hit = 0
    for seed in range(DAMAGES):
        shutil.copy(filled / FILE, tmp_path / FILE)
        damage(tmp_path / FILE, random.Random(seed))
        try:
            report = audit.examine(tmp_path / FILE)
        except StoreError:
            continue
        hit += bool(report.damaged)
    assert hit > DAMAGES // 4


def spoil(
    path: Path, device: str, seq: int, to: str = "json_insert(body, '$.n', 7) || ' '"
) -> None:
    """One change is no longer as it was written."""
    with closing(sqlite3.connect(path)) as db, db:
        db.execute(f"UPDATE changes SET body = {to} WHERE device = ? AND seq = ?", (device, seq))


async def meet_all(link: Link, *devices: Device) -> set[int]:
    await link.meet(*devices, *devices)
    return {sum(row["done"] for row in device.totals()) for device in devices}


@pytest.mark.parametrize("to", ["'{'", "'[1]'", "''", "CAST(x'FF00FE' AS TEXT)", "body || ' '"])
async def test_a_damaged_change_comes_again_from_its_device(tmp_path: Path, to: str) -> None:
    phone, tablet = Device("phone"), Device("tablet")
    for n in range(1, 1201):
        phone.count(n)
    async with app_link(tmp_path / "w") as link:
        await link.meet(phone)
    spoil(tmp_path / "w" / FILE, "phone", 700, to)
    async with app_link(tmp_path / "w") as link:
        heard = await meet_all(link, tablet)
        assert heard == {1200 * 1201 // 2 - 700}  # it is given out to nobody
        (row,) = await put_damaged_aside(link.app.state.store, now_ms())
        assert (row.device, row.seq) == ("phone", 700)
        phone.count(5000)
        assert await meet_all(link, phone, tablet, Device("newcomer")) == {1200 * 1201 // 2 + 5000}
        assert await link.app.state.store.read(LogTransaction.lost) == []
    report = audit.examine(tmp_path / "w" / FILE)
    assert not report.broken and not report.damaged and report.changes == 1201


async def test_a_damaged_change_is_named_everywhere_until_it_is_back(tmp_path: Path) -> None:
    phone = Device("phone")
    for n in range(1, 6):
        phone.count(n)
    async with app_link(tmp_path / "w") as link:
        await link.meet(phone)
    backups.backup(tmp_path / "w", tmp_path / "good.sqlite")
    spoil(tmp_path / "w" / FILE, "phone", 3)
    name = "change 3 of device phone"

    def terminal(aside: bool) -> None:
        copy = tmp_path / f"bad-{aside}.sqlite"
        result = said(run("backup", "--data", tmp_path / "w", "--to", copy))
        assert result.exit_code == 1 and name in result.stderr
        result = said(run("doctor", "--data", tmp_path / "w"))
        assert result.exit_code == 1 and name in result.output
        result = said(run("restore", copy, "--data", tmp_path / "new"))
        assert result.exit_code == 1 and name in result.output and "--anyway" in result.output
        assert not (tmp_path / "new" / FILE).exists()
        result = said(run("export", "--data", tmp_path / "w"))
        assert len(result.stdout.splitlines()) == 1 + 4
        assert aside or (result.exit_code == 1 and name in result.stderr)

    await asyncio.to_thread(terminal, False)
    async with open_store(tmp_path / "w") as store:
        await put_damaged_aside(store, now_ms())
    await asyncio.to_thread(terminal, True)
    result = await asyncio.to_thread(
        run, "restore", tmp_path / "bad-True.sqlite", "--data", tmp_path / "new", "--anyway"
    )
    assert said(result).exit_code == 0
    async with app_link(tmp_path / "new") as link:
        assert await meet_all(link, Device("other")) == {1 + 2 + 4 + 5}
        assert await meet_all(link, phone, Device("other")) == {15}


async def test_a_copy_the_page_saved_brings_a_damaged_change_back(tmp_path: Path) -> None:
    """The device is gone; another one has its change."""
    phone, tablet = Device("phone"), Device("tablet")
    for n in range(1, 6):
        phone.count(n)
    async with app_link(tmp_path / "w") as link:
        await link.meet(phone, tablet)
    spoil(tmp_path / "w" / FILE, "phone", 3)
    lines = "\n".join(json.dumps(change) for change in tablet.heard.values())

    result = await asyncio.to_thread(run, "import", "-", "--data", tmp_path / "w", given=lines)
    assert "1 change taken in, 4 known already" in said(result).output
    async with app_link(tmp_path / "w") as link:
        assert await meet_all(link, Device("newcomer")) == {15}
    assert said(await asyncio.to_thread(run, "doctor", "--data", tmp_path / "w")).exit_code == 0


async def test_a_file_that_names_another_workshop_by_damage_is_not_served(tmp_path: Path) -> None:
    async with open_store(tmp_path):
        pass
    with closing(sqlite3.connect(tmp_path / FILE)) as db, db:
        db.execute(
            "UPDATE meta SET value = replace(value, '0', '1') || 'a' WHERE name = 'workshop'"
        )
    with pytest.raises(StoreError, match="damaged"):
        async with open_store(tmp_path):
            pass
    assert audit.examine(tmp_path / FILE).broken == ["what says whose workshop it is, is damaged"]


async def test_damage_before_there_were_checksums_is_found_by_its_form(tmp_path: Path) -> None:
    phone = Device("phone")
    for n in range(1, 6):
        phone.count(n)
    async with app_link(tmp_path / "w") as link:
        await link.meet(phone)
    age(tmp_path / "w" / FILE)
    spoil(tmp_path / "w" / FILE, "phone", 2, "'{'")
    assert len(audit.examine(tmp_path / "w" / FILE).damaged) == 1
    async with app_link(tmp_path / "w") as link:
        assert await meet_all(link, Device("other")) == {15 - 2}
        assert len(await put_damaged_aside(link.app.state.store, now_ms())) == 1
        phone.workshop = None  # as a page from before identities
        assert await meet_all(link, phone, Device("another")) == {15}


async def test_a_backup_that_would_change_rows_by_itself_is_not_restored(tmp_path: Path) -> None:
    async with open_store(tmp_path / "w"):
        pass
    copy = tmp_path / "copy.sqlite"
    backups.backup(tmp_path / "w", copy)
    with closing(sqlite3.connect(copy)) as db, db:
        db.execute(
            "CREATE TRIGGER t AFTER INSERT ON changes BEGIN DELETE FROM changes WHERE place < NEW.place; END"
        )
    result = await asyncio.to_thread(run, "restore", copy, "--data", tmp_path / "w")
    assert result.exit_code == 1 and "trigger" in result.output


async def test_a_newer_file_is_told_as_one_by_every_command(tmp_path: Path) -> None:

    async with open_store(tmp_path / "w"):
        pass
    with closing(sqlite3.connect(tmp_path / "w" / FILE)) as db, db:
        db.execute("INSERT INTO migrations VALUES (99, 'of_tomorrow', 1)")
    for words in (["doctor"], ["backup"], ["export"], ["serve", "--port", "0"]):
        result = said(await asyncio.to_thread(run, *words, "--data", tmp_path / "w"))
        assert result.exit_code == 1 and "newer" in result.output, words


async def test_a_backup_made_by_itself_names_damage_and_lets_no_good_one_go(tmp_path: Path) -> None:
    phone = Device("phone")
    async with app_link(tmp_path / "w") as link:
        phone.count(1)
        await link.meet(phone)
    spoil(tmp_path / "w" / FILE, "phone", 1)
    folder = tmp_path / "w" / "backups"
    folder.mkdir()
    for day in range(10, 29):
        (folder / f"ringwright-{phone.workshop[:8]}-2026-01-{day}-120000.sqlite").touch()
    state = backup_schedule.make(tmp_path / "w", str(phone.workshop), now_ms())
    assert "change 1 of device phone" in state.why
    assert len(list(folder.iterdir())) == 19 + 1
