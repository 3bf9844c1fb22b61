"""Columns in JSON and MessagePack, read and written whole."""

import struct
from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, Any, NamedTuple

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import About
from drawbar_service.api.faults import MAX_FAULTS, Fault, ImpossibleInput, find_faults
from drawbar_service.api.v1.batch.request import MAX_VALUES, BatchRequest, Cells, Pointer, VariedValues
from drawbar_service.api.wire import JSON, UnreadableBody
from drawbar_service.batch.cells import cells, listed
from drawbar_service.batch.plan import Given, Mode
from drawbar_service.batch.table import Block, Coded, Column
from drawbar_service.engine.arrays import FloatArray

PIECE_ROWS = 16_384
"""Values written in one go; while they are, no other thread runs."""


MOST_ROW_FAULTS = 10_000
"""Most faults of rows in an answer that is made whole."""


class Asked(NamedTuple):
    """A batch as it was asked for."""

    scenario: dict[str, Any]
    vary: dict[str, Given]
    mode: Mode
    columns: list[str] | None


class _Numbers(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    values: Annotated[list[float | None], Meta(max_length=MAX_VALUES)]
    unit: str


_MEMBERS = 8
"""Quotation marks around the members of numbers in a unit: a column with more holds texts."""


class _Usual(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A request as most are; its columns are read one by one, for a number takes four times as much in a list."""

    scenario: dict[str, Any]
    vary: dict[str, msgspec.Raw]
    mode: Mode = "zip"
    columns: list[Pointer] | None = None


class _Outline(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Any request, so that each leaf is read by itself and its faults are told where they are."""

    scenario: dict[str, Any]
    vary: dict[str, Any]
    mode: Mode = "zip"
    columns: list[Pointer] | None = None


def read(body: bytes, media_type: str) -> Asked:
    """Read a body.

    Raises
    ------
    UnreadableBody
        If the bytes are not well-formed.
    ImpossibleInput
        With every fault, if they are but are no such request.
    """
    decode: Callable[..., Any] = msgspec.json.decode if media_type == JSON else msgspec.msgpack.decode
    try:
        try:
            usual: _Usual = decode(body, type=_Usual)
            vary = {pointer: _given(_column(raw, media_type)) for pointer, raw in usual.vary.items()}
        except msgspec.ValidationError:
            return _read_in_full(decode(body))
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        name = "JSON" if media_type == JSON else "MessagePack"
        raise UnreadableBody(f"it is not well-formed {name}: {str(error)[:200]}") from None
    return Asked(usual.scenario, vary, usual.mode, usual.columns)


def _column(raw: msgspec.Raw, media_type: str) -> list[Any] | _Numbers:
    """Return the values of a column; those of a MessagePack list that is too long are not even looked at."""
    if media_type != JSON:
        return msgspec.msgpack.decode(raw, type=Cells | _Numbers)
    text = bytes(raw)
    if text.count(b",") > MAX_VALUES and text.count(b'"') <= _MEMBERS:
        raise msgspec.ValidationError(f"more than {MAX_VALUES} values")
    return msgspec.json.decode(text, type=Cells | _Numbers)


def _given(values: list[Any] | _Numbers) -> Given:
    if isinstance(values, _Numbers):
        return Given(np.array(values.values, dtype=np.float64), values.unit)
    if set(map(type, values)) != {str}:
        return Given(values)
    places: dict[str, int] = {}
    codes = [places.setdefault(value, len(places)) for value in values]
    return Given(Coded(np.array(codes, dtype=np.intp), list(places)))


def _read_in_full(members: object) -> Asked:
    try:
        outline = msgspec.convert(members, _Outline)
    except msgspec.ValidationError as error:
        raise ImpossibleInput(find_faults(members, BatchRequest) or [Fault("", str(error))]) from None
    faults: list[Fault] = []
    vary: dict[str, Given] = {}
    for pointer, given in outline.vary.items():
        place = f"/vary/{pointer[:200].replace('~', '~0').replace('/', '~1')}"
        found = find_faults(given, Cells if isinstance(given, list) else VariedValues)
        faults += [Fault(f"{place}{fault.pointer}", fault.detail) for fault in found]
        if not found:
            read = Given(given) if isinstance(given, list) else _series(given, place, faults)
            if read is not None:
                vary[pointer] = read
    if faults:
        raise ImpossibleInput(faults[:MAX_FAULTS])
    return Asked(outline.scenario, vary, outline.mode, outline.columns)


def _series(members: object, place: str, faults: list[Fault]) -> Given | None:
    series = msgspec.convert(members, VariedValues)
    spaced = [series.first, series.last, series.count]
    if series.values is not None:
        if spaced != [None, None, None]:
            faults.append(Fault(place, "values, or first, last and count; not both"))
            return None
        if series.unit is None:
            return Given(series.values)
        if {type(value) for value in series.values} <= {float, int, type(None)}:
            return Given(np.array(series.values, dtype=np.float64), series.unit)
        faults.append(Fault(f"{place}/values", "with a unit, plain numbers belong here"))
        return None
    if series.first is None or series.last is None or series.count is None:
        faults.append(Fault(place, "values belong here, or first, last and count"))
        return None
    numbers = np.linspace(series.first, series.last, series.count)
    return Given(numbers, series.unit)


def write_json(blocks: Iterable[Block], columns: list[Column], about: About | None) -> Iterator[bytes]:
    """Yield an answer in JSON.

    Parameters
    ----------
    blocks : iterable of Block
    columns : list of Column
        Pointers and units; the values do not matter.
    about : About or None
    """
    kept = _kept(blocks)
    encode = msgspec.json.encode
    yield b'{"rows":%d,"columns":{' % _rows(kept)
    for at, column in enumerate(columns):
        yield b'%b%b:{"unit":%b,"values":[' % (b"," if at else b"", encode(column.pointer), encode(column.unit))
        # JSON has no NaN, so msgspec writes null for it.
        for number, piece in enumerate(_pieces(kept, at, np.ndarray.tolist)):
            yield (b"," if number else b"") + encode(piece)[1:-1]
        yield b"]}"
    yield b'},"faults":['
    for number, piece in enumerate(_fault_pieces(kept)):
        yield (b"," if number else b"") + encode(piece)[1:-1]
    yield b'],"about":%b}' % encode(about)


def write_msgpack(blocks: Iterable[Block], columns: list[Column], about: About | None) -> Iterator[bytes]:
    """Yield an answer in MessagePack.

    Parameters
    ----------
    blocks : iterable of Block
    columns : list of Column
        Pointers and units; the values do not matter.
    about : About or None
    """
    kept = _kept(blocks)
    encode = msgspec.msgpack.encode
    rows = _rows(kept)
    yield _map(4) + encode("rows") + encode(rows) + encode("columns") + _map(len(columns))
    for at, column in enumerate(columns):
        yield encode(column.pointer) + _map(2) + encode("unit") + encode(column.unit) + encode("values") + _list(rows)
        for piece in _pieces(kept, at, listed):
            yield _without_head(encode(piece), len(piece))
    yield encode("faults") + _list(sum(len(block.faults) for block in kept))
    for piece in _fault_pieces(kept):
        yield _without_head(encode(piece), len(piece))
    yield encode("about") + encode(about)


def _kept(blocks: Iterable[Block]) -> list[Block]:
    kept: list[Block] = []
    faults = 0
    for block in blocks:
        kept.append(block)
        faults += len(block.faults)
        if faults > MOST_ROW_FAULTS:
            first = next(one.faults[0] for one in kept if one.faults)
            raise ImpossibleInput(
                [Fault(first.pointer, f"row {first.row}, and more than {MOST_ROW_FAULTS} others: {first.detail}")]
            )
    return kept


def _rows(blocks: list[Block]) -> int:
    return sum(len(block.answered) for block in blocks)


def _pieces(blocks: list[Block], at: int, as_list: Callable[[FloatArray], list[Any]]) -> Iterator[list[Any]]:
    """Yield the values of a column, some at a time."""
    for block in blocks:
        values = cells(block.columns[at], block)
        for start in range(0, len(values), PIECE_ROWS):
            some = values[start : start + PIECE_ROWS]
            yield some if isinstance(some, list) else as_list(some)


def _fault_pieces(blocks: list[Block]) -> Iterator[list[Any]]:
    for block in blocks:
        for start in range(0, len(block.faults), PIECE_ROWS):
            yield block.faults[start : start + PIECE_ROWS]


def _map(length: int) -> bytes:
    return struct.pack(">BH", 0xDE, length)


def _list(length: int) -> bytes:
    return struct.pack(">BI", 0xDD, length)


def _without_head(encoded: bytes, length: int) -> bytes:
    """Return the items of a MessagePack list without what says how many they are."""
    return encoded[1 if length < 16 else 3 if length < 65_536 else 5 :]
