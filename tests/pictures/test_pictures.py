"""Pictures over HTTP: whole, small, the same every time, with words in them, and safe whatever the names are."""

import contextlib
import datetime as dt
import re
import struct
from collections.abc import Iterator
from typing import Any
from xml.etree import ElementTree

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from litestar.testing import TestClient
from tests.api.strategies import consistent_bodies
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculations import CURVES
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.shared.curve import PNG, SVG
from drawbar_service.api.trimmed import GROUNDS, Wanted
from drawbar_service.api.v1.curves.draft_by_tool import DRAFT_BY_TOOL
from drawbar_service.api.v1.curves.finish_by_date import FINISH_BY_DATE
from drawbar_service.api.v1.curves.fit_map import FIT_MAP
from drawbar_service.api.v1.curves.power_by_speed import POWER_BY_SPEED
from drawbar_service.api.v1.curves.season_timeline import SEASON_TIMELINE, WorkSpan
from drawbar_service.api.v1.curves.slip_by_pull import SLIP_BY_PULL
from drawbar_service.api.v1.curves.soil_stress_by_depth import SOIL_STRESS_BY_DEPTH
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.app import create_app
from drawbar_service.look import looks
from drawbar_service.pictures import canvas
from drawbar_service.pictures.canvas import breadth, fitted, folded, legible
from drawbar_service.pictures.drawing import picture
from drawbar_service.pictures.times import lane_of
from drawbar_service.quantities import Area, Time, decode_quantity
from drawbar_service.settings import Settings

EVERY = pytest.mark.parametrize("curve", CURVES, ids=lambda one: one.name)
NAMESPACE = "{http://www.w3.org/2000/svg}"
HOSTILE = "$\\frac{<script>&amp;\x00\x07\u202e\u6771\U0001f69c]]>" + "m" * 40
MOST_BYTES = 60_000


@pytest.fixture(scope="module")
def client() -> Iterator[TestClient[Any]]:
    with TestClient(create_app(Settings()), raise_server_exceptions=False) as client:
        yield client


def ask(client: Any, curve: Any, accept: str, units: str = "metric", body: Any = None) -> Any:
    given = msgspec.json.encode(curve.example if body is None else body)
    headers = {"Accept": accept, "Content-Type": "application/json"}
    return client.post(f"{curve.path}?units={units}", content=given, headers=headers)


def check_svg(content: bytes, summary: str) -> ElementTree.Element:
    root = ElementTree.fromstring(content)
    assert root.tag == f"{NAMESPACE}svg"
    assert root.get("role") == "img"
    title, words, *_ = root
    assert (title.tag, words.tag) == (f"{NAMESPACE}title", f"{NAMESPACE}desc")
    assert root.get("aria-labelledby") == f"{title.get('id')} {words.get('id')}"
    assert title.text
    assert words.text == summary
    assert len(content) < MOST_BYTES
    text = content.decode()
    assert "<script" not in text
    assert "<!DOCTYPE" not in text
    references = {
        value
        for element in root.iter()
        for name, value in element.attrib.items()
        if name.rpartition("}")[2] in ("href", "src") and not value.startswith(("#", "data:image/png"))
    }
    assert references == set()
    return root


@EVERY
@pytest.mark.parametrize("units", ["metric", "us"])
def test_an_svg_carries_the_words_of_the_answer_and_loads_nothing(client: Any, curve: Any, units: str) -> None:
    answer = ask(client, curve, SVG, units)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == SVG
    told = ask(client, curve, "application/json", units).json()
    root = check_svg(answer.content, told["summary"])
    written = "".join(root.itertext())
    assert told["title"] in written
    assert "drawbar, model" in " ".join(written.split())


PHONE = 328.0
"""Width of a picture on a page of 360 px [px]."""


@EVERY
def test_every_letter_can_be_read_on_a_phone(client: Any, curve: Any) -> None:
    root = ElementTree.fromstring(ask(client, curve, SVG).content)
    (width,) = re.findall(r"[\d.]+(?=pt)", root.get("width") or "")
    sizes = [
        float(size)
        for text in root.iter(f"{NAMESPACE}text")
        for size in re.findall(r"([\d.]+)px", text.get("style") or "")
    ]
    assert sizes
    assert min(sizes) * PHONE / float(width) >= 11.0


@EVERY
def test_a_picture_by_night_has_the_colours_of_the_page_by_night(client: Any, curve: Any) -> None:
    by_ground = {ground: ask(client, curve, SVG, f"metric&ground={ground}").text for ground in GROUNDS}
    assert len(set(by_ground.values())) == len(GROUNDS)
    assert ask(client, curve, SVG).text == by_ground["light"]
    known = {ground: set(looks(night="dark" in ground).values()) | {"#000000", "none"} for ground in GROUNDS}
    for ground, text in by_ground.items():
        used = set(re.findall(r"#[0-9a-f]{6}\b", text.replace("#ffffff", looks()["on-mark"])))
        assert used <= known[ground], ground
        filled = looks(night="dark" in ground)["ground"]
        patch = re.search(r'<g id="p\w+-patch_1">(.*?)</g>', text, re.DOTALL)
        assert patch is not None
        assert (filled in patch[1]) == (not ground.startswith("clear")), ground


def test_a_ground_is_for_pictures_and_one_of_four(client: Any) -> None:
    refused = ask(client, POWER_BY_SPEED, SVG, "metric&ground=pink")
    assert [one["pointer"] for one in refused.json()["errors"]] == ["?ground"]
    refused = ask(client, MATCH, "application/json", "metric&ground=dark")
    assert [one["pointer"] for one in refused.json()["errors"]] == ["?ground"]


def test_the_source_line_is_left_out_with_what_an_answer_says_about_itself(client: Any) -> None:
    whole, bare = (ask(client, POWER_BY_SPEED, SVG, f"metric&about={about}").text for about in ("full", "none"))
    assert "ASAE" in whole
    assert "ASAE" not in bare


MISFIT = {"speed": "9.9 km/h", "soil": {"texture": "fine", "surface": "tilled"}}
UNCARRIED = {"soil": {"texture": "fine", "surface": "soft"}, "tractor": {**MATCH.example["tractor"], "mass": "4 t"}}


@pytest.mark.parametrize(
    ("curve", "changed", "units", "title"),
    [
        (POWER_BY_SPEED, {}, "us", "Holds up to 4.77 mph; power runs out at 6.06 mph"),
        (POWER_BY_SPEED, UNCARRIED, "us", "No speed holds: the soil carries no more pull"),
        (FIT_MAP, {}, "metric", "At 8 km/h up to 3.6 m wide holds; power runs out at 5.04 m"),
        (SLIP_BY_PULL, {}, "metric", "Slips 6.56 %, less than the best, 8 to 10 %"),
        (SLIP_BY_PULL, UNCARRIED, "metric", "No slip carries this pull"),
        (DRAFT_BY_TOOL, {}, "metric", "Pulls 35.3 kN at 8 km/h, 23.9 to 52.4 in 9 of 10 cases"),
        (FINISH_BY_DATE, {}, "metric", "Done by 14 Nov, 8 times in 10"),
        (FINISH_BY_DATE, {"area": "300 ha"}, "metric", "Done by 25 Nov in 69 of 100"),
        (SEASON_TIMELINE, {}, "metric", "Done by 8 Sep: 4 days to spare"),
        (SOIL_STRESS_BY_DEPTH, {}, "metric", "73.9 kPa at 50 cm: more than the 50 kPa that moist subsoil bears"),
    ],
    ids=lambda one: getattr(one, "name", None),
)
def test_the_title_is_the_answer(client: Any, curve: Any, changed: dict[str, Any], units: str, title: str) -> None:
    told = ask(client, curve, "application/json", units, {**curve.example, **changed}).json()
    assert told["title"] == title


def test_power_and_map_say_the_same_greatest_as_the_match(client: Any) -> None:
    body = {**MATCH.example, "find": ["speed", "width"]}
    greatest = client.post("/v1/match", json=body).json()["greatest"]
    speed = ask(client, POWER_BY_SPEED, "application/json").json()
    held = [one for one, holds in zip(speed["speed"]["values"], speed["holds"], strict=True) if holds]
    assert max(held) == pytest.approx(greatest["speed"]["holds"]["value"])
    assert (
        f"{greatest['width']['holds']['value']:.3g} m wide" in ask(client, FIT_MAP, "application/json").json()["title"]
    )


def test_a_season_names_its_fields_in_one_lane_for_each_tractor(client: Any) -> None:
    root = ElementTree.fromstring(ask(client, SEASON_TIMELINE, SVG).content)
    written = [text.text for text in root.iter(f"{NAMESPACE}text")]
    for name in ("heron", "first", "millrace", "long-close", "window ends 12 Sep"):
        assert written.count(name) == 1, name


def test_what_shares_a_day_divides_it() -> None:
    day = dt.date(2027, 9, 6)
    spans = [
        WorkSpan(
            tractor="a", implement="b", work="c", field=name, first=day, last=day + dt.timedelta(days=more),
            hours=Time(3600.0), area=Area(1e4), late=False, due=day, operators=[], likely=None,
        )
        for name, more in (("one", 0), ("two", 1))
    ]  # fmt: skip
    assert [(one.begins, one.ends) for one in lane_of(spans, day)] == [(0.0, 0.5), (0.5, 2.0)]


def test_texts_are_fitted_and_folded() -> None:
    assert fitted("long close", 300.0) == "long close"
    assert fitted("long close", 40.0).endswith("\N{HORIZONTAL ELLIPSIS}")
    assert fitted("long close", 5.0) == ""
    assert folded("Holds up to 7 km/h", breadth("Holds up to 7 ")) == ["Holds up to", "7\N{NO-BREAK SPACE}km/h"]
    assert "".join(folded("m" * 30, 60.0)) == "m" * 30
    assert all(breadth(line) <= 60.0 for line in folded("m" * 30, 60.0))


@EVERY
def test_a_png_is_one_and_wide_enough_for_print(client: Any, curve: Any) -> None:
    answer = ask(client, curve, PNG)
    assert answer.headers["content-type"] == PNG
    assert answer.content.startswith(b"\x89PNG\r\n\x1a\n")
    width, height = struct.unpack(">II", answer.content[16:24])
    assert width == 960
    assert 400 < height < 2600
    assert len(answer.content) < 400_000


@pytest.mark.parametrize("curve", [POWER_BY_SPEED, SEASON_TIMELINE], ids=lambda one: one.name)
@pytest.mark.parametrize("media", [SVG, PNG])
def test_the_same_request_gives_the_same_bytes(client: Any, curve: Any, media: str) -> None:
    first, again = ask(client, curve, media), ask(client, curve, media)
    assert first.content == again.content
    assert first.headers["etag"] == again.headers["etag"]
    assert first.headers["etag"] != ask(client, curve, "application/json").headers["etag"]


def test_units_and_numbers_change_the_picture(client: Any) -> None:
    metric, us = (ask(client, POWER_BY_SPEED, SVG, units) for units in ("metric", "us"))
    assert b"PTO power [kW]" in metric.content
    assert b"PTO power [hp]" in us.content
    slower = ask(client, POWER_BY_SPEED, SVG, body={**MATCH.example, "speed": "7 km/h"})
    assert slower.content != metric.content


@pytest.mark.parametrize(
    ("accept", "answered"),
    [
        ("*/*", "application/json"),
        ("application/msgpack", "application/msgpack"),
        ("image/*", SVG),
        ("image/png", PNG),
        ("image/avif,image/webp,image/svg+xml,image/*,*/*;q=0.8", SVG),
        ("image/svg+xml;q=0.5, image/png", PNG),
    ],
)
def test_the_form_that_is_liked_best(client: Any, accept: str, answered: str) -> None:
    assert ask(client, POWER_BY_SPEED, accept).headers["content-type"] == answered


def test_a_calculation_has_no_picture_and_a_curve_no_page(client: Any) -> None:
    refused = ask(client, MATCH, SVG)
    assert (refused.status_code, refused.headers["content-type"]) == (406, "application/problem+json")
    refused = ask(client, POWER_BY_SPEED, "text/html")
    assert refused.status_code == 406
    assert "image/svg+xml or image/png" in refused.json()["detail"]


@EVERY
def test_faults_are_problems_whatever_is_accepted(client: Any, curve: Any) -> None:
    for body, status in ((b"{", 400), (b"{}", 422), (b'{"speed": "8 m"}', 422)):
        answer = client.post(curve.path, content=body, headers={"Accept": f"{SVG}, application/problem+json"})
        assert answer.status_code == status
        assert answer.headers["content-type"] == "application/problem+json"
        assert answer.json()["instance"] == answer.headers["x-request-id"]


def test_an_svg_that_is_opened_alone_may_style_itself_and_nothing_else(client: Any) -> None:
    policy = ask(client, POWER_BY_SPEED, SVG).headers["content-security-policy"]
    assert policy == "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox"
    assert ask(client, POWER_BY_SPEED, PNG).headers["content-security-policy"].startswith("default-src 'none'")


@pytest.mark.parametrize(
    ("failure", "help_"),
    [(ModuleNotFoundError("matplotlib"), "./service[pictures]"), (OSError("read-only"), "MPLCONFIGDIR")],
    ids=["not installed", "nothing writable"],
)
def test_where_nothing_can_draw_the_problem_says_what_would_help(
    client: Any, monkeypatch: pytest.MonkeyPatch, failure: Exception, help_: str
) -> None:
    def missing(name: str) -> Any:
        raise failure

    canvas.matplotlib.cache_clear()
    monkeypatch.setattr(canvas, "import_module", missing)
    refused = ask(client, POWER_BY_SPEED, SVG)
    assert refused.status_code == 406
    assert refused.headers["content-type"] == "application/problem+json"
    assert help_ in refused.json()["detail"]
    assert ask(client, POWER_BY_SPEED, "application/json").status_code == 200
    canvas.matplotlib.cache_clear()


def test_names_are_drawn_as_text_whatever_they_hold(client: Any) -> None:
    fleet = SEASON.example["fleet"]
    body = {
        **SEASON.example,
        "fleet": {**fleet, "tractors": [{**fleet["tractors"][0], "name": HOSTILE}]},
        "fields": [{**one, "name": f"{number}{HOSTILE}"} for number, one in enumerate(SEASON.example["fields"])],
        "work": [
            {
                **SEASON.example["work"][0],
                "name": HOSTILE,
                "fields": [f"{number}{HOSTILE}" for number in range(len(SEASON.example["fields"]))],
            }
        ],
    }
    for media in (SVG, PNG):
        answer = ask(client, SEASON_TIMELINE, media, body=body)
        assert answer.status_code == 200, answer.text
    root = ElementTree.fromstring(ask(client, SEASON_TIMELINE, SVG, body=body).content)
    assert "$\\frac{<script>" in "".join(root.itertext())
    assert {element.tag for element in root.iter()} & {f"{NAMESPACE}script", "script"} == set()


def test_a_name_is_cut_and_freed_of_what_cannot_be_drawn() -> None:
    assert legible("chisel") == "chisel"
    assert legible("a\tb\n c\x00") == "a b c"
    assert legible("x" * 50, 10) == "x" * 9 + "\N{HORIZONTAL ELLIPSIS}"
    assert legible("\u6771 field") == "\N{WHITE SQUARE} field"


@pytest.mark.parametrize(
    "body",
    [
        {"end": "2027-10-20", "suitable": {"history": [1, 0, 1, 1]}, "area": "9 ha"},
        {"start": "2027-01-01", "end": "2027-12-31", "suitable": {"mean": 120, "spread": 20}},
    ],
    ids=["one day", "a year"],
)
def test_windows_of_a_day_and_of_a_year(client: Any, body: dict[str, Any]) -> None:
    answer = ask(client, FINISH_BY_DATE, SVG, body={**FINISH_BY_DATE.example, **body})
    assert answer.status_code == 200, answer.text


@pytest.mark.parametrize("curve", [one for one in CURVES if one is not SEASON_TIMELINE], ids=lambda one: one.name)
@given(data=st.data())
@one_in(10)
def test_whatever_is_answered_is_drawn(curve: Any, data: st.DataObject) -> None:
    body = data.draw(consistent_bodies(curve.request))
    with contextlib.suppress(ImpossibleInput):
        request = msgspec.convert(body, curve.request, dec_hook=decode_quantity)
        answer = curve.compute(request, Ledger("us"))
        check_svg(picture(curve.name, answer, SVG, Wanted("us")), answer.summary)
