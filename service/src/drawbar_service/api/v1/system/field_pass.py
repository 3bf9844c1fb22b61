"""One pass over the land, as a request describes it and as a chain of passes adds it up."""

import math
from datetime import date
from typing import Annotated, Literal, NamedTuple, TypeAlias, TypeVar

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.shared.field import Field
from drawbar_service.api.shared.implement import Implement, RowId
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tractor import ShortName, Tractor
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.v1.match.request import MatchLimits, MatchRequest
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.cost import running_cost
from drawbar_service.engine.system import (
    carbon_dioxide,
    cover_left,
    finish_day,
    machine_cost,
    pass_fuel,
    pass_time,
    start_day,
)
from drawbar_service.model.limits import LimitName
from drawbar_service.quantities import (
    AreaRate,
    Efficiency,
    FuelPerArea,
    HireRate,
    HourlyRate,
    Mass,
    Money,
    MoneyPerArea,
    PassFuel,
    Quantity,
    Ratio,
    Share,
    Speed,
    Time,
    Volume,
)
from drawbar_service.reference import UnknownReference, draft_row, residue_row

QuantityT = TypeVar("QuantityT", bound=Quantity)
ResidueKind: TypeAlias = Literal["non-fragile", "fragile"]
Winter: TypeAlias = Literal["after-fall-harvest", "after-summer-harvest"]
Times = Annotated[int, Meta(ge=1, le=10)]
Day = Annotated[int, Meta(ge=0, le=1100)]

NOTHING: FloatArray = np.zeros(3)
"""A value with its low and high, all 0."""


class PassMatch(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor on an implement, reckoned as `/v1/match` does."""

    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    implement: Annotated[Implement, Meta(description="The implement.")]
    soil: Annotated[Soil, Meta(description="The soil as this pass finds it: firm before tillage, tilled after.")]
    field: Annotated[Field, Meta(description="The field and how it is worked.")] = msgspec.field(default_factory=Field)
    speed: Annotated[
        Speed | None, Meta(description="Ground speed. Leave out for the greatest that fits.", examples=["8 km/h"])
    ] = None
    limits: Annotated[MatchLimits, Meta(description="Limits to hold the tractor to.")] = msgspec.field(
        default_factory=MatchLimits
    )


class PassRates(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A pass of which only the rates are known."""

    capacity: Annotated[AreaRate, Meta(description="Area an hour, stops and turns included.", examples=["6 ha/h"])]
    fuel_per_area: Annotated[
        PassFuel | None, Meta(description="Fuel on an area. Left out, fuel is not reckoned.", examples=["6 L/ha"])
    ] = None


class FieldPass(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One pass over all the land. Give `match` or `rates`."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    match: Annotated[PassMatch | None, Meta(description="Tractor, implement and soil, to reckon the pass.")] = None
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


class PassMatchAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What the match says of a pass."""

    fits: Annotated[bool, Meta(description="Whether every limit is kept.")]
    binding: Annotated[LimitName, Meta(description="The limit that is exceeded most, or nearest to being met.")]
    summary: Annotated[str, Meta(description="The match in words.")]
    speed: Annotated[Speed, Meta(description="Ground speed.")]
    load_fraction: Annotated[Ratio, Meta(description="PTO power needed over rated.")]
    slip: Annotated[Share | None, Meta(description="Slip; null on rubber tracks.")]


class CostParts(msgspec.Struct, frozen=True, kw_only=True):
    """What something costs, as far as prices were given; null where none was."""

    machine: Annotated[Money | None, Meta(description="Tractor and implement, or hired work.")]
    fuel: Annotated[Money | None, Meta(description="Fuel, where no hired price covers it.")]
    labour: Annotated[Money | None, Meta(description="One driver for the hours, where no hired price covers it.")]
    total: Annotated[Money | None, Meta(description="Sum of those that are known.")]
    per_area: Annotated[MoneyPerArea | None, Meta(description="That sum on an area.")]


class PassCalendar(msgspec.Struct, frozen=True, kw_only=True):
    """When a pass is made. Days count from 0; day 1.5 is noon of the second."""

    start_day: Annotated[float, Meta(description="Day it begins.")]
    finish_day: Annotated[float, Meta(description="Day it is done, on average; `/v1/completion` tells the chance.")]
    latest_finish_day: Annotated[float, Meta(description="The same at the high end of the hours so far.")]
    start_date: Annotated[str | None, Meta(description="Date of the start day; null without a date for day 0.")]
    finish_date: Annotated[str | None, Meta(description="Date of the finish day; null without a date for day 0.")]


class PassAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One pass: hours, fuel, cost and residue, for all the times it is made."""

    name: Annotated[str, Meta(description="Its name in the request.")]
    times: Annotated[int, Meta(description="How often it is made.")]
    capacity: Annotated[AreaRate, Meta(description="Area an hour.")]
    time: Annotated[Time, Meta(description="Hours.")]
    fuel: Annotated[Volume | None, Meta(description="Fuel; null if it is not known.")]
    fuel_per_area: Annotated[FuelPerArea | None, Meta(description="Fuel on an area of the land.")]
    carbon_dioxide: Annotated[Mass | None, Meta(description="Carbon dioxide from burning that fuel.")]
    cost: Annotated[CostParts, Meta(description="What it costs.")]
    retention: Annotated[
        Share | None, Meta(description="Share of the cover that one pass leaves; the middle of the range is ours.")
    ]
    cover_after: Annotated[
        Share | None, Meta(description="Ground covered by residue after it. Low and high are an outer bound.")
    ]
    calendar: Annotated[PassCalendar | None, Meta(description="When it is made, if a calendar was given.")]
    match: Annotated[PassMatchAnswer | None, Meta(description="What the match says; null for given rates.")]


class Land(NamedTuple):
    """What every pass of a request shares, in SI units."""

    area: float
    carbon_per_fuel: float
    fuel_price: float | None
    wage: float | None
    residue: ResidueKind | None
    winter_retention: float | None
    day_length: float | None
    """None without a calendar."""
    suitable_share: float
    first_date: date | None


class State(NamedTuple):
    """The land between two passes; an array holds value, low and high."""

    cover: FloatArray
    """[1]"""
    day: FloatArray
    """Day on which it is ready [d]"""
    loosened: bool
    """Whether it was tilled deep and no winter has settled it since."""


class Sums(NamedTuple):
    """What a pass or a chain takes; an array holds value, low and high."""

    passes: int
    time: FloatArray
    fuel: FloatArray | None
    """None where it is not known."""
    machine: FloatArray | None
    """None where no price was given, here and in the next two."""
    fuel_cost: FloatArray | None
    labour: FloatArray | None
    fuel_cost_known: bool
    """False where fuel has a price but how much of it is not known."""
    fits: bool


class Made(NamedTuple):
    """A pass that has been reckoned."""

    answer: PassAnswer
    sums: Sums
    after: State


def reckon(one: FieldPass, pointer: str, before: State, land: Land, ledger: Ledger) -> Made | None:
    """Return a pass over `land` that it finds in the state `before`; None if what it takes cannot be known."""
    _check(one, pointer, land, ledger)
    retention = _retention(one, pointer, land, ledger)
    winter = _winter(one, land, ledger)
    loosened = before.loosened and one.winter_before is None
    found = None
    if one.match is not None:
        found = _matched(one.match, f"{pointer}/match", loosened, ledger)
        loosened = loosened or (found is not None and _tills_deep(one.match.implement))
    rates = found if found is not None else one.rates
    if rates is None:
        return None
    if isinstance(rates, MatchAnswer):
        capacity, fuel_per_area = rates.capacity.effective, rates.fuel.per_area if rates.fuel is not None else None
    else:
        capacity, fuel_per_area = rates.capacity, rates.fuel_per_area
    area, times = land.area, float(one.times)
    time = np.asarray(pass_time(area, _span(capacity)[[0, 2, 1]], times))
    fuel = np.asarray(pass_fuel(area, _span(fuel_per_area), times)) if fuel_per_area is not None else None
    sums = _sums(one, time, fuel, found is None or found.verdict.fits, land)
    cover = np.asarray(cover_left(cover_left(before.cover, winter, 1.0), retention, times))
    day, calendar = _days(one, time, before, land)
    answer = PassAnswer(
        name=one.name,
        times=one.times,
        capacity=capacity,
        time=ranged(Time, time),
        fuel=ranged(Volume, fuel) if fuel is not None else None,
        fuel_per_area=ranged(FuelPerArea, fuel / area) if fuel is not None else None,
        carbon_dioxide=carbon(fuel, land),
        cost=cost_parts(sums, area),
        retention=ranged(Share, retention) if land.residue is not None else None,
        cover_after=ranged(Share, cover) if land.residue is not None else None,
        calendar=calendar,
        match=_in_short(found) if found is not None else None,
    )
    return Made(answer, sums, State(cover, day, loosened))


def ranged(kind: type[QuantityT], span: FloatArray) -> QuantityT:
    """Return a quantity from its value, low and high, with a range if it has one."""
    value, low, high = (float(number) for number in span)
    return kind(value) if low == value == high else kind.ranged(value, min(value, low), max(value, high))


def carbon(fuel: FloatArray | None, land: Land) -> Mass | None:
    """Return the carbon dioxide from burning `fuel`."""
    return ranged(Mass, np.asarray(carbon_dioxide(fuel, land.carbon_per_fuel))) if fuel is not None else None


def added(parts: list[FloatArray | None]) -> FloatArray | None:
    """Return the sum of those that are there; None if none is."""
    there = [part for part in parts if part is not None]
    return np.sum(there, axis=0) if there else None


def total_cost(sums: Sums) -> FloatArray | None:
    """Return the sum of all that has a price; None if nothing has, or if fuel has one but is not known."""
    return added([sums.machine, sums.fuel_cost, sums.labour]) if sums.fuel_cost_known else None


def cost_parts(sums: Sums, area: float) -> CostParts:
    """Return what `sums` cost over an `area` [m^2]."""
    total = total_cost(sums)
    return CostParts(
        machine=_money(sums.machine),
        fuel=_money(sums.fuel_cost) if sums.fuel_cost_known else None,
        labour=_money(sums.labour),
        total=_money(total),
        per_area=ranged(MoneyPerArea, total / area) if total is not None else None,
    )


def _money(span: FloatArray | None) -> Money | None:
    return ranged(Money, span) if span is not None else None


def _span(quantity: Quantity) -> FloatArray:
    value = float(quantity)
    low = quantity.low if quantity.low is not None else value
    high = quantity.high if quantity.high is not None else value
    return np.array([value, low, high])


def _check(one: FieldPass, pointer: str, land: Land, ledger: Ledger) -> None:
    if (one.match is None) == (one.rates is None):
        ledger.fault(pointer, "give match or rates, one of the two")
    priced = one.machine_per_area is not None or one.machine_per_time is not None
    if one.machine_per_area is not None and one.machine_per_time is not None:
        ledger.fault(f"{pointer}/machine_per_time", "give machine_per_area or machine_per_time, not both")
    if one.price_covers_all and not priced:
        ledger.fault(f"{pointer}/machine_per_area", "a price that covers all belongs here, or in machine_per_time")
    if land.day_length is None:
        for name in ("earliest_day", "suitable_share"):
            if getattr(one, name) is not None:
                ledger.warn("not-used", f"{pointer}/{name}", "Days are reckoned only with a calendar.")
    if land.residue is None:
        for name in ("operation", "retention", "winter_before"):
            if getattr(one, name) is not None:
                ledger.warn("not-used", f"{pointer}/{name}", "Cover is reckoned only with a residue to start from.")


def _retention(one: FieldPass, pointer: str, land: Land, ledger: Ledger) -> FloatArray:
    """Return the share of the cover [1] that one pass leaves, with its range."""
    if one.retention is not None:
        return np.full(3, float(one.retention))
    if one.operation is not None:
        try:
            return _row_span(one.operation, land.residue, ledger)
        except UnknownReference as error:
            ledger.unknown(f"{pointer}/operation", error)
    elif land.residue is not None:
        ledger.fault(
            f"{pointer}/operation",
            "the cover left needs an operation of the residue table (GET /v1/reference/residue-retention lists all), "
            "or a retention",
        )
    return np.ones(3)


def _winter(one: FieldPass, land: Land, ledger: Ledger) -> FloatArray:
    """Return the share of the cover [1] that a winter before the pass leaves, with its range."""
    if one.winter_before is None:
        return np.ones(3)
    if land.winter_retention is not None:
        return np.full(3, land.winter_retention)
    return _row_span(f"winter.{one.winter_before}", land.residue, ledger)


def _row_span(id: str, kind: ResidueKind | None, ledger: Ledger) -> FloatArray:
    row = residue_row(id)
    if kind is None:
        return np.ones(3)
    ledger.use(row.source)
    low, high = (
        (row.fragile_low, row.fragile_high) if kind == "fragile" else (row.non_fragile_low, row.non_fragile_high)
    )
    return np.array([0.5 * (low + high), low, high])


def _matched(given: PassMatch, pointer: str, loosened: bool, ledger: Ledger) -> MatchAnswer | None:
    for name in ("area", "workday"):
        if getattr(given.field, name) is not None:
            ledger.warn(
                "not-used",
                f"{pointer}/field/{name}",
                "Area and hours a day are those of the request, the same for all.",
            )
    if loosened and given.soil.surface in ("hard", "firm"):
        ledger.warn(
            "rough-estimate",
            f"{pointer}/soil/surface",
            f"An earlier pass tilled this ground deep and no winter has settled it, yet the wheels stand on "
            f"{given.soil.surface} soil: tilled or soft would slip and burn more.",
        )
    part = Ledger(ledger.units)
    request = MatchRequest(
        tractor=given.tractor,
        implement=given.implement,
        soil=given.soil,
        field=given.field,
        speed=given.speed,
        limits=given.limits,
    )
    try:
        found = MATCH.compute(request, part)
    except ImpossibleInput:
        found = None
    ledger.absorb(part, pointer)
    if found is not None and not found.verdict.fits:
        unknown = " Its fuel is not known." if found.fuel is None else ""
        ledger.warn("not-carried", pointer, f"This pass is counted as asked for, but: {found.verdict.summary}{unknown}")
    return found


def _tills_deep(implement: Implement) -> bool:
    return any(draft_row(tool.tool).group == "major-tillage" for tool in implement.tools)


def _in_short(found: MatchAnswer) -> PassMatchAnswer:
    return PassMatchAnswer(
        fits=found.verdict.fits,
        binding=found.verdict.binding,
        summary=found.verdict.summary,
        speed=found.at_work.speed,
        load_fraction=found.at_work.load_fraction,
        slip=found.at_work.slip,
    )


def _sums(one: FieldPass, time: FloatArray, fuel: FloatArray | None, fits: bool, land: Land) -> Sums:
    per_area, per_time = float(one.machine_per_area or 0.0), float(one.machine_per_time or 0.0)
    priced = one.machine_per_area is not None or one.machine_per_time is not None
    machine = np.asarray(machine_cost(land.area, float(one.times), time, per_area, per_time)) if priced else None
    fuel_money = labour = None
    if not one.price_covers_all:
        # One driver, and neither oil nor what comes on top of pay: those belong in the prices that were given.
        burnt = fuel / time if fuel is not None else NOTHING
        running = running_cost(burnt, land.fuel_price or 0.0, 0.0, land.wage or 0.0, 0.0, 1.0)
        fuel_money = np.asarray(running.fuel * time) if land.fuel_price is not None and fuel is not None else None
        labour = np.asarray(running.labour * time) if land.wage is not None else None
    known = fuel is not None or land.fuel_price is None or one.price_covers_all
    return Sums(one.times, time, fuel, machine, fuel_money, labour, known, fits)


def _days(one: FieldPass, time: FloatArray, before: State, land: Land) -> tuple[FloatArray, PassCalendar | None]:
    """Return the day on which the land is ready for the next pass, and what to say of this one."""
    if land.day_length is None:
        return before.day, None
    share = float(one.suitable_share) if one.suitable_share is not None else land.suitable_share
    begins = np.asarray(start_day(float(one.earliest_day or 0), before.day))
    done = np.asarray(finish_day(begins, time, land.day_length, share))
    first, last = math.floor(begins[0]), math.ceil(done[0]) - 1
    return done, PassCalendar(
        start_day=float(begins[0]),
        finish_day=float(done[0]),
        latest_finish_day=max(float(done[0]), float(done[2])),
        start_date=_dated(land.first_date, first),
        finish_date=_dated(land.first_date, max(first, last)),
    )


def _dated(first: date | None, day: int) -> str | None:
    """Return the date of a `day`; None without a date for day 0, or beyond the last date there is."""
    if first is None or first.toordinal() + day > date.max.toordinal():
        return None
    return date.fromordinal(first.toordinal() + day).isoformat()
