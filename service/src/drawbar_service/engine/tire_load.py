"""What a tire carries at a pressure and a speed, and how far it deflects.

Load tables of tires are lines of equal deflection: at each pressure they give the load that presses the tire to
the deflection it is built for. The load-inflation formula of The Tire and Rim Association (from memory) has that
load grow with pressure to the power of 0.585. At one pressure the load of a pneumatic tire grows about in
proportion to its deflection (common practice; measured stiffness of farm tires is published as one number a
pressure). Together:

    C = C0 (p / p0)^0.585        delta/h = r W / C

with the load C0 of the load index at the pressure p0 it holds at, and r the deflection ratio the tire is built
for: about 0.20, and 1.2 and 1.4 times that for IF and VF, which carry so much more at the same pressure. A tire
whose pressure is set to its load by the table stands at r.
"""

from drawbar_service.engine.arrays import Real, larger, power, smaller

LOAD_EXPONENT = 0.585
"""How load grows with pressure [1] (The Tire and Rim Association, from memory)."""
MORE_SPEED = 10.0 / 3.6
"""Speed [m/s] above that of its symbol up to which a tire has a load (ETRTO, from memory)."""
LOST_BY_SPEED = 0.09
"""Share of its load [1] that it loses by then (ETRTO, 50 km/h for A8; from memory)."""


def load_at_pressure(rated_load: Real, inflation: Real, rated_inflation: Real) -> Real:
    """Return the load [N] that presses a tire to the deflection it is built for.

    Parameters
    ----------
    rated_load : float or array
        C0, the load of its load index [N].
    inflation : float or array
        p [Pa]
    rated_inflation : float or array
        p0, the pressure at which the load index holds [Pa].

    Notes
    -----
    C = C0 (p / p0)^0.585. Above p0 a tire may not carry more than C0, though it would take more to press it down.
    """
    return rated_load * power(inflation / rated_inflation, LOAD_EXPONENT)


def pressure_for_load(load: Real, rated_load: Real, rated_inflation: Real) -> Real:
    """Return the pressure [Pa] at which a `load` [N] presses a tire to the deflection it is built for.

    The inverse of :func:`load_at_pressure`: p = p0 (W / C0)^(1/0.585), with the `rated_load` C0 [N] and the
    `rated_inflation` p0 [Pa].
    """
    return rated_inflation * power(load / rated_load, 1.0 / LOAD_EXPONENT)


def deflection_at_load(load: Real, table_load: Real, rated_ratio: Real) -> Real:
    """Return deflection over section height [1] of a tire.

    Parameters
    ----------
    load : float or array
        W, on the tire [N].
    table_load : float or array
        C, what :func:`load_at_pressure` gives at its pressure [N].
    rated_ratio : float or array
        r, the deflection ratio it is built for [1].

    Notes
    -----
    delta/h = r W / C: at one pressure in proportion to the load.
    """
    return rated_ratio * load / table_load


def speed_share(speed: Real, rated_speed: Real) -> Real:
    """Return the share [1] of its load that a tire carries at a `speed` [m/s].

    Parameters
    ----------
    speed : float or array
        [m/s]
    rated_speed : float or array
        That of its speed symbol [m/s].

    Notes
    -----
    1 up to the rated speed: what the standards allow beyond the load index at low speed does not hold where a tire
    pulls hard or on slopes, and is left out. From there it falls by 9 % over the next 10 km/h, where tables end.
    """
    over = smaller(larger(speed - rated_speed, 0.0), MORE_SPEED)
    return 1.0 - LOST_BY_SPEED * over / MORE_SPEED
