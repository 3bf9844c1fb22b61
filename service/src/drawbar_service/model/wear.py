"""Ground-engaging parts: what each kind costs on an area by price, life and the time to change it."""

from collections.abc import Sequence
from typing import Literal, NamedTuple, Protocol, TypeAlias

from drawbar_service.engine.arrays import Mask, Real, choose, least_at
from drawbar_service.engine.cost import parts_per_area
from drawbar_service.model.findings import Findings
from drawbar_service.reference import UnknownReference, wear_row

LifeFrom: TypeAlias = Literal["given", "hours", "times_first", "point"]
"""Where the life of a part comes from."""

MOST_TIMES = 1e9
"""Cost over that of the fitted part [1] from which a ratio means nothing: the fitted one is as good as free."""


class WearPart(Protocol):
    """A kind of part that fits; the first of a place is what is fitted."""

    @property
    def name(self) -> str:
        """What the caller calls it."""
        ...

    @property
    def price(self) -> float:
        """Of one [money]."""
        ...

    @property
    def life(self) -> float | None:
        """Area the machine works on one set [m^2]."""
        ...

    @property
    def life_hours(self) -> float | None:
        """Work of the machine on one set [s]."""
        ...

    @property
    def times_first(self) -> float | None:
        """Life over that of the first option [1]."""
        ...

    @property
    def point(self) -> str | None:
        """Row of the wear table."""
        ...

    @property
    def change_time(self) -> float | None:
        """Labor to change one [s]."""
        ...


class WearingPlace(Protocol):
    """A place on a machine where parts wear, and what may be fitted there."""

    @property
    def name(self) -> str:
        """What the caller calls it."""
        ...

    @property
    def count(self) -> int:
        """Parts in a set [1]."""
        ...

    @property
    def soil_factor(self) -> float | None:
        """Life in this soil over the lives given [1]."""
        ...

    @property
    def options(self) -> Sequence[WearPart]:
        """What is fitted, then what else would fit."""
        ...


class WorkOfYear(NamedTuple):
    """The work of a year, as far as wear depends on it."""

    time: Real
    """[s]"""
    area: Real
    """[m^2]"""
    capacity: Real
    """[m^2/s]"""
    wage: Real | None
    """Of whoever changes parts [money/s]; None if unknown."""


class PartCost(NamedTuple):
    """What a kind of part costs."""

    name: str
    life: Real
    """Area worked on one set, in this soil [m^2]."""
    life_from: LifeFrom
    sets: Real
    """Worn out in a year [1]."""
    change_time: Real
    """Labor to change them in a year [s]."""
    per_area: Real
    """Parts and the labor to change them [money/m^2]."""
    per_year: Real
    """The same in a year [money]."""
    saving: Real
    """Over what is fitted, in a year [money]."""
    compares: Mask
    """Whether what is fitted costs anything; elsewhere the ratio means nothing."""
    against_fitted: Real
    """Cost over that of what is fitted [1]."""


class Comparison(NamedTuple):
    """The options of one place, side by side."""

    place: str
    options: list[PartCost]
    """In the order of the request; the first is fitted. The others are left out where nobody reads them."""

    @property
    def fitted(self) -> PartCost:
        """What is fitted."""
        return self.options[0]

    def best(self) -> Real:
        """Return the place of the option that costs least on an area, of the earlier of equals [1]."""
        return least_at([one.per_area for one in self.options])[0]


class _Life(NamedTuple):
    area: Real
    """[m^2]"""
    said_by: LifeFrom


def name_each_once(names: Sequence[str], what: str, pointer: str, found: Findings) -> None:
    """Note a fault wherever one of the `names` in a list of `what` stands a second time."""
    for index, name in enumerate(names):
        if name in names[:index]:
            found.fault("name-twice", f"{pointer}/{index}/name", name=name, what=what)


def compare(place: WearingPlace, work: WorkOfYear, found: Findings, pointer: str) -> Comparison | None:
    """Return what the options of a `place` cost in a year's `work`, or None once a fault is noted."""
    options = place.options
    name_each_once([option.name for option in options], "option", f"{pointer}/options", found)
    lives = _lives(place, work.capacity, found, f"{pointer}/options")
    if work.wage is None:
        for index, option in enumerate(options):
            if option.change_time is not None and option.change_time > 0.0:
                found.fault("change-needs-labor", f"{pointer}/options/{index}/change_time")
                return None
    if lives is None:
        return None
    found.use("derived")
    read = len(options) if found.asked("/wearing") else 1
    costs: list[PartCost] = []
    for option, life in zip(options[:read], lives, strict=False):
        costs.append(_cost(option, place, life, work, costs[0].per_area if costs else None))
    return Comparison(place.name, costs)


def _cost(option: WearPart, place: WearingPlace, life: _Life, work: WorkOfYear, fitted: Real | None) -> PartCost:
    """Return what an `option` costs; `fitted` is the cost of the first on an area, None for the first itself."""
    in_soil = life.area * (1.0 if place.soil_factor is None else place.soil_factor)
    change = (0.0 if option.change_time is None else option.change_time) * place.count
    wage: Real = 0.0 if work.wage is None else work.wage
    per_area = parts_per_area(option.price * place.count, in_soil, change, wage)
    first = per_area if fitted is None else fitted
    return PartCost(
        name=option.name,
        life=in_soil,
        life_from=life.said_by,
        sets=work.area / in_soil,
        change_time=change * work.area / in_soil,
        per_area=per_area,
        per_year=per_area * work.area,
        saving=(first - per_area) * work.area,
        compares=per_area < MOST_TIMES * first,
        against_fitted=per_area / choose(first > 0.0, first, 1.0),
    )


def _lives(place: WearingPlace, capacity: Real, found: Findings, pointer: str) -> list[_Life] | None:
    """Return the life of each option and where it comes from, or None once a fault is noted."""
    lives: list[_Life] = []
    for index in range(len(place.options)):
        first = lives[0].area if lives else None
        life = _life(place.options, index, first, capacity, found, f"{pointer}/{index}")
        if life is None:
            return None
        lives.append(life)
    return lives


def _life(
    options: Sequence[WearPart], index: int, first: Real | None, capacity: Real, found: Findings, pointer: str
) -> _Life | None:
    option = options[index]
    given = [name for name in ("life", "life_hours", "times_first") if getattr(option, name) is not None]
    if len(given) > 1:
        found.fault("life-once", f"{pointer}/{given[1]}", one=given[0], other=given[1])
    elif option.life is not None:
        return _Life(option.life, "given")
    elif option.life_hours is not None:
        return _Life(option.life_hours * capacity, "hours")
    elif first is None:
        found.fault("first-life", f"{pointer}/life")
    elif option.times_first is not None:
        return _Life(first * option.times_first, "times_first")
    else:
        return _life_by_table(options[0], option, first, found, pointer)
    return None


def _life_by_table(fitted: WearPart, option: WearPart, first: Real, found: Findings, pointer: str) -> _Life | None:
    if option.point is None or fitted.point is None:
        found.fault("life-unknown", f"{pointer}/life")
        return None
    ratio: Real = 1.0
    for name, up in ((option.point, True), (fitted.point, False)):
        try:
            row = wear_row(name)
        except UnknownReference as error:
            found.unknown(f"{pointer}/point" if up else f"{pointer.rpartition('/')[0]}/0/point", error)
            return None
        ratio = ratio * row.relative_life if up else ratio / row.relative_life
        found.use(row.source)
    found.assume("usual-life", f"{pointer}/times_first", ratio, "common-practice")
    return _Life(first * ratio, "point")
