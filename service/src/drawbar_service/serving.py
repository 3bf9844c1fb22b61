"""How the service stops, and how long it waits for callers: what uvicorn leaves open."""

import asyncio
import logging
import signal
import threading
import time
from collections.abc import Callable, Sequence
from math import inf
from types import FrameType
from typing import Any, Final

import uvicorn
from litestar import Litestar
from uvicorn.protocols.http.httptools_impl import RequestResponseCycle

from drawbar_service.security.head import BoundedHead
from drawbar_service.settings import Settings

FINISH_SECONDS: Final = 20
"""Longest wait for requests under way, once callers are refused [s]."""

_OTHER_DESCRIPTORS: Final = 64
"""Open files beside connections: logs, pipes, processes."""
_TELL_EVERY: Final = 60.0
"""Time between two warnings of the same kind [s]."""

_CONTINUE = b"HTTP/1.1 100 Continue\r\n\r\n"
_REQUEST_TIMEOUT = b"HTTP/1.1 408 Request Timeout\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"

log = logging.getLogger("drawbar_service")


class _Together(asyncio.Transport):
    """Sends the head of an answer together with the first of its body.

    uvicorn writes them one after the other. Of a process that is killed in between, a proxy would have passed on the
    head, and could no longer ask another.
    """

    def __init__(self, transport: asyncio.Transport) -> None:
        super().__init__()
        self._transport = transport
        self._head: bytes | None = b""

    def write(self, data: bytes | bytearray | memoryview) -> None:
        """Keep the head, send everything else."""
        if self._head is None or data == _CONTINUE:
            self._transport.write(data)
        elif not self._head:
            self._head = bytes(data)
        else:
            self._transport.write(self._head + data)
            self._head = None

    def close(self) -> None:
        """Send what is kept, then close."""
        if self._head:
            self._transport.write(self._head)
            self._head = None
        self._transport.close()

    def is_closing(self) -> bool:
        """Whether the connection is closing."""
        return self._transport.is_closing()


class Connection(BoundedHead):
    """A connection on which the head of a request has to come in time, and answers have to be taken.

    uvicorn closes a connection that is idle after an answer. It waits for ever for one that has asked nothing yet, that
    sends its head byte by byte, that goes on sending a body after its answer, or that does not take its answer.
    """

    head_patience: float = 20.0
    """Longest wait for a head [s]."""
    take_patience: float = 60.0
    """Longest wait for a caller who takes nothing of what is ready [s]."""

    _waiting: asyncio.TimerHandle | None = None
    _watching: asyncio.TimerHandle | None = None
    _asked = False
    """Whether a head has ever come whole."""
    _cycles: Sequence[RequestResponseCycle] = ()

    def connection_made(self, transport: asyncio.Transport) -> None:  # pyright: ignore[reportIncompatibleMethodOverride]
        """Wait for a head."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Wait for a head if this was no whole one."""
        super().data_received(data)
        if not (self._asked and not self.cycle.response_complete):
            self._wait()

    def on_headers_complete(self) -> None:
        """Wait no longer."""
        self._wait_no_longer()
        super().on_headers_complete()
        if self.transport.is_closing():
            return
        self._asked = True
        if self.scope["method"] != "HEAD":  # where a head is all there is
            self.cycle.transport = _Together(self.transport)
        self._cycles = [*(one for one in self._cycles if not one.response_complete), self.cycle]

    def on_response_complete(self) -> None:
        """Wait for the rest of a head that began during the answer."""
        super().on_response_complete()
        if self._in_head:
            self._unset_keepalive_if_required()
            self._wait()

    def pause_writing(self) -> None:
        """See whether anything is taken."""
        super().pause_writing()
        self._watch()

    def shutdown(self) -> None:
        """Close when what is under way has been answered, or at once if nothing is."""
        super().shutdown()
        if self.transport.is_closing():
            self._watch()

    def timeout_keep_alive_handler(self) -> None:
        """Close a connection that nobody has used since its last answer."""
        super().timeout_keep_alive_handler()
        self._watch()

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no longer."""
        self._wait_no_longer()
        if self._watching is not None:
            self._watching.cancel()
        # uvicorn tells only the last of several requests sent in a row; the one at work would write to nobody.
        for cycle in self._cycles:
            cycle.disconnected = True
        self.pipeline.clear()
        super().connection_lost(exc)

    def _wait(self) -> None:
        # The first byte counts: more of them, one by one, buy no time.
        if self._waiting is None and not self.transport.is_closing():
            self._waiting = self.loop.call_later(self.head_patience, self._give_up)

    def _wait_no_longer(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _give_up(self) -> None:
        self._waiting = None
        if self.transport.is_closing():
            return
        if self._in_head:
            self.transport.write(_REQUEST_TIMEOUT)
        self.transport.close()
        self._watch()

    def _watch(self) -> None:
        if self._watching is None:
            left = self.transport.get_write_buffer_size()
            self._watching = self.loop.call_later(self.take_patience, self._look, left)

    def _look(self, left_before: int) -> None:
        """Break off if the caller has taken nothing; a closed connection, too, would wait for its last bytes."""
        self._watching = None
        left = self.transport.get_write_buffer_size()
        if left and left >= left_before:
            self.transport.abort()
        elif left:
            self._watch()


def _raised(needed: int) -> float:
    """Raise the limit of open files to what is needed, as far as it may be; return what it is then."""
    try:
        import resource  # noqa: PLC0415 - not on Windows
    except ImportError:
        return inf
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if soft != resource.RLIM_INFINITY and soft < needed:
        wanted = needed if hard == resource.RLIM_INFINITY else min(needed, hard)
        resource.setrlimit(resource.RLIMIT_NOFILE, (wanted, hard))
        soft = wanted
    return inf if soft == resource.RLIM_INFINITY else soft


class Server(uvicorn.Server):
    """A server that says it is about to stop before it does.

    Asked to stop by SIGTERM, it first fails ``/readyz`` and closes each connection after its next answer, so that
    balancers and callers turn elsewhere; new callers are still answered. After `drain_seconds` it refuses them and
    finishes what is under way. A second signal, or Ctrl-C, ends the wait.

    Parameters
    ----------
    app : Litestar
    settings : Settings
    once_up : callable
        Called in a thread of its own as soon as callers are answered.
    """

    def __init__(self, app: Litestar, settings: Settings, once_up: Callable[[], Any]) -> None:
        patience = {"head_patience": settings.head_patience, "take_patience": settings.batch_patience}
        super().__init__(
            uvicorn.Config(
                app,
                host=settings.host,
                port=settings.port,
                http=type("PatientConnection", (Connection,), patience),
                ws="none",
                access_log=False,
                log_config=None,  # its lines go where all others go
                server_header=False,
                limit_concurrency=settings.connections,
                timeout_keep_alive=settings.keep_alive,
                timeout_graceful_shutdown=FINISH_SECONDS,
            )
        )
        self._app = app
        self._drain_seconds = settings.drain_seconds
        self._once_up = once_up
        self._refuse_at: float | None = None
        self._descriptors = _raised(settings.connections + _OTHER_DESCRIPTORS)
        self._told_at = -inf

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Begin to drain, or stop if there is no time for that."""
        if sig == signal.SIGTERM and self.started and self._drain_seconds and self._refuse_at is None:
            self._refuse_at = time.monotonic() + self._drain_seconds
        else:
            super().handle_exit(sig, frame)

    async def startup(self, sockets: Any = None) -> None:
        """Start, and only then make what would keep the first callers waiting."""
        await super().startup(sockets)
        if self.started:
            # Not a daemon: killed inside a library's native code at the end, it would take the exit code with it.
            threading.Thread(target=self._once_up, name="once-up").start()

    async def on_tick(self, counter: int) -> bool:
        """Go on draining, ten times a second."""
        if self._refuse_at is not None and not self._app.state.get("draining"):
            self._app.state.draining = True
            self.config.encoded_headers.append((b"connection", b"close"))
            self.server_state.default_headers = [*self.server_state.default_headers, (b"connection", b"close")]
            log.info("draining: refusing callers in %d s", self._drain_seconds)
        open_now = len(self.server_state.connections)
        if open_now + _OTHER_DESCRIPTORS > self._descriptors and time.monotonic() - self._told_at > _TELL_EVERY:
            self._told_at = time.monotonic()
            log.warning(
                "%d connections are open, and %d files may be: raise the limit of open files, or callers wait",
                open_now,
                self._descriptors,
            )
        if self._refuse_at is not None and time.monotonic() >= self._refuse_at and not self.should_exit:
            super().handle_exit(signal.SIGTERM, None)
        return await super().on_tick(counter)
