"""Where rows come from, told by what a file begins with. What 0.1.0 had here can still be imported from here."""

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


def open_source(path: str | Path, keep: Iterable[str] = (), step: int = 131_072) -> Source:
    """Look at a file: what it is, how many rows it has, and what they are called.

    Parameters
    ----------
    path
        A file of Parquet, Arrow (file or stream) or CSV, or a grid in TOML or JSON.
    keep
        Columns that are handed on as they are.
    step
        Rows that are going to be read at a time.

    Raises
    ------
    BadJob
        If it cannot be read, or has columns that cannot be sent.
    """
    file, kept = Path(path).resolve(), tuple(keep)
    try:
        with file.open("rb") as opened:
            begin = opened.read(8)
            opened.seek(0)
            digest = hashlib.file_digest(opened, "sha256").hexdigest()
        if begin[:4] == b"PAR1":
            return tables.open_parquet(file, digest, kept)
        if begin[:6] == b"ARROW1":
            return tables.open_arrow_file(file, digest, kept)
        if begin[:4] == b"\xff\xff\xff\xff":
            return tables.open_arrow_stream(file, digest, kept)
        if file.suffix.lower() in (".toml", ".json"):
            return open_grid(file, digest, kept)
        return text.open_csv(file, digest, kept, step)
    except OSError as fault:
        raise BadJob(f"{file.name} cannot be read: {fault.strerror or fault}") from fault
    except (pa.ArrowException, ValueError) as fault:
        raise BadJob(f"{file.name}: {fault}") from fault
