"""Power at the drawbar, the shaft, the hydraulic outlets and the generator.

Everything is brought to one place, the PTO, so that it can be added and compared with
what the tractor is rated for:

    P = P_drawbar / (E_m E_t) + P_rotary + P_hydraulic / E_p + P_electric / E_g

Form after ASAE EP496; ``E_m`` transmission, ``E_t`` traction, ``E_p`` pump and ``E_g``
generator efficiency.
"""

from drawbar_service.engine.arrays import Real, larger


def drawbar_power(pull: Real, speed: Real) -> Real:
    """Return drawbar power [W] from `pull` [N] and `speed` [m/s].

    In the trade's units: kW = kN x km/h / 3.6; hp = lbf x mph / 375.
    """
    return pull * speed


def hydraulic_power(flow: Real, pressure: Real) -> Real:
    """Return fluid power [W] from `flow` [m^3/s] and `pressure` [Pa].

    In the trade's units: kW = L/min x bar / 600; hp = gal/min x psi / 1714.
    """
    return flow * pressure


def rotary_power(a: Real, b: Real, c: Real, width: Real, feed_rate: Real) -> Real:
    """Return the PTO power [W] a rotary machine needs: P = a + b w + c F.

    Parameters
    ----------
    a : float or array
        Power to run empty [W].
    b : float or array
        Power per working width [W/m].
    c : float or array
        Energy per mass of material [J/kg].
    width : float or array
        Working width [m].
    feed_rate : float or array
        Material feed rate [kg/s].

    References
    ----------
    After ASAE D497 (from memory, not yet proof-read).
    """
    return a + b * width + c * feed_rate


def pto_equivalent_of_drawbar(power: Real, tractive_efficiency: Real, transmission_efficiency: Real) -> Real:
    """Return the PTO power [W] behind drawbar `power` [W]: P / (E_m E_t), after ASAE EP496.

    `tractive_efficiency` [1] is drawbar power over axle power; `transmission_efficiency` [1]
    is axle power over PTO power.
    """
    return power / (tractive_efficiency * transmission_efficiency)


def input_power(useful_power: Real, efficiency: Real) -> Real:
    """Return the power [W] to put into a pump or generator of `efficiency` [1] for `useful_power` [W]."""
    return useful_power / efficiency


def pto_from_engine(engine_power: Real, ratio: Real) -> Real:
    """Return PTO power [W] from `engine_power` [W] at the flywheel and the PTO/flywheel `ratio` [1]."""
    return engine_power * ratio


def engine_from_pto(pto_power: Real, ratio: Real) -> Real:
    """Return the flywheel power [W] behind `pto_power` [W] at the PTO/flywheel `ratio` [1]."""
    return pto_power / ratio


FULL_POWER_ALTITUDE = 152.4
"""Up to which a naturally aspirated engine gives its rated power [m]: 500 ft."""
_ALTITUDE_LOSS = 0.03 / 304.8
"""Of the power for each metre above it [1/m]: 3 % for each 1,000 ft."""
_HEAT_LOSS = 0.01 / (5.0 / 1.8)
"""Of a diesel engine's power for each kelvin above 85 degF [1/K]: 1 % for each 5 degF."""


def derated_share(altitude: Real, heat: Real) -> Real:
    """Return what thin and hot air leave of the rated power of a naturally aspirated diesel engine [1].

    Parameters
    ----------
    altitude : float or array
        Above sea level [m].
    heat : float or array
        How much warmer the air at the intake is than 29.4 degC (85 degF) [K]; 0 if it is not.

    Notes
    -----
    3 % for each 1,000 ft above 500 ft, and 1 % for each 5 degF above 85 degF (published, textbook of agricultural
    engineering). The product of both is derived.
    """
    thin = _ALTITUDE_LOSS * larger(altitude - FULL_POWER_ALTITUDE, 0.0)
    return (1.0 - thin) * (1.0 - _HEAT_LOSS * heat)
