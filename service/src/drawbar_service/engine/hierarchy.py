"""What runs on several fields, with several machines, say of each of them and of a field not yet worked.

The logarithm of the draft's factor of one machine on one field is a sum: what is common to all, what this machine has
more, and what this field has more. Each part is normal; how far machines and how far fields differ is unknown and
learned, too. What the runs of one machine on one field say (:func:`drawbar_service.engine.calibration.learn`) is taken
as a normal likelihood. For given spreads everything is then linear and normal, and over the spreads, two numbers at
most, a grid adds up. Gelman et al., Bayesian Data Analysis, chapter 5, from memory.
"""

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray

IntArray = npt.NDArray[np.intp]
_STEPS = 24
"""Spreads tried between machines, and between fields [1], each with the same chance before the runs."""
COMMON = 0.5
"""Share of the variance before the runs that is common to all machines and fields [1] (our choice, no source)."""
_NOTHING = 1e-6
"""Precision of a likelihood that says nothing, over that of the prior [1]."""


class Cells(NamedTuple):
    """What the runs of each machine on each field say alone; fields of shape (cells,)."""

    machine: IntArray
    """Number of the machine, from 0"""
    field: IntArray
    """Number of the field, from 0"""
    value: FloatArray
    """Logarithm of the draft's factor that the runs make most likely, without the prior [1]"""
    deviation: FloatArray
    """Its standard error [1]"""


class Effects(NamedTuple):
    """What is common, then what each machine and each field has more: logarithms of factors."""

    mean: FloatArray
    """Shape (1 + machines + fields,) [1]"""
    covariance: FloatArray
    """[1]"""
    between_machines: float
    """Standard deviation from machine to machine, root mean square of what it may be [1]"""
    between_fields: float
    """The same from field to field [1]"""


def likelihood(mean: float, deviation: float, prior: float) -> tuple[float, float]:
    """Return what runs say alone, from what they and the prior say: the value and its standard error [1].

    Parameters
    ----------
    mean, deviation : float
        Of the logarithm of the factor after the runs [1].
    prior : float
        Standard deviation of the logarithm before them, around 0 [1].
    """
    precision = max(deviation**-2 - prior**-2, _NOTHING * prior**-2)
    return mean / (precision * deviation**2), precision**-0.5


def before(machines: int, fields: int, prior: float) -> Effects:
    """Return the effects before any run.

    Parameters
    ----------
    machines, fields : int
        How many there are [1].
    prior : float
        Standard deviation of the logarithm of the factor of one machine on one field [1].

    Notes
    -----
    The variance of one machine on one field is that of the prior, however many there are: half of it is common, the
    other half lies between machines and between fields, where there are several.
    """
    several = (machines > 1) + (fields > 1)
    common = (1.0 if not several else COMMON) * prior**2
    share = (prior**2 - common) / max(several, 1)
    between = np.array([share if machines > 1 else 0.0, share if fields > 1 else 0.0])
    variances = np.repeat([common, *between], (1, machines, fields))
    apart = np.sqrt(between)
    return Effects(np.zeros(1 + machines + fields), np.diag(variances), float(apart[0]), float(apart[1]))


def within(cells: Cells, machines: int, fields: int) -> FloatArray:
    """Return which effects add up to the factor of each cell [1], shape (cells, 1 + machines + fields).

    Parameters
    ----------
    cells : Cells
    machines, fields : int
        How many there are [1].
    """
    adds = np.zeros((len(cells.machine), 1 + machines + fields))
    rows = np.arange(len(cells.machine))
    adds[:, 0] = 1.0
    adds[rows, 1 + cells.machine] = 1.0
    adds[rows, 1 + machines + cells.field] = 1.0
    return adds


def after(cells: Cells, machines: int, fields: int, prior: float) -> Effects:
    """Return the effects after the runs: mean and covariance over all spreads that may be.

    Parameters
    ----------
    cells : Cells
    machines, fields : int
        How many there are [1].
    prior : float
        Standard deviation of the logarithm of the factor of one machine on one field before the runs [1].

    Notes
    -----
    A spread is half-normal before the runs; its mean square is that of :func:`before`. An effect that only one machine
    or one field has cannot be told from what is common, and is 0.
    """
    # scipy takes a while to import; only whoever calibrates several pays.
    from scipy import special  # noqa: PLC0415

    start, adds = before(machines, fields, prior), within(cells, machines, fields)
    chances = (np.arange(_STEPS) + 0.5) / _STEPS
    half_normal = np.asarray(special.ndtri(0.5 + 0.5 * chances), dtype=np.float64)
    # The grid has no tail: bring its mean square to 1, so that nothing is narrower than the prior says.
    squares = half_normal**2 / np.mean(half_normal**2)
    tried = [
        start_variance * squares if start_variance > 0.0 else np.zeros(1)
        for start_variance in (start.between_machines**2, start.between_fields**2)
    ]
    by_machine, by_field = (one.ravel() for one in np.meshgrid(*tried, indexing="ij"))
    variances = np.concatenate(
        [
            np.full((len(by_machine), 1), start.covariance[0, 0]),
            np.repeat(by_machine[:, np.newaxis], machines, axis=1),
            np.repeat(by_field[:, np.newaxis], fields, axis=1),
        ],
        axis=1,
    )
    reach = variances[:, :, np.newaxis] * adds.T
    seen = adds @ reach + np.diag(cells.deviation**2)
    gain = np.swapaxes(np.linalg.solve(seen, np.swapaxes(reach, 1, 2)), 1, 2)
    means = gain @ cells.value
    covariances = variances[:, :, np.newaxis] * np.eye(variances.shape[1]) - gain @ np.swapaxes(reach, 1, 2)
    misfit = np.linalg.solve(seen, np.broadcast_to(cells.value[:, np.newaxis], (len(seen), len(cells.value), 1)))
    score = -0.5 * (cells.value @ misfit[..., 0].T + np.linalg.slogdet(seen)[1])
    weight = np.exp(score - np.max(score))
    weight /= np.sum(weight)
    mean = weight @ means
    away = means - mean
    covariance = np.einsum("g,gij->ij", weight, covariances) + np.einsum("g,gi,gj->ij", weight, away, away)
    return Effects(mean, covariance, float(np.sqrt(weight @ by_machine)), float(np.sqrt(weight @ by_field)))


def elsewhere(effects: Effects, machine: int | None) -> tuple[float, float]:
    """Return mean and standard deviation of the logarithm of the factor on a field not yet worked [1].

    Parameters
    ----------
    effects : Effects
    machine : int or None
        Number of the machine; None for one that has not yet run.
    """
    adds = np.zeros(len(effects.mean))
    adds[0] = 1.0
    apart = effects.between_fields**2
    if machine is None:
        apart += effects.between_machines**2
    else:
        adds[1 + machine] = 1.0
    return float(adds @ effects.mean), float(np.sqrt(adds @ effects.covariance @ adds + apart))
