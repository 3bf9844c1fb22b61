"""The doors at the foot of the page, and the calendar of "Done before freeze-up?": opened, answered, reached by all.

The normal tests open every door once, look at one fault, at what is measured, drawn and dropped, and at accessibility
in one set of colours; phones, the night, US units, paper and weather are in the long run.
"""

import json
import math
import re
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

import pytest
from litestar.testing import TestClient
from tests.workbench.conftest import Bench, number
from tests.workbench.test_browser import violations

from drawbar_service.app import create_app
from drawbar_service.settings import Settings
from drawbar_service.workbench.doors import DOORS
from drawbar_service.workbench.page import every_control, lists, parts

NAMES = [door.name for door in DOORS]
UNANSWERED = {"trial": "Enter what was read in the cab", "points": "Enter what one of those fitted now costs"}
"""What doors say that have nothing to answer until something is entered."""
PLAN_PATIENCE = 120_000
"""Longest wait for the plan of a season [ms]."""

FIELD = [
    [-25.404424, 41.199233],
    [-25.401433, 41.198307],
    [-25.397103, 41.197919],
    [-25.395858, 41.199608],
    [-25.397976, 41.200380],
    [-25.397882, 41.201535],
    [-25.401479, 41.202507],
    [-25.403027, 41.201452],
    [-25.404424, 41.199233],
]
POND = [[-25.4006, 41.2003], [-25.4002, 41.2001], [-25.3998, 41.2002], [-25.3998, 41.2006], [-25.4006, 41.2003]]
TRIAL = "Speed (km/h),slip (%),fuel_lh,depth (cm)\n6.4,9.6,35.2,\n7.3,10.2,,\n6.9,7.4,32.6,15\n"


def inside(name: str) -> str:
    return f"[data-door={name}] .door-answer"


def open_door(page: Any, name: str) -> None:
    door = page.locator(f"[data-door={name}]")
    if not door.evaluate("door => door.open"):
        page.click(f"[data-door={name}] > summary")
    button = door.locator(".answer-it")
    if button.count():
        page.wait_for_selector(f"[data-door={name}] .choose")
        button.click()
    if name in UNANSWERED:
        page.wait_for_selector(f"{inside(name)} .not:has-text('{UNANSWERED[name]}')")
    else:
        page.wait_for_selector(f"{inside(name)} .verdict", timeout=PLAN_PATIENCE)


def answered_anew(page: Any, name: str, act: Any) -> None:
    """Do something, and wait until the door has answered since."""
    before = page.get_attribute(f"[data-door={name}]", "data-answered")
    act()
    page.wait_for_function(
        "([name, before]) => (door => door.dataset.answered !== before"
        " && door.querySelector('.door-answer').getAttribute('aria-busy') === 'false')"
        "(document.querySelector(`[data-door=${name}]`))",
        arg=[name, before],
    )


def drop(page: Any, place: str, name: str, text: str) -> None:
    page.set_input_files(f"{place} input[type=file]", {"name": name, "mimeType": "text/plain", "buffer": text.encode()})


def verdict(page: Any, name: str) -> str:
    return page.inner_text(f"{inside(name)} .verdict")


def words_of_requests(text: str) -> list[str]:
    return re.findall(r"\b[a-z]+_[a-z_]+\b|/v1/\S*", text)


# ---- without a browser


@pytest.fixture(scope="module")
def client() -> Iterator[Any]:
    with TestClient(create_app(Settings())) as client:
        yield client


def test_every_door_has_a_script_that_is_fetched_only_when_it_is_opened(client: Any) -> None:
    text = client.get("/").text
    assert len(set(NAMES)) == len(NAMES) == 11
    for name in NAMES:
        assert f"door-{name}.js" in parts()
        assert f'data-door="{name}"' in text
    assert "door-" not in "".join(re.findall(r"<(?:script|link)[^>]*>", text))
    assert "doors.css" not in text


@pytest.mark.parametrize("units", ["metric", "us"])
def test_what_the_example_farm_gives_to_doors_goes_to_controls(units: str) -> None:
    known = {control.name for control in every_control()}
    farm = lists()["farms"][units]
    rows = re.compile(r"/tools/\d+/")
    for values in (
        farm["start"]["values"],
        *farm["presets"]["tractor"].values(),
        *farm["presets"]["implement"].values(),
    ):
        for name in values:
            assert rows.sub("/tools/N/", name) in known | {"match/tractor/gears"}, name
    # None is left without: a name that is on no farm would go unseen.
    for kind in ("tractor", "implement"):
        for name, values in farm["presets"][kind].items():
            assert any(key.startswith("hitch/") for key in values), name
    for control in every_control():
        given = farm["start"]["values"].get(control.name)
        if control.lists in farm["presets"] and given is not None:
            assert given in farm["presets"][control.lists], control.name


# ---- in a browser


def test_every_door_opens_and_answers(bench: Bench) -> None:
    page = bench.open("#units=metric")
    assert not any("door-" in url or "doors.css" in url for url in page.asked)
    for name in NAMES:
        open_door(page, name)
    assert verdict(page, "weight")
    assert verdict(page, "oil") == "Yes, there is enough."
    assert verdict(page, "hitch") == "Yes, it hitches."
    assert verdict(page, "first") == "Measure the draft first."
    assert verdict(page, "hire").startswith("Your own: ")
    assert "24.8 ha" in verdict(page, "field")
    assert re.search(r"by \d+ \w+\. .*in 100\.", verdict(page, "fall"))
    assert "first on" in verdict(page, "systems")
    assert page.locator(f"{inside('beside')} .side").count() == 2
    assert page.complaints == []
    assert violations(page) == []
    assert words_of_requests(page.inner_text("#doors")) == []
    assert page.inner_text("#said") != ""


def test_what_is_wrong_is_said_beside_the_entry_in_plain_words(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "oil")
    page.fill("#hydraulics-tractor-flow", "lots")
    page.wait_for_selector("#hydraulics-tractor-flow-fault:visible")
    assert page.get_attribute("#hydraulics-tractor-flow", "aria-invalid") == "true"
    assert page.inner_text(f"{inside('oil')} .not") == "Not answered: mend what is marked."
    page.fill("#hydraulics-tractor-flow", "40")
    page.wait_for_selector(f"{inside('oil')} .verdict")
    assert page.get_attribute("#hydraulics-tractor-flow", "aria-invalid") is None
    assert "No: flow of the pump" in verdict(page, "oil")
    # What hangs in the wrong row of a list is said beside that row.
    page.fill("#hydraulics-functions-2-cylinders-stroke", "")
    page.wait_for_selector("#hydraulics-functions-2-cylinders-stroke-fault:visible")
    assert words_of_requests(page.inner_text("[data-door=oil]")) == []


def test_doors_follow_the_job_and_the_link_keeps_what_is_entered(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "hitch")
    answered_anew(page, "hitch", lambda: page.fill("#hitch-hitch-vertical_limit", "3"))
    assert verdict(page, "hitch") == "No: load on the hitch."
    assert "vertical_limit=3" in page.url
    other = bench.open(page.url[len(bench.url) :])
    assert other.input_value("#hitch-hitch-vertical_limit") == "3"
    answered_anew(page, "hitch", lambda: page.select_option("#pick-tractor", "elk"))
    assert page.input_value("#hitch-hitch-vertical_limit") == "45"
    # The tongue of the chisel is of another size than the drawbar of elk.
    assert verdict(page, "hitch") == "No: drawbar."
    # Figures of an example never answer for one's own.
    own = bench.open("#implement=own&units=metric")
    assert own.input_value("#hitch-machine-drawbar") == own.input_value("#hydraulics-functions-0-steady-flow") == ""
    own.click("[data-door=hitch] > summary")
    own.wait_for_selector(f"{inside('hitch')} .not:has-text('the job above')")


def test_what_was_measured_corrects_the_tool_and_can_be_taken_back(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "trial")
    drop(page, "[data-door=trial]", "log.csv", "speed,slip\n6.4,lots\n7,\n")
    page.wait_for_selector(".drop-said.wrong")
    said = page.inner_text(".drop-said")
    assert "Line 2, slip: “lots” is no number" in said
    assert "Line 3: neither slip nor fuel, load or pull." in said
    with page.expect_response("**/v1/calibration*") as caught:
        drop(page, "[data-door=trial]", "log.csv", TRIAL)
    learned = caught.value.json()["draft_multiplier"]["value"]
    page.wait_for_selector(f"{inside('trial')} .verdict")
    assert number(verdict(page, "trial")) == pytest.approx(learned, rel=5e-3)
    before = page.inner_text("#answer .verdict"), page.inner_text(".chance")
    turn = page.evaluate("document.body.dataset.turn")
    with page.expect_response("**/v1/calibration*") as again:
        page.click("text=Use it for this tool and soil")
    page.wait_for_function("turn => document.body.dataset.turn !== turn", arg=turn)
    assert number(page.input_value("#match-implement-draft_multiplier")) == pytest.approx(learned, rel=1e-3)
    assert 2.0 < number(page.input_value("#match-implement-tools-0-draft_range")) < 20.0
    assert (page.inner_text("#answer .verdict"), page.inner_text(".chance")) != before
    # What was learned is not held against the runs it was learned from.
    assert again.value.json()["draft_multiplier"]["value"] == pytest.approx(learned, rel=1e-9)
    page.click("text=Take it back")
    page.wait_for_function("words => document.querySelector('.chance').textContent === words", arg=before[1])
    assert page.input_value("#match-implement-draft_multiplier") == ""


def test_a_slip_test_is_answered_and_taken_as_a_run(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "trial")
    page.click("[data-door=trial] summary:has-text('Slip test')")
    for run, (loaded, unloaded) in enumerate(((10, 8.9), (10, 8.7), (10, 8.8))):
        page.fill(f"#slip-turns-runs-{run}-loaded", str(loaded))
        page.fill(f"#slip-turns-runs-{run}-unloaded", str(unloaded))
    page.wait_for_selector(f"{inside('trial')} .verdict:has-text('Slip 12 %')")
    assert not page.is_visible("#slip-times-runs-0-loaded")
    page.click("text=Take it as a run")
    page.wait_for_selector(f"{inside('trial')} .verdict:has-text('times the table')")
    assert page.input_value("#calibration-runs-0-slip") == "12"


def test_a_field_is_dropped_drawn_and_used(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "field")
    drop(page, "[data-door=field]", "field.geojson", '{"type": "Point", "coordinates": [1, 2]}')
    page.wait_for_selector(".drop-said.wrong:has-text('a polygon is needed')")
    shape = {"type": "Feature", "properties": {}, "geometry": {"type": "Polygon", "coordinates": [FIELD, POND]}}
    with page.expect_response("**/v1/field-capacity*") as caught:
        drop(page, "[data-door=field]", "field.geojson", json.dumps(shape))
    outline = caught.value.json()["outline"]
    page.wait_for_selector(f"{inside('field')} p:has-text('{outline['passes']} passes')")
    assert page.locator(f"{inside('field')} .strip").count() == len(outline["plan"]["features"])
    assert number(verdict(page, "field").split(" for ")[1]) == pytest.approx(outline["area"]["value"], rel=5e-3)
    page.eval_on_selector(".drive input", "one => { one.value = 3; one.dispatchEvent(new Event('input')); }")
    assert page.locator(".strip.done").count() == 3
    # By keyboard: corners are set with the pointer and moved, or taken away, with keys.
    page.click("text=Draw it corner by corner")
    pad = page.locator(".pad")
    pad.scroll_into_view_if_needed()
    for corner, (right, down) in enumerate(((0.2, 0.8), (0.2, 0.2), (0.8, 0.2), (0.8, 0.8))):
        box = pad.bounding_box()
        assert box is not None
        page.mouse.click(box["x"] + right * box["width"], box["y"] + down * box["height"])
        page.wait_for_selector(f"[data-corner='{corner}']")
    page.wait_for_selector(f"{inside('field')} .verdict")
    page.focus("[data-corner='0']")
    before = page.get_attribute("[data-corner='0']", "aria-label")
    answered_anew(page, "field", lambda: page.keyboard.press("Shift+ArrowUp"))
    moved = page.get_attribute("[data-corner='0']", "aria-label")
    assert page.evaluate("document.activeElement.dataset.corner") == "0"
    assert number(moved.split("east,")[1]) - number(before.split("east,")[1]) == pytest.approx(50.0, abs=1.0)
    turn = page.evaluate("document.body.dataset.turn")
    page.click("text=Use this field for the job")
    page.wait_for_function("turn => document.body.dataset.turn !== turn", arg=turn)
    assert number(page.input_value("#match-field-area")) == pytest.approx(
        number(verdict(page, "field").split(" for ")[1]), rel=5e-3
    )


def record(first: int = 2015, last: int = 2024) -> str:
    rows = [f"{year},{week},{2 + (3 * year + week) % 4}" for year in range(first, last + 1) for week in range(44, 53)]
    return "\n".join(["year,week,days", *rows])


def test_the_calendar_takes_a_record_shows_frost_and_moves_with_its_levers(bench: Bench) -> None:
    window = "completion/start=2027-11-01&completion/end=2027-11-20&page/freeze_up=2027-12-05&completion/area=330"
    page = bench.open(f"#units=metric&{window}")
    page.click("#days-file summary")
    drop(page, "#days-file", "days.csv", "year,week,days\n2020,44,9\n")
    page.wait_for_selector("#days-file .wrong")
    assert "Line 2, days: “9” is no number from 0 to 7." in page.inner_text("#days-file")
    drop(page, "#days-file", "days.csv", record())
    page.wait_for_selector("#completion-answer p:has-text('10 years of the record')")
    page.wait_for_selector(".day.frost")
    assert page.inner_text(".day.frost em") == "frost"
    assert page.inner_text(".day.last em") == "due"
    likely = "document.querySelector('.day.likely b')?.textContent"
    before = page.evaluate(likely)
    assert before is not None
    page.focus("[data-lever='completion/machine_count']")
    page.keyboard.press("ArrowRight")
    page.wait_for_function(f"before => {likely} !== before", arg=before)
    assert page.input_value("#completion-machine_count") == "2"
    assert page.get_attribute("[data-lever='completion/machine_count']", "aria-valuetext") == "2 tractors"
    page.wait_for_selector(".day.before")
    heights = page.eval_on_selector_all(".day", "all => all.map(one => one.querySelector('i')?.offsetHeight ?? 0)")
    assert all(one <= other for one, other in pairwise(heights))


def weather() -> str:
    lines = ["date,high_c,low_c,rain_mm"]
    for year in range(2012, 2024):
        first = date(year, 7, 1)
        for day in range(215):
            warm = 28.0 - 0.19 * day + 2.0 * math.sin(year)
            rain = 12.0 if (day + year) % 6 == 0 else 0.0
            lines.append(f"{first + timedelta(day)},{warm:.1f},{warm - 11.0:.1f},{rain}")
    return "\n".join(lines)


@pytest.mark.nightly
def test_a_gap_in_the_weather_is_said_and_whole_weather_is_taken(bench: Bench) -> None:
    page = bench.open("#units=metric&completion/start=2027-10-04&completion/end=2027-11-06")
    page.click("#days-file summary")
    drop(page, "#days-file", "weather.csv", weather())
    page.wait_for_selector("#days-file .wrong")
    assert "No line for the days from 2013-01-31 to 2013-07-01." in page.inner_text("#days-file")
    lines = weather().splitlines()
    drop(page, "#days-file", "weather.csv", "\n".join(lines[:216]))
    page.wait_for_function("() => document.querySelector('#page-record').value === 'own'")
    assert "wrong" not in page.get_attribute("#days-file .drop-said", "class").split()


@pytest.mark.nightly
@pytest.mark.parametrize(
    ("width", "scheme", "units"),
    [(360, "dark", "us"), (360, "light", "metric"), (768, "dark", "metric"), (1280, "dark", "us")],
)
def test_every_door_fits_and_is_accessible(bench: Bench, width: int, scheme: Any, units: str) -> None:
    page = bench.open(f"#units={units}", viewport={"width": width, "height": 800}, color_scheme=scheme)
    for name in NAMES:
        open_door(page, name)
    page.eval_on_selector_all("#doors details", "all => all.forEach(one => one.open = true)")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert violations(page) == []
    assert page.complaints == []
    small = page.eval_on_selector_all(
        "#doors :is(button, input:not([type=checkbox], .unseen), select, summary)",
        "all => all.filter(one => one.offsetHeight && one.offsetHeight < 43).map(one => one.outerHTML)",
    )
    assert small == []
    tiny = page.eval_on_selector_all(
        "#doors svg text, #doors .block b, #doors .fall em",
        "all => all.filter(one => parseFloat(getComputedStyle(one).fontSize) < 11).length",
    )
    assert tiny == 0


@pytest.mark.nightly
def test_two_tractors_are_printed_on_one_page_alone(bench: Bench) -> None:
    page = bench.open("#units=metric")
    page.evaluate("window.print = () => { window.printed = document.body.className; }")
    open_door(page, "beside")
    page.fill("#page-for", "A neighbour")
    page.wait_for_selector(f"{inside('beside')} .whom")
    page.click("text=Print this page")
    assert page.evaluate("window.printed") == "one-door"
    for paper in ("A4", "Letter"):
        assert len(re.findall(rb"/Type ?/Page\b", page.pdf(format=paper))) == 1, paper
    page.emulate_media(media="print")
    text = page.inner_text("body")
    for words in ("A neighbour", "Chisel behind Heron or Elk", "Holds up to", "Stop the engine", "not a rating"):
        assert words in text, words
    assert "Done before freeze-up" not in text
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    page.emulate_media(media="screen")
    assert page.is_visible("#answer")


@pytest.mark.nightly
@pytest.mark.parametrize("tool", ["disk", "subsoiler", "cultivator", "drill", "baler"])
def test_oil_and_hitch_are_answered_for_every_tool(bench: Bench, tool: str) -> None:
    page = bench.open(f"#tractor=heron&implement={tool}&units=metric")
    open_door(page, "hitch")
    assert verdict(page, "hitch") in ("Yes, it hitches.", "No: three-point hitch.")
    page.click("[data-door=oil] > summary")
    page.wait_for_selector(f"{inside('oil')} :is(.verdict, .not:has-text('Fill in what the tool takes'))")
    assert page.complaints == []


@pytest.mark.nightly
def test_where_owning_begins_to_pay_is_drawn(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "hire")
    with page.expect_response("**/v1/cost*") as caught:
        page.fill("#cost-hire_rate", "70")
    hire = caught.value.json()["hire"]
    page.wait_for_selector(f"{inside('hire')} .chart .word:has-text('even')")
    assert verdict(page, "hire").startswith("Own it: " if hire["cheaper"] == "own" else "Hire it: ")
    assert str(round(hire["break_even"]["value"])) in page.get_attribute(f"{inside('hire')} .chart", "aria-label")
    # The entry belongs to the page: what it costs says it, too.
    assert page.inner_text("#cost-answer").strip().endswith(hire["says"])


@pytest.mark.nightly
def test_points_are_compared_once_they_are_entered_and_then_cost(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "points")
    before = page.inner_text("#cost-answer .verdict")
    start = "#cost-machines-1-wearing-0-options"
    for place, (price, life) in enumerate((("24", "140"), ("48", "420"))):
        page.fill(f"{start}-{place}-price", price)
        page.fill(f"{start}-{place}-life", life)
    page.wait_for_selector(f"{inside('points')} tbody tr:nth-child(2)")
    assert verdict(page, "points").startswith("Change to the others: ")
    assert page.inner_text("#cost-answer .verdict") != before
    assert page.locator("[aria-invalid]").count() == 0


@pytest.mark.nightly
def test_a_fall_with_fewer_drivers_is_planned_for_what_is_ticked(bench: Bench) -> None:
    page = bench.open("#units=metric")
    open_door(page, "fall")
    page.uncheck("[data-kind-of=field] input[value=gorse-heath]")
    page.fill("#page-drivers", "1")
    with page.expect_request("**/v1/season*") as caught:
        page.click("[data-door=fall] .answer-it")
    body = json.loads(caught.value.post_data)
    assert [one["name"] for one in body["fields"]] == ["Millrace", "Mill bank", "Sluice marsh"]
    assert len(body["fleet"]["operators"]) == 1
    page.wait_for_function("() => !document.querySelector('[data-door=fall] .tasks').textContent.includes('Gorse')")
    page.click(".by-day summary")
    assert "driver 1" in page.inner_text(".by-day")
