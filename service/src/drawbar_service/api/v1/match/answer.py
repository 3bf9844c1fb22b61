"""POST /v1/match: will this tractor pull this implement, how fast, and what stops it."""

from typing import Annotated, TypeVar

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.implement import (
    EXAMPLE_IMPLEMENT,
    ToolDraft,
    main_tool,
)
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR, TractorInSI
from drawbar_service.api.v1.draft.answer import DraftSummary, draft_summary
from drawbar_service.api.v1.field_capacity.answer import CapacitySummary, capacity_summary
from drawbar_service.api.v1.fuel.answer import fuel_at
from drawbar_service.api.v1.match.case import Case, MatchRequest, Wanted, resolve
from drawbar_service.api.v1.match.greatest import GreatestAnswer, chosen_speed, greatest_answer, searches
from drawbar_service.api.v1.match.limits import ROUNDING, LimitName, Margins, all_kept, binding, margins
from drawbar_service.api.v1.match.odds import (
    Certain,
    OddsAnswer,
    odds,
    range_deviations,
)
from drawbar_service.api.v1.traction.answer import AxlesAnswer, axles_answer
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.fuel import fuel_per_area, fuel_rate, reduced_speed_factor
from drawbar_service.engine.match import (
    GearPoint,
    OperatingPoint,
    excess,
    gear_point,
    operate,
    power_by_ratio,
)
from drawbar_service.quantities import (
    Depth,
    Force,
    FuelPerArea,
    FuelRate,
    Power,
    Quantity,
    Ratio,
    Share,
    Speed,
)
from drawbar_service.reference import default

QuantityT = TypeVar("QuantityT", bound=Quantity)
METHODS_DIFFER = 0.15
"""Difference [1] at which the two ways to reckon power are said to part."""


class AtWork(msgspec.Struct, frozen=True, kw_only=True):
    """The tractor at work; low and high follow the range of the draft."""

    speed: Annotated[Speed, Meta(description="Ground speed.")]
    pull: Annotated[Force, Meta(description="Pull at the hitch.")]
    drawbar_power: Annotated[Power, Meta(description="Pull times speed.")]
    axle_power: Annotated[Power | None, Meta(description="Power at the axles; null on rubber tracks.")]
    pto_power: Annotated[Power, Meta(description="All needs, brought to the PTO.")]
    other_power: Annotated[Power, Meta(description="Of it: PTO-driven machines, hydraulics, electrics.")]
    load_fraction: Annotated[Ratio, Meta(description="PTO power needed over rated.")]
    slip: Annotated[
        Share | None, Meta(description="Slip; of greatest pull where the pull is not carried; null on rubber tracks.")
    ]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency on this surface, from and to.")]
    tractive_efficiency: Annotated[Ratio | None, Meta(description="Drawbar power over axle power.")]
    axles: Annotated[AxlesAnswer | None, Meta(description="Each axle; null on rubber tracks.")]


class LimitAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One limit and how far it is from being met."""

    name: Annotated[LimitName, Meta(description="The limit.")]
    kept: Annotated[bool, Meta(description="Whether it is kept.")]
    margin: Annotated[Ratio, Meta(description="What is left before the limit, over the limit; negative beyond it.")]
    detail: Annotated[str, Meta(description="Value and limit in words.")]


class GearAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One gear at the travel speed of the answer."""

    name: Annotated[str, Meta(description="The gear.")]
    possible: Annotated[bool, Meta(description="Whether engine speed and torque suffice.")]
    engine_speed: Annotated[Ratio, Meta(description="Engine speed over full-throttle speed.")]
    load: Annotated[Ratio, Meta(description="Power needed over what rated torque gives at that engine speed.")]
    fuel: Annotated[FuelRate | None, Meta(description="Fuel; null if the gear is not possible.")]


class GearChoice(msgspec.Struct, frozen=True, kw_only=True):
    """Gears compared at one travel speed."""

    best: Annotated[str | None, Meta(description="The possible gear that burns least; null if none is possible.")]
    gears: Annotated[list[GearAnswer], Meta(description="Every gear, in the order of the request.")]


class FuelSummary(msgspec.Struct, frozen=True, kw_only=True):
    """Fuel of the match."""

    rate: Annotated[FuelRate, Meta(description="Fuel in a time, at work; low and high follow the range of the draft.")]
    per_area: Annotated[
        FuelPerArea,
        Meta(
            description="Fuel on an area, at the effective field capacity; low and high follow the ranges of draft and "
            "field efficiency, taken together."
        ),
    ]


class QuickCheck(msgspec.Struct, frozen=True, kw_only=True):
    """The same power need by the published drawbar/PTO ratio."""

    drawbar_per_pto: Annotated[Share, Meta(description="The ratio for this drive and surface.")]
    pto_power: Annotated[Power, Meta(description="PTO power by that ratio.")]
    difference: Annotated[Ratio, Meta(description="That power over the traction path's, less 1.")]


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """The answer in short."""

    fits: Annotated[bool, Meta(description="Whether every limit is kept at this speed.")]
    binding: Annotated[LimitName, Meta(description="The limit that is exceeded most, or nearest to being met.")]
    summary: Annotated[str, Meta(description="The answer in words.")]


class MatchAnswer(Answer, frozen=True, kw_only=True):
    """Will it pull, how fast, and what stops it."""

    verdict: Annotated[Verdict, Meta(description="The answer in short.")]
    at_work: Annotated[AtWork, Meta(description="The tractor at work.")]
    draft: Annotated[DraftSummary | None, Meta(description="Draft by tool; null for a machine without ground tools.")]
    limits: Annotated[list[LimitAnswer], Meta(description="Every limit, with its margin.")]
    greatest: Annotated[GreatestAnswer, Meta(description="What would still fit.")]
    gear: Annotated[GearChoice | None, Meta(description="Gears compared, if the tractor lists any.")]
    fuel: Annotated[FuelSummary | None, Meta(description="What it burns; null where the power does not suffice.")]
    capacity: Annotated[CapacitySummary, Meta(description="Area an hour.")]
    quick_check: Annotated[QuickCheck, Meta(description="A second reckoning of the power.")]
    odds: Annotated[OddsAnswer | None, Meta(description="The odds, if they were asked for; null on rubber tracks.")]
    about: AboutField


def compute(request: MatchRequest, ledger: Ledger) -> MatchAnswer:
    """Answer a match request."""
    case = resolve(request, ledger)
    speed, found = chosen_speed(case, ledger)
    draft = draft_summary(case.drafts, _terms(case), speed, case.width) if case.drafts else None
    points = [operate(case.tractor.engine, work, speed) for work in case.work] if case.tractor is not None else []
    quick = [float(power_by_ratio(work, case.tractor_grade_pull, case.ratio, speed)) for work in case.work]
    powers = [float(point.pto_power) for point in points] or quick
    strain = excess(points[0], case.tractor.engine, case.limits) if case.tractor else case.strain(case.work[0], speed)
    main = main_tool([draft for draft in case.drafts if draft.depth is not None], speed)
    left = margins(strain, bool(points), speed, case.speeds, main.depth if main is not None else None, case.depths)
    limits = _limits(case, speed, left, powers[0], points[0] if points else None, main, ledger)
    carried = not points or bool(points[0].pull_effort <= 1.0)
    if not carried:
        ledger.warn(
            "not-carried",
            "/implement/tools" if case.drafts else "/implement/mass",
            "No slip carries this pull: slip is that of the greatest pull the soil does carry, and power is scaled up "
            "from there.",
        )
    fits = bool(all_kept(left))
    binds = limits[int(binding(left, carried))]
    if carried and fits and found is not None:
        # A speed that was searched for ends where something stops it: that binds, whatever else is near.
        binds = next((limit for limit in limits if limit.name == found.limited_by), binds)
    wanted: list[Wanted] = request.find if request.find is not None else ([] if fits else ["speed", "width", "depth"])
    greatest = greatest_answer(case, speed, found, wanted)
    load = powers[0] / case.rated
    gear = _gears(case, speed, load, points[0] if points else None, ledger)
    capacity = capacity_summary(
        case.width,
        speed,
        request.field.efficiency,
        request.field.shape,
        case.practice,
        request.field.area,
        request.field.workday,
        ledger,
        "/field",
    )
    ledger.stop_at_faults()
    engine_speed = _engine_speed(case, gear, ledger)
    fuel = _fuel(case, [power / case.rated for power in powers], engine_speed, capacity, ledger)
    at_work = _at_work(case, speed, points, powers)
    quick_check = _quick_check(case, powers, quick, ledger)
    return MatchAnswer(
        verdict=Verdict(fits=fits, binding=binds.name, summary=_summary(case, fits, binds, speed, greatest, ledger)),
        at_work=at_work,
        draft=draft,
        limits=limits,
        greatest=greatest,
        gear=gear,
        fuel=fuel,
        capacity=capacity,
        quick_check=quick_check,
        odds=_odds(case, speed, wanted, capacity, engine_speed, ledger),
        about=ledger.about(),
    )


def _terms(case: Case) -> tuple[DraftTerms, DraftTerms, DraftTerms]:
    central, low, high = case.work
    return central.draft, low.draft, high.draft


def _limits(
    case: Case,
    speed: float,
    left: Margins,
    power: float,
    point: OperatingPoint | None,
    main: ToolDraft | None,
    ledger: Ledger,
) -> list[LimitAnswer]:
    words: dict[LimitName, str] = {
        "power": f"{ledger.say(Power(power))} of {ledger.say(Power(case.usable))} usable at the PTO"
    }
    if point is not None and case.tractor is not None:
        words["pull"] = f"{ledger.say(Ratio(float(point.pull_effort)))} of the greatest pull this soil carries"
        slip, most = Share(float(point.slip)), Share(float(case.limits.slip))
        carried = point.pull_effort <= 1.0
        words["slip"] = f"{ledger.say(slip)} of at most {ledger.say(most)}" if carried else "no slip carries this pull"
        load = Ratio(float(case.tractor.engine.loads.front(point.pull)) / case.tractor.weight)
        least = Ratio(float(case.limits.front_load) / case.tractor.weight)
        words["front-axle"] = (
            f"{ledger.say(load)} of the tractor's weight on the front axle, at least {ledger.say(least)}"
        )
    if case.speeds is not None:
        words["tool-speed"] = _between_words(Speed, speed, case.speeds, ledger)
    if case.depths is not None and main is not None and main.depth is not None:
        words["tool-depth"] = _between_words(Depth, main.depth, case.depths, ledger)
    return [
        LimitAnswer(name=name, kept=bool(margin >= -ROUNDING), margin=Ratio(float(margin)), detail=words[name])
        for name, margin in left.items()
    ]


def _between_words(kind: type[Quantity], value: float, ends: tuple[float, float], ledger: Ledger) -> str:
    low, high = ends
    return f"{ledger.say(kind(value))}, between {ledger.say(kind(low))} and {ledger.say(kind(high))}"


def _gears(case: Case, speed: float, load: float, point: OperatingPoint | None, ledger: Ledger) -> GearChoice | None:
    gears = case.request.tractor.gears
    if not gears:
        return None
    slip = float(point.slip) if point is not None else 0.0
    if point is None:
        ledger.warn("rough-estimate", "/tractor/gears", "Tracks are taken not to slip when gears are compared.")
    slowest = default("lowest_engine_speed").value
    highest_load = case.usable / case.rated
    ledger.warn(
        "rough-estimate",
        "/tractor/gears",
        f"Gears are compared from {100 * slowest:.3g} % engine speed up, with rated torque and no more at every speed; "
        "engines whose torque rises do better.",
    )
    answers: list[GearAnswer] = []
    for gear in gears:
        run: GearPoint = gear_point(speed / (1.0 - slip), float(gear.speed), load)
        possible = bool(slowest <= run.engine_speed_ratio <= 1.0 and run.load_at_speed <= highest_load + ROUNDING)
        fuel = float(fuel_rate(load, case.rated) * reduced_speed_factor(load, run.engine_speed_ratio))
        answers.append(
            GearAnswer(
                name=gear.name,
                possible=possible,
                engine_speed=Ratio(float(run.engine_speed_ratio)),
                load=Ratio(float(run.load_at_speed)),
                fuel=FuelRate(fuel) if possible else None,
            )
        )
    best = min(
        (gear for gear in answers if gear.fuel is not None), key=lambda gear: float(gear.fuel or 0.0), default=None
    )
    return GearChoice(best=best.name if best is not None else None, gears=answers)


def _engine_speed(case: Case, gear: GearChoice | None, ledger: Ledger) -> float:
    """Return engine speed over full-throttle speed [1]: given, or that of the best gear, or the default."""
    given = case.request.tractor.engine_speed
    if given is None and gear is not None and gear.best is not None:
        best = next(float(one.engine_speed) for one in gear.gears if one.name == gear.best and one.possible)
        ledger.assume("/tractor/engine_speed", Ratio(best), f"In the best gear, {gear.best}.", "derived")
        return best
    return ledger.fallback(given, "/tractor/engine_speed", "engine_speed_ratio")


def _fuel(
    case: Case, loads: list[float], engine_speed: float, capacity: CapacitySummary, ledger: Ledger
) -> FuelSummary | None:
    load = loads[0]
    if load > 1.0 + ROUNDING:
        return None
    rate = fuel_at(load, case.rated, engine_speed, "diesel", ledger, "/tractor/engine_speed")
    # A tractor that is asked for more than it is rated for slows down rather than burn more.
    ends = [min(one, max(load, 1.0)) for one in loads]
    rates = [rate, *(float(fuel_rate(end, case.rated) * reduced_speed_factor(end, engine_speed)) for end in ends[1:])]
    area_rate = capacity.effective
    most, least = area_rate.high or float(area_rate), area_rate.low or float(area_rate)
    per_area = [
        float(fuel_per_area(one, area))
        for one, area in ((rate, float(area_rate)), (min(rates), most), (max(rates), least))
    ]
    return FuelSummary(rate=_between(FuelRate, rates), per_area=_between(FuelPerArea, per_area))


def _odds(
    case: Case, speed: float, wanted: list[Wanted], capacity: CapacitySummary, engine_speed: float, ledger: Ledger
) -> OddsAnswer | None:
    if case.request.odds is None:
        return None
    if case.tractor is None:
        ledger.warn("not-used", "/odds", "Odds need slip and axle loads, which are not reckoned on rubber tracks.")
        return None
    deviations = range_deviations(case.request.odds, ledger)
    certain = certain_of(case, case.tractor, speed, float(capacity.efficiency), engine_speed, deviations)
    return odds(case.request.odds, certain, searches(case, speed, wanted))


def certain_of(
    case: Case,
    tractor: TractorInSI,
    speed: float,
    field_efficiency: float,
    engine_speed: float,
    deviations: float,
) -> Certain:
    """Return the match as it is before anything is let vary."""
    return Certain(
        tractor=tractor.engine,
        drafts=case.drafts,
        steady_pull=float(case.work[0].steady_pull),
        needs=case.needs,
        limits=case.limits,
        rated=case.rated,
        speed=speed,
        slip_band=(case.surface.slip_band_low, case.surface.slip_band_high),
        width=case.width,
        field_efficiency=field_efficiency,
        engine_speed=engine_speed,
        deviations=deviations,
    )


def _at_work(case: Case, speed: float, points: list[OperatingPoint], powers: list[float]) -> AtWork:
    pulls = [float(work.draft.at(speed) + work.steady_pull) for work in case.work]
    needs = case.needs
    steady = needs.hydraulic + needs.electric
    return AtWork(
        speed=Speed(speed),
        pull=_between(Force, pulls),
        drawbar_power=_between(Power, [pull * speed for pull in pulls]),
        axle_power=_between(Power, [float(point.axle_power) for point in points]) if points else None,
        pto_power=_between(Power, powers),
        other_power=Power.ranged(needs.total, needs.rotary_low + steady, needs.rotary_high + steady),
        load_fraction=_between(Ratio, [power / case.rated for power in powers]),
        slip=_slip_reading(points) if points else None,
        slip_band=[Share(case.surface.slip_band_low), Share(case.surface.slip_band_high)],
        tractive_efficiency=Ratio(float(points[0].tractive_efficiency)) if points else None,
        axles=axles_answer(case.tractor, points[0]) if case.tractor is not None else None,
    )


def _between(kind: type[QuantityT], values: list[float]) -> QuantityT:
    """Return the first of `values` with the range of all of them.

    The ends of the draft's range are mostly, but not always, the ends of what follows from it: pushed
    downhill, or with load moving to tires that roll easier, the order can turn round.
    """
    return kind.ranged(values[0], min(values), max(values))


def _slip_reading(points: list[OperatingPoint]) -> Share:
    """Return slip with its range; where a pull is not carried there is no slip that belongs to it, so no range."""
    slips = [float(point.slip) for point in points]
    return _between(Share, slips) if all(point.pull_effort <= 1.0 for point in points) else Share(slips[0])


def _quick_check(case: Case, powers: list[float], quick: list[float], ledger: Ledger) -> QuickCheck:
    difference = quick[0] / powers[0] - 1.0 if powers[0] > 0.0 else 0.0
    if abs(difference) > METHODS_DIFFER:
        ledger.warn(
            "methods-differ",
            "/soil/surface",
            f"The drawbar/PTO ratio asks for {ledger.say(Power(quick[0]))}, the traction path for "
            f"{ledger.say(Power(powers[0]))}. Check tractor mass, tires and surface.",
        )
    return QuickCheck(drawbar_per_pto=Share(case.ratio), pto_power=_between(Power, quick), difference=Ratio(difference))


_BINDING_WORDS: dict[LimitName, str] = {
    "power": "power",
    "slip": "slip",
    "pull": "what the soil carries",
    "front-axle": "the front axle",
    "tool-speed": "the speed range of the tool",
    "tool-depth": "the depth range of the tool",
    "search-end": "nothing within reason",
}


def _summary(
    case: Case, fits: bool, binding: LimitAnswer, speed: float, greatest: GreatestAnswer, ledger: Ledger
) -> str:
    limit = _BINDING_WORDS[binding.name]
    if fits:
        margin = f"{100 * max(float(binding.margin), 0.0):.0f} %"
        return f"Fits at {ledger.say(Speed(speed))}. Nearest limit: {limit}, with {margin} to spare ({binding.detail})."
    if case.request.speed is None and greatest.speed is not None and greatest.speed.value is not None:
        stop, most = _BINDING_WORDS[greatest.speed.limited_by], greatest.speed.value.words_not_above(ledger.units)
        text = f"Goes no faster than {most}, where {stop} stops it"
        if binding.name == "tool-speed" and case.speeds is not None:
            text += f"; the tool works well from {ledger.say(Speed(case.speeds[0]))}."
        else:
            text += f"; {limit}: {binding.detail}."
    else:
        text = f"Does not fit at {ledger.say(Speed(speed))}: {limit} ({binding.detail})."
    changes = _changes(case, speed, greatest, ledger)
    if not changes:
        return text
    return f"{text} To fit{', one of' if len(changes) > 1 else ''}: {', or '.join(changes)}."


def _changes(case: Case, speed: float, greatest: GreatestAnswer, ledger: Ledger) -> list[str]:
    """Return what would fit, as far as it is less than what was asked for."""
    changes: list[str] = []
    fastest = greatest.speed
    if fastest is not None and fastest.value is not None and fastest.within_tool_range:
        most = fastest.value.words_not_above(ledger.units)
        if fastest.value < speed - ROUNDING:
            changes.append(f"go {most}")
        elif case.speeds is not None and speed < case.speeds[0]:
            changes.append(f"go {ledger.say(Speed(case.speeds[0]))} to {most}")
    width, depth = greatest.width, greatest.depth
    if width is not None and width.value is not None and width.value < case.width - ROUNDING:
        size = f"{width.count} tools" if width.count is not None else width.value.words_not_above(ledger.units)
        changes.append(f"pull {size} at {ledger.say(width.at_speed)}")
    if depth is not None and depth.value is not None:
        asked = next((draft.depth for draft in case.drafts if draft.pointer == depth.pointer), None)
        if asked is not None and depth.value < asked - ROUNDING:
            changes.append(f"work {depth.value.words_not_above(ledger.units)} deep at {ledger.say(depth.at_speed)}")
    return changes


MATCH = Calculation(
    name="match",
    request=MatchRequest,
    answer=MatchAnswer,
    compute=compute,
    lasts=lambda request: "moment" if request.odds is None else "while",
    summary="Will this tractor pull this implement, how fast, and what stops it",
    description=(
        "From draft to slip to power to fuel to area an hour, with every limit and its margin: power, slip, what the "
        "soil carries, front-axle load, speed and depth range of the tool. Names the limit that binds, and finds the "
        "greatest speed, width (in whole tools) or depth that would fit. A pull the tractor cannot make is an answer, "
        "not an error."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "implement": EXAMPLE_IMPLEMENT,
        "soil": {"texture": "medium", "surface": "firm"},
        "field": {"area": "32 ha", "workday": "10 h"},
        "speed": "8 km/h",
    },
    columns=(
        "/verdict/fits",
        "/verdict/binding",
        "/at_work/speed",
        "/at_work/pull",
        "/at_work/slip",
        "/at_work/load_fraction",
        "/at_work/tractive_efficiency",
        "/fuel/rate",
        "/fuel/per_area",
        "/capacity/effective",
    ),
)
