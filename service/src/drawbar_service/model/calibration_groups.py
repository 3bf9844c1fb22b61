"""Field runs of several machines and fields: what they say of each, and of a field not yet worked."""

from typing import NamedTuple

import numpy as np

from drawbar_service.engine import hierarchy
from drawbar_service.engine.arrays import FloatArray, Mask, exp
from drawbar_service.engine.axle_loads import AxleLoads
from drawbar_service.engine.calibration import FieldRuns, IntArray, learn, residuals
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.hierarchy import Cells, Effects
from drawbar_service.model.calibration import Calibrated, CalibrationJob, Estimate, estimate
from drawbar_service.model.findings import Findings

_DRAWS, _SEED = 400, 20
"""Draws behind a predictive check [1], the same ones for the same request."""
_FEW = 3
"""Machines or fields below which how far they differ is mostly what was assumed [1]."""
_TAIL = 0.05
"""Share of measurements that lie beyond each end of the range of a check [1]."""


class Group(NamedTuple):
    """The runs of one machine on one field."""

    machine: str | None
    field: str | None
    runs: list[int]
    """Their places in the request"""
    multiplier: Estimate
    """Draft over that of the table [1]"""
    cone_index: Estimate
    """[Pa]"""
    correlation: float
    """Between the logarithms of the two [1]"""


class Elsewhere(NamedTuple):
    """A machine on a field not yet worked."""

    machine: str | None
    """None: one that has not yet run"""
    multiplier: Estimate


class Check(NamedTuple):
    """Whether measurements lie where they were expected."""

    inside: float
    """Share in the range that is meant to hold 9 in 10 [1]"""
    p_value: float
    """Chance of a greater misfit against what is expected on the whole, if all is as said [1]"""


class Grouped(NamedTuple):
    """Runs by machine and field, worked out."""

    groups: list[Group]
    elsewhere: list[Elsewhere]
    between_machines: float | None
    """Standard deviation of the logarithm of the draft from machine to machine [1]; None with one"""
    between_fields: float | None
    """The same from field to field [1]"""
    before: Check
    after: Check


def grouped(job: CalibrationJob, done: Calibrated, found: Findings) -> Grouped | None:
    """Return what the runs say by machine and field; None where no run names either.

    Parameters
    ----------
    job : CalibrationJob
    done : Calibrated
        What all runs together say.
    found : Findings
        Receives warnings.
    """
    if all(run.machine is None and run.field is None for run in job.runs):
        return None
    machines, fields = (tuple(dict.fromkeys(names)) for names in zip(*_names(job), strict=True))
    places: dict[tuple[str | None, str | None], list[int]] = {}
    for index, name in enumerate(_names(job)):
        places.setdefault(name, []).append(index)
    alone = [_alone(done, runs) for runs in places.values()]
    found.go_on()
    factors = [hierarchy.likelihood(one.mean[0], one.covariance[0, 0] ** 0.5, done.prior.draft) for one in alone]
    value, deviation = np.array(factors).T
    cells = Cells(
        np.array([machines.index(machine) for machine, _ in places], dtype=np.intp),
        np.array([fields.index(field) for _, field in places], dtype=np.intp),
        value,
        deviation,
    )
    counts = len(machines), len(fields)
    effects = hierarchy.after(cells, *counts, done.prior.draft)
    adds = hierarchy.within(cells, *counts)
    drawn_to = [_together(one, row, effects) for one, row in zip(alone, adds, strict=True)]
    for pointer, names in (("machine", machines), ("field", fields)):
        found.warn("few-groups", "/runs", where=1 < len(names) < _FEW, name=pointer, groups=len(names))
    start = hierarchy.before(*counts, done.prior.draft)
    whole = _Sampled(done, list(places.values()), adds)
    return Grouped(
        [_group(name, runs, one, done) for (name, runs), one in zip(places.items(), drawn_to, strict=True)],
        [_elsewhere(effects, number, name, done) for number, name in enumerate(machines)]
        + ([_elsewhere(effects, None, None, done)] if len(machines) > 1 else []),
        effects.between_machines if len(machines) > 1 else None,
        effects.between_fields if len(fields) > 1 else None,
        whole.check(start, [_Pair(np.zeros(2), np.diag(np.square(done.prior)))] * len(places)),
        whole.check(effects, alone),
    )


class _Pair(NamedTuple):
    """Logarithms of the factors on draft and cone index."""

    mean: FloatArray
    covariance: FloatArray

    @property
    def slope(self) -> float:
        """Rise of the second with the first [1]."""
        return float(self.covariance[0, 1] / self.covariance[0, 0])

    @property
    def rest(self) -> float:
        """Variance of the second where the first is known [1]."""
        return float(self.covariance[1, 1] - self.slope * self.covariance[0, 1])


def _names(job: CalibrationJob) -> list[tuple[str | None, str | None]]:
    return [(run.machine, run.field) for run in job.runs]


def _alone(done: Calibrated, runs: list[int]) -> _Pair:
    which = np.array(runs, dtype=np.intp)
    theirs = done.measured.without(np.setdiff1d(done.measured.run, which))
    found = learn(_of_runs(done.runs, which), theirs._replace(run=np.searchsorted(which, theirs.run)), done.prior)
    return _Pair(found.log_factors, found.covariance)


def _of_runs(runs: FieldRuns, which: IntArray) -> FieldRuns:
    """Return some of the runs: all others would be worked out, too, to no end."""
    tractor, work = runs.tractor, runs.work
    loads = AxleLoads(*(np.asarray(one)[which] for one in tractor.loads))
    draft = DraftTerms(*(np.asarray(one)[which] for one in work.draft))
    return runs._replace(
        tractor=tractor._replace(loads=loads, grade_pull=np.asarray(tractor.grade_pull)[which]),
        work=work._replace(draft=draft, steady_pull=np.asarray(work.steady_pull)[which]),
        speed=runs.speed[which],
        engine_speed=runs.engine_speed[which],
        front_mobility=None if runs.front_mobility is None else runs.front_mobility[which],
    )


def _together(alone: _Pair, adds: FloatArray, effects: Effects) -> _Pair:
    """Return the factors of a machine on a field, with what all other runs say of its draft."""
    mean, variance = float(adds @ effects.mean), float(adds @ effects.covariance @ adds)
    soil = alone.mean[1] + alone.slope * (mean - alone.mean[0])
    both = alone.slope * variance
    return _Pair(np.array([mean, soil]), np.array([[variance, both], [both, alone.rest + alone.slope * both]]))


def _group(name: tuple[str | None, str | None], runs: list[int], found: _Pair, done: Calibrated) -> Group:
    deviations = np.sqrt(np.diag(found.covariance))
    multiplier, cone_index = (
        estimate(centre, float(mean), float(deviation), before)
        for centre, mean, deviation, before in zip(done.centre, found.mean, deviations, done.prior, strict=True)
    )
    return Group(*name, runs, multiplier, cone_index, float(found.covariance[0, 1] / np.prod(deviations)))


def _elsewhere(effects: Effects, number: int | None, name: str | None, done: Calibrated) -> Elsewhere:
    mean, deviation = hierarchy.elsewhere(effects, number)
    return Elsewhere(name, estimate(done.centre.multiplier, mean, deviation, done.prior.draft))


class _Sampled:
    """Runs as they may turn out, by drawing what is not known."""

    def __init__(self, done: Calibrated, places: list[list[int]], adds: FloatArray) -> None:
        self._done, self._adds = done, adds
        self._cell = np.empty(len(done.runs.speed), dtype=np.intp)
        for number, runs in enumerate(places):
            self._cell[runs] = number

    def check(self, effects: Effects, alone: list[_Pair]) -> Check:
        """Return whether what was measured is what these effects, and the soils of each cell alone, lead to expect."""
        from scipy import special  # noqa: PLC0415 - as in the engine

        random = np.random.default_rng(_SEED)
        values, vectors = np.linalg.eigh(effects.covariance)
        spread = vectors * np.sqrt(np.maximum(values, 0.0))
        draws = effects.mean + random.standard_normal((_DRAWS, len(values))) @ spread.T
        draft = draws @ self._adds.T
        slope, rest = (np.array([getattr(one, name) for one in alone]) for name in ("slope", "rest"))
        means = np.array([one.mean for one in alone])
        soil: FloatArray = means[:, 1] + slope * (draft - means[:, 0])
        soil = soil + np.sqrt(rest) * random.standard_normal(draft.shape)
        middle = self._adds @ effects.mean
        draft = np.vstack((draft, middle))
        soil = np.vstack((soil, means[:, 1] + slope * (middle - means[:, 0])))
        off = residuals(self._done.runs, self._done.measured, exp(draft[:, self._cell]), exp(soil[:, self._cell]))
        off, from_middle = off[:, :-1], off[:, -1:]
        below: FloatArray = np.mean(np.asarray(special.ndtr(off), dtype=np.float64), axis=1)
        inside: Mask = (below >= _TAIL) & (below <= 1.0 - _TAIL)
        # What runs of each draw would show, errors included, as it lies from what is expected on the whole.
        as_drawn = from_middle - off + random.standard_normal(off.shape)
        greater = int(np.count_nonzero(np.sum(as_drawn**2, axis=0) >= np.sum(from_middle**2)))
        return Check(float(np.mean(np.asarray(inside, dtype=np.float64))), (1.0 + greater) / (1.0 + _DRAWS))
