"""The tractor, as a request describes it."""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.own_machine import EngineFuel, Torque, Traction
from drawbar_service.quantities import (
    Altitude,
    Efficiency,
    EngineSpeedRatio,
    FrontLead,
    Heat,
    HitchHeight,
    InflationPressure,
    MachineLength,
    RatedPower,
    Share,
    Speed,
    TractorMass,
    Wheelbase,
)

Drive: TypeAlias = Literal["two-wheel", "front-wheel-assist", "four-wheel", "rubber-track", "four-track"]
Transmission: TypeAlias = Literal["gear", "cvt"]
Construction: TypeAlias = Literal["radial", "bias"]
Aspiration: TypeAlias = Literal["naturally-aspirated", "turbocharged"]

ShortName = Annotated[str, Meta(max_length=80)]


class TractorPower(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What the tractor is rated for. Give one; PTO power is the surer."""

    rated_pto: Annotated[RatedPower | None, Meta(description="Rated power at the PTO.", examples=["150 kW"])] = None
    engine: Annotated[RatedPower | None, Meta(description="Rated power at the flywheel.", examples=["225 hp"])] = None
    fuel: Annotated[EngineFuel | None, Meta(description="What this engine burns, in place of the fuel equation.")] = (
        None
    )
    torque: Annotated[
        Torque,
        Meta(description="Full torque by engine speed, for gears. Left out: rated torque, no more, at lower speed."),
    ] = []


class Derating(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Thin and hot air, which leave a diesel engine less than its rated power."""

    aspiration: Annotated[
        Aspiration,
        Meta(description="How the engine breathes. A turbocharger makes up for thin and hot air, up to its own limit."),
    ]
    altitude: Annotated[
        Altitude | None, Meta(description="Of the field above sea level; left out: no loss by it.", examples=["1200 m"])
    ] = None
    heat: Annotated[
        Heat | None,
        Meta(
            description="How much warmer the air is than 29 °C (85 °F): at 38 °C it is `9 K`. Left out: no warmer.",
            examples=["9 K"],
        ),
    ] = None


class Tires(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """All tires of one axle: two, or four and six as duals and triples."""

    size: Annotated[
        str,
        Meta(
            description=(
                "As on the sidewall: `710/70R42`, `18.4R38`, `18.4-38`, `30.5L-32`, `66x43.00-25`; R is radial, - is "
                "bias. IF, VF, load index and speed symbol count, as in `IF 710/70R42 CFO 179D`."
            ),
            max_length=48,
            examples=["650/65R42"],
        ),
    ]
    count: Annotated[Literal[2, 4, 6], Meta(description="Tires on the axle: 2, 4 (duals) or 6 (triples).")] = 2
    width: Annotated[MachineLength | None, Meta(description="Measured section width, unloaded.")] = None
    diameter: Annotated[MachineLength | None, Meta(description="Measured overall diameter, unloaded.")] = None
    static_loaded_radius: Annotated[
        MachineLength | None, Meta(description="Axle center to ground under load; gives the deflection.")
    ] = None
    inflation: Annotated[
        InflationPressure | None,
        Meta(
            description="Pressure in the field. With the load index in `size` it gives the deflection, unless "
            "`static_loaded_radius` does, and what the tires may carry.",
            examples=["1.0 bar"],
        ),
    ] = None
    road_inflation: Annotated[
        InflationPressure | None,
        Meta(description="Pressure on the road; else that in the field.", examples=["1.6 bar"]),
    ] = None
    rated_inflation: Annotated[
        InflationPressure | None,
        Meta(description="Pressure at which the load index holds; the load table of the tire has it."),
    ] = None


class AxleTires(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Tires of both axles."""

    front: Annotated[Tires, Meta(description="Front axle.")]
    rear: Annotated[Tires, Meta(description="Rear axle.")]


class Gear(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One gear of the transmission."""

    name: Annotated[ShortName, Meta(description="As on the lever or the display.")]
    speed: Annotated[Speed, Meta(description="Travel speed at full throttle without slip.", examples=["8.4 km/h"])]
    efficiency: Annotated[
        Efficiency | None,
        Meta(description="Axle power over PTO power in this gear: for its load and fuel, not for the limits."),
    ] = None


class Tractor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor as it stands in the yard, ballast on."""

    name: Annotated[ShortName, Meta(description="Yours to choose; only echoed.")] = ""
    drive: Annotated[
        Drive,
        Meta(
            description="What is driven. `four-wheel` is an articulated tractor with equal wheels; `rubber-track` has "
            "two tracks, `four-track` four."
        ),
    ]
    power: Annotated[TractorPower, Meta(description="Rated power.")]
    mass: Annotated[TractorMass, Meta(description="Mass ready for the field, ballast included.", examples=["11.5 t"])]
    tires: Annotated[AxleTires | None, Meta(description="Needed unless the tractor runs on rubber tracks.")] = None
    wheelbase: Annotated[
        Wheelbase | None,
        Meta(description="Front to rear axle, on tracks too. Needed unless on two tracks.", examples=["2.95 m"]),
    ] = None
    front_share: Annotated[
        Share | None, Meta(description="Share of the mass on the front axle, standing level.", examples=["40 %"])
    ] = None
    drawbar_height: Annotated[HitchHeight | None, Meta(description="Drawbar above ground.")] = None
    hitch_distance: Annotated[MachineLength | None, Meta(description="Drawbar pin behind the rear axle.")] = None
    center_of_mass_height: Annotated[
        MachineLength | None, Meta(description="Above ground; matters on a slope only.")
    ] = None
    transmission: Annotated[
        Transmission | None,
        Meta(description="`gear`, or `cvt` for continuously variable: sets the usual efficiency. Left out: gears."),
    ] = None
    transmission_efficiency: Annotated[Efficiency | None, Meta(description="Axle power over PTO power.")] = None
    pump_efficiency: Annotated[Efficiency | None, Meta(description="Fluid power over power into the pump.")] = None
    generator_efficiency: Annotated[
        Efficiency | None, Meta(description="Electric power over power into the generator.")
    ] = None
    front_lead: Annotated[
        FrontLead | None, Meta(description="How much faster the front wheels are geared than the rear.")
    ] = None
    rear_follows_front: Annotated[
        bool, Meta(description="Whether the rear tires run in the track of the front ones and find firmer soil.")
    ] = False
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed of the fuel rate.")
    ] = None
    derating: Annotated[
        Derating | None,
        Meta(description="Thin or hot air that the engine works in. Left out: it gives its rated power."),
    ] = None
    traction: Annotated[
        Traction | None,
        Meta(description="Other traction equations, or constants of your own, for tires. Left out: Brixius."),
    ] = None
    gears: Annotated[list[Gear], Meta(description="Gears to choose from, any order.", max_length=64)] = []


EXAMPLE_TRACTOR: Mapping[str, Any] = {
    "drive": "front-wheel-assist",
    "power": {"rated_pto": "145 kW"},
    "mass": "9.4 t",
    "front_share": "41 %",
    "wheelbase": "2.82 m",
    "tires": {"front": {"size": "540/65R30"}, "rear": {"size": "650/65R42"}},
}
"""The tractor of the worked examples."""
