# A copy of drawbar_service.batch.arrow_stream, made by openapi/generate.py; edit it there.
"""Arrow IPC streams, read without trust: every length and place is looked at before it is believed.

The Arrow libraries for Python read with native code, which takes well-formed streams for granted; a few flipped bits
and the whole process is gone. So streams from callers are read here: numbers, truths, texts and dictionaries of them,
after the Arrow columnar format (Schema.fbs, Message.fbs). ``_arrow_out`` writes them.
"""

import struct
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple, TypeAlias, cast

import numpy as np
import numpy.typing as npt

from drawbar._flat_buffers import Damaged, FlatTable

MAX_MESSAGE = 33_554_432
"""Largest body of a message, a record batch say [bytes]."""
MAX_METADATA = 1_048_576
"""Largest metadata of a message, where no other bound is given [bytes]."""
_MAX_ROWS = MAX_MESSAGE // 8
_MAX_FIELDS = 256
MAX_ENTRIES = 262_144
"""Most values that the dictionaries of a stream hold at a time, all together."""
MAX_DICTIONARIES = 16_777_216
"""Largest bodies of these dictionaries, all together [bytes]."""
_CONTINUATION = 0xFFFFFFFF

# Kinds of message, and places of members, as Message.fbs and Schema.fbs count them.
_SCHEMA, _DICTIONARY, _BATCH = 1, 2, 3
_HEADER_TYPE, _HEADER, _BODY_LENGTH, _MESSAGE_METADATA = 1, 2, 3, 4
_ENDIANNESS, _FIELDS, _SCHEMA_METADATA = 0, 1, 2
_NAME, _TYPE_TYPE, _TYPE, _DICTIONARY_ENCODING, _CHILDREN, _FIELD_METADATA = 0, 2, 3, 4, 5, 6
_LENGTH, _NODES, _BUFFERS, _COMPRESSION, _VARIADIC = 0, 1, 2, 3, 4
_ID, _DATA, _IS_DELTA = 0, 1, 2

_FORMS = {
    1: "null",
    2: "integer",
    3: "number",
    5: "text",
    6: "truth",
    20: "long text",
    24: "text view",
}
_NUMBERS: Mapping[int, str] = {0: "<f2", 1: "<f4", 2: "<f8"}
_INTEGERS: Mapping[tuple[int, bool], str] = {
    (8 * size, signed): f"<{'i' if signed else 'u'}{size}" for size in (1, 2, 4, 8) for signed in (True, False)
}

Bits: TypeAlias = npt.NDArray[np.bool_]
Codes: TypeAlias = npt.NDArray[np.intp]
Buffer: TypeAlias = bytes | bytearray | memoryview


class BadStream(ValueError):  # noqa: N818 - it names the bytes
    """Bytes are no Arrow stream, or hold what is not read here."""


class Field(NamedTuple):
    """A column as the schema describes it."""

    name: str
    unit: str | None
    form: str
    """One of the forms read here; any other is called by its number."""
    dtype: str
    """Of numbers."""
    dictionary: int | None
    """Id of the dictionary its values are looked up in, if they are."""
    index_dtype: str

    @property
    def is_read(self) -> bool:
        """Whether columns of this type are read."""
        return self.form in _FORMS.values()


class Schema(NamedTuple):
    """What the first message of a stream tells."""

    fields: list[Field]
    metadata: dict[str, str]


class Values(NamedTuple):
    """Values of a column; lists are made of some of them at a time."""

    form: str
    valid: Bits | None
    """Which of them are there, None: all."""
    numbers: npt.NDArray[Any]
    """Numbers, truths, ends of texts, views or places in a dictionary."""
    buffers: list[memoryview]
    """What texts are cut from."""
    dictionary: "Entries | None"

    def some(self, start: int, stop: int) -> npt.NDArray[Any] | list[object]:
        """Return some of the values: numbers, all of them there, as an array; anything else as a list with None.

        Raises
        ------
        BadStream
            If a text or a place in a dictionary lies outside what is there.
        """
        if self.dictionary is not None:
            codes, values = self.coded(start, stop)
            return [None if at < 0 else values[at] for at in codes.tolist()]
        valid = None if self.valid is None else self.valid[start:stop]
        if self.form in ("integer", "number"):
            numbers = self.numbers[start:stop]
            return numbers if valid is None or valid.all() else _list_of(numbers.tolist(), valid)
        with _Guard():
            return _list_of(self._listed(start, stop, valid), valid)

    def coded(self, start: int, stop: int) -> tuple[Codes, list[object]]:
        """Return some of the values of a dictionary column: the place of each, -1 for none, and what stands there.

        Only values that are in use come back, so that a large dictionary costs the rows that use it and no others.

        Raises
        ------
        BadStream
            If a place lies outside the dictionary.
        """
        entries = self.dictionary
        count = 0 if entries is None else len(entries)
        codes = self.numbers[start:stop].astype(np.intp)
        valid = None if self.valid is None else self.valid[start:stop]
        there = codes if valid is None else codes[valid]
        if len(there) and not 0 <= int(there.min()) <= int(there.max()) < count:
            raise BadStream("the Arrow stream is damaged: a place in a dictionary lies outside it")
        if valid is not None:
            codes[~valid] = -1
        if count > len(codes):
            used, places = np.unique(there, return_inverse=True)
        else:
            used = np.flatnonzero(np.bincount(there, minlength=count))
            new = np.zeros(count, dtype=np.intp)
            new[used] = np.arange(len(used))
            places = new[there]
        codes[codes >= 0] = places
        return codes, [] if entries is None else entries.at(used)

    def at(self, places: Codes) -> list[object]:
        """Return the values at some places, which are those of values that are there; None where none is.

        Raises
        ------
        BadStream
            If a text lies outside what is there.
        """
        valid = None if self.valid is None else self.valid[places]
        numbers = self.numbers
        with _Guard():
            if self.form in ("text", "long text"):
                return _list_of(self._cut_out(numbers[places], numbers[places + 1]), valid)
            if self.form == "text view":
                return _list_of(self._viewed(numbers[places], valid), valid)
            return _list_of(numbers[places].tolist(), valid)

    def _listed(self, start: int, stop: int, valid: Bits | None) -> list[object]:
        numbers = self.numbers
        if self.form == "null":
            return [None] * (stop - start)
        if self.form == "truth":
            return cast("list[object]", numbers[start:stop].tolist())
        if self.form == "text view":
            return self._viewed(numbers[start:stop], valid)
        return self._cut_out(numbers[start:stop], numbers[start + 1 : stop + 1])

    def _cut_out(self, starts: npt.NDArray[Any], ends: npt.NDArray[Any]) -> list[object]:
        (data,) = self.buffers
        if (starts < 0).any() or (ends < starts).any() or (ends > len(data)).any():
            raise Damaged("a text lies outside the bytes there are")
        return [str(data[at:to], "utf-8") for at, to in zip(starts.tolist(), ends.tolist(), strict=True)]

    def _viewed(self, views: npt.NDArray[np.uint8], valid: Bits | None) -> list[object]:
        lengths = np.ascontiguousarray(views[:, :4]).view("<i4")[:, 0].astype(np.int64)
        if valid is not None:
            lengths[~valid] = 0
        # Any number of views may show the same bytes, so what they come to is not bounded by what was sent.
        if (lengths < 0).any() or int(lengths.sum()) > MAX_MESSAGE:
            raise Damaged("texts come to more than is taken")
        return [self._cut(view.tobytes(), length) for view, length in zip(views, lengths.tolist(), strict=True)]

    def _cut(self, view: bytes, length: int) -> str:
        if length <= 12:
            return view[4 : 4 + length].decode("utf-8")
        buffer, at = struct.unpack_from("<ii", view, 8)
        if not 0 <= buffer < len(self.buffers) or not 0 <= at <= len(self.buffers[buffer]) - length:
            raise Damaged("a text lies outside the bytes there are")
        return str(self.buffers[buffer][at : at + length], "utf-8")


class Entries:
    """Values of a dictionary. Reads those that rows use, so that one that is sent and not used costs next to nothing.

    Parameters
    ----------
    values : Values
    count : int
    """

    def __init__(self, values: Values, count: int) -> None:
        self._values = values
        self._count = count
        self._added: list[object] = []

    def __len__(self) -> int:
        return self._count + len(self._added)

    def add(self, more: Values, count: int) -> None:
        """Take more values behind those that are there.

        They are read at once: kept as they came, many small additions would hold far more than they say.
        """
        self._added += more.at(np.arange(count))

    def at(self, places: Codes) -> list[object]:
        """Return the values at some places, which lie within the dictionary."""
        first = places < self._count
        found = self._values.at(places[first])
        if len(found) == len(places):
            return found
        # Places come in order, as they are the distinct ones.
        return found + [self._added[at] for at in (places[~first] - self._count).tolist()]


class Batch(NamedTuple):
    """A record batch."""

    rows: int
    columns: list[Values]
    metadata: dict[str, str]


class _Guard:
    """Says of any bytes that make no sense that they cannot be read."""

    def __enter__(self) -> None: ...

    def __exit__(self, kind: object, error: BaseException | None, traceback: object) -> None:
        if isinstance(error, BadStream):
            return
        if isinstance(error, ValueError | struct.error | OverflowError | UnicodeDecodeError):
            raise BadStream(f"the Arrow stream is damaged: {str(error)[:100]}") from None


def _list_of(values: list[Any], valid: Bits | None) -> list[object]:
    if valid is None:
        return values
    return [value if there else None for value, there in zip(values, valid.tolist(), strict=True)]


class _Message(NamedTuple):
    kind: int
    header: FlatTable
    body: memoryview
    metadata: dict[str, str]


def read_stream(chunks: Iterable[Buffer], most: int = MAX_METADATA) -> tuple[Schema, Iterator[Batch]]:
    """Return the schema of a stream, and its record batches as they are asked for.

    Parameters
    ----------
    chunks : iterable of bytes
    most : int
        Largest metadata of a message [bytes].

    Raises
    ------
    BadStream
        If it is no Arrow stream, or holds what is not read here.
    """
    messages = _messages(chunks, most)
    first = next(messages, None)
    if first is None or first.kind != _SCHEMA:
        raise BadStream("an Arrow IPC stream belongs here, which begins with a schema")
    with _Guard():
        schema = _schema(first.header)
    return schema, _batches(schema, messages)


def _messages(chunks: Iterable[Buffer], most: int) -> Iterator[_Message]:
    come = _Come(chunks)
    while start := come.take(4, may_end=True):
        (size,) = struct.unpack("<I", start)
        if size == _CONTINUATION:
            (size,) = struct.unpack("<I", come.take(4))
        if size == 0:
            return
        if size > most:
            raise BadStream("it is no Arrow IPC stream (nor is an Arrow file; write a stream)")
        with _Guard():
            message = FlatTable.root(bytes(come.take(size)))
            kind, length = message.number(_HEADER_TYPE, "<B"), message.number(_BODY_LENGTH, "<q")
            header, metadata = message.table(_HEADER), _metadata(message, _MESSAGE_METADATA)
        if not 0 <= length <= MAX_MESSAGE:
            raise BadStream(f"a record batch of {length} bytes; write batches of at most {MAX_MESSAGE} bytes")
        yield _Message(kind, header, come.take(length), metadata)


class _Come:
    """Bytes that come in pieces; what lies in one piece is not copied."""

    def __init__(self, chunks: Iterable[Buffer]) -> None:
        self._chunks = iter(chunks)
        self._piece = memoryview(b"")

    def take(self, size: int, may_end: bool = False) -> memoryview:
        if not size:
            return memoryview(b"")
        if not self._piece:
            self._piece = self._next()
            if not self._piece and may_end:
                return self._piece
        if size <= len(self._piece):
            return self._cut(size)
        # Pieces are let go as they are copied, so that a message is held once; and memory that is not zeroed is not
        # taken before the bytes are there, whatever length the message says.
        taken = np.empty(size, np.uint8).data
        at = 0
        while at < size:
            if not self._piece:
                self._piece = self._next()
                if not self._piece:
                    raise BadStream("the Arrow stream ends in the middle of a message")
            piece = self._cut(size - at)
            taken[at : at + len(piece)] = piece
            at += len(piece)
        return taken.toreadonly()

    def _next(self) -> memoryview:
        """Return the next piece that is not empty; an empty one in the end."""
        return next((memoryview(chunk).cast("B") for chunk in self._chunks if len(chunk)), memoryview(b""))

    def _cut(self, most: int) -> memoryview:
        """Return as much of the piece at hand as there is and is wanted."""
        cut, self._piece = self._piece[:most], self._piece[most:]
        return cut


def _schema(header: FlatTable) -> Schema:
    if header.number(_ENDIANNESS, "<h"):
        raise BadStream("the Arrow stream is big-endian; write it little-endian")
    fields: list[Field] = []
    for table in header.tables(_FIELDS):
        if len(fields) == _MAX_FIELDS:
            raise BadStream(f"the Arrow stream has more than {_MAX_FIELDS} columns")
        fields.append(_field(table))
    return Schema(fields, _metadata(header, _SCHEMA_METADATA))


def _field(table: FlatTable) -> Field:
    form, dtype = _form(table.number(_TYPE_TYPE, "<B"), table)
    dictionary, index_dtype = None, ""
    if table.has(_DICTIONARY_ENCODING):
        encoding = table.table(_DICTIONARY_ENCODING)
        dictionary = encoding.number(_ID, "<q")
        index_dtype = _integer(encoding.table(1)) if encoding.has(1) else "<i4"
    unit = _metadata(table, _FIELD_METADATA).get("unit")
    return Field(table.text(_NAME), unit, form, dtype, dictionary, index_dtype)


def _form(kind: int, table: FlatTable) -> tuple[str, str]:
    form = _FORMS.get(kind, f"number {kind}")
    if form == "integer":
        return form, _integer(table.table(_TYPE))
    if form == "number":
        precision = table.table(_TYPE).number(0, "<h")
        if precision not in _NUMBERS:
            raise Damaged("a number is of no known precision")
        return form, _NUMBERS[precision]
    return form, ""


def _integer(table: FlatTable) -> str:
    known = _INTEGERS.get((table.number(0, "<i"), bool(table.number(1, "<B"))))
    if known is None:
        raise Damaged("a whole number is of no known width")
    return known


def _metadata(table: FlatTable, slot: int) -> dict[str, str]:
    return {pair.text(0): pair.text(1) for pair in table.tables(slot)}


def _batches(schema: Schema, messages: Iterator[_Message]) -> Iterator[Batch]:
    dictionaries = _Dictionaries(schema)
    for message in messages:
        if message.kind == _DICTIONARY:
            with _Guard():
                dictionaries.take(message)
        elif message.kind == _BATCH:
            with _Guard():
                batch = _Batch(message.header, message.body)
                columns = [batch.column(field, dictionaries.found) for field in schema.fields]
            yield Batch(batch.rows, columns, message.metadata)
        else:
            raise BadStream("the Arrow stream holds something other than dictionaries and record batches")


class _Dictionaries:
    """Dictionaries of a stream by their ids; what they hold together is bounded."""

    def __init__(self, schema: Schema) -> None:
        self._fields = {field.dictionary: field for field in schema.fields if field.dictionary is not None}
        self._bytes: dict[int, int] = {}
        self.found: dict[int, Entries] = {}

    def take(self, message: _Message) -> None:
        key = message.header.number(_ID, "<q")
        field = self._fields.get(key)
        if field is None:
            raise Damaged("a dictionary belongs to no column")
        if field.form == "null":
            raise Damaged("a dictionary holds values of no type")
        batch = _Batch(message.header.table(_DATA), message.body)
        added = bool(message.header.number(_IS_DELTA, "<B"))
        kept = 0 if added else len(self.found.get(key, ()))
        entries = sum(map(len, self.found.values())) - kept + batch.rows
        self._bytes[key] = len(message.body) + (self._bytes.get(key, 0) if added else 0)
        if entries > MAX_ENTRIES or sum(self._bytes.values()) > MAX_DICTIONARIES:
            raise BadStream(
                f"dictionaries of {entries} values and {sum(self._bytes.values())} bytes; all together at most "
                f"{MAX_ENTRIES} and {MAX_DICTIONARIES}"
            )
        values = batch.column(field._replace(dictionary=None), {})
        if added and key in self.found:
            # Places already in use stay what they are, so the entries may grow where they are.
            self.found[key].add(values, batch.rows)
        else:
            self.found[key] = Entries(values, batch.rows)


class _Batch:
    """Takes the columns of a record batch, one after the other."""

    def __init__(self, header: FlatTable, body: memoryview) -> None:
        if header.has(_COMPRESSION):
            raise BadStream("packed record batches are not read; write the Arrow stream without compression")
        self.rows = header.number(_LENGTH, "<q")
        if not 0 <= self.rows <= _MAX_ROWS:
            raise BadStream(f"a record batch of {self.rows} rows; write batches of at most {_MAX_ROWS} rows")
        self._body = body
        self._nodes = iter(header.structs(_NODES, "<qq"))
        self._buffers = iter(header.structs(_BUFFERS, "<qq"))
        self._variadic = iter(header.structs(_VARIADIC, "<q"))

    def column(self, field: Field, dictionaries: Mapping[int, Entries]) -> Values:
        if not field.is_read:
            raise Damaged("a column is of a type that is not read")
        length, nulls = next(self._nodes, (-1, 0))
        if length != self.rows:
            raise Damaged("a column is of another length than its record batch")
        if field.dictionary is not None:
            if field.dictionary not in dictionaries:
                raise Damaged("a dictionary is missing")
            valid = self._valid(nulls)
            places = self._array(field.index_dtype, length)
            return Values(field.form, valid, places, [], dictionaries[field.dictionary])
        if field.form == "null":
            return Values(field.form, None, np.zeros(0), [], None)
        valid = self._valid(nulls)
        if field.form == "truth":
            return Values(field.form, valid, self._bits(), [], None)
        if field.form in ("text", "long text"):
            dtype = "<i4" if field.form == "text" else "<i8"
            ends = self._array(dtype, length + 1) if length else np.zeros(1, dtype)
            if not length:
                self._buffer()
            return Values(field.form, valid, ends, [self._buffer()], None)
        if field.form == "text view":
            views = self._array("u1", 16 * length).reshape(length, 16)
            (more,) = next(self._variadic, (0,))
            return Values(field.form, valid, views, [self._buffer() for _ in range(self._few(more))], None)
        return Values(field.form, valid, self._array(field.dtype, length), [], None)

    def _few(self, count: int) -> int:
        if not 0 <= count <= _MAX_ROWS:
            raise Damaged("a column of texts has too many buffers")
        return count

    def _buffer(self) -> memoryview:
        at, length = next(self._buffers, (-1, 0))
        if at < 0 or length < 0 or at + length > len(self._body):
            raise Damaged("a buffer lies outside its message")
        return self._body[at : at + length]

    def _array(self, dtype: str, length: int) -> npt.NDArray[Any]:
        return np.frombuffer(self._buffer(), dtype, length)

    def _bits(self) -> Bits:
        packed = np.frombuffer(self._buffer(), np.uint8)
        if 8 * len(packed) < self.rows:
            raise Damaged("a buffer of bits is too short")
        return np.unpackbits(packed, count=self.rows, bitorder="little").astype(np.bool_)

    def _valid(self, nulls: int) -> Bits | None:
        if nulls == 0:
            self._buffer()
            return None
        return self._bits()
