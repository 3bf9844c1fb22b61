"""Made from _async_run.py by openapi/generate.py; edit it there."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from drawbar._under_way import Threads
from drawbar.batch import Batch, BatchResult, Gathered, Part, Progress


def run(batch: Batch, ask: Callable[[Part], Any], concurrency: int, on_progress: Progress | None) -> BatchResult:
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
    with Threads(ask, concurrency) as under_way:
        for part in batch.parts():
            under_way.start(part)
            if under_way.is_full:
                gathered.add(*under_way.first())
        while under_way.waiting:
            gathered.add(*under_way.first())
    return gathered.result()
