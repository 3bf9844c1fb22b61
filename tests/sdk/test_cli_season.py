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
    assert re.match(r"All done by \w{3} \d+ Sep, \d+ days before", lines[0])
    for head in (
        "Calendar, in expected hours",
        "Work, field by field",
        "Machines and people in the window",
        "Odds and cost",
        "Beware",
    ):
        assert head in lines
    assert re.search(r"^  Mon 6 Sep +\w+ \((first|second)\) +\d\.\d h +stubble: ", told, re.MULTILINE)
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


def test_the_calendar_is_whole_at_80_columns(run, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    code, told, _ = run("season", FARM)
    assert code == 0
    lines = told.splitlines()
    assert max(map(len, lines)) <= 80
    calendar = told.partition("Calendar, in expected hours\n")[2].partition("\n\n")[0].splitlines()[2:]
    days = [line for line in calendar if re.match(r"  \w{3} \d+ Sep", line)]
    # One line for each tractor with its driver; only the fields of a full day may need a second.
    assert all(re.match(r"  (\w{3} \d+ Sep +| {10,})\w+ \([\w, ]+\) +\d+\.\d h +\S", line) for line in days)
    assert [line[2:12].strip() for line in days] == list(dict.fromkeys(line[2:12].strip() for line in days))
    work = told.partition("Work, field by field\n")[2].partition("\n\n")[0].splitlines()
    assert len(work) == 2 + 11


RECORD = "year,week,days\n" + "".join(
    f"{year},{week},{days}\n"
    for year, of_year in ((2019, (4, 5, 3)), (2020, (2, 1, 3)), (2021, (6, 6, 7)), (2022, (1, 0, 1)))
    for week, days in zip((36, 37, 38), of_year, strict=True)
)


def test_a_record_shows_the_plan_in_its_years(run, tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    file = tmp_path / "days.csv"
    file.write_text(RECORD, "utf-8")
    _, told, errors = run("season", FARM, "--record", file)
    assert errors == ""
    assert "Over 4 recorded years" in " ".join(told.split())
    worst = told.partition("The worst of them\n")[2].splitlines()[2]
    assert re.match(r"  2022 +1\.7 +not by then", worst)
    assert "What would change it" in told
    assert max(map(len, told.splitlines())) <= 80


SO_FAR = "year,week,days\n2027,35,5\n2027,36,4\n"


def test_the_weeks_so_far_leave_the_rest_of_the_season(run, edited, tmp_path, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    so_far = tmp_path / "so_far.csv"
    so_far.write_text(SO_FAR, "utf-8")
    farm = edited(("end = 2027-09-24", 'end = 2027-09-24\ndays_off = { weekdays = ["sunday"] }'))
    record = tmp_path / "days.csv"
    longer = "".join(
        f"{year},{week},{days}\n" for year in range(2010, 2019) for week in (34, 35, 36, 37, 38) for days in (6,)
    )
    record.write_text("year,week,days\n" + longer, "utf-8")
    code, told, errors = run("season", farm, "--record", record, "--so-far", so_far)
    assert (code in (0, 1), errors) == (True, "")
    calendar = told.partition("Calendar, in expected hours\n")[2].partition("\n\n")[0]
    assert not re.search(r"(Mon 6|Sun 12|Sun 19) Sep", calendar)
    assert re.search(r"Mon 13 Sep", calendar)
    assert "The weeks so far end the day before" in " ".join(told.split())
    assert max(map(len, told.splitlines())) <= 80


def test_a_shared_tractor_says_when_it_is_back(run, edited):
    farm = edited(("available_to = 2027-09-19", "neighbor = { days = 2 }"))
    _, told, errors = run("season", farm)
    assert errors == ""
    assert re.search(r"elk, shared +back \w{3} \d+ Sep", told)


def test_alternatives_of_a_farm_name_their_machines(run, edited, tmp_path):
    more = """alternatives = [{ name = "without wren", tractors = ["heron", "elk"], yearly_cost = "9000 money" }]
yearly_cost = "12000 money"

[season.tractors]"""
    farm = edited(
        ("[season.tractors]", more),
        ("suitable = { mean = 10.5, spread = 2.7, period_days = 19 }", "record = { id = 'iowa' }"),
    )
    _, told, errors = run("season", farm)
    assert errors == ""
    beside = told.partition("Side by side, by the year\n")[2].splitlines()
    assert beside[2].split()[-3] == "12,000"
    assert beside[3].startswith("  without wren")
    assert beside[3].split()[-3] == "9,000"


def test_without_prices_no_zeros_stand_for_money(run, edited):
    farm = edited(
        ('prices = { fuel = "1.15 money/L", labor = "25 money/h" }\n', ""),
        ('hourly_cost = "16 money/h"', ""),
        ('hourly_cost = "31 money/h"', ""),
        ('hourly_cost = "58 money/h", ', ""),
    )
    _, told, _ = run("season", farm)
    assert re.search(r"money +no prices given", told)
    assert not re.search(r"^ +people ", told, re.MULTILINE)


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
    assert told.startswith("All done by Wed 8 Sep")


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


IOWA = ("suitable = { mean = 10.5, spread = 2.7, period_days = 19 }", 'record = { id = "iowa" }')
SEVERAL = (
    "[season.tractors]",
    """[[season.alternatives]]
name = "without the small one"
tractors = ["heron", "elk"]

[[season.alternatives]]
name = "shorter days"
workday = "8 h"

[season.tractors]""",
)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('"chisel-plow.shovel-or-sweep"', '"chizel"', "implements.chisel.tools[0].tool: no tool 'chizel'"),
        ("count = 12", "cuont = 12", "implements.chisel.tools[0].cuont: there is no such field here"),
    ],
)
def test_a_slip_in_a_machine_is_said_once_whatever_has_it(run, edited, old, new, fault):
    code, told, errors = run("season", edited(IOWA, SEVERAL, (old, new)))
    assert (code, told) == (2, "")
    first, *faults = errors.splitlines()
    assert "cannot be used as it is" in first
    assert len(faults) == 1
    assert faults[0].strip().startswith(fault)


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (
            ("start = 2027-09-06", 'start = "1 November"'),
            "season.start: '1 November' is no date; a date is written 2026-",
        ),
        (
            ("end = 2027-09-24", "finish_by = 2027-09-24"),
            "season.finish_by: there is no member of a season 'finish_by'; did you mean 'end'?",
        ),
        ((IOWA[0], ""), "season.record: give `season.suitable` or `season.record`, one of the two"),
        ((IOWA[0], IOWA[1].replace("iowa", "ohio")), "there are iowa; `drawbar tables suitable-weeks` lists all"),
    ],
)
def test_a_fault_of_the_season_is_put_as_the_file_and_the_terminal_have_it(run, edited, change, fault):
    code, told, errors = run("season", edited(change))
    assert (code, told) == (2, "")
    assert fault in errors
    assert "GET /v1" not in errors
