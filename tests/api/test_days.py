"""POST /v1/days: laws of suitable days from weather, freeze-up, and what it refuses."""

import copy
import datetime

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.published.daily_weather import by_day

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.completion import COMPLETION
from drawbar_service.api.v1.days import DAYS
from drawbar_service.api.v1.days.answer import DaysAnswer
from drawbar_service.engine.soil_water import freeze_up
from drawbar_service.quantities import decode_quantity

LENGTH = len(DAYS.example["rain"])


def days(**changes) -> DaysAnswer:
    body = copy.deepcopy(dict(DAYS.example)) | changes
    return DAYS.compute(msgspec.convert(body, DAYS.request), Ledger("metric"))


def faults(**changes) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as caught:
        days(**changes)
    return {fault.pointer: fault.detail for fault in caught.value.faults}


def iowa(first="2012-01-01", last="2016-12-31", station="IA0000"):
    start, end = datetime.date.fromisoformat(first), datetime.date.fromisoformat(last)
    every = [start + datetime.timedelta(day) for day in range((end - start).days + 1)]
    high, low, rain = zip(*(by_day(station)[date] for date in every), strict=True)
    return {"first": first, "high": list(high), "low": list(low), "rain": list(rain), "to_week": 47, "averaged": True}


def test_the_answer_hangs_together():
    answer = days()
    assert [one.week for one in answer.weeks] == [35, 36, 37, 38]
    assert all(0.0 <= one.low <= one.days <= one.high <= 7.0 for one in answer.weeks)
    total = answer.years[0]
    assert total.days == pytest.approx(sum(one.days for one in answer.weeks[1:]))
    # Weeks go together, but not wholly.
    apart = np.array([one.days - one.low for one in answer.weeks[1:]])
    assert np.sqrt(np.sum(apart**2)) < total.days - total.low < np.sum(apart)
    assert [one.days for one in answer.record.weeks] == [round(one.days, 2) for one in answer.weeks]


def test_rain_takes_days_and_drought_gives_them():
    plain = days().years[0].days
    assert days(rain=[0.0] * LENGTH).years[0].days > plain > days(rain=[12.0] * LENGTH).years[0].days
    dry = days(rain=[0.0] * LENGTH).record.weeks[-1].topsoil
    assert dry < days().record.weeks[-1].topsoil <= 3.0


@given(st.integers(63, LENGTH - 1), st.floats(1.0, 60.0))
def test_a_wetter_day_never_gives_more_days(day, more):
    rain = list(DAYS.example["rain"])
    wetter = [*rain[:day], rain[day] + more, *rain[day + 1 :]]
    assert days(rain=wetter).years[0].days <= days().years[0].days + 1e-9


def test_soil_that_drains_better_has_more_days():
    poor, moderate, good = (days(drainage=one).years[0].days for one in ("poor", "moderate", "good"))
    assert poor < moderate < good
    assert any(one.pointer == "/drainage" for one in days(drainage="good").about.warnings)
    assert not any(one.pointer == "/drainage" for one in days().about.warnings)


def test_snow_on_the_ground_takes_days():
    assert days(snow_depth=[200.0] * LENGTH).years[0].days < days().years[0].days
    assert days(snow_depth=[None] * LENGTH).years == days().years


def test_weather_of_iowa_gives_the_weeks_that_were_recorded_there():
    answer = days(**iowa())
    # Recorded: a wet fall in 2014 and dry ones in 2012 and 2015.
    totals = {one.year: one.days for one in answer.years}
    assert totals[2014] < totals[2012]
    assert totals[2014] < totals[2015]
    assert answer.freeze_up.early <= answer.freeze_up.middle
    assert 5 <= answer.freeze_up.spread <= 40
    assert answer.freeze_up.middle.month in (11, 12)


def test_its_record_is_one_that_a_completion_takes():
    record = msgspec.json.decode(msgspec.json.encode(days(**iowa()).record))
    body = dict(COMPLETION.example) | {"record": record, "end": "2027-11-20"}
    del body["suitable"]
    answer = COMPLETION.compute(msgspec.convert(body, COMPLETION.request, dec_hook=decode_quantity), Ledger("metric"))
    assert answer.recorded.years == 5


def test_a_warmer_fall_without_snow_freezes_no_earlier():
    # Under snow the soil keeps warm, so that a warm fall with less of it may freeze earlier.
    weather = iowa()
    weather["rain"] = [0.0] * len(weather["rain"])
    warmer = weather | {"high": [one + 3.0 for one in weather["high"]], "low": [one + 3.0 for one in weather["low"]]}
    for before, after in zip(days(**weather).freeze_up.by_year, days(**warmer).freeze_up.by_year, strict=False):
        assert after.date is None or (before.date is not None and after.date >= before.date)


def test_freeze_up_takes_a_week_of_frozen_soil():
    temperature = np.full(40, 1.0)
    temperature[10:16] = -1.0
    assert freeze_up(temperature) is None
    temperature[16] = -0.1
    assert freeze_up(temperature) == 10


def test_few_winters_have_no_dates():
    answer = days().freeze_up
    assert (answer.middle, answer.spread) == (None, None)
    assert "3 are needed" in answer.why_null


def test_missing_figures_are_filled_and_said():
    rain, high = list(DAYS.example["rain"]), list(DAYS.example["high"])
    rain[70] = high[70] = None
    codes = {(one.pointer, one.detail.partition(";")[0]) for one in days(rain=rain, high=high).about.warnings}
    assert ("/rain", "1 days have no rain") in codes
    assert ("/high", "1 days have no temperature") in codes


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"low": [1.0] * (LENGTH - 1)}, "/low"),
        ({"rain": [None] * LENGTH}, "/rain"),
        ({"low": [40.0] * LENGTH}, "/high/0"),
        ({"from_week": 39}, "/to_week"),
        ({"first": "2024-12-01"}, "/rain"),
    ],
)
def test_what_cannot_be_is_refused_at_its_place(changes, pointer):
    assert pointer in faults(**changes)
