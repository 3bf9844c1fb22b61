"""The chance to finish in time, and what a delay costs.

Days fit for field work come in good and bad years: days of one year resemble each other more than days of
different years. So the number of suitable days ``k`` among ``n`` is taken as beta-binomial: the share of suitable
days differs from year to year as a beta distribution, and days given that share are independent. A plain binomial
leaves the years out and is far too sure of itself.
"""

from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real, larger, smaller

LEAST_CORRELATION = 1e-6
"""Correlation [1] between days of one year that stands for none; a beta-binomial wants more than 0."""
MOST_CORRELATION = 0.999
"""Correlation [1] beyond which a year is all fit or all unfit."""


class Suitability(NamedTuple):
    """How many days are fit for field work."""

    share: Real
    """Mean share of days that are suitable [1]"""
    correlation: Real
    """Between any two days of one year [1]: 0 if years do not differ, 1 if a year is all fit or all unfit."""


def suitability(mean_days: Real, spread_days: Real, days: Real) -> Suitability:
    """Return the beta-binomial with this mean and spread.

    Parameters
    ----------
    mean_days : float or array
        Mean number of suitable days in the period [1].
    spread_days : float or array
        Standard deviation of that number from year to year [1].
    days : float or array
        Calendar days of the period [1].

    Notes
    -----
    Variance of a beta-binomial: n p (1 - p) (1 + (n - 1) rho). A spread below that of a binomial asks for a rho
    below 0, which this model does not have; then rho is :data:`LEAST_CORRELATION`.
    """
    share = mean_days / days
    binomial = days * share * (1.0 - share)
    correlation = (spread_days * spread_days / larger(binomial, 1e-12) - 1.0) / larger(days - 1.0, 1.0)
    return Suitability(share, smaller(larger(correlation, LEAST_CORRELATION), MOST_CORRELATION))


def spread_of_suitable_days(share: Real, correlation: Real, days: Real) -> Real:
    """Return the standard deviation of the number of suitable days among `days` [1].

    Their mean `share` [1] and the `correlation` [1] within a year are those of :class:`Suitability`.
    """
    variance = days * share * (1.0 - share) * (1.0 + (days - 1.0) * correlation)
    return np.sqrt(variance) if isinstance(variance, np.ndarray) else float(np.sqrt(variance))


def chance_of_days(needed: Real, days: Real, share: Real, correlation: Real) -> Real:
    """Return the chance [1] that at least so many days are suitable.

    Parameters
    ----------
    needed : float or array
        Suitable days needed [1]; a part of a day takes a whole one.
    days : float or array
        Calendar days there are [1], whole.
    share : float or array
        Mean share of suitable days [1].
    correlation : float or array
        Between days of one year [1], above 0.

    Notes
    -----
    P(k) = C(n, k) B(k + a, n - k + b) / B(a, b) with a = p (1 - rho) / rho and b = (1 - p) (1 - rho) / rho.
    """
    from scipy.special import betaln, gammaln  # noqa: PLC0415 - SciPy is slow to import; only completion needs it

    needed, days, share, correlation = (
        np.asarray(one, dtype=np.float64)[..., np.newaxis] for one in (needed, days, share, correlation)
    )
    whole = np.ceil(needed - 1e-9)
    strength = (1.0 - correlation) / correlation
    # Nobody has a share of exactly 0 or 1; the beta function wants more than 0.
    fit = np.clip(share, 1e-9, 1.0 - 1e-9)
    a, b = fit * strength, (1.0 - fit) * strength
    count = np.arange(int(np.max(days, initial=0.0)) + 1)
    inside = np.minimum(count, days)
    log_chance = (
        gammaln(days + 1.0)
        - gammaln(inside + 1.0)
        - gammaln(days - inside + 1.0)
        + betaln(inside + a, days - inside + b)
        - betaln(a, b)
    )
    counted = (count >= whole) & (count <= days)
    total: FloatArray = np.asarray(np.clip(np.sum(np.where(counted, np.exp(log_chance), 0.0), axis=-1), 0.0, 1.0))
    # Rounding in the sum must not cast doubt on what is certain.
    total = np.where(whole[..., 0] <= 0.0, 1.0, total)
    return total if total.ndim else float(total)


def suitable_days_needed(area: Real, capacity: Real, workday: Real, crews: Real, time_lost: Real) -> Real:
    """Return how many suitable days [1] a job takes.

    Parameters
    ----------
    area : float or array
        Area left to work, every pass counted [m^2].
    capacity : float or array
        Effective field capacity of one machine [m^2/s].
    workday : float or array
        Time at work on a suitable day [s].
    crews : float or array
        Machines at work side by side [1].
    time_lost : float or array
        Share of that time lost to breakdowns [1].
    """
    return area / (capacity * workday * crews * (1.0 - time_lost))


def spread_from_range(least: Real, most: Real, years: Real) -> Real:
    """Return the standard deviation of yearly values from the `least` and `most` of so many `years` [1].

    In the unit of both ends [1]. The expected range of n independent normal values is d2(n) standard deviations,
    d2 = integral of 1 - F^n - (1 - F)^n (order statistics; Tippett 1925, from memory).
    """
    from scipy.special import ndtr  # noqa: PLC0415 - as in chance_of_days

    x = np.linspace(-8.0, 8.0, 4001)
    below: FloatArray = ndtr(x)
    n = np.asarray(years, dtype=np.float64)[..., np.newaxis]
    outside: FloatArray = 1.0 - below**n - (1.0 - below) ** n
    # The integrand is nothing at both ends, where the plain sum is as good as any rule.
    width = np.sum(outside, axis=-1) * (x[1] - x[0])
    spread: FloatArray = np.asarray((most - least) / width)
    return spread if spread.ndim else float(spread)


class Interval(NamedTuple):
    """A share of years and the range in which its true value lies."""

    share: float
    """[1]"""
    low: float
    """[1]"""
    high: float
    """[1]"""


def share_of_years(days_by_year: FloatArray, needed: float) -> Interval:
    """Return the share of recorded years with enough suitable days.

    Parameters
    ----------
    days_by_year : array
        Suitable days of each year [1].
    needed : float
        Suitable days needed [1].

    Notes
    -----
    Low and high are the 95 % interval of Wilson (1927): a record of few years says little.
    """
    years = len(days_by_year)
    z = 1.959964
    share = int(np.count_nonzero(days_by_year >= np.ceil(needed - 1e-9))) / years
    centre = (share + z * z / (2 * years)) / (1 + z * z / years)
    half = z / (1 + z * z / years) * float(np.sqrt(share * (1 - share) / years + z * z / (4 * years * years)))
    # Rounding must not put the share outside its own interval.
    return Interval(share, min(max(centre - half, 0.0), share), max(min(centre + half, 1.0), share))


def timeliness_cost(
    loss: Real, area: Real, crop_yield: Real, price: Real, schedule: Real, day_rate: Real, share: Real
) -> Real:
    """Return what a job that takes many days costs by being late or early [money].

    Parameters
    ----------
    loss : float or array
        Share of the yield lost for each day off the best one, K [1/d].
    area : float or array
        A [m^2].
    crop_yield : float or array
        Y [kg/m^2].
    price : float or array
        V [money/kg].
    schedule : float or array
        Z [1]: 4 if the work lies evenly about the best day, 2 if it all comes before or after.
    day_rate : float or array
        Area worked on a suitable day, G C [m^2/d].
    share : float or array
        Share of days that are suitable, pwd [1].

    Notes
    -----
    K A^2 Y V / (Z G C pwd). Form after ASAE EP496, from memory; Z derived: the mean distance from the best day of
    work spread evenly over T days is T/4 about it and T/2 to one side.
    """
    return loss * area * area * crop_yield * price / (schedule * day_rate * share)


def finishing_day(needed: float, share: float, correlation: float, chance: float, most_days: int) -> int | None:
    """Return the first day [1] by whose end the chance to have finished is at least `chance` [1].

    Parameters
    ----------
    needed : float
        Suitable days needed [1].
    share, correlation : float
        Of :class:`Suitability` [1].
    chance : float
        [1]
    most_days : int
        Days to look ahead [1].

    Returns
    -------
    int or None
        None if it is not within `most_days`.
    """
    days = np.arange(1.0, most_days + 1.0)
    enough = np.flatnonzero(np.asarray(chance_of_days(needed, days, share, correlation)) >= chance)
    return int(days[enough[0]]) if enough.size else None
