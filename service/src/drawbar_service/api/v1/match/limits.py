"""The limits of a match: how much is left before each, whether all are kept, and which one binds.

Everything here takes floats or arrays, so that one match and a million rows are judged alike.
"""

from collections.abc import Mapping
from typing import Literal, TypeAlias

from drawbar_service.engine.arrays import Mask, Real, choose, smaller
from drawbar_service.engine.match import Excess

LimitName: TypeAlias = Literal["power", "slip", "pull", "front-axle", "tool-speed", "tool-depth", "search-end"]
Margins: TypeAlias = Mapping[LimitName, Real]
"""What is left before each limit, over the limit [1]; negative beyond it."""

ROUNDING = 1e-6
"""Excess [1] that counts as none, so that an answer put back as a request fits."""
OF_THE_TOOL = ("tool-speed", "tool-depth")
"""Limits of the tool, not the tractor: well inside them is no news."""


def margins(
    strain: Excess,
    on_wheels: bool,
    speed: Real,
    speeds: tuple[float, float] | None,
    depth: Real | None,
    depths: tuple[float, float] | None,
) -> Margins:
    """Return what is left before each limit that applies.

    Parameters
    ----------
    strain : Excess
        How far each limit of the tractor is exceeded [1].
    on_wheels : bool
        Whether slip, soil and front axle are reckoned.
    speed : float or array
        [m/s]
    speeds : pair of float, optional
        Of sound work [m/s].
    depth : float or array, optional
        Of the tool that pulls hardest [m].
    depths : pair of float, optional
        What the machine can be set to [m].
    """
    found: dict[LimitName, Real] = {"power": -strain.power}
    if on_wheels:
        # The pull before slip: where nothing carries it the two stand level, and it is the pull that binds.
        found |= {"pull": -strain.pull, "slip": -strain.slip, "front-axle": -strain.front_axle}
    if speeds is not None:
        found["tool-speed"] = _inside(speed, speeds)
    if depths is not None and depth is not None:
        found["tool-depth"] = _inside(depth, depths)
    return found


def _inside(value: Real, ends: tuple[float, float]) -> Real:
    low, high = ends
    return smaller(value / low - 1.0, 1.0 - value / high)


def all_kept(left: Margins) -> Mask:
    """Return whether every limit is kept."""
    kept: Mask = True
    for margin in left.values():
        kept = kept & (margin >= -ROUNDING)
    return kept


def binding(left: Margins, carried: Mask) -> Real:
    """Return which limit binds, as its place among the margins.

    The one that is exceeded most, or nearest to being met. A tool well inside its own range is no news: it binds only
    where it is left. Where nothing carries the pull (`carried` is false), slip and power are but stand-ins.
    """
    place: Real = 0.0
    least: Real = float("inf")
    for at, (name, margin) in enumerate(left.items()):
        counted = choose(margin >= -ROUNDING, float("inf"), margin) if name in OF_THE_TOOL else margin
        place, least = choose(counted < least, float(at), place), smaller(counted, least)
    return choose(carried, place, float(list(left).index("pull"))) if "pull" in left else place
