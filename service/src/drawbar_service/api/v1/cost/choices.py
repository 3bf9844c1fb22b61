"""Two choices that follow from cost: hire or own, and how wide a machine."""

from collections.abc import Sequence
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.cost.ownership import MachineInSI, OwnedMachine
from drawbar_service.api.v1.cost.wear import Name
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.cost import RunningCost, width_for_least_cost, work_cost, work_cost_at_width
from drawbar_service.engine.cost_minimum import band_within, find_minimum
from drawbar_service.quantities import AnnualUse, Area, HourlyRate, Money, MoneyPerArea, Share, Time, Width

Cheaper: TypeAlias = Literal["own", "hire", "equal"]

YEAR_HOURS = AnnualUse.most or 0.0
"""As many as a year has [s]; no work takes longer."""
SMALLEST_PART = 1e-4
"""Of the area a machine could work in a year: where the search for the break-even area begins [1]."""
SEARCHED_WIDTHS = 10.0
"""How many times narrower and wider than it is a machine is thought of [1]."""
EQUAL = 1e-9
"""Difference in cost [1] that counts as none."""


class HireAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Hire against own, with the same machines, terms and rates on any area."""

    own: Annotated[MoneyPerArea, Meta(description="Cost of doing it yourself.")]
    hire: Annotated[MoneyPerArea, Meta(description="Cost of having it done.")]
    difference: Annotated[MoneyPerArea, Meta(description="Hire less own; above 0, owning saves it.")]
    difference_per_year: Annotated[Money, Meta(description="The same in a year.")]
    cheaper: Annotated[Cheaper, Meta(description="Which costs less on this area.")]
    break_even: Annotated[
        Area | None,
        Meta(description="Area a year from which owning costs less; null if it never or always does: see `says`."),
    ]
    no_longer_above: Annotated[
        Area | None,
        Meta(
            description="Area a year above which repairs make owning dearer again; null if a year has no hours for it, "
            "or a machine would work beyond its life in the practice table."
        ),
    ]
    says: Annotated[str, Meta(description="The same in words.")]


class BestWidth(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Asks how wide a machine should be, its price in proportion to width.

    Other machines and labour cost the same an hour at any width; fuel and wearing parts the same on an area.
    """

    machine: Annotated[Name, Meta(description="Its name in `machines`; it needs a `width`.", examples=["chisel plow"])]
    delay_cost: Annotated[
        HourlyRate | None,
        Meta(
            description="Crop lost for each hour the work takes: `delay.expected` of `/v1/completion` over the hours "
            "of the work; it is the same at any width. Left out, none is counted.",
            examples=["40 money/h"],
        ),
    ] = None
    within: Annotated[
        Share | None, Meta(description="Widths that cost at most this much more than the best make the band.")
    ] = None
    narrowest: Annotated[Width | None, Meta(description="Narrowest to think of; a tenth of it if left out.")] = None
    widest: Annotated[Width | None, Meta(description="Widest to think of; ten times as wide if left out.")] = None


class BestWidthAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The width that costs least, and those that are about as good."""

    machine: Annotated[str, Meta(description="The machine.")]
    width: Annotated[Width, Meta(description="Width of least cost; low and high are the ends of the band.")]
    within: Annotated[Share, Meta(description="How much more than the least the band costs at its ends.")]
    cost: Annotated[Money, Meta(description="Cost of the work in a year at that width, delay included.")]
    present_width: Annotated[Width, Meta(description="As in the request.")]
    present_cost: Annotated[Money, Meta(description="The same cost at the present width.")]
    hours: Annotated[Time, Meta(description="The work takes so long in a year at the best width.")]
    closed_form: Annotated[
        Width,
        Meta(
            description="Width by sqrt(A k / (f v E)), which takes ownership by the metre as at the present width and "
            "leaves repairs out: an independent check."
        ),
    ]


class WorkInSI(NamedTuple):
    """The work of a year, in SI units."""

    area: float
    """[m^2]"""
    capacity: float
    """[m^2/s]"""
    running: RunningCost
    parts_per_area: float
    """[money/m^2]"""


def hire_or_own(rate: float, machines: Sequence[MachineInSI], work: WorkInSI, ledger: Ledger) -> HireAnswer:
    """Return hire at a `rate` [money/m^2] against own.

    Own cost on an area first falls, as ownership spreads, and later rises with repairs: it has one minimum, and
    the two areas where it crosses the rate are found on either side of it.
    """
    owned = [machine.owned for machine in machines]
    other = [machine.other_use for machine in machines]

    def own(area: Real) -> Real:
        yearly = work_cost(owned, other, area, work.capacity, work.running.total, work.parts_per_area)
        return yearly / area

    most = work.capacity * (YEAR_HOURS - max(other))
    least = min(SMALLEST_PART * most, work.area)
    most = max(most, work.area)
    here = float(own(work.area))
    found = band_within(own, rate, find_minimum(own, least, most), least, most)
    low = Area(float(found.low)) if found.kept and not found.low_is_end else None
    high = Area(float(found.high)) if found.kept and not found.high_is_end else None
    if high is not None and _wears_out(float(high), machines, work):
        high = None
    if low is not None and _wears_out(float(low), machines, work):
        ledger.warn(
            "outside-range",
            "/hire_rate",
            f"At {ledger.say(low)} a year a machine would work beyond its life in the practice table; its repairs are "
            "a guess there.",
        )
    if abs(rate - here) <= EQUAL * max(rate, abs(here)):
        cheaper: Cheaper = "equal"
    else:
        cheaper = "own" if here < rate else "hire"
    return HireAnswer(
        own=MoneyPerArea(here),
        hire=MoneyPerArea(rate),
        difference=MoneyPerArea(rate - here),
        difference_per_year=Money((rate - here) * work.area),
        cheaper=cheaper,
        break_even=low,
        no_longer_above=high,
        says=_in_words(bool(found.kept), low, high, ledger),
    )


def _in_words(kept: bool, low: Area | None, high: Area | None, ledger: Ledger) -> str:
    if not kept:
        return "At this rate hire costs less on any area."
    start = "on any area" if low is None else f"from {ledger.say(low)} a year on"
    end = "" if high is None else f", up to {ledger.say(high)}, where repairs of so worn a machine make it dearer again"
    return f"Owning costs less than hire {start}{end}."


def _wears_out(area: float, machines: Sequence[MachineInSI], work: WorkInSI) -> bool:
    """Return whether a machine would work beyond its life with this `area` [m^2] a year."""
    time = area / work.capacity
    return any(
        machine.life is not None
        and float(machine.owned.used + machine.owned.years * (machine.other_use + time)) > machine.life
        for machine in machines
    )


class WidthChoice(NamedTuple):
    """What a request for the best width is about."""

    asked: BestWidth
    place: int
    """Of the machine among all of them."""
    present: float
    """Its width [m]."""


def width_choice(asked: BestWidth, given: Sequence[OwnedMachine], ledger: Ledger) -> WidthChoice | None:
    """Return which machine is `asked` about, or None once a fault is noted."""
    for index, machine in enumerate(given):
        if machine.name == asked.machine:
            if machine.width is not None:
                return WidthChoice(asked, index, float(machine.width))
            ledger.fault(f"/machines/{index}/width", "required, because best_width asks about this machine")
            return None
    names = ", ".join(repr(one.name) for one in given)
    ledger.fault("/best_width/machine", f"no machine is called {asked.machine!r}; there are {names}")
    return None


def best_width(choice: WidthChoice, machines: Sequence[MachineInSI], work: WorkInSI, ledger: Ledger) -> BestWidthAnswer:
    """Return the width of the machine of a `choice` that makes the work cost least; faults stop it."""
    asked, place, present = choice
    machine, time = machines[place], work.area / work.capacity
    others = sum(
        float(one.yearly.total) / (one.other_use + time) for position, one in enumerate(machines) if position != place
    )
    hourly = others + float(work.running.labour) + float(asked.delay_cost or 0.0)
    per_area = work.parts_per_area + float(work.running.fuel + work.running.oil) / work.capacity
    low, high = _searched(asked, present, machine, time, ledger)

    def cost(ratio: Real) -> Real:
        return work_cost_at_width(machine.owned, machine.other_use, ratio, work.area, work.capacity, hourly, per_area)

    within = ledger.fallback(asked.within, "/best_width/within", "cost_band")
    minimum = find_minimum(cost, low, high)
    found = band_within(cost, minimum.cost * (1.0 + within), minimum, low, high)
    best = float(minimum.at)
    _warn_at_ends(bool(found.low_is_end), bool(found.high_is_end), low * present, high * present, ledger)
    share = time / (machine.other_use + time)
    ownership = float(machine.yearly.recovery + machine.yearly.standing) * share
    return BestWidthAnswer(
        machine=asked.machine,
        width=Width.ranged(best * present, float(found.low) * present, float(found.high) * present),
        within=Share(within),
        cost=Money(float(minimum.cost)),
        present_width=Width(present),
        present_cost=Money(float(cost(1.0))),
        hours=Time(time / best),
        closed_form=Width(
            float(width_for_least_cost(work.area, work.capacity / present, 1.0, hourly, ownership / present))
        ),
    )


def _searched(
    asked: BestWidth, present: float, machine: MachineInSI, time: float, ledger: Ledger
) -> tuple[float, float]:
    """Return the least and greatest width over the present one [1] that are thought of."""
    # Narrower, and the machine's work would not fit into the hours of a year.
    slowest = (machine.other_use + time) / YEAR_HOURS
    narrowest = float(asked.narrowest) / present if asked.narrowest is not None else 1.0 / SEARCHED_WIDTHS
    widest = float(asked.widest) / present if asked.widest is not None else SEARCHED_WIDTHS
    low, high = max(narrowest, slowest), widest
    if low > high:
        ledger.fault(
            "/best_width/widest",
            f"{ledger.say(Width(high * present))} is less than {ledger.say(Width(low * present))}, the narrowest that "
            "is asked for and gets the work done in a year",
        )
    ledger.stop_at_faults()
    return low, high


def _warn_at_ends(low_is_end: bool, high_is_end: bool, low: float, high: float, ledger: Ledger) -> None:
    for is_end, end, name, word in (
        (low_is_end, low, "narrowest", "narrower"),
        (high_is_end, high, "widest", "wider"),
    ):
        if is_end:
            ledger.warn(
                "outside-range",
                f"/best_width/{name}",
                f"The band goes on beyond {ledger.say(Width(end))}, where the search ended; {word} ones are as good.",
            )
