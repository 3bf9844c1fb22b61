"""The odds of a match: how likely it fits when what is uncertain is let vary.

The scenarios of one match are one axis of an array; those of a block of matches add a second one before it.
"""

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple, Protocol, cast

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Mask, Real, both, choose, exp, rows_in, rows_of, smaller, sqrt
from drawbar_service.engine.capacity import field_capacity
from drawbar_service.engine.draft import NO_DRAFT
from drawbar_service.engine.fuel import FuelLaw, fuel_at_part_speed, fuel_per_area
from drawbar_service.engine.match import Limits, Tractor, Work, excess, operate
from drawbar_service.engine.odds import Chance, Spread, chance, log_sigma, normal_scores, spread
from drawbar_service.engine.reach import (
    Farthest,
    by_depth,
    by_width,
    greatest_amount,
    greatest_pull,
    greatest_speed,
    reach_on_wheels,
)
from drawbar_service.model.chance import rotary_sigma
from drawbar_service.model.findings import Findings
from drawbar_service.model.greatest import SLOWEST, Search, depth_search, sound_speed, speed_ends, width_search
from drawbar_service.model.implement import PowerNeeds, ToolDraft, main_depth
from drawbar_service.model.limits import ROUNDING
from drawbar_service.model.match import Case, WayDown
from drawbar_service.model.tracks import TrackedTractor
from drawbar_service.rows import Rows, RowsDiffer

OF_HELD_SPEED = ("goes_at_all", "held_speed", "capacity", "fuel_per_area")
"""Odds for which the speed that each scenario can hold is searched for."""
CLOSE = 1e-4
"""Tolerance [1] of what is searched for in each scenario: far below the scatter between them."""
UNCERTAIN = ("draft", "depth", "cone_index", "speed", "rotary")
"""What may vary, in the order of the rows of scores."""
MOST_SCENARIOS = 2**16
"""Scenarios of a block of matches that are worked at once, so that memory stays bounded."""


class Spreads(Protocol):
    """What else is uncertain: standard deviation over the value, of a log-normal factor [1]."""

    @property
    def cone_index(self) -> float | None:
        """Of the cone index."""
        ...

    @property
    def depth(self) -> float | None:
        """Of all depths together."""
        ...

    @property
    def speed(self) -> float | None:
        """Of the ground speed."""
        ...


class OddsAsked(Protocol):
    """How to work out the odds."""

    @property
    def samples(self) -> int:
        """Number of scenarios [1]."""
        ...

    @property
    def seed(self) -> int:
        """Of the scenarios [1]."""
        ...

    @property
    def range_deviations(self) -> float | None:
        """Standard deviations that the range of a table stands for [1]."""
        ...

    @property
    def spreads(self) -> Spreads:
        """What else is uncertain."""
        ...

    @property
    def correlation(self) -> float | None:
        """Between the logarithms of draft and cone index [1]; None: independent."""
        ...


class Certain(NamedTuple):
    """A match whose odds are wanted."""

    tractor: Tractor
    drafts: list[ToolDraft]
    steady_pull: Real
    """[N]"""
    needs: PowerNeeds
    limits: Limits
    rated: Real
    """[W]"""
    speed: Real
    """[m/s]"""
    slip_band: tuple[Real, Real]
    """[1]"""
    width: Real
    """[m]"""
    field_efficiency: Real
    """[1]"""
    engine_speed: Real
    """Over full-throttle speed [1]"""
    mean_fuel: Real
    """Mean fuel rate over the time in the field, over that at work [1]"""
    deviations: Real
    """Standard deviations that the range of a table stands for [1]."""
    way_down: WayDown | None
    """None on level ground."""
    raised: Real | None
    """Load on the front axle with a mounted machine raised, over that without it [1]; None if nothing is lifted."""
    speeds: tuple[Real, Real] | None
    """Of sound work [m/s]."""
    depth: Real | None
    """Of the tool that pulls hardest [m]."""
    depths: tuple[Real, Real] | None
    """What the machine can be set to [m]."""
    fuel: FuelLaw | None
    """What the engine burns, where the request says; None: by the fuel equation."""


class Searches(NamedTuple):
    """What else is searched for in every scenario; None where it is not."""

    speed: tuple[Real, Real] | None
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
    depth_factor: Real
    """What all depths are multiplied with [1]."""
    way_down: WayDown | None
    """None on level ground."""


class Odds(NamedTuple):
    """Chances at the speed of the answer, and where it would end up; None for what nobody reads."""

    holds_speed: Chance | None
    slip_in_band: Chance | None
    slip_below_band: Chance | None
    goes_at_all: Chance | None
    load_fraction: Spread | None
    """[1]"""
    slip: Spread | None
    """[1]"""
    held_speed: Spread | None
    """[m/s]"""
    capacity: Spread | None
    """[m^2/s]"""
    fuel_per_area: Spread | None
    """[m]"""
    greatest_speed: Spread | None
    """[m/s]"""
    greatest_width: Spread | None
    """[m]"""
    greatest_depth: Spread | None
    """[m]"""


def range_deviations(asked: OddsAsked, case: Case) -> Real:
    """Return how many standard deviations the range of a table stands for [1]: given for the odds, or for the match."""
    return case.confidence.deviations if asked.range_deviations is None else asked.range_deviations


def only_draft_varies(asked: OddsAsked, certain: Certain, deviations: Real) -> bool:
    """Return whether the draft alone is uncertain, by as many standard `deviations` [1] as in the match itself."""
    spreads = asked.spreads
    if spreads.cone_index or spreads.depth or spreads.speed:
        return False
    return bool(certain.deviations == deviations) and not bool(certain.needs.rotary > 0.0)


def say_of_spreads(case: Case, asked: OddsAsked, found: Findings) -> None:
    """Warn of what moves nothing: a spread of the cone index on tracks, which pull by surface; a correlation alone."""
    if asked.spreads.cone_index and isinstance(case.tractor, TrackedTractor):
        found.warn("cone-index-on-tracks", "/odds/spreads/cone_index")
    if asked.correlation and not asked.spreads.cone_index:
        found.warn("correlation-without-spread", "/odds/correlation")


def certain_of(
    case: Case,
    speed: Real,
    field_efficiency: Real,
    engine_speed: Real,
    mean_fuel: Real,
    deviations: Real,
) -> Certain:
    """Return the match as it is before anything is let vary; its arguments are those of :class:`Certain`."""
    return Certain(
        tractor=case.tractor.engine,
        drafts=case.drafts,
        steady_pull=case.work.value.steady_pull,
        needs=case.needs,
        limits=case.limits,
        rated=case.rated,
        speed=speed,
        slip_band=case.slip_band,
        width=case.width,
        field_efficiency=field_efficiency,
        engine_speed=engine_speed,
        mean_fuel=mean_fuel,
        deviations=deviations,
        way_down=case.way_down,
        raised=case.raised,
        speeds=case.speeds,
        depth=main_depth(case.drafts, speed) if case.depths is not None else None,
        depths=case.depths,
        fuel=case.fuel,
    )


def searches(case: Case, speed: Real, wanted: Sequence[str]) -> Searches:
    """Return where what is `wanted` is searched for in every scenario."""
    sound = sound_speed(case, speed)
    return Searches(
        speed=speed_ends(case) if "speed" in wanted else None,
        width=width_search(case, sound) if "width" in wanted else None,
        depth=depth_search(case, sound) if "depth" in wanted else None,
    )


def odds(asked: OddsAsked, certain: Certain, wanted: Searches, read: Callable[[str], bool]) -> Odds:
    """Return the odds of a match, and of what else is `wanted`.

    Parameters
    ----------
    asked : OddsAsked
    certain : Certain
    wanted : Searches
    read : callable
        Whether anybody reads a part of the odds, by its name in :class:`Odds`; what nobody reads is None.
    """
    rows = rows_in((certain, wanted))
    samples = int(asked.samples)
    if rows is not None:
        most = max(MOST_SCENARIOS // samples, 1)
        if rows > most:
            raise RowsDiffer(np.arange(rows) // most)
        certain, wanted = _with_axis(certain), _with_axis(wanted)
    shape = (samples,) if rows is None else (rows, samples)
    drawn = scenarios(asked, certain, normal_scores(samples, len(UNCERTAIN), int(asked.seed)))
    tractor, work = drawn.tractor, drawn.work
    speed = np.array(np.broadcast_to(drawn.speed, shape))
    point = operate(tractor, work, speed)
    holds = np.broadcast_to(excess(point, tractor, certain.limits).greatest() <= 0.0, shape)
    fits = np.broadcast_to(both(holds, _within_the_rest(certain, drawn, speed)), shape)
    held = _held(certain, drawn, speed, holds, point.pto_power) if any(map(read, OF_HELD_SPEED)) else None
    low, high = certain.slip_band
    slip = point.slip

    def share(part: str, happens: Mask) -> Chance | None:
        return chance(np.broadcast_to(happens, shape)) if read(part) else None

    def spread_of(part: str, values: Real | None) -> Spread | None:
        return spread(np.broadcast_to(values, shape)) if values is not None and read(part) else None

    return Odds(
        share("holds_speed", fits),
        share("slip_in_band", (slip >= low) & (slip <= high)),
        share("slip_below_band", slip < low),
        share("goes_at_all", held.goes if held is not None else True),
        spread_of("load_fraction", point.pto_power / certain.rated),
        spread_of("slip", slip),
        spread_of("held_speed", held.speed if held is not None else None),
        spread_of("capacity", held.area_rate if held is not None else None),
        spread_of("fuel_per_area", held.fuel_per_area if held is not None else None),
        *(
            spread_of("greatest", farthest)
            for farthest in (_greatest(certain, drawn, wanted) if read("greatest") else (None, None, None))
        ),
    )


def _within_the_rest(certain: Certain, drawn: Scenarios, speed: FloatArray) -> Mask:
    """Return whether each scenario keeps the limits of the tool, and those of the way downhill."""
    kept: Mask = True
    if certain.speeds is not None:
        kept = both(kept, _inside(speed, certain.speeds))
    if certain.depths is not None and certain.depth is not None:
        kept = both(kept, _inside(certain.depth * drawn.depth_factor, certain.depths))
    if certain.raised is not None:
        kept = both(kept, certain.raised >= -ROUNDING)
    if (way := drawn.way_down) is not None:
        down = way.excess(way.point(drawn.work, speed))
        kept = both(kept, both(down.pushing <= 0.0, down.braking <= 0.0))
    return kept


def _inside(value: Real, ends: tuple[Real, Real]) -> Mask:
    low, high = ends
    return both(value >= low * (1.0 - ROUNDING), value <= high * (1.0 + ROUNDING))


class _Held(NamedTuple):
    """What each scenario comes to at the speed it can hold."""

    goes: Mask
    speed: FloatArray
    """[m/s]"""
    area_rate: Real
    """[m^2/s]"""
    fuel_per_area: Real
    """[m]"""


def _held(certain: Certain, drawn: Scenarios, speed: FloatArray, fits: Mask, pto_power: Real) -> _Held:
    """Return each scenario at the speed [m/s] it can hold, at most the one asked about.

    Only scenarios that cannot hold the speed are searched for one that they can; mostly they are few.
    """
    held, goes = speed.copy(), np.ones(speed.shape, dtype=bool)
    power = np.array(np.broadcast_to(pto_power, speed.shape))
    slow = np.logical_not(fits)
    if slow.any():
        # What a tractor can pull is the same in many scenarios, so it is searched for before rows are picked.
        whole = reach_on_wheels(drawn.tractor, certain.limits)
        reach, tractor, work, slow_speed = rows_of((whole, drawn.tractor, drawn.work, speed), slow)
        found = greatest_speed(reach, work, smaller(SLOWEST, slow_speed), slow_speed, CLOSE)
        held[slow], goes[slow] = found.value, found.fits
        power[slow] = operate(tractor, work, held[slow]).pto_power
    rate = fuel_at_part_speed(power / certain.rated, certain.rated, certain.engine_speed, certain.fuel)
    area_rate = field_capacity(certain.width, held, certain.field_efficiency)
    return _Held(goes, held, area_rate, fuel_per_area(rate * certain.mean_fuel, area_rate))


def _greatest(certain: Certain, drawn: Scenarios, wanted: Searches) -> tuple[Real | None, Real | None, Real | None]:
    """Return the greatest speed [m/s], width [m] and depth [m] of each scenario, 0 where not even the least fits."""
    if wanted.speed is None and wanted.width is None and wanted.depth is None:
        return None, None, None
    reach, work = reach_on_wheels(drawn.tractor, certain.limits), drawn.work
    speed = width = depth = None
    if wanted.speed is not None:
        speed = _farthest(greatest_speed(reach, work, *wanted.speed, CLOSE))
    most: Real = 0.0
    # A width and a depth are searched for at the same speed, that of sound work.
    if (search := wanted.width or wanted.depth) is not None:
        most = greatest_pull(reach, search.speed, work.other_power)
    if (search := wanted.width) is not None:
        fixed, per_unit = by_width(work, search.amount)
        found = greatest_amount(most, fixed, per_unit, search.speed, search.low, search.high)
        width = _farthest(found) * certain.width / search.amount
    if (search := wanted.depth) is not None:
        factor: Real = drawn.factors[0]
        for at, other in enumerate(drawn.factors):
            factor = choose(search.tool == float(at), other, factor)
        fixed, per_unit = by_depth(work, search.part.times(factor), search.amount)
        depth = _farthest(greatest_amount(most, fixed, per_unit, search.speed, search.low, search.high))
    return speed, width, depth


def _farthest(found: Farthest) -> Real:
    return choose(found.fits, found.value, 0.0)


def scenarios(asked: OddsAsked, certain: Certain, scores: FloatArray) -> Scenarios:
    """Return the scenarios behind independent standard normal `scores`, one row for each of :data:`UNCERTAIN`."""
    draft_score, depth_score, soil_score, speed_score, rotary_score = scores
    spreads, shared = asked.spreads, asked.correlation
    if shared:
        soil_score = shared * draft_score + sqrt(1.0 - shared * shared) * soil_score
    depth = _factor(depth_score, spreads.depth)
    soil = _factor(soil_score, spreads.cone_index)
    terms, factors = NO_DRAFT, list[Real]()
    for draft in certain.drafts:
        factors.append(exp(draft_score * draft.sigma(certain.deviations)) * (depth if draft.depth is not None else 1.0))
        terms = terms.plus(draft.terms, factors[-1])
    needs, way = certain.needs, certain.way_down
    rotary = needs.rotary * exp(rotary_score * rotary_sigma(needs, certain.deviations))
    if way is not None:
        way = way._replace(tractor=_on_soil(way.tractor, soil))
    return Scenarios(
        _on_soil(certain.tractor, soil),
        Work(terms, certain.steady_pull, rotary + needs.hydraulic + needs.electric),
        cast("FloatArray", certain.speed * _factor(speed_score, spreads.speed) + np.zeros_like(speed_score)),
        factors,
        depth,
        way,
    )


def _on_soil(tractor: Tractor, factor: Real) -> Tractor:
    """Return a `tractor` where the cone index is a `factor` [1] of what it was."""
    return tractor._replace(
        front=tractor.front._replace(stiffness=tractor.front.stiffness * factor),
        rear=tractor.rear._replace(stiffness=tractor.rear.stiffness * factor),
    )


def _factor(score: FloatArray, relative_spread: Real | None) -> Real:
    """Return a log-normal factor of this relative standard deviation, taken as one standard deviation up.

    A plain 1 where nothing is uncertain: what then does not vary is calculated once for all scenarios.
    """
    return exp(score * log_sigma(relative_spread, 1.0)) if relative_spread else 1.0


# ---- a block of matches: one more axis


def _with_axis(record: Any) -> Any:
    """Return a record whose arrays of rows have a further axis, for the scenarios of each row."""
    if isinstance(record, Rows):
        return record.view(np.ndarray)[:, None] if record.ndim else float(record)
    if isinstance(record, (tuple, list)):
        members = [_with_axis(member) for member in cast("tuple[Any, ...]", record)]
        kind: Any = cast("Any", record).__class__
        return kind._make(members) if hasattr(kind, "_make") else kind(members)
    return record
