"""Vertical stress in the soil under a tire.

Boussinesq's elastic half-space, with the concentration factor of Froehlich: 3 gives Boussinesq, higher
factors gather stress under the load. Soehne took 4 for hard and dry, 5 for normal and 6 for soft and wet
soil (from memory). A tire stands for a circle under uniform pressure.
"""

import math

from drawbar_service.engine.arrays import Real, exp, log, sqrt


def _power(base: Real, exponent: Real) -> Real:
    return exp(exponent * log(base))


def contact_area(width: Real, diameter: Real, tire_deflection: Real) -> Real:
    """Return the area of a tire on the ground [m^2], estimated from its shape.

    Parameters
    ----------
    width, diameter : float or array
        Section width b and overall diameter d, unloaded [m].
    tire_deflection : float or array
        delta [m]

    Notes
    -----
    An ellipse as wide as the tire and as long as the chord that the deflection cuts off its circle:
    A = pi/4 b 2 sqrt(delta (d - delta)). Geometry with an ellipse for the outline (common practice, no source).
    Measured areas on hard ground are smaller, in soft soil larger.
    """
    return 0.5 * math.pi * width * sqrt(tire_deflection * (diameter - tire_deflection))


def circle_stress(pressure: Real, contact_radius: Real, depth: Real, concentration: Real) -> Real:
    """Return the vertical stress [Pa] below the center of a circle under uniform pressure.

    Parameters
    ----------
    pressure : float or array
        p [Pa]
    contact_radius : float or array
        a [m]
    depth : float or array
        z [m]
    concentration : float or array
        nu [1]: 3 is Boussinesq, 4 to 6 Froehlich and Soehne.

    Notes
    -----
    p (1 - (1 + (a/z)^2)^(-nu/2)).
    """
    square = depth * depth
    return pressure * (1.0 - _power(square / (square + contact_radius * contact_radius), concentration / 2.0))


def point_load_stress(load: Real, depth: Real, offset: Real, concentration: Real) -> Real:
    """Return the vertical stress [Pa] in the soil beside a load on a point.

    Parameters
    ----------
    load : float or array
        Q [N]
    depth : float or array
        z [m]
    offset : float or array
        Distance from the line of the load, r [m].
    concentration : float or array
        nu [1]: 3 is Boussinesq, 4 to 6 Froehlich and Soehne.

    Notes
    -----
    nu Q / (2 pi z^2) (1 + (r/z)^2)^(-(nu + 2)/2).
    """
    far = depth * depth + offset * offset
    return concentration * load / (2.0 * math.pi * far) * _power(depth / sqrt(far), concentration)


def stress_under_tire(
    load: Real, tire_area: Real, depth: Real, concentration: Real, spacing: Real, neighbours: Real
) -> Real:
    """Return the vertical stress [Pa] below the center of a tire that stands beside others like it.

    Parameters
    ----------
    load : float or array
        On each tire [N].
    tire_area : float or array
        Of each tire on the ground [m^2].
    depth : float or array
        [m]
    concentration : float or array
        nu [1]
    spacing : float or array
        From center to center of neighbouring tires [m].
    neighbours : float or array
        Tires right beside this one [1]: 0 for a single, 1 for duals, 2 for the middle of triples.

    Notes
    -----
    In an elastic soil stresses add up: the tire itself as a circle, each neighbour as a load on a point. Tires at
    the other end of the axle are too far to count in the depths that matter.
    """
    own = circle_stress(load / tire_area, sqrt(tire_area / math.pi), depth, concentration)
    return own + neighbours * point_load_stress(load, depth, spacing, concentration)
