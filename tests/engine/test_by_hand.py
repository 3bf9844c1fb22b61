"""Single equations against figures worked by hand, in the trade's units where the docstrings give them."""

import math

import numpy as np
import pytest

from drawbar_service.engine.arrays import STANDARD_GRAVITY, choose, larger, smaller, worst
from drawbar_service.engine.capacity import field_time, material_capacity, reversing_path, turn_reach, turning_path
from drawbar_service.engine.draft import NO_DRAFT, DraftTerms, draft_terms, grade_resistance, specific_draft, tool_draft
from drawbar_service.engine.hydraulics import load_sensing_pump
from drawbar_service.engine.match import Work
from drawbar_service.engine.power import (
    drawbar_power,
    engine_from_pto,
    hydraulic_power,
    input_power,
    pto_equivalent_of_drawbar,
    pto_from_engine,
    rotary_power,
    shaft_power,
    shaft_torque,
    torque_at_axle,
)
from drawbar_service.engine.reach import by_depth, by_width

# ---- draft


def test_draft_by_hand():
    # 0.7 (100 + 10 x 7.2 + 7.2^2) x 3 m x 20 cm at 7.2 km/h, which is 2 m/s.
    terms = draft_terms(100.0, 10.0, 1.0, 0.7, 3.0, 0.2)
    assert terms == pytest.approx((4200.0, 1512.0, 544.32))
    assert tool_draft(100.0, 10.0, 1.0, 0.7, 3.0, 0.2, 2.0) == pytest.approx(9401.28)


def test_without_depth_one_centimetre_counts():
    assert draft_terms(100.0, 10.0, 1.0, 0.7, 3.0, None) == pytest.approx(draft_terms(100.0, 10.0, 1.0, 0.7, 3.0, 0.01))


def test_terms_add_once_unless_told_otherwise():
    terms = DraftTerms(1.0, 2.0, 3.0)
    assert terms.plus(DraftTerms(10.0, 20.0, 30.0)) == (11.0, 22.0, 33.0)
    assert terms.plus(DraftTerms(10.0, 20.0, 30.0), -0.5) == (-4.0, -8.0, -12.0)
    assert NO_DRAFT.plus(terms) == terms


def test_a_tonne_on_a_slope_of_three_in_five():
    assert grade_resistance(1000.0, 0.6) == pytest.approx(600.0 * STANDARD_GRAVITY) == pytest.approx(5883.99)


def test_draft_over_the_furrow():
    assert specific_draft(12_000.0, 1.5, 0.2) == pytest.approx(40_000.0)


# ---- power


def test_power_in_the_units_of_the_trade():
    # kW = kN x km/h / 3.6; kW = 2 pi T n / 60000; kW = L/min x bar / 600.
    assert drawbar_power(36e3, 10 / 3.6) == pytest.approx(100e3)
    assert shaft_power(955.0, 1000 * 2 * math.pi / 60) == pytest.approx(100e3, rel=1e-4)
    assert hydraulic_power(100 / 60e3, 180e5) == pytest.approx(30e3)


def test_torque_and_power_of_a_shaft_undo_each_other():
    assert shaft_torque(shaft_power(955.0, 56.0), 56.0) == pytest.approx(955.0)


def test_a_rotary_machine_runs_empty_and_takes_width_and_material():
    assert rotary_power(2000.0, 3000.0, 1500.0, 4.0, 6.0) == 2000.0 + 12_000.0 + 9000.0


def test_losses_on_the_way_ask_for_more():
    assert pto_equivalent_of_drawbar(36e3, 0.75, 0.96) == pytest.approx(50e3)
    assert input_power(16e3, 0.8) == pytest.approx(20e3)
    assert pto_from_engine(100e3, 0.9) == pytest.approx(90e3)
    assert engine_from_pto(90e3, 0.9) == pytest.approx(100e3)


def test_torque_is_force_at_the_radius():
    assert torque_at_axle(20e3, 0.8) == pytest.approx(16e3)


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


# ---- floats as arrays


def test_of_two_numbers_the_smaller_and_the_larger():
    for first, second in ((1.0, 2.0), (2.0, 1.0), (2.0, 2.0)):
        assert smaller(first, second) == min(first, second)
        assert larger(first, second) == max(first, second)


def test_the_worst_of_many_of_one_and_of_none():
    assert worst(np.array([1.0, 3.0, 2.0])) == 3.0
    assert worst(-4.0) == -4.0
    assert worst(np.array([])) == -math.inf


def test_a_choice_is_made_once_or_row_by_row():
    assert choose(True, 1.0, 2.0) == 1.0
    assert choose(False, 1.0, 2.0) == 2.0
    assert choose(np.array([True, False]), 1.0, 2.0).tolist() == [1.0, 2.0]
