"""Many rows in one call: parts go out, some at a time, and come back as columns."""

from __future__ import annotations

import asyncio
import importlib
import itertools
import math
from collections import deque
from collections.abc import Awaitable, Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from types import NoneType
from typing import TYPE_CHECKING, Any, Literal, NamedTuple, TypeAlias, cast

import msgspec

from drawbar import _html, _plots
from drawbar._columns import Column, Given, is_numpy, read
from drawbar._extras import load
from drawbar.models import About, BatchAnswer, RowFault, VariedValues

if TYPE_CHECKING:
    import pandas
    import polars
    from matplotlib.axes import Axes

Vary: TypeAlias = Mapping[str, VariedValues | tuple[str, Column] | Column] | Any
"""Values by JSON Pointer, with or without a unit; or a table whose columns are called by pointer and unit."""
Progress: TypeAlias = Callable[[int, int], object]

__all__ = ["BatchResult", "Progress", "RowFault", "Vary"]


@dataclass(frozen=True)
class Varied:
    """What varied from row to row, as it was given.

    Parameters
    ----------
    given
        Values by JSON Pointer into the request.
    mode
        Row by row, or each with each.
    """

    given: Mapping[str, Given]
    mode: Literal["zip", "grid"]

    def by_row(self) -> dict[str, list[Any]]:
        """Give the value of each row, by pointer."""
        columns: dict[str, list[Any]] = {}
        after = math.prod(len(given) for given in self.given.values()) if self.mode == "grid" else 1
        before = 1
        for pointer, given in self.given.items():
            values = given.some(0, len(given))
            if self.mode == "grid":
                after //= len(values)
                values = [value for value in values for _ in range(after)] * before
                before *= len(given)
            columns[pointer] = values
        return columns

    def units(self) -> dict[str, str]:
        """Give the units of the numbers, by pointer; empty for others."""
        return {pointer: given.unit or "" for pointer, given in self.given.items()}


@dataclass(frozen=True)
class BatchResult:
    """Columns, and what is wrong with rows that have none.

    Parameters
    ----------
    columns
        Values by JSON Pointer into the answer: lists, or NumPy arrays if such were given. None, or NaN in an array of
        numbers, where there is no value or the row has a fault.
    units
        Units of the numbers, by the same pointers; empty for plain numbers, truths and texts.
    faults
        Every fault of every row, in the order of the rows.
    rows
        Number of rows, faulty ones included.
    about
        What the answer to the first sound row says about itself.
    varied
        What was asked with, row by row.
    """

    columns: dict[str, Any]
    units: dict[str, str]
    faults: list[RowFault] = field(repr=False)
    rows: int
    about: About | None = field(repr=False)
    varied: Varied = field(default=Varied({}, "zip"), repr=False, compare=False)

    def to_pandas(self, *, varied: bool = False) -> pandas.DataFrame:
        """Give a pandas frame; its `attrs` hold the units. Needs `pip install './sdk[pandas]'`.

        Parameters
        ----------
        varied
            Put what varied before the columns of the answer.
        """
        frame = load("pandas", "pandas").DataFrame((self.varied.by_row() if varied else {}) | self.columns)
        frame.attrs["units"] = (self.varied.units() if varied else {}) | self.units
        return frame

    def to_polars(self, *, varied: bool = False) -> polars.DataFrame:
        """Give a polars frame. Needs `pip install './sdk[polars]'`.

        Parameters
        ----------
        varied
            Put what varied before the columns of the answer.
        """
        return load("polars", "polars").DataFrame((self.varied.by_row() if varied else {}) | self._lists())

    def plot(
        self, column: str | None = None, *, x: str | None = None, y: str | None = None, ax: Axes | None = None
    ) -> Axes:
        """Draw a column over what varied: a line over one leaf, a map over two. Needs `pip install './sdk[plot]'`.

        Parameters
        ----------
        column
            Pointer of the column; None for the first.
        x, y
            Pointers of leaves that varied, or of other columns; None for the first and second that varied.
        ax
            Axes to draw on; None for new ones.

        Raises
        ------
        ValueError
            If there is nothing to draw it over, or a pointer is not known.
        """
        leaves = list(self.varied.given)
        column = column or next(iter(self.columns), None)
        if x is None and y is None:
            x, y = (*leaves[:2], None, None)[:2]
        if column is None or x is None:
            raise ValueError("There is nothing to draw: a column, and a leaf that varied, are needed.")
        if y is None:
            return _plots.line(self._values(x), self._values(column), (self._label(x), self._label(column)), ax)
        # The last leaf is the one that changes from row to row of a grid.
        if self.varied.mode == "grid" and {x, y} == set(leaves) and len(leaves) == 2:
            sides = [given.some(0, len(given)) for given in self.varied.given.values()]
            labels = (self._label(leaves[1]), self._label(leaves[0]), self._label(column))
            return _plots.two_way((sides[1], sides[0]), self._values(column), labels, ax)
        return _plots.points({self._label(name): self._values(name) for name in (x, y, column)}, ax)

    def _values(self, pointer: str) -> Any:
        if pointer in self.columns:
            return self.columns[pointer]
        if pointer in self.varied.given:
            return self.varied.by_row()[pointer]
        raise ValueError(f"{pointer!r} is not here; there are {', '.join([*self.varied.given, *self.columns])}.")

    def _label(self, pointer: str) -> str:
        unit = (self.varied.units() | self.units).get(pointer, "")
        return f"{pointer} [{unit}]" if unit else pointer

    def _repr_html_(self) -> str:
        names = {self._label(pointer): values for pointer, values in (self.varied.by_row() | self.columns).items()}
        wrong = f", {len({fault.row for fault in self.faults}):,} of them with faults" if self.faults else ""
        return f"<div><p><strong>{self.rows:,} rows{wrong}</strong></p>{_html.columns(names, self.rows)}</div>"

    def __arrow_c_stream__(self, requested_schema: object | None = None) -> object:
        """Hand the columns over to whatever reads Arrow, units in the metadata of fields.

        Needs `pip install './sdk[arrow]'`.
        """
        from nanoarrow import Schema, Type  # noqa: PLC0415 - an extra

        fields: list[Schema] = []
        children: list[Any] = []
        make = cast("Any", importlib.import_module("nanoarrow"))  # the functions have no types
        for pointer, values in self._lists().items():
            first = next((value for value in values if value is not None), None)
            plain = Type.STRING if isinstance(first, str) else Type.DOUBLE
            kind = Type.BOOL if isinstance(first, bool) else plain
            unit = self.units[pointer]
            fields.append(Schema(kind, name=pointer, metadata={"unit": unit} if unit else None))
            children.append(make.c_array(values, Schema(kind)))
        schema = Schema(Type.STRUCT, fields=fields, nullable=False)
        whole = make.c_array_from_buffers(schema, self.rows, [None], null_count=0, children=children)
        return make.Array(whole).__arrow_c_stream__(requested_schema)

    def _lists(self) -> dict[str, list[Any]]:
        lists: dict[str, list[Any]] = {}
        for pointer, values in self.columns.items():
            listed: list[Any] = values.tolist() if hasattr(values, "tolist") else values
            # NaN is how an array of numbers says that there is none.
            lists[pointer] = [None if value != value else value for value in listed]
        return lists


class Part(NamedTuple):
    """Rows that are sent together."""

    first: int
    rows: int
    body: bytes


class Batch:
    """What is asked, cut into parts.

    Parameters
    ----------
    scenario
        A request of the calculation.
    vary
        What varies.
    mode
        How it varies.
    columns
        What is to come back.
    rows_per_request
        Most rows in one part.

    Raises
    ------
    ValueError
        If columns cannot be read, or differ in length where they are zipped.
    """

    def __init__(
        self,
        scenario: Mapping[str, Any] | msgspec.Struct,
        vary: Vary,
        mode: Literal["zip", "grid"],
        columns: Sequence[str] | None,
        rows_per_request: int,
    ) -> None:
        if rows_per_request < 1:
            raise ValueError("rows_per_request is at least 1.")
        self._scenario = scenario
        self._vary = read(vary)
        self._mode = mode
        self._columns = columns
        self._most = rows_per_request
        self.numpy = is_numpy(self._vary)
        self.varied = Varied(self._vary, mode)
        lengths = {pointer: len(given) for pointer, given in self._vary.items()}
        if mode == "zip" and len(set(lengths.values())) > 1:
            told = ", ".join(f"{pointer} {length}" for pointer, length in lengths.items())
            raise ValueError(f"Columns to be zipped are of one length; these are {told}.")
        if 0 in lengths.values():
            raise ValueError(f"There are no rows: {', '.join(name for name in lengths if not lengths[name])} is empty.")
        self.rows = math.prod(lengths.values()) if mode == "grid" else next(iter(lengths.values()), 1)

    def parts(self) -> Iterator[Part]:
        """Give the parts in the order of the rows."""
        if not self._vary:
            yield self._part(0, 1, {})
        elif self._mode == "zip":
            for start in range(0, self.rows, self._most):
                stop = min(start + self._most, self.rows)
                yield self._part(start, stop - start, dict.fromkeys(self._vary, (start, stop)))
        else:
            yield from self._grid_parts()

    def _grid_parts(self) -> Iterator[Part]:
        """Cut a grid across the slowest leaf that still leaves whole parts; those before it stand still in each."""
        names = list(self._vary)
        lengths = [len(given) for given in self._vary.values()]
        cut = next(at for at in range(len(names)) if math.prod(lengths[at + 1 :]) <= self._most)
        inner = math.prod(lengths[cut + 1 :])
        step = max(1, self._most // inner)
        whole = {name: (0, length) for name, length in zip(names[cut + 1 :], lengths[cut + 1 :], strict=True)}
        first = 0
        for outer in itertools.product(*(range(length) for length in lengths[:cut])):
            still = {name: (at, at + 1) for name, at in zip(names, outer, strict=False)}
            for start in range(0, lengths[cut], step):
                stop = min(start + step, lengths[cut])
                rows = (stop - start) * inner
                yield self._part(first, rows, {**still, names[cut]: (start, stop), **whole})
                first += rows

    def _part(self, first: int, rows: int, slices: Mapping[str, tuple[int, int]]) -> Part:
        vary = {name: _sent(self._vary[name], *ends) for name, ends in slices.items()}
        body: dict[str, Any] = {"scenario": self._scenario, "vary": vary, "mode": self._mode}
        if self._columns is not None:
            body["columns"] = list(self._columns)
        return Part(first, rows, msgspec.msgpack.encode(body, enc_hook=_plain))


def _sent(given: Given, start: int, stop: int) -> Any:
    values = given.some(start, stop)
    return values if given.unit is None else {"unit": given.unit, "values": values}


def _plain(value: object) -> object:
    tolist = getattr(value, "tolist", None)
    if tolist is None:
        raise TypeError(f"{type(value).__qualname__} cannot be sent; give numbers, truths and texts.")
    return tolist()


class _Gathered:
    """Answers of parts, put together in the order of the rows."""

    def __init__(self, batch: Batch, on_progress: Progress | None) -> None:
        self._batch = batch
        self._on_progress = on_progress
        self._columns: dict[str, list[Any]] = {}
        self._units: dict[str, str] = {}
        self._faults: list[RowFault] = []
        self._about: About | None = None
        self._rows = 0

    def add(self, part: Part, answer: BatchAnswer) -> None:
        for pointer, column in answer.columns.items():
            self._columns.setdefault(pointer, []).extend(column.values)
            self._units[pointer] = column.unit
        self._faults += [
            RowFault(row=fault.row + part.first, pointer=fault.pointer, detail=fault.detail) for fault in answer.faults
        ]
        self._about = self._about or answer.about
        self._rows += part.rows
        if self._on_progress is not None:
            self._on_progress(self._rows, self._batch.rows)

    def result(self) -> BatchResult:
        columns: dict[str, Any] = self._columns
        if self._batch.numpy:
            columns = {pointer: _array(values) for pointer, values in self._columns.items()}
        return BatchResult(columns, self._units, self._faults, self._rows, self._about, self._batch.varied)


def _array(values: list[Any]) -> Any:
    import numpy as np  # noqa: PLC0415 - whoever gave an array has it already

    kinds: set[type] = {type(value) for value in values}
    if kinds <= {float, int, NoneType}:
        return np.array(values, dtype=np.float64)
    return np.array(values, dtype=np.bool_ if kinds == {bool} else object)


def run(
    batch: Batch, ask: Callable[[bytes], BatchAnswer], concurrency: int, on_progress: Progress | None
) -> BatchResult:
    """Send all parts, some at a time.

    Parameters
    ----------
    batch
        What is asked.
    ask
        Sends the body of one part.
    concurrency
        Most parts under way at the same time.
    on_progress
        Told how far it is.
    """
    gathered = _Gathered(batch, on_progress)
    waiting: deque[tuple[Part, Future[BatchAnswer]]] = deque()
    with ThreadPoolExecutor(max(1, concurrency), thread_name_prefix="drawbar-batch") as pool:
        try:
            for part in batch.parts():
                waiting.append((part._replace(body=b""), pool.submit(ask, part.body)))
                if len(waiting) > concurrency:
                    _take(waiting, gathered)
            while waiting:
                _take(waiting, gathered)
        finally:
            for _, future in waiting:
                future.cancel()
    return gathered.result()


def _take(waiting: deque[tuple[Part, Future[BatchAnswer]]], gathered: _Gathered) -> None:
    part, future = waiting.popleft()
    gathered.add(part, future.result())


async def run_async(
    batch: Batch, ask: Callable[[bytes], Awaitable[BatchAnswer]], concurrency: int, on_progress: Progress | None
) -> BatchResult:
    """Send all parts, some at a time.

    Parameters
    ----------
    batch
        What is asked.
    ask
        Sends the body of one part.
    concurrency
        Most parts under way at the same time.
    on_progress
        Told how far it is.
    """
    gathered = _Gathered(batch, on_progress)
    waiting: deque[tuple[Part, asyncio.Task[BatchAnswer]]] = deque()
    try:
        for part in batch.parts():
            waiting.append((part._replace(body=b""), asyncio.ensure_future(_asked(ask, part.body))))
            if len(waiting) >= concurrency:
                await _take_async(waiting, gathered)
        while waiting:
            await _take_async(waiting, gathered)
    finally:
        for _, task in waiting:
            task.cancel()
        await asyncio.gather(*(task for _, task in waiting), return_exceptions=True)
    return gathered.result()


async def _asked(ask: Callable[[bytes], Awaitable[BatchAnswer]], body: bytes) -> BatchAnswer:
    return await ask(body)


async def _take_async(waiting: deque[tuple[Part, asyncio.Task[BatchAnswer]]], gathered: _Gathered) -> None:
    part, task = waiting.popleft()
    gathered.add(part, await task)
