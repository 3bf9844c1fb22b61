"""A verdict never says yes too easily: its chance, its word, its limits and the odds agree, on any slope."""

from typing import Any

import msgspec
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from tests.api.strategies import sensible_bodies
from tests.api.test_match_behaviour import EXAMPLE, failed, match, with_values

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.match.request import MatchRequest, OddsRequest
from drawbar_service.engine.arrays import normal_score, normal_share
from drawbar_service.model.chance import VERDICTS, chance_of
from drawbar_service.model.match import resolve
from drawbar_service.model.matched import matched
from drawbar_service.model.odds import certain_of, odds, range_deviations, searches
from drawbar_service.quantities import decode_quantity


def bodies() -> st.SearchStrategy[dict[str, Any]]:
    """Sensible requests, with the usual lines between holds, close and fails."""

    def usual(body: dict[str, Any]) -> dict[str, Any]:
        own = ("holds_from", "fails_below")
        return body | {"limits": {name: value for name, value in body.get("limits", {}).items() if name not in own}}

    return sensible_bodies(MatchRequest).map(usual)


ALL = {"find": ["speed", "width", "depth"]}
DOWNHILL = {"pushing", "braking"}


@given(bodies())
def test_word_chance_and_limits_agree(body):
    answer = match(body)
    verdict = answer.verdict
    if verdict.word == "cannot-tell":
        assert verdict.chance is None
        assert not verdict.fits
        return
    chance = float(verdict.chance)
    assert verdict.fits == (not failed(answer))
    if verdict.word == "holds":
        assert verdict.fits
        assert chance >= 0.9 - 1e-6
    if verdict.word == "fails":
        assert not verdict.fits
        assert chance < 0.5
    # In odds depth and speed may be uncertain, too, and so lie in the tool's range now and then.
    if failed(answer) & {"tool-speed", "tool-depth"} and answer.odds is None:
        assert chance == 0.0
    if chance >= 0.5:
        assert verdict.fits
    if answer.odds is not None:
        assert float(answer.odds.holds_speed.value) == chance


@pytest.mark.parametrize("speed", ["7 km/h", "9 km/h", "10 km/h"])
@pytest.mark.parametrize("power", ["60 kW", "90 kW", "110 kW"])
@pytest.mark.parametrize("slope", [0.0, 0.06])
def test_the_chance_is_the_share_of_scenarios_that_keep_every_limit(speed, power, slope):
    body = with_values(EXAMPLE, tractor__power={"rated_pto": power}, speed=speed)
    body["field"] = {"slope": slope}
    request = msgspec.convert(body, MatchRequest, dec_hook=decode_quantity)
    ledger = Ledger("metric")
    case = resolve(request, ledger)
    found = matched(case, None, ledger)
    asked = OddsRequest(samples=16384)
    certain = certain_of(case, found.worked.speed, 0.8, 1.0, 1.0, range_deviations(asked, case))
    drawn = odds(asked, certain, searches(case, found.worked.speed, []), lambda part: part == "holds_speed")
    assert drawn.holds_speed is not None
    chance = chance_of(found.worked, case.reach()).value
    assert drawn.holds_speed.value == pytest.approx(chance, abs=4.0 * drawn.holds_speed.standard_error + 1e-3)


@given(bodies())
def test_what_is_said_to_hold_holds_when_asked_again(body):
    body = body | ALL
    body.pop("odds", None)
    answer = match(body)
    found = answer.greatest.speed
    if found.holds is None:
        return
    again = match(body | {"speed": f"{float(found.holds)!r} m/s"})
    assert failed(again) <= {"tool-depth"}
    if not failed(again):
        assert again.verdict.word == "holds"
    if found.limited_by in ("power", "slip", "pull", "front-axle") and found.holds < found.value * 0.99:
        faster = match(body | {"speed": f"{1.02 * float(found.holds)!r} m/s"})
        assert float(faster.verdict.chance) < 0.9
    assert found.value is None or found.holds <= found.value * (1.0 + 1e-9)


@given(bodies())
def test_a_speed_left_out_is_one_that_holds_if_any_does(body):
    body = body | {"find": ["speed"]}
    body.pop("speed", None)
    body.pop("odds", None)
    answer = match(body)
    if answer.greatest.speed.holds is not None and answer.verdict.fits and "tool-depth" not in failed(answer):
        assert float(answer.at_work.speed) == float(answer.greatest.speed.holds)
        assert answer.verdict.word == "holds"


def test_nothing_holds_slower_than_the_tool_does_sound_work():
    small = EXAMPLE | {"implement": {**EXAMPLE["implement"], "speed_range": ["9 km/h", "11 km/h"]}, "find": ["speed"]}
    answer = match(small)
    # The tractor would hold 7.7 km/h, and goes 9.8 by the central figures.
    assert answer.greatest.speed.holds is None
    assert answer.greatest.speed.within_tool_range
    del small["speed"]
    assert match(small).verdict.word != "holds"


@given(bodies(), st.floats(0.01, 0.4))
def test_a_slope_is_worked_both_ways(body, slope):
    assume(body["tractor"]["drive"] != "rubber-track")
    up, down = (match(body | {"field": {**body.get("field", {}), "slope": way * slope}}) for way in (1, -1))
    assert up.verdict == down.verdict
    assert up.at_work == down.at_work
    assert up.fuel == down.fuel
    work = up.at_work
    assert work.downhill is not None
    if work.tractive_efficiency is not None:
        assert 0.0 < work.tractive_efficiency <= 1.0
    assert ("pushing" in failed(up)) == (work.downhill.pull < -1e-6 * work.downhill.push)
    names = {limit.name for limit in up.limits}
    assert names >= DOWNHILL


def test_a_machine_that_pushes_its_tractor_never_fits():
    pusher = with_values(EXAMPLE, implement__mass="14 t")
    for slope in ("-30 %", "30 %"):
        answer = match(pusher | {"field": {"slope": slope}})
        assert answer.verdict.word == "fails"
        assert "pushing" in failed(answer)


def test_fuel_on_a_slope_is_that_of_both_ways():
    body = with_values(EXAMPLE, implement__mass="3 t")
    level = match(body | {"field": {}})
    sloping = match(body | {"field": {"slope": "6 %"}})
    assert level.fuel is not None
    assert sloping.fuel is not None
    # Uphill takes a quarter more than level, and downhill gives most of it back.
    assert float(sloping.at_work.load_fraction) > 1.2 * float(level.at_work.load_fraction)
    assert float(sloping.fuel.rate) == pytest.approx(float(level.fuel.rate), rel=0.05)


def test_a_mass_that_is_left_out_counts_as_the_tractors_on_a_slope_and_only_there():
    sloping: dict[str, Any] = with_values(EXAMPLE, field={"slope": "5 %"})
    sloping["implement"].pop("mass", None)
    without = match(sloping)
    as_heavy = match(with_values(sloping, implement__mass=sloping["tractor"]["mass"]))
    assert without.verdict.chance == as_heavy.verdict.chance
    assert [one.pointer for one in without.about.warnings].count("/implement/mass") == 1
    level = with_values(sloping, field={})
    assert "/implement/mass" not in [one.pointer for one in match(level).about.warnings]


def test_the_lines_are_the_callers_to_draw():
    body = with_values(EXAMPLE, tractor__power={"rated_pto": "112 kW"})
    words = {
        (holds, fails): match(body | {"limits": {"holds_from": holds, "fails_below": fails}}).verdict.word
        for holds, fails in ((0.9, 0.5), (0.2, 0.1), (0.99, 0.98))
    }
    chance = float(match(body).verdict.chance)
    assert 0.2 < chance < 0.9
    assert words[0.2, 0.1] == "holds"
    assert words[0.99, 0.98] == "fails"
    assert words[0.9, 0.5] == ("close" if chance >= 0.5 else "fails")
    assert set(words.values()) < set(VERDICTS)


@given(st.floats(-6.0, 6.0))
def test_share_and_score_of_the_normal_distribution_belong_together(z):
    assert normal_score(normal_share(z)) == pytest.approx(z, abs=1e-6)
    assert normal_share(z) + normal_share(-z) == pytest.approx(1.0, abs=1e-15)
