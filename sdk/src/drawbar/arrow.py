"""Arrow in, Arrow out: batches for polars, DuckDB, Spark, Ray and whatever else hands tables over as Arrow.

Needs `pip install './sdk[files]'`. Recipes are in `sdk/RECIPES.md`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import msgspec

from drawbar import _arrow_wire as wire
from drawbar._arrow_wire import FAULT, pa
from drawbar._options import Units
from drawbar._sync_core import SyncCore
from drawbar.errors import UnreadableAnswer

__all__ = ["FAULT", "batch", "map_batches"]


def batch(
    calculation: str,
    scenario: Mapping[str, Any] | msgspec.Struct,
    rows: Any,
    *,
    columns: Sequence[str] | None = None,
    units: Units | None = None,
    keep: Sequence[str] = (),
    client: SyncCore | None = None,
    rows_per_request: int = wire.REQUEST_ROWS,
) -> Any:
    """Calculate a row of answers for each row of a table.

    Parameters
    ----------
    calculation
        Which one, such as "match".
    scenario
        A request of the calculation; what varies may be missing from it.
    rows
        Anything with `__arrow_c_stream__`: a table or reader of pyarrow, a frame of polars or pandas, a relation of
        DuckDB. Its columns are called by JSON Pointers into the request; units are in the name, as in
        `/speed [km/h]`, or under `unit` in the metadata of the field.
    columns
        JSON Pointers into the answer; None for the usual ones of the calculation.
    units
        Units of the answers; they are in the metadata of the fields that come back, under `unit`.
    keep
        Columns of the table that come back as they are, such as an id. Others have to be called by a pointer.
    client
        Who asks; None runs the service inside this process, which needs `pip install ./service`.
    rows_per_request
        Most rows sent together. At most 32 where a row takes seconds, as a season does.

    Returns
    -------
    pyarrow.RecordBatchReader
        As many rows as went in, in their order, calculated as they are read: the columns kept, the answers, and
        `fault`, which says what is wrong with a row that has none, and is null for a good one.

    Raises
    ------
    ImpossibleInput
        If something is wrong with every row; `problem.errors` points to each.
    ValueError
        If there are no rows, or a column is called by no pointer and not kept.
    """
    answered = map_batches(
        _slices(pa.RecordBatchReader.from_stream(rows), rows_per_request),
        calculation,
        scenario,
        columns=columns,
        units=units,
        keep=keep,
        client=client,
        rows_per_request=rows_per_request,
    )
    first = next(answered, None)
    if first is None:
        raise ValueError("There are no rows, so there is nothing to ask.")
    return pa.RecordBatchReader.from_batches(first.schema, _chained(first, answered))


def map_batches(
    batches: Iterable[Any],
    calculation: str,
    scenario: Mapping[str, Any] | msgspec.Struct,
    *,
    columns: Sequence[str] | None = None,
    units: Units | None = None,
    keep: Sequence[str] = (),
    client: SyncCore | None = None,
    rows_per_request: int = wire.REQUEST_ROWS,
) -> Iterator[Any]:
    """Calculate record batch after record batch, as Spark's `mapInArrow` hands them over; of none comes none.

    Parameters
    ----------
    batches
        Record batches of pyarrow, all of one schema.
    calculation, scenario, columns, units, keep, client, rows_per_request
        As for `batch`.

    Yields
    ------
    pyarrow.RecordBatch
        Rows in their order.

    Raises
    ------
    ImpossibleInput
        If something is wrong with every row; `problem.errors` points to each.
    ValueError
        If a column is called by no pointer and not kept.
    """
    if rows_per_request < 1:
        raise ValueError("rows_per_request is at least 1.")
    head = wire.head(scenario, columns)
    asker = client if client is not None else wire.shared_client(None)
    for whole in batches:
        sent = wire.sent_columns(whole.schema, keep)
        if not sent:
            raise ValueError("No column is called by a JSON Pointer such as '/speed', so nothing varies.")
        for start in range(0, whole.num_rows, rows_per_request):
            table = pa.Table.from_batches([whole.slice(start, rows_per_request)])
            answer = wire.ask(asker, calculation, wire.encode(table, sent, head), wire.ARROW, units)
            yield from _beside(table, answer, keep).to_batches()


def _beside(table: Any, answer: Any, keep: Sequence[str]) -> Any:
    if answer.num_rows != table.num_rows:
        raise UnreadableAnswer(200, f"{table.num_rows} rows were asked and {answer.num_rows} came back")
    if twice := set(answer.column_names) & set(keep):
        raise ValueError(f"{', '.join(sorted(twice))} cannot be kept: the answers have a column of that name already.")
    fields = [table.schema.field(name) for name in keep] + list(answer.schema)
    # Chunks of what went in and of what came back need not end together; as one they are one batch.
    arrays = [column.combine_chunks() for column in [table.column(name) for name in keep] + answer.columns]
    return pa.Table.from_arrays(arrays, schema=pa.schema(fields, metadata=answer.schema.metadata))


def _slices(reader: Any, rows: int) -> Iterator[Any]:
    """Put small batches together, as a library may hand rows over a few at a time."""
    waiting: list[Any] = []
    count = 0
    for batch in reader:
        waiting.append(batch)
        count += batch.num_rows
        if count >= rows:
            yield from _whole(waiting)
            waiting, count = [], 0
    yield from _whole(waiting)


def _whole(batches: list[Any]) -> Iterator[Any]:
    if any(one.num_rows for one in batches):
        yield from pa.Table.from_batches(batches).combine_chunks().to_batches()


def _chained(first: Any, others: Iterator[Any]) -> Iterator[Any]:
    yield first
    for one in others:
        # What the later answers say about themselves is not for the schema.
        yield one.replace_schema_metadata(first.schema.metadata)
