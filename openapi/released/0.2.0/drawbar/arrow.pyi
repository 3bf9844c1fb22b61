from __future__ import annotations
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any
import msgspec
from drawbar import _arrow_wire as wire
from drawbar._arrow_wire import FAULT, pa
from drawbar._options import Units
from drawbar._sync_core import SyncCore
from drawbar.errors import UnreadableAnswer
__all__ = ['FAULT', 'batch', 'map_batches']

def batch(calculation: str, scenario: Mapping[str, Any] | msgspec.Struct, rows: Any, *, columns: Sequence[str] | None=None, units: Units | None=None, keep: Sequence[str]=(), client: SyncCore | None=None, rows_per_request: int=wire.REQUEST_ROWS) -> Any:
    ...

def map_batches(batches: Iterable[Any], calculation: str, scenario: Mapping[str, Any] | msgspec.Struct, *, columns: Sequence[str] | None=None, units: Units | None=None, keep: Sequence[str]=(), client: SyncCore | None=None, rows_per_request: int=wire.REQUEST_ROWS) -> Iterator[Any]:
    ...

def _beside(table: Any, answer: Any, keep: Sequence[str]) -> Any:
    ...

def _slices(reader: Any, rows: int) -> Iterator[Any]:
    ...

def _whole(batches: list[Any]) -> Iterator[Any]:
    ...

def _chained(first: Any, others: Iterator[Any]) -> Iterator[Any]:
    ...
