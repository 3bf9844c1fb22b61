"""Parts of a batch that are under way: as tasks of an event loop, or in threads."""

from __future__ import annotations

import asyncio
import time
from collections import deque
from collections.abc import Awaitable, Callable
from concurrent.futures import Future, ThreadPoolExecutor
from types import TracebackType
from typing import Any, NamedTuple, Self

from drawbar.batch import Part


class Told(NamedTuple):
    """A part and its answer."""

    part: Part
    """Without what was sent."""
    answer: Any
    seconds: float
    """How long it took [s]."""


class Tasks:
    """Parts that are awaited.

    Parameters
    ----------
    ask
        Sends one.
    most
        How many at the same time.
    """

    def __init__(self, ask: Callable[[Part], Awaitable[Any]], most: int) -> None:
        self._ask = ask
        self._most = most
        self.waiting: deque[asyncio.Task[Told]] = deque()

    async def __aenter__(self) -> Self:
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None
    ) -> None:
        for task in self.waiting:
            task.cancel()
        await asyncio.gather(*self.waiting, return_exceptions=True)

    @property
    def is_full(self) -> bool:
        """Whether no other can be started before the first is taken."""
        return len(self.waiting) >= self._most

    def start(self, part: Part) -> None:
        """Send a part.

        Parameters
        ----------
        part
            Which.
        """
        self.waiting.append(asyncio.create_task(self._told(part)))

    async def first(self) -> Told:
        """Give the answer to the part that was started first."""
        return await self.waiting.popleft()

    async def _told(self, part: Part) -> Told:
        begun = time.monotonic()
        answer = await self._ask(part)
        return Told(part._replace(content=b""), answer, time.monotonic() - begun)


class Threads:
    """Parts that are waited for.

    Parameters
    ----------
    ask
        Sends one.
    most
        How many at the same time.
    """

    def __init__(self, ask: Callable[[Part], Any], most: int) -> None:
        self._ask = ask
        self._most = most
        self._pool = ThreadPoolExecutor(max(1, most), thread_name_prefix="drawbar-batch")
        self.waiting: deque[Future[Told]] = deque()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None
    ) -> None:
        for future in self.waiting:
            future.cancel()
        self._pool.shutdown()

    @property
    def is_full(self) -> bool:
        """Whether no other can be started before the first is taken; one more than are sent is kept ready."""
        return len(self.waiting) > self._most

    def start(self, part: Part) -> None:
        """Send a part.

        Parameters
        ----------
        part
            Which.
        """
        self.waiting.append(self._pool.submit(self._told, part))

    def first(self) -> Told:
        """Give the answer to the part that was started first."""
        return self.waiting.popleft().result()

    def _told(self, part: Part) -> Told:
        begun = time.monotonic()
        answer = self._ask(part)
        return Told(part._replace(content=b""), answer, time.monotonic() - begun)
