# A copy of drawbar_service.batch.arrow_out, made by openapi/generate.py; edit it there.
"""Arrow IPC streams, written: schema, dictionaries and record batches, after Schema.fbs and Message.fbs.

Buffers are handed on as they are, without a copy; whoever puts them together makes the only one.
"""

import struct
from collections.abc import Iterable, Mapping, Sequence
from itertools import accumulate
from typing import Any, Literal, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar._flat_buffers import Members, Scalar, Structs, flat_bytes

Bits: TypeAlias = npt.NDArray[np.bool_]
Numbers: TypeAlias = npt.NDArray[Any]
Form: TypeAlias = Literal["number", "truth", "text", "coded"]
Pieces: TypeAlias = "list[bytes | memoryview]"

END = b"\xff\xff\xff\xff\0\0\0\0"
"""What ends a stream."""
_VERSION = 4
"""Of the format: V5."""
_SCHEMA, _DICTIONARY, _BATCH = 1, 2, 3
_INTEGER, _FLOAT, _TEXT, _TRUTH = 2, 3, 5, 6
_STEP = 64
"""Buffers begin at multiples of it, as the format recommends."""


class Kind(NamedTuple):
    """A column as the schema describes it."""

    name: str
    form: Form
    """Numbers, truths, texts, or texts by their places in a dictionary."""
    metadata: Mapping[str, str]
    dtype: str = "<f8"
    """Of numbers."""
    dictionary: int = 0
    """Id of the dictionary."""


class Held(NamedTuple):
    """A column of a record batch."""

    rows: int
    nulls: int
    buffers: list[Pieces]
    """Each in pieces that follow each other."""


def numbers(values: Sequence[Numbers], valid: Bits | None = None) -> Held:
    """Return numbers, or places in a dictionary.

    Parameters
    ----------
    values : sequence of ndarray
        Arrays that follow each other, of the type that the schema says.
    valid : ndarray of bool, optional
        Which of them are there.
    """
    return _held(sum(map(len, values)), valid, [_bytes(one) for one in values])


def truths(values: Bits, valid: Bits | None = None) -> Held:
    """Return truths.

    Parameters
    ----------
    values : ndarray of bool
    valid : ndarray of bool, optional
        Which of them are there.
    """
    return _held(len(values), valid, [_packed(values)])


def texts(values: Sequence[str | None]) -> Held:
    """Return texts, None where there is none.

    Parameters
    ----------
    values : sequence of str or None
    """
    written = [b"" if value is None else value.encode() for value in values]
    ends = np.fromiter(accumulate(map(len, written), initial=0), "<i4", len(values) + 1)
    valid = np.fromiter((value is not None for value in values), np.bool_, len(values))
    held = _held(len(values), valid, [_bytes(ends)])
    return held._replace(buffers=[*held.buffers, [b"".join(written)]])


def no_texts(rows: int) -> Held:
    """Return a column of texts of which none is there.

    Parameters
    ----------
    rows : int
    """
    return Held(rows, rows, [[bytes(-(-rows // 8))], [bytes(4 * rows + 4)], []])


def _held(rows: int, valid: Bits | None, data: Pieces) -> Held:
    nulls = 0 if valid is None else rows - int(np.count_nonzero(valid))
    return Held(rows, nulls, [[_packed(valid)] if valid is not None and nulls else [], data])


def _bytes(values: Numbers) -> memoryview:
    return np.ascontiguousarray(values).view(np.uint8).data


def _packed(bits: Bits) -> memoryview:
    return np.packbits(bits, bitorder="little").data


def schema(kinds: Iterable[Kind], metadata: Mapping[str, str]) -> bytes:
    """Return the message that begins a stream.

    Parameters
    ----------
    kinds : iterable of Kind
    metadata : mapping
    """
    header: Members = {1: [_field(kind) for kind in kinds], 2: _pairs(metadata)}
    return b"".join(_message(_SCHEMA, header, [], {}))


def _field(kind: Kind) -> Members:
    number, of_type = _type(kind)
    members: dict[int, Any] = {
        0: kind.name,
        1: Scalar("<B", 1),
        2: Scalar("<B", number),
        3: of_type,
        5: [],
        6: _pairs(kind.metadata),
    }
    if kind.form == "coded":
        members[4] = {0: Scalar("<q", kind.dictionary), 1: {0: Scalar("<i", 32), 1: Scalar("<B", 1)}}
    return members


def _type(kind: Kind) -> tuple[int, Members]:
    if kind.form == "truth":
        return _TRUTH, {}
    if kind.form != "number":
        return _TEXT, {}
    dtype = np.dtype(kind.dtype)
    if dtype.kind == "f":
        return _FLOAT, {0: Scalar("<h", {2: 0, 4: 1, 8: 2}[dtype.itemsize])}
    return _INTEGER, {0: Scalar("<i", 8 * dtype.itemsize), 1: Scalar("<B", dtype.kind == "i")}


def _pairs(metadata: Mapping[str, str]) -> list[Members]:
    return [{0: key, 1: value} for key, value in metadata.items()]


def record_batch(columns: Sequence[Held], metadata: Mapping[str, str] | None = None) -> Pieces:
    """Return the message of a record batch, in pieces.

    Parameters
    ----------
    columns : sequence of Held
        One for each of the schema, all of one length.
    metadata : mapping, optional
        Of this batch.
    """
    return _message(_BATCH, *_body(columns), metadata or {})


def dictionary(key: int, values: Sequence[str]) -> Pieces:
    """Return the message of a dictionary, in pieces; it takes the place of one with the same id.

    Parameters
    ----------
    key : int
        Its id.
    values : sequence of str
    """
    held, body = _body([texts(values)])
    return _message(_DICTIONARY, {0: Scalar("<q", key), 1: held}, body, {})


def _body(columns: Sequence[Held]) -> tuple[Members, Pieces]:
    places: list[tuple[int, int]] = []
    body: Pieces = []
    at = 0
    for buffer in (buffer for column in columns for buffer in column.buffers):
        length = sum(map(len, buffer))
        places.append((at, length))
        body += buffer
        if missing := -length % _STEP:
            body.append(bytes(missing))
        at += length + missing
    nodes = [(column.rows, column.nulls) for column in columns]
    members: Members = {
        0: Scalar("<q", columns[0].rows),
        1: Structs("<qq", nodes),
        2: Structs("<qq", places),
    }
    return members, body


def _message(kind: int, header: Members, body: Pieces, metadata: Mapping[str, str]) -> Pieces:
    members: dict[int, Any] = {
        0: Scalar("<h", _VERSION),
        1: Scalar("<B", kind),
        2: header,
        3: Scalar("<q", sum(map(len, body))),
    }
    if metadata:
        members[4] = _pairs(metadata)
    written = flat_bytes(members)
    written += bytes(-(8 + len(written)) % _STEP)
    return [b"\xff\xff\xff\xff" + struct.pack("<i", len(written)), written, *body]
