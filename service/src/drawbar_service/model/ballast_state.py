"""A tractor ballasted to some mass and split at its work: slip, axles, power, limits, and what other masses cost."""

from collections.abc import Mapping
from typing import Final, Literal, NamedTuple, TypeAlias

from drawbar_service.engine.arrays import STANDARD_GRAVITY, Mask, Real, both, choose, known_where, larger, smaller
from drawbar_service.engine.axle_loads import lifting_pull
from drawbar_service.engine.ballast import PowerPaths, power_paths, reweighed
from drawbar_service.engine.fuel import FuelLaw, fuel_at_part_speed
from drawbar_service.engine.match import OperatingPoint, Work, operate
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.model.limits import ROUNDING
from drawbar_service.model.pto_range import pto_range
from drawbar_service.model.soil_stress import Ground
from drawbar_service.model.span import Span, ordered
from drawbar_service.model.tires import Service
from drawbar_service.model.tractor import WheeledTractor
from drawbar_service.model.transport import RaisedAxles, RaisedImplements, raised_axles
from drawbar_service.reference import StaticSplitRow

BallastLimitName: TypeAlias = Literal[
    "slip", "pull", "front-axle", "front-lift", "static-split", "axle-load", "power", "front-raised", "rear-raised"
]
COMPARED: Final = (-0.2, -0.1, 0.0, 0.1, 0.2, 0.3)
"""Masses compared, over the right one, less 1."""


class BallastCase(NamedTuple):
    """A tractor whose ballast is to be set, and its work."""

    tractor: WheeledTractor
    """As it stands."""
    work: Span[Work]
    """By the central, low and high draft."""
    speed: Real
    """[m/s]"""
    band: tuple[Real, Real]
    """Slip of best efficiency [1]."""
    split: StaticSplitRow
    rated: Real
    """At the PTO [W]"""
    usable: Real
    """What thin and hot air leave of it [1]."""
    engine_speed: Real
    """Over full-throttle speed [1]"""
    kept_share: Real
    """Share of the weight the front axle keeps under the pull [1]."""
    axle_mass: Real
    """Caution for one axle [kg]."""
    ballast_reach: Real
    """Front ballast ahead of the front axle [m]."""
    raised: RaisedImplements | None
    road_speed: Real
    """With the implements raised [m/s]; means nothing where none are."""
    ground: Ground | None
    weaker: EngineTractor | None
    """As it stands, where wet soil carries least; None where nothing says that it is wet."""
    fuel: FuelLaw | None
    """What the engine burns, where the request says; None: by the fuel equation."""

    @property
    def pull(self) -> Span[Real]:
        """At the hitch [N]."""
        return self.work.map(lambda work: work.draft.at(self.speed) + work.steady_pull)

    @property
    def usual_split(self) -> tuple[Real, Real]:
        """Share of the weight on the front axle, standing level, from and to [1]."""
        return self.split.front_share_low, self.split.front_share_high

    def at(self, mass: Real, front_share: Real) -> WheeledTractor:
        """Return the tractor at another `mass` [kg] and `front_share` [1]."""
        weight = mass * STANDARD_GRAVITY
        engine = reweighed(self.tractor.engine, self.tractor.stance, weight, front_share)
        return self.tractor._replace(engine=engine, weight=weight, front_share=front_share)

    def raised_at(self, mass: Real, front_share: Real) -> RaisedAxles | None:
        """Return the axles at a `mass` [kg] and `front_share` [1] with implements raised; None if none hang on it."""
        if self.raised is None:
            return None
        return raised_axles(self.raised, mass, front_share, self.tractor.stance.wheelbase, self.ballast_reach)


class BallastState(NamedTuple):
    """A tractor of one mass and split at its work."""

    case: BallastCase
    tractor: WheeledTractor
    mass: Span[Real]
    """[kg]; the range follows that of the draft, where the mass was searched for."""
    front_share: Real
    """Standing level [1]"""
    point: Span[OperatingPoint]
    carried: Mask
    """Whether any slip carries the pull."""
    front_load: Real
    """On the front axle under the pull [N]"""
    rear_load: Real
    """[N]"""
    lifting_pull: Real
    """[N]"""
    raised: RaisedAxles | None
    left: Mapping[BallastLimitName, Real]
    """What is left before each limit, over the limit [1]; negative beyond it."""

    @property
    def power(self) -> Span[Real]:
        """Power needed at the PTO [W]."""
        return pto_range(self.point.map(lambda point: point.pto_power), self.case.work)

    @property
    def load(self) -> Span[Real]:
        """Power needed at the PTO over rated [1]."""
        return self.power.map(lambda power: power / self.case.rated)

    @property
    def slip(self) -> Span[Real]:
        """Slip [1]; a pull that is not carried has none that belongs to it, so no range is given with one."""
        point = self.point
        slip = ordered(point.map(lambda one: one.slip))
        if point.low is None or point.high is None or slip.low is None or slip.high is None:
            return slip
        carried = both(self.carried, both(point.low.pull_effort <= 1.0, point.high.pull_effort <= 1.0))
        return Span(slip.value, known_where(carried, slip.low), known_where(carried, slip.high))

    @property
    def heavier_axle(self) -> Real:
        """What the heavier axle carries under the pull [kg]."""
        return larger(self.front_load, self.rear_load) / STANDARD_GRAVITY

    def raised_tires(self) -> list[tuple[str, Service, Real]]:
        """Return name, service and load on each tire [N] of both axles, with the implements raised; empty if none."""
        if self.raised is None:
            return []
        axles = (("front", self.tractor.front, self.raised.front), ("rear", self.tractor.rear, self.raised.rear))
        return [(name, axle.tire.service, mass * STANDARD_GRAVITY / axle.tires) for name, axle, mass in axles]

    def keeps(self, name: BallastLimitName) -> Mask:
        """Return whether a limit is kept."""
        return self.left[name] >= -ROUNDING


def state_of(case: BallastCase, mass: Span[Real], front_share: Real) -> BallastState:
    """Return a tractor ballasted to a `mass` [kg] and `front_share` [1] at its work."""
    tractor = case.at(mass.value, front_share)
    central = operate(tractor.engine, case.work.value, case.speed)
    point = case.work.map(
        lambda work: central if work is case.work.value else operate(tractor.engine, work, case.speed)
    )
    if case.weaker is not None and case.work.high is not None:
        weaker = reweighed(case.weaker, tractor.stance, tractor.weight, front_share)
        point = point._replace(high=operate(weaker, case.work.high, case.speed))
    loads = tractor.engine.loads
    front_load, rear_load = loads.front(central.pull), loads.rear(central.pull)
    state = BallastState(
        case=case,
        tractor=tractor,
        mass=mass,
        front_share=front_share,
        point=point,
        carried=central.pull_effort <= 1.0,
        front_load=front_load,
        rear_load=rear_load,
        lifting_pull=lifting_pull(loads),
        raised=case.raised_at(mass.value, front_share),
        left={},
    )
    return state._replace(left=_margins(state))


def in_band(value: Real, band: tuple[Real, Real]) -> Real:
    """Return the margin of a `value` inside a `band`, over the end that is nearer [1]; negative outside."""
    low, high = band
    return smaller(value / low - 1.0, 1.0 - value / high)


def _margins(state: BallastState) -> Mapping[BallastLimitName, Real]:
    case, point, lift = state.case, state.point.value, state.lifting_pull
    lifts_by_pull = lift > 0.0
    found: dict[BallastLimitName, Real] = {
        "pull": 1.0 - point.pull_effort,
        # A pull nothing carries has no slip of its own: it counts as beyond the band by as much as it is too great.
        "slip": choose(state.carried, in_band(point.slip, case.band), 1.0 - point.pull_effort),
        "front-axle": state.front_load / state.tractor.weight / case.kept_share - 1.0,
        "front-lift": choose(lifts_by_pull, 1.0 - point.pull / choose(lifts_by_pull, lift, 1.0), -1.0),
        "static-split": in_band(state.front_share, case.usual_split),
        "axle-load": 1.0 - state.heavier_axle / case.axle_mass,
        "power": 1.0 - point.pto_power / (case.rated * case.usable),
    }
    if state.raised is not None and case.raised is not None:
        found["front-raised"] = state.raised.front_share / case.raised.kept_front - 1.0
        found["rear-raised"] = state.raised.rear_share / case.raised.kept_rear - 1.0
    return found


class FuelBurnt(NamedTuple):
    """Fuel of some work."""

    enough: Mask
    """Whether soil and power suffice; elsewhere the number means nothing."""
    rate: Real
    """[m^3/s]"""


def fuel_of(case: BallastCase, point: OperatingPoint) -> FuelBurnt:
    """Return the fuel at a `point`."""
    load = point.pto_power / case.rated
    enough = both(load <= case.usable + ROUNDING, point.pull_effort <= 1.0)
    return FuelBurnt(enough, fuel_at_part_speed(load, case.rated, case.engine_speed, case.fuel))


class MassCompared(NamedTuple):
    """The same work at one mass, at the same ground speed."""

    over: Real
    """Mass over the right one, less 1 [1]."""
    mass: Real
    """[kg]"""
    carried: Mask
    point: OperatingPoint
    paths: PowerPaths
    """Mean nothing where the pull is not carried."""
    fuel: FuelBurnt
    compares: Mask
    """Whether there is fuel at both masses; elsewhere `more_fuel` means nothing."""
    more_fuel: Real
    """Over that at the right mass, less 1 [1]."""


def mass_costs(case: BallastCase, mass: Real, front_share: Real) -> list[MassCompared]:
    """Return the same work at masses around the right `mass` [kg], at its `front_share` [1]."""
    right = fuel_of(case, operate(case.at(mass, front_share).engine, case.work.value, case.speed))
    burns = both(right.enough, right.rate != 0.0)
    costs: list[MassCompared] = []
    for over in COMPARED:
        here = (1.0 + over) * mass
        tractor = case.at(here, front_share)
        point = operate(tractor.engine, case.work.value, case.speed)
        fuel = fuel_of(case, point)
        costs.append(
            MassCompared(
                over=over,
                mass=here,
                carried=point.pull_effort <= 1.0,
                point=point,
                paths=power_paths(tractor.engine, point),
                fuel=fuel,
                compares=both(fuel.enough, burns),
                more_fuel=fuel.rate / choose(burns, right.rate, 1.0) - 1.0,
            )
        )
    return costs
