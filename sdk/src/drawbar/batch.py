"""Many rows in one call: parts go out, some at a time, and come back as columns."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, Final, Literal, NamedTuple, TypeAlias

import msgspec

from drawbar import _html, _plots
from drawbar._columns import Column, Given, are_arrays, read
from drawbar._extras import load
from drawbar._operations import BATCH
from drawbar._wire import ARROW, Operation
from drawbar.errors import UnreadableAnswer
from drawbar.models import About, BatchAnswer, RowFault, VariedValues
from drawbar.provenance import Provenance, digest, provenance

if TYPE_CHECKING:
    import numpy as np
    import pandas
    import polars
    from matplotlib.axes import Axes

Vary: TypeAlias = Mapping[str, VariedValues | tuple[str, Column] | Column] | Any
"""Values by JSON Pointer, with or without a unit; or a table whose columns are called by pointer and unit."""
Progress: TypeAlias = Callable[[int, int], object]

__all__ = ["BatchResult", "Progress", "RowFault", "Vary"]

_FIRST_ROWS: Final = 5_000
"""Rows of a part, and of the first one where parts grow: few enough for a calculation that goes row by row."""
_MOST_ROWS: Final = 262_144
_MOST_BYTES: Final = 24_000_000
"""Largest part [bytes]; the service takes 32 MB whole before it answers."""
_PART_SECONDS: Final = 1.0
"""How long parts that grow may take to be answered [s]."""


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

    def by_row(self) -> dict[str, Any]:
        """Give the value of each row, by pointer: arrays where such were given, else lists."""
        columns: dict[str, Any] = {}
        after = math.prod(len(given) for given in self.given.values()) if self.mode == "grid" else 1
        before = 1
        for pointer, given in self.given.items():
            if self.mode == "grid":
                after //= len(given)
            columns[pointer] = given.by_row(after, before)
            if self.mode == "grid":
                before *= len(given)
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
        Values by JSON Pointer into the answer: lists where lists were given; NumPy arrays where a column of NumPy,
        pandas, polars or Arrow was. None, or NaN in an array of numbers, where there is no value or the row has a
        fault.
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
    scenario: Any = field(default=None, repr=False, compare=False)

    def provenance(self) -> Provenance:
        """Tell where the answers come from: what was asked, versions, sources and the day."""
        varied = {
            name: (unit, column)
            for (name, unit), column in zip(self.varied.units().items(), self.varied.by_row().values(), strict=True)
        }
        about = {} if self.about is None else {"model": self.about.model, "sources": self.about.sources}
        content = msgspec.json.encode(varied, enc_hook=_plain)
        scenario = msgspec.json.decode(msgspec.json.encode(self.scenario, enc_hook=_plain))
        return provenance(scenario, input_sha256=digest(content), rows=self.rows, units=self.units, about=about)

    def to_xarray(self) -> Any:
        """Give an xarray dataset, units as the CF conventions write them. Needs `pip install './sdk[xarray]'`.

        Of a grid each column is an array with a dimension for each leaf that varied, and its values as coordinates;
        of rows there is one dimension, `row`.
        """
        labelled = load("drawbar._labelled", "numpy").dataset
        grid = self.varied.mode == "grid"
        return labelled(self.columns, self.units, self.varied.given, grid, self.rows, self.provenance())

    def to_pandas(self, *, varied: bool = False) -> pandas.DataFrame:
        """Give a pandas frame; its `attrs` hold the units. Needs `pip install './sdk[pandas]'`.

        Parameters
        ----------
        varied
            Put what varied before the columns of the answer.
        """
        frame = load("pandas", "pandas").DataFrame((self.varied.by_row() if varied else {}) | self.columns)
        frame.attrs["units"] = (self.varied.units() if varied else {}) | self.units
        frame.attrs["provenance"] = msgspec.json.decode(msgspec.json.encode(self.provenance()))
        return frame

    def to_polars(self, *, varied: bool = False) -> polars.DataFrame:
        """Give a polars frame. Needs `pip install './sdk[polars]'`.

        Parameters
        ----------
        varied
            Put what varied before the columns of the answer.
        """
        polars = load("polars", "polars")
        named = (self.varied.by_row() if varied else {}) | self.columns
        # NaN is how an array of numbers says that there is none; texts are in an array as objects.
        return polars.DataFrame(
            {
                name: polars.Series(values.tolist() if str(values.dtype) == "object" else values, nan_to_null=True)
                if hasattr(values, "dtype")
                else values
                for name, values in named.items()
            }
        )

    def to_arrow(self) -> Any:
        """Give a pyarrow table, units in the metadata of fields. Needs `pip install './sdk[files,numpy]'`."""
        return load("pyarrow.ipc", "files").open_stream(self._stream()).read_all()

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
        source = load("nanoarrow.ipc", "arrow").InputStream.from_readable(self._stream())
        return source.__arrow_c_stream__(requested_schema)

    def _stream(self) -> bytes:
        told = {"provenance": self.provenance()}
        return load("drawbar._arrow_batch", "numpy").stream(self.columns, self.units, told)


class Part(NamedTuple):
    """Rows that are sent together."""

    first: int
    rows: int
    operation: Operation[Any]
    content: bytes


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
        Most rows in one part; None to find out.

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
        rows_per_request: int | None,
    ) -> None:
        if rows_per_request is not None and rows_per_request < 1:
            raise ValueError("rows_per_request is at least 1.")
        self.scenario = scenario
        self._head: dict[str, Any] = {"scenario": scenario}
        if columns is not None:
            self._head["columns"] = list(columns)
        self._vary = read(vary)
        self._mode = mode
        self._rows_now = rows_per_request or _FIRST_ROWS
        self._most = rows_per_request or _FIRST_ROWS
        self.arrays = are_arrays(self._vary)
        self.varied = Varied(self._vary, mode)
        lengths = {pointer: len(given) for pointer, given in self._vary.items()}
        if mode == "zip" and len(set(lengths.values())) > 1:
            told = ", ".join(f"{pointer} {length}" for pointer, length in lengths.items())
            raise ValueError(f"Columns to be zipped are of one length; these are {told}.")
        if 0 in lengths.values():
            raise ValueError(f"There are no rows: {', '.join(name for name in lengths if not lengths[name])} is empty.")
        self.rows = math.prod(lengths.values()) if mode == "grid" else next(iter(lengths.values()), 1)
        self._sent: list[Any] | None = self._encodable() if self.arrays and mode == "zip" else None
        if self.arrays and rows_per_request is None:
            self._most = _MOST_ROWS
        if self._sent is not None:
            row = load("drawbar._arrow_batch", "numpy").row_bytes(one.values for one in self._sent)
            self._most = min(self._most, max(1, _MOST_BYTES // row))

    def _encodable(self) -> list[Any] | None:
        """Give the columns as they go into record batches; None if one of them cannot."""
        encodable, sent = load("drawbar._arrays", "numpy").encodable, load("drawbar._arrow_batch", "numpy").Sent
        columns = [sent(pointer, given.unit, encodable(given.values)) for pointer, given in self._vary.items()]
        return None if any(one.values is None for one in columns) else columns

    def took(self, rows: int, seconds: float) -> None:
        """Learn from a part that has been answered how large the next ones may be.

        Parameters
        ----------
        rows
            Rows of the part.
        seconds
            How long it took to be answered [s].
        """
        at_once = int(rows * _PART_SECONDS / max(seconds, 1e-6))
        self._rows_now = min(self._most, max(self._rows_now, min(at_once, 64 * rows)))

    def parts(self) -> Iterator[Part]:
        """Give the parts in the order of the rows."""
        first = 0
        while first < self.rows:
            most = min(self._rows_now, self._most)
            if self._mode == "grid" and self._vary:
                slices = self._grid_slices(first, most)
            else:
                slices = dict.fromkeys(self._vary, (first, min(first + most, self.rows)))
            rows = math.prod(stop - start for start, stop in slices.values()) if self._mode == "grid" else 0
            part = self._part(first, rows or min(most, self.rows - first), slices)
            yield part
            first += part.rows

    def _grid_slices(self, first: int, most: int) -> dict[str, tuple[int, int]]:
        """Give which values of each leaf make the rows from `first`: those of one leaf, and all of those behind it."""
        lengths = [len(given) for given in self._vary.values()]
        behind = [math.prod(lengths[at + 1 :]) for at in range(len(lengths))]
        cut = next(at for at, inner in enumerate(behind) if inner <= most and first % inner == 0)
        slices: dict[str, tuple[int, int]] = {}
        for at, (name, length, inner) in enumerate(zip(self._vary, lengths, behind, strict=True)):
            place = first // inner % length
            if at == cut:
                slices[name] = (place, min(place + max(1, most // inner), length))
            else:
                slices[name] = (place, place + 1) if at < cut else (0, length)
        return slices

    def _part(self, first: int, rows: int, slices: Mapping[str, tuple[int, int]]) -> Part:
        operation: Operation[Any] = replace(BATCH, result=bytes, accept=ARROW) if self.arrays else BATCH
        if self._sent is not None:
            head = msgspec.json.encode(self._head, enc_hook=_plain)
            content: bytes = load("drawbar._arrow_batch", "numpy").encode(head, self._sent, first, first + rows)
            return Part(first, rows, replace(operation, sends=ARROW), content)
        vary = {name: _sent(self._vary[name], *ends) for name, ends in slices.items()}
        body = {**self._head, "vary": vary, "mode": self._mode}
        return Part(first, rows, operation, msgspec.msgpack.encode(body, enc_hook=_plain))


def _sent(given: Given, start: int, stop: int) -> Any:
    values = given.some(start, stop)
    return values if given.unit is None else {"unit": given.unit, "values": values}


def _plain(value: object) -> object:
    tolist = getattr(value, "tolist", None)
    if tolist is None:
        raise TypeError(f"{type(value).__qualname__} cannot be sent; give numbers, truths and texts.")
    return tolist()


class Gathered:
    """Answers of parts, put together in the order of the rows.

    Parameters
    ----------
    batch
        What is asked.
    on_progress
        Told how far it is.
    """

    def __init__(self, batch: Batch, on_progress: Progress | None) -> None:
        self._batch = batch
        self._on_progress = on_progress
        self._lists: dict[str, list[Any]] = {}
        self._filled: dict[str, Any] = {}
        self._units: dict[str, str] = {}
        self._faults: list[RowFault] = []
        self._about: About | None = None
        self._rows = 0

    def add(self, part: Part, answer: Any, seconds: float) -> None:
        """Take in the answer to the next part.

        Parameters
        ----------
        part
            What was asked.
        answer
            What came back.
        seconds
            How long that took [s].

        Raises
        ------
        UnreadableAnswer
            If there are more rows or fewer than were asked.
        """
        rows = self._add_arrays(part, answer) if self._batch.arrays else self._add_lists(part, answer)
        if rows != part.rows:
            raise UnreadableAnswer(200, f"{part.rows} rows were asked and {rows} came back")
        self._batch.took(part.rows, seconds)
        self._rows += part.rows
        if self._on_progress is not None:
            self._on_progress(self._rows, self._batch.rows)

    def _add_lists(self, part: Part, answer: BatchAnswer) -> int:
        for pointer, column in answer.columns.items():
            self._lists.setdefault(pointer, []).extend(column.values)
            self._units[pointer] = column.unit
        self._tell(part.first, answer.faults, answer.about)
        return answer.rows

    def _add_arrays(self, part: Part, content: bytes) -> int:
        arrow = load("drawbar._arrow_batch", "numpy")
        answer = arrow.Answer(content)
        self._units |= answer.units
        rows = 0
        for some in answer.parts():
            if rows + some.rows > part.rows:
                return rows + some.rows
            for pointer, values in some.columns.items():
                if pointer not in self._filled:
                    self._filled[pointer] = arrow.Filled(self._batch.rows, values)
                self._filled[pointer].put(part.first + rows, some.rows, values)
            rows += some.rows
        self._tell(part.first, answer.faults, answer.about)
        return rows

    def _tell(self, first: int, faults: list[RowFault], about: About | None) -> None:
        self._faults += [
            RowFault(row=fault.row + first, pointer=fault.pointer, detail=fault.detail) for fault in faults
        ]
        self._about = self._about or about

    def result(self) -> BatchResult:
        """Give all of them."""
        filled: dict[str, np.ndarray[Any, Any]] = {pointer: one.values for pointer, one in self._filled.items()}
        columns: dict[str, Any] = filled if self._batch.arrays else self._lists
        about, varied = self._about, self._batch.varied
        return BatchResult(columns, self._units, self._faults, self._rows, about, varied, self._batch.scenario)
