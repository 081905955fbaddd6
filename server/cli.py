"""The command `ringwright`. Each subcommand reads its options and calls the module that works."""

from __future__ import annotations

import asyncio
import io
import json
import sys
from collections.abc import Callable, Coroutine
from contextlib import suppress
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO, TypeVar

import click
import segno

from . import backups, log_transfer, pairing_code, static_site, tls, vendor, ways_in
from .app import now_ms
from .ask_api import answers
from .doctor import findings
from .errors import Refusal, SetupError, StoreError, Unreadable
from .pairing import Pairing
from .sentences import sentence
from .serving import Listeners, Serving
from .settings import GUIDE_PORT, Settings, default_data
from .store import FILE, LogTransaction, open_read_only, open_store, prepare_file
from .ways import choose, home_of
from .workshop import short

T = TypeVar("T")

DATA = click.option(
    "--data",
    type=click.Path(file_okay=False, path_type=Path),
    default=default_data,
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
    way = _or_exit(lambda: _new_way(Pairing(settings.data), settings))
    click.echo(sentence("cli.pair_here", link=way["link"]))
    if settings.lan:
        _greet_at_home(settings)
    _draw(way["start"])


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
    groups = tls.fingerprint(settings.data)
    for row in (groups[:8], groups[8:]):
        click.echo("    " + "  ".join(row))


def _or_exit(work: Callable[[], T]) -> T:
    """Run it; trouble with a file ends the command with one sentence instead of a traceback."""
    try:
        return work()
    except Refusal as e:
        raise click.ClickException(str(e) if isinstance(e, Unreadable) else e.why) from None
    except (StoreError, SetupError, OSError, UnicodeDecodeError) as e:
        raise click.ClickException(str(e)) from None


def _run(work: Coroutine[Any, Any, T]) -> T:
    return _or_exit(lambda: asyncio.run(work))


async def _try_open(data: Path) -> str:
    """The workshop's identity; makes the workshop where there is none."""
    async with open_store(data) as store:
        return await store.read(LogTransaction.workshop)


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
@DATA
def serve_command(
    port: int, guide_port: int, data: Path, unpacked: bool, name: str, trust_again: bool, **way: Any
) -> None:
    """Serve the page, and keep the workshop in a folder.

    On this machine only; to phones at home with --lan; or under a name of your own with
    --public-name, with --cert and --key where no reverse proxy brings the https.
    """
    reach = _or_exit(lambda: choose(name=name, trust_again=trust_again, **way))
    with _or_exit(lambda: Listeners(reach, port, guide_port)) as listeners:
        settings = Settings(data=data.resolve(), packed=not unpacked, **reach, **listeners.ports())
        _check_vendor(settings)
        workshop = _run(_try_open(settings.data))
        if settings.lan:
            home = _or_exit(lambda: home_of(settings.data, workshop, name, trust_again))
            settings = replace(settings, home=home)
        serving = _or_exit(lambda: Serving(settings, workshop, listeners))
        _greet(settings, workshop)
        serving.run()
    click.echo(sentence("cli.stopped"))


def _pairing_of(data: Path) -> Pairing:
    """The pairings beside a workshop; raises StoreError where there is no workshop."""
    if not (data / FILE).is_file():
        raise StoreError(sentence("cli.no_workshop", folder=data))
    return Pairing(data)


@main.command("pair")
@DATA
def pair_command(data: Path) -> None:
    """Make a code that lets one more browser in. The server may keep running."""
    pairing = _or_exit(lambda: _pairing_of(data.resolve()))
    way = _or_exit(pairing.way) or ways_in.way(Settings(data=data))
    code = _or_exit(lambda: pairing.make_code(now_ms()))[0]
    told = ways_in.with_code(way, code)
    click.echo(sentence("cli.pair_code", code=pairing_code.spaced(code)))
    click.echo(sentence("cli.pair_link", link=told["link"]))
    if told["guide"]:
        click.echo(sentence("cli.pair_guide", start=told["start"]))
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
    pairing = _or_exit(lambda: _pairing_of(data.resolve()))
    if remove is not None:
        _or_exit(lambda: pairing.remove(remove, now_ms()))
        click.echo(sentence("cli.device_removed", id=remove))
    elif remove_all:
        n = _or_exit(lambda: pairing.remove_others(0, now_ms()))
        click.echo(sentence("cli.devices_removed", n=n))
    else:
        _list_devices(pairing)


def _list_devices(pairing: Pairing) -> None:
    living, _ = _or_exit(lambda: pairing.all(now_ms()))
    if not living:
        click.echo(sentence("cli.no_devices"))
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
    settings = Settings(data=default_data())
    gone = vendor.missing(settings.static)
    if gone:
        raise click.ClickException(_page_lacks(gone))
    try:
        written = static_site.write_page(settings, folder)
    except StoreError as e:
        raise click.ClickException(str(e)) from None
    except OSError as e:
        why = sentence("cli.page_not_written", folder=folder, error=e.strerror)
        raise click.ClickException(why) from None
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
    """Copy the workshop into one file. The server may keep running."""
    wanted = target or data / "backups" / f"ringwright-{_stamp()}.sqlite"
    copy = _or_exit(lambda: backups.backup(data, wanted))
    click.echo(sentence("cli.backed_up", path=copy))


@main.command("restore")
@click.argument("source", type=click.Path(path_type=Path))
@DATA
def restore_command(source: Path, data: Path) -> None:
    """Replace the workshop by the backup SOURCE. Stop the server first."""
    before = backups.workshop_of(data / FILE)
    old_file = _or_exit(lambda: backups.restore(data, source, _stamp()))
    click.echo(sentence("cli.restored", source=source))
    now = backups.workshop_of(data / FILE)
    if before and now and before != now:
        click.echo(sentence("cli.restored_other", now=short(now), before=short(before)))
    if old_file:
        click.echo(sentence("cli.restored_old", path=old_file))


async def _export(data: Path, write: Callable[[str], Any]) -> int:
    n = 0
    async with open_read_only(data) as store:
        async for line in log_transfer.export_lines(store):
            write(line + "\n")
            n += 1
    return n - 1  # the first line is no change: it names the workshop


@main.command("export")
@click.option(
    "--to",
    "target",
    type=click.Path(path_type=Path),
    help="A file to write; without it, standard output.",
)
@DATA
def export_command(target: Path | None, data: Path) -> None:
    """Write the whole log as JSON lines. The server may keep running."""
    if target is None:
        _run(_export(data, sys.stdout.write))
        return
    _or_exit(lambda: prepare_file(target))
    with open(target, "w", encoding="utf-8") as file:
        n = _run(_export(data, file.write))
    click.echo(sentence("cli.exported_one" if n == 1 else "cli.exported", n=n, path=target))


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
    file = _or_exit(lambda: log_transfer.read_lines(source))
    workshop, result = _run(_import(data, file, join))
    click.echo(sentence("cli.imported_into", workshop=short(workshop)))
    numbers = {"new": result.fresh, "known": result.known, "aside": len(result.refused)}
    click.echo(sentence("cli.imported_one" if result.fresh == 1 else "cli.imported", **numbers))
    for each in result.refused:
        click.echo(sentence("cli.set_aside", **each), err=True)
    for gap in result.gaps:
        click.echo(sentence("cli.gap", device=gap["device"], why=gap["why"]), err=True)
    if result.gaps:
        sys.exit(1)


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
    if not _run(_examine(Settings(data=data.resolve()))):
        sys.exit(1)


if __name__ == "__main__":
    main()
