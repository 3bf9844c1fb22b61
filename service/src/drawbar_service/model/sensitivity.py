"""Which uncertain input of a match matters most: shares of the variance of what it says."""

from typing import Literal, NamedTuple, TypeAlias, get_args

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real
from drawbar_service.engine.capacity import field_capacity
from drawbar_service.engine.fuel import fuel_at_part_speed, fuel_per_area
from drawbar_service.engine.match import operate
from drawbar_service.engine.odds import sobol_indices
from drawbar_service.model.chance import rotary_sigma
from drawbar_service.model.findings import Findings
from drawbar_service.model.fuel import fuel_shares
from drawbar_service.model.greatest import chosen_speed
from drawbar_service.model.match import field_capacity_of, resolve, work_out
from drawbar_service.model.nouns import Job
from drawbar_service.model.odds import (
    UNCERTAIN,
    Certain,
    OddsAsked,
    certain_of,
    range_deviations,
    say_of_spreads,
    scenarios,
)

Input: TypeAlias = Literal["draft", "depth", "cone_index", "speed", "rotary"]
Output: TypeAlias = Literal["pull", "slip", "pto_power", "tractive_efficiency", "fuel_per_area", "capacity"]
OUTPUTS: tuple[Output, ...] = get_args(Output)
NOTHING = 1e-6
"""Share of the variance [1] that counts as none."""


class Share(NamedTuple):
    """How much of the variance of one output an input brings."""

    input: Input
    first_order: float
    """By itself [1]"""
    total: float
    """By itself and together with others [1]"""


def sensitivity(job: Job, asked: OddsAsked, found: Findings) -> dict[Output, list[Share]]:
    """Return for each output what moves it, the strongest first; nothing where nothing does.

    Parameters
    ----------
    job : Job
    asked : OddsAsked
        What is uncertain, and how many scenarios to take.
    found : Findings
        Receives assumptions, warnings and faults.

    Raises
    ------
    Impossible
        If there are faults.

    References
    ----------
    First-order and total Sobol indices, Saltelli et al. (2010).
    """
    certain = _certain(job, asked, found)
    varied = _varied(asked, certain)
    if not varied:
        found.warn("nothing-uncertain", "/odds/spreads")
        return {output: [] for output in OUTPUTS}
    first, total = sobol_indices(
        lambda scores: _outputs(asked, certain, varied, scores), len(varied), asked.samples, asked.seed
    )
    return {output: _shares(varied, first[row], total[row]) for row, output in enumerate(OUTPUTS)}


def _certain(job: Job, asked: OddsAsked, found: Findings) -> Certain:
    """Return the match as it is before anything is let vary."""
    if asked.correlation:
        found.fault("shares-of-independent", "/odds/correlation")
    case = resolve(job, found)
    say_of_spreads(case, asked, found)
    speed, _ = chosen_speed(case, None, found)
    capacity = field_capacity_of(work_out(case, speed, found), found)
    found.stop_at_faults()
    engine_speed = found.fallback(job.tractor.engine_speed, "/tractor/engine_speed", "engine_speed_ratio")
    field = job.field
    shares = fuel_shares(capacity, field.turning_fuel_share, field.stopped_fuel_share, found, "/field")
    deviations = range_deviations(asked, case)
    return certain_of(case, speed, capacity.efficiency.value, engine_speed, shares.mean.value, deviations)


def _varied(asked: OddsAsked, certain: Certain) -> list[Input]:
    """Return the inputs that are uncertain at all."""
    spreads = asked.spreads
    uncertain: dict[Input, bool] = {
        "draft": bool(certain.drafts),
        "depth": bool(spreads.depth) and any(draft.depth is not None for draft in certain.drafts),
        "cone_index": bool(spreads.cone_index),
        "speed": bool(spreads.speed),
        "rotary": bool(rotary_sigma(certain.needs, certain.deviations) > 0.0),
    }
    return [name for name, varies in uncertain.items() if varies]


def _outputs(asked: OddsAsked, certain: Certain, varied: list[Input], scores: FloatArray) -> FloatArray:
    """Return every output for scores of the varied inputs, the others at their central value."""
    every = np.zeros((len(UNCERTAIN), scores.shape[1]))
    for row, name in enumerate(varied):
        every[UNCERTAIN.index(name)] = scores[row]
    drawn = scenarios(asked, certain, every)
    speed = drawn.speed
    point = operate(drawn.tractor, drawn.work, speed)
    area_rate = field_capacity(certain.width, speed, certain.field_efficiency)
    rate = fuel_at_part_speed(point.pto_power / certain.rated, certain.rated, certain.engine_speed, certain.fuel)
    outputs: dict[Output, Real] = {
        "pull": point.pull,
        "slip": point.slip,
        "pto_power": point.pto_power,
        "tractive_efficiency": point.tractive_efficiency,
        "fuel_per_area": fuel_per_area(rate * certain.mean_fuel, area_rate),
        "capacity": area_rate,
    }
    return np.array([np.broadcast_to(outputs[name], scores.shape[1:]) for name in OUTPUTS])


def _shares(varied: list[Input], first: FloatArray, total: FloatArray) -> list[Share]:
    if not (np.all(np.isfinite(total)) and np.max(total, initial=0.0) > NOTHING):
        return []
    shares = [Share(name, float(first[row]), float(total[row])) for row, name in enumerate(varied)]
    return sorted(shares, key=lambda share: -share.total)
