"""Figures of one tractor that no table has: fuel, torque, gears, traction equations; and soil measured by depth."""

import copy
import math
from collections.abc import Mapping
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.batch.agreeing import all_agree
from tests.own.scenes import TRACTOR, example, with_more
from tests.own.test_every_figure import answered
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.batch.plan import Given
from drawbar_service.engine.traction import (
    GEE_CLOUGH,
    WISMER_LUTH,
    TireModel,
    gee_clough,
    gee_clough_stiffness,
    gross_traction_ceiling,
    gross_traction_ratio,
    motion_resistance_ratio,
    wheel_numeric,
    wismer_luth_gross_ratio,
    wismer_luth_motion_resistance_ratio,
)
from drawbar_service.model.match import resolve
from drawbar_service.quantities import decode_quantity

SIZE = 30
LITRE_PER_HOUR = 1e-3 / 3600.0
MAP = {
    "loads": ["20 %", "60 %", "100 %"],
    "engine_speeds": ["60 %", "100 %"],
    "rates": [["9 L/h", "14 L/h"], ["21 L/h", "26 L/h"], ["36 L/h", "40 L/h"]],
}


def match(**more: object) -> Mapping[str, Any]:
    return answered(*with_more("match", **more))[0]


def tractor(**more: object) -> dict[str, Any]:
    return {**copy.deepcopy(TRACTOR), **more}


def faults(**more: object) -> list[str]:
    with pytest.raises(ImpossibleInput) as refused:
        match(**more)
    return [fault.pointer for fault in refused.value.faults]


# ---- fuel


@pytest.mark.parametrize(
    ("load", "speed", "expected"),
    [
        ("60 %", "100 %", 26.0),
        ("60 %", "60 %", 21.0),
        ("40 %", "100 %", 20.0),
        ("80 %", "80 %", 30.75),
        ("10 %", "100 %", 14.0),
    ],
)
def test_a_fuel_map_is_read_on_straight_lines(load: str, speed: str, expected: float) -> None:
    body = {"power": {"rated_pto": "150 kW", "fuel": {"map": MAP}}, "load_fraction": load, "engine_speed": speed}
    answer, about = answered(FUEL, body)
    assert answer["rate"]["value"] == pytest.approx(expected)
    assert [one["pointer"] for one in about["own"]] == ["/power/fuel/map"]
    assert "caller" in about["sources"]
    assert any(one["code"] == "outside-range" for one in answer["warnings"]) is (load == "10 %")


def test_work_per_fuel_is_what_comes_back() -> None:
    body = {"power": {"rated_pto": "150 kW", "fuel": {"work_per_fuel": "3.1 kWh/L"}}, "load": "95 kW"}
    answer, _ = answered(FUEL, body)
    assert answer["energy_per_fuel"]["value"] == pytest.approx(3.1)
    assert answer["rate"]["value"] == pytest.approx(95.0 / 3.1)


def test_every_calculation_burns_by_the_engine() -> None:
    power = {"rated_pto": "145 kW", "fuel": {"work_per_fuel": "2 kWh/L"}}
    thirsty = tractor(power=power)
    work = match()["at_work"]["pto_power"]["value"] / 2.0
    assert match(tractor=thirsty)["fuel"]["rate"]["value"] == pytest.approx(work)
    ballast = example("ballast")
    usual, own = (answered(BALLAST, {**ballast, "tractor": one})[0] for one in (tractor(), thirsty))
    assert own["as_it_stands"]["fuel"] != usual["as_it_stands"]["fuel"]
    odds = {"odds": {"samples": 256}}
    usual_odds, own_odds = match(**odds)["odds"], match(tractor=thirsty, **odds)["odds"]
    assert own_odds["fuel_per_area"] != usual_odds["fuel_per_area"]


@pytest.mark.parametrize(
    ("fuel", "pointer"),
    [
        ({}, "/tractor/power/fuel"),
        ({"map": MAP, "work_per_fuel": "3 kWh/L"}, "/tractor/power/fuel"),
        ({"map": {**MAP, "loads": ["20 %", "60 %"]}}, "/tractor/power/fuel/map/rates"),
        ({"map": {**MAP, "loads": ["20 %", "60 %", "50 %"]}}, "/tractor/power/fuel/map/loads"),
    ],
)
def test_fuel_that_cannot_be_is_refused(fuel: dict[str, Any], pointer: str) -> None:
    assert faults(tractor=tractor(power={"rated_pto": "145 kW", "fuel": fuel})) == [pointer]


# ---- torque and gears


GEARS = [{"name": "low", "speed": "9 km/h"}, {"name": "high", "speed": "13 km/h"}]


def test_torque_rise_makes_a_higher_gear_possible() -> None:
    work = {"tractor": tractor(gears=GEARS)}
    rising = [{"engine_speed": "60 %", "torque": 1.4}, {"engine_speed": "100 %", "torque": 1}]
    strong = {"tractor": tractor(gears=GEARS, power={"rated_pto": "145 kW", "torque": rising})}
    assert [gear["possible"] for gear in match(**work)["gear"]["gears"]] == [True, False]
    assert [gear["possible"] for gear in match(**strong)["gear"]["gears"]] == [True, True]


def test_a_gear_that_loses_more_burns_more() -> None:
    poor = [{**gear, "efficiency": "80 %"} for gear in GEARS]
    usual, lossy = match(tractor=tractor(gears=GEARS)), match(tractor=tractor(gears=poor))
    assert lossy["gear"]["gears"][0]["load"]["value"] > usual["gear"]["gears"][0]["load"]["value"]
    assert lossy["fuel"]["rate"]["value"] > usual["fuel"]["rate"]["value"]
    same = [{**gear, "efficiency": 0.96} for gear in GEARS]
    assert match(tractor=tractor(gears=same))["fuel"] == usual["fuel"]


# ---- traction


@one_in(1)
@given(
    st.floats(3e5, 2e6),
    st.floats(0.3, 0.8),
    st.floats(1.2, 2.1),
    st.floats(0.1, 0.3),
    st.floats(5e3, 5e4),
    st.floats(0, 0.6),
)
def test_second_opinions_say_what_they_say_alone(
    cone_index: float, width: float, diameter: float, deflection: float, load: float, slip: float
) -> None:
    numeric = wheel_numeric(cone_index, width, diameter, load)
    gross = gross_traction_ratio(numeric, gross_traction_ceiling(numeric, WISMER_LUTH), slip, WISMER_LUTH)
    assert gross == pytest.approx(wismer_luth_gross_ratio(numeric, slip))
    rolling = motion_resistance_ratio(numeric, slip, WISMER_LUTH)
    assert rolling == pytest.approx(wismer_luth_motion_resistance_ratio(numeric))
    alone = gee_clough(cone_index, width, diameter, load, deflection)
    mobility = gee_clough_stiffness(cone_index, width, diameter, deflection) / load
    gross = gross_traction_ratio(mobility, gross_traction_ceiling(mobility, GEE_CLOUGH), slip, GEE_CLOUGH)
    resistance = motion_resistance_ratio(mobility, slip, GEE_CLOUGH)
    assert mobility == pytest.approx(alone.mobility)
    assert resistance == pytest.approx(alone.rolling_resistance)
    assert gross - resistance == pytest.approx(alone.net_ratio(slip), abs=1e-12)


@pytest.mark.parametrize(("model", "opinion"), [("wismer-luth", "wismer-luth"), ("gee-clough", "gee-clough-1978")])
def test_a_match_is_held_to_another_model(model: str, opinion: str) -> None:
    body = {**example("traction"), "tractor": tractor(traction={"model": model})}
    answer, about = answered(TRACTION, body)
    (same,) = [one for one in answer["second_opinions"] if one["model"] == opinion]
    assert same["difference"]["value"] == pytest.approx(0.0, abs=1e-6)
    assert opinion in about["sources"]
    assert match(tractor=tractor(traction={"model": model}))["at_work"]["slip"] != match()["at_work"]["slip"]


def test_power_by_the_ratio_for_a_whole_match() -> None:
    usual, by_ratio = match(), match(tractor=tractor(traction={"model": "ratio"}))
    assert by_ratio["at_work"]["pto_power"]["value"] == pytest.approx(usual["quick_check"]["pto_power"]["value"])
    assert by_ratio["at_work"]["slip"] == usual["at_work"]["slip"]


PUBLISHED: Mapping[str, Mapping[str, float]] = {
    "brixius": {
        "gross_max": 0.88,
        "load_rate": 0.1,
        "slip_rate": 9.5,
        "offset": 0.0325,
        "roll": 0.9,
        "roll_slip": 0.5,
        "deflection_factor": 5.0,
        "width_factor": 3.0,
    },
    "wismer-luth": {"gross_max": 0.75, "rate_by_mobility": 0.3, "roll": 1.2, "offset": 0.04},
    "gee-clough": {
        "gross_max": 0.796,
        "lost": 0.92,
        "slip_rate": 4.838,
        "rate_by_mobility": 0.061,
        "offset": 0.049,
        "roll": 0.287,
        "width_factor": 0.5,
    },
}


@pytest.mark.parametrize("model", PUBLISHED)
def test_constants_as_published_change_nothing_and_others_do(model: str) -> None:
    published = PUBLISHED[model]
    usual = match(tractor=tractor(traction={"model": model}))
    stated = tractor(traction={"model": model, "front": published, "rear": published})
    assert match(tractor=stated) == usual
    for name, value in published.items():
        own = tractor(traction={"model": model, "rear": {name: 1.1 * value}})
        answer, about = answered(*with_more("match", tractor=own))
        assert answer["at_work"]["pto_power"] != usual["at_work"]["pto_power"], name
        assert [one["pointer"] for one in about["own"]] == [f"/tractor/traction/rear/{name}"]
        assert float(about["own"][0]["instead_of"]) == value


NUMERIC, SLIP = 21.0, 0.12


@pytest.mark.parametrize(
    ("model", "given", "gross", "resistance"),
    [
        ("wismer-luth", {"gross_max": 0.7}, 0.7 * (1 - math.exp(-0.3 * NUMERIC * SLIP)), 1.2 / NUMERIC + 0.04),
        ("wismer-luth", {"rate_by_mobility": 0.2}, 0.75 * (1 - math.exp(-0.2 * NUMERIC * SLIP)), 1.2 / NUMERIC + 0.04),
        (
            "wismer-luth",
            {"roll": 1.5, "offset": 0.06},
            0.75 * (1 - math.exp(-0.3 * NUMERIC * SLIP)),
            1.5 / NUMERIC + 0.06,
        ),
    ],
)
def test_each_constant_stands_where_its_equation_has_it(
    model: str, given: Mapping[str, float], gross: float, resistance: float
) -> None:
    law = law_of(model, given)
    assert gross_traction_ratio(NUMERIC, gross_traction_ceiling(NUMERIC, law), SLIP, law) == pytest.approx(gross)
    assert motion_resistance_ratio(NUMERIC, SLIP, law) == pytest.approx(resistance)


@given(
    st.floats(0.5, 1.2),
    st.floats(0.0, 3.0),
    st.floats(1.0, 9.0),
    st.floats(0.01, 0.3),
    st.floats(0.0, 0.1),
    st.floats(0.1, 2.0),
    st.floats(4.0, 60.0),
    st.floats(0.0, 0.6),
)
def test_gee_clough_takes_each_of_its_constants(
    most: float, lost: float, first: float, by: float, offset: float, roll: float, mobility: float, slip: float
) -> None:
    """By hand: CT = top (1 - exp(-k s)), top = most - lost/M, k top = first + by M, CRR = offset + roll/M."""
    names = ("gross_max", "lost", "slip_rate", "rate_by_mobility", "offset", "roll")
    law = law_of("gee-clough", dict(zip(names, (most, lost, first, by, offset, roll), strict=True)))
    top = max(most - lost / mobility, 0.0)
    net = top * (1.0 - math.exp(-(first + by * mobility) / max(top, 1e-9) * slip))
    gross = gross_traction_ratio(mobility, gross_traction_ceiling(mobility, law), slip, law)
    resistance = motion_resistance_ratio(mobility, slip, law)
    assert resistance == pytest.approx(offset + roll / mobility)
    assert gross - resistance == pytest.approx(net, abs=1e-9)


def law_of(model: str, given: Mapping[str, float]) -> TireModel:
    """Return the equations that a match is held to with these constants of the rear tires."""
    body = example("match")
    body["tractor"] = tractor(traction={"model": model, "rear": given})
    request = msgspec.convert(body, MATCH.request, dec_hook=decode_quantity)
    ledger = Ledger("metric")
    return resolve(request, ledger).tractor.engine.rear.model


def test_what_says_nothing_of_a_tractor_is_refused() -> None:
    tracks = {"drive": "rubber-track", "power": {"rated_pto": "145 kW"}, "mass": "12 t", "traction": {}}
    assert faults(tractor=tracks) == ["/tractor/traction"]
    named = tractor(traction={"model": "gee-clough", "rear": {"roll": 1, "load_rate": 0.1}, "front": {"roll_slip": 1}})
    assert faults(tractor=named) == ["/tractor/traction/front/roll_slip", "/tractor/traction/rear/load_rate"]
    assert faults(tractor=tractor(traction={"rear": {"lost": 1}})) == ["/tractor/traction/rear/lost"]
    with pytest.raises(ImpossibleInput):
        answered(BALLAST, {**example("ballast"), "tractor": tractor(traction={"model": "ratio"})})


# ---- soil by depth, and measured draft


def readings(*pairs: tuple[str, str]) -> dict[str, Any]:
    return {
        "texture": "medium",
        "surface": "firm",
        "cone_readings": [{"depth": depth, "cone_index": strength} for depth, strength in pairs],
    }


def test_the_mean_of_the_upper_soil_counts() -> None:
    even = readings(("5 cm", "900 kPa"), ("20 cm", "900 kPa"))
    plain = {"texture": "medium", "surface": "firm", "cone_index": "900 kPa"}
    assert match(soil=even)["at_work"]["slip"]["value"] == pytest.approx(match(soil=plain)["at_work"]["slip"]["value"])
    # 600 kPa down to 5 cm, rising to 1200 kPa at 15 cm: (5 * 600 + 10 * 900) / 15 = 800; the rest lies deeper.
    rising = readings(("5 cm", "600 kPa"), ("15 cm", "1200 kPa"), ("30 cm", "5 MPa"))
    plain["cone_index"] = "800 kPa"
    assert match(soil=rising)["at_work"]["slip"]["value"] == pytest.approx(
        match(soil=plain)["at_work"]["slip"]["value"]
    )
    assert faults(soil={**even, "cone_index": "900 kPa"}) == ["/soil/cone_readings"]
    assert faults(soil=readings(("5 cm", "1 MPa"), ("5 cm", "1 MPa"))) == ["/soil/cone_readings/1/depth"]


def test_a_measured_draft_may_change_with_speed() -> None:
    body = example("draft")
    tool = body["implement"]["tools"][0]
    (row,) = [
        answered(*with_more("draft", speed=speed))[0]["draft"]["tools"][0]["draft"]["value"] for speed in ["6 km/h"]
    ]
    tool |= {"draft_per_tool": {"value": row / 11, "unit": "kN"}, "draft_speed": "6 km/h"}
    for speed in ("5 km/h", "6 km/h", "9 km/h"):
        table = answered(*with_more("draft", speed=speed))[0]["draft"]["tools"][0]["draft"]["value"]
        own = answered(*with_more("draft", implement=body["implement"], speed=speed))[0]
        assert own["draft"]["tools"][0]["draft"]["value"] == pytest.approx(table)


# ---- as columns


def columns() -> dict[str, Given]:
    random = np.random.default_rng(7)
    return {
        "/tractor/power/fuel/map/rates/1/1": Given(random.uniform(20.0, 35.0, SIZE), "L/h"),
        "/tractor/power/torque/0/torque": Given(random.uniform(1.0, 1.4, SIZE), "1"),
        "/tractor/gears/0/efficiency": Given(random.uniform(80.0, 95.0, SIZE), "%"),
        "/soil/cone_readings/0/cone_index": Given(random.uniform(500.0, 1500.0, SIZE), "kPa"),
        "/speed": Given(random.uniform(4.0, 9.0, SIZE), "km/h"),
    }


@pytest.mark.parametrize("model", ["brixius", "wismer-luth", "gee-clough", "ratio"])
def test_rows_agree_with_single_answers(model: str) -> None:
    torque = [{"engine_speed": "60 %", "torque": 1.3}, {"engine_speed": "100 %", "torque": 1}]
    power = {"rated_pto": "145 kW", "fuel": {"map": MAP}, "torque": torque}
    body = example("match")
    gears = [{**gear, "efficiency": "90 %"} for gear in GEARS]
    body["tractor"] = tractor(power=power, gears=gears, traction={"model": model})
    body["soil"] = readings(("5 cm", "700 kPa"), ("20 cm", "1100 kPa"))
    all_agree(MATCH, body, columns())


def test_rows_of_constants_agree_with_single_answers() -> None:
    random = np.random.default_rng(8)
    body = {**example("traction"), "tractor": tractor(traction={"model": "brixius", "rear": {"roll": 1.0}})}
    vary = {
        "/tractor/traction/rear/roll": Given(random.uniform(0.5, 1.5, SIZE)),
        "/tractor/traction/rear/slip_rate": Given(random.uniform(5.0, 12.0, SIZE)),
        "/tractor/traction/rear/deflection_factor": Given(random.uniform(3.0, 7.0, SIZE)),
    }
    all_agree(TRACTION, body, vary)
    for model, name in (("wismer-luth", "rate_by_mobility"), ("gee-clough", "lost")):
        body["tractor"] = tractor(traction={"model": model, "rear": {name: 0.5, "roll": 1.0}})
        vary = {
            "/tractor/traction/rear/roll": Given(random.uniform(0.2, 1.5, SIZE)),
            f"/tractor/traction/rear/{name}": Given(random.uniform(0.05, 1.0, SIZE)),
        }
        all_agree(TRACTION, body, vary)
    models = {"/tractor/traction/model": Given(["brixius", "wismer-luth", "gee-clough", "ratio"] * 4)}
    body["tractor"] = tractor(traction={"model": "brixius"})
    all_agree(TRACTION, body, models)


def test_a_request_without_own_figures_says_so() -> None:
    request = msgspec.convert(example("match"), MATCH.request, dec_hook=decode_quantity)
    assert MATCH.compute(request, Ledger("metric")).about.own == []


def test_a_narrower_range_of_a_row_never_widens_the_draft() -> None:
    """What lies beyond a table differs by the kind of tillage, which a range of one's own does not change."""
    tool = example("draft")["implement"]["tools"][0]["tool"]
    widths: list[float] = []
    for share in (0.6, 0.5, 0.41, 0.39, 0.2, 0.05):
        own = {"draft": [{"id": tool, "range": share}]}
        draft = answered(*with_more("draft", tables=own))[0]["draft"]["tools"][0]["draft"]
        widths.append(draft["high"] / draft["low"])
    assert widths == sorted(widths, reverse=True)


def test_rows_that_leave_a_figure_out_have_that_of_the_table() -> None:
    """One that is a column may be empty in some rows: they agree with a request that leaves it out."""
    body = example("draft")
    body["tables"] = {"draft": [{"id": body["implement"]["tools"][0]["tool"]}]}
    some = [None if at % 3 == 0 else 90.0 + at for at in range(SIZE)]
    all_agree(DRAFT, body, {"/tables/draft/0/A": Given(some), "/tables/draft/0/B": Given([*some[1:], None])})
