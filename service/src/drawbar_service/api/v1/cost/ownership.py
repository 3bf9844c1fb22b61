"""A machine one owns: price, terms, age and repairs, as a request tells them and as the engine takes them."""

from math import sqrt
from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import RowId
from drawbar_service.api.v1.cost.wear import Name, WearingPlace
from drawbar_service.engine.cost import HOUR, Owned, RemainingValue, YearlyCost, yearly_cost
from drawbar_service.quantities import (
    AnnualUse,
    InterestRate,
    MachineHours,
    MachinePrice,
    Money,
    MoneyPerArea,
    MoneyPerTime,
    Price,
    Share,
    Time,
    Width,
)
from drawbar_service.reference import UnknownReference, practice_row, remaining_value_row

Age = Annotated[float, Meta(ge=0.0, le=60.0)]
YearsKept = Annotated[float, Meta(ge=0.25, le=60.0)]
RepairFactor1 = Annotated[float, Meta(ge=0.0, le=10.0)]
RepairFactor2 = Annotated[float, Meta(ge=0.5, le=4.0)]

ROUNDING = 1e-9
"""Part of a figure [1] that counts as none."""
ROUNDED_USE = 0.01
"""Part of the hours of this work [1] that the hours of a year may fall short of it; three digits are told of them."""


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


class CostLine(msgspec.Struct, frozen=True, kw_only=True):
    """One item of cost, in three measures."""

    per_year: Annotated[Money, Meta(description="In a year of this work.")]
    per_hour: Annotated[MoneyPerTime, Meta(description="In an hour of it.")]
    per_area: Annotated[MoneyPerArea, Meta(description="On an area.")]


class MachineCost(msgspec.Struct, frozen=True, kw_only=True):
    """What a machine costs. The lines are this work's share of it."""

    name: Annotated[str, Meta(description="As in the request.")]
    share_of_use: Annotated[Share, Meta(description="Part of the machine's year that this work takes.")]
    annual_use: Annotated[Time, Meta(description="Hours the machine works in a year, all work together.")]
    hours_at_sale: Annotated[Time, Meta(description="Hours it will have worked when you part with it.")]
    resale: Annotated[Money, Meta(description="What it fetches then, once.")]
    whole_year: Annotated[
        Money, Meta(description="Ownership and repairs of a year, all work together, without wearing parts.")
    ]
    capital_recovery: Annotated[CostLine, Meta(description="Loss of value, and interest on what is tied up.")]
    taxes: Annotated[CostLine, Meta(description="Taxes.")]
    insurance: Annotated[CostLine, Meta(description="Insurance.")]
    housing: Annotated[CostLine, Meta(description="Housing.")]
    repairs: Annotated[
        CostLine, Meta(description="Repairs and upkeep at today's prices, mean of the years you keep it.")
    ]
    parts: Annotated[CostLine, Meta(description="Wearing parts as fitted: the first option of each place.")]
    total: Annotated[CostLine, Meta(description="All of these.")]


class Shares(NamedTuple):
    """What stands against a machine each year, over its price [1]."""

    taxes: float
    insurance: float
    housing: float


class MachineInSI(NamedTuple):
    """A machine of a request, in SI units and with nothing left open."""

    name: str
    pointer: str
    owned: Owned
    shares: Shares
    other_use: float
    """Work it does in a year besides this one [s]."""
    yearly: YearlyCost
    """Of all its work together."""
    life: float | None
    """Hours of work in a life of the machine [s], if a table gives it."""


def shares_in_si(terms: Terms, ledger: Ledger) -> Shares:
    """Return the yearly shares of `terms`, defaults filled in."""
    ledger.use("asae-ep496")
    return Shares(
        *(
            ledger.fallback(getattr(terms, name), f"/terms/{name}", f"{name}_share")
            for name in ("taxes", "insurance", "housing")
        )
    )


def machine_in_si(
    machine: OwnedMachine, terms: Terms, shares: Shares, time: float, ledger: Ledger, pointer: str
) -> MachineInSI | None:
    """Return a `machine` that does this work for `time` [s] a year, or None once a fault is noted that stops it."""
    price = float(machine.price)
    list_price = float(machine.list_price) if machine.list_price is not None else price
    value = _value(machine, list_price, ledger, pointer)
    repairs = _repair_factors(machine, ledger, pointer)
    use = _annual_use(machine, time, ledger, pointer)
    if value is None or repairs is None or use is None:
        return None
    if machine.list_price is None:
        ledger.assume(
            f"{pointer}/list_price", MachinePrice(price), "The price paid is the list price.", "drawbar-default"
        )
    if machine.age is None and machine.hours is None:
        ledger.assume(f"{pointer}/age", "0", "Bought new, with no hours on it.", "drawbar-default")
    rf1, rf2, life = repairs
    owned = Owned(
        price=price,
        list_price=list_price,
        value=value,
        rf1=rf1,
        rf2=rf2,
        age=machine.age or 0.0,
        used=float(machine.hours or 0.0),
        years=machine.years,
        interest=float(terms.interest),
        standing=sum(shares),
    )
    yearly = yearly_cost(owned, use)
    found = MachineInSI(machine.name, pointer, owned, shares, use - time, yearly, life)
    _check(found, use, ledger)
    return found


def _value(machine: OwnedMachine, list_price: float, ledger: Ledger, pointer: str) -> RemainingValue | None:
    if (machine.remaining_value is None) == (machine.resale is None):
        ledger.fault(
            f"{pointer}/remaining_value",
            "give remaining_value (a row of /v1/reference/remaining-value) or resale (an amount), one of the two",
        )
        return None
    if machine.resale is not None:
        # What does not age: the square root undoes the square of the remaining value.
        return RemainingValue(sqrt(float(machine.resale) / list_price), 0.0, 0.0)
    try:
        row = remaining_value_row(machine.remaining_value or "")
    except UnknownReference as error:
        ledger.unknown(f"{pointer}/remaining_value", error)
        return None
    ledger.use(row.source)
    return RemainingValue(row.C1, row.C2, row.C3)


def _repair_factors(machine: OwnedMachine, ledger: Ledger, pointer: str) -> tuple[float, float, float | None] | None:
    """Return repair factors 1 and 2, and the life [s] if a table gives it."""
    own = machine.repair_factors
    if (machine.practice is None) == (own is None):
        ledger.fault(
            f"{pointer}/practice",
            "give practice (a row of /v1/reference/practice) or repair_factors, one of the two",
        )
        return None
    if own is not None:
        return own.RF1, own.RF2, None
    try:
        row = practice_row(machine.practice or "")
    except UnknownReference as error:
        ledger.unknown(f"{pointer}/practice", error)
        return None
    ledger.use(row.source)
    return row.RF1, row.RF2, row.life_h * HOUR


def _annual_use(machine: OwnedMachine, time: float, ledger: Ledger, pointer: str) -> float | None:
    place = f"{pointer}/annual_use"
    if machine.annual_use is None:
        ledger.assume(place, AnnualUse(time), "It does no other work.", "drawbar-default")
        return time
    use = float(machine.annual_use)
    if use < time * (1.0 - ROUNDED_USE):
        ledger.fault(
            place,
            f"{ledger.say(machine.annual_use)} is less than the {ledger.say(Time(time))} that this work takes; "
            "give the hours of all its work, this one included",
        )
        return None
    return max(use, time)


def _check(machine: MachineInSI, use: float, ledger: Ledger) -> None:
    owned, resale = machine.owned, float(machine.yearly.resale)
    if resale > float(owned.price) * (1.0 + ROUNDING):
        ledger.fault(
            f"{machine.pointer}/price",
            f"{ledger.say(Money(float(owned.price)))} is less than the {ledger.say(Money(resale))} the machine is said "
            "to fetch in the end; check price, list_price and age, or give the resale you count on",
        )
    if resale == 0.0 and owned.value.c2 > 0.0:
        ledger.warn(
            "outside-range",
            f"{machine.pointer}/years",
            "The table's value has run down to nothing before you part with the machine; state a resale instead.",
        )
    at_sale = float(owned.used + owned.years * use)
    if machine.life is not None and at_sale > machine.life * (1.0 + ROUNDING):
        ledger.warn(
            "outside-range",
            f"{machine.pointer}/years",
            f"It will have worked {ledger.say(Time(at_sale))}, more than the {ledger.say(Time(machine.life))} of a "
            "life in the practice table; repairs beyond it are a guess.",
        )


def cost_line(per_year: float, time: float, area: float) -> CostLine:
    """Return a cost of so much a year [money] for each of `time` [s] and `area` [m^2] of a year's work."""
    return CostLine(
        per_year=Money(per_year), per_hour=MoneyPerTime(per_year / time), per_area=MoneyPerArea(per_year / area)
    )


def machine_cost(machine: MachineInSI, parts: float, time: float, area: float) -> MachineCost:
    """Return what a `machine` and its wearing `parts` [money] cost this work of `time` [s] and `area` [m^2] a year."""
    owned, yearly = machine.owned, machine.yearly
    use = machine.other_use + time
    share = time / use

    def line(per_year: float) -> CostLine:
        return cost_line(per_year, time, area)

    price = float(owned.price)
    return MachineCost(
        name=machine.name,
        share_of_use=Share(share),
        annual_use=Time(use),
        hours_at_sale=Time(float(owned.used + owned.years * use)),
        resale=Money(float(yearly.resale)),
        whole_year=Money(float(yearly.total)),
        capital_recovery=line(float(yearly.recovery) * share),
        taxes=line(price * machine.shares.taxes * share),
        insurance=line(price * machine.shares.insurance * share),
        housing=line(price * machine.shares.housing * share),
        repairs=line(float(yearly.repairs) * share),
        parts=line(parts),
        total=line(float(yearly.total) * share + parts),
    )
