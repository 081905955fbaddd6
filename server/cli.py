"""The command `ringwright`. Each subcommand reads its options and calls the module that works."""

from __future__ import annotations

import asyncio
import io
import json
import os
import socket
import sqlite3
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

from . import assets, audit, backup_schedule, backups, log_transfer, vendor
from .app import build_app, opened
from .ask_api import answers
from .doctor import findings
from .errors import StoreError, Unreadable
from .files import part_beside, put_in_place, trouble, unused
from .sentences import sentence
from .settings import Settings, default_data
from .store import FILE, Row, now_ms, open_read_only, open_store
from .workshop import short

T = TypeVar("T")


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


def _check_vendor(settings: Settings) -> None:
    gone = vendor.missing(settings.static)
    if gone:
        names = ", ".join(f"static/vendor/{name}" for name in gone)
        click.echo(sentence("cli.page_lacks", names=names, command=vendor.COMMAND), err=True)


def _greet(settings: Settings, workshop: str) -> None:
    click.echo(sentence("cli.serving", address=settings.address))
    click.echo(sentence("cli.workshop", workshop=short(workshop), folder=settings.data))
    picture = io.StringIO()
    segno.make(settings.address, micro=False).terminal(picture, compact=True)
    with suppress(UnicodeEncodeError):  # a terminal without block characters shows no QR code
        click.echo(picture.getvalue())


def _or_exit(work: Callable[[], T], path: Path | str) -> T:
    """Run it; trouble with a file ends the command with one sentence instead of a traceback.

    `path` is named where the error itself names none.
    """
    try:
        return work()
    except BrokenPipeError:
        raise  # who read our output has left: click ends without a word
    except (StoreError, Unreadable) as e:
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
    "--unpacked",
    is_flag=True,
    help="Send each script of the page by itself and with its comments, to work on them.",
)
@click.option(
    "--backups",
    "backup_folder",
    type=click.Path(file_okay=False, readable=False, path_type=Path),
    help="Folder for the daily backups, on another disk if you can; remembered for the next start.",
)
@DATA
def serve_command(port: int, data: Path, unpacked: bool, backup_folder: Path | None) -> None:
    """Serve the page on this machine, and keep the workshop in a folder."""
    with _listen(port) as listener:
        settings = Settings(
            data=data.resolve(), port=listener.getsockname()[1], packed=not unpacked
        )
        _check_vendor(settings)
        if backup_folder is not None:
            folder = backup_folder
            _or_exit(lambda: backup_schedule.choose_folder(settings.data, folder), folder)
        _run(_serve(settings, listener), settings.data)
    click.echo(sentence("cli.stopped"))


async def _serve(settings: Settings, listener: socket.socket) -> None:
    app = build_app(settings)
    config = uvicorn.Config(
        app,
        lifespan="off",  # the file is opened here, where trouble with it can be told
        access_log=False,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        ws="none",
        timeout_graceful_shutdown=5,
    )
    threading.Thread(target=assets.prepare, args=(settings,), daemon=True).start()
    async with opened(app), backup_schedule.looked_after(settings.data, app.state.store):
        _greet(settings, app.state.workshop)
        await uvicorn.Server(config).serve(sockets=[listener])
        with suppress(asyncio.CancelledError):  # Ctrl+C, raised again once all is answered
            await asyncio.sleep(0)


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
    if not _run(_examine(Settings(data=data.resolve())), data):
        sys.exit(1)


if __name__ == "__main__":
    main()
