"""Ground-engaging parts: what each kind costs on an area by price, life and the time to change it."""

from collections.abc import Sequence
from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import Count, RowId
from drawbar_service.engine.cost import parts_per_area
from drawbar_service.quantities import (
    Area,
    Money,
    MoneyPerArea,
    Multiplier,
    PartHours,
    Price,
    Ratio,
    ShortTime,
    Time,
)
from drawbar_service.reference import UnknownReference, wear_row

Name = Annotated[str, Meta(min_length=1, max_length=80)]


MOST_TIMES = 1e9
"""Cost over that of the fitted part [1] from which a ratio tells nothing: the fitted one is as good as free."""


class WearPart(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A kind of part that fits.

    The first of a place is what is fitted, and states its `life` or `life_hours`. The others may state theirs, or how
    many `times_first` they last; or both name their `point` in the wear table.
    """

    name: Annotated[Name, Meta(description="What you call it.", examples=["wing point"])]
    price: Annotated[Price, Meta(description="Of one.", examples=[42])]
    life: Annotated[Area | None, Meta(description="Area the machine works on one set of it.", examples=["180 ha"])] = (
        None
    )
    life_hours: Annotated[PartHours | None, Meta(description="Hours the machine works on one set.")] = None
    times_first: Annotated[Multiplier | None, Meta(description="Life over that of the first option.", examples=[3])] = (
        None
    )
    point: Annotated[
        RowId | None,
        Meta(description="Row of the wear table; with one on the first option, tells life.", examples=["wing-point"]),
    ] = None
    change_time: Annotated[ShortTime | None, Meta(description="Labour to change one.", examples=["6 min"])] = None


class WearingPlace(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A place on the machine where parts wear, and what may be fitted there."""

    name: Annotated[Name, Meta(description="What you call it.", examples=["shank points"])]
    count: Annotated[Count, Meta(description="Parts in a set: how many the machine carries there.", examples=[11])]
    soil_factor: Annotated[
        Multiplier | None,
        Meta(
            description="Life in this soil over the lives given, for all options; no table tells it. Below 1: it wears "
            "faster."
        ),
    ] = None
    options: Annotated[
        list[WearPart],
        Meta(min_length=1, max_length=10, description="What is fitted, then what else would fit."),
    ]


class WearPartCost(msgspec.Struct, frozen=True, kw_only=True):
    """What a kind of part costs."""

    name: Annotated[str, Meta(description="As in the request.")]
    life: Annotated[Area, Meta(description="Area worked on one set, in this soil.")]
    life_from: Annotated[str, Meta(description="Where the life comes from: given, hours, times_first or point.")]
    sets_per_year: Annotated[float, Meta(description="Sets worn out in a year of this work.")]
    change_time: Annotated[Time, Meta(description="Labour to change them in a year.")]
    per_area: Annotated[MoneyPerArea, Meta(description="Parts and the labour to change them.")]
    per_year: Annotated[Money, Meta(description="The same in a year.")]
    saving: Annotated[Money, Meta(description="What it saves in a year over what is fitted; below 0 it costs more.")]
    against_fitted: Annotated[
        Ratio | None, Meta(description="Its cost over that of what is fitted; null where that costs nothing.")
    ]


class WearComparison(msgspec.Struct, frozen=True, kw_only=True):
    """The options of one place, side by side."""

    machine: Annotated[str, Meta(description="The machine.")]
    place: Annotated[str, Meta(description="The place on it.")]
    options: Annotated[list[WearPartCost], Meta(description="In the order of the request; the first is fitted.")]
    best: Annotated[str, Meta(description="The option that costs least on an area; the earlier of equals.")]


def distinct_names(names: Sequence[str], what: str, pointer: str, ledger: Ledger) -> None:
    """Note a fault wherever one of the `names` in a list of `what` stands a second time."""
    for index, name in enumerate(names):
        if name in names[:index]:
            ledger.fault(f"{pointer}/{index}/name", f"{name!r} stands twice; give each {what} its own name")


def compare(
    machine: str,
    place: WearingPlace,
    capacity: float,
    area: float,
    wage: float | None,
    ledger: Ledger,
    pointer: str,
) -> WearComparison | None:
    """Return the options of a `place`, or None once a fault is noted.

    `capacity` [m^2/s] and `area` [m^2] are those of a year's work; `wage` [money/s] pays for changing, None if unknown.
    """
    distinct_names([option.name for option in place.options], "option", f"{pointer}/options", ledger)
    lives = _lives(place, capacity, ledger, f"{pointer}/options")
    for index, option in enumerate(place.options):
        if option.change_time is not None and option.change_time > 0.0 and wage is None:
            ledger.fault(f"{pointer}/options/{index}/change_time", "needs /work/labour, to say what that time costs")
            return None
    if lives is None:
        return None
    ledger.use("derived")
    soil = float(place.soil_factor) if place.soil_factor is not None else 1.0
    costs: list[WearPartCost] = []
    first = 0.0
    for option, (life, told) in zip(place.options, lives, strict=True):
        in_soil = life * soil
        change = float(option.change_time or 0.0) * place.count
        per_area = float(parts_per_area(float(option.price) * place.count, in_soil, change, wage or 0.0))
        if not costs:
            first = per_area
        costs.append(
            WearPartCost(
                name=option.name,
                life=Area(in_soil),
                life_from=told,
                sets_per_year=area / in_soil,
                change_time=Time(change * area / in_soil),
                per_area=MoneyPerArea(per_area),
                per_year=Money(per_area * area),
                saving=Money((first - per_area) * area),
                against_fitted=Ratio(per_area / first) if per_area < MOST_TIMES * first else None,
            )
        )
    best = min(costs, key=lambda one: float(one.per_area))
    return WearComparison(machine=machine, place=place.name, options=costs, best=best.name)


def _lives(place: WearingPlace, capacity: float, ledger: Ledger, pointer: str) -> list[tuple[float, str]] | None:
    """Return life [m^2] and where it comes from, option by option, or None once a fault is noted."""
    lives: list[tuple[float, str]] = []
    for index in range(len(place.options)):
        life = _life(place, index, lives[0][0] if lives else None, capacity, ledger, f"{pointer}/{index}")
        if life is None:
            return None
        lives.append(life)
    return lives


def _life(
    place: WearingPlace, index: int, first: float | None, capacity: float, ledger: Ledger, pointer: str
) -> tuple[float, str] | None:
    option = place.options[index]
    given = [name for name in ("life", "life_hours", "times_first") if getattr(option, name) is not None]
    if len(given) > 1:
        ledger.fault(f"{pointer}/{given[1]}", f"give {given[0]} or {given[1]}, not both: each says how long it lasts")
    elif option.life is not None:
        return float(option.life), "given"
    elif option.life_hours is not None:
        return float(option.life_hours) * capacity, "hours"
    elif first is None:
        ledger.fault(
            f"{pointer}/life", "required for the first option: the area (or life_hours) a set lasts, from your own use"
        )
    elif option.times_first is not None:
        return first * float(option.times_first), "times_first"
    else:
        return _life_by_table(place.options[0], option, first, ledger, pointer)
    return None


def _life_by_table(
    fitted: WearPart, option: WearPart, first: float, ledger: Ledger, pointer: str
) -> tuple[float, str] | None:
    if option.point is None or fitted.point is None:
        ledger.fault(
            f"{pointer}/life",
            "say how long it lasts: life, life_hours or times_first; or name the point of both this option and the "
            "first (a row of /v1/reference/wear)",
        )
        return None
    ratio = 1.0
    for name, up in ((option.point, True), (fitted.point, False)):
        try:
            row = wear_row(name)
        except UnknownReference as error:
            ledger.unknown(f"{pointer}/point" if up else f"{pointer.rpartition('/')[0]}/0/point", error)
            return None
        ratio = ratio * row.relative_life if up else ratio / row.relative_life
        ledger.use(row.source)
    ledger.assume(
        f"{pointer}/times_first",
        Multiplier(ratio),
        "Usual life of these points beside one another; soil and make of the point decide.",
        "common-practice",
    )
    return first * ratio, "point"
