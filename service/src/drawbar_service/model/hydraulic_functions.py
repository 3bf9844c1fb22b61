"""What each function of an implement takes in oil: motors, cylinders side by side, cylinders in series."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

from drawbar_service.engine.arrays import Real, larger, smaller, total
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
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import HydraulicNeed

UNEVEN = 0.10
"""Difference in pressure [1] from which cylinders side by side are said to move one after the other."""


class OilMotor(Protocol):
    """A hydraulic motor; torque or pressure is given."""

    @property
    def displacement(self) -> float:
        """Swept in one turn [m^3]."""
        ...

    @property
    def rotation(self) -> float:
        """Of its shaft [rad/s]."""
        ...

    @property
    def torque(self) -> float | None:
        """At its shaft [N m]."""
        ...

    @property
    def pressure(self) -> float | None:
        """Pressure drop over it [Pa]."""
        ...

    @property
    def volumetric_efficiency(self) -> float | None:
        """Volume swept over flow in [1]."""
        ...

    @property
    def mechanical_efficiency(self) -> float | None:
        """Torque out over that of a motor without friction [1]."""
        ...


class Cylinder(Protocol):
    """A cylinder, or several alike side by side."""

    @property
    def bore(self) -> float:
        """Inside diameter [m]."""
        ...

    @property
    def rod(self) -> float | None:
        """Diameter of the rod [m]; None: single-acting."""
        ...

    @property
    def count(self) -> int:
        """Alike, side by side [1]."""
        ...

    @property
    def load(self) -> float | None:
        """What each pushes when extending [N]."""
        ...


class Cylinders(Protocol):
    """Cylinders that move together; every load or the pressure is given."""

    @property
    def each(self) -> Sequence[Cylinder]:
        """In series in the order the oil runs."""
        ...

    @property
    def series(self) -> bool:
        """Whether the oil each pushes out moves the next."""
        ...

    @property
    def stroke(self) -> float:
        """Travel, of the first if in series [m]."""
        ...

    @property
    def time(self) -> float:
        """Wanted to extend [s]."""
        ...

    @property
    def pressure(self) -> float | None:
        """They need [Pa]."""
        ...


class HydraulicFunction(Protocol):
    """Something oil moves; one of steady, motor and cylinders is given."""

    @property
    def name(self) -> str:
        """What the caller calls it; may be empty."""
        ...

    @property
    def use(self) -> str | None:
        """Constant, or in-turn."""
        ...

    @property
    def outlet(self) -> int | None:
        """Number of the outlet it hangs on; None: one of its own."""
        ...

    @property
    def steady(self) -> HydraulicNeed | None:
        """Known flow and pressure."""
        ...

    @property
    def motor(self) -> OilMotor | None:
        """A hydraulic motor."""
        ...

    @property
    def cylinders(self) -> Cylinders | None:
        """Cylinders."""
        ...


class CylinderAtWork(NamedTuple):
    """One of some cylinders that move together."""

    pressure: Real | None
    """At its inlet under its load [Pa]; None without loads."""
    stroke: Real
    """[m]"""
    extend_force: Real
    """Its push at the tractor's pressure [N]"""
    retract_force: Real | None
    """Its pull at that pressure [N]; None if single-acting."""


class CylindersAtWork(NamedTuple):
    """Cylinders that move together."""

    volume: Real
    """Oil to extend them [m^3]"""
    retract_time: Real | None
    """At the same flow [s]; None if any is single-acting."""
    return_flow: Real | None
    """Oil that comes back meanwhile [m^3/s]; None likewise."""
    each: list[CylinderAtWork]


class FunctionAtWork(NamedTuple):
    """What one function takes at the outlet."""

    pointer: str
    name: str
    """As the caller calls it; may be empty."""
    label: str
    """What to call it in any case."""
    constant: bool
    """Whether it runs all the time; else in turn."""
    outlet: int | None
    flow: Real
    """[m^3/s]"""
    pressure: Real
    """That of the return line included [Pa]"""
    cylinders: CylindersAtWork | None
    time: Real | None
    """Wanted for a stroke [s]; None for what turns."""

    @property
    def power(self) -> Real:
        """Flow times pressure [W]."""
        return hydraulic_power(self.flow, self.pressure)


def function_at_work(
    given: HydraulicFunction, number: int, back: Real, full: Real, found: Findings, pointer: str
) -> FunctionAtWork:
    """Return what one function takes; faults and warnings go to `found`.

    Parameters
    ----------
    given : HydraulicFunction
    number : int
        Of the function, from 1, for one without a name.
    back : float or array
        Pressure in the return line [Pa].
    full : float or array
        Pressure of the tractor [Pa].
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        Where the function stands in the request.
    """
    label = given.name or f"function {number}"
    flow: Real = 1.0
    pressure: Real = 1.0
    moved: CylindersAtWork | None = None
    time: Real | None = None
    if sum(one is not None for one in (given.steady, given.motor, given.cylinders)) != 1:
        found.fault("function-once", pointer)
    elif given.steady is not None:
        flow, pressure = given.steady.flow, given.steady.pressure + back
    elif given.motor is not None:
        flow, drop = _motor(given.motor, found, f"{pointer}/motor")
        pressure = drop + back
    elif given.cylinders is not None:
        time = given.cylinders.time
        flow, pressure, moved = _cylinders(given.cylinders, back, full, label, found, f"{pointer}/cylinders")
    if given.use is not None:
        constant = bool(given.use == "constant")
    else:
        constant = given.cylinders is None
        kind, use = ("runs-all-the-time", "constant") if constant else ("moves-in-turn", "in-turn")
        found.assume(kind, f"{pointer}/use", use, "common-practice")
    return FunctionAtWork(pointer, given.name, label, constant, given.outlet, flow, pressure, moved, time)


def _motor(motor: OilMotor, found: Findings, pointer: str) -> tuple[Real, Real]:
    """Return flow [m^3/s] and pressure drop [Pa] of a motor."""
    if (motor.torque is None) == (motor.pressure is None):
        found.fault("torque-once", pointer)
        return 1.0, 1.0
    leak = found.fallback(
        motor.volumetric_efficiency, f"{pointer}/volumetric_efficiency", "motor_volumetric_efficiency"
    )
    flow = motor_flow(motor.displacement, motor.rotation, leak)
    if motor.torque is None or motor.pressure is not None:
        if motor.mechanical_efficiency is not None:
            found.warn("pressure-is-given", f"{pointer}/mechanical_efficiency")
        return flow, 1.0 if motor.pressure is None else motor.pressure
    friction = found.fallback(
        motor.mechanical_efficiency, f"{pointer}/mechanical_efficiency", "motor_mechanical_efficiency"
    )
    return flow, motor_pressure(motor.torque, motor.displacement, friction)


def _cylinders(
    given: Cylinders, back: Real, full: Real, label: str, found: Findings, pointer: str
) -> tuple[Real, Real, CylindersAtWork | None]:
    """Return flow [m^3/s], pressure [Pa] and the rest; `back` and `full` pressure [Pa] of the tractor."""
    if not _sound(given, found, pointer):
        return 1.0, 1.0, None
    stroke: Real = given.stroke
    pistons = [one.count * piston_area(one.bore) for one in given.each]
    rods = [one.count * rod_side_area(one.bore, one.rod) if one.rod is not None else None for one in given.each]
    double_acting = [rod for rod in rods if rod is not None]
    driven = pistons[0] if given.series else total(pistons)
    flow = cylinder_flow(driven, stroke, given.time)
    gain: Real | None = None
    if len(double_acting) == len(rods):
        gain = driven / total(double_acting)
        if given.series:
            gain = 1.0
            for piston, rod in zip(pistons, double_acting, strict=True):
                gain = gain * (piston / rod)
    strokes: list[Real] = [stroke] * len(pistons)
    if given.series:
        for index in range(1, len(pistons)):
            strokes[index] = series_stroke(strokes[index - 1], double_acting[index - 1], pistons[index])
    pressures = _inlet_pressures(given, pistons, rods, back)
    pressure: Real = 0.0 if given.pressure is None else given.pressure + back
    if pressures:
        pressure = pressures[0]
        if not given.series:
            lowest = pressures[0]
            for one in pressures[1:]:
                pressure, lowest = larger(pressure, one), smaller(lowest, one)
            found.warn("uneven-loads", f"{pointer}/each", where=lowest < (1.0 - UNEVEN) * pressure, label=label)
    moved = CylindersAtWork(
        volume=driven * stroke,
        retract_time=stroke_time(driven, stroke, flow * gain) if gain is not None else None,
        return_flow=flow * gain if gain is not None else None,
        each=[
            CylinderAtWork(
                pressure=pressures[index] if pressures else None,
                stroke=strokes[index],
                extend_force=cylinder_force(full, pistons[index] / one.count),
                retract_force=cylinder_force(full, rod / one.count) if (rod := rods[index]) is not None else None,
            )
            for index, one in enumerate(given.each)
        ],
    )
    return flow, pressure, moved


def _sound(given: Cylinders, found: Findings, pointer: str) -> bool:
    """Return whether cylinders can be; faults go to `found`."""
    before = len(found.refused)
    loads = sum(one.load is not None for one in given.each)
    if (given.pressure is None) != (loads == len(given.each)) or (given.pressure is not None and loads):
        found.fault("load-or-pressure", pointer)
    if given.series and len(given.each) < 2:
        found.fault("series-of-one", f"{pointer}/each")
    for index, one in enumerate(given.each):
        place = f"{pointer}/each/{index}/rod"
        if one.rod is None:
            if given.series:
                found.fault("series-needs-rod", place)
        elif one.rod >= one.bore:
            found.fault("rod-in-bore", place, bore=one.bore)
    return len(found.refused) == before


def _inlet_pressures(given: Cylinders, pistons: Sequence[Real], rods: Sequence[Real | None], back: Real) -> list[Real]:
    """Return the pressure [Pa] at which each extends; empty without loads."""
    if given.pressure is not None:
        return []
    pressures: list[Real] = []
    behind = back
    for one, piston, rod in reversed(list(zip(given.each, pistons, rods, strict=True))):
        load: Real = 0.0 if one.load is None else one.load
        inlet = cylinder_pressure(one.count * load, piston, 0.0 if rod is None else rod, behind)
        pressures.insert(0, inlet)
        behind = inlet if given.series else back
    return pressures
