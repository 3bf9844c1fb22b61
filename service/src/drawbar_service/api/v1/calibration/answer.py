"""POST /v1/calibration: what field runs say of this machine's draft and this soil's strength."""

from collections.abc import Callable
from functools import partial
from typing import Annotated, Literal, NamedTuple, TypeAlias, TypeVar

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation, a_while
from drawbar_service.api.shared.implement import Implement
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR, Tractor
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.axle_loads import AxleLoads
from drawbar_service.engine.calibration import (
    FUEL,
    LOAD,
    OUTLIER,
    PULL,
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
from drawbar_service.engine.odds import log_sigma
from drawbar_service.engine.traction import mobility_number
from drawbar_service.model.fuel import LIGHTEST_FITTED_LOAD
from drawbar_service.model.implement import (
    ToolDraft,
    draft_span,
    grade_pull,
    hitching,
    main_tool,
    power_needs,
    tool_drafts,
)
from drawbar_service.model.soil import cone_index
from drawbar_service.model.tractor import WheeledTractor, on_wheels, rated_pto_power
from drawbar_service.quantities import (
    ConeIndex,
    Depth,
    Efficiency,
    EngineSpeedRatio,
    Force,
    FuelRate,
    Multiplier,
    Pull,
    Quantity,
    Ratio,
    RelativeSpread,
    Share,
    Slope,
    Speed,
    WheelSlip,
)

QuantityT = TypeVar("QuantityT", bound=Quantity)
Measurable: TypeAlias = Literal["pull", "slip", "fuel_rate", "engine_load"]

RANGE_DEVIATIONS = 2.0
"""Standard deviations the range of a draft table row is read as (our choice, no source)."""
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


class CalibrationRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One run in the field, and what was measured in it: at least one of pull, slip, fuel rate and engine load.

    Errors are standard deviations, taken as independent between measurements.
    """

    speed: Annotated[Speed, Meta(description="Ground speed.", examples=["7.5 km/h"])]
    depth: Annotated[
        Depth | None, Meta(description="Depth of the tool that pulls hardest, in place of the implement's.")
    ] = None
    slope: Annotated[Slope, Meta(description="Rise over run, positive uphill.")] = msgspec.field(
        default_factory=partial(Slope, 0.0)
    )
    engine_speed: Annotated[
        EngineSpeedRatio | None, Meta(description="Engine speed over full-throttle speed, in place of the tractor's.")
    ] = None
    pull: Annotated[Pull | None, Meta(description="Measured pull at the hitch.", examples=["38 kN"])] = None
    pull_error: Annotated[RelativeSpread | None, Meta(description="Its error, relative.", examples=["3 %"])] = None
    slip: Annotated[WheelSlip | None, Meta(description="Measured slip.", examples=["11 %"])] = None
    slip_error: Annotated[
        RelativeSpread | None, Meta(description="Its error, in percentage points of slip.", examples=["1.5 %"])
    ] = None
    fuel_rate: Annotated[FuelRate | None, Meta(description="Measured fuel in a time.", examples=["31 L/h"])] = None
    fuel_rate_error: Annotated[RelativeSpread | None, Meta(description="Its error, relative.")] = None
    engine_load: Annotated[
        Efficiency | None,
        Meta(description="Measured load: power used, brought to the PTO, over rated PTO power.", examples=["85 %"]),
    ] = None
    engine_load_error: Annotated[RelativeSpread | None, Meta(description="Its error, relative.")] = None


CalibrationRuns = Annotated[list[CalibrationRun], Meta(min_length=1, max_length=50)]


class CalibrationPrior(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How well things were known before the runs: standard deviation of the logarithm, about that over the value."""

    draft: Annotated[
        RelativeSpread | None, Meta(description="Of the draft multiplier, in place of the draft table's range.")
    ] = None
    cone_index: Annotated[RelativeSpread | None, Meta(description="Of the cone index.", examples=["30 %"])] = None


class CalibrationRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A tractor, an implement and a soil as for a match, and runs in the field."""

    tractor: Annotated[Tractor, Meta(description="The tractor, on wheels.")]
    implement: Annotated[
        Implement, Meta(description="The implement. Its draft multiplier is where the search starts from.")
    ]
    soil: Annotated[Soil, Meta(description="The soil.")]
    runs: Annotated[CalibrationRuns, Meta(description="The runs.")]
    prior: Annotated[CalibrationPrior, Meta(description="How well things were known before the runs.")] = msgspec.field(
        default_factory=CalibrationPrior
    )


class LearnedMultiplier(msgspec.Struct, frozen=True, kw_only=True):
    """The draft multiplier, before and after the runs. Low and high hold 95 in 100."""

    median: Annotated[Multiplier, Meta(description="Draft of this machine here over that of the table.")]
    standard_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm.")]
    prior: Annotated[Multiplier, Meta(description="Before the runs.")]
    prior_standard_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm before.")]
    times_narrower: Annotated[float, Meta(description="Standard deviation before over after; 1: nothing learned.")]
    informed: Annotated[bool, Meta(description="Whether the runs say anything of it; if not, it is as before.")]


class LearnedConeIndex(msgspec.Struct, frozen=True, kw_only=True):
    """The cone index, before and after the runs. Low and high hold 95 in 100."""

    median: Annotated[ConeIndex, Meta(description="Cone index under the wheels.")]
    standard_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm.")]
    prior: Annotated[ConeIndex, Meta(description="Before the runs.")]
    prior_standard_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm before.")]
    times_narrower: Annotated[float, Meta(description="Standard deviation before over after; 1: nothing learned.")]
    informed: Annotated[bool, Meta(description="Whether the runs say anything of it; if not, it is as before.")]


class Learned(msgspec.Struct, frozen=True, kw_only=True):
    """What the runs taught."""

    draft_multiplier: Annotated[LearnedMultiplier, Meta(description="Of the draft.")]
    cone_index: Annotated[LearnedConeIndex, Meta(description="Of the soil.")]
    correlation: Annotated[
        float, Meta(description="Between the logarithms of the two, -1 to 1. Near 1: the runs tell only their ratio.")
    ]


class WithoutOutliers(msgspec.Struct, frozen=True, kw_only=True):
    """What the other runs alone would say. Low and high hold 95 in 100."""

    draft_multiplier: Annotated[Multiplier, Meta(description="Draft multiplier.")]
    cone_index: Annotated[ConeIndex, Meta(description="Cone index.")]


class Consistency(msgspec.Struct, frozen=True, kw_only=True):
    """Whether runs, errors, prior and equations go together."""

    chi_squared: Annotated[float, Meta(description="Sum of squared residuals, those of the prior included.")]
    measurements: Annotated[int, Meta(description="Degrees of freedom of chi-squared.")]
    p_value: Annotated[float, Meta(description="Chance of a greater misfit if all is as said.", ge=0.0, le=1.0)]


class RunPrediction(msgspec.Struct, frozen=True, kw_only=True):
    """What a run should have shown, with the medians found."""

    pull: Annotated[Force, Meta(description="Pull at the hitch.")]
    slip: Annotated[Share, Meta(description="Slip.")]
    fuel_rate: Annotated[FuelRate, Meta(description="Fuel in a time.")]
    engine_load: Annotated[Ratio, Meta(description="PTO power used over rated.")]


class MeasurementAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One measurement against its prediction."""

    pointer: Annotated[str, Meta(description="Which measurement of the request.")]
    kind: Annotated[Measurable, Meta(description="What was measured.")]
    residual: Annotated[float, Meta(description="Measured less predicted, in errors of measurement.")]
    left_out_residual: Annotated[
        float,
        Meta(description="The same against what all other runs predict, in standard deviations of that prediction."),
    ]


class CalibrationRunAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """One run."""

    predicted: Annotated[RunPrediction, Meta(description="What it should have shown.")]
    measurements: Annotated[list[MeasurementAnswer], Meta(description="What it showed.")]
    stands_out: Annotated[
        bool, Meta(description="Whether the run does not go with the others; it is counted all the same.")
    ]


class CalibrationAnswer(Answer, frozen=True, kw_only=True):
    """What to put into requests from now on, and how well it is known."""

    summary: Annotated[str, Meta(description="The answer in words.")]
    draft_multiplier: Annotated[Multiplier, Meta(description="Median, as `implement.draft_multiplier` takes it.")]
    cone_index: Annotated[ConeIndex, Meta(description="Median, as `soil.cone_index` takes it.")]
    learned: Annotated[Learned, Meta(description="How well both are known, before and after.")]
    without_outliers: Annotated[
        WithoutOutliers | None,
        Meta(description="From the other runs alone; null if no run stands out, or too many to say which are right."),
    ]
    consistency: Annotated[Consistency, Meta(description="Whether it all goes together.")]
    runs: Annotated[list[CalibrationRunAnswer], Meta(description="Every run, in the order of the request.")]
    about: AboutField


class _Kind(NamedTuple):
    """Something that can be measured."""

    name: Measurable
    number: int
    error: float
    """Usual error [1] (common practice, no source)."""
    quantity: type[Quantity]
    error_in: str


_KINDS = (
    _Kind("pull", PULL, 0.03, Force, "of the value"),
    _Kind("slip", SLIP, 0.015, Share, "percentage points"),
    _Kind("fuel_rate", FUEL, 0.03, FuelRate, "of the value"),
    _Kind("engine_load", LOAD, 0.03, Ratio, "of the value"),
)


class _Centre(NamedTuple):
    """Medians before the runs."""

    multiplier: float
    cone_index: float


def compute(request: CalibrationRequest, ledger: Ledger) -> CalibrationAnswer:
    """Answer a calibration request."""
    _check_tractor_and_tools(request, ledger)
    measured = _measurements(request.runs, ledger)
    runs, centre, prior = _resolve(request, ledger)
    ledger.use("brixius-1987", "zoz-grisso-2003", "asabe-s296", "grisso-2004")
    found = learn(runs, measured, prior)
    _check_found(found, centre, ledger)
    ledger.stop_at_faults()
    sorted_runs = stand_out(runs, measured, prior, found)
    apart = _report_outliers(runs, measured, found, sorted_runs, ledger)
    shown = predict(runs, *(float(factor) for factor in np.exp(found.log_factors)))
    _warn(request, measured, found, prior, shown, ledger)
    learned = _learned(found, centre, prior)
    # Too many apart, and nobody knows which of them are right.
    tell = bool(sorted_runs.apart) and not _no_majority(sorted_runs, measured)
    return CalibrationAnswer(
        summary=_summary(learned, len(request.runs), len(apart), ledger),
        draft_multiplier=Multiplier(float(learned.draft_multiplier.median)),
        cone_index=ConeIndex(float(learned.cone_index.median)),
        learned=learned,
        without_outliers=_without(sorted_runs.rest, centre) if tell else None,
        consistency=Consistency(
            chi_squared=found.misfit, measurements=len(measured.value), p_value=min(found.p_value, 1.0)
        ),
        runs=[_run_answer(index, measured, found, shown, index in apart) for index in range(len(request.runs))],
        about=ledger.about(),
    )


def _check_tractor_and_tools(request: CalibrationRequest, ledger: Ledger) -> None:
    if request.tractor.drive == "rubber-track":
        ledger.fault(
            "/tractor/drive",
            "no traction equation for rubber tracks is trustworthy enough to learn a soil from; the draft multiplier "
            "is the measured pull over that of /v1/draft",
        )
        ledger.stop_at_faults()
    if not request.implement.tools:
        ledger.fault("/implement/tools", "required: what is learned is the draft of ground tools")
    for name in ("draft", "cone_index"):
        spread = getattr(request.prior, name)
        if spread is not None and spread < LEAST_SPREAD:
            ledger.fault(
                f"/prior/{name}", f"{ledger.say(spread)} leaves nothing to learn; at least {100 * LEAST_SPREAD:g} %"
            )


def _measurements(runs: list[CalibrationRun], ledger: Ledger) -> Measurements:
    rows: list[tuple[int, int, float, float]] = []
    for kind in _KINDS:
        first_without: int | None = None
        for index, run in enumerate(runs):
            value: Quantity | None = getattr(run, kind.name)
            error: RelativeSpread | None = getattr(run, f"{kind.name}_error")
            place = f"/runs/{index}/{kind.name}"
            if value is None:
                if error is not None:
                    ledger.warn("not-used", f"{place}_error", f"No {kind.name} was measured in this run.")
                continue
            if value <= 0.0 and kind.number != SLIP:
                ledger.fault(place, "a measurement above 0 belongs here; leave it out if it was not measured")
                continue
            if error is not None and error < LEAST_ERROR:
                ledger.fault(f"{place}_error", f"no instrument is as exact as this; at least {100 * LEAST_ERROR:g} %")
                continue
            if error is None and first_without is None:
                first_without = index
            rows.append((kind.number, index, float(value), kind.error if error is None else float(error)))
        if first_without is not None:
            ledger.assume(
                f"/runs/{first_without}/{kind.name}_error",
                Ratio(kind.error),
                f"Usual, {kind.error_in}; taken in every run that does not say.",
                "common-practice",
            )
    for index, run in enumerate(runs):
        if all(getattr(run, kind.name) is None for kind in _KINDS):
            ledger.fault(f"/runs/{index}", "nothing was measured in it: give pull, slip, fuel_rate or engine_load")
    quantity, run_index, values, errors = zip(*rows, strict=True) if rows else ((), (), (), ())
    return Measurements(
        np.array(quantity, dtype=np.intp),
        np.array(run_index, dtype=np.intp),
        np.array(values, dtype=np.float64),
        np.array(errors, dtype=np.float64),
    )


class _OnSlope(NamedTuple):
    """Tractor and implement on one slope."""

    tractor: WheeledTractor
    implement_pull: float


def _resolve(request: CalibrationRequest, ledger: Ledger) -> tuple[FieldRuns, _Centre, Prior]:
    tractor, implement = request.tractor, request.implement
    drafts = tool_drafts(implement, request.soil, ledger)
    needs = power_needs(
        implement.rotary,
        implement.hydraulic,
        float(implement.electric or 0.0),
        tractor.pump_efficiency,
        tractor.generator_efficiency,
        ledger,
        "/implement",
        "/tractor",
    )
    rated = rated_pto_power(tractor.power, ledger, "/tractor/power")
    hitched = hitching(implement.hitch, implement.vertical_load, implement.pull_height, tractor, ledger, "/implement")
    strength = cone_index(request.soil, ledger, "/soil")

    def on_slope(slope: float, ledger: Ledger) -> _OnSlope | None:
        in_si = on_wheels(tractor, hitched, strength, slope, ledger)
        return _OnSlope(in_si, grade_pull(implement, slope, ledger)) if in_si is not None else None

    first = on_slope(float(request.runs[0].slope), ledger)
    drafts_of_runs = [_draft_of_run(drafts, run, index, ledger) for index, run in enumerate(request.runs)]
    prior = _prior(request, drafts, ledger)
    engine_speeds = [run.engine_speed for run in request.runs]
    usual: float = 1.0
    if None in engine_speeds:
        usual = ledger.fallback(tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    ledger.stop_at_faults()
    assert first is not None
    slopes = [float(run.slope) for run in request.runs]
    known = {slopes[0]: first}
    for slope in slopes:
        if slope not in known:
            known[slope] = _other_slope(on_slope, slope, ledger)
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
        np.asarray(mobility_number(engine.front.stiffness, np.maximum(loads.front_standing, 1.0)))
        if tractor.rear_follows_front
        else None
    )
    runs = FieldRuns(
        engine,
        work,
        np.array([float(run.speed) for run in request.runs]),
        rated,
        np.array([usual if speed is None else float(speed) for speed in engine_speeds]),
        in_track,
    )
    return runs, _Centre(float(implement.draft_multiplier), strength), prior


def _other_slope(on_slope: Callable[[float, Ledger], _OnSlope | None], slope: float, ledger: Ledger) -> _OnSlope:
    """Return tractor and implement on a further slope; what was said of the first is not said again."""
    aside = Ledger(ledger.units)
    found = on_slope(slope, aside)
    aside.stop_at_faults()
    assert found is not None
    for assumed in aside.assumed:
        if assumed.pointer not in {one.pointer for one in ledger.assumed}:
            ledger.assumed.append(assumed)
            ledger.use(assumed.source)
    said = {(one.kind, one.pointer) for one in ledger.warned}
    ledger.warned += [one for one in aside.warned if (one.kind, one.pointer) not in said]
    return found


def _draft_of_run(drafts: list[ToolDraft], run: CalibrationRun, index: int, ledger: Ledger) -> DraftTerms:
    total = draft_span(drafts)[0]
    if run.depth is None or not drafts:
        return total
    main = main_tool([draft for draft in drafts if draft.depth is not None], float(run.speed))
    if main is None or main.depth is None:
        ledger.fault(f"/runs/{index}/depth", "the draft of none of the tools goes by depth; leave it out")
        return total
    return total.plus(main.terms, float(run.depth) / main.depth - 1.0)


def _prior(request: CalibrationRequest, drafts: list[ToolDraft], ledger: Ledger) -> Prior:
    given = request.prior
    if given.draft is not None:
        draft = float(given.draft)
    else:
        speed = sum(float(run.speed) for run in request.runs) / len(request.runs)
        central, _, high = (float(terms.at(speed)) for terms in draft_span(drafts))
        spread = high / central - 1.0 if central > 0.0 else 0.5
        draft = float(log_sigma(spread, RANGE_DEVIATIONS))
        ledger.assume(
            "/prior/draft",
            RelativeSpread(draft),
            f"The draft table's range, here {100 * spread:.3g} % over all tools, read as {RANGE_DEVIATIONS:g} standard "
            "deviations of a log-normal factor: ln(1 + range) / 2. The table does not call it a confidence interval.",
            "drawbar-default",
        )
    if given.cone_index is not None:
        return Prior(draft, float(given.cone_index))
    soil, why = (
        (TYPICAL_SOIL, "A value typical of the surface, not measured.")
        if request.soil.cone_index is None
        else (MEASURED_SOIL, "A measured value, from place to place in a field.")
    )
    ledger.assume("/prior/cone_index", RelativeSpread(soil), why, "drawbar-default")
    return Prior(draft, soil)


def _check_found(found: Posterior, centre: _Centre, ledger: Ledger) -> None:
    """Refuse values that no request would take: they mean wrong units or the wrong machine."""
    multiplier, strength = (float(median) for median in np.array(centre) * np.exp(found.log_factors))
    least, most = Multiplier.least or 0.0, Multiplier.most or 0.0
    if not least <= multiplier <= most:
        ledger.fault(
            "/runs",
            f"they would take {multiplier:.3g} times the table's draft; from {least:g} to {most:g} times is taken. "
            "Check units, tools, depth and width",
        )
    least, most = ConeIndex.least or 0.0, ConeIndex.most or 0.0
    if not least <= strength <= most:
        ledger.fault(
            "/runs",
            f"they would take a cone index of {ledger.say(ConeIndex(strength))}; from {ledger.say(ConeIndex(least))} "
            f"to {ledger.say(ConeIndex(most))} is taken. Check slip, tires and mass",
        )


def _no_majority(found: Sorted, measured: Measurements) -> bool:
    return 2 * len(found.apart) >= len(np.unique(measured.run))


def _report_outliers(
    runs: FieldRuns,
    measured: Measurements,
    found: Posterior,
    sorted_runs: Sorted,
    ledger: Ledger,
) -> set[int]:
    """Warn of runs that do not go with the others, and return them."""
    if not sorted_runs.apart:
        return set()
    if _no_majority(sorted_runs, measured):
        odd = sorted({int(run) for run in measured.run[np.abs(found.left_out) > OUTLIER]} | set(sorted_runs.apart))
        listed = ", ".join(str(run) for run in odd)
        for run in odd:
            ledger.warn(
                "methods-differ",
                f"/runs/{run}",
                f"Runs {listed} (counted from 0) contradict each other, and too few others tell which are right. "
                "The values found lie between them and hold for none: find out what differed.",
            )
        return set(odd)
    expected = predict(runs, *(float(factor) for factor in np.exp(sorted_runs.rest.log_factors)))
    for run in sorted_runs.apart:
        of_run = np.flatnonzero(measured.run == run)
        worst = of_run[np.argmax(np.abs(found.left_out[of_run]))]
        kind = next(kind for kind in _KINDS if kind.number == measured.quantity[worst])
        other = kind.quantity(_at_run(expected[kind.number], run))
        seen = kind.quantity(float(measured.value[worst]))
        ledger.warn(
            "methods-differ",
            f"/runs/{run}/{kind.name}",
            f"This run stands out: {ledger.say(seen)} measured, {ledger.say(other)} expected from the other runs. "
            "It is counted all the same; see without_outliers, and leave the run out if you know why it is odd.",
        )
    return set(sorted_runs.apart)


def _warn(
    request: CalibrationRequest, measured: Measurements, found: Posterior, prior: Prior, shown: Readings, ledger: Ledger
) -> None:
    count = len(request.runs)
    loads = np.broadcast_to(shown.load_fraction, count)
    for index in np.unique(measured.run[measured.quantity == FUEL]):
        if not LIGHTEST_FITTED_LOAD <= loads[index] <= 1.0:
            ledger.warn(
                "outside-range",
                f"/runs/{index}/fuel_rate",
                f"The load is {100 * loads[index]:.0f} % of rated; the fuel equation was fitted from 20 to 100 %.",
            )
    for index in np.flatnonzero(np.broadcast_to(shown.pull_effort, count) > 1.0):
        ledger.warn(
            "not-carried",
            f"/runs/{index}",
            "With the values found no slip carries this pull, yet the run was made: check mass, tires and ballast.",
        )
    if found.p_value < UNLIKELY:
        ledger.warn(
            "methods-differ",
            "/runs",
            f"Measurements and equations differ by more than the stated errors allow (chi-squared {found.misfit:.3g} "
            f"from {len(measured.value)} measurements): what is found is less sure than its interval says.",
        )
    shifts = np.abs(found.log_factors) / np.array(prior)
    sigmas = np.sqrt(np.diag(found.covariance))
    for name, pointer, shift, before, after in zip(
        ("draft multiplier", "cone index"),
        ("/implement/draft_multiplier", "/soil/cone_index"),
        shifts,
        prior,
        sigmas,
        strict=True,
    ):
        if shift > OUTLIER:
            ledger.warn(
                "outside-range",
                pointer,
                f"The {name} found lies {shift:.1f} standard deviations from what was known before: check units, "
                "tools, depth, mass and tires.",
            )
        if before / after < INFORMED:
            ledger.warn("rough-estimate", pointer, f"The runs say nothing of the {name}: it is as it was before.")


def _learned(found: Posterior, centre: _Centre, prior: Prior) -> Learned:
    (m, c), (m_sd, c_sd) = found.log_factors.tolist(), np.sqrt(np.diag(found.covariance)).tolist()
    return Learned(
        draft_multiplier=LearnedMultiplier(
            median=_interval(Multiplier, centre.multiplier, m, m_sd),
            standard_deviation=Ratio(m_sd),
            prior=_interval(Multiplier, centre.multiplier, 0.0, prior.draft),
            prior_standard_deviation=Ratio(prior.draft),
            times_narrower=prior.draft / m_sd,
            informed=prior.draft / m_sd >= INFORMED,
        ),
        cone_index=LearnedConeIndex(
            median=_interval(ConeIndex, centre.cone_index, c, c_sd),
            standard_deviation=Ratio(c_sd),
            prior=_interval(ConeIndex, centre.cone_index, 0.0, prior.soil),
            prior_standard_deviation=Ratio(prior.soil),
            times_narrower=prior.soil / c_sd,
            informed=prior.soil / c_sd >= INFORMED,
        ),
        correlation=float(found.covariance[0, 1]) / (m_sd * c_sd),
    )


def _interval(kind: type[QuantityT], centre: float, log_factor: float, sigma: float) -> QuantityT:
    low, middle, high = (centre * float(np.exp(log_factor + side * TWO_SIDED_95 * sigma)) for side in (-1.0, 0.0, 1.0))
    return kind.ranged(middle, low, high)


def _without(rest: Posterior, centre: _Centre) -> WithoutOutliers:
    (m, c), (m_sd, c_sd) = rest.log_factors.tolist(), np.sqrt(np.diag(rest.covariance)).tolist()
    return WithoutOutliers(
        draft_multiplier=_interval(Multiplier, centre.multiplier, m, m_sd),
        cone_index=_interval(ConeIndex, centre.cone_index, c, c_sd),
    )


def _at_run(reading: Real, run: int) -> float:
    return reading.item(run) if isinstance(reading, np.ndarray) else float(reading)


def _run_answer(
    index: int, measured: Measurements, found: Posterior, shown: Readings, stands_out: bool
) -> CalibrationRunAnswer:
    return CalibrationRunAnswer(
        predicted=RunPrediction(
            pull=Force(_at_run(shown.pull, index)),
            slip=Share(_at_run(shown.slip, index)),
            fuel_rate=FuelRate(_at_run(shown.fuel_rate, index)),
            engine_load=Ratio(_at_run(shown.load_fraction, index)),
        ),
        measurements=[
            MeasurementAnswer(
                pointer=f"/runs/{index}/{kind.name}",
                kind=kind.name,
                residual=float(found.residuals[one]),
                left_out_residual=float(found.left_out[one]),
            )
            for kind in _KINDS
            for one in np.flatnonzero((measured.run == index) & (measured.quantity == kind.number))
        ],
        stands_out=stands_out,
    )


def _summary(learned: Learned, runs: int, apart: int, ledger: Ledger) -> str:
    draft, soil = learned.draft_multiplier, learned.cone_index
    text = (
        f"{_found('The draft multiplier', draft, ledger)} {_found('The cone index', soil, ledger)} "
        f"From {runs} run{'s' if runs > 1 else ''}."
    )
    return f"{text} Mind the {apart} that do not go with the others." if apart else text


def _found(name: str, learned: LearnedMultiplier | LearnedConeIndex, ledger: Ledger) -> str:
    if not learned.informed:
        return f"{name} stays {ledger.say(learned.median)}: the runs say nothing of it."
    kind = type(learned.median)
    low, high = (kind(end or 0.0) for end in (learned.median.low, learned.median.high))
    return (
        f"{name} is {ledger.say(learned.median)} ({ledger.say(low)} to {ledger.say(high)}), "
        f"{learned.times_narrower:.1f} times as sure as before."
    )


CALIBRATION = Calculation(
    name="calibration",
    request=CalibrationRequest,
    answer=CalibrationAnswer,
    compute=compute,
    lasts=a_while,
    summary="Draft multiplier and cone index from runs in the field",
    description=(
        "Learns how this machine's draft here differs from the table's, and how strong the soil is, from measured "
        "pull, slip, fuel or engine load. Both start log-normal: the draft with the range of its table read as two "
        "standard deviations, the cone index around its typical or measured value. What comes out is the most probable "
        "pair with its covariance, ready to go into other requests. Runs that do not go with the others are reported, "
        "and never dropped or averaged away in silence."
    ),
    example={
        "tractor": EXAMPLE_TRACTOR,
        "implement": {
            "hitch": "drawbar",
            "tools": [
                {"tool": "chisel-plow.twisted-shovel-10cm", "count": 9, "spacing": "36 cm", "depth": "18 cm"},
                {"tool": "disk-gang.primary", "width": "3.2 m", "depth": "8 cm"},
            ],
            "mass": "3.1 t",
        },
        "soil": {"texture": "medium", "surface": "firm"},
        "runs": [
            {"speed": "6.2 km/h", "pull": "31.2 kN", "slip": "7 %"},
            {"speed": "7.4 km/h", "pull": "33.6 kN", "fuel_rate": "32.8 L/h"},
            {"speed": "7 km/h", "depth": "15 cm", "pull": "27.1 kN", "slip": "5.5 %"},
            {"speed": "6.8 km/h", "slope": "4 %", "slip": "9.5 %", "engine_load": "61 %"},
        ],
    },
    columns=(
        "/draft_multiplier",
        "/cone_index",
        "/learned/draft_multiplier/times_narrower",
        "/learned/cone_index/times_narrower",
        "/consistency/p_value",
    ),
)
