from __future__ import annotations
from collections.abc import Awaitable, Callable
from typing import Any
from drawbar._under_way import Tasks
from drawbar.batch import Batch, BatchResult, Gathered, Part, Progress

async def run(batch: Batch, ask: Callable[[Part], Awaitable[Any]], concurrency: int, on_progress: Progress | None) -> BatchResult:
    ...
