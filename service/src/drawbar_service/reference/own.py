"""Rows that a request gives in place of those of the tables, or beside them.

Anything a table gives, a request may give: a row of a request whose id is in the table replaces the figures it states,
any other row is a new one. Whoever looks a row up does not know where it came from; its source is :data:`CALLER`.
"""

from collections.abc import Generator, Mapping, Sequence
from contextlib import contextmanager
from types import UnionType
from typing import Annotated, Any, Literal, NamedTuple, Union, get_args, get_origin

import msgspec
import numpy as np

from drawbar_service.reference.tables import CALLER, DEFAULTS, IN_FORCE, PRACTICE, TABLES, OwnTable, Row, Table

NOT_OFFERED = frozenset({"id", "basis", "source", "note", "slip_band_source", "why", "text", "footnote"})
"""Columns that are no figures of a row but words about it."""
_TIMES_WIDER = 1000.0
"""A figure of a request may lie so many times beyond those of the table: no more, so that answers stay finite."""
_TIMES_DEFAULT = 100.0
"""The same beside a single default."""


class OwnColumn(NamedTuple):
    """A column that a request may state."""

    name: str
    type: Any
    """What it holds: float, int, bool, str or a list of texts, without None."""
    least: float | None
    """Least number taken, if it is a number."""
    most: float | None


class GivenRow(NamedTuple):
    """A row as a request gives it."""

    pointer: str
    id: str
    figures: Mapping[str, Any]
    """What it states, by column: numbers, texts, truths, or one for each row of a block."""


class OwnFault(ValueError):  # noqa: N818 - it names what is wrong with the row
    """A row of a request that cannot be.

    Parameters
    ----------
    kind : str
        Which sentence says so: a key in ``api/words``.
    pointer : str
    figures : dict
        What the sentence needs.
    """

    def __init__(self, kind: str, pointer: str, **figures: str) -> None:
        super().__init__(kind, pointer, figures)
        self.kind, self.pointer, self.figures = kind, pointer, figures


class OwnRows(NamedTuple):
    """All rows of a request, laid over the tables."""

    given: Sequence[tuple[str, GivenRow]]
    """With the id of their table."""
    tables: Mapping[str, OwnTable]


def _bare(annotation: Any) -> tuple[Any, list[msgspec.Meta]]:
    """Return a type without None and its annotations."""
    metas: list[msgspec.Meta] = []
    while True:
        if get_origin(annotation) is Annotated:
            annotation, *more = get_args(annotation)
            metas += more
        elif get_origin(annotation) in (Union, UnionType):
            annotation = next(one for one in get_args(annotation) if one is not type(None))
        else:
            return annotation, metas


def row_type(table: Table[Row]) -> type[Row]:
    """Return what a row of a `table` is."""
    return type(next(iter(table.rows.values())))


def own_columns(table: Table[Row]) -> tuple[OwnColumn, ...]:
    """Return the columns of a `table` that a request may state."""
    found: list[OwnColumn] = []
    for field in msgspec.structs.fields(row_type(table)):
        if field.name in NOT_OFFERED:
            continue
        bare, metas = _bare(field.type)
        if bare in (float, int):
            found.append(OwnColumn(field.name, bare, *_bounds(table, field.name, metas)))
        else:
            found.append(OwnColumn(field.name, bare, None, None))
    return tuple(found)


def _bounds(table: Table[Row], column: str, metas: Sequence[msgspec.Meta]) -> tuple[float, float]:
    """Return the least and the greatest figure taken in a `column`: what the table spans, and a good deal more."""
    known = [float(value) for row in table.rows.values() if (value := getattr(row, column)) is not None]
    over = [value for value in known if value > 0.0]
    least = 0.0 if min(known) == 0.0 else _rounded(min(over) / _TIMES_WIDER)
    most = min((float(one.le) for one in metas if one.le is not None), default=_rounded(max(over) * _TIMES_WIDER))
    return least, most


def _rounded(value: float) -> float:
    """Return the power of ten nearest to a `value`."""
    return float(f"1e{round(np.log10(value))}")


RECORDS = frozenset({"suitable-weeks"})
"""Tables that hold a record of years, in place of which a request gives one of its own (``record``)."""
OWN_TABLES: Mapping[str, Table[Row]] = {
    table.id: table
    for table in TABLES.values()
    if table.id not in RECORDS and any(one.least is not None for one in own_columns(table))
}
"""Tables that hold figures, by id."""


def member_of(table: Table[Row]) -> str:
    """Return the member of a request that holds rows of a `table`: its id, written as members are."""
    return table.id.replace("-", "_")


def laid_over(given: Sequence[tuple[str, GivenRow]]) -> OwnRows:
    """Return the rows of a request, each with the id of its table, laid over the tables.

    Raises
    ------
    OwnFault
        Where a row cannot be.
    """
    own: dict[str, OwnTable] = {}
    for id, row in given:
        table = own.setdefault(id, OwnTable({}, set()))
        if row.id in table.rows:
            raise OwnFault("own-row-twice", f"{row.pointer}/id", id=row.id)
        table.rows[row.id] = _laid(OWN_TABLES[id], row)
    for id, row in given:
        _check_practice(id, row, own)
    return OwnRows(given, own)


def _laid(table: Table[Row], given: GivenRow) -> Row:
    base = table.rows.get(given.id)
    if table is DEFAULTS:
        _check_default(given)
    try:
        if base is not None:
            return msgspec.structs.replace(base, **given.figures, basis=CALLER, source=CALLER, note="")
        return _new(table, given)
    except ValueError as fault:
        if isinstance(fault, OwnFault):
            raise
        raise OwnFault("own-row-wrong", given.pointer, why=str(fault)) from fault


def _new(table: Table[Row], given: GivenRow) -> Row:
    kind = row_type(table)
    filled: dict[str, Any] = {"id": given.id, "basis": CALLER, "source": CALLER, **given.figures}
    missing: list[str] = []
    for field in msgspec.structs.fields(kind):
        if field.name in filled or not field.required:
            continue
        if field.name.endswith("source"):
            filled[field.name] = CALLER
        elif field.type is str:
            # What it is called: nothing depends on it.
            filled[field.name] = given.id
        else:
            missing.append(field.name)
    if missing:
        raise OwnFault("own-row-short", given.pointer, id=given.id, table=table.id, missing=", ".join(missing))
    return kind(**filled)


def _check_default(given: GivenRow) -> None:
    base = DEFAULTS.rows.get(given.id)
    if base is None:
        raise OwnFault("own-default-unknown", f"{given.pointer}/id", id=given.id)
    if (value := given.figures.get("value")) is None:
        return
    share = base.unit == "" and base.value <= 1.0
    least, most = base.value / _TIMES_DEFAULT, 1.0 if share else base.value * _TIMES_DEFAULT
    if value < least or value > most:
        raise OwnFault("own-default-range", f"{given.pointer}/value", id=given.id, least=f"{least:g}", most=f"{most:g}")


def _check_practice(table: str, given: GivenRow, own: Mapping[str, OwnTable]) -> None:
    if table != "draft" or not (named := given.figures.get("practice")):
        return
    there = own.get("practice")
    if named not in PRACTICE.rows and (there is None or named not in there.rows):
        raise OwnFault("own-practice-unknown", f"{given.pointer}/practice", id=str(named))


@contextmanager
def in_force(own: OwnRows) -> Generator[None]:
    """Let lookups find the rows of a request while it is answered."""
    before = IN_FORCE.set(own.tables)
    try:
        yield
    finally:
        IN_FORCE.reset(before)


def is_text(column: OwnColumn) -> bool:
    """Return whether a `column` holds text."""
    return column.type is str or get_origin(column.type) is Literal
