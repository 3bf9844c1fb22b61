"""Files of every format, against one batch of the same rows in a single call."""

import json

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tests.files.conftest import COLUMNS, ROWS, SCENARIO, TABLE, WRITE, read_parts, write_parquet

import drawbar
from drawbar import files


def run(path, folder, **more):
    options = {"scenario": SCENARIO, "columns": COLUMNS, "keep": ["id"], "part_rows": 5} | more
    job = files.prepare(path, "field-capacity", folder, **options)
    return files.run(job)


@pytest.mark.parametrize("name", WRITE)
@pytest.mark.parametrize("part_rows", [1, 5, 100])
def test_whatever_rows_are_read_from(tmp_path, whole, name, part_rows):
    WRITE[name](tmp_path / name, TABLE)
    done = run(tmp_path / name, tmp_path / "out", part_rows=part_rows)
    assert (done.rows, done.faulty, done.skipped) == (ROWS, ROWS - len(whole.rows), 0)
    assert read_parts(tmp_path / "out") == whole


@pytest.mark.parametrize("format", ["parquet", "csv", "arrow"])
def test_whatever_parts_are_written_as(tmp_path, whole, parquet, format):
    run(parquet, tmp_path / "out", format=format)
    result = read_parts(tmp_path / "out")
    assert result.faults == whole.faults
    names = {
        "/capacity/theoretical": "/capacity/theoretical [ha/h]",
        "/capacity/efficiency": "/capacity/efficiency [%]",
    }
    for found, expected in zip(result.rows, whole.rows, strict=True):
        named = {names.get(name, name) if format == "csv" else name: value for name, value in expected.items()}
        named["/about/model"] = type(found["/about/model"])(named["/about/model"])
        assert found == named


def test_units_stay_with_their_columns(tmp_path, parquet):
    run(parquet, tmp_path / "out", units="us")
    schema = pq.read_schema(tmp_path / "out" / "part-00001.parquet")
    assert schema.field("/capacity/theoretical").metadata[b"unit"] == b"ac/h"
    assert json.loads(schema.metadata[b"drawbar"])["about"]["model"]


@pytest.mark.parametrize("name", ["head.csv", "head.parquet"])
def test_a_file_may_bring_scenario_columns_and_units(tmp_path, whole, name):
    file = tmp_path / name
    head = {"scenario": SCENARIO, "columns": COLUMNS}
    if name == "head.csv":
        WRITE["rows.csv"](file, TABLE)
        text = file.read_text("utf-8").replace("/speed [km/h]", "/speed")
        file.write_text(f"#{json.dumps(head | {'units': {'/speed': 'km/h'}})}\n{text}", "utf-8", newline="")
    else:
        write_parquet(file, TABLE.replace_schema_metadata({"drawbar": json.dumps(head)}))
    run(file, tmp_path / "out", scenario=None, columns=None)
    assert read_parts(tmp_path / "out") == whole
    with pytest.raises(files.BadJob, match="holds a scenario of its own"):
        run(file, tmp_path / "other")


def test_a_row_of_csv_with_a_cell_too_few_is_told_and_harms_no_other(tmp_path, whole):
    file = tmp_path / "rows.csv"
    WRITE["rows.csv"](file, TABLE)
    text = file.read_text("utf-8").replace("\n6.0,chisel-plow,", "\n6.0,")
    file.write_text(text, "utf-8", newline="")
    run(file, tmp_path / "out")
    result = read_parts(tmp_path / "out")
    assert [row["row"] for row in result.rows] == [row["row"] for row in whole.rows if row["row"] != 2]
    assert [fault[:2] for fault in result.faults if fault[0] == 2] == [(2, "")]
    assert "cells" in result.faults[0][2]


def test_a_grid_is_every_value_with_every_other(tmp_path):
    file = tmp_path / "grid.toml"
    file.write_text(
        'columns = ["/capacity/theoretical"]\n[scenario]\n[vary]\n'
        '"/speed" = { unit = "km/h", first = 5, last = 7, count = 3 }\n"/width" = ["4 m", "6 m"]\n'
        '"/efficiency" = [0.8, 0.9]\n',
        "utf-8",
    )
    run(file, tmp_path / "out", scenario=None, columns=None, keep=["/width"])
    rows = read_parts(tmp_path / "out").rows
    expected = [(f"{width} m", speed * width / 10) for speed in (5, 6, 7) for width in (4, 6) for _ in range(2)]
    assert [(row["/width"], row["/capacity/theoretical"]) for row in rows] == [
        (width, pytest.approx(area)) for width, area in expected
    ]
    file.write_text('mode = "zip"\n[vary]\n"/speed" = ["5 km/h", "6 km/h"]\n"/width" = ["4 m", "9 m"]', "utf-8")
    run(file, tmp_path / "zip", scenario=SCENARIO, columns=["/capacity/theoretical"], keep=[])
    areas = [row["/capacity/theoretical"] for row in read_parts(tmp_path / "zip").rows]
    assert areas == [pytest.approx(2.0), pytest.approx(5.4)]


def test_rows_that_are_all_wrong_the_same_way_are_told_one_by_one(tmp_path):
    """A part whose every row is refused is a part like any other, if the first rows of the file are sound."""
    table = pa.table({"/speed [km/h]": [8.0] * 5 + [1e9] * 5})
    write_parquet(tmp_path / "rows.parquet", table)
    run(tmp_path / "rows.parquet", tmp_path / "out", keep=[])
    result = read_parts(tmp_path / "out")
    assert [row["row"] for row in result.rows] == [0, 1, 2, 3, 4]
    assert [fault[:2] for fault in result.faults] == [(row, "/speed") for row in range(5, 10)]
    assert pq.read_schema(tmp_path / "out" / "part-00002.parquet").names == ["row", *COLUMNS]


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("a.csv", b"", "a header belongs in the first line"),
        ("a.csv", b"/speed [km/h]\n", "has no rows"),
        ("a.csv", b"/speed [km/h];/practice\n5;x\n", "a comma belongs there"),
        ("a.csv", b"speed\n5\n", "not called by a JSON Pointer"),
        ("a.csv", b'/speed [km/h]\n"5\n', "never closed"),
        ("a.csv", b"#{\n/speed [km/h]\n5\n", "a.csv: "),
        ("a.csv", b"/speed [km/h]\n\xff\n", "UTF-8"),
        ("a.parquet", b"PAR1 and then nothing", "a.parquet: "),
        ("a.arrow", b"ARROW1\0\0 and then nothing", "a.arrow: "),
        ("a.arrows", b"\xff\xff\xff\xff\x10\0\0\0 and", "a.arrows: "),
        ("a.toml", b"[vary]\n", "vary is empty"),
        ("a.toml", b"vary = 1\n", "a.toml: Expected `object`"),
        ("a.toml", b'[vary]\n"/speed" = ["5 km/h", 6]\n', "values of several kinds"),
        ("a.toml", b'mode = "zip"\n[vary]\n"/speed" = ["5 km/h"]\n"/practice" = []\n', "/practice is empty"),
        ("a.toml", b'mode = "zip"\n[vary]\n"/speed" = [1]\n"/practice" = ["a", "b"]\n', "as many as each other"),
    ],
    ids=range(15),
)
def test_files_that_cannot_be_used(tmp_path, name, content, told):
    (tmp_path / name).write_bytes(content)
    with pytest.raises(drawbar.DrawbarError, match=told):
        files.prepare(tmp_path / name, "field-capacity", tmp_path / "out", scenario=SCENARIO)
    assert not (tmp_path / "out").exists()


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(files.BadJob, match="cannot be read: No such file"):
        files.prepare(tmp_path / "none.parquet", "match", tmp_path / "out")


def test_what_is_wrong_with_every_row_is_told_before_anything_is_written(tmp_path, parquet):
    with pytest.raises(drawbar.ImpossibleInput):
        run(parquet, tmp_path / "out", scenario=SCENARIO | {"width": "6 kN"})
    write_parquet(tmp_path / "row.parquet", TABLE.rename_columns(["/speed", "/practice", "row"]))
    with pytest.raises(files.BadJob, match="cannot be kept"):
        run(tmp_path / "row.parquet", tmp_path / "out", keep=["row"])
    with pytest.raises(files.BadJob, match="at least 1 row"):
        run(parquet, tmp_path / "out", part_rows=0)
    assert not (tmp_path / "out").exists()
