from __future__ import annotations
import threading
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final
from drawbar._arrow_wire import ARROW, Sent, encode, ipc, pa, sent_columns
from drawbar._libraries import library
from drawbar.files.rows import Head, Piece, head_of
pq: Final = library('pyarrow.parquet', 'files')
_BATCH_ROWS: Final = 65536
_PAGE_BYTES: Final = 1048576

@dataclass(frozen=True)
class TableFile:
    path: Path
    kind: str
    digest: str
    told: Head
    sent: tuple[Sent, ...]
    keep: tuple[str, ...]
    starts: tuple[int, ...] = field(repr=False)
    rows: int

    @property
    def name(self) -> str:
        ...

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        ...

    def table(self, start: int, stop: int) -> Any:
        ...

    def _batches(self, group: int) -> Iterator[Any]:
        ...

class _Place:

    def __init__(self, key: tuple[Path, str], at: int, batches: Iterator[Any]) -> None:
        ...

    def table(self, start: int, stop: int) -> Any:
        ...
_places = threading.local()

def open_parquet(file: Path, digest: str, keep: tuple[str, ...]) -> TableFile:
    ...

def open_arrow_file(file: Path, digest: str, keep: tuple[str, ...]) -> TableFile:
    ...

def open_arrow_stream(file: Path, digest: str, keep: tuple[str, ...]) -> TableFile:
    ...

def _opened(file: Path, kind: str, digest: str, keep: tuple[str, ...], schema: Any, counts: list[int]) -> TableFile:
    ...
