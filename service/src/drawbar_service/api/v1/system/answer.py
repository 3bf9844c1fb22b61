"""POST /v1/system: chains of passes from harvest to planting on the same land, side by side."""

from datetime import date
from typing import Annotated, Any

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.system.comparison import (
    Chain,
    SystemDifference,
    SystemVerdict,
    criteria,
    difference,
    summary,
)
from drawbar_service.api.v1.system.field_pass import (
    NOTHING,
    CostParts,
    FieldPass,
    Land,
    Made,
    PassAnswer,
    ResidueKind,
    State,
    Sums,
    added,
    carbon,
    cost_parts,
    ranged,
    reckon,
    total_cost,
)
from drawbar_service.quantities import (
    Area,
    CarbonDioxidePerFuel,
    Efficiency,
    FuelPerArea,
    FuelPrice,
    HourlyRate,
    Mass,
    Share,
    Time,
    Volume,
    Workday,
)

SystemName = Annotated[str, Meta(min_length=1, max_length=80)]
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
    labour: Annotated[
        HourlyRate | None, Meta(description="What a driver costs in a time.", examples=["25 money/h"])
    ] = None


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
    residue: Annotated[Residue | None, Meta(description="Residue to start from. Left out, cover is not reckoned.")] = (
        None
    )
    prices: Annotated[
        SystemPrices, Meta(description="Prices of fuel and labour. Left out, neither is in the cost.")
    ] = msgspec.field(default_factory=SystemPrices)
    calendar: Annotated[SystemCalendar | None, Meta(description="Left out, days are not reckoned.")] = None
    carbon_dioxide_per_fuel: Annotated[
        CarbonDioxidePerFuel | None, Meta(description="Carbon dioxide from burning the fuel; of diesel if left out.")
    ] = None


class SystemTotals(msgspec.Struct, frozen=True, kw_only=True):
    """All passes of a system together; low and high add up the ends of every pass."""

    passes: Annotated[int, Meta(description="Passes over the land.")]
    fits: Annotated[bool, Meta(description="Whether every pass that was matched fits.")]
    time: Annotated[Time, Meta(description="Hours.")]
    fuel: Annotated[Volume | None, Meta(description="Fuel; null if that of a pass is not known.")]
    fuel_per_area: Annotated[FuelPerArea | None, Meta(description="Fuel on an area of the land.")]
    carbon_dioxide: Annotated[Mass | None, Meta(description="Carbon dioxide from burning that fuel, and nothing else.")]
    cost: Annotated[CostParts, Meta(description="What it costs.")]
    cover: Annotated[Share | None, Meta(description="Ground covered after the last pass. Low and high: outer bound.")]
    finish_day: Annotated[float | None, Meta(description="Day the last pass is done; null without a calendar.")]
    latest_finish_day: Annotated[float | None, Meta(description="The same at the high end of the hours.")]
    finish_date: Annotated[str | None, Meta(description="Date of the finish day; null without a date for day 0.")]


class SystemResult(msgspec.Struct, frozen=True, kw_only=True):
    """One system."""

    name: Annotated[str, Meta(description="Its name.")]
    passes: Annotated[list[PassAnswer], Meta(description="Every pass, in order.")]
    totals: Annotated[SystemTotals, Meta(description="All passes together.")]


class SystemAnswer(Answer, frozen=True, kw_only=True):
    """Systems side by side."""

    verdict: Annotated[SystemVerdict, Meta(description="The answer in short.")]
    baseline: Annotated[str, Meta(description="The system the others are held against.")]
    systems: Annotated[list[SystemResult], Meta(description="Every system, in the order of the request.")]
    differences: Annotated[list[SystemDifference], Meta(description="Every other system against the baseline.")]
    about: AboutField


def compute(request: SystemRequest, ledger: Ledger) -> SystemAnswer:
    """Answer a system request."""
    names = [system.name for system in request.systems]
    for index, name in enumerate(names):
        if name in names[:index]:
            ledger.fault(f"/systems/{index}/name", f"{name!r} is the name of another system too; each needs its own")
    if request.baseline is not None and request.baseline not in names:
        ledger.fault("/baseline", f"no system is named {request.baseline!r}; there are {', '.join(names)}")
    land = _land(request, ledger)
    chains = [
        _chain(system, f"/systems/{index}", request.residue, land, ledger)
        for index, system in enumerate(request.systems)
    ]
    ledger.stop_at_faults()
    _compare_prices(request, ledger)
    ledger.use("derived", "asabe-s495")
    known = [chain for chain in chains if chain is not None]
    baseline = next(chain for chain in known if chain.name == (request.baseline or names[0]))
    found = criteria(known)
    return SystemAnswer(
        verdict=SystemVerdict(summary=summary(known, found, ledger), criteria=found),
        baseline=baseline.name,
        systems=[SystemResult(name=chain.name, passes=chain.passes, totals=_totals(chain, land)) for chain in known],
        differences=[difference(chain, baseline, land.carbon_per_fuel) for chain in known if chain is not baseline],
        about=ledger.about(),
    )


def _land(request: SystemRequest, ledger: Ledger) -> Land:
    calendar, residue, prices = request.calendar, request.residue, request.prices
    share = 1.0
    if calendar is not None and any(one.suitable_share is None for system in request.systems for one in system.passes):
        share = ledger.fallback(calendar.suitable_share, "/calendar/suitable_share", "suitable_share")
    if residue is not None:
        ledger.warn(
            "rough-estimate",
            "/residue",
            "Cover is an estimate for planning: what a tool leaves depends on depth, speed, moisture and setting. The "
            "value goes by the middle of each range, low and high by its ends, which together are an outer bound. A "
            "line-transect measurement decides for conservation compliance; ask the local conservation office.",
        )
    return Land(
        area=float(request.area),
        carbon_per_fuel=ledger.fallback(
            request.carbon_dioxide_per_fuel,
            "/carbon_dioxide_per_fuel",
            "carbon_dioxide_per_diesel",
            CarbonDioxidePerFuel,
        ),
        fuel_price=float(prices.fuel) if prices.fuel is not None else None,
        wage=float(prices.labour) if prices.labour is not None else None,
        residue=residue.kind if residue is not None else None,
        winter_retention=(
            float(residue.winter_retention) if residue is not None and residue.winter_retention is not None else None
        ),
        day_length=float(calendar.workday) if calendar is not None else None,
        suitable_share=share,
        first_date=calendar.first_date if calendar is not None else None,
    )


def _chain(system: FieldSystem, pointer: str, residue: Residue | None, land: Land, ledger: Ledger) -> Chain | None:
    """Return a system, pass after pass; None if a fault in it was noted."""
    cover = np.full(3, float(residue.cover)) if residue is not None else NOTHING
    state = State(cover, NOTHING, loosened=False)
    made: list[Made] = []
    for index, one in enumerate(system.passes):
        done = reckon(one, f"{pointer}/passes/{index}", state, land, ledger)
        if done is not None:
            made.append(done)
            state = done.after
    if len(made) < len(system.passes):
        return None
    every = [done.sums for done in made]
    fuels = [sums.fuel for sums in every if sums.fuel is not None]
    sums = Sums(
        passes=sum(one.passes for one in every),
        time=np.sum([one.time for one in every], axis=0),
        fuel=np.sum(fuels, axis=0) if len(fuels) == len(every) else None,
        machine=added([one.machine for one in every]),
        fuel_cost=added([one.fuel_cost for one in every]),
        labour=added([one.labour for one in every]),
        fuel_cost_known=all(one.fuel_cost_known for one in every),
        fits=all(one.fits for one in every),
    )
    return Chain(
        system.name,
        [done.answer for done in made],
        sums,
        total_cost(sums),
        state.cover if residue is not None else None,
        state.day if land.day_length is not None else None,
    )


def _compare_prices(request: SystemRequest, ledger: Ledger) -> None:
    """Warn of passes without a machine price where others have one."""
    passes = [
        (f"/systems/{i}/passes/{j}", one.machine_per_area is not None or one.machine_per_time is not None)
        for i, system in enumerate(request.systems)
        for j, one in enumerate(system.passes)
    ]
    if any(priced for _, priced in passes):
        for pointer, priced in passes:
            if not priced:
                ledger.warn(
                    "rough-estimate",
                    pointer,
                    "Other passes have a machine price and this one has none: in the sum its machines cost nothing.",
                )


def _totals(chain: Chain, land: Land) -> SystemTotals:
    sums, last = chain.sums, chain.passes[-1].calendar
    return SystemTotals(
        passes=sums.passes,
        fits=sums.fits,
        time=ranged(Time, sums.time),
        fuel=ranged(Volume, sums.fuel) if sums.fuel is not None else None,
        fuel_per_area=ranged(FuelPerArea, sums.fuel / land.area) if sums.fuel is not None else None,
        carbon_dioxide=carbon(sums.fuel, land),
        cost=cost_parts(sums, land.area),
        cover=ranged(Share, chain.cover) if chain.cover is not None else None,
        finish_day=last.finish_day if last is not None else None,
        latest_finish_day=last.latest_finish_day if last is not None else None,
        finish_date=last.finish_date if last is not None else None,
    )


def _example() -> dict[str, Any]:
    cultivator = {
        "hitch": "drawbar",
        "tools": [{"tool": "field-cultivator.secondary", "count": 40, "spacing": "18 cm", "depth": "8 cm"}],
    }
    worked = {"texture": "medium", "surface": "tilled"}
    plant = {
        "name": "plant",
        "rates": {"capacity": "4.5 ha/h", "fuel_per_area": "4 L/ha"},
        "operation": "row-crop-planter.conventional",
        "machine_per_area": "30 money/ha",
        "earliest_day": 190,
    }
    spray = {
        "name": "spray weeds",
        "rates": {"capacity": "14 ha/h", "fuel_per_area": "1 L/ha"},
        "retention": "100 %",
        "winter_before": "after-fall-harvest",
        "machine_per_area": "20 money/ha",
        "price_covers_all": True,
        "earliest_day": 185,
    }
    return {
        "area": "120 ha",
        "residue": {"cover": "90 %", "kind": "non-fragile"},
        "prices": {"fuel": "0.95 money/L", "labour": "24 money/h"},
        "calendar": {"workday": "10 h", "suitable_share": "60 %", "first_date": "2027-10-20"},
        "systems": [
            {
                "name": "chisel and field cultivator",
                "passes": [
                    {
                        "name": "fall chisel",
                        "match": {
                            "tractor": EXAMPLE_TRACTOR,
                            "implement": EXAMPLE_IMPLEMENT,
                            "soil": {"texture": "medium", "surface": "firm"},
                            "speed": "7 km/h",
                        },
                        "operation": "disk-chisel-plow.twisted-point",
                        "machine_per_area": "34 money/ha",
                    },
                    {
                        "name": "spring field cultivator",
                        "match": {
                            "tractor": EXAMPLE_TRACTOR,
                            "implement": cultivator,
                            "soil": worked,
                            "speed": "9 km/h",
                        },
                        "operation": "field-cultivator.secondary",
                        "machine_per_area": "16 money/ha",
                        "winter_before": "after-fall-harvest",
                        "earliest_day": 180,
                    },
                    plant,
                ],
            },
            {
                "name": "no-till",
                "passes": [spray, plant | {"operation": "row-crop-planter.no-till"}],
            },
        ],
    }


SYSTEM = Calculation(
    name="system",
    request=SystemRequest,
    answer=SystemAnswer,
    compute=compute,
    summary="Chains of passes on the same land, side by side",
    description=(
        "From harvest to planting: hours, fuel, cost, carbon dioxide from the fuel, passes, days and the residue left "
        "after each pass, for two to eight systems, and each against a baseline. A pass is a whole match or its rates. "
        "Passes follow one another, each over all the land. Says which system comes first on each criterion, and "
        "whether clearly; what counts more is yours to say."
    ),
    example=_example(),
    columns=(
        "/verdict/summary",
        "/baseline",
    ),
)
