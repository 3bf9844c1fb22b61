from __future__ import annotations
import time
from collections.abc import Callable
import httpx2
from drawbar._transport import Answer, Exchange, attempt, check
from drawbar._wire import Call, T

class SyncTransport:

    def __init__(self, http: httpx2.Client, *, owned: bool=True, sleep: Callable[[float], object]=time.sleep, clock: Callable[[], float]=time.monotonic) -> None:
        ...

    def send(self, call: Call[T]) -> T:
        ...

    def close(self) -> None:
        ...

def sync_transport(address: str, http_client: httpx2.Client | None, transport: httpx2.BaseTransport | None) -> SyncTransport:
    ...
