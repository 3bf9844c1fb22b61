"""Matches on arrays: what varies by number goes through the engine all at once.

Rows that differ only in leaves that :data:`ON_ARRAYS` names share one reading of the request: the function that
resolves a single match resolves one of them, and arrays take the place of its numbers. Rows that differ in anything
else (a tire size, a kind of tool) are read apart, group by group. Where hardly two rows share a group, or a column is
wanted that is not among :data:`COLUMNS`, rows are worked one by one, with the same numbers.
"""

import re
from collections.abc import Callable, Mapping
from functools import cached_property
from typing import Any, Final, cast

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import Fault, ImpossibleInput, find_faults
from drawbar_service.api.v1.case import Case, MatchRequest, resolve
from drawbar_service.api.v1.field_capacity import capacity_summary
from drawbar_service.api.v1.greatest import SLOWEST, depth_ends, sound_speed, speed_ends, width_ends
from drawbar_service.api.v1.implement import ToolDraft, total_terms
from drawbar_service.api.v1.limits import ROUNDING, LimitName, Margins, all_kept, binding, margins
from drawbar_service.api.v1.tractor import AxleInSI
from drawbar_service.batch import rows as one_by_one
from drawbar_service.batch.plan import Index, Plan
from drawbar_service.batch.table import Block, Column, RowFault
from drawbar_service.engine.arrays import FloatArray, Mask, Real, choose, larger, smaller
from drawbar_service.engine.capacity import field_capacity
from drawbar_service.engine.draft import draft_terms
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
from drawbar_service.engine.traction import wheel_stiffness
from drawbar_service.quantities import decode_quantity

ON_ARRAYS: Final = re.compile(
    r"/speed|/implement/draft_multiplier|/implement/tools/[0-9]+/(?:depth|count|spacing|width)|/soil/cone_index"
    r"|/tractor/power/rated_pto|/limits/(?:slip|power_reserve|front_share)|/field/efficiency"
)
"""Leaves whose values go through the engine as arrays."""
MOST_GROUPS = 0.05
"""Groups over rows [1] of a block above which grouping saves nothing."""
_REFERENCE_SPEED = 2.0
"""Speed [m/s] at which a match asks which tool pulls hardest, to know what kind of machine it is."""


def on_arrays(plan: Plan) -> bool:
    """Return whether a plan is of matches whose columns are all reckoned on arrays."""
    return plan.calculation.request is MatchRequest and all(one.pointer in COLUMNS for one in plan.wanted)


def evaluate(plan: Plan, start: int, stop: int) -> Block:
    """Return the answers of the rows from `start` to before `stop`."""
    indices = plan.indices(start, stop)
    size = stop - start
    sound = np.ones(size, dtype=np.bool_)
    for one, index in zip(plan.varied, indices, strict=True):
        if one.faults:
            sound &= np.isin(index, list(one.faults), invert=True)
    groups = _groups(plan, indices, np.flatnonzero(sound))
    if len(groups) > max(1.0, MOST_GROUPS * size):
        return one_by_one.evaluate(plan, start, stop)
    table = _Table(plan, size)
    faults = [
        RowFault(row=start + int(row), pointer=one.leaf.pointer, detail=one.faults[int(index[row])])
        for one, index in zip(plan.varied, indices, strict=True)
        if one.faults
        for row in np.flatnonzero(np.isin(index, list(one.faults)))
    ]
    for rows in groups:
        faults += _evaluate_group(plan, indices, rows, start, table)
    faults.sort(key=lambda fault: fault.row)
    return Block(start, table.answered, table.columns(), faults)


def _groups(plan: Plan, indices: list[Index], rows: Index) -> list[Index]:
    """Return the rows that share everything but what goes as arrays, group by group."""
    keys = [
        index[rows]
        for one, index in zip(plan.varied, indices, strict=True)
        if not ON_ARRAYS.fullmatch(one.leaf.pointer)
    ]
    if not keys or not rows.size:
        return [rows] if rows.size else []
    return _split(rows, keys)


def _split(rows: Index, keys: list[npt.NDArray[Any]]) -> list[Index]:
    order = np.lexsort(keys)
    changes = np.zeros(len(rows), dtype=np.bool_)
    for key in keys:
        changes[1:] |= np.diff(key[order]) != 0
    return [np.sort(part) for part in np.split(rows[order], np.flatnonzero(changes))]


def _evaluate_group(plan: Plan, indices: list[Index], rows: Index, start: int, table: "_Table") -> list[RowFault]:
    body = plan.body(indices, int(rows[0]))
    ledger = Ledger(plan.units)
    leaves = {
        one.leaf.pointer: one.numbers[index[rows]] if one.numbers is not None else np.array(one.others)[index[rows]]
        for one, index in zip(plan.varied, indices, strict=True)
        if ON_ARRAYS.fullmatch(one.leaf.pointer)
    }
    try:
        request = msgspec.convert(body, MatchRequest, dec_hook=decode_quantity)
        first = resolve(request, ledger)
        apart = _which_tool(first, leaves, _REFERENCE_SPEED)
        if apart is not None and request.implement.kind is None and np.ptp(apart) > 0:
            # Which practice row applies goes by the tool that pulls hardest, and here that differs.
            return [
                fault for part in _split(rows, [apart]) for fault in _evaluate_group(plan, indices, part, start, table)
            ]
        if first.tractor is None or _needs_single_rows(request, leaves):
            return _one_by_one(plan, rows, start, table)
        efficiency = _efficiency(first, request, ledger)
        ledger.stop_at_faults()
    except msgspec.ValidationError:
        return _told(find_faults(body, MatchRequest), rows, start)
    except ImpossibleInput as error:
        return _told(error.faults, rows, start)
    engine_speed = ledger.fallback(request.tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    case = _with_arrays(first, leaves)
    speed = leaves.get("/speed", float(request.speed) if request.speed is not None else None)
    found = _Rows(case, speed, leaves.get("/field/efficiency", efficiency), engine_speed, len(rows))
    if table.needs_main_tool and len(case.drafts) > 1:
        keys = [found.hardest(case.drafts), found.hardest(found.deep)]
        if any(np.ptp(key) for key in keys):
            return [
                fault for part in _split(rows, keys) for fault in _evaluate_group(plan, indices, part, start, table)
            ]
    table.fill(rows, found)
    return []


def _told(faults: list[Fault], rows: Index, start: int) -> list[RowFault]:
    return [
        RowFault(row=start + int(row), pointer=fault.pointer, detail=fault.detail) for row in rows for fault in faults
    ]


def _needs_single_rows(request: MatchRequest, leaves: Mapping[str, FloatArray]) -> bool:
    """Return whether something in the request ties a number to others in a way that arrays do not follow."""
    second_pass = request.tractor.rear_follows_front and "/soil/cone_index" in leaves
    return bool(request.tractor.gears) or request.field.shape is not None or second_pass


def _one_by_one(plan: Plan, rows: Index, start: int, table: "_Table") -> list[RowFault]:
    faults: list[RowFault] = []
    for row in rows:
        block = one_by_one.evaluate(plan, start + int(row), start + int(row) + 1)
        table.take(int(row), block)
        faults += block.faults
    return faults


def _efficiency(case: Case, request: MatchRequest, ledger: Ledger) -> float:
    field = request.field
    found = capacity_summary(
        1.0, 1.0, field.efficiency, None, case.practice, field.area, field.workday, ledger, "/field"
    )
    return float(found.efficiency)


# ---- arrays in the place of numbers


def _with_arrays(case: Case, leaves: Mapping[str, FloatArray]) -> Case:
    """Return a resolved match with arrays in the place of the numbers of the `leaves`."""
    request = case.request
    drafts = [_draft(case, draft, leaves) for draft in case.drafts]
    widths = [draft.width for draft in drafts if draft.width is not None]
    width: Real = case.width
    if request.implement.width is None and widths:
        width = widths[0]
        for other in widths[1:]:
            width = larger(width, other)
    work = cast(
        "tuple[Work, Work, Work]",
        tuple(one._replace(draft=terms) for one, terms in zip(case.work, total_terms(drafts), strict=True)),
    )
    rated = leaves.get("/tractor/power/rated_pto", case.rated)
    reserve = leaves.get("/limits/power_reserve", 1.0 - case.usable / case.rated)
    usable = rated * (1.0 - reserve)
    tractor = case.tractor
    assert tractor is not None
    share = leaves.get("/limits/front_share")
    limits = Limits(
        leaves.get("/limits/slip", case.limits.slip),
        usable,
        case.limits.front_load if share is None else share * tractor.weight,
    )
    if (cone_index := leaves.get("/soil/cone_index")) is not None:
        front, rear = _on_soil(tractor.front, cone_index), _on_soil(tractor.rear, cone_index)
        engine = tractor.engine._replace(front=front.axle, rear=rear.axle)
        tractor = tractor._replace(engine=engine, front=front, rear=rear)
    return case._replace(
        drafts=drafts, tractor=tractor, work=work, rated=rated, limits=limits, usable=usable, width=width
    )


def _draft(case: Case, draft: ToolDraft, leaves: Mapping[str, FloatArray]) -> ToolDraft:
    request = case.request
    tool = request.implement.tools[int(draft.pointer.rpartition("/")[2])]

    def one(name: str, given: float | None) -> Real | None:
        return leaves.get(f"{draft.pointer}/{name}", None if given is None else float(given))

    count, spacing, width = one("count", tool.count), one("spacing", tool.spacing), one("width", tool.width)
    if width is None and count is not None and spacing is not None:
        width = count * spacing
    row = draft.row
    amount = cast("Real", width if row.counted_in == "m" else count)
    depth = one("depth", tool.depth) if row.depth_counts else None
    multiplier = leaves.get("/implement/draft_multiplier", float(request.implement.draft_multiplier))
    texture: float = getattr(row, request.soil.texture)
    terms = draft_terms(row.A, row.B, row.C, texture * multiplier, amount, depth)
    return draft._replace(amount=amount, depth=depth, width=width, terms=terms)


def _on_soil(axle: AxleInSI, cone_index: FloatArray) -> AxleInSI:
    tire = axle.tire._replace(cone_index=cone_index)
    stiffness = axle.tires * wheel_stiffness(cone_index, tire.width, tire.diameter, tire.deflection_ratio)
    return axle._replace(axle=axle.axle._replace(stiffness=stiffness), tire=tire)


def _which_tool(case: Case, leaves: Mapping[str, FloatArray], speed: Real) -> Index | None:
    """Return, row by row, which tool pulls hardest at `speed` [m/s]; None where there is no choice."""
    if len(case.drafts) < 2:
        return None
    forces = [_draft(case, draft, leaves).terms.at(speed) for draft in case.drafts]
    return np.argmax(np.stack(np.broadcast_arrays(*forces)), axis=0)


# ---- columns


class _Rows:
    """Matches of one group; everything is reckoned when a column first asks for it."""

    def __init__(self, case: Case, asked: Real | None, efficiency: Real, engine_speed: float, size: int) -> None:
        assert case.tractor is not None
        self.case = case
        self.asked = asked
        self.efficiency = efficiency
        self.engine_speed = engine_speed
        self.tractor = case.tractor.engine
        self._size = size
        self._points: dict[int, OperatingPoint] = {}

    def whole(self, values: Real | Mask) -> npt.NDArray[Any]:
        """Return a value of every row."""
        return np.broadcast_to(values, (self._size,))

    @cached_property
    def reach(self) -> Reach:
        return reach_on_wheels(self.tractor, self.case.limits)

    @cached_property
    def fastest(self) -> Farthest:
        return greatest_speed(self.reach, self.case.work[0], *speed_ends(self.case))

    @cached_property
    def speed(self) -> Real:
        if self.asked is not None:
            return self.asked
        slow = self.case.speeds[0] if self.case.speeds is not None else SLOWEST
        return choose(self.fastest.fits, self.fastest.value, slow)

    def point(self, end: int) -> OperatingPoint:
        """Return the operating point of the central (0), low (1) or high (2) draft."""
        if end not in self._points:
            self._points[end] = operate(self.tractor, self.case.work[end], self.speed)
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
        if case.depths is not None:
            deep = [draft for draft in case.drafts if draft.depth is not None]
            forces = [draft.terms.at(self.speed) for draft in deep]
            depth, hardest = (deep[0].depth, forces[0]) if deep else (None, 0.0)
            for draft, force in zip(deep[1:], forces[1:], strict=True):
                depth = choose(force > hardest, cast("Real", draft.depth), cast("Real", depth))
                hardest = larger(hardest, force)
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

    @cached_property
    def load(self) -> Real:
        return self.point(0).pto_power / self.case.rated

    @cached_property
    def capacity(self) -> Real:
        return field_capacity(self.case.width, self.speed, self.efficiency)

    @cached_property
    def fuel(self) -> Real:
        rate = fuel_rate(self.load, self.case.rated) * reduced_speed_factor(self.load, self.engine_speed)
        return choose(self.load > 1.0 + ROUNDING, np.nan, rate)

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
        return [draft for draft in self.case.drafts if draft.depth is not None]

    @cached_property
    def sound_speed(self) -> Real:
        return sound_speed(self.case, self.speed)

    def hardest(self, drafts: list[ToolDraft]) -> Index:
        """Return, row by row, which of `drafts` pulls hardest where the tool does sound work."""
        forces = [self.whole(draft.terms.at(self.sound_speed)) for draft in drafts]
        return np.argmax(np.stack(forces), axis=0) if forces else np.zeros(self._size, dtype=np.intp)

    @cached_property
    def widest(self) -> tuple[Real, Real, Mask]:
        """Greatest width [m], whole tools of the main kind [1] (NaN where it goes by width), and whether any fits."""
        if not self.case.drafts:
            return np.nan, np.nan, False
        main = self.case.drafts[int(self.hardest(self.case.drafts)[0])]
        fixed, per_unit = by_width(self.case.work[0], main.amount)
        found = greatest_amount(self.reach, fixed, per_unit, self.sound_speed, *width_ends(main))
        amount, count = found.value, cast("Real", np.nan)
        if main.row.counted_in != "m":
            amount = count = np.floor(amount + 1e-6)
        return self.case.width * amount / main.amount, count, found.fits

    @cached_property
    def deepest(self) -> tuple[Real, Mask]:
        """Greatest depth [m] of the tool that pulls hardest, and whether any fits."""
        if not self.deep:
            return np.nan, False
        main = self.deep[int(self.hardest(self.deep)[0])]
        fixed, per_unit = by_depth(self.case.work[0], main.terms, cast("Real", main.depth))
        found = greatest_amount(self.reach, fixed, per_unit, self.sound_speed, *depth_ends(self.case))
        return found.value, found.fits


_PART: Final[Mapping[str, str]] = {"power": "power", "slip": "slip", "pull": "pull", "front-axle": "front_axle"}

Give = Callable[[_Rows], Any]


def _ends(give: Callable[[_Rows, int], Real]) -> tuple[Give, Give, Give]:
    """Return how to give a value and both ends of its range, from how it is given for one draft."""

    def low(rows: _Rows) -> Real:
        return smaller(give(rows, 0), smaller(give(rows, 1), give(rows, 2)))

    def high(rows: _Rows) -> Real:
        return larger(give(rows, 0), larger(give(rows, 1), give(rows, 2)))

    return lambda rows: give(rows, 0), low, high


def _slip_end(pick: Give) -> Give:
    """Return how to give one end of the slip: nothing where some draft of the range is not carried."""

    def give(rows: _Rows) -> Real:
        carried = rows.carried & (rows.point(1).pull_effort <= 1.0) & (rows.point(2).pull_effort <= 1.0)
        return choose(rows.whole(carried), rows.whole(pick(rows)), np.nan)

    return give


_RANGED: Final[Mapping[str, Callable[[_Rows, int], Real]]] = {
    "/at_work/pull": lambda rows, end: rows.point(end).pull,
    "/at_work/drawbar_power": lambda rows, end: rows.point(end).pull * rows.speed,
    "/at_work/axle_power": lambda rows, end: rows.point(end).axle_power,
    "/at_work/pto_power": lambda rows, end: rows.point(end).pto_power,
    "/at_work/load_fraction": lambda rows, end: rows.point(end).pto_power / rows.case.rated,
    "/draft/total": lambda rows, end: rows.case.work[end].draft.at(rows.speed),
    "/quick_check/pto_power": lambda rows, end: power_by_ratio(
        rows.case.work[end], rows.case.tractor_grade_pull, rows.case.ratio, rows.speed
    ),
}
_SLIP = _ends(lambda rows, end: rows.point(end).slip)

COLUMNS: Final[Mapping[str, Give]] = {
    "/verdict/fits": lambda rows: rows.fits,
    "/verdict/binding": lambda rows: rows.binding(),
    "/at_work/speed": lambda rows: rows.speed,
    "/at_work/slip": _SLIP[0],
    "/at_work/slip/low": _slip_end(_SLIP[1]),
    "/at_work/slip/high": _slip_end(_SLIP[2]),
    "/at_work/tractive_efficiency": lambda rows: rows.point(0).tractive_efficiency,
    "/at_work/axles/front/load": lambda rows: rows.tractor.loads.front(rows.point(0).pull),
    "/at_work/axles/rear/load": lambda rows: rows.tractor.loads.rear(rows.point(0).pull),
    "/greatest/speed/value": lambda rows: rows.found("speed", rows.fastest.value, rows.fastest.fits),
    "/greatest/width/value": lambda rows: rows.found("width", rows.widest[0], rows.widest[2]),
    "/greatest/width/count": lambda rows: rows.found("width", rows.widest[1], rows.widest[2]),
    "/greatest/depth/value": lambda rows: rows.found("depth", *rows.deepest),
    "/fuel/rate": lambda rows: rows.fuel,
    "/fuel/per_area": lambda rows: fuel_per_area(rows.fuel, rows.capacity),
    "/capacity/width": lambda rows: rows.case.width,
    "/capacity/efficiency": lambda rows: rows.efficiency,
    "/capacity/theoretical": lambda rows: field_capacity(rows.case.width, rows.speed, 1.0),
    "/capacity/effective": lambda rows: rows.capacity,
    **{
        f"{pointer}{suffix}": give
        for pointer, one in _RANGED.items()
        for suffix, give in zip(("", "/low", "/high"), _ends(one), strict=True)
    },
}
"""Columns that are reckoned on arrays, in SI units."""
_OF_THE_MAIN_TOOL = ("/greatest/width", "/greatest/depth")


class _Table:
    """Columns of a block while its groups are worked."""

    def __init__(self, plan: Plan, size: int) -> None:
        self.answered = np.zeros(size, dtype=np.bool_)
        self._plan = plan
        self._values: list[npt.NDArray[Any]] = []
        for one in plan.wanted:
            if one.quantity is not None or one.kind == "number":
                self._values.append(np.full(size, np.nan))
            else:
                self._values.append(np.zeros(size, dtype=np.bool_) if one.kind == "flag" else np.full(size, None))
        self.needs_main_tool = any(one.pointer.startswith(_OF_THE_MAIN_TOOL) for one in plan.wanted)

    def fill(self, rows: Index, found: _Rows) -> None:
        """Put in the answers of a group."""
        self.answered[rows] = True
        for one, values in zip(self._plan.wanted, self._values, strict=True):
            values[rows] = COLUMNS[one.pointer](found)
            if one.quantity is not None:
                values[rows] /= one.quantity.shown(self._plan.units)[1]

    def take(self, row: int, block: Block) -> None:
        """Put in a row that was worked alone."""
        self.answered[row] = block.answered[0]
        for column, values in zip(block.columns, self._values, strict=True):
            values[row] = column.values[0]

    def columns(self) -> list[Column]:
        """Return the columns."""
        found: list[Column] = []
        for one, values in zip(self._plan.wanted, self._values, strict=True):
            unit = one.quantity.shown(self._plan.units)[0] if one.quantity is not None else ""
            found.append(Column(one.pointer, unit, values.tolist() if values.dtype == object else values))
        return found
