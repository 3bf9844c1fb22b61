"""A batch as an Arrow stream, and its answer as arrays, by NumPy alone: no Arrow library is needed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Final, NamedTuple, TypeAlias

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar import _arrow_out as out
from drawbar._arrays import Coded, Masked
from drawbar._arrow_stream import BadStream, Values, read_stream
from drawbar.errors import UnreadableAnswer
from drawbar.models import About, RowFault

Array: TypeAlias = npt.NDArray[Any]
Column: TypeAlias = "Array | Masked | Coded"

KEY: Final = "drawbar"
"""Key of the metadata of a schema and of record batches."""
UNIT: Final = "unit"
"""Key of a field's metadata."""
FAULT: Final = "fault"
"""Name of the column that says what is wrong with a row."""
_BATCH_BYTES: Final = 16_777_216
"""Size of a record batch [bytes]."""
_MOST_METADATA: Final = 2_147_483_647


class Sent(NamedTuple):
    """A column that goes to the service."""

    pointer: str
    unit: str | None
    values: Column


def row_bytes(columns: Iterable[Column]) -> int:
    """Tell about how many bytes a row takes.

    Parameters
    ----------
    columns
        What is sent.
    """
    return sum(_plain(column).itemsize for column in columns)


def encode(head: bytes, columns: list[Sent], start: int, stop: int) -> bytes:
    """Write some rows of columns as a stream.

    Parameters
    ----------
    head
        What goes ahead of them, as JSON.
    columns
        At least one, all of one length.
    start
        The first row.
    stop
        The one after the last.
    """
    parts = [one._replace(values=_part(one.values, start, stop)) for one in columns]
    kinds = [_kind(one, at) for at, one in enumerate(parts)]
    pieces: out.Pieces = [out.schema(kinds, {KEY: head.decode()})]
    for kind, one in zip(kinds, parts, strict=True):
        if isinstance(one.values, Coded):
            pieces += out.dictionary(kind.dictionary, one.values.texts)
    step = max(1, _BATCH_BYTES // row_bytes(one.values for one in parts))
    for first in range(0, stop - start, step):
        rows = slice(first, min(first + step, stop - start))
        pieces += out.record_batch([_held(one.values[rows]) for one in parts])
    return b"".join([*pieces, out.END])


def _part(column: Column, start: int, stop: int) -> Column:
    part = column[start:stop]
    return part.compact() if isinstance(part, Coded) else part


def _plain(column: Column) -> Array:
    if isinstance(column, Coded):
        return column.codes
    return column.values if isinstance(column, Masked) else column


def _kind(one: Sent, at: int) -> out.Kind:
    metadata = {UNIT: one.unit} if one.unit is not None else {}
    if isinstance(one.values, Coded):
        return out.Kind(one.pointer, "coded", metadata, dictionary=at)
    dtype = _plain(one.values).dtype
    if dtype.kind == "b":
        return out.Kind(one.pointer, "truth", metadata)
    return out.Kind(one.pointer, "number", metadata, dtype=dtype.newbyteorder("<").str)


def _held(column: Column) -> out.Held:
    there = None
    values = _plain(column)
    if isinstance(column, Coded):
        there = values >= 0
        values = np.maximum(values, 0)
    elif isinstance(column, Masked):
        there = column.there
    if values.dtype.kind == "b":
        return out.truths(values, there)
    return out.numbers([values.astype(values.dtype.newbyteorder("<"), copy=False)], there)


class Part(NamedTuple):
    """Answers of rows that follow each other."""

    rows: int
    columns: dict[str, Values]


class Answer:
    """An answer as it is read.

    Parameters
    ----------
    content
        A stream.

    Raises
    ------
    UnreadableAnswer
        If it is no Arrow stream, or no answer.
    """

    def __init__(self, content: bytes) -> None:
        try:
            self._schema, self._batches = read_stream([content], _MOST_METADATA)
        except BadStream as fault:
            raise _unreadable(str(fault)) from fault
        names = [field.name for field in self._schema.fields]
        if FAULT not in names:
            raise _unreadable(f"its columns are {', '.join(names)}; {FAULT!r} is missing")
        self.units = {field.name: field.unit or "" for field in self._schema.fields if field.name != FAULT}
        self.faults: list[RowFault] = []
        """Of the parts that have been read."""

    @property
    def about(self) -> About | None:
        """What the answer says about itself."""
        return msgspec.json.decode(self._schema.metadata.get(KEY, "{}"), type=_Head).about

    def parts(self) -> Iterator[Part]:
        """Give the rows, some at a time.

        Raises
        ------
        UnreadableAnswer
            If the stream ends before it is whole, or makes no sense.
        """
        try:
            for batch in self._batches:
                columns = {field.name: values for field, values in zip(self._schema.fields, batch.columns, strict=True)}
                told = columns.pop(FAULT).valid
                if KEY in batch.metadata:
                    self.faults += msgspec.json.decode(batch.metadata[KEY], type=_Faults).faults
                elif told is None or told.any():
                    raise _unreadable("it does not say where its faults are; the service is older than this client")
                yield Part(batch.rows, columns)
        except (BadStream, msgspec.DecodeError) as fault:
            raise _unreadable(str(fault)) from fault


class _Head(msgspec.Struct, frozen=True):
    about: About | None = None


class _Faults(msgspec.Struct, frozen=True):
    faults: list[RowFault] = []


def _unreadable(why: str) -> UnreadableAnswer:
    return UnreadableAnswer(200, f"it is no answer in Arrow: {why}")


class Filled:
    """A column of an answer, filled part after part.

    Parameters
    ----------
    rows
        How many there will be.
    first
        Values of the first part, of which the kind is that of all.
    """

    def __init__(self, rows: int, first: Values) -> None:
        self._texts: dict[object, object] = {}
        dtypes: Mapping[str, Any] = {"number": np.float64, "integer": np.float64, "truth": np.bool_}
        self._of_texts = first.form not in dtypes
        self.values: Array = np.empty(rows, dtype=dtypes.get(first.form, object))

    def put(self, at: int, rows: int, found: Values) -> None:
        """Take in the values of rows that follow each other.

        Parameters
        ----------
        at
            The first row.
        rows
            How many.
        found
            Their values.
        """
        place = slice(at, at + rows)
        if found.dictionary is not None:
            codes, texts = found.coded(0, rows)
            # One text for all rows that have it, whichever part they come in; the last place is what -1 leads to.
            kept = [self._texts.setdefault(text, text) for text in texts]
            self.values[place] = np.array([*kept, None], dtype=object)[codes]
            return
        if self._of_texts:
            self.values[place] = found.some(0, rows)
            return
        if found.valid is not None and self.values.dtype == np.bool_:
            self.values = self.values.astype(object)
        self.values[place] = found.numbers
        if found.valid is not None:
            self.values[place][~found.valid] = None if self.values.dtype == object else np.nan


def stream(columns: Mapping[str, Any], units: Mapping[str, str], told: Mapping[str, Any] | None = None) -> bytes:
    """Write columns of an answer as a stream; NaN and None are no values.

    Parameters
    ----------
    columns
        Arrays or lists by name.
    units
        Of the numbers, by the same names.
    told
        What goes into the metadata of the schema, under `drawbar`.
    """
    kinds: list[out.Kind] = []
    held: list[out.Held] = []
    for name, values in columns.items():
        metadata = {UNIT: units[name]} if units[name] else {}
        array: Array = np.asarray(values, dtype=None if isinstance(values, np.ndarray) else object)
        form, one = _answered(array)
        kinds.append(out.Kind(name, form, metadata))
        held.append(one)
    metadata = {KEY: msgspec.json.encode(told).decode()} if told else {}
    return b"".join([out.schema(kinds, metadata), *out.record_batch(held), out.END])


def _answered(array: Array) -> tuple[out.Form, out.Held]:
    if array.dtype.kind == "f":
        return "number", out.numbers([array.astype("<f8", copy=False)], ~np.isnan(array))
    if array.dtype == np.bool_:
        return "truth", out.truths(array)
    listed: list[Any] = array.tolist()
    first = next((value for value in listed if value is not None), None)
    if isinstance(first, str):
        return "text", out.texts(listed)
    there = np.fromiter((value is not None for value in listed), np.bool_, len(listed))
    if isinstance(first, bool):
        return "truth", out.truths(np.array([bool(value) for value in listed]), there)
    numbers = np.array([np.nan if value is None else value for value in listed], dtype="<f8")
    return "number", out.numbers([numbers], ~np.isnan(numbers))
