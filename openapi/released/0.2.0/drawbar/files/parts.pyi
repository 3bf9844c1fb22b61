from __future__ import annotations
import csv
import io
import re
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
import msgspec
from drawbar import _arrow_wire as wire
from drawbar._arrow_wire import FAULT, ipc, pa
from drawbar._libraries import library
from drawbar._options import Units
from drawbar._sync_core import SyncCore
from drawbar.errors import DrawbarError, ImpossibleInput
from drawbar.files.manifest import Format, faults_name, part_name, written
from drawbar.files.rows import Source
pc: Final = library('pyarrow.compute', 'files')
pq: Final = library('pyarrow.parquet', 'files')
pa_csv: Final = library('pyarrow.csv', 'files')
ROW: Final = 'row'
FIRST_ROWS: Final = 100
_SCENARIO: Final = '/scenario'
_BETWEEN: Final = re.compile(' \\| (?=/)')
_in_process: Final = threading.Lock()

@dataclass(frozen=True)
class Asked:
    source: Source
    calculation: str
    head: bytes
    units: Units | None
    url: str | None
    model: str
    format: Format
    folder: Path

@dataclass(frozen=True)
class Task:
    asked: Asked
    number: int
    start: int
    stop: int

@dataclass(frozen=True)
class Done:
    number: int
    rows: int
    faulty: int
    seconds: float

def work(task: Task) -> Done:
    ...

def answers(asked: Asked, start: int, stop: int) -> tuple[Any, list[tuple[int, str, str]]]:
    ...

def _ask(client: SyncCore, asked: Asked, content: bytes, media: str) -> Any:
    ...

def _joined(answer: Any, rows: Any, kept: Any) -> Any:
    ...

def _told(rows: Any, faults: Any) -> Iterator[tuple[int, str, str]]:
    ...

def _listed(faults: list[tuple[int, str, str]]) -> bytes:
    ...

def _write(table: Any, opened: Any, format: Format) -> None:
    ...

def _write_parquet(table: Any, opened: Any) -> None:
    ...

def _with_unit(field: Any) -> str:
    ...

def _as_text(table: Any) -> Any:
    ...
