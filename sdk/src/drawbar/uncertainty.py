"""Uncertain inputs through any calculation: samples, quantiles, Sobol indices and derivatives. Needs NumPy.

Any leaf of a request may be uncertain, and any leaf of the answer is an output. Rows go to the service as a batch, so
that what is worked out here is what a single request would answer.

>>> from drawbar.uncertainty import Study, lognormal, normal
>>> study = Study(
...     "match", scenario, {"/speed": normal(8, 0.5, "km/h"), "/soil/cone_index": lognormal(1100, 0.2, "kPa")},
...     columns=["/at_work/slip", "/fuel/per_area"], correlation={("/speed", "/soil/cone_index"): -0.3},
... )  # doctest: +SKIP
>>> study.samples(client, 10_000).quantiles([0.05, 0.5, 0.95])  # doctest: +SKIP
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import NormalDist
from typing import Any, Final, Literal, TypeAlias

import msgspec
import numpy as np
import numpy.typing as npt

from drawbar import plots
from drawbar.batch import BatchResult
from drawbar.client import Client
from drawbar.errors import DrawbarError
from drawbar.models import RowFault

FloatArray: TypeAlias = npt.NDArray[np.float64]
Shape: TypeAlias = Literal["normal", "lognormal", "uniform", "triangular", "pert", "discrete"]
_RESAMPLES: Final = 1000
"""Bootstrap samples behind a confidence interval."""
_STEP: Final = 1e-3
"""Step of a derivative over the value it is taken at."""
_INNERMOST: Final = 1e-12
"""Share of the lower tail at which a sample is cut, so that no score is infinite."""


@dataclass(frozen=True)
class Distribution:
    """What is known of an uncertain number.

    Parameters
    ----------
    shape
        Name of the distribution.
    parameters
        In its order: normal (mean, standard deviation); lognormal (median, standard deviation of the logarithm);
        uniform (least, most); triangular and pert (least, most likely, most); discrete (the values, equally likely).
    unit
        Unit of the numbers; None for a plain number, such as a figure of a table.
    least, most
        Where the distribution is cut; None: not.

    Raises
    ------
    ValueError
        If the parameters make no such distribution.
    """

    shape: Shape
    parameters: tuple[float, ...]
    unit: str | None = None
    least: float | None = None
    most: float | None = None

    def __post_init__(self) -> None:
        count = {"normal": 2, "lognormal": 2, "uniform": 2, "triangular": 3, "pert": 3}.get(self.shape)
        given = self.parameters
        if not all(map(math.isfinite, given)) or not given or (count is not None and len(given) != count):
            raise ValueError(f"{self.shape} takes {count or 'some'} finite numbers, not {given}.")
        if self.shape in ("normal", "lognormal") and given[1] <= 0.0:
            raise ValueError(f"The standard deviation is above 0, not {given[1]:g}.")
        if self.shape == "lognormal" and given[0] <= 0.0:
            raise ValueError(f"The median of a log-normal number is above 0, not {given[0]:g}.")
        if self.shape in ("uniform", "triangular", "pert") and (list(given) != sorted(given) or given[0] == given[-1]):
            raise ValueError(f"{self.shape} takes rising numbers, not {given}.")
        if self.least is not None and self.most is not None and self.least >= self.most:
            raise ValueError(f"It is cut from {self.least:g} to {self.most:g}, which leaves nothing.")

    @property
    def central(self) -> float:
        """The median of the whole distribution, before it is cut."""
        return float(self._whole(np.array([0.5]))[0])

    def at(self, share: FloatArray) -> FloatArray:
        """Return the numbers below which these shares lie.

        Parameters
        ----------
        share
            From 0 to 1 [1].
        """
        low = self._below(self.least) if self.least is not None else 0.0
        high = self._below(self.most) if self.most is not None else 1.0
        if low >= high:
            raise ValueError(f"Nothing of this {self.shape} distribution lies where it is cut.")
        inside = np.clip(low + (high - low) * share, _INNERMOST, 1.0 - _INNERMOST)
        found = self._whole(inside)
        return np.clip(found, -np.inf if self.least is None else self.least, np.inf if self.most is None else self.most)

    def _below(self, value: float) -> float:
        """Return the share of the whole distribution below a value, by bisection where there is no shorter way."""
        low, high = 0.0, 1.0
        for _ in range(60):
            middle = 0.5 * (low + high)
            inside = min(max(middle, _INNERMOST), 1.0 - _INNERMOST)
            low, high = (middle, high) if self._whole(np.array([inside]))[0] < value else (low, middle)
        return 0.5 * (low + high)

    def _whole(self, share: FloatArray) -> FloatArray:
        given = self.parameters
        if self.shape == "normal":
            return given[0] + given[1] * _scores(share)
        if self.shape == "lognormal":
            return given[0] * np.exp(given[1] * _scores(share))
        if self.shape == "uniform":
            return given[0] + (given[1] - given[0]) * share
        if self.shape == "triangular":
            low, mode, high = given
            rising = low + np.sqrt(share * (high - low) * (mode - low))
            falling = high - np.sqrt((1.0 - share) * (high - low) * (high - mode))
            return np.where(share < (mode - low) / (high - low), rising, falling)
        if self.shape == "pert":
            return _pert(share, *given)
        return np.asarray(given, dtype=np.float64)[np.minimum((share * len(given)).astype(np.intp), len(given) - 1)]


def normal(mean: float, deviation: float, unit: str | None = None, **cut: float) -> Distribution:
    """Return a normal distribution with this mean and standard deviation, cut at `least` and `most` if given."""
    return Distribution("normal", (mean, deviation), unit, **cut)


def lognormal(median: float, sigma: float, unit: str | None = None, **cut: float) -> Distribution:
    """Return a log-normal distribution with this median and standard deviation of the logarithm."""
    return Distribution("lognormal", (median, sigma), unit, **cut)


def uniform(least: float, most: float, unit: str | None = None) -> Distribution:
    """Return a distribution in which any number from `least` to `most` is as likely as another."""
    return Distribution("uniform", (least, most), unit)


def triangular(least: float, likely: float, most: float, unit: str | None = None) -> Distribution:
    """Return a triangular distribution, whose density rises to what is most `likely` and falls from there."""
    return Distribution("triangular", (least, likely, most), unit)


def pert(least: float, likely: float, most: float, unit: str | None = None) -> Distribution:
    """Return a PERT distribution: a beta distribution with mean (least + 4 likely + most) / 6."""
    return Distribution("pert", (least, likely, most), unit)


def discrete(values: Sequence[float], unit: str | None = None) -> Distribution:
    """Return a distribution over some measured values, each as likely as another."""
    return Distribution("discrete", tuple(values), unit)


@dataclass(frozen=True)
class Samples:
    """What uncertain inputs came to, and what the calculation made of them.

    Parameters
    ----------
    inputs, outputs
        A number for each sample, by JSON Pointer; NaN where there is no answer.
    units
        Units of both, by pointer.
    faults
        What was wrong with samples that have no answer; their share is in `unanswered`.
    """

    inputs: dict[str, FloatArray] = field(repr=False)
    outputs: dict[str, FloatArray] = field(repr=False)
    units: dict[str, str]
    faults: list[RowFault] = field(repr=False)

    def __len__(self) -> int:
        return len(next(iter(self.inputs.values())))

    @property
    def unanswered(self) -> float:
        """Share of the samples that were refused [1]."""
        return len({fault.row for fault in self.faults}) / len(self)

    def quantiles(self, levels: Sequence[float]) -> dict[str, FloatArray]:
        """Return the quantiles of every output at these levels [1], of the samples that have an answer."""
        return {name: np.nanquantile(values, list(levels)) for name, values in self.outputs.items()}

    def chance(self, happens: npt.NDArray[np.bool_]) -> tuple[float, float]:
        """Return the share of samples in which something happens, and its standard error [1]."""
        share = float(np.mean(happens))
        return share, math.sqrt(share * (1.0 - share) / len(happens))

    def to_columns(self) -> dict[str, FloatArray]:
        """Return inputs and outputs together, called by pointer and unit: a table for any library."""
        return {
            f"{name} [{unit}]" if (unit := self.units.get(name)) else name: values
            for name, values in (self.inputs | self.outputs).items()
        }


@dataclass(frozen=True)
class Index:
    """Share of the variance of an output that an input brings [1], with its confidence interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Indices:
    """Sobol indices of one output, by the pointer of the input."""

    first: dict[str, Index]
    """What an input brings by itself."""
    total: dict[str, Index]
    """What it brings by itself and together with others."""

    def plot(self, ax: plots.Axes | None = None) -> plots.Axes:
        """Draw both with their intervals. Needs `pip install './sdk[plot]'`.

        Parameters
        ----------
        ax
            Axes to draw on; None for new ones.
        """
        series = {"by itself": self.first, "with others": self.total}
        shown = {
            name: {pointer: (one.value, one.low, one.high) for pointer, one in each.items()}
            for name, each in series.items()
        }
        return plots.intervals(shown, "share of the variance", ax)


@dataclass(frozen=True)
class Derivative:
    """How an output moves with an input.

    Parameters
    ----------
    value
        In the unit of the output for each unit of the input.
    error
        Bound on what the difference quotients leave unknown, in the same unit.
    unit
        Of both.
    """

    value: float
    error: float
    unit: str


class Study:
    """A calculation with uncertain inputs.

    Parameters
    ----------
    calculation
        Which one, such as "match".
    scenario
        A request of it, with what is certain.
    inputs
        What is uncertain, by JSON Pointer into the request.
    columns
        Outputs: JSON Pointers to numbers in the answer.
    correlation
        Rank correlation [1] between pairs of inputs; those not named are independent.

    Raises
    ------
    ValueError
        If there is no input or no output, or the correlations contradict each other.
    """

    def __init__(
        self,
        calculation: str,
        scenario: Mapping[str, Any] | msgspec.Struct,
        inputs: Mapping[str, Distribution],
        columns: Sequence[str],
        correlation: Mapping[tuple[str, str], float] | None = None,
    ) -> None:
        if not inputs or not columns:
            raise ValueError("A study has at least one uncertain input and one output.")
        self.calculation = calculation
        self.scenario = scenario
        self.inputs = dict(inputs)
        self.columns = list(columns)
        self._correlated = bool(correlation)
        self._factor = self._cholesky(correlation or {})

    def _cholesky(self, correlation: Mapping[tuple[str, str], float]) -> FloatArray:
        names = list(self.inputs)
        matrix = np.eye(len(names))
        for (one, other), rank in correlation.items():
            if one not in names or other not in names or one == other:
                raise ValueError(f"{one!r} and {other!r} are not two of the inputs.")
            # Of normal scores, whose rank correlation is the one asked for.
            both = 2.0 * math.sin(math.pi / 6.0 * rank)
            matrix[names.index(one), names.index(other)] = matrix[names.index(other), names.index(one)] = both
        try:
            return np.asarray(np.linalg.cholesky(matrix), dtype=np.float64)
        except np.linalg.LinAlgError as fault:
            raise ValueError("These correlations contradict each other: no numbers have all of them.") from fault

    def draw(self, count: int, seed: int = 0) -> dict[str, FloatArray]:
        """Return samples of the inputs, by pointer: a Latin hypercube, the same for the same seed.

        Parameters
        ----------
        count
            Number of samples.
        seed
            Of the random numbers.
        """
        random = np.random.default_rng(seed)
        shares = _hypercube(random, len(self.inputs), count)
        if self._correlated:
            scores = self._factor @ _scores(np.clip(shares, _INNERMOST, 1.0 - _INNERMOST))
            shares = _shares(scores)
        return {name: one.at(share) for (name, one), share in zip(self.inputs.items(), shares, strict=True)}

    def samples(self, client: Client, count: int, seed: int = 0) -> Samples:
        """Draw samples and return what the calculation makes of them.

        Parameters
        ----------
        client
            Who is asked.
        count
            Number of samples, any.
        seed
            Of the random numbers; the same seed gives the same samples.
        """
        drawn = self.draw(count, seed)
        answer = self._ask(client, drawn)
        units = {name: one.unit or "" for name, one in self.inputs.items()} | answer.units
        return Samples(drawn, self._outputs(answer), units, answer.faults)

    def sobol(self, client: Client, count: int = 1024, seed: int = 0, level: float = 0.95) -> dict[str, Indices]:
        """Return Sobol indices of every output, with confidence intervals from the bootstrap.

        Parameters
        ----------
        client
            Who is asked, for count x (inputs + 2) rows.
        count
            Base number of samples.
        seed
            Of the random numbers.
        level
            Of the confidence intervals [1].

        Raises
        ------
        ValueError
            If inputs are correlated: variance then cannot be shared out among them.
        DrawbarError
            If a sample has no answer, or not this output; cut its distribution.

        References
        ----------
        First order after Saltelli et al. (2010), total after Jansen (1999); from memory.
        """
        if self._correlated:
            raise ValueError("Sobol indices are of independent inputs; leave the correlation out.")
        random = np.random.default_rng(seed)
        names = list(self.inputs)
        first, second = (_hypercube(random, len(names), count) for _ in range(2))
        blocks = [first, second]
        for at in range(len(names)):
            mixed = first.copy()
            mixed[at] = second[at]
            blocks.append(mixed)
        shares = np.concatenate(blocks, axis=1)
        drawn = {name: one.at(share) for (name, one), share in zip(self.inputs.items(), shares, strict=True)}
        outputs = self._outputs(self._ask(client, drawn, whole=True))
        return {
            name: _indices(values.reshape(len(names) + 2, count), names, random, level)
            for name, values in outputs.items()
        }

    def derivatives(self, client: Client, at: Mapping[str, float] | None = None) -> dict[str, dict[str, Derivative]]:
        """Return how every output moves with every input, by pointer of output and input.

        Parameters
        ----------
        client
            Who is asked, for 4 rows for each input.
        at
            Where, by pointer, in the units of the inputs; the median of those left out.

        Raises
        ------
        DrawbarError
            If there is no answer close by, or not this output.

        Notes
        -----
        Central differences with a step of 1/1000 of the value and with half of it, extrapolated to none (Richardson).
        What the two differ by bounds the error. At a kink, such as a limit that begins to bind, that bound is wide.
        """
        centre = {name: (at or {}).get(name, one.central) for name, one in self.inputs.items()}
        steps = {name: _STEP * (abs(value) or 1.0) for name, value in centre.items()}
        offsets = (-1.0, -0.5, 0.5, 1.0)
        rows = len(offsets) * len(centre)
        asked = {name: np.full(rows, value) for name, value in centre.items()}
        for place, name in enumerate(centre):
            start = place * len(offsets)
            asked[name][start : start + len(offsets)] += steps[name] * np.array(offsets)
        answer = self._ask(client, asked, whole=True)
        found: dict[str, dict[str, Derivative]] = {}
        for output, values in self._outputs(answer).items():
            moves = found.setdefault(output, {})
            for place, (name, one) in enumerate(self.inputs.items()):
                low, nearer_low, nearer_high, high = values[place * len(offsets) : (place + 1) * len(offsets)]
                whole = (high - low) / (2.0 * steps[name])
                half = (nearer_high - nearer_low) / steps[name]
                unit = _over(answer.units.get(output, ""), one.unit)
                moves[name] = Derivative(float((4.0 * half - whole) / 3.0), float(abs(half - whole)), unit)
        return found

    def propagated(self, client: Client, deviations: Mapping[str, float]) -> dict[str, float]:
        """Return the standard deviation of every output to first order, from those of the inputs.

        Parameters
        ----------
        client
            Who is asked.
        deviations
            Standard deviations by pointer, in the units of the inputs. Correlations of the study count.
        """
        spread = np.array([deviations.get(name, 0.0) for name in self.inputs])
        correlation = self._factor @ self._factor.T
        found: dict[str, float] = {}
        for output, moves in self.derivatives(client).items():
            each = spread * np.array([moves[name].value for name in self.inputs])
            found[output] = math.sqrt(max(float(each @ correlation @ each), 0.0))
        return found

    def _ask(self, client: Client, drawn: Mapping[str, FloatArray], *, whole: bool = False) -> BatchResult:
        vary = {name if one.unit is None else f"{name} [{one.unit}]": drawn[name] for name, one in self.inputs.items()}
        answer = client.batch(self.calculation, self.scenario, vary, columns=self.columns)
        if whole and answer.faults:
            fault = answer.faults[0]
            raise DrawbarError(
                f"{len({one.row for one in answer.faults})} of {answer.rows} samples have no answer; "
                f"the first at {fault.pointer}: {fault.detail}. Cut the distribution with least and most."
            )
        for name, values in self._outputs(answer).items() if whole else ():
            if nothing := int(np.count_nonzero(np.isnan(values))):
                raise DrawbarError(
                    f"{nothing} of {answer.rows} samples have no {name}: the work cannot be done there. Cut the "
                    "distributions with least and most, or leave this output out."
                )
        return answer

    def _outputs(self, answer: BatchResult) -> dict[str, FloatArray]:
        return {name: np.asarray(answer.columns[name], dtype=np.float64) for name in self.columns}


def _over(unit: str, below: str | None) -> str:
    """Return the unit of an output over that of an input."""
    if below in (None, "1"):
        return unit or "1"
    return f"{unit or '1'}/{f'({below})' if '/' in below else below}"


def sobol_indices(values: FloatArray, names: Sequence[str], *, seed: int = 0, level: float = 0.95) -> Indices:
    """Return Sobol indices with confidence intervals from outputs that are known already.

    Parameters
    ----------
    values
        Shape (inputs + 2, samples): the output of two independent samples A and B, then for each input that of A with
        its values from B.
    names
        Of the inputs.
    seed
        Of the bootstrap.
    level
        Of the confidence intervals [1].
    """
    return _indices(values, list(names), np.random.default_rng(seed), level)


def _indices(values: FloatArray, names: list[str], random: np.random.Generator, level: float) -> Indices:
    ends = (0.5 * (1.0 - level), 0.5 * (1.0 + level))
    count = values.shape[1]
    first, total = _shares_of_variance(values)
    picked = random.integers(0, count, (_RESAMPLES, count))
    again = [_shares_of_variance(values[:, rows]) for rows in picked]
    found = [
        {
            name: Index(float(point[at]), *(float(end) for end in np.quantile([one[which][at] for one in again], ends)))
            for at, name in enumerate(names)
        }
        for which, point in enumerate((first, total))
    ]
    return Indices(*found)


def _shares_of_variance(values: FloatArray) -> tuple[FloatArray, FloatArray]:
    if np.ptp(values[:2]) == 0.0:
        return np.zeros(len(values) - 2), np.zeros(len(values) - 2)
    # About their mean, which takes nothing from the shares and most of the scatter from their first order.
    one, other, *_ = about = values - np.mean(values[:2])
    mixed, variance = about[2:], np.mean(about[:2] ** 2)
    first = np.mean(other * (mixed - one), axis=1) / variance
    total = 0.5 * np.mean((one - mixed) ** 2, axis=1) / variance
    return first, total


def _hypercube(random: np.random.Generator, inputs: int, count: int) -> FloatArray:
    """Return shares of shape (inputs, count) of which each input has one in each of `count` equal steps."""
    if count < 1:
        raise ValueError("A study takes at least one sample.")
    steps = random.permuted(np.tile(np.arange(count, dtype=np.float64), (inputs, 1)), axis=1)
    return (steps + random.random((inputs, count))) / count


def _scores(shares: FloatArray) -> FloatArray:
    """Return the standard normal scores below which these shares lie."""
    normal = NormalDist().inv_cdf
    return np.fromiter(map(normal, shares.ravel().tolist()), np.float64, shares.size).reshape(shares.shape)


def _shares(scores: FloatArray) -> FloatArray:
    halves = (0.5 * math.erfc(-score / math.sqrt(2.0)) for score in scores.ravel().tolist())
    return np.fromiter(halves, np.float64, scores.size).reshape(scores.shape)


def _pert(share: FloatArray, low: float, mode: float, high: float) -> FloatArray:
    """Return quantiles of a beta distribution with 4 times the weight on what is most likely, by its distribution."""
    rises, falls = 1.0 + 4.0 * (mode - low) / (high - low), 1.0 + 4.0 * (high - mode) / (high - low)
    at = np.linspace(0.0, 1.0, 20_001)
    density = at ** (rises - 1.0) * (1.0 - at) ** (falls - 1.0)
    below = np.concatenate(([0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))))
    return low + (high - low) * np.interp(share, below / below[-1], at)
