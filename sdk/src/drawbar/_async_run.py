"""Sending the parts of a batch, some at a time.

For the client that is not awaited, `_sync_run` is made from this file by openapi/generate.py.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from typing import Any

from drawbar._under_way import Tasks
from drawbar.batch import Batch, BatchResult, Gathered, Part, Progress


async def run(
    batch: Batch, ask: Callable[[Part], Awaitable[Any]], concurrency: int, on_progress: Progress | None
) -> BatchResult:
    """Send all parts, some at a time.

    Parameters
    ----------
    batch
        What is asked.
    ask
        Sends one part.
    concurrency
        Most parts under way at the same time.
    on_progress
        Told how far it is.
    """
    gathered = Gathered(batch, on_progress)
    async with Tasks(ask, concurrency) as under_way:
        for part in batch.parts():
            under_way.start(part)
            if under_way.is_full:
                gathered.add(*await under_way.first())
        while under_way.waiting:
            gathered.add(*await under_way.first())
    return gathered.result()
