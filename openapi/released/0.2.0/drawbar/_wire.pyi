from __future__ import annotations
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Generic, TypeVar, cast
from urllib.parse import quote, urlencode, urlsplit
import msgspec
from drawbar._options import Options, Units, checked
from drawbar._version import __version__
from drawbar.errors import ApiError, Problem, UnreadableAnswer, error_class
T = TypeVar('T')
JSON: Final = 'application/json'
MSGPACK: Final = 'application/msgpack'
ARROW: Final = 'application/vnd.apache.arrow.stream'
_PROBLEM_JSON: Final = 'application/problem+json'
_EXCERPT: Final = 200
_UNREADABLE: Final = (msgspec.DecodeError, UnicodeDecodeError, RecursionError)

@dataclass(frozen=True, slots=True)
class Operation(Generic[T]):
    method: str
    path: str
    result: type[T]
    sends: str = JSON
    accept: str = JSON
    takes_units: bool = True

@dataclass(frozen=True, slots=True)
class Call(Generic[T]):
    operation: Operation[T]
    options: Options
    path: str
    url: str
    headers: Mapping[str, str] = field(repr=False)
    content: bytes | None = field(repr=False)

@dataclass(frozen=True, slots=True)
class Reply:
    status: int
    headers: Mapping[str, str] = field(repr=False)
    content: bytes = field(repr=False)

    @property
    def request_id(self) -> str | None:
        ...

    @property
    def is_json(self) -> bool:
        ...

def build(operation: Operation[T], body: object, options: Options, *, units: Units | None=None, path: Mapping[str, str] | None=None, query: Mapping[str, str | float | bool] | None=None) -> Call[T]:
    ...

def read(operation: Operation[T], reply: Reply, *, attempts: int, retry_after: float | None) -> T:
    ...

def is_cut_off(fault: UnreadableAnswer, reply: Reply) -> bool:
    ...

def read_problem(reply: Reply, kind: type[ApiError]) -> Problem:
    ...

def retry_after(headers: Mapping[str, str], now: float) -> float | None:
    ...

def _http_date(text: str) -> float | None:
    ...

def _segment(name: str, value: str) -> str:
    ...

def _query_text(value: str | float | bool) -> str:
    ...

def _plain(value: object) -> object:
    ...

def _redirect(location: str) -> str:
    ...

def _excerpt(content: bytes) -> str:
    ...

def _one_line(text: str) -> str:
    ...
