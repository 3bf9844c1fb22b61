"""Systems: chains of passes from harvest to planting on the same land, held against each other."""

from collections.abc import Callable, Sequence
from typing import Final, Literal, NamedTuple, Protocol, TypeAlias

from drawbar_service.engine.arrays import (
    Mask,
    Real,
    both,
    choose,
    either,
    known_where,
    larger,
    opposite,
    smaller,
    total,
)
from drawbar_service.engine.system import carbon_dioxide, relative_change
from drawbar_service.model.field_pass import Describe, FieldPass, Land, Made, State, Sums, added, make_pass
from drawbar_service.model.findings import Findings
from drawbar_service.model.span import Span, exactly, turned

Criterion: TypeAlias = Literal["time", "fuel", "cost", "passes", "cover", "finish"]

LEVEL = 1e-9
"""Difference over the larger value [1] below which two systems are level."""
MOST_RELATIVE = 1e6
"""Relative difference [1] beyond which the baseline is next to nothing and a percentage says nothing."""


class FieldSystem(Protocol):
    """A way to work the land."""

    @property
    def name(self) -> str:
        """Its own."""
        ...

    @property
    def passes(self) -> Sequence[FieldPass]:
        """In the order they are made."""
        ...


class Residue(Protocol):
    """What the harvest left on the ground."""

    @property
    def cover(self) -> float:
        """Share of the ground it covers [1]."""
        ...

    @property
    def kind(self) -> str:
        """Fragile or non-fragile."""
        ...

    @property
    def winter_retention(self) -> float | None:
        """Share of the cover that a winter leaves, in place of the table's [1]."""
        ...


class Prices(Protocol):
    """Prices that are the same for every pass."""

    @property
    def fuel(self) -> float | None:
        """[money/m^3]."""
        ...

    @property
    def labor(self) -> float | None:
        """Of one driver [money/s]."""
        ...


class Calendar(Protocol):
    """When there is field work."""

    @property
    def workday(self) -> float:
        """Time of field work in a day [s]."""
        ...

    @property
    def suitable_share(self) -> float | None:
        """Share of days fit for field work [1]."""
        ...


class Systems(Protocol):
    """Two or more ways to work the same land."""

    @property
    def area(self) -> float:
        """Land that every pass covers [m^2]."""
        ...

    @property
    def systems(self) -> Sequence[FieldSystem]:
        """What is compared."""
        ...

    @property
    def baseline(self) -> str | None:
        """Name of the system the others are held against; None: the first."""
        ...

    @property
    def residue(self) -> Residue | None:
        """What is there before the first pass."""
        ...

    @property
    def prices(self) -> Prices:
        """Of fuel and labor."""
        ...

    @property
    def calendar(self) -> Calendar | None:
        """When there is field work."""
        ...

    @property
    def carbon_dioxide_per_fuel(self) -> float | None:
        """[kg/m^3]."""
        ...


class Chain(NamedTuple):
    """A system that has been worked out."""

    name: str
    passes: list[Made]
    sums: Sums
    cover: Span[Real] | None
    """Share of the ground that is covered in the end [1]; None without a residue to start from."""
    finish: Span[Real] | None
    """Day the last pass is done [d]; None without a calendar."""


class Apart(NamedTuple):
    """How far a value is from that of the baseline; None where it is not known of both."""

    difference: Real | None
    relative: Real | None
    """Over the baseline [1]; None, or NaN in a row, where that is next to nothing."""


class Difference(NamedTuple):
    """A system less the baseline."""

    name: str
    passes: Apart
    """[1]"""
    time: Apart
    """[s]"""
    fuel: Apart
    """[m^3]"""
    cost: Apart
    """[money]"""
    cover: Apart
    """[1]"""
    finish: Apart
    """[d]"""


class Ranking(NamedTuple):
    """Who comes first on one criterion."""

    criterion: Criterion
    values: list[Real]
    """Of each system, in SI units; of cover the negative."""
    first: list[Mask]
    """Whether a system comes first, alone or level with others."""
    clear: Mask
    """Whether the range of those that do lies wholly before the ranges of all others."""


class Comparison(NamedTuple):
    """Systems held against each other."""

    names: list[str]
    fits: list[Mask]
    """Whether every pass of a system that was matched fits."""
    rankings: list[Ranking]


def check_names(request: Systems, found: Findings) -> None:
    """Note names that are not a system's own, and a baseline that is none of them."""
    names = [system.name for system in request.systems]
    for index, name in enumerate(names):
        if name in names[:index]:
            found.fault("system-name-twice", f"/systems/{index}/name", name=name)
    if request.baseline is not None and request.baseline not in names:
        listed = ", ".join(f"{name}" for name in names)
        found.fault("no-such-system", "/baseline", name=request.baseline, names=listed)


def land_of(request: Systems, found: Findings) -> Land:
    """Return what every pass shares."""
    calendar, residue, prices = request.calendar, request.residue, request.prices
    share: Real = 1.0
    if calendar is not None and any(one.suitable_share is None for system in request.systems for one in system.passes):
        share = found.fallback(calendar.suitable_share, "/calendar/suitable_share", "suitable_share")
    if residue is not None:
        found.warn("cover-for-planning", "/residue")
    return Land(
        area=request.area,
        carbon_per_fuel=found.fallback(
            request.carbon_dioxide_per_fuel, "/carbon_dioxide_per_fuel", "carbon_dioxide_per_diesel"
        ),
        fuel_price=prices.fuel,
        wage=prices.labor,
        residue=residue.kind if residue is not None else None,
        winter_retention=residue.winter_retention if residue is not None else None,
        day_length=calendar.workday if calendar is not None else None,
        suitable_share=share,
    )


def chain_of(
    system: FieldSystem, pointer: str, residue: Residue | None, land: Land, found: Findings, describe: Describe
) -> Chain | None:
    """Return a system, pass after pass; None if a fault in it was noted.

    `pointer` leads to the system; `describe` says in words what a match came to that does not fit.
    """
    nothing = exactly(0.0)
    state = State(exactly(residue.cover) if residue is not None else nothing, nothing, loosened=False)
    made: list[Made] = []
    for index, one in enumerate(system.passes):
        done = make_pass(one, f"{pointer}/passes/{index}", state, land, found, describe)
        if done is not None:
            made.append(done)
            state = done.after
    if len(made) < len(system.passes):
        return None
    return Chain(
        system.name,
        made,
        _together([done.sums for done in made]),
        state.cover if residue is not None else None,
        state.day if land.day_length is not None else None,
    )


def _together(every: list[Sums]) -> Sums:
    time = added([one.time for one in every])
    assert time is not None
    fits: Mask = True
    for one in every:
        fits = both(fits, one.fits)
    return Sums(
        passes=total(one.passes for one in every),
        time=time,
        fuel=added([one.fuel for one in every]) if all(one.fuel is not None for one in every) else None,
        machine=added([one.machine for one in every]),
        fuel_cost=added([one.fuel_cost for one in every]),
        labor=added([one.labor for one in every]),
        fuel_cost_known=all(one.fuel_cost_known for one in every),
        fits=fits,
    )


def compare_prices(request: Systems, found: Findings) -> None:
    """Warn of passes without a machine price where others have one."""
    passes = [
        (f"/systems/{i}/passes/{j}", one.machine_per_area is not None or one.machine_per_time is not None)
        for i, system in enumerate(request.systems)
        for j, one in enumerate(system.passes)
    ]
    if any(priced for _, priced in passes):
        for pointer, priced in passes:
            if not priced:
                found.warn("machines-for-nothing", pointer)


def carbon_of(fuel: Span[Real] | None, land: Land) -> Span[Real] | None:
    """Return the carbon dioxide [kg] from burning `fuel` [m^3]."""
    return fuel.map(lambda burnt: carbon_dioxide(burnt, land.carbon_per_fuel)) if fuel is not None else None


def difference(chain: Chain, baseline: Chain) -> Difference:
    """Return how far a `chain` is from the `baseline`."""
    ours, theirs = chain.sums, baseline.sums
    return Difference(
        chain.name,
        Apart(ours.passes - theirs.passes, relative_change(ours.passes, theirs.passes)),
        _apart(ours.time, theirs.time),
        _apart(ours.fuel, theirs.fuel),
        _apart(ours.cost, theirs.cost),
        _apart(chain.cover, baseline.cover),
        _apart(chain.finish, baseline.finish),
    )


def _apart(ours: Span[Real] | None, theirs: Span[Real] | None) -> Apart:
    if ours is None or theirs is None:
        return Apart(None, None)
    value, baseline = ours.value, theirs.value
    sensible = both(abs(value) <= MOST_RELATIVE * baseline, baseline > 0.0)
    relative = relative_change(value, choose(sensible, baseline, 1.0))
    return Apart(value - baseline, known_where(sensible, relative))


_Reading: TypeAlias = Callable[[Chain], Span[Real] | None]
_READINGS: Final[tuple[tuple[Criterion, _Reading], ...]] = (
    ("passes", lambda chain: exactly(chain.sums.passes)),
    ("time", lambda chain: chain.sums.time),
    ("fuel", lambda chain: chain.sums.fuel),
    ("cost", lambda chain: chain.sums.cost),
    ("cover", lambda chain: turned(chain.cover.map(lambda cover: -cover)) if chain.cover is not None else None),
    ("finish", lambda chain: chain.finish),
)
"""Each criterion, and the reading of which the least comes first."""


def compare(chains: Sequence[Chain]) -> Comparison:
    """Return who comes first on each criterion that is known of all."""
    rankings: list[Ranking] = []
    for criterion, reading in _READINGS:
        spans = [span for span in map(reading, chains) if span is not None]
        # Rows of which a value is not known have fewer criteria: they go apart.
        if len(spans) == len(chains) and not any(span.value != span.value for span in spans):
            rankings.append(_ranking(criterion, spans))
    return Comparison([chain.name for chain in chains], [chain.sums.fits for chain in chains], rankings)


def _ranking(criterion: Criterion, spans: Sequence[Span[Real]]) -> Ranking:
    values = [span.value for span in spans]
    least = values[0]
    for value in values[1:]:
        least = smaller(least, value)
    first = [abs(value - least) <= LEVEL * larger(abs(value), abs(least)) for value in values]
    clear: Mask = _any_of([opposite(one) for one in first])
    for here, ours in zip(first, spans, strict=True):
        for there, theirs in zip(first, spans, strict=True):
            assert ours.high is not None
            assert theirs.low is not None
            before = ours.high < theirs.low
            clear = both(clear, either(either(opposite(here), there), before))
    return Ranking(criterion, values, first, clear)


def _any_of(conditions: Sequence[Mask]) -> Mask:
    """Return whether any of the `conditions` holds."""
    holds: Mask = False
    for one in conditions:
        holds = either(holds, one)
    return holds
