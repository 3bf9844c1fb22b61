"""The verdict on systems in words."""

from typing import cast

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.engine.arrays import Real
from drawbar_service.model.system import Comparison, Criterion
from drawbar_service.quantities import Money, Quantity, Share, Time, Volume
from drawbar_service.rows import Names, each_row

FIRST: dict[Criterion, str] = {
    "passes": "Fewest passes",
    "time": "Fewest hours",
    "fuel": "Least fuel and carbon dioxide from it",
    "cost": "Least cost",
    "cover": "Most cover left",
    "finish": "Earliest done",
}
"""What coming first on a criterion means."""
_KINDS: dict[Criterion, type[Quantity]] = {"time": Time, "fuel": Volume, "cost": Money, "cover": Share}


def summary(compared: Comparison, ledger: Ledger) -> str:
    """Return in words who comes first on what, or that of each row."""
    rows = each_row(compared)
    if rows is None:
        return _summary(compared, ledger)
    texts = [_summary(row, ledger) for row in rows]
    return cast("str", Names(texts, np.arange(len(texts))))


def _summary(compared: Comparison, ledger: Ledger) -> str:
    names, parts = compared.names, list[str]()
    for one in compared.rankings:
        first = [name for name, here in zip(names, one.first, strict=True) if here]
        if len(first) == len(names):
            parts.append(f"{FIRST[one.criterion]}: all level.")
            continue
        close = "" if one.clear else "; a close call, the ranges overlap"
        value = one.values[names.index(first[0])]
        parts.append(
            f"{FIRST[one.criterion]}: {' and '.join(first)} ({_in_words(one.criterion, value, ledger)}{close})."
        )
    unfit = [name for name, fits in zip(names, compared.fits, strict=True) if not fits]
    if unfit:
        parts.append(f"A pass of {' and of '.join(unfit)} breaks a limit by the central figures: see its match.")
    return " ".join(parts)


def _in_words(criterion: Criterion, value: Real, ledger: Ledger) -> str:
    if criterion == "passes":
        return f"{value:.0f}"
    if criterion == "finish":
        return f"day {value:.4g}"
    return ledger.say(_KINDS[criterion].of(abs(value)))
