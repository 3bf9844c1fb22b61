"""Arrow IPC streams: units in the metadata of fields, the scenario in that of the schema, under ``drawbar``.

Texts go out by their places in a dictionary. Faults stand in a column for whoever reads the table alone, and as a list
in the metadata of their record batch for programs.
"""

from collections.abc import Iterable, Iterator
from time import monotonic
from typing import cast

import msgspec
import numpy as np

from drawbar_service.api.answers import About
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.v1.batch.request import TableHead
from drawbar_service.api.wire import UnreadableBody
from drawbar_service.batch import arrow_out
from drawbar_service.batch.arrow_out import Held, Kind, Pieces
from drawbar_service.batch.arrow_stream import BadStream, Batch, Field, Values, read_stream
from drawbar_service.batch.cells import cells, fault_texts
from drawbar_service.batch.parts import Part, Table, named, read_head
from drawbar_service.batch.plan import Given
from drawbar_service.batch.table import Block, Coded, Column

KEY = "drawbar"
"""Key of the metadata of the schema and of record batches."""
UNIT = "unit"
"""Key of a field's metadata."""
FAULT = "fault"
"""Name of the column that says what is wrong with a row."""
PART_ROWS = 131_072
"""Most rows read before they are worked; in arrays, that are what has come, they take next to no memory."""
_SENT_ROWS = 131_072
"""Rows of a record batch that goes out, unless they take long to come."""
_SENT_BYTES = 16_777_216
"""Most that their numbers take [bytes]."""
_SOON = 0.1
"""How long rows wait for others to go out with [s]."""
_FEW = 1_024
"""Texts that a dictionary keeps for the record batches that follow."""


def read(chunks: Iterable[bytes]) -> Table:
    """Read the schema, and the record batches as they are asked for.

    Raises
    ------
    UnreadableBody
        If it is no Arrow stream.
    ImpossibleInput
        If the schema's metadata are wrong, or a column is of a kind that is not read.
    """
    try:
        schema, batches = read_stream(chunks)
    except BadStream as error:
        raise UnreadableBody(str(error)) from None
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
    try:
        for batch in batches:
            for start in range(0, batch.rows, PART_ROWS):
                stop = min(start + PART_ROWS, batch.rows)
                vary = {
                    pointer: _given(values, unit, start, stop)
                    for (pointer, unit), values in zip(columns, batch.columns, strict=True)
                }
                yield Part(vary, {})
    except BadStream as error:
        raise UnreadableBody(str(error)) from None


def _given(values: Values, unit: str | None, start: int, stop: int) -> Given:
    if values.dictionary is None and values.form in ("integer", "number"):
        some = values.some(start, stop)
        if unit is not None and isinstance(some, list):
            return Given(np.array(some, dtype=np.float64), unit)
        return Given(some, unit)
    if values.dictionary is None:
        some = cast("list[object]", values.some(start, stop))
        return Given(some) if unit is None else Given([_with_unit(value, unit) for value in some])
    coded = Coded(*values.coded(start, stop))
    if values.form in ("integer", "number"):
        return Given(coded.expanded(), unit)
    return Given(coded if unit is None else Coded(coded.codes, [_with_unit(one, unit) for one in coded.values]))


def _with_unit(value: object, unit: str) -> object:
    # A unit goes with numbers; whatever else stands there is told so row by row.
    return value if value is None else {"value": value, "unit": unit}


def write(blocks: Iterable[Block], columns: list[Column], about: About | None) -> Iterator[bytes]:
    """Yield an answer: record batches of many rows; the last column says what is wrong with a row.

    Parameters
    ----------
    blocks : iterable of Block
    columns : list of Column
        Pointers, units and types; the values do not matter.
    about : About or None
    """
    kinds = [_kind(column, at) for at, column in enumerate(columns)]
    yield arrow_out.schema([*kinds, Kind(FAULT, "text", {})], {KEY: msgspec.json.encode({"about": about}).decode()})
    dictionaries = {kind.dictionary: _Dictionary(kind.dictionary) for kind in kinds if kind.form == "coded"}
    most = max(1, min(_SENT_ROWS, _SENT_BYTES // (8 * max(1, len(columns)))))
    for some in _gathered(blocks, most):
        pieces: Pieces = []
        held = [_held(kind, at, some, dictionaries, pieces) for at, kind in enumerate(kinds)]
        metadata: dict[str, str] = {}
        if faults := [fault for block in some for fault in block.faults]:
            held.append(arrow_out.texts([text for block in some for text in fault_texts(block)]))
            metadata[KEY] = msgspec.json.encode({"faults": faults}).decode()
        else:
            held.append(arrow_out.no_texts(sum(len(block.answered) for block in some)))
        pieces += arrow_out.record_batch(held, metadata)
        yield b"".join(pieces)
    yield arrow_out.END


def _kind(column: Column, at: int) -> Kind:
    metadata = {UNIT: column.unit} if column.unit else {}
    if isinstance(column.values, list):
        return Kind(column.pointer, "coded", metadata, dictionary=at)
    return Kind(column.pointer, "truth" if column.values.dtype == np.bool_ else "number", metadata)


def _gathered(blocks: Iterable[Block], most: int) -> Iterator[list[Block]]:
    """Yield blocks some at a time: many small record batches cost more to carry than to work."""
    some: list[Block] = []
    rows, since = 0, monotonic()
    for block in blocks:
        some.append(block)
        rows += len(block.answered)
        if rows >= most or monotonic() - since >= _SOON:
            yield some
            some, rows, since = [], 0, monotonic()
    if some:
        yield some


class _Dictionary:
    """Texts of a column so far; written anew whenever one comes that is not among them."""

    def __init__(self, key: int) -> None:
        self._key = key
        self._places: dict[str, int] = {}

    def held(self, values: list[str | None], pieces: Pieces) -> Held:
        """Return texts by their places; the dictionary goes to `pieces`, if it has to be written."""
        found = dict.fromkeys(values)
        nothing = None in found
        found.pop(None, None)
        texts = cast("list[str]", list(found))
        if not self._places or not self._places.keys() >= found.keys():
            # A dictionary that is written again and again must not grow as long as the answer.
            before = self._places if len(self._places) + len(texts) <= _FEW else ()
            self._places = {text: at for at, text in enumerate(dict.fromkeys([*before, *texts]))}
            pieces += arrow_out.dictionary(self._key, list(self._places))
        places: dict[str | None, int] = {None: -1, **self._places}
        codes = np.fromiter(map(places.__getitem__, values), dtype="<i4", count=len(values))
        if not nothing:
            return arrow_out.numbers([codes])
        there = codes >= 0
        # Even the place of a text that is not there has to be one of the dictionary, for some readers.
        codes[~there] = 0
        return arrow_out.numbers([codes], there)


def _held(kind: Kind, at: int, blocks: list[Block], dictionaries: dict[int, _Dictionary], pieces: Pieces) -> Held:
    if kind.form == "coded":
        texts = [text for block in blocks for text in cast("list[str | None]", cells(block.columns[at], block))]
        return dictionaries[kind.dictionary].held(texts, pieces)
    values = [np.asarray(block.columns[at].values) for block in blocks]
    there = np.concatenate([block.answered for block in blocks])
    if kind.form == "truth":
        return arrow_out.truths(np.concatenate(values), None if there.all() else there)
    values = [one.astype(np.float64, copy=False) for one in values]
    there &= ~np.isnan(np.concatenate(values))
    return arrow_out.numbers(values, None if there.all() else there)
