"""Turns and stops burn less an hour than work does, and never nothing: match, odds, sensitivity and fuel agree."""

from typing import Any

import msgspec
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.api.test_match_behaviour import EXAMPLE, chisels, match, with_values
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.fuel import FUEL
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import FuelSummary, MatchAnswer
from drawbar_service.quantities import decode_quantity
from drawbar_service.reference import default

TURNING, STOPPED = (default(f"{name}_fuel_share").value for name in ("turning", "stopped"))


def field(**values: Any) -> dict[str, Any]:
    return {"length": "500 m", "width": "200 m", "turn": {"time": "25 s"}, "stops": "15 min"} | values


def burnt(answer: MatchAnswer) -> FuelSummary:
    assert answer.fuel is not None
    return answer.fuel


def fuel(**values: Any) -> Any:
    body = {"power": {"rated_pto": "120 kW"}, "load": "80 kW", "capacity": "3 ha/h"} | values
    return FUEL.compute(msgspec.convert(body, FUEL.request, dec_hook=decode_quantity), Ledger("metric"))


# ---- by an efficiency


@one_in(2)
@given(sensible_bodies(MATCH.request))
def test_half_the_field_efficiency_burns_little_more_on_an_area(body):
    place = {"slope": body.get("field", {}).get("slope", 0.0)}
    fuels = []
    for efficiency in (0.5, 1.0):
        try:
            answer = match(body | {"find": [], "odds": None, "field": place | {"efficiency": efficiency}})
        except ImpossibleInput:
            assume(False)
        fuels.append(answer.fuel)
    assume(None not in fuels)
    half, whole = (float(one.per_area) for one in fuels)
    assert 0.0 < whole < half < 1.35 * whole
    assert fuels[0].rate == fuels[1].rate


@given(chisels(), st.floats(0.3, 1.0), st.floats(0.0, 1.0))
def test_the_split_adds_up(body, efficiency, share):
    answer = match(body | {"find": [], "field": {"efficiency": efficiency, "turning_fuel_share": share}})
    assume(answer.fuel is not None)
    found, capacity = burnt(answer), answer.capacity
    assert float(found.turning_rate) == pytest.approx(share * float(found.rate))
    assert found.stopped_rate is None
    mean = efficiency * float(found.rate) + (1.0 - efficiency) * float(found.turning_rate)
    assert float(found.mean_rate) == pytest.approx(mean)
    assert float(found.per_area) == pytest.approx(float(found.mean_rate) / float(capacity.effective))


def test_with_nothing_lost_nothing_turns():
    answer = match(EXAMPLE | {"field": {"efficiency": "100 %"}})
    assert burnt(answer).mean_rate == burnt(answer).rate
    assert [one for one in answer.about.assumptions if "fuel_share" in one.pointer] == []


def test_the_default_is_told_and_stating_it_moves_nothing():
    assumed = match(EXAMPLE)
    (told,) = [one for one in assumed.about.assumptions if "fuel_share" in one.pointer]
    assert (told.pointer, told.value, told.source) == ("/field/turning_fuel_share", "25 %", "headland-fuel")
    stated = match(with_values(EXAMPLE, field__turning_fuel_share=TURNING))
    assert stated.fuel == assumed.fuel


def test_stops_without_a_shape_are_not_known():
    answer = match(EXAMPLE | {"field": {"efficiency": "80 %", "stopped_fuel_share": "10 %"}})
    (warning,) = [one for one in answer.about.warnings if one.pointer == "/field/stopped_fuel_share"]
    assert warning.code == "not-used"
    assert answer.fuel == match(EXAMPLE | {"field": {"efficiency": "80 %"}}).fuel


def test_the_range_takes_the_efficiency_that_goes_with_it():
    answer = match({key: EXAMPLE[key] for key in ("tractor", "implement", "soil", "speed")})
    found, capacity = burnt(answer), answer.capacity
    for at_work, efficiency, area, per_area in (
        (found.rate.low, capacity.efficiency.high, capacity.effective.high, found.per_area.low),
        (found.rate.high, capacity.efficiency.low, capacity.effective.low, found.per_area.high),
    ):
        assert per_area == pytest.approx(at_work * (efficiency + TURNING * (1.0 - efficiency)) / area)
    assert found.mean_rate.low == pytest.approx(
        found.rate.low * (capacity.efficiency.low + TURNING * (1.0 - capacity.efficiency.low))
    )


# ---- by a field shape


def test_turns_and_stops_of_a_shape_are_counted_apart():
    answer = match(EXAMPLE | {"field": {"shape": field()}})
    found, spent = burnt(answer), answer.capacity.in_field
    assert spent is not None
    assert found.stopped_rate is not None
    rates = [float(one) for one in (found.rate, found.turning_rate, found.stopped_rate)]
    assert rates == pytest.approx([rates[0], TURNING * rates[0], STOPPED * rates[0]])
    times = [float(one) for one in (spent.working, spent.turning, spent.stopped)]
    total = sum(rate * time for rate, time in zip(rates, times, strict=True))
    assert float(found.per_area) * 500.0 * 200.0 == pytest.approx(total)
    assert float(found.mean_rate) == pytest.approx(total / sum(times))


@given(
    chisels(),
    st.floats(0.0, 7200.0),
    st.floats(0.0, 7200.0),
    st.sampled_from(["stops", "turn"]),
    st.none() | st.floats(0.0, 1.0),
)
def test_more_stops_and_longer_turns_never_burn_less(body, first, more, which, share):
    def on_the_field(time: float) -> float:
        value = f"{time!r} s" if which == "stops" else {"time": f"{time / 60.0!r} s"}
        shares = {"stopped_fuel_share": share, "turning_fuel_share": share} if share is not None else {}
        answer = match(body | {"find": [], "field": {"shape": field(**{which: value}), **shares}})
        assume(answer.fuel is not None)
        return float(burnt(answer).per_area)

    less, most = on_the_field(first), on_the_field(first + more)
    assert 0.0 < less <= most * (1.0 + 1e-12)


def test_overlap_burns_what_work_burns():
    # Worked twice at the full rate: a fifth more passes, a quarter more area worked.
    fuels = [
        burnt(match(EXAMPLE | {"field": {"shape": field(turn={"time": "0 s"}, stops="0 s", overlap=overlap)}}))
        for overlap in (0.0, 0.2)
    ]
    assert fuels[0].mean_rate == fuels[0].rate
    assert fuels[1].mean_rate == fuels[1].rate
    assert fuels[1].per_area > fuels[0].per_area


def test_no_assumption_on_what_does_not_happen():
    answer = match(EXAMPLE | {"field": {"shape": field(stops="0 s")}})
    told = [one.pointer for one in answer.about.assumptions if "fuel_share" in one.pointer]
    assert told == ["/field/turning_fuel_share"]
    assert burnt(answer).stopped_rate is not None


# ---- elsewhere


def test_odds_count_turns_as_the_match_does():
    body = EXAMPLE | {"find": [], "odds": {"samples": 256}, "field": {"efficiency": "70 %"}}
    plain, thirsty = (
        match(with_values(body, field__turning_fuel_share=share)).odds for share in (TURNING, 2.0 * TURNING)
    )
    assert plain is not None
    assert thirsty is not None
    ratio = (0.7 + 0.3 * 2.0 * TURNING) / (0.7 + 0.3 * TURNING)
    assert float(thirsty.fuel_per_area) == pytest.approx(ratio * float(plain.fuel_per_area))


def test_fuel_on_an_area_takes_an_efficiency():
    known = fuel(field_efficiency="75 %", turning_fuel_share="40 %")
    assert float(known.mean_rate) == pytest.approx(float(known.rate) * (0.75 + 0.25 * 0.4))
    assert float(known.per_area) == pytest.approx(float(known.mean_rate) / (3e4 / 3600.0))
    told = {one.pointer: one.value for one in fuel().about.assumptions}
    assert told["/field_efficiency"] == "80 %"
    assert told["/turning_fuel_share"] == "25 %"


def test_fuel_without_an_area_or_by_a_yearly_average_has_no_turns():
    without = fuel(capacity=None, field_efficiency="75 %")
    assert (without.mean_rate, without.per_area) == (None, None)
    assert "/field_efficiency" in [one.pointer for one in without.about.warnings]
    average = fuel(load=None, equation="annual-average-diesel", turning_fuel_share="40 %")
    assert average.mean_rate == average.rate
    assert "/turning_fuel_share" in [one.pointer for one in average.about.warnings]


# ---- of the whole field


@given(chisels(), st.floats(0.5, 500.0))
def test_the_fuel_of_the_field_is_its_area_times_that_on_an_area_and_its_hours_times_the_mean_rate(body, hectares):
    answer = match(body | {"find": [], "field": {"area": f"{hectares} ha"}})
    assume(answer.fuel is not None)
    found = burnt(answer)
    assert found.total is not None
    assert answer.capacity.time is not None
    assert float(found.total) == pytest.approx(float(found.per_area) * hectares * 1e4)
    assert float(found.total) == pytest.approx(float(found.mean_rate) * float(answer.capacity.time))
    assert (found.total.low is None) == (found.per_area.low is None)
    if found.total.low is not None and found.total.high is not None:
        assert found.total.low <= found.total <= found.total.high


def test_without_an_area_there_is_no_fuel_of_the_field():
    assert burnt(match(with_values(EXAMPLE, field={}))).total is None
