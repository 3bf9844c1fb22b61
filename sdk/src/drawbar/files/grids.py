"""Grids, whose rows are made."""

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

pc: Final = library("pyarrow.compute", "files")


@dataclass(frozen=True)
class Grid:
    """Rows made of values: every one with every other, the leaf named last fastest; or one after the other."""

    path: Path
    digest: str
    told: Head
    mode: Literal["zip", "grid"]
    sent: tuple[Sent, ...]
    keep: tuple[str, ...]
    values: tuple[Any, ...] = field(repr=False)
    """A pyarrow array for each."""
    kind: str = "grid"

    @property
    def name(self) -> str:
        """The file."""
        return self.path.name

    @property
    def rows(self) -> int:
        """How many rows there are."""
        lengths = [len(one) for one in self.values]
        return math.prod(lengths) if self.mode == "grid" else lengths[0]

    def piece(self, start: int, stop: int, head: bytes) -> Piece:
        """Make the rows from `start` to before `stop`."""
        rows = pa.arange(start, stop)
        columns: dict[str, Any] = {}
        inner = self.rows if self.mode == "grid" else 1
        for one, values in zip(self.sent, self.values, strict=True):
            at = rows
            if self.mode == "grid":
                inner //= len(values)
                at = _remainder(rows, inner, len(values))
            of_texts = pa.types.is_string(values.type)
            columns[one.name] = pa.DictionaryArray.from_arrays(at, values) if of_texts else values.take(at)
        table = pa.table(columns)
        return Piece(encode(table, self.sent, head), ARROW, table.select(self.keep) if self.keep else None)


def _remainder(rows: Any, inner: int, count: int) -> Any:
    """Give the place of each row's value among `count`, of which each stands for `inner` rows."""
    turns = pc.divide(rows, inner)
    return pc.subtract(turns, pc.multiply(pc.divide(turns, count), count))


class _GridFile(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    vary: dict[str, list[float | str | bool] | VariedValues]
    mode: Literal["zip", "grid"] = "grid"
    scenario: dict[str, Any] | None = None
    columns: list[str] | None = None


def open_grid(file: Path, digest: str, keep: tuple[str, ...]) -> Grid:
    """Look at a grid in TOML or JSON.

    Parameters
    ----------
    file, digest
        Where it is, and the SHA-256 of its bytes.
    keep
        Columns that are handed on as they are.

    Raises
    ------
    ValueError
        If nothing varies, or values are of several kinds, or differ in number where they are zipped.
    """
    text = file.read_text("utf-8")
    whole: object = tomllib.loads(text) if file.suffix.lower() == ".toml" else msgspec.json.decode(text)
    grid = msgspec.convert(whole, _GridFile)
    varied = read(grid.vary)
    if not varied:
        raise ValueError("vary is empty; without anything that varies ask for a single answer")
    sent: list[Sent] = []
    values: list[Any] = []
    for pointer, given in varied.items():
        column = _array(pointer, cast("Sequence[Any]", given.values))
        if not len(column):
            raise ValueError(f"vary: {pointer} is empty")
        sent.append(Sent(pointer if given.unit is None else f"{pointer} [{given.unit}]", pointer, given.unit))
        values.append(column)
    lengths = {one.pointer: len(column) for one, column in zip(sent, values, strict=True)}
    if grid.mode == "zip" and len(set(lengths.values())) > 1:
        told = ", ".join(f"{pointer} {length}" for pointer, length in lengths.items())
        raise ValueError(f"vary: values to be zipped are as many as each other; these are {told}")
    # The same words for a column that cannot be kept as of any other file.
    sent_columns(pa.schema([pa.field(one.name, pa.null()) for one in sent]), keep)
    return Grid(file, digest, Head(grid.scenario, grid.columns), grid.mode, tuple(sent), keep, tuple(values))


def _array(pointer: str, values: Sequence[Any]) -> Any:
    try:
        return pa.array(values)
    except pa.ArrowException:
        raise ValueError(f"vary: {pointer} has values of several kinds; write all as numbers, or all as text") from None
