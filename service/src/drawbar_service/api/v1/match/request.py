"""What is asked: a tractor, an implement, a soil and a field."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.field import Field
from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Tractor
from drawbar_service.quantities import Efficiency, Probability, RelativeSpread, Reserve, SlipLimit, Speed

Samples: TypeAlias = Literal[256, 1024, 4096, 16384]
Seed = Annotated[int, Meta(ge=0, le=2**32 - 1)]
Deviations = Annotated[float, Meta(ge=0.5, le=4.0)]
Correlation = Annotated[float, Meta(ge=-1.0, le=1.0)]

Wanted: TypeAlias = Literal["speed", "width", "depth"]
WantedList = Annotated[list[Wanted], Meta(max_length=3)]


class Spreads(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What else is uncertain: standard deviation over the value, of a log-normal factor."""

    cone_index: Annotated[RelativeSpread | None, Meta(description="Of the cone index.", examples=["20 %"])] = None
    depth: Annotated[RelativeSpread | None, Meta(description="Of all working depths together.")] = None
    speed: Annotated[RelativeSpread | None, Meta(description="Of the ground speed.")] = None


class OddsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How to draw the odds. The draft is always uncertain, by its range."""

    samples: Annotated[Samples, Meta(description="Number of scenarios.")] = 4096
    seed: Annotated[Seed, Meta(description="Seed of the scenarios; the same seed gives the same odds.")] = 0
    range_deviations: Annotated[
        Deviations | None,
        Meta(description="How many standard deviations the range of a table stands for; 2 if left out."),
    ] = None
    spreads: Annotated[Spreads, Meta(description="What else is uncertain.")] = msgspec.field(default_factory=Spreads)
    correlation: Annotated[
        Correlation | None,
        Meta(description="Between the logarithms of draft and cone index, as a calibration gives it; 0 if left out."),
    ] = None


class MatchLimits(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Limits to keep."""

    slip: Annotated[SlipLimit | None, Meta(description="Most slip.", examples=["12 %"])] = None
    power_reserve: Annotated[Reserve | None, Meta(description="Share of the rated PTO power to keep in hand.")] = None
    front_share: Annotated[
        Efficiency | None, Meta(description="Least load on the front axle, as a share of the tractor's weight.")
    ] = None
    holds_from: Annotated[
        Probability | None, Meta(description="Chance from which a match holds.", examples=["90 %"])
    ] = None
    fails_below: Annotated[
        Probability | None, Meta(description="Chance below which a match fails; between the two it is close.")
    ] = None
    range_deviations: Annotated[
        Deviations | None,
        Meta(description="How many standard deviations the range of a table stands for; 2 if left out."),
    ] = None


class MatchRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, an implement, a soil and a field."""

    tractor: Annotated[Tractor, Meta(description="The tractor.")]
    implement: Annotated[Implement, Meta(description="The implement.")]
    soil: Annotated[Soil, Meta(description="The soil.")]
    field: Annotated[Field, Meta(description="The field and how it is worked.")] = msgspec.field(default_factory=Field)
    speed: Annotated[
        Speed | None,
        Meta(description="Wanted ground speed. Leave out for the greatest that fits.", examples=["8 km/h"]),
    ] = None
    limits: Annotated[MatchLimits, Meta(description="Limits to keep.")] = msgspec.field(default_factory=MatchLimits)
    find: Annotated[
        WantedList | None,
        Meta(
            description="What to find the greatest of, everything else as asked. Left out: all three if the match does "
            "not fit, none if it does."
        ),
    ] = None
    odds: Annotated[
        OddsRequest | None,
        Meta(description="Ask for odds; `{}` takes every default. They cost more than the match itself."),
    ] = None
    tables: Tables = None
