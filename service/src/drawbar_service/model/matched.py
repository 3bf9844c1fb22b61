"""A match worked out whole: what its answer, a season, a curve and a field sheet read."""

from collections.abc import Sequence
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, both, choose
from drawbar_service.model.field import Capacity
from drawbar_service.model.findings import Findings
from drawbar_service.model.greatest import Greatest, chosen_speed, deepest, fastest, sound_speed, widest
from drawbar_service.model.limits import place_of
from drawbar_service.model.match import (
    Case,
    Fuel,
    Gears,
    Worked,
    difference_of_methods,
    engine_speed_of,
    field_capacity_of,
    fuel_of,
    gears_of,
    work_out,
)

ANYTHING = ("speed", "width", "depth")
"""All of which the greatest can be searched."""


class StillFits(NamedTuple):
    """What would still fit, one thing changed at a time; None where it was not asked for or has no meaning."""

    speed: Greatest | None
    width: Greatest | None
    depth: Greatest | None


class Matched(NamedTuple):
    """A match worked out whole."""

    worked: Worked
    binds: Real
    """Number of the limit that binds."""
    wanted: Sequence[str]
    """What the greatest was searched of: speed, width, depth."""
    greatest: StillFits
    gears: Gears | None
    capacity: Capacity
    engine_speed: Real
    """Over full-throttle speed [1]"""
    fuel: Fuel
    difference: Real
    """Power by the drawbar/PTO ratio over the traction path's, less 1 [1]"""

    @property
    def case(self) -> Case:
        """The job behind it."""
        return self.worked.case


def matched(case: Case, find: Sequence[str] | None, found: Findings) -> Matched:
    """Return a match at the speed asked for, or else the greatest that fits.

    Parameters
    ----------
    case : Case
    find : sequence of str, optional
        What to find the greatest of: speed, width, depth. None: all three if the match does not fit, none if it does.
    found : Findings
        Receives assumptions, warnings and faults.

    Raises
    ------
    Impossible
        If there are faults.
    """
    speed, fastest_found = chosen_speed(case, found)
    worked = work_out(case, speed, found)
    if find is None:
        find = [] if worked.fits else ANYTHING
    greatest = still_fits(worked, fastest_found, find)
    gears = gears_of(worked, case.job.tractor.gears, found)
    capacity = field_capacity_of(worked, found)
    found.stop_at_faults()
    engine_speed = engine_speed_of(worked, gears, found)
    return Matched(
        worked=worked,
        binds=_binds(worked, fastest_found),
        wanted=find,
        greatest=greatest,
        gears=gears,
        capacity=capacity,
        engine_speed=engine_speed,
        fuel=fuel_of(worked, engine_speed, capacity, found),
        difference=difference_of_methods(worked, found),
    )


def still_fits(worked: Worked, fastest_found: Greatest | None, wanted: Sequence[str]) -> StillFits:
    """Return the greatest of what is `wanted`; `fastest_found` is the greatest speed, if it is known already."""
    case, speed = worked.case, fastest_found
    width = depth = None
    if wanted:
        reach, sound = case.reach(), sound_speed(case, worked.speed)
        if "speed" in wanted and speed is None:
            speed = fastest(case, reach)
        width = widest(case, reach, sound) if "width" in wanted else None
        depth = deepest(case, reach, sound) if "depth" in wanted else None
    return StillFits(speed, width, depth)


def _binds(worked: Worked, found: Greatest | None) -> Real:
    """Return the number of the limit that binds.

    A speed that was searched for ends where something stops it: that binds, whatever else is near.
    """
    if found is None:
        return worked.binds
    stops = both(both(worked.carried, worked.fits), found.fits)
    listed = False
    for name in worked.left:
        listed = listed | (found.stopped_by == place_of(name))
    return choose(both(stops, listed), found.stopped_by, worked.binds)
