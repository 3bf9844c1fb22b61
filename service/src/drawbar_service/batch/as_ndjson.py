"""NDJSON, a JSON object a line: the scenario in the first, then a row in each."""

from collections.abc import Iterable, Iterator
from itertools import chain, islice
from types import NoneType
from typing import Any

import msgspec

from drawbar_service.api.answers import About
from drawbar_service.api.faults import Fault
from drawbar_service.api.wire import UnreadableBody
from drawbar_service.batch.cells import texts
from drawbar_service.batch.parts import PART_ROWS, WRITTEN_ROWS, Part, Table, lines_of, named, read_head
from drawbar_service.batch.plan import Given
from drawbar_service.batch.table import Block, Column, sliced
from drawbar_service.batch.varied import is_huge

_ROWS = msgspec.json.Decoder(dict[str, Any])


def read(chunks: Iterable[bytes]) -> Table:
    """Read the first line, and the others as they are asked for.

    Raises
    ------
    UnreadableBody
        If there is nothing, or what is there is no JSON.
    ImpossibleInput
        If the first line is not what goes ahead of rows, or the first row names no columns.
    """
    lines = (line for line in lines_of(chunks) if line.strip())
    head = next(lines, None)
    first = next(lines, None)
    if head is not None and first is None:
        read_head(head, "line 1", alone=True)
    if head is None or first is None:
        raise UnreadableBody('the first line holds the scenario, as {"scenario": {...}}; after it comes a row a line')
    told = read_head(head, "line 1")
    try:
        names = _ROWS.decode(first)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        raise UnreadableBody(f"line 2, the first row, is no JSON object: {str(error)[:200]}") from None
    columns = named(names, told)
    return Table(told, _parts(chain([first], lines), columns))


def _parts(lines: Iterator[bytes], columns: list[tuple[str, str | None]]) -> Iterator[Part]:
    wanted = {pointer for pointer, _ in columns}
    while some := list(islice(lines, PART_ROWS)):
        rows, unreadable = _rows(some)
        for at, row in enumerate(rows):
            if row.keys() - wanted and at not in unreadable:
                extra = ", ".join(sorted(row.keys() - wanted))
                unreadable[at] = f"the first row has no column {extra[:80]!r}, so no other can have it"
        yield Part({pointer: _given([row.get(pointer) for row in rows], unit) for pointer, unit in columns}, unreadable)


def _given(values: list[object], unit: str | None) -> Given:
    if unit is None:
        return Given(values)
    if {type(value) for value in values} <= {float, int, NoneType} and not any(map(is_huge, values)):
        return Given(values, unit)
    # Something is written otherwise: read one by one, so that each is told what is wrong with it.
    return Given([{"value": value, "unit": unit} if type(value) in (float, int) else value for value in values])


def _rows(lines: list[bytes]) -> tuple[list[dict[str, Any]], dict[int, str]]:
    try:
        rows = _ROWS.decode_lines(b"\n".join(lines))
        if len(rows) == len(lines):
            return rows, {}
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError):
        pass
    rows: list[dict[str, Any]] = []
    unreadable: dict[int, str] = {}
    for at, line in enumerate(lines):
        try:
            rows.append(_ROWS.decode(line))
        except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
            rows.append({})
            unreadable[at] = f"this line is no JSON object: {str(error)[:200]}"
    return rows, unreadable


def write(blocks: Iterable[Block], columns: list[Column], about: About | None) -> Iterator[bytes]:
    """Yield an answer: a line that names columns and units, then a line for each row.

    Parameters
    ----------
    blocks : iterable of Block
    columns : list of Column
        Pointers and units; the values do not matter.
    about : About or None
    """
    named = {column.pointer: {"unit": column.unit} for column in columns}
    yield msgspec.json.encode({"columns": named, "about": about}) + b"\n"
    template = b"".join(b"," + msgspec.json.encode(column.pointer).replace(b"%", b"%%") + b":%b" for column in columns)
    for block in sliced(blocks, WRITTEN_ROWS):
        rows = range(block.first, block.first + len(block.answered))
        line = b'{"row":%d' + template + b"}\n"
        written = [line % row for row in zip(rows, *(texts(column, block) for column in block.columns), strict=True)]
        faults: dict[int, list[Fault]] = {}
        for fault in block.faults:
            faults.setdefault(fault.row, []).append(Fault(fault.pointer, fault.detail))
        for row, found in faults.items():
            written[row - block.first] = msgspec.json.encode({"row": row, "faults": found}) + b"\n"
        yield b"".join(written)
