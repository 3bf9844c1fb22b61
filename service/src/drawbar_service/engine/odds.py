"""Chances and spreads from what is uncertain, by seeded quasi-Monte Carlo.

An uncertain factor on a table value is taken as log-normal: it cannot be negative, and half and
double are equally far from 1. A table's range ``r`` to either side is read as ``k`` standard
deviations (2 unless said otherwise), so sigma = ln(1 + r) / k. That reading is an assumption:
the tables give a spread between machines and fields, not a confidence interval.

Points come from scrambled Sobol sequences in independent replicates; the scatter between the
replicates is the sampling error (Owen 1997; from memory).
"""

from collections.abc import Callable
from functools import lru_cache
from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray, Real, exp, log, sqrt
from drawbar_service.rows import as_rows

END_SCORE = 1.6448536269514722
"""Standard normal score of the ends of a stated range: 5 in 100 lie below the low end and 5 above the high one."""
REPLICATES = 8
"""Independent scramblings; the sampling error follows from the scatter between them."""


def log_sigma(range_fraction: Real, standard_deviations: Real) -> Real:
    """Return the standard deviation [1] of the logarithm of a factor.

    `range_fraction` [1] is the range to either side, which stands for so many `standard_deviations` [1].
    """
    return log(1.0 + range_fraction) / standard_deviations


def together(first: Real, second: Real) -> Real:
    """Return the standard deviation [1] of two independent spreads in one: of the `first` and the `second` [1]."""
    return sqrt(first * first + second * second)


def end_factors(sigma: Real) -> tuple[Real, Real]:
    """Return the low and the high end [1] of a log-normal factor: 5 in 100 lie below, 5 above.

    `sigma` is the standard deviation of its logarithm [1].
    """
    high = exp(END_SCORE * sigma)
    return 1.0 / high, high


def widened(value: Real, low: Real, high: Real, sigma: Real) -> tuple[Real, Real]:
    """Return the ends of a range once an independent log-normal factor is let vary, too.

    Parameters
    ----------
    value, low, high : float or array
        A quantity and the ends of its range, in its own unit.
    sigma : float or array
        Standard deviation of the logarithm of the factor [1].

    Returns
    -------
    pair of float or array
        Low and high, in the unit of the quantity. What the two add to either side is put together as the root of
        the sum of squares, which is how independent spreads add.
    """
    less, more = end_factors(sigma)
    return (
        value - together(value - low, value * (1.0 - less)),
        value + together(high - value, value * (more - 1.0)),
    )


@lru_cache(maxsize=32)
def normal_scores(samples: int, dimensions: int, seed: int) -> FloatArray:
    """Return standard normal scores for so many uncertain inputs.

    Parameters
    ----------
    samples : int
        Number of points [1], a power of two and at least :data:`REPLICATES`.
    dimensions : int
        Number of uncertain inputs [1].
    seed : int
        Of the scrambling [1]. The same seed gives the same points.

    Returns
    -------
    array of shape (dimensions, samples)
        Replicate after replicate along the second axis; read-only, because it is shared.
    """
    # scipy.stats takes half a second to import; only whoever asks for odds pays.
    from scipy.special import ndtri  # noqa: PLC0415
    from scipy.stats import qmc  # noqa: PLC0415

    power = round(np.log2(samples // REPLICATES))
    streams = np.random.default_rng(seed).spawn(REPLICATES)
    points = [qmc.Sobol(dimensions, rng=stream).random_base2(power) for stream in streams]
    uniform = np.concatenate(points).T
    # A scrambled point can fall on 0, whose score is not finite: the middle of its cell is as good.
    scores: FloatArray = ndtri(np.maximum(uniform, 0.5 / 2.0**32))
    scores.setflags(write=False)
    return scores


class Chance(NamedTuple):
    """A probability and how well it is known."""

    value: Real
    """[1]"""
    standard_error: Real
    """Of the sampling, not of the model [1]"""


def chance(happens: npt.NDArray[np.bool_]) -> Chance:
    """Return the share of samples in which something `happens` [1], along the last axis, replicate after replicate."""
    hits = happens.reshape(*happens.shape[:-1], REPLICATES, -1)
    means = np.count_nonzero(hits, axis=-1) / hits.shape[-1]
    return Chance(_number(means.mean(axis=-1)), _number(means.std(axis=-1, ddof=1) / np.sqrt(REPLICATES)))


class Spread(NamedTuple):
    """Where a quantity lies, in its own unit."""

    low: Real
    """5 in 100 lie below."""
    median: Real
    high: Real
    """5 in 100 lie above."""


def spread(values: FloatArray) -> Spread:
    """Return the 5th, 50th and 95th percentile of sampled `values`, along the last axis."""
    low, median, high = np.quantile(values, (0.05, 0.5, 0.95), axis=-1)
    return Spread(_number(low), _number(median), _number(high))


def _number(value: Any) -> Real:
    return as_rows(value) if np.ndim(value) else float(value)


def sobol_indices(
    function: Callable[[FloatArray], FloatArray], dimensions: int, samples: int, seed: int
) -> tuple[FloatArray, FloatArray]:
    """Return the first-order and total Sobol indices [1] of a function of standard normal scores.

    Parameters
    ----------
    function : callable
        From scores of shape (dimensions, n) to outputs of shape (outputs, n).
    dimensions : int
        Number of uncertain inputs [1].
    samples : int
        Base number of points [1], a power of two; the function sees (dimensions + 2) times as many.
    seed : int
        Of the scrambling [1].

    Returns
    -------
    pair of arrays of shape (outputs, dimensions)
        0 in the rows of outputs that do not vary at all.

    References
    ----------
    Saltelli et al. (2010), as implemented in SciPy.
    """
    from scipy import stats  # noqa: PLC0415 - as in normal_scores

    normal = [cast("Any", stats).norm()] * dimensions
    found = cast("Any", stats).sobol_indices(func=function, n=samples, dists=normal, rng=np.random.default_rng(seed))
    first: FloatArray = np.reshape(found.first_order, (-1, dimensions))
    total: FloatArray = np.reshape(found.total_order, (-1, dimensions))
    return first, total
