"""Arrow IPC streams: units in the metadata of fields, the scenario in that of the schema, under ``drawbar``."""

from collections.abc import Iterable, Iterator
from io import BytesIO
from typing import Any, cast

import msgspec
import nanoarrow
import numpy as np
import numpy.typing as npt
from nanoarrow import ipc

from drawbar_service.api.answers import About
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.v1.batch.request import TableHead
from drawbar_service.batch.arrow_stream import Batch, Field, Values, read_stream
from drawbar_service.batch.cells import cells, fault_texts
from drawbar_service.batch.parts import PART_ROWS, Part, Table, named, read_head
from drawbar_service.batch.plan import Given
from drawbar_service.batch.table import Block, Column

# It comes without types.
na = cast("Any", nanoarrow)
writer_to = cast("Any", ipc).StreamWriter.from_writable

KEY = "drawbar"
"""Key of the schema's metadata."""
UNIT = "unit"
"""Key of a field's metadata."""
FAULT = "fault"
"""Name of the column that says what is wrong with a row."""


def read(chunks: Iterable[bytes]) -> Table:
    """Read the schema, and the record batches as they are asked for.

    Raises
    ------
    UnreadableBody
        If it is no Arrow stream.
    ImpossibleInput
        If the schema's metadata are wrong, or a column is of a kind that is not read.
    """
    schema, batches = read_stream(chunks)
    about = schema.metadata.get(KEY)
    head = TableHead() if about is None else read_head(about.encode(), f"the schema's metadata under {KEY!r}")
    faults = [
        Fault("/vary", f"the column {field.name[:60]!r} holds neither numbers nor truths nor texts")
        for field in schema.fields
        if not field.is_read
    ]
    if faults:
        raise ImpossibleInput(faults)
    return Table(head, _parts(batches, named(map(_named, schema.fields), head)))


def _named(field: Field) -> str:
    return field.name if field.unit is None else f"{field.name} [{field.unit}]"


def _parts(batches: Iterator[Batch], columns: list[tuple[str, str | None]]) -> Iterator[Part]:
    for batch in batches:
        for start in range(0, batch.rows, PART_ROWS):
            stop = min(start + PART_ROWS, batch.rows)
            vary = {
                pointer: _given(values, unit, start, stop)
                for (pointer, unit), values in zip(columns, batch.columns, strict=True)
            }
            yield Part(vary, {})


def _given(values: Values, unit: str | None, start: int, stop: int) -> Given:
    some = values.some(start, stop)
    if isinstance(some, np.ndarray):
        return Given(some, unit)
    if unit is None or values.form in ("integer", "number"):
        return Given(some, unit)
    # A unit goes with numbers; whatever else stands there is told so row by row.
    return Given([value if value is None else {"value": value, "unit": unit} for value in some])


def write(blocks: Iterable[Block], columns: list[Column], about: About | None) -> Iterator[bytes]:
    """Yield an answer: a record batch for each block; the last column says what is wrong with a row.

    Parameters
    ----------
    blocks : iterable of Block
    columns : list of Column
        Pointers, units and types; the values do not matter.
    about : About or None
    """
    fields = [
        na.Schema(
            _type(column),
            name=column.pointer,
            nullable=True,
            metadata={UNIT: column.unit} if column.unit else None,
        )
        for column in columns
    ]
    fields.append(na.Schema(na.Type.STRING, name=FAULT, nullable=True))
    metadata = {KEY: msgspec.json.encode({"about": about}).decode()}
    schema = na.Schema(na.Type.STRUCT, fields=fields, nullable=False, metadata=metadata)
    out = _Out()
    writer = writer_to(out)
    for block in blocks:
        arrays = [_array(column, block) for column in block.columns]
        arrays.append(na.c_array(fault_texts(block), na.string()))
        rows = len(block.answered)
        writer.write_array(na.c_array_from_buffers(schema, rows, [None], null_count=0, children=arrays))
        yield out.taken()
    writer.close()
    yield out.taken()


def _type(column: Column) -> Any:
    if isinstance(column.values, list):
        return na.Type.STRING
    return na.Type.BOOL if column.values.dtype == np.bool_ else na.Type.DOUBLE


def _array(column: Column, block: Block) -> Any:
    values = column.values
    if isinstance(values, list):
        return na.c_array(cells(column, block), na.string())
    there = block.answered & ~np.isnan(values)
    kind = na.bool_() if values.dtype == np.bool_ else na.float64()
    held = _packed(values) if values.dtype == np.bool_ else np.ascontiguousarray(values, dtype=np.float64)
    return na.c_array_from_buffers(kind, len(values), [None if there.all() else _packed(there), held])


def _packed(bits: npt.NDArray[Any]) -> npt.NDArray[np.uint8]:
    return np.packbits(bits, bitorder="little")


class _Out(BytesIO):
    """A file from which what has been written is taken."""

    def taken(self) -> bytes:
        content = self.getvalue()
        self.seek(0)
        self.truncate()
        return content
