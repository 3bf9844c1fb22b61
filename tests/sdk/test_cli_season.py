"""`drawbar season` over the example farm and over files with something amiss."""

import json
import re
from pathlib import Path

import pytest

from drawbar import cli

ROOT = Path(__file__).resolve().parents[2]
FARM = ROOT / "sdk/examples/farm.toml"
CONTRACT = json.loads((ROOT / "openapi/drawbar-v1.json").read_text("utf-8"))
WORKED = CONTRACT["paths"]["/v1/season"]["post"]["requestBody"]["content"]["application/json"]["examples"]["worked"]


@pytest.fixture(autouse=True)
def _plain_surroundings(monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    for name in ("DRAWBAR_URL", "DRAWBAR_TOKEN", "DRAWBAR_API_KEY"):
        monkeypatch.delenv(name, raising=False)


@pytest.fixture
def run(capsys):
    def run(*arguments):
        code = cli.main([str(argument) for argument in arguments])
        told = capsys.readouterr()
        return code, told.out, told.err

    return run


@pytest.fixture
def edited(tmp_path):
    def edit(*changes):
        text = FARM.read_text("utf-8")
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        file = tmp_path / "farm.toml"
        file.write_text(text, "utf-8")
        return file

    return edit


def test_the_farm_gets_its_season_done(run):
    code, told, errors = run("season", FARM)
    assert (code, errors) == (0, "")
    lines = told.splitlines()
    assert lines[0].startswith("All done by 2027-09-")
    for head in ("Plan", "Work, field by field", "Machines and people in the window", "Odds and cost", "Beware"):
        assert head in lines
    assert re.search(r"^  2027-09-06 +\w+ +\w+ +(first|second) +stubble ", told, re.MULTILINE)
    assert re.search(r"^  chance to finish +\d+ in 100: the plan takes", told, re.MULTILINE)
    assert "subsoiler behind wren" in told.partition("Left out, because a limit is broken by the central figures")[2]
    assert max(map(len, lines)) <= 100


def test_a_season_that_is_too_short_says_what_to_relax(run, edited):
    farm = edited(("end = 2027-09-24", "end = 2027-09-14"), ("available_to = 2027-09-19", "available_to = 2027-09-13"))
    farm.write_text(farm.read_text("utf-8").replace("due = 2027-09-18", "due = 2027-09-14"), "utf-8")
    code, told, errors = run("season", farm)
    assert (code, errors) == (1, "")
    assert re.search(r"^  - .* would take \d+ % off the lateness\.", told, re.MULTILINE)
    assert "an hour more a day saves" in told


def test_json_is_what_the_service_says(run):
    code, told, _ = run("season", FARM, "--json")
    answer = json.loads(told)
    assert code == 0
    assert answer["verdict"]["in_time"]
    assert {row["field"] for row in answer["plan"]} == {"millrace", "mill-bank", "gorse-heath", "sluice-marsh"}


def test_a_single_request(run, tmp_path):
    file = tmp_path / "season.json"
    file.write_text(json.dumps(WORKED["value"]), "utf-8")
    code, told, _ = run("season", file)
    assert code == 0
    assert told.startswith("All done by 2027-09-08")


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        (
            'implements = ["cultivator"]',
            'implements = ["cultivater"]',
            "season.work.seedbed.implements[0]: there is no imp",
        ),
        (
            'fields = ["sluice-marsh"]',
            'fields = ["sluice"]',
            "season.work.loosen.fields[0]: there is no field 'sluice'",
        ),
        ("sluice-marsh = { ready", "marsh = { ready", "season.fields.marsh: there is no field 'marsh'"),
        ("operators = [", "drivers = [", "season.drivers: there is no member of a season 'drivers'"),
        ("[season.work.wheat]", "[season.wrk.wheat]", "season.wrk: there is no member of a season 'wrk'"),
        ('workday = "7 h"', 'workday = "7 ha"', "season.operators[1].workday: unit 'ha' is not a time here"),
        (
            "ready = 2027-09-13",
            "ready = 2027-12-13",
            "season.fields.sluice-marsh.ready: 2027-12-13 is after the window",
        ),
        ('drive = "four-wheel"', 'drive = "six-wheel"', "tractors.elk.drive: 'six-wheel' is not one of"),
        ('texture = "coarse"', 'texture = "sand"', "fields.gorse-heath.soil.texture: 'sand' is not one of"),
        (
            'after = [{ work = "seedbed" }]',
            'after = [{ work = "seed" }]',
            "season.work.wheat.after[0]: there is no 'seed'",
        ),
        ("end = 2027-09-24", "", "season.end: required and missing"),
    ],
)
def test_a_fault_is_named_by_its_place_in_the_file(run, edited, old, new, fault):
    code, told, errors = run("season", edited((old, new)))
    assert (code, told) == (2, "")
    assert fault in errors


def test_a_farm_without_a_season(run, tmp_path):
    text = FARM.read_text("utf-8").partition("[season]")[0]
    (tmp_path / "farm.toml").write_text(text, "utf-8")
    code, _, errors = run("season", tmp_path / "farm.toml")
    assert code == 2
    assert "season: is not in the file; add [season]" in errors
