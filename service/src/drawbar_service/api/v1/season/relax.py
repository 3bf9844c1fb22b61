"""Who drives in a season, and what stands in the way of its work: which constraint to relax, and what that brings."""

from collections.abc import Callable
from time import perf_counter
from typing import NamedTuple

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.fleet import Fleet, Prices, SeasonField, Window, Work
from drawbar_service.api.v1.season.answer import Constraint, Named, Outcome, Relaxation
from drawbar_service.api.v1.season.pairings import Pairing, nearest_miss
from drawbar_service.api.v1.season.tasks import Task
from drawbar_service.engine.season import Crew, Machines, Relaxed, Season
from drawbar_service.engine.season_plan import relaxed
from drawbar_service.quantities import Area, Ratio, Workday

MORE_HOURS = 2.0 * 3600.0
"""By how much a workday is tried longer [s]."""
LONGEST_WORKDAY = 24.0 * 3600.0
MOST_TRIALS = 3
"""Machines of which one more is tried; each trial costs a linear program."""
TRIAL_SECONDS = 4.0
"""Time after which no other change is tried [s]."""
WORTH_A_WORD = 0.01
"""Share of the lateness [1] that a change must save to be told."""


def crew_of(fleet: Fleet, prices: Prices, window: Window, share: float, ledger: Ledger) -> tuple[list[str], Crew]:
    """Return the names of the operators and their expected time in each calendar day."""
    labour = float(prices.labour or 0.0)
    day = float(window.workday) * share
    if not fleet.operators:
        ledger.assume("/fleet/operators", f"{len(fleet.tractors)}", "One for each tractor.", "common-practice")
        count = len(fleet.tractors)
        names = [f"operator {number + 1}" for number in range(count)]
        return names, Crew(np.full(count, day), np.full(count, labour))
    times = [min(float(one.workday or window.workday), float(window.workday)) * share for one in fleet.operators]
    costs = [float(one.hourly_cost) if one.hourly_cost is not None else labour for one in fleet.operators]
    return [one.name for one in fleet.operators], Crew(np.array(times), np.array(costs))


def obstacles(
    tasks: list[Task],
    lost: dict[int, str | None],
    found: list[Pairing],
    fleet: Fleet,
    fields: list[SeasonField],
    works: list[Work],
    ledger: Ledger,
) -> list[Relaxation]:
    """Return why tasks cannot be planned at all: nothing fits, with the nearest miss, or what comes before does not."""
    out: list[Relaxation] = []
    misses: dict[tuple[int, int], list[str]] = {}
    for number, before in lost.items():
        task = tasks[number]
        field = fields[task.field].name
        if before is not None:
            detail = f"{works[task.work].name!r} on {field} waits for {before!r}, which cannot be planned there."
            out.append(Relaxation(constraint="order", name=works[task.work].name, detail=detail))
            continue
        candidates = [place for place, one in enumerate(found) if one.work == task.work and task.field in one.fields]
        nearest = max(candidates, key=lambda place: min(float(limit.margin) for limit in found[place].answer.limits))
        misses.setdefault((task.work, nearest), []).append(field)
    for (work, place), names in misses.items():
        nearest = nearest_miss(found[place], ledger)
        pair = f"{fleet.implements[nearest.implement].name} behind {fleet.tractors[nearest.tractor].name}"
        verdict = nearest.answer.verdict.summary
        detail = f"Nothing fits {works[work].name!r} on {', '.join(names)}. Nearest is {pair}: {verdict}"
        out.insert(0, Relaxation(constraint="pairing", name=works[work].name, detail=detail))
    return out


class _Trial(NamedTuple):
    constraint: Constraint
    name: str
    words: str
    season: Season


def shortages(
    season: Season, worth: Relaxed | None, ends: Outcome, named: Named, window: Window, ledger: Ledger
) -> list[Relaxation]:
    """Return what would make less of the work late, each with what it brings; the best first.

    Machines can be split within a day in these reckonings, before and after, so that the two compare.
    """
    if worth is None or worth.lateness <= 0.0:
        return []
    out: list[Relaxation] = []
    end = perf_counter() + TRIAL_SECONDS
    for trial in _trials(season, worth, named, window, ledger):
        if perf_counter() > end:
            break
        left = relaxed(trial.season).lateness / worth.lateness
        if left < 1.0 - WORTH_A_WORD:
            detail = f"{trial.words} would take {100.0 * (1.0 - left):.0f} % off the lateness."
            out.append(Relaxation(constraint=trial.constraint, name=trial.name, detail=detail, late_left=Ratio(left)))
    out.sort(key=lambda one: float(one.late_left or 0.0))
    last = max((day for day in ends.last if day is not None), default=0)
    last_of_window = (window.end - window.start).days
    if ends.undone.any():
        area = Area(max(float(ends.undone @ season.tasks.area), 1.0))
        detail = f"{ledger.say(area)} are left undone even by {named.day(season.periods * season.step - 1)}."
        out.append(Relaxation(constraint="window", name=str(window.end), detail=detail))
    elif last > last_of_window:
        detail = (
            f"The work takes {last - last_of_window} more calendar days than the window has: it ends {named.day(last)}."
        )
        out.append(Relaxation(constraint="window", name=str(window.end), detail=detail))
    return out


def _always_there(season: Season, named: Named) -> list[tuple[str, Season]]:
    """Return the season with each machine that comes late or leaves early there all the time, by the machine's name."""
    end = season.step * season.periods - 1

    def all_day(machines: Machines, number: int) -> Machines:
        here = np.arange(len(machines.number)) == number
        return machines._replace(first=np.where(here, 0, machines.first), last=np.where(here, end, machines.last))

    def passing(machines: Machines) -> list[int]:
        return [int(one) for one in np.flatnonzero((machines.first > 0) | (machines.last < end))]

    return [
        *(
            (named.tractors[number], season._replace(tractors=all_day(season.tractors, number)))
            for number in passing(season.tractors)
        ),
        *(
            (named.implements[number], season._replace(implements=all_day(season.implements, number)))
            for number in passing(season.implements)
        ),
    ]


def _trials(season: Season, worth: Relaxed, named: Named, window: Window, ledger: Ledger) -> list[_Trial]:
    def one_more(machines: Machines, number: int) -> Machines:
        return machines._replace(number=machines.number + (np.arange(len(machines.number)) == number))

    def tractor(number: int) -> _Trial:
        name = named.tractors[number]
        more = season._replace(tractors=one_more(season.tractors, number))
        return _Trial("tractor", name, f"Another tractor like {name}", more)

    def implement(number: int) -> _Trial:
        name = named.implements[number]
        more = season._replace(implements=one_more(season.implements, number))
        return _Trial("implement", name, f"Another implement like {name}", more)

    sides: tuple[tuple[Callable[[int], _Trial], list[float]], ...] = (
        (tractor, worth.tractors.tolist()),
        (implement, worth.implements.tolist()),
    )
    rated = [(saves, make, number) for make, savings in sides for number, saves in enumerate(savings) if saves > 0.0]
    rated.sort(key=lambda one: -one[0])
    # The likeliest first, for time may end them.
    longer = min(float(window.workday) + MORE_HOURS, LONGEST_WORKDAY)
    factor, crew = longer / float(window.workday), season.crew
    stretched = season._replace(day_time=season.day_time * factor, crew=crew._replace(time=crew.time * factor))
    trials = [_Trial("workday", "", f"Workdays of {ledger.say(Workday(longer))} for all", stretched)]
    trials += [make(number) for _, make, number in rated[:MOST_TRIALS]]
    if worth.crew > 0.0:
        another = Crew(np.append(crew.time, season.day_time), np.append(crew.cost, crew.cost.max()))
        trials.append(_Trial("operator", "", "Another operator", season._replace(crew=another)))
    # One more of either alone helps little where both are at work all day.
    both = int(np.argmax(worth.tractors)), int(np.argmax(worth.implements))
    names = named.tractors[both[0]], named.implements[both[1]]
    pair = tractor(both[0]).season._replace(implements=implement(both[1]).season.implements)
    trials.append(_Trial("tractor", names[0], f"Another tractor like {names[0]} with another {names[1]}", pair))
    trials += [
        _Trial("availability", name, f"{name} there all the time", present)
        for name, present in _always_there(season, named)
    ]
    return trials
