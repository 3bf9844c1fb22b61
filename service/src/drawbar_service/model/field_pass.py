"""One pass over the land: hours, fuel, money, days and the residue it leaves, by a whole match or by its rates."""

from collections.abc import Callable
from typing import NamedTuple, Protocol, TypeAlias

from drawbar_service.engine.arrays import Mask, Real, both, choose, either, opposite, somewhere, total
from drawbar_service.engine.cost import running_cost
from drawbar_service.engine.system import cover_left, finish_day, machine_cost, pass_fuel, pass_time, start_day
from drawbar_service.model.findings import Asked, Findings, Impossible
from drawbar_service.model.match import resolve
from drawbar_service.model.matched import Matched, matched
from drawbar_service.model.nouns import Implement, Job
from drawbar_service.model.span import Span, combined, exactly, turned
from drawbar_service.reference import UnknownReference, draft_row, residue_row
from drawbar_service.rows import picked

Describe: TypeAlias = Callable[[Matched], str]
"""Says a match in words."""

TILLS_DEEP = "major-tillage"
"""Group of the draft table whose tools loosen the soil that the next pass drives on."""


class PassRates(Protocol):
    """A pass of which only the rates are known."""

    @property
    def capacity(self) -> float:
        """Effective field capacity [m^2/s]."""
        ...

    @property
    def fuel_per_area(self) -> float | None:
        """[m^3/m^2]."""
        ...


class FieldPass(Protocol):
    """One pass over all the land, by a match or by its rates."""

    @property
    def match(self) -> Job | None:
        """Tractor, implement and soil."""
        ...

    @property
    def rates(self) -> PassRates | None:
        """What it does where that is known."""
        ...

    @property
    def times(self) -> int:
        """How often it is made, one right after the other [1]."""
        ...

    @property
    def operation(self) -> str | None:
        """Row of the residue table."""
        ...

    @property
    def retention(self) -> float | None:
        """Share of the residue cover that it leaves, in place of the table's [1]."""
        ...

    @property
    def winter_before(self) -> str | None:
        """Winter between the pass before and this one: a row of the residue table."""
        ...

    @property
    def machine_per_area(self) -> float | None:
        """What tractor and implement cost on an area [money/m^2]."""
        ...

    @property
    def machine_per_time(self) -> float | None:
        """What they cost in a time [money/s]."""
        ...

    @property
    def price_covers_all(self) -> bool:
        """Whether that price includes fuel and driver."""
        ...

    @property
    def earliest_day(self) -> int | None:
        """Day before which it cannot begin [d]."""
        ...

    @property
    def suitable_share(self) -> float | None:
        """Share of days fit for it, in place of the calendar's [1]."""
        ...


class Land(NamedTuple):
    """What every pass of a request shares."""

    area: Real
    """[m^2]"""
    carbon_per_fuel: Real
    """[kg/m^3]"""
    fuel_price: Real | None
    """[money/m^3]"""
    wage: Real | None
    """[money/s]"""
    residue: str | None
    """Kind of residue to start from: fragile or non-fragile."""
    winter_retention: Real | None
    """Share of the cover that a winter leaves, in place of the table's [1]."""
    day_length: Real | None
    """Time of field work in a day [s]; None without a calendar."""
    suitable_share: Real
    """[1]"""


class State(NamedTuple):
    """The land between two passes."""

    cover: Span[Real]
    """Share of the ground that residue covers [1]"""
    day: Span[Real]
    """Day on which it is ready [d]"""
    loosened: Mask
    """Whether it was tilled deep and no winter has settled it since."""


class Sums(NamedTuple):
    """What a pass or a chain takes."""

    passes: Real
    """[1]"""
    time: Span[Real]
    """[s]"""
    fuel: Span[Real] | None
    """[m^3]; None, or NaN in a row, where it is not known."""
    machine: Span[Real] | None
    """[money]; None where no price was given, here and in the next two."""
    fuel_cost: Span[Real] | None
    labor: Span[Real] | None
    fuel_cost_known: bool
    """False where fuel has a price but how much of it is not known."""
    fits: Mask
    """Whether every pass that was matched fits."""

    @property
    def cost(self) -> Span[Real] | None:
        """All that has a price [money]; None if nothing has, or if fuel has one but is not known."""
        return added([self.machine, self.fuel_cost, self.labor]) if self.fuel_cost_known else None


class Made(NamedTuple):
    """A pass that has been worked out."""

    capacity: Span[Real]
    """Effective field capacity [m^2/s]"""
    sums: Sums
    retention: Span[Real]
    """Share of the cover that one pass leaves [1]"""
    begins: Span[Real]
    """Day it begins [d]; means nothing without a calendar."""
    after: State
    match: Matched | None


class _Rates(NamedTuple):
    """What a pass does."""

    capacity: Span[Real]
    fuel_per_area: Span[Real] | None


def make_pass(
    one: FieldPass, pointer: str, before: State, land: Land, found: Findings, describe: Describe
) -> Made | None:
    """Return a pass over `land` that it finds in the state `before`; None if what it takes cannot be known.

    Parameters
    ----------
    one : FieldPass
    pointer : str
        Where the pass stands in the request.
    before : State
    land : Land
    found : Findings
        Receives assumptions, warnings and faults.
    describe : callable
        Says in words what a match came to that does not fit.
    """
    _check(one, pointer, land, found)
    retention = _retention(one, pointer, land, found)
    winter = _winter(one, land, found)
    loosened: Mask = before.loosened if one.winter_before is None else False
    match = None
    if one.match is not None:
        match = _matched(one.match, f"{pointer}/match", loosened, found, describe)
        if match is not None:
            loosened = either(loosened, tills_deep(one.match.implement))
    if match is not None:
        rates = _rates_of(match)
    elif one.rates is not None:
        fuel_per_area = one.rates.fuel_per_area
        rates = _Rates(Span(one.rates.capacity), exactly(fuel_per_area) if fuel_per_area is not None else None)
    else:
        return None
    area, times = land.area, 1.0 * one.times

    def hours(capacity: Real) -> Real:
        return pass_time(area, capacity, times)

    def left(cover: Real, winter: Real, retention: Real) -> Real:
        return cover_left(cover_left(cover, winter, 1.0), retention, times)

    time, fuel = combined(hours, turned(rates.capacity)), None
    if rates.fuel_per_area is not None:
        fuel = rates.fuel_per_area.map(lambda per_area: pass_fuel(area, per_area, times))
    cover = combined(left, before.cover, winter, retention)
    begins, ready = _days(one, time, before.day, land)
    return Made(
        capacity=rates.capacity,
        sums=_sums(one, time, fuel, match is None or match.worked.fits, land),
        retention=retention,
        begins=begins,
        after=State(cover, ready, loosened),
        match=match,
    )


def added(parts: list[Span[Real] | None]) -> Span[Real] | None:
    """Return the sum of those that are there; None if none is."""
    there = [part for part in parts if part is not None]
    return combined(lambda *values: total(values), *there) if there else None


def _check(one: FieldPass, pointer: str, land: Land, found: Findings) -> None:
    if (one.match is None) == (one.rates is None):
        found.fault("match-or-rates", pointer)
    priced = one.machine_per_area is not None or one.machine_per_time is not None
    if one.machine_per_area is not None and one.machine_per_time is not None:
        found.fault("machine-price-once", f"{pointer}/machine_per_time")
    if one.price_covers_all and not priced:
        found.fault("no-price-for-all", f"{pointer}/machine_per_area")
    if land.day_length is None:
        for name in ("earliest_day", "suitable_share"):
            if getattr(one, name) is not None:
                found.warn("days-need-calendar", f"{pointer}/{name}")
    if land.residue is None:
        for name in ("operation", "retention", "winter_before"):
            if getattr(one, name) is not None:
                found.warn("cover-needs-residue", f"{pointer}/{name}")


def _retention(one: FieldPass, pointer: str, land: Land, found: Findings) -> Span[Real]:
    """Return the share of the cover [1] that one pass leaves, with its range."""
    if one.retention is not None:
        return exactly(one.retention)
    if one.operation is not None:
        try:
            return _of_row(one.operation, land.residue, found)
        except UnknownReference as error:
            found.unknown(f"{pointer}/operation", error)
    elif land.residue is not None:
        found.fault("no-operation", f"{pointer}/operation")
    return exactly(1.0)


def _winter(one: FieldPass, land: Land, found: Findings) -> Span[Real]:
    """Return the share of the cover [1] that a winter before the pass leaves, with its range."""
    if one.winter_before is None:
        return exactly(1.0)
    if land.winter_retention is not None:
        return exactly(land.winter_retention)
    return _of_row(f"winter.{one.winter_before}", land.residue, found)


def _of_row(id: str, residue: str | None, found: Findings) -> Span[Real]:
    row = residue_row(id)
    if residue is None:
        return exactly(1.0)
    found.use(row.source)
    low: Real = picked(residue, {"fragile": row.fragile_low, "non-fragile": row.non_fragile_low})
    high: Real = picked(residue, {"fragile": row.fragile_high, "non-fragile": row.non_fragile_high})
    return Span(0.5 * (low + high), low, high)


def _matched(job: Job, pointer: str, loosened: Mask, found: Findings, describe: Describe) -> Matched | None:
    for name in ("area", "workday"):
        if getattr(job.field, name) is not None:
            found.warn("same-for-all-passes", f"{pointer}/field/{name}")
    surface = job.soil.surface
    on_firm = both(loosened, either(surface == "hard", surface == "firm"))
    found.warn("firm-after-tillage", f"{pointer}/soil/surface", where=on_firm, surface=surface)
    # The ends of the ranges decide which system comes first clearly, whether or not anybody reads them.
    part = Findings(Asked(sentences=found.asked.sentences))
    match = None
    try:
        match = matched(resolve(job, part), None if found.asked.sentences else [], part)
    except Impossible:
        return None
    finally:
        found.absorb(part, pointer)
    fits, enough = match.worked.fits, match.fuel.enough
    if not somewhere(opposite(fits)):
        return match
    summary = describe(match)
    found.warn("pass-does-not-fit", pointer, where=both(opposite(fits), enough), summary=summary)
    found.warn("pass-without-fuel", pointer, where=both(opposite(fits), opposite(enough)), summary=summary)
    return match


def tills_deep(implement: Implement) -> Mask:
    """Return whether an implement has a tool that loosens the soil which the next pass drives on."""
    deep: Mask = False
    for tool in implement.tools:
        deep = either(deep, draft_row(tool.tool).group == TILLS_DEEP)
    return deep


def _rates_of(match: Matched) -> _Rates:
    """Return what a match does; how much fuel is not known where its power does not suffice."""
    fuel, per_area = match.fuel, None
    if somewhere(fuel.enough):
        per_area = fuel.per_area.map(lambda value: choose(fuel.enough, value, float("nan")))
    return _Rates(match.capacity.effective, per_area)


def _sums(one: FieldPass, time: Span[Real], fuel: Span[Real] | None, fits: Mask, land: Land) -> Sums:
    times, covered = 1.0 * one.times, one.price_covers_all
    per_area: Real = 0.0 if one.machine_per_area is None else one.machine_per_area
    per_time: Real = 0.0 if one.machine_per_time is None else one.machine_per_time
    machine = fuel_cost = labor = None
    if one.machine_per_area is not None or one.machine_per_time is not None:
        machine = time.map(lambda hours: machine_cost(land.area, times, hours, per_area, per_time))
    # One driver, and neither oil nor what comes on top of pay: those belong in the prices that were given.
    price, wage = land.fuel_price, land.wage
    if price is not None and fuel is not None and not covered:

        def paid(burnt: Real, hours: Real) -> Real:
            return running_cost(burnt / hours, price, 0.0, 0.0, 0.0, 1.0).fuel * hours

        fuel_cost = combined(paid, fuel, time)
    if wage is not None and not covered:
        labor = time.map(lambda hours: running_cost(0.0, 0.0, 0.0, wage, 0.0, 1.0).labor * hours)
    known = fuel is not None or price is None or covered
    return Sums(times, time, fuel, machine, fuel_cost, labor, known, fits)


def _days(one: FieldPass, time: Span[Real], ready: Span[Real], land: Land) -> tuple[Span[Real], Span[Real]]:
    """Return the day a pass begins [d], and that on which the land is ready for the next one [d]."""
    day_length = land.day_length
    if day_length is None:
        return ready, ready
    share = land.suitable_share if one.suitable_share is None else one.suitable_share
    earliest = 0.0 if one.earliest_day is None else 1.0 * one.earliest_day
    begins = ready.map(lambda day: start_day(earliest, day))

    def done(day: Real, hours: Real) -> Real:
        return finish_day(day, hours, day_length, share)

    return begins, combined(done, begins, time)
