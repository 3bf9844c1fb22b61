"""The direction that takes least time, and where the time goes."""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
import shapely

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.geometry.headland import Headland, headland
from drawbar_service.geometry.strips import Edges, Indices, Passes, Ways, blocks, cut, ways, ways_in

MOST_STRIP_ENDS = 5_000
"""Most ends of strips that are counted: the way round the field over the distance between passes [1]."""
_SIDES = 60
"""Number of the longest sides whose bearings are tried."""
_GRID = np.radians(np.arange(0.0, 180.0))
_CLOSER = np.radians(np.arange(-9, 10) / 10.0)
"""What is tried about the best few, between the lines of the grid [rad]"""
_BEST = 3
_SAME_TIME = 1e-9
"""Relative difference in time that is none [1]."""


class Machine(NamedTuple):
    """What works a field."""

    width: float
    """Working width [m]"""
    spacing: float
    """Distance between passes [m]: the width less what is worked twice"""
    speed: float
    """[m/s]"""
    turn_time: float
    """Of one turn [s]"""


class Plan(NamedTuple):
    """How a field is worked, and the time that takes."""

    headland: Headland
    direction: float | None
    """Bearing of the passes [rad], from 0 to pi; None where the headland is all there is"""
    passes: Passes | None
    """Passes in that direction; None where there are none."""
    area: float
    """Of the field [m^2]"""
    worked: float
    """Of it worked; less where the field is too narrow [m^2]"""
    turns: int
    """From pass to pass and on to each lap [1]"""
    working: float
    """Along the passes [s]"""
    laps: float
    """Along the laps of the headland [s]"""
    turning: float
    """In turns, as if all passes ended abreast [s]"""
    between: float
    """On the way between passes that do not end abreast [s]"""

    @property
    def total(self) -> float:
        """All of it [s]."""
        return self.working + self.laps + self.turning + self.between


def field_plan(field: shapely.Polygon, machine: Machine, laps: int, direction: float | None) -> Plan:
    """Return how `machine` works `field`.

    Parameters
    ----------
    field : Polygon
        Its outline with any holes [m].
    machine : Machine
        Width, distance between passes, speed and time of a turn.
    laps : int
        Laps round the edge before the passes.
    direction : float, optional
        Bearing of the passes [rad]; None for that of least time.

    Notes
    -----
    Time = (passes + laps + way between) / v + turns t_turn. Every pass runs until its whole strip
    has reached the headland; where the passes of a block do not end abreast, the difference is
    travelled too. From the end of a block a machine goes to the next in a straight line. On to
    each lap there is one turn; corners of a lap cost nothing. Derived.
    """
    edge = headland(field, laps, machine.width, machine.spacing)
    area = float(field.area)
    passes, found = None, None
    if not shapely.is_empty(edge.inside):
        inside = Edges.of(edge.inside)
        if direction is None:
            direction = best_direction(inside, Edges.of(field), machine)
        passes = cut(inside, np.array([direction]), machine.spacing)
        found = ways(passes, 1)
    turns = max((passes.start.size if passes else 0) + len(edge.laps) - 1, 0)
    return Plan(
        headland=edge,
        direction=direction if passes else None,
        passes=passes,
        area=area,
        worked=area - edge.missed,
        turns=turns,
        working=float(found.working[0]) / machine.speed if found else 0.0,
        laps=edge.length / machine.speed,
        turning=turns * machine.turn_time,
        between=float(found.shifted[0] + found.between[0]) / machine.speed if found else 0.0,
    )


def best_direction(inside: Edges, field: Edges, machine: Machine) -> float:
    """Return the bearing [rad], from 0 to pi, in which what lies within `inside` is worked in least time.

    Tried are every degree and the longest sides of the `field`, then every tenth of a degree about
    the best few. Of directions that take the same time it is the one with fewest passes.
    """
    sides = field.bearings[np.argsort(-field.lengths, kind="stable")[:_SIDES]]
    tried = np.concatenate((sides, _GRID))
    found = ways_in(inside, tried, machine.spacing)
    best = _ranked(tried, found, machine)[:_BEST]
    closer = ((tried[best][:, None] + _CLOSER) % np.pi).ravel()
    more = ways_in(inside, closer, machine.spacing)
    tried = np.concatenate((tried[best], closer))
    found = found.only(best).with_more(more)
    return float(tried[_ranked(tried, found, machine)[0]])


def _ranked(directions: FloatArray, found: Ways, machine: Machine) -> Indices:
    time = (found.working + found.shifted + found.between) / machine.speed + found.passes * machine.turn_time
    steps = np.rint(np.log(time) / _SAME_TIME)
    return np.lexsort((directions, found.passes, steps))


class Track(NamedTuple):
    """One pass or lap on the ground."""

    points: FloatArray
    """In the order of travel [m], shape (n, 2)"""
    length: float
    """[m]"""
    block: int
    """Block of a pass, or number of a lap; from 0"""


def pass_tracks(plan: Plan) -> Iterator[Track]:
    """Yield the passes of a plan in the order and the direction they are worked."""
    passes, direction = plan.passes, plan.direction
    if passes is None or direction is None:
        return
    along = np.array((np.sin(direction), np.cos(direction)))
    right = np.array((np.cos(direction), -np.sin(direction)))
    entry, leave = passes.entry, passes.exit
    for block, (row, last) in enumerate(zip(*blocks(passes), strict=True)):
        while True:
            points = np.outer((entry[row], leave[row]), along) + passes.across[row] * right
            yield Track(points, float(passes.end[row] - passes.start[row]), block)
            if row == last:
                break
            row = passes.follower[row]


def lap_tracks(plan: Plan) -> Iterator[Track]:
    """Yield the laps of a plan from the edge inwards."""
    for lap, number in zip(plan.headland.laps, plan.headland.number, strict=True):
        yield Track(shapely.get_coordinates(lap), float(lap.length), number)
