"""Answers at the edge of what equations and iterations bear. Each of these was wrong once."""

import copy
import math
from typing import Any

import msgspec
import numpy as np
import pytest
from litestar.testing import TestClient
from tests.api.test_match_behaviour import EXAMPLE, match, with_values
from tests.api.test_match_laws import is_given

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.app import create_app
from drawbar_service.engine.slip import Axle, net_traction, slip_for_pull
from drawbar_service.engine.traction import BIAS
from drawbar_service.quantities import decode_quantity
from drawbar_service.settings import Settings


def traction(soil: dict[str, Any], tractor: dict[str, Any] | None = None, **more: Any) -> Any:
    body = {"tractor": EXAMPLE["tractor"] | (tractor or {}), "soil": {"texture": "fine", "surface": "soft"} | soil}
    return TRACTION.compute(msgspec.convert(body | more, TRACTION.request, dec_hook=decode_quantity), Ledger("metric"))


@pytest.mark.parametrize(
    ("mass", "cone_index"),
    [("15 t", "30 kPa"), ("25 t", "60 kPa")],
)
def test_a_pull_at_a_slip_is_finite_on_weak_ground(mass, cone_index):
    answer = traction({"cone_index": cone_index}, {"mass": mass}, slip="10 %", hitch="three-point")
    assert math.isfinite(answer.pull)


def test_a_slip_that_is_asked_for_is_the_slip_that_is_answered():
    answer = traction({"cone_index": "200 kPa"}, slip="60 %")
    assert answer.slip == pytest.approx(0.6, abs=1e-6)


def test_effort_tells_that_a_tractor_cannot_even_move_itself():
    axle = Axle(2e4, BIAS, 1.0)
    net = net_traction(axle, axle, 1e5, 1e5)
    assert max(net.at(slip) for slip in np.linspace(0.0, 0.9, 91)) < 0.0
    assert slip_for_pull(net, 0.0).effort > 1.0


def test_a_pull_far_beyond_the_soil_does_not_overflow():
    axle = Axle(2e4, BIAS, 1.0)
    assert slip_for_pull(net_traction(axle, axle, 1e8, 1e8), 0.0).slip == 0.0


def test_a_plow_far_too_wide_is_an_answer():
    body = with_values(EXAMPLE, tractor__mass="4 t", soil__cone_index="200 kPa", soil__texture="fine")
    body["implement"] = {
        "hitch": "three-point",
        "tools": [{"tool": "moldboard-plow", "width": "24 m", "depth": "40 cm"}],
    }
    assert not match(body).verdict.fits


def test_a_plow_far_too_wide_is_answered_in_numbers():
    body = with_values(EXAMPLE, tractor__mass="2 t", soil__cone_index="50 kPa", soil__texture="fine")
    body["implement"] = {
        "hitch": "three-point",
        "tools": [{"tool": "moldboard-plow", "width": "50 m", "depth": "1.5 m"}],
    }
    answer = match(body)
    assert answer.at_work.forbidden_by == "pull"
    assert math.isfinite(answer.at_work.drawbar_power)
    assert all(math.isfinite(limit.margin) for limit in answer.limits)


def test_a_range_is_in_order_where_the_pull_is_not_carried():
    work = match(
        with_values(EXAMPLE, tractor__mass="2 t", soil__surface="soft", soil__cone_index="200 kPa")
        | {"speed": "2 km/h"}
    ).at_work
    assert work.forbidden_by == "pull"
    for quantity in (work.pull, work.drawbar_power):
        assert quantity.low <= quantity <= quantity.high


def test_an_assumption_on_gears_points_at_what_is_absent():
    body = with_values(EXAMPLE, tractor__gears=[{"name": "A", "speed": "9 km/h"}])
    assumed = [assumption.pointer for assumption in match(body).about.assumptions]
    assert not any(is_given(body, pointer) for pointer in assumed)


def test_an_assumption_on_odds_points_at_what_is_absent():
    body = copy.deepcopy(EXAMPLE) | {"odds": {"range_deviations": 2.0, "samples": 256}}
    request = msgspec.convert(body, MATCH.request, dec_hook=decode_quantity)
    assumed = [assumption.pointer for assumption in MATCH.compute(request, Ledger("metric")).about.assumptions]
    assert not any(is_given(body, pointer) for pointer in assumed)


def test_a_range_is_in_order_where_the_hill_pushes():
    harrow = {"hitch": "drawbar", "mass": "2 t", "tools": [{"tool": "spike-tooth-harrow", "width": "6 m"}]}
    tires = {"front": {"size": "18.4-38"}, "rear": {"size": "650/65R42"}}
    body = with_values(EXAMPLE, tractor__tires=tires, implement=harrow, field={"slope": "-15 %"})
    power = match(body).at_work.axle_power
    assert power.low is None or power.low <= power <= power.high


@pytest.mark.parametrize("surface", ["hard", "firm", "tilled", "soft"])
@pytest.mark.parametrize("drive", ["two-wheel", "front-wheel-assist", "four-wheel"])
def test_pull_and_slip_lead_to_each_other(surface, drive):
    tractor, soil = {"drive": drive}, {"surface": surface}
    by_slip = traction(soil, tractor, slip="10 %")
    assert by_slip.carried
    assert 0.2 < by_slip.pull / (9400 * 9.80665) < 0.7
    by_pull = traction(soil, tractor, pull={"value": float(by_slip.pull), "unit": "N"})
    assert by_pull.slip == pytest.approx(0.10, abs=1e-9)


@pytest.mark.parametrize("load", [2.2e-309, -0.0])
def test_a_load_too_small_to_be_one_is_none_alone_and_in_a_batch(load):
    """Ratios to it were infinite, which JSON has no number for."""
    body = {"power": {"rated_pto": "200 kW"}, "equation": "older-diesel", "load": {"value": load, "unit": "W"}}
    vary = {"/load": {"values": [load], "unit": "W"}}
    with TestClient(create_app(Settings())) as client:
        alone = client.post("/v1/fuel", json=body).json()
        batch = client.post("/v1/batch/fuel", json={"scenario": body, "vary": vary, "columns": ["/rate"]}).json()
    assert (alone["rate"]["value"], alone["second_opinions"]) == (0.0, [])
    assert batch["columns"]["/rate"]["values"] == [0.0]
