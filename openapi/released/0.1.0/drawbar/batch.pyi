from __future__ import annotations
import asyncio
import importlib
import itertools
import math
from collections import deque
from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from types import NoneType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, TypeAlias, cast
import msgspec
from drawbar import _html, _plots
from drawbar._columns import Column, Given, is_numpy, read
from drawbar._extras import load
from drawbar.models import About, BatchAnswer, RowFault, VariedValues
if TYPE_CHECKING:
    import pandas
    import polars
    from matplotlib.axes import Axes
Vary: TypeAlias = Mapping[str, VariedValues | tuple[str, Column] | Column] | Any
Progress: TypeAlias = Callable[[int, int], object]
__all__ = ['BatchResult', 'Progress', 'RowFault', 'Vary']

@dataclass(frozen=True)
class Varied:
    given: Mapping[str, Given]
    mode: Literal['zip', 'grid']

    def by_row(self) -> dict[str, list[Any]]:
        ...

    def units(self) -> dict[str, str]:
        ...

@dataclass(frozen=True)
class BatchResult:
    columns: dict[str, Any]
    units: dict[str, str]
    faults: list[RowFault] = field(repr=False)
    rows: int
    about: About | None = field(repr=False)
    varied: Varied = field(default=Varied({}, 'zip'), repr=False, compare=False)

    def to_pandas(self, *, varied: bool=False) -> pandas.DataFrame:
        ...

    def to_polars(self, *, varied: bool=False) -> polars.DataFrame:
        ...

    def plot(self, column: str | None=None, *, x: str | None=None, y: str | None=None, ax: Axes | None=None) -> Axes:
        ...

    def _values(self, pointer: str) -> Any:
        ...

    def _label(self, pointer: str) -> str:
        ...

    def _repr_html_(self) -> str:
        ...

    def __arrow_c_stream__(self, requested_schema: object | None=None) -> object:
        ...

    def _lists(self) -> dict[str, list[Any]]:
        ...

class Part(NamedTuple):
    first: int
    rows: int
    body: bytes

class Batch:

    def __init__(self, scenario: Mapping[str, Any] | msgspec.Struct, vary: Vary, mode: Literal['zip', 'grid'], columns: Sequence[str] | None, rows_per_request: int) -> None:
        ...

    def parts(self) -> Iterator[Part]:
        ...

    def _grid_parts(self) -> Iterator[Part]:
        ...

    def _part(self, first: int, rows: int, slices: Mapping[str, tuple[int, int]]) -> Part:
        ...

def _sent(given: Given, start: int, stop: int) -> Any:
    ...

def _plain(value: object) -> object:
    ...

class _Gathered:

    def __init__(self, batch: Batch, on_progress: Progress | None) -> None:
        ...

    def add(self, part: Part, answer: BatchAnswer) -> None:
        ...

    def result(self) -> BatchResult:
        ...

def _array(values: list[Any]) -> Any:
    ...

def run(batch: Batch, ask: Callable[[bytes], BatchAnswer], concurrency: int, on_progress: Progress | None) -> BatchResult:
    ...

def _take(waiting: deque[tuple[Part, Future[BatchAnswer]]], gathered: _Gathered) -> None:
    ...

async def run_async(batch: Batch, ask: Callable[[bytes], Awaitable[BatchAnswer]], concurrency: int, on_progress: Progress | None) -> BatchResult:
    ...

async def _asked(ask: Callable[[bytes], Awaitable[BatchAnswer]], body: bytes) -> BatchAnswer:
    ...

async def _take_async(waiting: deque[tuple[Part, asyncio.Task[BatchAnswer]]], gathered: _Gathered) -> None:
    ...
