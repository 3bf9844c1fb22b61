"""Tractors on two and on four rubber tracks: what holds them back, and what cannot be told."""

import copy
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.curves.slip_by_pull import SLIP_BY_PULL
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.v1.sensitivity import SENSITIVITY
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.quantities import decode_quantity

TWO: dict[str, Any] = {"drive": "rubber-track", "power": {"rated_pto": "300 kW"}, "mass": "16 t"}
FOUR: dict[str, Any] = TWO | {"drive": "four-track", "wheelbase": "3.9 m", "mass": "25 t"}
HEAVY: dict[str, Any] = {"tool": "subsoiler.narrow-point", "count": 11, "spacing": "75 cm", "depth": "40 cm"}
# About 84 kN at 6 km/h in medium soil: 2.8 times the weight of 3 t.
RIPPER: dict[str, Any] = {"hitch": "drawbar", "tools": [HEAVY]}


def asked(calculation: Any, body: dict[str, Any]) -> Any:
    read = msgspec.convert(copy.deepcopy(body), calculation.request, dec_hook=decode_quantity)
    return calculation.compute(read, Ledger("metric"))


def match(tractor: dict[str, Any], surface: str = "firm", **more: Any) -> MatchAnswer:
    soil = {"texture": "medium", "surface": surface} | more.pop("soil", {})
    return asked(MATCH, {"tractor": tractor, "implement": RIPPER, "soil": soil, "speed": "6 km/h"} | more)


def margins(answer: MatchAnswer) -> dict[str, float]:
    return {limit.name: float(limit.margin) for limit in answer.limits}


def codes(answer: Any) -> set[tuple[str, str]]:
    return {(one.code, one.pointer) for one in answer.about.warnings}


# ---- the limit of grip


@pytest.mark.parametrize("drive", [{}, {"drive": "four-track", "wheelbase": "2.2 m"}])
def test_a_light_tractor_does_not_fit_a_pull_of_nearly_three_times_its_weight(drive):
    answer = match(TWO | {"mass": "3 t"} | drive)
    assert answer.at_work.pull > 2.5 * 3_000 * 9.80665
    assert (answer.verdict.fits, answer.verdict.binding) == (False, "pull")
    assert margins(answer)["pull"] < -1.0
    assert answer.greatest.speed is not None
    assert answer.greatest.speed.value is None
    assert "what the soil carries" in answer.verdict.summary


@pytest.mark.parametrize("tractor", [TWO, FOUR])
@pytest.mark.parametrize("surface", ["hard", "firm", "tilled", "soft"])
def test_tracks_have_every_limit_of_wheels(tractor, surface):
    answer = match(tractor | {"mass": "25 t"}, surface)
    assert set(margins(answer)) == {"power", "pull", "slip", "front-axle"}
    assert answer.at_work.slip is not None
    assert 0.0 < answer.at_work.slip < 0.3
    assert answer.at_work.tractive_efficiency is not None
    assert 0.0 < answer.at_work.tractive_efficiency < 1.0
    assert answer.at_work.axles is not None
    assert answer.at_work.axles.front.mobility_number == answer.at_work.axles.rear.mobility_number == 0.0
    assert ("rough-estimate", "/tractor/drive") in codes(answer)


@given(st.floats(3.0, 40.0), st.floats(1.0, 1.5), st.sampled_from(["firm", "tilled", "soft"]), st.floats(0.0, 0.1))
def test_the_heavier_never_loses_grip(mass, more, surface, slope):
    climb = {"field": {"slope": slope}, "implement": RIPPER | {"mass": "3 t"}}
    light, heavy = (margins(match(TWO | {"mass": f"{tonnes} t"}, surface, **climb)) for tonnes in (mass, mass * more))
    assert heavy["pull"] >= light["pull"] - 1e-9


@pytest.mark.parametrize("tractor", [TWO | {"mass": "9 t"}, FOUR | {"mass": "9 t"}])
def test_the_greatest_speed_width_and_depth_fit_and_a_little_more_does_not(tractor):
    greatest = match(tractor, "tilled", find=["speed", "width", "depth"], speed="9 km/h").greatest
    assert greatest.depth is not None
    assert greatest.depth.limited_by == "slip"
    assert greatest.width is not None
    assert greatest.width.count is not None
    assert greatest.speed is not None
    assert greatest.speed.value is None

    def fits(**tool: Any) -> bool:
        implement = RIPPER | {"tools": [HEAVY | tool]}
        return match(tractor, "tilled", implement=implement, speed="9 km/h").verdict.fits

    assert fits(depth=f"{float(greatest.depth.value)} m")
    assert not fits(depth=f"{1.001 * float(greatest.depth.value)} m")
    assert fits(count=greatest.width.count)
    assert not fits(count=greatest.width.count + 1)


def test_stating_what_is_assumed_moves_nothing():
    stated = TWO | {"wheelbase": "2.2 m", "front_share": "52.5 %", "transmission_efficiency": 0.96}
    plain, full = match(TWO), match(stated)
    assert (plain.at_work, plain.limits, plain.verdict) == (full.at_work, full.limits, full.verdict)
    assert {"/tractor/wheelbase", "/tractor/front_share"} <= {one.pointer for one in plain.about.assumptions}


def test_four_tracks_need_a_wheelbase():
    with pytest.raises(ImpossibleInput) as caught:
        match({name: value for name, value in FOUR.items() if name != "wheelbase"})
    assert [fault.pointer for fault in caught.value.faults] == ["/tractor/wheelbase"]


def test_a_load_on_the_hitch_helps_tracks_to_grip():
    bare, loaded = (margins(match(TWO, implement=RIPPER | {"vertical_load": load})) for load in ("0 kN", "20 kN"))
    assert loaded["pull"] > bare["pull"]
    assert loaded["front-axle"] < bare["front-axle"]


@given(st.sampled_from([0.0, 0.02, 0.1, 0.3]), st.floats(2.0, 30.0), st.sampled_from(["firm", "tilled", "soft"]))
def test_no_slope_makes_tracks_give_more_than_they_take(slope, mass, surface):
    work = {"field": {"slope": slope}, "implement": RIPPER | {"mass": "3 t"}}
    answer = match(TWO | {"mass": f"{mass} t"}, surface, **work)
    efficiency = answer.at_work.tractive_efficiency
    assert efficiency is None or 0.0 <= efficiency <= 1.0
    assert ({"pushing", "braking"} <= set(margins(answer))) == (slope > 0.0)


# ---- soil that the table does not cover


def test_on_soil_softer_than_the_table_nothing_fits_and_the_limits_are_named():
    soft = {"soil": {"cone_index": "449 kPa"}}
    answer = match(TWO | {"mass": "40 t"}, "soft", **soft)
    assert (answer.verdict.word, answer.verdict.chance, answer.verdict.fits) == ("cannot-tell", None, False)
    assert answer.verdict.summary.startswith("Cannot tell")
    assert "what the soil carries and slip not checked" in answer.verdict.summary
    kept = {limit.name: limit.kept for limit in answer.limits}
    assert (kept["pull"], kept["slip"], kept["power"]) == (False, False, True)
    assert all(found is None or found.value is None for found in (answer.greatest.speed, answer.greatest.width))
    assert ("outside-range", "/soil/cone_index") in codes(answer)
    assert match(TWO | {"mass": "40 t"}, "soft", soil={"cone_index": "450 kPa"}).verdict.fits


def test_a_limit_that_is_exceeded_for_sure_is_said_whatever_else_is_unknown():
    weak = TWO | {"mass": "40 t", "power": {"rated_pto": "60 kW"}}
    answer = match(weak, "soft", soil={"cone_index": "300 kPa"})
    assert answer.verdict.word == "fails"
    assert answer.verdict.summary.startswith("Fails")


@given(st.floats(100.0, 3_000.0), st.floats(1.0, 2.0), st.sampled_from(["firm", "tilled", "soft"]))
def test_softer_soil_never_grips_better(cone_index, firmer, surface):
    soft, firm = (
        margins(match(TWO, surface, soil={"cone_index": f"{kilopascals} kPa"}))
        for kilopascals in (cone_index, cone_index * firmer)
    )
    assert firm["pull"] >= soft["pull"] - 1e-9


def test_odds_are_not_given_where_a_limit_cannot_be_checked():
    answer = match(TWO, "soft", soil={"cone_index": "300 kPa"}, odds={})
    assert answer.odds is None
    assert ("not-used", "/odds") in codes(answer)


# ---- what else looks at slip and axle loads


@pytest.mark.parametrize("tractor", [TWO, FOUR])
def test_tracks_have_odds(tractor):
    odds = match(tractor, odds={"samples": 1024, "spreads": {"cone_index": "20 %"}}).odds
    assert odds is not None
    assert 0.0 < odds.holds_speed.value <= odds.goes_at_all.value
    assert odds.slip.low < odds.slip < odds.slip.high


def test_a_spread_of_the_cone_index_is_said_to_move_nothing():
    plain, spread = (match(TWO, odds={"samples": 256, "spreads": spreads}) for spreads in ({}, {"cone_index": "20 %"}))
    assert plain.odds is not None
    assert spread.odds is not None
    assert plain.odds.slip == spread.odds.slip
    assert plain.odds.greatest == spread.odds.greatest
    assert ("not-used", "/odds/spreads/cone_index") in codes(spread) - codes(plain)


def test_the_draft_moves_the_slip_of_tracks_most():
    soil = {"texture": "medium", "surface": "tilled"}
    body = {"tractor": TWO, "implement": RIPPER, "soil": soil, "speed": "6 km/h"}
    outputs = {one.output: one for one in asked(SENSITIVITY, body | {"odds": {"samples": 256}}).outputs}
    assert outputs["slip"].inputs[0].input == "draft"


@pytest.mark.parametrize("tractor", [TWO, FOUR])
def test_a_pull_and_its_slip_lead_to_each_other(tractor):
    body = {"tractor": tractor, "soil": {"texture": "medium", "surface": "tilled"}, "slope": "4 %"}
    pulled = asked(TRACTION, body | {"pull": "50 kN"})
    assert (pulled.carried, pulled.second_opinions) == (True, [])
    back = asked(TRACTION, body | {"slip": float(pulled.slip)})
    assert back.pull == pytest.approx(50e3, rel=1e-9)
    assert pulled.axles.front.load + pulled.axles.rear.load == pytest.approx(
        pulled.axles.front.load / pulled.axles.front.load_share, rel=1e-3
    )
    assert pulled.tractive_efficiency < 1.0
    assert [float(end) for end in pulled.slip_band] == [0.04, 0.09]


def test_traction_says_that_a_soil_is_not_known_to_carry_tracks():
    body = {"tractor": TWO, "soil": {"texture": "medium", "surface": "soft", "cone_index": "200 kPa"}, "pull": "5 kN"}
    answer = asked(TRACTION, body)
    assert answer.carried is False
    assert ("outside-range", "/soil/cone_index") in codes(answer)


def test_the_slip_curve_of_tracks_rises_to_what_the_soil_carries():
    body = {"tractor": TWO, "implement": RIPPER, "soil": {"texture": "medium", "surface": "firm"}, "speed": "6 km/h"}
    curve = asked(SLIP_BY_PULL, body)
    pulls, slips = curve.pull.values, curve.slip.values
    assert pulls == sorted(pulls)
    assert slips == sorted(slips)
    assert pulls[-1] == pytest.approx(0.75 * 16.0 * 9.80665, rel=0.01)  # kN


def test_the_two_ways_to_the_power_agree_where_tracks_work_best():
    answer = match(FOUR | {"mass": "22 t"}, "firm")
    assert answer.at_work.slip is not None
    assert 0.04 < answer.at_work.slip < 0.08
    assert abs(answer.quick_check.difference) < 0.02
