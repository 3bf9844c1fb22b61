"""Turns driven in small steps, against the equations for their path and reach."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.engine.capacity import headland_width, turn_reach, turning_path

radii = st.floats(1.0, 15.0)


def driven(radius, *bends):
    """Points of a way that starts at the origin heading up, for (length, curvature to the right in 1/R) one by one."""
    x, y, heading = [0.0], [0.0], 0.0
    for length, bend in bends:
        steps = 4_000
        angles = heading + bend / radius * length * (np.arange(steps) + 0.5) / steps
        x.extend(x[-1] + np.cumsum(np.sin(angles)) * length / steps)
        y.extend(y[-1] + np.cumsum(np.cos(angles)) * length / steps)
        heading += bend / radius * length
    return np.array(x), np.array(y), heading


@given(radii, st.floats(0.0, 0.999))
def test_a_loop_ends_on_the_next_pass_and_reaches_as_far_as_is_said(radius, part):
    spacing = 2.0 * radius * part
    # Away from the next pass, round, and back in line.
    swerve = (turning_path(radius, spacing) / radius - np.pi) / 4.0
    x, y, heading = driven(radius, (swerve * radius, -1), ((np.pi + 2.0 * swerve) * radius, 1), (swerve * radius, -1))
    assert (x[-1], y[-1], heading) == pytest.approx((spacing, 0.0, np.pi), abs=1e-3)
    assert y.max() == pytest.approx(turn_reach(radius, spacing), abs=1e-3)


@given(radii, st.floats(1.0, 5.0))
def test_a_wide_turn_reaches_its_radius(radius, part):
    spacing = 2.0 * radius * part
    quarter = 0.5 * np.pi * radius
    x, y, heading = driven(radius, (quarter, 1), (spacing - 2.0 * radius, 0), (quarter, 1))
    assert (x[-1], y[-1], heading) == pytest.approx((spacing, 0.0, np.pi), abs=1e-3)
    assert y.max() == pytest.approx(turn_reach(radius, spacing), abs=1e-3) == pytest.approx(radius)


@given(radii, st.floats(0.0, 1.9), st.floats(0.01, 1.0))
def test_closer_passes_need_more_room(radius, part, more):
    assert turn_reach(radius, part * radius) >= turn_reach(radius, (part + more) * radius) >= radius


def test_a_headland_takes_reach_tongue_and_half_the_machine():
    assert headland_width(6.0, 3.0, 14.0) == 16.0
