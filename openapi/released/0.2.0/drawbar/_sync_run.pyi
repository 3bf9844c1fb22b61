from __future__ import annotations
from collections.abc import Callable
from typing import Any
from drawbar._under_way import Threads
from drawbar.batch import Batch, BatchResult, Gathered, Part, Progress

def run(batch: Batch, ask: Callable[[Part], Any], concurrency: int, on_progress: Progress | None) -> BatchResult:
    ...
