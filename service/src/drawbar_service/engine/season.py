"""Which tractor pulls which implement on which field on which day of a season.

A mixed-integer program, solved by HiGHS through SciPy. Time is cut into periods of equal length, a day each unless
the season is long. With ``x`` the time of a choice (a task by one tractor on one implement) in a period, ``y`` the
whole days on which a pair of tractor and implement goes out in it, ``w`` the time of an operator and ``f`` the share of
a task that is done by the end of it::

    f[task, p] - f[task, p-1] = sum of rate x / area     over the choices of the task
    sum of x <= h y                                      over the choices of a pair; h: time of work in a day
    sum of y <= days                                     over the pairs of a tractor, and over those of an implement
    sum of x = sum of w,  w <= its time                  over all pairs; over all operators
    f[then, p] <= f[first, q]                            q: the last period that ends before p and the rest between

First the lateness is made least, the sum of weight x area x days late; then the cost, with the lateness held; and of plans
that cost the same to one part in a thousand the earlier one is taken. A hectare counts as late by the days its own work
is late, not by those of the field. Work that fits in no period is left undone, and counts as late as if it were done on
the day after the last.

Derived; the optimum is proven by the solver, which gives the gap that is left where time runs out.
"""

from time import perf_counter
from typing import Any, NamedTuple, TypeAlias, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray

IntArray: TypeAlias = npt.NDArray[np.intp]

HOUR = 3600.0
"""[s]; the program is stated in hours, so that its numbers are near 1."""
UNDONE = 1e-4
"""Share of a task [1] below which what is left of it is rounding."""
_GAP = 1e-4
"""Relative gap [1] at which a plan counts as the best: a ten-thousandth."""
_NODES = 4_000
"""End of the search for a plan, before time runs out on a machine of today: the same plan on any machine."""
_HELD = 1e-3
"""Share [1] by which lateness may grow for a plan that costs less."""
_FIRST = 0.6
"""Share of the time [1] that the search for the least lateness may take."""
_LEAST_SECONDS = 0.5
"""For a search that another has left no time [s]."""
_EARLY = 1e-3
"""Share of the least cost [1] that earliness may outweigh."""


class Tasks(NamedTuple):
    """The work: one operation on one field each; arrays of shape (tasks,)."""

    area: FloatArray
    """[m^2]"""
    weight: FloatArray
    """What a day late counts for each area [1/m^2]; above 0."""
    opens: IntArray
    """First day on which the field can be worked [d], from 0"""
    due: IntArray
    """Last day that is not late [d]"""


class Choices(NamedTuple):
    """Ways to do a task: a tractor on an implement; arrays of shape (choices,)."""

    task: IntArray
    tractor: IntArray
    implement: IntArray
    rate: FloatArray
    """Effective field capacity [m^2/s]"""
    cost: FloatArray
    """Fuel and machines, in money, for each time at work [1/s]"""


class Orders(NamedTuple):
    """Which task comes after which; arrays of shape (orders,)."""

    first: IntArray
    then: IntArray
    rest: IntArray
    """Whole days between the two [d]; with 0 the second may follow on the next day."""


class Machines(NamedTuple):
    """Tractors or implements; arrays of shape (machines,)."""

    first: IntArray
    """First day there [d]"""
    last: IntArray
    """Last day there [d]"""
    number: IntArray
    """How many there are of it [1]"""


class Crew(NamedTuple):
    """Operators; arrays of shape (operators,)."""

    time: FloatArray
    """Expected time of work in each calendar day [s]"""
    cost: FloatArray
    """Money for each time at work [1/s]"""


class Season(NamedTuple):
    """Work, machines, operators and time."""

    tasks: Tasks
    choices: Choices
    orders: Orders
    tractors: Machines
    implements: Machines
    crew: Crew
    day_time: float
    """Expected time of work in each calendar day [s]: workday times the share of days that are suitable."""
    step: int
    """Calendar days in a period [d]"""
    periods: int


class Plan(NamedTuple):
    """Who does what when."""

    time: FloatArray
    """Of each choice in each period [s], shape (choices, periods)"""
    crew: FloatArray
    """Of each operator in each period [s], shape (operators, periods)"""
    done: FloatArray
    """Share of each task done in each period [1], shape (tasks, periods)"""
    lateness: float
    """Weight times area times days late [d]"""
    lateness_gap: float
    """How far the lateness may be above the least, over it [1]"""
    cost: float
    """[1]"""
    cost_gap: float | None
    """How far the cost may be above the least at this lateness, over it [1]; None if no cost was searched for."""

    @property
    def undone(self) -> FloatArray:
        """Share of each task that fits in no period [1]."""
        left = 1.0 - self.done.sum(axis=1)
        return np.where(left > UNDONE, left, 0.0)


class Relaxed(NamedTuple):
    """The season with machines that can be split within a day: a bound, and what stands in the way."""

    lateness: float
    """Least lateness [d]; no plan has less."""
    undone: float
    """Share of the area that fits in no period [1]."""
    tractors: FloatArray
    """Lateness each tractor would save, were there more of it, over the share more [d]; near no change."""
    implements: FloatArray
    """The same of each implement [d]"""
    crew: float
    """The same of all operators together [d]"""


def days_late(season: Season) -> FloatArray:
    """Return days late [d] of each task in each period of a `season`, and, in the last column, after all of them.

    In a period of several days the mean of those on which the field is open.
    """
    day = np.arange(season.periods * season.step)
    late = np.maximum(day - season.tasks.due[:, np.newaxis], 0.0)
    there = day >= season.tasks.opens[:, np.newaxis]
    shape = (len(season.tasks.area), season.periods, season.step)
    counted = np.where(there, late, 0.0).reshape(shape).sum(axis=2)
    days = there.reshape(shape).sum(axis=2)
    after = np.maximum(len(day) - season.tasks.due, 1.0)
    return np.column_stack([counted / np.maximum(days, 1), after])


def days_there(machines: Machines, step: int, periods: int) -> FloatArray:
    """Return on how many days [d] of each of the `periods` of `step` days [d] each of the `machines` is there."""
    day = np.arange(periods * step)
    there = (day >= machines.first[:, np.newaxis]) & (day <= machines.last[:, np.newaxis])
    return machines.number[:, np.newaxis] * there.reshape(-1, periods, step).sum(axis=2).astype(np.float64)


class _Program(NamedTuple):
    """The linear part of the program; columns are x, y, w and f, one after the other."""

    matrix: Any
    low: FloatArray
    high: FloatArray
    least: FloatArray
    most: FloatArray
    """Bounds of the columns."""
    whole: FloatArray
    """1 for the columns that hold whole numbers."""
    late: FloatArray
    late_at_none: float
    """Lateness with every column 0, to which `late` adds."""
    cost: FloatArray
    early: FloatArray
    starts: tuple[int, int, int]
    """Where y, w and f begin."""
    tractor_rows: slice
    implement_rows: slice


class _Rows:
    """Gathers constraints."""

    def __init__(self) -> None:
        self._parts: list[tuple[IntArray, IntArray, FloatArray]] = []
        self.low: list[FloatArray] = []
        self.high: list[FloatArray] = []
        self.count = 0

    def entries(self, row: npt.ArrayLike, column: npt.ArrayLike, value: npt.ArrayLike) -> None:
        """Add `value` at a `row` of the next group and a `column`; all broadcast."""
        rows, columns, values = np.broadcast_arrays(row, column, np.asarray(value, dtype=np.float64))
        self._parts.append((rows.ravel() + self.count, columns.ravel(), values.ravel()))

    def close(self, low: npt.ArrayLike, high: npt.ArrayLike, count: int) -> slice:
        """End a group of `count` rows between `low` and `high`."""
        for ends, value in ((self.low, low), (self.high, high)):
            ends.append(np.broadcast_to(np.asarray(value, dtype=np.float64).ravel(), (count,)))
        group = slice(self.count, self.count + count)
        self.count += count
        return group

    def matrix(self, columns: int) -> Any:
        from scipy import sparse  # noqa: PLC0415 - takes a while to import; only whoever plans pays

        rows, places, values = (np.concatenate(part) for part in zip(*self._parts, strict=True))
        return cast("Any", sparse).csr_array((values, (rows, places)), shape=(self.count, columns))


def _program(season: Season) -> _Program:
    tasks, choices, orders, step, periods = season.tasks, season.choices, season.orders, season.step, season.periods
    hours = season.day_time / HOUR
    kinds = np.column_stack([choices.tractor, choices.implement])
    pairs, pair_of = np.unique(kinds, axis=0, return_inverse=True)
    pair_of = pair_of.reshape(-1)
    counts = [len(choices.task), len(pairs), len(season.crew.time), len(tasks.area)]
    y_at, w_at, f_at, end = (int(place) for place in np.cumsum(counts) * periods)
    period = np.arange(periods)

    def grid(index: npt.ArrayLike) -> IntArray:
        return np.asarray(index, dtype=np.intp)[:, np.newaxis] * periods + period

    def all_of(count: int) -> IntArray:
        return grid(np.arange(count))

    x, y, w, f = (all_of(counts[0]), y_at + all_of(counts[1]), w_at + all_of(counts[2]), f_at + all_of(counts[3]))
    rows = _Rows()
    share = choices.rate * HOUR / tasks.area[choices.task]
    rows.entries(all_of(counts[3]), f, 1.0)
    rows.entries(all_of(counts[3])[:, 1:], f[:, :-1], -1.0)
    rows.entries(grid(choices.task), x, -share[:, np.newaxis])
    rows.close(0.0, 0.0, f.size)
    rows.entries(grid(pair_of), x, 1.0)
    rows.entries(all_of(counts[1]), y, -hours)
    rows.close(-np.inf, 0.0, y.size)
    there = [days_there(machines, step, periods) for machines in (season.tractors, season.implements)]
    groups: list[slice] = []
    for column, days in enumerate(there):
        rows.entries(grid(pairs[:, column]), y, 1.0)
        groups.append(rows.close(-np.inf, days, days.size))
    rows.entries(np.broadcast_to(period, x.shape), x, 1.0)
    rows.entries(np.broadcast_to(period, w.shape), w, -1.0)
    rows.close(0.0, 0.0, periods)
    most_f = np.ones((counts[3], periods))
    before = (period * step - orders.rest[:, np.newaxis]) // step - 1
    for index, (first, then) in enumerate(zip(orders.first, orders.then, strict=True)):
        some = before[index] >= 0
        most_f[then, ~some] = 0.0
        lane = np.arange(int(some.sum()))
        rows.entries(lane, f[then, some], 1.0)
        rows.entries(lane, f[first, before[index][some]], -1.0)
        rows.close(-np.inf, 0.0, len(lane))
    opened = days_there(Machines(tasks.opens, np.full_like(tasks.opens, 10**6), np.ones_like(tasks.opens)), step, periods)
    most = np.concatenate(
        [
            (hours * opened[choices.task]).ravel(),
            np.minimum(there[0][pairs[:, 0]], there[1][pairs[:, 1]]).ravel(),
            np.broadcast_to(season.crew.time[:, np.newaxis] / HOUR * step, w.shape).ravel(),
            most_f.ravel(),
        ]
    )
    whole = np.zeros(end)
    whole[y] = 1.0
    late_rate = days_late(season) * (tasks.weight * tasks.area)[:, np.newaxis]
    late, early, cost = np.zeros(end), np.zeros(end), np.zeros(end)
    late[f] = late_rate[:, :-1] - late_rate[:, 1:]
    early[f] = -(tasks.area / tasks.area.sum() / periods)[:, np.newaxis]
    cost[x] = (choices.cost * HOUR)[:, np.newaxis]
    cost[w] = (season.crew.cost * HOUR)[:, np.newaxis]
    return _Program(
        rows.matrix(end),
        np.concatenate(rows.low),
        np.concatenate(rows.high),
        np.zeros(end),
        most,
        whole,
        late,
        float(late_rate[:, -1].sum()),
        cost,
        early,
        (y_at, w_at, f_at),
        groups[0],
        groups[1],
    )


def plan(season: Season, seconds: float) -> Plan:
    """Return the plan of least lateness and, at that, of least cost.

    Parameters
    ----------
    season : Season
        With a task, a choice, an operator and a period at least.
    seconds : float
        Time to search [s]. The search ends sooner after a fixed number of steps, so time rarely decides.

    Notes
    -----
    Where the search ends early, the plan is the best that was found and its gaps say how far off it may be. Nothing
    done at all is a plan too, so there is always one.
    """
    end = perf_counter() + seconds
    program = _program(season)
    scale = max(float(np.abs(program.late).max()), 1e-300)
    found = _search(program, program.late / scale, _FIRST * seconds, None)
    columns, lowest = found if found is not None else (np.zeros(len(program.most)), None)
    least = _lateness(program, columns)
    floor = max(lowest * scale + program.late_at_none, 0.0) if lowest is not None else 0.0
    # What rounding leaves of no lateness is none.
    tolerance = 1e-7 * max(program.late_at_none, least)
    lateness_gap = max(least - floor, 0.0) / least if least > tolerance else 0.0
    cheapest = _cheapest(season)
    worth = cheapest * _EARLY if cheapest > 0.0 else 1.0
    size = max(cheapest, worth)
    objective = (program.cost + worth * program.early) / size
    held = (program.late / scale, ((1.0 + _HELD) * least + tolerance - program.late_at_none) / scale)
    same_days = program._replace(
        least=np.where(program.whole > 0.0, np.round(columns), 0.0),
        most=np.where(program.whole > 0.0, np.round(columns), program.most),
    )
    # With the days of the first search kept there is a plan to be had at once, should the last search find none in time;
    # with whole days forgotten, a bound.
    bound = -np.inf
    for trial in (same_days, program._replace(whole=np.zeros_like(program.whole)), program):
        better = _search(trial, objective, max(end - perf_counter(), _LEAST_SECONDS), held)
        if better is None:
            continue
        if trial.whole.any() and float(objective @ better[0]) <= float(objective @ columns):
            columns = better[0]
        if trial is not same_days and better[1] is not None:
            bound = max(bound, better[1])
    value = float(objective @ columns)
    cost_gap = max(value - bound, 0.0) / max(abs(value), 1e-300) if np.isfinite(bound) else None
    return _plan(season, program, columns, lateness_gap, cost_gap)


def _lateness(program: _Program, columns: FloatArray) -> float:
    return max(float(program.late @ columns) + program.late_at_none, 0.0)


def _cheapest(season: Season) -> float:
    """Return what the work would cost if each task had its cheapest machines and operator to itself [1]."""
    dearest = np.full(len(season.tasks.area), np.inf)
    each = (season.choices.cost + season.crew.cost.min()) / season.choices.rate
    np.minimum.at(dearest, season.choices.task, each)
    return float(np.sum(np.where(np.isfinite(dearest), dearest, 0.0) * season.tasks.area))


def _search(
    program: _Program, objective: FloatArray, seconds: float, held: tuple[FloatArray, float] | None
) -> tuple[FloatArray, float | None] | None:
    """Return the best columns and a bound on their objective [1]; None if nothing was found in `seconds` [s]."""
    from scipy import optimize  # noqa: PLC0415 - takes a while to import; only whoever plans pays

    library = cast("Any", optimize)
    constraints = [library.LinearConstraint(program.matrix, program.low, program.high)]
    if held is not None:
        constraints.append(library.LinearConstraint(held[0][np.newaxis, :], -np.inf, held[1]))
    answer = library.milp(
        objective,
        constraints=constraints,
        integrality=program.whole,
        bounds=library.Bounds(program.least, program.most),
        options={"time_limit": seconds, "node_limit": _NODES, "mip_rel_gap": _GAP},
    )
    if answer.x is None:
        return None
    bound = answer.mip_dual_bound if program.whole.any() else answer.fun
    return cast("FloatArray", answer.x), float(bound) if bound is not None and np.isfinite(bound) else None


def _plan(
    season: Season, program: _Program, columns: FloatArray, lateness_gap: float, cost_gap: float | None
) -> Plan:
    y_at, w_at, f_at = program.starts
    columns = np.where(columns > 1e-9, columns, 0.0)
    by_period = (-1, season.periods)
    time = columns[:y_at].reshape(by_period) * HOUR
    rate = (season.choices.rate / season.tasks.area[season.choices.task])[:, np.newaxis] * time
    done = np.zeros_like(columns[f_at:].reshape(by_period))
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

    program = _program(season)
    scale = max(float(np.abs(program.late).max()), 1e-300)
    same = program.low == program.high
    answer = cast("Any", optimize).linprog(
        program.late / scale,
        A_ub=program.matrix[~same],
        b_ub=program.high[~same],
        A_eq=program.matrix[same],
        b_eq=program.high[same],
        bounds=np.column_stack([program.least, program.most]),
        method="highs",
    )
    slopes = np.zeros(len(same))
    slopes[~same] = answer.ineqlin.marginals * scale
    upper = answer.upper.marginals * scale * program.most
    y_at, w_at, f_at = program.starts

    def saved(rows: slice) -> FloatArray:
        by_period = (-1, season.periods)
        return -(slopes[rows] * program.high[rows]).reshape(by_period).sum(axis=1)

    return Relaxed(
        max(float(answer.fun) * scale + program.late_at_none, 0.0),
        1.0 - float(season.tasks.area @ answer.x[f_at:].reshape(-1, season.periods)[:, -1]) / season.tasks.area.sum(),
        saved(program.tractor_rows),
        saved(program.implement_rows),
        -float(upper[w_at:f_at].sum()),
    )
