"""A machine one owns: price, terms, age and repairs, and what it costs in a year."""

from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, both, larger, sqrt, total
from drawbar_service.engine.cost import HOUR, Owned, RemainingValue, YearlyCost, yearly_cost
from drawbar_service.model.findings import Findings
from drawbar_service.reference import UnknownReference, practice_row, remaining_value_row

ROUNDING = 1e-9
"""Part of a figure [1] that counts as none."""
ROUNDED_USE = 0.01
"""Part of the hours of this work [1] that the hours of a year may fall short of it; an answer gives three digits."""


class Terms(Protocol):
    """What capital costs, and what comes with owning, each year over the price [1]."""

    @property
    def interest(self) -> float:
        """Real interest [1]."""
        ...

    @property
    def taxes(self) -> float | None:
        """[1]."""
        ...

    @property
    def insurance(self) -> float | None:
        """[1]."""
        ...

    @property
    def housing(self) -> float | None:
        """[1]."""
        ...


class RepairFactors(Protocol):
    """Repairs up to h hours of work are RF1 x list price x (h/1000)^RF2."""

    @property
    def RF1(self) -> float:
        """Repair factor 1 [1]."""
        ...

    @property
    def RF2(self) -> float:
        """Repair factor 2, the exponent [1]."""
        ...


class OwnedMachine(Protocol):
    """A tractor or an implement that takes part in the work."""

    @property
    def name(self) -> str:
        """What the caller calls it."""
        ...

    @property
    def price(self) -> float:
        """Paid for it, or what it would fetch today [money]."""
        ...

    @property
    def list_price(self) -> float | None:
        """Of the same machine new, today [money]."""
        ...

    @property
    def remaining_value(self) -> str | None:
        """Row of the remaining-value table."""
        ...

    @property
    def resale(self) -> float | None:
        """What it fetches in the end [money]."""
        ...

    @property
    def practice(self) -> str | None:
        """Row of the practice table."""
        ...

    @property
    def repair_factors(self) -> RepairFactors | None:
        """In place of those of the practice table."""
        ...

    @property
    def age(self) -> float | None:
        """At the price given [year]."""
        ...

    @property
    def hours(self) -> float | None:
        """Work done by then [s]."""
        ...

    @property
    def years(self) -> float:
        """How long it is kept from then on [year]."""
        ...

    @property
    def annual_use(self) -> float | None:
        """Work in a year, all work together [s]."""
        ...

    @property
    def width(self) -> float | None:
        """Working width [m]."""
        ...


class Shares(NamedTuple):
    """What is paid on a machine each year, over its price [1]."""

    taxes: Real
    insurance: Real
    housing: Real


class Machine(NamedTuple):
    """A machine with nothing left open."""

    name: str
    owned: Owned
    shares: Shares
    other_use: Real
    """Work it does in a year besides this one [s]."""
    yearly: YearlyCost
    """Of all its work together."""
    life: Real | None
    """Work in a life of the machine [s], if a table gives it."""

    def worked_at_sale(self, annual_use: Real) -> Real:
        """Return the work it has done when it is sold [s], with an `annual_use` [s]."""
        return self.owned.used + self.owned.years * annual_use


class MachineShare(NamedTuple):
    """What a machine costs some work in a year [money]."""

    use: Real
    """All its work in a year [s]."""
    share: Real
    """Part of it that this work takes [1]."""
    recovery: Real
    taxes: Real
    insurance: Real
    housing: Real
    repairs: Real
    parts: Real
    total: Real


def shares_of(terms: Terms, found: Findings) -> Shares:
    """Return the yearly shares of `terms`, defaults filled in."""
    found.use("asae-ep496")
    return Shares(
        found.fallback(terms.taxes, "/terms/taxes", "taxes_share"),
        found.fallback(terms.insurance, "/terms/insurance", "insurance_share"),
        found.fallback(terms.housing, "/terms/housing", "housing_share"),
    )


def machine_of(
    given: OwnedMachine, interest: Real, shares: Shares, time: Real, found: Findings, pointer: str
) -> Machine | None:
    """Return a machine that does this work for `time` [s] a year, or None once a fault is noted that stops it.

    Parameters
    ----------
    given : OwnedMachine
    interest : float or array
        Real interest a year [1].
    shares : Shares
    time : float or array
        [s]
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        Where the machine stands in the request.
    """
    list_price: Real = given.price if given.list_price is None else given.list_price
    value = _value(given, list_price, found, pointer)
    repairs = _repair_factors(given, found, pointer)
    use = _annual_use(given, time, found, pointer)
    if value is None or repairs is None or use is None:
        return None
    if given.list_price is None:
        found.assume("price-is-list-price", f"{pointer}/list_price", given.price, "drawbar-default")
    if given.age is None and given.hours is None:
        found.assume("bought-new", f"{pointer}/age", "0", "drawbar-default")
    rf1, rf2, life = repairs
    owned = Owned(
        price=given.price,
        list_price=list_price,
        value=value,
        rf1=rf1,
        rf2=rf2,
        age=0.0 if given.age is None else given.age,
        used=0.0 if given.hours is None else given.hours,
        years=given.years,
        interest=interest,
        standing=total(shares),
    )
    machine = Machine(given.name, owned, shares, use - time, yearly_cost(owned, use), life)
    _check(machine, use, found, pointer)
    return machine


def share_of(machine: Machine, parts: Real, time: Real) -> MachineShare:
    """Return what a `machine` and its wearing `parts` [money] cost this work of `time` [s] a year."""
    use = machine.other_use + time
    share, price, shares, yearly = time / use, machine.owned.price, machine.shares, machine.yearly
    return MachineShare(
        use=use,
        share=share,
        recovery=yearly.recovery * share,
        taxes=price * shares.taxes * share,
        insurance=price * shares.insurance * share,
        housing=price * shares.housing * share,
        repairs=yearly.repairs * share,
        parts=parts,
        total=yearly.total * share + parts,
    )


def _value(given: OwnedMachine, list_price: Real, found: Findings, pointer: str) -> RemainingValue | None:
    if (given.remaining_value is None) == (given.resale is None):
        found.fault("value-once", f"{pointer}/remaining_value")
        return None
    if given.resale is not None:
        # What does not age: the square root undoes the square of the remaining value.
        return RemainingValue(sqrt(given.resale / list_price), 0.0, 0.0)
    assert given.remaining_value is not None
    try:
        row = remaining_value_row(given.remaining_value)
    except UnknownReference as error:
        found.unknown(f"{pointer}/remaining_value", error)
        return None
    found.use(row.source)
    return RemainingValue(row.C1, row.C2, row.C3)


def _repair_factors(given: OwnedMachine, found: Findings, pointer: str) -> tuple[Real, Real, Real | None] | None:
    """Return repair factors 1 and 2, and the life [s] if a table gives it."""
    own = given.repair_factors
    if (given.practice is None) == (own is None):
        found.fault("repairs-once", f"{pointer}/practice")
        return None
    if own is not None:
        return own.RF1, own.RF2, None
    assert given.practice is not None
    try:
        row = practice_row(given.practice)
    except UnknownReference as error:
        found.unknown(f"{pointer}/practice", error)
        return None
    found.use(row.source)
    return row.RF1, row.RF2, row.life_h * HOUR


def _annual_use(given: OwnedMachine, time: Real, found: Findings, pointer: str) -> Real | None:
    place = f"{pointer}/annual_use"
    if given.annual_use is None:
        found.assume("no-other-work", place, time, "drawbar-default")
        return time
    if given.annual_use < time * (1.0 - ROUNDED_USE):
        found.fault("use-below-work", place, use=given.annual_use, time=time)
        return None
    return larger(given.annual_use, time)


def _check(machine: Machine, use: Real, found: Findings, pointer: str) -> None:
    owned, resale, life = machine.owned, machine.yearly.resale, machine.life
    if resale > owned.price * (1.0 + ROUNDING):
        found.fault("resale-above-price", f"{pointer}/price", price=owned.price, resale=resale)
    found.warn("value-run-down", f"{pointer}/years", where=both(resale == 0.0, owned.value.c2 > 0.0))
    if life is not None:
        at_sale = machine.worked_at_sale(use)
        beyond = at_sale > life * (1.0 + ROUNDING)
        found.warn("worked-beyond-life", f"{pointer}/years", where=beyond, at_sale=at_sale, life=life)
