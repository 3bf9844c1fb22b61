"""How many requests are at work at the same time, and how long the next ones wait.

A place is taken once the body of a calculation is in, so that bodies that never come hold none, and given back when
the answer is made; other requests take theirs at once. Whoever finds none waits in line for a moment, so that a short
burst is answered and only lasting overload is refused. The line is bounded by time here and in number by the
connections that the server takes.
"""

import asyncio
from collections import deque
from collections.abc import Awaitable, Callable
from typing import TypeVar

from litestar.types import ASGIApp, Receive, Scope, Send

from drawbar_service.security.refusal import Refused

T = TypeVar("T")

GUARDED = "/v1/"
"""Routes that are counted and for which a key may be wanted: all but health, documentation and the contract."""


class Places:
    """Places for requests.

    Parameters
    ----------
    most : int
        How many there are.
    patience : float
        Longest wait for one; 0 for none [s].
    what : str
        What is at work in them, in the plural.
    retry_after : int
        When to ask again, if there was none [s].
    """

    def __init__(self, most: int, patience: float, what: str, retry_after: int = 1) -> None:
        self._free = most
        self._patience = patience
        self._refusal = f"{most} {what} are at work, as many as may be, and none ended in time"
        self._retry_after = str(retry_after)
        self._line: deque[asyncio.Future[bool]] = deque()

    async def take(self) -> None:
        """Take a place, or wait for one.

        Raises
        ------
        Refused
            With status 503, if none became free in time.
        """
        if self._free > 0:
            self._free -= 1
            return
        if not self._patience:
            raise self._refused()
        loop = asyncio.get_running_loop()
        turn: asyncio.Future[bool] = loop.create_future()
        self._line.append(turn)
        timer = loop.call_later(self._patience, _answer, turn, False)
        try:
            if not await turn:
                raise self._refused()
        except asyncio.CancelledError:
            # The place may have been handed over in the same turn of the loop.
            if turn.done() and not turn.cancelled() and turn.result():
                self.give()
            raise
        finally:
            timer.cancel()

    def _refused(self) -> Refused:
        return Refused(503, self._refusal, {"Retry-After": self._retry_after})

    def give(self) -> None:
        """Give a place back: to the one who has waited longest, if anybody waits."""
        while self._line:
            turn = self._line.popleft()
            if not turn.done():
                turn.set_result(True)
                return
        self._free += 1

    async def hold(self, work: Callable[..., Awaitable[T]], *arguments: object) -> T:
        """Do some work in a place.

        Raises
        ------
        Refused
            As :meth:`take`.
        """
        await self.take()
        try:
            # Whatever else has arrived by now is counted before this one is computed; calculations do not let go of
            # the event loop, so without a pause no more than one would ever be seen at work.
            await asyncio.sleep(0)
            return await work(*arguments)
        finally:
            self.give()


def _answer(turn: asyncio.Future[bool], value: bool) -> None:
    if not turn.done():
        turn.set_result(value)


def counted(places: Places, themselves: frozenset[str]) -> Callable[[ASGIApp], ASGIApp]:
    """Return a middleware that lets a request in when there is a place for it.

    Parameters
    ----------
    places : Places
    themselves : frozenset of str
        Paths whose handlers take a place themselves, with :meth:`Places.hold`.
    """

    def middleware(app: ASGIApp) -> ASGIApp:
        async def let_in(scope: Scope, receive: Receive, send: Send) -> None:
            path = scope["path_template"]
            if not path.startswith(GUARDED) or path in themselves:
                await app(scope, receive, send)
                return
            await places.take()
            try:
                # Whatever else has arrived by now is counted before this one is computed; calculations do not let go
                # of the event loop, so without a pause no more than one would ever be seen at work.
                await asyncio.sleep(0)
                await app(scope, receive, send)
            finally:
                places.give()

        return let_in

    return middleware
