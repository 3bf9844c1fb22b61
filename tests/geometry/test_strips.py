"""Passes against shapely's own intersections of field and strip, which the search for a direction is too fast for."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from tests.geometry.fields import FIELDS, bearings, outlines

from drawbar_service.geometry.strips import SLIVER, Edges, blocks, cut, ways_in


def slow_passes(field, bearing, spacing):
    """Start and end of every pass by strip, each strip cut out of the field with shapely."""
    turned = shapely.transform(
        field, lambda p: p @ np.array([[np.sin(bearing), np.cos(bearing)], [np.cos(bearing), -np.sin(bearing)]]).T
    )
    west, low, east, high = turned.bounds
    strips = max(int(np.ceil((high - low) / spacing - SLIVER)), 1)
    width = (high - low) / strips
    for strip in range(strips):
        bottom, top = low + (strip + SLIVER) * width, low + (strip + 1 - SLIVER) * width
        pieces = shapely.get_parts(shapely.intersection(turned, shapely.box(west - 1, bottom, east + 1, top)))
        end = -np.inf
        start = None
        for left, _, right, _ in sorted(piece.bounds for piece in pieces if piece.area > 0.0):
            if left > end:
                if start is not None:
                    yield strip, start, end
                start = left
            end = max(end, right)
        if start is not None:
            yield strip, start, end


@given(outlines, outlines, bearings, st.floats(3.0, 40.0))
def test_passes_are_the_field_in_each_strip(outline, hole, bearing, spacing):
    field = shapely.Polygon(outline) - shapely.Polygon(0.3 * hole)
    found = cut(Edges.of(field), np.array([bearing]), spacing)
    wanted = np.array(list(slow_passes(field, bearing, spacing)))
    assert np.column_stack((found.strip, found.start, found.end)) == pytest.approx(wanted, abs=1e-6)


@given(outlines, st.lists(bearings, min_size=2, max_size=5), st.floats(3.0, 20.0))
def test_many_directions_at_once_are_each_alone(outline, directions, spacing):
    edges = Edges.of(shapely.Polygon(outline))
    together = ways_in(edges, np.array(directions), spacing)
    for row, direction in enumerate(directions):
        alone = ways_in(edges, np.array([direction]), spacing)
        for ours, theirs in zip(together, alone, strict=True):
            assert ours[row] == pytest.approx(theirs[0], rel=1e-9, abs=1e-6)


@given(outlines, bearings, st.floats(3.0, 20.0))
def test_every_pass_is_in_one_block(outline, bearing, spacing):
    passes = cut(Edges.of(shapely.Polygon(outline)), np.array([bearing]), spacing)
    seen = []
    for row, last in zip(*blocks(passes), strict=True):
        seen.append(row)
        while row != last:
            assert passes.strip[passes.follower[row]] == passes.strip[row] + 1
            row = passes.follower[row]
            seen.append(row)
    assert sorted(seen) == list(range(passes.start.size))


def test_a_pond_parts_the_passes_in_four_blocks():
    passes = cut(Edges.of(FIELDS["pond"]), np.array([np.pi / 2]), 6.0)
    # South of it, at its left and its right, and north of it. It reaches from 110 to 190 m: of 50 strips it
    # parts those from 114 to 186 m, while those at its ends are driven through beside it.
    assert len(blocks(passes)[0]) == 4
    assert passes.start.size == 50 + 12


def test_rounding_makes_no_pass():
    # Three strips of 100 m to the millimetre: no fourth, and none that works the notch's edge twice.
    notched = shapely.Polygon([(0, 0), (500, 0), (500, 100.0005), (200, 100), (200, 300.001), (0, 300)])
    found = ways_in(Edges.of(notched), np.array([np.pi / 2]), 100.0)
    assert found.passes[0] == 3
    assert found.working[0] == pytest.approx(500.0 + 200.0 + 200.0)
