import struct
from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate
from typing import Any, Literal, NamedTuple, TypeAlias
import numpy as np
import numpy.typing as npt
from drawbar._flat_buffers import Members, Scalar, Structs, flat_bytes
Bits: TypeAlias = npt.NDArray[np.bool_]
Numbers: TypeAlias = npt.NDArray[Any]
Form: TypeAlias = Literal['number', 'truth', 'text', 'coded']
Pieces: TypeAlias = 'list[bytes | memoryview]'
END = b'\xff\xff\xff\xff\x00\x00\x00\x00'
_VERSION = 4
_SCHEMA, _DICTIONARY, _BATCH = (1, 2, 3)
_INTEGER, _FLOAT, _TEXT, _TRUTH = (2, 3, 5, 6)
_STEP = 64

class Kind(NamedTuple):
    name: str
    form: Form
    metadata: Mapping[str, str]
    dtype: str = '<f8'
    dictionary: int = 0

class Held(NamedTuple):
    rows: int
    nulls: int
    buffers: list[Pieces]

def numbers(values: Sequence[Numbers], valid: Bits | None=None) -> Held:
    ...

def truths(values: Bits, valid: Bits | None=None) -> Held:
    ...

def texts(values: Sequence[str | None]) -> Held:
    ...

def no_texts(rows: int) -> Held:
    ...

def _held(rows: int, valid: Bits | None, data: Pieces) -> Held:
    ...

def _bytes(values: Numbers) -> memoryview:
    ...

def _packed(bits: Bits) -> memoryview:
    ...

def schema(kinds: Iterable[Kind], metadata: Mapping[str, str]) -> bytes:
    ...

def _field(kind: Kind) -> Members:
    ...

def _type(kind: Kind) -> tuple[int, Members]:
    ...

def _pairs(metadata: Mapping[str, str]) -> list[Members]:
    ...

def record_batch(columns: Sequence[Held], metadata: Mapping[str, str] | None=None) -> Pieces:
    ...

def dictionary(key: int, values: Sequence[str]) -> Pieces:
    ...

def _body(columns: Sequence[Held]) -> tuple[Members, Pieces]:
    ...

def _message(kind: int, header: Members, body: Pieces, metadata: Mapping[str, str]) -> Pieces:
    ...
