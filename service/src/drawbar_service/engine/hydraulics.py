"""Oil on an implement: what motors and cylinders take, and what the pump makes of it.

Flow moves things, load makes pressure. A function takes its flow at its own pressure; the pump
brings all flows at one pressure, and whatever lies between is heat in the oil:

    heat = pump flow x pump pressure - sum of (flow x pressure) over the functions

Fluid power itself is :func:`drawbar_service.engine.power.hydraulic_power`. From the geometry of pumps
and cylinders; leakage of motors and pumps is in the volumetric efficiency, friction is in the load.
"""

import math
from typing import NamedTuple

from drawbar_service.engine.arrays import Real, choose, larger
from drawbar_service.engine.power import hydraulic_power

_TURN = 2.0 * math.pi
"""Angle of one turn [rad]."""


def pump_flow(displacement: Real, rotation: Real, efficiency: Real) -> Real:
    """Return what a pump gives [m^3/s].

    Parameters
    ----------
    displacement : float or array
        Volume swept in one turn [m^3].
    rotation : float or array
        Speed of rotation [rad/s].
    efficiency : float or array
        Volumetric efficiency: flow out over volume swept [1].
    """
    return displacement * rotation / _TURN * efficiency


def motor_flow(displacement: Real, rotation: Real, efficiency: Real) -> Real:
    """Return what a motor takes [m^3/s].

    Parameters
    ----------
    displacement : float or array
        Volume swept in one turn [m^3].
    rotation : float or array
        Speed of rotation [rad/s].
    efficiency : float or array
        Volumetric efficiency: volume swept over flow in [1].
    """
    return displacement * rotation / (_TURN * efficiency)


def motor_pressure(torque: Real, displacement: Real, efficiency: Real) -> Real:
    """Return the pressure drop [Pa] at which a motor gives a torque.

    Parameters
    ----------
    torque : float or array
        At the shaft [N m].
    displacement : float or array
        Volume swept in one turn [m^3].
    efficiency : float or array
        Mechanical efficiency: torque out over that of a motor without friction [1].
    """
    return _TURN * torque / (displacement * efficiency)


def piston_area(bore: Real) -> Real:
    """Return the area [m^2] oil pushes on to extend a cylinder of this `bore` [m]."""
    return math.pi / 4.0 * bore * bore


def rod_side_area(bore: Real, rod: Real) -> Real:
    """Return the area [m^2] oil pushes on to retract a cylinder: that of the `bore` [m] less that of the `rod` [m]."""
    return math.pi / 4.0 * (bore - rod) * (bore + rod)


def cylinder_force(pressure: Real, face_area: Real) -> Real:
    """Return the force [N] of a `pressure` [Pa] on a `face_area` [m^2]."""
    return pressure * face_area


def cylinder_flow(face_area: Real, stroke: Real, time: Real) -> Real:
    """Return the flow [m^3/s] that moves a piston of this `face_area` [m^2] over a `stroke` [m] in a `time` [s]."""
    return face_area * stroke / time


def stroke_time(face_area: Real, stroke: Real, flow: Real) -> Real:
    """Return the time [s] in which a `flow` [m^3/s] moves a piston of this `face_area` [m^2] over a `stroke` [m]."""
    return face_area * stroke / flow


def cylinder_pressure(load: Real, face_area: Real, rod_area: Real, next_pressure: Real) -> Real:
    """Return the pressure [Pa] at which a cylinder extends against its load and what follows it.

    p = (F + p_next a) / A, from the balance of forces on the piston.

    Parameters
    ----------
    load : float or array
        What the rod pushes, F [N].
    face_area : float or array
        Of the piston, A [m^2].
    rod_area : float or array
        Of its rod side, a [m^2].
    next_pressure : float or array
        On the rod side [Pa]: what the next cylinder in series needs; 0 where the oil returns freely.

    Notes
    -----
    In a phasing chain the rod side of each cylinder equals the piston of the next, a = A_next, and the
    pressure of the first is the sum of all loads over its piston.
    """
    return (load + next_pressure * rod_area) / face_area


def series_stroke(stroke: Real, rod_area: Real, next_area: Real) -> Real:
    """Return how far the next cylinder in series moves [m].

    Parameters
    ----------
    stroke : float or array
        Of the cylinder before it [m].
    rod_area : float or array
        Rod side of the cylinder before it, which pushes the oil out [m^2].
    next_area : float or array
        Piston of the next, which the oil fills [m^2].
    """
    return stroke * rod_area / next_area


class PumpPoint(NamedTuple):
    """A pump at work."""

    flow: Real
    """What it gives [m^3/s]."""
    pressure: Real
    """What it gives it at [Pa]."""
    over_relief: Real
    """Heat of the flow that goes over the relief valve [W]."""
    throttled: Real
    """Heat of the flow that is throttled down to the pressure of each function [W]."""

    def power(self) -> Real:
        """Return the fluid power of the pump [W]."""
        return hydraulic_power(self.flow, self.pressure)

    def heat(self) -> Real:
        """Return all heat that goes into the oil before the functions [W]."""
        return self.over_relief + self.throttled


def fixed_pump(
    flow: Real, pressure: Real, useful_power: Real, available_flow: Real, relief_pressure: Real
) -> PumpPoint:
    """Return a fixed pump at work: what no function takes goes over the relief valve.

    Parameters
    ----------
    flow : float or array
        What the functions take together [m^3/s].
    pressure : float or array
        Highest pressure among them [Pa].
    useful_power : float or array
        Sum of flow times pressure over them [W].
    available_flow : float or array
        What the pump gives at its speed [m^3/s].
    relief_pressure : float or array
        At which the relief valve opens [Pa].

    Notes
    -----
    Where the functions take all there is, the valve stays shut and the highest load sets the pressure. Functions
    that take more than there is are calculated as if the pump gave it.
    """
    excess = larger(available_flow - flow, 0.0)
    at = choose(excess > 0.0, larger(pressure, relief_pressure), pressure)
    return PumpPoint(flow + excess, at, hydraulic_power(excess, at), _throttled(flow, at, useful_power))


def load_sensing_pump(flow: Real, pressure: Real, useful_power: Real, margin: Real) -> PumpPoint:
    """Return a load-sensing pump at work: it meets the highest load, the others are throttled.

    Parameters
    ----------
    flow : float or array
        What the functions take together [m^3/s].
    pressure : float or array
        Highest pressure among them [Pa].
    useful_power : float or array
        Sum of flow times pressure over them [W].
    margin : float or array
        What the pump keeps above the highest load [Pa].
    """
    at = pressure + margin
    return PumpPoint(flow, at, 0.0 * at, _throttled(flow, at, useful_power))


def _throttled(flow: Real, pressure: Real, useful_power: Real) -> Real:
    # Rounding may leave a hair below nothing where one function sets the pressure.
    return larger(hydraulic_power(flow, pressure) - useful_power, 0.0)
