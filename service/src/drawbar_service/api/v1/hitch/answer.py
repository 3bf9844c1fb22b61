"""What is answered: what suits the tractor's power, and whether hitch, axles and tires bear the machine."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.rounding import GREATEST
from drawbar_service.api.shared.checks import Checks, Fits, check_answers
from drawbar_service.api.v1.hitch import words
from drawbar_service.api.v1.hitch.request import HitchRequest
from drawbar_service.engine.arrays import number, truth
from drawbar_service.engine.tire import METRES_PER_INCH
from drawbar_service.model.checks import all_kept
from drawbar_service.model.hitch import Hitched, Loads, OnRoad
from drawbar_service.model.hitch_categories import (
    KILOWATT,
    R_PER_MIN,
    fitting_ptos,
    smallest_drawbar,
    usual_three_points,
)
from drawbar_service.quantities import Force, Length, Mass, PartLength, Power, Ratio, Rotation, Width
from drawbar_service.reference import PtoRow, ThreePointRow


class ThreePointAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A category of three-point hitch."""

    category: Annotated[str, Meta(description="Category; N: narrow spacing.")]
    lower_pin: Annotated[PartLength, Meta(description="Diameter of the lower pins.")]
    upper_pin: Annotated[PartLength, Meta(description="Diameter of the upper pin.")]
    spacing: Annotated[PartLength, Meta(description="Between the lower hitch points.")]


class PtoAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A type of PTO."""

    type: Annotated[str, Meta(description="Type.")]
    speed: Annotated[Rotation, Meta(description="Rated speed.")]
    shaft: Annotated[PartLength, Meta(description="Diameter of the shaft.")]
    splines: Annotated[int, Meta(description="Number of splines.")]
    greatest_power: Annotated[Power, Meta(description="Greatest power recommended."), GREATEST]


class HitchLoads(msgspec.Struct, frozen=True, kw_only=True):
    """Loads standing level, the machine raised or in transport."""

    hitch: Annotated[Force, Meta(description="On the hitch; negative where the machine lifts it.")]
    hitch_share: Annotated[Ratio | None, Meta(description="Of the machine's weight; null without its mass.")]
    machine_axle: Annotated[Force | None, Meta(description="On the machine's own axle; null if it has none.")]
    front: Annotated[Force | None, Meta(description="Front axle of the tractor, or front of its tracks.")]
    front_alone: Annotated[Force | None, Meta(description="The same without the machine.")]
    rear: Annotated[Force | None, Meta(description="Rear axle of the tractor, or rear of its tracks.")]
    front_share: Annotated[Ratio | None, Meta(description="Front load over the tractor's weight.")]


class RoadAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Tractor and machine on the road."""

    width: Annotated[Width, Meta(description="Width.")]
    length: Annotated[Length, Meta(description="Both together.")]
    mass: Annotated[Mass | None, Meta(description="Both together; null without the machine's mass.")]
    mass_ratio: Annotated[float | None, Meta(description="Machine over tractor; null likewise.")]


class HitchAnswer(Answer, frozen=True, kw_only=True):
    """What suits the tractor's power, and whether hitch, axles and tires bear the machine."""

    fits: Fits
    checks: Checks
    three_point: Annotated[list[ThreePointAnswer], Meta(description="Categories usual for the tractor's power.")]
    drawbar: Annotated[str | None, Meta(description="Smallest drawbar category for its power; null beyond all.")]
    pto: Annotated[
        list[PtoAnswer],
        Meta(description="PTO types for the machine's speed and power; for the tractor's power where none is given."),
    ]
    loads: Annotated[HitchLoads | None, Meta(description="Loads; null unless the machine gives a weight.")]
    road: Annotated[RoadAnswer | None, Meta(description="On the road, if dimensions were given.")]
    about: AboutField


def answer_of(found: Hitched, request: HitchRequest, ledger: Ledger) -> HitchAnswer:
    """Return the answer for a machine on a hitch."""
    machine = request.machine
    speed = machine.pto_speed if machine is not None else None
    taken = machine.pto_power if machine is not None and machine.pto_power is not None else found.power
    three_points = usual_three_points(found.power) if ledger.asked("/three_point") else []
    ptos = fitting_ptos(speed, taken) if ledger.asked("/pto") else []
    return HitchAnswer(
        fits=truth(all_kept(found.checks)),
        checks=check_answers(found.checks, words.detail, ledger),
        three_point=[_three_point(row) for row in three_points],
        drawbar=smallest_drawbar(found.power),
        pto=[_pto(row) for row in ptos],
        loads=_loads(found.loads) if found.loads is not None else None,
        road=_road(found.road) if found.road is not None else None,
        about=ledger.about(),
    )


def _three_point(row: ThreePointRow) -> ThreePointAnswer:
    return ThreePointAnswer(
        category=row.category,
        lower_pin=PartLength(METRES_PER_INCH * row.lower_pin_in),
        upper_pin=PartLength(METRES_PER_INCH * row.upper_pin_in),
        spacing=PartLength(METRES_PER_INCH * row.spacing_in),
    )


def _pto(row: PtoRow) -> PtoAnswer:
    return PtoAnswer(
        type=row.id,
        speed=Rotation(R_PER_MIN * row.speed_r_min),
        shaft=PartLength(1e-3 * row.shaft_mm),
        splines=row.splines,
        greatest_power=Power(KILOWATT * row.pto_high_kW),
    )


def _loads(found: Loads) -> HitchLoads:
    tractor = found.tractor
    return HitchLoads(
        hitch=Force.of(found.hitch),
        hitch_share=Ratio.of(found.hitch_share) if found.hitch_share is not None else None,
        machine_axle=Force.of(found.machine_axle) if found.machine_axle is not None else None,
        front=Force.of(tractor.front),
        front_alone=Force.of(tractor.front_alone),
        rear=Force.of(tractor.rear),
        front_share=Ratio.of(tractor.front_share),
    )


def _road(found: OnRoad) -> RoadAnswer:
    return RoadAnswer(
        width=Width.of(found.width),
        length=Length.of(found.length),
        mass=Mass.of(found.mass) if found.mass is not None else None,
        mass_ratio=number(found.mass_ratio) if found.mass_ratio is not None else None,
    )
