from __future__ import annotations
import contextlib
from collections.abc import Generator
from concurrent.futures import Executor
from typing import Any, NamedTuple
from drawbar._libraries import library
from drawbar.files.manifest import BadJob

class Cluster(NamedTuple):
    executor: Executor
    in_flight: int

@contextlib.contextmanager
def cluster(scheduler: str) -> Generator[Cluster]:
    ...
