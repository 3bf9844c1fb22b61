"""What field runs say of a machine's draft and a soil's strength, put to the engine and judged."""

from collections.abc import Callable, Sequence
from typing import Literal, NamedTuple, Protocol, TypeAlias, get_args

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real
from drawbar_service.engine.axle_loads import AxleLoads
from drawbar_service.engine.calibration import (
    FUEL,
    OUTLIER,
    SLIP,
    FieldRuns,
    Measurements,
    Posterior,
    Prior,
    Readings,
    Sorted,
    learn,
    predict,
    stand_out,
)
from drawbar_service.engine.draft import DraftTerms
from drawbar_service.engine.match import Work
from drawbar_service.engine.odds import END_SCORE, log_sigma
from drawbar_service.engine.traction import mobility_number
from drawbar_service.model.findings import Findings
from drawbar_service.model.fuel import LIGHTEST_FITTED_LOAD
from drawbar_service.model.implement import ToolDraft, deep_tools, draft_span, grade_pull, main_tool, tool_drafts
from drawbar_service.model.match import hitched_tractor, needs_of
from drawbar_service.model.nouns import Implement, Soil, Tractor
from drawbar_service.model.own_machine import fuel_law
from drawbar_service.model.span import Span
from drawbar_service.model.tracks import on_tracks
from drawbar_service.model.tractor import WheeledTractor, rated_pto_power

Measurable: TypeAlias = Literal["pull", "slip", "fuel_rate", "engine_load"]
"""What can be measured in a run, in the order in which the engine numbers it."""
MEASURABLE: tuple[Measurable, ...] = get_args(Measurable)
USUAL_ERROR: dict[Measurable, float] = {"pull": 0.03, "slip": 0.015, "fuel_rate": 0.03, "engine_load": 0.03}
"""Usual error: of slip itself, of the value for all else [1] (common practice, no source)."""
UNKNOWN_SPREAD = 0.5
"""High end of the draft's range over the draft, less 1 [1], where there is no draft to be measured against."""
TYPICAL_SOIL, MEASURED_SOIL = 0.3, 0.1
"""Standard deviation of the logarithm of a typical and of a measured cone index [1] (our choice, no source)."""
LEAST_SPREAD, LEAST_ERROR = 0.01, 0.001
"""Smallest prior spread and measurement error that are taken [1]."""
UNLIKELY = 0.001
"""Chance [1] of the misfit below which it is said that errors, prior or equations cannot be right."""
INFORMED = 1.01
"""How many times narrower than its prior a value must be to count as learned [1]."""
TWO_SIDED_95 = 1.96
"""Standard deviations to either side of the median that hold 95 in 100 of a normal distribution."""


class Run(Protocol):
    """One run in the field, and what was measured in it.

    Beside these members it has each of :data:`MEASURABLE`, and its error under the same name and ``_error``; None where
    it was not measured or the error is not known.
    """

    @property
    def machine(self) -> str | None:
        """Name of the machine, where there are several."""
        ...

    @property
    def field(self) -> str | None:
        """Name of the field, where there are several."""
        ...

    @property
    def speed(self) -> float:
        """Ground speed [m/s]."""
        ...

    @property
    def depth(self) -> float | None:
        """Of the tool that pulls hardest, in place of the implement's [m]."""
        ...

    @property
    def slope(self) -> float:
        """Rise over run, positive uphill [1]."""
        ...

    @property
    def engine_speed(self) -> float | None:
        """Over full-throttle speed, in place of the tractor's [1]."""
        ...


class Known(Protocol):
    """How well things were known before: standard deviations of the logarithms."""

    @property
    def draft(self) -> float | None:
        """Of the draft multiplier [1]."""
        ...

    @property
    def cone_index(self) -> float | None:
        """Of the cone index [1]."""
        ...


class CalibrationJob(Protocol):
    """A tractor, an implement and a soil, and runs in the field."""

    @property
    def tractor(self) -> Tractor:
        """On wheels."""
        ...

    @property
    def implement(self) -> Implement:
        """Its draft multiplier is where the search starts from."""
        ...

    @property
    def soil(self) -> Soil:
        """The soil of all runs."""
        ...

    @property
    def runs(self) -> Sequence[Run]:
        """At least one."""
        ...

    @property
    def prior(self) -> Known:
        """What was known before."""
        ...


class Taken(NamedTuple):
    """Least and most that a request takes of what is learned; what is beyond means wrong units or the wrong machine."""

    multiplier: tuple[float, float]
    """[1]"""
    cone_index: tuple[float, float]
    """[Pa]"""


class Centre(NamedTuple):
    """Medians before the runs."""

    multiplier: float
    """[1]"""
    cone_index: float
    """[Pa]"""


class Estimate(NamedTuple):
    """A value before and after the runs; low and high hold 95 in 100."""

    median: Span[float]
    deviation: float
    """Standard deviation of its logarithm [1]"""
    before: Span[float]
    before_deviation: float
    """[1]"""

    @property
    def times_narrower(self) -> float:
        """Standard deviation before over after [1]."""
        return self.before_deviation / self.deviation

    @property
    def informed(self) -> bool:
        """Whether the runs say anything of it."""
        return self.times_narrower >= INFORMED


class Learned(NamedTuple):
    """What the runs taught."""

    multiplier: Estimate
    """Draft over that of the table [1]"""
    cone_index: Estimate
    """[Pa]"""
    correlation: float
    """Between the logarithms of the two [1]"""


class Calibrated(NamedTuple):
    """Field runs, worked out."""

    measured: Measurements
    found: Posterior
    learned: Learned
    others: Learned | None
    """From the runs that agree alone; None if none stands out, or too many to say which are right."""
    shown: Readings
    """What the runs should have shown, with the medians found."""
    apart: set[int]
    """Runs that do not go with the others."""
    runs: FieldRuns
    centre: Centre
    prior: Prior


def calibrate(job: CalibrationJob, taken: Taken, found: Findings) -> Calibrated:
    """Return what field runs say of draft and soil.

    Parameters
    ----------
    job : CalibrationJob
    taken : Taken
    found : Findings
        Receives assumptions, warnings and faults.

    Raises
    ------
    Impossible
        If there are faults.
    """
    _check_job(job, found)
    measured = _measurements(job.runs, found)
    runs, centre, prior = _resolve(job, found)
    found.use("brixius-1987", "zoz-grisso-2003", "asabe-s296", "grisso-2004")
    whole = learn(runs, measured, prior)
    _check_found(whole, centre, taken, found)
    found.stop_at_faults()
    agreeing = stand_out(runs, measured, prior, whole)
    apart = _report_outliers(runs, measured, whole, agreeing, found)
    shown = predict(runs, *(float(factor) for factor in np.exp(whole.log_factors)))
    learned = _learned(whole, centre, prior)
    _warn(job, measured, whole, prior, learned, shown, found)
    # Too many apart, and nobody knows which of them are right.
    others = bool(agreeing.apart) and not _no_majority(agreeing, measured)
    rest = _learned(agreeing.rest, centre, prior) if others else None
    return Calibrated(measured, whole, learned, rest, shown, apart, runs, centre, prior)


def reading_of(readings: Readings, what: Measurable, run: int) -> float:
    """Return one of the `readings` in one run, in SI units."""
    value: Real = readings[MEASURABLE.index(what)]
    return value.item(run) if isinstance(value, np.ndarray) else float(value)


# ---- what was measured


def _check_job(job: CalibrationJob, found: Findings) -> None:
    if on_tracks(job.tractor.drive):
        found.fault("no-soil-by-tracks", "/tractor/drive")
        found.stop_at_faults()
    if not job.implement.tools:
        found.fault("learns-of-ground-tools", "/implement/tools")
    for name in ("draft", "cone_index"):
        spread = getattr(job.prior, name)
        if spread is not None and spread < LEAST_SPREAD:
            found.fault("nothing-to-learn", f"/prior/{name}", spread=spread, least=100.0 * LEAST_SPREAD)


def _measurements(runs: Sequence[Run], found: Findings) -> Measurements:
    rows: list[tuple[int, int, float, float]] = []
    for number, what in enumerate(MEASURABLE):
        usual = USUAL_ERROR[what]
        first_without: int | None = None
        for index, run in enumerate(runs):
            value: float | None = getattr(run, what)
            error: float | None = getattr(run, f"{what}_error")
            place = f"/runs/{index}/{what}"
            if value is None:
                if error is not None:
                    found.warn("error-of-nothing", f"{place}_error", what=what)
                continue
            if value <= 0.0 and number != SLIP:
                found.fault("measured-nothing", place)
                continue
            if error is not None and error < LEAST_ERROR:
                found.fault("too-exact", f"{place}_error", least=100.0 * LEAST_ERROR)
                continue
            if error is None and first_without is None:
                first_without = index
            rows.append((number, index, float(value), usual if error is None else float(error)))
        if first_without is not None:
            kind = "usual-slip-error" if number == SLIP else "usual-error"
            found.assume(kind, f"/runs/{first_without}/{what}_error", usual, "common-practice")
    for index, run in enumerate(runs):
        if all(getattr(run, what) is None for what in MEASURABLE):
            found.fault("run-without-measurement", f"/runs/{index}")
    quantity, run_index, values, errors = zip(*rows, strict=True) if rows else ((), (), (), ())
    return Measurements(
        np.array(quantity, dtype=np.intp),
        np.array(run_index, dtype=np.intp),
        np.array(values, dtype=np.float64),
        np.array(errors, dtype=np.float64),
    )


# ---- the runs as the engine takes them


class _OnSlope(NamedTuple):
    """Tractor and implement on one slope."""

    tractor: WheeledTractor
    implement_pull: Real


def _resolve(job: CalibrationJob, found: Findings) -> tuple[FieldRuns, Centre, Prior]:
    tractor, implement = job.tractor, job.implement
    drafts = tool_drafts(implement, job.soil, found, job.tractor)
    needs = needs_of(implement, tractor, found)
    rated = rated_pto_power(tractor.power, found, "/tractor/power")

    def on_slope(slope: float, found: Findings) -> _OnSlope | None:
        wheeled = hitched_tractor(tractor, implement, job.soil, slope, found)
        return _OnSlope(wheeled, grade_pull(implement, slope, found)) if wheeled is not None else None

    slopes = [float(run.slope) for run in job.runs]
    first = on_slope(slopes[0], found)
    drafts_of_runs = [_draft_of_run(drafts, run, index, found) for index, run in enumerate(job.runs)]
    prior = _prior(job, drafts, found)
    engine_speeds = [run.engine_speed for run in job.runs]
    usual: Real = 1.0
    if None in engine_speeds:
        usual = found.fallback(tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    found.stop_at_faults()
    assert first is not None
    known = {slopes[0]: first}
    for slope in slopes:
        if slope not in known:
            known[slope] = _other_slope(on_slope, slope, found)
    here = [known[slope] for slope in slopes]
    # One array for each field that differs between runs.
    loads = AxleLoads(*np.array([one.tractor.engine.loads for one in here], dtype=np.float64).T)
    engine = first.tractor.engine._replace(
        loads=loads, grade_pull=np.array([one.tractor.engine.grade_pull for one in here])
    )
    work = Work(
        DraftTerms(*np.array(drafts_of_runs, dtype=np.float64).T),
        np.array([one.implement_pull for one in here]),
        needs.total,
    )
    in_track = (
        np.asarray(mobility_number(first.tractor.front.stiffness, np.maximum(loads.front_standing, 1.0)))
        if tractor.rear_follows_front
        else None
    )
    runs = FieldRuns(
        engine,
        work,
        np.array([float(run.speed) for run in job.runs]),
        float(rated),
        np.array([float(usual) if speed is None else float(speed) for speed in engine_speeds]),
        in_track,
        fuel_law(tractor.power, found, "/tractor/power"),
    )
    # The front wheels run on fresh soil, whatever the rear ones do.
    strength = first.tractor.front.tire.cone_index
    return runs, Centre(float(implement.draft_multiplier), float(strength)), prior


def _other_slope(on_slope: Callable[[float, Findings], _OnSlope | None], slope: float, found: Findings) -> _OnSlope:
    """Return tractor and implement on a further slope; what was said of the first is not said again."""
    aside = Findings(found.asked)
    here = on_slope(slope, aside)
    assert here is not None  # what a tractor lacks, it lacks on any slope
    assumed = {one.pointer for one in found.assumed}
    said = {(one.kind, one.pointer) for one in found.warned}
    for one in aside.assumed:
        if one.pointer not in assumed:
            found.assumed.append(one)
            found.use(one.source)
    found.warned += [one for one in aside.warned if (one.kind, one.pointer) not in said]
    found.cautions |= aside.cautions
    return here


def _draft_of_run(drafts: Sequence[ToolDraft], run: Run, index: int, found: Findings) -> DraftTerms:
    total = draft_span(drafts, ends=False).value
    if run.depth is None or not drafts:
        return total
    main = main_tool(deep_tools(drafts), float(run.speed))
    if main is None or main.depth is None:
        found.fault("depth-counts-nowhere", f"/runs/{index}/depth")
        return total
    return total.plus(main.terms, float(run.depth) / main.depth - 1.0)


def _prior(job: CalibrationJob, drafts: Sequence[ToolDraft], found: Findings) -> Prior:
    draft, soil = job.prior.draft, job.prior.cone_index
    if draft is None:
        speed = sum(float(run.speed) for run in job.runs) / len(job.runs)
        central, _, high = draft_span(drafts).map(lambda terms: float(terms.at(speed)))
        assert high is not None
        spread = high / central - 1.0 if central > 0.0 else UNKNOWN_SPREAD
        draft = float(log_sigma(spread, END_SCORE))
        found.assume(
            "prior-by-range",
            "/prior/draft",
            draft,
            "drawbar-default",
            spread=100.0 * spread,
        )
    if soil is None:
        kind, soil = (
            ("prior-of-typical-soil", TYPICAL_SOIL)
            if job.soil.cone_index is None and not job.soil.cone_readings
            else ("prior-of-measured-soil", MEASURED_SOIL)
        )
        found.assume(kind, "/prior/cone_index", soil, "drawbar-default")
    return Prior(float(draft), float(soil))


# ---- what was found


def _check_found(whole: Posterior, centre: Centre, taken: Taken, found: Findings) -> None:
    """Refuse values that no request would take: they mean wrong units or the wrong machine."""
    multiplier, strength = (float(median) for median in np.array(centre) * np.exp(whole.log_factors))
    for kind, value, (least, most) in (
        ("implied-draft", multiplier, taken.multiplier),
        ("implied-cone-index", strength, taken.cone_index),
    ):
        if not least <= value <= most:
            found.fault(kind, "/runs", value=value, least=least, most=most)


def _no_majority(agreeing: Sorted, measured: Measurements) -> bool:
    return 2 * len(agreeing.apart) >= len(np.unique(measured.run))


def _report_outliers(
    runs: FieldRuns, measured: Measurements, whole: Posterior, agreeing: Sorted, found: Findings
) -> set[int]:
    """Warn of runs that do not go with the others, and return them."""
    if not agreeing.apart:
        return set()
    if _no_majority(agreeing, measured):
        odd = sorted({int(run) for run in measured.run[np.abs(whole.left_out) > OUTLIER]} | set(agreeing.apart))
        for run in odd:
            found.warn("runs-contradict", f"/runs/{run}", listed=", ".join(str(run) for run in odd))
        return set(odd)
    expected = predict(runs, *(float(factor) for factor in np.exp(agreeing.rest.log_factors)))
    for run in agreeing.apart:
        of_run = np.flatnonzero(measured.run == run)
        worst = of_run[np.argmax(np.abs(whole.left_out[of_run]))]
        what = MEASURABLE[measured.quantity[worst]]
        found.warn(
            f"odd-{what.replace('_', '-')}",
            f"/runs/{run}/{what}",
            measured=float(measured.value[worst]),
            expected=reading_of(expected, what, run),
        )
    return set(agreeing.apart)


def _warn(
    job: CalibrationJob,
    measured: Measurements,
    whole: Posterior,
    prior: Prior,
    learned: Learned,
    shown: Readings,
    found: Findings,
) -> None:
    count = len(job.runs)
    loads: FloatArray = np.broadcast_to(shown.load_fraction, count)
    for index in np.unique(measured.run[measured.quantity == FUEL]):
        if not LIGHTEST_FITTED_LOAD <= loads[index] <= 1.0:
            found.warn("load-of-run", f"/runs/{index}/fuel_rate", load=100.0 * float(loads[index]))
    for index in np.flatnonzero(np.broadcast_to(shown.pull_effort, count) > 1.0):
        found.warn("run-not-carried", f"/runs/{index}")
    if whole.p_value < UNLIKELY:
        found.warn("runs-misfit", "/runs", misfit=whole.misfit, measurements=len(measured.value))
    shifts = np.abs(whole.log_factors) / np.array(prior)
    for name, pointer, shift, estimate in zip(
        ("draft multiplier", "cone index"),
        ("/implement/draft_multiplier", "/soil/cone_index"),
        shifts.tolist(),
        learned[:2],
        strict=True,
    ):
        if shift > OUTLIER:
            found.warn("far-from-known", pointer, name=name, shift=shift)
        if not estimate.informed:
            found.warn("nothing-learned", pointer, name=name)


def _learned(whole: Posterior, centre: Centre, prior: Prior) -> Learned:
    shifts, deviations = whole.log_factors.tolist(), np.sqrt(np.diag(whole.covariance)).tolist()
    multiplier, cone_index = (
        estimate(middle, shift, deviation, before)
        for middle, shift, deviation, before in zip(centre, shifts, deviations, prior, strict=True)
    )
    return Learned(multiplier, cone_index, float(whole.covariance[0, 1]) / (deviations[0] * deviations[1]))


def estimate(centre: float, log_factor: float, deviation: float, before: float) -> Estimate:
    """Return an estimate from its median before the runs, the logarithm of the factor on it [1], and the deviations.

    Parameters
    ----------
    centre : float
        In the unit of the estimate.
    log_factor, deviation : float
        Mean and standard deviation of the logarithm after the runs [1].
    before : float
        Standard deviation of the logarithm before them [1].
    """
    return Estimate(_interval(centre, log_factor, deviation), deviation, _interval(centre, 0.0, before), before)


def _interval(centre: float, log_factor: float, sigma: float) -> Span[float]:
    low, middle, high = (centre * float(np.exp(log_factor + side * TWO_SIDED_95 * sigma)) for side in (-1.0, 0.0, 1.0))
    return Span(middle, low, high)
