"""The odds of a match: how likely it fits when what is uncertain is let vary."""

from typing import Annotated, Literal, NamedTuple, TypeAlias, TypeVar

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import PowerNeeds, ToolDraft
from drawbar_service.engine.arrays import FloatArray, Real, choose, exp, rows_of, smaller
from drawbar_service.engine.capacity import field_capacity
from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.fuel import fuel_per_area, fuel_rate, reduced_speed_factor
from drawbar_service.engine.match import Limits, Tractor, Work, excess, operate
from drawbar_service.engine.odds import Chance, chance, log_sigma, normal_scores, spread
from drawbar_service.engine.reach import Farthest, by_depth, by_width, greatest_amount, greatest_speed, reach_on_wheels
from drawbar_service.quantities import (
    AreaRate,
    Depth,
    FuelPerArea,
    Multiplier,
    Quantity,
    Ratio,
    RelativeSpread,
    Share,
    Speed,
    Width,
)

QuantityT = TypeVar("QuantityT", bound=Quantity)
Samples: TypeAlias = Literal[256, 1024, 4096, 16384]
Seed = Annotated[int, Meta(ge=0, le=2**32 - 1)]
Deviations = Annotated[float, Meta(ge=0.5, le=4.0)]

CLOSE = 1e-4
"""Tolerance [1] of what is searched for in each scenario: far below the scatter between them."""
SLOWEST = 0.1
"""Speed [m/s] below which a tractor is said not to pull at all."""


class Spreads(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What else is uncertain: standard deviation over the value, of a log-normal factor."""

    cone_index: Annotated[RelativeSpread | None, Meta(description="Of the cone index.", examples=["20 %"])] = None
    depth: Annotated[RelativeSpread | None, Meta(description="Of all working depths together.")] = None
    speed: Annotated[RelativeSpread | None, Meta(description="Of the ground speed.")] = None


class OddsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How to reckon the odds. The draft is always uncertain, by the range of its table."""

    samples: Annotated[Samples, Meta(description="Number of scenarios.")] = 4096
    seed: Annotated[Seed, Meta(description="Seed of the scenarios; the same seed gives the same odds.")] = 0
    range_deviations: Annotated[
        Deviations | None,
        Meta(description="How many standard deviations the range of a table stands for; 2 if left out."),
    ] = None
    spreads: Annotated[Spreads, Meta(description="What else is uncertain.")] = msgspec.field(default_factory=Spreads)


class ChanceAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A chance and its sampling error."""

    value: Annotated[Share, Meta(description="The chance.")]
    standard_error: Annotated[Ratio, Meta(description="Standard error of the sampling; says nothing of the model.")]


class GreatestOdds(msgspec.Struct, frozen=True, kw_only=True):
    """Greatest values that keep every limit, median, low and high; 0 where not even the least does."""

    speed: Annotated[Speed | None, Meta(description="Greatest speed; null if not asked for.")]
    width: Annotated[Width | None, Meta(description="Greatest width, not in whole tools; null if not asked for.")]
    depth: Annotated[Depth | None, Meta(description="Greatest depth as set; null if not asked for.")]


class OddsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Chances at the speed of the answer, and where it would end up. Low and high hold 90 in 100 scenarios."""

    holds_speed: Annotated[ChanceAnswer, Meta(description="Chance that every limit is kept at this speed.")]
    slip_in_band: Annotated[ChanceAnswer, Meta(description="Chance that slip is in the band of best efficiency.")]
    slip_below_band: Annotated[ChanceAnswer, Meta(description="Chance that slip is below that band.")]
    goes_at_all: Annotated[ChanceAnswer, Meta(description="Chance that there is a speed at which it goes.")]
    load_fraction: Annotated[Ratio, Meta(description="PTO power needed over rated at this speed; median, low, high.")]
    slip: Annotated[Share, Meta(description="Slip at this speed; median, low and high.")]
    held_speed: Annotated[Speed, Meta(description="Speed it can hold, at most this one; median, low and high.")]
    capacity: Annotated[AreaRate, Meta(description="Field capacity at the speed it can hold; median, low and high.")]
    fuel_per_area: Annotated[FuelPerArea, Meta(description="Fuel at the speed it can hold; median, low and high.")]
    greatest: Annotated[GreatestOdds, Meta(description="How far it can go, of what was asked for in `find`.")]
    samples: Annotated[int, Meta(description="Number of scenarios.")]
    seed: Annotated[int, Meta(description="Seed of the scenarios.")]


class Certain(NamedTuple):
    """A match whose odds are wanted, in SI units."""

    tractor: Tractor
    drafts: list[ToolDraft]
    steady_pull: float
    needs: PowerNeeds
    limits: Limits
    rated: float
    speed: float
    slip_band: tuple[float, float]
    width: float
    field_efficiency: float
    engine_speed: float
    deviations: float
    """Standard deviations that the range of a table stands for."""


class Search(NamedTuple):
    """Where a width or a depth is searched for, in SI units."""

    tool: ToolDraft
    amount: float
    """What the request asks about: tools, rows, metres of width, or metres of depth."""
    speed: float
    low: float
    high: float


class Searches(NamedTuple):
    """What else is searched for in every scenario; None where it is not."""

    speed: tuple[float, float] | None
    """Both ends [m/s]."""
    width: Search | None
    depth: Search | None


class Scenarios(NamedTuple):
    """A match with one element for each scenario in every array."""

    tractor: Tractor
    work: Work
    speed: FloatArray
    factors: list[Real]
    """What the draft of each tool is multiplied with [1]."""


UNCERTAIN = ("draft", "depth", "cone_index", "speed", "rotary")
"""What may vary, in the order of the rows of scores."""


def odds(request: OddsRequest, certain: Certain, wanted: Searches) -> OddsAnswer:
    """Return the odds of a match, and of what else is `wanted`."""
    drawn = scenarios(request, certain, normal_scores(request.samples, len(UNCERTAIN), request.seed))
    tractor, work, speed = drawn.tractor, drawn.work, drawn.speed
    point = operate(tractor, work, speed)
    fits = excess(point, tractor, certain.limits).greatest() <= 0.0
    low, high = certain.slip_band
    held, power, goes = speed.copy(), np.array(point.pto_power), np.ones(request.samples, dtype=bool)
    # Only scenarios that cannot hold the speed are searched for one that they can; mostly they are few.
    slow = np.logical_not(np.broadcast_to(fits, speed.shape))
    if slow.any():
        slow_tractor, slow_work, slow_speed = rows_of((tractor, work, speed), slow)
        reach = reach_on_wheels(slow_tractor, certain.limits)
        found = greatest_speed(reach, slow_work, smaller(SLOWEST, slow_speed), slow_speed, CLOSE)
        held[slow], goes[slow] = found.value, found.fits
        power[slow] = operate(slow_tractor, slow_work, held[slow]).pto_power
    load = power / certain.rated
    rate = fuel_rate(load, certain.rated) * reduced_speed_factor(load, certain.engine_speed)
    area_rate = field_capacity(certain.width, held, certain.field_efficiency)
    samples = request.samples
    return OddsAnswer(
        holds_speed=_chance(chance(fits, samples)),
        slip_in_band=_chance(chance((point.slip >= low) & (point.slip <= high), samples)),
        slip_below_band=_chance(chance(point.slip < low, samples)),
        goes_at_all=_chance(chance(goes, samples)),
        load_fraction=_spread(Ratio, point.pto_power / certain.rated),
        slip=_spread(Share, point.slip),
        held_speed=_spread(Speed, held),
        capacity=_spread(AreaRate, area_rate),
        fuel_per_area=_spread(FuelPerArea, fuel_per_area(rate, area_rate)),
        greatest=_greatest(certain, drawn, wanted),
        samples=samples,
        seed=request.seed,
    )


def _greatest(certain: Certain, drawn: Scenarios, wanted: Searches) -> GreatestOdds:
    if wanted == Searches(None, None, None):
        return GreatestOdds(speed=None, width=None, depth=None)
    reach, work = reach_on_wheels(drawn.tractor, certain.limits), drawn.work
    speed = width = depth = None
    if wanted.speed is not None:
        speed = _farthest(Speed, greatest_speed(reach, work, *wanted.speed, CLOSE))
    if (search := wanted.width) is not None:
        fixed, per_unit = by_width(work, search.amount)
        found = greatest_amount(reach, fixed, per_unit, search.speed, search.low, search.high)
        width = _farthest(Width, found, certain.width / search.amount)
    if (search := wanted.depth) is not None:
        part = search.tool.terms.times(drawn.factors[certain.drafts.index(search.tool)])
        fixed, per_unit = by_depth(work, part, search.amount)
        depth = _farthest(Depth, greatest_amount(reach, fixed, per_unit, search.speed, search.low, search.high))
    return GreatestOdds(speed=speed, width=width, depth=depth)


def _farthest(kind: type[QuantityT], found: Farthest, each: float = 1.0) -> QuantityT:
    return _spread(kind, choose(found.fits, found.value, 0.0) * each)


def range_deviations(request: OddsRequest, ledger: Ledger) -> float:
    """Return how many standard deviations the range of a table stands for [1], given or by default."""
    return ledger.fallback(request.range_deviations, "/odds/range_deviations", "range_deviations", Multiplier)


def scenarios(request: OddsRequest, certain: Certain, scores: FloatArray) -> Scenarios:
    """Return the scenarios behind standard normal `scores`, one row for each of :data:`UNCERTAIN`."""
    spreads = request.spreads
    draft_score, depth_score, soil_score, speed_score, rotary_score = scores
    depth = _factor(depth_score, spreads.depth)
    soil = _factor(soil_score, spreads.cone_index)
    terms, factors = NO_DRAFT, list[Real]()
    for draft in certain.drafts:
        sigma = float(log_sigma(draft.row.range, certain.deviations))
        factors.append(exp(draft_score * sigma) * (depth if draft.depth is not None else 1.0))
        terms = terms.plus(draft.terms, factors[-1])
    needs = certain.needs
    rotary = needs.rotary * exp(rotary_score * rotary_sigma(certain))
    tractor = certain.tractor
    return Scenarios(
        tractor._replace(
            front=tractor.front._replace(stiffness=tractor.front.stiffness * soil),
            rear=tractor.rear._replace(stiffness=tractor.rear.stiffness * soil),
        ),
        Work(terms, certain.steady_pull, rotary + needs.hydraulic + needs.electric),
        certain.speed * _factor(speed_score, spreads.speed) + np.zeros_like(speed_score),
        factors,
    )


def rotary_sigma(certain: Certain) -> float:
    """Return the standard deviation of the logarithm of PTO-driven power [1], 0 where there is none."""
    needs = certain.needs
    if not needs.rotary:
        return 0.0
    return float(log_sigma(needs.rotary_high / needs.rotary - 1.0, certain.deviations))


def _factor(score: FloatArray, relative_spread: float | None) -> Real:
    """Return a log-normal factor of this relative standard deviation, taken as one standard deviation up.

    A plain 1 where nothing is uncertain: what then does not vary is reckoned once for all scenarios.
    """
    return exp(score * float(log_sigma(float(relative_spread), 1.0))) if relative_spread else 1.0


def _chance(one: Chance) -> ChanceAnswer:
    return ChanceAnswer(value=Share(one.value), standard_error=Ratio(one.standard_error))


def _spread(kind: type[QuantityT], values: Real) -> QuantityT:
    found = spread(values)
    return kind.ranged(found.median, found.low, found.high)
