"""What is asked: a fleet, its fields, the work of a season and the days for it."""

import datetime as dt
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.field import FieldShape, StoppedFuelShare, TurningFuelShare
from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.soil import Soil, Surface
from drawbar_service.api.shared.suitable import SuitableDays
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.api.v1.match.request import MatchLimits
from drawbar_service.quantities import (
    Area,
    Efficiency,
    FuelPrice,
    HourlyRate,
    LossPerArea,
    Slope,
    Speed,
    Workday,
)

Name = Annotated[str, Meta(min_length=1, max_length=80)]
RestDays = Annotated[int, Meta(ge=0, le=60)]

LeaveOut = "Left out: throughout."


class FleetTractor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor of the fleet."""

    name: Annotated[Name, Meta(description="Yours to choose; no other tractor's.", examples=["heron"])]
    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    hourly_cost: Annotated[
        HourlyRate | None,
        Meta(description="What an hour of it costs, fuel and operator apart.", examples=["38 money/h"]),
    ] = None
    available_from: Annotated[dt.date | None, Meta(description=f"First day it is there. {LeaveOut}")] = None
    available_to: Annotated[dt.date | None, Meta(description=f"Last day it is there. {LeaveOut}")] = None


class FleetImplement(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An implement of the fleet."""

    name: Annotated[Name, Meta(description="Yours to choose; no other implement's.", examples=["chisel"])]
    implement: Annotated[Implement, Meta(description="The implement.")]
    hourly_cost: Annotated[HourlyRate | None, Meta(description="What an hour of it costs.")] = None
    available_from: Annotated[dt.date | None, Meta(description=f"First day it is there. {LeaveOut}")] = None
    available_to: Annotated[dt.date | None, Meta(description=f"Last day it is there. {LeaveOut}")] = None


class Operator(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Someone who drives; any tractor."""

    name: Annotated[Name, Meta(description="Yours to choose; no other operator's.", examples=["first"])]
    workday: Annotated[
        Workday | None, Meta(description="Hours in a suitable day, in place of the season's; never more count.")
    ] = None
    hourly_cost: Annotated[HourlyRate | None, Meta(description="What an hour costs, in place of `prices/labour`.")] = (
        None
    )


OperatorList = Annotated[list[Operator], Meta(min_length=1, max_length=24)]


class SeasonField(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A field of the season."""

    name: Annotated[Name, Meta(description="Yours to choose; no other field's.", examples=["millrace"])]
    area: Annotated[Area, Meta(description="Area to work.", examples=["26 ha"])]
    soil: Annotated[Soil, Meta(description="The soil, as the first work finds it.")]
    slope: Annotated[Slope | None, Meta(description="Rise over run along the passes. Left out: level.")] = None
    efficiency: Annotated[
        Efficiency | None, Meta(description="Field efficiency: effective over theoretical capacity.")
    ] = None
    shape: Annotated[
        FieldShape | None, Meta(description="Field geometry, in place of an efficiency. Give one or neither.")
    ] = None
    turning_fuel_share: TurningFuelShare = None
    stopped_fuel_share: StoppedFuelShare = None
    ready: Annotated[
        dt.date | None,
        Meta(description="First day it can be worked, harvested, say. Left out: the first there is."),
    ] = None
    due: Annotated[dt.date | None, Meta(description="Last day that is not late. Left out: the last of the window.")] = (
        None
    )
    daily_loss: Annotated[
        LossPerArea | None,
        Meta(
            description="What an area loses with each day its work is late. Give it for all fields or for none; "
            "without it every late hectare counts the same.",
            examples=["9 money/ha"],
        ),
    ] = None


class Predecessor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Work that must be done before, on the same field."""

    work: Annotated[Name, Meta(description="Name of that work.", examples=["stubble"])]
    rest_days: Annotated[
        RestDays, Meta(description="Whole days the land rests between the two; with 0 it goes on the next day.")
    ] = 0


class Work(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One operation, on one field or several."""

    name: Annotated[Name, Meta(description="Yours to choose; no other work's.", examples=["seedbed"])]
    fields: Annotated[list[Name], Meta(description="Fields by name.", min_length=1, max_length=40)]
    implements: Annotated[
        list[Name], Meta(description="Implements by name, any of which does it.", min_length=1, max_length=20)
    ]
    tractors: Annotated[
        list[Name], Meta(description="Tractors by name that may be put to it. Left out: any.", max_length=12)
    ] = []
    after: Annotated[
        list[Predecessor],
        Meta(description="What must be done before it. It may follow over a field that is half done.", max_length=8),
    ] = []
    surface: Annotated[
        Surface | None, Meta(description="What the wheels stand on by then, in place of the soil's surface.")
    ] = None
    speed: Annotated[Speed | None, Meta(description="Ground speed. Left out: the greatest that fits each pairing.")] = (
        None
    )
    due: Annotated[dt.date | None, Meta(description="Last day that is not late, in place of the field's.")] = None


class Window(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The days there are."""

    start: Annotated[dt.date, Meta(description="First day.", examples=["2027-03-08"])]
    end: Annotated[dt.date, Meta(description="Last day; at most a year after the first.", examples=["2027-04-04"])]
    workday: Annotated[Workday, Meta(description="Hours of field work in a suitable day.", examples=["10 h"])]
    suitable: Annotated[SuitableDays, Meta(description="How many of the days are suitable.")]


class Prices(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What things cost."""

    fuel: Annotated[FuelPrice | None, Meta(description="Price of fuel.", examples=["1.1 money/L"])] = None
    labour: Annotated[HourlyRate | None, Meta(description="What an operator's hour costs.")] = None


class Fleet(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Machines and people."""

    tractors: Annotated[list[FleetTractor], Meta(description="Tractors.", min_length=1, max_length=12)]
    implements: Annotated[list[FleetImplement], Meta(description="Implements.", min_length=1, max_length=20)]
    operators: Annotated[OperatorList | None, Meta(description="Operators. Left out: one for each tractor.")] = None
    limits: Annotated[MatchLimits, Meta(description="Limits to hold every tractor to.")] = msgspec.field(
        default_factory=MatchLimits
    )


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
    tables: Tables = None
