"""A season's plan in every recorded year: what gets done by when, what breaks first, and what would help in money.

The lists of the plan are carried out on the suitable days of each year, all years at the same time: whoever waits for
dry ground goes on with the next entry that can go on.
"""

import datetime as dt
from collections.abc import Callable, Sequence
from math import erf, sqrt
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import Crew, IntArray, Machines, Season, back
from drawbar_service.engine.season_days import Course, carry_out
from drawbar_service.model.days import A_WEEK, YearsOfDays
from drawbar_service.model.farm import (
    Alternative,
    DaysOff,
    Driving,
    Farm,
    Fleet,
    Owned,
    Prices,
    SeasonField,
    Window,
    Work,
)
from drawbar_service.model.findings import Findings
from drawbar_service.model.season import Program, Task, length_of
from drawbar_service.model.season_plan import (
    Planned,
    ResourceKind,
    Weeks,
    bottleneck,
    plan_of,
    plan_season,
    uses,
    weeks_of,
)
from drawbar_service.model.season_relax import alone_with, another, shared

Flags: TypeAlias = npt.NDArray[np.bool_]
LeverName: TypeAlias = Literal[
    "longer-day",
    "second-shift",
    "days-off-worked",
    "hired-work",
    "another-driver",
    "shared",
    "not-shared",
    "neighbor-later",
]

MORE_HOURS = 2.0 * 3600.0
"""By how much a day is tried longer [s]."""
LONGEST_DAY, LONGEST_SHIFTS = 16.0 * 3600.0, 22.0 * 3600.0
"""What a longer day of the same people, and two shifts, may come to [s]."""
LIKELY = 0.8
"""Share of recorded years [1] in which what is called likely comes true."""
_SHARED = 0.5
"""Share of the days [1] on which a tractor is here where it is tried what sharing it comes to."""
_MOST_PASSING = 3
"""Machines of which it is tried what their being here all the time would bring."""
_LEVER_EFFORT = 0.2
"""Rounds of the search for a lever's plan, over the usual [1]."""
_LATE = 1e-3
"""Share of a task [1] below which what is late of it is rounding."""


class Replay(NamedTuple):
    """The plan in each recorded year; rows are years."""

    years: tuple[int, ...]
    suitable: FloatArray
    """Suitable days in the window [1]"""
    last: IntArray
    """Last day of each task [d], -1 where nothing is done, shape (years, tasks)"""
    whole: Flags
    """Whether each task is done by the last day that is known, shape (years, tasks)"""
    in_time: Flags
    """Whether each task is done when due, shape (years, tasks)"""
    days_late: FloatArray
    """Mean days late over all area of each year [d]"""
    late_area: FloatArray
    """Of each year [m^2]"""
    cost: FloatArray
    """Fuel, machines and people of each year; what is left undone counts as if it were done later"""
    lost: FloatArray
    """By lateness in each year; 0 where no field says what it loses"""

    @property
    def chance(self) -> float:
        """Share of years in which everything is done when due [1]."""
        return float(self.in_time.all(axis=1).mean())

    def day_of(self, task: int, share: float) -> int | None:
        """Return the day by which a task is done in this share of years [d]; None where it is not in so many."""
        return _day_of(self.whole[:, task], self.last[:, task], share)

    def day_of_all(self, share: float) -> int | None:
        """Return the same of all tasks together [d]."""
        return _day_of(np.asarray(self.whole.all(axis=1)), self.last.max(axis=1), share)

    def done_by(self, day: int) -> float:
        """Return the share of years in which everything is done by the end of a day [1]."""
        return float((self.whole & (self.last <= day)).all(axis=1).mean())


def _day_of(whole: Flags, last: IntArray, share: float) -> int | None:
    never = np.iinfo(np.intp).max
    days = np.sort(np.where(whole, last, never))
    day = int(days[min(int(np.ceil(share * len(days))), len(days)) - 1])
    return day if day < never else None


def replay(farm: Farm, planned: Planned, years: YearsOfDays) -> Replay:
    """Return what comes of a plan in each recorded year, as far as its days are known after the window."""
    season = planned.season
    time, known = _time(farm, season, years)
    season = season._replace(length=np.ones(known))
    course: Course = carry_out(season, planned.plan.rank[np.newaxis, :], time)
    losses = np.array([float(farm.fields[task.field].daily_loss or 0.0) for task in planned.tasks])
    area = season.tasks.area
    return Replay(
        years.years,
        years.window,
        course.last,
        course.left <= 0.0,
        course.late <= _LATE,
        course.days_late @ area / area.sum(),
        course.late @ area,
        course.cost + course.left @ _cost_of_tasks(planned) if _priced(farm) else np.zeros(len(years.years)),
        course.days_late @ (area * losses),
    )


def _cost_of_tasks(planned: Planned) -> FloatArray:
    """Return what each task costs whole, done as it is planned."""
    season, diary = planned.season, planned.plan.diary
    hourly = season.choices.cost[diary.choice] + season.crew.cost.mean()
    count = len(season.tasks.area)
    task = season.choices.task[diary.choice]
    cost, share = (np.bincount(task, weights, count) for weights in (hourly * diary.worked, diary.share))
    return cost / np.maximum(share, 1e-9)


def _priced(farm: Farm) -> bool:
    fleet, prices = farm.fleet, farm.prices
    hourly = [one.hourly_cost for one in (*fleet.tractors, *fleet.implements, *(fleet.operators or []))]
    return any((cost or 0.0) > 0.0 for cost in (*hourly, prices.fuel, prices.labor))


def _time(farm: Farm, season: Season, years: YearsOfDays) -> tuple[FloatArray, int]:
    """Return the time of work in each day of each year [s], shape (years, days), and how many days there are."""
    daily = np.diff(years.totals, axis=1, prepend=0.0)
    known = min(season.days, daily.shape[1])
    return daily[:, :known] * length_of(farm, known) * float(farm.window.workday), known


class Break(NamedTuple):
    """The task that is late first, in how many years."""

    task: Task
    tractor: int
    """Which does most of it."""
    years: int


def breaks(planned: Planned, found: Replay) -> list[Break]:
    """Return what is late first in the years in which something is, the most frequent first."""
    due = np.array([task.due for task in planned.tasks])
    order = np.argsort(due, kind="stable")
    late = ~found.in_time[:, order]
    first = order[np.argmax(late, axis=1)[late.any(axis=1)]]
    numbers, counts = np.unique(first, return_counts=True)
    diary, choices = planned.plan.diary, planned.season.choices
    made: list[Break] = []
    for number, count in sorted(zip(numbers.tolist(), counts.tolist(), strict=True), key=lambda one: -one[1]):
        of_task = choices.task[diary.choice] == number
        shares = np.bincount(
            choices.tractor[diary.choice[of_task]], diary.share[of_task], len(planned.season.tractors.first)
        )
        made.append(Break(planned.tasks[number], int(np.argmax(shares)), count))
    return made


class Otherwise(NamedTuple):
    """A farm with an alternative in place; a :class:`~drawbar_service.model.farm.Farm`."""

    fleet: Fleet
    fields: Sequence[SeasonField]
    work: Sequence[Work]
    window: Window
    driving: Driving
    prices: Prices


class _Workday(NamedTuple):
    """A window with another workday."""

    start: dt.date
    end: dt.date
    workday: float
    days_off: DaysOff | None


class Outcome(NamedTuple):
    """What an alternative or a lever comes to over the years."""

    planned: Planned | None
    """None where nothing can be planned."""
    replay: Replay | None
    lost_tasks: int
    """Tasks that cannot be planned."""


def otherwise(farm: Farm, tasks: list[Task], alternative: Alternative, years: YearsOfDays, found: Findings) -> Outcome:
    """Return what comes of the plan of a farm with an alternative in place, over the years."""
    window = farm.window
    if alternative.workday is not None:
        window = _Workday(window.start, window.end, float(alternative.workday), window.days_off)
    changed = Otherwise(
        farm.fleet if alternative.fleet is None else alternative.fleet,
        farm.fields,
        farm.work,
        window,
        farm.driving,
        farm.prices if alternative.prices is None else alternative.prices,
    )
    scaled = years
    if alternative.days is not None:
        daily = np.minimum(np.diff(years.totals, axis=1, prepend=0.0) * float(alternative.days), 1.0)
        scaled = years._replace(totals=np.cumsum(daily, axis=1))
    season = plan_season(changed, tasks, weeks_of(changed, scaled.share, scaled), found)
    made = season.planned
    return Outcome(made, None if made is None else replay(changed, made, scaled), len(season.lost))


class Lever(NamedTuple):
    """A change, and what it comes to."""

    lever: LeverName
    name: str
    """Of the machine it is about; empty of none."""
    figure: float
    """A workday [s] or a share [1], as the lever needs it."""
    replay: Replay


def levers(farm: Farm, planned: Planned, weeks: Weeks, years: YearsOfDays, found: Findings) -> list[Lever]:
    """Return what would change the chance or the money over the years: each lever with a plan and years of its own.

    A longer day of the same people; a second shift with other people at the same wage; days off worked; hired work, one
    more pair like the busiest with its driver; one more driver; the busiest tractor shared with a neighbor, here every
    other day; and, of machines that are shared or away, here all the time, or with the neighbor a week later.
    """
    season, workday = planned.season, float(farm.window.workday)
    busiest = [one for one in uses(planned, farm.window) if one.kind == "tractor"]
    tractor = bottleneck(busiest).number
    pulled = [one for one in uses(planned, farm.window) if one.kind == "implement"]
    diary, choices = planned.plan.diary, season.choices
    behind = np.bincount(
        choices.implement[diary.choice],
        np.where(choices.tractor[diary.choice] == tractor, diary.lasts, 0.0),
        len(pulled),
    )
    implement = int(np.argmax(behind))
    name = farm.fleet.tractors[tractor].name
    made: list[Lever] = []

    def tried(
        lever: LeverName,
        name: str,
        figure: float,
        changed: Season,
        day: float = workday,
        days_off: DaysOff | None = farm.window.days_off,
    ) -> None:
        found.go_on()
        start = np.full(len(changed.choices.task), np.inf)
        start[: len(planned.plan.rank)] = planned.plan.rank
        for one in range(len(planned.plan.rank), len(start)):
            alike = choices.task[: len(planned.plan.rank)] == changed.choices.task[one]
            start[one] = planned.plan.rank[alike].min() + 0.5
        longer = Otherwise(
            farm.fleet,
            farm.fields,
            farm.work,
            _Workday(farm.window.start, farm.window.end, day, days_off),
            farm.driving,
            farm.prices,
        )
        length = weeks.length if days_off == farm.window.days_off else weeks_of(longer, weeks.share, years).length
        changed = changed._replace(length=length[: planned.window_days])
        program = Program(changed, [], start)
        again = plan_of(planned.tasks, program, length[planned.window_days :], found, effort=_LEVER_EFFORT)
        made.append(Lever(lever, name, figure, replay(longer, again, years)))

    def stretched(day: float) -> Season:
        factor = day / workday
        crew = season.crew._replace(time=season.crew.time * factor)
        return season._replace(day_time=season.day_time * factor, crew=crew)

    if workday < LONGEST_DAY:
        day = min(workday + MORE_HOURS, LONGEST_DAY)
        tried("longer-day", "", day, stretched(day), day)
    if workday < LONGEST_SHIFTS:
        day = min(2.0 * workday, LONGEST_SHIFTS)
        tried("second-shift", "", day, stretched(day), day)
    if not weeks.worked[: planned.window_days].all():
        tried("days-off-worked", "", 0.0, season, days_off=None)
    hired = another(season, tractor=tractor, implement=implement)
    driver = Crew(np.append(hired.crew.time, season.day_time), np.append(hired.crew.cost, hired.crew.cost.max()))
    tried("hired-work", f"{name} with {farm.fleet.implements[implement].name}", 0.0, hired._replace(crew=driver))
    if len(season.crew.time) < len(season.tractors.first):
        one_more = Crew(
            np.append(season.crew.time, season.day_time), np.append(season.crew.cost, season.crew.cost.max())
        )
        tried("another-driver", "", 0.0, season._replace(crew=one_more))
    both: tuple[tuple[Machines, Sequence[Owned], Callable[[Machines], Season]], ...] = (
        (season.tractors, farm.fleet.tractors, lambda changed: season._replace(tractors=changed)),
        (season.implements, farm.fleet.implements, lambda changed: season._replace(implements=changed)),
    )
    passing = [
        (machines, int(number), owned[int(number)].name, put)
        for machines, owned, put in both
        for number in np.flatnonzero(shared(machines)).tolist()
    ]
    if not shared(season.tractors)[tractor]:
        share, need = season.tractors.share.copy(), season.tractors.need.copy()
        share[tractor], need[tractor] = _SHARED, np.inf
        tried("shared", name, _SHARED, season._replace(tractors=season.tractors._replace(share=share, need=need)))
    for machines, number, whose, put in passing[:_MOST_PASSING]:
        tried("not-shared", whose, 0.0, put(alone_with(machines, number)))
        if np.isfinite(machines.need[number]):
            since = machines.since.copy()
            since[number] += A_WEEK
            tried("neighbor-later", whose, 0.0, put(machines._replace(since=since)))
    return made


class Back(NamedTuple):
    """A machine that a neighbor needs for so many days: when it is back."""

    name: str
    kind: ResourceKind
    expected: int | None
    """Day on which it is back, on expected days [d]; None where it is not as far as is planned."""
    years: FloatArray | None
    """The same in each recorded year, infinite where it is not; None without a record"""
    due: int | None
    """Last day on which the neighbor's work is in time [d]; None where that is not known."""

    def day_of(self, share: float) -> int | None:
        """Return the day by which it is back in this share of years [d]; None where it is not in so many."""
        if self.years is None:
            return None
        day = float(np.sort(self.years)[min(int(np.ceil(share * len(self.years))), len(self.years)) - 1])
        return int(day) if np.isfinite(day) else None

    @property
    def in_time(self) -> float | None:
        """Share of years in which the neighbor's work is done when due [1]; None where that is not known."""
        if self.years is None or self.due is None:
            return None
        return float((self.years <= self.due + 1).mean())


def neighbors(farm: Farm, planned: Planned, years: YearsOfDays | None) -> list[Back]:
    """Return when machines that neighbors need for so many days are back."""
    season = planned.season
    expected = season.day_time * season.length
    by_year = None if years is None else _time(farm, season, years)[0]
    sides: tuple[tuple[ResourceKind, Sequence[Owned], Machines], ...] = (
        ("tractor", farm.fleet.tractors, season.tractors),
        ("implement", farm.fleet.implements, season.implements),
    )
    made: list[Back] = []
    for kind, owned, machines in sides:
        for number, one in enumerate(owned):
            if one.neighbor is None:
                continue
            day = int(back(machines, expected)[number])
            of_years = None
            if by_year is not None:
                of_years = back(machines, by_year)[:, number].astype(np.float64)
                of_years[of_years >= by_year.shape[1]] = np.inf
            due = None if one.neighbor.due is None else (one.neighbor.due - farm.window.start).days
            made.append(Back(one.name, kind, day if day < season.days else None, of_years, due))
    return made


def before_freeze_up(found: Replay, freeze_up: int, spread: float) -> float:
    """Return the chance that all is done before the ground freezes [1], the years of both being independent.

    Parameters
    ----------
    found : Replay
    freeze_up : int
        Day from which the ground is frozen in half of the years [d].
    spread : float
        Its standard deviation from year to year [d], taken as normal; 0: it is the same in all years.
    """
    last = found.last.max(axis=1)
    ahead = freeze_up - 0.5 - last
    chance = [0.5 * (1.0 + erf(one / (spread * sqrt(2.0)))) if spread > 0.0 else float(one > 0.0) for one in ahead]
    return float(np.mean(np.where(found.whole.all(axis=1), chance, 0.0)))
