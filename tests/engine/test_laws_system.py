"""Laws of a chain of passes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.system import (
    carbon_dioxide,
    cover_left,
    finish_day,
    machine_cost,
    pass_fuel,
    pass_time,
    relative_change,
    start_day,
)

SHARES = st.floats(0.0, 1.0)
TIMES = st.integers(1, 5).map(float)
POSITIVE = st.floats(1e-3, 1e6)


@given(SHARES, SHARES, SHARES)
def test_the_order_of_passes_does_not_change_the_cover(cover, first, second):
    one_way = cover_left(cover_left(cover, first, 1.0), second, 1.0)
    assert one_way == pytest.approx(cover_left(cover_left(cover, second, 1.0), first, 1.0))
    assert 0.0 <= one_way <= cover


@given(SHARES, SHARES, TIMES)
def test_a_pass_made_often_is_many_passes(cover, retention, times):
    left = cover
    for _ in range(int(times)):
        left = cover_left(left, retention, 1.0)
    assert cover_left(cover, retention, times) == pytest.approx(left, abs=1e-12)


def test_a_plow_that_leaves_nothing_leaves_nothing():
    assert cover_left(0.9, 0.0, 1.0) == 0.0


@given(POSITIVE, POSITIVE, TIMES, POSITIVE)
def test_time_fuel_and_carbon_dioxide_grow_with_the_land(area, capacity, times, factor):
    assert pass_time(area * factor, capacity, times) == pytest.approx(factor * pass_time(area, capacity, times))
    fuel = pass_fuel(area, capacity, times)
    assert pass_fuel(area * factor, capacity, times) == pytest.approx(factor * fuel)
    assert carbon_dioxide(factor * fuel, 2680.0) == pytest.approx(factor * carbon_dioxide(fuel, 2680.0))


@given(POSITIVE, POSITIVE, TIMES, POSITIVE)
def test_a_price_for_a_time_is_a_price_on_an_area_at_the_capacity(area, capacity, times, price):
    time = pass_time(area, capacity, times)
    by_time = machine_cost(area, times, time, 0.0, price)
    assert by_time == pytest.approx(machine_cost(area, times, time, price / capacity, 0.0))


@given(st.floats(0.0, 300.0), st.floats(0.0, 300.0), POSITIVE, st.floats(0.05, 1.0))
def test_fewer_fit_days_never_bring_the_end_nearer(earliest, ready, time, share):
    begins = start_day(earliest, ready)
    assert begins >= max(earliest, ready)
    assert finish_day(begins, time, 36_000.0, share) >= finish_day(begins, time, 36_000.0, 1.0) >= begins


@given(POSITIVE, POSITIVE)
def test_a_relative_change_leads_back(value, baseline):
    assert baseline * (1.0 + relative_change(value, baseline)) == pytest.approx(value)
