"""How many days are fit for field work: a beta-binomial count, because years differ.

In a year whose days are suitable with chance ``q``, the count in ``n`` days is binomial; ``q`` differs from year to
year as a beta distribution. With mean ``p`` and standard deviation ``s`` of the share N/n,

    rho = (n s^2 / (p (1 - p)) - 1) / (n - 1),    a = p (1/rho - 1),    b = (1 - p) (1/rho - 1)

Derived (moments of the beta-binomial distribution). Days within a year are otherwise taken as independent.
"""

from typing import Any, cast

import numpy as np

from drawbar_service.engine.arrays import Real, choose, larger, smaller

_ALIKE = 1e-6
"""Least correlation of the days of a year [1]: at it the count is binomial to all digits that matter."""
_MOST = 0.99


def day_correlation(days: Real, share: Real, spread: Real) -> Real:
    """Return how much alike the days of one year are [1]: 0 where years do not differ.

    Parameters
    ----------
    days : float or array
        Days n that the `spread` was taken over [d].
    share : float or array
        Mean share of suitable days p [1], above 0 and below 1.
    spread : float or array
        Standard deviation s of that share from year to year [1].
    """
    ratio = (days * spread * spread / (share * (1.0 - share)) - 1.0) / larger(days - 1.0, 1.0)
    return smaller(larger(ratio, _ALIKE), _MOST)


def chance_of_days(days: Real, wanted: Real, share: Real, correlation: Real) -> Real:
    """Return the chance [1] that at least so many days are suitable.

    Parameters
    ----------
    days : float or array
        Days n there are [d]; a part of a day counts for nothing.
    wanted : float or array
        Suitable days wanted k [d]; a part of a day counts as a day.
    share : float or array
        Mean share of suitable days p [1], above 0 and below 1.
    correlation : float or array
        Of the days of one year [1], as :func:`day_correlation` gives it.
    """
    # scipy.stats takes half a second to import; only whoever asks for odds pays.
    from scipy import stats  # noqa: PLC0415

    size = 1.0 / correlation - 1.0
    # A hair less than a whole day is that day, rounded.
    count = np.ceil(wanted - 1e-9) - 1.0
    found = cast("Any", stats).betabinom.sf(count, np.floor(days), share * size, (1.0 - share) * size)
    # What SciPy gives for single numbers is an array without a shape.
    return choose(wanted <= 0.0, 1.0, found) if np.ndim(found) else choose(bool(wanted <= 0.0), 1.0, float(found))
