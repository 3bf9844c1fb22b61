"""What some work costs in a year with machines of one's own: owning, running, parts that wear."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, total
from drawbar_service.engine.cost import YEAR, RunningCost, running_cost
from drawbar_service.model.findings import Findings
from drawbar_service.model.ownership import (
    Machine,
    MachineShare,
    OwnedMachine,
    Terms,
    machine_of,
    share_of,
    shares_of,
)
from drawbar_service.model.wear import Comparison, WearingPlace, WorkOfYear, compare, name_each_once


class FuelUse(Protocol):
    """Fuel of the work."""

    @property
    def rate(self) -> float:
        """[m^3/s]."""
        ...

    @property
    def price(self) -> float:
        """[money/m^3]."""
        ...

    @property
    def oil_share(self) -> float | None:
        """Oil and grease over the cost of fuel [1]."""
        ...


class Labor(Protocol):
    """Who does the work."""

    @property
    def wage(self) -> float:
        """Pay of one worker [money/s]."""
        ...

    @property
    def overhead(self) -> float | None:
        """What comes on top of pay, over pay [1]."""
        ...

    @property
    def workers(self) -> int:
        """How many work at once [1]."""
        ...


class YearsWork(Protocol):
    """The work of a year; area or hours are given."""

    @property
    def capacity(self) -> float:
        """[m^2/s]."""
        ...

    @property
    def area(self) -> float | None:
        """Worked in a year [m^2]."""
        ...

    @property
    def hours(self) -> float | None:
        """Worked in a year [s]."""
        ...

    @property
    def fuel(self) -> FuelUse | None:
        """None: none is counted."""
        ...

    @property
    def labor(self) -> Labor | None:
        """None: none is counted."""
        ...


class WornMachine(OwnedMachine, Protocol):
    """A machine one owns, with the places on it where parts wear."""

    @property
    def wearing(self) -> Sequence[WearingPlace]:
        """Places where parts wear."""
        ...


class OwnWork(Protocol):
    """Machines, the terms they are owned on, and the work they do."""

    @property
    def machines(self) -> Sequence[WornMachine]:
        """All that take part."""
        ...

    @property
    def terms(self) -> Terms:
        """Of owning."""
        ...

    @property
    def work(self) -> YearsWork:
        """Of a year."""
        ...


class Costed(NamedTuple):
    """What some work costs in a year."""

    work: WorkOfYear
    running: RunningCost
    """In a time at work."""
    machines: list[Machine]
    wearing: list[list[Comparison]]
    """For each machine its places where parts wear."""


class YearsCost(NamedTuple):
    """The items of a year's cost [money]."""

    machines: list[MachineShare]
    total: Real
    ownership: Real
    """Capital recovery, taxes, insurance and housing."""
    operating: Real
    """Repairs, wearing parts, fuel, oil and labor."""
    fuel: Real
    oil: Real
    labor: Real
    parts: Real
    """Wearing parts as fitted."""


def costed(given: OwnWork, found: Findings) -> Costed:
    """Return machines, parts and work with nothing left open; faults go to `found`.

    Only the work of the year stops at its faults at once: everything else depends on its time.

    Raises
    ------
    Impossible
        If the work of the year cannot be.
    """
    time, area = _year(given.work, found)
    running = _running(given.work, found)
    shares = shares_of(given.terms, found)
    name_each_once([machine.name for machine in given.machines], "machine", "/machines", found)
    owned = [
        machine_of(machine, given.terms.interest, shares, time, found, f"/machines/{index}")
        for index, machine in enumerate(given.machines)
    ]
    labor = given.work.labor
    # One person changes parts, however many drive.
    wage = running.labor / labor.workers if labor is not None else None
    work = WorkOfYear(time, area, given.work.capacity, wage)
    wearing = [_wearing(machine, work, found, f"/machines/{index}") for index, machine in enumerate(given.machines)]
    return Costed(work, running, [machine for machine in owned if machine is not None], wearing)


def cost_of_year(of: Costed) -> YearsCost:
    """Return the items of a year's cost; what `of` holds is without faults."""
    time, running = of.work.time, of.running
    machines = [
        share_of(machine, total(one.fitted.per_year for one in places), time)
        for machine, places in zip(of.machines, of.wearing, strict=True)
    ]
    parts = total(machine.parts for machine in machines)
    repairs = total(machine.repairs for machine in machines)
    machinery = total(machine.total for machine in machines)
    at_work = running.total * time
    return YearsCost(
        machines=machines,
        total=machinery + at_work,
        ownership=machinery - parts - repairs,
        operating=repairs + parts + at_work,
        fuel=running.fuel * time,
        oil=running.oil * time,
        labor=running.labor * time,
        parts=parts,
    )


def _year(work: YearsWork, found: Findings) -> tuple[Real, Real]:
    """Return time [s] and area [m^2] of a year's work."""
    if (work.area is None) == (work.hours is None):
        found.fault("area-once", "/work/area")
        found.stop_at_faults()
    capacity: Real = work.capacity
    area: Real = 0.0
    if work.area is not None:
        area = work.area
    elif work.hours is not None:
        area = work.hours * capacity
    time = area / capacity
    if time > YEAR:
        found.fault("more-than-a-year", "/work/area", time=time, capacity=capacity)
        found.stop_at_faults()
    return time, area


def _running(work: YearsWork, found: Findings) -> RunningCost:
    fuel, labor = work.fuel, work.labor
    rate: Real = 0.0
    fuel_price: Real = 0.0
    oil_share: Real = 0.0
    wage: Real = 0.0
    overhead: Real = 0.0
    workers: Real = 0.0
    if fuel is not None:
        rate, fuel_price = fuel.rate, fuel.price
        oil_share = found.fallback(fuel.oil_share, "/work/fuel/oil_share", "oil_share")
    if labor is not None:
        wage, workers = labor.wage, labor.workers
        overhead = found.fallback(labor.overhead, "/work/labor/overhead", "labor_overhead")
    for name, given in (("fuel", fuel), ("labor", labor)):
        if given is None:
            found.warn("not-counted", f"/work/{name}", name=name)
    return running_cost(rate, fuel_price, oil_share, wage, overhead, workers)


def _wearing(machine: WornMachine, work: WorkOfYear, found: Findings, pointer: str) -> list[Comparison]:
    comparisons: list[Comparison] = []
    for number, place in enumerate(machine.wearing):
        comparison = compare(place, work, found, f"{pointer}/wearing/{number}")
        if comparison is not None:
            comparisons.append(comparison)
    if machine.wearing and machine.practice is not None:
        found.warn("parts-in-repairs", f"{pointer}/practice")
    return comparisons
