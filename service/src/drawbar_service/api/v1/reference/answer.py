"""GET endpoints: the tables behind the answers, their sources, and the service about itself."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service import __version__
from drawbar_service.api.answers import MODEL_VERSION
from drawbar_service.api.v1.methods.answer import USES, MethodsAnswer, methods
from drawbar_service.api.v1.reference.as_csv import CSV, table_csv
from drawbar_service.reference import SOURCES, TABLES, Basis


class TableAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A table in short."""

    id: Annotated[str, Meta(description="Id of the table.")]
    title: Annotated[str, Meta(description="What it is.")]
    description: Annotated[str, Meta(description="What it holds and where it comes from.")]
    rows: Annotated[int, Meta(description="Number of rows.")]


class TablesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every table."""

    tables: Annotated[list[TableAnswer], Meta(description="Every table; `/v1/reference/{id}` gives one whole.")]


class ColumnAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A column of a table."""

    name: Annotated[str, Meta(description="Name, as in each row.")]
    unit: Annotated[str, Meta(description="Unit as published; empty for text, a count or a ratio.")]
    meaning: Annotated[str, Meta(description="What it means.")]


class WholeTableAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A table, whole."""

    id: Annotated[str, Meta(description="Id of the table.")]
    title: Annotated[str, Meta(description="What it is.")]
    description: Annotated[str, Meta(description="What it holds and where it comes from.")]
    columns: Annotated[list[ColumnAnswer], Meta(description="What each column means.")]
    rows: Annotated[
        list[dict[str, str | float | bool | None]],
        Meta(description="Rows; figures in the units they were published in."),
    ]


class SourceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A publication, or the plain statement that there is none."""

    id: Annotated[str, Meta(description="Id, as answers cite it.")]
    title: Annotated[str, Meta(description="Title.")]
    publisher: Annotated[str, Meta(description="Publisher.")]
    edition: Annotated[str, Meta(description="Year or edition; empty where unknown.")]
    basis: Annotated[
        Basis,
        Meta(
            description="Read in print, recalled from memory, common practice without a source, derived, or given "
            "in the request."
        ),
    ]
    note: Annotated[str, Meta(description="What to know about it.")]


class SourcesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Every source."""

    sources: Annotated[list[SourceAnswer], Meta(description="Every source answers cite.")]


class VersionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Which service this is."""

    service: Annotated[str, Meta(description="Version of the service.")]
    api: Annotated[str, Meta(description="Version of the paths.")]
    model: Annotated[str, Meta(description="Version of the model: same request and version, same numbers.")]


class HealthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """How the service is."""

    status: Annotated[Literal["ok"], Meta(description="Always ok; anything else is a problem document.")] = "ok"


def tables() -> TablesAnswer:
    """Return every table in short."""
    return TablesAnswer(
        tables=[
            TableAnswer(id=table.id, title=table.title, description=table.description, rows=len(table.rows))
            for table in TABLES.values()
        ]
    )


def whole_table(id: str) -> WholeTableAnswer:
    """Return the table of this `id`, which must be one of TABLES."""
    table = TABLES[id]
    return WholeTableAnswer(
        id=table.id,
        title=table.title,
        description=table.description,
        columns=[ColumnAnswer(name=one.name, unit=one.unit, meaning=one.meaning) for one in table.columns],
        rows=table.records(),
    )


def sources() -> SourcesAnswer:
    """Return every source."""
    return SourcesAnswer(
        sources=[
            SourceAnswer(
                id=one.id,
                title=one.title,
                publisher=one.publisher,
                edition=one.edition,
                basis=one.basis,
                note=one.note,
            )
            for one in SOURCES.rows.values()
        ]
    )


def version() -> VersionAnswer:
    """Return the versions of service, paths and model."""
    return VersionAnswer(service=__version__, api="v1", model=MODEL_VERSION)


@dataclass(frozen=True)
class Reading:
    """One GET endpoint.

    Parameters
    ----------
    name : str
        Operation id.
    path : str
        Address; ``{table}`` stands for a table id.
    answer : type
        What is written.
    give : callable
        Makes the answer, from the path parameter if there is one.
    summary, description, tag : str
        For the contract.
    parameter : tuple or None
        Name of the path parameter and the ids it may be.
    also_as : mapping
        What writes the answer in a media type beside JSON and MessagePack.
    """

    name: str
    path: str
    answer: type[msgspec.Struct]
    give: Callable[..., msgspec.Struct]
    summary: str
    description: str
    tag: Literal["reference", "service"]
    parameter: tuple[str, tuple[str, ...]] | None = None
    also_as: Mapping[str, Callable[[msgspec.Struct], bytes]] = field(
        default_factory=dict[str, Callable[[msgspec.Struct], bytes]]
    )


READINGS: tuple[Reading, ...] = (
    Reading(
        "reference_tables",
        "/v1/reference",
        TablesAnswer,
        tables,
        "Every reference table",
        "Each table in short: its id, what it holds and how many rows it has.",
        "reference",
    ),
    Reading(
        "reference_table",
        "/v1/reference/{table}",
        WholeTableAnswer,
        whole_table,
        "One reference table, whole",
        "Every row of a table and what each column means. Figures stand in the units they were published in. As CSV it "
        "has a line of column names and one for each row; `tables` of a request takes the rows back.",
        "reference",
        ("table", tuple(TABLES)),
        {CSV: table_csv},
    ),
    Reading(
        "methods",
        "/v1/methods/{calculation}",
        MethodsAnswer,
        methods,
        "The equations behind a calculation",
        "Each equation in plain text and LaTeX, its symbols with units, where it holds, where it is known to be wrong, "
        "and its source.",
        "reference",
        ("calculation", tuple(USES)),
    ),
    Reading(
        "sources",
        "/v1/sources",
        SourcesAnswer,
        sources,
        "Every source",
        "The publications that answers cite by id, each with whether it was read in print or recalled from memory.",
        "reference",
    ),
    Reading(
        "version",
        "/version",
        VersionAnswer,
        version,
        "Versions of service, paths and model",
        "Keep the version of the model with each result: the same request and model version give the same numbers.",
        "service",
    ),
    Reading(
        "livez",
        "/livez",
        HealthAnswer,
        HealthAnswer,
        "Whether the process is alive",
        "Answers as long as the process takes requests; it computes nothing.",
        "service",
    ),
)

READY = Reading(
    "readyz",
    "/readyz",
    HealthAnswer,
    HealthAnswer,
    "Whether the service computes what it should",
    "Solves a slip and puts it back; send work only where this answers 200.",
    "service",
)
"""Apart from the others because it can answer that the service is not ready."""
