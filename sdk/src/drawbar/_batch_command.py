"""The command `drawbar batch`: many rows of a file, answered into a folder of parts."""

from __future__ import annotations

import argparse
import contextlib
import logging
import re
import sys
from collections.abc import Generator
from typing import TYPE_CHECKING, Any, Final

from drawbar._farm import BadFile, Case, Farm, plain_case, read
from drawbar._libraries import library
from drawbar.errors import Fault, ImpossibleInput, place_of

if TYPE_CHECKING:
    from drawbar.batch import Progress
    from drawbar.files import Estimate, Job, Summary

_SHARD: Final = re.compile(r"([1-9][0-9]{0,8})/([1-9][0-9]{0,8})")
_DESCRIPTION: Final = """\
FILE is Parquet, Arrow (file or stream), CSV, or a grid in TOML: a table `vary`, and if need be `scenario`,
`columns` and `mode` (grid or zip). Its columns are called by JSON Pointers into a request, with their units:
`/speed [km/h]`; Parquet and Arrow may have the unit in the metadata of a field, under `unit`.

FOLDER gets part-00001.parquet and so on, each whole once it is there; `row` in them counts the rows of FILE from 0.
Rows that cannot be answered are in faults-00001.csv beside them, with row, pointer and reason. A second run goes on
where the first stopped, and refuses if FILE, the model or what is asked has changed.
"""

_AGAIN: Final = """\
FOLDER is what `drawbar batch` wrote. Its provenance.json says what was asked, of which versions, and when; the rows are
read again from their file and compared part by part. Nothing in FOLDER is changed. The exit code is 0 if every part has
the same numbers, else 1.
"""


def add_to(commands: Any, where: argparse.ArgumentParser) -> None:
    """Add the command.

    Parameters
    ----------
    commands
        What commands are added to.
    where
        Options that say which service to ask.
    """
    command: argparse.ArgumentParser = commands.add_parser(
        "batch",
        parents=[where],
        help="many rows of a file, into a folder of parts",
        description=_DESCRIPTION,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.add_argument("file", metavar="FILE")
    command.add_argument("--calculation", required=True, metavar="NAME", help='which one, such as "match"')
    command.add_argument("-o", "--output", required=True, metavar="FOLDER", help="where the parts go")
    command.add_argument("--scenario", metavar="FILE", help="request in TOML or JSON with what does not vary")
    command.add_argument("--job", help="where that is a farm file: the job to take, of a match")
    command.add_argument(
        "--columns", type=_names, metavar="A,B", help="JSON Pointers into the answer (default: the usual ones)"
    )
    command.add_argument(
        "--keep", type=_names, default=[], metavar="A,B", help="columns of FILE to hand on as they are, such as an id"
    )
    command.add_argument("--units", choices=("metric", "us"), help="units of the answers (default: metric)")
    command.add_argument("--format", choices=("parquet", "csv", "arrow"), default="parquet", help="of the parts")
    command.add_argument(
        "--part-rows", type=int, metavar="N", help="rows of a part (default: 131072; at most 32 if a row takes seconds)"
    )
    command.add_argument("--shard", type=_shard, default=(1, 1), metavar="I/N", help="do the I-th of N shares, from 1")
    command.add_argument("--workers", type=int, default=1, metavar="N", help="processes to work in (default: this one)")
    command.add_argument("--dask", metavar="ADDRESS", help="work on the Dask cluster of the scheduler at this address")
    command.add_argument("--overwrite", action="store_true", help="begin anew, whatever FOLDER holds")
    command.add_argument("--dry-run", action="store_true", help="tell rows, parts and time, and write nothing")
    command.set_defaults(run=_batch)


def add_reproduce_to(commands: Any, where: argparse.ArgumentParser) -> None:
    """Add the command that runs a folder again.

    Parameters
    ----------
    commands
        What commands are added to.
    where
        Options that say which service to ask.
    """
    command: argparse.ArgumentParser = commands.add_parser(
        "reproduce",
        parents=[where],
        help="run again what a folder of parts holds, and compare",
        description=_AGAIN,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    command.add_argument("folder", metavar="FOLDER")
    command.add_argument("--input", metavar="FILE", help="the file of rows, if it lies no longer where it did")
    command.set_defaults(run=_reproduce)


def _reproduce(options: argparse.Namespace) -> int:
    from drawbar import files  # noqa: PLC0415 - needs an extra

    logging.getLogger("httpx2").setLevel(logging.WARNING)
    found = files.reproduce(options.folder, input=options.input, url=options.url)
    for name, then, now in found.changed:
        print(f"{name} was {then}, now {now or 'not there'}")
    for names, told in (
        (found.same, "the same to the bit"),
        (found.same_numbers, "the same numbers in other bytes"),
        (found.differing, "other numbers"),
        (found.missing, "not there"),
    ):
        if names:
            some = ", ".join(names[:5]) + (", ..." if len(names) > 5 else "")
            print(f"{_counted(len(names), 'part')}: {told} ({some})")
    return 0 if found.reproduced else 1


def _names(text: str) -> list[str]:
    return [name.strip() for name in text.split(",") if name.strip()]


def _shard(text: str) -> tuple[int, int]:
    found = _SHARD.fullmatch(text)
    if found is None or int(found[1]) > int(found[2]):
        raise argparse.ArgumentTypeError(f"{text!r} is no share; the first of 10 is 1/10, the last 10/10")
    return int(found[1]), int(found[2])


def _batch(options: argparse.Namespace) -> int:
    from drawbar import files  # noqa: PLC0415 - needs an extra

    case = _scenario(options)
    more: dict[str, Any] = {} if options.part_rows is None else {"part_rows": options.part_rows}
    try:
        job = files.prepare(
            options.file,
            options.calculation,
            options.output,
            scenario=None if case is None else case.body,
            columns=options.columns,
            units=options.units,
            keep=options.keep,
            format=options.format,
            url=options.url,
            **more,
        )
    except ImpossibleInput as refusal:
        raise BadFile(options.file, *(_placed(fault, case, options) for fault in refusal.problem.errors)) from refusal
    for warning in job.warnings:
        print(f"drawbar: {job.asked.source.name}: {warning}", file=sys.stderr)
    # The service inside this process sets logging up as for a server, and the HTTP library tells of each request.
    logging.getLogger("httpx2").setLevel(logging.WARNING)
    if options.dry_run:
        print(_forecast(files.estimate(job, options.shard), options.workers))
        return 0
    with _progress() as told:
        print(_told(job, _run(job, options, told)))
    return 0


def _run(job: Job, options: argparse.Namespace, told: Progress) -> Summary:
    from drawbar import files  # noqa: PLC0415 - needs an extra

    more: dict[str, Any] = {"shard": options.shard, "overwrite": options.overwrite, "on_progress": told}
    if options.dask is None:
        return files.run(job, workers=options.workers, **more)
    from drawbar.files.dask import cluster  # noqa: PLC0415 - needs an extra

    with cluster(options.dask) as found:
        return files.run(job, executor=found.executor, in_flight=found.in_flight, **more)


def _scenario(options: argparse.Namespace) -> Case | None:
    if options.scenario is None:
        return None
    content = read(options.scenario)
    if isinstance(content, Farm):
        if options.job is None:
            raise BadFile(options.scenario, Fault("--job", "is a farm file; say which of its jobs"))
        return content.case(options.job)
    return plain_case(options.scenario, content)


def _placed(fault: Fault, case: Case | None, options: argparse.Namespace) -> Fault:
    """Say where a fault is: in the scenario, in the columns asked for, or in the columns of the file."""
    if fault.pointer.startswith("/scenario") and case is not None:
        pointer = fault.pointer.removeprefix("/scenario")
        return Fault(f"{options.scenario} {case.place(pointer)}".strip(), fault.detail)
    if fault.pointer.startswith("/columns/") and options.columns:
        return Fault(f"--columns {options.columns[int(fault.pointer.rpartition('/')[2])]}", fault.detail)
    return Fault(place_of(fault.pointer), fault.detail)


@contextlib.contextmanager
def _progress() -> Generator[Progress]:
    """Draw a bar with rate and time left, if somebody is there to see it."""
    tqdm: Any = library("tqdm", "files").tqdm
    bar: Any = None

    def told(done: int, total: int) -> None:
        nonlocal bar
        if bar is None:
            bar = tqdm(total=total, initial=done, unit=" rows", unit_scale=True, disable=None, file=sys.stderr)
        bar.update(done - bar.n if not bar.disable else 0)

    try:
        yield told
    finally:
        if bar is not None:
            bar.close()


def _counted(many: int, what: str) -> str:
    return f"{many} {what}" if many == 1 else f"{many} {what}s"


def _forecast(ahead: Estimate, workers: int) -> str:
    done = f", {ahead.parts_done} of them done" if ahead.parts_done else ""
    whole = f"{_counted(ahead.rows, 'row')} in {_counted(ahead.parts, 'part')}"
    if not ahead.rows_left:
        return f"{whole}. Nothing is left to do."
    return (
        f"{whole}{done}. Left to do: {_counted(ahead.rows_left, 'row')}, about "
        f"{_time(ahead.seconds)} at {ahead.rows_a_second:,.0f} rows/s and {_time(ahead.start_seconds)} to start, "
        "as measured in one process here"
        f"{'' if workers == 1 else f'; {workers} workers share it as far as there are processors'}."
    )


def _told(job: Job, done: Summary) -> str:
    if not done.parts:
        return f"Nothing is left to do. In {job.asked.folder}: {_counted(done.skipped, 'part')}."
    before = f", besides {done.skipped} there already" if done.skipped else ""
    wrong = f" {_counted(done.faulty, 'row')} at fault: see faults-*.csv there." if done.faulty else ""
    took = f"It took {_time(done.seconds)}, {done.rows / done.seconds:,.0f} rows/s."
    return (
        f"{_counted(done.rows, 'row')} in {_counted(done.parts, 'part')} in {job.asked.folder}{before}. {took}{wrong}"
    )


def _time(seconds: float) -> str:
    if seconds < 1:
        return f"{seconds:.2f} s"
    if seconds < 120:
        return f"{seconds:.1f} s" if seconds < 10 else f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 7200 else f"{seconds / 3600:.1f} h"
