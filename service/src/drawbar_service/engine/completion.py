"""The chance to finish in time, and what a delay costs.

Days fit for field work come in good and bad years: days of one year resemble each other more than days of
different years. So the number of suitable days ``k`` among ``n`` is taken as beta-binomial: the share of suitable
days differs from year to year as a beta distribution, and days given that share are independent. A plain binomial
leaves the years out and is far too sure of itself.

The day ``t`` on which the k-th suitable day falls then has the chances of Polya's urn, with w = r / (1 - r):

    P(t) = C(t - 1, k - 1) prod(p + i w, i < k) prod(1 - p + i w, i < t - k) / prod(1 + i w, i < t)

and their running sum is the chance to have finished by each day. That is the survival function of the beta-binomial
for every window at once; it has no differences of large gamma functions and is exact down to r = 0.

A job rarely takes whole days. A need between k - 1 and k days has a chance on the straight line between those of k - 1
and k days: a little more work moves the chance by a little, where whole days alone would make a step of it.
"""

from statistics import NormalDist
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray, Real, larger, smaller, sqrt

MOST_CORRELATION = 0.999
"""Correlation [1] beyond which a year is all fit or all unfit."""

# A need within this of a whole number of days is that number: quotients of round figures miss it by a rounding.
_ROUNDING = 1e-9
_NORMAL = NormalDist()
_STEPS = np.arange(-8.0, 8.01, 0.0625)
_BELOW = np.array([_NORMAL.cdf(x) for x in _STEPS.tolist()])
LIKELY_CAPACITIES = 64
"""Capacities that stand for one that is known to a range [1]."""
_SCORES = np.array([_NORMAL.inv_cdf((part + 0.5) / LIKELY_CAPACITIES) for part in range(LIKELY_CAPACITIES)])
_SCORE_OF_ENDS = _NORMAL.inv_cdf(0.95)
"""Standard normal score of the ends of a range that holds 90 in 100 [1]."""


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
    below 0, which this model does not have; then rho is 0.
    """
    share = mean_days / days
    binomial = days * share * (1.0 - share)
    correlation = (spread_days * spread_days / larger(binomial, 1e-12) - 1.0) / larger(days - 1.0, 1.0)
    return Suitability(share, smaller(larger(correlation, 0.0), MOST_CORRELATION))


def spread_of_suitable_days(share: Real, correlation: Real, days: Real) -> Real:
    """Return the standard deviation of the number of suitable days among `days` [1].

    Their mean `share` [1] and the `correlation` [1] within a year are those of :class:`Suitability`.
    """
    variance = days * share * (1.0 - share) * (1.0 + (days - 1.0) * correlation)
    return sqrt(variance)


def greatest_spread(mean_days: Real, days: Real) -> Real:
    """Return the standard deviation [1] of suitable days if every year is all fit or all unfit: none is greater.

    `mean_days` [1] of the `days` [1] are suitable in a middling year.
    """
    return sqrt(mean_days * (days - mean_days))


def chance_of_days(needed_days: Real, days: Real, share: Real, correlation: Real) -> Real:
    """Return the chance [1] that at least so many days are suitable.

    Parameters
    ----------
    needed_days : float or array
        Suitable days needed [1], parts of a day included.
    days : float or array
        Calendar days there are [1]; a part of a day does not count.
    share : float or array
        Mean share of suitable days [1].
    correlation : float or array
        Between days of one year [1], below 1; 0 is the plain binomial.

    Notes
    -----
    P(k) = C(n, k) B(k + a, n - k + b) / B(a, b) with a = p (1 - rho) / rho and b = (1 - p) (1 - rho) / rho, summed
    over the day on which the last needed one falls (top of this module). Straight between whole days, so it falls
    without a step as the need grows from 0 to all the days there are: by no more than P(k) for each day. A need of less
    than a day takes one that is suitable, and more than `days` days of work are never done in time.
    """
    single = not any(isinstance(one, np.ndarray) for one in (needed_days, days, share, correlation))
    window = np.maximum(np.asarray(days, dtype=np.float64), 0.0).astype(np.intp)
    by_day = chance_by_day(needed_days, max(int(np.max(window, initial=0)), 1), share, correlation)
    shape = np.broadcast_shapes(by_day.shape[:-1], window.shape)
    found = _at(by_day, np.broadcast_to(window, shape)[..., np.newaxis])[..., 0]
    return float(found) if single else found


def chance_by_day(needed_days: Real, longest: int, share: Real, correlation: Real) -> FloatArray:
    """Return the chances [1] that at least so many of the first 0, 1, 2 ... `longest` days are suitable.

    Parameters
    ----------
    needed_days, share, correlation : float or array
        As :func:`chance_of_days` takes them.
    longest : int
        Calendar days of the longest window [1].

    Returns
    -------
    array
        Of the shape that the numbers broadcast to, with a further axis of `longest` + 1 windows.
    """
    needed = np.asarray(needed_days, dtype=np.float64)
    whole = np.ceil(needed - _ROUNDING)
    urn = _Urn.of(longest, np.asarray(share, dtype=np.float64), np.asarray(correlation, dtype=np.float64))
    chances = _running(_day_of_last(whole, longest, urn))
    # Straight between whole days: k days are enough always, k - 1 for the part of a day that the need is below k.
    spare = np.where(whole > 1.0, np.clip(whole - needed, 0.0, 1.0), 0.0)
    chances = chances + spare[..., np.newaxis] * _one_day_short(whole, longest, urn)
    # Rounding in the sum must not cast doubt on what is certain.
    return np.where(whole[..., np.newaxis] <= 0.0, 1.0, np.minimum(chances, 1.0))


class _Urn(NamedTuple):
    """Logarithms of the products of Polya's urn over the first 0, 1, 2 ... days, along the last axis."""

    fit: FloatArray
    """Of p + i w"""
    unfit: FloatArray
    """Of 1 - p + i w"""
    drawn: FloatArray
    """Of 1 + i w"""
    factorial: FloatArray
    """Of 1 + i"""

    @classmethod
    def of(cls, longest: int, share: FloatArray, correlation: FloatArray) -> "_Urn":
        """Return them for windows of up to `longest` days."""
        drawn = np.arange(longest, dtype=np.float64) * (correlation / (1.0 - correlation))[..., np.newaxis]
        with np.errstate(divide="ignore"):
            fit = _running(np.log(share[..., np.newaxis] + drawn))
            unfit = _running(np.log((1.0 - share)[..., np.newaxis] + drawn))
        return cls(fit, unfit, _running(np.log1p(drawn)), _running(np.log(np.arange(1.0, longest + 1.0))))


def _day_of_last(whole: FloatArray, longest: int, urn: _Urn) -> FloatArray:
    """Return the chances that the last needed day falls on day 1, 2 ... `longest`, along a new last axis."""
    needed = whole[..., np.newaxis]
    k = np.clip(needed, 1.0, longest).astype(np.intp)
    t = np.arange(1, longest + 1)
    waited = np.maximum(t - k, 0)
    log_chance = (
        urn.factorial[t - 1]
        - urn.factorial[k - 1]
        - urn.factorial[waited]
        + _at(urn.fit, k)
        + _at(urn.unfit, waited)
        - _at(urn.drawn, t)
    )
    return np.exp(np.where((t >= needed) & (needed >= 1.0), log_chance, -np.inf))


def _one_day_short(whole: FloatArray, longest: int, urn: _Urn) -> FloatArray:
    """Return the chances that windows of 0, 1 ... `longest` days have one suitable day fewer than `whole`.

    0 for windows shorter than `whole`: such a need is beyond all the days there are.
    """
    needed = whole[..., np.newaxis]
    k = np.clip(needed - 1.0, 0.0, longest).astype(np.intp)
    t = np.arange(longest + 1)
    unfit = np.maximum(t - k, 0)
    log_chance = (
        urn.factorial[t]
        - urn.factorial[k]
        - urn.factorial[unfit]
        + _at(urn.fit, k)
        + _at(urn.unfit, unfit)
        - _at(urn.drawn, t)
    )
    return np.exp(np.where((t >= needed) & (needed >= 1.0), log_chance, -np.inf))


def _running(terms: FloatArray) -> FloatArray:
    """Return the sums of the first 0, 1, 2 ... `terms` along the last axis."""
    return np.concatenate([np.zeros((*terms.shape[:-1], 1)), np.cumsum(terms, axis=-1)], axis=-1)


def _at(table: FloatArray, places: npt.NDArray[np.intp]) -> FloatArray:
    """Return what stands at `places` of the last axis of `table`; the axes before it broadcast."""
    if table.ndim == 1:
        return table[places]
    shape = np.broadcast_shapes(table.shape[:-1], places.shape[:-1])
    return np.take_along_axis(
        np.broadcast_to(table, (*shape, table.shape[-1])),
        np.broadcast_to(places, (*shape, places.shape[-1])),
        axis=-1,
    )


def suitable_days_needed(
    area: Real, capacity: Real, workday: Real, crews: Real, lost_share: Real, repair_time: Real
) -> Real:
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
    lost_share : float or array
        Share of that time lost to breakdowns and waiting [1], below 1.
    repair_time : float or array
        Time each machine stands over the whole job, for breakdowns that are told in hours [s].
    """
    return (area / (capacity * crews * (1.0 - lost_share)) + repair_time) / workday


def spread_from_range(least: Real, most: Real, years: Real) -> Real:
    """Return the standard deviation of yearly values from the `least` and `most` of so many `years` [1].

    In the unit of both ends [1]. The expected range of n independent normal values is d2(n) standard deviations,
    d2 = integral of 1 - F^n - (1 - F)^n (order statistics; Tippett 1925, from memory).
    """
    counts, places = np.unique(np.asarray(years, dtype=np.float64), return_inverse=True)
    # The integrand is nothing at both ends, where the plain sum is as good as any rule. Each number of years is summed
    # by itself: over rows of a table, NumPy may add in another order.
    sums = [float(np.sum(1.0 - _BELOW**n - (1.0 - _BELOW) ** n)) for n in counts.tolist()]
    ranges = (np.array(sums) * (_STEPS[1] - _STEPS[0]))[places]
    if isinstance(years, np.ndarray):
        return (most - least) / ranges.reshape(years.shape)
    return (most - least) / float(ranges.flat[0])


class Interval(NamedTuple):
    """A share of years and the range in which its true value lies."""

    share: Real
    """[1]"""
    low: Real
    """[1]"""
    high: Real
    """[1]"""


def share_of_years(days_by_year: FloatArray, needed: Real) -> Interval:
    """Return the share of recorded years with enough suitable days.

    Parameters
    ----------
    days_by_year : array
        Suitable days of each year [1], along the last axis.
    needed : float or array
        Suitable days needed [1].

    Notes
    -----
    Low and high are the 95 % interval of Wilson (1927): a record of few years says little. Parts of days in a
    record count as they stand: a year of 9.2 days has enough for 9.1.
    """
    years = days_by_year.shape[-1]
    z = 1.959964
    least = np.asarray(needed, dtype=np.float64)[..., np.newaxis] - _ROUNDING
    counted = np.asarray(np.count_nonzero(days_by_year >= least, axis=-1), dtype=np.float64)
    share: Real = counted / years if counted.ndim else float(counted) / years
    centre = (share + z * z / (2 * years)) / (1 + z * z / years)
    half = z / (1 + z * z / years) * sqrt(share * (1 - share) / years + z * z / (4 * years * years))
    # Rounding must not put the share outside its own interval.
    return Interval(share, smaller(larger(centre - half, 0.0), share), larger(smaller(centre + half, 1.0), share))


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


def finishing_day(chance_by_day: FloatArray, chance: float) -> Real:
    """Return the first day [1] by whose end the chance to have finished is at least `chance` [1].

    `chance_by_day` [1] is the chance to have finished by the end of day 1, 2, 3 ..., along its last axis; NaN where
    none is high enough.
    """
    enough = chance_by_day >= chance
    first = np.where(enough.any(axis=-1), np.argmax(enough, axis=-1) + 1.0, np.nan)
    return first if first.ndim else float(first)


def likely_capacities(capacity: Real, low: Real, high: Real) -> FloatArray:
    """Return equally likely capacities [m^2/s] for one that is known to a range.

    Parameters
    ----------
    capacity : float or array
        The median [m^2/s].
    low, high : float or array
        5 in 100 lie below and above [m^2/s], to either side of the median.

    Returns
    -------
    array
        With a further axis of 64 capacities.

    Notes
    -----
    Log-normal with a spread of its own to either side; the middle of each of 64 equal parts.
    """
    middle, below, above = (np.asarray(one, dtype=np.float64)[..., np.newaxis] for one in (capacity, low, high))
    side = np.where(_SCORES > 0.0, np.log(above / middle), np.log(middle / below))
    return middle * np.exp(_SCORES / _SCORE_OF_ENDS * side)
