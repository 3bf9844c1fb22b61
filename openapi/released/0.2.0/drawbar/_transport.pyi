from __future__ import annotations
import asyncio
import logging
import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, Generic
import httpx2
from drawbar._options import ResponseInfo, Timeout
from drawbar._wire import Call, Reply, T, is_cut_off, read, retry_after
from drawbar.errors import ApiError, BadSetting, ConnectionFailed, DrawbarError, TimedOut, UnreadableAnswer
_log: Final = logging.getLogger('drawbar')
_LEAST_WAIT: Final = 0.001
_CLOSED: Final = 'This client is closed. Make a new one, or call it before close() or the end of its with block.'

@dataclass(frozen=True, slots=True)
class Answer(Generic[T]):
    value: T

class Exchange(Generic[T]):

    def __init__(self, call: Call[T], clock: Callable[[], float]) -> None:
        ...

    def begin(self) -> Timeout:
        ...

    def after_fault(self, fault: Exception) -> float:
        ...

    def after_reply(self, reply: Reply) -> Answer[T] | float:
        ...

    def _is_passing(self, fault: ApiError | UnreadableAnswer, reply: Reply) -> bool:
        ...

    def _pause(self, asked: float | None) -> float | None:
        ...

    def _remaining(self) -> float:
        ...

    def _report(self, reply: Reply) -> None:
        ...

    def _log(self, what: str, *values: object) -> None:
        ...

def attempt(http: httpx2.Client, call: Call[Any], limits: Timeout, clock: Callable[[], float]) -> Reply:
    ...

async def attempt_async(http: httpx2.AsyncClient, call: Call[Any], limits: Timeout, clock: Callable[[], float]) -> Reply:
    ...

def check(address: str, http_client: object, transport: object) -> None:
    ...

def _request(http: httpx2.Client | httpx2.AsyncClient, call: Call[Any], limits: Timeout) -> httpx2.Request:
    ...

def _too_late(limits: Timeout) -> TimeoutError:
    ...

def _one_sentence(fault: Exception) -> str:
    ...
