"""What a machine costs to own and to run.

Ownership, each year (after ASAE EP496, from memory):

    recovery = (P - S) i / (1 - (1 + i)^-n) + S i
    standing = P (taxes + insurance + housing)

Repairs up to so many hours of use, and what a machine still fetches (after ASAE D497, from memory):

    repairs = RF1 L (h/1000)^RF2
    S = L (C1 - C2 sqrt(n) - C3 sqrt(h/n))^2

with purchase price ``P``, list price ``L``, resale ``S``, real interest ``i``, years ``n`` and hours
``h``. Interest is real and prices are of today, so every cost is in today's money. Repairs bend
with hours, so the cost of a year is not a fixed part plus a part for each hour.

Time is in seconds here as everywhere in the engine; ages and terms count in years.
"""

from collections.abc import Sequence
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, choose, expm1, larger, log1p, power, sqrt

HOUR = 3600.0
"""[s]"""
YEAR = 8784.0 * HOUR
"""The longest there is [s]; no work of a year takes longer."""


class RemainingValue(NamedTuple):
    """Coefficients of a machine's value as it ages; ASAE D497 gives them by class, from memory."""

    c1: Real
    """Root of the share of list price left at once [1]."""
    c2: Real
    """Loss with the root of age [1]."""
    c3: Real
    """Loss with the root of hours in a year [1]."""


class Owned(NamedTuple):
    """A machine and the terms on which it is owned."""

    price: Real
    """Paid for it [money]."""
    list_price: Real
    """Of the same machine new, today [money]."""
    value: RemainingValue
    rf1: Real
    """Repair factor 1 [1]."""
    rf2: Real
    """Repair factor 2, the exponent [1]."""
    age: Real
    """When bought [year]."""
    used: Real
    """Work done before it was bought [s]."""
    years: Real
    """How long it is kept [year]."""
    interest: Real
    """Real interest a year [1]."""
    standing: Real
    """Taxes, insurance and housing a year, over the price [1]."""


class YearlyCost(NamedTuple):
    """What a machine costs in a year, averaged over the time it is kept."""

    recovery: Real
    """Capital recovery: loss of value and interest [money]."""
    standing: Real
    """Taxes, insurance and housing [money]."""
    repairs: Real
    """[money]"""
    resale: Real
    """What it fetches in the end, once [money]."""

    @property
    def total(self) -> Real:
        """All of a year's cost [money]."""
        return self.recovery + self.standing + self.repairs


class RunningCost(NamedTuple):
    """What an hour at work costs beyond the machines."""

    fuel: Real
    """[money/s]"""
    oil: Real
    """[money/s]"""
    labor: Real
    """[money/s]"""

    @property
    def total(self) -> Real:
        """All three [money/s]."""
        return self.fuel + self.oil + self.labor


def capital_recovery_factor(interest: Real, years: Real) -> Real:
    """Return the yearly payment that pays back one unit of money, i / (1 - (1 + i)^-n) [1/year].

    `interest` i [1] a year, above -1, paid at the end of each of so many `years` n [year]. Without interest it is 1/n.
    """
    none = interest == 0.0
    rate = choose(none, 1.0, interest)
    paid_back = -expm1(-years * log1p(rate))
    return choose(none, 1.0 / years, rate / paid_back)


def capital_recovery(price: Real, resale: Real, interest: Real, years: Real) -> Real:
    """Return what it takes each year to carry the capital in a machine [money/year].

    Parameters
    ----------
    price, resale : float or array
        Paid at first and got back in the end [money].
    interest : float or array
        Real interest i a year [1].
    years : float or array
        Between the two, n [year].

    Notes
    -----
    (P - S) i / (1 - (1 + i)^-n) + S i (after ASAE EP496, from memory). Without interest it is the yearly loss of value.
    """
    return (price - resale) * capital_recovery_factor(interest, years) + resale * interest


def remaining_share(age: Real, annual_use: Real, c1: Real, c2: Real, c3: Real) -> Real:
    """Return what a machine is still worth over its list price [1].

    Parameters
    ----------
    age : float or array
        Age n [year].
    annual_use : float or array
        Mean work in a year so far [s].
    c1, c2, c3 : float or array
        Coefficients of the class of machine [1].

    Notes
    -----
    (C1 - C2 sqrt(n) - C3 sqrt(h))^2 with h in hours a year (after ASAE D497, from memory). The bracket
    cannot fall below 0: squared, a machine beyond its end would grow dearer with age.
    """
    left = larger(c1 - c2 * sqrt(age) - c3 * sqrt(annual_use / HOUR), 0.0)
    return left * left


def accumulated_repairs(list_price: Real, used: Real, rf1: Real, rf2: Real) -> Real:
    """Return all repairs up to some work done, RF1 L (h/1000)^RF2 [money].

    Parameters
    ----------
    list_price : float or array
        L of the machine new, today [money]; the repairs are at today's prices then.
    used : float or array
        Work done h since new [s].
    rf1, rf2 : float or array
        Repair factors [1]; after ASAE D497, from memory.
    """
    return rf1 * list_price * power(used / (1000.0 * HOUR), rf2)


def yearly_cost(machine: Owned, annual_use: Real) -> YearlyCost:
    """Return the mean yearly cost [money] of a `machine` that works `annual_use` [s] a year while it is kept.

    Repairs are those between buying and selling, off the accumulated curve, spread evenly over the years.
    The hours a year of the remaining value are the mean from new.
    """
    worked = machine.used + machine.years * annual_use
    end = machine.age + machine.years
    resale = machine.list_price * remaining_share(end, worked / end, *machine.value)
    repairs = accumulated_repairs(machine.list_price, worked, machine.rf1, machine.rf2) - accumulated_repairs(
        machine.list_price, machine.used, machine.rf1, machine.rf2
    )
    return YearlyCost(
        capital_recovery(machine.price, resale, machine.interest, machine.years),
        machine.price * machine.standing,
        repairs / machine.years,
        resale,
    )


def running_cost(
    rate: Real, fuel_price: Real, oil_share: Real, wage: Real, labor_overhead: Real, workers: Real
) -> RunningCost:
    """Return what fuel, oil and labor cost in a time at work [money/s].

    Parameters
    ----------
    rate : float or array
        Fuel burnt [m^3/s].
    fuel_price : float or array
        Of the fuel [money/m^3].
    oil_share : float or array
        Oil and grease over the cost of fuel [1]; published as 0.15 (Iowa State Univ. Extension A3-29).
    wage : float or array
        Pay of one worker [money/s].
    labor_overhead : float or array
        What comes on top of pay, over pay [1].
    workers : float or array
        Number of them [1].
    """
    fuel = rate * fuel_price
    return RunningCost(fuel, fuel * oil_share, wage * (1.0 + labor_overhead) * workers)


def parts_per_area(price: Real, life: Real, change_time: Real, wage: Real) -> Real:
    """Return what a set of wearing parts costs on an area [money/m^2].

    Parameters
    ----------
    price : float or array
        Of the whole set [money].
    life : float or array
        Area the set works until it is worn [m^2].
    change_time : float or array
        Labor to change the set once [s].
    wage : float or array
        Pay for that labor [money/s].

    Notes
    -----
    (price + change_time wage) / life: a set that costs twice and lasts three times costs two thirds
    on an area, and less than that where changing takes time. Derived.
    """
    return (price + change_time * wage) / life


def work_cost(
    machines: Sequence[Owned],
    other_uses: Sequence[Real],
    area: Real,
    capacity: Real,
    hourly: Real,
    per_area: Real,
) -> Real:
    """Return what some work costs in a year with machines of one's own [money/year].

    Parameters
    ----------
    machines : sequence of Owned
        All that take part.
    other_uses : sequence of float or array
        What each works in a year besides [s]; it then carries its share of the machine by time.
    area : float or array
        Worked in a year [m^2], above 0.
    capacity : float or array
        Area in a time [m^2/s].
    hourly : float or array
        Fuel, oil and labor [money/s].
    per_area : float or array
        Wearing parts [money/m^2].

    Notes
    -----
    The sum over the machines of yearly cost x time / (time + other use), plus time x hourly, plus area x per_area,
    with time = area / capacity. Derived.
    """
    time = area / capacity
    cost = time * hourly + area * per_area
    for machine, other in zip(machines, other_uses, strict=True):
        use = other + time
        cost = cost + yearly_cost(machine, use).total * (time / use)
    return cost


def width_for_least_cost(area: Real, speed: Real, efficiency: Real, hourly: Real, yearly_per_width: Real) -> Real:
    """Return the width of machine at which work costs least, where its repairs do not depend on width [m].

    Parameters
    ----------
    area : float or array
        Worked in a year A [m^2].
    speed : float or array
        v [m/s].
    efficiency : float or array
        Field efficiency E [1].
    hourly : float or array
        What an hour of the work costs whatever the width: tractor, labor and the crop lost by delay k [money/s].
    yearly_per_width : float or array
        Ownership of a unit of width in a year f [money/m].

    Notes
    -----
    The least of f w + A k / (w v E) is at w = sqrt(A k / (f v E)) (the form of ASAE EP496, from memory; derived).
    What costs the same on an area whatever the width, as fuel and parts about do, moves the cost and not the width.
    """
    return sqrt(area * hourly / (yearly_per_width * speed * efficiency))


def at_width(machine: Owned, ratio: Real) -> Owned:
    """Return the `machine` made wider or narrower by a `ratio` [1], its price [money] in proportion."""
    return machine._replace(price=machine.price * ratio, list_price=machine.list_price * ratio)


def work_cost_at_width(
    machine: Owned, other_use: Real, ratio: Real, area: Real, capacity: Real, hourly: Real, per_area: Real
) -> Real:
    """Return what some work costs in a year if its machine were wider or narrower [money/year].

    Parameters
    ----------
    machine : Owned
        The machine whose width is to be chosen, as it is now.
    other_use : float or array
        Work it does besides at its present width [s]; it takes less time with a wider one.
    ratio : float or array
        Width over present width [1].
    area : float or array
        Worked in a year [m^2].
    capacity : float or array
        Area in a time at the present width [m^2/s]; it grows as the width does.
    hourly : float or array
        What an hour of the work costs whatever the width: tractor, labor, delay [money/s].
    per_area : float or array
        What the work costs on an area whatever the width: fuel, oil, parts [money/m^2].

    Notes
    -----
    Price goes as the ratio r and hours as 1/r. For a machine bought new the cost is a sum of powers of r with positive
    weights, and a constant: it is convex in ln r and has one minimum. Derived.
    """
    return work_cost((at_width(machine, ratio),), (other_use / ratio,), area, capacity * ratio, hourly, per_area)
