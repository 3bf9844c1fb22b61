"""What is wrong with whole columns is told before a part is worked, and what rows will take is forecast."""

import csv
import time
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest

from drawbar import files
from drawbar.files.manifest import BadJob
from drawbar_service.api.v1.match import MATCH
from drawbar_service.reference import DRAFT

SCENARIO = {"width": "6 m", "practice": "chisel-plow"}


def write(path: Path, columns: dict[str, Any]) -> Path:
    if path.suffix == ".parquet":
        pq.write_table(pa.table(columns), path)
        return path
    with path.open("w", newline="", encoding="utf-8") as opened:
        writer = csv.writer(opened)
        writer.writerow(columns)
        writer.writerows(zip(*columns.values(), strict=True))
    return path


def prepared(path: Path, tmp_path: Path) -> files.Job:
    return files.prepare(path, "field-capacity", tmp_path / "out", scenario=SCENARIO)


KINDS = pytest.mark.parametrize("kind", ["parquet", "csv"])


@KINDS
def test_a_column_without_a_unit_is_told_at_once(kind: str, tmp_path: Path) -> None:
    file = write(tmp_path / f"rows.{kind}", {"/speed": [8.0, 9.0], "/width [m]": [6.0, 5.0]})
    with pytest.raises(BadJob, match=r"column /speed has no unit: call it '/speed \[km/h\]'"):
        prepared(file, tmp_path)


@KINDS
def test_an_empty_column_is_told_at_once(kind: str, tmp_path: Path) -> None:
    nothing: Any = pa.nulls(2) if kind == "parquet" else ["", ""]
    file = write(tmp_path / f"rows.{kind}", {"/speed [km/h]": [8.0, 9.0], "/width [m]": nothing})
    with pytest.raises(BadJob, match="column /width is empty: fill it"):
        prepared(file, tmp_path)


@KINDS
def test_a_column_that_begins_empty_is_only_warned_of(kind: str, tmp_path: Path) -> None:
    nothing = None if kind == "parquet" else ""
    widths = [nothing] * 100 + [6.0] * 20
    file = write(tmp_path / f"rows.{kind}", {"/speed [km/h]": [8.0] * 120, "/width [m]": widths})
    job = prepared(file, tmp_path)
    (warning,) = job.warnings
    assert warning.startswith("column /width is empty in the first 100 rows")
    assert files.run(job).faulty == 100


@KINDS
def test_an_empty_cell_is_called_one(kind: str, tmp_path: Path) -> None:
    nothing = None if kind == "parquet" else ""
    file = write(tmp_path / f"rows.{kind}", {"/speed [km/h]": [8.0, nothing, 9.0]})
    job = prepared(file, tmp_path)
    assert job.warnings == ()
    files.run(job)
    told = (tmp_path / "out/faults-00001.csv").read_text("utf-8").splitlines()[1:]
    assert told == ["1,/speed,nothing stands here: a number belongs here"]


def own_rows(path: Path, values: Any, tmp_path: Path) -> files.Job:
    tool = {"tool": "chisel-plow.shovel-or-sweep", "count": 13, "spacing": "32 cm", "depth": "20 cm"}
    scenario = {
        "implement": {"hitch": "drawbar", "tools": [tool]},
        "soil": {"texture": "medium", "surface": "firm"},
        "tables": {"draft": [{"id": "chisel-plow.shovel-or-sweep"}]},
    }
    write(path, {"/speed [km/h]": [8.0] * 40, "/tables/draft/0/A": values})
    return files.prepare(path, "draft", tmp_path / "out", scenario=scenario)


@KINDS
def test_cells_that_are_taken_as_left_out_are_told_of(kind: str, tmp_path: Path) -> None:
    """A figure of one's own may be left out: then that of the table counts, which nobody may have meant."""
    nothing: Any = None if kind == "parquet" else ""
    some = [nothing if at % 4 == 0 else 100.0 for at in range(40)]
    (warning,) = own_rows(tmp_path / f"some.{kind}", some, tmp_path).warnings
    assert warning.startswith("column /tables/draft/0/A has 10 empty cells: rows without it are answered as if it")
    none: Any = pa.nulls(40) if kind == "parquet" else [""] * 40
    (warning,) = own_rows(tmp_path / f"none.{kind}", none, tmp_path).warnings
    assert warning.startswith("column /tables/draft/0/A is empty: ")
    assert own_rows(tmp_path / f"all.{kind}", [100.0] * 40, tmp_path).warnings == ()


@pytest.mark.nightly  # it measures time
@pytest.mark.parametrize("order", ["mixed", "sorted"])
def test_a_forecast_on_a_table_of_names_is_right_within_30_percent(order: str, tmp_path: Path) -> None:
    random, rows = np.random.default_rng(0), 400_000
    tools = [tool.id for tool in DRAFT.rows.values() if tool.depth_counts and tool.counted_in == "tool"]
    names = {
        "/implement/tools/0/tool": random.choice(tools, rows),
        "/tractor/tires/rear/size": random.choice(["650/65R42", "710/70R42", "520/85R42", "18.4R38"], rows),
        "/soil/texture": random.choice(["fine", "medium", "coarse"], rows),
        "/soil/surface": random.choice(["firm", "tilled", "soft", "hard"], rows),
    }
    table = pa.table({"/speed [km/h]": random.uniform(5.0, 9.0, rows), **names})
    file = tmp_path / "names.parquet"
    pq.write_table(table.sort_by("/implement/tools/0/tool") if order == "sorted" else table, file)
    tool = {"tool": tools[0], "count": 11, "spacing": "36 cm", "depth": "18 cm"}
    scenario = {**MATCH.example, "implement": {"hitch": "drawbar", "tools": [tool]}}
    job = files.prepare(file, "match", tmp_path / "out", scenario=scenario)
    forecast = files.estimate(job).seconds
    begun = time.monotonic()
    files.run(job)
    assert forecast == pytest.approx(time.monotonic() - begun, rel=0.3)
