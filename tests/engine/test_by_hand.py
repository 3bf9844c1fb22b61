"""Single equations against figures worked by hand, in the trade's units where the docstrings give them."""

import math

import numpy as np
import pytest

from drawbar_service.engine.arrays import STANDARD_GRAVITY, choose, larger, smaller
from drawbar_service.engine.capacity import field_time, material_capacity, reversing_path, turn_reach, turning_path
from drawbar_service.engine.cost import HOUR, Owned, RemainingValue, capital_recovery_factor, work_cost, yearly_cost
from drawbar_service.engine.cost_minimum import band_within, find_minimum
from drawbar_service.engine.draft import NO_DRAFT, DraftTerms, draft_terms, grade_resistance
from drawbar_service.engine.fuel import (
    DIESEL_ANNUAL_AVERAGE,
    annual_average_fuel_rate,
    fuel_per_area,
    fuel_rate,
    mean_over_working,
    older_fuel_rate,
    reduced_speed_factor,
)
from drawbar_service.engine.hydraulics import load_sensing_pump
from drawbar_service.engine.match import Work, power_by_ratio
from drawbar_service.engine.power import (
    drawbar_power,
    engine_from_pto,
    hydraulic_power,
    input_power,
    pto_equivalent_of_drawbar,
    pto_from_engine,
    rotary_power,
)
from drawbar_service.engine.reach import Reach, by_depth, by_width, greatest_amount, greatest_pull, greatest_speed
from drawbar_service.engine.search import greatest_within
from drawbar_service.engine.slip import pull_effort, slip_standard_error
from drawbar_service.engine.system import cover_left, finish_day, relative_change, start_day
from drawbar_service.engine.traction import (
    gee_clough,
    second_pass_cone_index,
    wheel_numeric,
    wheel_stiffness,
    wismer_luth_gross_ratio,
    wismer_luth_motion_resistance_ratio,
)

# ---- draft


def test_draft_by_hand():
    # 0.7 (100 + 10 x 7.2 + 7.2^2) x 3 m x 20 cm at 7.2 km/h, which is 2 m/s.
    terms = draft_terms(100.0, 10.0, 1.0, 0.7, 3.0, 0.2)
    assert terms == pytest.approx((4200.0, 1512.0, 544.32))
    assert terms.at(2.0) == pytest.approx(9401.28)


def test_without_depth_one_centimetre_counts():
    assert draft_terms(100.0, 10.0, 1.0, 0.7, 3.0, None) == pytest.approx(draft_terms(100.0, 10.0, 1.0, 0.7, 3.0, 0.01))


def test_terms_add_once_unless_told_otherwise():
    terms = DraftTerms(1.0, 2.0, 3.0)
    assert terms.plus(DraftTerms(10.0, 20.0, 30.0)) == (11.0, 22.0, 33.0)
    assert terms.plus(DraftTerms(10.0, 20.0, 30.0), -0.5) == (-4.0, -8.0, -12.0)
    assert NO_DRAFT.plus(terms) == terms


def test_a_tonne_on_a_slope_of_three_in_five():
    assert grade_resistance(1000.0, 0.6) == pytest.approx(600.0 * STANDARD_GRAVITY) == pytest.approx(5883.99)


# ---- power


def test_power_in_the_units_of_the_trade():
    # kW = kN x km/h / 3.6; kW = L/min x bar / 600.
    assert drawbar_power(36e3, 10 / 3.6) == pytest.approx(100e3)
    assert hydraulic_power(100 / 60e3, 180e5) == pytest.approx(30e3)


def test_a_rotary_machine_runs_empty_and_takes_width_and_material():
    assert rotary_power(2000.0, 3000.0, 1500.0, 4.0, 6.0) == 2000.0 + 12_000.0 + 9000.0


def test_losses_on_the_way_ask_for_more():
    assert pto_equivalent_of_drawbar(36e3, 0.75, 0.96) == pytest.approx(50e3)
    assert input_power(16e3, 0.8) == pytest.approx(20e3)
    assert pto_from_engine(100e3, 0.9) == pytest.approx(90e3)
    assert engine_from_pto(90e3, 0.9) == pytest.approx(100e3)


# ---- field


def test_turns_by_hand():
    # Radius 5 m. Passes 14 m apart: two quarter turns and 4 m straight.
    assert turning_path(5.0, 14.0) == pytest.approx(5.0 * math.pi + 4.0)
    assert reversing_path(5.0, 14.0) == turning_path(5.0, 14.0)
    assert turn_reach(5.0, 14.0) == 5.0
    # 6 m apart: back up 4 m, or loop: R (3 pi - 4 asin 0.8), reaching R + sqrt(100 - 64).
    assert reversing_path(5.0, 6.0) == pytest.approx(5.0 * math.pi + 4.0)
    assert turning_path(5.0, 6.0) == pytest.approx(5.0 * (3.0 * math.pi - 4.0 * math.asin(0.8)))
    assert turn_reach(5.0, 6.0) == pytest.approx(11.0)


def test_a_field_by_hand():
    # 400 m by 100 m with 5 m of which a tenth overlaps: 22.2, so 23 passes of 200 s, 22 turns of 15 s, 470 s stopped.
    spent = field_time(400.0, 100.0, 5.0, 0.1, 2.0, 15.0, 470.0)
    assert spent == pytest.approx((23.0, 4600.0, 330.0, 470.0, 40_000.0 / (5.0 * 2.0 * 5400.0)))


def test_a_field_narrower_than_the_machine_takes_one_pass_and_no_turn():
    assert field_time(100.0, 2.0, 6.0, 0.0, 2.0, 20.0, 0.0)[:3] == (1.0, 50.0, 0.0)


def test_material_is_yield_times_area():
    assert material_capacity(2.5, 0.8) == pytest.approx(2.0)


# ---- oil


def test_a_pump_that_nothing_asks_of_makes_no_heat():
    idle = load_sensing_pump(0.0, 0.0, 0.0, 0.0)
    assert (idle.flow, idle.pressure, idle.heat()) == (0.0, 0.0, 0.0)


# ---- what is fixed and what each adds


def test_a_width_and_a_depth_are_their_units_put_together():
    part = DraftTerms(300.0, 20.0, 4.0)
    work = Work(DraftTerms(1000.0, 100.0, 10.0), 500.0, 7000.0)
    fixed, each = by_width(work, 8.0)
    assert fixed == Work(NO_DRAFT, 500.0, 7000.0)
    assert each.times(8.0) == pytest.approx(work.draft)
    fixed, each = by_depth(work, part, 0.25)
    assert (fixed.steady_pull, fixed.other_power) == (500.0, 7000.0)
    assert fixed.draft == pytest.approx((700.0, 80.0, 6.0))
    assert fixed.draft.plus(each, 0.25) == pytest.approx(work.draft)


# ---- fuel


def test_fuel_in_litres():
    # 100 kW at half load: (0.11 + 0.096) x 100 = 20.6 L/h; at three quarters of full engine speed a little less.
    litres_an_hour = 1e-3 / 3600.0
    assert fuel_rate(0.5, 100e3) == pytest.approx(20.6 * litres_an_hour)
    assert reduced_speed_factor(0.5, 0.75) == pytest.approx(1.0 + 0.25 * (0.225 - 0.877))
    assert older_fuel_rate(0.5, 100e3) == pytest.approx((1.32 + 3.91 - 0.203 * math.sqrt(542.0)) * 50 * litres_an_hour)
    assert annual_average_fuel_rate(100e3, DIESEL_ANNUAL_AVERAGE) == pytest.approx(22.3 * litres_an_hour, rel=2e-3)
    assert fuel_per_area(20.6 * litres_an_hour, 2e4 / 3600.0) * 1e7 == pytest.approx(10.3)
    # 7 h at work, 2 h on turns at a quarter of the rate, 1 h standing at a tenth: 7.6 of 10.
    assert mean_over_working(7.0, 2.0, 1.0, 0.25, 0.1) == pytest.approx(0.76)


# ---- wheels


def test_two_older_models_of_a_wheel_by_hand():
    # 1 MPa, 0.5 m, 1.6 m and 20 kN: Cn 40. With delta/h 0.25 M = 40 x 0.5 / (1 + 0.5/3.2).
    assert wheel_numeric(1e6, 0.5, 1.6, 20e3) == pytest.approx(40.0)
    assert wismer_luth_gross_ratio(40.0, 0.1) == pytest.approx(0.75 * (1.0 - math.exp(-1.2)))
    assert wismer_luth_motion_resistance_ratio(40.0) == pytest.approx(0.07)
    tire = gee_clough(1e6, 0.5, 1.6, 20e3, 0.25)
    mobility = 20.0 / 1.15625
    most = 0.796 - 0.92 / mobility
    assert tire == pytest.approx((mobility, most, (4.838 + 0.061 * mobility) / most, 0.049 + 0.287 / mobility))
    net = most * (1.0 - math.exp(-tire.rate * 0.1))
    assert tire.net_ratio(0.1) == pytest.approx(net)
    assert tire.efficiency(0.1) == pytest.approx(0.9 * net / (net + tire.rolling_resistance))


def test_a_wheel_that_wallows_gives_no_traction():
    assert gee_clough(5e4, 0.5, 1.6, 40e3, 0.25).net_ratio(0.3) == 0.0


def test_stiffness_and_the_track_by_hand():
    assert wheel_stiffness(1e6, 0.5, 1.5, 0.2) == pytest.approx(1e6 * 0.75 * 2.0 / 2.0)
    assert second_pass_cone_index(1e6, 10.0) == pytest.approx(1e6 * (1.0 + 1.8 * math.exp(-1.1)))


def test_effort_is_the_need_over_what_there_is_and_each_newton_where_there_is_nothing():
    assert pull_effort(15e3, 20e3) == pytest.approx(0.75)
    assert pull_effort(20e3, 20e3) == 1.0
    assert pull_effort(-200.0, -500.0) == pytest.approx(301.0)


def test_the_error_of_a_slip_by_hand():
    assert slip_standard_error(3.0, 4.0, 0.08) == pytest.approx(0.02 * 1.25)


# ---- power by ratio, and how far it reaches


def test_power_by_ratio_by_hand():
    work = Work(DraftTerms(10e3, 2e3, 0.0), 1e3, 5e3)
    # (10 + 2 x 2 + 1 + 3) kN at 2 m/s over 0.75, and 5 kW.
    assert power_by_ratio(work, 3e3, 0.75, 2.0) == pytest.approx(53e3)


def able(drawbar_per_pto, power):
    """The reach of a tractor that pulls anything, of which only the drawbar/PTO ratio and the power [W] are known."""

    def takes(machine, pull, speed):
        return power_by_ratio(Work(NO_DRAFT, pull, 0.0), 0.0, drawbar_per_pto, speed)

    return Reach(1e12, power, (), takes)


def test_a_tractor_pushed_downhill_needs_no_power_to_pull():
    work = Work(DraftTerms(10e3, 0.0, 0.0), 0.0, 5e3)
    assert power_by_ratio(work, -12e3, 0.75, 2.0) == power_by_ratio(work, -10e3, 0.75, 2.0) == 5e3


@pytest.mark.parametrize(
    ("power", "value", "fits", "to_the_end"),
    # 10 kN at 0.8: 12.5 kW for each metre a second, between 1 and 4.
    [(12.4e3, 1.0, False, False), (25e3, 2.0, True, False), (50e3, 4.0, True, True), (60e3, 4.0, True, True)],
)
def test_power_ends_the_speed_of_a_steady_pull(power, value, fits, to_the_end):
    found = greatest_speed(able(0.8, power), Work(DraftTerms(10e3, 0.0, 0.0), 0.0, 0.0), 1.0, 4.0)
    assert found.value == pytest.approx(value, rel=1e-8)
    assert (found.fits, found.to_the_end) == (fits, to_the_end)


def test_power_that_is_just_enough_is_enough():
    # 10 kN at 4 m/s over 0.5 is 80 kW to the last bit.
    found = greatest_speed(able(0.5, 80e3), Work(DraftTerms(10e3, 0.0, 0.0), 0.0, 0.0), 1.0, 4.0)
    assert found == (4.0, True, True)


@pytest.mark.parametrize(("power", "fits"), [(80e3, True), (79.9e3, False)])
def test_a_search_without_breadth_says_whether_its_one_speed_fits(power, fits):
    found = greatest_speed(able(0.5, power), Work(DraftTerms(10e3, 0.0, 0.0), 0.0, 0.0), 4.0, 4.0)
    assert found == (4.0, fits, fits)


def test_pull_ends_speed_where_draft_rises_and_allows_all_or_none_where_it_does_not():
    reach = able(0.8, 1e9)._replace(pull=12e3)
    rising = Work(DraftTerms(4e3, 0.0, 2e3), 0.0, 0.0)
    assert greatest_speed(reach, rising, 0.5, 4.0).value == pytest.approx(2.0, rel=1e-8)
    for pull, fits in ((12e3, True), (12e3 + 0.5, False)):
        found = greatest_speed(reach, Work(DraftTerms(pull, 0.0, 0.0), 0.0, 0.0), 0.5, 4.0)
        assert (found.value, found.fits, found.to_the_end) == (4.0 if fits else 0.5, fits, fits)


def test_power_ends_a_speed_at_which_the_steady_pull_is_just_held():
    reach = able(0.8, 25e3)._replace(pull=10e3)
    found = greatest_speed(reach, Work(DraftTerms(10e3, 0.0, 0.0), 0.0, 0.0), 1.0, 4.0)
    assert found.value == pytest.approx(2.0, rel=1e-8)
    assert (found.fits, found.to_the_end) == (True, False)


@pytest.mark.parametrize(("speed", "fits"), [(0.99, False), (1.01, True), (1.05, True), (3.99, True), (4.01, True)])
def test_a_speed_just_inside_either_end_of_the_search_is_found(speed, fits):
    # Draft grows with the square of speed, power with the cube: 1 kN at 1 m/s, over 0.8.
    found = greatest_speed(able(0.8, 1250.0 * speed**3), Work(DraftTerms(0.0, 0.0, 1e3), 0.0, 0.0), 1.0, 4.0)
    assert found.value == pytest.approx(min(max(speed, 1.0), 4.0), rel=1e-8)
    assert (found.fits, found.to_the_end) == (fits, speed > 4.0)


@pytest.mark.parametrize("speed", [1.05, 1.5, 2.5, 3.9])
def test_the_search_for_a_speed_takes_a_few_steps(speed):
    asked = []

    def takes(_, pull, at):
        asked.append(at)
        return pull * at

    work = Work(DraftTerms(1e3, 200.0, 300.0), 500.0, 2e3)
    power = takes((), work.draft.at(speed) + work.steady_pull, speed) + work.other_power
    found = greatest_speed(Reach(1e6, power, (), takes), work, 1.0, 4.0)
    assert found.value == pytest.approx(speed, rel=1e-8)
    assert len(asked) <= 8


def test_power_that_lies_flat_and_then_leaps_is_found_in_a_few_steps_too():
    asked = []

    def takes(_, pull, at):
        asked.append(at)
        return 1e3 + min(at, 3.0) + 1e4 * max(at - 3.0, 0.0)

    found = greatest_speed(Reach(1e6, 1e3 + 3.0 + 3e3, (), takes), Work(NO_DRAFT, 0.0, 0.0), 1.0, 4.0)
    assert found.value == pytest.approx(3.3, rel=1e-8)
    assert (found.fits, found.to_the_end) == (True, False)
    assert len(asked) <= 10


@pytest.mark.parametrize(("power", "value", "steps"), [(4e3, 4.0, 1), (5e3, 4.0, 1), (0.9e3, 1.0, 5)])
def test_a_search_for_a_speed_ends_as_soon_as_all_or_none_will_do(power, value, steps):
    asked = []

    def takes(_, pull, at):
        asked.append(at)
        return pull * at

    found = greatest_speed(Reach(1e6, power, (), takes), Work(NO_DRAFT, 1e3, 0.0), 1.0, 4.0)
    assert found == (value, power >= 4e3, power >= 4e3)
    assert len(asked) <= steps


def test_rows_that_have_arrived_are_not_reckoned_again():
    rows = []

    def takes(_, pull, at):
        rows.append(np.size(at))
        return pull * at

    # Nine may go as fast as the search does, one is held to 2 m/s.
    power = np.array([9e3] * 9 + [2e3])
    found = greatest_speed(Reach(1e6, power, (), takes), Work(NO_DRAFT, np.full(10, 1e3), 0.0), 1.0, 4.0)
    assert found.value == pytest.approx([4.0] * 9 + [2.0], rel=1e-8)
    assert rows == [10] + [1] * (len(rows) - 1)


def amount_within(reach, fixed, per_unit, speed, low, high):
    """Return the greatest amount, by way of the greatest pull."""
    return greatest_amount(greatest_pull(reach, speed, fixed.other_power), fixed, per_unit, speed, low, high)


def test_pull_ends_the_width_and_allows_all_or_none_where_width_adds_nothing():
    reach = able(0.8, 1e9)._replace(pull=12e3)
    fixed = Work(NO_DRAFT, 2e3, 0.0)
    assert amount_within(reach, fixed, DraftTerms(2e3, 0.0, 0.0), 2.0, 1.0, 9.0).value == pytest.approx(5.0, rel=1e-8)
    for pull, fits in ((12e3, True), (12e3 + 0.5, False)):
        found = amount_within(reach, Work(NO_DRAFT, pull, 0.0), NO_DRAFT, 2.0, 1.0, 9.0)
        assert (found.value, found.fits, found.to_the_end) == (9.0 if fits else 1.0, fits, fits)


def test_a_draft_of_less_than_a_newton_each_counts():
    # 40 N are left for seeds of half a newton each.
    reach = able(0.8, 1e9)._replace(pull=100.0)
    found = amount_within(reach, Work(NO_DRAFT, 60.0, 0.0), DraftTerms(0.5, 0.0, 0.0), 1.0, 1.0, 1e3)
    assert found.value == pytest.approx(80.0, rel=1e-8)
    assert (found.fits, found.to_the_end) == (True, False)


def test_power_ends_the_width_from_nothing_on():
    # 2 kW besides, 8 kN for each metre at 1 m/s over 0.8: 10 kW a metre.
    reach = able(0.8, 32e3)
    found = amount_within(reach, Work(NO_DRAFT, 0.0, 2e3), DraftTerms(8e3, 0.0, 0.0), 1.0, 0.0, 9.0)
    assert found.value == pytest.approx(3.0, rel=1e-8)
    assert (found.fits, found.to_the_end) == (True, False)


# ---- the greatest and the least


def test_an_excess_of_nothing_is_kept():
    assert greatest_within(lambda x: x - 2.0, 0.0, 2.0) == (2.0, 0.0)
    assert greatest_within(lambda x: x, 0.0, 2.0) == pytest.approx((0.0, 0.0), abs=5e-9)


def test_a_tolerance_is_over_the_breadth_of_the_search():
    tried = []

    def exceeds(x):
        tried.append(x)
        return -1.0 if x < 1234.5 else 1.0

    rough = greatest_within(exceeds, 1000.0, 2000.0, tolerance=1e-3)
    assert 1234.5 - 4.0 <= rough.value < 1234.5
    # Halving 1000 down to 2.
    assert len(tried) <= 2 + 10


def test_a_tolerance_does_not_grow_with_how_far_from_zero_the_search_lies():
    found = greatest_within(lambda x: -1.0 if x < 1e6 + 0.3 else 1.0, 1e6, 1e6 + 1.0, tolerance=1e-6)
    assert 1e6 + 0.3 - 4e-6 <= found.value < 1e6 + 0.3


@pytest.mark.parametrize(
    ("excess", "low", "high"),
    [
        (lambda x: x**3 - 2.0, 0.0, 5.0),
        (lambda x: math.expm1(3.0 * (x - 0.3)), 0.0, 1.0),
        (lambda x: math.atan(x - 1.3), -4.0, 9.0),
        (lambda x: 0.2 - 1.0 / x, 1.0, 40.0),
    ],
)
def test_a_smooth_excess_takes_a_third_of_the_steps_of_halving(excess, low, high):
    asked = []
    greatest_within(lambda x: asked.append(x) or excess(x), low, high, tolerance=1e-9)
    # 1e-9 is 2 to the power of -30.
    assert len(asked) <= 12


@pytest.mark.parametrize("level", [-1.0, 1.0])
def test_a_search_whose_ends_tell_all_is_over_at_once(level):
    tried = []

    def exceeds(x):
        tried.append(x)
        return level

    greatest_within(exceeds, 0.0, 1.0)
    assert len(tried) <= 3


def test_a_minimum_is_found_where_it_is_or_at_an_end():
    inside = find_minimum(lambda x: x + 25.0 / x, 0.1, 1e3)
    assert inside.at == pytest.approx(5.0, rel=1e-6)
    assert inside.cost == pytest.approx(10.0, rel=1e-12)
    assert find_minimum(lambda x: x, 2.0, 9.0) == (2.0, 2.0)
    assert find_minimum(lambda x: -x, 2.0, 9.0) == (9.0, -9.0)


def test_a_band_by_hand():
    # x + 25/x = 26 at 1 and 25.
    minimum = find_minimum(lambda x: x + 25.0 / x, 0.1, 1e3)
    found = band_within(lambda x: x + 25.0 / x, 26.0, minimum, 0.1, 1e3)
    assert found == (pytest.approx(1.0, rel=1e-6), pytest.approx(25.0, rel=1e-6), False, False, True)
    # What the search leaves off is told, at either end, also where the cost there is just the limit.
    found = band_within(lambda x: x + 25.0 / x, 26.0, minimum, 1.0, 20.0)
    assert found == (pytest.approx(1.0, rel=1e-6), pytest.approx(20.0), True, True, True)
    never = band_within(lambda x: x + 25.0 / x, 9.9, minimum, 1.0, 20.0)
    assert never == (minimum.at, minimum.at, False, False, False)


def test_a_limit_of_just_the_least_cost_is_kept_at_the_minimum():
    minimum = find_minimum(lambda x: x + 25.0 / x, 0.1, 1e3)
    assert band_within(lambda x: x + 25.0 / x, minimum.cost, minimum, 0.1, 1e3).kept
    level = find_minimum(lambda x: 3.0 + 0.0 * x, 1.0, 9.0)
    assert band_within(lambda x: 3.0 + 0.0 * x, 3.0, level, 1.0, 9.0)[2:] == (True,) * 3


# ---- cost


def test_a_year_of_a_machine_by_hand():
    # 20 000 new, kept 4 years of 250 h at 5 %; worth (1 - 0.1 sqrt(4) - 0.01 sqrt(250))^2 of it in the end.
    machine = Owned(20e3, 20e3, RemainingValue(1.0, 0.1, 0.01), 0.1, 2.0, 0.0, 0.0, 4.0, 0.05, 0.02)
    cost = yearly_cost(machine, 250.0 * HOUR)
    resale = 20e3 * (0.8 - 0.01 * math.sqrt(250.0)) ** 2
    assert cost.resale == pytest.approx(resale)
    assert cost.recovery == pytest.approx((20e3 - resale) * 0.05 / (1.0 - 1.05**-4) + 0.05 * resale)
    assert cost.standing == pytest.approx(400.0)
    # 0.1 x 20 000 x 1^2 after 1000 h, over 4 years.
    assert cost.repairs == pytest.approx(500.0)


def test_a_used_machine_repairs_up_the_curve_and_is_worth_by_its_whole_life():
    machine = Owned(9e3, 20e3, RemainingValue(1.0, 0.1, 0.01), 0.1, 2.0, 5.0, 1000.0 * HOUR, 4.0, 0.05, 0.02)
    cost = yearly_cost(machine, 250.0 * HOUR)
    # From 1000 h to 2000 h: 2000 (4 - 1) over 4 years; 9 years old with 2000 / 9 hours a year.
    assert cost.repairs == pytest.approx(1500.0)
    assert cost.resale == pytest.approx(20e3 * (0.7 - 0.01 * math.sqrt(2000.0 / 9.0)) ** 2)


def test_recovery_of_the_textbook():
    assert capital_recovery_factor(0.05, 4.0) == pytest.approx(0.28201, abs=1e-5)


def test_work_by_hand_without_machines_of_ones_own():
    # 72 ha at 2 m^2/s take 100 h at 30 an hour, and 5 a hectare.
    assert work_cost((), (), 72e4, 2.0, 30.0 / HOUR, 5e-4) == pytest.approx(3360.0)


def test_no_machine_is_left_out_for_want_of_its_other_use():
    machine = Owned(1e5, 1e5, RemainingValue(1.0, 0.1, 0.01), 0.01, 1.3, 0.0, 0.0, 10.0, 0.04, 0.01)
    with pytest.raises(ValueError, match="shorter"):
        work_cost((machine, machine), (HOUR,), 72e4, 2.0, 0.0, 0.0)


# ---- passes


def test_a_pass_leaves_its_share_and_takes_its_days():
    assert cover_left(0.8, 0.5, 2.0) == pytest.approx(0.2)
    assert (start_day(10.0, 12.5), start_day(10.0, 8.0)) == (12.5, 10.0)
    assert finish_day(10.0, 40.0 * HOUR, 10.0 * HOUR, 0.5) == pytest.approx(18.0)
    assert relative_change(12.0, 10.0) == pytest.approx(0.2)


# ---- floats as arrays


def test_of_two_numbers_the_smaller_and_the_larger():
    for first, second in ((1.0, 2.0), (2.0, 1.0), (2.0, 2.0)):
        assert smaller(first, second) == min(first, second)
        assert larger(first, second) == max(first, second)


def test_a_choice_is_made_once_or_row_by_row():
    assert choose(True, 1.0, 2.0) == 1.0
    assert choose(False, 1.0, 2.0) == 2.0
    assert choose(np.array([True, False]), 1.0, 2.0).tolist() == [1.0, 2.0]
