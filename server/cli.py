"""The command `ringwright`. Each subcommand reads its options and calls the room that does the work."""

from __future__ import annotations

import asyncio
import io
import socket
import sys
from contextlib import suppress
from pathlib import Path

import click
import segno
import uvicorn

from . import vendor
from .app import build_app
from .asking import answers
from .errors import StoreTrouble
from .settings import Settings, default_data
from .store import open_store

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
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind(("127.0.0.1", port))
    except OSError as e:
        listener.close()
        raise click.ClickException(
            f"Port {port} cannot be used ({e.strerror}). If Ringwright already runs, open it there; "
            f"otherwise choose another with --port."
        ) from None
    return listener


def _check_vendor(settings: Settings) -> None:
    gone = vendor.missing(settings.static)
    if gone:
        names = ", ".join(f"static/vendor/{name}" for name in gone)
        click.echo(f"The page cannot run without {names}. Bring them with:\n  {vendor.COMMAND}", err=True)


def _greet(settings: Settings) -> None:
    click.echo(f"Ringwright serves {settings.address}  (this machine only; stop with Ctrl+C)")
    click.echo(f"The workshop is kept in {settings.data}")
    picture = io.StringIO()
    segno.make(settings.address, micro=False).terminal(picture, compact=True)
    with suppress(UnicodeEncodeError):  # a terminal without block characters does without
        click.echo(picture.getvalue())


async def _try_open(data: Path) -> None:
    async with open_store(data):
        pass


def _check_store(data: Path) -> None:
    """Trouble with the file is told here in one sentence; inside the server it would be a traceback."""
    try:
        asyncio.run(_try_open(data))
    except (StoreTrouble, OSError) as e:
        raise click.ClickException(str(e)) from None


@main.command("serve")
@click.option("--port", type=click.IntRange(0, 65535), default=8737, show_default=True, help="0 takes a free one.")
@DATA
def serve_command(port: int, data: Path) -> None:
    """Serve the page on this machine, with the workshop kept in a folder."""
    listener = _listen(port)
    settings = Settings(data=data.resolve(), port=listener.getsockname()[1])
    _check_vendor(settings)
    _check_store(settings.data)
    _greet(settings)
    config = uvicorn.Config(
        build_app(settings),
        access_log=False,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        ws="none",
        timeout_graceful_shutdown=5,
    )
    uvicorn.Server(config).run(sockets=[listener])


@main.command("ask")
def ask_command() -> None:
    """Answer questions to the engine: one JSON object on standard input, or one a line."""
    for line in answers(sys.stdin.buffer):
        click.echo(line)
