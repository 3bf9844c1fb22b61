"""How far a match can go: the greatest speed, width and depth, and what stops it there."""

from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import Mask, Real, choose, larger, opposite, smaller
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.match import Excess
from drawbar_service.engine.reach import Farthest, Reach, by_depth, by_width, greatest_amount, greatest_speed
from drawbar_service.model.findings import Findings
from drawbar_service.model.implement import ToolDraft, deep_tools, hardest, picked_of
from drawbar_service.model.limits import ROUNDING, exceeded_most, place_of
from drawbar_service.model.match import Case
from drawbar_service.reference import default

SLOWEST = 0.1
"""Where the search for a speed begins [m/s]."""
LEAST_DEPTH, GREATEST_DEPTH = 0.01, 1.0
"""Ends of the search for a depth [m] where the machine gives none."""
MOST_TIMES_WIDER = 10.0
"""End of the search for a width, over the width asked about [1]."""
_HAIR = 1e-6
"""The search stops this far [1] below a limit that is met exactly by a whole number of tools."""


class Greatest(NamedTuple):
    """The greatest value of one thing, everything else as asked."""

    value: Real
    """[m/s] or [m]; means nothing where none fits."""
    fits: Mask
    stopped_by: Real
    """Number of the limit."""
    at_speed: Real
    """[m/s]"""
    tool: Real
    """Place of the tool that is varied [1]."""
    whole_tools: Real
    """Of the main kind [1]; NaN where it is counted in metres."""
    within_tool_range: Mask = True
    """Whether the tool works well at that speed."""


class Search(NamedTuple):
    """Where a width or a depth is searched for."""

    tool: Real
    """Place of the tool that is varied [1]."""
    amount: Real
    """What is asked about: tools, rows [1], metres of width, or metres of depth [m]."""
    part: DraftTerms
    """Draft of that tool."""
    speed: Real
    """[m/s]"""
    low: Real
    high: Real


def chosen_speed(case: Case, found: Findings) -> tuple[Real, Greatest | None]:
    """Return the speed [m/s] asked for, or the greatest that keeps every limit and how it was found."""
    if case.job.speed is not None:
        return case.job.speed, None
    greatest = fastest(case, case.reach())
    slow = case.speeds[0] if case.speeds is not None else SLOWEST
    found.assume("greatest-speed", "/speed", greatest.value, "derived", where=greatest.fits)
    found.assume("slowest-speed", "/speed", slow, "derived", where=opposite(greatest.fits))
    return choose(greatest.fits, greatest.value, slow), greatest


def sound_speed(case: Case, speed: Real) -> Real:
    """Return the speed [m/s] nearest to `speed` [m/s] at which the tool does sound work.

    A width or depth is of use only there.
    """
    return smaller(larger(speed, case.speeds[0]), case.speeds[1]) if case.speeds is not None else speed


def speed_ends(case: Case) -> tuple[Real, Real]:
    """Return from where to where a speed [m/s] is searched for."""
    high = case.speeds[1] if case.speeds is not None else default("speed_search_end").value
    return smaller(SLOWEST, high), high


def fastest(case: Case, reach: Reach) -> Greatest:
    """Return the greatest speed [m/s] at which every limit of the tractor is kept, no faster than the tool's range."""
    end = place_of("tool-speed" if case.speeds is not None else "search-end")
    low, high = speed_ends(case)
    found = greatest_speed(reach, case.work.value, low, high)
    stopped = _stopped_by(found, end, case.strain(case.work.value, found.value))
    slowest: Real = case.speeds[0] if case.speeds is not None else 0.0
    within = found.value >= slowest * (1.0 - ROUNDING)
    return Greatest(found.value, found.fits, stopped, found.value, -1.0, np.nan, within)


def width_search(case: Case, speed: Real) -> Search | None:
    """Return where a width is searched for at a `speed` [m/s]; None for a machine without ground tools."""
    if not case.drafts:
        return None
    which = hardest(case.drafts, speed)
    ends = [_width_ends(draft) for draft in case.drafts]
    return Search(
        which,
        picked_of(which, [draft.amount for draft in case.drafts]),
        _part_of(which, case.drafts),
        speed,
        picked_of(which, [end[0] for end in ends]),
        picked_of(which, [end[1] for end in ends]),
    )


def _width_ends(tool: ToolDraft) -> tuple[Real, Real]:
    """Return from where to where an amount of a tool is searched for: tools, rows or metres."""
    by_metre = tool.row.counted_in == "m"
    return choose(by_metre, 0.01 * tool.amount, 1.0), MOST_TIMES_WIDER * tool.amount


def widest(case: Case, reach: Reach, speed: Real) -> Greatest | None:
    """Return the greatest width [m] at a `speed` [m/s]; None for a machine without ground tools."""
    search = width_search(case, speed)
    if search is None:
        return None
    counted = picked_of(search.tool, [choose(draft.row.counted_in == "m", 0.0, 1.0) for draft in case.drafts]) == 1.0
    fixed, per_unit = by_width(case.work.value, search.amount)
    found = greatest_amount(reach, fixed, per_unit, speed, search.low, search.high)
    excess = case.strain(fixed._replace(draft=per_unit.times(found.value)), speed)
    stopped = _stopped_by(found, place_of("search-end"), excess)
    whole = _floor(found.value + _HAIR)
    amount = choose(counted, whole, found.value)
    width = case.width * amount / search.amount
    return Greatest(width, found.fits, stopped, speed, search.tool, choose(counted, whole, np.nan))


def _floor(value: Real) -> Real:
    return float(np.floor(value)) if isinstance(value, float) else np.floor(value)


def depth_search(case: Case, speed: Real) -> Search | None:
    """Return where a depth is searched for at a `speed` [m/s]; None where no draft depends on it."""
    deep = deep_tools(case.drafts)
    if not deep:
        return None
    which = hardest(deep, speed)
    low, high = case.depths or (LEAST_DEPTH, GREATEST_DEPTH)
    depth = picked_of(which, [draft.depth for draft in deep if draft.depth is not None])
    place = picked_of(which, [float(at) for at, draft in enumerate(case.drafts) if draft.depth is not None])
    return Search(place, depth, _part_of(which, deep), speed, low, high)


def deepest(case: Case, reach: Reach, speed: Real) -> Greatest | None:
    """Return the greatest depth [m] of the main tool at a `speed` [m/s]; None where no draft depends on it."""
    search = depth_search(case, speed)
    if search is None:
        return None
    fixed, per_unit = by_depth(case.work.value, search.part, search.amount)
    found = greatest_amount(reach, fixed, per_unit, speed, search.low, search.high)
    end = place_of("tool-depth" if case.depths is not None else "search-end")
    excess = case.strain(fixed._replace(draft=fixed.draft.plus(per_unit, found.value)), speed)
    return Greatest(found.value, found.fits, _stopped_by(found, end, excess), speed, search.tool, np.nan)


def _part_of(which: Real, drafts: list[ToolDraft]) -> DraftTerms:
    return DraftTerms(*(picked_of(which, [draft.terms[at] for draft in drafts]) for at in range(3)))


def _stopped_by(found: Farthest, at_end: float, excess_there: Excess) -> Real:
    return choose(found.to_the_end, at_end, exceeded_most(excess_there))
