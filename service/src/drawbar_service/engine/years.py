"""The chance of enough suitable days, from the same window in each recorded year.

A window resamples whole years: its chance is first of all the share of recorded years that had enough days. A record
of some ten years is rough, so a smooth model stands beside it: the share of suitable days in the window is a beta
distribution with the mean and the spread of the same years. The model counts as much as :data:`MODEL_YEARS` further
years, so that it decides where years are few and fades where they are many.

The smooth model is the beta distribution, not the beta-binomial of :mod:`drawbar_service.engine.completion`: recorded
days are averages over a region, in parts of days, and differ less from year to year than drawn whole days could.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drawbar_service.engine.arrays import FloatArray

MODEL_YEARS = 6.0
"""Recorded years that the smooth model weighs as much as [1].

Leaving one year out of Iowa's 18, windows of 1 to 10 weeks: with more the mean Brier score falls, and the chance moves
away from the recorded share; with 6 it stays within 0.05 of it in 99 of 100 windows.
"""
NEIGHBOURS = 10
"""Weeks to either side whose years say, too, how the days of one window follow from the weeks before it [1]."""
RIDGE = 0.1
"""How far slopes are drawn towards none, over what they explain [1]."""
# A need within this of a recorded number of days is that number: quotients of round figures miss it by a rounding.
ROUNDING = 1e-9
"""[1]"""
_LEAST_SPREAD = 1e-6
_MOST_SPREAD = 0.99


class ChanceOfYears(NamedTuple):
    """The chance of enough days [1]; each has the axes of the needs, then that of the windows."""

    chance: FloatArray
    """What is answered"""
    low: FloatArray
    """5 in 100 lie below"""
    high: FloatArray
    """5 in 100 lie above"""
    recorded: FloatArray
    """The share of years with enough days"""
    smooth: FloatArray
    """By the beta distribution alone"""


def chance_of_years(
    totals: FloatArray, needed: FloatArray, *, moved: bool = False, ends: bool = True, only_last: bool = False
) -> ChanceOfYears:
    """Return the chances that at least so many of the first 1, 2 ... days are suitable.

    Parameters
    ----------
    totals : array
        Suitable days up to the end of day 1, 2 ... (last axis) of each year (first axis) [1].
    needed : array
        Suitable days needed [1].
    moved : bool
        Whether the years are those of :func:`followed`: they are a model's already, and the smooth one alone counts.
    ends : bool
        Whether `low` and `high` are calculated; NaN otherwise.
    only_last : bool
        Whether only the longest window is asked about; the axis of windows then has that one.

    Returns
    -------
    ChanceOfYears
        Of the shape of `needed`, with a further axis of windows.

    Notes
    -----
    (k + c F) / (N + c): k of N years have enough, F is the chance by the beta distribution, c is
    :data:`MODEL_YEARS`. Its range is that of a share seen k + c F times in N + c, with Jeffreys' half a year for
    either outcome. F never falls as the window grows: where a fit to a longer window says less, the shorter one holds.
    """
    # Loading scipy.special takes a while; only whoever gives a record pays.
    from scipy import special  # noqa: PLC0415

    years, days = totals.shape
    least = np.asarray(needed, dtype=np.float64)[..., np.newaxis]
    counted_totals = totals[:, -1:] if only_last else totals
    enough = np.zeros(np.broadcast_shapes(least.shape, (counted_totals.shape[-1],)))
    for year in counted_totals:
        enough += year >= least - ROUNDING
    first, second, certain = _beta_of(totals)
    length = np.arange(1.0, days + 1.0)
    drawn: FloatArray = special.betaincc(first, second, np.clip(least / length, 0.0, 1.0))
    smooth = np.where(certain, np.mean(totals, axis=0) >= least - ROUNDING, drawn)
    smooth = np.where(least <= 0.0, 1.0, np.where(least > length + ROUNDING, 0.0, smooth))
    smooth = np.max(smooth, axis=-1, keepdims=True) if only_last else np.maximum.accumulate(smooth, axis=-1)
    counted, modelled = (0.0, float(years)) if moved else (1.0, MODEL_YEARS)
    seen, weight = counted * enough + modelled * smooth, counted * years + modelled
    chance = np.clip(seen / weight, 0.0, 1.0)
    if ends:
        low = np.minimum(special.betaincinv(seen + 0.5, weight - seen + 0.5, 0.05), chance)
        high = np.maximum(special.betaincinv(seen + 0.5, weight - seen + 0.5, 0.95), chance)
    else:
        low = high = np.full_like(chance, np.nan)
    return ChanceOfYears(chance, low, high, enough / years, smooth)


def _beta_of(totals: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return both parameters of the beta distribution of each window, and where years do not differ at all."""
    years, days = totals.shape
    length = np.arange(1.0, days + 1.0)
    share = np.clip(np.mean(totals, axis=0) / length, 0.0, 1.0)
    # The mean of few years is uncertain itself, which widens the spread of the next year about it.
    variance = np.var(totals, axis=0, ddof=1) * (1.0 + 1.0 / years) / length**2
    widest = share * (1.0 - share)
    certain = (widest <= 0.0) | (variance <= 0.0)
    spread = np.clip(variance / np.where(certain, 1.0, widest), _LEAST_SPREAD, _MOST_SPREAD)
    strength = (1.0 - spread) / spread
    inside = np.where(certain, 0.5, share)
    return inside * strength, (1.0 - inside) * strength, certain


class Followed(NamedTuple):
    """The years of a window, moved by what this year has been like so far."""

    totals: FloatArray
    """Suitable days up to the end of day 1, 2 ... (last axis) of each year (first axis) [1]"""
    years: NDArray[np.intp]
    """Places of those years among the ones given; the others lack what this year is compared by"""


def followed(so_far: FloatArray, signs: FloatArray, totals: FloatArray) -> Followed:
    """Return the years of a window, each moved by how far this year's past weeks lie from its own.

    Parameters
    ----------
    so_far : array
        What this year has been like: one figure for each sign, such as the suitable days of the last week.
    signs : array
        The same figures (last axis) of each year (second axis), of the window itself and of the ones some weeks
        earlier and later (first axis; the window itself in the middle); NaN where not recorded.
    totals : array
        Suitable days up to the end of day 1, 2 ... (last axis), with the same first two axes [1]; NaN where not
        recorded.

    Notes
    -----
    Days up to each day follow the signs on a straight line: ridge regression on deviations from the mean of the
    years, in standard deviations, over the window and its neighbours together. Each year then keeps its own deviation
    from the line, at this year's signs instead of its own.
    """
    middle = len(signs) // 2
    known: NDArray[np.bool_] = np.asarray(~(np.isnan(signs).any(axis=-1) | np.isnan(totals).any(axis=-1)))
    explained = signs - _mean_of(signs, known)
    deviation = totals - _mean_of(totals, known)
    spread = np.sqrt(_mean_of(deviation * deviation, known))
    deviation = deviation / np.where(spread > 0.0, spread, np.inf)
    x, t = explained[known], deviation[known]
    scale = np.std(x, axis=0)
    scale = np.where(scale > 0.0, scale, np.inf)
    x = x / scale
    slopes = np.linalg.solve(x.T @ x + RIDGE * len(x) * np.eye(x.shape[1]), x.T @ t) / scale[:, np.newaxis]
    years = np.flatnonzero(known[middle])
    away = (so_far - signs[middle, years]) @ slopes * spread[middle]
    moved = np.clip(totals[middle, years] + away, 0.0, np.arange(1.0, totals.shape[-1] + 1.0))
    return Followed(np.maximum.accumulate(moved, axis=-1), years)


def _mean_of(figures: FloatArray, known: NDArray[np.bool_]) -> FloatArray:
    """Return the means over the years (second axis) that are `known`; 0 where none is."""
    years = np.count_nonzero(known, axis=1)[:, np.newaxis, np.newaxis]
    return np.sum(np.where(known[..., np.newaxis], figures, 0.0), axis=1, keepdims=True) / np.maximum(years, 1)
