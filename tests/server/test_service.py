"""`ringwright service`: the files for three systems, read by who reads them where that is possible here,
and what is said where a system does not do it.

Linux' file is read by systemd itself (`systemd-analyze verify`); macOS' by Python's plistlib; that of
Windows is held against the names and values of Microsoft's schema (MS-TSCH, 2.5).
"""

from __future__ import annotations

import os
import plistlib
import re
import shlex
import stat
import subprocess
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

import click
import pytest
from click.testing import CliRunner, Result

from server import backup_schedule, cli, service, service_cli, tls
from server.settings import ROOT
from server.store import FILE

ODD = "a b/100% $HOME ${X} %h \"q\" 'x' \\n é ; # ~ {a,b} & <b> ]]> --"


def made(words: list[str], system: str) -> service.Service:
    found = service.service_for(words, system)
    assert found is not None
    return found


def expected(words: list[str], python: str = sys.executable) -> list[str]:
    return [python, "-P", "-m", "server.cli", "serve", "--as-service", *words]


# — the files —


def verified(content: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """What systemd says of a unit; nothing where it is sound."""
    (folder / "ringwright.service").write_text(content, "utf-8")
    command = [
        "systemd-analyze",
        "verify",
        "--user",
        "--man=no",
        str(folder / "ringwright.service"),
    ]
    env = {**os.environ, "XDG_RUNTIME_DIR": str(folder)}
    return subprocess.run(command, capture_output=True, text=True, env=env, timeout=60)


def test_systemd_finds_nothing_wrong_with_the_unit(tmp_path: Path) -> None:
    unit = made(["--lan", "--data", f"/home/maker/{ODD}", "--port", "9001"], "linux")
    said = verified(unit.content.decode(), tmp_path)
    assert (said.returncode, said.stdout, said.stderr) == (0, "", "")
    broken = unit.content.decode().replace("Restart=on-failure", "Restart=perhaps")
    assert "restart specifier" in verified(broken, tmp_path).stderr, "systemd reads the unit"


@pytest.mark.parametrize("odd", [ODD, "tab\tand\nline", "\\", '"', "%%", "$$", "\x01", "ö\\x41"])
def test_systemd_reads_each_word_as_it_was_meant(tmp_path: Path, odd: str) -> None:
    """It names a program that is not there, as it has read it: so the word stands in that place."""
    content = f"[Service]\nExecStart=:{service.systemd_quoted(f'/not there/{odd}end')}\n"
    said = verified(content, tmp_path).stderr
    assert f"/not there/{odd}end" in said, said


def test_the_unit_starts_this_python_with_the_options_and_no_wrong_ones_for_ever() -> None:
    words = ["--lan", "--data", "/home/maker/my rings"]
    text = made(words, "linux").content.decode()
    (line,) = re.findall(r"^ExecStart=:(.+)$", text, re.MULTILINE)
    assert shlex.split(line) == expected(words)
    for setting in ("Restart=on-failure", "RestartSec=30", "RestartPreventExitStatus=2"):
        assert setting in text.splitlines()
    assert "User=" not in text


def test_the_launchd_agent_starts_the_same_and_again_after_a_crash_only() -> None:
    words = ["--data", f"/Users/maker/{ODD}"]
    agent = made(words, "darwin")
    read = plistlib.loads(agent.content)
    assert read["ProgramArguments"][:-2] == expected(words)
    assert read["ProgramArguments"][-2] == "--log"
    assert read["RunAtLoad"] is True and read["KeepAlive"] == {"Crashed": True}
    assert read["Umask"] == 0o077 and agent.file.name == f"{read['Label']}.plist"


# element -> what may stand in it: MS-TSCH 2.5.1 to 2.5.9, version 1.2 of the schema
TASK = {
    "Task": {"RegistrationInfo", "Triggers", "Principals", "Settings", "Actions"},
    "RegistrationInfo": {"Description", "Author", "Date", "URI", "Version"},
    "Triggers": {"LogonTrigger", "BootTrigger", "TimeTrigger"},
    "LogonTrigger": {"Enabled", "UserId", "Delay", "Repetition"},
    "Principals": {"Principal"},
    "Principal": {"UserId", "LogonType", "RunLevel", "GroupId"},
    "Settings": {
        "MultipleInstancesPolicy", "DisallowStartIfOnBatteries", "StopIfGoingOnBatteries",
        "StartWhenAvailable", "ExecutionTimeLimit", "RestartOnFailure", "Hidden", "Priority",
    },
    "RestartOnFailure": {"Interval", "Count"},
    "Actions": {"Exec"},
    "Exec": {"Command", "Arguments", "WorkingDirectory"},
}  # fmt: skip
VALUES = {
    "MultipleInstancesPolicy": r"Parallel|Queue|IgnoreNew|StopExisting",
    "DisallowStartIfOnBatteries": r"true|false",
    "StopIfGoingOnBatteries": r"true|false",
    "StartWhenAvailable": r"true|false",
    "Enabled": r"true|false",
    "ExecutionTimeLimit": r"PT0S|P\S+",
    "Interval": r"PT([1-9]|[1-5]\d)M",  # a minute at least
    "Count": r"[1-9]\d?",  # a byte
    "LogonType": r"InteractiveToken",
    "RunLevel": r"LeastPrivilege",
    "UserId": r".+",
}


def test_the_task_has_the_form_of_the_task_scheduler(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("USERDOMAIN", "BENCH")
    words = ["--data", f"D:\\{ODD}"]
    task = made(words, "win32")
    assert task.content.startswith(b"\xff\xfe"), "schtasks takes UTF-16 with its mark"
    root = ET.fromstring(task.content.decode("utf-16").partition("?>")[2])
    space = "{http://schemas.microsoft.com/windows/2004/02/mit/task}"
    assert root.tag == space + "Task" and root.get("version") == "1.2"
    for element in root.iter():
        name = element.tag.removeprefix(space)
        inside = [child.tag.removeprefix(space) for child in element]
        assert set(inside) <= TASK.get(name, set()) and len(inside) == len(set(inside)), name
        if name in VALUES:
            assert re.fullmatch(VALUES[name], element.text or ""), name
    texts = {e.tag.removeprefix(space): e.text or "" for e in root.iter()}
    assert texts["UserId"].startswith("BENCH\\")
    assert "pythonw" in texts["Command"]
    # the words of a command line on Windows, as its programs take them apart
    assert texts["Arguments"].startswith(subprocess.list2cmdline(expected(words)[1:]))


@pytest.mark.parametrize("system", ["linux", "darwin", "win32"])
def test_a_file_tells_the_options_it_carries_and_another_s_file_none(
    tmp_path: Path, system: str
) -> None:
    words = ["--lan", "--data", f"/home/maker/{ODD}", "--name", "ö\nü"]
    (tmp_path / "own").write_bytes(made(words, system).content)
    (tmp_path / "other").write_text("[Service]\nExecStart=/usr/bin/ringwright serve\n")
    assert service.carried(tmp_path / "own") == words
    assert service.carried(tmp_path / "other") is None
    assert service.carried(tmp_path / "none") is None


# — the options —


def options_of(*typed: str) -> list[str]:
    install = service_cli.service_group(cli.serve_command).commands["install"]
    values = install.make_context("install", list(typed)).params
    return service_cli.words_of(install.params, values)


def test_options_are_carried_as_given_and_files_by_their_whole_path(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    words = options_of("--cert", "c.pem", "--key", "k.pem", "--port", "9001", "--data", "w")
    assert sorted(words) == sorted(
        ["--cert", f"{tmp_path}/c.pem", "--key", f"{tmp_path}/k.pem", "--port", "9001",
         "--data", f"{tmp_path}/w"]
    )  # fmt: skip
    assert options_of("--lan", "--port", "8737", "--data", "/w") == ["--lan", "--data", "/w"]


def test_what_serve_understands_is_carried_or_done_once() -> None:
    """An option that `serve` gets one day is carried by itself."""
    serve = {p.name for p in cli.serve_command.params}
    install = service_cli.service_group(cli.serve_command).commands["install"]
    mine = {p.name for p in install.params}
    assert serve - mine == set(service_cli.NOT_GIVEN)
    carried = options_of(
        "--lan", "--guide-port", "1", "--unpacked", "--data", "/w", "--name", "anvil",
        "--trust-again", "--backups", "/b",
    )  # fmt: skip
    assert set(carried) == {"--lan", "--guide-port", "1", "--unpacked", "--data", "/w"}


# — install, status, stop, start, remove —

MANAGER = """#!/bin/sh
PATH=/usr/bin:/bin
echo "systemctl $*" >>"{log}"
case "$*" in *{failing}*) echo "Failed to connect to bus: No medium found" >&2; exit 1;; esac
case "$*" in
*is-active*) test -e "{log}.active" ;;
*restart* | *" start"*) touch "{log}.active" ;;
*stop* | *disable*) rm -f "{log}.active" ;;
esac
"""


class Linux:
    """A user's Linux with a systemctl that only writes down what it is asked."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.folder, self.log = folder, folder / "asked"
        self.unit = folder / "config" / "systemd" / "user" / "ringwright.service"
        self.data = folder / "my rings"
        for name, value in (("HOME", "home"), ("XDG_CONFIG_HOME", "config"), ("PATH", "bin")):
            monkeypatch.setenv(name, str(folder / value))
        monkeypatch.setattr(sys, "platform", "linux")
        monkeypatch.setattr(os, "geteuid", lambda: 1000)
        monkeypatch.setattr(service, "lingers", lambda: False)
        (folder / "bin").mkdir()
        self.manager("nothing fails")

    def manager(self, failing: str) -> None:
        program = self.folder / "bin" / "systemctl"
        script = MANAGER.format(log=self.log, failing=failing.replace(" ", "?"))
        program.write_text(script.replace("touch", "/usr/bin/touch").replace("rm -f", "/bin/rm -f")
                           .replace("$(basename \"$0\")", "systemctl"))  # fmt: skip
        program.chmod(0o755)

    def run(self, *words: object) -> Result:
        return CliRunner().invoke(cli.main, ["service", *map(str, words)])

    def install(self, *words: object) -> Result:
        return self.run("install", "--data", self.data, *words)

    def asked(self) -> list[str]:
        lines = self.log.read_text().splitlines() if self.log.exists() else []
        self.log.unlink(missing_ok=True)
        return [line.removeprefix("systemctl --user ") for line in lines]


@pytest.fixture
def linux(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Linux:
    return Linux(tmp_path, monkeypatch)


def test_installing_makes_workshop_and_unit_and_has_it_started(linux: Linux) -> None:
    result = linux.install()
    assert result.exit_code == 0, result.output
    assert (linux.data / FILE).is_file()
    assert service.carried(linux.unit) == ["--data", str(linux.data)]
    assert stat.S_IMODE(linux.unit.stat().st_mode) == 0o600
    assert [path.name for path in linux.unit.parent.iterdir()] == ["ringwright.service"]
    assert linux.asked()[1:] == [
        "daemon-reload",
        "enable ringwright.service",
        "restart ringwright.service",
    ]
    for word in (
        f"ringwright pair --data '{linux.data}'",
        "journalctl --user --unit ringwright.service",
        "loginctl enable-linger",
        "remove",
    ):
        assert word in result.output


def test_installed_twice_is_the_same_and_other_options_replace_it_and_say_so(linux: Linux) -> None:
    linux.install("--port", "9001")
    first = linux.unit.read_bytes()
    again = linux.install("--port", "9001")
    assert again.exit_code == 0 and "already as it should be" in again.output
    assert linux.unit.read_bytes() == first
    other = linux.install("--port", "9002")
    assert other.exit_code == 0 and "Replaced" in other.output and "other options" in other.output
    assert service.carried(linux.unit) == ["--port", "9002", "--data", str(linux.data)]


def test_another_s_unit_is_left_as_it_is(linux: Linux) -> None:
    linux.unit.parent.mkdir(parents=True)
    linux.unit.write_text("[Service]\nExecStart=/bin/true\n")
    for words in (["install", "--data", linux.data], ["remove"], ["status"], ["stop"]):
        result = linux.run(*words)
        assert result.exit_code == 1 and "left as it is" in result.output, words
    assert linux.unit.read_text() == "[Service]\nExecStart=/bin/true\n"
    assert linux.asked() == [] and not linux.data.exists()


def test_name_and_backups_are_set_once_and_remembered(linux: Linux) -> None:
    kept = linux.folder / "other disk"
    result = linux.install("--lan", "--name", "anvil", "--backups", kept)
    assert result.exit_code == 0, result.output
    assert service.carried(linux.unit) == ["--lan", "--data", str(linux.data)]
    assert backup_schedule.folder_of(linux.data) == kept
    assert tls.load(linux.data).name == "anvil.local"  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (["--name", "anvil"], "add --lan"),
        (["--lan", "--name", "an vil"], "cannot be a name at home"),
        (["--cert", "none.pem", "--key", "none.pem"], "none.pem"),
        (["--port", "80000"], "80000"),
    ],
)
def test_wrong_options_are_refused_before_anything_is_installed(
    linux: Linux, wrong: list[str], said: str
) -> None:
    result = linux.install(*wrong)
    assert result.exit_code in (1, 2) and said in result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    assert not linux.unit.exists() and [a for a in linux.asked() if "is-active" not in a] == []


def test_where_systemd_does_not_answer_the_commands_are_printed(linux: Linux) -> None:
    linux.manager("daemon-reload")
    result = linux.install()
    assert result.exit_code == 1 and "No medium found" in result.output
    assert f"Wrote {linux.unit}" in result.output
    for line in ("daemon-reload", "enable ringwright.service", "restart ringwright.service"):
        assert f"\n  systemctl --user {line}\n" in result.output
    (linux.folder / "bin" / "systemctl").unlink()
    result = linux.install()
    assert result.exit_code == 1 and "has no systemctl" in result.output
    assert "\n  systemctl --user daemon-reload\n" in result.output


def test_where_the_file_cannot_be_written_it_is_printed_whole(linux: Linux) -> None:
    linux.unit.parent.parent.mkdir(parents=True)
    linux.unit.parent.touch()  # a file where a folder is needed
    result = linux.install()
    assert result.exit_code == 1 and "could not be written" in result.output
    assert str(linux.unit) in result.output and "\n[Service]\n" in result.output
    assert "\n  systemctl --user daemon-reload\n" in result.output
    assert isinstance(result.exception, SystemExit)


@pytest.mark.parametrize("system", ["linux", "macos", "windows"])
def test_the_file_and_the_commands_can_be_printed_for_any_system_and_change_nothing(
    linux: Linux, system: str
) -> None:
    result = linux.install("--print", "--system", system)
    assert result.exit_code == 0, result.output
    found = made(["--data", str(linux.data)], service_cli.SYSTEMS[system])
    text = found.content.decode("utf-16" if system == "windows" else "utf-8")
    assert str(found.file) in result.output and text in result.output
    for words in found.install:
        assert service.shown(words, found.system) in result.output
    assert ("paths are those of this computer" in result.output) == (system != "linux")
    assert not linux.data.exists() and not linux.unit.exists() and linux.asked() == []


def test_a_system_without_a_known_service_gets_the_command_to_run(
    linux: Linux, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "platform", "freebsd14")
    result = linux.install()
    assert result.exit_code == 1
    assert shlex.join(expected(["--data", str(linux.data)])) in result.output


def test_root_is_refused(linux: Linux, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(os, "geteuid", lambda: 0)
    result = linux.install()
    assert result.exit_code == 1 and "without sudo" in result.output
    assert not linux.data.exists() and not linux.unit.exists()


def test_stop_start_status_and_remove_do_what_they_say(linux: Linux) -> None:
    assert "ringwright service install" in linux.run("status").output
    linux.install()
    linux.asked()
    waiting = linux.run("status")
    assert waiting.exit_code == 1 and "does not serve" in waiting.output
    assert f"--data '{linux.data}'" in waiting.output
    assert linux.run("stop").exit_code == 0 and linux.asked()[-1] == "stop ringwright.service"
    assert "does not run" in linux.run("status").output
    assert linux.run("start").exit_code == 0 and linux.asked()[-1] == "start ringwright.service"
    removed = linux.run("remove")
    assert removed.exit_code == 0 and not linux.unit.exists() and (linux.data / FILE).is_file()
    assert linux.asked() == ["disable --now ringwright.service", "daemon-reload"]
    assert linux.run("remove").exit_code == 1


def test_every_command_of_the_service_has_its_help() -> None:
    group = cli.main.commands["service"]
    assert isinstance(group, click.Group)
    assert set(group.commands) == {"install", "remove", "status", "start", "stop"}
    for command in group.commands.values():
        assert command.help and all(p.help for p in command.params if isinstance(p, click.Option))


LOGGING = """import sys
from pathlib import Path
from server import service
service.LOG_BYTES = 100
service.log_to(Path(sys.argv[1]))
print("x" * 60)"""


def test_a_log_is_begun_again_when_it_is_long_and_the_one_before_is_kept(tmp_path: Path) -> None:
    log = tmp_path / "logs" / "ringwright.log"
    for _ in range(3):
        subprocess.run([sys.executable, "-c", LOGGING, str(log)], check=True, cwd=ROOT)
    assert len(log.read_text()) == 61 and len(log.with_suffix(".old.log").read_text()) == 122
    assert stat.S_IMODE(log.stat().st_mode) == 0o600
