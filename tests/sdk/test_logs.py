"""What machines log, read from task data and tables, and held against a match."""

import copy
import math
from pathlib import Path

import msgspec
import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar import cli, logs
from drawbar.client import Client
from drawbar.logs import BadLog, Work, crps
from drawbar_service.api.v1.calibration import CALIBRATION
from drawbar_service.api.v1.match import MATCH

TASKS = """<?xml version="1.0" encoding="UTF-8"?>
<ISO11783_TaskData VersionMajor="4" VersionMinor="3" DataTransferOrigin="2">
  <PFD A="PFD1" C="millrace" D="80000"/>
  <DVC A="DVC1" B="heron"/>
  <TSK A="TSK1" B="stubble" E="PFD1" G="4">
    <DAN A="A000" C="DVC1"/>
    <TIM A="2027-09-06T08:00:00" B="2027-09-06T10:00:00" D="4">
      <DLV A="0074" B="20000"/><DLV A="0075" B="9000000"/><DLV A="0077" B="4500"/><DLV A="0094" B="50000"/>
    </TIM>
    <TIM A="2027-09-06T10:00:00" B="2027-09-06T12:00:00" D="4">
      <DLV A="0074" B="50000"/><DLV A="0075" B="14400000"/><DLV A="0077" B="7200"/><DLV A="0094" B="72000"/>
      <DLV A="013C" B="64000"/><DLV A="0043" B="3900"/><DLV A="018D" B="2100"/>
    </TIM>
  </TSK>
  <TSK A="TSK2" B="planned" G="1"/>
</ISO11783_TaskData>
"""


@pytest.fixture(scope="module")
def client() -> Client:
    return Client.in_process()


def write(path: Path, content: str) -> Path:
    path.write_text(content, "utf-8")
    return path


def test_totals_of_a_task_are_read_in_si(tmp_path: Path) -> None:
    (work,) = logs.read(write(tmp_path / "TASKDATA.XML", TASKS))
    assert (work.machine, work.field, work.task) == ("heron", "millrace", "stubble")
    assert (work.time, work.distance, work.area) == (7200.0, 14_400.0, 50_000.0)
    assert work.fuel == pytest.approx(0.064)
    assert work.width == pytest.approx(3.9)
    assert work.ground_speed == pytest.approx(2.0)
    assert work.fuel_rate == pytest.approx(0.064 / 7200.0)
    assert work.capacity == pytest.approx(50_000.0 / 7200.0)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ('<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', "document type"),
        ('<!DOCTYPE a SYSTEM "file:///etc/hostname"><a/>', "document type"),
        ("<a>" * 40 + "</a>" * 40, "nested too deep"),
        ("<a>", "no XML"),
        ("<a/>", "no work"),
        ('<a><TSK A="1"><DLV A="zz" B="1"/></TSK></a>', "a value that is none"),
    ],
)
def test_what_is_no_task_data_is_refused(content: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(BadLog, match=says):
        logs.read(write(tmp_path / "TASKDATA.XML", content))


def test_tables_are_read_with_their_units(tmp_path: Path) -> None:
    rows = "machine,field,time [h],distance [km],fuel [L],note\nheron,millrace,2,14.4,64,dry\nheron,sluice,1,,,\n"
    from_csv = logs.read(write(tmp_path / "log.csv", rows))
    table = pa.table(
        {
            "machine": ["heron", "heron"],
            "field": ["millrace", "sluice"],
            "time [h]": [2.0, 1.0],
            "distance [km]": [14.4, None],
            "fuel [L]": [64.0, None],
        }
    )
    pq.write_table(table, tmp_path / "log.parquet")
    assert logs.read(tmp_path / "log.parquet") == from_csv
    assert from_csv[0].ground_speed == pytest.approx(2.0)
    assert from_csv[1].fuel_rate is None
    assert list(logs.by_machine_and_field(from_csv)) == [("heron", "millrace"), ("heron", "sluice")]


def test_a_table_of_runs_holds_what_was_measured_in_them(client: Client, tmp_path: Path) -> None:
    rows = "Machine,Field,speed [mph],pull [lbf],slip [%],fuel_rate [gal/h],engine_load [%],depth [in],who\n"
    file = write(tmp_path / "runs.csv", rows + "heron,millrace,4,8000,9.5,9,80,7,me\nheron,sluice,4.2,,10.1,,,,\n")
    first, second = logs.runs(logs.read(file), named=True)
    assert logs.unread(file) == ["who"]
    assert first == {
        "machine": "heron",
        "field": "millrace",
        "speed": "6.43738 km/h",
        "depth": "17.78 cm",
        "pull": "35.5858 kN",
        "slip": "9.5 %",
        "fuel_rate": "34.0687 L/h",
        "engine_load": "80 %",
    }
    assert second == {"machine": "heron", "field": "sluice", "speed": "6.75924 km/h", "slip": "10.1 %"}
    body = {name: part for name, part in CALIBRATION.example.items() if name != "runs"}
    answer = client.calibration(body | {"runs": [first, second]})
    assert answer.groups is not None
    assert [one.field for one in answer.groups.each] == ["millrace", "sluice"]


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("time [h];fuel [L]\n2;3\n", "separated by ;"),
        ("time\n2\n", "the unit belongs into the name"),
        ("time [h]\nlong\n", "is no number"),
        ("time [h]\n-1\n", "is no time"),
        ("time [h]\n", "holds no work"),
    ],
)
def test_what_is_no_table_is_refused(content: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(BadLog, match=says):
        logs.read(write(tmp_path / "log.csv", content))
    with pytest.raises(BadLog, match="none of"):
        logs.read(write(tmp_path / "log.txt", content))


def test_logged_work_calibrates(client: Client) -> None:
    works = [Work(time=3600.0, distance=6500.0 + at, fuel=0.033) for at in range(120)]
    found = logs.runs(works, fuel_error="5 %")
    assert len(found) == 40
    body = {name: part for name, part in CALIBRATION.example.items() if name != "runs"}
    assert client.calibration(body | {"runs": found}).draft_multiplier.value > 0.0


def test_the_command_calibrates_from_a_log(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "job.json"
    job.write_bytes(msgspec.json.encode({name: part for name, part in CALIBRATION.example.items() if name != "runs"}))
    rows = "".join(f"heron,{field},1,{6.5 + at / 10},33\n" for field in ("millrace", "sluice") for at in range(4))
    log = write(tmp_path / "log.csv", f"machine,field,time [h],distance [km],fuel [L]\n{rows}")
    assert cli.main(["calibration", str(job), "--log", str(log), "--field", "sluice", "--json"]) == 0
    told = capsys.readouterr()
    assert len(msgspec.json.decode(told.out)["runs"]) == 4
    assert told.err == f"{log}: 4 of heron on sluice.\n"
    assert cli.main(["calibration", str(job), "--log", str(log), "--json"]) == 0
    told = capsys.readouterr()
    groups = msgspec.json.decode(told.out)["groups"]["each"]
    assert [(one["machine"], one["field"]) for one in groups] == [("heron", "millrace"), ("heron", "sluice")]
    assert told.err == f"{log}: 4 of heron on millrace, 4 of heron on sluice.\n"
    assert cli.main(["calibration", str(job), "--log", str(log), "--machine", "none"]) == 2
    assert "no work of that machine and field; there are 4 of heron on millrace, 4" in capsys.readouterr().err
    other = write(tmp_path / "other.csv", f"Tractor,place,time [h],distance [km],fuel [L]\n{rows}")
    assert cli.main(["calibration", str(job), "--log", str(other), "--json"]) == 0
    assert capsys.readouterr().err == f"{other}: 8 without their names; not read: Tractor, place.\n"
    assert cli.main(["calibration", str(job), "--log", str(other), "--field", "sluice"]) == 2
    assert "no row names either; not read: Tractor, place" in capsys.readouterr().err
    nothing = write(tmp_path / "nothing.csv", "time [h],fuel rate\n1,30\n")
    assert cli.main(["calibration", str(job), "--log", str(nothing)]) == 2
    assert "no row has a speed" in (said := capsys.readouterr().err)
    assert "not read: fuel rate. Columns are machine, field, task" in said
    assert cli.main(["calibration", str(job), "--log", str(tmp_path / "log.txt")]) == 2


def test_predictions_are_scored(client: Client) -> None:
    job = copy.deepcopy(dict(MATCH.example))
    rates = client.batch("match", job, {"/speed": ("km/h", [6.0, 7.0, 8.0])}, columns=["/fuel/rate"]).columns
    works = [
        Work(time=3600.0, distance=1000.0 * speed, fuel=factor * rate * 1e-3)
        for speed, rate, factor in zip((6.0, 7.0, 8.0), rates["/fuel/rate"], (1.0, 1.1, 0.9), strict=True)
    ]
    found = logs.score(client, job, [*works, Work()])
    assert found.fuel_rate.count == 3
    assert found.fuel_rate.inside == 1.0
    assert found.fuel_rate.bias == pytest.approx((1.0 + 1.0 / 1.1 + 1.0 / 0.9) / 3.0 - 1.0)
    assert found.fuel_rate.unit == "L/h"
    assert found.fuel_rate.crps > 0.0
    with pytest.raises(BadLog):
        logs.score(client, job, [Work()])


@given(st.floats(5.0, 60.0), st.floats(5.0, 60.0), st.floats(0.02, 1.0))
def test_the_score_is_the_integral_it_stands_for(value: float, median: float, sigma: float) -> None:
    at = np.linspace(1e-6, max(value, median * math.exp(6.0 * sigma)), 200_001)
    scores = np.log(at / median) / sigma
    below = 0.5 * (1.0 + np.vectorize(math.erf)(scores[::20] / math.sqrt(2.0)))
    squares = (below - (at[::20] >= value)) ** 2
    assert crps(value, median, sigma) == pytest.approx(np.trapezoid(squares, at[::20]), rel=5e-3, abs=5e-3)


def test_without_a_spread_the_score_is_the_error() -> None:
    assert crps(12.0, 10.0, 0.0) == 2.0
