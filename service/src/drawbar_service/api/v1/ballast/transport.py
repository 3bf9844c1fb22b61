"""Implements raised on the tractor's ends: what each axle carries on the road, and the ballast that takes."""

from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.engine.ballast import least_front_ballast, least_rear_ballast, transport_front_axle
from drawbar_service.quantities import Ballast, MachineLength, Mass, MassChange, Ratio, TractorMass
from drawbar_service.reference import default


class FrontMounted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What hangs on the front, raised."""

    mass: Annotated[Mass, Meta(description="Its mass, beyond the mass of the tractor.", examples=["900 kg"])]
    ahead_of_axle: Annotated[
        MachineLength, Meta(description="Its centre ahead of the front axle: a.", examples=["1.4 m"])
    ]


class RearMounted(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What hangs on the rear, raised."""

    mass: Annotated[Mass, Meta(description="Its mass.", examples=["1.6 t"])]
    behind_links: Annotated[
        MachineLength, Meta(description="Its centre behind the lower link ends: d.", examples=["1.1 m"])
    ]


class Transport(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Implements raised for the road. Give the front one, the rear one or both."""

    front: Annotated[FrontMounted | None, Meta(description="On the front linkage.")] = None
    rear: Annotated[RearMounted | None, Meta(description="On the rear linkage.")] = None
    links_behind_axle: Annotated[
        MachineLength | None, Meta(description="Lower link ends behind the rear axle: c.", examples=["1.05 m"])
    ] = None
    unladen_mass: Annotated[
        TractorMass | None,
        Meta(description="The tractor's own mass, of which each axle must keep its share; else its mass as it stands."),
    ] = None


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


class TransportInSI(NamedTuple):
    """What hangs on a tractor, in SI units, and what must be kept."""

    front_mass: float
    front_reach: float
    rear_mass: float
    rear_reach: float
    unladen_mass: float
    kept_front: float
    kept_rear: float


def transport_in_si(transport: Transport, mass: float, ledger: Ledger, pointer: str) -> TransportInSI:
    """Return what hangs on a tractor of `mass` [kg]; assumptions and faults go to the ledger."""
    front, rear = transport.front, transport.rear
    if front is None and rear is None:
        ledger.fault(pointer, "give front or rear, or both: what hangs on the tractor")
    links = ledger.fallback(
        transport.links_behind_axle, f"{pointer}/links_behind_axle", "three_point_hitch_distance", MachineLength
    )
    unladen = mass
    if transport.unladen_mass is None:
        why = "The tractor as it stands; with ballast on it, its own mass is less and so is what must be kept."
        ledger.assume(f"{pointer}/unladen_mass", TractorMass(mass), why, "transport-ballast-method")
    else:
        unladen = float(transport.unladen_mass)
    kept_front, kept_rear = default("transport_front_share"), default("transport_rear_share")
    ledger.use(kept_front.source)
    return TransportInSI(
        float(front.mass) if front is not None else 0.0,
        float(front.ahead_of_axle) if front is not None else 0.0,
        float(rear.mass) if rear is not None else 0.0,
        links + (float(rear.behind_links) if rear is not None else 0.0),
        unladen,
        kept_front.value,
        kept_rear.value,
    )


def transport_answer(
    hung: TransportInSI, mass: float, front_share: float, wheelbase: float, ballast_reach: float
) -> TransportAnswer:
    """Return the axles of a tractor of `mass` [kg] with what is `hung` on it raised.

    `front_share` [1] is that of the tractor alone; `ballast_reach` [m] is where more front ballast would hang.
    """
    alone = front_share * mass
    front = float(
        transport_front_axle(hung.front_mass, hung.front_reach, hung.rear_mass, hung.rear_reach, alone, wheelbase)
    )
    rear = mass + hung.front_mass + hung.rear_mass - front
    # What already hangs on an axle counts as part of it: asked for is what is missing beyond it.
    with_front = front + hung.rear_mass * hung.rear_reach / wheelbase
    with_rear = rear + hung.front_mass * hung.front_reach / wheelbase
    missing_front = least_front_ballast(
        hung.rear_mass, hung.rear_reach, with_front, hung.unladen_mass, wheelbase, ballast_reach, hung.kept_front
    )
    missing_rear = least_rear_ballast(
        hung.front_mass, hung.front_reach, with_rear, hung.unladen_mass, wheelbase, hung.rear_reach, hung.kept_rear
    )
    return TransportAnswer(
        front_axle=MassChange(front),
        rear_axle=MassChange(rear),
        front_share=Ratio(front / hung.unladen_mass),
        rear_share=Ratio(rear / hung.unladen_mass),
        front_ballast=Ballast(max(float(missing_front), 0.0)),
        rear_ballast=Ballast(max(float(missing_rear), 0.0)),
    )
