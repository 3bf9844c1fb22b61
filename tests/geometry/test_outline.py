"""Every way in which the rings of a polygon can be wrong is told, with its place."""

import time

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.geometry.fields import ELL, POND, RECTANGLE, outlines, rings_on_globe

from drawbar_service.geometry.outline import Outline, read


def box(east, north, side=40):
    return [(east, north), (east + side, north), (east + side, north + side), (east, north + side)]


def flaws(*rings):
    found = read([np.array(ring, dtype=float).reshape(-1, 2) for ring in rings])
    assert not isinstance(found, Outline)
    return {flaw.place: flaw.detail for flaw in found}


def flaws_on_plane(*rings):
    return flaws(*rings_on_globe(*rings))


@pytest.mark.parametrize(
    ("rings", "area"),
    [([RECTANGLE], 180_000), ([ELL], 125_000), ([RECTANGLE, POND], 174_750), ([RECTANGLE[::-1], POND], 174_750)],
)
def test_a_field_is_read_either_way_round(rings, area):
    found = read(rings_on_globe(*rings))
    assert isinstance(found, Outline)
    assert found.polygon.area == pytest.approx(area, rel=5e-6)


def test_positions_that_repeat_do_no_harm():
    found = read(rings_on_globe([RECTANGLE[0], *RECTANGLE, RECTANGLE[-1]]))
    assert isinstance(found, Outline)
    assert found.polygon.area == pytest.approx(18e4, rel=5e-6)


def test_a_ring_needs_four_positions():
    found = flaws([(0, 0), (0.001, 0), (0, 0)], [])
    assert list(found) == [(0,), (1,)]
    assert "at least 4" in found[0,]
    assert list(flaws([(0, 0), (0.001, 0), (0.001, 0), (0, 0)])) == [(0,)]


def test_a_ring_ends_where_it_starts():
    found = flaws([(1, 50), (1.001, 50), (1.001, 50.001), (1, 50.001)])
    assert found == {(0, 3): "the ring is open; end it where it starts, with [1, 50]"}


def test_metres_are_known_for_what_they_are():
    found = flaws([(512_000, 5_761_000), (512_600, 5_761_000), (512_600, 5_761_300), (512_000, 5_761_000)])
    assert set(found) == {(0, index, axis) for index in range(4) for axis in range(2)}
    assert all("metres" in detail for detail in found.values())


def test_latitude_first_is_asked_about_where_it_shows():
    found = flaws([(-27, 152), (-27, 152.001), (-27.001, 152.001), (-27, 152)])
    assert set(found) == {(0, index, 1) for index in range(4)}
    assert all("swapped" in detail for detail in found.values())


def test_a_field_on_both_sides_of_the_antimeridian_is_refused():
    found = flaws([(179.999, 10), (-179.999, 10), (-179.999, 10.002), (179.999, 10.002), (179.999, 10)])
    assert list(found) == [(0, 1, 0), (0, 3, 0)]
    assert all("one side" in detail for detail in found.values())


def test_one_beside_the_antimeridian_is_not():
    assert isinstance(read(rings_on_globe(RECTANGLE, longitude=179.99, latitude=-17.0)), Outline)
    assert isinstance(
        read([np.array([(180, 0), (179.99, 0), (179.99, 0.01), (180, 0.01), (180, 0)], dtype=float)]), Outline
    )


def test_a_bow_tie_is_pointed_at():
    assert list(flaws_on_plane([RECTANGLE[0], RECTANGLE[2], RECTANGLE[1], RECTANGLE[3]])) == [(0, 2)]


def test_every_crossing_is_pointed_at():
    assert set(flaws_on_plane([(0, 0), (100, 0), (100, 100), (50, -1), (0, 100)])) == {(0, 2), (0, 3)}


def test_a_spike_is_pointed_at():
    found = flaws_on_plane([(0, 0), (600, 0), (600, 300), (600, 0), (0, 300)])
    assert list(found) == [(0, 2)]
    assert "spike" in found[0, 2]


def test_holes_are_inside_and_apart():
    assert list(flaws_on_plane(RECTANGLE, box(700, 100), box(100, 100))) == [(1,)]
    assert set(flaws_on_plane(RECTANGLE, box(580, 100))) <= {(1, index) for index in range(4)}
    assert set(flaws_on_plane(RECTANGLE, box(100, 100), box(120, 120))) <= {(2, index) for index in range(4)}
    assert flaws_on_plane(RECTANGLE, box(100, 100), box(110, 110, 10)) == {
        (2,): "this hole is inside the one of ring 1; leave it out"
    }


def test_holes_that_part_a_field_are_told():
    # A hole that touches both long sides leaves two halves.
    outside = [(0, 0), (300, 0), (600, 0), (600, 300), (300, 300), (0, 300)]
    found = flaws_on_plane(outside, [(300, 0), (350, 150), (300, 300), (250, 150)])
    assert list(found) == [()]
    assert "make no polygon" in found[()]


def test_a_field_has_a_size():
    assert "encloses 0.0036 ha" in flaws_on_plane(box(0, 0, 6))[()]
    assert "5,000 ha" in flaws_on_plane(box(0, 0, 8_000))[()]
    assert "219 km across" in flaws([(10, 10), (12, 10), (12, 10.1), (10, 10)])[()]
    assert "km across" in flaws([(0, 0), (179, 0), (179, 1), (0, 0)])[()]
    far_hole = [(179, 0), (179.1, 0), (179.1, 0.1), (179, 0)]
    assert "across" in flaws([(-0.5, 0), (-0.49, 0), (-0.49, 0.01), (-0.5, 0)], far_hole)[()]


def test_too_many_positions_are_counted():
    ring = np.zeros((2_001, 2))
    assert "2,001 positions" in flaws(ring)[()]


def test_no_rings_are_no_polygon():
    assert list(flaws()) == [()]


def test_a_scribble_is_refused_at_once():
    scribble = np.random.default_rng(1).uniform(0.0, 0.02, (1_999, 2))
    began = time.perf_counter()
    found = flaws(np.vstack((scribble, scribble[:1])))
    assert time.perf_counter() - began < 1.0
    assert 1 <= len(found) <= 5
    assert all(len(place) == 2 for place in found)


@given(outlines, st.tuples(st.floats(-179.9, 179.9), st.floats(-89.9, 89.9)))
def test_any_simple_outline_is_read_anywhere_but_across_the_antimeridian(outline, place):
    rings = rings_on_globe(outline, longitude=place[0], latitude=place[1])
    found = read(rings)
    if not isinstance(found, Outline):
        assert np.ptp(rings[0][:, 0]) > 180.0


@given(st.lists(st.tuples(st.floats(-1e8, 1e8), st.floats(-1e8, 1e8)), max_size=8), st.booleans())
def test_any_numbers_are_answered(positions, closed):
    ring = [*positions, positions[0]] if closed and positions else positions
    found = read([np.array(ring, dtype=float).reshape(-1, 2)])
    assert isinstance(found, Outline) or all(flaw.detail for flaw in found)


@given(st.lists(st.tuples(st.floats(-180, 180), st.floats(-90, 90)), min_size=3, max_size=8), outlines)
def test_any_positions_on_the_globe_are_answered(positions, hole):
    rings = [np.array([*positions, positions[0]], dtype=float), *rings_on_globe(hole)]
    found = read(rings)
    assert isinstance(found, Outline) or all(flaw.detail for flaw in found)
