"""The limits of a match: how much is left before each, whether all are kept, and which one binds."""

from collections.abc import Mapping
from typing import Final, Literal, TypeAlias, cast, get_args

import numpy as np

from drawbar_service.engine.arrays import Mask, Real, both, choose, smaller
from drawbar_service.engine.match import Downhill, Excess
from drawbar_service.rows import Names

LimitName: TypeAlias = Literal[
    "power",
    "slip",
    "pull",
    "front-axle",
    "tool-speed",
    "tool-depth",
    "search-end",
    "pushing",
    "braking",
    "front-raised",
]
LIMITS: Final[tuple[LimitName, ...]] = get_args(LimitName)
"""Every limit; its place here stands for it in numbers."""
Margins: TypeAlias = Mapping[LimitName, Real]
"""What is left before each limit, over the limit [1]; negative beyond it."""

ROUNDING = 1e-6
"""Excess [1] that counts as none, so that an answer put back as a request fits."""
OF_THE_TOOL: tuple[LimitName, ...] = ("tool-speed", "tool-depth")
"""Limits of the tool, not the tractor: well inside them is no news."""
WHATEVER_THE_DRAFT: tuple[LimitName, ...] = (*OF_THE_TOOL, "front-raised")
"""Limits that are kept or not, however hard the machine pulls."""


def place_of(name: LimitName) -> float:
    """Return the number that stands for a limit."""
    return float(LIMITS.index(name))


def name_of(place: Real) -> LimitName:
    """Return the limit that a number stands for, or that of each row."""
    if isinstance(place, np.ndarray):
        return cast("LimitName", Names(LIMITS, place.astype(np.intp).view(np.ndarray)))
    return LIMITS[int(place)]


def margins(
    excess: Excess,
    speed: Real,
    speeds: tuple[Real, Real] | None,
    depth: Real | None,
    depths: tuple[Real, Real] | None,
    downhill: Downhill | None,
    raised: Real | None,
) -> Margins:
    """Return what is left before each limit that applies.

    Parameters
    ----------
    excess : Excess
        How far each limit of the tractor is exceeded [1].
    speed : float or array
        [m/s]
    speeds : pair of float or array, optional
        Of sound work [m/s].
    depth : float or array, optional
        Of the tool that pulls hardest [m].
    depths : pair of float or array, optional
        What the machine can be set to [m].
    downhill : Downhill, optional
        How far each limit of working downhill is exceeded [1]; None on level ground.
    raised : float or array, optional
        Load on the front axle with a mounted machine raised, over that without it [1]; None if nothing is lifted.
    """
    found: dict[LimitName, Real] = {
        "power": -excess.power,
        # The pull before slip: where nothing carries it the two stand level, and it is the pull that binds.
        "pull": -excess.pull,
        "slip": -excess.slip,
        "front-axle": -excess.front_axle,
    }
    if speeds is not None:
        found["tool-speed"] = _inside(speed, speeds)
    if depths is not None and depth is not None:
        found["tool-depth"] = _inside(depth, depths)
    if downhill is not None:
        found["pushing"] = -downhill.pushing
        # Where the wheels still drive, nothing of the limit is used.
        found["braking"] = smaller(-downhill.braking, 1.0)
    if raised is not None:
        found["front-raised"] = raised
    return found


def _inside(value: Real, ends: tuple[Real, Real]) -> Real:
    low, high = ends
    return smaller(value / low - 1.0, 1.0 - value / high)


def is_kept(name: LimitName, left: Margins) -> Mask:
    """Return whether a limit is kept, or does not apply."""
    return left[name] >= -ROUNDING if name in left else True


def all_kept(left: Margins) -> Mask:
    """Return whether every limit is kept."""
    kept: Mask = True
    for name in left:
        kept = both(kept, is_kept(name, left))
    return kept


def binding(left: Margins, carried: Mask) -> Real:
    """Return the number of the limit that binds.

    The one that is exceeded most, or nearest to being met. A tool well inside its own range is no news: it binds only
    where it is left. Where nothing carries the pull (`carried` is false), slip and power are but stand-ins.
    """
    place: Real = 0.0
    least: Real = float("inf")
    for name, margin in left.items():
        counted = choose(margin >= -ROUNDING, float("inf"), margin) if name in OF_THE_TOOL else margin
        place, least = choose(counted < least, place_of(name), place), smaller(least, counted)
    return choose(carried, place, place_of("pull"))


def exceeded_most(excess: Excess) -> Real:
    """Return the number of the limit of the tractor that is exceeded most, the first of those that are level.

    Where nothing carries the pull it is the pull: power and slip only stand in there.
    """
    place, most = place_of("power"), excess.power
    for name, part in (("slip", excess.slip), ("pull", excess.pull), ("front-axle", excess.front_axle)):
        place, most = choose(part > most, place_of(cast("LimitName", name)), place), choose(part > most, part, most)
    return choose(both(excess.pull > 0.0, excess.pull >= most), place_of("pull"), place)
