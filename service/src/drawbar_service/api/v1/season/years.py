"""What a plan comes to over recorded years, with what would help and what else could be done."""

import datetime as dt
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.season import words
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.model.days import YearsOfDays
from drawbar_service.model.findings import Findings, Impossible
from drawbar_service.model.season import days_of
from drawbar_service.model.season_plan import Planned, PlannedSeason, SeasonDays
from drawbar_service.model.season_years import (
    LeverName,
    Replay,
    before_freeze_up,
    breaks,
    levers,
    otherwise,
)
from drawbar_service.quantities import Area, Money, Ratio, Share

_MOST_DATES = 60
"""Days that the chance is given for; of a longer season every second, third ... day."""


class DoneBy(msgspec.Struct, frozen=True, kw_only=True):
    """The chance that all is done by a day."""

    date: Annotated[dt.date, Meta(description="The day.")]
    chance: Annotated[Share, Meta(description="Share of the recorded years in which all is done by its end.")]


class FirstLate(msgspec.Struct, frozen=True, kw_only=True):
    """What is late first in years in which something is."""

    work: Annotated[str, Meta(description="The work.")]
    field: Annotated[str, Meta(description="The field.")]
    tractor: Annotated[str, Meta(description="The tractor that does most of it.")]
    years: Annotated[int, Meta(description="In how many of the recorded years.")]


class SeasonYear(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in one recorded year."""

    year: Annotated[int, Meta(description="The year.")]
    suitable: Annotated[float, Meta(description="Suitable days in the window.")]
    finishes: Annotated[
        dt.date | None, Meta(description="Day of this season on which all would be done; null if not as far as known.")
    ]
    late: Annotated[Area, Meta(description="Area done after it was due, or not at all.")]
    days_late: Annotated[float, Meta(description="Mean over all area.")]
    cost: Annotated[Money, Meta(description="Fuel, machines and people, as far as they are priced.")]
    lost: Annotated[Money, Meta(description="Lost by lateness; 0 without `daily_loss`.")]


class SeasonOutcome(msgspec.Struct, frozen=True, kw_only=True):
    """What a plan comes to over the recorded years."""

    in_time: Annotated[Share, Meta(description="Share of years in which all is done when due.")]
    days_late: Annotated[float, Meta(description="Mean over all area and years.")]
    worst_days_late: Annotated[float, Meta(description="Mean over all area in the worst year.")]
    cost: Annotated[Money, Meta(description="Fuel, machines and people in a mean year.")]
    lost: Annotated[Money, Meta(description="Lost by lateness in a mean year.")]
    yearly_cost: Annotated[Money, Meta(description="As given, beside hours and fuel.")]
    total: Annotated[Money, Meta(description="All of it in a mean year.")]
    worst_total: Annotated[Money, Meta(description="All of it in the dearest year.")]


class LeverAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One change, with a plan of its own."""

    lever: Annotated[LeverName, Meta(description="Which.")]
    name: Annotated[str, Meta(description="Of the machines it is about; empty if of none.")]
    detail: Annotated[str, Meta(description="What is changed, and what it brings.")]
    outcome: Annotated[SeasonOutcome, Meta(description="Over the recorded years.")]
    gain: Annotated[Ratio, Meta(description="Chance to be in time, above that of the plan.")]
    value: Annotated[
        Money,
        Meta(description="Money it saves in a mean year, lateness and running costs, before what it costs to have."),
    ]


class AlternativeAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The same work otherwise."""

    name: Annotated[str, Meta(description="Its name.")]
    outcome: Annotated[
        SeasonOutcome | None, Meta(description="Over the recorded years; null if some work cannot be planned with it.")
    ]
    detail: Annotated[str, Meta(description="How it compares with the plan, in good years and bad.")]


class SeasonYears(msgspec.Struct, frozen=True, kw_only=True):
    """The plan in every recorded year."""

    outcome: Annotated[SeasonOutcome, Meta(description="Over all of them.")]
    done_by: Annotated[list[DoneBy], Meta(description="The chance that all is done, by date.")]
    before_freeze_up: Annotated[
        Share | None,
        Meta(description="Chance that all is done before the ground freezes; null without `window.freeze_up`."),
    ]
    first_late: Annotated[list[FirstLate], Meta(description="What breaks first, the most frequent first.")]
    by_year: Annotated[list[SeasonYear], Meta(description="Year by year, the worst first.")]
    levers: Annotated[list[LeverAnswer], Meta(description="What would change the chance or the money.")]
    alternatives: Annotated[list[AlternativeAnswer], Meta(description="Each alternative that was asked for.")]
    summary: Annotated[str, Meta(description="The years in words.")]


def years_of_plan(
    request: SeasonRequest,
    season: PlannedSeason,
    planned: Planned,
    days: SeasonDays,
    years: YearsOfDays,
    replayed: Replay,
    ledger: Ledger,
) -> SeasonYears:
    """Return what a plan comes to over recorded years."""
    base = _outcome(replayed, request.yearly_cost)
    order: list[int] = np.lexsort((replayed.suitable, -replayed.days_late)).tolist()
    whole = np.asarray(replayed.whole.all(axis=1))
    step = max(1, -(-planned.window_days // _MOST_DATES))
    firsts = breaks(planned, replayed)
    names = request.fleet.tractors
    late = [
        FirstLate(
            work=request.work[one.task.work].name,
            field=request.fields[one.task.field].name,
            tractor=names[one.tractor].name,
            years=one.years,
        )
        for one in firsts
    ]
    return SeasonYears(
        outcome=base,
        done_by=[
            DoneBy(date=words.day(request, day), chance=Share.of(replayed.done_by(day)))
            for day in range((days_of(request.window) - 1) % step, days_of(request.window), step)
        ],
        before_freeze_up=_before_freeze_up(request, replayed),
        first_late=late,
        by_year=[
            SeasonYear(
                year=replayed.years[one],
                suitable=float(replayed.suitable[one]),
                finishes=words.day(request, int(replayed.last[one].max())) if whole[one] else None,
                late=Area.of(float(replayed.late_area[one])),
                days_late=float(replayed.days_late[one]),
                cost=Money.of(float(replayed.cost[one])),
                lost=Money.of(float(replayed.lost[one])),
            )
            for one in order
        ],
        levers=_levers(request, planned, days, years, base, ledger) if ledger.asked("/years/levers") else [],
        alternatives=_alternatives(request, season, years, base, ledger),
        summary=ledger.sentence(lambda: words.years(base, late, len(replayed.years), ledger)),
    )


def _before_freeze_up(request: SeasonRequest, replayed: Replay) -> Share | None:
    window = request.window
    if window.freeze_up is None:
        return None
    day = (window.freeze_up - window.start).days
    return Share.of(before_freeze_up(replayed, day, float(window.freeze_up_spread or 0.0)))


def _outcome(replayed: Replay, yearly: float | None) -> SeasonOutcome:
    fixed = 0.0 if yearly is None else float(yearly)
    each = replayed.cost + replayed.lost + fixed
    return SeasonOutcome(
        in_time=Share.of(replayed.chance),
        days_late=float(replayed.days_late.mean()),
        worst_days_late=float(replayed.days_late.max()),
        cost=Money.of(float(replayed.cost.mean())),
        lost=Money.of(float(replayed.lost.mean())),
        yearly_cost=Money.of(fixed),
        total=Money.of(float(each.mean())),
        worst_total=Money.of(float(each.max())),
    )


def _levers(
    request: SeasonRequest, planned: Planned, days: SeasonDays, years: YearsOfDays, base: SeasonOutcome, ledger: Ledger
) -> list[LeverAnswer]:
    found: list[LeverAnswer] = []
    for one in levers(request, planned, days.weeks, years, ledger):
        outcome = _outcome(one.replay, request.yearly_cost)
        found.append(
            LeverAnswer(
                lever=one.lever,
                name=one.name,
                detail=ledger.sentence(lambda one=one, outcome=outcome: words.lever(one, base, outcome, ledger)),
                outcome=outcome,
                gain=Ratio.of(float(outcome.in_time) - float(base.in_time)),
                value=Money.of(float(base.total) - float(outcome.total)),
            )
        )
    return sorted(found, key=lambda one: (-float(one.gain), -float(one.value)))


def _alternatives(
    request: SeasonRequest, season: PlannedSeason, years: YearsOfDays, base: SeasonOutcome, ledger: Ledger
) -> list[AlternativeAnswer]:
    found: list[AlternativeAnswer] = []
    for place, alternative in enumerate(request.alternatives):
        ledger.go_on()
        part = Findings(ledger.asked, ledger.waiting)
        try:
            made = otherwise(request, season.tasks, alternative, years, part)
        except Impossible as error:
            ledger.refused += [one._replace(pointer=f"/alternatives/{place}{one.pointer}") for one in error.faults]
            ledger.stop_at_faults()
            raise
        outcome = None
        if made.replay is not None and made.lost_tasks == 0:
            yearly = request.yearly_cost if alternative.yearly_cost is None else alternative.yearly_cost
            outcome = _outcome(made.replay, yearly)
        found.append(
            AlternativeAnswer(
                name=alternative.name,
                outcome=outcome,
                detail=ledger.sentence(
                    lambda outcome=outcome, made=made: words.alternative(base, outcome, made.lost_tasks, ledger)
                ),
            )
        )
        ledger.sources |= part.sources
    return found
