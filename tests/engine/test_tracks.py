"""What rubber tracks pull: the closed form, and laws that hold for any grip, weight and stance."""

import math

import pytest
from hypothesis import assume, given
from tests.engine.test_laws import GRIPS, STANCES, TRACKED, growing, reals, stand

from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.match import (
    Limits,
    Tractor,
    Work,
    excess,
    holding_pull,
    operate,
    operate_at_slip,
    pull_at_slip,
)
from drawbar_service.engine.reach import greatest_speed, reach_on_wheels
from drawbar_service.engine.tracks import MOST_SLIP, Grip, grip_at, track_axle

NO_LIMITS = Limits(MOST_SLIP, 1e12, 1.0)


def on_tracks(grip, stance):
    loads, angle = stand(stance)
    axle = track_axle(grip)
    return Tractor(axle, axle, loads, stance["weight"] * math.sin(angle), 0.96)


def stands_on_both(tractor, pull):
    return tractor.loads.front(pull) > 100.0 and tractor.loads.rear(pull) > 100.0


@given(GRIPS, STANCES, reals(0.01, 0.5))
def test_the_pull_at_a_slip_is_the_net_traction_of_all_that_stands_on_the_tracks(grip, stance, slip):
    tractor, angle = on_tracks(grip, stance), stand(stance)[1]
    net = grip.greatest * (1.0 - math.exp(-grip.slip_rate * slip))
    on_the_tracks = (stance["weight"] + stance["vertical_load"]) * math.cos(angle)
    by_hand = (net * on_the_tracks - stance["weight"] * math.sin(angle)) / (1.0 - net * stance["vertical_per_pull"])
    assume(stands_on_both(tractor, by_hand))
    assert pull_at_slip(tractor, slip) == pytest.approx(by_hand, rel=1e-9, abs=1e-6 * stance["weight"])


@given(GRIPS, STANCES, reals(0.02, 0.29))
def test_the_slip_under_a_pull_is_the_one_that_gives_it(grip, stance, slip):
    tractor = on_tracks(grip, stance)
    pull = pull_at_slip(tractor, slip)
    assume(stands_on_both(tractor, pull))
    point = operate(tractor, Work(NO_DRAFT, pull, 0.0), 2.0)
    assert point.slip == pytest.approx(slip, rel=1e-6)


@given(GRIPS, STANCES, growing(0.3, 0.6), reals(0.02, 0.4))
def test_how_front_and_rear_share_the_load_plays_no_part(grip, stance, shares, slip):
    pulls = []
    for share in shares:
        tractor = on_tracks(grip, stance | {"front_share": share})
        pulls.append(pull_at_slip(tractor, slip))
        assume(stands_on_both(tractor, pulls[-1]))
    assert pulls[0] == pytest.approx(pulls[1], rel=1e-9, abs=1e-6 * stance["weight"])


@given(GRIPS, STANCES, growing(2e4, 2.5e5), reals(0.0, 0.2))
def test_the_heavier_never_loses_grip(grip, stance, weights, climb):
    assume(grip.greatest > 1.5 * climb)
    least, most = (
        holding_pull(on_tracks(grip, stance | {"weight": weight, "grade": climb}), NO_LIMITS) for weight in weights
    )
    assert most >= least - 1e-6 * weights[1]


@given(GRIPS, STANCES, growing(0.2, 0.9))
def test_the_greatest_pull_grows_with_the_coefficient(grip, stance, coefficients):
    least, most = (
        holding_pull(on_tracks(grip._replace(greatest=greatest), stance), NO_LIMITS) for greatest in coefficients
    )
    assert most >= least


@given(GRIPS, STANCES, reals(1.001, 3.0))
def test_a_pull_that_takes_more_slip_than_tracks_pull_with_is_not_carried(grip, stance, times):
    tractor = on_tracks(grip, stance)
    most = pull_at_slip(tractor, MOST_SLIP)
    assume(most > 1e3)
    point = operate(tractor, Work(NO_DRAFT, times * most, 0.0), 2.0)
    assert point.pull_effort > 1.0
    assert point.slip == MOST_SLIP


@given(TRACKED, reals(0.0, 0.9))
def test_no_more_comes_out_at_the_hitch_than_goes_in_at_the_tracks(tractor, slip):
    assume(tractor.grade_pull >= 0.0)
    point = operate_at_slip(tractor, slip)
    assert point.tractive_efficiency <= 1.0 - slip + 1e-12


@given(GRIPS, growing(1e5, 3e6))
def test_softer_soil_never_grips_better(grip, cone_indices):
    surfaces = ((4.5e5, Grip(0.5, 16.0, 0.06)), (9e5, Grip(0.6, 16.0, 0.05)), (1.2e6, Grip(0.75, 16.0, 0.04)))
    soft, firm = (grip_at(grip, cone_index, surfaces) for cone_index in cone_indices)
    assert soft.greatest <= firm.greatest <= grip.greatest
    assert soft.motion_resistance >= firm.motion_resistance >= grip.motion_resistance


def test_between_two_surfaces_the_grip_is_on_a_straight_line():
    surfaces = ((4.5e5, Grip(0.5, 16.0, 0.06)), (9e5, Grip(0.6, 16.0, 0.05)))
    assert grip_at(Grip(0.7, 16.0, 0.04), 5.4e5, surfaces) == pytest.approx(Grip(0.52, 16.0, 0.058))
    assert grip_at(Grip(0.55, 16.0, 0.04), 9e5, surfaces) == pytest.approx(Grip(0.55, 16.0, 0.05))


@given(TRACKED, reals(1e3, 5e4))
def test_where_the_grip_is_not_known_nothing_is_within_the_limits(tractor, pull):
    limits = NO_LIMITS._replace(grip_known=False)
    point = operate(tractor, Work(NO_DRAFT, pull, 0.0), 1.0)
    assert excess(point, tractor, limits).pull == 1.0
    assert not greatest_speed(reach_on_wheels(tractor, limits), Work(NO_DRAFT, pull, 0.0), 0.1, 4.0).fits
