"""Tables of one's own: out as CSV, back in a farm file or a request, and held against ours."""

import csv
import io
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar.testing import TestClient

from drawbar import cli
from drawbar.client import Client
from drawbar.own_tables import BadTable, differences, member, read_rows, read_tables, written
from drawbar_service.app import create_app
from drawbar_service.reference import TABLES as ALL_TABLES
from drawbar_service.settings import Settings

FARM = Path(__file__).resolve().parents[2] / "sdk/examples/farm.toml"
Run = Callable[..., tuple[int, str, str]]
TABLES = (
    "draft",
    "rotary",
    "drawbar-per-pto",
    "practice",
    "surfaces",
    "tracks",
    "static-split",
    "load-index",
    "three-point",
    "defaults",
)


@pytest.fixture(autouse=True)
def _plain_surroundings(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "120")
    for name in ("DRAWBAR_URL", "DRAWBAR_TOKEN", "DRAWBAR_API_KEY"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    def run(*arguments: object) -> tuple[int, str, str]:
        code = cli.main([str(argument) for argument in arguments])
        told = capsys.readouterr()
        return code, told.out, told.err

    return run


@pytest.fixture(scope="module")
def client() -> Client:
    return Client.in_process()


def changed(content: str, row: str, column: str, value: str) -> str:
    lines = list(csv.DictReader(io.StringIO(content)))
    for line in lines:
        if line["id"] == row:
            line[column] = value
    out = io.StringIO()
    writer = csv.DictWriter(out, list(lines[0]), lineterminator="\n")
    writer.writeheader()
    writer.writerows(lines)
    return out.getvalue()


@pytest.mark.parametrize("table", TABLES)
def test_a_table_comes_back_as_it_went_out(table: str, client: Client, tmp_path: Path) -> None:
    file = tmp_path / f"{table}.csv"
    ours = client.reference_table(table)
    file.write_text(written(ours), "utf-8")
    assert differences(ours, file) == []
    assert [row["id"] for row in read_rows(table, file)] == [str(row["id"]) for row in ours.rows]


def test_the_service_gives_each_table_as_the_command_writes_it(client: Client, tmp_path: Path) -> None:
    with TestClient(create_app(Settings())) as http:
        for table in ALL_TABLES:
            given = http.get(f"/v1/reference/{table}", headers={"Accept": "text/csv"})
            assert given.headers["content-type"] == "text/csv; charset=utf-8"
            assert given.text == written(client.reference_table(table))
            if table in TABLES:
                file = tmp_path / f"{table}.csv"
                file.write_bytes(given.content)
                assert differences(client.reference_table(table), file) == []
        assert http.get("/v1/reference", headers={"Accept": "text/csv"}).status_code == 406
        browser = {"Accept": "text/html,application/xml;q=0.9,*/*;q=0.8"}
        assert http.get("/v1/reference/draft", headers=browser).headers["content-type"] == "application/json"


def test_the_command_writes_what_it_then_checks(run: Run, tmp_path: Path) -> None:
    code, content, _ = run("tables", "draft", "--csv")
    file = tmp_path / "draft.csv"
    file.write_text(content, "utf-8")
    assert code == 0
    assert run("tables", "check", file)[:2] == (0, f"Nothing in {file} differs from our table draft.\n")
    file.write_text(changed(content, "disk-gang.primary", "A", "300"), "utf-8")
    code, told, _ = run("tables", "check", file)
    (line,) = told.splitlines()[2:]
    assert code == 1
    assert line.split() == ["disk-gang.primary", "A", "124", "300", "2.42"]
    assert run("tables", "check", tmp_path / "no.csv", "--table", "no")[0] == 2
    assert run("tables", "check")[0] == 2
    assert run("tables", "draft", file)[0] == 2


def test_a_file_may_hold_some_rows_and_columns_and_new_rows(client: Client, tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_text("id,A,note\ndisk-gang.primary,124,typed in\ntrial.tool,5,\n", "utf-8")
    (only,) = differences(client.reference_table("draft"), file)
    assert (only.row, only.theirs) == ("trial.tool", "a row that ours has not")


@pytest.mark.parametrize(
    ("content", "place"),
    [
        ("A,B\n1,2\n", "line 1"),
        ("id,A\nx,much\n", "line 2, A"),
        ("id,A\nx,1,2\n", "line 2"),
        ("id,A\n,1\n", "line 2, id"),
        ("id,A,A\nx,1,2\n", "line 1"),
        ("id,Q\nx,1\n", "column Q"),
        ('id,A\n"x,1\n', "line 2"),
    ],
)
def test_what_cannot_be_read_is_named(content: str, place: str, tmp_path: Path) -> None:
    file = tmp_path / "draft.csv"
    file.write_text(content, "utf-8")
    with pytest.raises(BadTable) as refused:
        read_tables({"draft": file})
    assert refused.value.faults[0].pointer == place


def test_what_is_no_table_of_figures_is_refused() -> None:
    with pytest.raises(BadTable):
        member("sources")


@given(st.floats(1.0, 2000.0))
def test_a_figure_is_read_as_it_was_written(value: float) -> None:
    client = Client.in_process()
    ours = client.reference_table("draft")
    rows = [{**row, "A": value} if row["id"] == "disk-gang.primary" else row for row in ours.rows]
    content = written(type(ours)(id=ours.id, title="", description="", columns=ours.columns, rows=rows))
    (line,) = [line for line in csv.DictReader(io.StringIO(content)) if line["id"] == "disk-gang.primary"]
    assert float(line["A"]) == pytest.approx(value, rel=1e-14)


# ---- in a farm file and in a request


def test_a_farm_file_names_a_table_file(run: Run, tmp_path: Path) -> None:
    heavier = changed(run("tables", "draft", "--csv")[1], "chisel-plow.twisted-shovel-10cm", "A", "250")
    (tmp_path / "my-draft.csv").write_text(heavier, "utf-8")
    usual = run("match", FARM, "--json")[1]
    farm = tmp_path / "farm.toml"
    farm.write_text(FARM.read_text("utf-8") + '\n[tables]\ndraft = "my-draft.csv"\n', "utf-8")
    code, own, told = run("match", farm, "--json")
    assert told == ""
    assert code in (0, 1)
    assert own != usual
    assert '"/tables/draft/' in own


def test_a_row_of_ones_own_stands_in_the_farm_file(run: Run, tmp_path: Path) -> None:
    farm = tmp_path / "farm.toml"
    lines = '\n[[tables.defaults]]\nid = "power_reserve"\nvalue = 0.2\n'
    farm.write_text(FARM.read_text("utf-8") + lines, "utf-8")
    assert '"pointer": "/tables/defaults/0/value"' in run("match", farm, "--json")[1]


def test_what_is_wrong_with_a_table_file_is_told_at_its_place(run: Run, tmp_path: Path) -> None:
    farm = tmp_path / "farm.toml"
    farm.write_text(FARM.read_text("utf-8") + '\n[tables]\ndraft = "no.csv"\nsources = []\n', "utf-8")
    code, _, told = run("match", farm)
    assert code == 2
    assert "tables.draft: no.csv cannot be read" in told
    assert "is no table of figures" in told
    farm.write_text("tables = 3\n" + FARM.read_text("utf-8"), "utf-8")
    assert run("match", farm)[0] == 2


def test_a_request_takes_a_table_file_too(run: Run, tmp_path: Path) -> None:
    (tmp_path / "defaults.csv").write_text("id,value,why\nengine_speed_ratio,0.8,ours\n", "utf-8")
    request = tmp_path / "fuel.toml"
    request.write_text('load = "95 kW"\n[power]\nrated_pto = "150 kW"\n[tables]\ndefaults = "defaults.csv"\n', "utf-8")
    code, told, _ = run("fuel", request, "--json")
    assert code == 0
    assert '"instead_of": "1"' in told
