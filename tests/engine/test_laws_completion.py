"""Laws of finishing in time, and the beta-binomial against SciPy's and against drawn years."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom, binom

from drawbar_service.engine.completion import (
    MOST_CORRELATION,
    chance_of_days,
    finishing_day,
    greatest_spread,
    likely_capacities,
    share_of_years,
    spread_from_range,
    spread_of_suitable_days,
    suitability,
    suitable_days_needed,
    timeliness_cost,
)

SHARES = st.floats(0.05, 0.95)
CORRELATIONS = st.floats(1e-4, 0.6)
DAYS = st.integers(1, 120)
PARTS = st.floats(0.0, 1.0)


@given(PARTS, DAYS, SHARES, CORRELATIONS)
def test_the_chance_is_what_scipy_finds(part, days, share, correlation):
    needed = round(part * days)
    strength = (1.0 - correlation) / correlation
    expected = betabinom.sf(needed - 1, days, share * strength, (1.0 - share) * strength)
    assert chance_of_days(float(needed), float(days), share, correlation) == pytest.approx(
        expected, rel=1e-7, abs=1e-10
    )


def test_the_chance_is_what_drawn_years_show():
    random = np.random.default_rng(4)
    share, correlation = 0.45, 0.08
    strength = (1.0 - correlation) / correlation
    years = random.beta(share * strength, (1.0 - share) * strength, 400_000)
    days = random.binomial(37, years)
    assert chance_of_days(13.0, 37.0, share, correlation) == pytest.approx(np.mean(days >= 13), abs=0.003)
    assert spread_of_suitable_days(share, correlation, 37.0) == pytest.approx(np.std(days), rel=0.01)


@given(PARTS, DAYS, SHARES)
def test_without_correlation_it_is_a_binomial(part, days, share):
    needed = round(part * days)
    plain = binom.sf(needed - 1, days, share)
    assert chance_of_days(float(needed), float(days), share, 0.0) == pytest.approx(plain, rel=1e-9, abs=1e-13)
    assert chance_of_days(float(needed), float(days), share, 1e-9) == pytest.approx(plain, rel=1e-5, abs=1e-6)


@given(st.floats(0.1, 60.0), st.floats(0.0, 10.0), DAYS, SHARES, CORRELATIONS)
def test_the_chance_falls_with_the_work_and_grows_with_the_window(needed, more, days, share, correlation):
    chance = chance_of_days(needed, float(days), share, correlation)
    assert 0.0 <= chance <= 1.0
    assert chance_of_days(needed + more, float(days), share, correlation) <= chance + 1e-12
    assert chance_of_days(needed, float(days + 1), share, correlation) >= chance - 1e-12


@given(st.floats(0.01, 60.0), st.floats(1e-6, 1.0), DAYS, SHARES, CORRELATIONS)
def test_a_little_more_work_moves_the_chance_by_little(needed, step, days, share, correlation):
    needed = min(needed, float(days))
    more = min(needed + step, float(days))
    fall = chance_of_days(needed, float(days), share, correlation) - chance_of_days(
        more, float(days), share, correlation
    )
    assert -1e-12 <= fall <= more - needed + 1e-9


@given(st.integers(1, 60), st.floats(0.0, 1.0), DAYS, SHARES, CORRELATIONS)
def test_between_whole_days_the_chance_is_on_the_straight_line(whole, part, days, share, correlation):
    needed = min(whole + part, float(days))
    below, above = math.floor(needed), math.ceil(needed)
    chances = [chance_of_days(float(one), float(days), share, correlation) for one in (below, above)]
    expected = chances[0] + (needed - below) * (chances[1] - chances[0])
    assert chance_of_days(needed, float(days), share, correlation) == pytest.approx(expected, abs=1e-9)


def test_a_hundredth_of_a_day_does_not_flip_the_advice():
    # Mean 20 of 37 days, 6.5 from year to year; whole days as SciPy's beta-binomial has them.
    fit = suitability(20.0, 6.5, 37.0)
    chances = chance_of_days(np.array([13.0, 13.01, 13.5, 14.0]), 37.0, fit.share, fit.correlation)
    assert chances == pytest.approx([0.86393, 0.86358, 0.84624, 0.82855], abs=1e-5)
    assert chances[0] - chances[1] == pytest.approx(0.01 * (chances[0] - chances[3]))


@pytest.mark.parametrize("correlation", [0.0, 0.3])
def test_more_work_than_days_is_never_done_in_time(correlation):
    assert chance_of_days(10.01, 10.0, 0.9, correlation) == 0.0
    # A part of a day still takes one that is suitable.
    assert chance_of_days(0.01, 1.0, 0.3, correlation) == pytest.approx(0.3)


@given(st.floats(2.0, 30.0), st.floats(0.5, 8.0), st.integers(31, 90))
def test_the_fit_has_the_mean_and_the_spread_it_was_fitted_to(mean, spread, days):
    fit = suitability(mean, spread, float(days))
    assert fit.share * days == pytest.approx(mean)
    if fit.correlation > 0.0:
        assert spread_of_suitable_days(fit.share, fit.correlation, float(days)) == pytest.approx(spread, rel=1e-9)


def test_years_that_differ_make_a_middling_need_less_sure():
    # Published (Univ. of Illinois): 41 days, mean 20, from 9.2 to 31.7 in 31 years. A plain binomial gives 14 days .98.
    spread = spread_from_range(9.2, 31.7, 31.0)
    fit = suitability(20.0, spread, 41.0)
    assert binom.sf(13, 41, 20 / 41) == pytest.approx(0.98, abs=0.005)
    assert 0.83 < chance_of_days(14.0, 41.0, fit.share, fit.correlation) < 0.90


@pytest.mark.parametrize(("years", "d2"), [(2, 1.128), (5, 2.326), (10, 3.078), (25, 3.931)])
def test_the_range_of_normal_years(years, d2):
    # Control chart constants d2, from memory.
    assert spread_from_range(0.0, d2, float(years)) == pytest.approx(1.0, abs=5e-4)


def test_a_record_of_few_years_says_little():
    found = share_of_years(np.array([9.0, 14.0, 20.0, 11.0]), 10.5)
    assert found.share == 0.75
    # Wilson's interval for 3 of 4, from memory of the usual tables: 0.30 to 0.95.
    assert (found.low, found.high) == pytest.approx((0.301, 0.954), abs=0.002)


@given(st.floats(1.0, 40.0), SHARES, CORRELATIONS, st.floats(0.05, 0.95))
def test_the_finishing_day_is_the_first_that_is_likely_enough(needed, share, correlation, chance):
    by_day = chance_of_days(needed, np.arange(1.0, 201.0), share, correlation)
    day = finishing_day(by_day, chance)
    if math.isnan(day):
        assert chance_of_days(needed, 200.0, share, correlation) < chance
    else:
        assert chance_of_days(needed, float(day), share, correlation) >= chance
        assert day == 1 or chance_of_days(needed, float(day - 1), share, correlation) < chance


def test_a_day_that_is_just_likely_enough_is_the_finishing_day():
    by_day = np.array([0.25, 0.75, 0.875])
    assert (finishing_day(by_day, 0.75), finishing_day(by_day, 0.76)) == (2, 3)
    assert math.isnan(finishing_day(by_day, 0.9))
    assert finishing_day(np.array([by_day, by_day + 0.25]), 0.75).tolist() == [2, 2]


def test_of_no_windows_there_are_no_chances():
    assert chance_of_days(5.0, np.array([]), 0.5, 0.1).shape == (0,)


def test_every_part_of_the_window_has_the_chance_that_drawn_years_show():
    random = np.random.default_rng(7)
    share, correlation, years = 0.5, 0.05, 100_000
    strength = (1.0 - correlation) / correlation
    yearly = random.beta(share * strength, (1.0 - share) * strength, years)
    worked = (random.random((years, 30)) < yearly[:, None]).cumsum(axis=1)
    by_day = chance_of_days(12.0, np.arange(1.0, 31.0), share, correlation)
    assert by_day == pytest.approx((worked >= 12).mean(axis=0), abs=5.0 * math.sqrt(0.25 / years))


@pytest.mark.parametrize("correlation", [0.0, 0.05, 0.999])
def test_what_is_certain_or_cannot_be(correlation):
    assert chance_of_days(0.0, 10.0, 0.5, correlation) == 1.0
    assert chance_of_days(1.0, 0.0, 0.5, correlation) == 0.0
    assert chance_of_days(11.0, 10.0, 0.5, correlation) == 0.0
    assert chance_of_days(10.0, 10.0, 1.0, correlation) == pytest.approx(1.0)
    assert chance_of_days(1.0, 10.0, 0.0, correlation) == 0.0
    assert chance_of_days(1.0, 1.0, 0.3, correlation) == pytest.approx(0.3)


def test_a_round_need_is_not_a_day_more_by_a_rounding():
    needs = np.arange(1.0, 41.0) * 0.1 / 0.1
    assert (needs > np.arange(1.0, 41.0)).any()
    assert (chance_of_days(needs, needs, 0.5, 0.1) > 0.0).all()


@given(st.integers(2, 90), SHARES)
def test_no_years_differ_more_than_all_fit_and_all_unfit_ones(days, share):
    widest = greatest_spread(share * days, float(days))
    assert spread_of_suitable_days(share, 1.0, float(days)) == pytest.approx(widest)


def test_likely_capacities_have_the_median_and_the_ends_they_were_given():
    sample = likely_capacities(2.0, 1.5, 2.2)
    assert np.median(sample) == pytest.approx(2.0, rel=0.01)
    assert np.quantile(sample, [0.05, 0.95]) == pytest.approx([1.5, 2.2], rel=0.02)


def test_delay_costs_what_adding_it_up_day_by_day_gives():
    days, area, crop, price, loss = 40, 8e5, 0.8, 0.2, 0.007
    one_sided = sum(area / days * crop * price * loss * (day + 0.5) for day in range(days))
    assert timeliness_cost(loss, area, crop, price, 2.0, area / days, 1.0) == pytest.approx(one_sided)
    balanced = sum(area / days * crop * price * loss * abs(day + 0.5 - days / 2) for day in range(days))
    assert timeliness_cost(loss, area, crop, price, 4.0, area / days, 1.0) == pytest.approx(balanced)


def test_needed_days_by_hand():
    # Iowa State Univ. Extension A3-25: 1600 acres in 8.3 days of 14 hours are 13.8 acres an hour.
    assert suitable_days_needed(1600.0, 13.8 / 3600, 14 * 3600.0, 1.0, 0.0, 0.0) == pytest.approx(8.3, rel=0.003)
    # Two machines, a tenth lost, and each stands 14 hours: 1600 / (2 x 13.8 x 0.9 x 14) + 1 days.
    found = suitable_days_needed(1600.0, 13.8 / 3600, 14 * 3600.0, 2.0, 0.1, 14 * 3600.0)
    assert found == pytest.approx(1600 / (2 * 13.8 * 0.9 * 14) + 1)


def test_no_record_however_short_or_long_makes_a_share_of_more_than_all():
    assert {share_of_years(np.full(years, 9.0), 5.0).high for years in range(1, 200)} == {1.0}


def test_a_record_counts_parts_of_days_as_they_stand():
    assert share_of_years(np.array([9.2, 9.0, 12.0]), 9.1).share == pytest.approx(2 / 3)


def test_a_year_with_just_the_days_needed_has_enough():
    years = np.array([9.0, 9.2, 12.0])
    assert share_of_years(years, 9.2).share == share_of_years(years, 9.2 * (1.0 + 1e-12)).share == pytest.approx(2 / 3)
    assert share_of_years(years, 9.21).share == pytest.approx(1 / 3)


def test_the_fit_by_hand_also_where_suitable_days_are_rare():
    # Half a day of 10: a binomial has the variance 0.475. Twice that asks for (2 - 1) / 9.
    assert suitability(0.5, math.sqrt(0.95), 10.0) == pytest.approx((0.05, 1.0 / 9.0))
    assert suitability(0.5, 0.1, 10.0) == pytest.approx((0.05, 0.0))
    # One day alone, and days that are all fit, know no more than the bound.
    assert suitability(0.5, 0.5, 1.0) == pytest.approx((0.5, 0.0), abs=1e-9)
    assert suitability(10.0, 1.0, 10.0) == (1.0, MOST_CORRELATION)
    assert suitability(10.0, 0.0, 10.0) == (1.0, 0.0)
