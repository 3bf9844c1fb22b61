"""One part: its rows asked, the good ones written, what is wrong with the others written beside them."""

from __future__ import annotations

import csv
import io
import re
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import msgspec

from drawbar import _arrow_wire as wire
from drawbar._arrow_wire import FAULT, ipc, pa
from drawbar._libraries import library
from drawbar._options import Units
from drawbar._sync_core import SyncCore
from drawbar.errors import DrawbarError, ImpossibleInput
from drawbar.files.manifest import Format, faults_name, part_name, written
from drawbar.files.rows import Source

pc: Final = library("pyarrow.compute", "files")
pq: Final = library("pyarrow.parquet", "files")
pa_csv: Final = library("pyarrow.csv", "files")

ROW: Final = "row"
"""Name of the column that says which row of the input it is, counted from 0."""
FIRST_ROWS: Final = 100
"""Rows that are asked before anything is written."""
_SCENARIO: Final = "/scenario"
_BETWEEN: Final = re.compile(r" \| (?=/)")
# Two batches at work in one process only keep each other waiting; while one is, another part is read or written.
_in_process: Final = threading.Lock()


@dataclass(frozen=True)
class Asked:
    """What is asked of every part."""

    source: Source
    calculation: str
    head: bytes
    """Scenario and columns, as they go ahead of rows."""
    units: Units | None
    url: str | None
    """Address of the service; None runs it in the process that works."""
    model: str
    format: Format
    folder: Path
    origin: bytes = b""
    """Provenance of the folder, as JSON, which every part carries."""


@dataclass(frozen=True)
class Task:
    """One part to be done, by any process that sees the files."""

    asked: Asked
    number: int
    """Counted from 1."""
    start: int
    stop: int


@dataclass(frozen=True)
class Done:
    """A part that is written."""

    number: int
    rows: int
    faulty: int
    """Rows at fault."""
    seconds: float


def work(task: Task) -> Done:
    """Do a part. To do it twice does no harm: the second takes the place of the first.

    Parameters
    ----------
    task
        Which.

    Raises
    ------
    DrawbarError
        If the service does not answer, or is of another version than the one asked first.
    """
    begun = time.monotonic()
    asked = task.asked
    table, faults = answers(asked, task.start, task.stop)
    # The part comes last: once it is there, so is all that belongs to it.
    if faults:
        with written(asked.folder, faults_name(task.number)) as opened:
            opened.write(_listed(faults))
    else:
        (asked.folder / faults_name(task.number)).unlink(missing_ok=True)
    with written(asked.folder, part_name(task.number, asked.format)) as opened:
        _write(table, opened, asked.format)
    rows = task.stop - task.start
    return Done(task.number, rows, rows - table.num_rows, time.monotonic() - begun)


def rehearse(asked: Asked, start: int, stop: int) -> None:
    """Do all that rows take, and keep nothing: for a forecast of the time.

    Parameters
    ----------
    asked
        What is asked of every part.
    start, stop
        The first row, and the one after the last.
    """
    table, faults = answers(asked, start, stop)
    _listed(faults)
    _write(table, io.BytesIO(), asked.format)


def answers(asked: Asked, start: int, stop: int) -> tuple[Any, list[tuple[int, str, str]]]:
    """Give the good rows as a table, and each fault of the others as row, pointer and reason.

    Parameters
    ----------
    asked
        What is asked of every part.
    start, stop
        The first row, and the one after the last.
    """
    piece = asked.source.piece(start, stop, asked.head)
    client = wire.shared_client(asked.url)
    rows = pa.arange(start, stop)
    try:
        answer = _ask(client, asked, piece.content, piece.media)
    except ImpossibleInput as refusal:
        found = refusal.problem.errors
        # The request itself is sound, or the first rows would have told. So it is these rows, each and all.
        if not found or not all(fault.pointer.startswith(f"{_SCENARIO}/") for fault in found):
            raise
        faults = [(row, fault.pointer[len(_SCENARIO) :], fault.detail) for row in range(start, stop) for fault in found]
        # What the first rows are answered with tells the columns of a part that has no rows.
        first = asked.source.piece(0, min(FIRST_ROWS, asked.source.rows), asked.head)
        like = _ask(client, asked, first.content, first.media)
        return _joined(like.slice(0, 0), rows.slice(0, 0), piece.kept, asked.origin), faults
    if answer.num_rows != stop - start:
        raise DrawbarError(f"{stop - start} rows were asked and {answer.num_rows} came back; the file has changed.")
    told = wire.about(answer.schema).get("model", asked.model)
    if asked.model and told != asked.model:
        raise DrawbarError(f"The service answers with model {told}; the parts so far are of model {asked.model}.")
    whole = _joined(answer, rows, piece.kept, asked.origin)
    if answer.column(FAULT).null_count == answer.num_rows:
        return whole, []
    good = pc.is_null(answer.column(FAULT))
    return whole.filter(good), list(told_of(rows, answer.column(FAULT)))


def _ask(client: SyncCore, asked: Asked, content: bytes, media: str) -> Any:
    if asked.url is not None:
        return wire.ask(client, asked.calculation, content, media, asked.units)
    with _in_process:
        return wire.ask(client, asked.calculation, content, media, asked.units)


def _joined(answer: Any, rows: Any, kept: Any, origin: bytes) -> Any:
    """Put row numbers, what is kept and the answers side by side."""
    fields = [pa.field(ROW, pa.int64())]
    columns: list[Any] = [rows]
    for table in (answer.drop_columns([FAULT]),) if kept is None else (kept, answer.drop_columns([FAULT])):
        fields += list(table.schema)
        columns += [column.slice(0, len(rows)) for column in table.columns]
    # An answer tells what its first row assumes, which need not hold for the others: `/about/assumptions` and
    # `/about/warnings` are columns for whoever wants to know.
    about: dict[str, Any] = {"about": {"model": wire.about(answer.schema).get("model", "")}}
    if origin:
        about["provenance"] = msgspec.Raw(origin)
    return pa.Table.from_arrays(columns, schema=pa.schema(fields, metadata={wire.KEY: msgspec.json.encode(about)}))


def told_of(rows: Any, faults: Any) -> Iterator[tuple[int, str, str]]:
    """Give each fault of some rows as row, pointer and reason.

    Parameters
    ----------
    rows
        Numbers of the rows, an array of pyarrow.
    faults
        Their column of faults, as it came from the service.
    """
    wrong = pc.is_valid(faults)
    for row, text in zip(rows.filter(wrong).to_pylist(), faults.filter(wrong).to_pylist(), strict=True):
        for told in _BETWEEN.split(text):
            pointer, colon, detail = told.partition(": ")
            yield (row, pointer, detail) if colon and told.startswith("/") else (row, "", told)


def _listed(faults: list[tuple[int, str, str]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow((ROW, "pointer", "reason"))
    writer.writerows(faults)
    return text.getvalue().encode()


def _write(table: Any, opened: Any, format: Format) -> None:
    if format == "parquet":
        _write_parquet(table, opened)
    elif format == "arrow":
        with ipc.new_file(opened, table.schema) as writer:
            writer.write_table(table)
    else:
        names = [_with_unit(table.schema.field(name)) for name in table.column_names]
        pa_csv.write_csv(_as_text(table.rename_columns(names)), opened)


def _write_parquet(table: Any, opened: Any) -> None:
    # To look for numbers that come again takes six times what writing them does, and hardly any do.
    few = [field.name for field in table.schema if field.name != ROW and not pa.types.is_floating(field.type)]
    pq.write_table(table, opened, use_dictionary=few, column_encoding={ROW: "DELTA_BINARY_PACKED"})


def _with_unit(field: Any) -> str:
    unit = wire.unit_of(field)
    return f"{field.name} [{unit}]" if unit and not field.name.endswith("]") else field.name


def _as_text(table: Any) -> Any:
    """Give texts that are kept in a dictionary as texts, which is all that CSV can be written from."""
    for at, field in enumerate(table.schema):
        if pa.types.is_dictionary(field.type):
            table = table.set_column(at, field.name, table.column(at).cast(field.type.value_type))
    return table
