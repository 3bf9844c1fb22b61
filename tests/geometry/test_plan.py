"""Plans of whole fields: they cover the ground, and turning, moving or overlapping does to them what it must."""

from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from tests.geometry.fields import FIELDS, RECTANGLE, bearings, machine, outlines

from drawbar_service.engine.capacity import field_time
from drawbar_service.geometry.headland import headland
from drawbar_service.geometry.plan import field_plan, lap_tracks, pass_tracks


def efficiency(plan, machine):
    return plan.worked / (machine.width * machine.speed * plan.total)


def worked_ground(plan, machine):
    """What the machine passes over: its width on either side of every line of the plan."""
    half = 0.5 * machine.width
    passes = [shapely.LineString(track.points).buffer(half, cap_style="flat") for track in pass_tracks(plan)]
    laps = [shapely.LinearRing(track.points).buffer(half, join_style="mitre") for track in lap_tracks(plan)]
    # On a grid, because sides that all but coincide confuse the union.
    return shapely.union_all([*passes, *laps], grid_size=1e-6)


@given(outlines, st.integers(0, 4), st.floats(2.0, 12.0), st.floats(0.0, 0.2))
def test_laps_and_passes_cover_the_field(outline, laps, width, overlap):
    field, used = shapely.Polygon(outline), machine(width, overlap)
    plan = field_plan(field, used, laps, None)
    ground = worked_ground(plan, used)
    assert shapely.intersection(field, ground).area + plan.area - plan.worked >= 0.995 * field.area
    # Nor does a lap leave the field; a pass may run into a headland, never beyond it.
    if laps:
        assert shapely.difference(ground, field).area <= 0.005 * field.area


@pytest.mark.parametrize("name", FIELDS)
@pytest.mark.parametrize("laps", [0, 2])
def test_usual_fields_are_covered_whole(name, laps):
    field, used = FIELDS[name], machine()
    plan = field_plan(field, used, laps, None)
    assert shapely.difference(field, worked_ground(plan, used)).area <= 0.002 * field.area
    assert plan.worked == pytest.approx(plan.area, rel=1e-3)


@pytest.mark.parametrize("width", [5.0, 6.0, 7.0])
@pytest.mark.parametrize("overlap", [0.0, 0.06])
def test_a_rectangle_without_headland_is_what_the_equation_for_rectangles_says(width, overlap):
    used = machine(width, overlap)
    plan = field_plan(shapely.Polygon(RECTANGLE), used, 0, None)
    spent = field_time(600.0, 300.0, width, overlap, used.speed, used.turn_time, 0.0)
    assert np.degrees(plan.direction) == pytest.approx(90.0)
    assert plan.passes.start.size == spent.passes
    assert plan.working == pytest.approx(spent.working)
    assert plan.turning == pytest.approx(spent.turning)
    assert efficiency(plan, used) == pytest.approx(spent.efficiency)


def test_a_rectangle_with_a_headland_by_hand():
    # Two laps of 6 m: middles 3 and 9 m inside; 12 m inside are 576 m by 276 m, 46 passes.
    plan = field_plan(shapely.Polygon(RECTANGLE), machine(), 2, None)
    assert plan.passes.start.size == 46
    assert plan.working * 2.5 == pytest.approx(46 * 576.0)
    assert plan.laps * 2.5 == pytest.approx(2 * (594 + 294) + 2 * (582 + 282))
    assert plan.turns == 45 + 2
    assert plan.between == pytest.approx(0.0, abs=1e-6)


def test_a_slanted_end_costs_its_shift_and_its_corner():
    # A parallelogram with ends at 45 deg, worked along: each pass is longer by a strip, and each turn goes on by one.
    field = shapely.Polygon([(0, 0), (400, 0), (500, 100), (100, 100)])
    plan = field_plan(field, machine(10.0), 0, np.pi / 2)
    lost = 10.0 - 2 * 0.01 * 10.0  # a hundredth of the strip at either side is left to the neighbour
    assert plan.working * 2.5 == pytest.approx(10 * (400.0 + lost))
    # The next pass begins or ends 10 m aside.
    assert plan.between * 2.5 == pytest.approx(9 * 10.0)


@given(outlines, bearings, st.integers(0, 2))
def test_turning_a_field_turns_the_plan(outline, angle, laps):
    field, used = shapely.Polygon(outline), machine()
    turned = shapely.transform(
        field, lambda p: p @ np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    )
    here, there = (field_plan(one, used, laps, None) for one in (field, turned))
    # The grid of directions does not turn with the field.
    assert efficiency(there, used) == pytest.approx(efficiency(here, used), rel=0.01)
    fixed = field_plan(turned, used, laps, (here.direction + angle) % np.pi) if here.direction is not None else there
    # Where the bearing passes 180 deg, the machine starts at the other side and end.
    assert fixed.total == pytest.approx(here.total, rel=0.02)


@given(outlines, st.floats(-5_000.0, 5_000.0), st.floats(-5_000.0, 5_000.0), st.integers(0, 2))
def test_moving_a_field_changes_nothing(outline, east, north, laps):
    used = machine()
    here = field_plan(shapely.Polygon(outline), used, laps, None)
    there = field_plan(shapely.Polygon(np.add(outline, (east, north))), used, laps, None)
    assert there.total == pytest.approx(here.total, rel=1e-3)


@given(outlines, bearings, st.floats(0.0, 0.3), st.floats(0.02, 0.3))
def test_overlap_never_raises_efficiency(outline, direction, overlap, more):
    field = shapely.Polygon(outline)
    less, greater = machine(8.0, overlap), machine(8.0, overlap + more)
    fewer = field_plan(field, less, 0, direction)
    # One pass is what rounding to whole strips may shift.
    tolerance = 1.0 / fewer.passes.start.size
    assert efficiency(field_plan(field, greater, 0, direction), greater) <= efficiency(fewer, less) * (1.0 + tolerance)


@given(outlines, bearings)
def test_no_direction_is_better_than_the_best(outline, direction):
    field, used = shapely.Polygon(outline), machine()
    best = field_plan(field, used, 1, None)
    other = field_plan(field, used, 1, direction)
    # Between the directions that are tried, the number of strips may be smaller by one.
    assert best.total <= other.total * 1.01


@given(outlines, st.floats(0.0, 60.0), st.floats(1.0, 60.0))
def test_slower_turns_cost_time_and_favour_fewer_passes(outline, turn_time, more):
    field = shapely.Polygon(outline)
    quick = field_plan(field, machine(turn_time=turn_time), 1, None)
    slow = field_plan(field, machine(turn_time=turn_time + more), 1, None)
    assert slow.total >= quick.total
    assert slow.turns <= quick.turns * 1.02 + 1


def test_of_directions_that_take_the_same_time_it_is_the_one_with_fewest_passes():
    # Along or across a square of 100 m the way is the same; without time for turns only passes tell.
    square = shapely.Polygon([(0, 0), (100, 0), (100, 100), (0, 100)])
    plan = field_plan(square, machine(10.0, turn_time=0.0), 0, None)
    assert plan.passes.start.size == 10
    assert np.degrees(plan.direction) == pytest.approx(0.0, abs=1e-9)


def test_a_narrow_field_is_all_headland():
    strip = shapely.Polygon([(0, 0), (400, 0), (400, 11), (0, 11)])
    plan = field_plan(strip, machine(), 2, None)
    assert plan.passes is plan.direction is None
    assert plan.laps > 0.0
    assert plan.turns == len(plan.headland.laps) - 1


def test_what_no_lap_reaches_is_told():
    # A neck 4 m wide between two halves is too narrow for a lap of 6 m.
    halves = shapely.Polygon(
        [
            (0, 0),
            (200, 0),
            (200, 98),
            (300, 98),
            (300, 0),
            (500, 0),
            (500, 200),
            (300, 200),
            (300, 102),
            (200, 102),
            (200, 200),
            (0, 200),
        ]
    )
    found = headland(halves, 1, 6.0, 6.0)
    assert found.missed == pytest.approx(4.0 * 100.0, rel=0.1)
    assert len(found.laps) == 2


@pytest.mark.parametrize("laps", [0, 3])
def test_tracks_are_the_plan_in_the_order_of_work(laps):
    plan = field_plan(FIELDS["pond"], machine(), laps, None)
    tracks = list(pass_tracks(plan))
    assert len(tracks) == plan.passes.start.size
    assert sum(track.length for track in tracks) / 2.5 == pytest.approx(plan.working)
    assert sum(track.length for track in lap_tracks(plan)) / 2.5 == pytest.approx(plan.laps)
    way = sum(np.hypot(*(after.points[0] - before.points[-1])) for before, after in pairwise(tracks))
    # From the end of each pass to the start of the next: across to the neighbour, or on to the next block.
    within = sum(before.block == after.block for before, after in pairwise(tracks))
    assert way <= plan.between * 2.5 + within * 6.0 + 1e-6
    assert [track.block for track in tracks] == sorted(track.block for track in tracks)
