"""Figures of one tractor that no table has: its engine's fuel and torque, and the traction equations it is held to."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.quantities import EngineSpeedRatio, FuelRate, Multiplier, Share, WorkPerFuel

TractionModel: TypeAlias = Literal["brixius", "wismer-luth", "gee-clough", "ratio"]
Loads = Annotated[list[Share], Meta(min_length=2, max_length=20)]
EngineSpeeds = Annotated[list[EngineSpeedRatio], Meta(min_length=1, max_length=20)]
FuelRates = Annotated[list[FuelRate], Meta(min_length=1, max_length=20)]
FuelByLoad = Annotated[list[FuelRates], Meta(min_length=2, max_length=20)]


class FuelMap(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Measured fuel by load and engine speed: straight lines between the points, the nearest one beyond them."""

    loads: Annotated[
        Loads,
        Meta(
            description="Power used over rated PTO power, from low to high.",
            examples=[["20 %", "50 %", "80 %", "100 %"]],
        ),
    ]
    engine_speeds: Annotated[
        EngineSpeeds,
        Meta(description="Engine speed over full-throttle speed, from low to high.", examples=[["70 %", "100 %"]]),
    ]
    rates: Annotated[
        FuelByLoad, Meta(description="Fuel in an hour: a list for each load, in it a number for each engine speed.")
    ]


class EngineFuel(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What this engine burns, in place of the fuel equation. Give one of the two."""

    map: Annotated[FuelMap | None, Meta(description="Measured fuel by load and engine speed.")] = None
    work_per_fuel: Annotated[
        WorkPerFuel | None,
        Meta(
            description="Work at the PTO for each unit of fuel, the same at any load and speed.", examples=["3.1 kWh/L"]
        ),
    ] = None


class TorquePoint(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Full torque of the engine at one speed."""

    engine_speed: Annotated[EngineSpeedRatio, Meta(description="Over full-throttle speed.", examples=["70 %"])]
    torque: Annotated[Multiplier, Meta(description="Over that at rated power.", examples=[1.3])]


Torque = Annotated[list[TorquePoint], Meta(max_length=20)]
SlipRate = Annotated[float, Meta(ge=1.0, le=40.0)]
Offset = Annotated[float, Meta(ge=0.0, le=0.2)]
Roll = Annotated[float, Meta(ge=0.0, le=10.0)]
GrossMost = Annotated[float, Meta(ge=0.1, le=2.0)]
LoadRate = Annotated[float, Meta(ge=0.01, le=2.0)]
RollSlip = Annotated[float, Meta(ge=0.0, le=5.0)]
RateByMobility = Annotated[float, Meta(ge=0.01, le=3.0)]
Lost = Annotated[float, Meta(ge=0.0, le=10.0)]
Factor = Annotated[float, Meta(ge=0.0, le=20.0)]


class TireConstants(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Constants of the traction equations; what is left out stays as published.

    Brixius: GTR = gross_max (1 - exp(-load_rate Bn)) (1 - exp(-slip_rate s)) + offset,
    MRR = roll/Bn + offset + roll_slip s/√Bn, Bn = CI b d/W (1 + deflection_factor δ/h)/(1 + width_factor b/d).

    Wismer and Luth: GTR = gross_max (1 - exp(-rate_by_mobility Cn s)), MRR = roll/Cn + offset, Cn = CI b d/W.

    Gee-Clough: CT = top (1 - exp(-k s)), top = gross_max - lost/M, k top = slip_rate + rate_by_mobility M,
    CRR = offset + roll/M, M = CI b d/W √(δ/h)/(1 + width_factor b/d).
    """

    gross_max: Annotated[GrossMost | None, Meta(description="0.88; Wismer-Luth 0.75, Gee-Clough 0.796.")] = None
    load_rate: Annotated[LoadRate | None, Meta(description="0.1.")] = None
    slip_rate: Annotated[
        SlipRate | None, Meta(description="7.5 of bias tires, 9.5 of radial ones; Gee-Clough 4.838.")
    ] = None
    offset: Annotated[
        Offset | None,
        Meta(description="0.04 of bias tires, 0.0325 of radial ones; Wismer-Luth 0.04, Gee-Clough 0.049."),
    ] = None
    roll: Annotated[
        Roll | None, Meta(description="1 of bias tires, 0.9 of radial ones; Wismer-Luth 1.2, Gee-Clough 0.287.")
    ] = None
    roll_slip: Annotated[RollSlip | None, Meta(description="0.5.")] = None
    rate_by_mobility: Annotated[RateByMobility | None, Meta(description="Wismer-Luth 0.3, Gee-Clough 0.061.")] = None
    lost: Annotated[Lost | None, Meta(description="Gee-Clough 0.92.")] = None
    deflection_factor: Annotated[Factor | None, Meta(description="5.")] = None
    width_factor: Annotated[Factor | None, Meta(description="3; Gee-Clough 0.5.")] = None


class Traction(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The traction equations a tractor on wheels is held to."""

    model: Annotated[
        TractionModel,
        Meta(
            description=(
                "`brixius`: Brixius (1987), radial tires after Zoz and Grisso (2003). `wismer-luth` (1974), "
                "`gee-clough` (1978): their equations. `ratio`: power by drawbar/PTO ratio, slip by Brixius."
            )
        ),
    ] = "brixius"
    front: Annotated[TireConstants | None, Meta(description="Constants of the model for the front tires.")] = None
    rear: Annotated[TireConstants | None, Meta(description="Constants of the model for the rear tires.")] = None
