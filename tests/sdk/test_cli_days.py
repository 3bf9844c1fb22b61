"""`drawbar completion --record` and `drawbar days --weather`: files as they are, and files with something amiss."""

import json
from datetime import date, timedelta

import pytest

from drawbar import cli
from drawbar._farm import BadFile
from drawbar._record import read_topsoil, read_weeks
from drawbar._weather import weather_case

REQUEST = """
area = "200 ha"
capacity = "1 ha/h"
workday = "10 h"
time_lost = "0 %"
start = 2027-10-04
end = 2027-10-31
"""
HEADER = "state,year,week,week_ending,days_suitable\n"


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
def file(tmp_path):
    def write(name, text):
        path = tmp_path / name
        path.write_text(text, "utf-8")
        return path

    return write


def lines(years=range(2008, 2016), weeks=range(38, 46)):
    return "".join(
        f"XX,{year},{week},{date.fromisocalendar(year, week, 7)},{3.0 + 0.5 * ((year * 3 + week) % 7)}\n"
        for year in years
        for week in weeks
    )


def faults(read, *arguments):
    with pytest.raises(BadFile) as caught:
        read(*arguments)
    return {fault.pointer: fault.detail for fault in caught.value.faults}


def test_a_weekly_file_as_a_state_publishes_it_is_read_as_it_is(run, file):
    record = file("weeks.csv", HEADER + lines())
    code, out, err = run("completion", file("job.toml", REQUEST), "--record", record, "--json")
    answer = json.loads(out)
    assert (code, err) == (0, "")
    assert answer["recorded"]["years"] == 8
    needed = sum(
        sum(3.0 + 0.5 * ((year * 3 + week) % 7) for week in range(40, 44)) >= 20.0 for year in range(2008, 2016)
    )
    assert float(answer["recorded"]["share"]["value"]) == pytest.approx(100.0 * needed / 8.0)


def test_columns_in_any_order_and_json_say_the_same(file):
    plain = read_weeks(str(file("a.csv", HEADER + lines())))
    turned = "days;date;place\n" + "".join(
        f"{one.split(',')[4].replace('.', ',')};{one.split(',')[3]};XX\n" for one in lines().splitlines()
    )
    as_json = json.dumps(
        [{"week_ending": one.split(",")[3], "days": float(one.split(",")[4])} for one in lines().splitlines()]
    )
    assert [one["days"] for one in read_weeks(str(file("b.csv", turned))).rows] == [one["days"] for one in plain.rows]
    assert [one["days"] for one in read_weeks(str(file("c.json", as_json))).rows] == [one["days"] for one in plain.rows]
    assert plain.place == "XX"


@pytest.mark.parametrize(
    ("text", "place", "told"),
    [
        ("", "", "is empty"),
        ("year,week\n2020,40\n", "", "no column 'days'"),
        ("year,days\n2020,4\n", "", "no column 'week_ending' or 'week'"),
        ("year,week,days\n2020,40,55\n", "line 2, days", "from 0 to 7 (days, not hours)"),
        ("year,week,days\n2020,40,-1\n", "line 2, days", "'-1'"),
        ("year,week,days\n2020,40,dry\n", "line 2, days", "'dry'"),
        ("year,week,days\n2020,40.5,3\n", "line 2, week", "a whole number"),
        ("year,week,days\n2020,,3\n", "line 2, week_ending", "is missing"),
        ("week_ending,days\n20/10/2024,3\n", "line 2, week_ending", "2024-10-20"),
        ("year,week,days\n2020,40,3\n2020,41,3\n2020,40,4\n", "line 4", "stands in line 2 too"),
        ("year,week,days\n2020,40\n", "line 2", "has 2 cells, the header names 3"),
        ("year,week,week_ending,days\n2020,40,2020-10-18,3\n", "line 2, week_ending", "is in week 42 of 2020"),
        ("state,year,week,days\nAA,2020,40,3\nBB,2020,41,3\n", "line 3", "one place in a file"),
        ("year,week,days\n2020,40,\n", "", "has no week"),
        ('{"weeks": 3}', "", "must hold a list"),
        ("[3]", "[0]", "must be an object"),
        ("[", "", "is not valid JSON"),
    ],
)
def test_what_is_wrong_with_a_weekly_file_is_said_at_its_line(file, text, place, told):
    found = faults(read_weeks, str(file("weeks.csv", text)))
    assert told in found[place]


def test_what_the_service_finds_is_said_at_the_line_too(run, file):
    code, _, err = run(
        "completion", file("job.toml", REQUEST), "--record", file("w.csv", "year,week,days\n2021,53,3\n")
    )
    assert code == 2
    assert "w.csv, line 2" in err
    assert "2021 has no week 53" in err


def test_weeks_so_far_and_topsoil_come_from_files(run, file):
    request, record = file("job.toml", REQUEST), file("weeks.csv", HEADER + lines())
    now = "year,week,days\n2027,38,0.5\n2027,39,0.5\n"
    _, plain, _ = run("completion", request, "--record", record, "--json")
    _, wet, _ = run("completion", request, "--record", record, "--so-far", file("now.csv", now), "--json")
    assert json.loads(wet)["by_year"] != json.loads(plain)["by_year"]
    soil = "state,year,week_ending,layer,class,percent\n" + "".join(
        f"XX,2027,2027-10-03,{layer},PCT {kind},{percent}\n"
        for layer in ("TOPSOIL", "SUBSOIL")
        for kind, percent in (
            ("VERY SHORT", 10),
            ("SHORT", 20),
            ("ADEQUATE", 60 if layer == "TOPSOIL" else 0),
            ("SURPLUS", 10),
        )
    )
    assert read_topsoil(str(file("soil.csv", soil))) == {(2027, 39): 1.7}


def test_a_record_of_elsewhere_warns(run, file):
    arguments = ("completion", file("job.toml", REQUEST), "--record", file("weeks.csv", HEADER + lines()))
    assert "Suitable days of XX" not in run(*arguments, "--json")[1]
    assert "Suitable days of XX" in run(*arguments, "--elsewhere", "--json")[1]


def weather(start=150, days=120, station="home"):
    return "".join(
        f"{station},{date(2024, 1, 1) + timedelta(day)},{80 - day % 9},{55 - day % 7},{0.4 if day % 5 == 0 else 0},0\n"
        for day in range(start, start + days)
    )


WEATHER = "station,day,high_F,low_F,precip_in,snowdepth_in\n"


def test_daily_weather_as_a_network_gives_it_is_read_as_it_is(run, file):
    path = file("weather.csv", WEATHER + weather())
    code, out, err = run("days", "--weather", path, "--latitude", "42", "--json")
    assert (code, err) == (0, "")
    answer = json.loads(out)
    assert len(answer["weeks"]) == len(answer["record"]["weeks"]) > 5
    body = weather_case(str(path), None).body
    assert body["first"] == "2024-05-30"
    assert body["rain"][0] == pytest.approx(10.16)
    assert body["high"][0] == pytest.approx((80 - 150 % 9 - 32) / 1.8, abs=0.01)


def test_days_of_weather_are_a_record_for_a_completion(run, file):
    years = "".join(weather(150 + 365 * year, 200) for year in range(4)).splitlines()
    text = WEATHER + "\n".join(sorted(set(years)))
    with pytest.raises(BadFile, match="weather"):
        weather_case(str(file("weather.csv", text)), None)  # months without a line
    whole = WEATHER + weather(150, 4 * 365)
    _, out, _ = run("days", "--weather", file("weather.csv", whole), "--json")
    code, out, _ = run("completion", file("job.toml", REQUEST), "--record", file("days.json", out), "--json")
    assert code == 0
    assert json.loads(out)["recorded"]["years"] == 4


@pytest.mark.parametrize(
    ("text", "place", "told"),
    [
        ("day,high_F,low_F\n2024-01-01,3,2\n", "", "no column 'rain_mm' or 'rain_in'"),
        (WEATHER + weather() + weather(station="hill"), "--station", "the file has home, hill"),
        (WEATHER + "home,2024-01-01,300,2,0,0\n", "line 2, high_f", "from -130 to 158"),
        (WEATHER + "home,1 May,70,60,0,0\n", "line 2, date", "2024-10-20"),
        (WEATHER + weather(150, 3) + weather(150, 1), "line 5", "stands in line 2 too"),
        (WEATHER + weather(150, 3) + weather(250, 3), "line 5", "no line for the days from"),
    ],
)
def test_what_is_wrong_with_a_weather_file_is_said_at_its_line(file, text, place, told):
    assert told in faults(weather_case, str(file("weather.csv", text)), None)[place]


def test_one_of_several_stations_is_taken_by_name(file):
    path = str(file("weather.csv", WEATHER + weather() + weather(station="hill", days=130)))
    assert len(weather_case(path, "hill").body["rain"]) == 130
    assert "no station 'dale'" in faults(weather_case, path, "dale")["--station"]


def test_days_take_one_of_a_request_and_weather(run):
    assert run("days")[0] == 2
    assert "one of the two" in run("days")[2]
