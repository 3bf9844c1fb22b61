"""What is answered: cost item by item, wearing parts side by side, hire against own, and the best width."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger, old_word
from drawbar_service.api.v1.cost import words
from drawbar_service.api.v1.cost.request import CostRequest
from drawbar_service.engine.arrays import Real, number
from drawbar_service.model.cost import Costed, cost_of_year
from drawbar_service.model.cost_choices import (
    CHEAPER,
    Cheaper,
    WidthChoice,
    best_width,
    hire_or_own,
    width_search,
)
from drawbar_service.model.ownership import Machine, MachineShare
from drawbar_service.model.wear import PartCost, WorkOfYear
from drawbar_service.quantities import (
    Area,
    Money,
    MoneyPerArea,
    MoneyPerTime,
    Ratio,
    Share,
    Time,
    Width,
)
from drawbar_service.rows import text_at


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


class WearPartCost(msgspec.Struct, frozen=True, kw_only=True):
    """What a kind of part costs."""

    name: Annotated[str, Meta(description="As in the request.")]
    life: Annotated[Area, Meta(description="Area worked on one set, in this soil.")]
    life_from: Annotated[str, Meta(description="Where the life comes from: given, hours, times_first or point.")]
    sets_per_year: Annotated[float, Meta(description="Sets worn out in a year of this work.")]
    change_time: Annotated[Time, Meta(description="Labor to change them in a year.")]
    per_area: Annotated[MoneyPerArea, Meta(description="Parts and the labor to change them.")]
    per_year: Annotated[Money, Meta(description="The same in a year.")]
    saving: Annotated[Money, Meta(description="What it saves in a year over what is fitted; below 0 it costs more.")]
    against_fitted: Annotated[
        Ratio | None, Meta(description="Its cost over that of what is fitted; null where that costs nothing.")
    ]


class WearComparison(msgspec.Struct, frozen=True, kw_only=True):
    """The options of one place, side by side."""

    machine: Annotated[str, Meta(description="The machine.")]
    place: Annotated[str, Meta(description="The place on it.")]
    options: Annotated[list[WearPartCost], Meta(description="In the order of the request; the first is fitted.")]
    best: Annotated[str, Meta(description="The option that costs least on an area; the earlier of equals.")]


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
            description=(
                "Area a year above which repairs make owning dearer again; null beyond a year's hours or a machine's "
                "life."
            )
        ),
    ]
    says: Annotated[str, Meta(description="The same in words.")]


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
        Meta(description="Width by sqrt(A k / (f v E)), without repairs: an independent check."),
    ]


class CostAnswer(Answer, frozen=True, kw_only=True):
    """What the work costs, item by item, in today's money."""

    total: Annotated[CostLine, Meta(description="Everything.")]
    ownership: Annotated[CostLine, Meta(description="Capital recovery, taxes, insurance and housing of all machines.")]
    operating: Annotated[CostLine, Meta(description="Repairs, wearing parts, fuel, oil and labor.")]
    machines: Annotated[list[MachineCost], Meta(description="This work's share of each machine.")]
    fuel: Annotated[CostLine, Meta(description="Fuel.")]
    oil: Annotated[CostLine, Meta(description="Oil and grease.")]
    labor: Annotated[CostLine, Meta(description="Labor at work; changing of parts is with the parts.")]
    labour: Annotated[CostLine, old_word("labor")]
    area: Annotated[Area, Meta(description="Worked in a year.")]
    hours: Annotated[Time, Meta(description="Of this work in a year.")]
    wearing: Annotated[list[WearComparison], Meta(description="Options for wearing parts, side by side.")]
    hire: Annotated[HireAnswer | None, Meta(description="Hire against own; null if no `hire_rate` was given.")]
    best_width: Annotated[BestWidthAnswer | None, Meta(description="Width of least cost; null if not asked for.")]
    about: AboutField


def answer_of(of: Costed, choice: WidthChoice | None, request: CostRequest, ledger: Ledger) -> CostAnswer:
    """Return the answer for costed work; `choice` says what a best width is asked for, if it is."""
    cost = cost_of_year(of)
    parts_per_area = cost.parts / of.work.area
    hire = _hire(request, of, parts_per_area, ledger)
    width = _best_width(choice, of, parts_per_area, ledger) if choice is not None else None
    machines = zip(of.machines, cost.machines, strict=True)
    labor = _line(cost.labor, of.work)
    return CostAnswer(
        total=_line(cost.total, of.work),
        ownership=_line(cost.ownership, of.work),
        operating=_line(cost.operating, of.work),
        machines=[_machine(machine, share, of.work) for machine, share in machines],
        fuel=_line(cost.fuel, of.work),
        oil=_line(cost.oil, of.work),
        labor=labor,
        labour=labor,
        area=Area.of(of.work.area),
        hours=Time.of(of.work.time),
        wearing=_wearing(of) if ledger.asked("/wearing") else [],
        hire=hire,
        best_width=width,
        about=ledger.about(),
    )


def _line(per_year: Real, work: WorkOfYear) -> CostLine:
    return CostLine(
        per_year=Money.of(per_year),
        per_hour=MoneyPerTime.of(per_year / work.time),
        per_area=MoneyPerArea.of(per_year / work.area),
    )


def _machine(machine: Machine, cost: MachineShare, work: WorkOfYear) -> MachineCost:
    return MachineCost(
        name=machine.name,
        share_of_use=Share.of(cost.share),
        annual_use=Time.of(cost.use),
        hours_at_sale=Time.of(machine.worked_at_sale(cost.use)),
        resale=Money.of(machine.yearly.resale),
        whole_year=Money.of(machine.yearly.total),
        capital_recovery=_line(cost.recovery, work),
        taxes=_line(cost.taxes, work),
        insurance=_line(cost.insurance, work),
        housing=_line(cost.housing, work),
        repairs=_line(cost.repairs, work),
        parts=_line(cost.parts, work),
        total=_line(cost.total, work),
    )


def _wearing(of: Costed) -> list[WearComparison]:
    return [
        WearComparison(
            machine=machine.name,
            place=one.place,
            options=[_option(option) for option in one.options],
            best=text_at(one.best(), [option.name for option in one.options]),
        )
        for machine, places in zip(of.machines, of.wearing, strict=True)
        for one in places
    ]


def _option(one: PartCost) -> WearPartCost:
    return WearPartCost(
        name=one.name,
        life=Area.of(one.life),
        life_from=one.life_from,
        sets_per_year=number(one.sets),
        change_time=Time.of(one.change_time),
        per_area=MoneyPerArea.of(one.per_area),
        per_year=Money.of(one.per_year),
        saving=Money.of(one.saving),
        against_fitted=Ratio.known(one.compares, one.against_fitted),
    )


def _hire(request: CostRequest, of: Costed, parts_per_area: Real, ledger: Ledger) -> HireAnswer | None:
    # What is said of it stands among the warnings.
    if request.hire_rate is None or not (ledger.asked("/hire") or ledger.asked("/about/warnings")):
        return None
    found = hire_or_own(request.hire_rate, of, parts_per_area, ledger)
    return HireAnswer(
        own=MoneyPerArea.of(found.own),
        hire=MoneyPerArea.of(found.rate),
        difference=MoneyPerArea.of(found.difference),
        difference_per_year=Money.of(found.per_year),
        cheaper=text_at(found.cheaper, CHEAPER),
        break_even=Area.known(found.has_start, found.pays_from),
        no_longer_above=Area.known(found.has_end, found.pays_up_to),
        says=ledger.sentence(lambda: words.hire(found, ledger)),
    )


def _best_width(choice: WidthChoice, of: Costed, parts_per_area: Real, ledger: Ledger) -> BestWidthAnswer | None:
    search = width_search(choice, of, ledger)
    if not (ledger.asked("/best_width") or ledger.asked("/about/warnings")):
        return None
    found = best_width(search, of, parts_per_area, ledger)
    return BestWidthAnswer(
        machine=choice.asked.machine,
        width=Width.spanning(found.width),
        within=Share.of(search.within),
        cost=Money.of(found.cost),
        present_width=Width.of(choice.present),
        present_cost=Money.of(found.present_cost),
        hours=Time.of(found.time),
        closed_form=Width.of(found.closed_form),
    )
