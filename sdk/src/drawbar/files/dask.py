"""The executor of a Dask cluster, which needs `pip install './sdk[dask]'`: futures only, no arrays or frames.

Workers have to see the input and the folder under the same paths, and need the same packages as here. A worker that
dies has its parts done by the others; Dask sees to that.
"""

from __future__ import annotations

import contextlib
from collections.abc import Generator
from concurrent.futures import Executor
from typing import Any, NamedTuple

from drawbar._libraries import library
from drawbar.files.manifest import BadJob


class Cluster(NamedTuple):
    """What to work on, and how much of it there is."""

    executor: Executor
    in_flight: int
    """Parts that keep it busy."""


@contextlib.contextmanager
def cluster(scheduler: str) -> Generator[Cluster]:
    """Connect to a cluster.

    Parameters
    ----------
    scheduler
        Address of its scheduler, such as "tcp://10.0.0.1:8786".

    Raises
    ------
    BadJob
        If it does not answer, or has no workers.
    """
    distributed = library("distributed", "dask")
    try:
        client: Any = distributed.Client(scheduler, set_as_default=False, timeout="10s")
    except (OSError, ValueError) as fault:
        raise BadJob(f"No Dask scheduler answers at {scheduler}: {fault}") from fault
    with client:
        threads = sum(client.nthreads().values())
        if not threads:
            raise BadJob(f"The Dask scheduler at {scheduler} has no workers yet; start some.")
        yield Cluster(client.get_executor(pure=False), 2 * threads)
