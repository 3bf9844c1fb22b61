"""Laps round the edge of a field, and what they leave."""

from typing import NamedTuple, TypeAlias

import shapely

Area: TypeAlias = shapely.Polygon | shapely.MultiPolygon

COARSENESS = 0.02
"""How far the edge of a lap may be moved to make it simpler, over the distance between laps [1]."""


class Headland(NamedTuple):
    """The edge of a field, worked in laps."""

    laps: list[shapely.LinearRing]
    """Middle lines of the laps, from the edge inwards; several for one lap where the field has holes or necks"""
    number: list[int]
    """Which lap each belongs to, from 0."""
    inside: shapely.MultiPolygon
    """What the laps leave to passes; may be empty"""
    missed: float
    """What lies in places too narrow for a lap [m^2]"""

    @property
    def length(self) -> float:
        """Length of all laps [m]."""
        return sum((lap.length for lap in self.laps), 0.0)


def inset(area: Area, distance: float) -> Area:
    """Return what of an `area` lies at least a `distance` [m] inside it."""
    return shapely.buffer(area, -distance, quad_segs=2)


def headland(field: shapely.Polygon, passes: int, width: float, spacing: float) -> Headland:
    """Return the laps of a headland so many `passes` wide, and what they leave.

    Parameters
    ----------
    field : Polygon
        The field [m].
    passes : int
        Laps round it; 0 leaves all of it to passes.
    width, spacing : float
        Working width and distance between laps [m].
    """
    laps: list[shapely.LinearRing] = []
    number: list[int] = []
    missed = 0.0
    left: Area = field
    tolerance = COARSENESS * spacing
    for index in range(passes):
        middle = inset(left, 0.5 * width)
        # Lines that are travelled may cross where borders must not, which makes them simpler at less cost.
        rings = shapely.simplify(shapely.get_rings(shapely.get_parts(middle)), tolerance, preserve_topology=False)
        rings = [ring for ring in rings if not ring.is_empty]
        laps += rings
        number += [index] * len(rings)
        worked = shapely.buffer(middle, 0.5 * width, join_style="mitre")
        missed += max(left.area - worked.area, 0.0)
        # Step by step, and simpler each time: one deep inset of a ragged edge would take seconds.
        left = shapely.simplify(inset(left, spacing), tolerance)
        if shapely.is_empty(left):
            break
    parts: list[shapely.Polygon] = [part for part in shapely.get_parts(left) if not part.is_empty]
    # Crumbs that rounding leaves are no reason to come back.
    crumb = tolerance * spacing if passes else 0.0
    missed += sum(part.area for part in parts if part.area <= crumb)
    return Headland(laps, number, shapely.MultiPolygon([part for part in parts if part.area > crumb]), missed)
