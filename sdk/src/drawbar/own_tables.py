"""Tables of your own: CSV files as `drawbar tables ID --csv` writes them, read for a request or held against ours.

>>> import drawbar
>>> from drawbar.own_tables import read_tables
>>> tables = read_tables({"draft": "my-draft.csv"})  # doctest: +SKIP
>>> client.match(..., tables=tables)  # doctest: +SKIP
"""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, cast, get_args, get_type_hints

import msgspec

from drawbar._names import ROWS
from drawbar.errors import Fault
from drawbar.models import OwnTables, WholeTableAnswer

WORDS_ABOUT: Final = frozenset({"basis", "source", "note", "why", "text", "footnote", "slip_band_source"})
"""Columns of a table that are words about a row; a request has no place for them."""
SAME: Final = 1e-9
"""Relative difference up to which two figures are the same: a file may have been rounded."""
_TABLES: Final = tuple(OwnTables.__struct_fields__)
Row = dict[str, Any]


class BadTable(Exception):  # noqa: N818 - it names the file
    """A file is no table; each fault names the line and the column.

    Parameters
    ----------
    name
        The file.
    faults
        At least one; the pointer is the place in the file.
    """

    def __init__(self, name: str, *faults: Fault) -> None:
        super().__init__(f"{name}: " + "; ".join(f"{one.pointer} {one.detail}".strip() for one in faults))
        self.name = name
        self.faults = faults


@dataclass(frozen=True)
class Difference:
    """One place where a file says something else than our table."""

    row: str
    column: str
    ours: str
    """Empty where our table has nothing there."""
    theirs: str
    """Empty where the file has nothing there."""
    ratio: float | None
    """Theirs over ours, of figures; None where one of them is none, or ours is 0."""


def member(table: str) -> str:
    """Return the member of `tables` in a request that holds rows of a table.

    Parameters
    ----------
    table
        Id of the table, such as "drawbar-per-pto".

    Raises
    ------
    BadTable
        If a request takes no rows of it.
    """
    name = table.replace("-", "_")
    if name not in _TABLES:
        raise BadTable(table, Fault("", f"is no table of figures; there are {', '.join(_TABLES)}"))
    return name


def read_rows(table: str, path: str | Path) -> list[Row]:
    """Read the rows of one table from a CSV file, as a request takes them.

    Parameters
    ----------
    table
        Id of the table; its columns are those of `drawbar tables ID`, in any order, and `id` is always among them.
    path
        CSV, UTF-8. An empty cell leaves a figure as it is; words about a row (source, note) are passed over.

    Raises
    ------
    BadTable
        With every cell that cannot be used.
    """
    name = Path(path).name
    kind = _row_type(member(table))
    fields = {field.name: field.type for field in msgspec.structs.fields(kind)}
    header, lines = _lines(name, Path(path).read_text("utf-8-sig"))
    faults = [
        Fault(f"column {column}", f"is not in the table {table}; it has {', '.join(fields)}")
        for column in header
        if column not in fields and column not in WORDS_ABOUT
    ]
    rows: list[Row] = []
    for line, cells in lines:
        row: Row = {}
        for column, cell in zip(header, cells, strict=True):
            if cell == "" or column not in fields:
                continue
            try:
                row[column] = msgspec.convert(cell, fields[column], strict=False)
            except msgspec.ValidationError as fault:
                faults.append(Fault(f"line {line}, {column}", f"{cell!r}: {str(fault).lower()}"))
        rows.append(row)
    if faults:
        raise BadTable(name, *faults)
    return rows


def read_tables(files: Mapping[str, str | Path]) -> dict[str, list[Row]]:
    """Read tables from CSV files, for the member `tables` of any request.

    Parameters
    ----------
    files
        A CSV file for the id of each table.

    Raises
    ------
    BadTable
        If a file is no such table.
    """
    return {member(table): read_rows(table, path) for table, path in files.items()}


def written(table: WholeTableAnswer) -> str:
    """Return one of our tables as CSV, to be changed and read again.

    Parameters
    ----------
    table
        As `client.reference_table` gives it.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    header = [column.name for column in table.columns]
    writer.writerow(header)
    writer.writerows([_cell(row.get(name)) for name in header] for row in table.rows)
    return out.getvalue()


def differences(table: WholeTableAnswer, path: str | Path) -> list[Difference]:
    """Return where a CSV file, such as the rows of a bought copy typed in, differs from one of our tables.

    Parameters
    ----------
    table
        As `client.reference_table` gives it.
    path
        CSV with a column `id` and any of the table's columns. Rows and columns that it leaves out are not compared,
        and neither are words about a row.

    Raises
    ------
    BadTable
        If the file is no such table.
    """
    ours = {str(row["id"]): row for row in table.rows}
    found: list[Difference] = []
    for theirs in read_rows(table.id, path):
        id = str(theirs.pop("id"))
        id = ROWS.get(table.id, {}).get(id, id)
        if "practice" in theirs:
            theirs["practice"] = ROWS["practice"].get(theirs["practice"], theirs["practice"])
        if id not in ours:
            found.append(Difference(id, "", "", "a row that ours has not", None))
            continue
        found += _row_differences(id, ours[id], theirs)
    return found


def _row_differences(id: str, ours: Mapping[str, Any], theirs: Row) -> Iterable[Difference]:
    for column, value in theirs.items():
        own = ours.get(column)
        if _is_figure(own) and _is_figure(value):
            mine, yours = float(cast("float", own)), float(value)
            if not math.isclose(mine, yours, rel_tol=SAME, abs_tol=0.0):
                yield Difference(id, column, _cell(own), _cell(value), yours / mine if mine else None)
        elif _cell(own) != _cell(value):
            yield Difference(id, column, _cell(own), _cell(value), None)


def _is_figure(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:.15g}" if isinstance(value, float) else str(value)


def _row_type(name: str) -> Any:
    return _within(get_type_hints(OwnTables)[name])


def _within(kind: Any) -> Any:
    """Return the type of the rows in a list of them, which a request may leave out."""
    while parts := get_args(kind):
        kind = parts[0]
    return kind


def _lines(name: str, text: str) -> tuple[list[str], list[tuple[int, list[str]]]]:
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    try:
        header = [cell.strip() for cell in next(reader, list[str]())]
        lines = [(reader.line_num, [cell.strip() for cell in cells]) for cells in reader if cells]
    except csv.Error as fault:
        raise BadTable(name, Fault(f"line {reader.line_num}", str(fault))) from fault
    if "id" not in header:
        raise BadTable(name, Fault("line 1", "has no column id; the first line names the columns"))
    if len(set(header)) < len(header):
        raise BadTable(name, Fault("line 1", "names a column twice"))
    faults = [
        Fault(f"line {line}", f"{len(cells)} cells under {len(header)} columns")
        for line, cells in lines
        if len(cells) != len(header)
    ]
    at = header.index("id")
    faults += [Fault(f"line {line}, id", "is empty") for line, cells in lines if cells[at : at + 1] == [""]]
    if faults:
        raise BadTable(name, *faults)
    return header, lines
