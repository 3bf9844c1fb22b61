import copy
import math

import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.hydraulics import HYDRAULICS
from drawbar_service.api.v1.hydraulics.answer import HydraulicsAnswer
from drawbar_service.api.v1.hydraulics.request import HydraulicsRequest
from drawbar_service.api.v1.power import POWER
from drawbar_service.quantities import decode_quantity, encode_metric, encode_us

L_PER_MIN = 1e-3 / 60.0
BAR = 1e5
LOAD_SENSING = {"pump": "load-sensing", "flow": "100 L/min", "pressure": "200 bar", "margin": "20 bar"}
FIXED = {"pump": "fixed", "flow": "60 L/min", "pressure": "180 bar"}
GANG = {"name": "gang", "steady": {"flow": "12 L/min", "pressure": "40 bar"}}
FAN = {"name": "fan", "steady": {"flow": "30 L/min", "pressure": "120 bar"}}


def hydraulics(*functions, tractor=LOAD_SENSING, units="metric", **more) -> HydraulicsAnswer:
    body = copy.deepcopy({"tractor": tractor, "functions": list(functions)} | more)
    return HYDRAULICS.compute(msgspec.convert(body, HydraulicsRequest, dec_hook=decode_quantity), Ledger(units))


def faults(*functions, **more) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        hydraulics(*functions, **more)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def cylinders(*each, name="lift", use=None, stroke="400 mm", time="4 s", **more):
    return {
        "name": name,
        **({"use": use} if use else {}),
        "cylinders": {"each": list(each), "stroke": stroke, "time": time} | more,
    }


def failed(answer):
    return [(check.name, check.pointer) for check in answer.checks if not check.kept]


def test_a_gang_held_by_constant_flow_takes_under_a_horsepower():
    """About 3 gal/min at about 500 psi (common practice, no source)."""
    answer = hydraulics({"steady": {"flow": "3 gal/min", "pressure": "500 psi"}})
    assert answer.functions[0].power / 745.7 == pytest.approx(3 * 500 / 1714, rel=1e-3)
    assert answer.functions[0].constant
    assert answer.fits


def test_load_sensing_meets_the_highest_and_throttles_the_rest():
    answer = hydraulics(GANG, FAN)
    (duty,) = answer.duties
    assert duty.pump_pressure == pytest.approx(140 * BAR)
    assert duty.pump_flow == pytest.approx(42 * L_PER_MIN)
    # 12 L/min by 100 bar and 30 L/min by 20 bar.
    assert duty.throttled == pytest.approx((12 * 100 + 30 * 20) * L_PER_MIN * BAR)
    assert duty.over_relief == 0.0
    assert duty.heat == duty.throttled
    assert duty.useful_power == pytest.approx((12 * 40 + 30 * 120) * L_PER_MIN * BAR)


def test_a_fixed_pump_sends_the_rest_over_the_relief():
    answer = hydraulics(FAN, tractor=FIXED)
    (duty,) = answer.duties
    assert duty.pump_flow == pytest.approx(60 * L_PER_MIN)
    assert duty.pump_pressure == pytest.approx(180 * BAR)
    assert duty.over_relief == pytest.approx(30 * 180 * L_PER_MIN * BAR)
    assert duty.throttled == pytest.approx(30 * 60 * L_PER_MIN * BAR)
    assert "/tractor/pump" in {warning.pointer for warning in answer.about.warnings}


def test_what_is_constant_goes_into_a_match_as_it_is():
    for tractor in (LOAD_SENSING, FIXED):
        answer = hydraulics(GANG, FAN, tractor=tractor)
        needs = msgspec.to_builtins(answer.for_match, enc_hook=encode_metric)
        request = msgspec.convert({"hydraulic": needs}, POWER.request, dec_hook=decode_quantity)
        assert POWER.compute(request, Ledger("metric")).hydraulic == pytest.approx(answer.duties[0].pto_power)


def test_a_motor_by_size_and_speed():
    motor = {"displacement": "10 cm3", "rotation": "3000 r/min", "torque": "20 N*m"}
    motor |= {"volumetric_efficiency": 0.9, "mechanical_efficiency": 0.8}
    answer = hydraulics({"motor": motor})
    assert answer.functions[0].flow == pytest.approx(30 / 0.9 * L_PER_MIN)
    # 2 pi 20 / (10e-6 0.8) by hand.
    assert answer.functions[0].pressure == pytest.approx(15.708e6, rel=1e-4)
    assert "/tractor/return_pressure" in {warning.pointer for warning in answer.about.warnings}
    back = hydraulics({"motor": motor}, tractor=LOAD_SENSING | {"return_pressure": "10 bar"})
    assert back.functions[0].pressure - answer.functions[0].pressure == pytest.approx(10 * BAR)


def test_cylinders_side_by_side():
    answer = hydraulics(cylinders({"bore": "100 mm", "rod": "50 mm", "count": 2, "load": "60 kN"}))
    lift = answer.functions[0]
    assert not lift.constant
    area = math.pi / 4 * 0.01
    assert lift.flow == pytest.approx(2 * area * 0.4 / 4.0)
    assert lift.pressure == pytest.approx(60e3 / area)
    # The rod takes a quarter of the area: 3 s to retract, and 4/3 of the flow comes back.
    assert lift.cylinders.retract_time == pytest.approx(3.0)
    assert lift.cylinders.return_flow == pytest.approx(lift.flow * 4 / 3)
    assert lift.cylinders.volume == pytest.approx(2 * area * 0.4)
    assert lift.cylinders.each[0].extend_force == pytest.approx(200 * BAR * area)
    assert lift.cylinders.each[0].retract_force == pytest.approx(200 * BAR * 0.75 * area)


def test_phasing_cylinders_share_the_oil_and_add_their_pressures():
    # The rod side of 100 mm with a 60 mm rod is the piston of 80 mm.
    chain = [{"bore": "100 mm", "rod": "60 mm", "load": "30 kN"}, {"bore": "80 mm", "rod": "40 mm", "load": "20 kN"}]
    series = hydraulics(cylinders(*chain, series=True)).functions[0]
    alone = hydraulics(cylinders(chain[0])).functions[0]
    assert series.flow == pytest.approx(alone.flow)
    assert series.pressure == pytest.approx(50e3 / (math.pi / 4 * 0.01))
    assert [float(one.stroke) for one in series.cylinders.each] == pytest.approx([0.4, 0.4])
    # The rod side of the last, 0.75 of 80 mm squared, lets the first out.
    assert series.cylinders.retract_time == pytest.approx(4.0 * 0.48)


def test_equal_cylinders_in_series_do_not_keep_step():
    alike = {"bore": "100 mm", "rod": "50 mm", "load": "30 kN"}
    answer = hydraulics(cylinders(alike, alike, series=True))
    assert failed(answer) == [("phasing", "/functions/0/cylinders/each")]
    assert float(answer.functions[0].cylinders.each[1].stroke) == pytest.approx(0.3)


def test_one_at_a_time_fits_where_all_at_once_does_not():
    wing = cylinders({"bore": "100 mm", "rod": "50 mm", "load": "40 kN"}, name="wing", time="3 s")
    lift = cylinders({"bore": "100 mm", "rod": "50 mm", "load": "40 kN"}, time="3 s")
    in_turn = hydraulics(GANG, wing, lift)
    assert in_turn.fits
    assert [duty.name for duty in in_turn.duties] == ["constant", "wing", "lift"]
    assert [duty.functions for duty in in_turn.duties][1:] == [
        ["/functions/0", "/functions/1"],
        ["/functions/0", "/functions/2"],
    ]
    at_once = hydraulics(GANG, wing, lift, all_at_once=True)
    assert [duty.name for duty in at_once.duties] == ["constant", "all at once"]
    assert failed(at_once) == [("pump-flow", "/functions")]


def test_a_stroke_too_fast_says_how_long_it_would_take():
    lift = cylinders({"bore": "100 mm", "rod": "50 mm", "count": 2, "load": "40 kN"}, time="2 s")
    answer = hydraulics(GANG, lift)
    (short,) = [check for check in answer.checks if not check.kept]
    # 6.283 L through the 88 L/min the gang leaves.
    assert short.detail == "lift: 200 L/min of 100 L/min; its 2 s would become 4.28 s"
    slow = hydraulics(GANG, lift, tractor=LOAD_SENSING | {"flow": "10 L/min"})
    assert any("nothing is left to move it" in check.detail for check in slow.checks)


def test_flow_goes_with_engine_speed():
    answer = hydraulics(FAN, tractor=FIXED | {"engine_speed": 0.45})
    assert answer.available_flow == pytest.approx(27 * L_PER_MIN)
    assert failed(answer) == [("pump-flow", "/functions")]
    swept = {"pump": "fixed", "displacement": "40 cm3", "rotation": "2000 r/min", "pressure": "180 bar"}
    by_size = hydraulics(FAN, tractor=swept | {"volumetric_efficiency": 0.9})
    assert by_size.available_flow == pytest.approx(72 * L_PER_MIN)


def test_outlets_are_counted_and_their_flow_is_kept():
    tractor = LOAD_SENSING | {"outlets": 1, "outlet_flow": "35 L/min"}
    assert failed(hydraulics(GANG, FAN, tractor=tractor)) == [("outlets", "/tractor/outlets")]
    shared = hydraulics(GANG | {"outlet": 1}, FAN | {"outlet": 1}, tractor=tractor)
    assert failed(shared) == [("outlet-flow", "/functions/0")]
    assert any("42 L/min through the outlet of gang and fan" in check.detail for check in shared.checks)


def test_pressure_counts_the_margin():
    hard = {"steady": {"flow": "30 L/min", "pressure": "190 bar"}}
    assert failed(hydraulics(hard)) == [("pressure", "/functions/0")]
    assert hydraulics(hard, tractor=LOAD_SENSING | {"margin": "10 bar"}).fits
    fixed = hydraulics(GANG, tractor=FIXED | {"margin": "10 bar"})
    assert ("not-used", "/tractor/margin") in [(one.code, one.pointer) for one in fixed.about.warnings]


def test_heat_against_the_cooler_counts_only_what_is_constant():
    tractor = FIXED | {"cooling": "5 kW"}
    assert failed(hydraulics(FAN, tractor=tractor)) == [("cooling", "/tractor/cooling")]
    lift = cylinders({"bore": "80 mm", "load": "40 kN"}, name="constant")
    assert hydraulics(lift, tractor=tractor).fits


def test_uneven_loads_side_by_side_are_told():
    answer = hydraulics(cylinders({"bore": "100 mm", "load": "60 kN"}, {"bore": "100 mm", "load": "20 kN"}))
    assert answer.functions[0].cylinders.retract_time is None
    assert "/functions/0/cylinders/each" in {warning.pointer for warning in answer.about.warnings}


def test_faults_come_at_once_with_their_places():
    found = faults(
        {"name": "nothing"},
        {"motor": {"displacement": "10 cm3", "rotation": "3000 r/min"}},
        cylinders({"bore": "50 mm", "rod": "60 mm", "load": "1 kN"}),
        cylinders({"bore": "50 mm"}),
        cylinders({"bore": "50 mm", "load": "1 kN"}, series=True),
        cylinders({"bore": "50 mm", "load": "1 kN"}, pressure="100 bar"),
        tractor={"pump": "fixed", "pressure": "180 bar", "displacement": "30 cm3"},
    )
    assert list(found) == [
        "/tractor",
        "/functions/0",
        "/functions/1/motor",
        "/functions/2/cylinders/each/0/rod",
        "/functions/3/cylinders",
        "/functions/4/cylinders/each",
        "/functions/4/cylinders/each/0/rod",
        "/functions/5/cylinders",
    ]
    assert found["/functions/2/cylinders/each/0/rod"] == "must be less than the bore, 50 mm"


def test_metric_and_us_say_the_same():
    answer = hydraulics(FAN)
    metric = msgspec.to_builtins(answer.functions[0].pressure, enc_hook=encode_metric)
    us = msgspec.to_builtins(answer.functions[0].pressure, enc_hook=encode_us)
    assert (metric["unit"], us["unit"]) == ("bar", "psi")
    assert us["value"] == pytest.approx(metric["value"] * 14.5038, rel=1e-5)
