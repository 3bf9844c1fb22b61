"""POST /v1/season: which tractor on which implement on which field on which day, and whether it gets done."""

import datetime as dt
from typing import Annotated, NamedTuple

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation, a_long_time
from drawbar_service.api.shared.fleet import Fleet, Prices, SeasonField, Window, Work
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.suitable import Weather, weather_of
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.season.answer import (
    FinishOdds,
    Named,
    Outcome,
    ResourceAnswer,
    Search,
    SeasonAnswer,
    SeasonCost,
    SeasonVerdict,
    TaskAnswer,
    Use,
    outcome,
    plan_rows,
    uses,
)
from drawbar_service.api.v1.season.pairings import Pairing, pairing_answer, pairings
from drawbar_service.api.v1.season.relax import crew_of, obstacles, shortages
from drawbar_service.api.v1.season.tasks import Prospect, Task, blocked, check, days_of, longer, prospect
from drawbar_service.engine.season import Plan, Relaxed
from drawbar_service.engine.season_plan import plan, relaxed
from drawbar_service.quantities import Area, Money, Ratio, Share, Time, Volume

SEARCH_SECONDS = 7.0
"""Time to search for a plan [s]; see the engine for what usually ends it sooner."""
LEAST_TAIL, MOST_TAIL = 14, 60
"""Days after the window [d] to which late work can go: as many as the window has, within these."""
PROVEN = 1e-3
"""Gap [1] below which a plan is called proven."""

FieldList = Annotated[list[SeasonField], Meta(min_length=1, max_length=40)]
WorkList = Annotated[list[Work], Meta(min_length=1, max_length=20)]


class SeasonRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A fleet, fields, work and the days for it."""

    fleet: Annotated[Fleet, Meta(description="Machines and people.")]
    fields: Annotated[FieldList, Meta(description="The fields.")]
    work: Annotated[WorkList, Meta(description="What is to be done; each work on each of its fields is a task.")]
    window: Annotated[Window, Meta(description="The days there are.")]
    prices: Annotated[
        Prices, Meta(description="What things cost. Where nothing has a price, the plan that burns least is taken.")
    ] = msgspec.field(default_factory=Prices)


class _Planned(NamedTuple):
    """A plan and what it was made from."""

    tasks: list[Task]
    prospect: Prospect
    plan: Plan
    worth: Relaxed | None
    """None where nothing is late."""
    ends: Outcome
    named: Named
    window_periods: int

    @property
    def late(self) -> bool:
        """Whether some work is late, beyond rounding."""
        return bool((self.ends.days_late > 1e-3).any())


def compute(request: SeasonRequest, ledger: Ledger) -> SeasonAnswer:
    """Answer a season request."""
    fleet, fields, works, window = request.fleet, request.fields, request.work, request.window
    tasks = check(fleet, fields, works, window, ledger)
    weather = weather_of(window.suitable, days_of(window), ledger, "/window/suitable")
    ledger.stop_at_faults()
    assert weather is not None
    suitable = float(weather.fit.share)
    names, crew = crew_of(fleet, request.prices, window, suitable, ledger)
    found = pairings(fleet, fields, works, ledger)
    lost = blocked(tasks, works, found)
    open_tasks = [task for number, task in enumerate(tasks) if number not in lost]
    relaxations = obstacles(tasks, lost, found, fleet, fields, works, ledger)
    planned = None
    if open_tasks:
        ahead = prospect(fleet, fields, works, window, request.prices, open_tasks, found, crew, suitable, ledger)
        named = Named(
            [one.name for one in fleet.tractors],
            [one.name for one in fleet.implements],
            names,
            [(works[task.work].name, fields[task.field].name) for task in open_tasks],
            window.start,
        )
        planned = _planned(open_tasks, ahead, named, window)
        _warn_of_used(planned, found, fleet, ledger)
        relaxations += shortages(planned.prospect.season, planned.worth, planned.ends, named, window, ledger)
    resources = _resources(planned, window) if planned is not None else []
    cost = _cost(request, planned, found, ledger)
    odds = _finish_odds(planned, weather, days_of(window)) if planned is not None and not lost else None
    verdict = _verdict(request, tasks, lost, planned, resources, odds, cost, ledger)
    ledger.warn(
        "rough-estimate",
        "/window/suitable",
        "Every calendar day counts as its expected share of a suitable one. The plan is an order of work, not a diary: "
        "follow it on the days that turn out fit.",
    )
    return SeasonAnswer(
        verdict=verdict,
        plan=plan_rows(planned.prospect.season, planned.plan, planned.named) if planned is not None else [],
        tasks=_tasks(request, tasks, planned, weather),
        resources=resources,
        odds=odds,
        cost=cost,
        relax=relaxations,
        pairings=[pairing_answer(one, fleet, fields, works) for one in found],
        search=_search(planned),
        about=ledger.about(),
    )


def _planned(tasks: list[Task], ahead: Prospect, named: Named, window: Window) -> _Planned:
    """Plan within the window, and beyond it where that does not hold all work.

    Work left undone in the first plan counts as late as if done the day after, which is the least it can be. So
    where nothing is left undone no plan that reaches beyond the window is better, and the second is not needed.
    """
    days = days_of(window)
    season = ahead.season
    bound = relaxed(season)
    made = plan(season, SEARCH_SECONDS) if bound.undone <= 1e-6 else None
    if made is None or made.undone.any():
        season = longer(season, min(max(days, LEAST_TAIL), MOST_TAIL))
        made = plan(season, SEARCH_SECONDS)
    ends = outcome(season, made)
    late = bool((ends.days_late > 1e-3).any())
    worth = relaxed(season) if late else None
    return _Planned(tasks, ahead._replace(season=season), made, worth, ends, named, ahead.season.periods)


def _warn_of_used(planned: _Planned, found: list[Pairing], fleet: Fleet, ledger: Ledger) -> None:
    """Pass on what to beware of in the pairings that the plan uses, once for each place."""
    told: set[tuple[str, str]] = set()
    busy = np.flatnonzero(planned.plan.time.sum(axis=1) > 0.0)
    for number in dict.fromkeys(planned.prospect.pairing_of[one] for one in busy):
        pairing = found[number]
        for warning in pairing.warnings:
            if (warning.code, warning.pointer) in told:
                continue
            told.add((warning.code, warning.pointer))
            pair = f"{fleet.implements[pairing.implement].name} behind {fleet.tractors[pairing.tractor].name}"
            ledger.warn(warning.code, warning.pointer, f"{warning.detail} ({pair})")


def _tasks(request: SeasonRequest, tasks: list[Task], planned: _Planned | None, weather: Weather) -> list[TaskAnswer]:
    places = {task: place for place, task in enumerate(planned.tasks)} if planned is not None else {}
    out: list[TaskAnswer] = []
    for task in tasks:
        area = float(request.fields[task.field].area)
        start = request.window.start
        first = last = None
        share, late = 0.0, 1.0
        odds: Share | None = None
        mean = float(days_of(request.window) - task.due)
        if planned is not None and task in places:
            place, ends = places[task], planned.ends
            first, last = ends.first[place], ends.last[place]
            share, late = 1.0 - float(ends.undone[place]), float(ends.late[place])
            mean = float(ends.days_late[place])
            if last is not None and not ends.undone[place]:
                odds = Share.spanning(weather.chance(float(weather.fit.share) * (last + 1), task.due + 1))
        out.append(
            TaskAnswer(
                work=request.work[task.work].name,
                field=request.fields[task.field].name,
                area=Area(area),
                planned=Share(share),
                starts=start + dt.timedelta(days=first) if first is not None else None,
                finishes=start + dt.timedelta(days=last) if last is not None else None,
                due=start + dt.timedelta(days=task.due),
                late=Area(area * late),
                days_late=mean,
                odds=odds,
            )
        )
    return out


def _uses(planned: _Planned) -> list[Use]:
    return uses(planned.prospect.season, planned.plan, planned.window_periods, planned.worth)


def _resources(planned: _Planned, window: Window) -> list[ResourceAnswer]:
    named = planned.named
    names = {"tractor": named.tractors, "implement": named.implements, "operator": named.operators}
    lateness = planned.plan.lateness
    out: list[ResourceAnswer] = []
    for use in _uses(planned):
        saves = None
        if planned.worth is not None and lateness > 0.0:
            saves = Ratio(min(use.saves / lateness * 3600.0 / float(window.workday), 1.0))
        out.append(
            ResourceAnswer(
                resource=use.kind,
                name=names[use.kind][use.number],
                used=Time(use.used),
                spare=Time(max(use.available - use.used, 0.0)),
                use=Share(use.share),
                extra_hour_saves=saves,
            )
        )
    return out


def _bottleneck(resources: list[ResourceAnswer]) -> ResourceAnswer | None:
    """Return what decides: where work is late, what an hour more of saves most; else what is busiest."""
    return max(resources, key=lambda one: (float(one.extra_hour_saves or 0.0), float(one.use)), default=None)


def _cost(request: SeasonRequest, planned: _Planned | None, found: list[Pairing], ledger: Ledger) -> SeasonCost:
    fuel = machines = labour = lost = 0.0
    losses = any(field.daily_loss is not None for field in request.fields)
    if planned is not None:
        season, made = planned.prospect.season, planned.plan
        for number, time in zip(planned.prospect.pairing_of, made.time.sum(axis=1), strict=True):
            one = found[number]
            fuel += float(time) * float(one.answer.fuel.rate if one.answer.fuel is not None else 0.0)
            owned = (request.fleet.tractors[one.tractor], request.fleet.implements[one.implement])
            machines += float(time) * sum(float(each.hourly_cost or 0.0) for each in owned)
        labour = float(made.crew.sum(axis=1) @ season.crew.cost)
        each = [float(request.fields[task.field].daily_loss or 0.0) for task in planned.tasks]
        lost = float(np.sum(planned.ends.days_late * season.tasks.area * np.array(each)))
    price = request.prices.fuel
    if price is None and (machines or labour):
        ledger.warn("rough-estimate", "/prices/fuel", "Without a price of fuel, fuel counts for nothing in the cost.")
    for_fuel = fuel * float(price) if price is not None else 0.0
    return SeasonCost(
        fuel=Volume(fuel),
        for_fuel=Money(for_fuel) if price is not None else None,
        for_labour=Money(labour),
        for_machines=Money(machines),
        total=Money(for_fuel + labour + machines),
        lost_by_lateness=Money(lost) if losses else None,
    )


def _finish_odds(planned: _Planned, weather: Weather, days: int) -> FinishOdds | None:
    if planned.ends.undone.any():
        return None
    last = max(day for day in planned.ends.last if day is not None)
    suitable = float(weather.fit.share)
    needed = suitable * (last + 1)
    season = planned.prospect.season
    # Whatever is done beyond the window counts too: this is about all of the work.
    everything = uses(season, planned.plan, season.periods, None)
    day = season.day_time / suitable if suitable > 0.0 else 1.0
    busiest = max(use.used for use in everything if use.kind != "operator") / day
    crew = planned.plan.crew.sum() / (season.crew.time.sum() / suitable) if season.crew.time.any() else 0.0
    least = min(max(busiest, float(crew)), needed)
    return FinishOdds(
        expected=suitable * days,
        needed=needed,
        finish=Share.spanning(weather.chance(needed, days)),
        least_needed=least,
        finish_at_best=Share.spanning(weather.chance(least, days)),
    )


def _search(planned: _Planned | None) -> Search:
    if planned is None:
        return Search(proven=True, lateness_gap=Ratio(0.0), cost_gap=Ratio(0.0), period_days=1, choices=0)
    made = planned.plan
    return Search(
        proven=max(made.lateness_gap, made.cost_gap) <= PROVEN,
        lateness_gap=Ratio(made.lateness_gap),
        cost_gap=Ratio(made.cost_gap),
        period_days=planned.prospect.season.step,
        choices=len(planned.prospect.pairing_of),
    )


def _verdict(
    request: SeasonRequest,
    tasks: list[Task],
    lost: dict[int, str | None],
    planned: _Planned | None,
    resources: list[ResourceAnswer],
    odds: FinishOdds | None,
    cost: SeasonCost,
    ledger: Ledger,
) -> SeasonVerdict:
    if planned is None:
        return SeasonVerdict(
            in_time=False,
            finishes=None,
            days_late=0.0,
            bottleneck="",
            summary="No work can be planned: nothing in the fleet fits. See `relax`.",
        )
    season, ends = planned.prospect.season, planned.ends
    whole = not lost and not ends.undone.any()
    last = max((day for day in ends.last if day is not None), default=None)
    finishes = planned.named.day(last) if whole and last is not None else None
    mean = float(np.average(ends.days_late, weights=season.tasks.area))
    late = Area(max(float(ends.late @ season.tasks.area), 1.0))
    tight = _bottleneck(resources)
    words: list[str] = []
    if lost:
        words.append(f"{len(lost)} of {len(tasks)} tasks cannot be planned.")
    if finishes is not None and not planned.late:
        spare = (request.window.end - finishes).days
        words.append(f"All done by {finishes}, {spare} day{'' if spare == 1 else 's'} before the window ends.")
    elif finishes is not None:
        words.append(f"All done by {finishes}, {ledger.say(late)} of it late; {mean:.3g} days late in the mean.")
    elif planned.late:
        words.append(
            f"{ledger.say(late)} late or left undone by {planned.named.day(season.periods * season.step - 1)}."
        )
    else:
        words.append("All the rest is done in time.")
    if tight is not None:
        if planned.late and tight.extra_hour_saves:
            words.append(
                f"Bottleneck: {tight.name}; an hour more of it a day saves {ledger.say(tight.extra_hour_saves)}."
            )
        else:
            words.append(f"Busiest: {tight.name}, {ledger.say(tight.use)} of its time.")
    if odds is not None:
        words.append(f"Chance to finish in the window: {ledger.say(odds.finish)}.")
    return SeasonVerdict(
        in_time=whole and not planned.late,
        finishes=finishes,
        days_late=mean,
        bottleneck=tight.name if tight is not None else "",
        summary=" ".join(words),
    )


SEASON = Calculation(
    name="season",
    request=SeasonRequest,
    answer=SeasonAnswer,
    compute=compute,
    lasts=a_long_time,
    summary="Which tractor on which implement on which field on which day, and whether it gets done",
    description=(
        "Matches every tractor with every implement that may do a work, leaves out the pairings that do not fit, and "
        "plans the rest: least lateness first, then least cost, as a mixed-integer program whose remaining gap is "
        "told. A tractor pulls one implement in a day, and work keeps its order on each field. The answer is a plan by "
        "day, what is spare, the bottleneck, the odds of finishing, and, where not all is done in time, which "
        "constraint to relax."
    ),
    example={
        "fleet": {
            "tractors": [{"name": "heron", "tractor": EXAMPLE_TRACTOR, "hourly_cost": "36 money/h"}],
            "implements": [{"name": "chisel", "implement": EXAMPLE_IMPLEMENT}],
            "operators": [{"name": "first"}],
        },
        "fields": [
            {"name": "millrace", "area": "8 ha", "soil": {"texture": "medium", "surface": "firm"}},
            {
                "name": "long-close",
                "area": "6 ha",
                "soil": {"texture": "medium", "surface": "firm"},
                "ready": "2027-09-08",
            },
        ],
        "work": [
            {"name": "stubble", "fields": ["millrace", "long-close"], "implements": ["chisel"], "speed": "8 km/h"}
        ],
        "window": {
            "start": "2027-09-06",
            "end": "2027-09-12",
            "workday": "10 h",
            "suitable": {"history": [5, 3, 4, 6, 3, 4]},
        },
        "prices": {"fuel": "1.1 money/L", "labour": "24 money/h"},
    },
    columns=(
        "/verdict/in_time",
        "/verdict/days_late",
        "/verdict/bottleneck",
        "/cost/total",
    ),
)
