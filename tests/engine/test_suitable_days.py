import numpy as np
import pytest
from scipy import stats

from drawbar_service.engine.suitable_days import chance_of_days, day_correlation


def test_years_that_differ_make_odds_less_sure():
    """Central Illinois, 10 April to 20 May, 1980 to 2010: 20 of 41 days in the mean, from 9 to 32 (farmdoc, 2010)."""
    share = 20.0 / 41.0
    alike = chance_of_days(41.0, 14.0, share, day_correlation(41.0, share, 0.0))
    assert alike == pytest.approx(stats.binom.sf(13, 41, share), abs=1e-4)
    assert alike == pytest.approx(0.98, abs=0.01)
    # A range of 23 days in 31 years is about 4.1 standard deviations of a normal distribution.
    differing = chance_of_days(41.0, 14.0, share, day_correlation(41.0, share, 23.0 / 4.1 / 41.0))
    assert differing == pytest.approx(0.85, abs=0.03)


def test_the_spread_comes_back():
    days, share, spread = 30.0, 0.6, 0.15
    correlation = day_correlation(days, share, spread)
    chances = np.array([chance_of_days(days, float(count), share, correlation) for count in range(1, 31)])
    mean = chances.sum()
    square = (chances * (2.0 * np.arange(1, 31) - 1.0)).sum()
    assert mean / days == pytest.approx(share)
    assert np.sqrt(square - mean**2) / days == pytest.approx(spread)


def test_a_part_of_a_day_counts_as_a_day():
    assert chance_of_days(20.0, 6.2, 0.5, 0.1) == chance_of_days(20.0, 7.0, 0.5, 0.1)
    assert chance_of_days(20.0, 7.0 + 1e-12, 0.5, 0.1) == chance_of_days(20.0, 7.0, 0.5, 0.1)
    assert chance_of_days(20.0, 0.0, 0.5, 0.1) == 1.0
    assert chance_of_days(20.0, 21.0, 0.5, 0.1) == 0.0
