"""Systems of passes held against each other: who comes first on what, and how far from a baseline."""

import math
from collections.abc import Callable, Sequence
from typing import Annotated, Any, Literal, NamedTuple, TypeAlias

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.system.field_pass import PassAnswer, Sums
from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.system import relative_change
from drawbar_service.quantities import Mass, Money, Ratio, Share, Time, Volume

Criterion: TypeAlias = Literal["time", "fuel", "cost", "passes", "cover", "finish"]

LEVEL = 1e-9
"""Difference over the larger value [1] below which two systems are level."""
MOST_RELATIVE = 1e6
"""Relative difference [1] beyond which the baseline is next to nothing and a percentage says nothing."""


class SystemDifference(msgspec.Struct, frozen=True, kw_only=True):
    """A system less the baseline. Relative: that difference over the baseline; null where the baseline is nothing."""

    name: Annotated[str, Meta(description="The system.")]
    passes: Annotated[int, Meta(description="Passes more or fewer.")]
    passes_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    time: Annotated[Time, Meta(description="Hours more or fewer.")]
    time_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    fuel: Annotated[Volume | None, Meta(description="Fuel more or less; null if not known of both.")]
    fuel_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    carbon_dioxide: Annotated[Mass | None, Meta(description="Carbon dioxide from fuel, more or less.")]
    carbon_dioxide_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    cost: Annotated[Money | None, Meta(description="Cost more or less, as far as prices were given.")]
    cost_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    cover: Annotated[Ratio | None, Meta(description="Cover more or less, in points of the ground.")]
    cover_relative: Annotated[Ratio | None, Meta(description="The same, relative.")]
    finish_day: Annotated[float | None, Meta(description="Days later or earlier that the last pass is done.")]


class CriterionAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Who comes first on one criterion: least hours, fuel, cost and passes, most cover, earliest finish."""

    criterion: Annotated[Criterion, Meta(description="The criterion; carbon dioxide goes with fuel.")]
    systems: Annotated[list[str], Meta(description="The system that comes first, or those that are level.")]
    clear: Annotated[
        bool,
        Meta(description="Whether its range lies wholly before the ranges of all others; else it is a close call."),
    ]


class SystemVerdict(msgspec.Struct, frozen=True, kw_only=True):
    """Who comes first on what. What counts more is yours to say: none is called the best."""

    summary: Annotated[str, Meta(description="The answer in words.")]
    criteria: Annotated[list[CriterionAnswer], Meta(description="Each criterion that could be reckoned for all.")]


class Chain(NamedTuple):
    """A system that has been reckoned; an array holds value, low and high."""

    name: str
    passes: list[PassAnswer]
    sums: Sums
    cost: FloatArray | None
    cover: FloatArray | None
    finish: FloatArray | None


def difference(chain: Chain, baseline: Chain, carbon_per_fuel: float) -> SystemDifference:
    """Return how far a `chain` is from the `baseline`; fuel gives off so much carbon dioxide [kg/m^3]."""
    ours, theirs = chain.sums, baseline.sums
    fuel, fuel_relative = _apart(ours.fuel, theirs.fuel)
    time, time_relative = _apart(ours.time, theirs.time)
    cost, cost_relative = _apart(chain.cost, baseline.cost)
    cover, cover_relative = _apart(chain.cover, baseline.cover)
    finish, _ = _apart(chain.finish, baseline.finish)
    return SystemDifference(
        name=chain.name,
        passes=ours.passes - theirs.passes,
        passes_relative=Ratio(float(relative_change(float(ours.passes), float(theirs.passes)))),
        time=Time(time or 0.0),
        time_relative=time_relative,
        fuel=Volume(fuel) if fuel is not None else None,
        fuel_relative=fuel_relative,
        carbon_dioxide=Mass(fuel * carbon_per_fuel) if fuel is not None else None,
        carbon_dioxide_relative=fuel_relative if carbon_per_fuel > 0.0 else None,
        cost=Money(cost) if cost is not None else None,
        cost_relative=cost_relative,
        cover=Ratio(cover) if cover is not None else None,
        cover_relative=cover_relative,
        finish_day=finish,
    )


def _apart(ours: FloatArray | None, theirs: FloatArray | None) -> tuple[float | None, Ratio | None]:
    """Return how far the values of two spans are apart, and the same over the second."""
    if ours is None or theirs is None:
        return None, None
    value, baseline = float(ours[0]), float(theirs[0])
    sensible = abs(value) <= MOST_RELATIVE * baseline and baseline > 0.0
    return value - baseline, Ratio(float(relative_change(value, baseline))) if sensible else None


_Reading: TypeAlias = Callable[[Chain], FloatArray | None]
_CRITERIA: tuple[tuple[Criterion, str, _Reading], ...] = (
    ("passes", "fewest passes", lambda chain: np.full(3, float(chain.sums.passes))),
    ("time", "fewest hours", lambda chain: chain.sums.time),
    ("fuel", "least fuel and carbon dioxide from it", lambda chain: chain.sums.fuel),
    ("cost", "least cost", lambda chain: chain.cost),
    ("cover", "most cover left", lambda chain: -chain.cover[[0, 2, 1]] if chain.cover is not None else None),
    ("finish", "earliest done", lambda chain: chain.finish),
)
"""Each criterion, what coming first on it means, and the reading of which the least comes first."""


def criteria(chains: Sequence[Chain]) -> list[CriterionAnswer]:
    """Return who comes first on each criterion that could be reckoned for all."""
    answers: list[CriterionAnswer] = []
    for criterion, _, reading in _CRITERIA:
        spans = [span for span in map(reading, chains) if span is not None]
        if len(spans) < len(chains):
            continue
        least = min(float(span[0]) for span in spans)
        first = [index for index, span in enumerate(spans) if math.isclose(span[0], least, rel_tol=LEVEL)]
        others = [span for index, span in enumerate(spans) if index not in first]
        clear = bool(others) and all(spans[index][2] < other[1] for index in first for other in others)
        answers.append(
            CriterionAnswer(criterion=criterion, systems=[chains[index].name for index in first], clear=clear)
        )
    return answers


def summary(chains: Sequence[Chain], found: Sequence[CriterionAnswer], ledger: Ledger) -> str:
    """Return in words what was `found`."""
    words = {criterion: text for criterion, text, _ in _CRITERIA}
    parts: list[str] = []
    for one in found:
        chain = next(chain for chain in chains if chain.name == one.systems[0])
        if len(one.systems) == len(chains):
            parts.append(f"{words[one.criterion].capitalize()}: all level.")
            continue
        close = "" if one.clear else "; a close call, the ranges overlap"
        parts.append(
            f"{words[one.criterion].capitalize()}: {' and '.join(one.systems)} "
            f"({_reading_in_words(one.criterion, chain, ledger)}{close})."
        )
    unfit = [chain.name for chain in chains if not chain.sums.fits]
    if unfit:
        parts.append(f"Not every pass fits in {' and '.join(unfit)}: see the limits of each.")
    return " ".join(parts)


def _reading_in_words(criterion: Criterion, chain: Chain, ledger: Ledger) -> str:
    def say(kind: Any, span: FloatArray | None) -> str:
        return ledger.say(kind(float(span[0]))) if span is not None else ""

    words: dict[Criterion, Callable[[], str]] = {
        "passes": lambda: str(chain.sums.passes),
        "time": lambda: say(Time, chain.sums.time),
        "fuel": lambda: say(Volume, chain.sums.fuel),
        "cost": lambda: say(Money, chain.cost),
        "cover": lambda: say(Share, chain.cover),
        "finish": lambda: f"day {chain.finish[0]:.4g}" if chain.finish is not None else "",
    }
    return words[criterion]()
