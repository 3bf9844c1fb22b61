"""POST /v1/slip: slip from what was counted, timed or measured in the field."""

from collections.abc import Callable, Sequence
from typing import Annotated, NamedTuple, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.engine.arrays import Real
from drawbar_service.engine.slip import slip_from_distances, slip_from_times, slip_from_turns, slip_standard_error
from drawbar_service.quantities import Length, Quantity, Ratio, Share, ShortTime

Turns = Annotated[float, Meta(ge=0.001, le=100_000.0)]

MOST_USUAL = 0.30
"""Slip [1] above which a field tractor is digging in or something was misread (common practice, no source)."""
ROUNDING = 1e-9
"""Slip [1] that counts as none above a bound: 1 - 7/10 is a hair above 30 %."""


class TurnRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Wheel turns of a driven wheel over one distance."""

    loaded: Annotated[Turns, Meta(description="Turns with the implement at work.", examples=[10.0])]
    unloaded: Annotated[Turns, Meta(description="Turns with the implement raised, over the same distance.")]


class TimeRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Times over one distance, in one gear at one engine speed."""

    loaded: Annotated[ShortTime, Meta(description="Time with the implement at work.", examples=["15 s"])]
    unloaded: Annotated[ShortTime, Meta(description="Time with the implement raised.", examples=["13 s"])]


class DistanceRun(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Distances covered in one number of wheel turns."""

    loaded: Annotated[Length, Meta(description="Distance with the implement at work.", examples=["45.2 m"])]
    unloaded: Annotated[Length, Meta(description="Distance with the implement raised.", examples=["51 m"])]


TurnRuns = Annotated[list[TurnRun], Meta(min_length=1, max_length=100)]
TimeRuns = Annotated[list[TimeRun], Meta(min_length=1, max_length=100)]
DistanceRuns = Annotated[list[DistanceRun], Meta(min_length=1, max_length=100)]


class WheelTurns(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Slip by counting turns of a driven wheel."""

    runs: Annotated[TurnRuns, Meta(description="One or more runs.")]
    reading_error: Annotated[
        Turns | None, Meta(description="Standard error of each count, in turns.", examples=[0.1])
    ] = None


class TravelTimes(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Slip by timing."""

    runs: Annotated[TimeRuns, Meta(description="One or more runs.")]
    reading_error: Annotated[ShortTime | None, Meta(description="Standard error of each time.", examples=["0.2 s"])] = (
        None
    )


class TravelDistances(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Slip by measuring distances."""

    runs: Annotated[DistanceRuns, Meta(description="One or more runs.")]
    reading_error: Annotated[
        Length | None, Meta(description="Standard error of each distance.", examples=["10 cm"])
    ] = None


class SlipRequest(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What was counted, timed or measured. Give one of the three."""

    turns: Annotated[WheelTurns | None, Meta(description="Wheel turns over one distance.")] = None
    times: Annotated[TravelTimes | None, Meta(description="Times over one distance at one wheel speed.")] = None
    distances: Annotated[TravelDistances | None, Meta(description="Distances in one number of wheel turns.")] = None


class SlipRunAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Slip of one run."""

    slip: Annotated[Share, Meta(description="Slip.")]
    standard_error: Annotated[
        Ratio | None, Meta(description="Standard error from the reading error; null if none was given.")
    ]


class SlipAnswer(Answer, frozen=True, kw_only=True):
    """Slip, and how well it is known. Standard errors are in percentage points of slip."""

    slip: Annotated[Share, Meta(description="Mean slip of the runs.")]
    standard_error: Annotated[
        Ratio | None, Meta(description="Standard error of the mean: the larger of the two below; null if neither is.")
    ]
    from_scatter: Annotated[
        Ratio | None, Meta(description="Standard error of the mean from the scatter of the runs; null for one run.")
    ]
    from_reading: Annotated[
        Ratio | None, Meta(description="Standard error of the mean from the reading error; null if none was given.")
    ]
    runs: Annotated[list[SlipRunAnswer], Meta(description="Every run, in the order of the request.")]
    about: AboutField


_Runs: TypeAlias = list[TurnRun] | list[TimeRun] | list[DistanceRun]


class _Way(NamedTuple):
    """One way to measure slip."""

    pointer: str
    slip: Callable[[Real, Real], Real]
    rule: str
    """How a reading under load compares with one without."""
    sources: tuple[str, ...]


_TURNS = _Way(
    "/turns",
    slip_from_turns,
    "a loaded tractor needs more turns than an unloaded one",
    ("asabe-s296", "tractor-operating-practice"),
)
_TIMES = _Way(
    "/times",
    slip_from_times,
    "a loaded tractor takes longer than an unloaded one",
    ("asabe-s296", "tractor-operating-practice"),
)
_DISTANCES = _Way(
    "/distances",
    slip_from_distances,
    "a loaded tractor gets less far than an unloaded one",
    ("asabe-s296", "derived"),
)


def compute(request: SlipRequest, ledger: Ledger) -> SlipAnswer:
    """Answer a slip request."""
    given = [
        (way, measured)
        for way, measured in ((_TURNS, request.turns), (_TIMES, request.times), (_DISTANCES, request.distances))
        if measured is not None
    ]
    if len(given) != 1:
        ledger.fault("", "give turns, times or distances, one of the three")
        ledger.stop_at_faults()
    way, measured = given[0]
    slips = [_slip(way, index, run, ledger) for index, run in enumerate(measured.runs)]
    error = measured.reading_error
    errors = _errors(way, measured.runs, float(error), ledger) if error is not None else None
    ledger.stop_at_faults()
    ledger.use(*way.sources)
    scatter = float(np.std(slips, ddof=1)) / len(slips) ** 0.5 if len(slips) > 1 else None
    reading = _mean_error(errors) if errors is not None else None
    known = [one for one in (scatter, reading) if one is not None]
    return SlipAnswer(
        slip=Share(sum(slips) / len(slips)),
        standard_error=Ratio(max(known)) if known else None,
        from_scatter=_ratio(scatter),
        from_reading=_ratio(reading),
        runs=[
            SlipRunAnswer(slip=Share(slip), standard_error=Ratio(errors[index]) if errors is not None else None)
            for index, slip in enumerate(slips)
        ],
        about=ledger.about(),
    )


def _slip(way: _Way, index: int, run: TurnRun | TimeRun | DistanceRun, ledger: Ledger) -> float:
    place = f"{way.pointer}/runs/{index}"
    loaded, unloaded = float(run.loaded), float(run.unloaded)
    if min(loaded, unloaded) <= 0.0:
        ledger.fault(f"{place}/{'loaded' if loaded <= 0.0 else 'unloaded'}", "a reading above 0 belongs here")
        return 0.0
    slip = float(way.slip(loaded, unloaded))
    if slip < 0.0:
        ledger.fault(
            f"{place}/loaded",
            f"{_said(run.loaded, ledger)} loaded and {_said(run.unloaded, ledger)} unloaded would be a slip of "
            f"{100.0 * slip:.3g} %; {way.rule}: are the two swapped?",
        )
    elif slip >= 1.0:
        ledger.fault(
            f"{place}/loaded",
            "would be a slip of 100 %, wheels that turn on the spot; readings of a tractor that moves belong here",
        )
    elif slip > MOST_USUAL + ROUNDING:
        ledger.warn(
            "outside-range",
            place,
            f"{ledger.say(Share(slip))} slip is more than the 0 to 30 % of field work: check the readings, or stop "
            "before the wheels dig in.",
        )
    return slip


def _said(reading: float | Quantity, ledger: Ledger) -> str:
    return ledger.say(reading) if isinstance(reading, Quantity) else f"{reading:.6g} turns"


def _errors(way: _Way, runs: _Runs, reading_error: float, ledger: Ledger) -> list[float]:
    pairs = [sorted((float(run.loaded), float(run.unloaded))) for run in runs]
    if reading_error >= min(greater for _, greater in pairs):
        ledger.fault(
            f"{way.pointer}/reading_error", "as large as a reading itself; the error of one reading belongs here"
        )
        return []
    return [float(slip_standard_error(lesser, greater, reading_error)) for lesser, greater in pairs]


def _mean_error(errors: Sequence[float]) -> float:
    return float(np.linalg.norm(errors)) / len(errors)


def _ratio(value: float | None) -> Ratio | None:
    return Ratio(value) if value is not None else None


SLIP = Calculation(
    name="slip",
    request=SlipRequest,
    answer=SlipAnswer,
    compute=compute,
    summary="Slip from wheel turns, times or distances",
    description=(
        "Slip is 1 - actual over theoretical travel (ASABE S296): 1 - unloaded/loaded wheel turns over one distance, "
        "1 - unloaded/loaded time at one wheel speed, 1 - loaded/unloaded distance in one number of turns. Repeated "
        "runs are averaged, with a standard error from their scatter and one from the reading error."
    ),
    example={
        "turns": {
            "runs": [{"loaded": 10, "unloaded": 8.9}, {"loaded": 10, "unloaded": 8.7}, {"loaded": 10, "unloaded": 8.8}],
            "reading_error": 0.05,
        }
    },
    columns=(
        "/slip",
        "/standard_error",
    ),
)
