"""Power at the drawbar, the shaft, the hydraulic outlets and the generator.

Everything is brought to one place, the PTO, so that it can be added and compared with
what the tractor is rated for:

    P = P_drawbar / (E_m E_t) + P_rotary + P_hydraulic / E_p + P_electric / E_g

Form after ASAE EP496; ``E_m`` transmission, ``E_t`` traction, ``E_p`` pump and ``E_g``
generator efficiency.
"""

from drawbar_service.engine.arrays import Real


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
