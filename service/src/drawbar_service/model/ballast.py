"""Ballast: how heavy a tractor should be for its work, where the mass belongs, and what to do about it.

:func:`advise` resolves a description into SI records, looks at the tractor as it stands, searches for the right mass
and compares the two. On rubber tracks only :func:`guide` has an answer: what they pull is known by surface and weight
alone, which says nothing of where the mass belongs.
"""

from typing import Final, Literal, NamedTuple, Protocol, TypeAlias, get_args

from drawbar_service.engine.arrays import Mask, Real, both, choose, either, opposite, somewhere
from drawbar_service.engine.ballast import Hung, ballast_for_axles
from drawbar_service.engine.draft import KM_PER_H, NO_DRAFT
from drawbar_service.engine.fuel import FuelLaw
from drawbar_service.engine.match import Work, operate
from drawbar_service.model.ballast_search import (
    LEAST_MASS,
    Found,
    GreatestPull,
    Reach,
    Right,
    greatest_pull_in_reach,
    place_of,
    right_for,
    search,
)
from drawbar_service.model.ballast_state import BallastCase, BallastLimitName, BallastState, in_band, state_of
from drawbar_service.model.findings import Findings
from drawbar_service.model.hitching import hitching, warn_of_raised
from drawbar_service.model.implement import (
    draft_span,
    grade_pull,
    power_needs,
    rolling_resistance,
    tool_drafts,
)
from drawbar_service.model.limits import ROUNDING
from drawbar_service.model.match import work_span
from drawbar_service.model.moisture import weaker_of
from drawbar_service.model.nouns import Attached, Implement, Soil, Tractor
from drawbar_service.model.own_machine import fuel_law
from drawbar_service.model.soil import cone_index, surface_row
from drawbar_service.model.soil_stress import SoilStress, ground
from drawbar_service.model.span import Span
from drawbar_service.model.tires import warn_of_load
from drawbar_service.model.tracks import on_tracks
from drawbar_service.model.traction import check_tires
from drawbar_service.model.tractor import on_wheels, rated_pto_power, usable_share
from drawbar_service.model.transport import Transport, raised_implements
from drawbar_service.reference import MassPerPowerRow, SurfaceRow, default, mass_per_power, static_split

Advice: TypeAlias = Literal["as-it-stands", "add", "take-off", "shift", "cannot", "guide-only", "unknown-ballast"]
ADVICE: Final[tuple[Advice, ...]] = get_args(Advice)
"""What to do; its place here stands for it in numbers."""
AS_IT_STANDS, ADD, TAKE_OFF, SHIFT, CANNOT, _, UNKNOWN_BALLAST = map(float, range(len(ADVICE)))

ARTICULATED = "four-wheel"
"""The drive whose mass the guide sets by engine power."""
SMALLEST_CHANGE = 0.005
"""Share of the mass [1] below which a change is not worth the work, where slip is in its band already."""
FULL_WORK = 0.8
"""Share of the rated power [1] from which the guide of mass for power is held against the advice."""
METHODS_DIFFER = 0.15
"""Difference [1] at which the two are said to part."""


class KnownPull(Attached, Protocol):
    """A pull that is known, in place of an implement."""

    @property
    def force(self) -> float:
        """At the hitch, along the ground, the grade included [N]."""
        ...


class BallastOn(Protocol):
    """Ballast that can come off."""

    @property
    def front(self) -> float:
        """On the front [kg]."""
        ...

    @property
    def rear(self) -> float:
        """On or in the rear wheels [kg]."""
        ...

    @property
    def total(self) -> float | None:
        """On both ends together [kg], where it is not known how much of it is on which; in place of the other two."""
        ...


class BallastLimits(Protocol):
    """Limits to keep."""

    @property
    def mass(self) -> float | None:
        """Most it may weigh [kg]."""
        ...

    @property
    def front_share(self) -> float | None:
        """Least load on the front axle under the pull, over the weight [1]."""
        ...

    @property
    def axle_mass(self) -> float | None:
        """Most on one axle for the sake of the subsoil [kg]."""
        ...


class BallastJob(Protocol):
    """A tractor, its work, a speed and a soil; an implement or a pull."""

    @property
    def tractor(self) -> Tractor:
        """The tractor as it stands."""
        ...

    @property
    def implement(self) -> Implement | None:
        """The implement; None where the pull is known."""
        ...

    @property
    def pull(self) -> KnownPull | None:
        """A known pull, in place of an implement."""
        ...

    @property
    def soil(self) -> Soil:
        """The soil."""
        ...

    @property
    def speed(self) -> float:
        """Ground speed [m/s]."""
        ...

    @property
    def slope(self) -> float:
        """Rise over run, positive uphill [1]."""
        ...

    @property
    def aim(self) -> str:
        """Slip of the band to aim at: low, middle or high."""
        ...

    @property
    def wanted_front_share(self) -> float | None:
        """Split to aim at [1]."""
        ...

    @property
    def ballast_on(self) -> BallastOn | None:
        """Ballast that can come off."""
        ...

    @property
    def front_ballast_reach(self) -> float | None:
        """Center of the front ballast ahead of the front axle [m]."""
        ...

    @property
    def limits(self) -> BallastLimits:
        """Limits to keep."""
        ...

    @property
    def transport(self) -> Transport | None:
        """Implements raised for the road."""
        ...

    @property
    def soil_stress(self) -> SoilStress | None:
        """How stress in the soil is asked for; None where it is not."""
        ...


class Asked(NamedTuple):
    """What is pulled, and by what."""

    surface: SurfaceRow
    rated: Real
    """At the PTO [W]"""
    usable: Real
    """What thin and hot air leave of it [1]."""
    fuel: FuelLaw | None
    """What the engine burns, where the request says; None: by the fuel equation."""
    work: Span[Work]
    """By the central, low and high draft."""
    attached: Attached
    """What pulls, by how it hangs on the tractor."""
    in_ground: bool
    """Whether it has tools in the ground, as far as is known."""
    pointer: str
    """To what is attached."""

    def pull(self, speed: Real) -> Span[Real]:
        """Return the pull at the hitch [N] at a `speed` [m/s]."""
        return self.work.map(lambda work: work.draft.at(speed) + work.steady_pull)


class Guide(NamedTuple):
    """The trade's guide: mass for each unit of PTO power, by the speed of heavy pulling."""

    band: MassPerPowerRow
    mass_per_power: Real
    """[kg/W]"""
    mass: Real
    """[kg]"""
    present: Real
    """As the tractor stands [kg/W]"""

    @property
    def difference(self) -> Real:
        """Present mass over the guide's, less 1 [1]."""
        return self.present / self.mass_per_power - 1.0


class Change(NamedTuple):
    """What to add to a tractor [kg]; negative: what to take off."""

    total: Real
    front_axle: Real
    rear_axle: Real
    hung: Hung


class Advised(NamedTuple):
    """What the search and the advice came to."""

    case: BallastCase
    reach: Reach
    now: BallastState
    found: Found
    right: Right
    advice: Real
    """Number of what to do."""
    changes: Mask
    """Whether there is anything to change."""
    state: BallastState | None
    """The tractor as advised; means nothing where there is nothing to change. None if nobody asks, or nowhere is."""

    @property
    def mass(self) -> Real:
        """Of the tractor once the advice is followed [kg]."""
        return choose(self.changes, self.right.mass.value, self.now.mass.value)

    @property
    def front_share(self) -> Real:
        """The same of its split, standing level [1]."""
        return choose(self.changes, self.right.front_share, self.now.front_share)

    def change(self) -> Change:
        """Return what to add and take off to follow the advice."""
        case, mass, share = self.case, self.right.mass.value, self.right.front_share
        total = mass - self.now.mass.value
        front_axle = share * mass - self.now.front_share * self.now.mass.value
        hung = ballast_for_axles(front_axle, total, case.tractor.stance.wheelbase, case.ballast_reach)
        return Change(total, front_axle, total - front_axle, hung)

    def greatest_pull(self) -> GreatestPull:
        """Return the greatest pull at the slip aimed at, with the ballast within reach."""
        return greatest_pull_in_reach(self.case, self.reach)


def asked_of(job: BallastJob, found: Findings) -> Asked:
    """Return what is pulled and by what, on wheels or tracks.

    Raises
    ------
    Impossible
        If both an implement and a pull are given, or neither.
    """
    surface = surface_row(job.soil, found)
    rated = rated_pto_power(job.tractor.power, found, "/tractor/power")
    usable = usable_share(job.tractor.derating, found)
    burnt = fuel_law(job.tractor.power, found, "/tractor/power")
    implement, pull = job.implement, job.pull
    if pull is not None and implement is None:
        work = Work(NO_DRAFT, pull.force, 0.0)
        span = Span(work, work, work) if found.asked.ranges else Span(work)
        return Asked(surface, rated, usable, burnt, span, pull, True, "/pull")
    if implement is None or pull is not None:
        found.fault("implement-or-pull", "/implement")
        found.stop_at_faults()
    assert implement is not None
    drafts = tool_drafts(implement, job.soil, found, job.tractor)
    steady = rolling_resistance(implement, surface.mobility_number_label, job.slope, found)
    steady = steady + grade_pull(implement, job.slope, found)
    needs = power_needs(
        implement.rotary,
        implement.hydraulic,
        0.0 if implement.electric is None else implement.electric,
        job.tractor.pump_efficiency,
        job.tractor.generator_efficiency,
        found,
        "/implement",
        "/tractor",
    )
    span = work_span(draft_span(drafts, ends=found.asked.ranges), steady, needs)
    return Asked(surface, rated, usable, burnt, span, implement, bool(implement.tools), "/implement")


def guide(job: BallastJob, asked: Asked, found: Findings) -> Guide:
    """Return the mass for the rated PTO power by the trade's guide, which counts engine power if articulated."""
    row = mass_per_power(job.speed * KM_PER_H)
    found.use(row.source)
    each = row.mass_kg_per_kW / 1000.0
    articulated = job.tractor.drive == ARTICULATED
    ratio = default("pto_per_engine_power")
    if job.tractor.power.engine is None:
        engine = asked.rated / ratio.value
        share = f"{100.0 * ratio.value:.3g} %"
        found.assume("engine-from-pto", "/tractor/power/engine", engine, ratio.source, where=articulated, ratio=share)
    each = choose(articulated, each / ratio.value, each)
    return Guide(row, each, each * asked.rated, job.tractor.mass / asked.rated)


def say_of_tracks(job: BallastJob, found: Findings) -> None:
    """Warn that on rubber tracks there is only the guide, and what of the request is not used.

    Raises
    ------
    Impossible
        If there are faults.
    """
    found.warn("ballast-on-tracks", "/tractor/drive")
    for name in ("transport", "soil_stress", "ballast_on", "wanted_front_share", "front_ballast_reach"):
        if getattr(job, name) is not None:
            found.warn("only-the-guide", f"/{name}")
    found.stop_at_faults()


def advise(job: BallastJob, asked: Asked, by_guide: Guide, found: Findings) -> Advised:
    """Return what to do about the ballast of a tractor on wheels.

    Raises
    ------
    Impossible
        If there are faults.
    """
    case = _resolve(job, asked, found)
    reach = _reach(job, case, found)
    found.stop_at_faults()
    now = state_of(case, Span(job.tractor.mass), case.tractor.front_share)
    searched = search(case, reach, every_slip=found.asked("/iso_slip"))
    right = right_for(case, reach, now, searched)
    advice = _advice(case, reach, now, searched, right)
    changes = both(advice <= SHIFT, advice != AS_IT_STANDS)
    state = None
    if somewhere(changes) and (found.asked("/advised") or found.asked("/about") or found.asked.sentences):
        state = state_of(case, right.mass, right.front_share)
    advised = Advised(case, reach, now, searched, right, advice, changes, state)
    _warn(advised, by_guide, found)
    return advised


def _resolve(job: BallastJob, asked: Asked, found: Findings) -> BallastCase:
    tractor, limits = job.tractor, job.limits
    hitched = hitching(asked.attached, tractor, found, asked.pointer, in_ground=asked.in_ground)
    wheeled = on_wheels(tractor, hitched, cone_index(job.soil, found, "/soil"), job.slope, found)
    if tractor.traction is not None and tractor.traction.model == "ratio":
        found.fault("no-ballast-by-ratio", "/tractor/traction/model")
    split = static_split(tractor.drive)
    kept = found.fallback(limits.front_share, "/limits/front_share", "front_share_limit")
    axle_mass = found.fallback(limits.axle_mass, "/limits/axle_mass", "axle_mass_caution")
    ballast_reach = found.fallback(job.front_ballast_reach, "/front_ballast_reach", "front_ballast_reach")
    engine_speed = found.fallback(tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    raised = None
    road_speed: Real = 1.0
    rated: Mask = False
    if job.transport is not None:
        raised = raised_implements(job.transport, tractor.mass, found, "/transport")
        tires = [] if wheeled is None else [wheeled.front.tire.service, wheeled.rear.tire.service]
        for service in tires:
            rated = either(rated, service.known)
        road_speed = found.fallback(job.transport.speed, "/transport/speed", "road_speed", where=rated)
    surface = asked.surface
    found.use("brixius-1987", "zoz-grisso-2003", "asabe-s296", "grisso-2004", surface.slip_band_source, split.source)
    found.stop_at_faults()
    assert wheeled is not None
    if raised is None:
        warn_of_raised(asked.attached, wheeled, found, asked.pointer)
    under = None
    if job.soil_stress is not None:
        under = ground(job.soil_stress, job.soil.surface, wheeled, found, "/soil_stress")
    return BallastCase(
        tractor=wheeled,
        work=asked.work,
        speed=job.speed,
        band=(surface.slip_band_low, surface.slip_band_high),
        split=split,
        rated=asked.rated,
        usable=asked.usable,
        engine_speed=engine_speed,
        kept_share=kept,
        axle_mass=axle_mass,
        ballast_reach=ballast_reach,
        raised=raised,
        road_speed=road_speed,
        ground=under,
        weaker=weaker_of(wheeled, job.soil),
        fuel=asked.fuel,
    )


def _reach(job: BallastJob, case: BallastCase, found: Findings) -> Reach:
    """Return how light and heavy the tractor can be made, and at which splits and slips to look."""
    mass, on = job.tractor.mass, job.ballast_on
    removable: Real
    if on is None:
        row = default("removable_share")
        removable = row.value * mass
        each = (removable, removable)
        found.assume("removable-ballast", "/ballast_on", removable, row.source, why=row.why)
    elif on.total is not None:
        if on.front > 0.0 or on.rear > 0.0:
            found.fault("ballast-once", "/ballast_on/total")
        # All of it may be on one end.
        removable, each = on.total, (on.total, on.total)
    else:
        removable, each = on.front + on.rear, (on.front, on.rear)
    lightest = mass - removable
    if lightest < LEAST_MASS:
        found.fault("too-much-comes-off", "/ballast_on", left=lightest, mass=mass)
    heaviest: Real
    if job.limits.mass is None:
        row = default("heaviest_over_present")
        heaviest = row.value * mass
        found.assume("heaviest", "/limits/mass", heaviest, row.source, why=row.why)
    else:
        heaviest = job.limits.mass
        if on is not None and heaviest < lightest:
            found.fault("lighter-than-can-be", "/limits/mass", left=lightest)
    low, high = case.band
    wanted = job.wanted_front_share
    return Reach(
        lightest=lightest,
        heaviest=heaviest,
        removable=each,
        known=on is not None,
        shares=case.usual_split if wanted is None else (wanted, wanted),
        wanted=wanted is not None,
        slips=(low, 0.5 * (low + high), high),
        aim=job.aim,
    )


def _advice(case: BallastCase, reach: Reach, now: BallastState, searched: Found, right: Right) -> Real:
    """Return the number of what to do; what leaves slip outside its band is no advice."""
    mass = now.mass.value
    more = right.mass.value / mass - 1.0
    moved = abs(right.front_share * right.mass.value / mass - now.front_share)
    small = both(both(abs(more) < SMALLEST_CHANGE, moved < SMALLEST_CHANGE), now.keeps("slip"))
    changed = choose(abs(more) >= SMALLEST_CHANGE, choose(more > 0.0, ADD, TAKE_OFF), SHIFT)
    point = operate(case.at(right.mass.value, right.front_share).engine, case.work.value, case.speed)
    in_its_band = both(point.pull_effort <= 1.0, in_band(point.slip, case.band) >= -ROUNDING)
    too_heavy = either(searched.decided_by == place_of("lightest"), mass > reach.heaviest * (1.0 + ROUNDING))
    forbidden = CANNOT if reach.known else choose(too_heavy, UNKNOWN_BALLAST, CANNOT)
    return choose(both(right.exists, in_its_band), choose(small, AS_IT_STANDS, changed), forbidden)


def _warn(advised: Advised, by_guide: Guide, found: Findings) -> None:
    now, state = advised.now, advised.state
    found.warn("ballast-not-carried", "", where=opposite(now.carried))
    if state is not None:
        mass = state.mass.value
        differ = both(state.load.value >= FULL_WORK, abs(mass / by_guide.mass - 1.0) > METHODS_DIFFER)
        found.warn(
            "slip-and-guide-differ",
            "/tractor/mass",
            where=both(advised.changes, differ),
            mass=mass,
            guide=by_guide.mass,
        )
    _warn_of_axles("As it stands", now, opposite(advised.changes), found)
    if state is not None:
        _warn_of_axles("As advised", state, advised.changes, found)


def _warn_of_axles(whose: str, state: BallastState, where: Mask, found: Findings) -> None:
    case, lift = state.case, state.lifting_pull

    def broken(name: BallastLimitName) -> Mask:
        return both(where, opposite(state.keeps(name)))

    found.warn(
        "heavy-axle",
        "/limits/axle_mass",
        where=broken("axle-load"),
        whose=whose,
        axle=state.heavier_axle,
        caution=case.axle_mass,
    )
    lifts = broken("front-lift")
    found.warn("front-lifts", "", where=both(lifts, lift > 0.0), whose=whose, pull=state.point.value.pull, lift=lift)
    found.warn("front-pressed-up", "", where=both(lifts, opposite(lift > 0.0)), whose=whose)
    check_tires(state.tractor, state.point.value, found, where=where, whose=whose)
    if state.raised is None or case.raised is None:
        return
    for name, service, load in state.raised_tires():
        pressure = service.road_inflation
        warn_of_load(name, service, load, pressure, case.road_speed, where, found, whose=whose, road=True)
    raised: tuple[tuple[BallastLimitName, Real, Real], ...] = (
        ("front-raised", state.raised.front_share, case.raised.kept_front),
        ("rear-raised", state.raised.rear_share, case.raised.kept_rear),
    )
    for name, share, kept in raised:
        found.warn("light-axle-raised", "/transport", where=broken(name), whose=whose, share=share, kept=kept)


def only_guided(job: BallastJob) -> Mask:
    """Return whether the tractor runs on rubber tracks, where only the guide has an answer."""
    return on_tracks(job.tractor.drive)


def broken_limits(state: BallastState) -> list[BallastLimitName]:
    """Return the limits that ballast is there to keep and that are not kept."""
    names: tuple[BallastLimitName, ...] = ("slip", "front-axle", "static-split", "front-raised", "rear-raised")
    return [name for name in state.left if name in names and not state.keeps(name)]
