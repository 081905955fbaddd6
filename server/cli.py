"""The command `ringwright`. Each subcommand reads its options and calls the module that works."""

from __future__ import annotations

import asyncio
import io
import json
import os
import shlex
import sqlite3
import sys
import time
from collections.abc import Callable, Coroutine
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple, TextIO, TypeVar

import click
import segno

from . import (
    audit,
    backup_schedule,
    backups,
    log_transfer,
    pairing_code,
    service,
    static_site,
    tls,
    vendor,
    ways_in,
)
from .ask_api import answers
from .doctor import findings
from .errors import Refusal, SetupError, StoreError, Unreadable
from .files import part_beside, put_in_place, trouble, unused
from .pairing import Pairing
from .sentences import sentence
from .service_cli import service_group
from .serving import Listeners, Serving
from .settings import GUIDE_PORT, Settings, default_data
from .store import FILE, LogTransaction, Row, now_ms, open_read_only, open_store
from .ways import choose, home_of
from .workshop import short

T = TypeVar("T")
AGAIN_SECONDS = 10  # as a service: between two tries to serve


def _home() -> Path:
    """The user's data folder; ends the command where the user has no home folder."""
    try:
        folder = default_data()
    except RuntimeError:
        folder = Path()
    if not folder.is_absolute():
        raise click.ClickException(sentence("cli.no_home"))
    return folder


DATA = click.option(
    "--data",
    type=click.Path(file_okay=False, readable=False, path_type=Path),
    default=_home,
    show_default="the user's data folder",
    help="Folder of the workshop's file.",
)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="ringwright")
def main() -> None:
    """Ringwright plans, counts and forecasts hand-riveted mail, at the bench and offline."""


def _page_lacks(gone: list[str]) -> str:
    names = ", ".join(f"static/vendor/{name}" for name in gone)
    return sentence("cli.page_lacks", names=names, command=vendor.COMMAND)


def _check_vendor(settings: Settings) -> None:
    gone = vendor.missing(settings.static)
    if gone:
        click.echo(_page_lacks(gone), err=True)


def _greet(settings: Settings, workshop: str) -> None:
    where = settings.address
    if settings.lan:
        click.echo(sentence("cli.serving_at_home", address=where))
    else:
        click.echo(
            sentence("cli.serving_by_name" if settings.secure else "cli.serving", address=where)
        )
    click.echo(sentence("cli.workshop", workshop=short(workshop), folder=settings.data))
    if not settings.needs_pairing:
        click.echo(sentence("cli.no_pairing"))
        _draw(settings.address)
        return
    if settings.existing:
        _greet_in_log(settings)
        return
    way = _or_exit(lambda: _new_way(Pairing(settings.data), settings), settings.data)
    if settings.lan:
        _greet_at_home(settings)
        _draw(way["start"])
        click.echo(sentence("cli.pair_trusting", link=way["link"]))
    else:
        click.echo(sentence("cli.pair_here", link=way["link"]))
        _draw(way["start"])
    click.echo(sentence("cli.pair_again", command=typed("pair", settings.data)))


def typed(command: str, data: Path) -> str:
    """A command as the maker types it, with this folder where it is not the usual one."""
    words = ["ringwright", *command.split()]
    return shlex.join(words if data == default_data() else [*words, "--data", str(data)])


def _greet_in_log(settings: Settings) -> None:
    """As a service there is no window: a log is no place for a code, so `ringwright pair` makes one."""
    pairing = Pairing(settings.data)
    _or_exit(lambda: pairing.keep_way(ways_in.way(settings)), settings.data)
    click.echo(sentence("cli.pair_by_command", command=typed("pair", settings.data)))


def _new_way(pairing: Pairing, settings: Settings) -> dict[str, Any]:
    """A new code and the way in with it; the way is kept for `ringwright pair`."""
    way = ways_in.way(settings)
    pairing.keep_way(way)
    return ways_in.with_code(way, pairing.make_code(now_ms())[0])


def _draw(address: str) -> None:
    """The QR code of an address."""
    picture = io.StringIO()
    segno.make(address, micro=False).terminal(picture, compact=True)
    with suppress(UnicodeEncodeError):  # a terminal without block characters shows no QR code
        click.echo(picture.getvalue())


def _greet_at_home(settings: Settings) -> None:
    if settings.addresses:
        click.echo(sentence("cli.addresses", addresses=", ".join(settings.addresses)))
    else:
        click.echo(sentence("cli.no_address"))
    click.echo(sentence("cli.guide", address=settings.guide_address))
    _show_groups(tls.fingerprint(settings.data))


def _show_groups(groups: list[str]) -> None:
    """What a new phone has to show as well before it trusts this workshop."""
    for row in (groups[:8], groups[8:]):
        click.echo("    " + "  ".join(row))


def _or_exit(work: Callable[[], T], path: Path | str) -> T:
    """Run it; trouble with a file ends the command with one sentence instead of a traceback.

    `path` is named where the error itself names none.
    """
    try:
        return work()
    except BrokenPipeError:
        raise  # who read our output has left: click ends without a word
    except Refusal as e:
        raise click.ClickException(str(e) if isinstance(e, Unreadable) else e.why) from None
    except (StoreError, SetupError) as e:
        raise click.ClickException(str(e)) from None
    except UnicodeDecodeError:
        raise click.ClickException(sentence("cli.no_text", path=path)) from None
    except (OSError, sqlite3.Error) as e:
        named = getattr(e, "filename", None)
        why = str(trouble(e, named if isinstance(named, str) else path))
        raise click.ClickException(why) from None


def _run(work: Coroutine[Any, Any, T], path: Path) -> T:
    return _or_exit(lambda: asyncio.run(work), path)


@main.command("serve")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8737,
    show_default=True,
    help="Port of the page; 0 takes a free one.",
)
@click.option(
    "--lan",
    is_flag=True,
    help="Serve phones on the home network over https, and a guide that leads them through it.",
)
@click.option(
    "--guide-port",
    type=click.IntRange(0, 65535),
    default=GUIDE_PORT,
    show_default=True,
    help="With --lan: port of the guide; 0 takes a free one.",
)
@click.option(
    "--name",
    default="",
    help="With --lan, at its first start: the name of the page at home, such as anvil for"
    " anvil.local. It is remembered.",
)
@click.option(
    "--trust-again",
    is_flag=True,
    help="With --lan: make a new certificate, under another --name or after a theft. Each phone has"
    " to trust it once more.",
)
@click.option(
    "--cert",
    type=click.Path(path_type=Path),
    help="Serve over https with a certificate of your own, the whole chain in PEM form.",
)
@click.option("--key", type=click.Path(path_type=Path), help="The key that belongs to --cert.")
@click.option(
    "--public-name",
    default="",
    help="The name that --cert is for; or, without it, the name under which a reverse proxy on this"
    " machine serves the page over https.",
)
@click.option(
    "--unpacked",
    is_flag=True,
    help="Send each script of the page by itself and with its comments, to work on them.",
)
@click.option(
    "--no-pairing",
    is_flag=True,
    help="Let every browser on this machine in: for a demo, not for your own workshop.",
)
@click.option(
    "--backups",
    "backup_folder",
    type=click.Path(file_okay=False, readable=False, path_type=Path),
    help="Folder for the daily backups, on another disk if you can; remembered for the next start.",
)
@click.option(
    "--as-service",
    is_flag=True,
    help="As 'ringwright service' starts it: with no window, so no code is shown; only a workshop"
    " that is there is served, and one on a disk that is not there yet is waited for.",
)
@click.option(
    "--log",
    type=click.Path(dir_okay=False, path_type=Path),
    help="With --as-service: write to this file what a window would show.",
)
@DATA
def serve_command(data: Path, as_service: bool, log: Path | None, **options: Any) -> None:
    """Serve the page, and keep the workshop in a folder.

    On this machine only; to phones at home with --lan; or under a name of your own with
    --public-name, with --cert and --key where no reverse proxy brings the https.
    """
    if log is not None:
        _or_exit(lambda: service.log_to(log), log)
    folder = data.resolve()
    run = _run_of(folder, as_service, options)
    _check_vendor(Settings(data=folder))
    (_serve_patiently if as_service else _serve)(run)
    click.echo(sentence("cli.stopped"))


class _Run(NamedTuple):
    """What one run of the server is asked for: `reach` as `ways.choose` gives it, options as typed."""

    folder: Path
    reach: dict[str, Any]
    existing: bool
    port: int
    guide_port: int
    name: str
    trust_again: bool
    unpacked: bool
    backup_folder: Path | None


class _BadOptions(click.ClickException):
    exit_code = service.BAD_OPTIONS


def _run_of(folder: Path, as_service: bool, options: dict[str, Any]) -> _Run:
    """Ends the command where the options do not fit; as a service with the status that no system
    answers by starting it again.
    """
    own = {name: options.pop(name) for name in _Run._fields if name in options}
    given = {name: own[name] for name in ("name", "trust_again")}
    try:
        reach = _or_exit(lambda: choose(**given, **options), folder)
    except click.ClickException as e:
        raise (_BadOptions(e.message) if as_service else e) from None
    return _Run(folder=folder, reach=reach, existing=as_service, **own)


def _serve(run: _Run) -> None:
    """Until it is stopped; begun again where the disk of the workshop was away meanwhile."""
    following: _Run | None = run
    while following:
        following = _serve_once(following)


def _serve_patiently(run: _Run) -> None:
    """The same for a service: what keeps it from serving is told once, and tried again until it is
    gone, since nobody is there to start it again.
    """
    following, told_last = run, ""
    while True:
        try:
            _serve(following)
            return
        except click.ClickException as e:
            if e.message != told_last:
                click.echo(e.message, err=True)
                click.echo(sentence("cli.tried_again", seconds=AGAIN_SECONDS), err=True)
            told_last = e.message
        following = run._replace(trust_again=False)
        time.sleep(AGAIN_SECONDS)


def _serve_once(run: _Run) -> _Run | None:
    """Serve until it is stopped; the run that is to follow at once, None where the maker stopped it."""
    folder = run.folder
    opened = _or_exit(lambda: Listeners(run.reach, run.port, run.guide_port), folder)
    with opened as listeners:
        ports = listeners.ports()
        settings = Settings(
            data=folder,
            existing=run.existing,
            packed=not run.unpacked,
            **run.reach,
            **ports,
        )
        workshop = _run(_try_open(folder, run.existing), folder)
        chosen = run.backup_folder
        if chosen is not None:
            _or_exit(lambda: backup_schedule.choose_folder(folder, chosen), chosen)
        if settings.lan:
            home = _or_exit(lambda: home_of(folder, workshop, run.name, run.trust_again), folder)
            settings = replace(settings, home=home)
        serving = _or_exit(lambda: Serving(settings, workshop, listeners), folder)
        _or_exit(lambda: serving.run(lambda: _greet(settings, workshop)), folder)
    if not serving.begin_again:
        return None
    return run._replace(existing=True, trust_again=False, backup_folder=None, **ports)


async def _try_open(data: Path, existing: bool) -> str:
    """The workshop's identity; makes the workshop where there is none, unless it has to exist."""
    async with open_store(data, existing) as store:
        return await store.read(LogTransaction.workshop)


def _pairing_of(data: Path) -> Pairing:
    """The pairings beside a workshop; raises StoreError where there is no workshop."""
    if not (data / FILE).is_file():
        raise StoreError(sentence("cli.no_workshop", folder=data))
    return Pairing(data)


@main.command("pair")
@DATA
def pair_command(data: Path) -> None:
    """Make a code that lets one more browser in. The server may keep running."""
    pairing = _or_exit(lambda: _pairing_of(data.resolve()), data)
    way = _or_exit(pairing.way, data) or ways_in.way(Settings(data=data))
    code = _or_exit(lambda: pairing.make_code(now_ms()), data)[0]
    told = ways_in.with_code(way, code)
    click.echo(sentence("cli.pair_code", code=pairing_code.spaced(code)))
    if told["guide"]:
        click.echo(sentence("cli.guide", address=told["start"]))
        _show_groups(told["fingerprint"])
        click.echo(sentence("cli.pair_trusting", link=told["link"]))
    else:
        click.echo(sentence("cli.pair_link", link=told["link"]))
    click.echo(sentence("cli.pair_served"))
    _draw(told["start"])


@main.command("devices")
@click.option("--remove", type=int, help="Remove the device of this number.")
@click.option("--remove-all", is_flag=True, help="Remove all devices.")
@DATA
def devices_command(remove: int | None, remove_all: bool, data: Path) -> None:
    """List the paired devices, or remove them. The server may keep running."""
    if remove is not None and remove_all:
        raise click.UsageError(sentence("cli.one_way"))
    pairing = _or_exit(lambda: _pairing_of(data.resolve()), data)
    if remove is not None:
        _or_exit(lambda: pairing.remove(remove, now_ms()), data)
        click.echo(sentence("cli.device_removed", id=remove))
    elif remove_all:
        n = _or_exit(lambda: pairing.remove_others(0, now_ms()), data)
        click.echo(sentence("cli.devices_removed", n=n))
    else:
        _list_devices(pairing)


def _list_devices(pairing: Pairing) -> None:
    living, _ = _or_exit(lambda: pairing.all(now_ms()), pairing.path)
    if not living:
        click.echo(sentence("cli.no_devices", command=typed("pair", pairing.path.parent)))
    for each in living:
        values = {"seen": _minute(each.seen_ms), "made": _minute(each.made_ms)}
        click.echo(sentence("cli.device", id=each.id, name=each.name, **values))


def _minute(ms: int) -> str:
    """A moment in this machine's own time, to the minute."""
    return datetime.fromtimestamp(ms / 1000).strftime("%Y-%m-%d %H:%M")


@main.command("page")
@click.argument("folder", type=click.Path(path_type=Path))
def page_command(folder: Path) -> None:
    """Write the page into FOLDER, for any https host that hands out files; no server is needed then.

    Run it again into the same folder to bring the page there up to date.
    """
    settings = Settings(data=_home())
    gone = vendor.missing(settings.static)
    if gone:
        raise click.ClickException(_page_lacks(gone))
    written = _or_exit(lambda: static_site.write_page(settings, folder), folder)
    numbers = {"files": written.files, "removed": written.removed}
    click.echo(sentence("cli.page_written", folder=folder, version=written.version, **numbers))
    click.echo(sentence("cli.page_what_to_do", folder=folder))


@main.command("ask")
def ask_command() -> None:
    """Ask the engine: one JSON question on standard input, or one on each line.

    Prints one JSON answer for each. Ends with status 1 if one of them was refused.
    """
    failed = False
    for line in answers(sys.stdin.buffer):
        click.echo(line)
        failed = failed or not json.loads(line)["ok"]
    if failed:
        sys.exit(1)


def _stamp() -> str:
    return datetime.now().strftime("%Y-%m-%d-%H%M%S")


@main.command("backup")
@click.option(
    "--to",
    "target",
    type=click.Path(path_type=Path),
    help="A new file for the backup; without it, one in the data folder.",
)
@DATA
def backup_command(target: Path | None, data: Path) -> None:
    """Copy the workshop into one file, and read the copy through. The server may keep running."""
    copy = target or unused(data / "backups" / f"ringwright-{_stamp()}.sqlite")
    report = _or_exit(lambda: backups.backup(data, copy), copy)
    click.echo(sentence("cli.backed_up", path=copy))
    if report.damaged:
        click.echo(sentence("cli.backed_up_damaged", rows="; ".join(report.named)), err=True)
        sys.exit(1)


@main.command("restore")
@click.argument("source", type=click.Path(path_type=Path))
@click.option(
    "--anyway", is_flag=True, help="Take a backup even if single changes in it are damaged."
)
@DATA
def restore_command(source: Path, data: Path, anyway: bool) -> None:
    """Replace the workshop by the backup SOURCE. Stop the server first.

    The workshop as it was is kept beside the backups.
    """
    before = _or_exit(lambda: backups.workshop_of(data / FILE), data)
    old_file = _or_exit(lambda: backups.restore(data, source, _stamp(), anyway), data)
    click.echo(sentence("cli.restored", source=source))
    now = backups.workshop_of(data / FILE)
    if before and now and before != now:
        click.echo(sentence("cli.restored_other", now=short(now), before=short(before)))
    if old_file:
        click.echo(sentence("cli.restored_old", path=old_file))


async def _export(data: Path, write: Callable[[str], Any], damaged: list[Row]) -> int:
    n = 0
    async with open_read_only(data) as store:
        async for line in log_transfer.export_lines(store, damaged):
            write(line + "\n")
            n += 1
    return n - 1  # the first line is no change: it names the workshop


def _check_target(data: Path, target: Path, force: bool) -> None:
    """Raises StoreError for a target that must not be written over."""
    if not os.path.lexists(target):
        return
    if target.is_file():
        with target.open("rb") as file:
            kept = file.read(16).startswith(b"SQLite format 3")  # a workshop, a backup
        if kept or target.resolve().parent == data.resolve():
            raise StoreError(sentence("cli.target_kept", path=target))
    if not force:
        raise StoreError(sentence("cli.target_exists", path=target))


def _export_to(data: Path, target: Path, force: bool, damaged: list[Row]) -> int:
    _check_target(data, target, force)
    with part_beside(target) as part:
        with open(part, "w", encoding="utf-8") as file:
            n = asyncio.run(_export(data, file.write, damaged))
        put_in_place(part, target, replace=force)
    return n


def _export_out(data: Path, damaged: list[Row]) -> None:
    asyncio.run(_export(data, sys.stdout.write, damaged))
    sys.stdout.flush()


@main.command("export")
@click.option(
    "--to",
    "target",
    type=click.Path(path_type=Path),
    help="A new file to write; without it, standard output.",
)
@click.option("--force", is_flag=True, help="Replace the file of --to if it is there already.")
@DATA
def export_command(target: Path | None, data: Path, force: bool) -> None:
    """Write the whole log as JSON lines. The server may keep running."""
    damaged: list[Row] = []
    if target is None:
        _or_exit(lambda: _export_out(data, damaged), sentence("cli.output"))
    else:
        n = _or_exit(lambda: _export_to(data, target, force, damaged), target)
        click.echo(sentence("cli.exported_one" if n == 1 else "cli.exported", n=n, path=target))
    if damaged:
        rows = "; ".join(audit.name_of(row.place, row.device, row.seq) for row in damaged)
        click.echo(sentence("cli.export_damaged", rows=rows), err=True)
        sys.exit(1)


async def _import(
    data: Path, file: log_transfer.LogFile, join: bool
) -> tuple[str, log_transfer.ImportResult]:
    async with open_store(data) as store:
        workshop = await log_transfer.adopt_workshop(store, file, join)
        return workshop, await log_transfer.import_changes(store, file.by_device, now_ms())


@main.command("import")
@click.argument("source", type=click.File("r", encoding="utf-8-sig"))
@click.option(
    "--join", is_flag=True, help="Add the counts of another workshop to this one, for good."
)
@DATA
def import_command(source: TextIO, join: bool, data: Path) -> None:
    """Read a log into the workshop; "-" reads standard input. Changes known already are skipped.

    SOURCE is JSON lines as export writes them, or the file that the page saved. An empty workshop
    becomes the one in the file; a file of another workshop is refused without --join.
    """
    file = _or_exit(lambda: log_transfer.read_lines(source), getattr(source, "name", "-"))
    workshop, result = _run(_import(data, file, join), data)
    click.echo(sentence("cli.imported_into", workshop=short(workshop)))
    numbers = {"new": result.fresh, "known": result.known, "aside": len(result.refused)}
    click.echo(sentence("cli.imported_one" if result.fresh == 1 else "cli.imported", **numbers))
    for each in result.refused:
        click.echo(sentence("cli.set_aside", **each), err=True)
    for device, first, last in result.holes:
        missing = f"{first}" if first == last else f"{first}–{last}"
        click.echo(sentence("cli.hole", device=device, numbers=missing), err=True)


async def _examine(settings: Settings) -> bool:
    ok = True
    async for finding in findings(settings):
        click.echo(f"{'ok     ' if finding.ok else 'TROUBLE'}  {finding.what}")
        ok = ok and finding.ok
    return ok


@main.command("doctor")
@DATA
def doctor_command(data: Path) -> None:
    """Check whether everything is in place, and what to do where it is not."""
    well = _run(_examine(Settings(data=data.resolve())), data)
    click.echo(sentence("cli.all_well") if well else sentence("cli.see_trouble"))
    if not well:
        sys.exit(1)


main.add_command(service_group(serve_command))


if __name__ == "__main__":
    main()
