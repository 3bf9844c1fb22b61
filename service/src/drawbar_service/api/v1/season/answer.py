"""The plan of a season, as it is answered."""

import datetime as dt
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer
from drawbar_service.api.v1.season.pairings import PairingAnswer
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.season import Crew, Machines, Plan, Relaxed, Season, days_late, days_there
from drawbar_service.quantities import Area, Money, Ratio, Share, Time, Volume

ResourceKind: TypeAlias = Literal["tractor", "implement", "operator"]
Constraint: TypeAlias = Literal[
    "pairing", "order", "tractor", "implement", "operator", "availability", "workday", "window"
]

_SECOND = 1.0
"""Time [s] in a period below which a row of the plan is rounding."""


class PlanRow(msgspec.Struct, frozen=True, kw_only=True):
    """One machine at work on one field on one day."""

    date: Annotated[dt.date, Meta(description="The day; the first one where a row stands for several.")]
    days: Annotated[int, Meta(description="Calendar days the row stands for: 1 unless the season is long.")]
    tractor: Annotated[str, Meta(description="The tractor.")]
    implement: Annotated[str, Meta(description="The implement.")]
    operator: Annotated[str, Meta(description="Who drives.")]
    field: Annotated[str, Meta(description="The field.")]
    work: Annotated[str, Meta(description="The work.")]
    hours: Annotated[
        Time, Meta(description="Expected time at work: in a day, workday times the share of suitable days.")
    ]
    area: Annotated[Area, Meta(description="Area done in it.")]


class TaskAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One work on one field."""

    work: Annotated[str, Meta(description="The work.")]
    field: Annotated[str, Meta(description="The field.")]
    area: Annotated[Area, Meta(description="Its area.")]
    planned: Annotated[Share, Meta(description="Share of it that the plan does.")]
    starts: Annotated[dt.date | None, Meta(description="First day of it; null if it is not in the plan.")]
    finishes: Annotated[dt.date | None, Meta(description="Last day of it; null if it is not in the plan.")]
    due: Annotated[dt.date, Meta(description="Last day that is not late.")]
    late: Annotated[Area, Meta(description="Area done after that, or not at all.")]
    days_late: Annotated[
        float, Meta(description="Mean over its area; what is not done counts as done on the day after the plan's last.")
    ]
    odds: Annotated[
        Share | None,
        Meta(description="Chance that it is done when due, the plan followed; null if it is not planned whole."),
    ]


class ResourceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor, an implement or an operator in the window."""

    resource: Annotated[ResourceKind, Meta(description="What it is.")]
    name: Annotated[str, Meta(description="Its name.")]
    used: Annotated[Time, Meta(description="Time at work.")]
    spare: Annotated[Time, Meta(description="Time left.")]
    use: Annotated[Share, Meta(description="Time at work over all there is.")]
    extra_hour_saves: Annotated[
        Ratio | None,
        Meta(
            description="Share of the lateness that an hour more of it in every suitable day would save, were machines "
            "shared freely within a day; of an operator: of any. Null where nothing is late."
        ),
    ]


class Relaxation(msgspec.Struct, frozen=True, kw_only=True):
    """A constraint in the way, and what relaxing it would bring."""

    constraint: Annotated[Constraint, Meta(description="Kind of constraint.")]
    name: Annotated[str, Meta(description="Which: of a machine, a work or a date.")]
    detail: Annotated[str, Meta(description="What is in the way, and what would help.")]
    late_left: Annotated[
        Ratio | None,
        Meta(description="Lateness left over lateness now, machines shared freely within a day; null if not reckoned."),
    ] = None


class FinishOdds(msgspec.Struct, frozen=True, kw_only=True):
    """The chance that all of it is done in the window."""

    expected: Annotated[float, Meta(description="Suitable days expected in the window.")]
    needed: Annotated[float, Meta(description="Suitable days that the plan takes from the first day to its last.")]
    finish: Annotated[Share, Meta(description="Chance of that many in the window.")]
    least_needed: Annotated[float, Meta(description="Suitable days that the busiest machine or person is at work.")]
    finish_at_best: Annotated[
        Share, Meta(description="Chance of that many: with every other wait taken away it could be no better.")
    ]


class SeasonCost(msgspec.Struct, frozen=True, kw_only=True):
    """What the plan costs, in the currency of the prices."""

    fuel: Annotated[Volume, Meta(description="Fuel.")]
    for_fuel: Annotated[Money | None, Meta(description="For fuel; null without a price of fuel.")]
    for_labour: Annotated[Money, Meta(description="For operators.")]
    for_machines: Annotated[Money, Meta(description="For tractors and implements by the hour.")]
    total: Annotated[Money, Meta(description="Sum of what is priced.")]
    lost_by_lateness: Annotated[Money | None, Meta(description="Lost on top; null without `daily_loss`.")]


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How good the plan is, as a plan."""

    proven: Annotated[bool, Meta(description="Whether no plan is better by more than a thousandth.")]
    lateness_gap: Annotated[Ratio, Meta(description="How far lateness may be above the least, over it.")]
    cost_gap: Annotated[Ratio, Meta(description="How far cost may be above the least at that lateness, over it.")]
    period_days: Annotated[int, Meta(description="Calendar days in a period of the plan; more than 1 is coarser.")]
    choices: Annotated[int, Meta(description="Ways to do a task that were weighed.")]


class SeasonVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in short."""

    in_time: Annotated[bool, Meta(description="Whether all work is done when due, on expected days.")]
    finishes: Annotated[dt.date | None, Meta(description="Last day of the plan; null if some work is not in it.")]
    days_late: Annotated[float, Meta(description="Mean over all area worked.")]
    bottleneck: Annotated[str, Meta(description="The tractor, implement or operator that decides; empty if none.")]
    summary: Annotated[str, Meta(description="The plan in words.")]


class SeasonAnswer(Answer, frozen=True, kw_only=True):
    """Who does what when, and whether it gets done."""

    verdict: Annotated[SeasonVerdict, Meta(description="The plan in short.")]
    plan: Annotated[list[PlanRow], Meta(description="Day by day; days on which nothing is done are left out.")]
    tasks: Annotated[list[TaskAnswer], Meta(description="Each work on each field.")]
    resources: Annotated[
        list[ResourceAnswer], Meta(description="Tractors, implements and operators, and what is spare.")
    ]
    odds: Annotated[FinishOdds | None, Meta(description="Chance to finish; null if some work is not in the plan.")]
    cost: Annotated[SeasonCost, Meta(description="What it costs.")]
    relax: Annotated[list[Relaxation], Meta(description="What stands in the way where not all is done in time.")]
    pairings: Annotated[list[PairingAnswer], Meta(description="Every tractor on every implement that was considered.")]
    search: Annotated[Search, Meta(description="How good the plan is, as a plan.")]
    about: AboutField


class Named(NamedTuple):
    """Names of what the engine knows by number."""

    tractors: list[str]
    implements: list[str]
    operators: list[str]
    tasks: list[tuple[str, str]]
    """Work and field."""
    start: dt.date

    def day(self, number: int) -> dt.date:
        """Return the date of a day counted from 0."""
        return self.start + dt.timedelta(days=number)


def plan_rows(season: Season, plan: Plan, named: Named) -> list[PlanRow]:
    """Return the plan day by day, every hour with its operator."""
    choices = season.choices
    rows: list[PlanRow] = []
    for period in range(season.periods):
        left: list[float] = plan.crew[:, period].tolist()
        busy = [one for one in range(len(choices.task)) if plan.time[one, period] >= _SECOND]
        for one in sorted(busy, key=lambda one: (choices.tractor[one], choices.implement[one], choices.task[one])):
            time = float(plan.time[one, period])
            while time >= _SECOND:
                # Whoever has just enough time left; if no one has, whoever has most, and the rest goes to another.
                enough = [who for who, hours in enumerate(left) if hours >= time - _SECOND]
                who = min(enough, key=left.__getitem__) if enough else max(range(len(left)), key=left.__getitem__)
                # What rounding leaves over stays with the last.
                part = time if enough or left[who] < _SECOND else min(time, left[who])
                left[who] -= part
                time -= part
                work, field = named.tasks[int(choices.task[one])]
                rows.append(
                    PlanRow(
                        date=named.day(period * season.step),
                        days=season.step,
                        tractor=named.tractors[int(choices.tractor[one])],
                        implement=named.implements[int(choices.implement[one])],
                        operator=named.operators[who],
                        field=field,
                        work=work,
                        hours=Time(part),
                        area=Area(part * float(choices.rate[one])),
                    )
                )
    return rows


class Outcome(NamedTuple):
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


def outcome(season: Season, plan: Plan) -> Outcome:
    """Return when each task of a plan is done, and how late."""
    late = days_late(season)
    done = plan.done * (plan.done * season.tasks.area[:, np.newaxis] > 1e-6 * season.tasks.area[:, np.newaxis])
    undone = plan.undone
    first: list[int | None] = []
    last: list[int | None] = []
    for task in range(len(season.tasks.area)):
        periods = np.flatnonzero(done[task])
        first.append(int(periods[0]) * season.step if len(periods) else None)
        last.append((int(periods[-1]) + 1) * season.step - 1 if len(periods) else None)
    return Outcome(
        first,
        last,
        np.minimum((done * (late[:, :-1] > 0.0)).sum(axis=1) + undone, 1.0),
        (done * late[:, :-1]).sum(axis=1) + undone * late[:, -1],
        undone,
    )


class Use(NamedTuple):
    """A resource in the window."""

    kind: ResourceKind
    number: int
    used: float
    """[s]"""
    available: float
    """[s]"""
    saves: float
    """Lateness saved over the share more of it [d]"""

    @property
    def share(self) -> float:
        """Time used over time available [1]."""
        return min(self.used / self.available, 1.0) if self.available > 0.0 else 0.0


def uses(season: Season, plan: Plan, window_periods: int, worth: Relaxed | None) -> list[Use]:
    """Return how much each resource is used in the first periods of a plan."""
    found: list[Use] = []
    time = plan.time[:, :window_periods].sum(axis=1)
    sides: tuple[tuple[ResourceKind, FloatArray, Machines, FloatArray | None], ...] = (
        ("tractor", season.choices.tractor.astype(np.float64), season.tractors, worth and worth.tractors),
        ("implement", season.choices.implement.astype(np.float64), season.implements, worth and worth.implements),
    )
    for kind, of_choice, machines, saves in sides:
        days = days_there(machines, season.step, window_periods).sum(axis=1)
        for number in range(len(days)):
            used = float(time[of_choice == number].sum())
            saved = max(float(saves[number]), 0.0) + 0.0 if saves is not None else 0.0
            found.append(Use(kind, number, used, float(days[number]) * season.day_time, saved))
    crew: Crew = season.crew
    days = window_periods * season.step
    found += [
        Use(
            "operator",
            number,
            float(plan.crew[number, :window_periods].sum()),
            float(crew.time[number]) * days,
            max(worth.crew, 0.0) if worth is not None else 0.0,
        )
        for number in range(len(crew.time))
    ]
    return found
