"""The plan of a season, and what comes of it: who works when, what is late, what is spare, what it costs."""

from collections.abc import Mapping, Sequence
from typing import Literal, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import HOUR, UNDONE, Machines, Relaxed, Season, there
from drawbar_service.engine.season_days import Course
from drawbar_service.engine.season_plan import Plan, plan
from drawbar_service.engine.season_program import relaxed
from drawbar_service.model.days import YearsOfDays, past_of, record_of, years_of
from drawbar_service.model.farm import Farm, FarmAndDays, Window
from drawbar_service.model.findings import Findings
from drawbar_service.model.pairings import Pairing, pairings
from drawbar_service.model.season import (
    Program,
    Task,
    blocked,
    crew_of,
    days_of,
    hourly_cost,
    length_of,
    longer,
    program_of,
    worked_days,
)
from drawbar_service.model.suitable import Weather, weather_of

ResourceKind: TypeAlias = Literal["tractor", "implement", "operator"]

LEAST_TAIL, MOST_TAIL = 14, 60
"""Days after the window [d] to which late work can go: as many as the window has, within these."""
PROVEN = 1e-3
"""Gap [1] below which a plan is called proven."""
_LATE = 1e-3
"""Mean days late [d] below which it is rounding."""
_SECOND = 1.0
"""Time [s] below which a part of a block is rounding."""


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
    window_days: int

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
    def lateness_gap_days(self) -> float:
        """How far the mean days late may be above the least [d]."""
        area = float(self.season.tasks.weight @ self.season.tasks.area)
        return self.plan.lateness_gap * self.plan.lateness / area

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
        return self.season.days - 1


def tail_of(days: int) -> int:
    """Return how many days after a window of so many late work can go to [d]."""
    return min(max(days, LEAST_TAIL), MOST_TAIL)


def plan_of(tasks: list[Task], program: Program, tail: FloatArray, found: Findings, *, effort: float = 1.0) -> Planned:
    """Plan within the window, and beyond it where that does not hold all work; `found` may end the search.

    Parameters
    ----------
    tasks : list of Task
    program : Program
    tail : array (days,)
        Time in each day after the window, over the mean [1].
    found : Findings
        May end the search.
    effort : float
        Rounds of the search over the usual [1].

    Notes
    -----
    Work left undone in the first plan counts as late as if done the day after, which is the least it can be. So
    where nothing is left undone no plan that reaches beyond the window is better, and the second is not needed.
    """
    season = program.season
    bound = relaxed(season)
    start = program.start
    made = plan(season, bound, found.go_on, start=start, effort=effort) if bound.undone <= UNDONE else None
    if made is None or made.course.left.any():
        season = longer(season, tail)
        bound = relaxed(season)
        start = made.rank if made is not None else start
        made = plan(season, bound, found.go_on, start=start, effort=effort)
    ends = ends_of(made.course)
    worth = bound if bool((ends.days_late > _LATE).any()) else None
    return Planned(tasks, program._replace(season=season), made, worth, ends, program.season.days)


def ends_of(course: Course) -> Ends:
    """Return when each task is done, and how late, in the first lane."""
    begun = course.last[0] >= 0
    return Ends(
        [int(day) if some else None for day, some in zip(course.first[0], begun, strict=True)],
        [int(day) if some else None for day, some in zip(course.last[0], begun, strict=True)],
        course.late[0],
        course.days_late[0],
        course.left[0],
    )


class Shift(NamedTuple):
    """One machine at work on one field on one day; numbers are places among the tasks, machines and operators."""

    day: int
    """[d]"""
    tractor: int
    implement: int
    operator: int
    task: int
    moving: float
    """On the road and changing the implement, before the work [s]"""
    time: float
    """At work [s]"""
    area: float
    """[m^2]"""


def shifts(planned: Planned) -> list[Shift]:
    """Return a plan day by day, in the order in which each tractor goes through it, every hour with its operator."""
    season, diary, choices = planned.season, planned.plan.diary, planned.season.choices
    found: list[Shift] = []
    before: dict[int, int] = {}
    for day in dict.fromkeys(diary.day.tolist()):
        blocks = np.flatnonzero(diary.day == day)
        lasts = diary.moving + diary.lasts
        left = _shared_out(season, day, float(lasts[blocks].sum()))
        of_tractor: dict[int, list[int]] = {}
        for one in sorted(blocks.tolist(), key=lambda one: float(diary.begins[one])):
            of_tractor.setdefault(int(choices.tractor[diary.choice[one]]), []).append(one)
        today: list[Shift] = []
        # The longest day first: whoever comes last may have to share.
        for tractor, mine in sorted(of_tractor.items(), key=lambda one: -float(lasts[one[1]].sum())):
            driver = before.get(tractor)
            if driver is None or left[driver] < float(lasts[mine].sum()) - _SECOND:
                driver = _driver(left, float(lasts[mine].sum()), None)
            for one in mine:
                time, done = float(lasts[one]), 0.0
                while time >= _SECOND:
                    driver = _driver(left, time, driver)
                    # What rounding leaves over stays with the last.
                    part = time if left[driver] >= time - _SECOND or left[driver] < _SECOND else left[driver]
                    left[driver] -= part
                    time -= part
                    moving = min(max(float(diary.moving[one]) - done, 0.0), part)
                    share = (part - moving) / max(float(diary.lasts[one]), _SECOND)
                    done += part
                    today.append(_shift(planned, one, driver, moving, share))
            before[tractor] = driver
        found += sorted(today, key=lambda one: one.tractor)
    return found


def _shift(planned: Planned, one: int, driver: int, moving: float, share: float) -> Shift:
    """Return a share [1] of a block of the diary with its driver."""
    season, diary, choices = planned.season, planned.plan.diary, planned.season.choices
    choice = int(diary.choice[one])
    task = int(choices.task[choice])
    return Shift(
        int(diary.day[one]),
        int(choices.tractor[choice]),
        int(choices.implement[choice]),
        driver,
        task,
        moving,
        float(diary.worked[one]) * share,
        float(diary.share[one]) * float(season.tasks.area[task]) * share,
    )


def _shared_out(season: Season, day: int, time: float) -> list[float]:
    """Return the time each operator has on a day [s] on which so much is worked: the dearer only what is left over."""
    crew = season.crew
    hours = np.minimum(crew.time, season.day_time) * season.length[day]
    left = [0.0] * len(hours)
    for cost in np.unique(crew.cost):
        alike = np.flatnonzero(crew.cost == cost)
        whole = float(hours[alike].sum())
        for who in alike.tolist():
            left[who] = float(hours[who]) if len(alike) > 1 else min(float(hours[who]), time)
        time -= min(whole, time)
        if time <= 0.0:
            break
    return left


def _driver(left: Sequence[float], time: float, before: int | None) -> int:
    """Return who drives for so much `time` [s]: the driver of before, who has just enough, or who has most."""
    enough = [who for who, hours in enumerate(left) if hours >= time - _SECOND]
    if before in enough:
        return before
    return min(enough, key=left.__getitem__) if enough else max(range(len(left)), key=left.__getitem__)


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
    operators: tuple[int, ...]
    """In turn"""


def stretches(planned: Planned) -> list[Stretch]:
    """Return a plan with days that follow each other as one."""
    found: dict[tuple[int, int, int], list[Stretch]] = {}
    for shift in shifts(planned):
        last = shift.day
        late = last > planned.tasks[shift.task].due
        here = found.setdefault((shift.tractor, shift.implement, shift.task), [])
        if here and shift.day - here[-1].last <= 1:
            before = here[-1]
            here[-1] = before._replace(
                last=last,
                time=shift.time + before.time,
                area=shift.area + before.area,
                late=late,
                operators=tuple(dict.fromkeys((*before.operators, shift.operator))),
            )
        else:
            here.append(
                Stretch(
                    shift.tractor,
                    shift.implement,
                    shift.task,
                    shift.day,
                    last,
                    shift.time,
                    shift.area,
                    late,
                    (shift.operator,),
                )
            )
    return [one for here in found.values() for one in here]


class TaskEnd(NamedTuple):
    """How one work on one field ends."""

    task: Task
    planned: float
    """Share of it that is done by the end of the plan [1]"""
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
            left = 1.0 - task.done
            found.append(TaskEnd(task, task.done, None, None, left, left * (days_of(window) - task.due)))
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
    found = _uses(planned, planned.window_days, worth)
    if worth is None or lateness <= 0.0:
        return found
    workday = float(window.workday)
    return [use._replace(hour_saves=min(use.saves / lateness * HOUR / workday, 1.0)) for use in found]


def _uses(planned: Planned, days: int, worth: Relaxed | None) -> list[Use]:
    """Return how much each resource is used in the first `days` of a plan."""
    found: list[Use] = []
    season = planned.season
    inside = [one for one in shifts(planned) if one.day < days]
    length = season.length[:days]
    sides: tuple[tuple[ResourceKind, list[int], Machines, FloatArray | None], ...] = (
        ("tractor", [one.tractor for one in inside], season.tractors, worth and worth.tractors),
        ("implement", [one.implement for one in inside], season.implements, worth and worth.implements),
    )
    time = np.array([one.time + one.moving for one in inside])
    for kind, whose, machines, saves in sides:
        available = there(machines, season.day_time * season.length)[:, :days] @ length * season.day_time
        for number in range(len(available)):
            used = float(time[np.array(whose, dtype=np.intp) == number].sum())
            saved = max(float(saves[number]), 0.0) + 0.0 if saves is not None else 0.0
            found.append(Use(kind, number, used, float(available[number]), saved, None))
    saved = max(worth.crew, 0.0) if worth is not None else 0.0
    whose = np.array([one.operator for one in inside], dtype=np.intp)
    found += [
        Use("operator", number, float(time[whose == number].sum()), float(in_day * length.sum()), saved, None)
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
    for_labor: float
    for_machines: float
    lost: float | None
    """By lateness; None where no field says what it loses."""

    @property
    def total(self) -> float:
        """Sum of what is priced."""
        return (self.for_fuel or 0.0) + self.for_labor + self.for_machines


def costs_of(farm: Farm, planned: Planned | None, pairs: Sequence[Pairing], found: Findings) -> Costs:
    """Return what a plan costs, nothing if there is none."""
    fuel = machines = labor = lost = 0.0
    if planned is not None:
        season, diary = planned.season, planned.plan.diary
        for choice, time in zip(diary.choice.tolist(), diary.worked.tolist(), strict=True):
            pairing = pairs[planned.program.pairing_of[int(choice)]]
            fuel += float(time) * pairing.fuel_rate
            machines += float(time) * hourly_cost(pairing, farm)
        labor = sum((one.time + one.moving) * float(season.crew.cost[one.operator]) for one in shifts(planned))
        losses = [float(farm.fields[task.field].daily_loss or 0.0) for task in planned.tasks]
        lost = float(np.sum(planned.ends.days_late * season.tasks.area * np.array(losses)))
    price = farm.prices.fuel
    if price is None and (machines or labor):
        found.warn("no-price-of-fuel", "/prices/fuel")
    return Costs(
        fuel=fuel,
        for_fuel=fuel * float(price) if price is not None else None,
        for_labor=labor,
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
    season, day = planned.season, planned.season.day_time / share if share > 0.0 else 1.0
    needed = share * float(season.length[: last + 1].sum())
    # Whatever is done beyond the window counts too: this is about all of the work.
    everything = _uses(planned, season.days, None)
    busiest = max(use.used for use in everything if use.kind != "operator") / day
    total = sum(use.used for use in everything if use.kind == "operator")
    crew = total / (season.crew.time.sum() / share) if season.crew.time.any() else 0.0
    return DaysNeeded(needed, min(max(busiest, float(crew)), needed))


def warn_of_used(planned: Planned, pairs: Sequence[Pairing], farm: Farm, found: Findings) -> None:
    """Pass on what to beware of in the pairings that the plan uses, once for each kind and place."""
    told: set[tuple[str, str]] = set()
    for pairing in used(planned, pairs):
        name = _name_of(pairing, farm)
        new = [one for one in pairing.warned if (one.kind, one.pointer) not in told]
        told.update((one.kind, one.pointer) for one in new)
        found.warned += [one._replace(whose=name) for one in new]
    for pairing in least_sure(planned, pairs):
        cases = int(100.0 * _chance_of(pairing) + 1e-3)
        speed, name = pairing.match.worked.speed, _name_of(pairing, farm)
        found.warn("close-pairing", f"/work/{pairing.work}", pair=name, cases=cases, speed=speed)


def used(planned: Planned, pairs: Sequence[Pairing]) -> list[Pairing]:
    """Return the pairings that a plan uses."""
    busy: list[int] = np.unique(planned.plan.diary.choice).tolist()
    return [pairs[number] for number in dict.fromkeys(planned.program.pairing_of[one] for one in busy)]


def least_sure(planned: Planned, pairs: Sequence[Pairing]) -> list[Pairing]:
    """Return the close pairings that a plan uses, of each machine at each work the one least likely to hold."""
    least: dict[tuple[int, int, int], Pairing] = {}
    for one in sorted(filter(_close, used(planned, pairs)), key=_chance_of):
        least.setdefault((one.work, one.tractor, one.implement), one)
    return list(least.values())


def _close(pairing: Pairing) -> bool:
    return pairing.close


def _chance_of(pairing: Pairing) -> float:
    return float(pairing.match.chance.value) if pairing.match.chance is not None else 1.0


def _name_of(pairing: Pairing, farm: Farm) -> str:
    tractor, implement = farm.fleet.tractors[pairing.tractor], farm.fleet.implements[pairing.implement]
    return f"{implement.name} behind {tractor.name}"


class PlannedSeason(NamedTuple):
    """A season's work, planned as far as it can be."""

    tasks: list[Task]
    pairs: list[Pairing]
    lost: Mapping[int, str | None]
    """Tasks that cannot be planned, by number: those nothing fits (None), and those that wait for one (its work)."""
    planned: Planned | None
    """None where nothing can be planned."""
    costs: Costs


class Weeks(NamedTuple):
    """How suitable time is spread over the days of a season."""

    share: float
    """Mean over the window [1]"""
    length: FloatArray
    """Of each day of the window and after it, over the mean [1]"""
    worked: npt.NDArray[np.bool_]
    """Which of these days are no days off"""

    def worked_until(self, day: int) -> int:
        """Return the days up to the end of a day that are no days off [d]."""
        return int(np.count_nonzero(self.worked[: day + 1]))

    def until(self, day: int) -> float:
        """Return the suitable days expected up to the end of a day [1]."""
        return self.share * float(self.length[: day + 1].sum())


def weeks_of(farm: Farm, share: float, years: YearsOfDays | None) -> Weeks:
    """Return the expected time of each day of a window and the days after it.

    Parameters
    ----------
    farm : Farm
    share : float
        Mean share of the days of the window that are suitable [1].
    years : YearsOfDays or None
        Recorded years: their mean day by day, in place of one share for all; after the last day they know, their mean.
    """
    days = days_of(farm.window) + tail_of(days_of(farm.window))
    lit, worked = length_of(farm, days), worked_days(farm.window, days)
    if years is None or share <= 0.0:
        return Weeks(share, lit, worked)
    known = np.diff(years.totals, axis=1, prepend=0.0).mean(axis=0)[:days]
    mean = np.concatenate([known, np.full(days - len(known), known[-7:].mean())])
    return Weeks(share, lit * mean / share, worked)


class SeasonDays(NamedTuple):
    """How days turn out in a window."""

    weather: Weather
    """As the odds take it."""
    years: YearsOfDays | None
    """As recorded; None where there is no record."""
    weeks: Weeks
    """Expected, as the plan takes it."""


class _History(NamedTuple):
    """The suitable days of a window in recorded years; a :class:`~drawbar_service.model.suitable.SuitableDays`."""

    history: list[float]
    period_days: int | None = None
    mean: float | None = None
    spread: float | None = None
    least: float | None = None
    most: float | None = None
    years: int | None = None
    row: str | None = None


def days_in(farm: FarmAndDays, found: Findings) -> SeasonDays:
    """Return how days turn out in the window of a farm, which starts after its weeks so far.

    Raises
    ------
    Impossible
        If there are faults.
    """
    window, given = farm.window, farm.record
    days = days_of(window)
    if (given is None) == (window.suitable is None):
        found.fault("season-suitable-or-record", "/record")
    if farm.so_far is not None and given is None:
        found.fault("so-far-without-record", "/so_far")
    if farm.alternatives and given is None:
        found.fault("alternatives-need-record", "/alternatives")
    found.stop_at_faults()
    years: YearsOfDays | None = None
    suitable, pointer = window.suitable, "/window/suitable"
    if given is not None:
        pointer = "/record"
        record = record_of(given, found, pointer)
        past = None if farm.so_far is None else past_of(farm.so_far, found, "/so_far")
        found.stop_at_faults()
        assert record is not None
        years = years_of(record, past, window.start, days, found, pointer)
        found.stop_at_faults()
        assert years is not None
        suitable = _History(years.window.tolist())
    assert suitable is not None
    weather = weather_of(suitable, days, found, pointer)
    found.stop_at_faults()
    assert weather is not None
    return SeasonDays(weather, years, weeks_of(farm, float(weather.share), years))


def plan_season(farm: Farm, tasks: list[Task], weeks: Weeks, found: Findings) -> PlannedSeason:
    """Return the plan of a season.

    Parameters
    ----------
    farm : Farm
    tasks : list of Task
        All there are.
    weeks : Weeks
        Time of its days.
    found : Findings
        Receives assumptions, warnings and faults.

    Raises
    ------
    Impossible
        If there are faults.
    """
    crew = crew_of(farm, weeks.share, found)
    if farm.driving.daylight is not None:
        found.use("fao-56")
    pairs = pairings(farm, found)
    lost = blocked(tasks, farm.work, pairs)
    possible = [task for number, task in enumerate(tasks) if number not in lost]
    planned = None
    if possible:
        days = days_of(farm.window)
        program = program_of(farm, possible, pairs, crew, weeks.share, weeks.length[:days], found)
        planned = plan_of(possible, program, weeks.length[days:], found)
        warn_of_used(planned, pairs, farm, found)
    costs = costs_of(farm, planned, pairs, found)
    found.warn("expected-days", "/window")
    return PlannedSeason(tasks, pairs, lost, planned, costs)
