"""Sizes, pressure and load of tires in the answers: deflection, contact, what a tire may carry, and what is said."""

import copy
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.quantities import decode_quantity

RATED = "650/65R42 158A8"


def asked(calculation: Any, tires: dict[str, Any] | None = None, **changes: Any) -> Any:
    body = copy.deepcopy(dict(calculation.example)) | changes
    body["tractor"] = copy.deepcopy(dict(body["tractor"])) | changes.pop("tractor", {})
    for axle, more in (tires or {}).items():
        body["tractor"]["tires"][axle] |= more
    return calculation.compute(msgspec.convert(body, calculation.request, dec_hook=decode_quantity), Ledger("metric"))


def rear(answer: Any) -> Any:
    axles = answer.axles if hasattr(answer, "axles") else None
    if axles is None:
        axles = answer.at_work.axles if hasattr(answer, "at_work") else answer.as_it_stands.axles
    return axles.rear


def pascals(value: float) -> dict[str, Any]:
    return {"value": value, "unit": "Pa"}


def said(answer: Any) -> dict[str, list[str]]:
    notices: dict[str, list[str]] = {}
    for notice in answer.about.warnings:
        notices.setdefault(notice.code, []).append(notice.detail)
    return notices


@pytest.mark.parametrize("calculation", [TRACTION, MATCH, BALLAST], ids=lambda one: one.name)
def test_a_load_index_alone_moves_nothing(calculation):
    plain, rated = asked(calculation), asked(calculation, {"rear": {"size": RATED}})
    assert rear(plain) == rear(rated)
    assert rear(plain).tire.inflation is None
    assert rear(plain).tire.load_share is None
    assert float(rear(plain).tire.deflection_ratio) == pytest.approx(0.20)


@one_in(4)
@given(mass=st.floats(6.0, 14.0), kind=st.sampled_from(["", "IF ", "VF "]), count=st.sampled_from([2, 4, 6]))
def test_a_pressure_stated_at_its_assumed_value_moves_nothing(mass, kind, count):
    tires = {"size": f"{kind}{RATED}", "count": count}
    body = {**TRACTION.example["tractor"], "mass": {"value": mass, "unit": "t"}, "front_share": "40 %"}
    assumed = asked(TRACTION, {"rear": tires}, tractor=copy.deepcopy(body))
    load = 0.6 * mass * 1000.0 * 9.80665 / count
    inflation = 1.6e5 * (load / (4250 * 9.80665)) ** (1 / 0.585)
    shown = [one.value for one in assumed.about.assumptions if one.pointer == "/tractor/tires/rear/inflation"]
    if not shown:
        assert inflation < 2e4
        return
    number, unit = shown[0].split(" ")
    assert (float(number), unit) == (pytest.approx(inflation / 1e5, rel=5e-3), "bar")
    stated = asked(TRACTION, {"rear": {**tires, "inflation": pascals(inflation)}}, tractor=copy.deepcopy(body))
    assert float(stated.slip) == pytest.approx(float(assumed.slip), rel=1e-9)
    assert float(rear(stated).tire.deflection) == pytest.approx(float(rear(assumed).tire.deflection), rel=1e-9)


@one_in(4)
@given(inflation=st.floats(3e4, 4e5), more=st.floats(1.0, 2.0), heavier=st.floats(1.0, 1.5))
def test_pressure_lifts_and_load_presses(inflation, more, heavier):
    body = {**TRACTION.example["tractor"], "mass": "8 t", "front_share": "40 %"}

    def tire(pressure: float, load: float) -> Any:
        tractor = {**copy.deepcopy(body), "mass": {"value": 8.0 * load, "unit": "t"}}
        return rear(asked(TRACTION, {"rear": {"size": RATED, "inflation": pascals(pressure)}}, tractor=tractor)).tire

    first, harder, loaded = tire(inflation, 1.0), tire(more * inflation, 1.0), tire(inflation, heavier)
    assert harder.deflection <= first.deflection <= loaded.deflection
    assert harder.contact_area <= first.contact_area <= loaded.contact_area
    assert harder.load_share <= first.load_share <= loaded.load_share
    assert 0.0 < first.deflection_ratio <= 0.30


def test_flexible_tires_deflect_more_and_slip_less():
    slips, ratios = [], []
    for kind in ("", "IF ", "VF "):
        answer = asked(MATCH, {"rear": {"size": f"{kind}650/65R42"}})
        slips.append(float(rear(answer).slip))
        ratios.append(float(rear(answer).tire.deflection_ratio))
    assert ratios == pytest.approx([0.20, 0.24, 0.28])
    assert slips[0] > slips[1] > slips[2] > 0.97 * slips[0]


def test_a_measured_radius_comes_before_the_pressure():
    measured = {"size": RATED, "static_loaded_radius": "0.85 m"}
    alone, both = (asked(TRACTION, {"rear": {**measured, **more}}) for more in ({}, {"inflation": "1 bar"}))
    assert rear(alone).tire.deflection == rear(both).tire.deflection
    assert rear(alone).slip == rear(both).slip
    assert rear(both).tire.load_share is not None


def test_a_flat_tire_flatters_nobody():
    flat, soft = (asked(TRACTION, {"rear": {"size": RATED, "inflation": bar}}) for bar in ("0.25 bar", "0.30 bar"))
    assert float(rear(flat).tire.deflection_ratio) == float(rear(soft).tire.deflection_ratio) == 0.30
    assert any("it counts as 0.30" in detail for detail in said(flat)["outside-range"])


def test_what_a_tire_may_carry_is_that_of_index_pressure_and_speed():
    answer = asked(MATCH, {"rear": {"size": RATED, "inflation": "1.2 bar"}})
    axle = rear(answer)
    capacity = 4250 * 9.80665 * (1.2 / 1.6) ** 0.585
    assert float(axle.tire.load_share) == pytest.approx(float(axle.load) / 2 / capacity, rel=1e-9)
    duals = rear(asked(MATCH, {"rear": {"size": RATED, "inflation": "1.2 bar", "count": 4}}))
    assert float(duals.tire.load_share) == pytest.approx(float(duals.load) / 4 / (0.88 * capacity), rel=1e-9)
    own = {"size": RATED, "inflation": "1.2 bar", "rated_inflation": "2.4 bar"}
    assert float(rear(asked(MATCH, {"rear": own})).tire.load_share) == pytest.approx(
        float(axle.load) / 2 / (4250 * 9.80665 * 0.5**0.585), rel=1e-3
    )
    hard = rear(asked(MATCH, {"rear": {"size": RATED, "inflation": "3 bar"}}))
    assert float(hard.tire.load_share) == pytest.approx(float(hard.load) / 2 / (4250 * 9.80665), rel=1e-9)


def test_more_than_a_tire_may_carry_is_a_warning_that_defers():
    light = asked(MATCH, {"rear": {"size": "650/65R42 158A8", "inflation": "1.6 bar"}})
    assert "check-safety" not in said(light)
    soft = said(asked(MATCH, {"rear": {"size": "650/65R42 158A8", "inflation": "0.6 bar"}}))["check-safety"]
    assert len(soft) == 1
    assert soft[0].startswith("Rear tires: 3")
    assert soft[0].endswith("The tire maker's load table decides.")
    small = said(asked(MATCH, {"rear": {"size": "650/65R42 140A8"}}))["check-safety"]
    assert "at no pressure may each carry more than 2500 kg" in small[0]


def test_a_pressure_without_a_load_index_is_not_used_and_said_so():
    plain, stated = asked(TRACTION), asked(TRACTION, {"rear": {"inflation": "0.6 bar"}})
    assert plain.slip == stated.slip
    (detail,) = said(stated)["not-used"]
    assert "write it after the size" in detail
    rated = asked(TRACTION, {"rear": {"size": "650/65R42 158A8", "inflation": "0.6 bar"}})
    assert "not-used" not in said(rated)
    assert rated.slip != plain.slip


def test_the_fault_names_the_part_and_a_right_size():
    with pytest.raises(ImpossibleInput) as refusal:
        asked(TRACTION, {"rear": {"size": "710/70R42 173X"}})
    (fault,) = refusal.value.faults
    assert fault.pointer == "/tractor/tires/rear/size"
    assert fault.detail.startswith("'173X' in '710/70R42 173X' is not read; write a tire size as 710/70R42, 18.4R38")


# ---- ballast: soil stress, the advised mass and the road


def test_less_pressure_eases_the_topsoil():
    stress = []
    for bar in ("2 bar", "1.4 bar", "1 bar"):
        answer = asked(BALLAST, {"rear": {"size": "650/65R42 165A8", "inflation": bar}})
        under = answer.as_it_stands.soil_stress.rear
        assert under.contact_area == rear(answer).tire.contact_area
        assert float(under.contact_stress) == pytest.approx(float(rear(answer).tire.ground_pressure))
        stress.append([float(one.stress) for one in under.stress])
    (hard_top, *_, hard_deep), (usual_top, *_), (soft_top, *_, soft_deep) = stress
    assert hard_top > usual_top > soft_top
    # In the subsoil the load decides more, the pressure less.
    assert hard_deep / soft_deep < hard_top / soft_top


def test_the_advised_mass_asks_for_the_pressure_that_keeps_the_deflection():
    tires = {"rear": {"size": "650/65R42 165A8", "inflation": "1.2 bar"}}
    answer = asked(BALLAST, tires)
    now, then = answer.as_it_stands, answer.advised
    assert then is not None
    assert float(now.axles.rear.tire.inflation) == 1.2e5
    # The machine on the hitch presses on the tires as well, and stays what it was.
    grown = float(then.rear_mass) / float(now.rear_mass)
    assert 1.0 < (float(then.axles.rear.tire.inflation) / 1.2e5) ** 0.585 < grown
    assert then.axles.rear.tire.deflection == now.axles.rear.tire.deflection


def test_the_road_has_its_own_pressure_and_speed():
    def share(**more: Any) -> float:
        speed = more.pop("speed", None)
        transport = {**BALLAST.example["transport"], **({"speed": speed} if speed else {})}
        answer = asked(BALLAST, {"rear": {"size": "650/65R42 158A8", **more}}, transport=transport)
        return float(answer.as_it_stands.transport.rear_tire_share)

    rated = share()
    answer = asked(BALLAST, {"rear": {"size": "650/65R42 158A8"}})
    carried = float(answer.as_it_stands.transport.rear_axle) / 2
    assert rated == pytest.approx(carried / 4250, rel=1e-9)
    assert share(inflation="0.8 bar") == pytest.approx(carried / (4250 * 0.5**0.585), rel=5e-2)
    field_only, both = share(inflation="0.8 bar"), share(inflation="0.8 bar", road_inflation="1.6 bar")
    assert field_only == pytest.approx(both / 0.5**0.585, rel=1e-9)
    assert share(speed="50 km/h") == pytest.approx(rated / 0.91, rel=1e-9)
    fast = asked(
        BALLAST,
        {"rear": {"size": "650/65R42 158A8"}},
        transport={**BALLAST.example["transport"], "speed": "60 km/h"},
    )
    assert any("marked for 40 km/h" in detail for detail in said(fast)["check-safety"])
    assert asked(BALLAST).as_it_stands.transport.rear_tire_share is None


def test_a_second_load_index_holds_at_its_own_speed():
    def share(size: str, speed: str) -> float:
        transport = {**BALLAST.example["transport"], "speed": speed}
        return float(
            asked(BALLAST, {"rear": {"size": size}}, transport=transport).as_it_stands.transport.rear_tire_share
        )

    once, twice = "650/65R42 162A8", "650/65R42 162A8/159B"
    assert share(once, "40 km/h") == share(twice, "40 km/h")
    assert share(twice, "50 km/h") == pytest.approx(share(once, "40 km/h") * 4750 / 4375)
    assert share(twice, "60 km/h") > share(twice, "50 km/h")
