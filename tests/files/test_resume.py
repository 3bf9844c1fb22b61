"""Runs that stop, start again, share a folder, or lose their workers."""

import errno
import json
import os
import signal
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from multiprocessing import get_context
from pathlib import Path

import pytest
from tests.files.conftest import COLUMNS, ROWS, SCENARIO, TABLE, read_parts, write_csv

import drawbar
import drawbar.cli
from drawbar import files
from drawbar.files import manifest


def prepared(path, folder, **more):
    options = {"scenario": SCENARIO, "columns": COLUMNS, "keep": ["id"], "part_rows": 3} | more
    return files.prepare(path, "field-capacity", folder, **options)


def stamps(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in folder.glob("part-*")}


def test_a_second_run_does_what_is_missing_and_nothing_else(tmp_path, whole, parquet):
    out = tmp_path / "out"
    job = prepared(parquet, out)
    assert files.run(job).parts == 8
    before = stamps(out)
    lost = out / "part-00004.parquet"
    lost.unlink()
    (out / ".part-00004.parquet.0af.tmp").write_bytes(b"half of it")
    again = files.run(prepared(parquet, out))
    assert (again.parts, again.skipped, again.rows) == (1, 7, 3)
    after = stamps(out)
    assert {name for name in after if after[name] != before[name]} == {lost.name}
    assert read_parts(out) == whole
    assert files.run(job).parts == 0


def test_a_part_that_was_damaged_is_done_again(tmp_path, whole, parquet):
    out = tmp_path / "out"
    files.run(prepared(parquet, out))
    cut, changed = out / "part-00002.parquet", out / "part-00005.parquet"
    cut.write_bytes(cut.read_bytes()[:100])
    content = bytearray(changed.read_bytes())
    content[len(content) // 2] ^= 1
    changed.write_bytes(content)
    again = files.run(prepared(parquet, out))
    assert (again.parts, again.skipped) == (2, 6)
    assert read_parts(out) == whole


def test_a_part_whose_digest_was_not_noted_whole_is_done_again(tmp_path, whole, parquet):
    out = tmp_path / "out"
    files.run(prepared(parquet, out))
    noted = out / manifest.DIGESTS
    noted.write_bytes(noted.read_bytes()[:-20])
    assert files.run(prepared(parquet, out)).parts == 1
    assert read_parts(out) == whole


def test_a_second_run_on_the_same_share_is_told_who_is_at_work(tmp_path, parquet):
    out = tmp_path / "out"
    job = prepared(parquet, out)
    found: list[str] = []

    def meanwhile(done, total):
        if not found:
            with pytest.raises(files.BadJob) as refusal:
                files.run(prepared(parquet, out))
            found.append(str(refusal.value))
            files.run(prepared(parquet, out), shard=(2, 2))

    files.run(job, on_progress=meanwhile)
    assert f"share 1/1 is at work in process {os.getpid()} on " in found[0]
    assert not list(out.glob(".run-*"))


def test_a_disk_that_fails_is_a_sentence(tmp_path, parquet, monkeypatch, capsys):
    def full(*arguments):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), "part-00001.parquet")

    monkeypatch.setattr(manifest, "_write_through", full)
    scenario = tmp_path / "scenario.json"
    scenario.write_text(json.dumps(SCENARIO), "utf-8")
    words = ["batch", parquet, "--calculation", "field-capacity", "--scenario", scenario, "--keep", "id"]
    words += ["-o", tmp_path / "out"]
    assert drawbar.cli.main(list(map(str, words))) == 2
    told = capsys.readouterr().err
    assert "part-00001.parquet: No space left on device. What was finished stays" in told
    assert "Traceback" not in told


class Stop(Exception):  # noqa: N818
    pass


def test_a_run_that_is_broken_off_goes_on(tmp_path, whole, parquet):
    def stop(done, total):
        if done > ROWS // 2:
            raise Stop

    out = tmp_path / "out"
    with pytest.raises(Stop):
        files.run(prepared(parquet, out), on_progress=stop)
    done = len(list(out.glob("part-*")))
    assert 0 < done < 8
    assert files.run(prepared(parquet, out)).skipped == done
    assert read_parts(out) == whole


def test_shards_share_a_folder(tmp_path, whole, parquet):
    out = tmp_path / "out"
    parts: list[set[str]] = []
    for share in (2, 3, 1):
        before = set(stamps(out)) if out.exists() else set()
        files.run(prepared(parquet, out), shard=(share, 3))
        parts.append(set(stamps(out)) - before)
    assert parts[2] == {"part-00001.parquet", "part-00004.parquet", "part-00007.parquet"}
    assert sum(map(len, parts)) == 8
    assert read_parts(out) == whole


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"columns": COLUMNS[:1]}, "columns was /capacity/theoretical, /capacity/efficiency, /about/model, now"),
        ({"units": "us"}, "units was"),
        ({"part_rows": 4}, "part_rows was 3, now 4; parts was 8, now 6"),
        ({"format": "csv"}, "format was parquet, now csv"),
        ({"scenario": SCENARIO | {"width": "7 m"}}, "scenario_sha256 was"),
        ({"keep": ["id", "/practice"]}, "keep was id, now id, /practice"),
        ({"path": "rows.csv"}, "input was rows.parquet with 23 rows"),
    ],
    ids=lambda value: next(iter(value)) if isinstance(value, dict) else "",
)
def test_parts_of_something_else_are_not_mixed_in(tmp_path, parquet, more, told):
    out = tmp_path / "out"
    files.run(prepared(parquet, out))
    write_csv(tmp_path / "rows.csv", TABLE)
    options = dict(more)
    other = prepared(tmp_path / options.pop("path", parquet.name), out, **options)
    before = stamps(out)
    with pytest.raises(files.BadJob, match=told):
        files.run(other)
    assert stamps(out) == before
    files.run(other, overwrite=True)
    assert len(stamps(out)) == other.parts


def test_another_model_is_not_mixed_in(tmp_path, parquet):
    out = tmp_path / "out"
    job = prepared(parquet, out)
    files.run(job)
    file = out / manifest.NAME
    file.write_text(file.read_text("utf-8").replace('"model": "', '"model": "0.'), "utf-8")
    with pytest.raises(files.BadJob, match="model was 0"):
        files.run(job)
    file.write_text("{", "utf-8")
    with pytest.raises(files.BadJob, match="damaged"):
        files.run(job)
    file.unlink()
    with pytest.raises(files.BadJob, match=r"no manifest\.json"):
        files.run(job)


def test_the_same_file_by_another_name_is_the_same(tmp_path, parquet):
    out = tmp_path / "out"
    files.run(prepared(parquet, out))
    assert files.run(prepared(parquet.rename(tmp_path / "moved.pq"), out)).parts == 0


@pytest.mark.parametrize(
    ("more", "told"),
    [
        ({"shard": (0, 3)}, "the first of 10 is 1/10"),
        ({"shard": (4, 3)}, "the first of 10 is 1/10"),
        ({"workers": 0}, "at least 1"),
        ({"shard": (1, 2), "overwrite": True}, "other shards"),
    ],
    ids=range(4),
)
def test_runs_that_cannot_be(tmp_path, parquet, more, told):
    with pytest.raises(files.BadJob, match=told):
        files.run(prepared(parquet, tmp_path / "out"), **more)


def test_progress_starts_at_what_is_there(tmp_path, parquet):
    job = prepared(parquet, tmp_path / "out")
    files.run(job, shard=(1, 2))
    told: list[tuple[int, int]] = []
    files.run(job, on_progress=lambda done, of: told.append((done, of)))
    assert told[0] == (12, ROWS)
    assert told[-1] == (ROWS, ROWS)
    assert [done for done, _ in told] == sorted({done for done, _ in told})


def test_any_executor_will_do(tmp_path, whole, parquet):
    with ThreadPoolExecutor(3) as pool:
        files.run(prepared(parquet, tmp_path / "out"), executor=pool, in_flight=2)
        # The caller's pool is left to the caller.
        assert pool.submit(abs, -1).result() == 1
    assert read_parts(tmp_path / "out") == whole


class Breaking(Executor):
    """Breaks over each part, at once or a little later."""

    def __init__(self, at_once: bool) -> None:
        self._at_once = at_once

    def submit(self, fn, /, *args, **kwargs):
        if self._at_once:
            raise BrokenExecutor("gone")
        future: Future[object] = Future()
        future.set_exception(BrokenExecutor("gone"))
        return future


@pytest.mark.parametrize("at_once", [True, False])
def test_workers_that_die_without_end_are_given_up(tmp_path, parquet, at_once):
    made: list[Breaking] = []

    def make() -> Executor:
        made.append(Breaking(at_once))
        return made[-1]

    job = prepared(parquet, tmp_path / "out")
    with pytest.raises(drawbar.DrawbarError, match="Workers died 4 times"):
        files.run(job, executor=make)
    assert len(made) == 4
    with pytest.raises(drawbar.DrawbarError, match="Workers died 1 times"):
        files.run(job, executor=Breaking(at_once))


@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="processes are killed as POSIX does it")
def test_a_worker_that_is_killed_loses_no_part_and_repeats_none(tmp_path, whole, parquet):
    pools: list[ProcessPoolExecutor] = []
    killed: list[int] = []

    def make() -> Executor:
        pools.append(ProcessPoolExecutor(1 if pools else 2, mp_context=get_context("spawn")))
        return pools[-1]

    def kill_one(done: int, total: int) -> None:
        if done and not killed:
            killed.append(next(iter(pools[0]._processes)))
            os.kill(killed[0], signal.SIGKILL)

    done = files.run(prepared(parquet, tmp_path / "out", part_rows=1), executor=make, on_progress=kill_one)
    assert len(pools) >= 2
    assert (done.rows, done.parts) == (ROWS, ROWS)
    assert read_parts(tmp_path / "out") == whole


@pytest.mark.nightly
def test_a_dask_worker_that_is_killed_loses_no_part_and_repeats_none(tmp_path, whole, parquet):
    from distributed import LocalCluster

    from drawbar.files.dask import cluster

    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as local:
        pids = [worker.pid for worker in local.workers.values()]

        def kill_one(done: int, total: int) -> None:
            if done and pids:
                os.kill(pids.pop(), signal.SIGKILL)
                pids.clear()

        with cluster(local.scheduler_address) as found:
            job = prepared(parquet, tmp_path / "out", part_rows=1)
            done = files.run(job, executor=found.executor, in_flight=found.in_flight, on_progress=kill_one)
    assert not pids
    assert (done.rows, done.parts) == (ROWS, ROWS)
    assert read_parts(tmp_path / "out") == whole
