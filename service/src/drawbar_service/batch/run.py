"""Blocks of rows, over threads, in order."""

import ctypes
import sys
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from functools import cache
from threading import Event
from typing import TypeAlias

from drawbar_service.batch.plan import Plan, seconds_of
from drawbar_service.batch.rows import Leaves
from drawbar_service.batch.table import Block

BLOCK_ROWS = 32_768
"""Rows in a block: small enough for the processor's cache, large enough to make Python's toll small."""
BLOCK_SECONDS = 1.0
"""Most that a block should take [s]: between blocks the clock is read, and whoever has left is dropped."""

Evaluate: TypeAlias = Callable[[Plan, int, int], Block]
"""Works the rows from one to before another."""
Watch: TypeAlias = Callable[[Evaluate], Evaluate]
"""Puts something around the function that works a block; several threads call what it returns."""

_TRIM_THRESHOLD, _MMAP_THRESHOLD = -1, -3
"""Names of settings in glibc's ``malloc.h``."""
_KEPT_BYTES = 32_000_000
"""Just under the most that glibc heeds."""


class Cancelled(Exception):  # noqa: N818 - it names what happened, not a failure
    """Nobody waits for the batch any more."""


def run(plan: Plan, threads: int = 1, cancelled: Event | None = None, watch: Watch | None = None) -> Iterator[Block]:
    """Yield the answers of a plan, block after block, in the order of the rows.

    Parameters
    ----------
    plan : Plan
    threads : int
        Of rows on arrays. More than one gain nothing to count on: they wait for each other between the calls of NumPy,
        and two do 0.7 to 1.3 times what one does. A few blocks for each are in work or waiting at any time, so memory
        does not grow with the number of rows.
    cancelled : Event, optional
        Set it to stop before the next block.
    watch : callable, optional
        Sees every block at work.

    Raises
    ------
    Cancelled
        Once `cancelled` is set.
    """
    _keep_memory()
    leaves = Leaves(plan)
    size = max(1, min(BLOCK_ROWS, int(BLOCK_SECONDS / seconds_of(plan))))
    starts = range(0, plan.rows, size)

    def check() -> None:
        if cancelled is not None and cancelled.is_set():
            raise Cancelled

    def evaluate(plan: Plan, start: int, stop: int) -> Block:
        return leaves.evaluate(start, stop, check)

    watched = watch(evaluate) if watch is not None else evaluate

    def work(start: int) -> Block:
        check()
        return watched(plan, start, min(start + size, plan.rows))

    if threads == 1 or len(starts) == 1:
        for start in starts:
            yield work(start)
        return
    with ThreadPoolExecutor(threads, thread_name_prefix="batch") as pool:
        waiting: deque[Future[Block]] = deque()
        try:
            for start in starts:
                waiting.append(pool.submit(work, start))
                if len(waiting) >= 2 * threads:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()


@cache
def _keep_memory() -> None:
    """Have glibc keep memory that arrays of a block leave, rather than hand it back and ask for it again.

    It comes to do so by itself, but not in a process whose environment sets `MALLOC_TRIM_THRESHOLD_`, as that of a
    Dask worker does: there, a block takes twice the time. Other C libraries have no such setting.
    """
    mallopt = getattr(ctypes.CDLL(None), "mallopt", None) if sys.platform == "linux" else None
    if mallopt is not None:
        mallopt(_MMAP_THRESHOLD, _KEPT_BYTES)
        mallopt(_TRIM_THRESHOLD, 2 * _KEPT_BYTES)
