"""What is asked: slip from what was counted, timed or measured in the field."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.quantities import Length, ShortTime

Turns = Annotated[float, Meta(ge=0.001, le=100_000.0)]


class TurnRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Wheel turns of a driven wheel over one distance."""

    loaded: Annotated[Turns, Meta(description="Turns with the implement at work.", examples=[10.0])]
    unloaded: Annotated[Turns, Meta(description="Turns with the implement raised, over the same distance.")]


class TimeRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Times over one distance, in one gear at one engine speed."""

    loaded: Annotated[ShortTime, Meta(description="Time with the implement at work.", examples=["15 s"])]
    unloaded: Annotated[ShortTime, Meta(description="Time with the implement raised.", examples=["13 s"])]


class DistanceRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Distances covered in one number of wheel turns."""

    loaded: Annotated[Length, Meta(description="Distance with the implement at work.", examples=["45.2 m"])]
    unloaded: Annotated[Length, Meta(description="Distance with the implement raised.", examples=["51 m"])]


TurnRuns = Annotated[list[TurnRun], Meta(min_length=1, max_length=100)]
TimeRuns = Annotated[list[TimeRun], Meta(min_length=1, max_length=100)]
DistanceRuns = Annotated[list[DistanceRun], Meta(min_length=1, max_length=100)]


class WheelTurns(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Slip by counting turns of a driven wheel."""

    runs: Annotated[TurnRuns, Meta(description="One or more runs.")]
    reading_error: Annotated[
        Turns | None, Meta(description="Standard error of each count, in turns.", examples=[0.1])
    ] = None


class TravelTimes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Slip by timing."""

    runs: Annotated[TimeRuns, Meta(description="One or more runs.")]
    reading_error: Annotated[ShortTime | None, Meta(description="Standard error of each time.", examples=["0.2 s"])] = (
        None
    )


class TravelDistances(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Slip by measuring distances."""

    runs: Annotated[DistanceRuns, Meta(description="One or more runs.")]
    reading_error: Annotated[
        Length | None, Meta(description="Standard error of each distance.", examples=["10 cm"])
    ] = None


class SlipRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was counted, timed or measured. Give one of the three."""

    turns: Annotated[WheelTurns | None, Meta(description="Wheel turns over one distance.")] = None
    times: Annotated[TravelTimes | None, Meta(description="Times over one distance at one wheel speed.")] = None
    distances: Annotated[TravelDistances | None, Meta(description="Distances in one number of wheel turns.")] = None
