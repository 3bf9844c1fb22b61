"""A record of suitable days week by week, as a request says it."""

import datetime
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import RowId

WeekDays = Annotated[float, Meta(ge=0.0, le=7.0)]
WeekNumber = Annotated[int, Meta(ge=1, le=53)]
WeekYear = Annotated[int, Meta(ge=1900, le=2200)]
Place = Annotated[str, Meta(min_length=1, max_length=80)]
MoistureClass = Annotated[float, Meta(ge=0.0, le=3.0)]


class RecordedWeek(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A week: `year` and `week`, or its last day, and what was recorded in it."""

    year: Annotated[WeekYear | None, Meta(description="Year of the week by ISO 8601.", examples=[2024])] = None
    week: Annotated[WeekNumber | None, Meta(description="Its number by ISO 8601.", examples=[42])] = None
    week_ending: Annotated[
        datetime.date | None, Meta(description="Its last day, in place of `year` and `week`.", examples=["2024-10-20"])
    ] = None
    days: Annotated[
        WeekDays | None, Meta(description="Days of it that were suitable; leave out where not known.", examples=[4.5])
    ] = None
    topsoil: Annotated[
        MoistureClass | None,
        Meta(
            description=(
                "Moisture of the topsoil at its end: 0 very short, 1 short, 2 adequate, 3 surplus; of shares of land, "
                "their mean."
            ),
            examples=[1.8],
        ),
    ] = None


RecordedWeeks = Annotated[list[RecordedWeek], Meta(min_length=1, max_length=3000)]
PastWeeks = Annotated[list[RecordedWeek], Meta(min_length=1, max_length=60)]


class DaysRecord(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Suitable days week by week over some years: your own `weeks`, or the `id` of a shipped record."""

    id: Annotated[
        RowId | None, Meta(description="A `record` of `/v1/reference/suitable-weeks`.", examples=["iowa"])
    ] = None
    weeks: Annotated[
        RecordedWeeks | None,
        Meta(description="Your own, in any order; weeks may be missing, and a year that lacks one is left out."),
    ] = None
    place: Annotated[Place | None, Meta(description="Where they were recorded.")] = None
    own: Annotated[
        bool | None,
        Meta(
            description=(
                "Whether that is where the work is. Left out: yes for your own `weeks`, no for a shipped record."
            )
        ),
    ] = None
