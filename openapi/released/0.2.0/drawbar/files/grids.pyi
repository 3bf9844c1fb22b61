from __future__ import annotations
import math
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Final, Literal, cast
import msgspec
from drawbar._arrow_wire import ARROW, Sent, encode, pa, sent_columns
from drawbar._columns import read
from drawbar._libraries import library
from drawbar.files.rows import Head, Piece
from drawbar.models import VariedValues
pc: Final = library('pyarrow.compute', 'files')

@dataclass(frozen=True)
class Grid:
    name: str
    digest: str
    told: Head
    mode: Literal['zip', 'grid']
    sent: tuple[Sent, ...]
    keep: tuple[str, ...]
    values: tuple[Any, ...] = field(repr=False)
    kind: str = 'grid'

    @property
    def rows(self) -> int:
        ...

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        ...

def _remainder(rows: Any, inner: int, count: int) -> Any:
    ...

class _GridFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    vary: dict[str, list[float | str | bool] | VariedValues]
    mode: Literal['zip', 'grid'] = 'grid'
    scenario: dict[str, Any] | None = None
    columns: list[str] | None = None

def open_grid(file: Path, digest: str, keep: tuple[str, ...]) -> Grid:
    ...

def _array(pointer: str, values: Sequence[Any]) -> Any:
    ...
