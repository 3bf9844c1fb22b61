"""What is answered: the verdict, the tractor as it stands and as advised, and what a wrong mass costs."""

from collections.abc import Sequence
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger, part_where
from drawbar_service.api.rounding import GREATEST, LEAST
from drawbar_service.api.v1.ballast import words
from drawbar_service.api.v1.traction.answer import AxlesAnswer, axles_answer
from drawbar_service.engine.arrays import Real, choose, truth
from drawbar_service.engine.ballast import PowerPaths, power_paths, sliding
from drawbar_service.engine.match import pull_at_slip
from drawbar_service.model.ballast import ADVICE, AS_IT_STANDS, Advice, Advised, Asked, Guide
from drawbar_service.model.ballast_search import DECIDED_BY, DecidedBy
from drawbar_service.model.ballast_state import (
    BallastLimitName,
    BallastState,
    MassCompared,
    fuel_of,
    mass_costs,
)
from drawbar_service.model.soil_stress import UnderTire, under_tires
from drawbar_service.model.span import ordered, spread
from drawbar_service.model.tires import load_share
from drawbar_service.model.transport import RaisedAxles
from drawbar_service.quantities import (
    Ballast,
    ContactArea,
    Depth,
    Force,
    FuelRate,
    Mass,
    MassChange,
    MassPerPower,
    Power,
    Pressure,
    Ratio,
    Share,
)
from drawbar_service.rows import text_at


class BallastVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """The answer in short."""

    advice: Annotated[
        Advice,
        Meta(
            description=(
                "What to do. shift: another split at about this mass. cannot: no mass within reach brings slip into "
                "its band. unknown-ballast: too heavy, and what can come off was not said. guide-only: rubber tracks."
            )
        ),
    ]
    decided_by: Annotated[
        DecidedBy | None,
        Meta(
            description=(
                "What sets the advised mass; for `cannot` and `unknown-ballast`, what forbids it. Null where nothing "
                "is to change."
            )
        ),
    ]
    summary: Annotated[str, Meta(description="The answer in words.")]


class BallastChange(msgspec.Struct, frozen=True, kw_only=True):
    """What to add; negative: what to take off."""

    total: Annotated[MassChange, Meta(description="Altogether.")]
    front_axle: Annotated[MassChange, Meta(description="What the front axle carries more, standing level.")]
    rear_axle: Annotated[MassChange, Meta(description="What the rear axle carries more, standing level.")]
    front_ballast: Annotated[MassChange, Meta(description="Ballast to hang ahead of the front axle.")]
    rear_ballast: Annotated[MassChange, Meta(description="Ballast on or in the rear wheels.")]


class BallastLimit(msgspec.Struct, frozen=True, kw_only=True):
    """One limit and how far it is from being met."""

    name: Annotated[
        BallastLimitName,
        Meta(
            description=(
                "slip: band of best efficiency. pull: what the soil carries. front-axle: load to steer by. "
                "front-lift: pull that lifts the front. static-split: usual share in front. axle-load: caution for "
                "the subsoil. power: rated. front-raised, rear-raised: implements raised."
            )
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


class TransportAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Axles with the implements raised, level and standing."""

    front_axle: Annotated[MassChange, Meta(description="On the front axle; negative: the tractor tips over backward.")]
    rear_axle: Annotated[MassChange, Meta(description="On the rear axle; negative: it tips over forward.")]
    front_share: Annotated[Ratio, Meta(description="On the front axle, over the unladen mass.")]
    rear_share: Annotated[Ratio, Meta(description="On the rear axle, over the unladen mass.")]
    front_ballast: Annotated[
        Ballast, Meta(description="Ballast still missing on the front, at the reach of front ballast; 0 if none is.")
    ]
    rear_ballast: Annotated[
        Ballast,
        Meta(description="Ballast still missing behind, where the rear implement hangs, else at the link ends."),
    ]
    front_tire_share: Annotated[
        Ratio | None,
        Meta(
            description=(
                "Load of a front tire over what it may carry at road pressure (else rated pressure) and speed; null "
                "without a load index. The tire maker's load table decides."
            )
        ),
    ]
    rear_tire_share: Annotated[Ratio | None, Meta(description="The same of a rear tire.")]


class StressAtDepth(msgspec.Struct, frozen=True, kw_only=True):
    """Stress at one depth."""

    depth: Annotated[Depth, Meta(description="Below the ground.")]
    stress: Annotated[Pressure, Meta(description="Vertical stress below the center of the tire.")]


class AxleStress(msgspec.Struct, frozen=True, kw_only=True):
    """Stress under the tires of one axle."""

    tire_load: Annotated[Force, Meta(description="On each tire, pulling; 0 once the axle has lifted.")]
    contact_area: Annotated[ContactArea, Meta(description="Of one tire on the ground: measured, or estimated.")]
    contact_stress: Annotated[Pressure, Meta(description="Load over area: the mean stress at the surface.")]
    stress: Annotated[list[StressAtDepth], Meta(description="With depth.")]


class SoilStressAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Stress in the soil under both axles, pulling."""

    front: Annotated[AxleStress, Meta(description="Under a front tire.")]
    rear: Annotated[AxleStress, Meta(description="Under a rear tire.")]


class StandingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor of one mass and split at this work."""

    mass: Annotated[Mass, Meta(description="Total mass; a range follows that of the draft.")]
    front_mass: Annotated[Mass, Meta(description="On the front axle, standing level without implement.")]
    rear_mass: Annotated[Mass, Meta(description="On the rear axle, standing level without implement.")]
    front_share: Annotated[Share, Meta(description="Of the mass, on the front axle, standing level.")]
    mass_per_power: Annotated[MassPerPower, Meta(description="Mass over rated PTO power.")]
    carried: Annotated[bool, Meta(description="Whether any slip carries the pull.")]
    slip: Annotated[Share, Meta(description="Slip; of greatest net traction if the pull is not carried.")]
    sliding: Annotated[Ratio, Meta(description="Distance the tread slides over distance traveled: a sign of wear.")]
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


class MassGuide(msgspec.Struct, frozen=True, kw_only=True):
    """The trade's guide: mass for each unit of PTO power, by the speed of heavy pulling."""

    band: Annotated[str, Meta(description="Row of the mass-per-power table.")]
    mass_per_power: Annotated[MassPerPower, Meta(description="The guide.")]
    mass: Annotated[Mass, Meta(description="Mass by the guide, if the rated power is put to work.")]
    present: Annotated[MassPerPower, Meta(description="Mass over rated PTO power as it stands.")]
    difference: Annotated[Ratio, Meta(description="Present mass over the guide's, less 1.")]


class MassCost(msgspec.Struct, frozen=True, kw_only=True):
    """The same work at one mass, at the same ground speed: costs compare for each area as for each hour."""

    over_right: Annotated[Ratio, Meta(description="Mass over the right one, less 1.")]
    mass: Annotated[Mass, Meta(description="The mass.")]
    carried: Annotated[bool, Meta(description="Whether any slip carries the pull.")]
    slip: Annotated[Share, Meta(description="Slip; of greatest net traction if the pull is not carried.")]
    sliding: Annotated[Ratio, Meta(description="Distance the tread slides over distance traveled: a sign of wear.")]
    slip_power: Annotated[Power | None, Meta(description="Lost to slip; null where the pull is not carried.")]
    rolling_power: Annotated[Power | None, Meta(description="Lost to rolling; null where the pull is not carried.")]
    tractive_efficiency: Annotated[Ratio, Meta(description="Drawbar power over axle power.")]
    fuel: Annotated[FuelRate | None, Meta(description="Fuel in a time; null where pull or power is too much.")]
    more_fuel: Annotated[Ratio | None, Meta(description="Fuel over that at the right mass, less 1.")]


class IsoSlip(msgspec.Struct, frozen=True, kw_only=True):
    """What goes with one slip."""

    slip: Annotated[Share, Meta(description="The slip.")]
    pull: Annotated[Force, Meta(description="Pull that brings the tractor as it stands to it.")]
    mass: Annotated[
        Mass | None,
        Meta(
            description="Least mass that holds the asked pull to it and the front axle down, at the best split; null "
            "if there is none up to 60 t."
        ),
        LEAST,
    ]


class BallastAnswer(Answer, frozen=True, kw_only=True):
    """How heavy, where, and what a wrong mass costs."""

    verdict: Annotated[BallastVerdict, Meta(description="The answer in short.")]
    pull: Annotated[Force, Meta(description="Pull at the hitch, with the range of the draft.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency here, from and to.")]
    guide: Annotated[MassGuide, Meta(description="Mass by the trade's guide.")]
    as_it_stands: Annotated[StandingAnswer | None, Meta(description="The tractor as given; null on rubber tracks.")]
    advised: Annotated[
        StandingAnswer | None, Meta(description="The tractor as advised; null where it stays as it is or cannot.")
    ]
    change: Annotated[BallastChange | None, Meta(description="What to add or take off; null where nothing changes.")]
    pull_in_reach: Annotated[
        Force | None,
        Meta(description="Greatest pull at the slip aimed at, with the ballast within reach; null if there is none."),
        GREATEST,
    ]
    costs: Annotated[
        list[MassCost], Meta(description="Masses around the right one: too light slips, too heavy rolls hard.")
    ]
    iso_slip: Annotated[list[IsoSlip], Meta(description="Pull and mass at low, middle and high slip of the band.")]
    about: AboutField


def answer_of(asked: Asked, by_guide: Guide, advised: Advised, ledger: Ledger) -> BallastAnswer:
    """Return the answer for a tractor on wheels."""
    case, changes = advised.case, advised.changes
    state = advised.state
    return BallastAnswer(
        verdict=_verdict(advised, ledger),
        pull=_pull(asked, case.speed),
        slip_band=[Share.of(end) for end in case.band],
        guide=_guide(by_guide),
        as_it_stands=_state(advised.now, "/as_it_stands", ledger),
        advised=part_where(changes, lambda: _state(state, "/advised", ledger)) if state is not None else None,
        change=part_where(changes, lambda: _change(advised)),
        pull_in_reach=_pull_in_reach(advised) if ledger.asked("/pull_in_reach") else None,
        costs=[_cost(one) for one in mass_costs(case, advised.mass, advised.front_share)]
        if ledger.asked("/costs")
        else [],
        iso_slip=[
            IsoSlip(
                slip=Share.of(needed.slip),
                pull=Force.of(pull_at_slip(case.tractor.engine, needed.slip)),
                mass=Mass.known(needed.exists, needed.mass),
            )
            for needed in advised.found.needed
        ],
        about=ledger.about(),
    )


def answer_on_tracks(asked: Asked, by_guide: Guide, speed: Real, ledger: Ledger) -> BallastAnswer:
    """Return the answer for a tractor on rubber tracks: the guide, and nothing that rests on slip."""
    surface = asked.surface
    return BallastAnswer(
        verdict=BallastVerdict(
            advice="guide-only",
            decided_by=None,
            summary=ledger.sentence(lambda: words.on_tracks(by_guide, ledger)),
        ),
        pull=_pull(asked, speed),
        slip_band=[Share.of(surface.slip_band_low), Share.of(surface.slip_band_high)],
        guide=_guide(by_guide),
        as_it_stands=None,
        advised=None,
        change=None,
        pull_in_reach=None,
        costs=[],
        iso_slip=[],
        about=ledger.about(),
    )


def _pull(asked: Asked, speed: Real) -> Force:
    return Force.spanning(spread(asked.pull(speed)))


def _verdict(advised: Advised, ledger: Ledger) -> BallastVerdict:
    nothing = float(len(DECIDED_BY))
    decided_by = choose(advised.advice == AS_IT_STANDS, nothing, advised.right.decided_by)
    choices: Sequence[DecidedBy | None] = (*DECIDED_BY, None)
    return BallastVerdict(
        advice=text_at(advised.advice, ADVICE),
        decided_by=text_at(decided_by, choices),
        summary=ledger.sentence(lambda: words.summary(advised, ledger)),
    )


def _guide(found: Guide) -> MassGuide:
    return MassGuide(
        band=found.band.id,
        mass_per_power=MassPerPower.of(found.mass_per_power),
        mass=Mass.of(found.mass),
        present=MassPerPower.of(found.present),
        difference=Ratio.of(found.difference),
    )


def _change(advised: Advised) -> BallastChange:
    change = advised.change()
    return BallastChange(
        total=MassChange.of(change.total),
        front_axle=MassChange.of(change.front_axle),
        rear_axle=MassChange.of(change.rear_axle),
        front_ballast=MassChange.of(change.hung.front),
        rear_ballast=MassChange.of(change.hung.rear),
    )


def _pull_in_reach(advised: Advised) -> Force | None:
    found = advised.greatest_pull()
    return Force.known(found.exists, found.pull)


def _cost(one: MassCompared) -> MassCost:
    paths = part_where(one.carried, lambda: _paths(one.paths))
    return MassCost(
        over_right=Ratio.of(one.over),
        mass=Mass.of(one.mass),
        carried=truth(one.carried),
        slip=Share.of(one.point.slip),
        sliding=Ratio.of(sliding(one.point.slip)),
        slip_power=paths.slip if paths is not None else None,
        rolling_power=paths.rolling if paths is not None else None,
        tractive_efficiency=Ratio.of(one.point.tractive_efficiency),
        fuel=FuelRate.known(one.fuel.enough, one.fuel.rate),
        more_fuel=Ratio.known(one.compares, one.more_fuel),
    )


def _paths(found: PowerPaths) -> PowerPathsAnswer:
    return PowerPathsAnswer(
        drawbar=Power.of(found.drawbar),
        slip=Power.of(found.slip),
        rolling=Power.of(found.rolling),
        grade=Power.of(found.grade),
    )


def _state(state: BallastState, place: str, ledger: Ledger) -> StandingAnswer:
    case, point, mass, share = state.case, state.point.value, state.mass.value, state.front_share
    fuel = fuel_of(case, point)
    return StandingAnswer(
        mass=Mass.spanning(state.mass),
        front_mass=Mass.of(share * mass),
        rear_mass=Mass.of((1.0 - share) * mass),
        front_share=Share.of(share),
        mass_per_power=MassPerPower.of(mass / case.rated),
        carried=truth(state.carried),
        slip=Share.spanning(state.slip),
        sliding=Ratio.of(sliding(point.slip)),
        tractive_efficiency=Ratio.of(point.tractive_efficiency),
        front_share_pulling=Ratio.of(state.front_load / state.tractor.weight),
        lifting_pull=Force.of(state.lifting_pull),
        pto_power=Power.spanning(spread(ordered(state.power))),
        load_fraction=Ratio.spanning(spread(ordered(state.load))),
        power_paths=part_where(state.carried, lambda: _paths(power_paths(state.tractor.engine, point))),
        fuel=FuelRate.known(fuel.enough, fuel.rate),
        axles=axles_answer(state.tractor, point),
        limits=[
            BallastLimit(
                name=name,
                kept=truth(state.keeps(name)),
                margin=Ratio.of(margin),
                detail=ledger.sentence(lambda name=name: words.limit(name, state, ledger)),
            )
            for name, margin in state.left.items()
        ],
        transport=_transport(state, state.raised) if state.raised is not None else None,
        soil_stress=_soil_stress(state, ledger.asked(f"{place}/soil_stress")),
    )


def _transport(state: BallastState, found: RaisedAxles) -> TransportAnswer:
    front_tires, rear_tires = (
        load_share(service, load, service.road_inflation, state.case.road_speed)
        for _, service, load in state.raised_tires()
    )
    return TransportAnswer(
        front_axle=MassChange.of(found.front),
        rear_axle=MassChange.of(found.rear),
        front_share=Ratio.of(found.front_share),
        rear_share=Ratio.of(found.rear_share),
        front_ballast=Ballast.of(found.front_ballast),
        rear_ballast=Ballast.of(found.rear_ballast),
        front_tire_share=Ratio.known(front_tires.known, front_tires.share),
        rear_tire_share=Ratio.known(rear_tires.known, rear_tires.share),
    )


def _soil_stress(state: BallastState, asked: bool) -> SoilStressAnswer | None:
    ground = state.case.ground
    if ground is None or not asked:
        return None
    front, rear = under_tires(ground, state.tractor, state.front_load, state.rear_load)
    return SoilStressAnswer(front=_axle_stress(front, ground.depths), rear=_axle_stress(rear, ground.depths))


def _axle_stress(under: UnderTire, depths: Sequence[Real]) -> AxleStress:
    return AxleStress(
        tire_load=Force.of(under.tire_load),
        contact_area=ContactArea.of(under.area),
        contact_stress=Pressure.of(under.contact_stress),
        stress=[StressAtDepth(depth=Depth.of(depth), stress=Pressure.of(under.at(depth))) for depth in depths],
    )
