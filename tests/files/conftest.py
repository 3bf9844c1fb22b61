"""A small table of rows, some of them wrong, written in every way that is read; and parts read back."""

import csv
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pyarrow as pa
import pyarrow.csv
import pyarrow.ipc
import pyarrow.parquet as pq
import pytest

import drawbar
from drawbar._arrow_wire import close_clients
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY

SCENARIO = dict(FIELD_CAPACITY.example)
COLUMNS = ["/capacity/theoretical", "/capacity/efficiency", "/about/model"]
ROWS = 23
SPEEDS = [5.0 + row / 2 if row % 7 != 3 else 900.0 for row in range(ROWS)]
KINDS = ["spade" if row % 11 == 5 else ("chisel-plow", "field-cultivator")[row % 2] for row in range(ROWS)]
TABLE = pa.table(
    {"/speed": SPEEDS, "/practice": KINDS, "id": [f'no. {row}, "the {row}th"\nof all' for row in range(ROWS)]},
    schema=pa.schema(
        [
            pa.field("/speed", pa.float64(), metadata={"unit": "km/h"}),
            pa.field("/practice", pa.string()),
            pa.field("id", pa.string()),
        ]
    ),
)


def write_parquet(path: Path, table: pa.Table) -> None:
    pq.write_table(table, path, row_group_size=4)


def write_arrow_file(path: Path, table: pa.Table) -> None:
    with pa.ipc.new_file(path, table.schema) as writer:
        writer.write_table(table, max_chunksize=6)


def write_arrow_stream(path: Path, table: pa.Table) -> None:
    with pa.ipc.new_stream(path, table.schema) as writer:
        writer.write_table(table, max_chunksize=6)


def write_csv(path: Path, table: pa.Table) -> None:
    with path.open("w", newline="", encoding="utf-8") as opened:
        writer = csv.writer(opened)
        writer.writerow(["/speed [km/h]", *table.column_names[1:]])
        for row in table.to_pylist():
            writer.writerow(row.values())
        # An empty line is no row, wherever it stands.
        opened.write("\r\n")


WRITE = {
    "rows.parquet": write_parquet,
    "rows.arrow": write_arrow_file,
    "rows.arrows": write_arrow_stream,
    "rows.csv": write_csv,
}


class Result(NamedTuple):
    """All that the parts in a folder hold."""

    rows: list[dict[str, Any]]
    faults: list[tuple[int, str, str]]


def read_parts(folder: Path) -> Result:
    readers = {
        ".parquet": lambda path: pq.read_table(path, memory_map=False),
        ".arrow": lambda path: pa.ipc.open_file(path.read_bytes()).read_all(),
        ".csv": pa.csv.read_csv,
    }
    parts = sorted(folder.glob("part-*"))
    rows = [row for part in parts for row in readers[part.suffix](part).to_pylist()]
    faults: list[tuple[int, str, str]] = []
    for file in sorted(folder.glob("faults-*.csv")):
        with file.open(newline="", encoding="utf-8") as opened:
            faults += [(int(row["row"]), row["pointer"], row["reason"]) for row in csv.DictReader(opened)]
    assert not list(folder.glob(".*")), "something unfinished is left"
    return Result(rows, faults)


@pytest.fixture(scope="module", autouse=True)
def _clients_closed() -> Iterator[None]:
    yield
    close_clients()


@pytest.fixture(scope="session")
def whole() -> Result:
    """What a batch in one call says of the same rows."""
    with drawbar.Client.in_process() as client:
        answer = client.batch("field-capacity", SCENARIO, TABLE.select(["/speed", "/practice"]), columns=COLUMNS)
    wrong = {fault.row for fault in answer.faults}
    assert len(wrong) == 5
    rows = [
        {"row": row, "id": TABLE["id"][row].as_py(), **{name: answer.columns[name][row] for name in COLUMNS}}
        for row in range(ROWS)
        if row not in wrong
    ]
    return Result(rows, [(fault.row, fault.pointer, fault.detail) for fault in answer.faults])


@pytest.fixture
def scenario_file(tmp_path: Path) -> Path:
    file = tmp_path / "base.json"
    file.write_text(json.dumps(SCENARIO), "utf-8")
    return file


@pytest.fixture
def parquet(tmp_path: Path) -> Path:
    file = tmp_path / "rows.parquet"
    write_parquet(file, TABLE)
    return file
