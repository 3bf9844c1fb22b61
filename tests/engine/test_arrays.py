"""Operations that give a single float the bits an array gets."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.arrays import expm1, greatest_at, least_at, log1p, power, total
from drawbar_service.rows import Names, RowsDiffer, text_at

BASES = np.random.default_rng(1).uniform(0.0, 10.0, 1000)


@pytest.mark.parametrize("exponent", [0.5, 1.0, 1.4, 2.0, 3.0])
def test_a_power_has_the_same_bits_alone_with_one_exponent_and_with_one_in_each_row(exponent: float) -> None:
    alone = [power(float(base), exponent) for base in BASES]
    assert all(type(one) is float for one in alone)
    assert np.asarray(power(BASES, exponent)).tolist() == alone
    assert np.asarray(power(BASES, np.full_like(BASES, exponent))).tolist() == alone


@pytest.mark.parametrize("function", [expm1, log1p])
def test_one_float_has_the_bits_of_an_array(function) -> None:
    assert np.asarray(function(BASES)).tolist() == [function(float(base)) for base in BASES]


@given(st.lists(st.sampled_from([0.0, 1.0, 2.0, 3.0]), min_size=1, max_size=5))
def test_greatest_and_least_are_the_first_of_equals(values: list[float]) -> None:
    assert greatest_at(values) == (values.index(max(values)), max(values))
    assert least_at(values) == (values.index(min(values)), min(values))
    rows = [np.array([value, -value]) for value in values]
    place, most = greatest_at(rows)
    assert (np.asarray(place)[0] if len(values) > 1 else place) == values.index(max(values))
    assert np.asarray(most).tolist() == [max(values), -min(values)]


def test_a_sum_goes_from_first_to_last() -> None:
    assert total([]) == 0.0
    assert total([1e16, 1.0, -1e16]) == 0.0


def test_a_text_by_its_place_alone_and_row_by_row() -> None:
    assert text_at(1.0, ["a", "b"]) == "b"
    rows = text_at(np.array([1.0, 0.0, 1.0]), ["a", "b"])
    assert isinstance(rows, Names)
    assert (rows.values, rows.codes.tolist()) == (["a", "b"], [1, 0, 1])
    with pytest.raises(RowsDiffer):
        text_at(np.array([1.0, 0.0]), ["a", Names(["b", "c"], np.array([0, 1]))])
