"""One tractor on one implement in one soil: will it pull, how fast, and what stops it.

    draft -> axle loads under that pull -> slip -> axle power -> PTO power -> load fraction -> fuel and area an hour

:func:`resolve` puts a description into SI records, :func:`work_out` works it out. Both take numbers, or one a row.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import (
    Mask,
    Real,
    both,
    choose,
    larger,
    opposite,
    smaller,
    somewhere,
)
from drawbar_service.engine.axle_loads import grade
from drawbar_service.engine.draft import DraftTerms, grade_resistance
from drawbar_service.engine.fuel import FuelLaw, fuel_at_part_speed, fuel_per_area
from drawbar_service.engine.match import (
    Downhill,
    Limits,
    OperatingPoint,
    Strain,
    Work,
    downhill,
    excess,
    gear_point,
    operate,
    power_by_ratio,
    strain_on_wheels,
)
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.engine.odds import widened
from drawbar_service.engine.reach import Reach, reach_on_wheels
from drawbar_service.engine.system import pass_fuel
from drawbar_service.model.field import Capacity, capacity
from drawbar_service.model.findings import Findings
from drawbar_service.model.fuel import FuelShares, fuel_shares, say_of_load
from drawbar_service.model.hitching import front_left_raised, hitching, warn_of_raised
from drawbar_service.model.implement import (
    PowerNeeds,
    ToolDraft,
    depth_range,
    draft_span,
    grade_pull,
    main_depth,
    power_needs,
    practice_of,
    rolling_resistance,
    speed_range,
    tool_drafts,
    working_width,
)
from drawbar_service.model.limits import (
    ROUNDING,
    LimitName,
    Margins,
    all_kept,
    binding,
    margins,
)
from drawbar_service.model.moisture import weaker_of
from drawbar_service.model.nouns import Gear, Implement, Job, MatchLimits, Soil, Tractor
from drawbar_service.model.own_machine import fuel_law, torque_curve
from drawbar_service.model.pto_range import pto_range
from drawbar_service.model.soil import cone_index, surface_row
from drawbar_service.model.span import Span, combined, ordered, turned
from drawbar_service.model.tracks import TrackedTractor, known_grip, on_soil, slip_band_of
from drawbar_service.model.tractor import WheeledTractor, by_ratio, on_wheels, rated_pto_power, usable_share
from drawbar_service.reference import PracticeRow, SurfaceRow, default, drawbar_per_pto

METHODS_DIFFER = 0.15
"""Difference [1] at which the two ways to calculate power are said to part."""


class Confidence(NamedTuple):
    """What counts as holding."""

    holds_from: Real
    """Chance from which a match holds [1]."""
    fails_below: Real
    """Chance below which it fails [1]."""
    deviations: Real
    """Standard deviations that the range of a table stands for [1]."""


class WayDown(NamedTuple):
    """A job on the way downhill: only what differs from the way uphill."""

    tractor: EngineTractor
    push: Real
    """Part of the machine's own weight along the grade [N]."""
    slip: Real
    """Most slip at which the wheels may brake [1]."""

    def work(self, uphill: Work) -> Work:
        """Return what `uphill` work asks for on the way down."""
        return uphill._replace(steady_pull=uphill.steady_pull - 2.0 * self.push)

    def point(self, uphill: Work, speed: Real) -> OperatingPoint:
        """Return where the tractor does some `uphill` work on the way down, at a `speed` [m/s]."""
        return operate(self.tractor, self.work(uphill), speed)

    def excess(self, point: OperatingPoint) -> Downhill:
        """Return how far the limits of working downhill are exceeded [1] at a `point` on the way down."""
        return downhill(point, self.tractor, self.push, self.slip)


class Case(NamedTuple):
    """A job, resolved. A field with a slope is worked both ways: all but `way_down` is for the way uphill."""

    job: Job
    surface: SurfaceRow
    drafts: list[ToolDraft]
    tractor: WheeledTractor | TrackedTractor
    ratio: Real
    """Drawbar power over PTO power, as published for drive and surface [1]."""
    work: Span[Work]
    """By the central, low and high draft."""
    needs: PowerNeeds
    rated: Real
    """At the PTO [W]."""
    limits: Limits
    usable: Real
    """What thin and hot air leave of the rated power [1]."""
    weaker: EngineTractor | None
    """The tractor where wet soil carries least; None where nothing says that it is wet."""
    slip_band: tuple[Real, Real]
    """Of best efficiency [1]."""
    width: Real
    """[m]"""
    practice: PracticeRow | None
    speeds: tuple[Real, Real] | None
    """Of sound work [m/s]."""
    depths: tuple[Real, Real] | None
    """What the machine can be set to [m]."""
    way_down: WayDown | None
    """None on level ground."""
    raised: Real | None
    """Load on the front axle with a mounted machine raised, over that without it [1]; None if nothing is lifted."""
    confidence: Confidence
    fuel: FuelLaw | None
    """What the engine burns, where the request says; None: by the fuel equation."""

    @property
    def strain(self) -> Strain:
        """How far a piece of work exceeds the limits."""
        return strain_on_wheels(self.tractor.engine, self.limits)

    def reach(self) -> Reach:
        """Return what the tractor can do within the limits, whatever hangs behind it."""
        return reach_on_wheels(self.tractor.engine, self.limits)

    def engine_for(self, work: Work, engine: EngineTractor) -> EngineTractor:
        """Return the tractor that some `work` meets: for the high end of the draft, that on the weakest soil."""
        return self.weaker if self.weaker is not None and work is self.work.high else engine

    def pto_power(self, work: Work, speed: Real) -> Real:
        """Return all needs of some `work` at some `speed` [m/s], brought to the PTO [W]."""
        return operate(self.engine_for(work, self.tractor.engine), work, speed).pto_power


def resolve(job: Job, found: Findings) -> Case:
    """Return a job in SI records; assumptions, warnings and faults go to `found`.

    Raises
    ------
    Impossible
        If there are faults.
    """
    tractor, implement, soil, slope = job.tractor, job.implement, job.soil, abs(job.field.slope)
    surface = surface_row(soil, found)
    drafts = tool_drafts(implement, soil, found, tractor)
    if not implement.tools and implement.mass is None and not implement.rotary:
        found.fault("nothing-to-pull", "/implement/tools")
    rolling = rolling_resistance(implement, surface.mobility_number_label, slope, found)
    needs = needs_of(implement, tractor, found)
    push = machine_on_slope(implement, tractor, slope, found)
    steady = rolling + push
    work = work_span(draft_span(drafts, ends=found.asked.ranges), steady, needs)
    rated = rated_pto_power(tractor.power, found, "/tractor/power")
    usable = usable_share(tractor.derating, found)
    burnt = fuel_law(tractor.power, found, "/tractor/power")
    reserve = found.fallback(job.limits.power_reserve, "/limits/power_reserve", "power_reserve")
    width = working_width(implement, drafts, found)
    practice = practice_of(implement, drafts, found)
    speeds = speed_range(implement, practice, found)
    depths = depth_range(implement, found)
    confidence = confidence_of(job.limits, found)
    ratio = drawbar_per_pto(tractor.drive, soil.surface)
    found.use("arizona-machinery-management")
    hitched = hitching(implement, tractor, found, "/implement", in_ground=bool(implement.tools))
    carrier = on_soil(tractor, hitched, soil, slope, found)
    slip_limit = slip_limit_of(job, found)
    share = found.fallback(job.limits.front_share, "/limits/front_share", "front_share_limit")
    if carrier is not None:
        warn_of_raised(implement, carrier, found, "/implement")
    found.stop_at_faults()
    assert carrier is not None
    grip_known, band = known_grip(carrier), slip_band_of(carrier, surface)
    return Case(
        job=job,
        surface=surface,
        drafts=drafts,
        tractor=carrier,
        ratio=ratio,
        work=work,
        needs=needs,
        rated=rated,
        limits=Limits(slip_limit, rated * usable * (1.0 - reserve), share * carrier.weight, grip_known),
        usable=usable,
        weaker=weaker_of(carrier, soil) if isinstance(carrier, WheeledTractor) else None,
        slip_band=band,
        width=width,
        practice=practice,
        speeds=speeds,
        depths=depths,
        way_down=_way_down(carrier, push, slip_limit) if slope > 0.0 else None,
        raised=front_left_raised(implement, carrier),
        confidence=confidence,
        fuel=burnt,
    )


def confidence_of(asked: MatchLimits, found: Findings) -> Confidence:
    """Return what counts as holding, given or by default."""
    holds = found.fallback(asked.holds_from, "/limits/holds_from", "holds_from")
    fails = found.fallback(asked.fails_below, "/limits/fails_below", "fails_below")
    if asked.fails_below is None:
        fails = smaller(fails, holds)
    elif fails > holds:
        found.fault("fails-above-holds", "/limits/fails_below", holds=holds, fails=fails)
    deviations = found.fallback(asked.range_deviations, "/limits/range_deviations", "range_deviations")
    return Confidence(holds, fails, deviations)


def _way_down(tractor: WheeledTractor | TrackedTractor, push: Real, slip: Real) -> WayDown:
    stance, engine = tractor.stance, tractor.engine
    loads = stance._replace(sine=-stance.sine).loads(tractor.weight, tractor.front_share)
    return WayDown(engine._replace(loads=loads, grade_pull=-engine.grade_pull), push, slip)


def machine_on_slope(implement: Implement, tractor: Tractor, slope: Real, found: Findings) -> Real:
    """Return the part [N] of a machine's own weight along a `slope` [1].

    Where the request gives no mass, a machine as heavy as the tractor is taken (common practice, no source): seldom is
    one heavier, and leaving its weight out would say yes too easily.
    """
    if implement.mass is None and somewhere(slope > 0.0):
        found.warn("heavy-on-slope", "/implement/mass", where=slope > 0.0, mass=tractor.mass)
        return grade_resistance(tractor.mass, grade(slope)[0])
    return grade_pull(implement, slope, found)


def needs_of(implement: Implement, tractor: Tractor, found: Findings) -> PowerNeeds:
    """Return what an `implement` needs besides pulling, brought to the PTO of a `tractor`."""
    return power_needs(
        implement.rotary,
        implement.hydraulic,
        0.0 if implement.electric is None else implement.electric,
        tractor.pump_efficiency,
        tractor.generator_efficiency,
        found,
        "/implement",
        "/tractor",
    )


def hitched_tractor(
    tractor: Tractor, implement: Implement, soil: Soil, slope: Real, found: Findings
) -> WheeledTractor | None:
    """Return a `tractor` on wheels with an `implement` on its hitch, in a `soil` and on a `slope` [1].

    None if what it needs is missing, with a fault noted.
    """
    hitched = hitching(implement, tractor, found, "/implement", in_ground=bool(implement.tools))
    wheeled = on_wheels(tractor, hitched, cone_index(soil, found, "/soil"), slope, found)
    wheeled = by_ratio(wheeled, tractor, soil.surface)
    if wheeled is not None:
        warn_of_raised(implement, wheeled, found, "/implement")
    return wheeled


def work_span(draft: Span[DraftTerms], steady_pull: Real, needs: PowerNeeds) -> Span[Work]:
    """Return what an implement asks for by the central, low and high draft, and PTO-driven power with it."""

    def work(terms: DraftTerms, rotary: Real) -> Work:
        return Work(terms, steady_pull, rotary + needs.hydraulic + needs.electric)

    return Span(
        work(draft.value, needs.rotary),
        work(draft.low, needs.rotary_low) if draft.low is not None else None,
        work(draft.high, needs.rotary_high) if draft.high is not None else None,
    )


def slip_limit_of(job: Job, found: Findings) -> Real:
    """Return the most slip [1], given or usual on the surface."""
    if job.limits.slip is not None:
        return job.limits.slip
    return found.fallback_of("/limits/slip", "slip_limit_", job.soil.surface)


class GearRun(NamedTuple):
    """One gear at the travel speed of the answer."""

    name: str
    possible: Mask
    engine_speed: Real
    """Over full-throttle speed [1]"""
    load: Real
    """Power needed over what rated torque gives at that engine speed [1]"""
    fuel: Real
    """[m^3/s]; means nothing where the gear is not possible."""
    loss: Real
    """Power needed in this gear over that by the efficiency of the tractor [1]"""


class Gears(NamedTuple):
    """Gears compared at one travel speed."""

    best: Real
    """Place of the possible gear that burns least [1]; -1 where none is possible."""
    runs: list[GearRun]

    @property
    def loss(self) -> Real:
        """Power needed in the best gear over that by the efficiency of the tractor [1]; 1 where none is possible."""
        found: Real = 1.0
        for at, run in enumerate(self.runs):
            found = choose(self.best == float(at), run.loss, found)
        return found


class Fuel(NamedTuple):
    """Fuel of the match."""

    enough: Mask
    """Whether the power suffices; elsewhere the numbers mean nothing."""
    rate: Span[Real]
    """At work [m^3/s]"""
    mean_rate: Span[Real]
    """Over all time in the field: at work, on turns and standing [m^3/s]"""
    per_area: Span[Real]
    """[m]"""
    total: Span[Real] | None
    """For the area of the field [m^3]; None where that is not known."""
    shares: FuelShares


class Worked(NamedTuple):
    """A job worked out at one speed."""

    case: Case
    speed: Real
    """[m/s]"""
    point: Span[OperatingPoint]
    pull: Span[Real]
    """At the hitch [N]"""
    power: Span[Real]
    """All needs, at the PTO [W]"""
    quick: Span[Real]
    """The same by the drawbar/PTO ratio [W]"""
    depth: Real | None
    """Of the tool that pulls hardest of those whose depth counts [m]"""
    left: Margins
    unchecked: Mapping[LimitName, Mask]
    """Limits that apply but cannot be checked, and where; none of them counts as kept there."""
    carried: Mask
    fits: Mask
    binds: Real
    """Number of the limit that binds."""
    down: OperatingPoint | None
    """On the way downhill; None on level ground."""

    @property
    def load(self) -> Span[Real]:
        """Power needed over rated [1]."""
        return self.power.map(lambda power: power / self.case.rated)


def work_out(case: Case, speed: Real, found: Findings) -> Worked:
    """Return a case worked out at a `speed` [m/s]."""
    work = case.work
    engine = case.tractor.engine
    quick = work.map(lambda one: power_by_ratio(one, engine.grade_pull, case.ratio, speed))
    point = work.map(lambda one: operate(case.engine_for(one, engine), one, speed))
    depth = main_depth(case.drafts, speed) if case.depths is not None else None
    down = case.way_down.point(work.value, speed) if case.way_down is not None else None
    left = margins_at(case, work.value, point.value, speed, depth, down)
    carried = point.value.carried
    found.warn("not-carried", "/implement/tools" if case.drafts else "/implement/mass", where=opposite(carried))
    return Worked(
        case=case,
        speed=speed,
        point=point,
        pull=work.map(lambda one: one.pull_at(speed)),
        power=pto_range(point.map(lambda one: one.pto_power), work),
        quick=pto_range(quick, work),
        depth=depth,
        left=left,
        unchecked=unchecked_limits(case),
        carried=carried,
        fits=all_kept(left),
        binds=binding(left, carried),
        down=down,
    )


def unchecked_limits(case: Case) -> Mapping[LimitName, Mask]:
    """Return the limits of a `case` that apply but cannot be checked, and where.

    What the soil carries and how far tracks slip, where the table of tracks does not cover the soil. In margins and
    searches the pull counts as too great there, so that nothing fits.
    """
    unknown = opposite(case.limits.grip_known)
    return {"pull": unknown, "slip": unknown} if somewhere(unknown) else {}


def margins_at(
    case: Case, work: Work, point: OperatingPoint, speed: Real, depth: Real | None, down: OperatingPoint | None = None
) -> Margins:
    """Return what is left before each limit of a case for some `work`, which may be another than its own.

    Parameters
    ----------
    case : Case
    work : Work
    point : OperatingPoint
        Where the tractor does that work at that speed.
    speed : float or array
        [m/s]
    depth : float or array, optional
        Of the tool that pulls hardest [m].
    down : OperatingPoint, optional
        The same on the way downhill, if it is known already.
    """
    uphill = excess(point, case.tractor.engine, case.limits)
    downhill_excess = downhill_excess_at(case, work, speed, down)
    return margins(uphill, speed, case.speeds, depth, case.depths, downhill_excess, case.raised)


def downhill_excess_at(case: Case, work: Work, speed: Real, down: OperatingPoint | None = None) -> Downhill | None:
    """Return how far some `work` at a `speed` [m/s] exceeds the limits on the way downhill; None on level ground.

    The point `down` there is calculated unless it is known already.
    """
    if (way := case.way_down) is None:
        return None
    return way.excess(way.point(work, speed) if down is None else down)


def gears_of(worked: Worked, gears: Sequence[Gear], found: Findings) -> Gears | None:
    """Return how each of the `gears` would run; None if there are none."""
    if not gears:
        return None
    case, load = worked.case, worked.load.value
    slip = worked.point.value.slip
    slowest = default("lowest_engine_speed").value
    highest_load = case.limits.power / case.rated
    torque = torque_curve(case.job.tractor.power, found, "/tractor/power")
    if torque is None:
        found.warn("gears-by-torque", "/tractor/gears", slowest=f"{100 * slowest:.3g}")
    found.stop_at_faults()
    runs: list[GearRun] = []
    best: Real = -1.0
    least: Real = np.inf
    for at, gear in enumerate(gears):
        loss = _loss_in_gear(worked, gear)
        if gear.efficiency is not None:
            found.instead(f"/tractor/gears/{at}/efficiency")
        run = gear_point(worked.speed / (1.0 - slip), gear.speed, loss * load, torque)
        possible = both(
            both(run.engine_speed_ratio >= slowest, run.engine_speed_ratio <= 1.0),
            run.load_at_speed <= highest_load + ROUNDING,
        )
        fuel = fuel_at_part_speed(loss * load, case.rated, run.engine_speed_ratio, case.fuel)
        runs.append(GearRun(gear.name, possible, run.engine_speed_ratio, run.load_at_speed, fuel, loss))
        counted = choose(possible, fuel, np.inf)
        best, least = choose(counted < least, float(at), best), smaller(least, counted)
    return Gears(best, runs)


def _loss_in_gear(worked: Worked, gear: Gear) -> Real:
    """Return the power needed in a `gear` over that by the efficiency of the tractor [1]."""
    if gear.efficiency is None:
        return 1.0
    point, efficiency = worked.point.value, worked.case.tractor.engine.transmission_efficiency
    needs = point.pto_power > 0.0
    pulling = point.axle_power * (1.0 / gear.efficiency - 1.0 / efficiency)
    return 1.0 + choose(needs, pulling / choose(needs, point.pto_power, 1.0), 0.0)


def engine_speed_of(worked: Worked, gears: Gears | None, found: Findings) -> Real:
    """Return engine speed over full-throttle speed [1]: given, or that of the best gear, or the default."""
    given = worked.case.job.tractor.engine_speed
    if given is not None or gears is None:
        return found.fallback(given, "/tractor/engine_speed", "engine_speed_ratio")
    none = gears.best < 0.0
    speed: Real = found.fallback(None, "/tractor/engine_speed", "engine_speed_ratio", where=none)
    for at, run in enumerate(gears.runs):
        here = gears.best == float(at)
        speed = choose(here, run.engine_speed, speed)
        found.assume("best-gear", "/tractor/engine_speed", run.engine_speed, "derived", where=here, name=run.name)
    return speed


def fuel_of(worked: Worked, engine_speed: Real, area_rate: Capacity, found: Findings, loss: Real = 1.0) -> Fuel:
    """Return the fuel of the match at an `engine_speed`, over full-throttle speed [1].

    `loss` is the power needed in its gear over that by the efficiency of the tractor [1].

    On a slope, that of as much work uphill as downhill. Low and high of the mean rate and of the fuel on an area take
    the ranges of draft and field efficiency together.
    """
    case, load = worked.case, worked.load
    enough = both(worked.carried, load.value <= case.usable + ROUNDING)
    if somewhere(enough):
        say_of_load(load.value, enough, found, case.fuel)
    # A tractor that is asked for more than it is rated for slows down rather than burn more.
    most = larger(load.value, case.usable)

    def rate_of(load: Real, downhill: Real) -> Real:
        uphill = fuel_at_part_speed(loss * load, case.rated, engine_speed, case.fuel)
        if case.way_down is None:
            return uphill
        return 0.5 * (uphill + fuel_at_part_speed(loss * downhill, case.rated, engine_speed, case.fuel))

    ways = zip(load, load_downhill(worked), strict=True)
    value, low, high = (
        rate_of(smaller(up, most), smaller(down, most)) if up is not None and down is not None else None
        for up, down in ways
    )
    assert value is not None
    rate, field = ordered(Span(value, low, high)), case.job.field
    if rate.low is not None and rate.high is not None:
        rate = Span(rate.value, *widened(rate.value, rate.low, rate.high, default("fuel_spread").value))
    shares = fuel_shares(area_rate, field.turning_fuel_share, field.stopped_fuel_share, found, "/field")

    def in_field(at_work: Real, mean: Real) -> Real:
        return at_work * mean

    def on_area(at_work: Real, mean: Real, capacity: Real) -> Real:
        return fuel_per_area(in_field(at_work, mean), capacity)

    # The most area an hour burns the least on an area.
    per_area = ordered(combined(on_area, rate, turned(shares.mean), turned(area_rate.effective)))
    area = field.area
    return Fuel(
        enough=enough,
        rate=rate,
        mean_rate=ordered(combined(in_field, rate, shares.mean)),
        per_area=per_area,
        total=per_area.map(lambda fuel: pass_fuel(area, fuel, 1.0)) if area is not None else None,
        shares=shares,
    )


def load_downhill(worked: Worked) -> Span[Real]:
    """Return the power needed over rated [1] on the way downhill; that of the match itself on level ground."""
    case, speed = worked.case, worked.speed
    if (way := case.way_down) is None:
        return worked.load

    def load(work: Work) -> Real:
        if work is case.work.value and worked.down is not None:
            return worked.down.pto_power / case.rated
        return way.point(work, speed).pto_power / case.rated

    return case.work.map(load)


def field_capacity_of(worked: Worked, found: Findings) -> Capacity:
    """Return the area an hour of the match."""
    case, field = worked.case, worked.case.job.field
    return capacity(
        case.width,
        worked.speed,
        field.efficiency,
        field.shape,
        case.practice,
        field.area,
        field.workday,
        found,
        "/field",
    )


def difference_of_methods(worked: Worked, found: Findings) -> Real:
    """Return the power by the drawbar/PTO ratio over the traction path's, less 1 [1]."""
    power, quick = worked.power.value, worked.quick.value
    positive = power > 0.0
    difference = choose(positive, quick / choose(positive, power, 1.0) - 1.0, 0.0)
    found.warn("methods-differ", "/soil/surface", where=abs(difference) > METHODS_DIFFER, quick=quick, power=power)
    return difference
