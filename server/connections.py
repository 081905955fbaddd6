"""What one connection may cost: how long each part of it may take, how many may be open at once.

A handshake or a head that is begun and never ended, a body that nobody reads and that never ends, or
an answer that is never read, would hold a connection for good; a few hundred of them hold the server.
What a request's own body may take is bounded where it is read (json_body.py).
"""

from __future__ import annotations

import asyncio
import logging
import os
import socket
import sys
import time
from collections.abc import Callable
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol

from .errors import error_answer
from .guard import headers_for
from .proxy import is_loopback
from .sentences import sentence
from .settings import Settings

log = logging.getLogger("uvicorn.error")  # shown in the server's own window

QUIET_SECONDS = 60.0  # at most one line of a kind in that time
# how uvicorn's lines begin for a request that is none, and for one that wants to speak otherwise
_JUNK = ("Invalid HTTP request", "Unsupported upgrade request", "No supported WebSocket library")
# how asyncio's line begins when the system gives a program no more connections
_NO_MORE = "socket.accept() out of system resource"


class Beginnings:
    """Connections that were accepted and whose TLS handshake has not ended."""

    def __init__(self, settings: Settings) -> None:
        self.settings = settings
        self.open: dict[Any, socket.socket] = {}  # by (host, port, ...)

    def begin(self, connection: socket.socket, peer: Any) -> bool:
        """Whether one more may begin. One whose handshake failed or took too long is closed by now."""
        self.open = {each: sock for each, sock in self.open.items() if sock.fileno() != -1}
        same = sum(each[0] == peer[0] for each in self.open)
        if len(self.open) >= self.settings.handshakes or same >= self.settings.handshakes_each:
            return False
        self.open[peer] = connection
        return True

    def end(self, peer: Any) -> None:
        """Its handshake is over."""
        self.open.pop(peer, None)


class BoundedListener(socket.socket):
    """A listening socket that closes connections too many as soon as they are accepted."""

    def __init__(self, listener: socket.socket, beginning: Beginnings) -> None:
        super().__init__(fileno=os.dup(listener.fileno()))
        self.setblocking(False)
        self.beginning = beginning

    def accept(self) -> tuple[socket.socket, Any]:
        """As of any socket; raises ConnectionAbortedError where it closed the connection."""
        connection, peer = super().accept()
        if not self.beginning.begin(connection, peer):
            connection.close()
            raise ConnectionAbortedError
        return connection, peer


class BoundedProtocol(H11Protocol):
    """uvicorn's HTTP connection, bounded by `settings`; `protocol_for` makes the class to use."""

    settings: Settings
    beginning: Beginnings
    _patience: asyncio.TimerHandle | None = None
    _reading: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """A connection too many is closed before anything of it is read."""
        self.beginning.end(transport.get_extra_info("peername"))
        super().connection_made(transport)
        if self._is_too_many():
            log.warning(sentence("connections.too_many"), extra={"kind": "too many"})
            transport.abort()
        else:
            self._watch()

    def _is_too_many(self) -> bool:
        if len(self.connections) > self.settings.connections:
            return True
        host = self.client[0] if self.client else ""
        if self.settings.behind_proxy and is_loopback(host):
            return False  # the proxy, for everyone behind it
        peers = [getattr(each, "client", None) or ("",) for each in self.connections]
        same: int = sum(peer[0] == host for peer in peers)
        return same > self.settings.connections_each

    def data_received(self, data: bytes) -> None:
        """Once it was read, look whether more has to come."""
        super().data_received(data)
        self._watch()

    def on_response_complete(self) -> None:
        """A body that comes after its answer is waited for no longer than a head."""
        super().on_response_complete()
        if self.conn.their_state is h11.SEND_BODY:
            self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Nothing is waited for any more."""
        self._rest()
        self._stop_reading()
        super().connection_lost(exc)

    def _watch(self) -> None:
        """Begin to count the time, or go on counting, where the client owes something that nobody
        else waits for: the rest of a head, or of a body that was answered before its end.
        """
        answered = self.conn.our_state in (h11.DONE, h11.MUST_CLOSE)
        owes_head = self.conn.their_state is h11.IDLE
        owes_body = answered and self.conn.their_state is h11.SEND_BODY
        if not owes_head and not owes_body:
            self._rest()
        elif self._patience is None and not self.transport.is_closing():
            seconds = self.settings.head_seconds
            self._patience = self.loop.call_later(seconds, self.transport.abort)

    def pause_writing(self) -> None:
        """What is sent is not read as fast: from now on some of it has to be, again and again."""
        super().pause_writing()
        self._await_reading()

    def resume_writing(self) -> None:
        """The client has caught up."""
        self._stop_reading()
        super().resume_writing()

    def _await_reading(self) -> None:
        unread = self.transport.get_write_buffer_size()

        def look() -> None:
            if self.transport.get_write_buffer_size() >= unread:
                self.transport.abort()
            else:
                self._await_reading()

        self._reading = self.loop.call_later(self.settings.unread_seconds, look)

    def _stop_reading(self) -> None:
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None

    def _rest(self) -> None:
        if self._patience is not None:
            self._patience.cancel()
            self._patience = None

    def send_400_response(self, msg: str) -> None:
        """What is no request is answered in our own shape, if an answer has not begun yet. Whoever
        works at this connection's request has nobody to answer any more.
        """
        if self.cycle is not None and not self.cycle.response_complete:
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        if self.conn.our_state in (h11.IDLE, h11.SEND_RESPONSE):
            headers = headers_for(self.settings) | {"Connection": "close"}
            answer = error_answer(400, "request", sentence("connections.junk_answer"), headers)
            head = h11.Response(status_code=400, headers=answer.raw_headers, reason=b"Bad Request")
            for event in (head, h11.Data(data=bytes(answer.body)), h11.EndOfMessage()):
                self.transport.write(self.conn.send(event) or b"")
        self.transport.close()


def protocol_for(settings: Settings) -> type[BoundedProtocol]:
    """The class for uvicorn's `http`, with these settings."""
    return type(
        "Bounded", (BoundedProtocol,), {"settings": settings, "beginning": Beginnings(settings)}
    )


def bounded_loop(
    loop: asyncio.AbstractEventLoop, protocol: type[BoundedProtocol]
) -> asyncio.AbstractEventLoop:
    """This loop, whose servers over TLS bound what precedes a connection: uvicorn has no setting."""
    create = loop.create_server

    def create_server(*given: Any, **named: Any) -> Any:
        if named.get("ssl"):
            named["ssl_handshake_timeout"] = protocol.settings.handshake_seconds
            if sys.platform != "win32":  # there no socket is asked for its next connection
                named["sock"] = BoundedListener(named["sock"], protocol.beginning)
        return create(*given, **named)

    loop.create_server = create_server  # type: ignore[method-assign]
    return loop


class JunkFilter(logging.Filter):
    """Of lines about junk, one of each kind in QUIET_SECONDS; anyone can send as much as they like."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        super().__init__()
        self.clock = clock
        self.last: dict[str, float] = {}  # kind of line -> when it was let through

    def filter(self, record: logging.LogRecord) -> bool:
        """Whether the line is shown; uvicorn's own is put into a maker's words."""
        kind = getattr(record, "kind", "")
        if str(record.msg).startswith(_JUNK):
            kind, record.msg = "junk", sentence("connections.junk")
        if str(record.msg).startswith(_NO_MORE):
            kind, record.msg, record.exc_info = "no more", sentence("connections.no_more"), None
        now = self.clock()
        if not kind:
            return True
        if now - self.last.get(kind, -QUIET_SECONDS) < QUIET_SECONDS:
            return False
        self.last[kind] = now
        return True


def quiet_junk() -> None:
    """Keep the server's window readable, whatever is sent to it."""
    for each in (log, logging.getLogger("asyncio")):
        for old in [one for one in each.filters if isinstance(one, JunkFilter)]:
            each.removeFilter(old)
        each.addFilter(JunkFilter())
