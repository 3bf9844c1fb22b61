"""What is asked: machines and the terms they are owned on, the work of a year, and what to compare."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import Count, RowId
from drawbar_service.api.shared.tables import Tables
from drawbar_service.quantities import (
    AnnualUse,
    Area,
    AreaRate,
    FuelPrice,
    FuelRate,
    HireRate,
    HourlyRate,
    InterestRate,
    MachineHours,
    MachinePrice,
    Multiplier,
    PartHours,
    Price,
    Share,
    ShortTime,
    Width,
)

Name = Annotated[str, Meta(min_length=1, max_length=80)]
Workers = Annotated[int, Meta(ge=1, le=50)]
Age = Annotated[float, Meta(ge=0.0, le=60.0)]
YearsKept = Annotated[float, Meta(ge=0.25, le=60.0)]
RepairFactor1 = Annotated[float, Meta(ge=0.0, le=10.0)]
RepairFactor2 = Annotated[float, Meta(ge=0.5, le=4.0)]


class WearPart(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A kind of part that fits.

    The first of a place is what is fitted, and states its `life` or `life_hours`. The others may state theirs, or how
    many `times_first` they last; or both name their `point` in the wear table.
    """

    name: Annotated[Name, Meta(description="What you call it.", examples=["wing point"])]
    price: Annotated[Price, Meta(description="Of one.", examples=[42])]
    life: Annotated[Area | None, Meta(description="Area the machine works on one set of it.", examples=["180 ha"])] = (
        None
    )
    life_hours: Annotated[PartHours | None, Meta(description="Hours the machine works on one set.")] = None
    times_first: Annotated[Multiplier | None, Meta(description="Life over that of the first option.", examples=[3])] = (
        None
    )
    point: Annotated[
        RowId | None,
        Meta(description="Row of the wear table; with one on the first option, tells life.", examples=["wing-point"]),
    ] = None
    change_time: Annotated[ShortTime | None, Meta(description="Labor to change one.", examples=["6 min"])] = None


class WearingPlace(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A place on the machine where parts wear, and what may be fitted there."""

    name: Annotated[Name, Meta(description="What you call it.", examples=["shank points"])]
    count: Annotated[Count, Meta(description="Parts in a set: how many the machine carries there.", examples=[11])]
    soil_factor: Annotated[
        Multiplier | None,
        Meta(
            description="Life in this soil over the lives given, for all options; no table tells it. Below 1: it wears "
            "faster."
        ),
    ] = None
    options: Annotated[
        list[WearPart],
        Meta(min_length=1, max_length=10, description="What is fitted, then what else would fit."),
    ]


class Terms(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What capital costs, and what comes with owning, each year."""

    interest: Annotated[
        InterestRate,
        Meta(description="Real interest a year: the bank's rate less inflation, about.", examples=["4 %"]),
    ]
    taxes: Annotated[Share | None, Meta(description="Taxes a year, over the price.", examples=["1 %"])] = None
    insurance: Annotated[Share | None, Meta(description="Insurance a year, over the price.")] = None
    housing: Annotated[Share | None, Meta(description="Shed a year, over the price.")] = None


class RepairFactors(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Repairs up to h hours of work are RF1 × list price × (h/1000)^RF2."""

    RF1: Annotated[RepairFactor1, Meta(description="Repair factor 1.", examples=[0.28])]
    RF2: Annotated[RepairFactor2, Meta(description="Repair factor 2, the exponent.", examples=[1.4])]


class OwnedMachine(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor or an implement that takes part in the work.

    Give `remaining_value` or `resale`, and `practice` or `repair_factors`.
    """

    name: Annotated[Name, Meta(description="What you call it; each machine its own.", examples=["chisel plow"])]
    price: Annotated[
        MachinePrice, Meta(description="What you pay for it, or what it would fetch today if it is yours.")
    ]
    list_price: Annotated[
        MachinePrice | None, Meta(description="Price of the same machine new, today; `price` if left out.")
    ] = None
    remaining_value: Annotated[
        RowId | None,
        Meta(description="Row of the remaining-value table, for what it fetches in the end.", examples=["tillage"]),
    ] = None
    resale: Annotated[Price | None, Meta(description="What it will fetch in the end, if you know better.")] = None
    practice: Annotated[
        RowId | None,
        Meta(description="Row of the practice table, for its repair factors and life.", examples=["chisel-plow"]),
    ] = None
    repair_factors: Annotated[RepairFactors | None, Meta(description="Repair factors of your own.")] = None
    age: Annotated[Age | None, Meta(description="Age in years at the price given; 0 if left out: new.")] = None
    hours: Annotated[MachineHours | None, Meta(description="Hours it has worked by then; 0 if left out: new.")] = None
    years: Annotated[YearsKept, Meta(description="Years you keep it from then on.", examples=[10])]
    annual_use: Annotated[
        AnnualUse | None,
        Meta(description="Hours it works in a year, all work together; this work alone if left out."),
    ] = None
    width: Annotated[Width | None, Meta(description="Working width; needed for `best_width` only.")] = None
    wearing: Annotated[
        list[WearingPlace], Meta(max_length=20, description="Points and other parts that wear out on the ground.")
    ] = []


class FuelUse(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Fuel of the work."""

    rate: Annotated[
        FuelRate,
        Meta(
            description="Fuel in an hour, turns and stops included: `fuel.mean_rate` of a match.", examples=["31 L/h"]
        ),
    ]
    price: Annotated[FuelPrice, Meta(description="Price of the fuel.", examples=["1.20 money/L"])]
    oil_share: Annotated[Share | None, Meta(description="Oil and grease over the cost of fuel.", examples=["15 %"])] = (
        None
    )


class Labor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Who does the work."""

    wage: Annotated[HourlyRate, Meta(description="Pay of one worker.", examples=["18 money/h"])]
    overhead: Annotated[Share | None, Meta(description="What comes on top of pay.", examples=["10 %"])] = None
    workers: Annotated[Workers, Meta(description="How many work at once.")] = 1


class YearsWork(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The work of a year. Give `area` or `hours`."""

    capacity: Annotated[
        AreaRate, Meta(description="Area in an hour: `capacity.effective` of a match.", examples=["2.4 ha/h"])
    ]
    area: Annotated[
        Area | None, Meta(description="Area in a year; an area worked twice counts twice.", examples=["210 ha"])
    ] = None
    hours: Annotated[AnnualUse | None, Meta(description="Hours in a year, in place of `area`.")] = None
    fuel: Annotated[FuelUse | None, Meta(description="Fuel; left out, none is counted.")] = None
    labor: Annotated[Labor | None, Meta(description="Labor; left out, none is counted.")] = None


class BestWidth(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Asks how wide a machine should be, its price in proportion to width.

    Other machines and labor cost the same an hour at any width; fuel and wearing parts the same on an area.
    """

    machine: Annotated[Name, Meta(description="Its name in `machines`; it needs a `width`.", examples=["chisel plow"])]
    delay_cost: Annotated[
        HourlyRate | None,
        Meta(
            description=(
                "Crop lost for each hour the work takes: `delay.expected` of `/v1/completion` over its hours. Left "
                "out, none is counted."
            ),
            examples=["40 money/h"],
        ),
    ] = None
    within: Annotated[
        Share | None, Meta(description="Widths that cost at most this much more than the best make the band.")
    ] = None
    narrowest: Annotated[Width | None, Meta(description="Narrowest to think of; a tenth of it if left out.")] = None
    widest: Annotated[Width | None, Meta(description="Widest to think of; ten times as wide if left out.")] = None


class CostRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Machines, the terms they are owned on, and the work they do. Amounts are in one currency, yours."""

    machines: Annotated[
        list[OwnedMachine], Meta(min_length=1, max_length=20, description="All that take part: tractor and implement.")
    ]
    terms: Annotated[Terms, Meta(description="Interest, taxes, insurance and housing.")]
    work: Annotated[YearsWork, Meta(description="The work of a year.")]
    hire_rate: Annotated[
        HireRate | None,
        Meta(description="What it costs to have the work done, all included.", examples=["58 money/ha"]),
    ] = None
    best_width: Annotated[BestWidth | None, Meta(description="Asks for the width of a machine that costs least.")] = (
        None
    )
    tables: Tables = None
