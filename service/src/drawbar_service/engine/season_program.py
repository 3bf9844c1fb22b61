"""The matrix of a season's program; :mod:`drawbar_service.engine.season` says what it stands for."""

from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import HOUR, IntArray, Machines, Season, days_late, days_there


class Program(NamedTuple):
    """The linear part of the program; columns are x, y, w and f, one after the other, and a last one that is 1."""

    matrix: Any
    low: FloatArray
    high: FloatArray
    least: FloatArray
    most: FloatArray
    """Bounds of the columns."""
    implied: FloatArray
    """1 for the columns whose upper bound follows from the rows: it speeds the search up and has no worth."""
    whole: FloatArray
    """1 for the columns that hold whole numbers."""
    late: FloatArray
    """With what is late when nothing is done in the last column."""
    cost: FloatArray
    early: FloatArray
    starts: tuple[int, int, int, int]
    """Where y, w, f and the last column begin."""
    periods: int
    pairs: IntArray
    """Tractor and implement of each pair, shape (pairs, 2)"""
    there: tuple[FloatArray, FloatArray]
    """Days of each tractor and of each implement in each period [d], shape (machines, periods)"""
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


def program_of(season: Season) -> Program:
    """Return the program of a `season`: hours [h], whole days [d] and shares done [1] as columns."""
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
    opened = days_there(
        Machines(tasks.opens, np.full_like(tasks.opens, 10**6), np.ones_like(tasks.opens)), step, periods
    )
    together = np.minimum(there[0][pairs[:, 0]], there[1][pairs[:, 1]])
    number = np.minimum(season.tractors.number[pairs[:, :1]], season.implements.number[pairs[:, 1:]])
    most = np.concatenate(
        [
            (hours * np.minimum(opened[choices.task] * number[pair_of], together[pair_of])).ravel(),
            together.ravel(),
            np.broadcast_to(season.crew.time[:, np.newaxis] / HOUR * step, w.shape).ravel(),
            most_f.ravel(),
            [1.0],
        ]
    )
    implied = np.zeros(end + 1)
    implied[x] = opened[choices.task] == step
    implied[y] = 1.0
    least = np.zeros(end + 1)
    least[end] = 1.0
    whole = np.zeros(end + 1)
    whole[y] = 1.0
    late_rate = days_late(season) * (tasks.weight * tasks.area)[:, np.newaxis]
    late, early, cost = (np.zeros(end + 1) for _ in range(3))
    late[f] = late_rate[:, :-1] - late_rate[:, 1:]
    late[end] = late_rate[:, -1].sum()
    early[end] = 1.0
    early[f] = -(tasks.area / tasks.area.sum() / periods)[:, np.newaxis]
    cost[x] = (choices.cost * HOUR)[:, np.newaxis]
    cost[w] = (season.crew.cost * HOUR)[:, np.newaxis]
    return Program(
        rows.matrix(end + 1),
        np.concatenate(rows.low),
        np.concatenate(rows.high),
        least,
        most,
        implied,
        whole,
        late,
        cost,
        early,
        (y_at, w_at, f_at, end),
        periods,
        pairs,
        (there[0], there[1]),
        groups[0],
        groups[1],
    )
