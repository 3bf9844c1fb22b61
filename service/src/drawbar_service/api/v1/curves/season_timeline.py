"""POST /v1/curves/season-timeline: the plan of a season as spans of work, tractor by tractor."""

import datetime as dt
from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.shared.curve import OWN_MODEL, PICTURES, Curve, CurveAnswer
from drawbar_service.api.v1.curves import words
from drawbar_service.api.v1.season import SEASON, planned, searches
from drawbar_service.api.v1.season.answer import operator_names, verdict
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.api.v1.season.words import day
from drawbar_service.engine.season import there
from drawbar_service.model.season import days_of, worked_days
from drawbar_service.model.season_plan import Planned, stretches
from drawbar_service.model.season_years import LIKELY, Replay, replay
from drawbar_service.quantities import Area, Time

_IN_TEN = 1.2815515655446004
"""Standard deviations [1] from the middle beyond which 1 of 10 lies to either side."""


class WorkSpan(msgspec.Struct, frozen=True, kw_only=True):
    """Days on end that one tractor works one field."""

    tractor: Annotated[str, Meta(description="The tractor.")]
    implement: Annotated[str, Meta(description="The implement.")]
    work: Annotated[str, Meta(description="The work.")]
    field: Annotated[str, Meta(description="The field.")]
    first: Annotated[dt.date, Meta(description="First day.")]
    last: Annotated[dt.date, Meta(description="Last day.")]
    hours: Annotated[Time, Meta(description="Expected time at work.")]
    area: Annotated[Area, Meta(description="Area done.")]
    late: Annotated[bool, Meta(description="Whether it ends after the work on that field is due.")]
    due: Annotated[dt.date, Meta(description="Last day on which the work on that field is not late.")]
    likely: Annotated[
        dt.date | None,
        Meta(
            description="Day by which the work on that field is done in 4 of 5 recorded years; null without a record, "
            "or if it is not."
        ),
    ]
    operators: Annotated[list[str], Meta(description="Who drives, in turn.")]


class AwaySpan(msgspec.Struct, frozen=True, kw_only=True):
    """Days on end on which a tractor is not here."""

    tractor: Annotated[str, Meta(description="The tractor.")]
    first: Annotated[dt.date, Meta(description="First day.")]
    last: Annotated[dt.date, Meta(description="Last day of the window at most.")]


class SeasonTimelineAnswer(CurveAnswer, frozen=True, kw_only=True):
    """The plan of a season, tractor by tractor."""

    tractors: Annotated[list[str], Meta(description="Every tractor of the fleet, in the order of the request.")]
    works: Annotated[list[str], Meta(description="Every work, in the order of the request.")]
    spans: Annotated[list[WorkSpan], Meta(description="The plan, by first day.")]
    start: Annotated[dt.date, Meta(description="First day of the window.")]
    end: Annotated[dt.date, Meta(description="Last day of the window.")]
    freeze_up: Annotated[
        dt.date | None, Meta(description="Day by which the ground is frozen in half of the years, as given.")
    ]
    freeze_early: Annotated[
        dt.date | None, Meta(description="The same in 1 year of 10; null without `freeze_up_spread`.")
    ]
    freeze_late: Annotated[dt.date | None, Meta(description="The same in 9 years of 10.")]
    days_off: Annotated[list[dt.date], Meta(description="Days of the window on which nobody works.")]
    away: Annotated[list[AwaySpan], Meta(description="Days on which a tractor is not here, on expected days.")]
    finishes: Annotated[dt.date | None, Meta(description="Last day of the plan; null if some work is not in it.")]
    likely: Annotated[
        dt.date | None,
        Meta(
            description=("Day by which all is done in 4 of 5 recorded years. Null without a `record`, or if it is not.")
        ),
    ]
    about: AboutField


def compute(request: SeasonRequest, ledger: Ledger) -> SeasonTimelineAnswer:
    """Answer with a timeline."""
    request, season, days = planned(request, ledger)
    made = season.planned
    replayed = replay(request, made, days.years) if made is not None and days.years is not None else None
    spans = _spans(request, made, replayed) if made is not None else []
    told = verdict(request, season, days, ledger, replayed)
    likely_day = replayed.day_of_all(LIKELY) if replayed is not None and not season.lost else None
    likely = day(request, likely_day) if likely_day is not None else None
    return SeasonTimelineAnswer(
        title=ledger.sentence(lambda: words.season_done(told, likely, request.window.end, request.window.freeze_up)),
        summary=ledger.sentence(lambda: words.season_timeline(told.summary, spans)),
        source=f"Expected suitable days; an order of work, not a diary. {OWN_MODEL}",
        tractors=[one.name for one in request.fleet.tractors],
        works=[one.name for one in request.work],
        spans=spans,
        start=request.window.start,
        end=request.window.end,
        freeze_up=request.window.freeze_up,
        freeze_early=_freeze_up(request, -_IN_TEN),
        freeze_late=_freeze_up(request, _IN_TEN),
        days_off=[day(request, number) for number, worked in enumerate(_worked(request)) if not worked],
        away=_away(request, made) if made is not None else [],
        finishes=told.finishes,
        likely=likely,
        about=ledger.about(),
    )


def _worked(request: SeasonRequest) -> list[bool]:
    return worked_days(request.window, days_of(request.window)).tolist()


def _freeze_up(request: SeasonRequest, away: float) -> dt.date | None:
    """Return the day by which the ground is frozen, so many standard deviations from the middle [1]."""
    window = request.window
    if window.freeze_up is None or window.freeze_up_spread is None:
        return None
    return window.freeze_up + dt.timedelta(days=round(away * window.freeze_up_spread))


def _away(request: SeasonRequest, made: Planned) -> list[AwaySpan]:
    """Return the days on end on which tractors are not here in the window."""
    season = made.season
    here = there(season.tractors, season.day_time * season.length)[:, : made.window_days]
    spans: list[AwaySpan] = []
    for tractor, days in zip(request.fleet.tractors, here, strict=True):
        edges = np.flatnonzero(np.diff(np.concatenate([[True], days, [True]]).astype(np.int8)))
        spans += [
            AwaySpan(tractor=tractor.name, first=day(request, int(first)), last=day(request, int(after) - 1))
            for first, after in edges.reshape(-1, 2)
        ]
    return spans


def _spans(request: SeasonRequest, made: Planned, replayed: Replay | None) -> list[WorkSpan]:
    """Return the plan by first day, tractors of one day by name."""
    spans: list[WorkSpan] = []
    names = operator_names(request)
    for one in stretches(made):
        task = made.tasks[one.task]
        likely = None if replayed is None else replayed.day_of(one.task, LIKELY)
        spans.append(
            WorkSpan(
                tractor=request.fleet.tractors[one.tractor].name,
                implement=request.fleet.implements[one.implement].name,
                work=request.work[task.work].name,
                field=request.fields[task.field].name,
                first=day(request, one.first),
                last=day(request, one.last),
                hours=Time.of(one.time),
                area=Area.of(one.area),
                late=one.late,
                due=day(request, task.due),
                likely=None if likely is None else day(request, likely),
                operators=[names[who] for who in one.operators],
            )
        )
    return sorted(spans, key=lambda span: (span.first, span.tractor))


SEASON_TIMELINE = Curve(
    name="season-timeline",
    request=SeasonRequest,
    answer=SeasonTimelineAnswer,
    compute=compute,
    steps=searches,
    summary="The plan of a season as a timeline",
    description=(
        "The request is that of `/v1/season`. Which tractor works which field with which implement from when to when, "
        "days on end as one span, and what of it is late."
    ),
    example=SEASON.example,
    shown_as=PICTURES,
)
