"""Chains of passes: what they add up to, what is refused, and how systems are held against each other."""

import copy
import math
from typing import Any

import msgspec
import pytest
from tests.api.test_match_laws import leaves

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput, find_faults
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.system import SYSTEM
from drawbar_service.api.v1.system.answer import SystemAnswer
from drawbar_service.api.v1.system.request import SystemRequest
from drawbar_service.quantities import decode_quantity, encode_metric

EXAMPLE: dict[str, Any] = msgspec.to_builtins(SYSTEM.example)
CHISEL: dict[str, Any] = EXAMPLE["systems"][0]["passes"][0]["match"]


def system(body: dict[str, Any]) -> SystemAnswer:
    return SYSTEM.compute(
        msgspec.convert(copy.deepcopy(body), SystemRequest, dec_hook=decode_quantity), Ledger("metric")
    )


def faults(body: dict[str, Any]) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        system(body)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def rated(capacity: str = "4 ha/h", fuel: str | None = "5 L/ha", **more: Any) -> dict[str, Any]:
    return {"rates": {"capacity": capacity} | ({"fuel_per_area": fuel} if fuel else {})} | more


def two(*first: dict[str, Any], second: list[dict[str, Any]] | None = None, **more: Any) -> dict[str, Any]:
    systems = [{"name": "one", "passes": list(first)}, {"name": "other", "passes": second or [rated()]}]
    return {"area": "100 ha", "systems": systems} | more


def warned(answer: SystemAnswer) -> list[tuple[str, str]]:
    return [(notice.code, notice.pointer) for notice in answer.about.warnings]


CORN = {"cover": "90 %", "kind": "non-fragile"}


def test_rates_add_up_by_hand():
    body = two(rated("4 ha/h", "5 L/ha"), rated("5 ha/h", "8 L/ha", times=2))
    totals = system(body).systems[0].totals
    # 100/4 + 2 x 100/5 h; 500 + 1600 L; 2.68 kg/L.
    assert totals.passes == 3
    assert totals.time == pytest.approx(65.0 * 3600.0)
    assert totals.fuel == pytest.approx(2.1)
    assert totals.fuel_per_area == pytest.approx(21e-7)
    assert totals.carbon_dioxide == pytest.approx(2.1 * 2680.0)
    assert totals.cost.total is totals.cover is totals.finish_day is None


def test_a_match_in_a_chain_is_the_match_itself():
    alone = MATCH.compute(msgspec.convert(CHISEL, MATCH.request, dec_hook=decode_quantity), Ledger("metric"))
    answer = system(two({"match": CHISEL}))
    (made,) = answer.systems[0].passes
    assert alone.fuel is not None
    assert made.fuel_per_area is not None
    assert made.match is not None
    assert made.capacity == alone.capacity.effective
    for ours, theirs in (
        (made.fuel_per_area, alone.fuel.per_area),
        (made.time, 1e6 / alone.capacity.effective),
        (made.fuel_per_area.low, alone.fuel.per_area.low),
        (made.fuel_per_area.high, alone.fuel.per_area.high),
    ):
        assert ours == pytest.approx(theirs, rel=1e-12)
    assert made.match.summary == alone.verdict.summary
    assert made.time.low is not None
    assert made.time.low < made.time < made.time.high
    prefix = "/systems/0/passes/0/match"
    inside = [one for one in answer.about.assumptions if one.pointer.startswith(prefix)]
    assert [one.pointer.removeprefix(prefix) for one in inside] == [one.pointer for one in alone.about.assumptions]


def test_cover_is_the_product_of_what_is_left():
    body = two(
        rated(operation="chisel-plow.twisted-point"),
        rated(operation="field-cultivator.secondary", winter_before="after-fall-harvest"),
        rated(retention="90 %", times=2),
        second=[rated(operation="row-crop-planter.no-till")],
        residue=CORN,
    )
    answer = system(body)
    covers = [one.cover_after for one in answer.systems[0].passes]
    # Chisel plow 50 to 70 %, winter 70 to 95 %, field cultivator 80 to 90 %, then 90 % twice.
    assert [float(cover) for cover in covers] == pytest.approx(
        [0.9 * 0.6, 0.9 * 0.6 * 0.825 * 0.85, 0.9 * 0.6 * 0.825 * 0.85 * 0.81]
    )
    assert covers[2].low == pytest.approx(0.9 * 0.5 * 0.7 * 0.8 * 0.81)
    assert covers[2].high == pytest.approx(0.9 * 0.7 * 0.95 * 0.9 * 0.81)
    assert answer.systems[0].totals.cover == covers[2]
    (notice,) = answer.about.warnings
    assert notice.pointer == "/residue"
    assert "line-transect measurement decides" in notice.detail
    assert "local conservation office" in notice.detail
    assert "residue-guide-1992" in answer.about.sources


def test_fragile_residue_lasts_less():
    passes = [rated(operation="chisel-plow.twisted-point")]
    corn, beans = (
        system(two(*passes, second=passes, residue={"cover": "80 %", "kind": kind})).systems[0].totals.cover
        for kind in ("non-fragile", "fragile")
    )
    assert beans == pytest.approx(0.8 * 0.35)
    assert corn == pytest.approx(0.8 * 0.60)


def test_a_winter_may_be_measured():
    passes = [rated(retention="100 %", winter_before="after-fall-harvest")]
    answer = system(two(*passes, second=passes, residue=CORN | {"winter_retention": "50 %"}))
    assert answer.systems[0].totals.cover == pytest.approx(0.45)


def test_costs_add_up_by_hand():
    body = two(
        rated(machine_per_area="30 money/ha"),
        rated("5 ha/h", machine_per_time="60 money/h"),
        rated("10 ha/h", None, machine_per_area="40 money/ha", price_covers_all=True),
        prices={"fuel": "1 money/L", "labor": "20 money/h"},
    )
    cost = system(body).systems[0].totals.cost
    assert cost.machine == pytest.approx(3000.0 + 20.0 * 60.0 + 4000.0)
    assert cost.fuel == pytest.approx(1000.0)
    assert cost.labor == pytest.approx((25.0 + 20.0) * 20.0)
    assert cost.total == pytest.approx(8200.0 + 1000.0 + 900.0)
    assert cost.per_area == pytest.approx(101.0 / 1e4)


def test_fuel_that_is_not_known_leaves_no_total():
    answer = system(two(rated(fuel=None), rated(), prices={"fuel": "1 money/L", "labor": "20 money/h"}))
    totals = answer.systems[0].totals
    assert totals.fuel is totals.carbon_dioxide is totals.cost.fuel is totals.cost.total is None
    assert totals.cost.labor == pytest.approx(1000.0)
    assert [one.criterion for one in answer.verdict.criteria] == ["passes", "time"]
    assert answer.differences[0].fuel is answer.differences[0].cost is None


def test_a_pass_without_a_price_among_priced_ones_is_pointed_at():
    answer = system(two(rated(machine_per_area="30 money/ha"), rated()))
    assert warned(answer) == [("rough-estimate", "/systems/0/passes/1"), ("rough-estimate", "/systems/1/passes/0")]


def test_days_follow_one_another():
    body = two(
        rated(),
        rated(earliest_day=1),
        rated(earliest_day=180, suitable_share="25 %"),
        calendar={"workday": "10 h", "suitable_share": "50 %", "first_date": "2027-10-20"},
    )
    days = [one.calendar for one in system(body).systems[0].passes]
    # 25 h are 2.5 days of work, 5 days of the calendar at 50 % and 10 at 25 %.
    assert [(one.start_day, one.finish_day) for one in days] == [(0.0, 5.0), (5.0, 10.0), (180.0, 190.0)]
    assert [one.finish_date for one in days] == ["2027-10-24", "2027-10-29", "2028-04-26"]
    assert days[2].start_date == "2028-04-17"


def test_every_day_fit_for_work_is_an_assumption():
    answer = system(two(rated(), calendar={"workday": "10 h"}))
    assert next(one.pointer for one in answer.about.assumptions) == "/calendar/suitable_share"
    assert answer.systems[0].totals.finish_day == pytest.approx(2.5)
    assert answer.systems[0].totals.finish_date is None


def test_no_date_beyond_the_last_there_is():
    calendar = {"workday": "10 h", "suitable_share": "1 %", "first_date": "9999-12-30"}
    totals = system(two(rated(), calendar=calendar)).systems[0].totals
    assert totals.finish_day == pytest.approx(250.0)
    assert totals.finish_date is None


def test_systems_are_held_against_the_baseline():
    body = two(rated(), rated(), second=[rated()], residue=CORN)
    body["systems"][0]["passes"][0]["retention"] = "50 %"
    for other in (body["systems"][0]["passes"][1], body["systems"][1]["passes"][0]):
        other["retention"] = "90 %"
    (against_first,) = system(body).differences
    assert against_first.name == "other"
    assert (against_first.passes, against_first.passes_relative) == (-1, -0.5)
    assert against_first.time == pytest.approx(-25.0 * 3600.0)
    assert against_first.fuel_relative == against_first.carbon_dioxide_relative == pytest.approx(-0.5)
    assert against_first.cover == pytest.approx(0.81 - 0.405)
    assert against_first.cover_relative == pytest.approx(1.0)
    (against_other,) = system(body | {"baseline": "other"}).differences
    assert (against_other.name, against_other.passes) == ("one", 1)
    assert against_other.fuel == pytest.approx(-against_first.fuel)


def test_the_verdict_says_who_comes_first_on_what_and_calls_none_best():
    verdict = system(EXAMPLE).verdict
    assert [one.criterion for one in verdict.criteria] == ["passes", "time", "fuel", "cost", "cover", "finish"]
    summary = verdict.summary
    assert "Most cover left: no-till" in summary
    assert "best" not in summary


def test_level_systems_are_named_together():
    verdict = system(two(rated())).verdict
    assert {tuple(one.systems) for one in verdict.criteria} == {("one", "other")}
    assert not any(one.clear for one in verdict.criteria)
    assert "all level" in verdict.summary


def test_ranges_that_overlap_are_a_close_call():
    slower = CHISEL | {"speed": "6.9 km/h"}
    answer = system(two({"match": CHISEL}, second=[{"match": slower}]))
    time = next(one for one in answer.verdict.criteria if one.criterion == "time")
    assert time.systems == ["one"]
    assert not time.clear
    assert "a close call" in answer.verdict.summary


def test_a_pass_that_does_not_fit_is_counted_and_warned_of():
    small = copy.deepcopy(CHISEL)
    small["tractor"]["power"] = {"rated_pto": "50 kW"}
    answer = system(two({"match": small}))
    (made,) = answer.systems[0].passes
    assert made.match is not None
    assert not made.match.fits
    assert made.fuel is None
    assert not answer.systems[0].totals.fits
    assert ("not-carried", "/systems/0/passes/0/match") in warned(answer)
    assert "A pass of one breaks a limit by the central figures" in answer.verdict.summary


def test_wheels_on_firm_soil_after_deep_tillage_are_questioned():
    pointer = ("rough-estimate", "/systems/0/passes/1/match/soil/surface")
    assert pointer in warned(system(two({"match": CHISEL}, {"match": CHISEL})))
    settled = {"match": CHISEL, "winter_before": "after-fall-harvest"}
    assert pointer not in warned(system(two({"match": CHISEL}, settled)))
    tilled = {"match": CHISEL | {"soil": {"texture": "medium", "surface": "tilled"}}}
    assert pointer not in warned(system(two({"match": CHISEL}, tilled)))


def test_tilled_soil_takes_more_fuel_than_firm():
    tilled = CHISEL | {"soil": {"texture": "medium", "surface": "tilled"}}
    answer = system(two({"match": CHISEL}, second=[{"match": tilled}]))
    assert answer.differences[0].fuel > 0.0


def test_one_rough_fall_pass_can_cost_two_spring_passes():
    """A rough fall surface can cost two extra spring passes (common practice, no source)."""
    spring = rated("6 ha/h", "4.5 L/ha")
    body = two(
        rated("3 ha/h", "12 L/ha", name="rough chisel"),
        spring | {"times": 3},
        second=[rated("2.8 ha/h", "13 L/ha", name="chisel with leveler"), spring],
    )
    (leveled,) = system(body).differences
    assert leveled.passes == -2
    # Two spring passes saved, 200 ha at 6 ha/h and 4.5 L/ha, against a slower and thirstier fall pass.
    assert leveled.time == pytest.approx((100 / 2.8 - 100 / 3 - 200 / 6) * 3600.0)
    assert leveled.fuel == pytest.approx((100.0 - 900.0) * 1e-3)


def test_all_faults_at_once():
    body = two(
        {"name": "neither"},
        rated(match=CHISEL),
        rated(operation="chisel"),
        rated(machine_per_area="1 money/ha", machine_per_time="1 money/h"),
        rated(price_covers_all=True),
        {"match": CHISEL | {"implement": CHISEL["implement"] | {"tools": [{"tool": "moldboard-plow"}]}}},
        residue=CORN,
        baseline="third",
    )
    body["systems"][1]["name"] = "one"
    found = faults(body)
    assert found.keys() >= {
        "/systems/1/name",
        "/baseline",
        "/systems/0/passes/0",
        "/systems/0/passes/1",
        "/systems/0/passes/0/operation",
        "/systems/0/passes/2/operation",
        "/systems/0/passes/3/machine_per_time",
        "/systems/0/passes/4/machine_per_area",
        "/systems/0/passes/5/match/implement/tools/0/depth",
        "/systems/1/passes/0/operation",
    }
    assert "did you mean chisel-plow" in found["/systems/0/passes/2/operation"]
    assert found["/baseline"] == "no system is named 'third'; there are one, one"


def test_what_has_no_use_is_said():
    body = two(
        rated(operation="disk-plow", winter_before="after-fall-harvest", earliest_day=3, suitable_share="50 %"),
        {"match": CHISEL | {"field": {"area": "5 ha", "workday": "9 h"}}},
    )
    pointers = [pointer for code, pointer in warned(system(body)) if code == "not-used"]
    first, second = "/systems/0/passes/0", "/systems/0/passes/1/match/field"
    assert pointers == [
        f"{first}/earliest_day",
        f"{first}/suitable_share",
        f"{first}/operation",
        f"{first}/winter_before",
        f"{second}/area",
        f"{second}/workday",
    ]


def test_one_system_is_no_comparison():
    body = two(rated())
    body["systems"].pop()
    assert [fault.pointer for fault in find_faults(body, SystemRequest)] == ["/systems"]


def test_a_date_that_is_none_is_refused():
    body = two(rated(), calendar={"workday": "10 h", "first_date": "20 October"})
    assert [fault.pointer for fault in find_faults(body, SystemRequest)] == ["/calendar/first_date"]


def test_the_largest_and_smallest_a_request_can_say_stay_finite():
    big = rated("0.01 m2/s", "9999 L/ha", times=10, operation="moldboard-plow", machine_per_time="1000 money/h")
    small = rated("1000 m2/s", "0 L/ha", retention="0 %", machine_per_area="0 money/ha")
    body = two(
        *[big] * 20,
        second=[small],
        area="1e10 m2",
        residue={"cover": "0 %", "kind": "fragile"},
        prices={"fuel": "1000 money/L", "labor": "1000 money/h"},
        calendar={"workday": "0.1 h", "suitable_share": "1 %", "first_date": "0001-01-01"},
        carbon_dioxide_per_fuel="0 kg/L",
    )
    answer = msgspec.to_builtins(system(body), enc_hook=encode_metric)
    for pointer, numbers in leaves(answer):
        assert all(math.isfinite(number) for number in numbers), pointer
