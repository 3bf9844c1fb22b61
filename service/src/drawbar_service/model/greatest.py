"""How far a match can go: the greatest speed, width and depth, and what stops it there."""

from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import Mask, Real, both, choose, either, everywhere, larger, opposite, smaller
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.match import Excess, Work
from drawbar_service.engine.reach import (
    Farthest,
    Reach,
    by_depth,
    by_width,
    greatest_amount,
    greatest_pull,
    greatest_speed,
)
from drawbar_service.model.chance import case_at, holding_score
from drawbar_service.model.findings import Findings
from drawbar_service.model.implement import ToolDraft, deep_tools, hardest, picked_of
from drawbar_service.model.limits import ROUNDING, exceeded_most, place_of
from drawbar_service.model.match import Case, downhill_excess_at
from drawbar_service.reference import default

SLOWEST = 0.1
"""Where the search for a speed begins [m/s]."""
LEAST_DEPTH, GREATEST_DEPTH = 0.01, 1.0
"""Ends of the search for a depth [m] where the machine gives none."""
MOST_TIMES_WIDER = 10.0
"""End of the search for a width, over the width asked about [1]."""
_HARDLY_EVER = -3.0
"""Score [1] of the least draft that is thought of on the way downhill: one in a thousand is less."""
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


class HowFar(NamedTuple):
    """The greatest value of one thing by the central figures, and the one that holds as often as asked."""

    central: Greatest
    holding: Greatest


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


def chosen_speed(case: Case, reach: Reach | None, found: Findings) -> tuple[Real, HowFar | None]:
    """Return the speed [m/s] asked for, or else the greatest that holds as often as asked.

    Where none holds so often, the greatest that keeps every limit by the central figures; where none does, the slowest.
    """
    if case.job.speed is not None:
        return case.job.speed, None
    far = fastest(case, case.reach() if reach is None else reach)
    central, holding = far
    slow = case.speeds[0] if case.speeds is not None else SLOWEST
    holds = both(holding.fits, holding.within_tool_range)
    goes = both(opposite(holds), central.fits)
    none = both(opposite(holds), opposite(central.fits))
    chance = case.confidence.holds_from
    found.assume("holding-speed", "/speed", holding.value, "derived", where=holds, chance=chance)
    found.assume("greatest-speed", "/speed", central.value, "derived", where=goes)
    found.assume("slowest-speed", "/speed", slow, "derived", where=none)
    return choose(holds, holding.value, choose(goes, central.value, slow)), far


def sound_speed(case: Case, speed: Real) -> Real:
    """Return the speed [m/s] nearest to `speed` [m/s] at which the tool does sound work.

    A width or depth is of use only there.
    """
    return smaller(larger(speed, case.speeds[0]), case.speeds[1]) if case.speeds is not None else speed


def speed_ends(case: Case) -> tuple[Real, Real]:
    """Return from where to where a speed [m/s] is searched for."""
    high = case.speeds[1] if case.speeds is not None else default("speed_search_end").value
    return smaller(SLOWEST, high), high


def fastest(case: Case, reach: Reach) -> HowFar:
    """Return the greatest speed [m/s] at which every limit of the tractor is kept, no faster than the tool's range."""
    return HowFar(_fastest(case, case, reach), _fastest(heavy_case(case), light_case(case), reach))


def heavy_case(case: Case) -> Case:
    """Return a match with the draft that it has to bear to hold as often as asked."""
    return case_at(case, holding_score(case.confidence))


def light_case(case: Case) -> Case:
    """Return a match with as little draft as there hardly ever is; itself on level ground, where that is no trouble."""
    return case_at(case, _HARDLY_EVER) if case.way_down is not None else case


def _fastest(case: Case, light: Case, reach: Reach) -> Greatest:
    end = place_of("tool-speed" if case.speeds is not None else "search-end")
    low, high = speed_ends(case)
    found = greatest_speed(reach, case.work.value, low, high)
    stopped = _stopped_by(found, end, case.strain(case.work.value, found.value))
    slowest: Real = case.speeds[0] if case.speeds is not None else 0.0
    within = found.value >= slowest * (1.0 - ROUNDING)
    greatest = Greatest(found.value, found.fits, stopped, found.value, -1.0, np.nan, within)
    return _held_back(greatest, light, light.work.value)


def _held_back(greatest: Greatest, case: Case, work: Work) -> Greatest:
    """Return the `greatest`, which does not fit if some `work` of it pushes or cannot be held on the way downhill.

    Less of it would pull less still, so the machine pushes there, too. Nor does any fit of a machine that lifts the
    front axle when it is raised.
    """
    if case.raised is not None:
        lifts = case.raised < -ROUNDING
        stopped = choose(lifts, place_of("front-raised"), greatest.stopped_by)
        greatest = greatest._replace(fits=both(greatest.fits, opposite(lifts)), stopped_by=stopped)
    excess = downhill_excess_at(case, work, greatest.at_speed)
    if excess is None:
        return greatest
    pushes, runs = excess.pushing > 0.0, excess.braking > 0.0
    stopped = choose(pushes, place_of("pushing"), choose(runs, place_of("braking"), greatest.stopped_by))
    return greatest._replace(fits=both(greatest.fits, opposite(either(pushes, runs))), stopped_by=stopped)


def width_search(case: Case, speed: Real, which: Real | None = None) -> Search | None:
    """Return where a width is searched for at a `speed` [m/s]; None for a machine without ground tools.

    The tool that is counted is the one that pulls hardest, unless `which` says another.
    """
    if not case.drafts:
        return None
    which = hardest(case.drafts, speed) if which is None else which
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


class Pulls(NamedTuple):
    """What a tractor can pull at one speed."""

    central: Real
    """Beside what else the machine takes of the PTO by the central figures [N]."""
    holding: Real
    """Beside what it takes in a match that is to hold as often as asked [N]."""


def pulls_at(case: Case, reach: Reach, speed: Real) -> Pulls:
    """Return what the tractor of a match can pull at a `speed` [m/s]: the same for a width as for a depth."""
    usual, heavy = case.work.value.other_power, heavy_case(case).work.value.other_power
    central = greatest_pull(reach, speed, usual)
    return Pulls(central, central if everywhere(usual == heavy) else greatest_pull(reach, speed, heavy))


def widest(case: Case, pulls: Pulls, speed: Real) -> HowFar | None:
    """Return the greatest width [m] at a `speed` [m/s]; None for a machine without ground tools."""
    search = width_search(case, speed)
    if search is None:
        return None
    heavy, light = heavy_case(case), light_case(case)
    heavier = width_search(heavy, speed, search.tool)
    assert heavier is not None
    return HowFar(_widest(case, case, pulls.central, search), _widest(heavy, light, pulls.holding, heavier))


def _widest(case: Case, light: Case, most: Real, search: Search) -> Greatest:
    speed = search.speed
    counted = picked_of(search.tool, [choose(draft.row.counted_in == "m", 0.0, 1.0) for draft in case.drafts]) == 1.0
    fixed, per_unit = by_width(case.work.value, search.amount)
    found = greatest_amount(most, fixed, per_unit, speed, search.low, search.high)
    excess = case.strain(fixed._replace(draft=per_unit.times(found.value)), speed)
    stopped = _stopped_by(found, place_of("search-end"), excess)
    whole = _floor(found.value + _HAIR)
    amount = choose(counted, whole, found.value)
    width = case.width * amount / search.amount
    greatest = Greatest(width, found.fits, stopped, speed, search.tool, choose(counted, whole, np.nan))
    fixed, per_unit = by_width(light.work.value, search.amount)
    return _held_back(greatest, light, fixed._replace(draft=per_unit.times(amount)))


def _floor(value: Real) -> Real:
    return float(np.floor(value)) if isinstance(value, float) else np.floor(value)


def depth_search(case: Case, speed: Real, which: Real | None = None) -> Search | None:
    """Return where a depth is searched for at a `speed` [m/s]; None where no draft depends on it.

    It is that of the tool that pulls hardest, unless `which` says another by its place among the tools whose depth
    counts.
    """
    deep = deep_tools(case.drafts)
    if not deep:
        return None
    which = hardest(deep, speed) if which is None else which
    low, high = case.depths or (LEAST_DEPTH, GREATEST_DEPTH)
    depth = picked_of(which, [draft.depth for draft in deep if draft.depth is not None])
    place = picked_of(which, [float(at) for at, draft in enumerate(case.drafts) if draft.depth is not None])
    return Search(place, depth, _part_of(which, deep), speed, low, high)


def deepest(case: Case, pulls: Pulls, speed: Real) -> HowFar | None:
    """Return the greatest depth [m] of the main tool at a `speed` [m/s]; None where no draft depends on it."""
    deep = deep_tools(case.drafts)
    if not deep:
        return None
    which, heavy, light = hardest(deep, speed), heavy_case(case), light_case(case)
    return HowFar(
        _deepest(case, case, pulls.central, speed, which), _deepest(heavy, light, pulls.holding, speed, which)
    )


def _deepest(case: Case, light: Case, most: Real, speed: Real, which: Real) -> Greatest:
    search, lighter = depth_search(case, speed, which), depth_search(light, speed, which)
    assert search is not None
    assert lighter is not None
    fixed, per_unit = by_depth(case.work.value, search.part, search.amount)
    found = greatest_amount(most, fixed, per_unit, speed, search.low, search.high)
    end = place_of("tool-depth" if case.depths is not None else "search-end")
    excess = case.strain(fixed._replace(draft=fixed.draft.plus(per_unit, found.value)), speed)
    greatest = Greatest(found.value, found.fits, _stopped_by(found, end, excess), speed, search.tool, np.nan)
    fixed, per_unit = by_depth(light.work.value, lighter.part, lighter.amount)
    return _held_back(greatest, light, fixed._replace(draft=fixed.draft.plus(per_unit, found.value)))


def _part_of(which: Real, drafts: list[ToolDraft]) -> DraftTerms:
    return DraftTerms(*(picked_of(which, [draft.terms[at] for draft in drafts]) for at in range(3)))


def _stopped_by(found: Farthest, at_end: float, excess_there: Excess) -> Real:
    return choose(found.to_the_end, at_end, exceeded_most(excess_there))
