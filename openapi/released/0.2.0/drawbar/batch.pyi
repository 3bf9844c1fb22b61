from __future__ import annotations
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple, TypeAlias
import msgspec
from drawbar import _html, _plots
from drawbar._columns import Column, Given, are_arrays, read
from drawbar._extras import load
from drawbar._operations import BATCH
from drawbar._wire import ARROW, Operation
from drawbar.errors import UnreadableAnswer
from drawbar.models import About, BatchAnswer, RowFault, VariedValues
if TYPE_CHECKING:
    import numpy as np
    import pandas
    import polars
    from matplotlib.axes import Axes
Vary: TypeAlias = Mapping[str, VariedValues | tuple[str, Column] | Column] | Any
Progress: TypeAlias = Callable[[int, int], object]
__all__ = ['BatchResult', 'Progress', 'RowFault', 'Vary']
_FIRST_ROWS: Final = 5000
_MOST_ROWS: Final = 262144
_MOST_BYTES: Final = 48000000
_PART_SECONDS: Final = 1.0

@dataclass(frozen=True)
class Varied:
    given: Mapping[str, Given]
    mode: Literal['zip', 'grid']

    def by_row(self) -> dict[str, Any]:
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

    def to_arrow(self) -> Any:
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

    def _stream(self) -> bytes:
        ...

class Part(NamedTuple):
    first: int
    rows: int
    operation: Operation[Any]
    content: bytes

class Batch:

    def __init__(self, scenario: Mapping[str, Any] | msgspec.Struct, vary: Vary, mode: Literal['zip', 'grid'], columns: Sequence[str] | None, rows_per_request: int | None) -> None:
        ...

    def _encodable(self) -> list[Any] | None:
        ...

    def took(self, rows: int, seconds: float) -> None:
        ...

    def parts(self) -> Iterator[Part]:
        ...

    def _grid_slices(self, first: int, most: int) -> dict[str, tuple[int, int]]:
        ...

    def _part(self, first: int, rows: int, slices: Mapping[str, tuple[int, int]]) -> Part:
        ...

def _sent(given: Given, start: int, stop: int) -> Any:
    ...

def _plain(value: object) -> object:
    ...

class Gathered:

    def __init__(self, batch: Batch, on_progress: Progress | None) -> None:
        ...

    def add(self, part: Part, answer: Any, seconds: float) -> None:
        ...

    def _add_lists(self, part: Part, answer: BatchAnswer) -> int:
        ...

    def _add_arrays(self, part: Part, content: bytes) -> int:
        ...

    def _tell(self, first: int, faults: list[RowFault], about: About | None) -> None:
        ...

    def result(self) -> BatchResult:
        ...
