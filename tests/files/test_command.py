"""The command `drawbar batch`, in this process and against a service."""

import importlib
import json
import re
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
import uvicorn
from tests.files.conftest import COLUMNS, SCENARIO, read_parts

from drawbar import cli
from drawbar.files import estimate, prepare
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
FARM = ROOT / "sdk/examples/farm.toml"


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    started = threading.Event()

    class Telling(uvicorn.Server):
        async def startup(self, sockets=None):
            await super().startup(sockets)
            started.set()

    server = Telling(uvicorn.Config(create_app(Settings()), port=0, ws="none", log_config=None))
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    assert started.wait(30)
    yield f"http://127.0.0.1:{server.servers[0].sockets[0].getsockname()[1]}"
    server.should_exit = True
    thread.join(30)
    assert not thread.is_alive()


@pytest.fixture
def run(capsys, monkeypatch, tmp_path, parquet, scenario_file):
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")

    def run(*more, scenario=scenario_file, file=parquet, calculation="field-capacity"):
        told = ("--scenario", scenario) if scenario else ()
        words = ("batch", file, "--calculation", calculation, "-o", tmp_path / "out", *told, *more)
        code = cli.main([str(word) for word in words])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


ASKED = ("--columns", ",".join(COLUMNS), "--keep", "id", "--part-rows", "6")


def test_a_folder_of_parts_and_a_line_that_tells(run, tmp_path, whole):
    code, told, errors = run(*ASKED)
    assert (code, errors) == (0, "")
    assert re.fullmatch(
        r"23 rows in 4 parts in \S+out\. It took [\d.]+ s, [\d,]+ rows/s\. 5 rows at fault: see faults-\*\.csv "
        r"there\.\n",
        told,
    )
    assert read_parts(tmp_path / "out") == whole
    assert run(*ASKED)[1].strip().endswith(": 4 parts.")
    code, _, errors = run(*ASKED, "--units", "us")
    assert code == 2
    assert "units was" in errors
    assert run(*ASKED, "--units", "us", "--overwrite")[0] == 0


def test_a_service_at_an_address_says_the_same(run, tmp_path, whole, address):
    assert run(*ASKED, "--url", address, "--shard", "2/2")[0] == 0
    # Whoever works on the next shard may do so elsewhere: the same model gives the same answers.
    assert run(*ASKED, "--shard", "1/2")[0] == 0
    assert read_parts(tmp_path / "out") == whole


def test_a_dry_run_tells_and_writes_nothing(run, tmp_path, parquet):
    code, told, _ = run(*ASKED, "--dry-run", "--workers", "2")
    assert code == 0
    assert re.match(
        r"23 rows in 4 parts\. Left to do: 23 rows, about [\d.]+ s at [\d,]+ rows/s and [\d.]+ s to start, ", told
    )
    assert "2 workers share it" in told
    ahead = estimate(prepare(parquet, "field-capacity", tmp_path / "out", scenario=SCENARIO, keep=["id"]))
    assert ahead.start_seconds > 0.0
    assert ahead.seconds == ahead.start_seconds + ahead.rows_left / ahead.rows_a_second
    assert not (tmp_path / "out").exists()
    run(*ASKED, "--shard", "1/4")
    assert run(*ASKED, "--dry-run")[1].startswith("23 rows in 4 parts, 1 of them done. Left to do: 17 rows, ")


def test_the_example_grid_on_a_job_of_the_example_farm(run, tmp_path):
    grid = ROOT / "sdk/examples/speeds.toml"
    code, _, errors = run(scenario=FARM, file=grid, calculation="match")
    assert code == 2
    assert "say which of its jobs" in errors
    assert run("--job", "stubble", scenario=FARM, file=grid, calculation="match")[0] == 0
    rows = read_parts(tmp_path / "out").rows
    assert len(rows) == 183
    # At one speed, what pulls harder slips more.
    light, usual, heavy = (row["/at_work/slip"] for row in rows[3:6])
    assert light < usual < heavy


@pytest.mark.parametrize(
    ("scenario", "more", "place"),
    [
        (SCENARIO | {"width": "6 kN"}, (), "base.json width: unit 'kN'"),
        (SCENARIO, ("--columns", "/capacity/theoretical,/capacity/speed"), "--columns /capacity/speed: there is no"),
        (SCENARIO, ("--columns", "/capacity"), "--columns /capacity: "),
        ({"width": "6 m"}, (), ""),
    ],
    ids=["scenario", "column", "object", "sound"],
)
def test_what_is_wrong_is_named_by_its_place(run, scenario_file, scenario, more, place):
    scenario_file.write_text(json.dumps(scenario), "utf-8")
    code, _, errors = run("--keep", "id", *more)
    assert code == (2 if place else 0)
    assert place in errors


def test_a_column_that_leads_nowhere(run, tmp_path):
    grid = tmp_path / "speeds.toml"
    grid.write_text('[vary]\n"/sped" = ["8 km/h"]\n', "utf-8")
    code, _, errors = run(file=grid)
    assert code == 2
    assert "column /sped: there is no 'sped' in the body" in errors


@pytest.mark.parametrize("share", ["0/3", "4/3", "x", "1/"])
def test_a_share_that_is_none(run, share, capsys):
    with pytest.raises(SystemExit):
        run("--shard", share)
    assert "the first of 10 is 1/10" in capsys.readouterr().err


def test_an_extra_that_is_missing_is_named(run, monkeypatch):
    load = importlib.import_module

    def without_dask(name):
        if name.startswith("distributed"):
            raise ModuleNotFoundError(name=name)
        return load(name)

    monkeypatch.setattr("importlib.import_module", without_dask)
    code, _, errors = run(*ASKED, "--dask", "tcp://127.0.0.1:1")
    assert code == 3
    assert "needs distributed, which is not installed here: pip install './sdk[dask]'" in errors


def test_a_bar_is_drawn_where_somebody_sees_it(run, monkeypatch, capsys):
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    _, _, errors = run(*ASKED)
    assert "100%" in errors
    assert " rows/s" in errors
