import struct
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple, TypeAlias, cast
import numpy as np
import numpy.typing as npt
from drawbar._flat_buffers import Damaged, FlatTable
MAX_MESSAGE = 67108864
MAX_METADATA = 1048576
_MAX_ROWS = MAX_MESSAGE // 8
_MAX_FIELDS = 256
MAX_ENTRIES = 1048576
_CONTINUATION = 4294967295
_SCHEMA, _DICTIONARY, _BATCH = (1, 2, 3)
_HEADER_TYPE, _HEADER, _BODY_LENGTH, _MESSAGE_METADATA = (1, 2, 3, 4)
_ENDIANNESS, _FIELDS, _SCHEMA_METADATA = (0, 1, 2)
_NAME, _TYPE_TYPE, _TYPE, _DICTIONARY_ENCODING, _CHILDREN, _FIELD_METADATA = (0, 2, 3, 4, 5, 6)
_LENGTH, _NODES, _BUFFERS, _COMPRESSION, _VARIADIC = (0, 1, 2, 3, 4)
_ID, _DATA, _IS_DELTA = (0, 1, 2)
_FORMS = {1: 'null', 2: 'integer', 3: 'number', 5: 'text', 6: 'truth', 20: 'long text', 24: 'text view'}
_NUMBERS: Mapping[int, str] = {0: '<f2', 1: '<f4', 2: '<f8'}
_INTEGERS: Mapping[tuple[int, bool], str] = {(8 * size, signed): f"<{('i' if signed else 'u')}{size}" for size in (1, 2, 4, 8) for signed in (True, False)}
Bits: TypeAlias = npt.NDArray[np.bool_]
Codes: TypeAlias = npt.NDArray[np.intp]
Buffer: TypeAlias = bytes | bytearray | memoryview

class BadStream(ValueError):
    ...

class Field(NamedTuple):
    name: str
    unit: str | None
    form: str
    dtype: str
    dictionary: int | None
    index_dtype: str

    @property
    def is_read(self) -> bool:
        ...

class Schema(NamedTuple):
    fields: list[Field]
    metadata: dict[str, str]

class Values(NamedTuple):
    form: str
    valid: Bits | None
    numbers: npt.NDArray[Any]
    buffers: list[memoryview]
    dictionary: list[object] | None

    def some(self, start: int, stop: int) -> npt.NDArray[Any] | list[object]:
        ...

    def coded(self, start: int, stop: int) -> tuple[Codes, list[object]]:
        ...

    def _listed(self, start: int, stop: int, valid: Bits | None) -> list[object]:
        ...

    def _viewed(self, views: npt.NDArray[np.uint8], valid: Bits | None) -> list[object]:
        ...

    def _cut(self, view: bytes, length: int) -> str:
        ...

class Batch(NamedTuple):
    rows: int
    columns: list[Values]
    metadata: dict[str, str]

class _Guard:

    def __enter__(self) -> None:
        ...

    def __exit__(self, kind: object, error: BaseException | None, traceback: object) -> None:
        ...

def _list_of(values: list[Any], valid: Bits | None) -> list[object]:
    ...

class _Message(NamedTuple):
    kind: int
    header: FlatTable
    body: memoryview
    metadata: dict[str, str]

def read_stream(chunks: Iterable[Buffer], most: int=MAX_METADATA) -> tuple[Schema, Iterator[Batch]]:
    ...

def _messages(chunks: Iterable[Buffer], most: int) -> Iterator[_Message]:
    ...

class _Come:

    def __init__(self, chunks: Iterable[Buffer]) -> None:
        ...

    def take(self, size: int, may_end: bool=False) -> memoryview:
        ...

    def _cut(self, most: int) -> memoryview:
        ...

def _schema(header: FlatTable) -> Schema:
    ...

def _field(table: FlatTable) -> Field:
    ...

def _form(kind: int, table: FlatTable) -> tuple[str, str]:
    ...

def _integer(table: FlatTable) -> str:
    ...

def _metadata(table: FlatTable, slot: int) -> dict[str, str]:
    ...

def _batches(schema: Schema, messages: Iterator[_Message]) -> Iterator[Batch]:
    ...

class _Dictionaries:

    def __init__(self, schema: Schema) -> None:
        ...

    def take(self, message: _Message) -> None:
        ...

class _Batch:

    def __init__(self, header: FlatTable, body: memoryview) -> None:
        ...

    def column(self, field: Field, dictionaries: Mapping[int, list[object]]) -> Values:
        ...

    def _few(self, count: int) -> int:
        ...

    def _buffer(self) -> memoryview:
        ...

    def _array(self, dtype: str, length: int) -> npt.NDArray[Any]:
        ...

    def _bits(self) -> Bits:
        ...

    def _valid(self, nulls: int) -> Bits | None:
        ...
