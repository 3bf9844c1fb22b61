"""Blocks of rows, over threads, in order."""

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from threading import Event
from typing import TypeAlias

from drawbar_service.batch import match, rows
from drawbar_service.batch.plan import MOST_LONG_ROWS, Plan
from drawbar_service.batch.table import Block

BLOCK_ROWS = 8192
"""Rows in a block on arrays: small enough for the processor's cache, large enough to make NumPy's toll small."""
BLOCK_ROWS_ONE_BY_ONE = 256
"""Rows in a block that is worked row by row: how long a cancelled batch goes on."""

Evaluate: TypeAlias = Callable[[Plan, int, int], Block]
"""Works the rows from one to before another."""
Watch: TypeAlias = Callable[[Evaluate], Evaluate]
"""Puts something around the function that works a block; several threads call what it returns."""


class Cancelled(Exception):  # noqa: N818 - it names what happened, not a failure
    """Nobody waits for the batch any more."""


def run(
    plan: Plan, threads: int | None = None, cancelled: Event | None = None, watch: Watch | None = None
) -> Iterator[Block]:
    """Yield the answers of a plan, block after block, in the order of the rows.

    Parameters
    ----------
    plan : Plan
    threads : int, optional
        As many as there are processors, if left out. A few blocks for each are in work or waiting at any time, so
        memory does not grow with the number of rows.
    cancelled : Event, optional
        Set it to stop before the next block.
    watch : callable, optional
        Sees every block at work.

    Raises
    ------
    Cancelled
        Once `cancelled` is set.
    """
    on_arrays = match.on_arrays(plan)
    if on_arrays:
        evaluate, size, threads = match.evaluate, BLOCK_ROWS, threads or os.cpu_count() or 1
    else:
        # Python works one row at a time whatever the threads; rows that may take long are few, and go one by one.
        evaluate, size, threads = rows.evaluate, BLOCK_ROWS_ONE_BY_ONE if plan.rows > MOST_LONG_ROWS else 1, 1
    if watch is not None:
        evaluate = watch(evaluate)
    starts = range(0, plan.rows, size)

    def work(start: int) -> Block:
        if cancelled is not None and cancelled.is_set():
            raise Cancelled
        return evaluate(plan, start, min(start + size, plan.rows))

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
