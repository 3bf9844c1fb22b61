"""The field, as a request describes it."""

from functools import partial
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.tractor import ShortName
from drawbar_service.quantities import (
    Area,
    Efficiency,
    Length,
    Overlap,
    Share,
    ShortTime,
    Slope,
    TurningLength,
    Workday,
)


class Turn(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A headland turn: its time, or the radius it follows from."""

    time: Annotated[ShortTime | None, Meta(description="Time of one turn.", examples=["20 s"])] = None
    radius: Annotated[TurningLength | None, Meta(description="Turning radius of tractor and tool.")] = None
    tongue_length: Annotated[
        TurningLength | None,
        Meta(description="From the hitch back to the tools of a pulled implement. Lengthens a turn by radius."),
    ] = None
    reversing: Annotated[bool, Meta(description="Whether turns too tight to loop are made with one reverse.")] = False


class FieldShape(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A rectangular field, from which field efficiency follows instead of being looked up."""

    length: Annotated[Length, Meta(description="Along the passes.", examples=["600 m"])]
    width: Annotated[Length, Meta(description="Across the passes.", examples=["300 m"])]
    turn: Annotated[Turn, Meta(description="One headland turn.")]
    overlap: Annotated[Overlap, Meta(description="Share of the working width that is worked twice.")] = msgspec.field(
        default_factory=partial(Overlap, 0.0)
    )
    stops: Annotated[ShortTime, Meta(description="All stops in this field: filling, clearing, adjusting.")] = (
        msgspec.field(default_factory=partial(ShortTime, 0.0))
    )


TurningFuelShare = Annotated[
    Share | None,
    Meta(description="Fuel rate while raised and turning, over that at work, as read in the cab.", examples=["30 %"]),
]
StoppedFuelShare = Annotated[
    Share | None,
    Meta(
        description="Fuel rate while standing, over that at work; 0 with the engine off. Counts the stops of a shape."
    ),
]


class Field(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The field and how it is worked."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    slope: Annotated[
        Slope, Meta(description="Rise over run along the passes; worked both ways, so its sign does not matter.")
    ] = msgspec.field(default_factory=partial(Slope, 0.0))
    area: Annotated[Area | None, Meta(description="Area to work; gives hours and days.", examples=["32 ha"])] = None
    workday: Annotated[
        Workday | None, Meta(description="Hours of field work in a day; gives area a day.", examples=["10 h"])
    ] = None
    efficiency: Annotated[
        Efficiency | None, Meta(description="Field efficiency: effective over theoretical capacity.", examples=["82 %"])
    ] = None
    shape: Annotated[
        FieldShape | None, Meta(description="Field geometry, in place of an efficiency. Give one or neither.")
    ] = None
    turning_fuel_share: TurningFuelShare = None
    stopped_fuel_share: StoppedFuelShare = None
