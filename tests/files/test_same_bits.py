"""A row has the same bits in any block, part, shard and process, after a kill, and asked alone."""

import hashlib
import os
import signal
from concurrent.futures import Executor, ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Any
from unittest.mock import patch

import numpy as np
import numpy.typing as npt
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import drawbar
from drawbar import files
from drawbar_service.api.v1.match import MATCH
from drawbar_service.batch import run as blocks

ROWS = 3_000
COLUMNS = [
    "/at_work/slip",
    "/at_work/slip/high",
    "/at_work/pto_power",
    "/at_work/axles/front/slip",
    "/fuel/per_area/low",
    "/limits/0/margin",
    "/greatest/speed/value",
    "/greatest/depth/value",
]
SCENARIO = {name: part for name, part in MATCH.example.items() if name != "speed"} | {"find": ["speed", "depth"]}
RANDOM = np.random.default_rng(11)
VARY: dict[str, Any] = {
    "/speed": ("km/h", RANDOM.uniform(3.0, 14.0, ROWS)),
    "/tractor/mass": ("t", RANDOM.uniform(5.0, 13.0, ROWS)),
    "/implement/tools/0/depth": ("cm", RANDOM.uniform(8.0, 35.0, ROWS)),
    "/soil/texture": RANDOM.choice(["fine", "medium", "coarse"], ROWS).tolist(),
    "/tractor/tires/rear/size": RANDOM.choice(["650/65R42", "18.4-38", "20.8R42"], ROWS).tolist(),
}


def digest(columns: dict[str, Any]) -> str:
    whole = hashlib.sha256()
    for name in COLUMNS:
        whole.update(np.asarray(columns[name], dtype=np.float64).tobytes())
    return whole.hexdigest()


def parts_in(folder: Path) -> dict[str, npt.NDArray[np.float64]]:
    table = pa.concat_tables([pq.read_table(path, memory_map=False) for path in sorted(folder.glob("part-*"))])
    return {name: table[name].to_numpy(zero_copy_only=False) for name in COLUMNS}


@pytest.fixture(scope="module")
def whole() -> str:
    with drawbar.Client.in_process() as client:
        answer = client.batch("match", SCENARIO, vary=VARY, columns=COLUMNS)
    assert answer.faults == []
    return digest(answer.columns)


@pytest.fixture
def parquet(tmp_path: Path) -> Path:
    columns = {
        f"{name} [{given[0]}]" if isinstance(given, tuple) else name: given[1] if isinstance(given, tuple) else given
        for name, given in VARY.items()
    }
    path = tmp_path / "rows.parquet"
    pq.write_table(pa.table(columns), path)
    return path


@pytest.mark.parametrize("rows", [3, 257, 1024])
def test_blocks_of_any_size(whole: str, rows: int) -> None:
    with patch.object(blocks, "BLOCK_ROWS", rows), drawbar.Client.in_process() as client:
        assert digest(client.batch("match", SCENARIO, vary=VARY, columns=COLUMNS).columns) == whole


def test_rows_in_another_order(whole: str) -> None:
    order = RANDOM.permutation(ROWS)
    back = np.argsort(order)
    mixed = {
        name: (given[0], given[1][order]) if isinstance(given, tuple) else [given[at] for at in order.tolist()]
        for name, given in VARY.items()
    }
    with drawbar.Client.in_process() as client:
        columns = client.batch("match", SCENARIO, vary=mixed, columns=COLUMNS).columns
    assert digest({name: np.asarray(columns[name])[back] for name in COLUMNS}) == whole


def test_shards_and_parts(tmp_path: Path, whole: str, parquet: Path) -> None:
    out = tmp_path / "out"
    for share in (2, 1):
        job = files.prepare(parquet, "match", out, scenario=SCENARIO, columns=COLUMNS, part_rows=700)
        files.run(job, shard=(share, 2))
    assert digest(parts_in(out)) == whole


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="processes are killed as POSIX does it")
def test_workers_that_are_killed_and_a_run_that_goes_on(tmp_path: Path, whole: str, parquet: Path) -> None:
    out, killed = tmp_path / "out", list[int]()
    pools: list[ProcessPoolExecutor] = []

    def make() -> Executor:
        pools.append(ProcessPoolExecutor(2, mp_context=get_context("spawn")))
        return pools[-1]

    def kill_one(done: int, total: int) -> None:
        if done and not killed:
            killed.append(next(iter(pools[0]._processes)))
            os.kill(killed[0], signal.SIGKILL)

    job = files.prepare(parquet, "match", out, scenario=SCENARIO, columns=COLUMNS, part_rows=400)
    files.run(job, executor=make, on_progress=kill_one)
    assert killed
    next(out.glob("part-00002*")).unlink()
    files.run(files.prepare(parquet, "match", out, scenario=SCENARIO, columns=COLUMNS, part_rows=400))
    assert digest(parts_in(out)) == whole


def test_single_calls(whole: str) -> None:
    some = list(range(0, ROWS, 60))
    with drawbar.Client.in_process() as client:
        columns = client.batch("match", SCENARIO, vary=VARY, columns=COLUMNS).columns
        for row in some:
            alone = {
                name: (given[0], given[1][row : row + 1]) if isinstance(given, tuple) else given[row : row + 1]
                for name, given in VARY.items()
            }
            found = client.batch("match", SCENARIO, vary=alone, columns=COLUMNS).columns
            assert digest(found) == digest({name: columns[name][row : row + 1] for name in COLUMNS})
