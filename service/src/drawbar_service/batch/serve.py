"""A batch over HTTP: the body comes in and the answer goes out while a thread of its own works between them.

The event loop only carries bytes, and hands on as much at a time as waits. What has come and is not yet read, and what
is ready and not yet taken, are bounded: whoever is too fast waits. A caller may send all of a body of up to 32 MB
before taking any of the answer; of a larger one the answer has to be taken while it is sent.
"""

from collections.abc import Awaitable, Callable, Iterator
from contextlib import suppress
from math import inf
from threading import Event
from time import monotonic
from typing import Any, NamedTuple, TypeAlias

import anyio
from anyio import (
    BrokenResourceError,
    CapacityLimiter,
    ClosedResourceError,
    EndOfStream,
    WouldBlock,
    create_memory_object_stream,
    create_task_group,
    fail_after,
    from_thread,
    to_thread,
)
from anyio.streams.memory import MemoryObjectReceiveStream, MemoryObjectSendStream

from drawbar_service.batch.answer import Batch, TooBig, answer
from drawbar_service.batch.run import Cancelled

Receive: TypeAlias = Callable[[], Awaitable[Any]]
Send: TypeAlias = Callable[[Any], Awaitable[None]]

_LEAST_RATE = 1024
"""What a caller has to send on the whole, beside what patience allows [bytes/s]; a slot is not kept for drops."""
_WAITING_BYTES = 33_554_432
"""Of a body that has come and is not yet read."""
_TAKEN_PIECES = 64
"""Most of them that are taken at a time."""
_WAITING_PARTS = 4


class Limits(NamedTuple):
    """What is taken of one caller."""

    body_bytes: int
    patience: float
    """Longest wait for one who neither sends nor takes [s]."""


class Stalled(Exception):  # noqa: N818 - it names what happened
    """The caller neither sends nor takes."""


class BatchResponse:
    """An ASGI application that answers one batch.

    Parameters
    ----------
    batch : Batch
    limits : Limits
    told_bytes : int or None
        Length of the body as the caller told it.
    done : callable
        Called when nothing is at work any more.
    """

    def __init__(self, batch: Batch, limits: Limits, told_bytes: int | None, done: Callable[[], None]) -> None:
        self._batch = batch
        self._limits = limits
        self._told_bytes = told_bytes
        self._done = done
        self._cancelled = Event()
        self._waiting_bytes = 0
        self._taken = anyio.Event()
        self._failure: Exception | None = None
        self._gone = False

    async def __call__(self, scope: Any, receive: Receive, send: Send) -> None:
        """Answer.

        Raises
        ------
        TooBig, UnreadableBody, ImpossibleInput
            Before anything is sent, and then there is still a status to tell it by; else the answer breaks off, so
            that nobody takes it for whole.
        """
        try:
            if self._told_bytes is not None:
                self._check_bytes(self._told_bytes)
            await self._answer(receive, send)
        finally:
            self._done()
        if self._failure is not None and not self._gone:
            raise self._failure

    async def _answer(self, receive: Receive, send: Send) -> None:
        pieces_in, pieces = create_memory_object_stream[bytes](inf)
        parts_in, parts = create_memory_object_stream[bytes](_WAITING_PARTS)
        async with create_task_group() as group:
            group.start_soon(self._listen, receive, pieces_in, group.cancel_scope.cancel)
            group.start_soon(self._work, pieces, parts_in)
            try:
                await self._send(parts, send)
            except Exception as failure:
                self._fail(failure)
            finally:
                self._cancelled.set()
                # Whoever waits at the other end, the thread too, is told at once.
                for stream in (pieces_in, pieces, parts):
                    stream.close()
                group.cancel_scope.cancel()

    async def _listen(
        self, receive: Receive, pieces: MemoryObjectSendStream[bytes], hang_up: Callable[[], None]
    ) -> None:
        """Take in the body, then wait for the caller to go away."""
        come = 0
        waited = 0.0
        more = True
        try:
            while True:
                began = monotonic()
                # Once all has come, nothing more is expected of the caller.
                message = await self._in_time(receive(), "send") if more else await receive()
                if message["type"] == "http.disconnect":
                    self._gone = True
                    break
                body: bytes = message.get("body", b"")
                come += len(body)
                waited += monotonic() - began
                self._check_bytes(come)
                if more:
                    self._check_pace(come, waited)
                    while self._waiting_bytes > _WAITING_BYTES:
                        self._taken = anyio.Event()
                        await self._taken.wait()
                    if body:
                        self._waiting_bytes += len(body)
                        await pieces.send(body)
                more = more and message.get("more_body", False)
                if not more:
                    pieces.close()
        except (BrokenResourceError, ClosedResourceError):
            return
        except Exception as failure:
            self._fail(failure)
        self._cancelled.set()
        hang_up()

    async def _work(self, pieces: MemoryObjectReceiveStream[bytes], parts: MemoryObjectSendStream[bytes]) -> None:
        try:
            await to_thread.run_sync(self._work_in_thread, pieces, parts, limiter=CapacityLimiter(1))
        except Exception as failure:
            self._fail(failure)
        finally:
            parts.close()

    def _work_in_thread(self, pieces: MemoryObjectReceiveStream[bytes], parts: MemoryObjectSendStream[bytes]) -> None:
        try:
            for part in answer(self._batch, self._chunks(pieces), self._cancelled):
                from_thread.run(parts.send, part)
        except BaseException as failure:
            # Once nobody waits, streams are closed under the thread's feet.
            if self._cancelled.is_set():
                return
            if isinstance(failure, Exception):
                raise
            # A panic in a library's native code is not an Exception, and would take the event loop with it.
            raise RuntimeError(f"{type(failure).__name__}: {failure}") from failure

    async def _send(self, parts: MemoryObjectReceiveStream[bytes], send: Send) -> None:
        begun = False
        async for part in parts:
            if not begun:
                headers = [(b"content-type", self._batch.wanted.encode())]
                await send({"type": "http.response.start", "status": 200, "headers": headers})
                begun = True
            await self._in_time(send({"type": "http.response.body", "body": part, "more_body": True}), "take")
        if self._failure is None and not self._cancelled.is_set():
            await send({"type": "http.response.body", "body": b"", "more_body": False})

    async def _in_time(self, waiting: Awaitable[Any], what: str) -> Any:
        try:
            with fail_after(self._limits.patience):
                return await waiting
        except TimeoutError:
            raise Stalled(f"the caller did not {what} anything for {self._limits.patience:g} s") from None

    def _check_bytes(self, come: int) -> None:
        if come > self._limits.body_bytes:
            raise TooBig(f"a body of {come} bytes or more; as {self._batch.sent} at most {self._limits.body_bytes}")

    def _check_pace(self, come: int, waited: float) -> None:
        if waited > self._limits.patience + come / _LEAST_RATE:
            raise Stalled(f"the caller sent {come} bytes in {waited:.0f} s; expected are {_LEAST_RATE} a second")

    def _fail(self, failure: Exception) -> None:
        if self._failure is None and not isinstance(failure, Cancelled):
            self._failure = failure

    def _chunks(self, pieces: MemoryObjectReceiveStream[bytes]) -> Iterator[bytes]:
        """Yield the body as it comes, in the thread that works."""
        while True:
            try:
                # To ask the event loop costs as much as to work some thousand rows.
                yield from from_thread.run(self._next, pieces)
            except EndOfStream:
                return

    async def _next(self, pieces: MemoryObjectReceiveStream[bytes]) -> list[bytes]:
        """Return what waits; where nothing does, what comes next."""
        taken = [await pieces.receive()]
        with suppress(WouldBlock, EndOfStream):
            while len(taken) < _TAKEN_PIECES:
                taken.append(pieces.receive_nowait())
        self._waiting_bytes -= sum(map(len, taken))
        self._taken.set()
        return taken
