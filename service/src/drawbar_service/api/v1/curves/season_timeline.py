"""POST /v1/curves/season-timeline: the plan of a season as spans of work, tractor by tractor."""

import datetime as dt
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Ledger
from drawbar_service.api.calculation import a_long_time
from drawbar_service.api.v1.curves.curve import OWN_MODEL, PICTURES, Curve, CurveAnswer
from drawbar_service.api.v1.season import SEASON
from drawbar_service.api.v1.season import compute as compute_season
from drawbar_service.api.v1.season.answer import PlanRow
from drawbar_service.api.v1.season.request import SeasonRequest
from drawbar_service.quantities import Area, Time


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


class SeasonTimelineAnswer(CurveAnswer, frozen=True, kw_only=True):
    """The plan of a season, tractor by tractor."""

    tractors: Annotated[list[str], Meta(description="Every tractor of the fleet, in the order of the request.")]
    works: Annotated[list[str], Meta(description="Every work, in the order of the request.")]
    spans: Annotated[list[WorkSpan], Meta(description="The plan, by first day.")]
    start: Annotated[dt.date, Meta(description="First day of the window.")]
    end: Annotated[dt.date, Meta(description="Last day of the window.")]
    about: AboutField


def spans_of(plan: list[PlanRow], due: dict[tuple[str, str], dt.date]) -> list[WorkSpan]:
    """Return a plan with days that follow each other as one; `due` by work and field."""
    spans: dict[tuple[str, str, str, str], list[WorkSpan]] = {}
    for row in plan:
        key = (row.tractor, row.implement, row.work, row.field)
        last = row.date + dt.timedelta(days=row.days - 1)
        found = spans.setdefault(key, [])
        before = found[-1] if found else None
        joins = before is not None and (row.date - before.last).days <= 1
        span = WorkSpan(
            tractor=row.tractor,
            implement=row.implement,
            work=row.work,
            field=row.field,
            first=before.first if before is not None and joins else row.date,
            last=last,
            hours=Time(row.hours + (before.hours if before is not None and joins else 0.0)),
            area=Area(row.area + (before.area if before is not None and joins else 0.0)),
            late=last > due[row.work, row.field],
        )
        if joins:
            found[-1] = span
        else:
            found.append(span)
    return sorted((span for found in spans.values() for span in found), key=lambda span: (span.first, span.tractor))


def compute(request: SeasonRequest, ledger: Ledger) -> SeasonTimelineAnswer:
    """Answer with a timeline."""
    answer = compute_season(request, ledger)
    due = {(task.work, task.field): task.due for task in answer.tasks}
    spans = spans_of(answer.plan, due)
    return SeasonTimelineAnswer(
        title="The season, tractor by tractor",
        summary=" ".join(
            [
                answer.verdict.summary,
                *(
                    f"{span.tractor} with {span.implement} does {span.work} on {span.field} from {span.first} to "
                    f"{span.last}{', late' if span.late else ''}."
                    for span in spans[:12]
                ),
                *([f"{len(spans) - 12} more spans of work follow."] if len(spans) > 12 else []),
            ]
        ),
        source=f"Expected suitable days; an order of work, not a diary. {OWN_MODEL}",
        tractors=[one.name for one in request.fleet.tractors],
        works=[one.name for one in request.work],
        spans=spans,
        start=request.window.start,
        end=request.window.end,
        about=ledger.about(),
    )


SEASON_TIMELINE = Curve(
    name="season-timeline",
    request=SeasonRequest,
    answer=SeasonTimelineAnswer,
    compute=compute,
    lasts=a_long_time,
    summary="The plan of a season as a timeline",
    description=(
        "The request is that of `/v1/season`. Which tractor works which field with which implement from when to when, "
        "days on end as one span, and what of it is late."
    ),
    example=SEASON.example,
    shown_as=PICTURES,
)
