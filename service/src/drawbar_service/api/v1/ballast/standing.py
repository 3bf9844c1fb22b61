"""How a tractor of some mass and split stands to its work: slip, axles, power, limits, transport and soil stress."""

from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.ballast.soil_stress import Ground, SoilStressAnswer, soil_stress_answer
from drawbar_service.api.v1.ballast.transport import TransportAnswer, TransportInSI, transport_answer
from drawbar_service.api.v1.traction.answer import AxlesAnswer, axles_answer
from drawbar_service.engine.arrays import STANDARD_GRAVITY, Real
from drawbar_service.engine.axle_loads import lifting_pull
from drawbar_service.engine.ballast import power_paths, reweighed, sliding
from drawbar_service.engine.fuel import fuel_rate, reduced_speed_factor
from drawbar_service.engine.match import OperatingPoint, Work, operate
from drawbar_service.model.tractor import WheeledTractor
from drawbar_service.quantities import Force, FuelRate, Mass, MassPerPower, Power, Ratio, Share
from drawbar_service.reference import StaticSplitRow

LimitName: TypeAlias = Literal[
    "slip", "pull", "front-axle", "front-lift", "static-split", "axle-load", "power", "front-raised", "rear-raised"
]

ROUNDING = 1e-6
"""Excess [1] that counts as none, so that an answer put back as a request keeps its limits."""


class BallastLimit(msgspec.Struct, frozen=True, kw_only=True):
    """One limit and how far it is from being met."""

    name: Annotated[
        LimitName,
        Meta(
            description="slip: the band of best efficiency. pull: what the soil carries. front-axle: load to steer by, "
            "pulling. front-lift: the pull that lifts the front. static-split: usual share in front, standing level. "
            "axle-load: the caution for the subsoil. power: rated at the PTO. front-raised and rear-raised: with "
            "implements raised."
        ),
    ]
    kept: Annotated[bool, Meta(description="Whether it is kept.")]
    margin: Annotated[Ratio, Meta(description="What is left before the limit, over the limit; negative beyond it.")]
    detail: Annotated[str, Meta(description="Value and limit in words.")]


class PowerPathsAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Where the power at the axles goes."""

    drawbar: Annotated[Power, Meta(description="Pull times speed.")]
    slip: Annotated[Power, Meta(description="Lost because wheels turn farther than they travel.")]
    rolling: Annotated[Power, Meta(description="Lost in soil and tires; grows with mass.")]
    grade: Annotated[Power, Meta(description="Into the tractor's own weight uphill; negative where the hill pushes.")]


class StandingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor of one mass and split at this work."""

    mass: Annotated[Mass, Meta(description="Total mass; a range follows that of the draft.")]
    front_mass: Annotated[Mass, Meta(description="On the front axle, standing level without implement.")]
    rear_mass: Annotated[Mass, Meta(description="On the rear axle, standing level without implement.")]
    front_share: Annotated[Share, Meta(description="Of the mass, on the front axle, standing level.")]
    mass_per_power: Annotated[MassPerPower, Meta(description="Mass over rated PTO power.")]
    carried: Annotated[bool, Meta(description="Whether any slip carries the pull.")]
    slip: Annotated[Share, Meta(description="Slip; of greatest net traction if the pull is not carried.")]
    sliding: Annotated[Ratio, Meta(description="Distance the tread slides over distance travelled: a sign of wear.")]
    tractive_efficiency: Annotated[Ratio, Meta(description="Drawbar power over axle power.")]
    front_share_pulling: Annotated[Ratio, Meta(description="Front axle load under the pull, over the weight.")]
    lifting_pull: Annotated[Force, Meta(description="Pull that would lift the front axle off the ground.")]
    pto_power: Annotated[Power, Meta(description="All needs, brought to the PTO.")]
    load_fraction: Annotated[Ratio, Meta(description="PTO power needed over rated.")]
    power_paths: Annotated[
        PowerPathsAnswer | None, Meta(description="Where the axle power goes; null where the pull is not carried.")
    ]
    fuel: Annotated[
        FuelRate | None, Meta(description="Fuel in a time; null where pull or power is more than there is.")
    ]
    axles: Annotated[AxlesAnswer, Meta(description="Each axle under the pull.")]
    limits: Annotated[list[BallastLimit], Meta(description="Every limit, with its margin.")]
    transport: Annotated[TransportAnswer | None, Meta(description="With implements raised, if `transport` was given.")]
    soil_stress: Annotated[SoilStressAnswer | None, Meta(description="Stress in the soil, if it was asked for.")]


class Work3(NamedTuple):
    """Work at the middle, the low and the high of the draft's range."""

    central: Work
    low: Work
    high: Work


class Case(NamedTuple):
    """A request for ballast, resolved into SI units."""

    tractor: WheeledTractor
    work: Work3
    speed: float
    band: tuple[float, float]
    """Slip of best efficiency [1]."""
    split: StaticSplitRow
    rated: float
    engine_speed: float
    kept_share: float
    """Share of the weight the front axle keeps under the pull [1]."""
    axle_mass: float
    """Caution for one axle [kg]."""
    ballast_reach: float
    """Front ballast ahead of the front axle [m]."""
    transport: TransportInSI | None
    ground: Ground | None

    @property
    def pull(self) -> float:
        """Central pull [N]."""
        return self.pull_of(self.work.central)

    def pull_of(self, work: Work) -> float:
        """Pull of some work at the speed of the request [N]."""
        return float(work.draft.at(self.speed) + work.steady_pull)

    def at(self, mass: float, front_share: float) -> WheeledTractor:
        """Return the tractor at another `mass` [kg] and `front_share` [1]."""
        weight = mass * STANDARD_GRAVITY
        engine = reweighed(self.tractor.engine, self.tractor.stance, weight, front_share)
        return self.tractor._replace(engine=engine, weight=weight, front_share=front_share)


def in_band(slip: float, band: tuple[float, float]) -> float:
    """Return the margin of a `slip` [1] inside a `band` [1], over the end that is nearer; negative outside."""
    low, high = band
    return min(slip / low - 1.0, 1.0 - slip / high)


def fuel_of(case: Case, point: OperatingPoint) -> float | None:
    """Return fuel [m^3/s] at a `point`; None where pull or power is more than there is."""
    load = float(point.pto_power) / case.rated
    if load > 1.0 + ROUNDING or point.pull_effort > 1.0:
        return None
    return float(fuel_rate(load, case.rated) * reduced_speed_factor(load, case.engine_speed))


def paths_answer(tractor: WheeledTractor, point: OperatingPoint) -> PowerPathsAnswer | None:
    """Return where the axle power goes; None where the pull is not carried."""
    if point.pull_effort > 1.0:
        return None
    paths = power_paths(tractor.engine, point)
    return PowerPathsAnswer(
        drawbar=Power(float(paths.drawbar)),
        slip=Power(float(paths.slip)),
        rolling=Power(float(paths.rolling)),
        grade=Power(float(paths.grade)),
    )


def standing(
    case: Case, mass: float, front_share: float, ledger: Ledger, mass_range: tuple[float, float] | None = None
) -> StandingAnswer:
    """Return how the tractor stands to its work at a `mass` [kg] and `front_share` [1].

    `mass_range` [kg] is what the range of the draft makes of the mass, where it was sought for the draft.
    """
    tractor = case.at(mass, front_share)
    points = [operate(tractor.engine, work, case.speed) for work in case.work]
    point = points[0]
    slips = [float(one.slip) for one in points]
    carried = bool(point.pull_effort <= 1.0)
    ranged = all(one.pull_effort <= 1.0 for one in points)
    wheelbase = float(tractor.stance.wheelbase)
    raised = (
        transport_answer(case.transport, mass, front_share, wheelbase, case.ballast_reach)
        if case.transport is not None
        else None
    )
    load = float(point.pto_power) / case.rated
    fuel = fuel_of(case, point)
    front_load, rear_load = (float(at(point.pull)) for at in (tractor.engine.loads.front, tractor.engine.loads.rear))
    return StandingAnswer(
        mass=Mass.ranged(mass, *mass_range) if mass_range is not None else Mass(mass),
        front_mass=Mass(front_share * mass),
        rear_mass=Mass((1.0 - front_share) * mass),
        front_share=Share(front_share),
        mass_per_power=MassPerPower(mass / case.rated),
        carried=carried,
        slip=Share.ranged(slips[0], min(slips), max(slips)) if ranged else Share(slips[0]),
        sliding=Ratio(float(sliding(point.slip))),
        tractive_efficiency=Ratio(float(point.tractive_efficiency)),
        front_share_pulling=Ratio(front_load / tractor.weight),
        lifting_pull=Force(float(lifting_pull(tractor.engine.loads))),
        pto_power=Power(float(point.pto_power)),
        load_fraction=Ratio(load),
        power_paths=paths_answer(tractor, point),
        fuel=FuelRate(fuel) if fuel is not None else None,
        axles=axles_answer(tractor, point),
        limits=_limits(case, tractor, point, raised, ledger),
        transport=raised,
        soil_stress=soil_stress_answer(case.ground, tractor, front_load, rear_load) if case.ground else None,
    )


def _limits(
    case: Case, tractor: WheeledTractor, point: OperatingPoint, raised: TransportAnswer | None, ledger: Ledger
) -> list[BallastLimit]:
    say, loads, pull = ledger.say, tractor.engine.loads, float(point.pull)
    low, high = case.band
    carried = bool(point.pull_effort <= 1.0)
    front, rear = float(loads.front(pull)), float(loads.rear(pull))
    lift = float(lifting_pull(loads))
    split = (case.split.front_share_low, case.split.front_share_high)
    axle = max(front, rear) / STANDARD_GRAVITY
    pushed = front / tractor.weight
    # A pull nothing carries has no slip of its own: it counts as beyond the band by as much as the pull is too great.
    slip = in_band(float(point.slip), case.band) if carried else 1.0 - float(point.pull_effort)
    band = f"{say(Share(low))} to {say(Share(high))}"
    limits = [
        _limit("pull", 1.0 - point.pull_effort, f"{say(Ratio(float(point.pull_effort)))} of what the soil carries"),
        _limit(
            "slip",
            slip,
            f"{say(Share(float(point.slip)))}; works best at {band}" if carried else "no slip carries this pull",
        ),
        _limit(
            "front-axle",
            pushed / case.kept_share - 1.0,
            f"{say(Ratio(pushed))} of the weight on the front axle, pulling; at least {say(Ratio(case.kept_share))}",
        ),
        _limit(
            "front-lift",
            1.0 - pull / lift if lift > 0.0 else -1.0,
            f"{say(Force(pull))}; the front lifts at {say(Force(lift))}"
            if lift > 0.0
            else "what presses on the hitch lifts the front without any pull",
        ),
        _limit(
            "static-split",
            in_band(tractor.front_share, split),
            f"{say(Share(tractor.front_share))} of the mass in front, standing; usual for this drive is "
            f"{say(Share(split[0]))} to {say(Share(split[1]))}",
        ),
        _limit(
            "axle-load",
            1.0 - axle / case.axle_mass,
            f"{say(Mass(axle))} on the heavier axle, pulling; caution above {say(Mass(case.axle_mass))}",
        ),
        _limit(
            "power",
            1.0 - point.pto_power / case.rated,
            f"{say(Power(float(point.pto_power)))} needed and {say(Power(case.rated))} rated at the PTO",
        ),
    ]
    if raised is None or case.transport is None:
        return limits
    return [
        *limits,
        _raised("front-raised", raised.front_share, case.transport.kept_front, ledger),
        _raised("rear-raised", raised.rear_share, case.transport.kept_rear, ledger),
    ]


def _raised(name: LimitName, share: Ratio, kept: float, ledger: Ledger) -> BallastLimit:
    text = f"{ledger.say(share)} of the unladen mass on the axle, raised; at least {ledger.say(Ratio(kept))}"
    return _limit(name, float(share) / kept - 1.0, text)


def _limit(name: LimitName, margin: Real, detail: str) -> BallastLimit:
    value = float(margin)
    return BallastLimit(name=name, kept=value >= -ROUNDING, margin=Ratio(value), detail=detail)
