"""The program of a season by day, where :mod:`~drawbar_service.engine.season_program` takes periods of several days.

A period of ten days lets a field be plowed and sown in it, and a tractor pull one implement and the other at once: its
least cost lies a per cent or so below that of the same program by day. That one has ten times as many columns, of which
nearly all are never used. So it is solved for some choices, and those that would make it cheaper by its prices are
added (column generation). What the others could still save at these prices is taken off the least: a bound for all.

Lateness counts as money here, at several times the cost of the season for each mean day::

    least cost at a lateness of at most L  >=  least of (cost + price x lateness) - price x L
"""

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import HOUR, Choices, Season, there
from drawbar_service.engine.season_program import Program, cost_below, largest, program_of, solved

_PRICE = 20.0
"""Of a mean day late, over a cost that no season is below [1/d]."""
_EARLY = 2e-4
"""What the mean day counts for beside the cost [1], where several programs cost the same."""
_MORE, _MOST_TURNS = 60, 3
"""Choices that are added at a time, those first that save most, and how often."""
_CLOSE = 2e-3
"""Share [1] that choices left out may save at most where that is near enough."""


class Daily(NamedTuple):
    """The least of cost and lateness in a season by day, with machines that can be split within a day."""

    least: float
    """Cost, and lateness at its price, with the choices it has, in the season's money"""
    bound: float
    """What it is not below with all choices"""
    time: FloatArray
    """Of each choice [s], shape (choices,)"""
    middle: FloatArray
    """Mean day of each choice [d], weighted by time; 0 where it has none, shape (choices,)"""
    adds: FloatArray
    """What an hour of each choice left out would add to it on its best day, over its scale [1], shape (choices,)"""


def daily(season: Season, some: npt.NDArray[np.bool_]) -> Daily:
    """Return the least of cost and lateness of a `season` with only `some` of its choices."""
    given = season.choices
    fewer = season._replace(
        choices=Choices(
            given.task[some], given.tractor[some], given.implement[some], given.rate[some], given.cost[some]
        )
    )
    program = program_of(fewer, 1)
    size, reference = largest(program.cost), cost_below(season)
    answer = solved(program, (program.cost + _EARLY * reference * program.early + _price(season) * program.late) / size)
    hours = answer.x[: program.starts[0]].reshape(-1, program.periods)
    total, time, middle = hours.sum(axis=1), np.zeros(len(some)), np.zeros(len(some))
    time[some] = total * HOUR
    middle[some] = hours @ (np.arange(program.periods) + 0.5) / np.maximum(total, 1e-9)
    same = program.low == program.high
    prices = np.zeros(len(same))
    prices[same], prices[~same] = answer.eqlin.marginals, answer.ineqlin.marginals
    adds = np.where(some[:, np.newaxis], 0.0, _cost_of_columns(season, program, prices, size))
    least = float(answer.fun) * size - _EARLY * reference
    return Daily(least, least - _saved_at_most(season, adds) * size, time, middle, adds.min(axis=1))


def _saved_at_most(season: Season, adds: FloatArray) -> float:
    """Return what choices left out could save at most: each tractor on each day the one that saves most, all day."""
    best = np.zeros((len(season.tractors.first), season.days))
    np.minimum.at(best, season.choices.tractor, adds)
    return -float((best * (season.day_time / HOUR * season.length)).sum())


def _price(season: Season) -> float:
    """Return what a weighted area counts for each day late [1/d]."""
    return _PRICE * cost_below(season) / float(season.tasks.weight @ season.tasks.area)


def _cost_of_columns(season: Season, program: Program, prices: FloatArray, size: float) -> FloatArray:
    """Return what each choice on each day adds to the least at the `prices` of all rows, over `size` [1]."""
    tasks, choices, days = season.tasks, season.choices, season.days
    count = len(tasks.area) * days
    done = prices[:count].reshape(-1, days)
    tractors, implements = (prices[rows].reshape(-1, days) for rows in (program.tractor_rows, program.implement_rows))
    share = choices.rate * HOUR / tasks.area[choices.task]
    slow = 1.0 / tasks.fit[choices.task]
    hour = tractors[choices.tractor] + implements[choices.implement] + prices[program.people_rows]
    cost = (choices.cost * HOUR / size)[:, np.newaxis] + share[:, np.newaxis] * done[choices.task]
    cost -= slow[:, np.newaxis] * hour
    time = season.day_time * season.length
    here = there(season.tractors, time)[choices.tractor] & there(season.implements, time)[choices.implement]
    return np.where(here & (np.arange(days) >= tasks.opens[choices.task][:, np.newaxis]), cost, 0.0)


def least_cost(
    season: Season, begun: Daily, some: npt.NDArray[np.bool_], lateness: float, go_on: Callable[[], None]
) -> float:
    """Return a cost that no plan of a `season` with at most this `lateness` is below.

    Parameters
    ----------
    season : Season
    begun : Daily
        That of the season with `some` choices.
    some : array (choices,)
        Choices to begin with.
    lateness : float
        [d]
    go_on : callable
        Called before each step; what it raises ends it.
    """
    bound = begun.bound
    for _ in range(_MOST_TURNS):
        if begun.bound >= (1.0 - _CLOSE) * begun.least:
            break
        go_on()
        some = some.copy()
        some[np.argsort(begun.adds, kind="stable")[:_MORE]] = True
        begun = daily(season, some)
        bound = max(bound, begun.bound)
    return bound - _price(season) * lateness
