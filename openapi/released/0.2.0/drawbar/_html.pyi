from __future__ import annotations
import re
from collections.abc import Iterable, Mapping, Sequence
from html import escape
from typing import Final, cast
import msgspec
from drawbar._flat import figures, lists, table
from drawbar.quantities import Reading, rounded
_HEAD: Final = ('', 'value', 'low', 'high', 'unit')
_MOST_ROWS: Final = 60
_LEFT: Final = ' style="text-align: left"'

def answer(item: msgspec.Struct) -> str:
    ...

def columns(given: Mapping[str, Sequence[object]], rows: int) -> str:
    ...

def _figure(name: str, value: object) -> tuple[str, ...] | None:
    ...

def _cell(value: object) -> str:
    ...

def _table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    ...

def _folded(title: str, content: str) -> str:
    ...
