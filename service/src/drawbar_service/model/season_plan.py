"""The plan of a season, and what comes of it: who works when, what is late, what is spare, what it costs."""

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

import numpy as np

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import HOUR, Machines, Plan, Relaxed, Season, days_late, days_there
from drawbar_service.engine.season_plan import plan, relaxed
from drawbar_service.model.farm import Farm, Window
from drawbar_service.model.findings import Findings
from drawbar_service.model.pairings import Pairing, pairings
from drawbar_service.model.season import (
    Program,
    Task,
    blocked,
    crew_of,
    days_of,
    hourly_cost,
    longer,
    program_of,
)

ResourceKind: TypeAlias = Literal["tractor", "implement", "operator"]

SEARCH_SECONDS = 7.0
"""Time to search for a plan [s]; see the engine for what usually ends it sooner."""
LEAST_TAIL, MOST_TAIL = 14, 60
"""Days after the window [d] to which late work can go: as many as the window has, within these."""
PROVEN = 1e-3
"""Gap [1] below which a plan is called proven."""
_LATE = 1e-3
"""Mean days late [d] below which it is rounding."""
_SECOND = 1.0
"""Time [s] in a period below which a row of the plan is rounding."""


class Ends(NamedTuple):
    """When each task is done; arrays of shape (tasks,)."""

    first: list[int | None]
    """First day [d]; None if nothing of it is done"""
    last: list[int | None]
    late: FloatArray
    """Share done after its due day, or not at all [1]"""
    days_late: FloatArray
    """Mean over its area [d]"""
    undone: FloatArray
    """[1]"""

    @property
    def last_of_all(self) -> int | None:
        """Last day of any task [d]; None if nothing is done."""
        return max((day for day in self.last if day is not None), default=None)


class Planned(NamedTuple):
    """A plan and what it was made from."""

    tasks: list[Task]
    program: Program
    plan: Plan
    worth: Relaxed | None
    """None where nothing is late."""
    ends: Ends
    window_periods: int

    @property
    def season(self) -> Season:
        """The season that was planned, with the days after the window where they were needed."""
        return self.program.season

    @property
    def late(self) -> bool:
        """Whether some work is late, beyond rounding."""
        return bool((self.ends.days_late > _LATE).any())

    @property
    def proven(self) -> bool:
        """Whether no plan is better by more than a thousandth."""
        return max(self.plan.lateness_gap, self.plan.cost_gap) <= PROVEN

    @property
    def mean_days_late(self) -> float:
        """Mean over all area [d]."""
        return float(np.average(self.ends.days_late, weights=self.season.tasks.area))

    @property
    def late_area(self) -> float:
        """Area done late or not at all [m^2]."""
        return float(self.ends.late @ self.season.tasks.area)

    @property
    def last_day(self) -> int:
        """Last day that could be planned [d]."""
        return self.season.periods * self.season.step - 1


def plan_of(tasks: list[Task], program: Program, window: Window, found: Findings) -> Planned:
    """Plan within the window, and beyond it where that does not hold all work; `found` may end the search.

    Work left undone in the first plan counts as late as if done the day after, which is the least it can be. So
    where nothing is left undone no plan that reaches beyond the window is better, and the second is not needed.
    """
    days = days_of(window)
    season = program.season
    bound = relaxed(season)
    made = plan(season, SEARCH_SECONDS, found.go_on) if bound.undone <= 1e-6 else None
    if made is None or made.undone.any():
        season = longer(season, min(max(days, LEAST_TAIL), MOST_TAIL))
        made = plan(season, SEARCH_SECONDS, found.go_on)
    ends = ends_of(season, made)
    worth = relaxed(season) if bool((ends.days_late > _LATE).any()) else None
    return Planned(tasks, program._replace(season=season), made, worth, ends, program.season.periods)


def ends_of(season: Season, made: Plan) -> Ends:
    """Return when each task of a plan is done, and how late."""
    late = days_late(season)
    done = made.done * (made.done * season.tasks.area[:, np.newaxis] > 1e-6 * season.tasks.area[:, np.newaxis])
    undone = made.undone
    first: list[int | None] = []
    last: list[int | None] = []
    for task in range(len(season.tasks.area)):
        periods = np.flatnonzero(done[task])
        first.append(int(periods[0]) * season.step if len(periods) else None)
        last.append((int(periods[-1]) + 1) * season.step - 1 if len(periods) else None)
    return Ends(
        first,
        last,
        np.minimum((done * (late[:, :-1] > 0.0)).sum(axis=1) + undone, 1.0),
        (done * late[:, :-1]).sum(axis=1) + undone * late[:, -1],
        undone,
    )


class Shift(NamedTuple):
    """One machine at work on one field in one period; numbers are places among the tasks, machines and operators."""

    day: int
    """First day of the period [d]"""
    tractor: int
    implement: int
    operator: int
    task: int
    time: float
    """[s]"""
    area: float
    """[m^2]"""


def shifts(planned: Planned) -> list[Shift]:
    """Return a plan period by period, every hour with its operator."""
    season, made = planned.season, planned.plan
    choices = season.choices
    found: list[Shift] = []
    for period in range(season.periods):
        left: list[float] = made.crew[:, period].tolist()
        busy = [one for one in range(len(choices.task)) if made.time[one, period] >= _SECOND]
        for one in sorted(busy, key=lambda one: (choices.tractor[one], choices.implement[one], choices.task[one])):
            time = float(made.time[one, period])
            while time >= _SECOND:
                # Whoever has just enough time left; if no one has, whoever has most, and the rest goes to another.
                enough = [who for who, hours in enumerate(left) if hours >= time - _SECOND]
                who = min(enough, key=left.__getitem__) if enough else max(range(len(left)), key=left.__getitem__)
                # What rounding leaves over stays with the last.
                part = time if enough or left[who] < _SECOND else min(time, left[who])
                left[who] -= part
                time -= part
                found.append(
                    Shift(
                        day=period * season.step,
                        tractor=int(choices.tractor[one]),
                        implement=int(choices.implement[one]),
                        operator=who,
                        task=int(choices.task[one]),
                        time=part,
                        area=part * float(choices.rate[one]),
                    )
                )
    return found


class Stretch(NamedTuple):
    """Days on end that one tractor works one field; numbers are places among the tasks and machines."""

    tractor: int
    implement: int
    task: int
    first: int
    """First day [d]"""
    last: int
    """Last day [d]"""
    time: float
    """[s]"""
    area: float
    """[m^2]"""
    late: bool
    """Whether it ends after the work on that field is due."""


def stretches(planned: Planned) -> list[Stretch]:
    """Return a plan with days that follow each other as one."""
    found: dict[tuple[int, int, int], list[Stretch]] = {}
    for shift in shifts(planned):
        last = shift.day + planned.season.step - 1
        late = last > planned.tasks[shift.task].due
        here = found.setdefault((shift.tractor, shift.implement, shift.task), [])
        if here and shift.day - here[-1].last <= 1:
            before = here[-1]
            here[-1] = before._replace(
                last=last, time=shift.time + before.time, area=shift.area + before.area, late=late
            )
        else:
            here.append(
                Stretch(shift.tractor, shift.implement, shift.task, shift.day, last, shift.time, shift.area, late)
            )
    return [one for here in found.values() for one in here]


class TaskEnd(NamedTuple):
    """How one work on one field ends."""

    task: Task
    planned: float
    """Share of it that the plan does [1]"""
    first: int | None
    """First day [d]; None if it is not in the plan."""
    last: int | None
    late: float
    """Share done after its due day, or not at all [1]"""
    days_late: float
    """Mean over its area [d]"""

    @property
    def whole(self) -> bool:
        """Whether all of it is in the plan."""
        return self.last is not None and self.planned == 1.0


def task_ends(tasks: Sequence[Task], planned: Planned | None, window: Window) -> list[TaskEnd]:
    """Return how every task ends, those that cannot be planned too."""
    places = {task: place for place, task in enumerate(planned.tasks)} if planned is not None else {}
    found: list[TaskEnd] = []
    for task in tasks:
        if planned is None or task not in places:
            found.append(TaskEnd(task, 0.0, None, None, 1.0, float(days_of(window) - task.due)))
            continue
        place, ends = places[task], planned.ends
        found.append(
            TaskEnd(
                task,
                1.0 - float(ends.undone[place]),
                ends.first[place],
                ends.last[place],
                float(ends.late[place]),
                float(ends.days_late[place]),
            )
        )
    return found


class Use(NamedTuple):
    """A tractor, an implement or an operator."""

    kind: ResourceKind
    number: int
    used: float
    """[s]"""
    available: float
    """[s]"""
    saves: float
    """Lateness saved over the share more of it [d]"""
    hour_saves: float | None
    """Share of the lateness that an hour more of it in every suitable day would save [1]; None where none is late."""

    @property
    def share(self) -> float:
        """Time used over time available [1]."""
        return min(self.used / self.available, 1.0) if self.available > 0.0 else 0.0


def uses(planned: Planned, window: Window) -> list[Use]:
    """Return how much each resource is used in the window."""
    worth, lateness = planned.worth, planned.plan.lateness
    found = _uses(planned.season, planned.plan, planned.window_periods, worth)
    if worth is None or lateness <= 0.0:
        return found
    workday = float(window.workday)
    return [use._replace(hour_saves=min(use.saves / lateness * HOUR / workday, 1.0)) for use in found]


def _uses(season: Season, made: Plan, periods: int, worth: Relaxed | None) -> list[Use]:
    """Return how much each resource is used in the first `periods` of a plan."""
    found: list[Use] = []
    time = made.time[:, :periods].sum(axis=1)
    sides: tuple[tuple[ResourceKind, FloatArray, Machines, FloatArray | None], ...] = (
        ("tractor", season.choices.tractor.astype(np.float64), season.tractors, worth and worth.tractors),
        ("implement", season.choices.implement.astype(np.float64), season.implements, worth and worth.implements),
    )
    for kind, of_choice, machines, saves in sides:
        days = days_there(machines, season.step, periods).sum(axis=1)
        for number in range(len(days)):
            used = float(time[of_choice == number].sum())
            saved = max(float(saves[number]), 0.0) + 0.0 if saves is not None else 0.0
            found.append(Use(kind, number, used, float(days[number]) * season.day_time, saved, None))
    saved = max(worth.crew, 0.0) if worth is not None else 0.0
    days = periods * season.step
    found += [
        Use("operator", number, float(made.crew[number, :periods].sum()), float(in_day) * days, saved, None)
        for number, in_day in enumerate(season.crew.time)
    ]
    return found


def bottleneck(resources: Sequence[Use]) -> Use:
    """Return what decides: where work is late, what an hour more of saves most; else what is busiest."""
    return max(resources, key=lambda one: (one.hour_saves or 0.0, one.share))


class Costs(NamedTuple):
    """What a plan costs, in the currency of the prices."""

    fuel: float
    """[m^3]"""
    for_fuel: float | None
    """None without a price of fuel."""
    for_labour: float
    for_machines: float
    lost: float | None
    """By lateness; None where no field says what it loses."""

    @property
    def total(self) -> float:
        """Sum of what is priced."""
        return (self.for_fuel or 0.0) + self.for_labour + self.for_machines


def costs_of(farm: Farm, planned: Planned | None, pairs: Sequence[Pairing], found: Findings) -> Costs:
    """Return what a plan costs, nothing if there is none."""
    fuel = machines = labour = lost = 0.0
    if planned is not None:
        season, made = planned.season, planned.plan
        for number, time in zip(planned.program.pairing_of, made.time.sum(axis=1), strict=True):
            fuel += float(time) * pairs[number].fuel_rate
            machines += float(time) * hourly_cost(pairs[number], farm)
        labour = float(made.crew.sum(axis=1) @ season.crew.cost)
        losses = [float(farm.fields[task.field].daily_loss or 0.0) for task in planned.tasks]
        lost = float(np.sum(planned.ends.days_late * season.tasks.area * np.array(losses)))
    price = farm.prices.fuel
    if price is None and (machines or labour):
        found.warn("no-price-of-fuel", "/prices/fuel")
    return Costs(
        fuel=fuel,
        for_fuel=fuel * float(price) if price is not None else None,
        for_labour=labour,
        for_machines=machines,
        lost=lost if any(field.daily_loss is not None for field in farm.fields) else None,
    )


class DaysNeeded(NamedTuple):
    """Suitable days that a plan takes, in the mean [d]."""

    by_plan: float
    """From the first day to its last."""
    at_least: float
    """That the busiest machine or person is at work."""


def days_needed(planned: Planned, share: float) -> DaysNeeded | None:
    """Return how many suitable days a plan takes, with a `share` [1] of them; None if some work is left undone."""
    last = planned.ends.last_of_all
    if planned.ends.undone.any() or last is None:
        return None
    needed = share * (last + 1)
    season, made = planned.season, planned.plan
    # Whatever is done beyond the window counts too: this is about all of the work.
    everything = _uses(season, made, season.periods, None)
    day = season.day_time / share if share > 0.0 else 1.0
    busiest = max(use.used for use in everything if use.kind != "operator") / day
    crew = made.crew.sum() / (season.crew.time.sum() / share) if season.crew.time.any() else 0.0
    return DaysNeeded(needed, min(max(busiest, float(crew)), needed))


def warn_of_used(planned: Planned, pairs: Sequence[Pairing], farm: Farm, found: Findings) -> None:
    """Pass on what to beware of in the pairings that the plan uses, once for each kind and place."""
    told: set[tuple[str, str]] = set()
    busy = np.flatnonzero(planned.plan.time.sum(axis=1) > 0.0)
    for number in dict.fromkeys(planned.program.pairing_of[one] for one in busy):
        pairing = pairs[number]
        tractor, implement = farm.fleet.tractors[pairing.tractor], farm.fleet.implements[pairing.implement]
        new = [one for one in pairing.warned if (one.kind, one.pointer) not in told]
        told.update((one.kind, one.pointer) for one in new)
        found.warned += [one._replace(whose=f"{implement.name} behind {tractor.name}") for one in new]


class PlannedSeason(NamedTuple):
    """A season's work, planned as far as it can be."""

    tasks: list[Task]
    pairs: list[Pairing]
    lost: Mapping[int, str | None]
    """Tasks that cannot be planned, by number: those nothing fits (None), and those that wait for one (its work)."""
    planned: Planned | None
    """None where nothing can be planned."""
    costs: Costs


def plan_season(farm: Farm, tasks: list[Task], share: float, found: Findings) -> PlannedSeason:
    """Return the plan of a season.

    Parameters
    ----------
    farm : Farm
    tasks : list of Task
        All there are.
    share : float
        Share of days that are suitable [1].
    found : Findings
        Receives assumptions, warnings and faults.

    Raises
    ------
    Impossible
        If there are faults.
    """
    crew = crew_of(farm, share, found)
    pairs = pairings(farm, found)
    lost = blocked(tasks, farm.work, pairs)
    possible = [task for number, task in enumerate(tasks) if number not in lost]
    planned = None
    if possible:
        program = program_of(farm, possible, pairs, crew, share, found)
        planned = plan_of(possible, program, farm.window, found)
        warn_of_used(planned, pairs, farm, found)
    costs = costs_of(farm, planned, pairs, found)
    found.warn("expected-days", "/window/suitable")
    return PlannedSeason(tasks, pairs, lost, planned, costs)
