"""What is asked: a tractor under load."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.field import TurningFuelShare
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import TractorPower
from drawbar_service.quantities import AreaRate, Efficiency, EngineSpeedRatio, Power, Share


class FuelRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor under load."""

    power: Annotated[TractorPower, Meta(description="What the tractor is rated for.")]
    load: Annotated[Power | None, Meta(description="Power used, as PTO equivalent.", examples=["95 kW"])] = None
    load_fraction: Annotated[Share | None, Meta(description="Power used over rated PTO power, in place of `load`.")] = (
        None
    )
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed.", examples=["80 %"])
    ] = None
    equation: Annotated[
        Literal["diesel", "older-diesel", "annual-average-diesel", "annual-average-gasoline"],
        Meta(
            description="`diesel`: after ASAE D497.5 on. `older-diesel`: to D497.4, reads 20-34 % higher; never mix "
            "the two. The annual averages take no load: they are for budgets."
        ),
    ] = "diesel"
    capacity: Annotated[AreaRate | None, Meta(description="Effective field capacity; gives fuel for each area.")] = None
    field_efficiency: Annotated[
        Efficiency | None,
        Meta(description="Field efficiency in that capacity: what is lost burns as turning does.", examples=["82 %"]),
    ] = None
    turning_fuel_share: TurningFuelShare = None
    tables: Tables = None
