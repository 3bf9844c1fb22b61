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
_LONG_LIST = b"\xdd"
"""How MessagePack begins a list of more than 65,535 values."""
_TOO_LONG = f"expected a list of length <= {MAX_VALUES}"


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
            too_long: list[Fault] = []
            return _read_in_full(_members(body, media_type, too_long), too_long)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        name = "JSON" if media_type == JSON else "MessagePack"
        raise UnreadableBody(f"it is not well-formed {name}: {str(error)[:200]}") from None
    return Asked(usual.scenario, vary, usual.mode, usual.columns)


def _column(raw: msgspec.Raw, media_type: str) -> list[Any] | _Numbers:
    """Return the values of a column; those of a list that is too long are not even looked at."""
    if media_type != JSON:
        return msgspec.msgpack.decode(raw, type=Cells | _Numbers)
    if _is_too_long(raw, media_type):
        raise msgspec.ValidationError(_TOO_LONG)
    return msgspec.json.decode(raw, type=Cells | _Numbers)


def _is_too_long(raw: msgspec.Raw, media_type: str) -> bool:
    """Whether a list, in JSON a column in any form, says more values than are taken: of numbers, where it is JSON."""
    text = bytes(raw)
    if media_type == JSON:
        return text.count(b",") > MAX_VALUES and text.count(b'"') <= _MEMBERS
    return text[:1] == _LONG_LIST and int.from_bytes(text[1:5], "big") > MAX_VALUES


def _members(body: bytes, media_type: str, faults: list[Fault]) -> Any:
    """Return the members of a request whose faults are looked for, without lists that are too long.

    A list of four million digits would take ten times its body, only for its length to be named.
    """
    decode: Callable[..., Any] = msgspec.json.decode if media_type == JSON else msgspec.msgpack.decode
    try:
        members = decode(body, type=dict[str, msgspec.Raw])
        columns = decode(members.pop("vary"), type=dict[str, msgspec.Raw])
    except (msgspec.ValidationError, KeyError):
        return decode(body)

    def short(raw: msgspec.Raw, place: str) -> Any:
        if not _is_too_long(raw, media_type):
            return decode(raw)
        faults.append(Fault(place, _TOO_LONG))
        return []

    vary: dict[str, Any] = {}
    for pointer, raw in columns.items():
        place = _place(pointer)
        try:
            inner = decode(raw, type=dict[str, msgspec.Raw])
        except msgspec.ValidationError:
            vary[pointer] = short(raw, place)
        else:
            vary[pointer] = {name: short(given, f"{place}/{name}") for name, given in inner.items()}
    return {name: decode(raw) for name, raw in members.items()} | {"vary": vary}


def _place(pointer: str) -> str:
    return f"/vary/{pointer[:200].replace('~', '~0').replace('/', '~1')}"


def _given(values: list[Any] | _Numbers) -> Given:
    if isinstance(values, _Numbers):
        return Given(np.array(values.values, dtype=np.float64), values.unit)
    if set(map(type, values)) != {str}:
        return Given(values)
    places: dict[str, int] = {}
    codes = np.fromiter((places.setdefault(value, len(places)) for value in values), np.intp, len(values))
    return Given(Coded(codes, list(places)))


def _read_in_full(members: object, faults: list[Fault]) -> Asked:
    try:
        outline = msgspec.convert(members, _Outline)
    except msgspec.ValidationError as error:
        found = faults + find_faults(members, BatchRequest)
        raise ImpossibleInput(found[:MAX_FAULTS] or [Fault("", str(error))]) from None
    vary: dict[str, Given] = {}
    for pointer, given in outline.vary.items():
        place = _place(pointer)
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
