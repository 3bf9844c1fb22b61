"""What field runs say of two things no table knows: the draft of this machine here, and the soil under the wheels.

Unknown are two factors, on the draft and on the cone index, each log-normal before the runs (the prior).
Measured pull, slip, fuel and engine load are what :func:`drawbar_service.engine.match.operate` gives with
those factors, with errors that are independent and normal: in the logarithm for pull, fuel and load, in
points for slip.

The answer is the point of greatest posterior density with a covariance from the slopes there (Laplace's
approximation of the first order). In units of standard deviations the misfit is a sum of squares

    sum ((measured - predicted) / error)^2 + sum (ln factor / sigma)^2

over measurements and factors. The linear algebra of least squares then also tells, without another fit,
how far a run lies from what all others lead one to expect.
"""

from typing import Any, NamedTuple, cast

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray, Real, exp, larger, log
from drawbar_service.engine.fuel import FuelLaw, fuel_at_part_speed
from drawbar_service.engine.match import Tractor, Work, operate
from drawbar_service.engine.traction import second_pass_cone_index

PULL, SLIP, FUEL, LOAD = range(4)
"""What can be measured, as numbered in :class:`Measurements`; the order of :class:`Readings`."""

OUTLIER = 3.0
"""Standard deviations from what the other runs lead one to expect, beyond which a run stands out [1]."""
FARTHEST = 1000.0
"""Factor to either side within which the search stays [1]; far outside anything a caller may accept."""

IntArray = npt.NDArray[np.intp]


class FieldRuns(NamedTuple):
    """Runs of one tractor on one implement; fields that differ between runs have shape (runs,)."""

    tractor: Tractor
    """On soil of the reference cone index."""
    work: Work
    """With the reference draft, both factors being 1."""
    speed: FloatArray
    """[m/s]"""
    rated_power: float
    """At the PTO [W]"""
    engine_speed: FloatArray
    """Engine speed over full-throttle speed [1]"""
    front_mobility: FloatArray | None = None
    """Mobility number of the standing front axle [1] if the rear wheels run in its track, else None."""
    fuel: FuelLaw | None = None
    """What the engine burns, where the request says; None: by the fuel equation."""


class Readings(NamedTuple):
    """What instruments would show."""

    pull: Real
    """[N]"""
    slip: Real
    """[1]"""
    fuel_rate: Real
    """[m^3/s]"""
    load_fraction: Real
    """PTO power used over rated [1]"""
    pull_effort: Real
    """Net traction needed over the greatest there is [1]; nothing shows it."""


class Measurements(NamedTuple):
    """What instruments did show; all fields have shape (measurements,)."""

    quantity: IntArray
    """:data:`PULL`, :data:`SLIP`, :data:`FUEL` or :data:`LOAD`."""
    run: IntArray
    """Index of the run."""
    value: FloatArray
    """[N], [1], [m^3/s] or [1]; above 0 except for slip."""
    error: FloatArray
    """Standard deviation: of slip itself [1], of the logarithm of all else [1]."""

    def without(self, runs: IntArray) -> "Measurements":
        """Return what was measured in all but these `runs`."""
        keep = ~np.isin(self.run, runs)
        return Measurements(self.quantity[keep], self.run[keep], self.value[keep], self.error[keep])


class Prior(NamedTuple):
    """How well the factors are known before any run: standard deviations of their logarithms."""

    draft: float
    """[1]"""
    soil: float
    """[1]"""


class Posterior(NamedTuple):
    """How well the factors are known after the runs."""

    log_factors: FloatArray
    """Logarithm of the median factor on draft and on cone index [1], shape (2,)."""
    covariance: FloatArray
    """Of those logarithms [1], shape (2, 2)."""
    residuals: FloatArray
    """(measured - predicted) / error at the median [1], shape (measurements,)."""
    left_out: FloatArray
    """The same against a prediction from all other runs, over its own standard deviation [1]."""
    misfit: float
    """The sum of squares [1]; chi-squared with as many degrees of freedom as measurements."""
    p_value: float
    """Chance of a greater misfit if errors and prior are what they are said to be [1]."""


def predict(runs: FieldRuns, draft_factor: Real, soil_factor: Real) -> Readings:
    """Return what instruments would show in each run.

    Parameters
    ----------
    runs : FieldRuns
    draft_factor, soil_factor : float or array
        Factors on the reference draft and on the reference cone index [1]. Arrays need a last axis that
        broadcasts against the runs.

    Notes
    -----
    The stiffness of a wheel is proportional to the cone index. Rear wheels in the track of the front ones
    find the cone index :func:`drawbar_service.engine.traction.second_pass_cone_index` gives.
    """
    tractor, in_track = runs.tractor, soil_factor
    if runs.front_mobility is not None:
        in_track = second_pass_cone_index(soil_factor, soil_factor * runs.front_mobility) / second_pass_cone_index(
            1.0, runs.front_mobility
        )
    tractor = tractor._replace(
        front=tractor.front._replace(stiffness=tractor.front.stiffness * soil_factor),
        rear=tractor.rear._replace(stiffness=tractor.rear.stiffness * in_track),
    )
    point = operate(tractor, runs.work._replace(draft=runs.work.draft.times(draft_factor)), runs.speed)
    load = point.pto_power / runs.rated_power
    fuel = fuel_at_part_speed(load, runs.rated_power, runs.engine_speed, runs.fuel)
    return Readings(point.pull, point.slip, fuel, load, point.pull_effort)


def residuals(runs: FieldRuns, measured: Measurements, draft_factor: Real, soil_factor: Real) -> FloatArray:
    """Return (measured - predicted) / error [1], measurements along the first axis.

    Parameters
    ----------
    runs : FieldRuns
    measured : Measurements
    draft_factor, soil_factor : float or array
        As for :func:`predict` [1]. Of shape (..., 1) they give an answer of shape (measurements, ...).
    """
    shown = predict(runs, draft_factor, soil_factor)
    stacked = np.stack(np.broadcast_arrays(shown.pull, shown.slip, shown.fuel_rate, shown.load_fraction))
    predicted = stacked[measured.quantity, ..., measured.run]
    along = (-1,) + (1,) * (predicted.ndim - 1)
    value, error = measured.value.reshape(along), measured.error.reshape(along)
    is_slip = measured.quantity.reshape(along) == SLIP
    # Pulled downhill, an implement may need no pull at all: that has no logarithm, and is as wrong as can be.
    above_zero = larger(predicted, larger(1e-9 * value, 1e-300))
    in_logarithm = log(np.where(is_slip, 1.0, value)) - log(np.where(is_slip, 1.0, above_zero))
    return np.where(is_slip, value - predicted, in_logarithm) / error


def learn(runs: FieldRuns, measured: Measurements, prior: Prior) -> Posterior:
    """Return what the measurements leave of the prior.

    Parameters
    ----------
    runs : FieldRuns
    measured : Measurements
        At least one; a run without any has no influence.
    prior : Prior
        Standard deviations of the logarithms of the factors [1].

    Notes
    -----
    A coarse grid over four prior standard deviations finds where to start, so that a local minimum is not
    taken for the lowest; a trust region method refines it. Nothing that is measured is left out, however odd.
    """
    # scipy.optimize takes a while to import; only whoever calibrates pays.
    from scipy import optimize, special  # noqa: PLC0415

    sigma = np.array(prior)
    bound = np.log(FARTHEST) / sigma

    def misfits(scores: FloatArray) -> FloatArray:
        """Return residuals with those of the prior below, from scores of shape (..., 2), along the first axis."""
        logs = scores * sigma
        data = residuals(runs, measured, exp(logs[..., 0, np.newaxis]), exp(logs[..., 1, np.newaxis]))
        return np.concatenate([data, np.moveaxis(scores, -1, 0)])

    def slopes(scores: FloatArray) -> FloatArray:
        around = misfits(scores + _NUDGE * np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]]))
        return (around[:, 0::2] - around[:, 1::2]) / (2.0 * _NUDGE)

    axis = np.linspace(-4.0, 4.0, _GRID)
    grid = np.stack(np.meshgrid(axis, axis, indexing="ij"), axis=-1).reshape(-1, 2)
    start = grid[np.argmin(np.sum(misfits(grid) ** 2, axis=0))]
    found = cast("Any", optimize).least_squares(
        misfits,
        np.clip(start, -0.99 * bound, 0.99 * bound),
        slopes,
        (-bound, bound),
        xtol=1e-10,
        ftol=1e-10,
        gtol=1e-10,
        max_nfev=_EVALUATIONS,
    )
    scores = cast("FloatArray", found.x)
    count = len(measured.value)
    left = misfits(scores)
    slope = slopes(scores)[:count]
    covariance: FloatArray = np.linalg.inv(slope.T @ slope + np.eye(2)).astype(np.float64, copy=False)
    misfit = float(left @ left)
    return Posterior(
        scores * sigma,
        covariance * np.outer(sigma, sigma),
        left[:count],
        _left_out(slope, left[:count], measured.run),
        misfit,
        float(special.chdtrc(float(count), misfit)),
    )


_NUDGE = 1e-4
"""Step to either side for slopes, in prior standard deviations [1]."""
_GRID = 17
"""Points along each axis of the coarse grid."""
_EVALUATIONS = 200
"""Most steps of the refinement; it takes about ten."""


def _left_out(slope: FloatArray, left: FloatArray, run: IntArray) -> FloatArray:
    """Return residuals against what all other runs predict, over the standard deviation of that prediction error.

    With ``J`` the slopes of one run and ``C`` the covariance from all others, the error of the prediction
    has covariance P = I + J C J', and the residual grows from e to P e when the run is left out.
    """
    out = np.empty_like(left)
    for one in np.unique(run):
        inside = run == one
        others = slope[~inside]
        spread = np.linalg.inv(others.T @ others + np.eye(2))
        predictive = np.eye(int(inside.sum())) + slope[inside] @ spread @ slope[inside].T
        out[inside] = predictive @ left[inside] / np.sqrt(np.diag(predictive))
    return out


class Sorted(NamedTuple):
    """Runs that agree and runs that do not."""

    apart: list[int]
    """Runs that stand out from the rest, the worst first."""
    rest: Posterior
    """From the other runs alone."""


def stand_out(runs: FieldRuns, measured: Measurements, prior: Prior, whole: Posterior) -> Sorted:
    """Return which runs stand out from the rest, and what the rest says.

    Parameters
    ----------
    runs : FieldRuns
    measured : Measurements
    prior : Prior
        Standard deviations of the logarithms of the factors [1].
    whole : Posterior
        From all runs, as :func:`learn` gives it.

    Notes
    -----
    One odd run drags the fit, so that sound runs look odd too. Runs are therefore set apart one at a time,
    the worst first, and the rest judged anew. When half of them are apart, no one can say which half is
    right, and it ends.
    """
    apart: list[int] = []
    rest, kept = whole, measured
    count = len(np.unique(measured.run))
    while 2 * len(apart) < count and len(np.unique(kept.run)) > 1:
        worst = int(np.argmax(np.abs(rest.left_out)))
        if abs(rest.left_out[worst]) <= OUTLIER:
            break
        apart.append(int(kept.run[worst]))
        kept = measured.without(np.array(apart, dtype=np.intp))
        rest = learn(runs, kept, prior)
    return Sorted(apart, rest)
