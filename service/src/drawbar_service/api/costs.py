"""What the rows of a batch cost in processor time, so that one is refused before it runs for hours."""

import tomllib
from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import msgspec


class Cost(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Of one row, measured."""

    row: float
    """[s]"""
    scenario: float = 0.0
    """Of each scenario of a row that is worked in scenarios [s]."""
    recorded: float = 0.0
    """More of a row with a record of days week by week [s]."""


def _load() -> Mapping[str, Cost]:
    text = files("drawbar_service.api").joinpath("costs.toml").read_text(encoding="utf-8")
    return msgspec.convert(tomllib.loads(text), dict[str, Cost])


COSTS = _load()
"""By the name of the calculation."""
UNMEASURED = Cost(row=1e-2)
"""Of a calculation that nobody has measured: more than most take, so that it is measured before long."""


def seconds_of_row(calculation: str, request: Any, samples: int) -> float:
    """Return what one row takes of a processor [s].

    Parameters
    ----------
    calculation : str
        Its name.
    request : Struct
        What is asked in a row.
    samples : int
        Scenarios of a row that asks for odds without saying how many.
    """
    cost = COSTS.get(calculation, UNMEASURED)
    odds = getattr(request, "odds", None)
    scenarios = samples if odds is None else odds.samples
    worked = odds is not None or calculation == "sensitivity"
    recorded = cost.recorded if getattr(request, "record", None) is not None else 0.0
    return cost.row + recorded + (cost.scenario * scenarios if worked else 0.0)


def in_words(seconds: float) -> str:
    """Return a time [s] in words: seconds, minutes or hours."""
    if seconds < 100.0:
        return f"{seconds:.3g} s"
    return f"{seconds / 60.0:.3g} min" if seconds < 6000.0 else f"{seconds / 3600.0:.3g} h"
