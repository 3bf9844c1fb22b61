"""What is asked: a fleet, its fields, the work of a season and the days for it."""

import datetime as dt
from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.field import FieldShape, StoppedFuelShare, TurningFuelShare
from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.record import DaysRecord, PastWeeks
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
    Multiplier,
    Position,
    Price,
    Share,
    Slope,
    Speed,
    WaitTime,
    Workday,
)

Name = Annotated[str, Meta(min_length=1, max_length=80)]
RestDays = Annotated[int, Meta(ge=0, le=60)]
SpreadOfDays = Annotated[float, Meta(ge=0.0, le=90.0)]
Latitude = Annotated[float, Meta(ge=-66.0, le=66.0)]
SuitableCount = Annotated[float, Meta(gt=0.0, le=366.0)]
Weekday: TypeAlias = Literal["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"]
Detour = Annotated[float, Meta(ge=1.0, le=5.0)]
TravelTimes = Annotated[
    list[Annotated[list[WaitTime], Meta(min_length=1, max_length=40)]], Meta(min_length=1, max_length=40)
]

LeaveOut = "Left out: throughout."


class Away(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Days on which a machine is away."""

    first: Annotated[dt.date, Meta(description="First of them.", examples=["2027-09-13"])]
    last: Annotated[dt.date, Meta(description="Last of them.", examples=["2027-09-15"])]


class Neighbor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The farm a machine is shared with: it is theirs until their work is done, which takes longer in a wet year."""

    days: Annotated[SuitableCount, Meta(description="Suitable days of their work with it.", examples=[4.5])]
    start: Annotated[dt.date | None, Meta(description="First day they need it. Left out: that of the window.")] = None
    due: Annotated[dt.date | None, Meta(description="Last day on which their work is in time.")] = None


AwayList = Annotated[list[Away], Meta(max_length=40)]


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
    here: Annotated[
        Share | None,
        Meta(
            description="Share of the days a neighbor needs it on which it is here, spread evenly. Left out: none with "
            "`neighbor`, else all."
        ),
    ] = None
    neighbor: Annotated[
        Neighbor | None, Meta(description="Who shares it, and for how long. Left out: all season, if `here` says so.")
    ] = None
    away: Annotated[AwayList, Meta(description="Days on which it is away.")] = []


class FleetImplement(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """An implement of the fleet."""

    name: Annotated[Name, Meta(description="Yours to choose; no other implement's.", examples=["chisel"])]
    implement: Annotated[Implement, Meta(description="The implement.")]
    hourly_cost: Annotated[HourlyRate | None, Meta(description="What an hour of it costs.")] = None
    available_from: Annotated[dt.date | None, Meta(description=f"First day it is there. {LeaveOut}")] = None
    available_to: Annotated[dt.date | None, Meta(description=f"Last day it is there. {LeaveOut}")] = None
    here: Annotated[
        Share | None,
        Meta(
            description="Share of the days a neighbor needs it on which it is here, spread evenly. Left out: none with "
            "`neighbor`, else all."
        ),
    ] = None
    neighbor: Annotated[
        Neighbor | None, Meta(description="Who shares it, and for how long. Left out: all season, if `here` says so.")
    ] = None
    away: Annotated[AwayList, Meta(description="Days on which it is away.")] = []


class Operator(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Someone who drives; any tractor."""

    name: Annotated[Name, Meta(description="Yours to choose; no other operator's.", examples=["first"])]
    workday: Annotated[
        Workday | None, Meta(description="Hours in a suitable day, in place of the season's; never more count.")
    ] = None
    hourly_cost: Annotated[HourlyRate | None, Meta(description="What an hour costs, in place of `prices/labor`.")] = (
        None
    )


OperatorList = Annotated[list[Operator], Meta(min_length=1, max_length=24)]


class Spot(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A place, counted from any one point for all."""

    east: Annotated[Position, Meta(description="How far east it lies.", examples=["1.2 km"])]
    north: Annotated[Position, Meta(description="How far north it lies.", examples=["-300 m"])]


class DoneBefore(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Work that is done on a field before the plan begins."""

    field: Annotated[Name, Meta(description="Name of the field.", examples=["millrace"])]
    area: Annotated[Area | None, Meta(description="How much of it. Left out: all.", examples=["5 ha"])] = None
    last: Annotated[
        dt.date | None, Meta(description="Last day it was worked. Left out: the day before the plan begins.")
    ] = None


DoneList = Annotated[list[DoneBefore], Meta(max_length=40)]


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
            description="What an area loses with each day of lateness. For all fields or none; "
            "without it every late hectare counts the same.",
            examples=["9 money/ha"],
        ),
    ] = None
    at: Annotated[
        Spot | None,
        Meta(description="Where it lies, for the time on the road; give it for all fields or for none."),
    ] = None


class Predecessor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Work that must be done before, on the same field."""

    work: Annotated[Name, Meta(description="Name of that work.", examples=["stubble"])]
    rest_days: Annotated[
        RestDays, Meta(description="Whole days the land rests between the two; with 0 it goes on the next day.")
    ] = 0
    same_day: Annotated[
        bool,
        Meta(description="Whether it may follow on the same day, behind what is done. It then rests no day."),
    ] = False


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
    done: Annotated[DoneList, Meta(description="What of it is done already; the rest is planned.")] = []
    fit_share: Annotated[
        Efficiency | None,
        Meta(
            description="Share of the suitable time that is fit for this work: less for what asks for drier land. "
            "Left out: all."
        ),
    ] = None


class DaysOff(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Days on which nobody works."""

    weekdays: Annotated[list[Weekday], Meta(description="In every week.", max_length=6, examples=[["sunday"]])] = []
    dates: Annotated[list[dt.date], Meta(description="Further ones.", max_length=100)] = []


class Window(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The days there are."""

    start: Annotated[dt.date, Meta(description="First day.", examples=["2027-03-08"])]
    end: Annotated[dt.date, Meta(description="Last day; at most a year after the first.", examples=["2027-04-04"])]
    workday: Annotated[Workday, Meta(description="Hours of field work in a suitable day.", examples=["10 h"])]
    suitable: Annotated[
        SuitableDays | None, Meta(description="How many of the days are suitable; give it or `record`.")
    ] = None
    days_off: Annotated[DaysOff | None, Meta(description="Days on which nobody works. Left out: none.")] = None
    freeze_up: Annotated[
        dt.date | None,
        Meta(description="Day by which the ground is frozen in half of the years, as `/v1/days` answers it."),
    ] = None
    freeze_up_spread: Annotated[
        SpreadOfDays | None, Meta(description="Its standard deviation from year to year, in days. Left out: none.")
    ] = None


class Daylight(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What light a workday has."""

    latitude: Annotated[Latitude, Meta(description="Degrees north of the equator.", examples=[42.0])]
    lamps: Annotated[
        WaitTime | None, Meta(description="How long a day is worked by lamps. Left out: from sunrise to sunset only.")
    ] = None


class Driving(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What takes time beside the work, and how long a day can be."""

    least_block: Annotated[
        WaitTime | None,
        Meta(
            description="Least work on a field before a tractor leaves it, in time of a suitable day; only the rest "
            "of a field may be less. Left out: half a workday.",
            examples=["3 h"],
        ),
    ] = None
    hitch_change: Annotated[
        WaitTime | None,
        Meta(
            description="To put another implement on. With it a tractor may change within a day; left out, only "
            "overnight, which takes no time.",
            examples=["30 min"],
        ),
    ] = None
    travel_times: Annotated[
        TravelTimes | None,
        Meta(description="Time on the road from each field (rows) to each, in the order of `fields`."),
    ] = None
    travel_speed: Annotated[
        Speed | None, Meta(description="Speed on the road, where fields have places. Left out: 25 km/h.")
    ] = None
    detour: Annotated[Detour | None, Meta(description="Length of the road over the straight line. Left out: 1.3.")] = (
        None
    )
    yard: Annotated[Spot | None, Meta(description="Where tractors begin the season. Left out: at their field.")] = None
    daylight: Annotated[
        Daylight | None,
        Meta(description="Ends workdays with the light. Left out: they are as long all season."),
    ] = None


class Prices(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What things cost."""

    fuel: Annotated[FuelPrice | None, Meta(description="Price of fuel.", examples=["1.1 money/L"])] = None
    labor: Annotated[HourlyRate | None, Meta(description="What an operator's hour costs.")] = None


class Fleet(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Machines and people."""

    tractors: Annotated[list[FleetTractor], Meta(description="Tractors.", min_length=1, max_length=12)]
    implements: Annotated[list[FleetImplement], Meta(description="Implements.", min_length=1, max_length=20)]
    operators: Annotated[OperatorList | None, Meta(description="Operators. Left out: one for each tractor.")] = None
    limits: Annotated[MatchLimits, Meta(description="Limits to hold every tractor to.")] = msgspec.field(
        default_factory=MatchLimits
    )


class SeasonAlternative(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The same work otherwise; what is left out stays as it is."""

    name: Annotated[Name, Meta(description="Yours to choose.", examples=["two smaller ones"])]
    fleet: Annotated[
        Fleet | None, Meta(description="Other machines and people. Works find their implements by name in it.")
    ] = None
    workday: Annotated[Workday | None, Meta(description="Another workday.")] = None
    prices: Annotated[Prices | None, Meta(description="Other prices and wages.")] = None
    days: Annotated[
        Multiplier | None, Meta(description="Suitable days over those of the record; 0.8: a fifth fewer.")
    ] = None
    yearly_cost: Annotated[
        Price | None,
        Meta(
            description="What it costs a year beside hours and fuel: owning it, or a share of that.",
            examples=["18000 money"],
        ),
    ] = None


AlternativeList = Annotated[list[SeasonAlternative], Meta(max_length=4)]
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
    driving: Annotated[Driving, Meta(description="What takes time beside the work, and how long a day can be.")] = (
        msgspec.field(default_factory=Driving)
    )
    record: Annotated[
        DaysRecord | None,
        Meta(
            description=(
                "Suitable days week by week over some years, in place of `window.suitable`: planned for their mean, "
                "replayed over each."
            )
        ),
    ] = None
    so_far: Annotated[
        PastWeeks | None,
        Meta(
            description="Weeks of this year up to now, with a `record`: what is left of the window is planned, "
            "its years moved by how far these weeks lie from theirs. State what is done at `work`."
        ),
    ] = None
    alternatives: Annotated[
        AlternativeList,
        Meta(description="The same work otherwise, each planned and replayed over the years of `record`."),
    ] = []
    yearly_cost: Annotated[
        Price | None,
        Meta(description="What the fleet costs a year beside hours and fuel, to compare with the alternatives'."),
    ] = None
    tables: Tables = None
