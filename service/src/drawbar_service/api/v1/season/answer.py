"""What is answered: who does what when, whether it gets done, what it costs and what stands in the way."""

import datetime as dt
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger, old_word
from drawbar_service.api.rounding import GREATEST
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.season import words
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.api.v1.season.years import SeasonYears, years_of_plan
from drawbar_service.model.chance import Word
from drawbar_service.model.limits import LimitName, name_of
from drawbar_service.model.pairings import Pairing
from drawbar_service.model.season import days_of
from drawbar_service.model.season_plan import (
    Costs,
    Planned,
    PlannedSeason,
    ResourceKind,
    SeasonDays,
    TaskEnd,
    Use,
    bottleneck,
    days_needed,
    shifts,
    task_ends,
    uses,
)
from drawbar_service.model.season_relax import Constraint, obstacles, shortages
from drawbar_service.model.season_years import LIKELY, Replay, neighbors, replay
from drawbar_service.model.span import ordered
from drawbar_service.quantities import Area, AreaRate, FuelRate, Money, Ratio, Share, Speed, Time, Volume


class PlanRow(msgspec.Struct, frozen=True, kw_only=True):
    """One machine at work on one field on one day."""

    date: Annotated[dt.date, Meta(description="The day; the first one where a row stands for several.")]
    days: Annotated[int, Meta(description="Calendar days the row stands for: 1.")]
    tractor: Annotated[str, Meta(description="The tractor.")]
    implement: Annotated[str, Meta(description="The implement.")]
    operator: Annotated[str, Meta(description="Who drives.")]
    field: Annotated[str, Meta(description="The field.")]
    work: Annotated[str, Meta(description="The work.")]
    hours: Annotated[
        Time, Meta(description="Expected time at work: in a day, workday times the share of suitable days.")
    ]
    area: Annotated[Area, Meta(description="Area done in it.")]
    moving: Annotated[
        Time, Meta(description="Expected time before it on the road and changing the implement, not in `hours`.")
    ]
    beyond_window: Annotated[bool, Meta(description="Whether the day is after the window.")]


class CalendarLine(msgspec.Struct, frozen=True, kw_only=True):
    """What one tractor does on one day."""

    tractor: Annotated[str, Meta(description="The tractor.")]
    operators: Annotated[list[str], Meta(description="Who drives, in turn.")]
    implements: Annotated[list[str], Meta(description="What it pulls, in turn.")]
    works: Annotated[list[str], Meta(description="Its works, in turn.")]
    fields: Annotated[list[str], Meta(description="Fields it works, in turn.")]
    hours: Annotated[Time, Meta(description="Expected time at work.")]
    moving: Annotated[Time, Meta(description="Expected time on the road and changing implements.")]
    area: Annotated[Area, Meta(description="Area done.")]
    finished: Annotated[list[str], Meta(description="Fields whose work is finished that day.")]


class CalendarDay(msgspec.Struct, frozen=True, kw_only=True):
    """What is done on one day."""

    date: Annotated[dt.date, Meta(description="The day.")]
    day: Annotated[str, Meta(description="The day as people write it.", examples=["Mon 6 Sep"])]
    lines: Annotated[list[CalendarLine], Meta(description="Each tractor that works, in the order of the request.")]
    beyond_window: Annotated[bool, Meta(description="Whether the day is after the window.")]


class TaskAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One work on one field."""

    work: Annotated[str, Meta(description="The work.")]
    field: Annotated[str, Meta(description="The field.")]
    area: Annotated[Area, Meta(description="Its area.")]
    done: Annotated[Area, Meta(description="Of it done before the plan begins.")]
    planned: Annotated[Share, Meta(description="Share of it that is done by the end of the plan.")]
    starts: Annotated[dt.date | None, Meta(description="First day of it; null if it is not in the plan.")]
    finishes: Annotated[dt.date | None, Meta(description="Last day of it; null if it is not in the plan.")]
    due: Annotated[dt.date, Meta(description="Last day that is not late.")]
    late: Annotated[Area, Meta(description="Area done after that, or not at all.")]
    days_late: Annotated[
        float, Meta(description="Mean over its area; what is not done counts as done on the day after the plan's last.")
    ]
    odds: Annotated[
        Share | None,
        Meta(
            description="Chance that it is done when due, the plan followed: with a `record` the share of its years. "
            "Null if it is not planned whole."
        ),
    ]
    even: Annotated[
        dt.date | None,
        Meta(description="Day by which it is done in half of the recorded years; null without a record, or if never."),
    ]
    likely: Annotated[
        dt.date | None, Meta(description="Day by which it is done in 4 of 5 recorded years; null as `even`.")
    ]
    beyond_window: Annotated[bool, Meta(description="Whether the plan does some of it after the window, or never.")]


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
            description=(
                "Share of the lateness that an hour more of it a day would save, machines shared freely within a day; "
                "of an operator: of any. Null where nothing is late."
            )
        ),
    ]


class Relaxation(msgspec.Struct, frozen=True, kw_only=True):
    """A constraint in the way, and what relaxing it would bring."""

    constraint: Annotated[Constraint, Meta(description="Kind of constraint.")]
    name: Annotated[str, Meta(description="Which: of a machine, a work or a date.")]
    detail: Annotated[str, Meta(description="What is in the way, and what would help.")]
    late_left: Annotated[
        Ratio | None,
        Meta(description="Lateness left over lateness now, machines shared freely within a day; null if not counted."),
    ] = None


class FinishOdds(msgspec.Struct, frozen=True, kw_only=True):
    """The chance that all of it is done in the window."""

    expected: Annotated[float, Meta(description="Suitable days expected in the window, days off apart.")]
    needed: Annotated[float, Meta(description="Suitable days that the plan takes from the first day to its last.")]
    finish: Annotated[
        Share,
        Meta(
            description="Chance of that many in the window; with a `record`, share of its years in which all is done "
            "in it."
        ),
    ]
    least_needed: Annotated[float, Meta(description="Suitable days that the busiest machine or person is at work.")]
    finish_at_best: Annotated[
        Share, Meta(description="Chance of that many: with every other wait taken away it could be no better.")
    ]


class NeighborAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A machine that a neighbor needs, and when it is back."""

    resource: Annotated[ResourceKind, Meta(description="What it is.")]
    name: Annotated[str, Meta(description="Its name.")]
    back: Annotated[
        dt.date | None, Meta(description="Day from which it is here, on expected days; null if not as far as is known.")
    ]
    likely: Annotated[
        dt.date | None, Meta(description="The same in 4 of 5 recorded years; null without a record, or if it is not.")
    ]
    in_time: Annotated[
        Share | None,
        Meta(description="Share of recorded years in which the neighbor's work is done when due; null if not known."),
    ]


class SeasonCost(msgspec.Struct, frozen=True, kw_only=True):
    """What the plan costs, in the currency of the prices."""

    fuel: Annotated[Volume, Meta(description="Fuel.")]
    for_fuel: Annotated[Money | None, Meta(description="For fuel; null without a price of fuel.")]
    for_labor: Annotated[Money, Meta(description="For operators.")]
    for_labour: Annotated[Money, old_word("for_labor")]
    for_machines: Annotated[Money, Meta(description="For tractors and implements by the hour.")]
    total: Annotated[Money, Meta(description="Sum of what is priced.")]
    lost_by_lateness: Annotated[Money | None, Meta(description="Lost on top; null without `daily_loss`.")]


class Search(msgspec.Struct, frozen=True, kw_only=True):
    """How good the plan is, as a plan."""

    proven: Annotated[bool, Meta(description="Whether no plan is better by more than a thousandth.")]
    lateness_gap: Annotated[Ratio, Meta(description="How far lateness may be above the least, over it.")]
    cost_gap: Annotated[Ratio, Meta(description="How far cost may be above the least at that lateness, over it.")]
    lateness_gap_days: Annotated[float, Meta(description="The same in days late, mean over all area.")]
    period_days: Annotated[int, Meta(description="Calendar days in a period of the plan: 1.")]
    choices: Annotated[int, Meta(description="Ways to do a task that were weighed.")]


class PairingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor on an implement for some work, on fields that are alike."""

    work: Annotated[str, Meta(description="The work.")]
    tractor: Annotated[str, Meta(description="The tractor.")]
    implement: Annotated[str, Meta(description="The implement.")]
    fields: Annotated[list[str], Meta(description="Fields on which soil, slope and efficiency are the same.")]
    word: Annotated[Word, Meta(description="The verdict.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept; pairings that do not fit are left out.")]
    speed: Annotated[Speed, Meta(description="Ground speed: the one asked for, or the greatest that fits."), GREATEST]
    capacity: Annotated[AreaRate, Meta(description="Area an hour.")]
    efficiency: Annotated[Share, Meta(description="Field efficiency.")]
    fuel: Annotated[FuelRate | None, Meta(description="Fuel at work; null where the power does not suffice.")]
    mean_fuel: Annotated[
        FuelRate | None,
        Meta(description="Fuel over all time in the field, turns and stops included; null as the fuel at work is."),
    ]
    limited_by: Annotated[LimitName, Meta(description="The limit exceeded most, or nearest to it.")]
    why: Annotated[str, Meta(description="The verdict of the match in words.")]


class SeasonVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in short."""

    in_time: Annotated[bool, Meta(description="Whether all work is done when due, on expected days.")]
    finishes: Annotated[dt.date | None, Meta(description="Last day of the plan; null if some work is not in it.")]
    days_late: Annotated[float, Meta(description="Mean over all area worked.")]
    beyond_window: Annotated[
        bool, Meta(description="Whether some work that can be planned is done after the window, or left undone.")
    ]
    bottleneck: Annotated[str, Meta(description="The tractor, implement or operator that decides; empty if none.")]
    summary: Annotated[str, Meta(description="The plan in words.")]


class SeasonAnswer(Answer, frozen=True, kw_only=True):
    """Who does what when, and whether it gets done."""

    verdict: Annotated[SeasonVerdict, Meta(description="The plan in short.")]
    plan: Annotated[list[PlanRow], Meta(description="Day by day; days on which nothing is done are left out.")]
    calendar: Annotated[
        list[CalendarDay], Meta(description="The plan as a calendar: a day, and a line for each tractor.")
    ]
    tasks: Annotated[list[TaskAnswer], Meta(description="Each work on each field.")]
    resources: Annotated[
        list[ResourceAnswer], Meta(description="Tractors, implements and operators, and what is spare.")
    ]
    odds: Annotated[FinishOdds | None, Meta(description="Chance to finish; null if some work is not in the plan.")]
    cost: Annotated[SeasonCost, Meta(description="What it costs.")]
    neighbors: Annotated[list[NeighborAnswer], Meta(description="Machines with a `neighbor`, and when they are back.")]
    relax: Annotated[list[Relaxation], Meta(description="What stands in the way where not all is done in time.")]
    pairings: Annotated[list[PairingAnswer], Meta(description="Every tractor on every implement that was considered.")]
    search: Annotated[Search, Meta(description="How good the plan is, as a plan.")]
    years: Annotated[
        SeasonYears | None, Meta(description="The plan in every recorded year; null without a `record` or a plan.")
    ]
    about: AboutField


def answer_of(request: SeasonRequest, season: PlannedSeason, days: SeasonDays, ledger: Ledger) -> SeasonAnswer:
    """Return the answer for a planned season, with how `days` turn out in its window."""
    planned, window = season.planned, request.window
    resources = uses(planned, window) if planned is not None else []
    replayed = replay(request, planned, days.years) if planned is not None and days.years is not None else None
    rows = (
        _plan(request, planned) if planned is not None and (ledger.asked("/plan") or ledger.asked("/calendar")) else []
    )
    years = None
    if planned is not None and days.years is not None and replayed is not None and ledger.asked("/years"):
        years = years_of_plan(request, season, planned, days, days.years, replayed, ledger)
    return SeasonAnswer(
        verdict=verdict(request, season, days, ledger, replayed),
        plan=rows,
        calendar=_calendar(request, rows, season) if ledger.asked("/calendar") else [],
        tasks=[_task(request, end, days, planned, replayed) for end in task_ends(season.tasks, planned, window)],
        resources=[_resource(request, use) for use in resources],
        odds=_odds(season, days, days_of(window), replayed),
        cost=_cost(season.costs),
        neighbors=_neighbors(request, planned, days) if planned is not None else [],
        relax=_relax(request, season, ledger) if ledger.asked("/relax") else [],
        pairings=[_pairing(one, request, ledger) for one in season.pairs] if ledger.asked("/pairings") else [],
        search=_search(planned),
        years=years,
        about=ledger.about(),
    )


def _plan(request: SeasonRequest, planned: Planned) -> list[PlanRow]:
    fleet, operators = request.fleet, operator_names(request)
    rows: list[PlanRow] = []
    for shift in shifts(planned):
        task = planned.tasks[shift.task]
        rows.append(
            PlanRow(
                date=words.day(request, shift.day),
                days=1,
                tractor=fleet.tractors[shift.tractor].name,
                implement=fleet.implements[shift.implement].name,
                operator=operators[shift.operator],
                field=request.fields[task.field].name,
                work=request.work[task.work].name,
                hours=Time.of(shift.time),
                area=Area.of(shift.area),
                moving=Time.of(shift.moving),
                beyond_window=shift.day >= planned.window_days,
            )
        )
    return rows


def _calendar(request: SeasonRequest, rows: Sequence[PlanRow], season: PlannedSeason) -> list[CalendarDay]:
    """Return the rows of a plan by day, a line for each tractor."""
    last = {(row.work, row.field): row.date for row in rows}
    whole = {
        (request.work[end.task.work].name, request.fields[end.task.field].name)
        for end in task_ends(season.tasks, season.planned, request.window)
        if end.whole
    }
    days: list[CalendarDay] = []
    for date, of_day in groupby(rows, key=lambda row: row.date):
        lines: list[CalendarLine] = []
        for tractor, group in groupby(of_day, key=lambda row: row.tractor):
            mine = list(group)
            done = ((row.work, row.field) for row in mine)
            lines.append(
                CalendarLine(
                    tractor=tractor,
                    operators=_in_turn(row.operator for row in mine),
                    implements=_in_turn(row.implement for row in mine),
                    works=_in_turn(row.work for row in mine),
                    fields=_in_turn(row.field for row in mine),
                    hours=Time.of(sum(float(row.hours) for row in mine)),
                    moving=Time.of(sum(float(row.moving) for row in mine)),
                    area=Area.of(sum(float(row.area) for row in mine)),
                    finished=_in_turn(one[1] for one in done if one in whole and last[one] == date),
                )
            )
        days.append(
            CalendarDay(date=date, day=words.written(date), lines=lines, beyond_window=date > request.window.end)
        )
    return days


def _neighbors(request: SeasonRequest, planned: Planned, days: SeasonDays) -> list[NeighborAnswer]:
    def date(day: int | None) -> dt.date | None:
        return None if day is None else words.day(request, day)

    return [
        NeighborAnswer(
            resource=one.kind,
            name=one.name,
            back=date(one.expected),
            likely=date(one.day_of(LIKELY)),
            in_time=None if one.in_time is None else Share.of(one.in_time),
        )
        for one in neighbors(request, planned, days.years)
    ]


def _in_turn(names: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(names))


def operator_names(request: SeasonRequest) -> list[str]:
    """Return the names of the operators, made up where the request names none."""
    if request.fleet.operators:
        return [one.name for one in request.fleet.operators]
    return [f"operator {number + 1}" for number in range(len(request.fleet.tractors))]


def _task(
    request: SeasonRequest, end: TaskEnd, days: SeasonDays, planned: Planned | None, replayed: Replay | None
) -> TaskAnswer:
    task, field = end.task, request.fields[end.task.field]
    odds = even = likely = None
    if replayed is not None and planned is not None and task in planned.tasks:
        place = planned.tasks.index(task)
        odds = Share.of(float(replayed.in_time[:, place].mean())) if end.whole else None
        even, likely = (replayed.day_of(place, share) for share in (0.5, LIKELY))
    elif end.whole and end.last is not None:
        # Of a day that has passed no suitable day is left.
        odds = (
            Share.spanning(days.weather.chance(days.weeks.until(end.last), days.weeks.worked_until(task.due)))
            if task.due >= 0
            else Share.of(0.0)
        )
    return TaskAnswer(
        work=request.work[task.work].name,
        field=field.name,
        area=field.area,
        done=Area.of(field.area * task.done),
        planned=Share.of(end.planned),
        starts=words.day(request, end.first) if end.first is not None else None,
        finishes=words.day(request, end.last) if end.last is not None else None,
        due=words.day(request, task.due),
        late=Area.of(field.area * end.late),
        days_late=end.days_late,
        odds=odds,
        even=words.day(request, even) if even is not None else None,
        likely=words.day(request, likely) if likely is not None else None,
        beyond_window=not end.whole or end.last is None or words.day(request, end.last) > request.window.end,
    )


def _resource(request: SeasonRequest, use: Use) -> ResourceAnswer:
    return ResourceAnswer(
        resource=use.kind,
        name=_name_of(request, use),
        used=Time.of(use.used),
        spare=Time.of(max(use.available - use.used, 0.0)),
        use=Share.of(use.share),
        extra_hour_saves=Ratio.of(use.hour_saves) if use.hour_saves is not None else None,
    )


def _name_of(request: SeasonRequest, use: Use) -> str:
    if use.kind == "operator":
        return operator_names(request)[use.number]
    machines = request.fleet.tractors if use.kind == "tractor" else request.fleet.implements
    return machines[use.number].name


def _odds(season: PlannedSeason, expected: SeasonDays, days: int, replayed: Replay | None = None) -> FinishOdds | None:
    weather, share = expected.weather, expected.weeks.share
    needed = days_needed(season.planned, share) if season.planned is not None and not season.lost else None
    if needed is None:
        return None
    worked = expected.weeks.worked_until(days - 1)
    return FinishOdds(
        expected=share * worked,
        needed=needed.by_plan,
        finish=(
            Share.spanning(weather.chance(needed.by_plan, worked))
            if replayed is None
            else Share.of(replayed.done_by(days - 1))
        ),
        least_needed=needed.at_least,
        finish_at_best=Share.spanning(weather.chance(needed.at_least, worked)),
    )


def _cost(costs: Costs) -> SeasonCost:
    labor = Money.of(costs.for_labor)
    return SeasonCost(
        fuel=Volume.of(costs.fuel),
        for_fuel=Money.of(costs.for_fuel) if costs.for_fuel is not None else None,
        for_labor=labor,
        for_labour=labor,
        for_machines=Money.of(costs.for_machines),
        total=Money.of(costs.total),
        lost_by_lateness=Money.of(costs.lost) if costs.lost is not None else None,
    )


def _relax(request: SeasonRequest, season: PlannedSeason, ledger: Ledger) -> list[Relaxation]:
    found = obstacles(request, season.tasks, season.lost, season.pairs)
    if season.planned is not None:
        found += shortages(request, season.planned, ledger)
    return [
        Relaxation(
            constraint=one.constraint,
            name=one.name,
            detail=ledger.sentence(lambda one=one: words.obstacle(request, one, ledger)),
            late_left=Ratio.of(one.late_left) if one.late_left is not None else None,
        )
        for one in found
    ]


def _pairing(pairing: Pairing, request: SeasonRequest, ledger: Ledger) -> PairingAnswer:
    match = pairing.match
    return PairingAnswer(
        work=request.work[pairing.work].name,
        tractor=request.fleet.tractors[pairing.tractor].name,
        implement=request.fleet.implements[pairing.implement].name,
        fields=[request.fields[place].name for place in pairing.fields],
        word=match_words.word_of(pairing.match.chance),
        fits=pairing.fits,
        speed=Speed.of(match.worked.speed),
        capacity=AreaRate.of(pairing.area_rate),
        efficiency=Share.spanning(match.capacity.efficiency),
        fuel=FuelRate.spanning(ordered(match.fuel.rate)) if match.fuel.enough else None,
        mean_fuel=FuelRate.spanning(match.fuel.mean_rate) if match.fuel.enough else None,
        limited_by=name_of(match.binds),
        why=ledger.sentence(lambda: match_words.summary(match, ledger)),
    )


def _search(planned: Planned | None) -> Search:
    if planned is None:
        return Search(
            proven=True, lateness_gap=Ratio(0.0), lateness_gap_days=0.0, cost_gap=Ratio(0.0), period_days=1, choices=0
        )
    made = planned.plan
    return Search(
        proven=planned.proven,
        lateness_gap=Ratio.of(made.lateness_gap),
        lateness_gap_days=planned.lateness_gap_days,
        cost_gap=Ratio.of(made.cost_gap),
        period_days=1,
        choices=len(planned.program.pairing_of),
    )


def verdict(
    request: SeasonRequest, season: PlannedSeason, days: SeasonDays, ledger: Ledger, replayed: Replay | None = None
) -> SeasonVerdict:
    """Return a planned season in short."""
    planned, window = season.planned, request.window
    if planned is None:
        return SeasonVerdict(
            in_time=False,
            finishes=None,
            days_late=0.0,
            beyond_window=False,
            bottleneck="",
            summary=words.NOTHING_CAN_BE_PLANNED,
        )
    whole, last = not season.lost and not planned.ends.undone.any(), planned.ends.last_of_all
    finishes = words.day(request, last) if whole and last is not None else None
    tight = bottleneck(uses(planned, window))
    name, odds = _name_of(request, tight), _odds(season, days, days_of(window), replayed)
    chance = odds.finish if odds is not None else None
    return SeasonVerdict(
        in_time=whole and not planned.late,
        finishes=finishes,
        days_late=planned.mean_days_late,
        beyond_window=bool(planned.ends.undone.any()) or (last is not None and last >= days_of(window)),
        bottleneck=name,
        summary=ledger.sentence(lambda: words.summary(request, season, planned, finishes, tight, name, chance, ledger)),
    )
