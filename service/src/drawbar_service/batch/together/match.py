"""Matches on arrays.

The function that resolves a single match resolves one of the rows, and arrays take the place of its numbers.
"""

import re
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any, Final, NamedTuple, TypeAlias, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import ToolDraft
from drawbar_service.api.v1.field_capacity.answer import capacity_summary
from drawbar_service.api.v1.match.case import Case, MatchRequest, resolve
from drawbar_service.api.v1.match.greatest import SLOWEST, depth_ends, sound_speed, speed_ends, width_ends
from drawbar_service.api.v1.match.limits import ROUNDING, LimitName, Margins, all_kept, binding, margins
from drawbar_service.batch.plan import Index
from drawbar_service.batch.together.tools import (
    IMPLEMENT_LEAVES,
    Tools,
    as_codes,
    hardest,
    of_tool,
    varies,
    width_of,
    with_arrays,
)
from drawbar_service.batch.together.tractor import TRACTOR_LEAVES, follows_front
from drawbar_service.batch.together.tractor import with_arrays as with_tractor_arrays
from drawbar_service.batch.together.way import NONE, End, Leaves, Way, plain, where
from drawbar_service.engine.arrays import Mask, Real, choose, larger, smaller
from drawbar_service.engine.capacity import field_capacity
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.fuel import fuel_per_area, fuel_rate, reduced_speed_factor
from drawbar_service.engine.match import Excess, Limits, OperatingPoint, Work, excess, operate, power_by_ratio
from drawbar_service.engine.reach import (
    Farthest,
    Reach,
    by_depth,
    by_width,
    greatest_amount,
    greatest_speed,
    reach_on_wheels,
)
from drawbar_service.quantities import Share

_REFERENCE_SPEED = 2.0
"""Speed [m/s] at which a match asks which tool pulls hardest, to know what kind of machine it is."""


class _Resolved(NamedTuple):
    """What rows of a group share."""

    case: Case
    efficiency: Share
    """Of the field [1], with its range if it has one."""
    engine_speed: float
    """Over full-throttle speed [1]."""


def _read(request: MatchRequest, ledger: Ledger, leaves: Leaves) -> _Resolved | None:
    case = resolve(request, ledger)
    tractor, field = request.tractor, request.field
    if case.tractor is None or tractor.gears or field.shape is not None or follows_front(tractor, leaves):
        # Something ties a number to others in a way that arrays do not follow.
        return None
    found = capacity_summary(
        1.0, 1.0, field.efficiency, None, case.practice, field.area, field.workday, ledger, "/field"
    )
    ledger.stop_at_faults()
    engine_speed = ledger.fallback(tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    return _Resolved(case, found.efficiency, engine_speed)


def _which_tool(resolved: _Resolved, leaves: Leaves) -> Index | None:
    """Return which tool pulls hardest: it says which practice row applies. None where it is the same in all rows."""
    case = resolved.case
    request = case.request
    if len(case.drafts) < 2 or request.implement.kind is not None or not varies(leaves):
        return None
    drafts = with_arrays(request.implement, request.soil, case.drafts, leaves).drafts
    return as_codes(hardest(drafts, _REFERENCE_SPEED), len(next(iter(leaves.values()))))


def _with_arrays(case: Case, tools: Tools, leaves: Leaves) -> Case:
    """Return a resolved match with arrays in the place of its numbers; those of the tools stay as they were."""
    rated = leaves.at("/tractor/power/rated_pto", case.rated)
    usable = rated * (1.0 - leaves.at("/limits/power_reserve", 1.0 - case.usable / case.rated))
    assert case.tractor is not None
    tractor = with_tractor_arrays(case.tractor, case.request.tractor, leaves)
    share = leaves.at("/limits/front_share", cast("float", case.limits.front_load) / case.tractor.weight)
    limits = Limits(
        leaves.at("/limits/slip", cast("float", case.limits.slip)),
        usable,
        share * tractor.weight,
    )
    width = width_of(case.request.implement, tools, leaves)
    return case._replace(
        tractor=tractor,
        tractor_grade_pull=tractor.engine.grade_pull,
        rated=rated,
        limits=limits,
        usable=usable,
        width=width,
    )


class _Rows:
    """Matches of one group; everything is reckoned when a column first asks for it."""

    def __init__(self, resolved: _Resolved, leaves: Leaves, size: int) -> None:
        request = resolved.case.request
        self.tools = with_arrays(request.implement, request.soil, resolved.case.drafts, leaves)
        self.case = _with_arrays(resolved.case, self.tools, leaves)
        self.asked = leaves.maybe("/speed", self.case.request.speed)
        given, usual = leaves.get("/field/efficiency"), resolved.efficiency
        self._efficiencies = (float(usual), usual.low, usual.high) if given is None else (given, None, None)
        self.engine_speed = resolved.engine_speed
        assert self.case.tractor is not None
        self.tractor = self.case.tractor.engine
        self._size = size
        self._work: dict[End, Work] = {}
        self._points: dict[End, OperatingPoint] = {}

    def whole(self, values: Real | Mask) -> npt.NDArray[Any]:
        """Return a value of every row."""
        return np.broadcast_to(values, (self._size,))

    def work(self, end: End) -> Work:
        """Return what the implement asks for by the central (0), low (1) or high (2) draft."""
        if end not in self._work:
            self._work[end] = self.case.work[end]._replace(draft=self.tools.total(end))
        return self._work[end]

    @cached_property
    def reach(self) -> Reach:
        return reach_on_wheels(self.tractor, self.case.limits)

    @cached_property
    def fastest(self) -> Farthest:
        return greatest_speed(self.reach, self.work(0), *speed_ends(self.case))

    @cached_property
    def speed(self) -> Real:
        if self.asked is not None:
            return self.asked
        slow = self.case.speeds[0] if self.case.speeds is not None else SLOWEST
        return choose(self.fastest.fits, self.fastest.value, slow)

    def point(self, end: End) -> OperatingPoint:
        """Return the operating point of the central (0), low (1) or high (2) draft."""
        if end not in self._points:
            self._points[end] = operate(self.tractor, self.work(end), self.speed)
        return self._points[end]

    @cached_property
    def strain(self) -> Excess:
        return excess(self.point(0), self.tractor, self.case.limits)

    @cached_property
    def carried(self) -> Mask:
        return self.point(0).pull_effort <= 1.0

    @cached_property
    def left(self) -> Margins:
        case = self.case
        depth = None
        if case.depths is not None and self.deep:
            depth = of_tool(hardest(self.deep, self.speed), [cast("Real", draft.depth) for draft in self.deep])
        return margins(self.strain, True, self.speed, case.speeds, depth, case.depths)

    @cached_property
    def fits(self) -> Mask:
        return all_kept(self.left)

    def binding(self) -> list[str]:
        names = list(self.left)
        place = binding(self.left, self.carried)
        if self.asked is None:
            # A speed that was searched for ends where something stops it: that binds, whatever else is near.
            parts = self.strain
            ends: list[LimitName] = ["power", "slip", "pull", "front-axle"]
            strongest = np.argmax(np.stack(np.broadcast_arrays(*(getattr(parts, _PART[one]) for one in ends))), axis=0)
            stopped: Real = np.array([float(names.index(one)) for one in ends])[strongest]
            end = float(names.index("tool-speed")) if "tool-speed" in names else place
            stopped = choose(self.fastest.to_the_end, end, stopped)
            place = choose(self.fits & self.carried & self.fastest.fits, stopped, place)
        return np.array(names, dtype=object)[self.whole(place).astype(np.intp)].tolist()

    def load(self, end: End) -> Real:
        return self.point(end).pto_power / self.case.rated

    def efficiency(self, end: End) -> Real:
        value = self._efficiencies[end]
        return NONE if value is None else value

    def capacity(self, end: End) -> Real:
        return field_capacity(self.case.width, self.speed, self.efficiency(end))

    def rate(self, end: End) -> Real:
        """Return the fuel [m^3/s] of one draft of the range; nothing where the power does not suffice."""
        load = central = self.load(0)
        if end != 0:
            # A tractor that is asked for more than it is rated for slows down rather than burn more.
            load = smaller(self.load(end), larger(central, 1.0))
        rate = fuel_rate(load, self.case.rated) * reduced_speed_factor(load, self.engine_speed)
        return where(central <= 1.0 + ROUNDING, rate)

    def fuel_per_area(self, end: End) -> Real:
        """Return fuel on an area [m]: low and high take the ranges of draft and field efficiency together."""
        opposite: tuple[End, End, End] = (0, 2, 1)
        capacity = opposite[end] if self._efficiencies[opposite[end]] is not None else 0
        return fuel_per_area(_fuel(self, end), self.capacity(capacity))

    def found(self, wanted: str, value: Real, fits: Mask) -> Real:
        """Return a greatest value where a single match would tell it, else nothing."""
        asked = self.case.request.find
        told: Mask = wanted in asked if asked is not None else self.fits == False  # noqa: E712 - of every row
        if wanted == "speed" and self.asked is None:
            told = True
        return choose(self.whole(told) & self.whole(fits), self.whole(value), np.nan)

    @property
    def deep(self) -> list[ToolDraft]:
        """The tools whose draft goes by depth."""
        return [draft for draft in self.tools.drafts if draft.depth is not None]

    @cached_property
    def sound_speed(self) -> Real:
        return sound_speed(self.case, self.speed)

    @cached_property
    def widest(self) -> tuple[Real, Real, Mask]:
        """Greatest width [m], whole tools of the main kind [1] (nothing where it goes by width), and whether any fits.

        The main kind may be another one in each row.
        """
        drafts = self.tools.drafts
        if not drafts:
            return NONE, NONE, False
        main = hardest(drafts, self.sound_speed)
        counted = of_tool(main, [float(draft.row.counted_in != "m") for draft in drafts]) == 1.0
        now = of_tool(main, [draft.amount for draft in drafts])
        ends = [width_ends(draft) for draft in drafts]
        fixed, per_unit = by_width(self.work(0), now)
        low, high = of_tool(main, [end[0] for end in ends]), of_tool(main, [end[1] for end in ends])
        found = greatest_amount(self.reach, fixed, per_unit, self.sound_speed, low, high)
        count = np.floor(found.value + 1e-6)
        amount = choose(counted, count, found.value)
        return self.case.width * amount / now, where(counted, count), found.fits

    @cached_property
    def deepest(self) -> tuple[Real, Mask]:
        """Greatest depth [m] of the tool that pulls hardest, and whether any fits."""
        deep = self.deep
        if not deep:
            return NONE, False
        main = hardest(deep, self.sound_speed)
        part = DraftTerms(*(of_tool(main, [draft.terms[at] for draft in deep]) for at in range(3)))
        now = of_tool(main, [cast("Real", draft.depth) for draft in deep])
        fixed, per_unit = by_depth(self.work(0), part.times(self.tools.multiplier), now)
        found = greatest_amount(self.reach, fixed, per_unit, self.sound_speed, *depth_ends(self.case))
        return found.value, found.fits


_PART: Final[Mapping[str, str]] = {"power": "power", "slip": "slip", "pull": "pull", "front-axle": "front_axle"}

_GiveNumber: TypeAlias = Callable[[_Rows, End], Real]


def _between(give: _GiveNumber) -> _GiveNumber:
    """Return how to give a value with its range, which goes over all that the drafts of the range come to."""

    def one(rows: _Rows, end: End) -> Real:
        value = give(rows, 0)
        if end == 0:
            return value
        pick = smaller if end == 1 else larger
        return pick(value, pick(give(rows, 1), give(rows, 2)))

    return one


def _slip(rows: _Rows, end: End) -> Real:
    slip = _ANY_SLIP(rows, end)
    if end == 0:
        return slip
    # Where some draft of the range is not carried, there is no range.
    return where(rows.carried & (rows.point(1).pull_effort <= 1.0) & (rows.point(2).pull_effort <= 1.0), slip)


_ANY_SLIP: Final = _between(lambda rows, end: rows.point(end).slip)
_fuel: Final = _between(_Rows.rate)
_RANGED: Final[Mapping[str, _GiveNumber]] = {
    "/at_work/pull": lambda rows, end: rows.point(end).pull,
    "/at_work/drawbar_power": lambda rows, end: rows.point(end).pull * rows.speed,
    "/at_work/axle_power": lambda rows, end: rows.point(end).axle_power,
    "/at_work/pto_power": lambda rows, end: rows.point(end).pto_power,
    "/at_work/load_fraction": _Rows.load,
    "/draft/total": lambda rows, end: rows.work(end).draft.at(rows.speed) if rows.tools.drafts else NONE,
    "/quick_check/pto_power": lambda rows, end: power_by_ratio(
        rows.work(end), rows.case.tractor_grade_pull, rows.case.ratio, rows.speed
    ),
}

MATCHES: Final = Way(
    leaves=re.compile(
        rf"/speed|/tractor/power/rated_pto|/limits/(?:slip|power_reserve|front_share)"
        rf"|/field/efficiency|{IMPLEMENT_LEAVES}|{TRACTOR_LEAVES}"
    ),
    read=_read,
    apart=_which_tool,
    rows=_Rows,
    columns={
        "/verdict/fits": plain(lambda rows: rows.fits),
        "/verdict/binding": plain(lambda rows: rows.binding()),
        "/at_work/speed": plain(lambda rows: rows.speed),
        "/at_work/slip": _slip,
        "/at_work/tractive_efficiency": plain(lambda rows: rows.point(0).tractive_efficiency),
        "/at_work/axles/front/load": plain(lambda rows: rows.tractor.loads.front(rows.point(0).pull)),
        "/at_work/axles/rear/load": plain(lambda rows: rows.tractor.loads.rear(rows.point(0).pull)),
        "/greatest/speed/value": plain(lambda rows: rows.found("speed", rows.fastest.value, rows.fastest.fits)),
        "/greatest/width/value": plain(lambda rows: rows.found("width", rows.widest[0], rows.widest[2])),
        "/greatest/width/count": plain(lambda rows: rows.found("width", rows.widest[1], rows.widest[2])),
        "/greatest/depth/value": plain(lambda rows: rows.found("depth", *rows.deepest)),
        "/fuel/rate": _fuel,
        "/fuel/per_area": _Rows.fuel_per_area,
        "/capacity/width": plain(lambda rows: rows.case.width),
        "/capacity/efficiency": _Rows.efficiency,
        "/capacity/theoretical": plain(lambda rows: field_capacity(rows.case.width, rows.speed, 1.0)),
        "/capacity/effective": _Rows.capacity,
        **{pointer: _between(give) for pointer, give in _RANGED.items()},
    },
)
"""``/v1/match``"""
