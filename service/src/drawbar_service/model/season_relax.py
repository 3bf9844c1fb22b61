"""What stands in the way of a season's work: which constraint to relax, and what that brings."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Literal, NamedTuple, TypeAlias

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.season import Choices, Crew, IntArray, Machines, Relaxed, Season
from drawbar_service.engine.season_program import relaxed
from drawbar_service.model.farm import Farm
from drawbar_service.model.findings import Findings
from drawbar_service.model.pairings import Pairing, nearest_miss
from drawbar_service.model.season import Task, days_of
from drawbar_service.model.season_plan import Planned

Constraint: TypeAlias = Literal[
    "pairing", "order", "tractor", "implement", "operator", "availability", "workday", "window"
]
Obstacle: TypeAlias = Literal[
    "nothing-fits",
    "waits",
    "longer-workday",
    "another-tractor",
    "another-implement",
    "another-operator",
    "another-pair",
    "always-there",
    "left-undone",
    "window-short",
]
"""What is in the way, or would help; each has a sentence."""

MORE_HOURS = 2.0 * 3600.0
"""By how much a workday is tried longer [s]."""
LONGEST_WORKDAY = 24.0 * 3600.0
MOST_TRIALS = 3
"""Machines of which one more is tried; each trial costs a linear program."""
MOST_PASSING = 3
"""Machines that come late or leave early of which it is tried what their staying would bring."""
WORTH_A_WORD = 0.01
"""Share of the lateness [1] that a change must save to be told."""


class Relaxation(NamedTuple):
    """A constraint in the way, and what relaxing it would bring."""

    obstacle: Obstacle
    constraint: Constraint
    name: str
    """Which: of a machine, a work or a date."""
    figures: Mapping[str, Any]
    """What its sentence needs, in SI units."""
    late_left: float | None = None
    """Lateness left over lateness now, machines shared freely within a day [1]; None if it is not calculated."""


def obstacles(
    farm: Farm, tasks: Sequence[Task], lost: Mapping[int, str | None], pairs: Sequence[Pairing]
) -> list[Relaxation]:
    """Return why tasks cannot be planned at all: nothing fits, with the nearest miss, or what comes before does not.

    Parameters
    ----------
    farm : Farm
    tasks : sequence of Task
    lost : dict
        Which of the tasks cannot be planned, as :func:`~drawbar_service.model.season.blocked` says.
    pairs : sequence of Pairing
    """
    waiting: list[Relaxation] = []
    misses: dict[tuple[int, int], list[str]] = {}
    for number, before in lost.items():
        task = tasks[number]
        work, field = farm.work[task.work].name, farm.fields[task.field].name
        if before is not None:
            waiting.append(Relaxation("waits", "order", work, {"work": work, "field": field, "before": before}))
            continue
        candidates = [place for place, one in enumerate(pairs) if one.work == task.work and task.field in one.fields]
        nearest = max(candidates, key=lambda place: pairs[place].least_margin)
        misses.setdefault((task.work, nearest), []).append(field)
    unfit: list[Relaxation] = []
    for (number, place), fields in reversed(misses.items()):
        work = farm.work[number].name
        figures = {"work": work, "fields": ", ".join(fields), "nearest": nearest_miss(pairs[place])}
        unfit.append(Relaxation("nothing-fits", "pairing", work, figures))
    return unfit + waiting


class _Trial(NamedTuple):
    obstacle: Obstacle
    constraint: Constraint
    name: str
    figures: Mapping[str, Any]
    season: Season


def shortages(farm: Farm, planned: Planned, found_so_far: Findings) -> list[Relaxation]:
    """Return what would make less of the work late, each with what it brings; the best first.

    The trials end where `found_so_far` says that nobody waits.

    Machines can be split within a day in what is compared here, before and after.
    """
    worth, season, ends = planned.worth, planned.season, planned.ends
    if worth is None or worth.lateness <= 0.0:
        return []
    found: list[Relaxation] = []
    for trial in _trials(farm, season, worth):
        found_so_far.go_on()
        left = relaxed(trial.season).lateness / worth.lateness
        if left < 1.0 - WORTH_A_WORD:
            figures = {**trial.figures, "saved": 100.0 * (1.0 - left)}
            found.append(Relaxation(trial.obstacle, trial.constraint, trial.name, figures, left))
    found.sort(key=lambda one: one.late_left or 0.0)
    beyond = (ends.last_of_all or 0) - (days_of(farm.window) - 1)
    window = str(farm.window.end)
    if ends.undone.any():
        undone = max(float(ends.undone @ season.tasks.area), 1.0)
        found.append(Relaxation("left-undone", "window", window, {"area": undone, "day": planned.last_day}))
    elif beyond > 0:
        found.append(Relaxation("window-short", "window", window, {"days": beyond, "day": ends.last_of_all}))
    return found


def _always_there(farm: Farm, season: Season) -> list[_Trial]:
    """Return the season with each machine that comes late or leaves early there all the time."""
    end = season.days - 1

    def all_day(machines: Machines, number: int) -> Machines:
        here = np.arange(len(machines.first)) == number
        alone = alone_with(machines, number)
        return alone._replace(first=np.where(here, 0, machines.first), last=np.where(here, end, machines.last))

    def passing(machines: Machines) -> list[int]:
        return np.flatnonzero((machines.first > 0) | (machines.last < end) | shared(machines)).tolist()

    def trial(name: str, present: Season) -> _Trial:
        return _Trial("always-there", "availability", name, {"name": name}, present)

    trials = [
        *(
            trial(farm.fleet.tractors[number].name, season._replace(tractors=all_day(season.tractors, number)))
            for number in passing(season.tractors)
        ),
        *(
            trial(farm.fleet.implements[number].name, season._replace(implements=all_day(season.implements, number)))
            for number in passing(season.implements)
        ),
    ]
    return trials[:MOST_PASSING]


def shared(machines: Machines) -> npt.NDArray[np.bool_]:
    """Return which machines a neighbor has on some days, or that are away on some."""
    away = np.isin(np.arange(len(machines.first)), machines.away[:, 0])
    return away | ((machines.share < 1.0) & (machines.need > 0.0))


def alone_with(machines: Machines, number: int) -> Machines:
    """Return machines of which one is here on all days between its first and last."""
    here = np.arange(len(machines.first)) == number
    return machines._replace(
        share=np.where(here, 1.0, machines.share), away=machines.away[machines.away[:, 0] != number]
    )


def another(season: Season, *, tractor: int | None = None, implement: int | None = None) -> Season:
    """Return a season with one more of a tractor, an implement or both; the new ones come last.

    Choices of the season keep their places; those of the new machines follow.
    """
    choices = season.choices
    old = np.arange(len(choices.task))
    new: list[tuple[IntArray, int | None, int | None]] = []
    fresh_tractor, fresh_implement = len(season.tractors.first), len(season.implements.first)
    if tractor is not None:
        new.append((old[choices.tractor == tractor], fresh_tractor, None))
    if implement is not None:
        new.append((old[choices.implement == implement], None, fresh_implement))
    if tractor is not None and implement is not None:
        new.append(
            (old[(choices.tractor == tractor) & (choices.implement == implement)], fresh_tractor, fresh_implement)
        )
    rows = np.concatenate([old, *(one for one, _, _ in new)])
    whose = [choices.tractor, *(choices.tractor[one] if k is None else np.full(len(one), k) for one, k, _ in new)]
    which = [choices.implement, *(choices.implement[one] if i is None else np.full(len(one), i) for one, _, i in new)]

    def grown(machines: Machines, number: int | None) -> Machines:
        if number is None:
            return machines
        new = machines.away[machines.away[:, 0] == number]
        new[:, 0] = len(machines.first)
        return Machines(
            first=np.append(machines.first, machines.first[number]),
            last=np.append(machines.last, machines.last[number]),
            share=np.append(machines.share, machines.share[number]),
            since=np.append(machines.since, machines.since[number]),
            need=np.append(machines.need, machines.need[number]),
            away=np.vstack([machines.away, new]),
        )

    return season._replace(
        choices=Choices(
            choices.task[rows],
            np.concatenate(whose),
            np.concatenate(which),
            choices.rate[rows],
            choices.cost[rows],
        ),
        tractors=grown(season.tractors, tractor),
        implements=grown(season.implements, implement),
    )


def _trials(farm: Farm, season: Season, worth: Relaxed) -> list[_Trial]:
    fleet, workday = farm.fleet, float(farm.window.workday)

    def tractor(number: int) -> _Trial:
        name = fleet.tractors[number].name
        more = another(season, tractor=number)
        return _Trial("another-tractor", "tractor", name, {"name": name}, more)

    def implement(number: int) -> _Trial:
        name = fleet.implements[number].name
        more = another(season, implement=number)
        return _Trial("another-implement", "implement", name, {"name": name}, more)

    sides: tuple[tuple[Callable[[int], _Trial], list[float]], ...] = (
        (tractor, worth.tractors.tolist()),
        (implement, worth.implements.tolist()),
    )
    rated = [(saves, make, number) for make, savings in sides for number, saves in enumerate(savings) if saves > 0.0]
    rated.sort(key=lambda one: -one[0])
    longer = min(workday + MORE_HOURS, LONGEST_WORKDAY)
    factor, crew = longer / workday, season.crew
    stretched = season._replace(day_time=season.day_time * factor, crew=crew._replace(time=crew.time * factor))
    trials = [_Trial("longer-workday", "workday", "", {"workday": longer}, stretched)]
    trials += [make(number) for _, make, number in rated[:MOST_TRIALS]]
    if worth.crew > 0.0:
        one_more = Crew(np.append(crew.time, season.day_time), np.append(crew.cost, crew.cost.max()))
        trials.append(_Trial("another-operator", "operator", "", {}, season._replace(crew=one_more)))
    # One more of either alone helps little where both are at work all day.
    first, second = int(np.argmax(worth.tractors)), int(np.argmax(worth.implements))
    names = {"name": fleet.tractors[first].name, "implement": fleet.implements[second].name}
    pair = another(season, tractor=first, implement=second)
    trials.append(_Trial("another-pair", "tractor", names["name"], names, pair))
    return trials + _always_there(farm, season)
