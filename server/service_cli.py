"""The commands `ringwright service ...`: the server run by the system itself."""

from __future__ import annotations

import asyncio
import os
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any, TypeVar

import click

from . import backup_schedule, lock, service, tls
from .errors import SetupError, StoreError, StoreInUse
from .sentences import sentence
from .service import Service, Words
from .settings import Settings, default_data
from .store import LogTransaction, open_read_only, open_store
from .ways import choose, home_of

T = TypeVar("T")
# done once, while installing, and remembered by the workshop or meant for one start only
ONCE = ("name", "trust_again", "backup_folder")
NOT_GIVEN = ("as_service", "log")  # the service's own
SETTLE_S = 2  # launchd and the Task Scheduler end what they run in their own time


def _told(work: Callable[[], T]) -> T:
    """Run it; what is wrong ends the command with a sentence."""
    try:
        return work()
    except (StoreError, SetupError) as e:
        raise click.ClickException(str(e)) from None
    except RuntimeError:  # no home folder
        raise click.ClickException(sentence("service_cli.no_home")) from None


def _refuse_root() -> None:
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        raise click.ClickException(sentence("service_cli.root"))


def words_of(params: list[click.Parameter], values: dict[str, Any]) -> Words:
    """The options as they were given, in words for another run of `serve`; files by their full path.

    Only what differs from the option's default; `--data` always, whatever the default may become.
    """
    words: Words = []
    for param in params:
        value = values.get(param.name or "")
        if not isinstance(param, click.Option) or param.name in ONCE or value in (None, "", False):
            continue
        if param.name != "data" and value == param.default:
            continue
        words.append(param.opts[0])
        if not param.is_flag:
            words.append(str(value.absolute() if isinstance(value, Path) else value))
    return words


# ---- the workshop, made ready while somebody is there to read what is wrong


def _ready(options: dict[str, Any]) -> None:
    """Everything that a first start does or asks about; raises StoreError, SetupError."""
    data = options["data"] = options["data"].resolve()
    given = {name: options[name] for name in choose.__annotations__ if name in options}
    reach = choose(**given)
    workshop = asyncio.run(_workshop(data))
    settings = Settings(data=data, **reach)
    if settings.lan:
        name, again = options["name"], options["trust_again"]
        settings = Settings(data=data, **reach, home=home_of(data, workshop, name, again))
    tls.open_certificate(settings)
    folder = options["backup_folder"]
    if folder is not None:
        backup_schedule.choose_folder(data, folder)


async def _workshop(data: Path) -> str:
    """The workshop's identity; made where there is none. A server may have it open."""
    try:
        async with open_store(data) as store:
            return await store.read(LogTransaction.workshop)
    except StoreInUse:
        async with open_read_only(data) as store:
            return await store.read(LogTransaction.workshop)


# ---- install


def _print_by_hand(found: Service, write: bool) -> None:
    """The file, where it has to be made by hand, and the commands to type."""
    if write:
        click.echo(sentence("service_cli.file", file=found.file))
        encoding = "utf-16" if found.system == "win32" else "utf-8"
        click.echo(found.content.decode(encoding))
        if found.system == "win32":
            click.echo(sentence("service_cli.unicode"))
    click.echo(sentence("service_cli.type"))
    for words in found.install:
        click.echo("  " + service.shown(words, found.system))


def _take_up(found: Service) -> str:
    """Have the system take the file up; what hindered it, "" for nothing."""
    for n, words in enumerate(found.install):
        why = service.run(words)
        if n < found.may_fail:
            if not why:
                time.sleep(SETTLE_S)
        elif why:
            return why
    return ""


def _with_data(command: str, data: Path) -> str:
    usual = data == default_data()
    words = ["ringwright", command]
    return service.shown(words if usual else [*words, "--data", str(data)])


def _say_what_next(found: Service, data: Path) -> None:
    click.echo(sentence("service_cli.pair", command=_with_data("pair", data)))
    click.echo(sentence("service_cli.log", command=service.shown(found.log, found.system)))
    click.echo(sentence("service_cli.others"))
    if found.system == "linux" and not service.lingers():
        click.echo(sentence("service_cli.linger"))
    elif found.system != "linux":
        click.echo(sentence("service_cli.at_login"))


def _write(found: Service) -> bool:
    """Write the file and say so; False where it could not be written."""
    try:
        what = service.write(found)
    except (StoreError, OSError) as e:
        click.echo(sentence("service_cli.not_written", why=e), err=True)
        return False
    if what == "same":
        click.echo(sentence("service_cli.same", file=found.file))
    else:
        first = what == "made"
        click.echo(
            sentence("service_cli.made" if first else "service_cli.replaced", file=found.file)
        )
    return True


def _install(found: Service, options: dict[str, Any], words: Words) -> None:
    if os.path.lexists(found.file) and _told(lambda: service.carried(found.file)) is None:
        raise click.ClickException(sentence("service_cli.not_ours", file=found.file))
    running = not service.run(found.state)
    _told(lambda: _ready(options))
    if lock.is_held(options["data"]) and not running:
        click.echo(sentence("service_cli.in_a_window"))
    written = _write(found)
    why = _take_up(found) if written else ""
    if not written or why:
        if why:
            click.echo(why, err=True)
        _print_by_hand(found, write=not written)
        _say_what_next(found, options["data"])
        sys.exit(1)
    click.echo(sentence("service_cli.installed", options=service.shown(words, found.system)))
    _say_what_next(found, options["data"])


def _unknown(words: Words) -> click.ClickException:
    """For a system of which no service is known: the command that has to run there."""
    line = service.shown(service.command(words, sys.executable))
    return click.ClickException(sentence("service_cli.unknown", command=line))


SYSTEMS = {"linux": "linux", "macos": "darwin", "windows": "win32"}


def _install_command(serve: click.Command) -> click.Command:
    params = [each for each in serve.params if each.name not in NOT_GIVEN]

    def install(print_only: bool, system: str | None, **options: Any) -> None:
        """Let the system start the server by itself, with the options of 'ringwright serve'.

        Run it again with other options to change them. A workshop is made where there is none.
        """
        words = words_of(params, options | {"data": options["data"].resolve()})
        asked = SYSTEMS.get(system or "", "")
        found = _told(lambda: service.service_for(words, asked))
        if found is None:
            raise _unknown(words)
        if print_only or found.system != sys.platform:
            _print_by_hand(found, write=True)
            if found.system != sys.platform:
                click.echo(sentence("service_cli.paths"))
            _say_what_next(found, options["data"].resolve())
            return
        _refuse_root()
        _install(found, options, words)

    mine: list[click.Parameter] = [
        click.Option(
            ["--print", "print_only"], is_flag=True, help="Only print the file and the commands."
        ),
        click.Option(
            ["--system"],
            type=click.Choice(list(SYSTEMS)),
            help="Print them for another system than this one.",
        ),
    ]
    return click.Command("install", callback=install, params=[*mine, *params], help=install.__doc__)


# ---- the others


def _ours() -> tuple[Service, Words]:
    """The service that is installed, and its options; ends the command where there is none."""
    empty = _told(lambda: service.service_for([]))
    if empty is None:
        raise click.ClickException(sentence("service_cli.none"))
    words = _told(lambda: service.carried(empty.file))
    if words is None and os.path.lexists(empty.file):
        raise click.ClickException(sentence("service_cli.not_ours", file=empty.file))
    if words is None:
        raise click.ClickException(sentence("service_cli.none"))
    found = service.service_for(words)
    return (found or empty), words


def _data_in(words: Words) -> Path:
    return Path(words[words.index("--data") + 1]) if "--data" in words else default_data()


def _remove() -> None:
    """Take the service off: it is stopped and starts no more. The workshop stays as it is."""
    found, _ = _ours()
    hindered = [why for why in map(service.run, found.remove) if why]
    try:
        found.file.unlink()
    except OSError as e:
        raise click.ClickException(
            sentence("service_cli.not_removed", file=found.file, why=e.strerror)
        ) from None
    if found.system == "linux":
        service.run(found.install[0])
    if hindered:
        click.echo(hindered[-1], err=True)
        click.echo(sentence("service_cli.type_to_remove"))
        for words in found.remove:
            click.echo("  " + service.shown(words))
    click.echo(sentence("service_cli.removed", file=found.file))


def _status() -> None:
    """Whether it is installed, whether it serves, and how to see its log."""
    found, words = _ours()
    data = _data_in(words)
    click.echo(sentence("service_cli.is_installed", file=found.file))
    click.echo(sentence("service_cli.options", options=service.shown(words)))
    serves = False
    with suppress(StoreError, OSError):
        serves = lock.is_held(data)
    taken_up = not service.run(found.state)
    if serves and taken_up:
        click.echo(sentence("service_cli.serves", data=data))
    elif serves:
        click.echo(sentence("service_cli.serves_otherwise", data=data))
    elif taken_up:
        click.echo(sentence("service_cli.waits", data=data))
    else:
        click.echo(sentence("service_cli.stands_still"))
    _say_what_next(found, data)
    if not (serves and taken_up):
        sys.exit(1)


def _start() -> None:
    """Start it now."""
    _do(_ours()[0], "start")
    click.echo(sentence("service_cli.started"))


def _stop() -> None:
    """Stop it until the next login, or until it is started: for a restore, say."""
    _do(_ours()[0], "stop")
    click.echo(sentence("service_cli.stopped"))


def _do(found: Service, what: str) -> None:
    words = found.start if what == "start" else found.stop
    why = service.run(words)
    if why:
        raise click.ClickException(why)


def service_group(serve: click.Command) -> click.Group:
    """The group of commands; `install` takes every option that `serve` has."""
    group = click.Group("service", help="Let the system run the server by itself.")
    group.add_command(_install_command(serve))
    for name, work in (
        ("remove", _remove),
        ("status", _status),
        ("start", _start),
        ("stop", _stop),
    ):
        group.add_command(click.Command(name, callback=work, help=work.__doc__))
    return group
