"""What each function of an implement takes in oil: motors, cylinders side by side, cylinders in series."""

import math
from collections.abc import Sequence
from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import HydraulicNeed
from drawbar_service.api.shared.tractor import ShortName
from drawbar_service.engine.hydraulics import (
    cylinder_flow,
    cylinder_force,
    cylinder_pressure,
    motor_flow,
    motor_pressure,
    piston_area,
    rod_side_area,
    series_stroke,
    stroke_time,
)
from drawbar_service.engine.power import hydraulic_power
from drawbar_service.quantities import (
    Displacement,
    Efficiency,
    Flow,
    Force,
    OilPressure,
    PartLength,
    Pull,
    Rotation,
    StrokeTime,
    Torque,
    Volume,
)

Use: TypeAlias = Literal["constant", "in-turn"]
OutletNumber = Annotated[int, Meta(ge=1, le=20)]
CylinderCount = Annotated[int, Meta(ge=1, le=20)]

UNEVEN = 0.10
"""Difference in pressure [1] from which cylinders side by side are said to move one after the other."""


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


class CylinderAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One of the cylinders."""

    pressure: Annotated[OilPressure | None, Meta(description="At its inlet under its load; null without loads.")]
    stroke: Annotated[PartLength, Meta(description="How far it travels.")]
    extend_force: Annotated[
        Force, Meta(description="Its push at the tractor's pressure, all of it; in series less is left for each.")
    ]
    retract_force: Annotated[Force | None, Meta(description="Its pull at that pressure; null if single-acting.")]


class CylindersAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Cylinders that move together."""

    volume: Annotated[Volume, Meta(description="Oil to extend them.")]
    retract_time: Annotated[
        StrokeTime | None, Meta(description="To retract at the same flow; null if any is single-acting.")
    ]
    return_flow: Annotated[
        Flow | None, Meta(description="Oil that comes back meanwhile, more than goes in; null likewise.")
    ]
    each: Annotated[list[CylinderAnswer], Meta(description="In the order of the request.")]


class FunctionInSI(NamedTuple):
    """What one function takes at the outlet, in SI units."""

    pointer: str
    label: str
    use: Use
    outlet: int | None
    flow: float
    pressure: float
    cylinders: CylindersAnswer | None
    time: float
    """Wanted time of a stroke [s]; 0 for what turns."""

    @property
    def power(self) -> float:
        """Flow times pressure [W]."""
        return float(hydraulic_power(self.flow, self.pressure))


def function_in_si(given: HydraulicFunction, back: float, full: float, ledger: Ledger, pointer: str) -> FunctionInSI:
    """Return what one function takes; faults and warnings go to the ledger.

    Parameters
    ----------
    given : HydraulicFunction
    back : float
        Pressure in the return line [Pa].
    full : float
        Pressure of the tractor [Pa].
    ledger : Ledger
    pointer : str
        Where the function stands in the request.
    """
    label = given.name or f"function {int(pointer.rpartition('/')[2]) + 1}"
    flow, pressure, moved, time = 1.0, 1.0, None, 0.0
    if sum(one is not None for one in (given.steady, given.motor, given.cylinders)) != 1:
        ledger.fault(pointer, "give steady, motor or cylinders, one of the three")
    elif given.steady is not None:
        flow, pressure = float(given.steady.flow), float(given.steady.pressure) + back
    elif given.motor is not None:
        flow, drop = _motor(given.motor, ledger, f"{pointer}/motor")
        pressure = drop + back
    elif given.cylinders is not None:
        time = float(given.cylinders.time)
        flow, pressure, moved = _cylinders(given.cylinders, back, full, label, ledger, f"{pointer}/cylinders")
    use = given.use
    if use is None:
        use = "constant" if given.cylinders is None else "in-turn"
        why = "Runs while the machine works." if use == "constant" else "Cylinders move when they are told to."
        ledger.assume(f"{pointer}/use", use, why, "common-practice")
    return FunctionInSI(pointer, label, use, given.outlet, flow, pressure, moved, time)


def _motor(motor: OilMotor, ledger: Ledger, pointer: str) -> tuple[float, float]:
    """Return flow [m^3/s] and pressure drop [Pa] of a motor."""
    if (motor.torque is None) == (motor.pressure is None):
        ledger.fault(pointer, "give torque or pressure, one of the two")
        return 1.0, 1.0
    displacement = float(motor.displacement)
    leak = ledger.fallback(
        motor.volumetric_efficiency, f"{pointer}/volumetric_efficiency", "motor_volumetric_efficiency"
    )
    flow = float(motor_flow(displacement, float(motor.rotation), leak))
    if motor.pressure is not None:
        if motor.mechanical_efficiency is not None:
            ledger.warn("not-used", f"{pointer}/mechanical_efficiency", "The pressure is given.")
        return flow, float(motor.pressure)
    friction = ledger.fallback(
        motor.mechanical_efficiency, f"{pointer}/mechanical_efficiency", "motor_mechanical_efficiency"
    )
    return flow, float(motor_pressure(float(motor.torque or 0.0), displacement, friction))


def _cylinders(
    given: Cylinders, back: float, full: float, label: str, ledger: Ledger, pointer: str
) -> tuple[float, float, CylindersAnswer | None]:
    """Return flow [m^3/s], pressure [Pa] and the rest of the answer; `back` and `full` pressure [Pa] of the tractor."""
    if not _sound(given, ledger, pointer):
        return 1.0, 1.0, None
    stroke, time = float(given.stroke), float(given.time)
    pistons = [one.count * float(piston_area(float(one.bore))) for one in given.each]
    rods = [
        one.count * float(rod_side_area(float(one.bore), float(one.rod))) if one.rod is not None else None
        for one in given.each
    ]
    double_acting = [rod for rod in rods if rod is not None]
    returns = len(double_acting) == len(rods)
    driven = pistons[0] if given.series else sum(pistons)
    flow = float(cylinder_flow(driven, stroke, time))
    gain = None
    if returns and given.series:
        gain = math.prod(piston / rod for piston, rod in zip(pistons, double_acting, strict=True))
    elif returns:
        gain = driven / sum(double_acting)
    strokes = [stroke] * len(pistons)
    if given.series:
        for index in range(1, len(pistons)):
            strokes[index] = float(series_stroke(strokes[index - 1], double_acting[index - 1], pistons[index]))
    pressures = _inlet_pressures(given, pistons, rods, back)
    pressure = float(given.pressure) + back if given.pressure is not None else 0.0
    if pressures:
        pressure = pressures[0] if given.series else max(pressures)
        if not given.series and min(pressures) < (1.0 - UNEVEN) * pressure:
            ledger.warn(
                "rough-estimate",
                f"{pointer}/each",
                f"{label}: side by side the least loaded cylinder moves first, unless the frame holds them together.",
            )
    answer = CylindersAnswer(
        volume=Volume(driven * stroke),
        retract_time=StrokeTime(float(stroke_time(driven, stroke, flow * gain))) if gain is not None else None,
        return_flow=Flow(flow * gain) if gain is not None else None,
        each=[
            CylinderAnswer(
                pressure=OilPressure(pressures[index]) if pressures else None,
                stroke=PartLength(strokes[index]),
                extend_force=Force(float(cylinder_force(full, pistons[index] / one.count))),
                retract_force=Force(float(cylinder_force(full, rod / one.count)))
                if (rod := rods[index]) is not None
                else None,
            )
            for index, one in enumerate(given.each)
        ],
    )
    return flow, pressure, answer


def _sound(given: Cylinders, ledger: Ledger, pointer: str) -> bool:
    """Return whether cylinders can be; faults go to the ledger."""
    sound = True
    loads = sum(one.load is not None for one in given.each)
    if (given.pressure is None) != (loads == len(given.each)) or (given.pressure is not None and loads):
        ledger.fault(pointer, "give the load of every cylinder, or the pressure they need; one of the two")
        sound = False
    if given.series and len(given.each) < 2:
        ledger.fault(f"{pointer}/each", "a series has at least two cylinders, one for each step")
        sound = False
    for index, one in enumerate(given.each):
        place = f"{pointer}/each/{index}/rod"
        if one.rod is None and given.series:
            ledger.fault(place, "required in series: the oil of the rod side moves the next cylinder")
            sound = False
        elif one.rod is not None and float(one.rod) >= float(one.bore):
            ledger.fault(place, f"must be less than the bore, {ledger.say(one.bore)}")
            sound = False
    return sound


def _inlet_pressures(
    given: Cylinders, pistons: Sequence[float], rods: Sequence[float | None], back: float
) -> list[float]:
    """Return the pressure [Pa] at which each extends; empty without loads."""
    if given.pressure is not None:
        return []
    pressures: list[float] = []
    behind = back
    for one, piston, rod in reversed(list(zip(given.each, pistons, rods, strict=True))):
        found = float(cylinder_pressure(one.count * float(one.load or 0.0), piston, rod or 0.0, behind))
        pressures.insert(0, found)
        behind = found if given.series else back
    return pressures
