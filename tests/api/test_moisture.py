"""Moisture of the soil: nothing moves but what widens, and too wet or frozen ground is cautioned of."""

import copy
import math
from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.batch.agreeing import all_agree
from tests.searching import one_in

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.curves.power_by_speed import POWER_BY_SPEED
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.api.words import WORDS
from drawbar_service.batch.plan import Given
from drawbar_service.quantities import decode_quantity

STATES = ["dry", "moist", "wet", "plastic", "frozen"]
RANDOM = np.random.default_rng(8)
SIZE = 40


def answer(calculation: Any, **soil: Any) -> Any:
    body = copy.deepcopy(dict(calculation.example))
    body["soil"] = body["soil"] | soil
    return calculation.compute(msgspec.convert(body, calculation.request, dec_hook=decode_quantity), Ledger("metric"))


def ends(quantity: Any) -> tuple[float, float, float]:
    assert quantity.low is not None
    return float(quantity.low), float(quantity), float(quantity.high)


@pytest.mark.parametrize("calculation", [MATCH, BALLAST], ids=["match", "ballast"])
@pytest.mark.parametrize("state", STATES)
def test_the_middle_stays_and_the_range_never_narrows(calculation, state):
    plain, told = (answer(calculation, **soil) for soil in ({}, {"moisture": state}))
    one, other = (found.at_work if calculation is MATCH else found.as_it_stands for found in (plain, told))
    # Where the high draft is not carried, slip has no range.
    slips = ["slip"] if one.slip.low is not None and other.slip.low is not None else []
    assert slips or state in ("wet", "plastic") or calculation is BALLAST
    for name in ("pto_power", "load_fraction", *slips):
        before, after = ends(getattr(one, name)), ends(getattr(other, name))
        assert after[1] == before[1]
        assert after[0] <= before[0]
        assert after[2] >= before[2]
        if state == "moist":
            assert after == before
    if calculation is BALLAST:
        assert told.verdict.summary == plain.verdict.summary
    else:
        assert told.verdict.fits == plain.verdict.fits


def test_moist_soil_is_what_is_taken_where_nobody_says():
    plain, moist = answer(MATCH), answer(MATCH, moisture="moist")
    assert moist.about.warnings == plain.about.warnings
    assert moist.about.cautions == plain.about.cautions


def test_the_range_of_the_draft_is_wider_by_the_square_root_of_two():
    plain, dry = answer(DRAFT).draft.tools[0].draft, answer(DRAFT, moisture="dry").draft.tools[0].draft
    assert math.log(dry.high / dry) == pytest.approx(2.0**0.5 * math.log(plain.high / plain))
    assert math.log(dry / dry.low) == pytest.approx(2.0**0.5 * math.log(plain / plain.low))
    assert dry.low > 0.0


def test_wet_ground_may_carry_as_little_as_soft_soil_does():
    wet = answer(MATCH, moisture="wet")
    soft = answer(MATCH, moisture="dry", cone_index="450 kPa")
    # The spread from tractor to tractor is put on a range that begins at another middle.
    assert wet.at_work.pto_power.high == pytest.approx(soft.at_work.pto_power.high, rel=1e-3)
    details = " ".join(warning.detail for warning in wet.about.warnings)
    assert "450 kPa" in details


def test_a_measured_cone_index_is_that_of_the_wet_soil():
    wet, dry = (answer(MATCH, moisture=state, cone_index="1000 kPa") for state in ("wet", "dry"))
    assert ends(wet.at_work.slip) == ends(dry.at_work.slip)


def test_a_curve_has_the_range_of_the_match():
    wet = answer(MATCH, moisture="wet")
    curve = answer(POWER_BY_SPEED, moisture="wet")
    assert curve.operating.power.high == pytest.approx(wet.at_work.pto_power.high)


@pytest.mark.parametrize(
    ("soil", "caution"),
    [
        ({"moisture": "plastic"}, "plastic-soil"),
        ({"moisture": "frozen"}, "frozen-soil"),
        ({"water_content": "26 %", "plastic_limit": "24 %"}, "plastic-soil"),
        ({"water_content": "24 %", "plastic_limit": "24 %", "moisture": "moist"}, "plastic-soil"),
    ],
)
@pytest.mark.parametrize("calculation", [MATCH, TRACTION, DRAFT, BALLAST], ids=lambda one: one.name)
def test_ground_that_is_not_to_be_worked_is_cautioned_of(calculation, soil, caution):
    assert WORDS.cautions[caution] in answer(calculation, **soil).about.cautions


@one_in(3)
@given(st.floats(0.01, 0.6), st.floats(0.01, 0.6), st.none() | st.sampled_from(["dry", "moist", "wet"]))
def test_water_at_the_plastic_limit_is_too_wet_whatever_is_said(water, limit, state):
    found = answer(DRAFT, water_content=water, plastic_limit=limit, moisture=state)
    assert (WORDS.cautions["plastic-soil"] in found.about.cautions) == (water >= limit)


@pytest.mark.parametrize("calculation", [DRAFT, TRACTION], ids=lambda one: one.name)
@pytest.mark.parametrize("name", ["water_content", "plastic_limit"])
def test_water_without_its_limit_is_not_used_and_says_so(calculation, name):
    found = answer(calculation, **{name: "25 %"})
    assert [(one.code, one.pointer) for one in found.about.warnings if one.code == "not-used"] == [
        ("not-used", f"/soil/{name}")
    ]


def test_a_field_of_a_season_may_be_frozen():
    body = copy.deepcopy(dict(SEASON.example))
    body["fields"][1]["soil"]["moisture"] = "frozen"
    found = SEASON.compute(msgspec.convert(body, SEASON.request, dec_hook=decode_quantity), Ledger("metric"))
    assert "/fields/1/soil/moisture" in [warning.pointer for warning in found.about.warnings]
    assert WORDS.cautions["frozen-soil"] in found.about.cautions


@pytest.mark.parametrize("calculation", [MATCH, BALLAST, DRAFT, TRACTION], ids=lambda one: one.name)
def test_rows_of_moisture_are_the_same_as_single_requests(calculation):
    vary = {
        "/soil/moisture": Given(RANDOM.choice(STATES, SIZE).tolist()),
        "/soil/water_content": Given(RANDOM.uniform(0.05, 0.4, SIZE), "1"),
        "/soil/plastic_limit": Given(RANDOM.uniform(0.15, 0.4, SIZE), "1"),
        "/soil/surface": Given(RANDOM.choice(["hard", "firm", "tilled", "soft"], SIZE).tolist()),
    }
    for some in (["/soil/moisture"], ["/soil/moisture", "/soil/surface"], list(vary)):
        all_agree(calculation, copy.deepcopy(dict(calculation.example)), {pointer: vary[pointer] for pointer in some})
