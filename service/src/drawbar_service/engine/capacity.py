"""Area an hour, and what takes away from it.

    C = w v E_f

with working width ``w``, speed ``v`` and field efficiency ``E_f`` (ASABE S495, EP496). In
the trade's units: ha/h = m x km/h x E_f / 10; acre/h = ft x mph x E_f / 8.25.
"""

from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import Real, choose, larger, smaller, sqrt


def field_capacity(width: Real, speed: Real, efficiency: Real) -> Real:
    """Return area capacity [m^2/s] from `width` [m], `speed` [m/s] and field `efficiency` [1]."""
    return width * speed * efficiency


def material_capacity(capacity: Real, crop_yield: Real) -> Real:
    """Return material handled [kg/s] from area `capacity` [m^2/s] and `crop_yield` [kg/m^2]."""
    return capacity * crop_yield


def turning_path(radius: Real, spacing: Real) -> Real:
    """Return the length [m] of the shortest forward turn from one pass into the next.

    Parameters
    ----------
    radius : float or array
        Turning radius R [m].
    spacing : float or array
        Distance between passes q [m].

    Notes
    -----
    q >= 2R: two quarter turns and a straight, pi R + q - 2R.
    q < 2R: a loop, R (3 pi - 4 asin((2R + q) / (4R))).
    Derived from the geometry of circular arcs; the two agree at q = 2R.
    """
    wide = np.pi * radius + spacing - 2.0 * radius
    bend = smaller((2.0 * radius + spacing) / (4.0 * radius), 1.0)
    loop = radius * (3.0 * np.pi - 4.0 * np.arcsin(bend))
    return choose(spacing >= 2.0 * radius, wide, loop)


def reversing_path(radius: Real, spacing: Real) -> Real:
    """Return the length [m] of a turn with one reverse, pi R + 2R - q, for q below 2R.

    `radius` R [m] and `spacing` q of the passes [m]. At or above 2R no reverse is needed and the
    forward turn is returned.
    """
    reverse = np.pi * radius + 2.0 * radius - spacing
    return choose(spacing >= 2.0 * radius, turning_path(radius, spacing), reverse)


def turn_reach(radius: Real, spacing: Real) -> Real:
    """Return how far [m] a forward turn reaches beyond the ends of the passes, to the middle of the machine.

    Parameters
    ----------
    radius : float or array
        Turning radius R [m].
    spacing : float or array
        Distance between passes q [m].

    Notes
    -----
    q >= 2R: R. q < 2R: the loop of :func:`turning_path` reaches R + sqrt(4 R^2 - (R + q/2)^2).
    A turn with one reverse reaches R whatever q is. Derived from the geometry of circular arcs.
    """
    loop = sqrt(larger(4.0 * radius**2 - (radius + 0.5 * spacing) ** 2, 0.0))
    return radius + choose(spacing >= 2.0 * radius, 0.0 * loop, loop)


def headland_width(reach: Real, tongue_length: Real, width: Real) -> Real:
    """Return the width [m] of the headland a turn needs, reach + tongue + width/2.

    `reach` [m] of the turn beyond the ends of the passes, `tongue_length` [m], by which the tractor has
    gone on when the tool reaches the end of its pass, and half the machine's `width` [m]. Derived.
    """
    return reach + tongue_length + 0.5 * width


class FieldTime(NamedTuple):
    """How the time in a rectangular field is spent."""

    passes: Real
    """Number of passes [1]"""
    working: Real
    """At full speed in the crop rows [s]"""
    turning: Real
    """[s]"""
    stopped: Real
    """[s]"""
    efficiency: Real
    """Field efficiency [1], overlap included"""


def field_time(
    field_length: Real, field_width: Real, width: Real, overlap: Real, speed: Real, turn_time: Real, stop_time: Real
) -> FieldTime:
    """Return how time goes in a rectangular field, and the field efficiency that follows.

    Parameters
    ----------
    field_length, field_width : float or array
        Along and across the passes [m].
    width : float or array
        Working width w of the machine [m].
    overlap : float or array
        Share of the width worked twice [1].
    speed : float or array
        v [m/s].
    turn_time : float or array
        Of one turn [s].
    stop_time : float or array
        All stops in the field: filling, clearing, adjusting [s].

    Notes
    -----
    N = ceil(field_width / (w (1 - overlap))); time = N L / v + (N - 1) t_turn + stops;
    efficiency = area / (w v time). It replaces the efficiency of a table and never multiplies
    it. Derived.
    """
    # One part in 10^9 keeps a width that divides the field exactly from costing one more pass by rounding.
    passes = larger(np.ceil(field_width / (width * (1.0 - overlap)) - 1e-9), 1.0)
    working = passes * field_length / speed
    turning = (passes - 1.0) * turn_time
    total = working + turning + stop_time
    efficiency = field_length * field_width / (width * speed * total)
    return FieldTime(passes, working, turning, stop_time, efficiency)
