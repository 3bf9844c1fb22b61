"""What is answered: every pass and every system, and systems held against each other."""

from collections.abc import Sequence
from datetime import date
from typing import Annotated, TypeVar, cast

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger, old_word, part_where
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.match.answer import slip_of
from drawbar_service.api.v1.system import words
from drawbar_service.api.v1.system.request import FieldPass, SystemRequest
from drawbar_service.engine.arrays import Mask, Real, both, known_where, larger, number, opposite, smaller, truth, whole
from drawbar_service.model.chance import Word
from drawbar_service.model.field_pass import Land, Made, Sums
from drawbar_service.model.limits import LimitName, name_of
from drawbar_service.model.matched import Matched
from drawbar_service.model.span import Span, ordered
from drawbar_service.model.system import (
    Apart,
    Chain,
    Comparison,
    Criterion,
    Difference,
    Ranking,
    carbon_of,
    compare,
    difference,
)
from drawbar_service.quantities import (
    AreaRate,
    FuelPerArea,
    Mass,
    Money,
    MoneyPerArea,
    Quantity,
    Ratio,
    Share,
    Speed,
    Time,
    Volume,
)
from drawbar_service.rows import text_at

QuantityT = TypeVar("QuantityT", bound=Quantity)


class PassMatchAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What the match says of a pass."""

    word: Annotated[Word, Meta(description="The verdict.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept by the central figures.")]
    binding: Annotated[LimitName, Meta(description="The limit exceeded most, or nearest to it.")]
    summary: Annotated[str, Meta(description="The match in words.")]
    speed: Annotated[Speed, Meta(description="Ground speed.")]
    load_fraction: Annotated[Ratio | None, Meta(description="PTO power needed over rated.")]
    slip: Annotated[Share | None, Meta(description="Slip.")]


class CostParts(msgspec.Struct, frozen=True, kw_only=True):
    """What something costs, as far as prices were given; null where none was."""

    machine: Annotated[Money | None, Meta(description="Tractor and implement, or hired work.")]
    fuel: Annotated[Money | None, Meta(description="Fuel, where no hired price covers it.")]
    labor: Annotated[Money | None, Meta(description="One driver for the hours, where no hired price covers it.")]
    labour: Annotated[Money | None, old_word("labor")]
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


class SystemDifference(msgspec.Struct, frozen=True, kw_only=True):
    """A system less the baseline. Relative: that difference over the baseline; null where the baseline is nothing."""

    name: Annotated[str, Meta(description="The system.")]
    passes: Annotated[int, Meta(description="Passes more or fewer.")]
    passes_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    time: Annotated[Time, Meta(description="Hours more or fewer.")]
    time_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    fuel: Annotated[Volume | None, Meta(description="Fuel more or less; null if not known of both.")]
    fuel_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    carbon_dioxide: Annotated[Mass | None, Meta(description="Carbon dioxide from fuel, more or less.")]
    carbon_dioxide_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    cost: Annotated[Money | None, Meta(description="Cost more or less, as far as prices were given.")]
    cost_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    cover: Annotated[Ratio | None, Meta(description="Cover more or less, in points of the ground.")]
    cover_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    finish_day: Annotated[float | None, Meta(description="Days later or earlier that the last pass is done.")]


class CriterionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Who comes first on one criterion: least hours, fuel, cost and passes, most cover, earliest finish."""

    criterion: Annotated[Criterion, Meta(description="The criterion; carbon dioxide goes with fuel.")]
    systems: Annotated[list[str], Meta(description="The system that comes first, or those that are level.")]
    clear: Annotated[
        bool,
        Meta(description="Whether its range lies wholly before the ranges of all others; else it is a close call."),
    ]


class SystemVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """Who comes first on what. What counts more is yours to say: none is called the best."""

    summary: Annotated[str, Meta(description="The answer in words.")]
    criteria: Annotated[list[CriterionAnswer], Meta(description="Each criterion that could be found for all.")]


class SystemAnswer(Answer, frozen=True, kw_only=True):
    """Systems side by side."""

    verdict: Annotated[SystemVerdict, Meta(description="The answer in short.")]
    baseline: Annotated[str, Meta(description="The system the others are held against.")]
    systems: Annotated[list[SystemResult], Meta(description="Every system, in the order of the request.")]
    differences: Annotated[list[SystemDifference], Meta(description="Every other system against the baseline.")]
    about: AboutField


def answer_of(request: SystemRequest, chains: Sequence[Chain], land: Land, ledger: Ledger) -> SystemAnswer:
    """Return the answer for systems that have been worked out."""
    asked = ledger.asked
    baseline = next(chain for chain in chains if chain.name == (request.baseline or request.systems[0].name))
    compared = compare(chains) if asked("/verdict") else Comparison([], [], [])
    return SystemAnswer(
        verdict=SystemVerdict(
            summary=words.summary(compared, ledger) if asked("/verdict/summary") else "",
            criteria=[_criterion(one, compared.names) for one in compared.rankings],
        ),
        baseline=baseline.name,
        systems=[_system(request, at, chain, land, ledger) for at, chain in enumerate(chains)]
        if asked("/systems")
        else [],
        differences=[_difference(difference(chain, baseline), land) for chain in chains if chain is not baseline]
        if asked("/differences")
        else [],
        about=ledger.about(),
    )


def _system(request: SystemRequest, at: int, chain: Chain, land: Land, ledger: Ledger) -> SystemResult:
    first_date = request.calendar.first_date if request.calendar is not None else None
    pointer, given = f"/systems/{at}", request.systems[at].passes
    passes = [
        _pass(one, made, f"{pointer}/passes/{place}", land, first_date, ledger)
        for place, (one, made) in enumerate(zip(given, chain.passes, strict=True))
    ]
    return SystemResult(
        name=chain.name, passes=passes, totals=_totals(chain, f"{pointer}/totals", land, first_date, ledger)
    )


def _pass(one: FieldPass, made: Made, pointer: str, land: Land, first_date: date | None, ledger: Ledger) -> PassAnswer:
    sums, fuel, kept = made.sums, made.sums.fuel, land.residue is not None
    return PassAnswer(
        name=one.name,
        times=one.times,
        capacity=AreaRate.spanning(made.capacity),
        time=_ranged(Time, sums.time),
        fuel=_ranged(Volume, fuel) if fuel is not None else None,
        fuel_per_area=_over(FuelPerArea, fuel, land),
        carbon_dioxide=_carbon(fuel, land),
        cost=_cost(sums, land),
        retention=_ranged(Share, made.retention) if kept else None,
        cover_after=_ranged(Share, made.after.cover) if kept else None,
        calendar=_calendar(made, pointer, first_date, ledger) if land.day_length is not None else None,
        match=_match(made.match, ledger) if made.match is not None else None,
    )


def _match(match: Matched, ledger: Ledger) -> PassMatchAnswer:
    worked = match.worked
    return PassMatchAnswer(
        word=match_words.word_of(match.chance),
        fits=truth(worked.fits),
        binding=name_of(match.binds),
        summary=ledger.sentence(lambda: match_words.summary(match, ledger)),
        speed=Speed.of(worked.speed),
        load_fraction=part_where(worked.carried, lambda: Ratio.spanning(ordered(worked.load))),
        slip=slip_of(worked),
    )


def _totals(chain: Chain, pointer: str, land: Land, first_date: date | None, ledger: Ledger) -> SystemTotals:
    sums, fuel, finish = chain.sums, chain.sums.fuel, chain.finish
    dated = finish is not None and ledger.asked(f"{pointer}/finish_date")
    return SystemTotals(
        passes=whole(sums.passes),
        fits=truth(sums.fits),
        time=_ranged(Time, sums.time),
        fuel=_ranged(Volume, fuel) if fuel is not None else None,
        fuel_per_area=_over(FuelPerArea, fuel, land),
        carbon_dioxide=_carbon(fuel, land),
        cost=_cost(sums, land),
        cover=_ranged(Share, chain.cover) if chain.cover is not None else None,
        finish_day=number(finish.value) if finish is not None else None,
        latest_finish_day=number(_latest(finish)) if finish is not None else None,
        finish_date=_finish_date(chain.passes[-1], first_date) if dated else None,
    )


def _calendar(made: Made, pointer: str, first_date: date | None, ledger: Ledger) -> PassCalendar:
    begins, finish = made.begins.value, made.after.day
    dates = f"{pointer}/calendar"
    return PassCalendar(
        start_day=number(begins),
        finish_day=number(finish.value),
        latest_finish_day=number(_latest(finish)),
        start_date=_dated(first_date, np.floor(begins)) if ledger.asked(f"{dates}/start_date") else None,
        finish_date=_finish_date(made, first_date) if ledger.asked(f"{dates}/finish_date") else None,
    )


def _latest(day: Span[Real]) -> Real:
    return day.value if day.high is None else larger(day.value, day.high)


def _finish_date(made: Made, first_date: date | None) -> str | None:
    """Return the date of the last day on which a pass is at work."""
    return _dated(first_date, larger(np.floor(made.begins.value), np.ceil(made.after.day.value) - 1.0))


def _dated(first: date | None, day: Real) -> str | None:
    """Return the date of a whole `day`, or of that of each row; None without a date for day 0, or past the last one."""
    if first is None:
        return None
    days, codes = np.unique(np.asarray(day), return_inverse=True)
    most = date.max.toordinal() - first.toordinal()
    texts = [None if one > most else date.fromordinal(first.toordinal() + int(one)).isoformat() for one in days]
    return text_at(codes if isinstance(day, np.ndarray) else 0.0, texts)


def _ranged(kind: type[QuantityT], span: Span[Real]) -> QuantityT:
    """Return a quantity from its value and ends, with a range if it has one."""
    value, low, high = span
    assert low is not None
    assert high is not None
    apart = opposite(both(low == value, value == high))
    return kind.ranged(value, known_where(apart, smaller(value, low)), known_where(apart, larger(value, high)))


def _over(kind: type[QuantityT], span: Span[Real] | None, land: Land) -> QuantityT | None:
    """Return a `span` over the area."""
    return _ranged(kind, span.map(lambda value: value / land.area)) if span is not None else None


def _carbon(fuel: Span[Real] | None, land: Land) -> Mass | None:
    carbon = carbon_of(fuel, land)
    return _ranged(Mass, carbon) if carbon is not None else None


def _cost(sums: Sums, land: Land) -> CostParts:
    labor = _money(sums.labor)
    return CostParts(
        machine=_money(sums.machine),
        fuel=_money(sums.fuel_cost) if sums.fuel_cost_known else None,
        labor=labor,
        labour=labor,
        total=_money(sums.cost),
        per_area=_over(MoneyPerArea, sums.cost, land),
    )


def _money(span: Span[Real] | None) -> Money | None:
    return _ranged(Money, span) if span is not None else None


def _difference(one: Difference, land: Land) -> SystemDifference:
    passes, time, fuel, carbon = one.passes.difference, one.time.difference, one.fuel, None
    assert passes is not None
    assert time is not None
    if fuel.difference is not None:
        carbon = Mass.of(fuel.difference * land.carbon_per_fuel)
    return SystemDifference(
        name=one.name,
        passes=whole(passes),
        passes_relative=_relative(one.passes),
        time=Time.of(time),
        time_relative=_relative(one.time),
        fuel=_more(Volume, fuel),
        fuel_relative=_relative(fuel),
        carbon_dioxide=carbon,
        carbon_dioxide_relative=_relative(fuel) if land.carbon_per_fuel > 0.0 else None,
        cost=_more(Money, one.cost),
        cost_relative=_relative(one.cost),
        cover=_more(Ratio, one.cover),
        cover_relative=_relative(one.cover),
        finish_day=number(one.finish.difference) if one.finish.difference is not None else None,
    )


def _more(kind: type[QuantityT], apart: Apart) -> QuantityT | None:
    return kind.of(apart.difference) if apart.difference is not None else None


def _relative(apart: Apart) -> Ratio | None:
    return Ratio.of(apart.relative) if apart.relative is not None else None


def _criterion(one: Ranking, names: Sequence[str]) -> CriterionAnswer:
    return CriterionAnswer(criterion=one.criterion, systems=_first(one.first, names), clear=truth(one.clear))


def _first(first: Sequence[Mask], names: Sequence[str]) -> list[str]:
    """Return the names of the systems that come first: as many as in any row, None in those that have fewer."""
    if not any(isinstance(one, np.ndarray) for one in first):
        return [name for name, here in zip(names, first, strict=True) if here]
    counted = np.cumsum(np.stack(np.broadcast_arrays(*first)), axis=0)
    texts = cast("list[str]", [*names, None])
    return [
        text_at(np.where(counted[-1] >= place, np.argmax(counted >= place, axis=0), len(names)), texts)
        for place in range(1, int(counted[-1].max()) + 1)
    ]
