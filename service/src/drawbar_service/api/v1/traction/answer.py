"""What is answered: how the tractor stands under the pull, axle by axle, and second opinions."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.engine.arrays import number, truth
from drawbar_service.engine.match import OperatingPoint
from drawbar_service.model.tracks import TrackedTractor, slip_band_of
from drawbar_service.model.traction import (
    AxleAtWork,
    OtherModel,
    TireAtWork,
    axles_at_work,
    check_tires,
    front_lifting_pull,
    say_of_grip,
    second_opinions,
)
from drawbar_service.model.tractor import WheeledTractor
from drawbar_service.quantities import (
    ContactArea,
    Force,
    InflationPressure,
    PartLength,
    Pressure,
    Ratio,
    Share,
)
from drawbar_service.reference import SurfaceRow


class SecondOpinion(msgspec.Struct, frozen=True, kw_only=True):
    """What another published model says of the same axle at the same slip."""

    model: Annotated[str, Meta(description="Source id of the model.")]
    net_ratio: Annotated[float, Meta(description="Net traction over load.")]
    motion_resistance_ratio: Annotated[float, Meta(description="Motion resistance over load.")]
    tractive_efficiency: Annotated[Share | None, Meta(description="Power out over power in; null below no net pull.")]
    difference: Annotated[
        Ratio | None,
        Meta(description="Its net ratio over the answer's, less 1; null without net pull."),
    ]


class TireAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One tire of an axle at work."""

    deflection: Annotated[PartLength, Meta(description="How far it is pressed in as the tractor stands.")]
    deflection_ratio: Annotated[Ratio, Meta(description="Deflection over section height, as the equations take it.")]
    contact_area: Annotated[ContactArea, Meta(description="On the ground, estimated from its deflection.")]
    ground_pressure: Annotated[Pressure, Meta(description="Load under the pull over contact area: the mean.")]
    inflation: Annotated[
        InflationPressure | None,
        Meta(description="As stated, or what keeps the same deflection at another mass; null if none is stated."),
    ]
    load_share: Annotated[
        Ratio | None,
        Meta(
            description=(
                "Load under the pull over what the tire may carry; null where pressure or load index are not stated. "
                "The tire maker's load table decides."
            )
        ),
    ]


class AxleAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One axle at work."""

    driven: Annotated[bool, Meta(description="Whether the axle is driven.")]
    load: Annotated[Force, Meta(description="Load on the axle under the pull; negative once it has lifted.")]
    load_share: Annotated[Ratio, Meta(description="That load over the weight of the tractor.")]
    mobility_number: Annotated[float, Meta(description="Bn of one tire (Brixius 1987); 0 on tracks, which have none.")]
    slip: Annotated[Share, Meta(description="Slip; 0 on a towed axle.")]
    gross_ratio: Annotated[float, Meta(description="Gross traction over load, GTR; 0 on a towed axle.")]
    motion_resistance_ratio: Annotated[float, Meta(description="Motion resistance over load, MRR.")]
    net_ratio: Annotated[float, Meta(description="Net traction over load, NTR = GTR - MRR.")]
    tire: Annotated[TireAnswer | None, Meta(description="One of its tires. Null on tracks.")]


class AxlesAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Both axles at work; of two tracks their front and rear ends, of four the front and the rear pair."""

    front: Annotated[AxleAnswer, Meta(description="Front axle.")]
    rear: Annotated[AxleAnswer, Meta(description="Rear axle.")]


class TractionAnswer(Answer, frozen=True, kw_only=True):
    """How the tractor stands under the pull."""

    carried: Annotated[bool, Meta(description="Whether any slip in range carries the pull.")]
    pull: Annotated[Force, Meta(description="Pull at the hitch.")]
    slip: Annotated[Share, Meta(description="Slip; of greatest net traction if the pull is not carried.")]
    slip_band: Annotated[list[Share], Meta(description="Slip of best efficiency here, from and to.")]
    pull_effort: Annotated[Ratio, Meta(description="Net traction needed over the greatest there is.")]
    tractive_efficiency: Annotated[Ratio, Meta(description="Drawbar power over axle power.")]
    lifting_pull: Annotated[Force, Meta(description="Pull that would lift the front axle off the ground.")]
    axles: Annotated[AxlesAnswer, Meta(description="Each axle.")]
    second_opinions: Annotated[
        list[SecondOpinion],
        Meta(description="Other models on the rear axle at the same load and slip; none on tracks."),
    ]
    about: AboutField


def answer_of(
    tractor: WheeledTractor | TrackedTractor, point: OperatingPoint, pointer: str, surface: SurfaceRow, ledger: Ledger
) -> TractionAnswer:
    """Return the answer for a `tractor` at a `point`; `pointer` leads to what was asked, a pull or a slip."""
    carried = say_of_grip(tractor, point, pointer, ledger)
    check_tires(tractor, point, ledger)
    opinions = second_opinions(tractor, point, ledger)
    return TractionAnswer(
        carried=truth(carried),
        pull=Force.of(point.pull),
        slip=Share.of(point.slip),
        slip_band=[Share.of(end) for end in slip_band_of(tractor, surface)],
        pull_effort=Ratio.of(point.pull_effort),
        tractive_efficiency=Ratio.of(point.tractive_efficiency),
        lifting_pull=Force.of(front_lifting_pull(tractor)),
        axles=axles_answer(tractor, point),
        second_opinions=[_opinion(one) for one in opinions],
        about=ledger.about(),
    )


def axles_answer(tractor: WheeledTractor | TrackedTractor, point: OperatingPoint) -> AxlesAnswer:
    """Return both axles of a tractor at an operating point."""
    front, rear = axles_at_work(tractor, point)
    return AxlesAnswer(front=_axle(front), rear=_axle(rear))


def _axle(one: AxleAtWork) -> AxleAnswer:
    return AxleAnswer(
        driven=truth(one.driven),
        load=Force.of(one.load),
        load_share=Ratio.of(one.load_share),
        mobility_number=number(one.mobility),
        slip=Share.of(one.slip),
        gross_ratio=number(one.gross_ratio),
        motion_resistance_ratio=number(one.motion_resistance_ratio),
        net_ratio=number(one.gross_ratio - one.motion_resistance_ratio),
        tire=_tire(one.tire) if one.tire is not None else None,
    )


def _tire(one: TireAtWork) -> TireAnswer:
    tire, share = one.tire, one.share
    return TireAnswer(
        deflection=PartLength.of(tire.deflection),
        deflection_ratio=Ratio.of(tire.deflection_ratio),
        contact_area=ContactArea.of(tire.area),
        ground_pressure=Pressure.of(one.ground_pressure),
        inflation=InflationPressure.of(one.inflation) if one.inflation is not None else None,
        load_share=Ratio.known(share.known, share.share) if share is not None else None,
    )


def _opinion(one: OtherModel) -> SecondOpinion:
    return SecondOpinion(
        model=one.model,
        net_ratio=number(one.net_ratio),
        motion_resistance_ratio=number(one.motion_resistance_ratio),
        tractive_efficiency=Share.known(one.pulls, one.efficiency),
        difference=Ratio.known(one.compares, one.difference),
    )
