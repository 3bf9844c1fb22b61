from __future__ import annotations
import contextlib
import multiprocessing
import signal
import time
from collections import deque
from collections.abc import Callable, Generator, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor, wait
from dataclasses import dataclass
from functools import partial
from typing import Final
from drawbar.batch import Progress
from drawbar.errors import DrawbarError
from drawbar.files.job import Job
from drawbar.files.manifest import BadJob, locked, remove_unfinished, settle
from drawbar.files.parts import Done, Task, work
_MOST_BREAKS: Final = 3

@dataclass(frozen=True)
class Summary:
    rows: int
    faulty: int
    parts: int
    skipped: int
    seconds: float

def run(job: Job, *, shard: tuple[int, int]=(1, 1), overwrite: bool=False, workers: int=1, executor: Executor | Callable[[], Executor] | None=None, in_flight: int | None=None, on_progress: Progress | None=None) -> Summary:
    ...

def _run(job: Job, shard: tuple[int, int], make: _Maker, most: int, begun: float, on_progress: Progress | None) -> Summary:
    ...

def _rows(task: Task) -> int:
    ...

class _Told:

    def __init__(self, total: int, on_progress: Progress | None) -> None:
        ...

    def skip(self, rows: int) -> None:
        ...

    def add(self, done: Done) -> None:
        ...

    def _tell(self) -> None:
        ...

@dataclass(frozen=True)
class _Maker:
    make: Callable[[], Executor]
    again: bool = True
    owned: bool = True

def _maker(executor: Executor | Callable[[], Executor] | None, workers: int) -> _Maker:
    ...

def _ignore_interrupts() -> None:
    ...

def _results(left: deque[Task], maker: _Maker, most: int) -> Iterator[Done]:
    ...

@contextlib.contextmanager
def _pool(maker: _Maker) -> Generator[Executor]:
    ...

def _pool_results(left: deque[Task], pool: Executor, most: int, lost: list[Task]) -> Iterator[Done]:
    ...
