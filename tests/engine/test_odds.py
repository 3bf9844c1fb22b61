import math
from typing import NamedTuple

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.arrays import few, rows_of, with_rows
from drawbar_service.engine.odds import (
    REPLICATES,
    chance,
    end_factors,
    log_sigma,
    normal_scores,
    sobol_indices,
    spread,
    together,
    widened,
)


def test_scores_are_standard_normal_repeatable_and_read_only():
    scores = normal_scores(4096, 3, 7)
    assert scores.shape == (3, 4096)
    assert np.all(np.isfinite(scores))
    np.testing.assert_allclose(scores.mean(axis=1), 0.0, atol=5e-3)
    np.testing.assert_allclose(scores.std(axis=1), 1.0, atol=5e-3)
    np.testing.assert_array_equal(scores, normal_scores.__wrapped__(4096, 3, 7))
    assert not np.array_equal(scores, normal_scores(4096, 3, 8))
    with pytest.raises(ValueError, match="read-only"):
        scores[0, 0] = 0.0


def test_the_ends_of_a_range_hold_nine_in_ten():
    factors = np.exp(0.3 * normal_scores(65536, 1, 1)[0])
    low, high = end_factors(0.3)
    assert np.quantile(factors, [0.05, 0.95]) == pytest.approx([low, high], rel=1e-3)


def test_independent_spreads_add_as_variances():
    first, second = normal_scores(65536, 2, 1)
    assert np.std(0.3 * first + 0.4 * second) == pytest.approx(together(0.3, 0.4), rel=1e-3)


@given(
    value=st.floats(1.0, 1e6),
    less=st.floats(0.0, 0.9),
    more=st.floats(0.0, 3.0),
    sigma=st.floats(0.0, 0.5),
    times=st.floats(1.0, 2.0),
)
def test_what_else_varies_only_widens_a_range(value, less, more, sigma, times):
    low, high = (1.0 - less) * value, (1.0 + more) * value
    assert widened(value, low, high, 0.0) == pytest.approx((low, high), rel=1e-12)
    here = widened(value, low, high, sigma)
    there = widened(value, low, high, times * sigma)
    hair = 1e-9 * value
    assert there[0] <= here[0] + hair <= low + 2.0 * hair
    assert there[1] >= here[1] - hair >= high - 2.0 * hair


def test_range_is_so_many_deviations():
    assert log_sigma(0.5, 2.0) == pytest.approx(math.log(1.5) / 2)
    assert math.exp(2 * log_sigma(0.5, 2.0)) == pytest.approx(1.5)


def test_chance_and_its_error_cover_the_truth():
    # P(z < 1) is known in closed form; the error is honest if it covers the miss most of the time.
    truth = 0.5 * math.erfc(-1 / math.sqrt(2))
    found = [chance(normal_scores(1024, 2, seed)[0] < 1.0) for seed in range(40)]
    assert all(abs(one.value - truth) < 0.005 for one in found)
    covered = sum(abs(one.value - truth) <= 3 * one.standard_error + 1e-3 for one in found)
    assert covered >= 36


def test_chance_of_a_certainty_has_no_error():
    assert chance(np.ones(256, dtype=bool)) == (1.0, 0.0)
    assert chance(np.zeros(256, dtype=bool)) == (0.0, 0.0)


def test_the_error_is_the_scatter_between_replicates_over_the_root_of_their_number():
    # Half of the replicates always, half never: deviation sqrt(8 / 4 / 7), over sqrt(8).
    found = chance(np.repeat([True, False], 128))
    assert found == pytest.approx((0.5, math.sqrt(1 / 28)))


def test_spread_is_the_middle_ninety_percent():
    low, median, high = spread(normal_scores(16384, 2, 1)[0])
    assert (low, median, high) == pytest.approx((-1.6449, 0.0, 1.6449), abs=0.01)


def test_replicates_divide_the_smallest_sample():
    assert 256 % REPLICATES == 0


def test_sobol_indices_of_a_function_known_in_closed_form():
    # y = 2 a + b + 0 c with standard normal inputs: variance 4 + 1, no interaction.
    def function(scores):
        a, b, _ = scores
        return np.array([2 * a + b, a * b])

    first, total = sobol_indices(function, 3, 4096, 0)
    np.testing.assert_allclose(first[0], [0.8, 0.2, 0.0], atol=0.01)
    np.testing.assert_allclose(total[0], [0.8, 0.2, 0.0], atol=0.01)
    # y = a b: all of the variance is interaction.
    np.testing.assert_allclose(first[1], 0.0, atol=0.02)
    np.testing.assert_allclose(total[1], [1.0, 1.0, 0.0], atol=0.05)


def test_a_seed_gives_its_own_indices_every_time():
    once, again, other = (sobol_indices(lambda scores: scores[:1] ** 2 + scores[1:], 2, 64, seed) for seed in (5, 5, 6))
    np.testing.assert_array_equal(once, again)
    assert not np.array_equal(once, other)


@pytest.mark.parametrize("value", [0.0, 3.0, 1e6 / 3.0])
def test_what_does_not_vary_has_indices_of_0_without_a_warning(value):
    first, total = sobol_indices(lambda scores: np.stack([scores[0], np.full_like(scores[0], value)]), 2, 256, 0)
    assert first[0] == pytest.approx([1.0, 0.0], abs=0.05)
    assert first[1].tolist() == total[1].tolist() == [0.0, 0.0]


def test_sobol_indices_agree_with_another_library():
    """SALib, a general library for sensitivity analysis, on the function of Ishigami and Homma (1990)."""
    from SALib.analyze import sobol as analyze
    from SALib.sample import sobol as sample
    from scipy.stats import norm

    def ishigami(x):
        return np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])

    problem = {"num_vars": 3, "names": ["a", "b", "c"], "bounds": [[-np.pi, np.pi]] * 3}
    drawn = sample.sample(problem, 8192, calc_second_order=False, seed=1)
    theirs = analyze.analyze(problem, ishigami(drawn.T), calc_second_order=False, seed=1)
    first, total = sobol_indices(
        lambda scores: ishigami(np.pi * (2.0 * norm.cdf(scores) - 1.0))[np.newaxis], 3, 8192, 0
    )
    np.testing.assert_allclose(first[0], theirs["S1"], atol=0.02)
    np.testing.assert_allclose(total[0], theirs["ST"], atol=0.02)
    # Closed form for these coefficients: 0.314, 0.442, 0; 0.558, 0.442, 0.244.
    np.testing.assert_allclose(first[0], [0.3139, 0.4424, 0.0], atol=0.01)
    np.testing.assert_allclose(total[0], [0.5576, 0.4424, 0.2437], atol=0.01)


def test_rows_of_a_record_are_those_rows_of_every_array_in_it():
    class Inner(NamedTuple):
        values: np.ndarray
        number: float

    class Outer(NamedTuple):
        inner: Inner
        pair: tuple[np.ndarray, str]

    record = Outer(Inner(np.arange(4.0), 7.0), (np.arange(10.0, 14.0), "kept"))
    taken = rows_of(record, np.array([True, False, True, False]))
    assert taken.inner.values.tolist() == [0.0, 2.0]
    assert taken.inner.number == 7.0
    assert taken.pair[0].tolist() == [10.0, 12.0]
    assert taken.pair[1] == "kept"
    assert type(taken) is Outer


def test_rows_that_were_taken_out_go_back_to_where_they_were():
    class Record(NamedTuple):
        values: np.ndarray
        same: float

    record, some = Record(np.arange(4.0), 7.0), np.array([True, False, True, False])
    taken = rows_of(record, some)
    back = with_rows(record, some, Record(10.0 * taken.values - 1.0, 8.0))
    assert back.values.tolist() == [-1.0, 1.0, 19.0, 3.0]
    assert back.same.tolist() == [8.0, 7.0, 8.0, 7.0]
    assert record.values.tolist() == [0.0, 1.0, 2.0, 3.0]


@pytest.mark.parametrize(
    ("condition", "expected"),
    [
        (np.array([False, False, True, False]), True),
        (np.array([False, True, True, False]), False),
        (np.zeros(4, dtype=bool), False),
        (True, False),
    ],
)
def test_few_are_some_but_less_than_a_share(condition, expected):
    assert few(condition, 0.5) is expected
