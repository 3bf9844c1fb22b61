from __future__ import annotations
import csv
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import IO, Any, Final
import msgspec
from drawbar._arrow_wire import CSV, pa, sent_columns
from drawbar.files.rows import Head, Piece
_MOST_BYTES: Final = 1000000

@dataclass(frozen=True)
class CsvFile:
    path: Path
    digest: str
    told: Head
    names: tuple[str, ...]
    keep: tuple[str, ...]
    step: int
    places: tuple[int, ...] = field(repr=False)
    rows: int
    kind: str = 'csv'

    @property
    def name(self) -> str:
        ...

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        ...

    def _units(self) -> dict[str, str]:
        ...

    def _apart(self, rows: list[bytes]) -> tuple[list[str], bytes, Any]:
        ...

def open_csv(file: Path, digest: str, keep: tuple[str, ...], step: int) -> CsvFile:
    ...

def _records(opened: IO[bytes], width: int) -> Iterator[bytes]:
    ...

def _placed(opened: IO[bytes], width: int) -> Iterator[tuple[int, bytes]]:
    ...

def _ended(row: bytes) -> bytes:
    ...

def _line(names: list[str]) -> bytes:
    ...
