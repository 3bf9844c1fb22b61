"""Laws of cost: what must hold for any machine, whatever the figures of a table."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.cost import (
    HOUR,
    Owned,
    RemainingValue,
    accumulated_repairs,
    at_width,
    capital_recovery,
    capital_recovery_factor,
    parts_per_area,
    remaining_share,
    running_cost,
    width_for_least_cost,
    work_cost,
    work_cost_at_width,
    yearly_cost,
)
from drawbar_service.engine.cost_minimum import band_within, find_minimum

interests = st.floats(-0.05, 0.3)
years = st.floats(0.5, 40.0)
money = st.floats(1e2, 1e6)
uses = st.floats(20.0 * HOUR, 1500.0 * HOUR)
machines = st.builds(
    Owned,
    price=money,
    list_price=money,
    value=st.builds(RemainingValue, st.floats(0.7, 1.1), st.floats(0.05, 0.16), st.floats(0.0, 0.008)),
    rf1=st.floats(0.003, 0.6),
    rf2=st.floats(1.0, 2.4),
    age=st.floats(0.0, 15.0),
    used=st.floats(0.0, 5000.0 * HOUR),
    years=st.floats(1.0, 20.0),
    interest=interests,
    standing=st.floats(0.0, 0.04),
)
TILLAGE = RemainingValue(0.8906, 0.1095, 0.0)


@given(interests, st.integers(1, 40))
def test_the_recovery_factor_pays_back_what_was_lent(interest, n):
    payment = capital_recovery_factor(interest, float(n))
    worth = sum(payment / (1.0 + interest) ** year for year in range(1, n + 1))
    assert worth == pytest.approx(1.0, rel=1e-9)


@given(years)
def test_recovery_without_interest_is_the_limit_of_little(n):
    assert capital_recovery_factor(0.0, n) == pytest.approx(1.0 / n)
    assert capital_recovery_factor(1e-12, n) == pytest.approx(1.0 / n, rel=1e-9)


@given(money, st.floats(0.0, 1.0), years)
def test_without_interest_capital_recovery_is_the_loss_of_value(price, share, n):
    assert capital_recovery(price, share * price, 0.0, n) == pytest.approx(price * (1.0 - share) / n, abs=1e-9)


@given(money, interests, years)
def test_a_machine_that_keeps_its_price_costs_its_interest(price, interest, n):
    assert capital_recovery(price, price, interest, n) == pytest.approx(price * interest, abs=1e-9)


@given(st.floats(0.0, 30.0), uses, st.floats(0.0, 5.0), st.floats(0.0, 1.0))
def test_value_never_rises_with_age_or_hours(age, use, more_years, more):
    share = remaining_share(age, use, 0.98, 0.12, 0.004)
    assert remaining_share(age + more_years, use, 0.98, 0.12, 0.004) <= share
    assert remaining_share(age, use * (1.0 + more), 0.98, 0.12, 0.004) <= share
    assert remaining_share(400.0, use, 0.98, 0.12, 0.004) == 0.0


@given(machines, uses, st.floats(0.1, 0.9))
def test_repairs_before_and_after_a_sale_add_up(machine, use, split):
    first = machine._replace(years=machine.years * split)
    second = machine._replace(
        years=machine.years * (1.0 - split), used=machine.used + first.years * use, age=machine.age + first.years
    )
    whole = yearly_cost(machine, use).repairs * machine.years
    parts = sum(yearly_cost(one, use).repairs * one.years for one in (first, second))
    assert parts == pytest.approx(whole, rel=1e-6, abs=1e-6)


def test_repairs_by_hand():
    assert accumulated_repairs(80_000.0, 6000.0 * HOUR, 0.007, 2.0) == pytest.approx(0.252 * 80_000.0)
    assert accumulated_repairs(80_000.0, 0.0, 0.007, 2.0) == 0.0


@given(machines, uses, st.floats(0.1, 10.0))
def test_cost_scales_with_money(machine, use, factor):
    scaled = yearly_cost(at_width(machine, factor), use)
    assert scaled.total == pytest.approx(factor * yearly_cost(machine, use).total, rel=1e-9, abs=1e-6)


@given(machines, uses)
def test_total_is_the_sum_of_its_parts(machine, use):
    cost = yearly_cost(machine, use)
    assert cost.total == cost.recovery + cost.standing + cost.repairs
    assert cost.standing == machine.price * machine.standing


@given(st.floats(1.0, 1e4), st.floats(1e4, 1e7))
def test_a_part_that_costs_twice_and_lasts_three_times(price, life):
    cheap, lasting = parts_per_area(price, life, 0.0, 0.0), parts_per_area(2.0 * price, 3.0 * life, 0.0, 0.0)
    assert lasting == pytest.approx(2.0 / 3.0 * cheap)
    # Time to change them counts once for three: it can only help the lasting one.
    with_labor = parts_per_area(price, life, 1800.0, 0.006), parts_per_area(2.0 * price, 3.0 * life, 1800.0, 0.006)
    assert with_labor[1] / with_labor[0] < 2.0 / 3.0


def test_running_cost_by_hand():
    # 20 L/h at 1.50 a litre, oil at 15 %, two workers at 16 an hour and 10 %.
    cost = running_cost(20e-3 / HOUR, 1500.0, 0.15, 16.0 / HOUR, 0.10, 2.0)
    assert [one * HOUR for one in cost] == pytest.approx([30.0, 4.5, 35.2])
    assert cost.total * HOUR == pytest.approx(69.7)


@given(machines, uses, st.floats(0.5, 8.0), st.floats(0.0, 0.05))
def test_a_machine_used_for_one_work_charges_it_all(machine, time, capacity, hourly):
    area = time * capacity
    alone = work_cost((machine,), (0.0,), area, capacity, hourly, 0.0)
    assert alone == pytest.approx(yearly_cost(machine, time).total + time * hourly, rel=1e-9, abs=1e-6)


@given(machines, uses, st.floats(0.1, 0.9))
def test_two_works_share_a_machine_without_rest(machine, use, split):
    first = work_cost((machine,), ((1.0 - split) * use,), split * use, 1.0, 0.0, 0.0)
    second = work_cost((machine,), (split * use,), (1.0 - split) * use, 1.0, 0.0, 0.0)
    assert first + second == pytest.approx(yearly_cost(machine, use).total, rel=1e-9, abs=1e-6)


def own(machine, capacity=2.0, hourly=0.012, per_area=0.0005):
    return lambda area: work_cost((machine,), (0.0,), area, capacity, hourly, per_area) / area


@given(machines.map(lambda one: one._replace(list_price=one.price / 1.25)))
def test_a_band_is_where_the_cost_keeps_its_limit(machine):
    cost, low, high = own(machine), 1e3, 5e7
    minimum = find_minimum(cost, low, high)
    grid = np.geomspace(low, high, 400)
    assert minimum.cost <= np.min(cost(grid)) * (1.0 + 1e-9)
    limit = 1.3 * minimum.cost
    found = band_within(cost, limit, minimum, low, high)
    assert found.kept
    for end, is_end in ((found.low, found.low_is_end), (found.high, found.high_is_end)):
        if is_end:
            assert cost(end) <= limit * (1.0 + 1e-9)
        else:
            assert cost(end) == pytest.approx(limit, rel=1e-6)
    assert not band_within(cost, 0.9 * minimum.cost, minimum, low, high).kept


def test_break_even_without_repairs_is_the_textbook_quotient():
    # Fixed cost over what each area saves: F / (rate - v).
    machine = Owned(50_000.0, 50_000.0, TILLAGE, 0.0, 1.4, 0.0, 0.0, 10.0, 0.04, 0.02)
    fixed = yearly_cost(machine, 0.0).total
    variable, rate = 0.012 / 2.0 + 0.0005, 0.0125
    cost = own(machine)
    found = band_within(cost, rate, find_minimum(cost, 1.0, 1e9), 1.0, 1e9)
    assert found.low == pytest.approx(fixed / (rate - variable), rel=1e-7)
    assert found.high_is_end


def test_minimum_and_band_row_by_row():
    random = np.random.default_rng(1)
    fixed, per = random.uniform(1.0, 100.0, 30), random.uniform(0.1, 3.0, 30)
    limit = random.uniform(5.0, 40.0, 30)
    low, high = np.full(30, 0.1), random.uniform(5.0, 100.0, 30)
    minimum = find_minimum(lambda x: fixed / x + per * x, low, high)
    found = band_within(lambda x: fixed / x + per * x, limit, minimum, low, high)
    for i in range(30):
        f, p = float(fixed[i]), float(per[i])
        alone = find_minimum(lambda x, f=f, p=p: f / x + p * x, 0.1, float(high[i]))
        assert minimum.cost[i] == pytest.approx(alone.cost, rel=1e-12)
        one = band_within(lambda x, f=f, p=p: f / x + p * x, float(limit[i]), alone, 0.1, float(high[i]))
        for together, single in zip(found, one, strict=True):
            assert together[i] == pytest.approx(single, rel=1e-6)


@given(st.floats(20_000.0, 400_000.0), st.floats(1e5, 2e7), st.floats(0.005, 0.08))
def test_width_in_closed_form_is_the_bottom_of_the_cost(price, area, hourly):
    machine = Owned(price, price, TILLAGE, 0.0, 1.4, 0.0, 0.0, 10.0, 0.04, 0.02)
    width, speed, efficiency = 4.0, 2.5, 0.8
    best = width_for_least_cost(area, speed, efficiency, hourly, yearly_cost(machine, 0.0).total / width)

    def cost(ratio):
        return work_cost_at_width(machine, 0.0, ratio, area, width * speed * efficiency, hourly, 0.001)

    assert find_minimum(cost, 1e-3, 1e3).at * width == pytest.approx(best, rel=1e-6)
    # Half and double the best width cost the same above what does not depend on width.
    floor = 0.001 * area
    double, half = cost(2.0 * best / width) - floor, cost(0.5 * best / width) - floor
    assert double == pytest.approx(half, rel=1e-9)
    assert double == pytest.approx(1.25 * (cost(best / width) - floor), rel=1e-9)


@given(
    machines.map(lambda one: one._replace(age=0.0, used=0.0, list_price=one.price / 1.25)),
    uses,
    st.floats(0.3, 3.0),
    st.floats(0.3, 3.0),
)
def test_cost_against_width_is_convex_in_its_logarithm(machine, use, one, other):
    def cost(ratio):
        return work_cost_at_width(machine, 0.3 * use, ratio, 2.0 * use, 2.0, 0.02, 0.001)

    middle = cost(math.sqrt(one * other))
    assert middle <= 0.5 * (cost(one) + cost(other)) * (1.0 + 1e-9)


@given(machines, uses)
def test_at_its_own_width_the_work_costs_what_it_costs(machine, use):
    at_one = work_cost_at_width(machine, 0.5 * use, 1.0, 2.0 * use, 2.0, 0.02, 0.001)
    assert at_one == work_cost((machine,), (0.5 * use,), 2.0 * use, 2.0, 0.02, 0.001)
