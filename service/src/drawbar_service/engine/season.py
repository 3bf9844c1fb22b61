"""Which tractor pulls which implement on which field on which day of a season.

A plan is a list of work for each tractor: the tasks it takes part in, each with an implement, in an order. What comes
of the lists is worked out day by day, in :mod:`~drawbar_service.engine.season_days`: every tractor goes on with the
first entry of its list that can be worked. :mod:`~drawbar_service.engine.season_plan` looks for lists of the least
lateness, the sum of weight x area x days late, and at that the least cost; a linear program whose machines can be split
within a day, in :mod:`~drawbar_service.engine.season_program`, bounds both from below, and starts the search.

A hectare counts as late by the days its own work is late, not by those of the field. Work that fits on no day is left
undone, and counts as late as if it were done on the day after the last.

Derived; what lies between a plan and its bound is its gap.
"""

from typing import NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray

IntArray: TypeAlias = npt.NDArray[np.intp]

HOUR = 3600.0
"""[s]; the program is stated in hours, so that its numbers are near 1."""
_INSTANT = 1e-3
"""Time [s] that is rounding."""
UNDONE = 1e-6
"""Share of a task [1] below which what is left of it is rounding."""
SAME_DAY = -1
"""Rest [d] of work that may follow on the same day, behind what is done."""


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
    place: IntArray
    """Its field, a row of :class:`Ways`"""
    fit: FloatArray
    """Share of the suitable time that is fit for its kind of work [1]"""
    done: FloatArray
    """Share that is done before the first day [1]; below 1"""
    done_on: IntArray
    """Last day on which that was worked [d], below 0; of no meaning where nothing is done"""


class Choices(NamedTuple):
    """Ways to do a task: a tractor on an implement; arrays of shape (choices,)."""

    task: IntArray
    tractor: IntArray
    implement: IntArray
    rate: FloatArray
    """Effective field capacity [m^2/s]"""
    cost: FloatArray
    """Fuel and machines, in money, for each time at work [1/s]"""

    def some(self, which: npt.NDArray[np.bool_]) -> "Choices":
        """Return some of the choices, where `which` says so; rates stay in [m^2/s]."""
        columns = self.task[which], self.tractor[which], self.implement[which]
        return Choices(*columns, self.rate[which], self.cost[which])


class Orders(NamedTuple):
    """Which task comes after which; arrays of shape (orders,)."""

    first: IntArray
    then: IntArray
    rest: IntArray
    """Whole days between the two [d]; with 0 the second may follow on the next day, with SAME_DAY on the same."""


class Machines(NamedTuple):
    """Tractors or implements; arrays of shape (machines,)."""

    first: IntArray
    """First day there [d]"""
    last: IntArray
    """Last day there [d]"""
    share: FloatArray
    """Of the days on which a neighbor needs it, spread evenly, on which it is here all the same [1]"""
    since: IntArray
    """First day on which the neighbor needs it [d]"""
    need: FloatArray
    """Time for which the neighbor works with it [s]: infinite for all season, 0 where there is no neighbor"""
    away: IntArray
    """Spans on which it is away: its number, first and last day [d], shape (spans, 3)"""


class Crew(NamedTuple):
    """Operators; arrays of shape (operators,)."""

    time: FloatArray
    """Expected time of work in a calendar day of the usual length [s]"""
    cost: FloatArray
    """Money for each time at work [1/s]"""


class Ways(NamedTuple):
    """What takes time beside the work."""

    least: float
    """Least block of work on a field, over the time in a day [1]; what is left of a field may be less."""
    hitch: float
    """To put another implement on [s]; infinite: only overnight, and then it takes no time."""
    travel: FloatArray
    """From one field to another [s], shape (fields + 1, fields); the last row is from the yard, where they begin."""


class Season(NamedTuple):
    """Work, machines, operators and time."""

    tasks: Tasks
    choices: Choices
    orders: Orders
    tractors: Machines
    implements: Machines
    crew: Crew
    ways: Ways
    day_time: float
    """Expected time of work in a calendar day of the usual length [s]: workday times the share of suitable days."""
    length: FloatArray
    """Of each calendar day, over the usual [1], shape (days,)"""

    @property
    def days(self) -> int:
        """Calendar days [d]."""
        return len(self.length)


class Diary(NamedTuple):
    """Work as it goes: blocks of a tractor on a field on a day; arrays of shape (blocks,), in the order of days."""

    lane: IntArray
    """Which of the runs side by side it belongs to"""
    day: IntArray
    choice: IntArray
    begins: FloatArray
    """Since the day's work began [s]; with what follows until `moving` is over."""
    moving: FloatArray
    """On the road and changing the implement, before the work [s]"""
    lasts: FloatArray
    """The work itself, as the share of the time that is fit for it makes it last [s]"""
    worked: FloatArray
    """Of that at work [s]"""
    share: FloatArray
    """Of its task [1]"""


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
    """Return days late [d] of each task on each day of a `season`, and, in the last column, after all of them."""
    day = np.arange(season.days + 1)
    return np.maximum(day - season.tasks.due[:, np.newaxis], 0.0)


def there(machines: Machines, time: FloatArray) -> npt.NDArray[np.bool_]:
    """Return on which days each machine is there.

    Parameters
    ----------
    machines : Machines
    time : array (..., days)
        Time of work in each day [s]; the neighbor works as long, on the days that are the neighbor's.

    Returns
    -------
    array (..., machines, days)
    """
    day = _days(time)
    theirs = _worked_by_neighbor(machines, time) < machines.need[:, np.newaxis] - _INSTANT
    here = ~(_turn_of_neighbor(machines, day) & theirs)
    here &= (day >= machines.first[:, np.newaxis]) & (day <= machines.last[:, np.newaxis])
    for number, first, last in machines.away.tolist():
        here[..., number, max(first, 0) : last + 1] = False
    return here


def back(machines: Machines, time: FloatArray) -> IntArray:
    """Return the day on which each machine is back, the neighbor's work done [d]; the number of days where it is not.

    Parameters
    ----------
    machines : Machines
    time : array (..., days)
        Time of work in each day [s].

    Returns
    -------
    array (..., machines)
    """
    busy = _worked_by_neighbor(machines, time) < machines.need[:, np.newaxis] - _INSTANT
    last = np.where(busy, _days(time), -1).max(axis=-1)
    return np.asarray(last + 1, dtype=np.intp)


def _days(time: FloatArray) -> IntArray:
    """Return the number of each day [d]."""
    return np.arange(np.shape(time)[-1], dtype=np.intp)


def _turn_of_neighbor(machines: Machines, day: IntArray) -> npt.NDArray[np.bool_]:
    """Return on which days it would be the neighbor's turn, however much there is to do, shape (machines, days)."""
    share = machines.share[:, np.newaxis]
    ours = np.floor((day + 1) * share + 1e-9) > np.floor(day * share + 1e-9)
    return ~ours & (day >= machines.since[:, np.newaxis])


def _worked_by_neighbor(machines: Machines, time: FloatArray) -> FloatArray:
    """Return the time the neighbor could work with each machine before each day [s], shape (..., machines, days)."""
    worked = np.where(_turn_of_neighbor(machines, _days(time)), time[..., np.newaxis, :], 0.0)
    return np.cumsum(worked, axis=-1) - worked
