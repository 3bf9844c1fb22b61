from __future__ import annotations
import asyncio
import concurrent.futures
import contextlib
import logging
import threading
import weakref
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any, Final, TypeAlias
import httpx2
from drawbar.errors import DrawbarError
AsgiApp: TypeAlias = Callable[[Any, Any, Any], Awaitable[None]]
ADDRESS: Final = 'http://localhost'
_PATIENCE: Final = 30.0
_log: Final = logging.getLogger('drawbar')

class InProcessTransport(httpx2.BaseTransport, httpx2.AsyncBaseTransport):

    def __init__(self, app: AsgiApp | None=None) -> None:
        ...

    def handle_request(self, request: httpx2.Request) -> httpx2.Response:
        ...

    async def handle_async_request(self, request: httpx2.Request) -> httpx2.Response:
        ...

    def close(self) -> None:
        ...

    async def aclose(self) -> None:
        ...

    def _submit(self, request: httpx2.Request) -> concurrent.futures.Future[httpx2.Response]:
        ...

class _Stage:

    def __init__(self, app: AsgiApp) -> None:
        ...

    def run(self) -> None:
        ...

    def answer(self, request: httpx2.Request) -> concurrent.futures.Future[httpx2.Response]:
        ...

    def stop(self) -> None:
        ...

    def _take_leave(self) -> None:
        ...

    async def _main(self) -> None:
        ...

    async def _answer(self, request: httpx2.Request) -> httpx2.Response:
        ...

    async def _watched(self, scope: Any, receive: Any, send: Any) -> None:
        ...

class _Lifespan:

    def __init__(self, app: AsgiApp) -> None:
        ...

    async def start(self) -> None:
        ...

    async def stop(self) -> None:
        ...

    async def _tell(self, word: str) -> dict[str, Any]:
        ...

    async def _converse(self) -> None:
        ...

def _stop(stage: _Stage, thread: threading.Thread) -> None:
    ...

def _abandon(stage: _Stage, thread: threading.Thread) -> None:
    ...

def _service() -> AsgiApp:
    ...
