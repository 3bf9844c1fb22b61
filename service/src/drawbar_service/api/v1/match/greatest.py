"""How far a match can go: the greatest speed, width and depth, and what stops it there."""

import math
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import ToolDraft, main_tool
from drawbar_service.api.v1.match.case import Case, Wanted
from drawbar_service.api.v1.match.limits import ROUNDING, LimitName
from drawbar_service.api.v1.match.odds import Search, Searches
from drawbar_service.engine.arrays import Real, larger, smaller
from drawbar_service.engine.match import Excess
from drawbar_service.engine.reach import Farthest, Reach, by_depth, by_width, greatest_amount, greatest_speed
from drawbar_service.quantities import Depth, Speed, Width
from drawbar_service.reference import default

SLOWEST = 0.1
"""Where the search for a speed begins [m/s]."""
LEAST_DEPTH, GREATEST_DEPTH = 0.01, 1.0
"""Ends of the search for a depth [m] where the machine gives none."""
MOST_TIMES_WIDER = 10.0
"""End of the search for a width, over the width asked about [1]."""


class GreatestSpeed(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest speed at which every limit of the tractor is kept, no faster than the tool's range."""

    value: Annotated[Speed | None, Meta(description="The speed; null if there is none.")]
    within_tool_range: Annotated[
        bool, Meta(description="False where that is slower than the tool's range: it goes, but does poor work.")
    ]
    limited_by: Annotated[LimitName, Meta(description="What stops it there.")]


class GreatestWidth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest width at one speed."""

    value: Annotated[Width | None, Meta(description="Working width; null if not even the smallest can be pulled.")]
    count: Annotated[int | None, Meta(description="Whole tools of the main kind; null if they go by width.")]
    at_speed: Annotated[Speed, Meta(description="The speed: the one asked for, or the tool's slowest if none fits it.")]
    limited_by: Annotated[LimitName, Meta(description="What stops it there.")]


class GreatestDepth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest depth of the main tool at one speed."""

    value: Annotated[Depth | None, Meta(description="Depth; null if not even the shallowest can be pulled.")]
    pointer: Annotated[str, Meta(description="Which tool of the request.")]
    at_speed: Annotated[Speed, Meta(description="The speed: the one asked for, or the tool's slowest if none fits it.")]
    limited_by: Annotated[LimitName, Meta(description="What stops it there.")]


class GreatestAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What would still fit, one thing changed at a time; null where it was not asked for or has no meaning."""

    speed: Annotated[GreatestSpeed | None, Meta(description="Greatest speed.")]
    width: Annotated[GreatestWidth | None, Meta(description="Greatest width, all tools in proportion.")]
    depth: Annotated[GreatestDepth | None, Meta(description="Greatest depth of the tool that pulls hardest.")]


def chosen_speed(case: Case, ledger: Ledger) -> tuple[float, GreatestSpeed | None]:
    """Return the speed [m/s] asked for, or the greatest that keeps every limit and how it was found."""
    if case.request.speed is not None:
        return float(case.request.speed), None
    found = _greatest_speed(case, case.reach())
    if found.value is not None:
        ledger.assume("/speed", found.value, "The greatest that keeps every limit.", "derived")
        return float(found.value), found
    slow = case.speeds[0] if case.speeds is not None else SLOWEST
    ledger.assume("/speed", Speed(slow), "No speed keeps every limit; this is the slowest that makes sense.", "derived")
    return slow, found


def greatest_answer(case: Case, speed: float, found: GreatestSpeed | None, wanted: list[Wanted]) -> GreatestAnswer:
    """Return what would still fit of what is `wanted`, and the speed [m/s] if one was `found` already."""
    if not wanted:
        return GreatestAnswer(speed=found, width=None, depth=None)
    reach = case.reach()
    sound = float(sound_speed(case, speed))
    return GreatestAnswer(
        speed=(found or _greatest_speed(case, reach)) if "speed" in wanted or found else None,
        width=_greatest_width(case, reach, sound) if "width" in wanted else None,
        depth=_greatest_depth(case, reach, sound) if "depth" in wanted else None,
    )


def searches(case: Case, speed: float, wanted: list[Wanted]) -> Searches:
    """Return where the same is searched for in every scenario of the odds."""
    sound = float(sound_speed(case, speed))
    return Searches(
        speed=speed_ends(case) if "speed" in wanted else None,
        width=_width_search(case, sound) if "width" in wanted else None,
        depth=_depth_search(case, sound) if "depth" in wanted else None,
    )


def sound_speed(case: Case, speed: Real) -> Real:
    """Return the speed [m/s] nearest to `speed` [m/s] at which the tool does sound work.

    A width or depth is of use only there.
    """
    return smaller(larger(speed, case.speeds[0]), case.speeds[1]) if case.speeds is not None else speed


def _limited_by(strain: Excess) -> LimitName:
    parts: tuple[tuple[LimitName, Real], ...] = (
        ("power", strain.power),
        ("slip", strain.slip),
        ("pull", strain.pull),
        ("front-axle", strain.front_axle),
    )
    return max(parts, key=lambda part: float(part[1]))[0]


def _stopped_by(found: Farthest, at_end: LimitName, strain_there: Excess) -> LimitName:
    return at_end if found.to_the_end else _limited_by(strain_there)


def speed_ends(case: Case) -> tuple[float, float]:
    """Return from where to where a speed [m/s] is searched for."""
    high = case.speeds[1] if case.speeds is not None else default("speed_search_end").value
    return min(SLOWEST, high), high


def _greatest_speed(case: Case, reach: Reach) -> GreatestSpeed:
    end: LimitName = "tool-speed" if case.speeds is not None else "search-end"
    found = greatest_speed(reach, case.work[0], *speed_ends(case))
    value = float(found.value)
    stopped = _stopped_by(found, end, case.strain(case.work[0], value))
    if not found.fits:
        return GreatestSpeed(value=None, within_tool_range=False, limited_by=stopped)
    slowest = case.speeds[0] if case.speeds is not None else 0.0
    return GreatestSpeed(value=Speed(value), within_tool_range=value >= slowest * (1.0 - ROUNDING), limited_by=stopped)


def width_ends(main: ToolDraft) -> tuple[Real, Real]:
    """Return from where to where an amount of the `main` tool is searched for: tools, rows or metres."""
    return 0.01 * main.amount if main.row.counted_in == "m" else 1.0, MOST_TIMES_WIDER * main.amount


def _width_search(case: Case, speed: float) -> Search | None:
    main = main_tool(case.drafts, speed)
    if main is None:
        return None
    low, high = width_ends(main)
    return Search(main, main.amount, speed, float(low), float(high))


def _greatest_width(case: Case, reach: Reach, speed: float) -> GreatestWidth | None:
    search = _width_search(case, speed)
    if search is None:
        return None
    main = search.tool
    counted = main.row.counted_in != "m"
    fixed, per_unit = by_width(case.work[0], main.amount)
    found = greatest_amount(reach, fixed, per_unit, speed, search.low, search.high)
    amount = float(found.value)
    stopped = _stopped_by(found, "search-end", case.strain(fixed._replace(draft=per_unit.times(amount)), speed))
    if not found.fits:
        return GreatestWidth(value=None, count=None, at_speed=Speed(speed), limited_by=stopped)
    if counted:
        # The search stops a hair below a limit that is met exactly by a whole number of tools.
        amount = float(math.floor(amount + 1e-6))
    width = case.width * amount / main.amount
    return GreatestWidth(
        value=Width(width),
        count=int(amount) if counted else None,
        at_speed=Speed(speed),
        limited_by=stopped,
    )


def depth_ends(case: Case) -> tuple[float, float]:
    """Return from where to where a depth [m] is searched for."""
    return case.depths or (LEAST_DEPTH, GREATEST_DEPTH)


def _depth_search(case: Case, speed: float) -> Search | None:
    main = main_tool([draft for draft in case.drafts if draft.depth is not None], speed)
    if main is None or main.depth is None:
        return None
    return Search(main, main.depth, speed, *depth_ends(case))


def _greatest_depth(case: Case, reach: Reach, speed: float) -> GreatestDepth | None:
    search = _depth_search(case, speed)
    if search is None:
        return None
    fixed, per_unit = by_depth(case.work[0], search.tool.terms, search.amount)
    found = greatest_amount(reach, fixed, per_unit, speed, search.low, search.high)
    depth = float(found.value)
    end: LimitName = "tool-depth" if case.depths is not None else "search-end"
    stopped = _stopped_by(found, end, case.strain(fixed._replace(draft=fixed.draft.plus(per_unit, depth)), speed))
    value = Depth(depth) if found.fits else None
    return GreatestDepth(value=value, pointer=search.tool.pointer, at_speed=Speed(speed), limited_by=stopped)
