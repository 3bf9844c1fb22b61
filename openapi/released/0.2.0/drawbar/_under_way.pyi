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
    part: Part
    answer: Any
    seconds: float

class Tasks:

    def __init__(self, ask: Callable[[Part], Awaitable[Any]], most: int) -> None:
        ...

    async def __aenter__(self) -> Self:
        ...

    async def __aexit__(self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None) -> None:
        ...

    @property
    def is_full(self) -> bool:
        ...

    def start(self, part: Part) -> None:
        ...

    async def first(self) -> Told:
        ...

    async def _told(self, part: Part) -> Told:
        ...

class Threads:

    def __init__(self, ask: Callable[[Part], Any], most: int) -> None:
        ...

    def __enter__(self) -> Self:
        ...

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, traceback: TracebackType | None) -> None:
        ...

    @property
    def is_full(self) -> bool:
        ...

    def start(self, part: Part) -> None:
        ...

    def first(self) -> Told:
        ...

    def _told(self, part: Part) -> Told:
        ...
