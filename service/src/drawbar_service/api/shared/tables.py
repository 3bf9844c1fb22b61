"""Rows of a request's own, in place of those of the tables or beside them."""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Answer, Ledger, OwnFigure
from drawbar_service.reference import TABLES, Row, Table
from drawbar_service.reference.own import (
    OWN_TABLES,
    GivenRow,
    OwnColumn,
    OwnFault,
    OwnRows,
    in_force,
    is_text,
    laid_over,
    member_of,
    own_columns,
)

OWN_ID = r"^[A-Za-z0-9]+([-._][A-Za-z0-9]+)*$"
"""Pattern of the id of a row."""
MOST_ROWS = 100
"""Rows of one table that a request may give."""
MOST_PARTS = 16
"""Texts in a list that stands in one cell."""
_LONGEST = 80


def _annotation(column: OwnColumn, unit: str, meaning: str) -> Any:
    """Return the type of a member that may hold a figure of a `column`."""
    said = meaning if not unit else f"{meaning} In {unit}."
    if column.least is not None:
        number = Annotated[column.type, Meta(ge=column.type(column.least), le=column.type(column.most))]
        return Annotated[number | None, Meta(description=said)]
    if column.type is str:
        return Annotated[Annotated[str, Meta(max_length=_LONGEST)] | None, Meta(description=said)]
    return Annotated[column.type | None, Meta(description=said)]


def _own_row(table: Table[Row]) -> type[msgspec.Struct]:
    """Return what a row of a `table` is in a request: its id, and any of its figures."""
    texts = {one.name: one for one in table.columns}
    fields = [
        (one.name, _annotation(one, texts[one.name].unit, texts[one.name].meaning), None) for one in own_columns(table)
    ]
    row_id = Annotated[
        str,
        Meta(
            pattern=OWN_ID,
            max_length=64,
            description=f"Which {table.row_is}.",
        ),
    ]
    kind = msgspec.defstruct(
        f"Own{''.join(part.capitalize() for part in table.id.split('-'))}Row",
        [("id", row_id), *fields],
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
        module=__name__,
    )
    kind.__doc__ = f"A row for the table `{table.id}`."
    return kind


OWN_ROWS = {id: _own_row(table) for id, table in OWN_TABLES.items()}
"""What a row of each table is in a request."""
# A process that works a request looks its types up by name.
globals().update({kind.__name__: kind for kind in OWN_ROWS.values()})

if TYPE_CHECKING:

    class OwnTables(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
        """Rows by table."""
else:
    OwnTables = msgspec.defstruct(
        "OwnTables",
        [
            (
                member_of(OWN_TABLES[id]),
                Annotated[
                    list[kind],
                    Meta(max_length=MOST_ROWS, description=f"Of `/v1/reference/{id}`."),
                ],
                msgspec.field(default_factory=list),
            )
            for id, kind in OWN_ROWS.items()
        ],
        frozen=True,
        kw_only=True,
        forbid_unknown_fields=True,
        module=__name__,
    )
    OwnTables.__doc__ = "Rows of your own, by table: in place of those with that `id`, or new ones, with all figures."

Tables = Annotated[
    OwnTables | None,
    Meta(description="Your own figures, for this request."),
]

RequestT = TypeVar("RequestT", bound=msgspec.Struct)
AnswerT = TypeVar("AnswerT", bound=Answer)


def with_own_tables(compute: Callable[[RequestT, Ledger], AnswerT]) -> Callable[[RequestT, Ledger], AnswerT]:
    """Return a calculation that finds the rows of its request wherever it looks up a table."""

    def computed(request: RequestT, ledger: Ledger) -> AnswerT:
        tables: OwnTables | None = getattr(request, "tables", None)
        if tables is None:
            return compute(request, ledger)
        try:
            own = laid_over(list(_given(tables)))
        except OwnFault as fault:
            ledger.fault(fault.kind, fault.pointer, **fault.figures)
            ledger.stop_at_faults()
            raise
        ledger.own.append(lambda: own_figures(own))
        with in_force(own):
            return compute(request, ledger)

    return computed


def _given(tables: OwnTables) -> Iterator[tuple[str, GivenRow]]:
    for id, table in OWN_TABLES.items():
        member = member_of(table)
        for at, row in enumerate(getattr(tables, member)):
            figures = {name: value for name in row.__struct_fields__[1:] if (value := getattr(row, name)) is not None}
            yield id, GivenRow(f"/tables/{member}/{at}", row.id, figures)


def own_figures(own: OwnRows) -> list[OwnFigure]:
    """Return the figures that a request gave in its tables, beside what ours have."""
    found: list[OwnFigure] = []
    for id, row in own.given:
        table = TABLES[id]
        ours = table.rows.get(row.id)
        found += [
            OwnFigure(
                pointer=f"{row.pointer}/{one.name}",
                instead_of=None if ours is None else _text(getattr(ours, one.name), is_text(one)),
                source=None if ours is None else ours.source,
                used=row.id in own.tables[id].used,
            )
            for one in own_columns(table)
            if one.name in row.figures
        ]
    return found


def _text(value: object, text: bool) -> str | None:
    """Return what a cell of our table holds."""
    return None if value is None else str(value) if text else f"{value:g}" if isinstance(value, float) else str(value)
