"""What the field adds to a match where a request asks: tools in wheel tracks, and thin or hot air for the engine."""

import copy
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.batch.agreeing import all_agree

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.match import MATCH
from drawbar_service.batch.plan import Given
from drawbar_service.engine.draft import draft_in_tracks
from drawbar_service.engine.power import derated_share
from drawbar_service.quantities import decode_quantity

FEET, DEGREES_F = 0.3048, 5.0 / 9.0
RANDOM = np.random.default_rng(12)
SIZE = 30


def answer(calculation: Any, part: str, value: Any, **more: Any) -> Any:
    """Return an answer to the worked example with a further member of its tractor or implement."""
    body = copy.deepcopy(dict(calculation.example)) | more
    whole, member = part.split(".")
    if value is not None:
        body[whole] = {**body[whole], member: value}
    return calculation.compute(msgspec.convert(body, calculation.request, dec_hook=decode_quantity), Ledger("metric"))


# ---- wheel tracks


@pytest.mark.parametrize("share", [0.3, 0.35])
def test_a_third_of_the_tines_in_tracks_draws_a_third_more(share):
    # Tullberg 2000, abstract: tines in tracks draw about twice; total draft can rise by more than 30 %.
    assert 1.30 <= draft_in_tracks(share, 2.0) <= 1.40


@given(st.floats(0.0, 1.0), st.floats(1.0, 4.0))
def test_tracks_never_make_a_tool_lighter_and_all_tools_in_them_take_the_whole_factor(share, factor):
    assert 1.0 <= draft_in_tracks(share, factor) <= factor + 1e-12
    assert draft_in_tracks(1.0, factor) == pytest.approx(factor)
    assert draft_in_tracks(0.0, factor) == 1.0


def test_the_share_is_that_of_the_tires_over_the_width():
    # 2 x 0.65 m of rear tires over 11 x 0.36 m.
    plain, tracked = (answer(MATCH, "implement.wheel_tracks", value) for value in (None, {}))
    assert tracked.at_work.pull == pytest.approx(plain.at_work.pull * (1.0 + 1.3 / 3.96))
    assert tracked.at_work.pull.high == pytest.approx(plain.at_work.pull.high * (1.0 + 1.3 / 3.96))
    assumed = {one.pointer: one.source for one in tracked.about.assumptions}
    assert assumed["/implement/wheel_tracks/share"] == "derived"
    assert assumed["/implement/wheel_tracks/factor"] == "tullberg-2000"
    assert "tullberg-2000" in tracked.about.sources
    assert "/implement/wheel_tracks" in [warning.pointer for warning in tracked.about.warnings]


def test_no_tool_is_in_a_track_unless_somebody_says_so():
    plain = answer(DRAFT, "implement.wheel_tracks", None)
    for none in ({"share": 0.0}, {"share": "40 %", "factor": 1.0}):
        same = answer(DRAFT, "implement.wheel_tracks", none)
        assert (same.pull, same.pull.low, same.pull.high) == (plain.pull, plain.pull.low, plain.pull.high)
    assert not any("wheel_tracks" in one.pointer for one in plain.about.assumptions)


def test_a_share_is_needed_where_nothing_gives_it():
    with pytest.raises(ImpossibleInput) as refusal:
        answer(DRAFT, "implement.wheel_tracks", {})
    assert [fault.pointer for fault in refusal.value.faults] == ["/implement/wheel_tracks/share"]


# ---- thin and hot air


def test_a_published_example_of_thin_air():
    # A diesel engine of 225 hp at 4,500 ft keeps 88 % of it (textbook of agricultural engineering).
    assert 225.0 * derated_share(4_500 * FEET, 0.0) == pytest.approx(198.0)


def test_hot_air_takes_one_in_a_hundred_for_each_five_degrees():
    # 100 degF is 15 degF above 85.
    assert derated_share(0.0, 15.0 * DEGREES_F) == pytest.approx(0.97)


@given(st.floats(0.0, 5_500.0), st.floats(0.0, 31.0), st.floats(0.0, 500.0), st.floats(0.0, 5.0))
def test_thinner_and_hotter_air_never_gives_power(altitude, heat, higher, hotter):
    share = derated_share(altitude, heat)
    assert 0.3 < derated_share(altitude + higher, heat + hotter) <= share <= 1.0


@pytest.mark.parametrize("air", [None, {"aspiration": "naturally-aspirated"}, {"aspiration": "turbocharged"}])
def test_an_engine_in_cool_air_low_down_gives_its_rated_power(air):
    plain, same = answer(MATCH, "tractor.derating", None), answer(MATCH, "tractor.derating", air)
    assert same.verdict.summary == plain.verdict.summary
    assert same.fuel.rate == plain.fuel.rate


def test_less_power_is_left_and_what_is_needed_stays():
    air = {"aspiration": "naturally-aspirated", "altitude": "3000 m", "heat": "9 K"}
    plain, thin = answer(MATCH, "tractor.derating", None), answer(MATCH, "tractor.derating", air)
    assert thin.at_work.pto_power == plain.at_work.pto_power
    left = 145.0 * derated_share(3000.0, 9.0)
    power = {one.name: one for one in thin.limits}["power"]
    assert power.margin == pytest.approx(1.0 - plain.at_work.pto_power / (0.9e3 * left))
    assert not thin.verdict.fits
    assert thin.fuel is not None


def test_no_fuel_is_said_of_power_that_is_not_there():
    air = {"aspiration": "naturally-aspirated", "altitude": "5000 m", "heat": "31 K"}
    assert answer(MATCH, "tractor.derating", air).fuel is None


def test_a_turbocharger_high_up_is_warned_of():
    thin = answer(MATCH, "tractor.derating", {"aspiration": "turbocharged", "altitude": "2000 m"})
    assert ("rough-estimate", "/tractor/derating/altitude") in [
        (warning.code, warning.pointer) for warning in thin.about.warnings
    ]


# ---- rows


@pytest.mark.parametrize("calculation", [MATCH, BALLAST], ids=["match", "ballast"])
def test_rows_of_tracks_and_air_are_the_same_as_single_requests(calculation):
    body = copy.deepcopy(dict(calculation.example))
    body["tractor"] = {**body["tractor"], "derating": {"aspiration": "turbocharged"}}
    body["implement"] = {**body["implement"], "wheel_tracks": {}}
    all_agree(
        calculation,
        body,
        {
            "/tractor/derating/aspiration": Given(
                RANDOM.choice(["naturally-aspirated", "turbocharged"], SIZE).tolist()
            ),
            "/tractor/derating/altitude": Given(RANDOM.uniform(0.0, 5000.0, SIZE), "m"),
            "/tractor/derating/heat": Given(RANDOM.uniform(0.0, 30.0, SIZE), "K"),
            "/tractor/tires/rear/size": Given(RANDOM.choice(["650/65R42", "18.4R38"], SIZE).tolist()),
            "/implement/wheel_tracks/factor": Given(RANDOM.uniform(1.0, 3.0, SIZE)),
            "/implement/tools/0/spacing": Given(RANDOM.uniform(20.0, 50.0, SIZE), "cm"),
        },
    )
    all_agree(calculation, body, {"/implement/wheel_tracks/share": Given(RANDOM.uniform(0.0, 1.0, SIZE))})
