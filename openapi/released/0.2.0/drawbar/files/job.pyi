from __future__ import annotations
import contextlib
import hashlib
import math
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final
import msgspec
from drawbar import _arrow_wire as wire
from drawbar._options import Units
from drawbar.client import Client
from drawbar.files.manifest import BadJob, Format, Input, Manifest, digests, is_done
from drawbar.files.parts import FIRST_ROWS, ROW, Asked, Task, answers
from drawbar.files.sources import open_source
_SAMPLE_SECONDS: Final = 0.5

@dataclass(frozen=True)
class Job:
    asked: Asked
    part_rows: int
    manifest: Manifest = field(repr=False)

    @property
    def rows(self) -> int:
        ...

    @property
    def parts(self) -> int:
        ...

    def tasks(self, shard: tuple[int, int]=(1, 1)) -> Iterable[Task]:
        ...

    def left(self, tasks: Iterable[Task]) -> list[Task]:
        ...

@dataclass(frozen=True)
class Estimate:
    rows: int
    parts: int
    parts_done: int
    rows_left: int
    rows_a_second: float

    @property
    def seconds(self) -> float:
        ...

def prepare(path: str | Path, calculation: str, folder: str | Path, *, scenario: Mapping[str, Any] | msgspec.Struct | None=None, columns: Sequence[str] | None=None, units: Units | None=None, keep: Sequence[str]=(), format: Format='parquet', part_rows: int=wire.REQUEST_ROWS, url: str | None=None) -> Job:
    ...

def estimate(job: Job, shard: tuple[int, int]=(1, 1)) -> Estimate:
    ...
