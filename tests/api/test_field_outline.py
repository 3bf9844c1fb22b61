"""POST /v1/field-capacity with a field as a polygon."""

import copy
import json
import time
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from litestar.testing import TestClient
from tests.api.strategies import quantity
from tests.geometry.fields import ELL, POND, RECTANGLE, bumpy, geojson, outlines

from drawbar_service import quantities as q
from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.field_capacity.answer import FieldCapacityAnswer
from drawbar_service.api.v1.field_capacity.outline import MOST_LAPS
from drawbar_service.app import create_app
from drawbar_service.geometry.earth import LocalPlane
from drawbar_service.settings import Settings

EXAMPLE = Path(__file__).parents[2] / "sdk/examples/outline.toml"
BY_TIME = {"time": "20 s"}


def capacity(width="6 m", speed="9 km/h", **more) -> FieldCapacityAnswer:
    body = {"width": width, "speed": speed, **more}
    return FIELD_CAPACITY.compute(
        msgspec.convert(body, FIELD_CAPACITY.request, dec_hook=q.decode_quantity), Ledger("metric")
    )


def outline(*rings, turn: Any = BY_TIME, **more) -> dict[str, Any]:
    return {"polygon": geojson(*(rings or (RECTANGLE,))), "turn": turn, **more}


def faults(**body) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        capacity(**body)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def assumed(answer):
    return {one.pointer: one.value for one in answer.about.assumptions}


@pytest.mark.parametrize("overlap", ["0 %", "7 %"])
@pytest.mark.parametrize(
    "turn", [BY_TIME, {"radius": "5 m"}, {"radius": "7 m", "tongue_length": "4 m", "reversing": True}]
)
def test_a_rectangle_is_answered_as_a_shape_is(overlap, turn):
    common = {"turn": turn, "overlap": overlap, "stops": "12 min"}
    by_shape = capacity(shape={"length": "600 m", "width": "300 m", **common})
    by_outline = capacity(outline=outline(headland_passes=0, **common))
    found, wanted = by_outline.outline, by_shape.capacity.in_field
    assert found is not None
    assert wanted is not None
    assert abs(found.passes - wanted.passes) <= 1
    assert by_outline.capacity.efficiency == pytest.approx(by_shape.capacity.efficiency, rel=1.0 / wanted.passes)
    assert found.working == pytest.approx(wanted.working, rel=1.0 / wanted.passes)
    assert found.turn_length == (None if wanted.turn_length is None else pytest.approx(wanted.turn_length))
    assert found.stopped == wanted.stopped == 720.0


def test_what_an_answer_says_of_a_field():
    answer = capacity(outline=outline(headland_passes=2), workday="10 h", crop_yield="8 t/ha")
    found = answer.outline
    assert found is not None
    assert found.area == pytest.approx(18e4, rel=5e-6)
    # By hand: two laps of 6 m leave 576 m by 276 m, 46 passes.
    assert found.headland_area == pytest.approx(18e4 - 576 * 276, rel=1e-4)
    assert found.missed_area == pytest.approx(0.0, abs=1.0)
    assert (found.passes, found.headland_passes, found.turns) == (46, 2, 47)
    assert np.degrees(float(found.direction or 0)) == pytest.approx(90.0, abs=0.02)
    for length in (found.mean_pass, found.shortest_pass, found.longest_pass):
        assert length == pytest.approx(576.0, abs=0.01)
    assert found.turning == pytest.approx(47 * 20.0)
    assert found.total == pytest.approx(found.working + found.headland + found.turning + found.between + found.stopped)
    assert answer.capacity.efficiency == pytest.approx(found.area / (6.0 * 2.5 * found.total))
    assert answer.capacity.efficiency_from == "outline"
    # Without an area the hours are the field's.
    assert answer.capacity.time == pytest.approx(float(found.total))
    assert answer.capacity.days == pytest.approx(found.total / 36_000.0)
    assert found.plan is None
    assert answer.about.warnings == []


def test_an_area_that_is_given_is_worked_at_the_rate_of_the_field():
    answer = capacity(outline=outline(), area="40 ha")
    assert answer.capacity.time == pytest.approx(4e5 / answer.capacity.effective)


def test_a_direction_is_kept_and_takes_no_less_time():
    best = capacity(outline=outline(ELL)).outline
    other = capacity(outline=outline(ELL, direction="200 deg")).outline
    assert best is not None
    assert other is not None
    assert np.degrees(float(other.direction or 0)) == pytest.approx(20.0)
    assert other.total > best.total


def test_the_headland_follows_from_the_turn():
    # Passes 14 m apart and a radius of 6 m: the turn reaches 6 m, the tool trails 3 m and stands out 7 m; 16 m, 2 laps.
    answer = capacity("14 m", outline=outline(turn={"radius": "6 m", "tongue_length": "3 m"}))
    assert answer.outline is not None
    assert answer.outline.headland_passes == 2
    # pi R + q - 2 R, and twice the tongue.
    assert answer.outline.turn_length == pytest.approx(np.pi * 6.0 + 14.0 - 12.0 + 6.0)
    assert assumed(answer)["/outline/headland_passes"] == "2"


def test_where_only_a_time_is_known_two_laps_are_usual():
    assert assumed(capacity(outline=outline())) == {"/outline/headland_passes": "2"}


def test_a_width_of_headland_is_worked_in_whole_laps():
    answer = capacity(outline=outline(headland_width="13 m")).outline
    assert answer is not None
    assert answer.headland_passes == 3
    whole = capacity(outline=outline(headland_width="12 m")).outline
    assert whole is not None
    assert whole.headland_passes == 2


def test_a_headland_too_narrow_for_its_turns_is_warned_of():
    answer = capacity(outline=outline(turn={"radius": "8 m"}, headland_passes=1))
    assert [(one.code, one.pointer) for one in answer.about.warnings] == [("rough-estimate", "/outline/turn")]
    assert capacity(outline=outline(turn={"radius": "8 m"}, headland_passes=0)).about.warnings == []


def test_a_tongue_beside_a_time_is_not_used():
    answer = capacity(outline=outline(turn={"time": "20 s", "tongue_length": "3 m"}))
    assert [(one.code, one.pointer) for one in answer.about.warnings] == [("not-used", "/outline/turn/tongue_length")]


def test_places_too_narrow_are_warned_of_and_not_counted_as_worked():
    neck = [(0, 0), (200, 0), (200, 95), (500, 95), (500, 100), (200, 100), (200, 200), (0, 200)]
    answer = capacity(outline=outline(neck, headland_passes=1))
    assert [(one.code, one.pointer) for one in answer.about.warnings] == [("rough-estimate", "/outline/polygon")]
    assert answer.outline is not None
    assert answer.outline.missed_area == pytest.approx(300.0 * 5.0, rel=0.05)


def test_the_plan_is_geojson_in_the_order_of_work():
    answer = capacity(outline=outline(RECTANGLE, POND, headland_passes=2, plan=True)).outline
    assert answer is not None
    assert answer.plan is not None
    plan = json.loads(msgspec.json.encode(answer.plan))
    assert plan["type"] == "FeatureCollection"
    laps = [one for one in plan["features"] if one["properties"]["part"] == "headland"]
    passes = [one for one in plan["features"] if one["properties"]["part"] == "pass"]
    assert plan["features"] == [*laps, *passes]
    # Two laps, each round the field and round the pond.
    assert [one["properties"]["block"] for one in laps] == [1, 1, 2, 2]
    assert all(one["geometry"]["coordinates"][0] == one["geometry"]["coordinates"][-1] for one in laps)
    assert [one["properties"]["number"] for one in passes] == list(range(1, answer.passes + 1))
    lengths = [one["properties"]["length"] for one in passes]
    assert np.mean(lengths) == pytest.approx(float(answer.mean_pass or 0), abs=1e-3)
    assert max(lengths) == pytest.approx(float(answer.longest_pass or 0), abs=1e-3)
    # On the ground, where the field is.
    plane = LocalPlane(-25.4, 41.2)
    field = shapely.Polygon(RECTANGLE, [POND]).buffer(0.1)
    for feature in plan["features"]:
        line = shapely.LineString(plane.points(np.array(feature["geometry"]["coordinates"])))
        assert line.length == pytest.approx(feature["properties"]["length"], abs=0.01)
        assert field.contains(line) or feature["properties"]["part"] == "pass"


def test_one_way_to_an_efficiency():
    found = faults(efficiency="80 %", outline=outline())
    assert list(found) == ["/outline"]
    assert "not both" in found["/outline"]


def test_every_fault_at_once_with_its_place():
    bad = outline(turn={})
    bad["polygon"]["coordinates"][0][2] = [512_000.0, 95.0]
    bad["polygon"]["coordinates"][0].pop()
    assert set(faults(outline=bad)) == {
        "/outline/turn",
        "/outline/polygon/coordinates/0/2/0",
        "/outline/polygon/coordinates/0/2/1",
        "/outline/polygon/coordinates/0/3",
    }


def test_faults_of_a_headland():
    assert list(faults(outline=outline(headland_passes=2, headland_width="12 m"))) == ["/outline/headland_width"]
    assert list(faults(outline=outline(headland_width="200 m"))) == ["/outline/headland_width"]
    tight = faults(width="60 cm", outline=outline(turn={"radius": "9 m"}))
    assert f"at most {MOST_LAPS}" in tight["/outline/headland_passes"]
    strip = [(0, 0), (400, 0), (400, 4), (0, 4)]
    assert "no room for a lap" in faults(outline=outline(strip))["/outline/headland_passes"]
    assert capacity(outline=outline(strip, headland_passes=0)).outline is not None


def test_a_machine_too_narrow_for_a_plan_is_told_how_wide_it_has_to_be():
    large = [(0, 0), (6_000, 0), (6_000, 6_000), (0, 6_000)]
    detail = faults(width="1 m", outline=outline(large))["/width"]
    least = detail.rpartition("width of ")[2].removesuffix(" or more is planned")
    assert capacity(width=least, outline=outline(large)).outline is not None


def test_a_plan_lists_thousands_of_passes_at_most():
    # A comb of 280 teeth worked across them; strips as narrow as are planned.
    teeth = [corner for x in range(0, 5_600, 20) for corner in ((x, 0), (x, 500), (x + 10, 500), (x + 10, 0))]
    comb = outline([*teeth, (5_600, -60), (0, -60)], headland_passes=0, direction="90 deg", plan=True)
    narrowest = (
        faults(width="1 m", outline=comb)["/width"].rpartition("width of ")[2].removesuffix(" or more is planned")
    )
    answer = capacity(width=narrowest, outline=comb).outline
    assert answer is not None
    assert answer.plan is not None
    assert 1_000 < len(answer.plan.features) == answer.passes < 5_000


def test_a_position_may_have_a_height():
    plain = outline()
    high = copy.deepcopy(plain)
    for position in high["polygon"]["coordinates"][0]:
        position.append(31.5)
    assert capacity(outline=high) == capacity(outline=plain)


def test_units_change_words_and_nothing_else():
    body = {"width": "20 ft", "speed": "5 mph", "outline": outline(turn={"radius": "20 ft"}, plan=True)}
    request = msgspec.convert(body, FIELD_CAPACITY.request, dec_hook=q.decode_quantity)
    metric, us = (FIELD_CAPACITY.compute(request, Ledger(units)) for units in ("metric", "us"))
    assert metric.outline == us.outline
    assert metric.capacity == us.capacity


def test_the_example_field_is_answered():
    answer = capacity(**tomllib.loads(EXAMPLE.read_text("utf-8")))
    assert answer.outline is not None
    assert answer.outline.plan is not None
    assert 0.7 < answer.capacity.efficiency < 0.9
    assert answer.about.warnings == []


def test_a_plan_does_not_keep_others_waiting():
    plain = {"width": "6 m", "speed": "9 km/h"}
    lasting = [
        FIELD_CAPACITY.lasts(msgspec.convert(body, FIELD_CAPACITY.request, dec_hook=q.decode_quantity))
        for body in (plain, {**plain, "outline": outline()})
    ]
    assert lasting == ["moment", "long"]
    with TestClient(create_app(Settings())) as client:
        body = {"width": "6 m", "speed": "9 km/h", "outline": outline(plan=True)}
        answer = client.post("/v1/field-capacity", json=body)
        assert answer.status_code == 200
        assert answer.headers["etag"]
        assert len(answer.json()["outline"]["plan"]["features"]) == 2 + 46
        bad = copy.deepcopy(body)
        bad["outline"]["polygon"]["coordinates"][0][1][1] = 91.0
        refusal = client.post("/v1/field-capacity", json=bad)
        assert refusal.status_code == 422
        assert [fault["pointer"] for fault in refusal.json()["errors"]] == ["/outline/polygon/coordinates/0/1/1"]


@pytest.mark.parametrize("seed", [1, 2])
def test_the_dearest_request_is_bounded(seed):
    # Ragged, with all the positions that are read and many laps; the time is generous, for a machine that is busy.
    random = np.random.default_rng(seed)
    smooth = bumpy(900.0, [(0.2, 0.0), (0.3, 1.0)], corners=1_999)
    ragged = smooth * (1.0 + random.uniform(-0.004, 0.004, (1_999, 1)))
    began = time.perf_counter()
    answer = capacity("2.6 m", outline=outline(ragged, headland_passes=MOST_LAPS, plan=True))
    assert time.perf_counter() - began < 5.0
    assert answer.outline is not None
    assert answer.outline.headland_passes == MOST_LAPS


@given(
    outlines,
    quantity(q.Width),
    quantity(q.Speed),
    quantity(q.Overlap),
    quantity(q.TurningLength),
    st.booleans(),
    st.none() | st.integers(0, MOST_LAPS),
)
def test_extremes_are_finite_or_told(shape, width, speed, overlap, radius, reversing, laps):
    turn = {"radius": radius, "tongue_length": radius, "reversing": reversing}
    asked = outline(shape, turn=turn, overlap=overlap, headland_passes=laps, plan=True)
    try:
        answer = capacity(width, speed, outline=asked)
    except ImpossibleInput as refusal:
        pointers = {fault.pointer for fault in refusal.faults}
    else:
        pointers = set[str]()
    assert pointers <= {"/width", "/outline/headland_passes"}
    assume(not pointers)
    assert answer.outline is not None
    assert 0.0 < answer.capacity.efficiency <= 1.0
    numbers = msgspec.to_builtins(answer, enc_hook=q.encode_metric)
    assert np.isfinite([value for value in leaves(numbers) if isinstance(value, float)]).all()


def leaves(value):
    if isinstance(value, dict):
        value = list(value.values())
    if isinstance(value, list):
        for one in value:
            yield from leaves(one)
    else:
        yield value
