from __future__ import annotations
import codecs
import shutil
import sys
import textwrap
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from typing import Final
NARROWEST: Final = 60
WIDEST: Final = 120
_GAP: Final = '  '
_LEAST_COLUMN: Final = 8
_LEAST_LAST_COLUMN: Final = 24
_STAND_INS: Final = {'×': 'x', '−': '-', '–': '-', '—': '-', '‘': "'", '’': "'", '·': '*'}

def line_width() -> int:
    ...

def make_output_safe() -> None:
    ...

def _nearest(fault: UnicodeError) -> tuple[str, int]:
    ...

def wrapped(text: str, width: int, indent: str='') -> list[str]:
    ...

def columns(rows: Iterable[Sequence[str]], width: int, *, header: Sequence[str]=(), indent: str='') -> list[str]:
    ...

def _laid_out(row: Sequence[str], widths: Sequence[int], indent: str) -> list[str]:
    ...
