from __future__ import annotations
import hashlib
from collections.abc import Iterable
from pathlib import Path
from drawbar._arrow_wire import pa
from drawbar.files import tables, text
from drawbar.files.grids import Grid as Grid
from drawbar.files.grids import open_grid
from drawbar.files.grids import pc as pc
from drawbar.files.manifest import BadJob
from drawbar.files.rows import Head as Head
from drawbar.files.rows import Piece as Piece
from drawbar.files.rows import Source as Source
from drawbar.files.rows import head_of as head_of

def open_source(path: str | Path, keep: Iterable[str]=(), step: int=131072) -> Source:
    ...
