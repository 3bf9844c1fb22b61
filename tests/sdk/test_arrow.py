"""Arrow in, Arrow out, against single calls."""

import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import polars as pl
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

import drawbar
from drawbar import arrow
from drawbar._arrow_wire import close_clients
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY

SCENARIO = dict(FIELD_CAPACITY.example)
COLUMNS = ["/capacity/theoretical", "/capacity/efficiency"]
SPEEDS = [5.0, 6.0, 900.0, 7.5, None, 9.0]
KINDS = ["chisel-plow", "spade", "chisel-plow", "field-cultivator", "chisel-plow", "spade"]
TABLE = pa.table({"/speed [km/h]": SPEEDS, "/practice": KINDS, "id": list("abcdef")})
RECIPES = (Path(__file__).resolve().parents[2] / "sdk/RECIPES.md").read_text("utf-8")


@pytest.fixture(scope="module")
def client():
    with drawbar.Client.in_process() as made:
        yield made


@pytest.fixture(scope="module")
def whole(client):
    return client.batch("field-capacity", SCENARIO, TABLE.select([0, 1]), columns=COLUMNS)


def ask(client, rows=TABLE, **more):
    return arrow.batch("field-capacity", SCENARIO, rows, columns=COLUMNS, keep=["id"], client=client, **more).read_all()


@pytest.mark.parametrize("rows_per_request", [1, 2, 4, 100])
def test_rows_and_faults_are_those_of_a_batch(client, whole, rows_per_request):
    table = ask(client, rows_per_request=rows_per_request)
    assert table.column_names == ["id", *COLUMNS, arrow.FAULT]
    assert table["id"].to_pylist() == list("abcdef")
    for pointer in COLUMNS:
        assert table[pointer].to_pylist() == whole.to_arrow()[pointer].to_pylist()
        assert table.schema.field(pointer).metadata == {b"unit": whole.units[pointer].encode()}
    told = table[arrow.FAULT].to_pylist()
    assert {row for row in range(6) if told[row]} == {fault.row for fault in whole.faults} == {1, 2, 4, 5}
    for fault in whole.faults:
        assert f"{fault.pointer}: {fault.detail}" in told[fault.row]


@pytest.mark.parametrize(
    "rows",
    [
        TABLE.to_reader(max_chunksize=1),
        pl.DataFrame(TABLE),
        pl.DataFrame(TABLE).with_columns(pl.col("/practice").cast(pl.Categorical)),
        TABLE.set_column(0, pa.field("/speed", pa.float32(), metadata={"unit": "km/h"}), TABLE[0].cast(pa.float32())),
        TABLE.set_column(0, "/speed [km/h]", TABLE[0].cast(pa.decimal128(6, 2))),
    ],
    ids=["reader", "polars", "categories", "metadata", "decimals"],
)
def test_tables_of_any_kind_say_the_same(client, rows):
    table = ask(client, rows)
    assert table.select([1, 2, 3]).to_pylist() == ask(client).select([1, 2, 3]).to_pylist()
    assert table["id"].to_pylist() == list("abcdef")


def test_dates_are_read_as_texts(client):
    days = pa.table({"/end": pa.array(["2027-11-20", "2027-12-10"]).cast(pa.date32())})
    columns = ["/chance"]
    table = arrow.batch("completion", COMPLETION.example, days, columns=columns, client=client).read_all()
    expected = client.batch("completion", COMPLETION.example, {"/end": days[0].cast(pa.string())}, columns=columns)
    assert table["/chance"].to_pylist() == expected.to_arrow()["/chance"].to_pylist()
    assert table[arrow.FAULT].null_count == 2


def test_batches_are_answered_one_by_one_and_of_none_comes_none(client):
    answered = arrow.map_batches(
        TABLE.to_batches(max_chunksize=4), "field-capacity", SCENARIO, columns=COLUMNS, keep=["id"], client=client
    )
    assert pa.Table.from_batches(answered).equals(ask(client))
    assert not list(arrow.map_batches([], "field-capacity", SCENARIO, client=client))


@pytest.mark.parametrize(
    ("rows", "keep", "told"),
    [
        (TABLE, [], "'id' is not called by a JSON Pointer"),
        (TABLE, ["id", "name"], "no column 'name' to keep"),
        (TABLE.select(["id"]), ["id"], "nothing varies"),
        (TABLE.slice(0, 0), ["id"], "no rows"),
        (TABLE.append_column("/speed", TABLE[0]), ["id"], "there twice"),
        (TABLE.rename_columns(["/speed [km/h]", "/practice", "fault"]), ["fault"], "fault cannot be kept"),
    ],
    ids=range(6),
)
def test_tables_that_cannot_be_asked(client, rows, keep, told):
    with pytest.raises(ValueError, match=told):
        arrow.batch("field-capacity", SCENARIO, rows, keep=keep, client=client)


def test_what_is_wrong_with_every_row_is_raised(client):
    with pytest.raises(drawbar.ImpossibleInput) as caught:
        arrow.batch("field-capacity", SCENARIO | {"width": "6 kN"}, TABLE, keep=["id"], client=client)
    assert [fault.pointer for fault in caught.value.problem.errors] == ["/scenario/width"]


def test_the_polars_recipe_runs(capsys, request):
    request.addfinalizer(close_clients)
    (code,) = re.findall(r"## polars\n.*?```python\n(.*?)```", RECIPES, re.DOTALL)
    exec(compile(code, "RECIPES.md", "exec"), {})
    told = capsys.readouterr().out
    assert "millrace" in told
    assert "out of range" in told


def test_the_duckdb_recipe_runs_on_more_rows_than_one_request_takes(tmp_path, monkeypatch, request):
    pytest.importorskip("duckdb")
    request.addfinalizer(close_clients)
    monkeypatch.chdir(tmp_path)
    rows = 300_000
    speeds = np.random.default_rng(0).uniform(5.0, 9.0, rows)
    pq.write_table(pa.table({"id": [str(at) for at in range(rows)], "speed": speeds}), "runs.parquet")
    (code,) = re.findall(r"## DuckDB\n.*?```python\n(.*?)```", RECIPES, re.DOTALL)
    exec(compile(code, "RECIPES.md", "exec"), {})
    answers = pq.read_table("answers.parquet")
    assert answers.num_rows == rows
    assert answers["id"].to_pylist()[:3] == ["0", "1", "2"]


def test_the_recipe_of_own_coefficients_runs(capsys, request):
    pytest.importorskip("duckdb")
    request.addfinalizer(close_clients)
    (code,) = re.findall(r"## Coefficients of your own\n.*?```python\n(.*?)```", RECIPES, re.DOTALL)
    exec(compile(code, "RECIPES.md", "exec"), {})
    numbers, sound = capsys.readouterr().out.splitlines()
    low, high = map(float, numbers.split())
    # D = F (A + B S) W T: F 0.85, 13 tools 20 cm deep, A from 82 to 127, B 6.3, S 8 km/h.
    assert (low, high) == pytest.approx([0.85 * (A + 6.3 * 8.0) * 13 * 20 / 1000.0 for A in (82, 127)], rel=1e-6)
    assert sound == "True"


def test_the_dask_recipe_runs(tmp_path, monkeypatch, request):
    pytest.importorskip("distributed")
    request.addfinalizer(close_clients)
    monkeypatch.chdir(tmp_path)
    speeds = np.random.default_rng(0).uniform(5.0, 9.0, 3000)
    table = pa.table({"id": [str(at) for at in range(3000)], "/speed [km/h]": speeds})
    pq.write_table(table, "runs.parquet", row_group_size=1000)
    (code,) = re.findall(r"## Dask\n.*?```python\n(.*?)```", RECIPES, re.DOTALL)
    exec(compile(code, "RECIPES.md", "exec"), {})
    answers = [pq.read_table(f"answers-{number}.parquet") for number in range(3)]
    assert [one["id"][0].as_py() for one in answers] == ["0", "1000", "2000"]
    assert all(one.num_rows == 1000 and one["fault"].null_count == 1000 for one in answers)


def test_recipes_that_were_not_run_say_so():
    for recipe in RECIPES.split("\n## ")[1:]:
        name = recipe.splitlines()[0]
        assert (name in ("polars", "DuckDB", "Coefficients of your own", "Dask")) != ("Not run here" in recipe), name
        for code in re.findall(r"```python\n(.*?)```", recipe, re.DOTALL):
            compile(code, name, "exec")


def test_nothing_of_it_is_loaded_before_it_is_asked_for():
    heavy = {"pyarrow", "tqdm", "distributed", "nanoarrow", "numpy", "drawbar_service", "drawbar.files"}
    script = f"import sys, drawbar, drawbar.cli, drawbar.batch; print({heavy!r} & set(sys.modules))"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert run.stdout == "set()\n"
