"""The numbers of curves: they agree with the calculation behind them, and hold laws of their own."""

import contextlib
import itertools
import math
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.api.strategies import bodies, consistent_bodies, sensible_bodies
from tests.searching import one_in

from drawbar_service.api.answers import MODEL_VERSION, Ledger
from drawbar_service.api.calculations import CURVES, SHOWN
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.curves.draft_by_tool import DRAFT_BY_TOOL
from drawbar_service.api.v1.curves.finish_by_date import FINISH_BY_DATE
from drawbar_service.api.v1.curves.fit_map import FIT_MAP
from drawbar_service.api.v1.curves.power_by_speed import POWER_BY_SPEED
from drawbar_service.api.v1.curves.season_timeline import SEASON_TIMELINE
from drawbar_service.api.v1.curves.slip_by_pull import SLIP_BY_PULL
from drawbar_service.api.v1.curves.soil_stress_by_depth import SOIL_STRESS_BY_DEPTH
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.quantities import DIMENSIONS, decode_quantity, encode_metric, encode_us

FACTORS = {unit: factor for dimension in DIMENSIONS.values() for unit, factor in dimension.factors.items()}
QUICK = [one for one in SHOWN if one is not SEASON_TIMELINE]
EVERY = pytest.mark.parametrize("curve", QUICK, ids=lambda one: one.name)
UNITS = pytest.mark.parametrize("units", ["metric", "us"])
MISFIT = {"speed": "9.9 km/h", "soil": {"texture": "fine", "surface": "tilled"}}
UNCARRIED = {"soil": {"texture": "fine", "surface": "soft"}, "tractor": {**MATCH.example["tractor"], "mass": "4 t"}}


def answer(calculation: Any, body: Any = None, units: Any = "metric") -> Any:
    """An answer as it goes on the wire."""
    given = calculation.example if body is None else body
    request = msgspec.convert(given, calculation.request, dec_hook=decode_quantity)
    return msgspec.to_builtins(
        calculation.compute(request, Ledger(units)), enc_hook=encode_metric if units == "metric" else encode_us
    )


def matches(**changed: Any) -> dict[str, Any]:
    return {**MATCH.example, **changed}


@UNITS
@pytest.mark.parametrize("changed", [{}, MISFIT, UNCARRIED, {"field": {"slope": "8 %"}}], ids=str)
def test_the_match_is_on_the_power_curve(units: str, changed: dict[str, Any]) -> None:
    curve, match = answer(POWER_BY_SPEED, matches(**changed), units), answer(MATCH, matches(**changed), units)
    point = curve["operating"]
    assert point["speed"] == match["at_work"]["speed"]
    assert point["power"] == match["at_work"]["pto_power"]
    for name in ("word", "chance", "fits"):
        assert point[name] == match["verdict"][name]
    place = curve["speed"]["values"].index(pytest.approx(point["speed"]["value"], rel=1e-12))
    for end, of_point in (("values", "value"), ("low", "low"), ("high", "high")):
        if point["power"] is None:
            assert curve["needed"][end][place] is None
        elif curve["needed"][end][place] is not None:
            assert curve["needed"][end][place] == pytest.approx(point["power"][of_point], rel=1e-9)
    assert curve["fits"][place] == point["fits"]
    assert curve["holds"][place] == (point["word"] == "holds")


@EVERY
@UNITS
def test_curves_assume_and_warn_as_the_calculation_behind_them(curve: Any, units: str) -> None:
    behind = {"completion": COMPLETION, "ballast": BALLAST}.get(
        {"finish-by-date": "completion", "soil-stress-by-depth": "ballast"}.get(curve.name, ""), MATCH
    )
    told, of_behind = answer(curve, units=units)["about"], answer(behind, behind.example, units)["about"]
    if curve is SOIL_STRESS_BY_DEPTH:
        told["sources"].remove("subsoil-rule")
    assert told == of_behind


@given(multiplier=st.floats(0.3, 3.0), slope=st.floats(-0.05, 0.2))
@one_in(3)
def test_power_needed_grows_with_speed(multiplier: float, slope: float) -> None:
    implement = {**MATCH.example["implement"], "draft_multiplier": multiplier, "mass": "2 t"}
    curve = answer(POWER_BY_SPEED, matches(implement=implement, field={"slope": slope}))
    assert all(first < second for first, second in itertools.pairwise(curve["speed"]["values"]))
    for end in ("values", "low", "high"):
        needed = [power for power in curve["needed"][end] if power is not None]
        assert all(first < second for first, second in itertools.pairwise(needed))


def test_limits_are_kept_up_to_the_greatest_speed_and_no_farther() -> None:
    curve = answer(POWER_BY_SPEED)
    found = answer(MATCH, matches(find=["speed"]))["greatest"]["speed"]
    slowest = curve["tool_speeds"][0]["value"]
    for kept, end in (("fits", "value"), ("holds", "holds")):
        fastest = found[end]["value"]
        for speed, so in zip(curve["speed"]["values"], curve[kept], strict=True):
            assert so == (slowest * (1 - 1e-6) <= speed <= fastest * (1 + 1e-6)), (kept, speed)


TRACKS: dict[str, Any] = {"drive": "rubber-track", "power": {"rated_pto": "180 kW"}, "mass": "12 t"}


def test_tracks_have_the_curves_of_wheels() -> None:
    body, at_work = matches(tractor=TRACKS), answer(MATCH, matches(tractor=TRACKS))["at_work"]
    assert answer(POWER_BY_SPEED, body)["operating"]["power"] == at_work["pto_power"]
    assert answer(SLIP_BY_PULL, body)["operating"]["slip"] == at_work["slip"]
    assert {one["limit"] for one in answer(FIT_MAP, body)["outlines"]} >= {"power", "slip"}


def test_nothing_on_a_curve_fits_where_a_limit_cannot_be_checked() -> None:
    soil = {"texture": "medium", "surface": "soft", "cone_index": "300 kPa"}
    body = matches(tractor=TRACKS, soil=soil)
    assert not any(answer(POWER_BY_SPEED, body)["fits"])
    assert not np.any(answer(FIT_MAP, body)["fits"])


@UNITS
def test_the_match_is_on_the_slip_curve(units: str) -> None:
    curve, at_work = answer(SLIP_BY_PULL, units=units), answer(MATCH, units=units)["at_work"]
    assert curve["operating"]["pull"] == at_work["pull"]
    assert curve["operating"]["slip"] == at_work["slip"]
    place = int(np.argmin(np.abs(np.array(curve["slip"]["values"]) - at_work["slip"]["value"])))
    assert curve["slip"]["values"][place] == pytest.approx(at_work["slip"]["value"], rel=1e-12)
    assert curve["pull"]["values"][place] == pytest.approx(at_work["pull"]["value"], rel=1e-6)
    efficiency = at_work["tractive_efficiency"]["value"]
    assert curve["tractive_efficiency"]["values"][place] == pytest.approx(efficiency, rel=1e-6)


def test_slip_rises_with_pull_as_traction_says() -> None:
    curve = answer(SLIP_BY_PULL)
    for name in ("pull", "slip"):
        values = curve[name]["values"]
        assert all(first < second for first, second in itertools.pairwise(values))
    pull, slip = curve["pull"]["values"][40], curve["slip"]["values"][40]
    asked = {**TRACTION.example, "tractor": MATCH.example["tractor"], "pull": f"{pull} kN"}
    assert answer(TRACTION, asked)["slip"]["value"] == pytest.approx(slip, rel=1e-5)


def test_a_pull_that_nothing_carries_is_beyond_the_slip_curve() -> None:
    curve = answer(SLIP_BY_PULL, matches(**UNCARRIED))
    assert not curve["operating"]["carried"]
    assert curve["operating"]["slip"] is curve["operating"]["tractive_efficiency"] is None
    assert curve["operating"]["pull"]["value"] > curve["pull"]["values"][-1]
    assert "which no slip carries" in curve["summary"]


@pytest.mark.parametrize("changed", [{}, MISFIT, UNCARRIED], ids=str)
def test_the_map_says_of_the_match_what_the_match_says(changed: dict[str, Any]) -> None:
    curve, match = answer(FIT_MAP, matches(**changed)), answer(MATCH, matches(**changed))
    row = curve["width"]["values"].index(pytest.approx(match["capacity"]["width"]["value"], rel=1e-12))
    column = curve["speed"]["values"].index(pytest.approx(match["at_work"]["speed"]["value"], rel=1e-12))
    assert curve["fits"][row][column] == match["verdict"]["fits"] == curve["operating"]["fits"]
    assert curve["operating"]["word"] == match["verdict"]["word"]
    assert curve["holds"][row][column] == (match["verdict"]["word"] == "holds")
    assert curve["binding"][row][column] == match["verdict"]["binding"] == curve["operating"]["binding"]
    tools = [one["margin"]["value"] for one in match["limits"] if not one["name"].startswith("tool-")]
    tools += [one["margin"]["value"] for one in match["limits"] if one["name"].startswith("tool-") and not one["kept"]]
    carried = next(one["kept"] for one in match["limits"] if one["name"] == "pull")
    expected = min(tools) if carried else min(*tools, -100.0)
    assert curve["margin"]["rows"][row][column] == pytest.approx(expected, rel=1e-6)


def test_the_map_is_whole_and_wider_never_fits_better() -> None:
    curve = answer(FIT_MAP)
    shape = (len(curve["width"]["values"]), len(curve["speed"]["values"]))
    for name in ("holds", "fits", "binding"):
        assert np.array(curve[name]).shape == shape
    holds = np.array(curve["holds"])
    assert holds.any()
    assert (holds[1:] <= holds[:-1]).all()
    fits, margins = np.array(curve["fits"]), np.array(curve["margin"]["rows"])
    assert margins.shape == shape
    assert fits.any()
    assert not fits.all()
    assert (fits[1:] <= fits[:-1]).all()
    assert ((margins >= -1e-4) == fits).all()
    # What holds is less than what fits, which is but a coin toss at its edge.
    assert (holds <= fits).all()
    assert holds.sum() < fits.sum()


def test_a_width_on_an_outline_just_meets_its_limit() -> None:
    curve = answer(FIT_MAP)
    (power,) = (one for one in curve["outlines"] if one["limit"] == "power")
    asked = 0
    for speed, width in zip(curve["speed"]["values"], power["width"]["values"], strict=True):
        if width is not None:
            multiplier = width / curve["operating"]["width"]["value"]
            implement = {**MATCH.example["implement"], "draft_multiplier": multiplier}
            match = answer(MATCH, matches(speed=f"{speed} km/h", implement=implement))
            (limit,) = (one for one in match["limits"] if one["name"] == "power")
            assert limit["margin"]["value"] == pytest.approx(0.0, abs=0.5)
            asked += 1
    assert asked > 5


@UNITS
def test_bars_add_up_to_the_draft_of_the_match(units: str) -> None:
    curve, draft = answer(DRAFT_BY_TOOL, units=units), answer(MATCH, units=units)["draft"]
    middle = len(curve["speed"]["values"]) // 2
    for end, of_draft in (("values", "value"), ("low", "low"), ("high", "high")):
        assert curve["total"][end][middle] == pytest.approx(draft["total"][of_draft])
        parts = np.sum([tool["draft"][end] for tool in curve["tools"]], axis=0)
        assert curve["total"][end] == pytest.approx(parts.tolist())
    assert [tool["tool"] for tool in curve["tools"]] == [tool["tool"] for tool in draft["tools"]]


@pytest.mark.parametrize("curve", [DRAFT_BY_TOOL, FIT_MAP], ids=lambda one: one.name)
def test_a_machine_without_ground_tools_is_told_what_is_missing(curve: Any) -> None:
    rolls = {"hitch": "drawbar", "mass": "8 t", "width": "6 m", "motion_resistance_ratio": 0.08}
    assert answer(MATCH, matches(implement=rolls))
    with pytest.raises(ImpossibleInput) as refused:
        answer(curve, matches(implement=rolls))
    assert [fault.pointer for fault in refused.value.faults] == ["/implement/tools"]


@given(area=st.floats(20, 900), lost=st.floats(0.0, 0.5))
@one_in(2)
def test_the_chance_grows_with_the_date_and_ends_as_completion_says(area: float, lost: float) -> None:
    body = {**COMPLETION.example, "area": f"{area} ha", "time_lost": lost}
    curve, behind = answer(FINISH_BY_DATE, body), answer(COMPLETION, body)
    assert all(first <= second + 1e-12 for first, second in itertools.pairwise(curve["chance"]["values"]))
    assert curve["dates"][-1] == body["end"] == curve["finish_by"]
    assert curve["chance"]["values"][-1] == pytest.approx(behind["chance"]["value"])
    assert curve["in_time"] == behind["chance"]


def test_a_timeline_holds_the_plan_and_no_more() -> None:
    body = {
        **SEASON.example,
        "fields": [{**one, "area": "60 ha"} for one in SEASON.example["fields"]],
        "window": {**SEASON.example["window"], "end": "2027-09-09", "suitable": {"history": [3, 2, 3, 4, 2]}},
    }
    curve, plan = answer(SEASON_TIMELINE, body), answer(SEASON, body)
    worked = sum(span["area"]["value"] for span in curve["spans"])
    assert worked == pytest.approx(sum(row["area"]["value"] for row in plan["plan"]))
    late = {(task["work"], task["field"]) for task in plan["tasks"] if task["finishes"] > task["due"]}
    assert {(span["work"], span["field"]) for span in curve["spans"] if span["late"]} == late
    assert late
    assert curve["summary"].startswith(plan["verdict"]["summary"])


def test_stress_falls_with_depth_and_is_what_ballast_says() -> None:
    asked = {**BALLAST.example, "soil_stress": {"depths": ["10 cm", "33 cm"]}}
    curve, behind = answer(SOIL_STRESS_BY_DEPTH, asked), answer(BALLAST, asked)
    depths = curve["depth"]["values"]
    assert [(one["standing"], one["axle"]) for one in curve["curves"]] == list(
        itertools.product(("as-it-stands", "advised"), ("front", "rear"))
    )
    for one in curve["curves"]:
        stresses = one["stress"]["values"]
        assert all(first > second for first, second in itertools.pairwise(stresses))
        assert stresses[0] < one["contact_stress"]["value"]
        told = behind[one["standing"].replace("-", "_")]["soil_stress"][one["axle"]]["stress"]
        for point in told:
            place = depths.index(pytest.approx(point["depth"]["value"]))
            assert stresses[place] == pytest.approx(point["stress"]["value"])


def test_what_the_subsoil_bears_stands_beside_the_stress_there() -> None:
    curve = answer(SOIL_STRESS_BY_DEPTH)
    bears, depths = curve["bears"], np.array(curve["depth"]["values"])
    assert (bears["depth"]["value"], bears["stress"]["value"]) == (pytest.approx(50.0), pytest.approx(50.0))
    now = [one["stress"]["values"] for one in curve["curves"] if one["standing"] == "as-it-stands"]
    there = max(float(np.interp(bears["depth"]["value"], depths, stress)) for stress in now)
    assert f"{there:.3g} kPa at 50 cm: more than" in curve["title"]
    light = {**BALLAST.example, "tractor": {**BALLAST.example["tractor"], "mass": "3 t"}}
    assert "more than" not in answer(SOIL_STRESS_BY_DEPTH, light)["title"]


def test_stress_needs_no_soil_stress_in_the_request_but_wheels() -> None:
    body = {key: value for key, value in BALLAST.example.items() if key != "soil_stress"}
    assert answer(SOIL_STRESS_BY_DEPTH, body)["depth"]["values"][-1] == pytest.approx(100.0)
    with pytest.raises(ImpossibleInput) as refused:
        answer(SOIL_STRESS_BY_DEPTH, {**body, "tractor": TRACKS})
    assert [fault.pointer for fault in refused.value.faults] == ["/tractor/drive"]


def test_odds_are_left_to_the_match() -> None:
    warnings = answer(POWER_BY_SPEED, matches(odds={}))["about"]["warnings"]
    assert ("not-used", "/odds") in [(one["code"], one["pointer"]) for one in warnings]


def numbers(value: Any, factor: float = 1.0) -> Any:
    """Every number in an answer, in SI units."""
    if isinstance(value, dict):
        inner = FACTORS[value["unit"]] if value.get("unit") in FACTORS else factor
        for name, member in value.items():
            yield from numbers(member, inner if name in ("value", "values", "low", "high", "rows") else factor)
    elif isinstance(value, list):
        for member in value:
            yield from numbers(member, factor)
    elif isinstance(value, float):
        yield value * factor


@EVERY
@pytest.mark.parametrize("drawn", [bodies, consistent_bodies, sensible_bodies], ids=lambda one: one.__name__)
@given(data=st.data())
@one_in(6)
def test_any_request_is_answered_in_finite_numbers_alike_in_both_units_or_refused(
    curve: Any, drawn: Any, data: st.DataObject
) -> None:
    body = data.draw(drawn(curve.request))
    with contextlib.suppress(ImpossibleInput):
        metric, us = (list(numbers(answer(curve, body, units))) for units in ("metric", "us"))
        assert all(map(math.isfinite, metric))
        assert us == pytest.approx(metric, rel=1e-9, abs=1e-250)


def test_every_curve_has_words_for_those_who_do_not_see_it() -> None:
    for curve in CURVES:
        told = answer(curve)
        assert len(told["summary"]) > 60
        assert told["summary"].endswith(".")
        assert f"drawbar, model {MODEL_VERSION}" in told["source"]
