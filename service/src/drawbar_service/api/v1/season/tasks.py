"""The work of a season, checked and brought into the numbers of the engine."""

import datetime as dt
from collections.abc import Sequence
from typing import NamedTuple, Protocol

import numpy as np

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.fleet import Fleet, FleetImplement, FleetTractor, Prices, SeasonField, Window, Work
from drawbar_service.api.v1.season.pairings import Pairing
from drawbar_service.engine.season import Choices, Crew, IntArray, Machines, Orders, Season, Tasks

MOST_TASKS = 80
"""Works times fields in one request."""
MOST_CHOICES = 1_200
"""Ways to do all tasks: above it a plan is not found in a few seconds."""
MOST_CELLS = 9_000
"""Choices times periods; more make the periods longer than a day."""
MOST_DAYS = 366
FIRST_YEAR, LAST_YEAR = 1900, 2200
_LEAST_WEIGHT = 1e-3
"""Of the mean weight: what loses nothing by waiting still has to be done some day."""


class Task(NamedTuple):
    """One work on one field; numbers are places in the request."""

    work: int
    field: int
    opens: int
    """First day it can be worked [d]"""
    due: int
    """Last day that is not late [d]"""


class _Named(Protocol):
    @property
    def name(self) -> str: ...


def check(fleet: Fleet, fields: list[SeasonField], works: list[Work], window: Window, ledger: Ledger) -> list[Task]:
    """Return every task of a season whose names and dates go together; faults go to the ledger."""
    _check_window(window, ledger)
    known = {
        "tractors": _names(fleet.tractors, "/fleet/tractors", ledger),
        "implements": _names(fleet.implements, "/fleet/implements", ledger),
        "fields": _names(fields, "/fields", ledger),
    }
    _names(fleet.operators or [], "/fleet/operators", ledger)
    work_names = _names(works, "/work", ledger)
    for place, field in enumerate(fields):
        if field.efficiency is not None and field.shape is not None:
            ledger.fault(f"/fields/{place}/shape", "give efficiency or shape, not both: each sets the field efficiency")
        _check_dates(field.ready, field.due, window, f"/fields/{place}", ledger)
    lossless = [place for place, field in enumerate(fields) if field.daily_loss is None]
    if lossless and len(lossless) < len(fields):
        ledger.fault(
            f"/fields/{lossless[0]}/daily_loss", "give it for every field or for none: lateness is counted in it"
        )
    for number, work in enumerate(works):
        for member, names in known.items():
            _check_references(getattr(work, member), names, f"/work/{number}/{member}", ledger)
        _check_references([one.work for one in work.after], work_names, f"/work/{number}/after", ledger)
        _check_dates(None, work.due, window, f"/work/{number}", ledger)
    ledger.stop_at_faults()
    _check_orders(works, work_names, ledger)
    tasks = [
        _task(number, known["fields"][name], work, fields[known["fields"][name]], window)
        for number, work in enumerate(works)
        for name in work.fields
    ]
    if len(tasks) > MOST_TASKS:
        ledger.fault("/work", f"makes {len(tasks)} tasks, each work on each field being one; at most {MOST_TASKS}")
    ledger.stop_at_faults()
    return tasks


def _names(things: Sequence[_Named], pointer: str, ledger: Ledger) -> dict[str, int]:
    places: dict[str, int] = {}
    for place, thing in enumerate(things):
        if thing.name in places:
            ledger.fault(f"{pointer}/{place}/name", f"{thing.name!r} is the name of another one too")
        places[thing.name] = place
    return places


def days_of(window: Window) -> int:
    """Return how many days a window has, both ends counted."""
    return (window.end - window.start).days + 1


def _check_window(window: Window, ledger: Ledger) -> None:
    days = days_of(window)
    if not FIRST_YEAR <= window.start.year <= LAST_YEAR:
        ledger.fault("/window/start", f"lies in no year from {FIRST_YEAR} to {LAST_YEAR}")
    elif not 1 <= days <= MOST_DAYS:
        ledger.fault("/window/end", f"must be from 0 to {MOST_DAYS - 1} days after the start, not {days - 1}")


def _check_dates(ready: dt.date | None, due: dt.date | None, window: Window, pointer: str, ledger: Ledger) -> None:
    for name, date in (("ready", ready), ("due", due)):
        if date is not None and date > window.end:
            ledger.fault(f"{pointer}/{name}", f"{date} is after the window, which ends {window.end}")
    if due is not None and due < window.start:
        ledger.fault(f"{pointer}/due", f"{due} is before the window, which starts {window.start}")


def _check_references(names: Sequence[str], known: dict[str, int], pointer: str, ledger: Ledger) -> None:
    for place, name in enumerate(names):
        if name not in known:
            listed = ", ".join(known)
            ledger.fault(f"{pointer}/{place}", f"there is no {name!r}; there are {listed[:200]}")
        elif name in names[:place]:
            ledger.fault(f"{pointer}/{place}", f"{name!r} stands there twice")


def _check_orders(works: list[Work], places: dict[str, int], ledger: Ledger) -> None:
    settled: set[int] = set()
    waiting = dict(enumerate(works))
    for number, work in enumerate(works):
        for place, one in enumerate(work.after):
            if not set(work.fields) & set(works[places[one.work]].fields):
                ledger.fault(f"/work/{number}/after/{place}", f"{work.name!r} and {one.work!r} share no field")
    while waiting:
        free = [number for number, work in waiting.items() if all(places[one.work] in settled for one in work.after)]
        if not free:
            number, work = next(iter(waiting.items()))
            ledger.fault(f"/work/{number}/after", f"{work.name!r} waits in a circle for itself, or for works that do")
            return
        settled.update(free)
        for number in free:
            del waiting[number]


def _task(number: int, place: int, work: Work, field: SeasonField, window: Window) -> Task:
    ready = max(field.ready or window.start, window.start)
    due = work.due or field.due or window.end
    return Task(number, place, (ready - window.start).days, (due - window.start).days)


def blocked(tasks: list[Task], works: list[Work], found: list[Pairing]) -> dict[int, str | None]:
    """Return the tasks that cannot be planned: those nothing fits (None), and those that wait for one (its work)."""
    possible = {(one.work, place) for one in found if one.fits for place in one.fields}
    out: dict[int, str | None] = {
        number: None for number, task in enumerate(tasks) if (task.work, task.field) not in possible
    }
    while True:
        lost = {(works[tasks[number].work].name, tasks[number].field) for number in out}
        more = {
            number: one.work
            for number, task in enumerate(tasks)
            if number not in out
            for one in works[task.work].after
            if (one.work, task.field) in lost
        }
        if not more:
            return out
        out |= more


class Prospect(NamedTuple):
    """What the engine needs besides the number of periods."""

    season: Season
    """Of the window; :func:`longer` makes it longer."""
    pairing_of: list[int]
    """Which pairing each choice is."""


def prospect(
    fleet: Fleet,
    fields: list[SeasonField],
    works: list[Work],
    window: Window,
    prices: Prices,
    tasks: list[Task],
    found: list[Pairing],
    crew: Crew,
    share: float,
    ledger: Ledger,
) -> Prospect:
    """Return the season of the window, as the engine sees it.

    Parameters
    ----------
    fleet, fields, works, window, prices
        Of the request.
    tasks : list of Task
        Those that can be planned; at least one.
    found : list of Pairing
    crew : Crew
    share : float
        Share of days that are suitable [1].
    ledger : Ledger
        Told of faults.
    """
    days = days_of(window)
    order = {(task.work, task.field): number for number, task in enumerate(tasks)}
    entries = [
        (order[one.work, place], number)
        for number, one in enumerate(found)
        if one.fits
        for place in one.fields
        if (one.work, place) in order
    ]
    if len(entries) > MOST_CHOICES:
        ledger.fault(
            "/work",
            f"leaves {len(entries)} ways to do its tasks, at most {MOST_CHOICES}; name fewer tractors or implements "
            "for each work",
        )
        ledger.stop_at_faults()
    step = max(1, -(-days * len(entries) // MOST_CELLS))
    chosen = [found[number] for _, number in entries]
    priced = _is_priced(fleet, prices)
    choices = Choices(
        _whole([task for task, _ in entries]),
        _whole([one.tractor for one in chosen]),
        _whole([one.implement for one in chosen]),
        np.array([float(one.answer.capacity.effective) for one in chosen]),
        np.array([_cost_rate(one, fleet, prices, priced) for one in chosen]),
    )
    works_by_name = {work.name: number for number, work in enumerate(works)}
    orders = [
        (order[works_by_name[one.work], task.field], number, one.rest_days)
        for number, task in enumerate(tasks)
        for one in works[task.work].after
        if (works_by_name[one.work], task.field) in order
    ]
    losses = np.array([float(fields[task.field].daily_loss or 0.0) for task in tasks])
    weights = np.maximum(losses, _LEAST_WEIGHT * losses.mean()) if losses.any() else np.ones(len(tasks))
    season = Season(
        Tasks(
            np.array([float(fields[task.field].area) for task in tasks]),
            weights,
            _whole([task.opens for task in tasks]),
            _whole([task.due for task in tasks]),
        ),
        choices,
        Orders(*(_whole([one[column] for one in orders]) for column in range(3))),
        _machines(fleet.tractors, window),
        _machines(fleet.implements, window),
        crew,
        float(window.workday) * share,
        step,
        -(-days // step),
    )
    return Prospect(season, [number for _, number in entries])


def longer(season: Season, days: int) -> Season:
    """Return a season with at least so many more `days` at its end."""
    return season._replace(periods=season.periods - (-days // season.step))


def _whole(numbers: Sequence[int]) -> IntArray:
    return np.array(numbers, dtype=np.intp)


def _machines(machines: Sequence[FleetTractor | FleetImplement], window: Window) -> Machines:
    first = [((one.available_from or window.start) - window.start).days for one in machines]
    last = [((one.available_to or dt.date.max) - window.start).days for one in machines]
    return Machines(_whole(first), _whole(last), np.ones(len(machines), dtype=np.intp))


def _is_priced(fleet: Fleet, prices: Prices) -> bool:
    """Whether anything has a price; if not, the least fuel is the least cost."""
    hourly = (one.hourly_cost for one in (*fleet.tractors, *fleet.implements, *(fleet.operators or [])))
    return any(float(cost or 0.0) > 0.0 for cost in (*hourly, prices.fuel, prices.labour))


def _cost_rate(pairing: Pairing, fleet: Fleet, prices: Prices, priced: bool) -> float:
    """Return money for each time at work [1/s]; fuel in litres where nothing has a price."""
    fuel = pairing.answer.fuel
    rate = float(fuel.rate) if fuel is not None else 0.0
    if not priced:
        return 1e3 * rate
    machines = (fleet.tractors[pairing.tractor], fleet.implements[pairing.implement])
    return rate * float(prices.fuel or 0.0) + sum(float(one.hourly_cost or 0.0) for one in machines)
