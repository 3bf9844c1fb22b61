"""Areas on the ellipsoid, against two reckonings that share nothing with the plane the service works on."""

import os
import subprocess
import sys

import numpy as np
import pyproj
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from tests.geometry.fields import bumpy, outlines

from drawbar_service.geometry.earth import LocalPlane

A, INVERSE_F = 6_378_137.0, 298.257223563
"""Defining constants of WGS 84."""

places = st.tuples(st.floats(-179.0, 179.0), st.floats(-85.0, 85.0))


def zone(latitude):
    """Area [m^2] between the equator and a parallel [deg], for each radian of longitude: a closed form on the
    ellipsoid, a^2/2 q with q of the authalic latitude (Snyder 1987, Map Projections, eq. 3-12; from memory)."""
    f = 1.0 / INVERSE_F
    e = np.sqrt(f * (2.0 - f))
    s = np.sin(np.radians(latitude))
    return 0.5 * A**2 * (1.0 - e**2) * (s / (1.0 - (e * s) ** 2) + np.arctanh(e * s) / e)


def area_on_plane(positions):
    return shapely.Polygon(LocalPlane.about(positions).points(positions)).area


def test_the_closed_form_gives_the_area_of_the_globe():
    """510 065 621 724 m^2 x 1000 is the area of the WGS 84 ellipsoid (Karney 2013, Algorithms for geodesics; from
    memory)."""
    assert 2.0 * zone(90.0) * 2.0 * np.pi == pytest.approx(510_065_621_724_088.0, rel=1e-12)


@pytest.mark.parametrize("south", [-78.0, -41.2, -0.02, 12.5, 52.0, 83.0])
def test_a_quadrangle_between_parallels_and_meridians_has_its_exact_area(south):
    side = 0.04
    west = -25.4
    # A parallel is no straight line: many positions follow it.
    along = np.linspace(0.0, side, 100)
    positions = np.concatenate(
        (
            np.column_stack((west + along, np.full(100, south))),
            np.column_stack((west + along[::-1], np.full(100, south + side))),
        )
    )
    exact = (zone(south + side) - zone(south)) * np.radians(side)
    assert area_on_plane(positions) == pytest.approx(exact, rel=1e-6)


@given(outlines, places)
def test_area_is_that_within_geodesics(outline, place):
    positions = LocalPlane(*place).positions(outline)
    geodesic, _ = pyproj.Geod(ellps="WGS84").polygon_area_perimeter(positions[:, 0], positions[:, 1])
    # 0.05 % is asked for.
    assert area_on_plane(positions) == pytest.approx(abs(geodesic), rel=5e-6)


@given(places)
def test_lengths_and_bearings_are_those_of_geodesics(place):
    plane = LocalPlane(*place)
    ends = plane.positions(np.array([[0.0, 0.0], [3_000.0, 4_000.0]]))
    bearing, _, length = pyproj.Geod(ellps="WGS84").inv(*ends[0], *ends[1])
    assert length == pytest.approx(5_000.0, rel=1e-6)
    assert bearing == pytest.approx(np.degrees(np.arctan2(3.0, 4.0)), abs=1e-4)


@given(places)
def test_there_and_back_to_the_centimetre(place):
    points = bumpy(400.0, [(0.3, 1.0)])
    plane = LocalPlane(*place)
    assert plane.points(plane.positions(points)) == pytest.approx(points, abs=1e-2)


def test_nothing_is_fetched_and_nothing_loads_before_it_is_needed():
    script = (
        "import sys, drawbar_service.app; "
        "assert not {'pyproj', 'shapely'} & sys.modules.keys(); "
        "import drawbar_service.geometry.earth, pyproj; "
        "assert not pyproj.network.is_network_enabled()"
    )
    subprocess.run([sys.executable, "-c", script], check=True, env=os.environ | {"PROJ_NETWORK": "ON"})
