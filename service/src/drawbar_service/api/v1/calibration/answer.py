"""What is answered: the draft multiplier and the cone index, how well they are known, and every run against them."""

from typing import Annotated

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.v1.calibration import words
from drawbar_service.api.v1.calibration.request import CalibrationRequest
from drawbar_service.engine.calibration import Readings
from drawbar_service.model import calibration as model
from drawbar_service.model.calibration import MEASURABLE, Calibrated, Measurable, reading_of
from drawbar_service.model.calibration_groups import Check, Grouped
from drawbar_service.quantities import ConeIndex, Force, FuelRate, Multiplier, Ratio, Share


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


class CalibrationGroup(msgspec.Struct, frozen=True, kw_only=True):
    """One machine on one field. Low and high hold 95 in 100."""

    machine: Annotated[str | None, Meta(description="As its runs name it.")]
    field: Annotated[str | None, Meta(description="As its runs name it.")]
    runs: Annotated[list[int], Meta(description="Which runs of the request, counted from 0.")]
    draft_multiplier: Annotated[Multiplier, Meta(description="Median, drawn towards what is common to all.")]
    draft_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm.")]
    cone_index: Annotated[ConeIndex, Meta(description="Median; each group has a soil of its own.")]
    cone_index_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm.")]
    correlation: Annotated[float, Meta(description="Between the logarithms of the two, -1 to 1.")]


class NotYetWorked(msgspec.Struct, frozen=True, kw_only=True):
    """A machine on a field not yet worked. Low and high hold 95 in 100."""

    machine: Annotated[str | None, Meta(description="Its name; null among several: one that has not yet run.")]
    draft_multiplier: Annotated[Multiplier, Meta(description="Median.")]
    draft_deviation: Annotated[Ratio, Meta(description="Standard deviation of its logarithm.")]


class PredictiveCheck(msgspec.Struct, frozen=True, kw_only=True):
    """Whether measurements lie where they were expected, their errors included."""

    inside: Annotated[
        float, Meta(description="Share of measurements in the range meant to hold 9 in 10.", ge=0.0, le=1.0)
    ]
    p_value: Annotated[float, Meta(description="Chance of a greater misfit if all is as said.", ge=0.0, le=1.0)]


class CalibrationGroups(msgspec.Struct, frozen=True, kw_only=True):
    """What runs of several machines and fields say of each."""

    each: Annotated[list[CalibrationGroup], Meta(description="Each machine on each field, in the order of their runs.")]
    elsewhere: Annotated[list[NotYetWorked], Meta(description="Each machine on a field not yet worked.")]
    between_machines: Annotated[
        Ratio | None,
        Meta(description="Standard deviation of the logarithm of the draft between machines; null with one."),
    ]
    between_fields: Annotated[Ratio | None, Meta(description="The same between fields.")]
    before: Annotated[PredictiveCheck, Meta(description="The runs against what was known before them.")]
    after: Annotated[
        PredictiveCheck,
        Meta(description="The runs against what was learned from them; since it was, more than 9 in 10 lie inside."),
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
    groups: Annotated[
        CalibrationGroups | None,
        Meta(description="Each machine on each field, where runs name them; else null."),
    ]
    runs: Annotated[list[CalibrationRunAnswer], Meta(description="Every run, in the order of the request.")]
    about: AboutField


def answer_of(
    request: CalibrationRequest, done: Calibrated, grouped: Grouped | None, ledger: Ledger
) -> CalibrationAnswer:
    """Return the answer for worked out field runs."""
    learned, others = done.learned, done.others
    return CalibrationAnswer(
        summary=ledger.sentence(lambda: words.summary(learned, len(request.runs), len(done.apart), ledger)),
        draft_multiplier=Multiplier.of(learned.multiplier.median.value),
        cone_index=ConeIndex.of(learned.cone_index.median.value),
        learned=_learned(learned),
        without_outliers=WithoutOutliers(
            draft_multiplier=Multiplier.spanning(others.multiplier.median),
            cone_index=ConeIndex.spanning(others.cone_index.median),
        )
        if others is not None
        else None,
        consistency=Consistency(
            chi_squared=done.found.misfit,
            measurements=len(done.measured.value),
            p_value=min(done.found.p_value, 1.0),
        ),
        groups=_groups(grouped) if grouped is not None else None,
        runs=[_run(index, done) for index in range(len(request.runs))],
        about=ledger.about(),
    )


def _groups(found: Grouped) -> CalibrationGroups:
    return CalibrationGroups(
        each=[
            CalibrationGroup(
                machine=one.machine,
                field=one.field,
                runs=one.runs,
                draft_multiplier=Multiplier.spanning(one.multiplier.median),
                draft_deviation=Ratio.of(one.multiplier.deviation),
                cone_index=ConeIndex.spanning(one.cone_index.median),
                cone_index_deviation=Ratio.of(one.cone_index.deviation),
                correlation=one.correlation,
            )
            for one in found.groups
        ],
        elsewhere=[
            NotYetWorked(
                machine=one.machine,
                draft_multiplier=Multiplier.spanning(one.multiplier.median),
                draft_deviation=Ratio.of(one.multiplier.deviation),
            )
            for one in found.elsewhere
        ],
        between_machines=Ratio.of(found.between_machines) if found.between_machines is not None else None,
        between_fields=Ratio.of(found.between_fields) if found.between_fields is not None else None,
        before=_check(found.before),
        after=_check(found.after),
    )


def _check(found: Check) -> PredictiveCheck:
    return PredictiveCheck(inside=found.inside, p_value=min(found.p_value, 1.0))


def _learned(found: model.Learned) -> Learned:
    multiplier, soil = found.multiplier, found.cone_index
    return Learned(
        draft_multiplier=LearnedMultiplier(
            median=Multiplier.spanning(multiplier.median),
            standard_deviation=Ratio.of(multiplier.deviation),
            prior=Multiplier.spanning(multiplier.before),
            prior_standard_deviation=Ratio.of(multiplier.before_deviation),
            times_narrower=multiplier.times_narrower,
            informed=multiplier.informed,
        ),
        cone_index=LearnedConeIndex(
            median=ConeIndex.spanning(soil.median),
            standard_deviation=Ratio.of(soil.deviation),
            prior=ConeIndex.spanning(soil.before),
            prior_standard_deviation=Ratio.of(soil.before_deviation),
            times_narrower=soil.times_narrower,
            informed=soil.informed,
        ),
        correlation=found.correlation,
    )


def _run(index: int, done: Calibrated) -> CalibrationRunAnswer:
    measured, found = done.measured, done.found
    return CalibrationRunAnswer(
        predicted=_predicted(done.shown, index),
        measurements=[
            MeasurementAnswer(
                pointer=f"/runs/{index}/{what}",
                kind=what,
                residual=float(found.residuals[one]),
                left_out_residual=float(found.left_out[one]),
            )
            for number, what in enumerate(MEASURABLE)
            for one in np.flatnonzero((measured.run == index) & (measured.quantity == number))
        ],
        stands_out=index in done.apart,
    )


def _predicted(shown: Readings, index: int) -> RunPrediction:
    return RunPrediction(
        pull=Force.of(reading_of(shown, "pull", index)),
        slip=Share.of(reading_of(shown, "slip", index)),
        fuel_rate=FuelRate.of(reading_of(shown, "fuel_rate", index)),
        engine_load=Ratio.of(reading_of(shown, "engine_load", index)),
    )
