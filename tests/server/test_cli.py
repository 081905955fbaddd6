"""The commands, run as a maker runs them."""

from __future__ import annotations

import asyncio
import json
import os
import socket
import sqlite3
import stat
from contextlib import closing
from io import BytesIO
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from server import cli, doctor, sync
from server.ask_api import answers
from server.serving import listen
from server.settings import THIS_MACHINE
from server.store import FILE, open_store
from tests.server.link import Device, Link, app_link

QUESTION = {"ask": "gauge", "gauge": 16}


def run(*arguments: object, given: str | None = None) -> Result:
    return CliRunner().invoke(cli.main, [str(a) for a in arguments], input=given)


def filled(folder: Path, taps: int = 3) -> Device:
    """A workshop with one device's counts, one set aside, and one clash."""
    device = Device("phone")
    for n in range(1, taps + 1):
        device.count(n)
    bad = device.count(0)

    async def fill() -> None:
        async with app_link(folder) as link:
            await link.meet(device)
            old_page = {"seq": None, "changes": [bad | {"n": 99}]}
            await link.push(device.request() | old_page)

    asyncio.run(fill())
    return device


def totals(folder: Path, *devices: Device) -> list[int]:
    async def ask(link: Link, device: Device) -> int:
        await link.meet(device)
        return sum(row["done"] for row in device.totals())

    async def everyone() -> list[int]:
        async with app_link(folder) as link:
            return [await ask(link, device) for device in devices]

    return asyncio.run(everyone())


def test_every_command_has_its_help() -> None:
    assert set(cli.main.commands) == {
        "serve",
        "page",
        "ask",
        "export",
        "import",
        "backup",
        "restore",
        "doctor",
        "pair",
        "devices",
        "service",
    }
    for name, command in cli.main.commands.items():
        assert run(name, "--help").exit_code == 0
        assert command.help and all(p.help for p in command.params if isinstance(p, click.Option))


def test_one_question_a_line_is_one_answer_a_line() -> None:
    lines = [json.dumps(QUESTION), "", json.dumps(QUESTION | {"gauge": "x"}), "not json"]
    said = [json.loads(line) for line in answers(BytesIO("\n".join(lines).encode()))]
    assert [each["ok"] for each in said] == [True, False, False]


def test_one_question_over_many_lines_is_one_answer() -> None:
    said = [json.loads(line) for line in answers(BytesIO(json.dumps(QUESTION, indent=2).encode()))]
    assert len(said) == 1 and said[0]["ok"]


def test_nothing_asked_is_nothing_answered() -> None:
    assert list(answers(BytesIO(b""))) == [] and list(answers(BytesIO(b"\n \n"))) == []


def test_bytes_that_are_no_text_get_an_answer_too() -> None:
    (line,) = answers(BytesIO(b"\xff\xfe{}"))
    assert json.loads(line)["ok"] is False


def test_a_question_of_one_line_is_answered_before_the_next_is_there() -> None:
    class StillOpen(BytesIO):
        def read(self, size: int | None = -1) -> bytes:
            raise AssertionError("The end of what is asked was waited for.")

    asked = StillOpen(f"{json.dumps(QUESTION)}\n{json.dumps(QUESTION)}\n".encode())
    assert [json.loads(answer)["ok"] for answer in answers(asked)] == [True, True]


def test_a_file_in_place_of_the_data_folder_is_refused_by_name(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    for command in ("serve", "doctor", "export"):
        result = run(command, "--data", tmp_path / "file")
        assert result.exit_code == 2 and "--data" in result.output and "is a file" in result.output


def test_ask_reads_standard_input() -> None:
    result = run("ask", given=json.dumps(QUESTION) + "\n")
    assert result.exit_code == 0 and json.loads(result.output)["ok"]


def test_ask_ends_with_an_error_where_a_question_was_refused() -> None:
    bad = json.dumps({"ask": "gauge", "gauge": "sixteen"})
    for given in (bad, f"{json.dumps(QUESTION)}\n{bad}", f"{bad}\n{json.dumps(QUESTION)}"):
        result = run("ask", given=given + "\n")
        assert result.exit_code == 1
        assert len(result.output.splitlines()) == len(
            given.splitlines()
        )  # every one is still answered


def test_ask_passes_over_a_byte_order_mark() -> None:
    for given in (json.dumps(QUESTION), json.dumps(QUESTION, indent=1)):
        result = run("ask", given="\ufeff" + given + "\n")
        assert result.exit_code == 0 and json.loads(result.output)["ok"]


def test_a_taken_port_is_told_in_one_sentence(tmp_path: Path) -> None:
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        result = run("serve", "--port", other.getsockname()[1], "--data", tmp_path)
    assert result.exit_code == 1 and "choose another with --port" in result.output


def test_a_folder_in_use_is_told_in_one_sentence(tmp_path: Path) -> None:
    async def both() -> Result:
        async with open_store(tmp_path):
            return await asyncio.to_thread(run, "serve", "--port", 0, "--data", tmp_path)

    result = asyncio.run(both())
    assert result.exit_code == 1 and "Stop it first" in result.output


def test_a_missing_library_of_the_page_is_named_with_its_remedy(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    cli._check_vendor(cli.Settings(data=tmp_path, static=tmp_path))
    said = capsys.readouterr().err
    assert "static/vendor/micropython.wasm" in said and "python -m server.vendor" in said


def test_each_exported_line_is_the_change_as_its_device_said_it(tmp_path: Path) -> None:
    """The forms that log_transfer.py names: a head, changes, those set aside, then the clashes."""
    device = filled(tmp_path / "old", taps=2)
    head, *told = [
        json.loads(line) for line in run("export", "--data", tmp_path / "old").output.splitlines()
    ]
    assert sorted(head) == ["logs", "workshop"]
    assert len(head["workshop"]) == 32 and [len(log) for log in head["logs"]] == [16]
    assert told[:2] == device.own[:2]
    bad, clash = told[2:]
    for line, change in ((bad, device.own[2]), (clash, device.own[2] | {"n": 99})):
        assert sorted(line) == ["device", "put_aside", "seq", "why"]
        assert (line["device"], line["seq"], line["put_aside"]) == ("phone", 3, change)
    assert bad["why"] == device.refused[3] and "already another change" in clash["why"]


def test_an_export_into_a_file_says_how_many_changes_it_wrote(tmp_path: Path) -> None:
    filled(tmp_path / "old", taps=2)
    result = run("export", "--data", tmp_path / "old", "--to", tmp_path / "log.jsonl")
    lines = (tmp_path / "log.jsonl").read_text().splitlines()
    assert len(lines) == 5 and result.output.startswith("Wrote 4 changes to ")


def test_what_is_exported_comes_in_elsewhere_once(tmp_path: Path) -> None:
    filled(tmp_path / "old")
    file = tmp_path / "log.jsonl"
    assert run("export", "--data", tmp_path / "old", "--to", file).exit_code == 0
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    first = run("import", file, "--data", tmp_path / "new")
    assert (
        "4 changes taken in, 1 known already, 2 set aside" in first.output and first.exit_code == 0
    )
    again = run("import", "-", "--data", tmp_path / "new", given=file.read_text())
    assert "0 changes taken in, 5 known already" in again.output
    assert (
        run("export", "--data", tmp_path / "new").output.splitlines()[1:]
        == file.read_text().splitlines()[1:]
    )
    assert totals(tmp_path / "new", Device("other")) == [6]


def test_empty_lines_of_a_file_are_passed_over(tmp_path: Path) -> None:
    filled(tmp_path / "old", taps=2)
    written = run("export", "--data", tmp_path / "old").output
    result = run("import", "-", "--data", tmp_path / "new", given=written.replace("\n", "\n \n\n"))
    assert result.exit_code == 0 and "3 changes taken in" in result.output


def test_the_file_a_page_wrote_comes_in_as_well(tmp_path: Path) -> None:
    filled(tmp_path / "old")
    told = [
        json.loads(line)
        for line in run("export", "--data", tmp_path / "old").output.splitlines()[1:]
    ]
    file = {
        "ask": "fold",
        "v": 1,
        "device": "other",
        "made_ms": 5,
        "changes": [c.get("put_aside", c) for c in told],
    }
    result = run("import", "-", "--data", tmp_path / "new", given=json.dumps(file))
    assert result.exit_code == 0, result.output
    assert (
        totals(tmp_path / "new", Device("other"))
        == totals(tmp_path / "old", Device("other"))
        == [6]
    )


@pytest.mark.parametrize("changes", [[3], [{}], [{"device": "a", "seq": 0}]])
def test_a_page_s_file_with_a_fault_takes_nothing_in(tmp_path: Path, changes: list[object]) -> None:
    result = run("import", "-", "--data", tmp_path / "new", given=json.dumps({"changes": changes}))
    assert result.exit_code == 1 and "line 1" in result.output
    assert not (tmp_path / "new" / FILE).exists()


def exported(folder: Path) -> list[str]:
    return run("export", "--data", folder).output.splitlines()[1:]


def test_an_import_goes_on_behind_a_missing_number_and_names_it(tmp_path: Path) -> None:
    device = filled(tmp_path / "old", taps=5)
    one, _, three, _, five, *_ = exported(tmp_path / "old")
    lines = "\n".join([one, three, five])
    result = run("import", "-", "--data", tmp_path / "new", given=lines)
    assert result.exit_code == 0 and "3 changes taken in, 0 known" in result.stdout
    assert "no change 2 of device phone" in result.stderr
    assert "no change 4 of device phone" in result.stderr
    assert totals(tmp_path / "new", Device("other")) == [1 + 3 + 5]
    again = run("import", "-", "--data", tmp_path / "new", given=lines)
    assert "0 changes taken in, 3 known already" in again.output
    device.move_to(
        json.loads(run("export", "--data", tmp_path / "new").output.splitlines()[0])["workshop"]
    )
    assert totals(tmp_path / "new", device, Device("other")) == [15, 15]


def test_a_missing_number_is_told_once_over_many_batches(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    filled(tmp_path / "old", taps=4)
    one, _, _, four, *_ = exported(tmp_path / "old")
    monkeypatch.setattr(sync, "MOST", 1)  # changes in a batch
    result = run("import", "-", "--data", tmp_path / "new", given="\n".join([one, four]))
    assert result.output.count("no change 2–3 of device phone") == 1


def page_file(device: Device) -> str:
    """What a page saves: its own changes, and what it got of the others'."""
    head = {"ask": "fold", "v": 1, "device": device.name, "made_ms": 5, "workshop": device.workshop}
    return json.dumps(head | {"changes": device.own + list(device.heard.values())})


def test_a_page_s_file_lacks_what_the_server_had_put_aside_of_others(tmp_path: Path) -> None:
    """The put-aside change is the middle one of the other device's."""
    phone, tablet = Device("phone"), Device("tablet")
    for n in (1, 0, 3):
        tablet.count(n)
    phone.count(10)
    assert totals(tmp_path / "old", tablet, phone) == [4, 14]
    result = run("import", "-", "--data", tmp_path / "new", given=page_file(phone))
    assert result.exit_code == 0 and "no change 2 of device tablet" in result.stderr
    assert totals(tmp_path / "new", Device("other")) == [14]
    for device in (phone, tablet):
        device.log = None
        device.acked = device.after = 0
    assert totals(tmp_path / "new", tablet, phone, Device("third")) == [14, 14, 14]
    assert list(tablet.refused) == [2]


def test_a_file_saved_with_unsent_taps_and_then_the_phone_itself_count_once(tmp_path: Path) -> None:
    phone = Device("phone")
    phone.count(1)
    assert totals(tmp_path / "w", phone) == [1]
    for n in (2, 3, 4):
        phone.count(n)
    result = run("import", "-", "--data", tmp_path / "w", given=page_file(phone))
    assert "3 changes taken in, 1 known already, 0 set aside" in result.output
    phone.count(5)
    assert totals(tmp_path / "w", phone, Device("other")) == [15, 15]
    assert run("doctor", "--data", tmp_path / "w").output.count("changes: 5; devices: 1") == 1


@pytest.mark.parametrize(
    "line", ["{", "[]", '{"device": "a"}', '{"device": "a", "seq": 0}', '{"seq": NaN}']
)
def test_a_line_that_cannot_be_read_is_named_and_nothing_is_taken_in(
    tmp_path: Path, line: str
) -> None:
    filled(tmp_path / "old")
    good = run("export", "--data", tmp_path / "old").output
    result = run("import", "-", "--data", tmp_path / "new", given=good + line + "\n")
    assert result.exit_code == 1 and "line 7" in result.output
    assert not (tmp_path / "new" / FILE).exists()


def test_a_backup_is_one_sound_file_closed_to_others(tmp_path: Path) -> None:
    filled(tmp_path / "w")
    result = run("backup", "--data", tmp_path / "w")
    (copy,) = (tmp_path / "w" / "backups").iterdir()
    assert str(copy) in result.output and stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(copy.parent.stat().st_mode) == 0o700
    with closing(sqlite3.connect(copy)) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert db.execute("SELECT count(*) FROM changes").fetchone() == (4,)
    assert "exists already" in run("backup", "--data", tmp_path / "w", "--to", copy).output


def test_a_restored_workshop_has_a_new_identity_and_the_old_one_is_kept(tmp_path: Path) -> None:
    device = filled(tmp_path / "w")
    run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite")
    before, device.log = device.log, None
    result = run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert result.exit_code == 0, result.output
    (kept,) = (tmp_path / "w" / "backups").glob("before-restore-*.sqlite")
    assert str(kept) in result.output
    files = [p for p in (tmp_path / "w").rglob("*") if p.is_file()]
    assert {stat.S_IMODE(p.stat().st_mode) for p in files} == {0o600}
    totals(tmp_path / "w", device)
    assert device.log not in (None, before)


def test_what_a_broken_off_restore_left_goes_after_a_day_and_not_before(tmp_path: Path) -> None:
    filled(tmp_path / "w")
    run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite")
    old, young = (tmp_path / "w" / f".{FILE}.{name}.part" for name in ("old", "young"))
    for part in (old, young):
        part.write_bytes(b"half a copy" * 100)
    os.utime(old, (0, 0))
    result = run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert result.exit_code == 0, result.output
    assert totals(tmp_path / "w", Device("other")) == [6]
    assert young.exists() and not old.exists()


def test_a_damaged_workshop_is_set_aside_by_a_restore(tmp_path: Path) -> None:
    filled(tmp_path / "w")
    run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite")
    (tmp_path / "w" / FILE).write_bytes(b"damaged beyond reading " * 500)
    result = run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert result.exit_code == 0, result.output
    (kept,) = (tmp_path / "w" / "backups").glob("before-restore-*.sqlite")
    assert kept.read_bytes().startswith(b"damaged")
    assert totals(tmp_path / "w", Device("other")) == [6]


@pytest.mark.parametrize("content", [b"", b"no database at all " * 300])
def test_what_is_no_copy_is_not_restored(tmp_path: Path, content: bytes) -> None:
    filled(tmp_path / "w")
    (tmp_path / "copy.sqlite").write_bytes(content)
    result = run("restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w")
    assert result.exit_code == 1 and "Choose another" in result.output
    assert "is not there" in run("restore", tmp_path / "none", "--data", tmp_path / "w").output
    assert totals(tmp_path / "w", Device("other")) == [6]


def test_a_running_server_is_not_restored_under(tmp_path: Path) -> None:
    filled(tmp_path / "w")

    async def both() -> Result:
        async with open_store(tmp_path / "w"):
            await asyncio.to_thread(
                run, "backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite"
            )
            return await asyncio.to_thread(
                run, "restore", tmp_path / "copy.sqlite", "--data", tmp_path / "w"
            )

    assert "Stop it first" in asyncio.run(both()).output
    assert (tmp_path / "copy.sqlite").is_file()


def test_the_doctor_finds_a_sound_workshop_well(tmp_path: Path) -> None:
    async def fill() -> None:
        async with app_link(tmp_path / "w") as link:
            device = Device("phone")
            device.count(3)
            await link.meet(device)

    asyncio.run(fill())
    result = run("doctor", "--data", tmp_path / "w")
    assert result.exit_code == 0, result.output
    for word in (
        "the file fits together as a whole",
        "every change was read and is as it was written (1)",
        "SQLite's journal_mode is wal",
        "changes: 1; devices: 1",
        "device phone",
    ):
        assert word in result.output


def test_the_doctor_names_what_is_wrong(tmp_path: Path) -> None:
    filled(tmp_path / "w")
    (tmp_path / "w" / FILE).chmod(0o644)
    result = run("doctor", "--data", tmp_path / "w")
    assert result.exit_code == 1
    assert "TROUBLE  changes set aside: 1" in result.output
    trouble = [row for row in result.output.splitlines() if row.startswith("TROUBLE")]
    assert any("chmod 600" in row for row in trouble), result.output
    (tmp_path / "w" / FILE).write_bytes(b"damaged" * 2000)
    assert "restore a backup" in run("doctor", "--data", tmp_path / "w").output


def test_an_engine_that_does_not_answer_is_trouble(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(doctor, "answer", lambda question: '{"ok": false}')
    finding = doctor._engine()
    assert not finding.ok and '{"ok": false}' in finding.what


def test_the_doctor_makes_nothing(tmp_path: Path) -> None:
    assert "ringwright serve makes one" in run("doctor", "--data", tmp_path / "none").output
    assert not (tmp_path / "none").exists()


def test_small_answers_leave_at_once() -> None:
    # asyncio switches Nagle's algorithm off only where a socket names its protocol: RFC 9293,
    # 3.7.4, for the algorithm
    async def delayed(listener: socket.socket) -> int:
        found: asyncio.Future[int] = asyncio.get_running_loop().create_future()

        async def meet(_: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            found.set_result(
                writer.get_extra_info("socket").getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY)
            )
            writer.close()

        async with await asyncio.start_server(meet, sock=listener):
            _, writer = await asyncio.open_connection(*listener.getsockname())
            no_delay = await found
            writer.close()
        return no_delay

    (listener,) = listen(THIS_MACHINE, 0)
    assert asyncio.run(delayed(listener)) != 0


def test_an_export_touches_nothing_that_is_there(tmp_path: Path) -> None:
    filled(tmp_path / "w")
    log = tmp_path / "log.jsonl"
    log.write_text("last week's")
    result = run("export", "--data", tmp_path / "w", "--to", log)
    assert result.exit_code == 1 and "--force" in result.output and log.read_text() == "last week's"
    assert run("export", "--data", tmp_path / "none", "--to", log, "--force").exit_code == 1
    assert log.read_text() == "last week's"
    assert run("export", "--data", tmp_path / "w", "--to", log, "--force").exit_code == 0
    assert len(log.read_text().splitlines()) == 6


@pytest.mark.parametrize("name", [FILE, "in-use", "backups.json", "link", "../copy.sqlite"])
def test_an_export_never_replaces_a_workshop_or_a_backup(tmp_path: Path, name: str) -> None:
    filled(tmp_path / "w")
    assert run("backup", "--data", tmp_path / "w", "--to", tmp_path / "copy.sqlite").exit_code == 0
    (tmp_path / "w" / "backups.json").write_text("{}")
    (tmp_path / "w" / "link").symlink_to(tmp_path / "copy.sqlite")
    target = tmp_path / "w" / name
    before = target.read_bytes()
    result = run("export", "--data", tmp_path / "w", "--to", target, "--force")
    assert result.exit_code == 1 and "never replaces it" in result.output
    assert target.read_bytes() == before


def test_two_restores_within_a_second_keep_both_workshops(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cli, "_stamp", lambda: "2026-01-01-120000")
    for taps, name in ((1, "a"), (2, "b"), (3, "w")):
        filled(tmp_path / name, taps=taps)
    for name in "ab":
        run("backup", "--data", tmp_path / name, "--to", tmp_path / f"{name}.sqlite")
        assert run("restore", tmp_path / f"{name}.sqlite", "--data", tmp_path / "w").exit_code == 0
    (tmp_path / "w" / FILE).write_bytes(b"damaged" * 999)
    assert run("restore", tmp_path / "a.sqlite", "--data", tmp_path / "w").exit_code == 0
    kept = sorted((tmp_path / "w" / "backups").iterdir())
    assert [path.name for path in kept] == [
        "before-restore-2026-01-01-120000-2.sqlite",
        "before-restore-2026-01-01-120000-3.sqlite",
        "before-restore-2026-01-01-120000.sqlite",
    ]
    assert kept[1].read_bytes() == b"damaged" * 999
    found = []
    for path in (kept[2], kept[0]):
        with closing(sqlite3.connect(path)) as db:
            found += db.execute("SELECT count(*) FROM changes").fetchone()
    assert found == [4, 2]


def test_two_backups_within_a_second_are_two_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cli, "_stamp", lambda: "2026-01-01-120000")
    filled(tmp_path / "w")
    for _ in range(3):
        assert run("backup", "--data", tmp_path / "w").exit_code == 0
    assert len(list((tmp_path / "w" / "backups").iterdir())) == 3
