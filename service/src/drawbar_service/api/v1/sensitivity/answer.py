"""POST /v1/sensitivity: which uncertain input matters most, and which measurement would narrow the answer."""

from typing import Annotated, Literal, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation, a_while
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.request import MatchRequest, OddsRequest
from drawbar_service.engine.arrays import FloatArray, Real
from drawbar_service.engine.capacity import field_capacity
from drawbar_service.engine.fuel import fuel_per_area
from drawbar_service.engine.match import operate
from drawbar_service.engine.odds import sobol_indices
from drawbar_service.model.fuel import fuel_at_part_speed
from drawbar_service.model.greatest import chosen_speed
from drawbar_service.model.match import field_capacity_of, resolve, work_out
from drawbar_service.model.odds import UNCERTAIN, Certain, certain_of, range_deviations, rotary_sigma, scenarios

Input: TypeAlias = Literal["draft", "depth", "cone_index", "speed", "rotary"]
Output: TypeAlias = Literal["pull", "slip", "pto_power", "tractive_efficiency", "fuel_per_area", "capacity"]

NOTHING = 1e-6
"""Share of the variance [1] that counts as none."""
_OUTPUTS: tuple[Output, ...] = ("pull", "slip", "pto_power", "tractive_efficiency", "fuel_per_area", "capacity")
_MEASURE: dict[Input, str] = {
    "draft": "the pull of this implement in this soil: hook up and measure it, or watch the engine load",
    "depth": "the working depth, at several places across the machine",
    "cone_index": "the cone index of the soil under the wheels",
    "speed": "the true ground speed",
    "rotary": "the power the PTO-driven machine takes",
}


class SensitivityRequest(MatchRequest, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A match request; `odds` says what is uncertain."""


class InputShare(msgspec.Struct, frozen=True, kw_only=True):
    """How much of the variance of one output an input brings."""

    input: Annotated[Input, Meta(description="The uncertain input.")]
    first_order: Annotated[float, Meta(description="Share of the variance it brings by itself (Sobol, first order).")]
    total: Annotated[float, Meta(description="Share it brings by itself and together with others (Sobol, total).")]


class OutputSensitivity(msgspec.Struct, frozen=True, kw_only=True):
    """One output and what moves it."""

    output: Annotated[Output, Meta(description="The output.")]
    inputs: Annotated[list[InputShare], Meta(description="What moves it, the strongest first; empty if nothing does.")]
    advice: Annotated[str, Meta(description="Which measurement would narrow it most, in words.")]


class SensitivityAnswer(Answer, frozen=True, kw_only=True):
    """What matters most."""

    outputs: Annotated[list[OutputSensitivity], Meta(description="Every output.")]
    about: AboutField


def compute(request: SensitivityRequest, ledger: Ledger) -> SensitivityAnswer:
    """Answer a sensitivity request."""
    case = resolve(request, ledger)
    if case.tractor is None:
        ledger.fault(
            "/tractor/drive", "slip and axle loads are not reckoned on rubber tracks, so nothing can be varied"
        )
    ledger.stop_at_faults()
    assert case.tractor is not None
    speed, _ = chosen_speed(case, ledger)
    capacity = field_capacity_of(work_out(case, speed, ledger), ledger)
    ledger.stop_at_faults()
    engine_speed = ledger.fallback(request.tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    odds = request.odds if request.odds is not None else OddsRequest()
    deviations = range_deviations(odds, ledger)
    certain = certain_of(case, case.tractor, speed, capacity.efficiency.value, engine_speed, deviations)
    varied = _varied(odds, certain)
    if not varied:
        ledger.warn(
            "not-used", "/odds/spreads", "Nothing is uncertain here, so nothing moves the answers. Give a spread."
        )
        first = total = np.full((len(_OUTPUTS), 0), np.nan)
    else:
        first, total = sobol_indices(
            lambda scores: _outputs(odds, certain, varied, scores), len(varied), odds.samples, odds.seed
        )
    return SensitivityAnswer(
        outputs=[_sensitivity(output, varied, first[row], total[row]) for row, output in enumerate(_OUTPUTS)],
        about=ledger.about(),
    )


def _varied(odds: OddsRequest, certain: Certain) -> list[Input]:
    """Return the inputs that are uncertain at all."""
    spreads = odds.spreads
    uncertain: dict[Input, bool] = {
        "draft": bool(certain.drafts),
        "depth": bool(spreads.depth) and any(draft.depth is not None for draft in certain.drafts),
        "cone_index": bool(spreads.cone_index),
        "speed": bool(spreads.speed),
        "rotary": bool(rotary_sigma(certain) > 0.0),
    }
    return [name for name, varies in uncertain.items() if varies]


def _outputs(odds: OddsRequest, certain: Certain, varied: list[Input], scores: FloatArray) -> FloatArray:
    """Return every output for scores of the varied inputs, the others at their central value."""
    every = np.zeros((len(UNCERTAIN), scores.shape[1]))
    for row, name in enumerate(varied):
        every[UNCERTAIN.index(name)] = scores[row]
    tractor, work, speed, _ = scenarios(odds.spreads, certain, every)
    point = operate(tractor, work, speed)
    area_rate = field_capacity(certain.width, speed, certain.field_efficiency)
    rate = fuel_at_part_speed(point.pto_power / certain.rated, certain.rated, certain.engine_speed)
    outputs: dict[Output, Real] = {
        "pull": point.pull,
        "slip": point.slip,
        "pto_power": point.pto_power,
        "tractive_efficiency": point.tractive_efficiency,
        "fuel_per_area": fuel_per_area(rate, area_rate),
        "capacity": area_rate,
    }
    return np.array([np.broadcast_to(outputs[name], scores.shape[1:]) for name in _OUTPUTS])


def _sensitivity(output: Output, varied: list[Input], first: FloatArray, total: FloatArray) -> OutputSensitivity:
    if not (np.all(np.isfinite(total)) and np.max(total, initial=0.0) > NOTHING):
        return OutputSensitivity(output=output, inputs=[], advice="Nothing that is uncertain here moves it.")
    shares = [
        InputShare(input=name, first_order=float(first[row]), total=float(total[row]))
        for row, name in enumerate(varied)
    ]
    shares.sort(key=lambda share: -share.total)
    strongest = shares[0]
    by_itself = f"{100 * min(max(strongest.first_order, 0.0), 1.0):.0f} %"
    advice = f"Measure {_MEASURE[strongest.input]}. It brings {by_itself} of the variance by itself."
    return OutputSensitivity(output=output, inputs=shares, advice=advice)


SENSITIVITY = Calculation(
    name="sensitivity",
    request=SensitivityRequest,
    answer=SensitivityAnswer,
    compute=compute,
    lasts=a_while,
    summary="Which uncertain input matters most",
    description=(
        "Takes a match request and lets what is uncertain vary: the draft by the range of its table, and whatever "
        "`odds.spreads` names. First-order and total Sobol indices (Saltelli et al. 2010) say how much of the variance "
        "of each answer each input brings, and which measurement would narrow it most."
    ),
    example={**MATCH.example, "odds": {"spreads": {"cone_index": "20 %", "depth": "8 %"}}},
    columns=(
        "/outputs/0/output",
        "/outputs/0/inputs/0/input",
        "/outputs/0/inputs/0/total",
        "/outputs/0/advice",
    ),
)
