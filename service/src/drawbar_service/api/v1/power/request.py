"""What is asked: everything that takes power at once."""

from typing import Annotated, Literal

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import HydraulicNeed, RotaryNeed
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import Drive
from drawbar_service.quantities import Efficiency, Power, Pull, Speed


class Pulling(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What is pulled."""

    pull: Annotated[Pull, Meta(description="Pull at the hitch.", examples=["32 kN"])]
    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["7.5 km/h"])]
    tractive_efficiency: Annotated[
        Efficiency | None,
        Meta(description="Drawbar power over axle power, for example from `/v1/traction`. Leave out to use the ratio."),
    ] = None
    drive: Annotated[Drive | None, Meta(description="For the drawbar/PTO ratio.")] = None
    surface: Annotated[
        Literal["concrete", "hard", "firm", "tilled", "soft"] | None, Meta(description="For the drawbar/PTO ratio.")
    ] = None
    drawbar_per_pto: Annotated[
        Efficiency | None, Meta(description="A drawbar/PTO ratio of your own, in place of the table's.")
    ] = None


class PowerRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Everything that takes power at once. Give what there is."""

    pulling: Annotated[Pulling | None, Meta(description="What is pulled.")] = None
    rotary: Annotated[list[RotaryNeed], Meta(description="What the PTO drives.", max_length=8)] = []
    hydraulic: Annotated[list[HydraulicNeed], Meta(description="Oil that flows all the time.", max_length=16)] = []
    electric: Annotated[Power | None, Meta(description="Electric power taken.")] = None
    transmission_efficiency: Annotated[Efficiency | None, Meta(description="Axle power over PTO power.")] = None
    pump_efficiency: Annotated[Efficiency | None, Meta(description="Fluid power over power into the pump.")] = None
    generator_efficiency: Annotated[
        Efficiency | None, Meta(description="Electric power over power into the generator.")
    ] = None
    pto_per_engine_power: Annotated[Efficiency | None, Meta(description="PTO power over flywheel power.")] = None
    tables: Tables = None
