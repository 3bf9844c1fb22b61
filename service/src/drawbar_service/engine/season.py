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

First the lateness is made least, the sum of weight x area x days late; then the cost, with the lateness held to one
part in a thousand; then the mean day on which an area is done, with both held. A hectare counts as late by the days
its own work is late, not by those of the field. Work that fits in no period is left undone, and counts as late as if it
were done on the day after the last.

Derived; the optimum is proven by the solver, which gives the gap that is left where time runs out.
"""

from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray

IntArray: TypeAlias = npt.NDArray[np.intp]

HOUR = 3600.0
"""[s]; the program is stated in hours, so that its numbers are near 1."""
UNDONE = 1e-4
"""Share of a task [1] below which what is left of it is rounding."""


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
    cost_gap: float
    """How far the cost may be above the least at this lateness, over it [1]"""

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
