"""Diesel burnt for a load.

The working equation (ASAE D497.5 on; Grisso, Kocher and Vaughan 2004):

    Q = (0.22 X + 0.096) P_pto          [L/h, kW] at full throttle
    Q_reduced = Q (1 - (N - 1)(0.45 X - 0.877))

``X`` is the PTO-equivalent power used over the rated PTO power, ``N`` engine speed over
full-throttle speed at the same power. The older equation (to D497.4) reads 20 to 34 %
higher and must never be mixed with it.
"""

from typing import NamedTuple, TypeAlias

from drawbar_service.engine.arrays import Real, along, sqrt

LITRES_PER_KWH = 1e-3 / 3.6e6
"""One L/(kW h) in m^3/J."""

GALLON_PER_HP_HOUR = 3.785411784 / 0.7456998715822702
"""One US gal/(hp h) in L/(kW h)."""
DIESEL_ANNUAL_AVERAGE = 0.044 * GALLON_PER_HP_HOUR
GASOLINE_ANNUAL_AVERAGE = 0.060 * GALLON_PER_HP_HOUR
"""Average fuel over a year's work per rated PTO power [L/(h kW)], published as 0.044 and 0.060 gal/(h hp)
(Iowa State Univ. Extension): about 0.223 and 0.305."""


def fuel_rate(load_fraction: Real, rated_power: Real) -> Real:
    """Return diesel use [m^3/s] at full throttle from the `load_fraction` X [1] and `rated_power` [W] at the PTO.

    Q = (0.22 X + 0.096) P, in L/h and kW (Grisso et al. 2004). Fitted to test reports of X from 0.2 to 1.
    """
    return (0.22 * load_fraction + 0.096) * rated_power * LITRES_PER_KWH


def reduced_speed_factor(load_fraction: Real, engine_speed_ratio: Real) -> Real:
    """Return fuel use at part engine speed over that at full throttle, for the same power [1].

    1 - (N - 1)(0.45 X - 0.877), with the `load_fraction` X [1] and the `engine_speed_ratio` N [1]
    (Grisso et al. 2004).
    """
    return 1.0 - (engine_speed_ratio - 1.0) * (0.45 * load_fraction - 0.877)


class FuelMap(NamedTuple):
    """Measured fuel of one engine by load and speed."""

    loads: tuple[Real, ...]
    """PTO-equivalent power over rated power, rising [1]"""
    speeds: tuple[Real, ...]
    """Engine speed over full-throttle speed, rising [1]"""
    rates: tuple[tuple[Real, ...], ...]
    """Fuel for each load, and in it for each speed [m^3/s]"""

    def at(self, load_fraction: Real, rated_power: Real, engine_speed_ratio: Real) -> Real:
        """Return fuel [m^3/s] between the points of the map: on straight lines both ways, the nearest beyond.

        `load_fraction` X [1] of the `rated_power` [W], which a map of rates does not need, at an `engine_speed_ratio`
        N [1].
        """
        by_load = [along(engine_speed_ratio, self.speeds, row) for row in self.rates]
        return along(load_fraction, self.loads, by_load)


class EvenFuel(NamedTuple):
    """An engine that burns the same for each unit of work at any load and speed."""

    work_per_fuel: Real
    """Work at the PTO over fuel [J/m^3]"""

    def at(self, load_fraction: Real, rated_power: Real, engine_speed_ratio: Real) -> Real:
        """Return fuel [m^3/s] for a `load_fraction` [1] of the `rated_power` [W] at any `engine_speed_ratio` [1]."""
        return load_fraction * rated_power / self.work_per_fuel


FuelLaw: TypeAlias = FuelMap | EvenFuel
"""What one engine burns, where that is known."""


def fuel_at_part_speed(
    load_fraction: Real, rated_power: Real, engine_speed_ratio: Real, law: FuelLaw | None = None
) -> Real:
    """Return diesel use [m^3/s] at part engine speed.

    :func:`fuel_rate` times :func:`reduced_speed_factor`, from the `load_fraction` X [1], `rated_power` [W] at the PTO
    and the `engine_speed_ratio` N [1] (Grisso et al. 2004); by the `law` of the engine itself where there is one.
    """
    if law is not None:
        return law.at(load_fraction, rated_power, engine_speed_ratio)
    return fuel_rate(load_fraction, rated_power) * reduced_speed_factor(load_fraction, engine_speed_ratio)


def older_fuel_rate(load_fraction: Real, rated_power: Real) -> Real:
    """Return diesel use [m^3/s] by the older equation (to ASAE D497.4).

    2.64 X + 3.91 - 0.203 sqrt(738 X + 173), in L/(kW h) of power used, from the `load_fraction`
    X [1] and `rated_power` [W] at the PTO. 20 to 34 % above :func:`fuel_rate` for X from 0.24 to 1; nearer to it,
    then below it, at lighter loads.
    """
    specific = 2.64 * load_fraction + 3.91 - 0.203 * sqrt(738.0 * load_fraction + 173.0)
    return specific * load_fraction * rated_power * LITRES_PER_KWH


def annual_average_fuel_rate(rated_power: Real, average: Real) -> Real:
    """Return fuel use [m^3/s] averaged over a year's work of a tractor of `rated_power` [W] at the PTO.

    `average` is :data:`DIESEL_ANNUAL_AVERAGE` or :data:`GASOLINE_ANNUAL_AVERAGE` [L/(h kW)].
    """
    return average * rated_power * LITRES_PER_KWH


def mean_over_working(working: Real, turning: Real, stopped: Real, turning_share: Real, stopped_share: Real) -> Real:
    """Return the mean fuel rate of the time in the field, over the rate at work [1].

    m = (t_w + k_t t_t + k_s t_s) / (t_w + t_t + t_s)

    Parameters
    ----------
    working, turning, stopped : float or array
        Time at work t_w, on turns t_t and standing t_s; in one unit, or as shares of all three. t_w is above 0.
    turning_share, stopped_share : float or array
        Fuel rates k_t on turns and k_s standing, over the rate at work [1].

    Notes
    -----
    Derived: it only adds up. Times the rate at work it goes with effective field capacity in :func:`fuel_per_area`.
    """
    burnt = working + turning_share * turning + stopped_share * stopped
    return burnt / (working + turning + stopped)


def fuel_per_area(rate: Real, capacity: Real) -> Real:
    """Return fuel per area [m] (m^3/m^2) from the fuel `rate` [m^3/s] and field `capacity` [m^2/s].

    The rate at work goes with theoretical field capacity, the mean rate of all time in the field with effective.
    """
    return rate / capacity
