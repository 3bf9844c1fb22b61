"""Doing it: in this process, in many, or on any executor; a worker that dies costs the time of its part."""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import time
from collections import deque
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import (
    FIRST_COMPLETED,
    BrokenExecutor,
    Executor,
    Future,
    ProcessPoolExecutor,
    ThreadPoolExecutor,
    wait,
)
from dataclasses import dataclass, replace
from functools import partial
from typing import Final

import msgspec

from drawbar.batch import Progress
from drawbar.errors import DrawbarError
from drawbar.files.job import Job
from drawbar.files.manifest import BadJob, locked, remove_unfinished, settle, settle_origin
from drawbar.files.parts import Done, Task, work

_MOST_BREAKS: Final = 3
"""Times that a pool may break without a part done in between."""


@dataclass(frozen=True)
class Summary:
    """What was done."""

    rows: int
    """Rows written by this run, faulty ones included."""
    faulty: int
    """Rows at fault, which are in the `faults-` files instead."""
    parts: int
    """Parts written by this run."""
    skipped: int
    """Parts that were there already."""
    seconds: float


def run(
    job: Job,
    *,
    shard: tuple[int, int] = (1, 1),
    overwrite: bool = False,
    workers: int = 1,
    executor: Executor | Callable[[], Executor] | None = None,
    in_flight: int | None = None,
    on_progress: Progress | None = None,
) -> Summary:
    """Write the parts that are not there yet.

    Each takes its name once it is whole, so a run that was stopped goes on where it stopped, and any number of runs
    over different shards may share a folder. A worker process that dies is replaced and its parts are done again.

    Parameters
    ----------
    job
        What is to be done.
    shard
        Which share of the parts, counted from 1, of how many: (3, 10) does parts 3, 13, 23 and so on.
    overwrite
        Begin anew, whatever the folder holds.
    workers
        Processes to work in; 1 is this one.
    executor
        Something else to work in: any executor of `concurrent.futures`, or a function that makes one, which is called
        again if it breaks. Its workers have to see the input and the folder under the same paths.
    in_flight
        Most parts handed out at the same time; twice the workers if left out, or 16 of an executor given.
    on_progress
        Told how many rows are done and how many there are, at the beginning and after each part.

    Raises
    ------
    BadJob
        If the folder holds parts of something else, or another run is at work on that share of it.
    DrawbarError
        If the service fails, or workers die again and again.
    """
    mine, of = shard
    if not 1 <= mine <= of:
        raise BadJob(f"shard {mine} of {of}: the first of 10 is 1/10, the last 10/10.")
    if workers < 1:
        raise BadJob(f"workers is {workers}; give at least 1.")
    if overwrite and of > 1:
        raise BadJob("--overwrite would remove what other shards write; empty the folder first.")
    begun = time.monotonic()
    folder = job.asked.folder
    folder.mkdir(parents=True, exist_ok=True)
    most = in_flight or (2 * workers if executor is None else 16)
    with locked(folder, shard):
        settle(folder, job.manifest, overwrite=overwrite)
        origin = settle_origin(folder, job.provenance)
        job = replace(job, asked=replace(job.asked, origin=msgspec.json.encode(origin)))
        return _run(job, shard, _maker(executor, workers), most, begun, on_progress)


def _run(
    job: Job, shard: tuple[int, int], make: _Maker, most: int, begun: float, on_progress: Progress | None
) -> Summary:
    tasks = list(job.tasks(shard))
    left = job.left(tasks)
    ours = frozenset(task.number for task in left)
    remove_unfinished(job.asked.folder, ours)
    done = _Told(sum(_rows(task) for task in tasks), on_progress)
    done.skip(sum(_rows(task) for task in tasks) - sum(_rows(task) for task in left))
    if left:
        for one in _results(deque(left), make, most):
            done.add(one)
        # A worker that died while it wrote has left its half behind; all parts are whole now.
        remove_unfinished(job.asked.folder, ours)
    return Summary(done.rows, done.faulty, len(left), len(tasks) - len(left), time.monotonic() - begun)


def _rows(task: Task) -> int:
    return task.stop - task.start


class _Told:
    """Counts what is done and tells it on."""

    def __init__(self, total: int, on_progress: Progress | None) -> None:
        self.rows = self.faulty = self._before = 0
        self._total = total
        self._on_progress = on_progress

    def skip(self, rows: int) -> None:
        self._before = rows
        self._tell()

    def add(self, done: Done) -> None:
        self.rows += done.rows
        self.faulty += done.faulty
        self._tell()

    def _tell(self) -> None:
        if self._on_progress is not None:
            self._on_progress(self._before + self.rows, self._total)


@dataclass(frozen=True)
class _Maker:
    """Makes pools, as many as it takes."""

    make: Callable[[], Executor]
    again: bool = True
    owned: bool = True


def _maker(executor: Executor | Callable[[], Executor] | None, workers: int) -> _Maker:
    if isinstance(executor, Executor):
        return _Maker(lambda: executor, again=False, owned=False)
    if executor is not None:
        return _Maker(executor)
    if workers == 1:
        # While one part is read or written, the other one is calculated.
        return _Maker(partial(ThreadPoolExecutor, 2, thread_name_prefix="drawbar-files"))
    # A fork would take over the threads of a service without their lives.
    context = multiprocessing.get_context("spawn")
    return _Maker(partial(ProcessPoolExecutor, workers, mp_context=context, initializer=_ignore_interrupts))


def _ignore_interrupts() -> None:
    # Ctrl-C reaches every process of the terminal; it is for the first one to say what becomes of the others.
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def _results(left: deque[Task], maker: _Maker, most: int) -> Iterator[Done]:
    """Yield parts as they are done, in any order, over as many pools as it takes."""
    breaks = 0
    while left:
        lost: list[Task] = []
        with _pool(maker) as pool:
            for one in _pool_results(left, pool, most, lost):
                breaks = 0
                yield one
        if lost:
            breaks += 1
            if not maker.again or breaks > _MOST_BREAKS:
                raise DrawbarError(
                    f"Workers died {breaks} times without finishing a part (last: parts "
                    f"{', '.join(str(task.number) for task in lost[:5])}); perhaps memory is short. "
                    "What is written stays; the same call goes on from there."
                )
            left.extendleft(reversed(lost))


@contextlib.contextmanager
def _pool(maker: _Maker) -> Generator[Executor]:
    pool = maker.make()
    try:
        yield pool
    finally:
        if maker.owned:
            pool.shutdown(wait=True, cancel_futures=True)


def _pool_results(left: deque[Task], pool: Executor, most: int, lost: list[Task]) -> Iterator[Done]:
    """Yield parts as one pool does them, until there are none left or it breaks; `lost` are then to be done again."""
    waiting: dict[Future[Done], Task] = {}
    try:
        while waiting or (left and not lost):
            while left and not lost and len(waiting) < most:
                try:
                    waiting[pool.submit(work, left[0])] = left[0]
                except BrokenExecutor:
                    lost.append(left[0])
                left.popleft()
            if waiting:
                for future in wait(waiting, return_when=FIRST_COMPLETED).done:
                    task = waiting.pop(future)
                    try:
                        done = future.result()
                    except BrokenExecutor:
                        lost.append(task)
                        continue
                    yield done
    finally:
        for future in waiting:
            future.cancel()
