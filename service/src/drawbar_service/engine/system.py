"""A chain of passes over the same land: hours, fuel, money, carbon dioxide, days, and the residue that is left.

Each function is one line of arithmetic, so that what a chain adds up to can be followed by hand.
"""

from drawbar_service.engine.arrays import Real, larger, power


def pass_time(area: Real, capacity: Real, times: Real) -> Real:
    """Return the hours of a pass [s].

    Parameters
    ----------
    area : float or array
        Land [m^2].
    capacity : float or array
        Effective field capacity [m^2/s].
    times : float or array
        How often the pass is made [1].

    Notes
    -----
    t = n A / C (ASABE S495).
    """
    return times * area / capacity


def pass_fuel(area: Real, fuel_per_area: Real, times: Real) -> Real:
    """Return the fuel of a pass [m^3] from `area` [m^2], `fuel_per_area` [m] and how many `times` it is made [1]."""
    return times * area * fuel_per_area


def carbon_dioxide(fuel: Real, carbon_per_fuel: Real) -> Real:
    """Return carbon dioxide [kg] from burning `fuel` [m^3] that gives off `carbon_per_fuel` [kg/m^3].

    From the exhaust only: making and hauling the fuel, the machines, and what the soil gives off are not in it.
    """
    return fuel * carbon_per_fuel


def machine_cost(area: Real, times: Real, work_time: Real, per_area: Real, per_time: Real) -> Real:
    """Return what the machines of a pass cost [money].

    Parameters
    ----------
    area : float or array
        Land [m^2].
    times : float or array
        How often the pass is made [1].
    work_time : float or array
        Hours of all of that [s].
    per_area : float or array
        Price of one pass [money/m^2].
    per_time : float or array
        Price in a time [money/s].

    Notes
    -----
    n A p_A + t p_t. Derived.
    """
    return times * area * per_area + work_time * per_time


def cover_left(cover: Real, retention: Real, times: Real) -> Real:
    """Return the share of the ground that residue still covers after a pass [1].

    Parameters
    ----------
    cover : float or array
        Share covered before [1].
    retention : float or array
        Share of the cover that one pass leaves [1].
    times : float or array
        How often the pass is made [1].

    Notes
    -----
    c r^n, the multiplication of the USDA guides to estimating residue (from memory). The ends of the ranges of
    several passes multiply to an outer bound: it is unlikely that all of them lie at the same end.
    """
    return cover * power(retention, times)


def start_day(earliest_day: Real, ready_day: Real) -> Real:
    """Return the day a pass begins [d]: its `earliest_day` [d], or `ready_day` [d] if the land is ready later."""
    return larger(earliest_day, ready_day)


def finish_day(first_day: Real, work_time: Real, day_length: Real, suitable_share: Real) -> Real:
    """Return the day a pass is done [d].

    Parameters
    ----------
    first_day : float or array
        Day it begins [d]; day 0 begins at 0 and ends at 1.
    work_time : float or array
        Hours of the pass [s].
    day_length : float or array
        Hours of field work in a day [s].
    suitable_share : float or array
        Share of days fit for field work [1].

    Notes
    -----
    d + t / (h s): the expected day, from an average share of days. It is no chance of being done by then.
    """
    return first_day + work_time / (day_length * suitable_share)


def relative_change(value: Real, baseline: Real) -> Real:
    """Return how much `value` is above `baseline`, over the baseline [1]; both in the same unit, baseline above 0."""
    return value / baseline - 1.0
