from __future__ import annotations
import math
import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from random import random as _random
from typing import Final, Literal, TypeAlias
from urllib.parse import urlsplit
from drawbar.errors import BadSetting
Units: TypeAlias = Literal['metric', 'us']
Token: TypeAlias = str | Callable[[], str]
DEFAULT_URL: Final = 'http://127.0.0.1:8000'

@dataclass(frozen=True, slots=True)
class Timeout:
    connect: float = 5.0
    total: float = 30.0

    def __post_init__(self) -> None:
        ...

    def within(self, remaining: float) -> Timeout:
        ...

@dataclass(frozen=True, slots=True)
class RetryPolicy:
    attempts: int = 3
    backoff: float = 0.5
    backoff_cap: float = 8.0
    jitter: float = 0.25
    random: Callable[[], float] = field(default=_random, repr=False)
    retry_after_cap: float = 120.0
    budget: float = 180.0
    statuses: frozenset[int] = frozenset({408, 429, 500, 502, 503, 504})

    def __post_init__(self) -> None:
        ...

    def pause(self, failures: int, retry_after: float | None=None) -> float | None:
        ...

@dataclass(frozen=True, slots=True)
class ResponseInfo:
    status: int
    request_id: str | None
    attempts: int
    elapsed: float
    headers: Mapping[str, str] = field(repr=False)

@dataclass(frozen=True, slots=True)
class Options:
    address: str
    token: Token | None = field(repr=False)
    timeout: Timeout
    retry: RetryPolicy
    units: Units | None
    on_response: Callable[[ResponseInfo], None] | None

    @classmethod
    def settled(cls, base_url: str | None=None, *, api_key: str | None=None, token: Token | None=None, timeout: float | Timeout | None=None, retry: RetryPolicy | None=None, units: Units | None=None, on_response: Callable[[ResponseInfo], None] | None=None) -> Options:
        ...

def as_timeout(timeout: float | Timeout) -> Timeout:
    ...

def _require(name: str, value: float, *, above: float | None=None, most: float=math.inf) -> None:
    ...

def _address(text: str) -> str:
    ...

def _who(api_key: str | None, token: Token | None) -> Token | None:
    ...

def checked(credential: str) -> str:
    ...
