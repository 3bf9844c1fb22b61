"""Laws of chances from a record, and years moved by the weeks so far against drawn years."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from drawbar_service.engine.years import MODEL_YEARS, NEIGHBOURS, chance_of_years, followed

PARTS = arrays(np.float64, st.tuples(st.integers(3, 12), st.integers(1, 40)), elements=st.floats(0.0, 1.0))
NEEDS = st.floats(0.0, 45.0)


def chances(parts, need, **more):
    return chance_of_years(np.cumsum(parts, axis=-1), np.array(need), **more)


@given(PARTS, NEEDS, st.floats(0.0, 10.0))
def test_the_chance_falls_with_the_need(parts, need, more):
    less, harder = chances(parts, need).chance, chances(parts, need + more).chance
    assert (harder <= less + 1e-12).all()


@given(PARTS, NEEDS)
def test_the_chance_rises_with_a_longer_window_and_stays_in_its_range(parts, need):
    found = chances(parts, need)
    assert (np.diff(found.chance) >= -1e-12).all()
    assert (found.low <= found.chance).all()
    assert (found.chance <= found.high).all()
    assert (found.low >= 0.0).all()
    assert (found.high <= 1.0).all()


@given(PARTS, NEEDS, st.randoms(use_true_random=False))
def test_the_order_of_years_does_not_matter(parts, need, random):
    order = list(range(len(parts)))
    random.shuffle(order)
    first, second = chances(parts, need), chances(parts[order], need)
    assert first.chance == pytest.approx(second.chance, abs=1e-9)


@given(st.integers(3, 12), st.integers(1, 40), st.floats(0.0, 1.0))
def test_what_every_day_allows_is_certain_and_more_than_all_days_never_done(years, days, part):
    found = chances(np.ones((years, days)), part * days)
    assert found.chance[-1] == 1.0
    assert found.low[-1] < 1.0
    assert chances(np.ones((years, days)), days + 0.5).chance[-1] == 0.0
    assert chances(np.zeros((years, days)), 0.5).chance[-1] == 0.0


@given(PARTS, NEEDS)
def test_the_model_counts_as_six_years(parts, need):
    found, years = chances(parts, need), len(parts)
    by_hand = (years * found.recorded + MODEL_YEARS * found.smooth) / (years + MODEL_YEARS)
    assert found.chance == pytest.approx(by_hand, abs=1e-12)
    assert chances(parts, need, moved=True).chance == pytest.approx(found.smooth, abs=1e-12)


def test_the_smooth_model_is_the_beta_distribution_the_years_are_drawn_from():
    random = np.random.default_rng(5)
    shares = random.beta(6.0, 3.0, 4000)
    found = chances(np.repeat(shares[:, np.newaxis], 30, axis=1), 22.0)
    assert found.smooth[-1] == pytest.approx(np.mean(shares * 30.0 >= 22.0), abs=0.02)


def test_needs_of_many_rows_are_those_of_single_ones():
    parts = np.random.default_rng(2).random((9, 20))
    needs = np.linspace(0.0, 21.0, 30)
    together = chances(parts, needs)
    for at, need in enumerate(needs):
        alone = chances(parts, need)
        assert all(np.array_equal(one[at], two) for one, two in zip(together, alone, strict=True))


def drawn(years, slope, noise, seed):
    """Signs and running totals of years whose days follow a sign on a line."""
    random = np.random.default_rng(seed)
    signs = random.normal(4.0, 1.0, (2 * NEIGHBOURS + 1, years, 1))
    totals = 7.0 + slope * (signs - 4.0) + noise * random.normal(size=signs.shape)
    return signs, np.clip(totals, 0.0, 14.0) * np.arange(1.0, 15.0) / 14.0


def test_years_are_moved_by_the_line_they_were_drawn_from():
    signs, totals = drawn(40, 1.5, 0.2, seed=3)
    moved = followed(np.array([6.0]), signs, totals)
    # A ridge of a tenth draws the slope that much towards none.
    assert np.mean(moved.totals[:, -1]) == pytest.approx(7.0 + 1.5 * 2.0 / 1.1, abs=0.3)
    assert np.std(moved.totals[:, -1]) < 0.3 * np.std(totals[NEIGHBOURS, :, -1])


def test_where_nothing_follows_the_years_stay():
    signs, totals = drawn(400, 0.0, 1.0, seed=4)
    moved = followed(np.array([6.0]), signs, totals)
    assert moved.totals[:, -1] == pytest.approx(totals[NEIGHBOURS, :, -1], abs=0.2)


def test_a_year_without_signs_is_left_out():
    signs, totals = drawn(12, 1.0, 0.5, seed=6)
    signs[NEIGHBOURS, 3] = np.nan
    totals[NEIGHBOURS, 5, -1] = np.nan
    moved = followed(np.array([4.0]), signs, totals)
    assert set(moved.years) == set(range(12)) - {3, 5}
    assert (np.diff(moved.totals, axis=-1) >= 0.0).all()
