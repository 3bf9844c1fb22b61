from __future__ import annotations
import asyncio
import time
from collections.abc import Awaitable, Callable
import httpx2
from drawbar._transport import Answer, Exchange, attempt_async, check
from drawbar._wire import Call, T

class AsyncTransport:

    def __init__(self, http: httpx2.AsyncClient, *, owned: bool=True, sleep: Callable[[float], Awaitable[object]]=asyncio.sleep, clock: Callable[[], float]=time.monotonic) -> None:
        ...

    async def send(self, call: Call[T]) -> T:
        ...

    async def close(self) -> None:
        ...

def async_transport(address: str, http_client: httpx2.AsyncClient | None, transport: httpx2.AsyncBaseTransport | None) -> AsyncTransport:
    ...
