"""What is asked: pump and outlets of a tractor, and the functions that hang on them."""

from typing import Annotated, Literal, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.shared.implement import HydraulicNeed
from drawbar_service.api.shared.tables import Tables
from drawbar_service.api.shared.tractor import ShortName
from drawbar_service.quantities import (
    Displacement,
    Efficiency,
    EngineSpeedRatio,
    Flow,
    OilPressure,
    PartLength,
    Pull,
    RatedPower,
    Rotation,
    StrokeTime,
    Torque,
)

PumpKind: TypeAlias = Literal["fixed", "load-sensing"]
Use: TypeAlias = Literal["constant", "in-turn"]
OutletNumber = Annotated[int, Meta(ge=1, le=20)]
CylinderCount = Annotated[int, Meta(ge=1, le=20)]


class OilMotor(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A hydraulic motor, such as that of a fan. Give `torque` or `pressure`."""

    displacement: Annotated[Displacement, Meta(description="What it sweeps in one turn.", examples=["11 cm3"])]
    rotation: Annotated[Rotation, Meta(description="Speed of its shaft.", examples=["4000 r/min"])]
    torque: Annotated[Torque | None, Meta(description="At its shaft.")] = None
    pressure: Annotated[OilPressure | None, Meta(description="Pressure drop over it, if known.")] = None
    volumetric_efficiency: Annotated[Efficiency | None, Meta(description="Volume swept over flow in.")] = None
    mechanical_efficiency: Annotated[
        Efficiency | None, Meta(description="Torque out over that of a motor without friction.")
    ] = None


class Cylinder(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A cylinder, or several alike side by side."""

    bore: Annotated[PartLength, Meta(description="Inside diameter.", examples=["100 mm"])]
    rod: Annotated[
        PartLength | None, Meta(description="Diameter of the rod. Left out: single-acting, it returns by itself.")
    ] = None
    count: Annotated[CylinderCount, Meta(description="Alike, side by side.")] = 1
    load: Annotated[Pull | None, Meta(description="What each pushes when extending.", examples=["45 kN"])] = None


CylinderList = Annotated[list[Cylinder], Meta(min_length=1, max_length=8)]


class Cylinders(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Cylinders that move together. Give every `load`, or the `pressure`."""

    each: Annotated[CylinderList, Meta(description="The cylinders; in series, in the order the oil runs.")]
    series: Annotated[
        bool,
        Meta(description="Whether the oil each pushes out moves the next, as in phasing cylinders: pressures add."),
    ] = False
    stroke: Annotated[PartLength, Meta(description="Travel; of the first, if in series.", examples=["400 mm"])]
    time: Annotated[StrokeTime, Meta(description="Wanted time to extend.", examples=["5 s"])]
    pressure: Annotated[OilPressure | None, Meta(description="Pressure they need, if known.")] = None


class HydraulicFunction(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Something oil moves. Give one of `steady`, `motor` and `cylinders`."""

    name: Annotated[ShortName, Meta(description="Yours to choose.", examples=["fan"])] = ""
    use: Annotated[
        Use | None,
        Meta(
            description="`constant`: all the time the machine works. `in-turn`: now and then, one at a time. "
            "Left out: cylinders in turn, all else constant."
        ),
    ] = None
    outlet: Annotated[
        OutletNumber | None,
        Meta(description="Outlet it hangs on; functions with one number share it. Left out: one of its own."),
    ] = None
    steady: Annotated[
        HydraulicNeed | None, Meta(description="Known flow and pressure, such as constant pressure on a gang.")
    ] = None
    motor: Annotated[OilMotor | None, Meta(description="A hydraulic motor.")] = None
    cylinders: Annotated[Cylinders | None, Meta(description="Cylinders, such as those for lift and fold.")] = None


class TractorHydraulics(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Pump and outlets of the tractor. Give `flow`, or `displacement` and `rotation`."""

    pump: Annotated[
        PumpKind,
        Meta(
            description=(
                "`fixed`: what no function takes goes over the relief valve. `load-sensing`: what is taken, at the "
                "highest load and a margin."
            )
        ),
    ]
    flow: Annotated[
        Flow | None, Meta(description="Flow of the pump at full throttle, for the outlets.", examples=["115 L/min"])
    ] = None
    displacement: Annotated[Displacement | None, Meta(description="What the pump sweeps in one turn.")] = None
    rotation: Annotated[Rotation | None, Meta(description="Speed of the pump at full throttle.")] = None
    volumetric_efficiency: Annotated[
        Efficiency | None, Meta(description="Flow out over volume swept, with `displacement`.")
    ] = None
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed; flow goes with it.")
    ] = None
    pressure: Annotated[
        OilPressure,
        Meta(description="Relief pressure, or the highest of a load-sensing pump.", examples=["200 bar"]),
    ]
    margin: Annotated[
        OilPressure | None, Meta(description="What a load-sensing pump keeps above the highest load.")
    ] = None
    return_pressure: Annotated[
        OilPressure | None, Meta(description="Pressure in the return line. Left out: oil returns freely.")
    ] = None
    outlets: Annotated[OutletNumber | None, Meta(description="Outlets there are, each a pair of couplers.")] = None
    outlet_flow: Annotated[Flow | None, Meta(description="Most flow through one outlet.")] = None
    pump_efficiency: Annotated[Efficiency | None, Meta(description="Fluid power over power into the pump.")] = None
    cooling: Annotated[RatedPower | None, Meta(description="Heat the oil cooler carries away.")] = None


FunctionList = Annotated[list[HydraulicFunction], Meta(min_length=1, max_length=16)]


class HydraulicsRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor's hydraulics and what hangs on them."""

    tractor: Annotated[TractorHydraulics, Meta(description="Pump and outlets.")]
    functions: Annotated[FunctionList, Meta(description="What the oil moves.")]
    all_at_once: Annotated[
        bool, Meta(description="Whether functions used in turn may all be moved at once; else one at a time.")
    ] = False
    tables: Tables = None
