"""What calculations cost in processor time: who works them, what a caller spends, and what is refused.

Costs are estimated from the request before anything is worked. A cost unit is what a draft takes with all that HTTP
adds to it.
"""

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from typing import Final

import msgspec

UNIT: Final = 5e-4
"""Processor time that a cost unit stands for [s]."""


class Cost(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Of one calculation, measured."""

    alone: float
    """Of a request by itself [s]."""
    step: float = 0.0
    """Of each of its steps, as ``Calculation.steps`` counts them [s]."""
    row: float = 1e-2
    """Of a row of a batch [s]; more than most take, so that it is measured before long."""
    row_step: float = 0.0
    """Of each step of a row [s]."""
    shown: float = 0.0
    """Of its picture [s]."""


def _load() -> Mapping[str, Cost]:
    text = files("drawbar_service.api").joinpath("costs.toml").read_text(encoding="utf-8")
    return msgspec.convert(tomllib.loads(text), dict[str, Cost])


COSTS = _load()
"""By the name of the calculation."""
UNMEASURED = Cost(alone=2e-2)
"""Of a calculation that nobody has measured: more than most take, so that it is measured before long."""


def seconds_alone(calculation: str, steps: int = 0) -> float:
    """Return what a request by itself takes of a processor [s].

    Parameters
    ----------
    calculation : str
        Its name.
    steps : int
        Its steps.
    """
    cost = COSTS.get(calculation, UNMEASURED)
    return cost.alone + cost.step * steps


def seconds_shown(calculation: str) -> float:
    """Return what the picture of an answer takes of a processor [s]."""
    return COSTS.get(calculation, UNMEASURED).shown


def units_of_cost(seconds: float) -> int:
    """Return processor time in whole cost units, at least one."""
    return max(1, round(seconds / UNIT))


def seconds_of_row(calculation: str, steps: int = 0) -> float:
    """Return what one row of a batch takes of a processor [s], as :func:`seconds_alone`."""
    cost = COSTS.get(calculation, UNMEASURED)
    return cost.row + cost.row_step * steps


def in_words(seconds: float) -> str:
    """Return a time [s] in words: seconds, minutes or hours."""
    if seconds < 100.0:
        return f"{seconds:.3g} s"
    return f"{seconds / 60.0:.3g} min" if seconds < 6000.0 else f"{seconds / 3600.0:.3g} h"
