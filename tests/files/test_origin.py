"""Parts say where they come from, and a folder can be made again."""

import json
import shutil
from pathlib import Path

import msgspec
import numpy
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from tests.files.conftest import COLUMNS, SCENARIO

import drawbar
from drawbar import cli, files
from drawbar._version import __version__
from drawbar.files.manifest import BadJob
from drawbar.provenance import canonical, digest

ROOT = Path(__file__).resolve().parents[2]


def made(file: Path, folder: Path, **more: object) -> Path:
    asked = {"scenario": SCENARIO, "columns": COLUMNS, "keep": ["id"], "part_rows": 6, **more}
    files.run(files.prepare(file, "field-capacity", folder, **asked))
    return folder


def test_a_folder_and_each_part_say_where_they_come_from(parquet: Path, tmp_path: Path) -> None:
    folder = made(parquet, tmp_path / "out")
    told = json.loads((folder / "provenance.json").read_text("utf-8"))
    assert told["scenario"] == SCENARIO
    assert told["scenario_sha256"] == digest(canonical(SCENARIO))
    assert told["input_sha256"] == digest(parquet.read_bytes())
    assert (folder / told["input"]).resolve() == parquet.resolve()
    assert (told["service"], told["sdk"]) == (__version__, __version__)
    assert told["libraries"] == {"numpy": numpy.__version__, "pyarrow": pa.__version__}
    assert told["model"] == drawbar.Client.in_process().version().model
    assert "asae-d497" in told["sources"]
    for part in sorted(folder.glob("part-*.parquet")):
        metadata = json.loads(pq.read_schema(part).metadata[b"drawbar"])
        assert metadata["provenance"] == told


@pytest.mark.parametrize("format", ["parquet", "arrow", "csv"])
def test_a_folder_made_again_is_the_same_to_the_bit(format: str, parquet: Path, tmp_path: Path) -> None:
    folder = made(parquet, tmp_path / "out", format=format, units="us")
    before = sorted((path.name, path.stat().st_mtime_ns) for path in folder.iterdir())
    found = files.reproduce(folder)
    assert found.same == [f"part-{number:05}.{format}" for number in range(1, 5)]
    assert found.reproduced
    assert (found.same_numbers, found.differing, found.missing, found.changed) == ([], [], [], [])
    assert sorted((path.name, path.stat().st_mtime_ns) for path in folder.iterdir()) == before


def test_what_differs_is_named(parquet: Path, tmp_path: Path) -> None:
    folder = made(parquet, tmp_path / "out")
    first, second, third = (folder / f"part-0000{number}.parquet" for number in (1, 2, 3))
    first.unlink()
    table = pq.read_table(second)
    name = COLUMNS[0]
    at = table.column_names.index(name)
    pq.write_table(table.set_column(at, table.schema.field(name), pa.array([1.0] * table.num_rows)), second)
    pq.write_table(pq.read_table(third), third, compression="none")
    lines = (folder / "digests.jsonl").read_text("utf-8").splitlines()
    kept = [line for line in lines if not any(part.name in line for part in (second, third))]
    (folder / "digests.jsonl").write_text("\n".join(kept) + "\n", "utf-8")
    found = files.reproduce(folder)
    assert found.missing == [first.name]
    assert found.differing == [second.name]
    assert found.same_numbers == [third.name]
    assert not found.reproduced


def test_another_version_is_told(parquet: Path, tmp_path: Path) -> None:
    folder = made(parquet, tmp_path / "out")
    file = folder / "provenance.json"
    told = json.loads(file.read_text("utf-8"))
    told["libraries"]["numpy"] = "1.0"
    file.write_text(json.dumps(told), "utf-8")
    found = files.reproduce(folder)
    assert found.changed == [("numpy", "1.0", numpy.__version__)]
    assert len(found.same_numbers) == 4


def test_what_cannot_be_made_again_is_refused(parquet: Path, tmp_path: Path) -> None:
    folder = made(parquet, tmp_path / "out")
    other = tmp_path / "other.parquet"
    pq.write_table(pq.read_table(parquet).slice(0, 5), other)
    with pytest.raises(BadJob, match="is not the file"):
        files.reproduce(folder, input=other)
    with pytest.raises(BadJob, match="nothing says what it holds"):
        files.reproduce(tmp_path)
    (folder / "provenance.json").write_text("{", "utf-8")
    with pytest.raises(BadJob, match="damaged"):
        files.reproduce(folder)


def test_the_command_says_what_came_of_it(parquet: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = made(parquet, tmp_path / "out")
    moved = Path(shutil.move(parquet, tmp_path / "moved.parquet"))
    assert cli.main(["reproduce", str(folder)]) == 2
    capsys.readouterr()
    assert cli.main(["reproduce", str(folder), "--input", str(moved)]) == 0
    assert capsys.readouterr().out.startswith("4 parts: the same to the bit (part-00001.parquet")
    (folder / "part-00001.parquet").unlink()
    assert cli.main(["reproduce", str(folder), "--input", str(moved)]) == 1


def test_a_grid_is_made_again_too(tmp_path: Path) -> None:
    grid = tmp_path / "grid.json"
    speeds = {"values": [6, 8, 10], "unit": "km/h"}
    grid.write_bytes(msgspec.json.encode({"scenario": SCENARIO, "vary": {"/speed": speeds}}))
    files.run(files.prepare(grid, "field-capacity", tmp_path / "out"))
    assert files.reproduce(tmp_path / "out").same == ["part-00001.parquet"]


def test_the_citation_is_of_this_version() -> None:
    lines = (ROOT / "CITATION.cff").read_text("utf-8").splitlines()
    told = dict(line.split(": ", 1) for line in lines if ": " in line and not line.startswith(" "))
    assert told["cff-version"] == "1.2.0"
    assert told["version"] == __version__
    assert told["license"] == "Apache-2.0"
