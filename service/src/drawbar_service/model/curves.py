"""What curves show around a match: other speeds, other widths, other pulls."""

from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray, Mask, Real, both, choose, smaller
from drawbar_service.engine.match import Work, operate, operate_at_slip
from drawbar_service.engine.reach import by_width, greatest_amount, greatest_pull
from drawbar_service.model.greatest import (
    MOST_TIMES_WIDER,
    SLOWEST,
    HowFar,
    fastest,
    heavy_case,
    light_case,
    pulls_at,
    sound_speed,
    widest,
)
from drawbar_service.model.implement import ToolDraft, draft_span, main_tool
from drawbar_service.model.limits import OF_THE_TOOL, ROUNDING, LimitName, Margins, all_kept, binding
from drawbar_service.model.match import Worked, margins_at
from drawbar_service.model.pto_range import pto_range
from drawbar_service.model.span import Span

POINTS = 41
"""Speeds of the power curve."""
WIDTHS = 20
"""Widths of the map."""
SPEED_STEP = 3
"""Of the speeds of the power curve, every third one is enough for a map."""
SLIPS = 60
"""Points of the slip curve."""
LEAST_SLIP, MOST_SLIP = 0.001, 0.4
"""Slips [1] between which the curve runs: no wheel pulls without slip, and beyond none is left to work with."""
TIMES_THE_SPEED = (0.6, 0.8, 1.0, 1.2, 1.4)
"""Speeds at which draft is shown, over that of the match [1]."""
_BESIDE = (1.0 - 1e-3, 1.0 + 1e-3)
"""Just outside the low and the high end of a range, over that end [1]."""
_BY_WIDTH: tuple[LimitName, ...] = ("power", "pull", "slip", "front-axle")
"""Limits that some width meets; the others depend on speed or depth alone."""


class Judged(NamedTuple):
    """Work on arrays, held against the limits."""

    left: Margins
    carried: Mask


def judged(worked: Worked, work: Work, speed: Real) -> Judged:
    """Return what is left before each limit of a match for other `work` at some `speed` [m/s]."""
    case = worked.case
    point = operate(case.tractor.engine, work, speed)
    return Judged(margins_at(case, work, point, speed, worked.depth), point.carried)


class Holding(NamedTuple):
    """How a match holds at other speeds and widths."""

    holds: Mask
    """Whether every limit is kept as often as asked."""
    margin: Real
    """The least margin [1] with the draft that it has to bear for that."""


def holding(worked: Worked, times: Real, speed: Real) -> Holding:
    """Return how a match holds with `times` its draft [1] at some `speed` [m/s].

    It has to bear the draft that is exceeded as rarely as asked and, on the way downhill, as little as there hardly
    ever is.
    """
    holds: Mask = True
    least: Real = np.inf
    for case in (heavy_case(worked.case), worked.case, light_case(worked.case)):
        work = case.work.value
        left = judged(worked._replace(case=case), work._replace(draft=work.draft.times(times)), speed).left
        holds, least = both(holds, all_kept(left)), np.minimum(least, spare(left))
    return Holding(holds, least)


def spare(left: Margins) -> Real:
    """Return the least of the margins [1]; a tool's own range counts only where it is left, as for what binds.

    Where nothing carries the pull, no part of the work is done: there it is at most -1.
    """
    whole = dict(zip(left, np.broadcast_arrays(*left.values()), strict=True))
    least: FloatArray = np.minimum.reduce(
        [
            np.where(margin >= -ROUNDING, np.inf, margin) if name in OF_THE_TOOL else margin
            for name, margin in whole.items()
        ]
    )
    return choose(whole["pull"] < -ROUNDING, smaller(least, -1.0), least)


def with_points(grid: FloatArray, *values: Real) -> FloatArray:
    """Return a `grid` that rises, with more `values` in their places."""
    return np.union1d(grid, np.array(values))


def speeds_to_show(worked: Worked, far: HowFar) -> FloatArray:
    """Return rising speeds [m/s] around the match and the tool's range; the match's and the greatest are among them."""
    case, here = worked.case, float(worked.speed)
    marks = [here, *(float(end) for end in case.speeds or ())]
    if far.central.fits:
        marks.append(float(far.central.value))
    low, high = max(0.5 * min(marks), min(SLOWEST, here)), 1.2 * max(marks)
    surely = [float(far.holding.value)] if far.holding.fits and far.holding.value > low else []
    return with_points(np.linspace(low, high, POINTS), *marks, *surely)


class PowerCurve(NamedTuple):
    """PTO power by speed; arrays of shape (speeds,)."""

    speeds: FloatArray
    """[m/s]"""
    needed: Span[FloatArray]
    """[W]; NaN where nothing carries the pull."""
    holds: npt.NDArray[np.bool_]
    fits: npt.NDArray[np.bool_]
    far: HowFar
    """The greatest speeds [m/s]."""


def power_by_speed(worked: Worked) -> PowerCurve:
    """Return the PTO power that a match needs at each speed, where it holds and where every limit is kept."""
    case, far = worked.case, fastest(worked.case, worked.case.reach())
    speeds = speeds_to_show(worked, far)
    kept = all_kept(judged(worked, case.work.value, speeds).left)

    def needed(work: Work) -> FloatArray:
        return np.where(judged(worked, work, speeds).carried, case.pto_power(work, speeds), np.nan)

    return PowerCurve(
        speeds,
        pto_range(case.work.map(needed), case.work).map(np.asarray),
        np.broadcast_to(holding(worked, 1.0, speeds).holds, speeds.shape),
        np.broadcast_to(kept, speeds.shape),
        far,
    )


class SlipCurve(NamedTuple):
    """Slip and efficiency by pull; arrays of shape (pulls,), empty where the tractor carries none."""

    pulls: FloatArray
    """Rising [N]"""
    slips: FloatArray
    """[1]"""
    efficiencies: FloatArray
    """Drawbar power over axle power [1]"""

    @property
    def most(self) -> float:
        """Greatest pull [N], 0 where the tractor carries none."""
        return float(self.pulls[-1]) if self.pulls.size else 0.0


def slip_by_pull(worked: Worked) -> SlipCurve:
    """Return slip and tractive efficiency of the tractor of a match under every pull it carries.

    The slip of the match is among them where its pull is carried.
    """
    tractor = worked.case.tractor
    slips = np.geomspace(LEAST_SLIP, MOST_SLIP, SLIPS)
    point = operate_at_slip(
        tractor.engine, with_points(slips, worked.point.value.slip) if worked.left["pull"] >= -ROUNDING else slips
    )
    pulls = np.asarray(point.pull)
    # Past its summit the pull falls while slip goes on: the wheels dig.
    rising = np.minimum.accumulate(np.append(True, np.diff(pulls) > 0.0))
    shown = rising & (pulls >= 0.0)
    return SlipCurve(pulls[shown], np.asarray(point.slip)[shown], np.asarray(point.tractive_efficiency)[shown])


class FitMap(NamedTuple):
    """Widths by speeds; arrays of shape (widths, speeds)."""

    widths: FloatArray
    """Rising, shape (widths,) [m]"""
    speeds: FloatArray
    """Rising, shape (speeds,) [m/s]"""
    holds: npt.NDArray[np.bool_]
    """Whether every limit is kept as often as asked."""
    holding_margin: FloatArray
    """The least margin [1] with the draft that it has to bear for that."""
    fits: npt.NDArray[np.bool_]
    """Whether every limit is kept by the central figures."""
    margin: FloatArray
    """The least margin [1]"""
    binds: FloatArray
    """Number of the limit that binds."""
    met: Mapping[LimitName, FloatArray]
    """Width at which a limit is just met at each speed [m], shape (speeds,); NaN where none on the map meets it."""
    far: HowFar
    """The greatest widths [m] at the speed of the match, or the nearest at which the tool does sound work."""


def fit_map(worked: Worked) -> FitMap:
    """Return which widths of a match with ground tools hold and fit at which speeds, all tools in proportion."""
    case = worked.case
    # A hair beyond the tool's range the map changes from one shade to another.
    edges = [end * side for end, side in zip(case.speeds or (), _BESIDE, strict=False)]
    reach, sound = case.reach(), sound_speed(case, worked.speed)
    far = widest(case, pulls_at(case, reach, sound), sound)
    assert far is not None
    speeds = speeds_to_show(worked, fastest(case, reach))[::SPEED_STEP]
    speeds = with_points(speeds, worked.speed, *edges, *(case.speeds or ()))
    widths = _widths(worked)
    across, along = (part.ravel() for part in np.meshgrid(widths, speeds, indexing="ij"))
    work = case.work.value
    times = across / case.width
    held, bears = judged(worked, work._replace(draft=work.draft.times(times)), along), holding(worked, times, along)
    shape = (len(widths), len(speeds))

    def on_map(values: Real | Mask) -> FloatArray:
        return np.broadcast_to(values, along.shape).reshape(shape)

    return FitMap(
        widths=widths,
        speeds=speeds,
        holds=on_map(bears.holds).astype(np.bool_),
        holding_margin=on_map(bears.margin),
        fits=on_map(all_kept(held.left)).astype(np.bool_),
        margin=on_map(spare(held.left)),
        binds=on_map(binding(held.left, held.carried)),
        met={
            name: np.array([_crossing(widths, margins) for margins in on_map(held.left[name]).T])
            for name in _BY_WIDTH
            if name in held.left
        },
        far=far,
    )


def _widths(worked: Worked) -> FloatArray:
    """Return widths [m] from well below to well above both the machine's and the greatest that fits at sound speed."""
    case = worked.case
    speed = float(sound_speed(case, worked.speed))
    main = main_tool(case.drafts, speed)
    assert main is not None
    fixed, each = by_width(case.work.value, main.amount)
    ends = (0.1 * main.amount, MOST_TIMES_WIDER * main.amount)
    pull = greatest_pull(case.reach(), speed, fixed.other_power)
    most = float(case.width * greatest_amount(pull, fixed, each, speed, *ends).value / main.amount)
    low, high = 0.4 * min(float(case.width), most), 1.3 * max(float(case.width), most)
    return with_points(np.linspace(low, high, WIDTHS), case.width)


def _crossing(widths: FloatArray, margin: FloatArray) -> float:
    """Return the width [m] at which a margin [1] falls to 0, not a number where it does not."""
    below = np.flatnonzero(margin < 0.0)
    if not below.size or below[0] == 0:
        return float("nan")
    after = int(below[0])
    high, low = float(margin[after - 1]), float(margin[after])
    return float(widths[after - 1] + (widths[after] - widths[after - 1]) * high / (high - low))


class DraftCurve(NamedTuple):
    """Draft by tool at speeds around a match; arrays of shape (speeds,)."""

    speeds: FloatArray
    """Rising [m/s]"""
    tools: list[tuple[ToolDraft, Span[Real]]]
    """Each tool with its draft [N]"""
    total: Span[Real]
    """[N]"""


def draft_by_tool(worked: Worked) -> DraftCurve:
    """Return what each kind of tool adds to the draft, at speeds around the match."""
    drafts, speeds = worked.case.drafts, float(worked.speed) * np.array(TIMES_THE_SPEED)
    total = draft_span(drafts).map(lambda terms: terms.at(speeds))
    return DraftCurve(speeds, [(one, one.at(speeds)) for one in drafts], total)
