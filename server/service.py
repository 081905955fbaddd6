"""The server run by the system itself, as the user: systemd's user manager on Linux, a launchd agent
on macOS, the Task Scheduler on Windows.

Each of them takes a file, made here, and a few commands. The file says in its words which options
it carries, so that it can be told from one that somebody else wrote, and read back.
"""

from __future__ import annotations

import getpass
import html
import json
import os
import plistlib
import re
import shlex
import subprocess  # nosec B404
import sys
import xml.etree.ElementTree as ET  # nosec B405
from dataclasses import dataclass
from pathlib import Path

from .files import make_folder, told, written_whole
from .sentences import sentence

Words = list[str]

BAD_OPTIONS = 2  # the status of a run that no other try makes better; click's own for wrong options
NAME = "ringwright"
MARK = "ringwright service install"
_CARRIED = re.compile(re.escape(MARK) + r" (\[.*\])")
_TASKS = "http://schemas.microsoft.com/windows/2004/02/mit/task"
PATIENCE_S = 60
LOG_BYTES = 1024 * 1024  # from which a log is begun again, the one before it kept


@dataclass(frozen=True)
class Service:
    """`file` with `content` makes the system start the server at each login; the commands take it up
    (`install`), start and stop it, take it off (`remove`), and say whether it runs (`state`).

    `may_fail`: how many of the first commands of `install` only make room, and may find nothing to do.
    """

    system: str  # as sys.platform has it
    file: Path
    content: bytes
    install: list[Words]
    may_fail: int
    start: Words
    stop: Words
    remove: list[Words]
    state: Words
    log: Words  # the command that shows it


def command(words: Words, python: str) -> Words:
    """What the system runs: this Python by its own path, never what another folder calls `server`."""
    return [python, "-P", "-m", "server.cli", "serve", "--as-service", *words]


# ---- Linux


def systemd_quoted(word: str) -> str:
    """One word of ExecStart=: (systemd.service(5), "Command lines"; systemd.unit(5), "Specifiers")."""
    special = {"\\": "\\\\", '"': '\\"', "%": "%%"}
    coded = [
        special.get(c) or (c if c.isprintable() else "".join(f"\\x{b:02x}" for b in os.fsencode(c)))
        for c in word
    ]
    return '"' + "".join(coded) + '"'


def _systemd(words: Words, home: Path) -> Service:
    folder = Path(os.environ.get("XDG_CONFIG_HOME") or home / ".config")
    unit = f"{NAME}.service"
    # the colon: no $NAME in a word stands for anything
    line = " ".join(systemd_quoted(word) for word in command(words, sys.executable))
    text = f"""\
# {MARK} {json.dumps(words)}
# made this file, and replaces it when it is run again; "ringwright service remove" takes it away.
[Unit]
Description=Ringwright, the server of your workshop

[Service]
Type=exec
ExecStart=:{line}
Restart=on-failure
RestartSec=30
RestartPreventExitStatus={BAD_OPTIONS}
TimeoutStopSec=30
UMask=0077
NoNewPrivileges=yes

[Install]
WantedBy=default.target
"""
    manager = ["systemctl", "--user"]
    return Service(
        system="linux",
        file=folder / "systemd" / "user" / unit,
        content=text.encode(),
        install=[
            [*manager, "daemon-reload"],
            [*manager, "enable", unit],
            [*manager, "restart", unit],
        ],
        may_fail=0,
        start=[*manager, "start", unit],
        stop=[*manager, "stop", unit],
        remove=[[*manager, "disable", "--now", unit]],
        state=[*manager, "is-active", "--quiet", unit],
        log=["journalctl", "--user", "--unit", unit],
    )


# ---- macOS


def _launchd(words: Words, home: Path) -> Service:
    file = home / "Library" / "LaunchAgents" / f"{NAME}.plist"
    log = str(home / "Library" / "Logs" / f"{NAME}.log")
    agent = {
        "Label": NAME,
        "Comment": f"{MARK} {json.dumps(words)}",
        "ProgramArguments": command([*words, "--log", log], sys.executable),
        "RunAtLoad": True,
        # after a crash only: what may pass by itself is waited for by the server, and wrong options
        # do not get right by trying
        "KeepAlive": {"Crashed": True},
        "ThrottleInterval": 30,
        "ExitTimeOut": 30,
        "Umask": 0o077,
    }
    domain = f"gui/{os.getuid() if hasattr(os, 'getuid') else 0}"
    begin, end = (
        ["launchctl", "bootstrap", domain, str(file)],
        ["launchctl", "bootout", f"{domain}/{NAME}"],
    )
    return Service(
        system="darwin",
        file=file,
        content=plistlib.dumps(agent),
        install=[end, begin],
        may_fail=1,
        start=begin,
        stop=end,
        remove=[end],
        state=["launchctl", "print", f"{domain}/{NAME}"],
        log=["tail", "-n", "50", log],
    )


# ---- Windows


def _element(parent: ET.Element, name: str, text: str = "") -> ET.Element:
    made = ET.SubElement(parent, name)
    made.text = text or None
    return made


def _task(words: Words, log: str) -> bytes:
    """The task as `schtasks /Create /XML` reads it: UTF-16, its elements as in an exported task."""
    task = ET.Element("Task", {"version": "1.2", "xmlns": _TASKS})
    about = _element(task, "RegistrationInfo")
    _element(about, "Description", f"{MARK} {json.dumps(words)}")
    user = "\\".join(filter(None, (os.environ.get("USERDOMAIN", ""), getpass.getuser())))
    at_login = _element(_element(task, "Triggers"), "LogonTrigger")
    _element(at_login, "Enabled", "true")
    _element(at_login, "UserId", user)
    who = _element(_element(task, "Principals"), "Principal")
    who.set("id", "Author")
    for name, text in (
        ("UserId", user),
        ("LogonType", "InteractiveToken"),
        ("RunLevel", "LeastPrivilege"),
    ):
        _element(who, name, text)
    settings = _element(task, "Settings")
    for name, text in (
        ("MultipleInstancesPolicy", "IgnoreNew"),
        ("DisallowStartIfOnBatteries", "false"),
        ("StopIfGoingOnBatteries", "false"),
        ("StartWhenAvailable", "true"),
        ("ExecutionTimeLimit", "PT0S"),  # no limit
    ):
        _element(settings, name, text)
    again = _element(settings, "RestartOnFailure")
    _element(again, "Interval", "PT1M")
    _element(again, "Count", "3")
    actions = _element(task, "Actions")
    actions.set("Context", "Author")
    program, *rest = command([*words, "--log", log], _without_window(sys.executable))
    run = _element(actions, "Exec")
    _element(run, "Command", f'"{program}"' if " " in program else program)
    _element(run, "Arguments", subprocess.list2cmdline(rest))
    ET.indent(task)
    made: bytes = ET.tostring(task, encoding="utf-16", xml_declaration=True)
    return made


def _without_window(python: str) -> str:
    """pythonw.exe beside python.exe: the same, with no window to be closed by mistake."""
    return re.sub(r"python(\.exe)?$", r"pythonw\1", python, flags=re.IGNORECASE)


def _windows(words: Words, home: Path) -> Service:
    folder = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local") / NAME
    file, log = folder / f"{NAME}-task.xml", str(folder / "Logs" / f"{NAME}.log")
    one = ["/TN", NAME]
    return Service(
        system="win32",
        file=file,
        content=_task(words, log),
        install=[
            ["schtasks", "/End", *one],
            ["schtasks", "/Create", *one, "/XML", str(file), "/F"],
            ["schtasks", "/Run", *one],
        ],
        may_fail=1,
        start=["schtasks", "/Run", *one],
        stop=["schtasks", "/End", *one],
        remove=[["schtasks", "/End", *one], ["schtasks", "/Delete", *one, "/F"]],
        state=["schtasks", "/Query", *one],
        log=["notepad", log],
    )


_SYSTEMS = {"linux": _systemd, "darwin": _launchd, "win32": _windows}


def service_for(words: Words, system: str = "") -> Service | None:
    """The service with these options of `serve`, for this system or another; None where none is known.

    Raises RuntimeError where the user has no home folder.
    """
    make = _SYSTEMS.get(system or sys.platform)
    return make(words, Path.home()) if make else None


# ---- the file, and what the system says


def carried(file: Path) -> Words | None:
    """The options in a file made here; None where it is not there or not ours. Raises StoreError."""
    if not os.path.lexists(file):
        return None
    with told(file):
        raw = file.read_bytes()
    text = raw.decode("utf-16" if raw[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8", "replace")
    found = _CARRIED.search(text if text.startswith("#") else html.unescape(text))
    return [str(word) for word in json.loads(found[1])] if found else None


def write(service: Service) -> str:
    """Write its file, whole: "made", "replaced", or "same" where it is there already as it should be.

    Raises StoreError where it cannot be written. Another's file in its place is replaced too: ask
    `carried` first.
    """
    make_folder(service.file.parent)
    before = service.file.read_bytes() if service.file.is_file() else None
    if before == service.content:
        return "same"
    with written_whole(service.file, replace=True) as part, told(part):
        part.write_bytes(service.content)
    return "made" if before is None else "replaced"


def run(words: Words) -> str:
    """Have the system do it; a sentence on what hindered it, "" where it was done."""
    try:
        # the words are those above, run without a shell
        done = subprocess.run(  # nosec B603
            words, capture_output=True, text=True, errors="replace", timeout=PATIENCE_S
        )
    except FileNotFoundError:
        return sentence("service.no_program", program=words[0])
    except (OSError, subprocess.TimeoutExpired) as e:
        return sentence("service.failed", command=shown(words), why=e)
    if done.returncode == 0:
        return ""
    why = (done.stderr or done.stdout).strip().splitlines() or [str(done.returncode)]
    return sentence("service.failed", command=shown(words), why=why[-1])


def shown(words: Words, system: str = "") -> str:
    """A command as it is typed in a terminal of that system."""
    if (system or sys.platform) == "win32":
        return subprocess.list2cmdline(words)
    return shlex.join(words)


def lingers() -> bool:
    """Whether this user's services on Linux start without a login."""
    return Path("/var/lib/systemd/linger", getpass.getuser()).exists()


def log_to(file: Path) -> None:
    """What a window would show goes to the end of this file; a long one is begun again. Raises
    StoreError.
    """
    make_folder(file.parent)
    with told(file):
        if file.is_file() and file.stat().st_size > LOG_BYTES:
            os.replace(file, file.with_suffix(".old.log"))
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    sys.stdout = sys.stderr = os.fdopen(handle, "w", encoding="utf-8", buffering=1)
