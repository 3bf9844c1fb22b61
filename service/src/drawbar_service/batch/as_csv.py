"""CSV (RFC 4180): units in the header, ``/speed [km/h]``; the scenario ahead of it, after ``#``."""

import csv
from collections.abc import Callable, Iterable, Iterator
from itertools import chain, islice

import msgspec

from drawbar_service.api.answers import About
from drawbar_service.api.v1.batch.request import TableHead
from drawbar_service.api.wire import UnreadableBody
from drawbar_service.batch.cells import fault_texts, texts
from drawbar_service.batch.leaves import ValueKind
from drawbar_service.batch.parts import (
    LOST_BREAKS,
    PART_ROWS,
    WRITTEN_ROWS,
    Part,
    Table,
    lines_of,
    named,
    read_head,
)
from drawbar_service.batch.plan import Given
from drawbar_service.batch.table import Block, Column, sliced

_TRUTHS = {"true": True, "false": False}
FAULT = "fault"
"""Name of the column that says what is wrong with a row."""


def read(chunks: Iterable[bytes], kind_of: Callable[[str], ValueKind | None]) -> Table:
    """Read the header, and the rows as they are asked for.

    Parameters
    ----------
    chunks : iterable of bytes
    kind_of : callable
        What kind of value a pointer leads to, None if it leads nowhere.

    Raises
    ------
    UnreadableBody
        If there is no header and no row, or the text is not UTF-8.
    ImpossibleInput
        If what goes ahead of the rows is wrong, or a column is named twice.
    """
    lines = lines_of(chunks)
    first = next(lines, b"").removeprefix(b"\xef\xbb\xbf")
    head = TableHead()
    if first.startswith(b"#"):
        second = next(lines, None)
        head = read_head(first[1:], "line 1", alone=second is None)
        lines = chain(() if second is None else [second], lines)
    else:
        lines = chain([first], lines)
    rows = csv.reader(f"{text}\n" for text in _decoded(lines))
    try:
        names = next(rows, None)
        leading = next(rows, None)
    except csv.Error as error:
        raise UnreadableBody(f"it is no CSV: {error}") from None
    if names is None or leading is None:
        hint = f"; {LOST_BREAKS}" if names is not None and head == TableHead() else ""
        raise UnreadableBody(f"a header and at least one row belong here, such as: /speed [km/h]{hint}")
    if len(names) == 1 and ";" in names[0]:
        raise UnreadableBody("the columns are separated by ;, but a comma belongs there, and a point in numbers")
    columns = named(names, head)
    kinds: list[ValueKind | None] = [kind_of(pointer) for pointer, _ in columns]
    return Table(head, _parts(chain([leading], rows), columns, kinds))


def _decoded(lines: Iterable[bytes]) -> Iterator[str]:
    for line in lines:
        try:
            yield line.decode("utf-8")
        except UnicodeDecodeError:
            raise UnreadableBody("its text is not UTF-8") from None


def _parts(
    rows: Iterator[list[str]], columns: list[tuple[str, str | None]], kinds: list[ValueKind | None]
) -> Iterator[Part]:
    while some := _some(rows, len(columns)):
        unreadable = {
            at: f"{len(row)} cells in a table of {len(columns)} columns"
            for at, row in enumerate(some)
            if len(row) != len(columns)
        }
        for at in unreadable:
            some[at] = [""] * len(columns)
        vary = {
            pointer: _given(list(texts), unit, kind)
            for (pointer, unit), kind, texts in zip(columns, kinds, zip(*some, strict=True), strict=True)
        }
        yield Part(vary, unreadable)


def _some(rows: Iterator[list[str]], width: int) -> list[list[str]]:
    try:
        # The reader gives an empty list for an empty line, which is a row only where there is a single column.
        return list(islice((row or [""] for row in rows if row or width == 1), PART_ROWS))
    except csv.Error as error:
        raise UnreadableBody(f"it is no CSV: {error}") from None


def _given(texts: list[str], unit: str | None, kind: ValueKind | None) -> Given:
    if unit is not None:
        numbers = _numbers(texts)
        if numbers is not None:
            return Given(numbers, unit)
        # Something is no number: read one by one, so that each is told what is wrong with it.
        return Given([f"{text} {unit}" if text and unit != "1" else text or None for text in texts])
    if kind == "flag":
        return Given([_TRUTHS.get(text.lower(), text or None) for text in texts])
    if kind == "number":
        return Given([_number(text) for text in texts])
    return Given([text or None for text in texts])


def _numbers(texts: list[str]) -> list[float] | None:
    try:
        # Python reads 1_000 as a number; nobody else does.
        return None if "_" in "".join(texts) else list(map(float, texts))
    except ValueError:
        return None


def _number(text: str) -> object:
    numbers = _numbers([text])
    if numbers is None:
        return text or None
    return int(numbers[0]) if numbers[0].is_integer() else numbers[0]


def write(blocks: Iterable[Block], columns: list[Column], about: About | None) -> Iterator[bytes]:
    """Yield an answer: a header with units, then a row for each row; the last column says what is wrong with it.

    Parameters
    ----------
    blocks : iterable of Block
    columns : list of Column
        Pointers and units; the values do not matter.
    about : About or None
        Has no place in CSV.
    """
    names = [f"{column.pointer} [{column.unit}]" if column.unit else column.pointer for column in columns]
    yield b",".join(map(_quoted, [*names, FAULT])) + b"\r\n"
    for block in sliced(blocks, WRITTEN_ROWS):
        written = [_cells(column, block) for column in block.columns]
        faults = [b"" if text is None else _quoted(text) for text in fault_texts(block)]
        yield b"\r\n".join(map(b",".join, zip(*written, faults, strict=True))) + b"\r\n"


def _cells(column: Column, block: Block) -> list[bytes]:
    if isinstance(column.values, list):
        known: dict[bytes, bytes] = {}
        for text in set(found := texts(column, block)):
            value = msgspec.json.decode(text)
            known[text] = b"" if value is None else _quoted(value)
        return [known[text] for text in found]
    return [b"" if text == b"null" else text for text in texts(column, block)]


def _quoted(text: str) -> bytes:
    if any(sign in text for sign in ',"\r\n'):
        text = '"' + text.replace('"', '""') + '"'
    return text.encode()
