"""What carrying rows costs: Arrow over HTTP against in process, JSON against msgspec alone, two processes against one,
Dask against a pool.

python3 deploy/local.py bench tests/benchmarks/test_files.py -s
"""

import contextlib
import os
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from threading import Event

import msgspec
import numpy as np
import pyarrow as pa
import pytest
from tests.benchmarks.growth import COLUMNS, SCHEMA, write_rows

import drawbar
from drawbar import _arrow_wire as wire
from drawbar import files
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.wire import JSON
from drawbar_service.batch.answer import Batch, answer
from drawbar_service.batch.plan import Given, make_plan
from drawbar_service.batch.run import run

ROWS = 1_048_576
JSON_ROWS = 500_000
DASK_ROWS = int(os.environ.get("BENCH_DASK_ROWS", "8000000"))
RANDOM = np.random.default_rng(3)
SPEEDS = RANDOM.uniform(3.0, 14.0, ROWS)
MULTIPLIERS = RANDOM.uniform(0.5, 2.0, ROWS)


def best(work: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    """Shortest time of three [s]."""
    times: list[float] = []
    for _ in range(3):
        begun = clock()
        work()
        times.append(clock() - begun)
    return min(times)


@contextlib.contextmanager
def service() -> Iterator[str]:
    """A service in a process of its own."""
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        port = held.getsockname()[1]
    address = f"http://127.0.0.1:{port}"
    with subprocess.Popen((sys.executable, "-m", "drawbar_service", "--port", str(port))) as process:
        try:
            patient = drawbar.RetryPolicy(attempts=1000, backoff_cap=0.2, budget=60.0)
            with drawbar.Client(address, retry=patient) as client:
                client.livez()
            yield address
        finally:
            process.terminate()


def test_arrow_over_http_against_in_process(capsys):
    table = pa.Table.from_arrays([pa.array(SPEEDS), pa.array(MULTIPLIERS)], schema=SCHEMA)
    sent = wire.sent_columns(table.schema, ())
    bodies = [
        wire.encode(table.slice(start, wire.REQUEST_ROWS), sent, wire.head(MATCH.example, COLUMNS))
        for start in range(0, ROWS, wire.REQUEST_ROWS)
    ]

    def rate(client: drawbar.Client) -> float:
        def whole() -> None:
            for body in bodies:
                wire.ask(client, "match", body, wire.ARROW, None)

        whole()
        return ROWS / best(whole)

    with drawbar.Client.in_process() as client:
        inside = rate(client)
    with service() as address, drawbar.Client(address) as client:
        outside = rate(client)
    with capsys.disabled():
        print(
            f"\nArrow: {inside / 1e6:.2f} million rows/s in process, {outside / 1e6:.2f} over HTTP on this machine: "
            f"{outside / inside:.2f} (goal 0.5)"
        )


def test_columns_in_json_against_reading_and_writing_them(capsys):
    speeds, multipliers = SPEEDS[:JSON_ROWS], MULTIPLIERS[:JSON_ROWS]
    vary = {
        "/speed": {"unit": "km/h", "values": speeds.tolist()},
        "/implement/draft_multiplier": multipliers.tolist(),
    }
    body = msgspec.json.encode({"scenario": MATCH.example, "vary": vary, "columns": COLUMNS})
    batch = Batch(MATCH, JSON, JSON, "metric", JSON_ROWS)

    def whole() -> bytes:
        return b"".join(answer(batch, [body], Event()))

    told = msgspec.json.decode(whole())

    def bare() -> None:
        msgspec.json.decode(body)
        msgspec.json.encode(told)

    given = {"/speed": Given(speeds, "km/h"), "/implement/draft_multiplier": Given(multipliers)}
    plan = make_plan(MATCH, dict(MATCH.example), given, "zip", COLUMNS, "metric", JSON_ROWS)

    def engine() -> None:
        for _ in run(plan):
            pass

    # Of the processor: what else is on the machine matters less, and two threads count as two.
    carried, reckoned, read = (best(work, time.process_time) for work in (whole, engine, bare))
    with capsys.disabled():
        print(
            f"\nJSON, {JSON_ROWS} rows, seconds of processor: {carried:.2f} in all, {reckoned:.2f} to reckon, "
            f"{read:.2f} for msgspec alone: {read / (carried - reckoned):.2f} of what carrying takes (goal 0.5)"
        )


@pytest.fixture(scope="module")
def rows(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("rows") / "rows.parquet"
    write_rows(path, DASK_ROWS)
    return path


def test_two_processes_against_one_and_two_dask_workers_against_them(rows, tmp_path, capsys):
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    from distributed import LocalCluster

    from drawbar.files.dask import cluster

    def prepared(path: Path, folder: str) -> files.Job:
        return files.prepare(path, "match", tmp_path / folder, scenario=MATCH.example, columns=COLUMNS)

    few = rows.parent / "few.parquet"
    write_rows(few, 12 * wire.REQUEST_ROWS)
    files.run(prepared(few, "warm"))
    begun = time.process_time()
    alone = files.run(prepared(rows, "alone"))
    processor = time.process_time() - begun
    with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
        # To start a service in every worker is not part of the rate.
        files.run(prepared(few, "warm pool"), executor=pool, in_flight=4)
        by_pool = files.run(prepared(rows, "pool"), executor=pool, in_flight=4)
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as local,
        cluster(local.scheduler_address) as found,
    ):
        files.run(prepared(few, "warm dask"), executor=found.executor, in_flight=found.in_flight)
        by_dask = files.run(prepared(rows, "dask"), executor=found.executor, in_flight=found.in_flight)
    assert alone.rows == by_pool.rows == by_dask.rows == DASK_ROWS
    one, pool_rate, dask_rate = (DASK_ROWS / found.seconds / 1e6 for found in (alone, by_pool, by_dask))
    with capsys.disabled():
        print(
            f"\n{DASK_ROWS} rows, million rows/s: one process {one:.2f} ({DASK_ROWS / processor / 1e6:.2f} for each "
            f"second of processor), pool of two {pool_rate:.2f}, two Dask workers {dask_rate:.2f}; pool over one "
            f"{pool_rate / one:.2f} (goal 1.7), Dask over pool {dask_rate / pool_rate:.2f} (goal 0.85)"
        )
