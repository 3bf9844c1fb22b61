"""Laws of ballast and of stress in the soil, and answers against plain search and integration."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.integrate import quad

from drawbar_service.engine import ballast
from drawbar_service.engine.axle_loads import Stance
from drawbar_service.engine.ballast import (
    NO_WEIGHT,
    ballast_for_axles,
    least_front_ballast,
    least_rear_ballast,
    power_paths,
    reweighed,
    sliding,
    steering_weight,
    transport_front_axle,
    weight_for_slip,
)
from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.match import Tractor, Work, operate, spare_traction
from drawbar_service.engine.slip import Axle
from drawbar_service.engine.soil_stress import circle_stress, contact_area, point_load_stress, stress_under_tire
from drawbar_service.engine.traction import BIAS, RADIAL


def reals(low, high):
    return st.floats(low, high)


AXLES = st.builds(Axle, reals(3e5, 8e6), st.sampled_from([BIAS, RADIAL]), st.sampled_from([0.0, 1.0]), reals(0.0, 0.05))
REARS = st.builds(Axle, reals(1e6, 8e6), st.sampled_from([BIAS, RADIAL]), st.just(1.0))
SLOPES = reals(-0.15, 0.15)
HITCHES = st.tuples(
    reals(2.3, 3.5),
    reals(0.6, 1.3),
    reals(0.3, 0.8),
    reals(0.6, 1.2),
    reals(0.6, 2.5),
    reals(0.0, 2e4),
    reals(0.0, 0.25),
)
STANCES = st.builds(lambda hitch, slope: Stance(*hitch, math.sin(slope), math.cos(slope)), HITCHES, SLOPES)
SHARES = reals(0.3, 0.6)
KEPT = 0.12
HEAVIEST = 6e5


def tractor(front, rear, stance):
    return Tractor(front, rear, stance.loads(1e5, 0.4), 1e5 * stance.sine, 0.96)


def lightest(stance, share, pull):
    weight = steering_weight(stance, share, pull, KEPT)
    assume(weight < 0.5 * HEAVIEST)
    return max(float(weight), 3e3)


@given(AXLES, REARS, STANCES, SHARES, reals(0.0, 1.2e5), reals(0.05, 0.2))
def test_the_weight_found_gives_the_slip_and_no_less_does(front, rear, stance, share, pull, slip):
    machine, low = tractor(front, rear, stance), lightest(stance, share, pull)
    found = weight_for_slip(machine, stance, share, pull, slip, low, HEAVIEST)

    def spare(weight):
        return spare_traction(reweighed(machine, stance, weight, share), pull, slip)

    grid = np.geomspace(low, HEAVIEST, 400)
    if not found.carried:
        assert np.max(spare(grid)) < 1e-6 * HEAVIEST
        return
    assert np.all(spare(grid[grid < found.weight * (1.0 - 1e-6)]) < 0.0)
    if found.weight > low:
        point = operate(reweighed(machine, stance, found.weight, share), Work(NO_DRAFT, pull, 0.0), 2.0)
        assert point.slip == pytest.approx(slip, abs=1e-6)


def test_a_tractor_of_another_weight_stands_on_its_axles_with_that_weight():
    # Slope of 3 in 5; h = 1 m, L = 2.5 m: 100 kN x 0.4 x 0.8 - 100 kN x 1/2.5 x 0.6 = 8 kN in front of 80 kN.
    stance = Stance(2.5, 1.0, 0.5, 1.0, 1.0, 0.0, 0.0, 0.6, 0.8)
    before = Tractor(Axle(1e6, RADIAL, 0.0), Axle(2e6, RADIAL, 1.0), stance.loads(5e4, 0.5), 3e4, 0.96)
    after = reweighed(before, stance, 1e5, 0.4)
    assert (after.loads.front(0.0), after.loads.rear(0.0)) == pytest.approx((8e3, 72e3))
    assert after.grade_pull == pytest.approx(60e3)
    assert (after.front, after.rear, after.transmission_efficiency) == (before.front, before.rear, 0.96)


def for_a_pull_of_40_kn(lightest, heaviest):
    """The least weight between two at which a tractor on level ground pulls 40 kN at a tenth of slip."""
    stance = Stance(2.8, 1.0, 0.5, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0)
    machine = Tractor(Axle(2e6, RADIAL, 1.0), Axle(4e6, RADIAL, 1.0), stance.loads(1e5, 0.4), 0.0, 0.96)
    return weight_for_slip(machine, stance, 0.4, 40e3, 0.1, lightest, heaviest)


def test_the_weight_does_not_depend_on_where_the_search_begins_and_ends():
    least = for_a_pull_of_40_kn(2e4, 6e5).weight
    assert 6e4 < least < 2e5
    for start in (0.3, 0.6, 0.9, 0.999, 1.0 - 3e-6):
        for end in (1.0 + 1e-6, 1.5, 10.0):
            found = for_a_pull_of_40_kn(start * least, end * least)
            assert found == (pytest.approx(least, rel=1e-11), True)


def test_many_weights_are_found_as_each_is_alone():
    # Some rows have enough at once, some have a root, and some need all but the highest point and take many steps.
    stance = Stance(2.8, 1.0, 0.5, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0)
    machine = Tractor(Axle(2e5, RADIAL, 1.0), Axle(4e5, RADIAL, 1.0), stance.loads(1e5, 0.4), 0.0, 0.96)
    pulls = np.concatenate([np.linspace(0.0, 6e4, 200), np.linspace(1.4e4, 1.7e4, 400)])
    found = weight_for_slip(machine, stance, 0.4, pulls, 0.1, 2e4, 6e5)
    alone = [weight_for_slip(machine, stance, 0.4, float(pull), 0.1, 2e4, 6e5) for pull in pulls]
    assert np.asarray(found.carried).tolist() == [one.carried for one in alone]
    assert 50 < np.count_nonzero(found.carried) < 550
    assert np.asarray(found.weight).tolist() == [one.weight for one in alone]


def test_the_search_ends_when_the_weight_is_found(monkeypatch):
    tried = []

    def counted(*arguments):
        tried.append(1)
        return spare_traction(*arguments)

    monkeypatch.setattr(ballast, "spare_traction", counted)
    assert for_a_pull_of_40_kn(2e4, 6e5).carried
    assert len(tried) < 12


@pytest.mark.parametrize("heavier", [1e-7, 1e-5, 0.1])
def test_a_lightest_tractor_that_has_enough_is_the_answer_however_little_it_has_to_spare(heavier):
    lightest = for_a_pull_of_40_kn(2e4, 6e5).weight * (1.0 + heavier)
    assert for_a_pull_of_40_kn(lightest, 6e5) == (lightest, True)


@pytest.mark.parametrize(("heaviest", "carried"), [(0.9, False), (1.0 - 1e-6, False), (1.0 + 1e-7, True)])
@pytest.mark.parametrize("lightest", [0.5, 1.0 - 5e-6])
def test_a_heaviest_tractor_says_whether_it_carries_the_pull(lightest, heaviest, carried):
    least = for_a_pull_of_40_kn(2e4, 6e5).weight
    found = for_a_pull_of_40_kn(min(lightest, heaviest) * least, heaviest * least)
    assert found.carried is carried
    assert found.weight == pytest.approx(min(heaviest, 1.0) * least, rel=2e-7)


@given(AXLES, REARS, STANCES, SHARES, reals(0.0, 1.2e5), reals(0.02, 0.3), reals(1.0, 3.0), reals(1.0, 3.0))
def test_spare_traction_is_concave_in_the_weight(front, rear, stance, share, pull, slip, first, second):
    machine, low = tractor(front, rear, stance), lightest(stance, share, pull)
    ends, middle = (first * low, second * low), 0.5 * (first + second) * low

    def spare(weight):
        return spare_traction(reweighed(machine, stance, weight, share), pull, slip)

    assert spare(middle) >= 0.5 * (spare(ends[0]) + spare(ends[1])) - 1e-9 * (pull + middle)


@given(AXLES, REARS, STANCES, SHARES, reals(6e4, 2e5), reals(0.0, 8e4), reals(0.5, 4.0))
def test_axle_power_goes_four_ways_and_no_other(front, rear, stance, share, weight, pull, speed):
    machine = reweighed(tractor(front, rear, stance), stance, weight, share)
    point = operate(machine, Work(NO_DRAFT, pull, 0.0), speed)
    assume(point.pull_effort < 1.0)
    # Front wheels geared ahead may push more than is asked for without slip; a rounding above 0 stands for none.
    assume(point.slip > 1e-9)
    assume(machine.loads.front(pull) > 100.0)
    assert sum(power_paths(machine, point)) == pytest.approx(point.axle_power, rel=1e-7, abs=1.0)


@given(STANCES, SHARES, reals(0.0, 1e5), reals(0.05, 0.2))
def test_the_steering_weight_leaves_just_what_is_kept(stance, share, pull, kept):
    weight = steering_weight(stance, share, pull, kept)
    assume(weight < NO_WEIGHT)
    assert stance.loads(weight, share).front(pull) == pytest.approx(kept * weight, rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("share", [0.1, 0.15])
def test_no_weight_steers_where_the_split_leaves_nothing(share):
    stance = Stance(2.8, 1.0, 0.5, 1.0, 1.0, 0.0, 0.0, 0.0, 1.0)
    assert steering_weight(stance, share, 1e4, 0.15) == NO_WEIGHT


@given(reals(-2e3, 2e3), reals(-2e3, 2e3), reals(2.0, 4.0), reals(0.0, 2.0))
def test_hung_ballast_brings_about_the_axle_masses(front_change, total, wheelbase, reach):
    hung = ballast_for_axles(front_change, total, wheelbase, reach)
    # Moments about the rear axle, which the rear ballast stands on.
    assert hung.front * (wheelbase + reach) / wheelbase == pytest.approx(front_change, abs=1e-9)
    assert hung.front + hung.rear == pytest.approx(total, abs=1e-9)


MASSES = reals(0.0, 4e3)


@given(MASSES, reals(0.5, 2.5), reals(1.2, 3.5), reals(1.5e3, 6e3), reals(3e3, 1.2e4), reals(2.0, 3.5))
def test_the_least_ballast_in_front_keeps_just_its_share(rear, ahead, behind, front_axle, unladen, wheelbase):
    ballast = least_front_ballast(rear, behind, front_axle, unladen, wheelbase, ahead, 0.2)
    on_front = transport_front_axle(ballast, ahead, rear, behind, front_axle, wheelbase)
    assert on_front == pytest.approx(0.2 * unladen, abs=1e-6)


@given(MASSES, reals(0.5, 2.5), reals(1.2, 3.5), reals(1.5e3, 6e3), reals(3e3, 1.2e4), reals(2.0, 3.5))
def test_the_least_ballast_behind_keeps_just_its_share(front, ahead, behind, rear_axle, unladen, wheelbase):
    ballast = least_rear_ballast(front, ahead, rear_axle, unladen, wheelbase, behind, 0.45)
    on_front = transport_front_axle(front, ahead, ballast, behind, 0.0, wheelbase)
    assert rear_axle + front + ballast - on_front == pytest.approx(0.45 * unladen, abs=1e-6)


def test_a_transport_ballast_worked_out_by_hand():
    # G_H 1800 kg at c + d = 2.2 m, T_V 2400 kg, T_L 6000 kg, b 2.7 m, a 1.3 m:
    # (1800 2.2 - 2400 2.7 + 0.2 6000 2.7) / (1.3 + 2.7) = (3960 - 6480 + 3240) / 4 = 180 kg.
    assert least_front_ballast(1800.0, 2.2, 2400.0, 6000.0, 2.7, 1.3, 0.2) == pytest.approx(180.0)
    # Of that 180 kg with the plow raised: (180 4 + 2400 2.7 - 1800 2.2) / 2.7 = 3240 / 2.7 = 1200 kg.
    assert transport_front_axle(180.0, 1.3, 1800.0, 2.2, 2400.0, 2.7) == pytest.approx(1200.0)


@given(reals(0.0, 0.89))
def test_tread_slides_what_the_wheel_turns_too_far(slip):
    # Wheel turns 1/(1 - s) for each metre travelled.
    assert sliding(slip) == pytest.approx(1.0 / (1.0 - slip) - 1.0, abs=1e-12)


# ---- soil stress

CONCENTRATIONS = st.sampled_from([3.0, 4.0, 5.0, 6.0])


@given(reals(1e3, 1e5), reals(0.05, 2.0), CONCENTRATIONS)
def test_stress_on_a_plane_carries_the_load(load, depth, concentration):
    carried, _ = quad(
        lambda angle: (
            2.0
            * math.pi
            * depth
            * math.tan(angle)
            * point_load_stress(load, depth, depth * math.tan(angle), concentration)
            * depth
            / math.cos(angle) ** 2
        ),
        0.0,
        0.5 * math.pi - 1e-9,
    )
    assert carried == pytest.approx(load, rel=1e-6)


@given(reals(2e4, 3e5), reals(0.1, 0.6), reals(0.05, 1.5), CONCENTRATIONS)
def test_a_circle_is_many_points(pressure, radius, depth, concentration):
    summed, _ = quad(lambda at: 2.0 * math.pi * at * point_load_stress(pressure, depth, at, concentration), 0.0, radius)
    assert circle_stress(pressure, radius, depth, concentration) == pytest.approx(summed, rel=1e-6)


@given(reals(5e3, 6e4), reals(0.1, 0.6), reals(0.05, 1.0), reals(1.05, 2.0), CONCENTRATIONS)
def test_stress_falls_with_depth_and_grows_with_concentration(load, area, depth, deeper, concentration):
    def stress(at, factor):
        return stress_under_tire(load, area, at, factor, 0.7, 0.0)

    assert 0.0 < stress(deeper * depth, concentration) < stress(depth, concentration) <= load / area
    assert stress(depth, concentration) < stress(depth, concentration + 1.0) or depth < 0.1


def test_far_below_only_the_load_counts():
    near = [stress_under_tire(2e4, area, 0.1, 5.0, 1.0, 0.0) for area in (0.2, 0.5)]
    deep = [stress_under_tire(2e4, area, 3.0, 5.0, 1.0, 0.0) for area in (0.2, 0.5)]
    assert near[0] > 1.8 * near[1]
    assert deep[0] == pytest.approx(deep[1], rel=0.05)


def test_duals_spare_the_top_more_than_the_subsoil():
    single = [float(stress_under_tire(4e4, 0.4, depth, 5.0, 0.75, 0.0)) for depth in (0.1, 0.8)]
    dual = [float(stress_under_tire(2e4, 0.4, depth, 5.0, 0.75, 1.0)) for depth in (0.1, 0.8)]
    assert dual[0] < 0.51 * single[0]
    assert 0.55 * single[1] < dual[1] < single[1]


@given(reals(0.3, 0.8), reals(1.2, 2.2), reals(0.03, 0.12))
def test_the_contact_area_is_an_ellipse_on_the_chord(width, diameter, deflected):
    half_chord = math.sqrt((diameter / 2.0) ** 2 - (diameter / 2.0 - deflected) ** 2)
    assert contact_area(width, diameter, deflected) == pytest.approx(math.pi * half_chord * width / 2.0)
