"""What all readers of rows share: parts of a table, lines of a body that comes in pieces."""

from collections.abc import Iterable, Iterator
from itertools import chain
from typing import NamedTuple

import msgspec

from drawbar_service.api.faults import Fault, ImpossibleInput, find_faults
from drawbar_service.api.v1.batch.request import TableHead
from drawbar_service.api.wire import UnreadableBody
from drawbar_service.batch.plan import Given

PART_ROWS = 32_768
"""Most rows read before they are worked."""
WRITTEN_ROWS = 8_192
"""Rows that are written as text at a time: a row of text takes ten times the memory of its numbers."""
MAX_LINE = 1_048_576
"""Longest line [bytes]."""
_PIECE = 65_536
"""How much of a body is cut into lines at a time [bytes]; a caller in the same process hands it over whole."""


class Part(NamedTuple):
    """Rows that follow each other."""

    vary: dict[str, Given]
    """By JSON Pointer into the scenario."""
    unreadable: dict[int, str]
    """What is wrong with rows that could not be read, by their place in the part; their values mean nothing."""


class Table(NamedTuple):
    """A body whose rows come in parts."""

    head: TableHead
    parts: Iterator[Part]


LOST_BREAKS = "line breaks lost? curl keeps them with --data-binary in place of -d"
"""Said of a table that is a single line."""


def lines_of(chunks: Iterable[bytes]) -> Iterator[bytes]:
    """Yield the lines of a body, without their ends.

    Raises
    ------
    UnreadableBody
        If a line is too long.
    """
    rest = b""
    for piece in chain.from_iterable(map(_pieces, chunks)):
        *whole, rest = (rest + piece).split(b"\n") if rest else piece.split(b"\n")
        for line in whole:
            yield _line(line)
        if len(rest) > MAX_LINE:
            raise UnreadableBody(f"a line is longer than {MAX_LINE} bytes")
    if rest:
        yield _line(rest)


def _pieces(chunk: bytes) -> Iterator[bytes]:
    return (chunk[start : start + _PIECE] for start in range(0, len(chunk), _PIECE))


def _line(line: bytes) -> bytes:
    if len(line) > MAX_LINE:
        raise UnreadableBody(f"a line is longer than {MAX_LINE} bytes")
    return line.removesuffix(b"\r")


def read_head(text: bytes, place: str, *, alone: bool = False) -> TableHead:
    """Read the JSON that goes ahead of the rows; `alone` says that no line comes after it.

    Raises
    ------
    UnreadableBody
        If it is no JSON.
    ImpossibleInput
        With every fault, if it is no such object.
    """
    try:
        whole = msgspec.json.decode(text)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        hint = f"; {LOST_BREAKS}" if alone else ""
        raise UnreadableBody(f"{place} is not well-formed JSON: {str(error)[:200]}{hint}") from None
    faults = find_faults(whole, TableHead)
    if faults:
        raise ImpossibleInput([Fault(fault.pointer, f"{fault.detail} ({place})") for fault in faults])
    return msgspec.convert(whole, TableHead)


def split_name(name: str) -> tuple[str, str | None]:
    """Return the pointer and the unit of a column called, say, ``/speed [km/h]``."""
    pointer, bracket, unit = name.strip().removesuffix("]").rpartition(" [")
    return (pointer.strip(), unit.strip()) if bracket and name.strip().endswith("]") else (name.strip(), None)


def named(names: Iterable[str], head: TableHead) -> list[tuple[str, str | None]]:
    """Return pointer and unit of every column.

    Raises
    ------
    ImpossibleInput
        If a pointer stands there twice, or a unit is told of a column that is not there.
    """
    found: dict[str, str | None] = {}
    faults: list[Fault] = []
    for name in names:
        pointer, unit = split_name(name)
        if pointer in found:
            faults.append(Fault("/vary", f"the column {pointer[:60]!r} is there twice"))
        found[pointer] = unit if unit is not None else head.units.get(pointer)
    faults += [
        Fault(f"/units/{pointer.replace('~', '~0').replace('/', '~1')}", "there is no such column")
        for pointer in head.units
        if pointer not in found
    ]
    if not found or found.keys() == {""}:
        faults.append(Fault("/vary", "there are no columns; name each by a JSON Pointer such as /speed"))
    if faults:
        raise ImpossibleInput(faults)
    return list(found.items())
