"""The linear program that bounds a season's plan: machines and people can be split within a day.

Nothing is lost between fields. Time is cut into periods of equal length, a day each unless the season is long. With
``x`` the time of a choice (a task by one tractor on one implement) at work in a period, ``w`` the time of an operator
and ``f`` the share of a task that is done by the end of it::

    f[task, p] - f[task, p-1] = sum of rate x / area     over the choices of the task
    sum of x / fit <= h                                  over the choices of a tractor, and over those of an implement
    sum of x / fit = sum of w,  w <= its time            over all choices; over all operators
    f[then, p] <= f[first, q]                            q: the last period that holds a day early enough for one of p

Every plan keeps these rows, so its lateness, and at that its cost, are no less than theirs.
"""

from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import HOUR, IntArray, Relaxed, Season, days_late, there

_MOST_CELLS = 9_000
"""Choices times periods; more make the periods longer than a day."""
_NONE = 1e-5
"""What rounding leaves of no lateness, over its largest coefficient [1]."""
_HELD = 1e-3
"""Share [1] by which lateness may grow for a plan that costs less."""
_EARLY = 2e-4
"""What the mean day counts for beside the cost [1], where several programs cost the same."""


class Program(NamedTuple):
    """Columns are x, w and f, one after the other, and a last one that is 1."""

    matrix: Any
    low: FloatArray
    high: FloatArray
    least: FloatArray
    most: FloatArray
    """Bounds of the columns."""
    late: FloatArray
    """With what is late when nothing is done in the last column."""
    cost: FloatArray
    early: FloatArray
    starts: tuple[int, int, int]
    """Where w, f and the last column begin."""
    step: int
    """Calendar days in a period [d]"""
    periods: int
    tractor_rows: slice
    implement_rows: slice
    people_rows: slice


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


def step_of(season: Season) -> int:
    """Return the days [d] of a period of a `season`'s program: more than one where it has many choices and days."""
    return max(1, -(-season.days * len(season.choices.task) // _MOST_CELLS))


def program_of(season: Season, step: int | None = None) -> Program:
    """Return the program of a `season`: hours [h] and shares done [1] as columns.

    Parameters
    ----------
    season : Season
    step : int, optional
        Days of a period [d]; :func:`step_of` the season unless given.
    """
    tasks, choices, orders, crew = season.tasks, season.choices, season.orders, season.crew
    step = step_of(season) if step is None else step
    periods = -(-season.days // step)
    day = np.arange(season.days)
    starts = np.arange(periods) * step
    period = np.arange(periods)

    def summed(by_day: FloatArray | npt.NDArray[np.bool_]) -> FloatArray:
        return np.add.reduceat(by_day * season.length, starts, axis=1)

    counts = [len(choices.task), len(crew.time), len(tasks.area)]
    w_at, f_at, end = (int(place) for place in np.cumsum(counts) * periods)

    def grid(index: npt.ArrayLike) -> IntArray:
        return np.asarray(index, dtype=np.intp)[:, np.newaxis] * periods + period

    x, w, f = grid(np.arange(counts[0])), w_at + grid(np.arange(counts[1])), f_at + grid(np.arange(counts[2]))
    rows = _Rows()
    share = choices.rate * HOUR / tasks.area[choices.task]
    slow = (1.0 / tasks.fit[choices.task])[:, np.newaxis]
    rows.entries(f - f_at, f, 1.0)
    rows.entries((f - f_at)[:, 1:], f[:, :-1], -1.0)
    rows.entries(grid(choices.task), x, -share[:, np.newaxis])
    before_first = np.zeros((counts[2], periods))
    before_first[:, 0] = tasks.done
    rows.close(before_first, before_first, f.size)
    hours = season.day_time / HOUR
    time = season.day_time * season.length
    present = [there(machines, time) for machines in (season.tractors, season.implements)]
    groups: list[slice] = []
    for side, days in zip((choices.tractor, choices.implement), present, strict=True):
        rows.entries(grid(side), x, slow)
        groups.append(rows.close(-np.inf, hours * summed(days), days.shape[0] * periods))
    rows.entries(np.broadcast_to(period, x.shape), x, slow)
    rows.entries(np.broadcast_to(period, w.shape), w, -1.0)
    people = rows.close(0.0, 0.0, periods)
    most_f = np.ones((counts[2], periods))
    before = (starts + step - 2 - orders.rest[:, np.newaxis]) // step
    for index, (first, then) in enumerate(zip(orders.first, orders.then, strict=True)):
        some = before[index] >= 0
        rested = tasks.done_on[first] < starts + step - 1 - orders.rest[index]
        most_f[then, ~some] = np.minimum(most_f[then], np.where(rested, tasks.done[first], 0.0))[~some]
        rows.entries(np.arange(int(some.sum())), f[then, some], 1.0)
        rows.entries(np.arange(int(some.sum())), f[first, np.minimum(before[index][some], periods - 1)], -1.0)
        rows.close(-np.inf, 0.0, int(some.sum()))
    most_f = np.maximum(most_f, tasks.done[:, np.newaxis])
    can = (
        (day >= tasks.opens[choices.task][:, np.newaxis]) & present[0][choices.tractor] & present[1][choices.implement]
    )
    # Where a choice is open all of a period the rows of its machines say as much, and no bound is quicker.
    longest = summed(can)
    most_x = np.where(longest >= summed(np.ones_like(can)) - 1e-9, np.inf, hours * longest / slow)
    most = np.concatenate(
        [
            np.where(longest > 0.0, most_x, 0.0).ravel(),
            (crew.time[:, np.newaxis] / HOUR * summed(np.ones((1, season.days)))).ravel(),
            most_f.ravel(),
            [1.0],
        ]
    )
    least = np.zeros(end + 1)
    least[end] = 1.0
    # Of a period of several days the first counts: no day of it is less late.
    after = days_late(season)
    first = np.append(starts, season.days)
    late_rate = after[:, first] * (tasks.weight * tasks.area)[:, np.newaxis]
    late, early, cost = (np.zeros(end + 1) for _ in range(3))
    late[f] = late_rate[:, :-1] - late_rate[:, 1:]
    late[end] = late_rate[:, -1].sum() - late_rate[:, 0] @ tasks.done
    early[end] = 1.0
    early[f] = -(tasks.area / tasks.area.sum() / periods)[:, np.newaxis]
    cost[x] = (choices.cost * HOUR)[:, np.newaxis]
    # Time that is not fit for the work is not paid.
    cost[w] = (crew.cost * HOUR * tasks.fit.min())[:, np.newaxis]
    return Program(
        rows.matrix(end + 1),
        np.concatenate(rows.low),
        np.concatenate(rows.high),
        least,
        most,
        late,
        cost,
        early,
        (w_at, f_at, end),
        step,
        periods,
        groups[0],
        groups[1],
        people,
    )


def largest(objective: FloatArray) -> float:
    """Return what to scale an `objective` by, so that its numbers are near 1 [1]."""
    largest = float(np.abs(objective).max())
    return largest if largest > 0.0 else 1.0


def solved(program: Program, objective: FloatArray, held: FloatArray | None = None, most: float = 0.0) -> Any:
    """Return the solution of a `program` of hours [h] and shares [1] with the least `objective`, as SciPy gives it.

    Parameters
    ----------
    program : Program
    objective : array (columns,)
        Coefficients of what is to be least [1].
    held : array (columns,), optional
        Coefficients of what may come to `most` [1].
    most : float
        [1]
    """
    from scipy import optimize, sparse  # noqa: PLC0415 - take a while to import; only whoever plans pays

    same = program.low == program.high
    above, high = program.matrix[~same], program.high[~same]
    if held is not None:
        above, high = cast("Any", sparse).vstack([above, held[np.newaxis, :]], format="csr"), np.append(high, most)
    answer = cast("Any", optimize).linprog(
        objective,
        A_ub=above,
        b_ub=high,
        A_eq=program.matrix[same],
        b_eq=program.high[same],
        bounds=np.column_stack([program.least, program.most]),
        method="highs",
    )
    assert answer.x is not None, answer.message
    return answer


def relaxed(season: Season) -> Relaxed:
    """Return the least lateness of a `season` whose machines can be split within a day, and what would save it.

    The savings are slopes [d], from the dual values of the linear program: what lateness falls by, over the share
    by which there is more of a tractor, an implement or of all operators, as long as the change is small.
    """
    program = program_of(season)
    scale = largest(program.late[:-1])
    answer = solved(program, program.late / scale)
    same = program.low == program.high
    slopes = np.zeros(len(same))
    slopes[~same] = answer.ineqlin.marginals * scale
    w_at, f_at, end = program.starts
    crew = float(answer.upper.marginals[w_at:f_at] @ program.most[w_at:f_at]) * scale

    def saved(rows: slice) -> FloatArray:
        return -(slopes[rows] * program.high[rows]).reshape(-1, program.periods).sum(axis=1)

    done = answer.x[f_at:end].reshape(-1, program.periods)[:, -1]
    return Relaxed(
        max(float(answer.fun) * scale, 0.0),
        1.0 - float(season.tasks.area @ done) / float(season.tasks.area.sum()),
        saved(program.tractor_rows),
        saved(program.implement_rows),
        -crew,
    )


def cost_below(season: Season) -> float:
    """Return a cost that no plan of a `season` is below [1]."""
    hourly = season.choices.cost + season.crew.cost.min()
    each = np.full(len(season.tasks.area), np.inf)
    np.minimum.at(each, season.choices.task, hourly * (season.tasks.area[season.choices.task] / season.choices.rate))
    return float(each @ (1.0 - season.tasks.done)) or 1.0


class Cheapest(NamedTuple):
    """The season of least cost at the least lateness, with machines that can be split within a day."""

    cost: float
    """No plan of that lateness costs less."""
    time: FloatArray
    """Of each choice [s], shape (choices,)"""
    middle: FloatArray
    """Mean day of each choice [d], weighted by time; 0 where it has none, shape (choices,)"""


def cheapest(season: Season, bound: Relaxed) -> Cheapest:
    """Return the season of least cost, and among those an early one, at the least lateness of :func:`relaxed`.

    Parameters
    ----------
    season : Season
    bound : Relaxed
        What :func:`relaxed` says of it, whose least lateness is held.

    Returns
    -------
    Cheapest
        Cost in the season's money, time in [s].
    """
    program = program_of(season)
    scale, size = largest(program.late[:-1]), largest(program.cost)
    w_at, f_at, end = program.starts
    most = (1.0 + _HELD) * bound.lateness / scale + _NONE
    if bound.undone <= _NONE:
        # All of it is done: nothing is saved by leaving work undone.
        program.least[f_at + program.periods - 1 : end : program.periods] = 1.0 - _NONE
    reference = cost_below(season)
    objective = (program.cost + _EARLY * reference * program.early) / size
    answer = solved(program, objective, program.late / scale, most)
    time = answer.x[:w_at].reshape(-1, program.periods) * HOUR
    total = time.sum(axis=1)
    middle = time @ ((np.arange(program.periods) + 0.5) * program.step) / np.maximum(total, 1e-9)
    cost = float(answer.fun) * size - _EARLY * reference
    return Cheapest(max(cost, 0.0), total, middle)
