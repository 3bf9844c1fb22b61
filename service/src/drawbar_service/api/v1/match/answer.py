"""What is answered: the verdict, the tractor at work, every limit with its margin, and what would fit."""

from typing import Annotated, TypeVar

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger, part_where
from drawbar_service.api.rounding import GREATEST
from drawbar_service.api.v1.draft.answer import DraftSummary, draft_summary
from drawbar_service.api.v1.field_capacity.answer import CapacitySummary, capacity_summary
from drawbar_service.api.v1.match import words
from drawbar_service.api.v1.match.request import MatchRequest, OddsRequest
from drawbar_service.api.v1.traction.answer import AxlesAnswer, axles_answer
from drawbar_service.engine.arrays import Real, both, choose, larger, opposite, somewhere, truth
from drawbar_service.engine.odds import Chance, Spread
from drawbar_service.model.chance import Chance as VerdictChance
from drawbar_service.model.chance import Word as VerdictWord
from drawbar_service.model.chance import word_for
from drawbar_service.model.draft import Drafted
from drawbar_service.model.greatest import Greatest, HowFar
from drawbar_service.model.limits import ROUNDING, LimitName, name_of
from drawbar_service.model.match import Case, Fuel, Gears, Worked, load_downhill
from drawbar_service.model.matched import Matched, StillFits, matched, verdict_read
from drawbar_service.model.odds import (
    Odds,
    certain_of,
    odds,
    only_draft_varies,
    range_deviations,
    say_of_spreads,
    searches,
)
from drawbar_service.model.span import ordered
from drawbar_service.model.traction import check_tires
from drawbar_service.quantities import (
    AreaRate,
    Depth,
    Force,
    FuelPerArea,
    FuelRate,
    Power,
    Quantity,
    Ratio,
    Share,
    Speed,
    Volume,
    Width,
)
from drawbar_service.rows import text_at

QuantityT = TypeVar("QuantityT", bound=Quantity)


class GreatestSpeed(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest speed at which every limit of the tractor is kept, no faster than the tool's range."""

    value: Annotated[Speed | None, Meta(description="By the central figures; null if there is none."), GREATEST]
    holds: Annotated[
        Speed | None,
        Meta(description="Greatest that holds as often as `limits.holds_from` asks; null if none in the tool's range."),
        GREATEST,
    ]
    within_tool_range: Annotated[
        bool, Meta(description="False where `value` is slower than the tool's range: it goes, but does poor work.")
    ]
    limited_by: Annotated[LimitName, Meta(description="What stops it there.")]


class GreatestWidth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest width at one speed."""

    value: Annotated[
        Width | None,
        Meta(description="Working width by the central figures; null if not even the smallest can be pulled."),
        GREATEST,
    ]
    count: Annotated[int | None, Meta(description="Whole tools of the main kind; null if they are counted by width.")]
    holds: Annotated[
        Width | None,
        Meta(description="Greatest that holds as often as `limits.holds_from` asks; null if none."),
        GREATEST,
    ]
    holds_count: Annotated[int | None, Meta(description="Whole tools of that width; null if counted by width.")]
    at_speed: Annotated[Speed, Meta(description="The speed: the one asked for, or the tool's slowest if none fits it.")]
    limited_by: Annotated[LimitName, Meta(description="What stops it there.")]


class GreatestDepth(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest depth of the main tool at one speed."""

    value: Annotated[
        Depth | None,
        Meta(description="By the central figures; null if not even the shallowest can be pulled."),
        GREATEST,
    ]
    holds: Annotated[
        Depth | None,
        Meta(description="Greatest that holds as often as `limits.holds_from` asks; null if none."),
        GREATEST,
    ]
    pointer: Annotated[str, Meta(description="Which tool of the request.")]
    at_speed: Annotated[Speed, Meta(description="The speed: the one asked for, or the tool's slowest if none fits it.")]
    limited_by: Annotated[LimitName, Meta(description="What stops it there.")]


class GreatestAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """What would still fit, one thing changed at a time; null where it was not asked for or has no meaning."""

    speed: Annotated[GreatestSpeed | None, Meta(description="Greatest speed.")]
    width: Annotated[GreatestWidth | None, Meta(description="Greatest width, all tools in proportion.")]
    depth: Annotated[GreatestDepth | None, Meta(description="Greatest depth of the tool that pulls hardest.")]


class ChanceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A chance and its sampling error."""

    value: Annotated[Share, Meta(description="The chance.")]
    standard_error: Annotated[Ratio, Meta(description="Standard error of the sampling; says nothing of the model.")]


class GreatestOdds(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest values that keep every limit, median, low and high; 0 where not even the least does."""

    speed: Annotated[Speed | None, Meta(description="Greatest speed; null if not asked for."), GREATEST]
    width: Annotated[
        Width | None, Meta(description="Greatest width, not in whole tools; null if not asked for."), GREATEST
    ]
    depth: Annotated[Depth | None, Meta(description="Greatest depth as set; null if not asked for."), GREATEST]


class OddsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Chances at the speed of the answer, and where it would end up. Low and high hold 90 in 100 scenarios."""

    holds_speed: Annotated[ChanceAnswer, Meta(description="Chance that every limit is kept at this speed.")]
    slip_in_band: Annotated[ChanceAnswer, Meta(description="Chance that slip is in the band of best efficiency.")]
    slip_below_band: Annotated[ChanceAnswer, Meta(description="Chance that slip is below that band.")]
    goes_at_all: Annotated[ChanceAnswer, Meta(description="Chance that there is a speed at which it goes.")]
    load_fraction: Annotated[Ratio, Meta(description="PTO power needed over rated at this speed; median, low, high.")]
    slip: Annotated[Share, Meta(description="Slip at this speed; median, low and high.")]
    held_speed: Annotated[
        Speed, Meta(description="Speed it can hold, at most this one; median, low and high."), GREATEST
    ]
    capacity: Annotated[AreaRate, Meta(description="Field capacity at the speed it can hold; median, low and high.")]
    fuel_per_area: Annotated[FuelPerArea, Meta(description="Fuel at the speed it can hold; median, low and high.")]
    greatest: Annotated[GreatestOdds, Meta(description="How far it can go, of what was asked for in `find`.")]
    samples: Annotated[int, Meta(description="Number of scenarios.")]
    seed: Annotated[int, Meta(description="Seed of the scenarios.")]


class DownhillAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """The same work on the way downhill."""

    pull: Annotated[Force, Meta(description="Pull at the hitch; negative where the machine pushes the tractor.")]
    push: Annotated[Force, Meta(description="Part of the machine's weight along the slope.")]
    braking: Annotated[Force | None, Meta(description="What the wheels must hold back; 0 where they drive.")]
    rear_axle_load: Annotated[Force | None, Meta(description="Load on the rear axle.")]
    load_fraction: Annotated[Ratio, Meta(description="PTO power needed over rated.")]


class AtWork(msgspec.Struct, frozen=True, kw_only=True):
    """The tractor at work, uphill on a slope; low and high follow the range of the draft.

    Where nothing carries the pull there is no such operating point: what would describe it is null.
    """

    speed: Annotated[Speed, Meta(description="Ground speed."), GREATEST]
    pull: Annotated[Force, Meta(description="Pull at the hitch.")]
    drawbar_power: Annotated[Power, Meta(description="Pull times speed.")]
    axle_power: Annotated[Power | None, Meta(description="Power at the axles.")]
    pto_power: Annotated[Power | None, Meta(description="All needs, brought to the PTO.")]
    other_power: Annotated[Power, Meta(description="Of it: PTO-driven machines, hydraulics, electrics.")]
    load_fraction: Annotated[Ratio | None, Meta(description="PTO power needed over rated.")]
    slip: Annotated[Share | None, Meta(description="Slip.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency here, from and to.")]
    tractive_efficiency: Annotated[
        Ratio | None,
        Meta(description="Drawbar power, and what lifts the tractor, over axle power; null where it need not pull."),
    ]
    axles: Annotated[AxlesAnswer | None, Meta(description="Each axle, or front and rear of the tracks.")]
    forbidden_by: Annotated[
        LimitName | None, Meta(description="The limit that forbids this operating point; null where there is one.")
    ]
    downhill: Annotated[DownhillAnswer | None, Meta(description="On the way downhill; null on level ground.")]


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
    turning_rate: Annotated[FuelRate, Meta(description="Fuel in a time, raised and turning.")]
    stopped_rate: Annotated[
        FuelRate | None,
        Meta(
            description="Fuel in a time, standing; null without a field shape, where all time lost counts as turning."
        ),
    ]
    mean_rate: Annotated[
        FuelRate,
        Meta(
            description="Fuel in a time, over all time in the field; goes with the effective field capacity. Low and "
            "high follow the ranges of draft and field efficiency, taken together."
        ),
    ]
    per_area: Annotated[
        FuelPerArea,
        Meta(
            description="Fuel on an area, turns and stops included; low and high follow the ranges of draft and field "
            "efficiency, taken together."
        ),
    ]
    total: Annotated[Volume | None, Meta(description="Fuel for the area of the field, if one was given.")]


class QuickCheck(msgspec.Struct, frozen=True, kw_only=True):
    """The same power need by the published drawbar/PTO ratio."""

    drawbar_per_pto: Annotated[Share, Meta(description="The ratio for this drive and surface.")]
    pto_power: Annotated[Power, Meta(description="PTO power by that ratio.")]
    difference: Annotated[Ratio, Meta(description="That power over the traction path's, less 1.")]


class Verdict(msgspec.Struct, frozen=True, kw_only=True):
    """The answer in short."""

    word: Annotated[
        VerdictWord,
        Meta(
            description="`holds` from a chance of `limits.holds_from`, `fails` below `limits.fails_below`, `close` "
            "between them; `cannot-tell` where a limit could not be checked."
        ),
    ]
    chance: Annotated[
        Share | None,
        Meta(
            description=(
                "Chance that every limit is kept, by the range of draft and PTO-driven power; from the odds, if asked "
                "for. Null where it cannot be told."
            )
        ),
        GREATEST,
    ]
    fits: Annotated[bool, Meta(description="Whether every limit is kept at this speed by the central figures.")]
    binding: Annotated[LimitName, Meta(description="The limit exceeded most, or nearest to it.")]
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
    quick_check: Annotated[QuickCheck, Meta(description="The power by another method.")]
    odds: Annotated[
        OddsAnswer | None, Meta(description="The odds, if they were asked for; null where a limit cannot be checked.")
    ]
    about: AboutField


def answer_of(case: Case, request: MatchRequest, ledger: Ledger) -> MatchAnswer:
    """Return the answer for a resolved match, at the speed asked for or the greatest that fits."""
    of_odds = request.odds is not None and ledger.asked("/odds/greatest")
    read = ledger.asked("/greatest") or ledger.asked.sentences or of_odds
    match = matched(case, request.find if read else [], ledger)
    worked, gears = match.worked, match.gears
    check_tires(case.tractor, worked.point.value, ledger)
    odds = _odds(match, request, ledger)
    chance = judged(match, odds, ledger)
    return MatchAnswer(
        verdict=Verdict(
            word=words.word_of(chance),
            chance=Share.known(chance.told, chance.value),
            fits=truth(worked.fits),
            binding=name_of(match.binds),
            summary=ledger.sentence(lambda: words.summary(match, ledger, chance)),
        ),
        at_work=_at_work(worked),
        draft=_draft(worked, ledger),
        limits=_limits(worked, ledger),
        greatest=_greatest(case, match.greatest),
        gear=_gears(gears) if gears is not None else None,
        fuel=_fuel(match.fuel),
        capacity=capacity_summary(match.capacity),
        quick_check=QuickCheck(
            drawbar_per_pto=Share.of(case.ratio),
            pto_power=Power.spanning(ordered(worked.quick)),
            difference=Ratio.of(match.difference),
        ),
        odds=_odds_answer(odds, request.odds) if odds is not None and request.odds is not None else None,
        about=ledger.about(),
    )


def _greatest(case: Case, found: StillFits) -> GreatestAnswer:
    return GreatestAnswer(
        speed=_greatest_speed(found.speed) if found.speed is not None else None,
        width=_greatest_width(found.width) if found.width is not None else None,
        depth=_greatest_depth(case, found.depth) if found.depth is not None else None,
    )


def _greatest_speed(far: HowFar) -> GreatestSpeed:
    found, holding = far
    return GreatestSpeed(
        value=Speed.known(found.fits, found.value),
        # Slower than the tool's range it does not hold: that range is one of the limits.
        holds=Speed.known(both(holding.fits, holding.within_tool_range), holding.value),
        within_tool_range=truth(both(found.fits, found.within_tool_range)),
        limited_by=name_of(found.stopped_by),
    )


def _greatest_width(far: HowFar) -> GreatestWidth:
    found, holding = far
    return GreatestWidth(
        value=Width.known(found.fits, found.value),
        count=_count(found.whole_tools, found),
        holds=Width.known(holding.fits, holding.value),
        holds_count=_count(holding.whole_tools, holding),
        at_speed=Speed.of(found.at_speed),
        limited_by=name_of(found.stopped_by),
    )


def _count(count: Real, found: Greatest) -> int | None:
    """Return whole tools, None where they are counted in meters or none fits."""
    if isinstance(count, float):
        return int(count) if found.fits and count == count else None
    return choose(found.fits, count, float("nan"))  # pyright: ignore[reportReturnType] - one for each row


def _greatest_depth(case: Case, far: HowFar) -> GreatestDepth:
    found, holding = far
    pointers = [draft.pointer for draft in case.drafts]
    return GreatestDepth(
        value=Depth.known(found.fits, found.value),
        holds=Depth.known(holding.fits, holding.value),
        pointer=text_at(found.tool, pointers),
        at_speed=Speed.of(found.at_speed),
        limited_by=name_of(found.stopped_by),
    )


def _limits(worked: Worked, ledger: Ledger) -> list[LimitAnswer]:
    return [
        LimitAnswer(
            name=name,
            kept=truth(both(margin >= -ROUNDING, opposite(worked.unchecked.get(name, False)))),
            margin=Ratio.of(margin),
            detail=ledger.sentence(lambda name=name: words.limit(name, worked, ledger)),
        )
        for name, margin in worked.left.items()
    ]


def _draft(worked: Worked, ledger: Ledger) -> DraftSummary | None:
    if not worked.case.drafts or not ledger.asked("/draft"):
        return None
    drafts, speed = worked.case.drafts, worked.speed
    total = worked.case.work.map(lambda work: work.draft.at(speed))
    return draft_summary(Drafted(drafts, [tool.at(speed) for tool in drafts], total, worked.case.width))


def _at_work(worked: Worked) -> AtWork:
    case, point, needs, carried = worked.case, worked.point, worked.case.needs, worked.carried
    steady = needs.hydraulic + needs.electric
    return AtWork(
        speed=Speed.of(worked.speed),
        pull=Force.spanning(ordered(worked.pull)),
        drawbar_power=Power.spanning(ordered(worked.pull.map(lambda pull: pull * worked.speed))),
        axle_power=part_where(carried, lambda: Power.spanning(ordered(point.map(lambda one: one.axle_power)))),
        pto_power=part_where(carried, lambda: Power.spanning(ordered(worked.power))),
        other_power=Power.ranged(needs.total, needs.rotary_low + steady, needs.rotary_high + steady),
        load_fraction=part_where(carried, lambda: Ratio.spanning(ordered(worked.load))),
        slip=slip_of(worked),
        slip_band=[Share.of(end) for end in case.slip_band],
        tractive_efficiency=Ratio.known(both(carried, point.value.pulls), point.value.tractive_efficiency),
        axles=part_where(carried, lambda: axles_answer(case.tractor, point.value)),
        forbidden_by=text_at(choose(carried, 1.0, 0.0), ("pull", None)),
        downhill=_downhill(worked),
    )


def _downhill(worked: Worked) -> DownhillAnswer | None:
    case, down = worked.case, worked.down
    if (way := case.way_down) is None or down is None:
        return None
    return DownhillAnswer(
        pull=Force.of(way.work(case.work.value).pull_at(worked.speed)),
        push=Force.of(way.push),
        braking=Force.of(larger(-down.rim_force, 0.0)),
        rear_axle_load=Force.of(down.rear.load),
        load_fraction=Ratio.of(load_downhill(worked).value),
    )


def slip_of(worked: Worked) -> Share | None:
    """Return slip with its range; where a pull is not carried there is no slip that belongs to it, so no range."""
    point = worked.point
    slip = ordered(point.map(lambda one: one.slip))
    if point.low is None or point.high is None or slip.low is None or slip.high is None:
        return Share.known(worked.carried, slip.value)
    low, high = slip.low, slip.high
    carried = both(both(worked.carried, point.low.carried), point.high.carried)
    return part_where(
        worked.carried,
        lambda: Share.ranged(slip.value, Share.known(carried, low), Share.known(carried, high)),
    )


def _gears(found: Gears) -> GearChoice:
    names = [run.name for run in found.runs]
    return GearChoice(
        best=text_at(found.best, [*names, None]),  # -1 is None, the last
        gears=[
            GearAnswer(
                name=run.name,
                possible=truth(run.possible),
                engine_speed=Ratio.of(run.engine_speed),
                load=Ratio.of(run.load),
                fuel=FuelRate.known(run.possible, run.fuel),
            )
            for run in found.runs
        ],
    )


def _fuel(found: Fuel) -> FuelSummary | None:
    if not somewhere(found.enough):
        return None

    def where_enough(value: Real) -> Real:
        return choose(found.enough, value, float("nan"))

    rate, mean_rate, per_area = (span.map(where_enough) for span in (found.rate, found.mean_rate, found.per_area))
    turning, stopped, _ = found.shares
    total = found.total
    return FuelSummary(
        rate=FuelRate.spanning(rate),
        turning_rate=FuelRate.of(rate.value * turning),
        stopped_rate=FuelRate.of(rate.value * stopped) if stopped is not None else None,
        mean_rate=FuelRate.spanning(mean_rate),
        per_area=FuelPerArea.spanning(per_area),
        total=Volume.spanning(total.map(where_enough)) if total is not None else None,
    )


def _odds(match: Matched, request: MatchRequest, ledger: Ledger) -> Odds | None:
    """Return the odds if they were asked for and anybody reads them, or the chance that comes from them."""
    asked, case, speed = request.odds, match.case, match.worked.speed
    of_verdict = verdict_read(ledger)
    if asked is None or not (ledger.asked("/odds") or of_verdict):
        return None
    if any(match.worked.unchecked.values()):  # where that differs from row to row, rows go on apart
        ledger.warn("odds-unchecked", "/odds")
        return None
    say_of_spreads(case, asked, ledger)
    deviations = range_deviations(asked, case)
    certain = certain_of(
        case,
        speed,
        match.capacity.efficiency.value,
        match.engine_speed,
        match.fuel.shares.mean.value,
        deviations,
    )

    def read(part: str) -> bool:
        return ledger.asked(f"/odds/{part}") or (of_verdict and part == "holds_speed")

    found = odds(asked, certain, searches(case, speed, match.wanted), read)
    if match.chance is not None and only_draft_varies(asked, certain, case.confidence.deviations):
        # Then the chance is known in closed form; the scenarios come to the same but for their sampling error.
        return found._replace(holds_speed=Chance(match.chance.value, 0.0 * match.chance.value))
    return found


def judged(match: Matched, odds: Odds | None, ledger: Ledger) -> VerdictChance:
    """Return the chance that a match holds and the verdict: from the odds if there are any, so that they agree."""
    if not verdict_read(ledger) or match.chance is None:
        return VerdictChance(_UNREAD, 0.0)
    if odds is None or odds.holds_speed is None:
        return match.chance
    chance = odds.holds_speed.value
    return VerdictChance(chance, word_for(chance, match.worked))


def _odds_answer(found: Odds, asked: OddsRequest) -> OddsAnswer:
    return OddsAnswer(
        holds_speed=_chance(found.holds_speed),
        slip_in_band=_chance(found.slip_in_band),
        slip_below_band=_chance(found.slip_below_band),
        goes_at_all=_chance(found.goes_at_all),
        load_fraction=_spread(Ratio, found.load_fraction),
        slip=_spread(Share, found.slip),
        held_speed=_spread(Speed, found.held_speed),
        capacity=_spread(AreaRate, found.capacity),
        fuel_per_area=_spread(FuelPerArea, found.fuel_per_area),
        greatest=_greatest_odds(found),
        samples=asked.samples,
        seed=asked.seed,
    )


def _greatest_odds(found: Odds) -> GreatestOdds:
    speed, width, depth = found.greatest_speed, found.greatest_width, found.greatest_depth
    return GreatestOdds(
        speed=_spread(Speed, speed) if speed is not None else None,
        width=_spread(Width, width) if width is not None else None,
        depth=_spread(Depth, depth) if depth is not None else None,
    )


_UNREAD = float("nan")
"""Stands for odds that nobody reads."""


def _chance(one: Chance | None) -> ChanceAnswer:
    value, error = one if one is not None else (_UNREAD, _UNREAD)
    return ChanceAnswer(value=Share.of(value), standard_error=Ratio.of(error))


def _spread(kind: type[QuantityT], found: Spread | None) -> QuantityT:
    if found is None:
        return kind.of(_UNREAD)
    return kind.ranged(found.median, found.low, found.high)
