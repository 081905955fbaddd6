"""Backups made by themselves: when, where, which are kept, and what is told when one fails."""

from __future__ import annotations

import json
import os
import sqlite3
import stat
import subprocess
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from server import audit, backup_schedule, doctor
from server.backup_schedule import DAY_MS, State, is_due, kept
from server.settings import Settings
from server.store import Entry, Store, open_store
from tests.running import Serving, started
from tests.server.link import Device, app_link
from tests.server.test_cli import run

NOON = datetime(2026, 3, 1, 12)
MOMENTS = st.sets(st.datetimes(datetime(2020, 1, 1), datetime(2027, 12, 31)), max_size=120)


def ms(when: datetime) -> int:
    return int(when.timestamp() * 1000)


def newest_of(moments: set[datetime], period: str, most: int) -> set[datetime]:
    """The rule worked out another way: sorted into periods, the last of each, the last periods."""
    names = sorted({m.strftime(period) for m in moments})[-most:]
    return {max(m for m in moments if m.strftime(period) == name) for name in names}


@given(MOMENTS)
def test_of_days_weeks_and_months_the_newest_stay(moments: set[datetime]) -> None:
    wanted = (
        newest_of(moments, "%Y-%m-%d", 7)
        | newest_of(moments, "%G-%V", 8)
        | newest_of(moments, "%Y-%m", 24)
    )
    assert kept(moments) == wanted


@given(MOMENTS)
def test_what_is_kept_stays_kept_and_is_little(moments: set[datetime]) -> None:
    stay = kept(moments)
    assert stay <= moments and len(stay) <= 7 + 8 + 24
    assert kept(stay) == stay
    assert not moments or max(moments) in stay


@given(st.lists(st.integers(1, 40), min_size=1, max_size=150))
def test_letting_go_day_by_day_leaves_as_much_as_letting_go_once(gaps: list[int]) -> None:
    """A maker runs it for years: pruned at each backup, every month still has its newest."""
    now, held, ever = NOON, set(), set()
    for gap in gaps:
        now += timedelta(days=gap)
        ever.add(now)
        held = kept(held | {now})
    assert held == kept(ever)


def test_daily_backups_of_years_reach_back_over_twenty_four_months() -> None:
    days = {NOON - timedelta(days=n) for n in range(1000)}
    stay = kept(days)
    assert {NOON - timedelta(days=n) for n in range(7)} <= stay
    assert (NOON - min(stay)).days > 23 * 28 and len(stay) <= 37


@pytest.mark.parametrize(
    ("place", "hours", "due"),
    [(5, 100, False), (6, 23, False), (6, 24, True), (6, 100, True), (6, -1, True), (2, 30, True)],
)
def test_one_is_due_a_day_after_the_last_if_there_is_something_new(
    place: int, hours: int, due: bool
) -> None:
    """Also where the clock was put back behind the last one, or a restore went back."""
    last = ms(NOON)
    assert is_due(State(last_ms=last, place=5), place, last + hours * 3600 * 1000) is due


def test_a_workshop_without_a_change_needs_none() -> None:
    assert not is_due(State(), 0, ms(NOON)) and is_due(State(), 1, ms(NOON))


async def add(store: Store, seq: int) -> None:
    body = json.dumps({"seq": seq})
    await store.write(lambda tx: tx.add("phone", [Entry(seq, body, "not good")], 1))


async def test_a_day_with_changes_is_followed_by_one_and_a_day_without_by_none(
    tmp_path: Path,
) -> None:
    now, made = ms(NOON), []
    async with open_store(tmp_path / "w") as store:
        for day in range(30):
            if day % 3 == 0:
                await add(store, day // 3 + 1)
            for hour in range(0, 24, 6):
                at = now + day * DAY_MS + hour * 3600 * 1000
                state = await backup_schedule.make_if_due(tmp_path / "w", store, at)
                if state:
                    assert state.why == ""
                    made.append(day)
    assert made == list(range(0, 30, 3))
    names = sorted(path.name for path in (tmp_path / "w" / "backups").iterdir())
    assert names and all(name.startswith("ringwright-") for name in names)
    status = backup_schedule.status(tmp_path / "w")
    assert status == {
        "last_ms": now + 27 * DAY_MS,
        "folder": str(tmp_path / "w" / "backups"),
        "ok": True,
    }


async def test_only_those_it_made_itself_for_this_workshop_go(tmp_path: Path) -> None:
    folder = tmp_path / "w" / "backups"
    async with open_store(tmp_path / "w") as store:
        workshop = await store.read(lambda tx: tx.workshop())
        folder.mkdir()
        strangers = [
            "ringwright-00000000-2020-01-01-120000.sqlite",
            "ringwright-2020-01-01-120000.sqlite",
            "before-restore-2020-01-01-120000.sqlite",
            f"ringwright-{workshop[:8]}-2020-99-01-120000.sqlite",
            "diary.txt",
        ]
        own = [f"ringwright-{workshop[:8]}-2020-01-{day:02}-120000.sqlite" for day in range(1, 32)]
        for name in strangers + own:
            (folder / name).touch()
        await add(store, 1)
        await backup_schedule.make_if_due(tmp_path / "w", store, ms(NOON))
    left = {path.name for path in folder.iterdir()}
    assert set(strangers) <= left and own[-1] in left and own[0] not in left
    assert len(left & set(own)) < 14


async def test_a_chosen_folder_is_remembered_and_gets_sound_closed_files(tmp_path: Path) -> None:
    backup_schedule.choose_folder(tmp_path / "w", tmp_path / "disk" / "copies")
    phone = Device("phone")
    phone.count(3)
    async with app_link(tmp_path / "w") as link:
        await link.meet(phone)
        state = await backup_schedule.make_if_due(tmp_path / "w", link.app.state.store, ms(NOON))
    assert state and state.why == "" and not (tmp_path / "w" / "backups").exists()
    (copy,) = (tmp_path / "disk" / "copies").iterdir()
    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700
    with closing(sqlite3.connect(copy)) as db:
        assert db.execute("SELECT count(*) FROM changes").fetchone() == (1,)
    assert backup_schedule.folder_of(tmp_path / "w") == tmp_path / "disk" / "copies"


async def test_a_folder_that_is_gone_is_told_and_not_made_anew(tmp_path: Path) -> None:
    """An unplugged disk leaves an empty place: a backup there would be none."""
    backup_schedule.choose_folder(tmp_path / "w", tmp_path / "disk")
    (tmp_path / "disk").rmdir()
    async with open_store(tmp_path / "w") as store:
        await add(store, 1)
        state = await backup_schedule.make_if_due(tmp_path / "w", store, ms(NOON))
        assert state and "Plug in its disk" in state.why and not (tmp_path / "disk").exists()
        assert backup_schedule.status(tmp_path / "w") == {
            "last_ms": 0,
            "folder": str(tmp_path / "disk"),
            "ok": False,
            "why": state.why,
        }
        (tmp_path / "disk").mkdir()
        again = await backup_schedule.make_if_due(tmp_path / "w", store, ms(NOON) + 1)
        assert again and again.why == "" and list((tmp_path / "disk").iterdir())


async def test_a_file_where_the_folder_should_be_is_told(tmp_path: Path) -> None:
    async with open_store(tmp_path / "w") as store:
        await add(store, 1)
        (tmp_path / "w" / "backups").write_text("no folder")
        state = await backup_schedule.make_if_due(tmp_path / "w", store, ms(NOON))
    assert state and "a folder is needed there" in state.why


@pytest.mark.parametrize("text", ["", "{", "[]", '{"folder": 1}', '{"folder": "", "last_ms": "x"}'])
def test_a_state_that_cannot_be_read_is_a_fresh_one(tmp_path: Path, text: str) -> None:
    (tmp_path / backup_schedule.NAME).write_text(text)
    assert backup_schedule.read_state(tmp_path) == State()
    assert backup_schedule.status(tmp_path) is None


def await_backup(server: Serving) -> None:
    """Until the running server has made one and said so in its state."""
    for _ in range(1200):
        status = backup_schedule.status(server.data)
        if status is not None:
            return
        assert server.process is not None
        try:
            server.process.wait(0.1)
        except subprocess.TimeoutExpired:
            continue
        break
    raise AssertionError("no backup was tried: " + server.output())


def count_in(server: Serving) -> None:
    phone = Device("phone")
    phone.count(3)
    answer = httpx.post(server.url + "/api/sync", json=phone.request(), timeout=60)
    assert answer.json()["acked"] == 1


def test_a_server_started_after_a_day_with_changes_makes_one(tmp_path: Path) -> None:
    with started(tmp_path / "w", "--backups", str(tmp_path / "disk")) as server:
        count_in(server)
        server.stop()
        assert not list((tmp_path / "disk").iterdir())
        server.options = ("--no-pairing",)
        server.start()
        await_backup(server)
    assert len(list((tmp_path / "disk").iterdir())) == 1


def test_a_server_whose_backups_find_no_folder_says_so_and_goes_on(tmp_path: Path) -> None:
    with started(tmp_path / "w", "--backups", str(tmp_path / "disk")) as server:
        count_in(server)
        server.stop()
        (tmp_path / "disk").rmdir()
        server.options = ("--no-pairing",)
        server.start()
        await_backup(server)
        count_in(server)
        assert "No good backup today" in server.output() and "Plug in" in server.output()


def told(data: Path, now: int) -> str:
    report = audit.examine(data / "ringwright.sqlite")
    lines = doctor.backups(Settings(data=data), report, now)
    return "\n".join(f"{finding.ok} {finding.what}" for finding in lines)


async def test_the_doctor_says_how_old_the_last_good_one_is(tmp_path: Path) -> None:
    data = tmp_path / "w"
    async with open_store(data) as store:
        await store.write(lambda tx: tx.add("phone", [Entry(1, '{"seq":1}', "not good")], ms(NOON)))
        assert told(data, ms(NOON) + DAY_MS).startswith("True no backup was made by itself yet")
        assert told(data, ms(NOON) + 3 * DAY_MS).startswith("False no backup")
        await backup_schedule.make_if_due(data, store, ms(NOON))
        assert "True last good backup: 2026-03-01 12:00 (9 days ago)" in told(
            data, ms(NOON) + 9 * DAY_MS
        )
        await add(store, 2)
        assert told(data, ms(NOON) + 9 * DAY_MS).startswith("False the last good backup")
        os.rename(data / "backups", data / "elsewhere")
        (data / "backups").touch()
        await backup_schedule.make_if_due(data, store, ms(NOON) + 9 * DAY_MS)
        assert told(data, ms(NOON) + 9 * DAY_MS).startswith("False the last backup was not made")


@pytest.mark.parametrize(
    ("days", "ok", "word"),
    [
        (0, True, "the clock says"),
        (200, True, "the clock says"),
        (-0.5, True, "the clock says"),
        (370, False, "more than a year"),
        (-2, False, "something here is from"),
        (-365, False, "set the clock"),
    ],
)
def test_a_clock_a_year_off_is_named(days: float, ok: bool, word: str) -> None:
    now = ms(NOON) + int(days * DAY_MS)
    finding = doctor.clock(now, ms(NOON), ms(NOON) - 500 * DAY_MS)
    assert finding.ok is ok and word in finding.what


def test_a_clock_before_the_program_was_installed_is_named() -> None:
    assert not doctor.clock(ms(NOON), 0, ms(NOON) + 300 * DAY_MS).ok


def test_the_doctor_looks_at_the_disk_and_at_who_has_the_workshop_open(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with started(tmp_path / "w"):
        assert "one server has the workshop open" in run("doctor", "--data", tmp_path / "w").output
    assert "no server has the workshop open" in run("doctor", "--data", tmp_path / "w").output
    monkeypatch.setattr(doctor, "LEAST_FREE", 2**60)
    result = run("doctor", "--data", tmp_path / "w")
    assert result.exit_code == 1 and "make room for" in result.output


@pytest.mark.parametrize(
    ("version", "word"),
    [((3, 40, 1), "several programs writing at one moment"), ((3, 51, 3), "no known fault")],
)
def test_the_doctor_knows_the_fault_of_older_sqlite(
    monkeypatch: pytest.MonkeyPatch, version: tuple[int, int, int], word: str
) -> None:
    monkeypatch.setattr(doctor.sqlite3, "sqlite_version_info", version)
    finding = doctor._sqlite()
    assert finding.ok and word in finding.what
