"""Goals for chances of days: how near the recorded share, how sharp, and how well weather makes days."""

import numpy as np
import pytest
from tests.published import days, frost
from tests.published.daily_weather import KINDS


@pytest.fixture(scope="module")
def record():
    return days.shipped()


@pytest.mark.parametrize(("week", "weeks", "need"), days.TWELVE)
def test_the_chance_is_within_a_twentieth_of_the_recorded_share(record, week, weeks, need):
    by_year, window = days.cut(record, week, weeks)
    recorded = np.mean(np.array(list(by_year.values())) >= need - 1e-9)
    assert days.last_chance(window, need) == pytest.approx(recorded, abs=0.05)


def test_the_record_is_sharper_than_a_binomial_and_than_one_share_for_the_season(record, monkeypatch):
    monkeypatch.setattr(days, "LENGTHS", (3, 5))
    monkeypatch.setattr(days, "QUANTILES", (0.2, 0.5, 0.8))
    scores, _ = days.of_the_record(record)
    ours = scores.pop("this service").brier
    assert all(ours < one.brier for one in scores.values())


@pytest.mark.parametrize(("weeks", "first", "least"), [(2, 33, 0.16), (4, 33, 0.15)])
def test_the_weeks_so_far_sharpen_the_chance(record, weeks, first, least):
    given, plain = days.of_the_weeks_so_far(record, weeks, topsoil=True, only=range(first, 47))
    assert 1.0 - given.brier / plain.brier > least


def test_chances_given_the_weeks_so_far_come_as_often_as_they_say(record):
    given, _ = days.of_the_weeks_so_far(record, 2, topsoil=True, only=range(30, 47))
    for low, high in ((0.0, 0.5), (0.5, 0.7), (0.7, 1.01)):
        here = (given.chances >= low) & (given.chances < high)
        # Years of one week are not independent: three standard errors of a third of the answers.
        error = 3.0 * np.sqrt(0.25 / (np.count_nonzero(here) / 3.0))
        assert np.mean(given.came[here]) == pytest.approx(np.mean(given.chances[here]), abs=error)


@pytest.mark.parametrize(("station", "kind"), [(one, kind) for kind, stations in KINDS.items() for one in stations])
def test_days_from_weather_keep_to_what_the_page_says(station, kind):
    found = days.of_the_weather(station, kind)
    assert found.r2 >= 0.75
    assert found.rmse <= (3.5 if kind == "region" else 4.0)
    assert 0.75 <= found.inside <= 0.85
    assert 0.70 <= found.autumns_inside <= 0.90


def test_soil_freezes_nearer_to_when_it_did_than_before():
    ours, before, measured = frost.of_each_station()
    found, old = (frost.score(one, measured) for one in (ours, before))
    assert found.kelvin < 1.5 < old.kelvin
    assert abs(found.bias) < 0.2 < abs(old.bias)
    assert found.days < frost.score_of_the_mean(measured) < old.days
    assert found.days < 11.0


def test_the_ground_gives_off_heat_before_it_is_frozen():
    """At 5 degrees of frost without snow, soil stands at 0 degrees until its water has frozen."""
    mild, cold = np.full((1, 60), 4.0), np.full((1, 60), -5.0)
    air = np.concatenate([mild, cold], axis=1)
    dry = np.zeros_like(air)
    row = frost.soil_water("station")
    water = frost.SoilWater(*(getattr(row, name) for name in frost.SoilWater._fields))
    found = frost.soil_of(dry, air, air, dry, water).temperature[0]
    assert (np.diff(found[60:]) <= 1e-12).all()
    at_zero = np.count_nonzero(np.abs(found) < 1e-9)
    assert at_zero >= 3
    assert found[-1] < -3.0


@pytest.mark.nightly
def test_the_page_is_up_to_date():
    assert days.PAGE.read_text("utf-8") == days.page(), "run: python tests/published/days.py"
