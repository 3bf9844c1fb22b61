"""A batch: one scenario, what varies in it, and columns back."""

from typing import Annotated, Any, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import About

PATH = "/v1/batch/{calculation}"
NDJSON = "application/x-ndjson"
CSV = "text/csv"
ARROW = "application/vnd.apache.arrow.stream"
MAX_COLUMNS = 64
"""Most leaves that vary, and most columns of an answer."""
MAX_VALUES = 1_000_000
"""Most values of one leaf in a request that is read whole."""

Text: TypeAlias = Annotated[str, Meta(max_length=200)]
Cell: TypeAlias = float | bool | Text | None
Pointer: TypeAlias = Annotated[str, Meta(max_length=200)]
Pointers: TypeAlias = Annotated[list[Pointer], Meta(max_length=MAX_COLUMNS)]
UnitName: TypeAlias = Annotated[str, Meta(max_length=32)]
ValueCount: TypeAlias = Annotated[int, Meta(ge=1, le=MAX_VALUES)]
Cells: TypeAlias = Annotated[list[Cell], Meta(max_length=MAX_VALUES)]
Number: TypeAlias = Annotated[float, Meta(ge=-1e18, le=1e18)]


class VariedValues(
    msgspec.Struct,
    frozen=True,
    kw_only=True,
    forbid_unknown_fields=True,
    omit_defaults=True,
):
    """Values of one leaf: a list of them, or evenly spaced ones."""

    unit: Annotated[
        UnitName | None, Meta(description="Unit of the numbers; leave it out for texts, truths and counts.")
    ] = None
    values: Annotated[
        Cells | None, Meta(description="The values. With a unit: numbers. Else as a single request would hold them.")
    ] = None
    first: Annotated[Number | None, Meta(description="First of evenly spaced values.")] = None
    last: Annotated[Number | None, Meta(description="Last of evenly spaced values.")] = None
    count: Annotated[ValueCount | None, Meta(description="How many evenly spaced values.")] = None


class BatchRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One scenario, and what varies in it."""

    scenario: Annotated[
        dict[str, Any],
        Meta(
            description=(
                "A request of the calculation; what varies may be missing. `fleets` may hold objects by name, in "
                "`tractors`, `tools`, `soils` and `fields`: a list of names at `/tractor`, `/implement`, `/soil` or "
                "`/field` varies the whole object."
            )
        ),
    ]
    vary: Annotated[
        dict[str, Cells | VariedValues],
        Meta(
            description="Values by JSON Pointer into the scenario: a list as a single request would hold them, "
            "or numbers in a unit.",
            max_length=MAX_COLUMNS,
        ),
    ]
    mode: Annotated[
        Literal["zip", "grid"],
        Meta(
            description="`zip`: the first values of all make the first row, and so on. `grid`: every value with every "
            "other; the leaf named last varies fastest."
        ),
    ] = "zip"
    columns: Annotated[
        Pointers | None,
        Meta(
            description=(
                "JSON Pointers into the answer: which values come back; left out, the usual ones. `/about/warnings` "
                "gives each row its codes and pointers, `/about/assumptions` pointers."
            )
        ),
    ] = None


class TableHead(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What goes ahead of rows: in the first line of NDJSON, after `#` in that of CSV, in the schema of Arrow."""

    scenario: dict[str, Any] = {}
    columns: Pointers | None = None
    units: Annotated[dict[Pointer, str], Meta(max_length=MAX_COLUMNS)] = {}
    """Units of the numbers, by pointer, where the format has no other place for them."""


class RowFault(msgspec.Struct, frozen=True, kw_only=True):
    """Why a row has no answer."""

    row: Annotated[int, Meta(description="Row, counted from 0.", ge=0)]
    pointer: Annotated[str, Meta(description="JSON Pointer into the scenario of that row; empty: all of it.")]
    detail: Annotated[str, Meta(description="What is wrong and what would be right.")]


class BatchColumn(msgspec.Struct, frozen=True, kw_only=True):
    """One value of every row."""

    unit: Annotated[str, Meta(description="Unit of the numbers; empty for plain numbers, truths and texts.")]
    values: Annotated[list[Cell], Meta(description="By row; null where there is none, or the row has a fault.")]


class BatchAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Columns, faults by row, and what the first row says about itself."""

    rows: Annotated[int, Meta(description="Number of rows, faulty ones included.", ge=1)]
    columns: Annotated[dict[str, BatchColumn], Meta(description="By JSON Pointer into the answer.")]
    faults: Annotated[list[RowFault], Meta(description="Every fault of every row, in the order of the rows.")]
    about: Annotated[
        About | None,
        Meta(
            description=(
                "What the answer to the first sound row says about itself. Null if the first hundred rows are all at "
                "fault."
            )
        ),
    ]
