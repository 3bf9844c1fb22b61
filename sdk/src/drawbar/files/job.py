"""What is to be done, checked against the service before anything is written."""

from __future__ import annotations

import contextlib
import hashlib
import math
import os
import tempfile
import time
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, Final

import msgspec

from drawbar import _arrow_wire as wire
from drawbar._arrow_wire import pa
from drawbar._options import Units
from drawbar.client import Client
from drawbar.files.first_look import hopeless
from drawbar.files.manifest import BadJob, Format, Input, Manifest, digests, is_done, locked, settle, settle_origin
from drawbar.files.parts import FIRST_ROWS, ROW, Asked, Task, rehearse, told_of, work
from drawbar.files.sources import open_source
from drawbar.provenance import Provenance, provenance

_SAMPLE_SECONDS: Final = 1.5
_PATIENCE: Final = 10.0
"""Longest that samples grow [s]: on a machine busy with other work they take many times their own time."""
_LEAST_SLOPE: Final = 0.3
"""Share of a row's mean time that a further row takes at least, lest a sample that was held up say that it is free."""


@dataclass(frozen=True)
class Job:
    """A file of rows, what is asked of them, and the folder the parts go to."""

    asked: Asked
    part_rows: int
    manifest: Manifest = field(repr=False)
    provenance: Provenance = field(repr=False)
    warnings: tuple[str, ...] = ()
    """What the first rows make likely to be wrong with whole columns."""

    @property
    def rows(self) -> int:
        """Rows of the file."""
        return self.asked.source.rows

    @property
    def parts(self) -> int:
        """How many parts there will be."""
        return self.manifest.parts

    def tasks(self, shard: tuple[int, int] = (1, 1)) -> Iterable[Task]:
        """Give the parts, or every n-th of them.

        Parameters
        ----------
        shard
            Which share, counted from 1, of how many.
        """
        mine, of = shard
        for number in range(mine, self.parts + 1, of):
            start = (number - 1) * self.part_rows
            yield Task(self.asked, number, start, min(start + self.part_rows, self.rows))

    def left(self, tasks: Iterable[Task]) -> list[Task]:
        """Return those of some parts that are not there yet, or are not what they were when they were finished.

        Parameters
        ----------
        tasks
            Which.
        """
        known = digests(self.asked.folder)
        return [task for task in tasks if not is_done(self.asked.folder, task.number, self.asked.format, known)]


@dataclass(frozen=True)
class Estimate:
    """What lies ahead."""

    rows: int
    parts: int
    parts_done: int
    rows_left: int
    rows_a_second: float
    """Of a sample, in one process of this machine."""
    start_seconds: float = 0.0
    """What a run takes beside its rows: its folder, its first request and its first file, by a run of one row [s]."""

    @property
    def seconds(self) -> float:
        """What the rows that are left take in one process, its start included [s]."""
        return self.start_seconds + self.rows_left / self.rows_a_second if self.rows_left else 0.0


def prepare(
    path: str | Path,
    calculation: str,
    folder: str | Path,
    *,
    scenario: Mapping[str, Any] | msgspec.Struct | None = None,
    columns: Sequence[str] | None = None,
    units: Units | None = None,
    keep: Sequence[str] = (),
    format: Format = "parquet",
    part_rows: int = wire.REQUEST_ROWS,
    url: str | None = None,
) -> Job:
    """Look at a file and ask the service about its first rows. Nothing is written.

    Parameters
    ----------
    path
        Parquet, Arrow (file or stream), CSV, or a grid in TOML or JSON. Columns are called by JSON Pointers into a
        request, with units as in `/speed [km/h]` or, in Parquet and Arrow, under `unit` in the metadata of the field.
    calculation
        Which one, such as "match".
    folder
        Where the parts go.
    scenario
        A request of the calculation, with what does not vary; None if the file holds it.
    columns
        JSON Pointers into the answer; None for the file's own, else the usual ones of the calculation.
    units
        Units of the answers.
    keep
        Columns of the file that are handed on as they are, so that an id stays with its row.
    format
        How the parts are written: "parquet", "csv" or "arrow".
    part_rows
        Rows of a part, which are sent together. At most 32 where a row takes seconds, as a season does.
    url
        Address of a service; None runs it in each process that works, which needs `pip install ./service`.

    Raises
    ------
    BadJob
        If the file or what is asked of it cannot be used.
    ImpossibleInput
        If something is wrong with every row; `problem.errors` points to each.
    """
    if part_rows < 1:
        raise BadJob(f"part_rows is {part_rows}; a part has at least 1 row.")
    source = open_source(path, keep, part_rows)
    if not source.rows:
        raise BadJob(f"{source.name} has no rows.")
    if scenario is not None and source.told.scenario is not None:
        raise BadJob(f"{source.name} holds a scenario of its own; leave one of the two out.")
    given = scenario if scenario is not None else source.told.scenario or {}
    head = wire.head(given, columns if columns is not None else source.told.columns)
    asked = Asked(source, calculation, head, units, url, "", format, Path(folder))
    # An address where no service is is told of soon, not after the long patience that parts have.
    with contextlib.nullcontext(wire.shared_client(None)) if url is None else Client(url) as client:
        told = client.version()
        piece = source.piece(0, min(FIRST_ROWS, part_rows, source.rows), head)
        answer = wire.ask(client, calculation, piece.content, piece.media, units)
    asked_rows = pa.arange(0, answer.num_rows)
    certain, likely = hopeless(source, answer.num_rows, told_of(asked_rows, answer.column(wire.FAULT)))
    if certain:
        raise BadJob(f"{source.name}: {' '.join(certain)}")
    fields = [field for field in answer.schema if field.name != wire.FAULT]
    if twice := {ROW, *(field.name for field in fields)} & set(keep):
        raise BadJob(f"{', '.join(sorted(twice))} cannot be kept: the parts have a column of that name already.")
    manifest = Manifest(
        calculation=calculation,
        model=str(told.model),
        input=Input(source.name, source.kind, source.digest, source.rows),
        scenario_sha256=hashlib.sha256(msgspec.json.encode(given, order="sorted")).hexdigest(),
        columns=[field.name for field in fields],
        units={field.name: wire.unit_of(field) for field in fields},
        keep=list(keep),
        format=format,
        part_rows=part_rows,
        parts=math.ceil(source.rows / part_rows),
    )
    origin = provenance(
        given,
        calculation=calculation,
        input=os.path.relpath(source.path, Path(folder).resolve()),
        input_sha256=source.digest,
        rows=source.rows,
        units=manifest.units,
        system=units or "metric",
        service=told.service,
        about=wire.about(answer.schema),
    )
    return Job(replace(asked, model=str(told.model)), part_rows, manifest, origin, tuple(likely))


def estimate(job: Job, shard: tuple[int, int] = (1, 1)) -> Estimate:
    """Measure a sample of the rows and tell what lies ahead. Nothing is written.

    Parameters
    ----------
    job
        What is to be done.
    shard
        Which share, counted from 1, of how many.
    """
    left = job.left(job.tasks(shard))
    total = len(list(job.tasks(shard)))
    rows_left = sum(task.stop - task.start for task in left)
    start = _seconds_to_start(job)
    rate = 1.0 / _seconds_a_row(job.asked, min(job.part_rows, job.rows), job.rows)
    return Estimate(job.rows, total, total - len(left), rows_left, rate, start)


def _seconds_to_start(job: Job) -> float:
    """Return what a run of one row takes [s], in a folder of its own that is then removed."""
    with tempfile.TemporaryDirectory() as aside:
        folder = Path(aside)
        begun = time.monotonic()
        with locked(folder, (1, 1)):
            settle(folder, job.manifest, overwrite=False)
            origin = msgspec.json.encode(settle_origin(folder, job.provenance))
            work(Task(replace(job.asked, folder=folder, origin=origin), 1, 0, 1))
        return time.monotonic() - begun


def _seconds_a_row(asked: Asked, most: int, rows: int) -> float:
    """Return what a row of a part of `most` rows takes [s], from samples that grow, taken all over the file.

    A part takes a time of its own and more for each row: where a whole part would take too long, the two largest
    samples say how much of each. Names that come again cost less in a large part, so small samples alone mislead.

    Where the service is in this process, samples are measured in processor time, which other work on the machine does
    not lengthen; what it holds up is taken from all samples together, so that no single one decides.
    """
    clock = time.process_time if asked.url is None else time.monotonic
    started, worked = time.monotonic(), clock()
    count = min(most, FIRST_ROWS // 10)
    before: tuple[int, float] | None = None
    while True:
        starts = sorted({0, (rows - count) // 2, rows - count})
        begun = clock()
        for start in starts:
            rehearse(asked, start, start + count)
        spent = clock() - begun
        seconds = spent / len(starts)
        if spent >= _SAMPLE_SECONDS or count == most or time.monotonic() - started >= _PATIENCE:
            break
        before = (count, seconds)
        count = min(most, 4 * count)
    held_up = (time.monotonic() - started) / max(clock() - worked, 1e-9)
    if before is None or count == most:
        return held_up * seconds / count
    slope = max((seconds - before[1]) / (count - before[0]), _LEAST_SLOPE * seconds / count)
    return held_up * (seconds + slope * (most - count)) / most
