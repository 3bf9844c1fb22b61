"""Two choices that follow from cost: hire or own, and how wide a machine."""

from collections.abc import Sequence
from typing import Final, Literal, NamedTuple, Protocol, TypeAlias

from drawbar_service.engine.arrays import Mask, Real, both, choose, either, larger, opposite, smaller, total
from drawbar_service.engine.cost import YEAR, width_for_least_cost, work_cost, work_cost_at_width
from drawbar_service.engine.cost_minimum import band_within, find_minimum
from drawbar_service.model.cost import Costed
from drawbar_service.model.findings import Findings
from drawbar_service.model.ownership import Machine, OwnedMachine
from drawbar_service.model.span import Span

Cheaper: TypeAlias = Literal["own", "hire", "equal"]
CHEAPER: Final[tuple[Cheaper, ...]] = ("own", "hire", "equal")
"""Which costs less; its place here stands for it in numbers."""

SMALLEST_PART = 1e-4
"""Of the area a machine could work in a year: where the search for the break-even area begins [1]."""
SEARCHED_WIDTHS = 10.0
"""How many times narrower and wider than it is a machine is thought of [1]."""
EQUAL = 1e-9
"""Difference in cost [1] that counts as none."""


class BestWidth(Protocol):
    """Asks how wide a machine should be."""

    @property
    def machine(self) -> str:
        """Its name."""
        ...

    @property
    def delay_cost(self) -> float | None:
        """Crop lost for each hour the work takes [money/s]."""
        ...

    @property
    def within(self) -> float | None:
        """Widths that cost at most this much more than the best make the band [1]."""
        ...

    @property
    def narrowest(self) -> float | None:
        """To think of [m]."""
        ...

    @property
    def widest(self) -> float | None:
        """To think of [m]."""
        ...


class Hire(NamedTuple):
    """Hire against own, with the same machines, terms and rates on any area."""

    rate: Real
    """Of hire [money/m^2]"""
    own: Real
    """On the area of the work [money/m^2]"""
    difference: Real
    """Hire less own [money/m^2]"""
    per_year: Real
    """The same in a year [money]"""
    cheaper: Real
    """Place among :data:`CHEAPER` [1]"""
    pays_somewhere: Mask
    """Whether owning costs less on any area."""
    pays_from: Real
    """Area a year [m^2]; means nothing where owning pays from the smallest on, or nowhere."""
    has_start: Mask
    """Whether there is such an area."""
    pays_up_to: Real
    """Area a year above which repairs make owning more expensive again [m^2]"""
    has_end: Mask
    """Whether there is such an area."""


class WidthChoice(NamedTuple):
    """What a request for the best width is about."""

    asked: BestWidth
    place: int
    """Of the machine among all of them."""
    present: Real
    """Its width [m]"""


class WidthSearch(NamedTuple):
    """Where to look for the best width of a machine, and what its work costs besides."""

    choice: WidthChoice
    low: Real
    """Least width over the present one [1]"""
    high: Real
    """Greatest width over the present one [1]"""
    within: Real
    """How much more than the least the band costs at its ends [1]"""


class WidthFound(NamedTuple):
    """The width that costs least, and those that are about as good."""

    width: Span[Real]
    """With the ends of the band [m]"""
    cost: Real
    """Of a year's work at that width, delay included [money]"""
    present_cost: Real
    """The same at the present width [money]"""
    time: Real
    """The work takes in a year at that width [s]"""
    closed_form: Real
    """Width by the closed form [m]"""


def hire_or_own(rate: Real, of: Costed, parts_per_area: Real, found: Findings) -> Hire:
    """Return hire at a `rate` against own.

    Own cost on an area first falls, as ownership spreads, and later rises with repairs: it has one minimum, and the two
    areas where it crosses the rate are found on either side of it.

    Parameters
    ----------
    rate : float or array
        [money/m^2]
    of : Costed
    parts_per_area : float or array
        Wearing parts as fitted [money/m^2].
    found : Findings
        Receives a warning where the break-even area is beyond the life of a machine.
    """
    machines, work = of.machines, of.work
    owned = [machine.owned for machine in machines]
    other = [machine.other_use for machine in machines]

    def own(area: Real) -> Real:
        return work_cost(owned, other, area, work.capacity, of.running.total, parts_per_area) / area

    busiest = other[0]
    for use in other[1:]:
        busiest = larger(busiest, use)
    most = work.capacity * (YEAR - busiest)
    least = smaller(SMALLEST_PART * most, work.area)
    most = larger(most, work.area)
    here = own(work.area)
    band = band_within(own, rate, find_minimum(own, least, most), least, most)
    has_start = both(band.kept, opposite(band.low_is_end))
    has_end = both(band.kept, opposite(band.high_is_end))
    has_end = both(has_end, opposite(_wears_out(band.high, machines, work.capacity)))
    found.warn(
        "break-even-beyond-life",
        "/hire_rate",
        where=both(has_start, _wears_out(band.low, machines, work.capacity)),
        area=band.low,
    )
    equal = abs(rate - here) <= EQUAL * larger(rate, abs(here))
    return Hire(
        rate=rate,
        own=here,
        difference=rate - here,
        per_year=(rate - here) * work.area,
        cheaper=choose(equal, 2.0, choose(here < rate, 0.0, 1.0)),
        pays_somewhere=band.kept,
        pays_from=band.low,
        has_start=has_start,
        pays_up_to=band.high,
        has_end=has_end,
    )


def _wears_out(area: Real, machines: Sequence[Machine], capacity: Real) -> Mask:
    """Return whether a machine would work beyond its life with this `area` [m^2] a year."""
    time = area / capacity
    beyond: Mask = False
    for machine in machines:
        if machine.life is not None:
            beyond = either(beyond, machine.worked_at_sale(machine.other_use + time) > machine.life)
    return beyond


def width_choice(asked: BestWidth, given: Sequence[OwnedMachine], found: Findings) -> WidthChoice | None:
    """Return which machine is `asked` about, or None once a fault is noted."""
    for index, machine in enumerate(given):
        if machine.name == asked.machine:
            if machine.width is not None:
                return WidthChoice(asked, index, machine.width)
            found.fault("best-width-needs-width", f"/machines/{index}/width")
            return None
    names = ", ".join(repr(str(one.name)) for one in given)
    found.fault("no-such-machine", "/best_width/machine", name=asked.machine, names=names)
    return None


def width_search(choice: WidthChoice, of: Costed, found: Findings) -> WidthSearch:
    """Return where to look for the best width.

    Raises
    ------
    Impossible
        If no width is left to look at.
    """
    asked, place, present = choice
    # Narrower, and the machine's work would not fit into the hours of a year.
    slowest = (of.machines[place].other_use + of.work.time) / YEAR
    narrowest = asked.narrowest / present if asked.narrowest is not None else 1.0 / SEARCHED_WIDTHS
    high: Real = asked.widest / present if asked.widest is not None else SEARCHED_WIDTHS
    low = larger(narrowest, slowest)
    if low > high:
        found.fault("no-width-left", "/best_width/widest", widest=high * present, narrowest=low * present)
    found.stop_at_faults()
    return WidthSearch(choice, low, high, found.fallback(asked.within, "/best_width/within", "cost_band"))


def best_width(search: WidthSearch, of: Costed, parts_per_area: Real, found: Findings) -> WidthFound:
    """Return the width of a machine that makes the work cost least.

    Parameters
    ----------
    search : WidthSearch
    of : Costed
    parts_per_area : float or array
        Wearing parts as fitted [money/m^2].
    found : Findings
        Receives a warning where the band goes on beyond the search.
    """
    (asked, place, present), low, high, within = search
    work, running, machine = of.work, of.running, of.machines[place]
    others = total(
        one.yearly.total / (one.other_use + work.time) for position, one in enumerate(of.machines) if position != place
    )
    hourly = others + running.labor + (0.0 if asked.delay_cost is None else asked.delay_cost)
    per_area = parts_per_area + (running.fuel + running.oil) / work.capacity

    def cost(ratio: Real) -> Real:
        return work_cost_at_width(machine.owned, machine.other_use, ratio, work.area, work.capacity, hourly, per_area)

    minimum = find_minimum(cost, low, high)
    width = Span[Real](minimum.at * present)
    if found.asked.ranges or found.asked("/about/warnings"):
        band = band_within(cost, minimum.cost * (1.0 + within), minimum, low, high)
        width = Span[Real](minimum.at * present, band.low * present, band.high * present)
        found.warn("narrower-as-good", "/best_width/narrowest", where=band.low_is_end, end=low * present)
        found.warn("wider-as-good", "/best_width/widest", where=band.high_is_end, end=high * present)
    share = work.time / (machine.other_use + work.time)
    ownership = (machine.yearly.recovery + machine.yearly.standing) * share
    # A machine that costs nothing to own is best as wide as can be.
    costs = ownership > 0.0
    per_width = choose(costs, ownership, 1.0) / present
    closed_form = width_for_least_cost(work.area, work.capacity / present, 1.0, hourly, per_width)
    return WidthFound(
        width=width,
        cost=minimum.cost,
        present_cost=cost(1.0),
        time=work.time / minimum.at,
        closed_form=choose(costs, closed_form, high * present),
    )
