"""Laws of oil and of weights on hitch and axles."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.hitch import standing_loads, tires_capacity, towed_loads
from drawbar_service.engine.hydraulics import (
    cylinder_flow,
    cylinder_force,
    cylinder_pressure,
    fixed_pump,
    load_sensing_pump,
    motor_flow,
    motor_pressure,
    piston_area,
    pump_flow,
    rod_side_area,
    series_stroke,
    stroke_time,
)
from drawbar_service.engine.power import hydraulic_power

flows = st.floats(1e-5, 3e-3)
pressures = st.floats(1e5, 3e7)
efficiencies = st.floats(0.5, 1.0)
areas = st.floats(1e-4, 5e-2)
loads = st.floats(0.0, 5e5)


@given(st.floats(5e-6, 1e-4), st.floats(10.0, 500.0), st.floats(1.0, 500.0), efficiencies, efficiencies)
def test_a_motor_gives_the_power_of_its_oil_less_both_losses(displacement, rotation, torque, leak, friction):
    fluid = hydraulic_power(motor_flow(displacement, rotation, leak), motor_pressure(torque, displacement, friction))
    assert fluid * leak * friction == pytest.approx(torque * rotation)


@given(st.floats(5e-6, 1e-4), st.floats(10.0, 500.0), efficiencies)
def test_a_pump_turns_a_motor_of_its_own_size_slower_by_both_leaks(displacement, rotation, leak):
    flow = pump_flow(displacement, rotation, leak)
    assert flow == pytest.approx(motor_flow(displacement, rotation * leak * leak, leak))


@given(areas, st.floats(0.05, 3.0), st.floats(0.5, 60.0), loads)
def test_oil_does_the_work_of_the_load(area, stroke, time, load):
    flow = cylinder_flow(area, stroke, time)
    pressure = cylinder_pressure(load, area, 0.5 * area, 0.0)
    assert stroke_time(area, stroke, flow) == pytest.approx(time)
    assert cylinder_force(pressure, area) == pytest.approx(load)
    assert hydraulic_power(flow, pressure) * time == pytest.approx(load * stroke)


@given(st.lists(st.tuples(st.floats(0.1, 0.9), loads), min_size=2, max_size=6), areas)
def test_in_phase_the_first_carries_all_loads_and_all_travel_alike(steps, first):
    """Each piston equals the rod side before it."""
    pistons = [first]
    for share, _ in steps[:-1]:
        pistons.append(pistons[-1] * share)
    behind = 0.0
    for piston, (share, load) in reversed(list(zip(pistons, steps, strict=True))):
        behind = cylinder_pressure(load, piston, share * piston, behind)
    assert behind == pytest.approx(sum(load for _, load in steps) / first)
    for (share, _), before, after in zip(steps, pistons, pistons[1:], strict=False):
        assert series_stroke(0.4, share * before, after) == pytest.approx(0.4)


@given(st.floats(0.03, 0.3), st.floats(0.1, 0.95))
def test_piston_is_rod_side_and_rod(bore, share):
    assert piston_area(bore) == pytest.approx(rod_side_area(bore, share * bore) + piston_area(share * bore))


@given(st.lists(st.tuples(flows, pressures), min_size=1, max_size=6), flows, st.floats(1e7, 3e7), st.floats(0.0, 3e6))
def test_heat_is_what_the_pump_gives_and_no_function_takes(functions, available, relief, margin):
    flow = sum(one for one, _ in functions)
    highest = max(pressure for _, pressure in functions)
    useful = sum(hydraulic_power(*one) for one in functions)
    for point in (
        fixed_pump(flow, highest, useful, available, relief),
        load_sensing_pump(flow, highest, useful, margin),
    ):
        assert point.over_relief >= 0.0
        assert point.throttled >= 0.0
        assert point.power() == pytest.approx(useful + point.heat())
        assert point.flow >= flow
        assert point.pressure >= highest
    assert load_sensing_pump(flow, highest, useful, margin).over_relief == 0.0


@given(flows, st.floats(1e5, 1e7), st.floats(1.01, 5.0))
def test_a_fixed_pump_heats_by_its_whole_relief_pressure(flow, pressure, more):
    point = fixed_pump(flow, pressure, hydraulic_power(flow, pressure), more * flow, 2e7)
    assert point.heat() == pytest.approx(more * flow * 2e7 - flow * pressure)
    just_enough = fixed_pump(flow, pressure, hydraulic_power(flow, pressure), flow, 2e7)
    assert just_enough.heat() == pytest.approx(0.0, abs=1e-9 * flow * pressure)


@given(st.floats(1e3, 3e5), st.floats(0.5, 9.0), st.floats(1.0, 9.0))
def test_a_lever_keeps_weight_and_moment(weight, distance, length):
    towed = towed_loads(weight, distance, length)
    assert towed.hitch + towed.axle == pytest.approx(weight)
    assert towed.axle * length == pytest.approx(weight * distance)
    assert (towed.hitch > 0.0) == (distance < length) or math.isclose(distance, length)


@given(st.floats(2e4, 3e5), st.floats(0.25, 0.6), st.floats(2.0, 4.0), st.floats(0.3, 4.0), st.floats(0.0, 1e5))
def test_the_tractor_carries_itself_and_the_load(weight, share, wheelbase, distance, load):
    standing = standing_loads(weight, share, wheelbase, distance, load)
    assert standing.front + standing.rear == pytest.approx(weight + load)
    # Moments about the rear axle.
    assert standing.front * wheelbase == pytest.approx(weight * share * wheelbase - load * distance, abs=1e-6 * weight)


@given(st.floats(1e4, 8e4), st.floats(0.5, 1.0))
def test_duals_carry_less_than_two_singles_but_more_than_one(load, multiplier):
    dual = tires_capacity(load, 4.0, multiplier)
    assert 2.0 * load <= dual <= 4.0 * load
