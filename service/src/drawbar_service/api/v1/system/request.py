"""What is asked: systems of passes over the same land, residue to start from, prices and a calendar."""

from datetime import date
from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.field import Field
from drawbar_service.api.shared.implement import Implement, RowId
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import ShortName, Tractor
from drawbar_service.api.v1.match.request import MatchLimits
from drawbar_service.quantities import (
    Area,
    AreaRate,
    CarbonDioxidePerFuel,
    Efficiency,
    FuelPrice,
    HireRate,
    HourlyRate,
    PassFuel,
    Share,
    Speed,
    Workday,
)

ResidueKind: TypeAlias = Literal["non-fragile", "fragile"]
Winter: TypeAlias = Literal["after-fall-harvest", "after-summer-harvest"]
Times = Annotated[int, Meta(ge=1, le=10)]
Day = Annotated[int, Meta(ge=0, le=1100)]
SystemName = Annotated[str, Meta(min_length=1, max_length=80)]


class PassMatch(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor on an implement, as for `/v1/match`."""

    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    implement: Annotated[Implement, Meta(description="The implement.")]
    soil: Annotated[Soil, Meta(description="The soil as this pass finds it: firm before tillage, tilled after.")]
    field: Annotated[Field, Meta(description="The field and how it is worked.")] = msgspec.field(default_factory=Field)
    speed: Annotated[
        Speed | None, Meta(description="Ground speed. Leave out for the greatest that fits.", examples=["8 km/h"])
    ] = None
    limits: Annotated[MatchLimits, Meta(description="Limits to keep.")] = msgspec.field(default_factory=MatchLimits)


class PassRates(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A pass of which only the rates are known."""

    capacity: Annotated[AreaRate, Meta(description="Area an hour, stops and turns included.", examples=["6 ha/h"])]
    fuel_per_area: Annotated[
        PassFuel | None, Meta(description="Fuel on an area. Left out, fuel is not counted.", examples=["6 L/ha"])
    ] = None


class FieldPass(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One pass over all the land. Give `match` or `rates`."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    match: Annotated[PassMatch | None, Meta(description="Tractor, implement and soil, for the pass.")] = None
    rates: Annotated[PassRates | None, Meta(description="Rates of the pass, where they are known.")] = None
    times: Annotated[Times, Meta(description="How often the pass is made, one right after the other.")] = 1
    operation: Annotated[
        RowId | None,
        Meta(
            description="Row of the residue table, see `/v1/reference/residue-retention`.",
            examples=["chisel-plow.twisted-point"],
        ),
    ] = None
    retention: Annotated[
        Share | None, Meta(description="Share of the residue cover that one pass leaves, in place of the table's.")
    ] = None
    winter_before: Annotated[
        Winter | None, Meta(description="Say so on the first pass after winter, for residue weathers before it.")
    ] = None
    machine_per_area: Annotated[
        HireRate | None, Meta(description="What tractor and implement cost on an area.", examples=["30 money/ha"])
    ] = None
    machine_per_time: Annotated[
        HourlyRate | None, Meta(description="What they cost in a time. Give one of the two, or neither.")
    ] = None
    price_covers_all: Annotated[
        bool, Meta(description="Whether that price includes fuel and driver, as that of hired work does.")
    ] = False
    earliest_day: Annotated[
        Day | None, Meta(description="Day before which the pass cannot begin; day 0 is the first of the calendar.")
    ] = None
    suitable_share: Annotated[
        Efficiency | None, Meta(description="Share of days fit for this pass, in place of the calendar's.")
    ] = None


FieldPasses = Annotated[list[FieldPass], Meta(min_length=1, max_length=20)]


class FieldSystem(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A way to work the land: its passes in the order they are made."""

    name: Annotated[SystemName, Meta(description="Name of the system, its own.", examples=["strip-till"])]
    passes: Annotated[FieldPasses, Meta(description="Passes, each over all the land.")]


FieldSystems = Annotated[list[FieldSystem], Meta(min_length=2, max_length=8)]


class Residue(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the harvest left on the ground."""

    cover: Annotated[Share, Meta(description="Share of the ground it covers after harvest.", examples=["90 %"])]
    kind: Annotated[
        ResidueKind,
        Meta(
            description="Non-fragile: corn, sorghum, small grain of ordinary yield. Fragile: soybean, dry bean, pea, "
            "sunflower, cotton, thin small grain."
        ),
    ]
    winter_retention: Annotated[
        Share | None, Meta(description="Share of the cover that a winter leaves, in place of the table's.")
    ] = None


class SystemPrices(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Prices that are the same for every pass."""

    fuel: Annotated[FuelPrice | None, Meta(description="Price of fuel.", examples=["0.9 money/L"])] = None
    labor: Annotated[HourlyRate | None, Meta(description="What a driver costs in a time.", examples=["25 money/h"])] = (
        None
    )


class SystemCalendar(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """When there is field work."""

    workday: Annotated[Workday, Meta(description="Hours of field work in a day.", examples=["10 h"])]
    suitable_share: Annotated[
        Efficiency | None, Meta(description="Share of days fit for field work.", examples=["60 %"])
    ] = None
    first_date: Annotated[
        date | None, Meta(description="Date of day 0, such as the end of harvest.", examples=["2027-10-20"])
    ] = None


class SystemRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Two or more ways to work the same land."""

    area: Annotated[Area, Meta(description="Land that every pass covers.", examples=["120 ha"])]
    systems: Annotated[FieldSystems, Meta(description="The systems to compare.")]
    baseline: Annotated[
        SystemName | None, Meta(description="Name of the system the others are held against; the first if left out.")
    ] = None
    residue: Annotated[Residue | None, Meta(description="Residue to start from. Left out, cover is not counted.")] = (
        None
    )
    prices: Annotated[SystemPrices, Meta(description="Prices of fuel and labor. Left out, neither is in the cost.")] = (
        msgspec.field(default_factory=SystemPrices)
    )
    calendar: Annotated[SystemCalendar | None, Meta(description="Left out, days are not counted.")] = None
    carbon_dioxide_per_fuel: Annotated[
        CarbonDioxidePerFuel | None, Meta(description="Carbon dioxide from burning the fuel; of diesel if left out.")
    ] = None
    tables: Tables = None
