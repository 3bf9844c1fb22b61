"""The search for a season's plan; :mod:`drawbar_service.engine.season` says what is searched for."""

from collections.abc import Callable
from time import perf_counter
from typing import Any, NamedTuple, cast

import numpy as np

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import HOUR, UNDONE, IntArray, Plan, Relaxed, Season, days_late
from drawbar_service.engine.season_program import Program, program_of

_NONE = 1e-5
"""What rounding leaves of no lateness or cost, over their largest coefficient [1]."""
_GAP, _COST_GAP, _DAY_GAP = 1e-4, 5e-4, 1e-2
"""Relative gaps [1] at which lateness, cost and the mean day count as the least."""
_NODES = 4_000
"""End of the search for a plan, before time runs out on a machine of today: the same plan on any machine."""
_HELD = 1e-3
"""Share [1] by which lateness may grow for a plan that costs less, and cost for one that is earlier."""
_FIRST, _SECOND = 0.6, 0.6
"""Share of the time [1] that the search for the least lateness may take, and that for the least cost of the rest."""
_WHOLE = 0.7
"""Share of the time left [1] that may go to the search of the program as a whole."""
_DIVE, _BLOCK = 8, 5
"""Periods that are made whole together in the first plan, and in improving one."""
_TOGETHER = 160
"""Whole numbers that are searched together in the first plan."""
_IDLE = 1e-3
"""What it is worth [1] to send a pair out that nobody asked for, over one that is asked for whole."""
_LEAST_SECONDS = 0.3
"""For a search that another has left no time [s]."""


def _goes_on() -> None:
    """Let the search go on."""


def plan(season: Season, seconds: float, go_on: Callable[[], None] = _goes_on) -> Plan:
    """Return the plan of least lateness and, at that, of least cost.

    Parameters
    ----------
    season : Season
        With a task, a choice, an operator and a period at least.
    seconds : float
        Time to search [s]. The search ends sooner after a fixed number of steps, so time rarely decides.
    go_on : callable
        Called before each step of the search; what it raises ends the search.

    Notes
    -----
    Where the search ends early, the plan is the best that was found and its gaps say how far off it may be. Nothing
    done at all is a plan too, so there is always one.
    """
    end = perf_counter() + seconds
    program = program_of(season)
    late, size = program.late / _largest(program.late[:-1]), _largest(program.cost)
    # Nothing done at all is a plan.
    columns, bound = _improved(program, late, program.least, _FIRST * seconds, [], _GAP, go_on, first=True)
    least = float(late @ columns)
    lateness_gap = _gap(least, bound) if least > _NONE else 0.0
    held = [_Held(late, (1.0 + _HELD) * least + _NONE)]
    program = _finished(program, columns)
    columns, bound = _improved(
        program, program.cost / size, columns, _SECOND * (end - perf_counter()), held, _COST_GAP, go_on
    )
    cost = float(program.cost @ columns) / size
    cost_gap = _gap(cost, bound)
    held.append(_Held(program.cost / size, (1.0 + _HELD) * cost + _NONE))
    columns, _ = _improved(program, program.early, columns, end - perf_counter(), held, _DAY_GAP, go_on)
    return _plan(season, program, columns, lateness_gap, cost_gap)


def _finished(program: Program, columns: FloatArray) -> Program:
    """Return the program with everything to be done, by its end, that these columns have done by then."""
    *_, f_at, end = program.starts
    last = np.arange(f_at, end).reshape(-1, program.periods)[:, -1]
    least = program.least.copy()
    least[last] = np.clip(columns[last], 0.0, 1.0)
    return program._replace(least=least)


def _largest(objective: FloatArray) -> float:
    """Return what to scale an objective by, so that its numbers are near 1 [1]."""
    return max(float(np.abs(objective).max()), 1e-300)


def _gap(value: float, bound: float) -> float:
    """Return how far `value` may be above the least, over it [1]; no least is below 0."""
    return max(value - max(bound, 0.0), 0.0) / max(value, 1e-300)


class _Held(NamedTuple):
    """An objective of before, and what it may come to."""

    objective: FloatArray
    most: float


def _improved(
    program: Program,
    objective: FloatArray,
    columns: FloatArray,
    seconds: float,
    held: list[_Held],
    gap: float,
    go_on: Callable[[], None],
    *,
    first: bool = False,
) -> tuple[FloatArray, float]:
    """Return columns at least as good as those given, and a bound on how good any can be [1]; -inf if none is known.

    At `first` plans are made in two ways: from the days that machines would share if they could be split, matched day
    by day, and a few periods at a time, with earlier ones as they are and later ones not yet whole (relax and fix);
    where nothing need be late that mostly shows at once. While the bound does not prove the plan the
    best, the program is searched as a whole, and last a few periods at a time with all others as they are (fix and
    optimize), as long as it helps and time lasts.
    """
    end = perf_counter() + seconds
    bound = -np.inf

    def left() -> float:
        return max(end - perf_counter(), _LEAST_SECONDS)

    def searched(trial: Program, part: float, *, bounds: bool = False, plans: bool = False) -> FloatArray | None:
        """Search; take over the bound, where it holds for every plan, and what was found, where it is a better plan."""
        nonlocal columns, bound
        go_on()
        found = _search(trial, objective, part, held, gap)
        if found is None:
            return None
        if bounds:
            bound = max(bound, found[1])
        if plans and float(objective @ found[0]) < float(objective @ columns):
            columns = found[0]
        return found[0]

    def best() -> bool:
        value = float(objective @ columns)
        return value - bound <= max(gap * abs(value), _NONE)

    split = searched(program._replace(whole=np.zeros_like(program.whole)), left(), bounds=True)
    if best():
        return columns, bound
    if first and split is not None:
        searched(_kept(program, _matched(program, split), _days(program)), left(), plans=True)
        if best():
            return columns, bound
        trial = program
        block = max(1, min(_DIVE, _TOGETHER // len(program.pairs)))
        starts = range(0, program.periods, block)
        for number, start in enumerate(starts):
            inside, last = _days(program, 0, start + block), number + 1 == len(starts)
            whole = np.zeros_like(program.whole)
            whole[inside] = 1.0
            found = searched(trial._replace(whole=whole), 0.7 * left() / (len(starts) - number), plans=last)
            if found is None:
                break
            trial = _kept(trial, found, inside)
        if best():
            return columns, bound
    searched(program, _WHOLE * left(), bounds=True, plans=True)
    before = np.inf
    while not best() and float(objective @ columns) < before and perf_counter() < end:
        before = float(objective @ columns)
        for start in range(0, program.periods, _BLOCK // 2):
            outside = np.setdiff1d(_days(program), _days(program, start, start + _BLOCK))
            searched(_kept(program, columns, outside), left(), plans=True)
            if best() or perf_counter() > end:
                break
    return columns, bound


def _matched(program: Program, columns: FloatArray) -> FloatArray:
    """Return columns with whole days for pairs, near to the split days in those given: a matching for every day."""
    from scipy import optimize  # noqa: PLC0415 - as in _search

    out = columns.copy()
    y_at, w_at, *_ = program.starts
    wanted = columns[y_at:w_at].reshape(-1, program.periods)
    given = np.zeros_like(wanted)
    tractor, implement = program.pairs.T
    left = [days.copy() for days in program.there]
    for period in range(program.periods):
        for _ in range(int(max(days[:, period].max() for days in left))):
            free = (left[0][tractor, period] > 0.0) & (left[1][implement, period] > 0.0)
            worth = np.zeros((len(left[0]), len(left[1])))
            # A pair that was not wanted goes out too, if both of it would stand idle.
            worth[tractor, implement] = np.where(free, _IDLE + np.maximum(wanted - given, 0.0)[:, period], 0.0)
            matched = np.zeros_like(worth, dtype=np.bool_)
            matched[cast("Any", optimize).linear_sum_assignment(worth, maximize=True)] = True
            sent = matched[tractor, implement] & free
            given[sent, period] += 1.0
            for days, side in zip(left, (tractor, implement), strict=True):
                days[side[sent], period] -= 1.0
    out[y_at:w_at] = given.ravel()
    return out


def _days(program: Program, start: int = 0, end: int | None = None) -> IntArray:
    """Return the columns that hold days, of the periods from `start` to `end`."""
    y_at, w_at, *_ = program.starts
    return np.arange(y_at, w_at).reshape(-1, program.periods)[:, start:end].ravel()


def _kept(program: Program, columns: FloatArray, places: IntArray) -> Program:
    """Return the program with the whole days at these `places` as they are."""
    least, most = program.least.copy(), program.most.copy()
    least[places] = most[places] = np.round(columns[places])
    return program._replace(least=least, most=most)


def _search(
    program: Program, objective: FloatArray, seconds: float, held: list[_Held], gap: float
) -> tuple[FloatArray, float] | None:
    """Return the best columns and a bound on their objective [1]; None if nothing was found in `seconds` [s]."""
    from scipy import optimize  # noqa: PLC0415 - takes a while to import; only whoever plans pays

    library = cast("Any", optimize)
    constraints = [library.LinearConstraint(program.matrix, program.low, program.high)]
    constraints += [library.LinearConstraint(one.objective[np.newaxis, :], -np.inf, one.most) for one in held]
    answer = library.milp(
        objective,
        constraints=constraints,
        integrality=program.whole,
        bounds=library.Bounds(program.least, program.most),
        options={"time_limit": seconds, "node_limit": _NODES, "mip_rel_gap": gap},
    )
    if answer.x is None:
        return None
    bound = answer.mip_dual_bound if program.whole.any() else answer.fun
    return cast("FloatArray", answer.x), float(bound) if bound is not None else -np.inf


def _plan(season: Season, program: Program, columns: FloatArray, lateness_gap: float, cost_gap: float) -> Plan:
    y_at, w_at, f_at, end = program.starts
    columns = np.where(columns > 1e-9, columns, 0.0)
    by_period = (-1, season.periods)
    time = columns[:y_at].reshape(by_period) * HOUR
    rate = (season.choices.rate / season.tasks.area[season.choices.task])[:, np.newaxis] * time
    done = np.zeros_like(columns[f_at:end].reshape(by_period))
    np.add.at(done, season.choices.task, rate)
    late = days_late(season) * (season.tasks.weight * season.tasks.area)[:, np.newaxis]
    left = np.maximum(1.0 - done.sum(axis=1), 0.0)
    lateness = float(np.sum(late[:, :-1] * done) + np.sum(late[:, -1] * np.where(left > UNDONE, left, 0.0)))
    return Plan(
        time,
        columns[w_at:f_at].reshape(by_period) * HOUR,
        done,
        lateness,
        lateness_gap,
        float(program.cost @ columns),
        cost_gap,
    )


def relaxed(season: Season) -> Relaxed:
    """Return the least lateness of a `season` whose machines can be split within a day, and what would save it.

    The savings are slopes [d], from the dual values of the linear program: what lateness falls by, over the share
    by which there is more of a tractor, an implement or of all operators, as long as the change is small.
    """
    from scipy import optimize  # noqa: PLC0415 - takes a while to import; only whoever plans pays

    program = program_of(season)
    scale = _largest(program.late[:-1])
    same = program.low == program.high
    answer = cast("Any", optimize).linprog(
        program.late / scale,
        A_ub=program.matrix[~same],
        b_ub=program.high[~same],
        A_eq=program.matrix[same],
        b_eq=program.high[same],
        bounds=np.column_stack([program.least, np.where(program.implied > 0.0, np.inf, program.most)]),
        method="highs",
    )
    slopes = np.zeros(len(same))
    slopes[~same] = answer.ineqlin.marginals * scale
    _, w_at, f_at, end = program.starts
    crew = float(answer.upper.marginals[w_at:f_at] @ program.most[w_at:f_at]) * scale

    def saved(rows: slice) -> FloatArray:
        by_period = (-1, season.periods)
        return -(slopes[rows] * program.high[rows]).reshape(by_period).sum(axis=1)

    return Relaxed(
        max(float(answer.fun) * scale, 0.0),
        1.0
        - float(season.tasks.area @ answer.x[f_at:end].reshape(-1, season.periods)[:, -1]) / season.tasks.area.sum(),
        saved(program.tractor_rows),
        saved(program.implement_rows),
        -crew,
    )
