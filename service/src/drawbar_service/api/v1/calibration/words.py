"""The sentences of a calibration: the answer in words."""

from drawbar_service.api.answers import Ledger
from drawbar_service.model.calibration import Estimate, Learned
from drawbar_service.quantities import ConeIndex, Multiplier, Quantity


def summary(learned: Learned, runs: int, apart: int, ledger: Ledger) -> str:
    """Return the answer in words, for so many `runs` of which so many stand `apart`."""
    text = (
        f"{_found('The draft multiplier', Multiplier, learned.multiplier, ledger)} "
        f"{_found('The cone index', ConeIndex, learned.cone_index, ledger)} From {runs} run{'s' if runs > 1 else ''}."
    )
    return f"{text} Mind the {apart} that do not go with the others." if apart else text


def _found(name: str, kind: type[Quantity], estimate: Estimate, ledger: Ledger) -> str:
    middle, low, high = (ledger.say(kind.of(end or 0.0)) for end in estimate.median)
    if not estimate.informed:
        return f"{name} stays {middle}: the runs say nothing of it."
    return f"{name} is {middle} ({low} to {high}), {estimate.times_narrower:.1f} times as sure as before."
