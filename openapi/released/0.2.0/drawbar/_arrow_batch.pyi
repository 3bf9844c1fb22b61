from __future__ import annotations
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, NamedTuple, TypeAlias
import msgspec
import numpy as np
import numpy.typing as npt
from drawbar import _arrow_out as out
from drawbar._arrays import Coded, Masked
from drawbar._arrow_stream import BadStream, Values, read_stream
from drawbar.errors import UnreadableAnswer
from drawbar.models import About, RowFault
Array: TypeAlias = npt.NDArray[Any]
Column: TypeAlias = 'Array | Masked | Coded'
KEY: Final = 'drawbar'
UNIT: Final = 'unit'
FAULT: Final = 'fault'
_BATCH_BYTES: Final = 16777216
_MOST_METADATA: Final = 2147483647

class Sent(NamedTuple):
    pointer: str
    unit: str | None
    values: Column

def row_bytes(columns: Iterable[Column]) -> int:
    ...

def encode(head: bytes, columns: list[Sent], start: int, stop: int) -> bytes:
    ...

def _part(column: Column, start: int, stop: int) -> Column:
    ...

def _plain(column: Column) -> Array:
    ...

def _kind(one: Sent, at: int) -> out.Kind:
    ...

def _held(column: Column) -> out.Held:
    ...

class Part(NamedTuple):
    rows: int
    columns: dict[str, Values]

class Answer:

    def __init__(self, content: bytes) -> None:
        ...

    @property
    def about(self) -> About | None:
        ...

    def parts(self) -> Iterator[Part]:
        ...

class _Head(msgspec.Struct, frozen=True):
    about: About | None = None

class _Faults(msgspec.Struct, frozen=True):
    faults: list[RowFault] = []

def _unreadable(why: str) -> UnreadableAnswer:
    ...

class Filled:

    def __init__(self, rows: int, first: Values) -> None:
        ...

    def put(self, at: int, rows: int, found: Values) -> None:
        ...

def stream(columns: Mapping[str, Any], units: Mapping[str, str]) -> bytes:
    ...

def _answered(array: Array) -> tuple[out.Form, out.Held]:
    ...
