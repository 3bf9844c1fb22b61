"""POST /v1/curves/season-timeline: the plan of a season as spans of work, tractor by tractor."""

import datetime as dt
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.shared.curve import OWN_MODEL, PICTURES, Curve, CurveAnswer
from drawbar_service.api.v1.curves import words
from drawbar_service.api.v1.season import SEASON, planned, searches
from drawbar_service.api.v1.season.answer import operator_names, verdict
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.api.v1.season.words import day
from drawbar_service.model.season_plan import Planned, stretches
from drawbar_service.model.season_years import replay
from drawbar_service.quantities import Area, Time

_LIKELY = 0.8
"""Share of recorded years [1] that the margin for wet days is about."""


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
    operators: Annotated[list[str], Meta(description="Who drives, in turn.")]


class SeasonTimelineAnswer(CurveAnswer, frozen=True, kw_only=True):
    """The plan of a season, tractor by tractor."""

    tractors: Annotated[list[str], Meta(description="Every tractor of the fleet, in the order of the request.")]
    works: Annotated[list[str], Meta(description="Every work, in the order of the request.")]
    spans: Annotated[list[WorkSpan], Meta(description="The plan, by first day.")]
    start: Annotated[dt.date, Meta(description="First day of the window.")]
    end: Annotated[dt.date, Meta(description="Last day of the window.")]
    freeze_up: Annotated[dt.date | None, Meta(description="Day from which the ground is usually frozen, as given.")]
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
    season, days = planned(request, ledger)
    made = season.planned
    spans = _spans(request, made) if made is not None else []
    replayed = replay(request, made, days.years) if made is not None and days.years is not None else None
    told = verdict(request, season, days, ledger, replayed)
    likely = replayed.day_of_all(_LIKELY) if replayed is not None and not season.lost else None
    return SeasonTimelineAnswer(
        title="The season, tractor by tractor",
        summary=ledger.sentence(lambda: words.season_timeline(told.summary, spans)),
        source=f"Expected suitable days; an order of work, not a diary. {OWN_MODEL}",
        tractors=[one.name for one in request.fleet.tractors],
        works=[one.name for one in request.work],
        spans=spans,
        start=request.window.start,
        end=request.window.end,
        freeze_up=request.window.freeze_up,
        finishes=told.finishes,
        likely=day(request, likely) if likely is not None else None,
        about=ledger.about(),
    )


def _spans(request: SeasonRequest, made: Planned) -> list[WorkSpan]:
    """Return the plan by first day, tractors of one day by name."""
    spans: list[WorkSpan] = []
    names = operator_names(request)
    for one in stretches(made):
        task = made.tasks[one.task]
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
