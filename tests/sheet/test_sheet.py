"""The field sheet: what it says, that nothing of a caller's gets out of its text, and that it is one page."""

import base64
import hashlib
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any

import msgspec
import pytest
from litestar.testing import TestClient

from drawbar_service.api.v1.calibration.request import CalibrationRun
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.slip.request import DistanceRun, SlipRequest, TimeRun, TurnRun
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

BODY: dict[str, Any] = msgspec.json.decode(msgspec.json.encode(MATCH.example))
HOSTILE = "<script>alert(1)</script> \"'& $\\frac{ \u202e\x07 "


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings())) as client:
        yield client


def crowded() -> dict[str, Any]:
    """A request with as much to say as may be: names at full length, every list full."""
    long = (HOSTILE * 9)[:80]
    return BODY | {
        "tractor": BODY["tractor"]
        | {"name": long, "gears": [{"name": f"{one}{long}"[:80], "speed": f"{one + 4} km/h"} for one in range(9)]},
        "implement": {
            "name": "W" * 80,
            "hitch": "drawbar",
            "depth_range": ["2 cm", "40 cm"],
            "tools": [
                {"tool": "chisel-plow.twisted-shovel-10cm", "count": 2, "spacing": "36 cm", "depth": "18 cm"}
                for _ in range(16)
            ],
            "hydraulic": [{"name": long, "flow": "3 L/min", "pressure": "120 bar"} for _ in range(16)],
        },
        "speed": "9.5 km/h",
        "limits": {"slip": "12 %"},
    }


def tracks() -> dict[str, Any]:
    tractor = {key: BODY["tractor"][key] for key in ("power", "mass")}
    return BODY | {"tractor": tractor | {"drive": "rubber-track"}}


def with_changes() -> dict[str, Any]:
    """A misfit whose summary lists what would fit, on top of long names."""
    full = crowded()
    implement = BODY["implement"] | {key: full["implement"][key] for key in ("name", "hydraulic", "depth_range")}
    return BODY | {"tractor": full["tractor"], "implement": implement, "speed": "10.4 km/h"}


def with_every_caution() -> dict[str, Any]:
    """A crowded sheet of work that is deep, driven by the PTO and on a slope."""
    body = with_changes()
    tools = [tool | ({"depth": "32 cm"} if "depth" in tool else {}) for tool in body["implement"]["tools"]]
    rotary = [{"machine": "baler.small-rectangular", "feed_rate": "4 t/h"}]
    return body | {"implement": body["implement"] | {"tools": tools, "rotary": rotary}, "field": {"slope": "12 %"}}


CASES = {
    "worked": BODY,
    "crowded": crowded(),
    "with changes": with_changes(),
    "every caution": with_every_caution(),
    "tracks": tracks(),
    "no speed": {**BODY, "speed": None},
}


def sheet(client: Any, body: dict[str, Any], units: str = "metric") -> Any:
    answer = client.post(f"/v1/sheet?units={units}", json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def html(client: Any, body: dict[str, Any], units: str = "metric") -> Any:
    answer = client.post(f"/v1/sheet?units={units}", json=body, headers={"Accept": "text/html"})
    assert answer.status_code == 200, answer.text
    return answer


def test_it_says_what_the_match_says(client: Any) -> None:
    match = client.post("/v1/match", json={**BODY, "find": ["speed", "width", "depth"]}).json()
    told = sheet(client, BODY)
    assert told["summary"] == match["verdict"]["summary"]
    for name in ("word", "chance", "fits"):
        assert told[name] == match["verdict"][name]
    assert told["binds"]["limit"] == match["verdict"]["binding"]
    by_name = {line["what"]: line["value"] for line in told["start_with"] + told["watch"]}
    assert by_name["Ground speed"] == "8 km/h"
    assert by_name["Depth, chisel plow"] == "18 cm"
    glance = {line["what"]: line["value"] for line in told["glance"]}
    assert (glance["Speed"], glance["Depth"]) == ("8 km/h", "18 cm")
    assert glance["Slip to expect"] in next(line["note"] for line in told["watch"] if line["what"] == "Slip")
    fuel = match["fuel"]["rate"]
    assert by_name["Fuel in an hour"] == f"{fuel['value']:.3g} {fuel['unit']}"
    assert told["cautions"] == match["about"]["cautions"]


def test_oil_and_the_best_gear_are_among_the_settings(client: Any) -> None:
    body = BODY | {
        "tractor": BODY["tractor"] | {"gears": [{"name": "C2", "speed": "9 km/h"}, {"name": "C3", "speed": "11 km/h"}]},
        "implement": BODY["implement"] | {"hydraulic": [{"name": "fan", "flow": "30 L/min", "pressure": "120 bar"}]},
    }
    best = client.post("/v1/match", json=body).json()["gear"]["best"]
    by_name = {line["what"]: line["value"] for line in sheet(client, body)["start_with"]}
    assert by_name["Gear"] == best is not None
    assert by_name["Oil, fan"] == "30 L/min at 120 bar"


def test_what_does_not_fit_says_how_far_back_to_go(client: Any) -> None:
    asked = BODY | {"speed": "10.4 km/h"}
    told, wide = sheet(client, asked), client.post("/v1/match", json=asked).json()["greatest"]["width"]
    assert not told["fits"]
    assert not told["binds"]["kept"]
    assert any("no deeper than" in line for line in told["if_it_lugs"])
    assert wide["holds_count"] < wide["count"]
    assert any(f"no more than {wide['holds_count']} tools holds" in line for line in told["if_it_lugs"])


def test_nobody_is_told_to_start_with_what_fails(client: Any) -> None:
    assert ">Start with<" in html(client, BODY | {"speed": "7 km/h"}).text
    close = html(client, BODY | {"speed": "9 km/h"}).text
    assert sheet(client, BODY | {"speed": "9 km/h"})["word"] == "close"
    assert ">Start with<" not in close
    assert ">Start with, ready to stop: it is close<" in close
    fails = html(client, BODY | {"speed": "10.4 km/h"}).text
    assert "Start with" not in fails
    assert ">As asked: it fails, do not start with it<" in fails


def test_where_nothing_carries_the_pull_no_load_is_told(client: Any) -> None:
    body = BODY | {"tractor": BODY["tractor"] | {"mass": "2.1 t"}}
    by_name = {line["what"]: line["value"] for line in sheet(client, body)["watch"]}
    assert by_name["Engine load"] == "none"
    assert "Fuel in an hour" not in by_name


def test_cautions_come_before_the_settings(client: Any) -> None:
    page = html(client, BODY | {"speed": "7 km/h"}).text
    assert page.index(">Before all else<") < page.index(">Start with<")


def test_the_columns_of_a_trial_are_what_calibration_and_slip_take(client: Any) -> None:
    trial = sheet(client, BODY)["trial"]
    written = [column["field"] for column in trial["calibration"] + trial["errors"]]
    assert sorted([*written, "machine", "field"]) == sorted(CalibrationRun.__struct_fields__)
    kinds = {"turns": TurnRun, "times": TimeRun, "distances": DistanceRun}
    assert [way["way"] for way in trial["slip"]] == list(SlipRequest.__struct_fields__)
    for way in trial["slip"]:
        assert [column["field"] for column in way["columns"]] == list(kinds[way["way"]].__struct_fields__)


def test_a_trial_written_in_its_units_is_read_back(client: Any) -> None:
    trial = sheet(client, BODY, "us")["trial"]
    numbers = {"speed": 5, "depth": 7, "slope": 1, "engine_speed": 90, "pull": 8000, "slip": 9, "fuel_rate": 9}
    numbers |= {"engine_load": 70}
    run = {one["field"]: f"{numbers[one['field']]} {one['unit']}" for one in trial["calibration"]}
    run |= {one["field"]: f"3 {one['unit']}" for one in trial["errors"]}
    asked = {key: BODY[key] for key in ("tractor", "implement", "soil")} | {"runs": [run]}
    assert client.post("/v1/calibration", json=asked).status_code == 200
    for way in trial["slip"]:
        loaded, unloaded = (one["unit"] for one in way["columns"])
        smaller, larger = (15, 10) if way["way"] != "distances" else (40, 45)
        read = {"loaded": smaller, "unloaded": larger}
        if loaded:
            read = {"loaded": f"{smaller} {loaded}", "unloaded": f"{larger} {unloaded}"}
        assert client.post("/v1/slip", json={way["way"]: {"runs": [read]}}).status_code == 200


class Elements(HTMLParser):
    def __init__(self, text: str) -> None:
        super().__init__()
        self.names: list[str] = []
        self.attributes: set[str] = set()
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes |= {name for name, _ in attrs}


def test_names_stay_text_and_nothing_is_loaded(client: Any) -> None:
    plain, page = Elements(html(client, BODY).text), Elements(html(client, crowded()).text)
    assert set(page.names) == set(plain.names)
    assert page.names.count("h1") == page.names.count("style") == 1
    assert not page.attributes & {"src", "href", "style", "onload", "onclick"}
    assert "&lt;script" in html(client, crowded()).text


def test_the_policy_allows_the_page_s_own_style_and_nothing_else(client: Any) -> None:
    answer = html(client, BODY)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    style = re.search("<style>(.*)</style>", answer.text, re.DOTALL)
    assert style
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert answer.headers["content-security-policy"] == (
        f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def test_the_same_request_gives_the_same_bytes(client: Any) -> None:
    assert html(client, crowded()).content == html(client, crowded()).content


def served(answer: Any) -> Any:
    """A handler of the browser's request, so that the page comes with its policy."""
    return lambda route: route.fulfill(body=answer.text, headers=dict(answer.headers))


def test_it_can_be_read_on_a_phone(client: Any, browser: Any) -> None:
    page = browser.new_page(viewport={"width": 360, "height": 740})
    page.route("**/sheet", served(html(client, BODY)))
    page.goto("http://farm.test/sheet")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    # The heading is one line, beside nothing, and no word of the tables runs into the next column.
    assert page.evaluate("document.querySelector('h1').getClientRects().length") == 1
    assert page.evaluate("document.querySelector('h1').offsetHeight") < 30
    assert page.evaluate("[...document.querySelectorAll('th')].every(one => one.scrollWidth <= one.clientWidth)")


@pytest.mark.parametrize("case", CASES)
def test_it_prints_on_one_page(client: Any, browser: Any, case: str) -> None:
    page = browser.new_page()
    faults: list[str] = []
    page.on("console", lambda message: faults.append(message.text))
    body = {key: value for key, value in CASES[case].items() if value is not None}
    for paper, units in (("A4", "metric"), ("Letter", "us")):
        answer = html(client, body, units)
        page.route("**/sheet", served(answer))
        page.goto("http://farm.test/sheet")
        printed = page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b", printed)) == 1
    # The style is the page's own, and was let in by its hash.
    assert page.evaluate("getComputedStyle(document.querySelector('table')).borderCollapse") == "collapse"
    assert faults == []
    page.close()
