"""The command `ringwright`. Each subcommand reads its options and calls the room that does the
work.
"""

from __future__ import annotations

import asyncio
import io
import json
import socket
import sys
from collections.abc import Callable, Coroutine
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any, TextIO, TypeVar

import click
import segno
import uvicorn

from . import backups, log_transfer, vendor
from .app import build_app, now_ms
from .ask_api import answers
from .doctor import findings
from .errors import StoreTrouble, Unreadable
from .settings import Settings, default_data
from .store import FILE, Book, look_into, open_store, prepare_file
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
    """A socket on this machine's loopback; port 0 takes any free one."""
    # the protocol is named so that asyncio sends each answer at once; else every second one waits
    # 40 ms
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
    except OSError as e:
        listener.close()
        raise click.ClickException(
            f"Port {port} cannot be used ({e.strerror}). If Ringwright already runs, open it there;"
            " otherwise choose another with --port."
        ) from None
    return listener


def _check_vendor(settings: Settings) -> None:
    gone = vendor.missing(settings.static)
    if gone:
        names = ", ".join(f"static/vendor/{name}" for name in gone)
        click.echo(
            f"The page cannot run without {names}. Bring them with:\n  {vendor.COMMAND}", err=True
        )


def _greet(settings: Settings, workshop: str) -> None:
    click.echo(f"Ringwright serves {settings.address}  (this machine only; stop with Ctrl+C)")
    click.echo(f"Workshop {short(workshop)} is kept in {settings.data}")
    picture = io.StringIO()
    segno.make(settings.address, micro=False).terminal(picture, compact=True)
    with suppress(UnicodeEncodeError):  # a terminal without block characters does without
        click.echo(picture.getvalue())


def _tell(work: Callable[[], T]) -> T:
    """Run it; trouble with the file is told in one sentence instead of a traceback."""
    try:
        return work()
    except (StoreTrouble, Unreadable, OSError, UnicodeDecodeError) as e:
        raise click.ClickException(str(e)) from None


def _run(work: Coroutine[Any, Any, T]) -> T:
    return _tell(lambda: asyncio.run(work))


async def _try_open(data: Path) -> str:
    """Makes the workshop where there is none; its identity."""
    async with open_store(data) as store:
        return await store.read(Book.workshop)


@main.command("serve")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    default=8737,
    show_default=True,
    help="0 takes a free one.",
)
@DATA
def serve_command(port: int, data: Path) -> None:
    """Serve the page on this machine, with the workshop kept in a folder."""
    with _listen(port) as listener:
        settings = Settings(data=data.resolve(), port=listener.getsockname()[1])
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
    with suppress(KeyboardInterrupt):  # raised again once everything is closed
        uvicorn.Server(config).run(sockets=[listener])
    click.echo("Stopped. What was saved is saved.")


@main.command("ask")
def ask_command() -> None:
    """Answer questions to the engine: one JSON object on standard input, or one a line.

    Ends with status 1 where one of them was refused.
    """
    refused = False
    for line in answers(sys.stdin.buffer):
        click.echo(line)
        refused = refused or not json.loads(line)["ok"]
    if refused:
        sys.exit(1)


def _stamp() -> str:
    return datetime.now().strftime("%Y-%m-%d-%H%M%S")


@main.command("backup")
@click.option(
    "--to",
    "target",
    type=click.Path(path_type=Path),
    help="A new file; else one in the data folder.",
)
@DATA
def backup_command(target: Path | None, data: Path) -> None:
    """Copy the workshop into one file. The server may go on meanwhile."""
    wanted = target or data / "backups" / f"ringwright-{_stamp()}.sqlite"
    click.echo(f"Copied to {_tell(lambda: backups.backup(data, wanted))}")


@main.command("restore")
@click.argument("source", type=click.Path(path_type=Path))
@DATA
def restore_command(source: Path, data: Path) -> None:
    """Put a copy in the workshop's place. Stop the server first."""
    was = backups.workshop_of(data / FILE)
    before = _tell(lambda: backups.restore(data, source, _stamp()))
    click.echo(
        f"Restored {source}. What the devices have beyond it they send again at their next sync."
    )
    now = backups.workshop_of(data / FILE)
    if was and now and was != now:
        click.echo(
            f"It is of workshop {short(now)}; devices of workshop {short(was)}, kept here before,"
            " are refused."
        )
    if before:
        click.echo(f"The workshop as it was is kept in {before}")


async def _export(data: Path, write: Callable[[str], Any]) -> int:
    n = 0
    async with look_into(data) as store:
        async for line in log_transfer.lines(store):
            write(line + "\n")
            n += 1
    return n - 1  # the first line says whose they are


@main.command("export")
@click.option(
    "--to", "target", type=click.Path(path_type=Path), help="A file; else standard output."
)
@DATA
def export_command(target: Path | None, data: Path) -> None:
    """Write the whole log as JSON lines. The server may go on meanwhile."""
    if target is None:
        _run(_export(data, sys.stdout.write))
        return
    _tell(lambda: prepare_file(target))
    with open(target, "w", encoding="utf-8") as file:
        n = _run(_export(data, file.write))
    click.echo(f"Wrote {n} changes to {target}")


async def _import(
    data: Path, found: log_transfer.Found, join: bool
) -> tuple[str, log_transfer.Brought]:
    async with open_store(data) as store:
        workshop = await log_transfer.settle(store, found, join)
        return workshop, await log_transfer.bring(store, found.by_device, now_ms())


@main.command("import")
@click.argument("source", type=click.File("r", encoding="utf-8-sig"))
@click.option(
    "--join", is_flag=True, help="Bring another workshop's counts into this one, for good."
)
@DATA
def import_command(source: TextIO, join: bool, data: Path) -> None:
    """Take in a log; "-" reads standard input. What is known already is skipped.

    JSON lines as export writes them, or the file that the page wrote. An empty workshop becomes the
    one that moves in; a file of another workshop is refused unless told to --join.
    """
    found = _tell(lambda: log_transfer.read_lines(source))
    workshop, brought = _run(_import(data, found, join))
    click.echo(f"Into workshop {short(workshop)}:")
    click.echo(
        f"{brought.fresh} changes taken in, {brought.known} known already, {len(brought.refused)}"
        " set aside"
    )
    for each in brought.refused:
        click.echo(f"Set aside: {each['device']} {each['seq']}: {each['why']}", err=True)
    for gap in brought.gaps:
        click.echo(f"Stopped at {gap['device']}: {gap['why']}", err=True)
    if brought.gaps:
        sys.exit(1)


async def _examine(settings: Settings) -> bool:
    well = True
    async for finding in findings(settings):
        click.echo(f"{'well   ' if finding.well else 'TROUBLE'}  {finding.what}")
        well = well and finding.well
    return well


@main.command("doctor")
@DATA
def doctor_command(data: Path) -> None:
    """Say whether everything is in place, and what to do where it is not."""
    if not _run(_examine(Settings(data=data.resolve()))):
        sys.exit(1)


if __name__ == "__main__":
    main()
