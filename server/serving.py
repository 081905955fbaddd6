"""What runs while the server runs: the page, with `--lan` the guide beside it, and what keeps
certificate and name in step with the day and the network.
"""

from __future__ import annotations

import asyncio
import logging
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from typing import Any

import uvicorn
from starlette.applications import Starlette

from . import assets, tls, ways_in
from .announce import Announcer
from .app import build_app, opened
from .backup_schedule import looked_after
from .connections import BoundedProtocol, bounded_loop, protocol_for, quiet_junk
from .errors import SetupError, StoreError
from .guide import build_guide
from .pairing import Pairing
from .sentences import sentence
from .settings import EVERYWHERE, THIS_MACHINE, Settings
from .workshop import short

log = logging.getLogger("uvicorn.error")  # shown in the server's own window
LOOK_SECONDS = 10  # between two looks at the network and the certificate
PLACE_SECONDS = 2  # between two looks at whether the workshop's file is in its place


def _bound(family: socket.AddressFamily, host: str, port: int) -> socket.socket:
    # naming the protocol makes asyncio set TCP_NODELAY; without it every second answer waits 40 ms
    listener = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    if family == socket.AF_INET6:
        listener.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
    try:
        listener.bind((host, port))
    except OSError:
        listener.close()
        raise
    return listener


def listen(host: str, port: int, option: str = "--port") -> list[socket.socket]:
    """Sockets on this machine only, or on every interface; port 0 takes any free one.

    Raises SetupError where the port is taken; `option` is what chooses another.
    """
    try:
        listeners = [_bound(socket.AF_INET, host, port)]
    except OSError as e:
        why = sentence("serving.port", port=port, error=e.strerror, option=option)
        raise SetupError(why) from None
    if host == EVERYWHERE:
        with suppress(OSError):  # a computer without IPv6
            listeners.append(_bound(socket.AF_INET6, "::", listeners[0].getsockname()[1]))
    return listeners


class Listeners:
    """The sockets of one run: of the page, and with `lan` of the guide; raises SetupError."""

    def __init__(self, reach: dict[str, Any], port: int, guide_port: int) -> None:
        host = reach.get("listen", THIS_MACHINE)
        self.page = listen(host, port)
        self.guide: list[socket.socket] = []
        if reach.get("lan"):
            try:
                self.guide = listen(host, guide_port, "--guide-port")
            except SetupError:
                self.__exit__()
                raise

    def ports(self) -> dict[str, Any]:
        """As fields of Settings; they differ from what was asked for where that was 0."""
        found = {"port": self.page[0].getsockname()[1]}
        return found | ({"guide_port": self.guide[0].getsockname()[1]} if self.guide else {})

    def __enter__(self) -> Listeners:
        return self

    def __exit__(self, *_: object) -> None:
        for listener in self.page + self.guide:
            listener.close()


@contextmanager
def _ended_as_by_ctrl_c() -> Iterator[None]:
    """The system's wish to end it (SIGTERM) ends it as Ctrl+C does, once everything is closed."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGTERM, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)


class _Server(uvicorn.Server):
    """One of two in a process: signals are for both, so neither takes them by itself."""

    def __init__(self, config: uvicorn.Config, protocol: type[BoundedProtocol]) -> None:
        super().__init__(config)
        self.protocol = protocol

    @contextmanager
    def capture_signals(self) -> Iterator[None]:
        yield


def _server(app: Starlette, certificate: tls.Certificate | None = None) -> _Server:
    protocol = protocol_for(app.state.settings)
    config = uvicorn.Config(
        app,
        http=protocol,
        lifespan="off",
        access_log=False,
        log_level="warning",
        server_header=False,
        proxy_headers=False,
        ws="none",
        timeout_graceful_shutdown=5,
        ssl_context_factory=(lambda *_: certificate.context) if certificate else None,
    )
    return _Server(config, protocol)


async def _keep_up(app: Starlette, certificate: tls.Certificate, name: Announcer) -> None:
    """For as long as it runs: addresses, certificate and announced name follow the network."""
    settings, told = app.state.settings, ""
    while True:
        trouble = certificate.keep_up()
        if trouble and trouble != told:
            log.warning("%s", trouble)
        told = trouble
        if settings.lan:
            await name.keep_up()
        await asyncio.sleep(LOOK_SECONDS)
        if settings.lan and settings.home.look():
            with suppress(StoreError):  # the way in is told again at the next change or start
                app.state.store.check_place()
                await asyncio.to_thread(Pairing(settings.data).keep_way, ways_in.way(settings))


class Serving:
    """The servers of one run, made from its settings; `run` returns when they were stopped.

    `begin_again`: they stopped by themselves, since another file now stands in the workshop's place
    than the one they opened: the disk is back. Only a new run can use it.
    """

    def __init__(self, settings: Settings, workshop: str, listeners: Listeners) -> None:
        self.settings = settings
        self.certificate = tls.open_certificate(settings)
        self.app = build_app(settings)
        self.page = _server(self.app, self.certificate)
        named = short(workshop)
        self.guide = _server(build_guide(settings, named)) if settings.lan else None
        self.listeners = listeners
        self.announcer = Announcer(settings.home, named, settings.port)
        self.begin_again = False

    def run(self, greet: Callable[[], None]) -> None:
        """Until Ctrl+C, or until the system ends it; `greet` once the workshop is open.

        Raises StoreError where it cannot be opened.
        """
        quiet_junk()
        threading.Thread(target=assets.prepare, args=(self.settings,), daemon=True).start()
        made = self.page.config.get_loop_factory() or asyncio.new_event_loop
        protocol = self.page.protocol
        with (
            suppress(KeyboardInterrupt),  # raised again once everything is closed
            _ended_as_by_ctrl_c(),
            uvicorn.Server.capture_signals(self.page),
            asyncio.Runner(loop_factory=lambda: bounded_loop(made(), protocol)) as runner,
        ):
            runner.run(self._run(greet))

    async def _run(self, greet: Callable[[], None]) -> None:
        """The workshop is opened here, not in the server's lifespan: trouble with it is told before
        anything is served.
        """
        data = self.settings.data
        async with opened(self.app), looked_after(data, self.app.state.store):
            greet()
            await self._serve()

    async def _serve(self) -> None:
        beside: list[asyncio.Task[None]] = []
        if self.certificate:
            upkeep = _keep_up(self.app, self.certificate, self.announcer)
            beside.append(asyncio.create_task(upkeep))
        beside.append(asyncio.create_task(self._watch_place()))
        if self.guide:
            beside.append(asyncio.create_task(self.guide.serve(self.listeners.guide)))
        try:
            await self.page.serve(self.listeners.page)
        finally:
            await self._end(beside)

    async def _watch_place(self) -> None:
        """Say when the workshop's folder goes and comes back: a disk pulled out, a folder moved."""
        store, gone = self.app.state.store, False
        folder = self.settings.data
        while True:
            await asyncio.sleep(PLACE_SECONDS)
            here = store.is_in_place()
            if here and gone:
                log.warning("%s", sentence("serving.back", folder=folder))
            elif not here and store.path.exists():
                log.warning("%s", sentence("serving.begins_again", folder=folder))
                self.begin_again = self.page.should_exit = True
                return
            elif not here and not gone:
                log.error("%s", sentence("serving.gone", folder=folder))
            gone = not here

    async def _end(self, beside: list[asyncio.Task[None]]) -> None:
        if self.guide:
            self.guide.should_exit = True
            await beside.pop()
        for task in beside:
            task.cancel()
        await asyncio.gather(*beside, return_exceptions=True)
        await self.announcer.stop()
