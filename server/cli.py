"""The command `ringwright`. Each subcommand reads its options and calls the module that works."""

from __future__ import annotations

import asyncio
import io
import json
import socket
import sys
import threading
from collections.abc import Callable, Coroutine
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO, TypeVar

import click
import segno
import uvicorn

from . import assets, backups, log_transfer, static_site, vendor
from .app import build_app, now_ms
from .ask_api import answers
from .doctor import findings
from .errors import StoreError, Unreadable
from .sentences import sentence
from .settings import Settings, default_data
from .store import FILE, LogTransaction, open_read_only, open_store, prepare_file
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


def _listen(port: int) -> socket.socket:
    """A socket on this machine only; port 0 takes any free one."""
    # naming the protocol makes asyncio set TCP_NODELAY; without it every second answer waits 40 ms
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
    except OSError as e:
        listener.close()
        why = sentence("cli.port", port=port, error=e.strerror)
        raise click.ClickException(why) from None
    return listener


def _page_lacks(gone: list[str]) -> str:
    names = ", ".join(f"static/vendor/{name}" for name in gone)
    return sentence("cli.page_lacks", names=names, command=vendor.COMMAND)


def _check_vendor(settings: Settings) -> None:
    gone = vendor.missing(settings.static)
    if gone:
        click.echo(_page_lacks(gone), err=True)


def _greet(settings: Settings, workshop: str) -> None:
    click.echo(sentence("cli.serving", address=settings.address))
    click.echo(sentence("cli.workshop", workshop=short(workshop), folder=settings.data))
    picture = io.StringIO()
    segno.make(settings.address, micro=False).terminal(picture, compact=True)
    with suppress(UnicodeEncodeError):  # a terminal without block characters shows no QR code
        click.echo(picture.getvalue())


def _or_exit(work: Callable[[], T]) -> T:
    """Run it; trouble with a file ends the command with one sentence instead of a traceback."""
    try:
        return work()
    except (StoreError, Unreadable, OSError, UnicodeDecodeError) as e:
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
    "--unpacked",
    is_flag=True,
    help="Send each script of the page by itself and with its comments, to work on them.",
)
@DATA
def serve_command(port: int, data: Path, unpacked: bool) -> None:
    """Serve the page on this machine, and keep the workshop in a folder."""
    with _listen(port) as listener:
        settings = Settings(
            data=data.resolve(), port=listener.getsockname()[1], packed=not unpacked
        )
        _check_vendor(settings)
        _greet(settings, _run(_try_open(settings.data)))
        _serve(settings, listener)


def _serve(settings: Settings, listener: socket.socket) -> None:
    config = uvicorn.Config(
        build_app(settings),
        access_log=False,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        ws="none",
        timeout_graceful_shutdown=5,
    )
    threading.Thread(target=assets.prepare, args=(settings,), daemon=True).start()
    with suppress(KeyboardInterrupt):  # raised again once everything is closed
        uvicorn.Server(config).run(sockets=[listener])
    click.echo(sentence("cli.stopped"))


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
