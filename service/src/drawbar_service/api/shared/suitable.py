"""How many days are fit for field work, as a request says it."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import RowId
from drawbar_service.model.suitable import Weather as Weather
from drawbar_service.model.suitable import weather_of as weather_of

Days = Annotated[float, Meta(ge=0.0, le=366.0)]
DaysByYear = Annotated[list[Days], Meta(min_length=3, max_length=200)]
PeriodDays = Annotated[int, Meta(ge=2, le=366)]
Years = Annotated[int, Meta(ge=2, le=200)]


class SuitableDays(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How many days are fit for field work: a record, a mean with its spread, or a row of the table."""

    period_days: Annotated[
        PeriodDays | None,
        Meta(description="Calendar days the figures are about; the window itself if left out."),
    ] = None
    history: Annotated[
        DaysByYear | None, Meta(description="Suitable days of each recorded year.", examples=[[12.5, 9.0, 17.0, 14.0]])
    ] = None
    mean: Annotated[Days | None, Meta(description="Suitable days in a middling year.")] = None
    spread: Annotated[Days | None, Meta(description="Standard deviation from year to year.")] = None
    least: Annotated[Days | None, Meta(description="In the worst year, in place of a spread.")] = None
    most: Annotated[Days | None, Meta(description="In the best year.")] = None
    years: Annotated[Years | None, Meta(description="Number of years behind mean, least and most.")] = None
    row: Annotated[
        RowId | None,
        Meta(description="Row of `/v1/reference/suitable-days`.", examples=["illinois-central.spring"]),
    ] = None
