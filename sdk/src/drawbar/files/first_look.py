"""What the first rows tell of a whole file, before any part of it is worked: columns without unit, and empty ones."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Final

from drawbar._columns import split_name
from drawbar.files.rows import Source
from drawbar.files.tables import TableFile
from drawbar.files.text import CsvFile

_EMPTY: Final = "nothing stands here"
"""How the service begins to say that a cell is empty."""
_NO_UNIT: Final = "needs a number and a unit"
"""What it says where a number has no unit."""


def units_of(source: Source) -> Mapping[str, str | None]:
    """Return the unit of each column that goes to the service, by pointer; None where it has none.

    Parameters
    ----------
    source
        The file. Of a grid nothing is returned: its values carry units of their own.
    """
    if isinstance(source, TableFile):
        return {one.pointer: one.unit for one in source.sent}
    if isinstance(source, CsvFile):
        named = (split_name(name) for name in source.names if name.startswith("/"))
        return {pointer: source.told.units.get(pointer, unit) for pointer, unit in named}
    return {}


def empty_cells(source: Source, rows: int) -> Mapping[str, int]:
    """Return how many of the first rows have an empty cell, by the pointer of the column; only of those that have any.

    Parameters
    ----------
    source
        The file. Of a grid nothing is returned: it has no cells.
    rows
        Number of first rows.
    """
    counts: dict[str, int] = {}
    if isinstance(source, TableFile):
        table = source.table(0, rows)
        counts = {one.pointer: table.column(one.name).null_count for one in source.sent}
    elif isinstance(source, CsvFile):
        counts = source.empty_cells(rows)
    return {pointer: count for pointer, count in counts.items() if count}


def hopeless(source: Source, rows: int, faults: Iterable[tuple[int, str, str]]) -> tuple[list[str], list[str]]:
    """Return what is wrong with whole columns: what leaves no row of the file an answer, and what only may.

    Parameters
    ----------
    source
        The file.
    rows
        Number of first rows that were asked.
    faults
        Their faults: row, pointer and reason.
    """
    by_column: dict[str, dict[int, str]] = {}
    for row, pointer, detail in faults:
        by_column.setdefault(pointer, {})[row] = detail
    certain: list[str] = []
    likely: list[str] = []
    for pointer, unit in units_of(source).items():
        told = by_column.get(pointer, {})
        if len(told) < rows:
            continue
        details = set(told.values())
        if all(detail.startswith(_EMPTY) for detail in details):
            found = certain if rows == source.rows else likely
            whole = "is empty" if rows == source.rows else f"is empty in the first {rows} rows"
            found.append(f"column {pointer} {whole}: fill it, or drop it and put one value into the scenario.")
        elif unit is None and all(_NO_UNIT in detail for detail in details):
            example = next(iter(details)).partition('"')[2].partition('"')[0].partition(" ")[2] or "unit"
            certain.append(f"column {pointer} has no unit: call it '{pointer} [{example}]'.")
    for pointer, empty in empty_cells(source, rows).items():
        if pointer in by_column:
            continue
        # The service takes these cells as left out.
        whole = "is empty" if empty == rows else f"has {empty} empty cells"
        among = "" if rows == source.rows else f" in the first {rows} rows"
        likely.append(f"column {pointer} {whole}{among}: rows without it are answered as if it were left out.")
    return certain, likely
