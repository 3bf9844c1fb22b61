"""A match worked out whole: what its answer, a season, a curve and a field sheet read."""

from collections.abc import Sequence
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, both, choose, either
from drawbar_service.engine.reach import Reach
from drawbar_service.model.chance import HOLDS, Chance, chance_of
from drawbar_service.model.field import Capacity
from drawbar_service.model.findings import Findings
from drawbar_service.model.greatest import HowFar, chosen_speed, deepest, fastest, pulls_at, sound_speed, widest
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

    speed: HowFar | None
    width: HowFar | None
    depth: HowFar | None


class Matched(NamedTuple):
    """A match worked out whole."""

    worked: Worked
    chance: Chance | None
    """None where nobody reads it."""
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


def matched(case: Case, find: Sequence[str] | None, found: Findings, *, judged: bool = False) -> Matched:
    """Return a match at the speed asked for, or else the greatest that fits.

    Parameters
    ----------
    case : Case
    find : sequence of str, optional
        What to find the greatest of: speed, width, depth. None: all three if the match does not hold, none if it does.
    found : Findings
        Receives assumptions, warnings and faults.
    judged : bool
        Whether the verdict is needed, though nobody reads it.

    Raises
    ------
    Impossible
        If there are faults.
    """
    judged = judged or find is None or verdict_read(found)
    reach = case.reach() if judged or find or case.job.speed is None else None
    speed, far = chosen_speed(case, reach, found)
    worked = work_out(case, speed, found)
    chance = chance_of(worked, reach) if judged and reach is not None else None
    if find is None:
        find = [] if chance is not None and chance.word == HOLDS else ANYTHING
    greatest = still_fits(worked, far, find, reach)
    gears = gears_of(worked, case.job.tractor.gears, found)
    capacity = field_capacity_of(worked, found)
    found.stop_at_faults()
    engine_speed = engine_speed_of(worked, gears, found)
    return Matched(
        worked=worked,
        chance=chance,
        binds=_binds(worked, far),
        wanted=find,
        greatest=greatest,
        gears=gears,
        capacity=capacity,
        engine_speed=engine_speed,
        fuel=fuel_of(worked, engine_speed, capacity, found, 1.0 if gears is None else gears.loss),
        difference=difference_of_methods(worked, found),
    )


def verdict_read(found: Findings) -> bool:
    """Return whether anybody reads the chance that a match holds, or its verdict."""
    return found.asked.sentences or found.asked("/verdict/chance") or found.asked("/verdict/word")


def still_fits(worked: Worked, speed: HowFar | None, wanted: Sequence[str], reach: Reach | None = None) -> StillFits:
    """Return the greatest of what is `wanted`; `speed` is the greatest and `reach` that of the tractor, if known."""
    case = worked.case
    width = depth = None
    if wanted:
        reach, sound = case.reach() if reach is None else reach, sound_speed(case, worked.speed)
        if "speed" in wanted and speed is None:
            speed = fastest(case, reach)
        if "width" in wanted or "depth" in wanted:
            pulls = pulls_at(case, reach, sound)
            width = widest(case, pulls, sound) if "width" in wanted else None
            depth = deepest(case, pulls, sound) if "depth" in wanted else None
    return StillFits(speed, width, depth)


def _binds(worked: Worked, far: HowFar | None) -> Real:
    """Return the number of the limit that binds.

    A speed that was searched for ends where something stops it: that binds, whatever else is near.
    """
    if far is None:
        return worked.binds
    central, holding = far
    of_holding = both(holding.fits, worked.speed == holding.value)
    stopped_by = choose(of_holding, holding.stopped_by, central.stopped_by)
    stops = both(both(worked.carried, worked.fits), either(of_holding, central.fits))
    listed = False
    for name in worked.left:
        listed = listed | (stopped_by == place_of(name))
    return choose(both(stops, listed), stopped_by, worked.binds)
