"""What is asked: daily weather of one place, and how its soil drains."""

import datetime
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.tables import Tables
from drawbar_service.model.weather import Drainage

MOST_DAYS = 36_600
Rain = Annotated[float, Meta(ge=0.0, le=2000.0)]
Temperature = Annotated[float, Meta(ge=-90.0, le=70.0)]
Depth = Annotated[float, Meta(ge=0.0, le=20_000.0)]
Rains = Annotated[list[Rain | None], Meta(min_length=60, max_length=MOST_DAYS)]
Temperatures = Annotated[list[Temperature | None], Meta(min_length=60, max_length=MOST_DAYS)]
Depths = Annotated[list[Depth | None], Meta(min_length=60, max_length=MOST_DAYS)]
Latitude = Annotated[float, Meta(ge=25.0, le=60.0)]
FittedWeek = Annotated[int, Meta(ge=13, le=48)]


class DaysRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Weather of one place, day by day without a gap; null where a day has no figure."""

    first: Annotated[datetime.date, Meta(description="First day of the lists.", examples=["2024-07-01"])]
    rain: Annotated[Rains, Meta(description="Rain and melted snow that fell on each day, in mm.")]
    high: Annotated[Temperatures, Meta(description="Highest air temperature of each day, in °C.")]
    low: Annotated[Temperatures, Meta(description="Lowest air temperature of each day, in °C.")]
    snow_depth: Annotated[
        Depths | None, Meta(description="Snow on the ground, in mm; left out: as rain and cold make it.")
    ] = None
    latitude: Annotated[Latitude | None, Meta(description="Degrees north, for the sun.", examples=[42.0])] = None
    drainage: Annotated[
        Drainage, Meta(description="How fast the soil drains, beside the drained fields of Iowa it was fitted to.")
    ] = "moderate"
    averaged: Annotated[
        bool, Meta(description="Whether the figures are averages over a region, such as a state, not of one station.")
    ] = False
    from_week: Annotated[FittedWeek, Meta(description="First week (ISO 8601) that is added up for each year.")] = 36
    to_week: Annotated[FittedWeek, Meta(description="Last week that is added up.")] = 47
    tables: Tables = None
