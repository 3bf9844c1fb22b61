"""The work of a season as the engine's program takes it: tasks, machines, people, order and price."""

import datetime as dt
from collections.abc import Mapping, Sequence
from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.daylight import daylight
from drawbar_service.engine.season import (
    SAME_DAY,
    UNDONE,
    Choices,
    Crew,
    IntArray,
    Machines,
    Orders,
    Season,
    Tasks,
    Ways,
)
from drawbar_service.model.days import past_of
from drawbar_service.model.farm import Farm, FarmAndDays, Owned, SeasonField, Window, Work
from drawbar_service.model.findings import Findings
from drawbar_service.model.pairings import Pairing

MOST_TASKS = 80
"""Works times fields in one request."""
MOST_CHOICES = 3_000
"""Ways to do all tasks: above it a plan is not found in a few seconds."""
MOST_DAYS = 366
FIRST_YEAR, LAST_YEAR = 1900, 2200
MOST_LISTED = 200
"""Letters of a list of names in a sentence."""
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_LEAST_BLOCK = 0.5
"""Of a day's time [1]: the least block of work, unless it is given."""
_DETOUR = "road_detour"
"""Row of the defaults: roads over the straight line."""
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
    done: float = 0.0
    """Share that is done before the first day [1]"""
    done_on: int = -1
    """Last day on which that was worked [d], below 0"""


class _Named(Protocol):
    @property
    def name(self) -> str: ...


def days_of(window: Window) -> int:
    """Return how many days a window has, both ends counted."""
    return (window.end - window.start).days + 1


def begin_of(farm: FarmAndDays, found: Findings) -> dt.date:
    """Return the first day that is left of a season's window after the weeks so far; faults go to `found`."""
    window = farm.window
    if farm.so_far is None or farm.record is None:
        return window.start
    past = past_of(farm.so_far, found, "/so_far")
    if past is None or past.end < window.start.toordinal():
        return window.start
    if past.end >= window.end.toordinal():
        found.fault("season-passed", "/so_far", end=dt.date.fromordinal(past.end).isoformat())
        return window.start
    begin = dt.date.fromordinal(past.end + 1)
    found.assume("window-left", "/window/start", begin.isoformat(), "derived")
    return begin


def tasks_of(farm: FarmAndDays, begin: dt.date, found: Findings) -> list[Task]:
    """Return what is to be done of a season whose names and dates go together, with days counted from `begin`.

    Raises
    ------
    Impossible
        If they do not.
    """
    fleet, window = farm.fleet, farm.window
    _check_window(window, found)
    known = {
        "tractors": _places(fleet.tractors, "/fleet/tractors", found),
        "implements": _places(fleet.implements, "/fleet/implements", found),
        "fields": _places(farm.fields, "/fields", found),
    }
    _places(fleet.operators or [], "/fleet/operators", found)
    elsewhere = _names_elsewhere(farm, found)
    works = _places(farm.work, "/work", found)
    for place, field in enumerate(farm.fields):
        if field.efficiency is not None and field.shape is not None:
            found.fault("efficiency-once", f"/fields/{place}/shape", one="efficiency", other="shape")
        _check_dates(field.ready, field.due, window, f"/fields/{place}", found)
    lossless = [place for place, field in enumerate(farm.fields) if field.daily_loss is None]
    if lossless and len(lossless) < len(farm.fields):
        found.fault("loss-for-all-or-none", f"/fields/{lossless[0]}/daily_loss")
    for number, work in enumerate(farm.work):
        for member, names in known.items():
            others = elsewhere.get(member, {})
            _check_references(getattr(work, member), {**names, **others}, f"/work/{number}/{member}", found)
            # Of machines that only an alternative has, the plan itself needs one at least that is its own.
            asked = getattr(work, member)
            if asked and not set(asked) & set(names) and set(asked) & set(others):
                found.fault("only-in-alternatives", f"/work/{number}/{member}", listed=", ".join(names)[:MOST_LISTED])
        _check_references([one.work for one in work.after], works, f"/work/{number}/after", found)
        _check_dates(None, work.due, window, f"/work/{number}", found)
    found.stop_at_faults()
    _check_orders(farm.work, works, found)
    fields = known["fields"]
    done = {
        (number, fields[name]): share
        for number, work in enumerate(farm.work)
        for name, share in _done(farm, number, work, begin, found).items()
    }
    found.stop_at_faults()
    before = [
        (number, one.rest_days, works[one.work], one.same_day)
        for number, work in enumerate(farm.work)
        for one in work.after
    ]
    tasks: list[Task] = []
    for number, work in enumerate(farm.work):
        for name in work.fields:
            place = fields[name]
            task = _task(number, place, work, farm.fields[place], window, begin)
            share, on = done.get((number, place), (0.0, -1))
            for then, rest, first, same_day in before:
                if then != number or name not in farm.work[first].fields:
                    continue
                ahead, ahead_on = done.get((first, place), (0.0, -1))
                if share > ahead:
                    found.fault("done-out-of-turn", f"/work/{number}/done", field=name, before=farm.work[first].name)
                if ahead == 1.0:
                    task = task._replace(opens=max(task.opens, ahead_on + (0 if same_day else rest + 1)))
            if share < 1.0:
                tasks.append(task._replace(done=share, done_on=on))
    if len(tasks) > MOST_TASKS:
        found.fault("too-many-tasks", "/work", tasks=len(tasks), most=MOST_TASKS)
    if not tasks and not found.refused:
        found.fault("all-is-done", "/work")
    found.stop_at_faults()
    return tasks


def _done(farm: FarmAndDays, number: int, work: Work, begin: dt.date, found: Findings) -> dict[str, tuple[float, int]]:
    """Return what of a work is done before a season begins, by field: share [1] and last day [d]."""
    areas = {field.name: float(field.area) for field in farm.fields}
    made: dict[str, tuple[float, int]] = {}
    for place, one in enumerate(work.done):
        pointer = f"/work/{number}/done/{place}"
        if one.field not in work.fields:
            listed = ", ".join(work.fields)[:MOST_LISTED]
            found.fault("no-such-name", f"{pointer}/field", name=one.field, listed=listed)
            continue
        if one.field in made:
            found.fault("named-twice", f"{pointer}/field", name=one.field)
        whole = areas[one.field]
        if one.area is not None and one.area > whole:
            found.fault("done-beyond-field", f"{pointer}/area", field=one.field, area=whole)
        if one.last is not None and one.last >= begin:
            found.fault("done-later", f"{pointer}/last", begin=begin)
        share = 1.0 if one.area is None else float(one.area) / whole
        made[one.field] = (
            1.0 if share > 1.0 - UNDONE else share,
            -1 if one.last is None else (one.last - begin).days,
        )
    return made


def _names_elsewhere(farm: FarmAndDays, found: Findings) -> dict[str, dict[str, int]]:
    """Return the names of machines that alternatives have."""
    names: dict[str, dict[str, int]] = {"tractors": {}, "implements": {}}
    for number, alternative in enumerate(farm.alternatives):
        if alternative.fleet is not None:
            at = f"/alternatives/{number}/fleet"
            names["tractors"] |= _places(alternative.fleet.tractors, f"{at}/tractors", found)
            names["implements"] |= _places(alternative.fleet.implements, f"{at}/implements", found)
            _places(alternative.fleet.operators or [], f"{at}/operators", found)
    return names


def _places(things: Sequence[_Named], pointer: str, found: Findings) -> dict[str, int]:
    places: dict[str, int] = {}
    for place, thing in enumerate(things):
        if thing.name in places:
            found.fault("name-taken", f"{pointer}/{place}/name", name=thing.name)
        places[thing.name] = place
    return places


def _check_window(window: Window, found: Findings) -> None:
    days = days_of(window)
    if not FIRST_YEAR <= window.start.year <= LAST_YEAR:
        found.fault("window-year", "/window/start", first=FIRST_YEAR, last=LAST_YEAR)
    elif not 1 <= days <= MOST_DAYS:
        found.fault("window-length", "/window/end", most=MOST_DAYS - 1, days=days - 1)


def _check_dates(ready: dt.date | None, due: dt.date | None, window: Window, pointer: str, found: Findings) -> None:
    for name, date in (("ready", ready), ("due", due)):
        if date is not None and date > window.end:
            found.fault("after-window", f"{pointer}/{name}", date=date, end=window.end)
    if due is not None and due < window.start:
        found.fault("before-window", f"{pointer}/due", date=due, start=window.start)


def _check_references(names: Sequence[str], known: Mapping[str, int], pointer: str, found: Findings) -> None:
    for place, name in enumerate(names):
        if name not in known:
            found.fault("no-such-name", f"{pointer}/{place}", name=name, listed=", ".join(known)[:MOST_LISTED])
        elif name in names[:place]:
            found.fault("named-twice", f"{pointer}/{place}", name=name)


def _check_orders(works: Sequence[Work], places: Mapping[str, int], found: Findings) -> None:
    settled: set[int] = set()
    waiting = dict(enumerate(works))
    for number, work in enumerate(works):
        for place, one in enumerate(work.after):
            if not set(work.fields) & set(works[places[one.work]].fields):
                found.fault("no-field-shared", f"/work/{number}/after/{place}", work=work.name, before=one.work)
    while waiting:
        free = [number for number, work in waiting.items() if all(places[one.work] in settled for one in work.after)]
        if not free:
            number, work = next(iter(waiting.items()))
            found.fault("circle-of-works", f"/work/{number}/after", work=work.name)
            return
        settled.update(free)
        for number in free:
            del waiting[number]


def _task(number: int, place: int, work: Work, field: SeasonField, window: Window, begin: dt.date) -> Task:
    ready = max(field.ready or begin, begin)
    due = work.due or field.due or window.end
    return Task(number, place, (ready - begin).days, (due - begin).days)


def blocked(tasks: Sequence[Task], works: Sequence[Work], pairs: Sequence[Pairing]) -> dict[int, str | None]:
    """Return the tasks that cannot be planned: those nothing fits (None), and those that wait for one (its work)."""
    possible = {(one.work, place) for one in pairs if one.fits for place in one.fields}
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


def crew_of(farm: Farm, share: float, found: Findings) -> Crew:
    """Return the operators: their expected time in each calendar day, with a `share` [1] of suitable days."""
    fleet, workday = farm.fleet, float(farm.window.workday)
    labor = _price(farm.prices.labor)
    if not fleet.operators:
        count = len(fleet.tractors)
        found.assume("operator-for-each", "/fleet/operators", float(count), "common-practice", count=count)
        return Crew(np.full(count, workday * share), np.full(count, labor))
    times = [workday if one.workday is None else min(float(one.workday), workday) for one in fleet.operators]
    costs = [labor if one.hourly_cost is None else float(one.hourly_cost) for one in fleet.operators]
    return Crew(np.array(times) * share, np.array(costs))


class Program(NamedTuple):
    """The program of a season, and where its choices come from."""

    season: Season
    """Of the window; :func:`longer` makes it longer."""
    pairing_of: list[int]
    """Which pairing each choice is."""
    start: FloatArray | None = None
    """Lists to begin the search from; None where there are none."""


def program_of(
    farm: Farm,
    tasks: Sequence[Task],
    pairs: Sequence[Pairing],
    crew: Crew,
    share: float,
    length: FloatArray,
    found: Findings,
) -> Program:
    """Return the season of the window, as the engine takes it.

    Parameters
    ----------
    farm : Farm
    tasks : sequence of Task
        Those that can be planned; at least one.
    pairs : sequence of Pairing
    crew : Crew
    share : float
        Share of days that are suitable [1].
    length : array (days,)
        Time in each calendar day over the mean [1].
    found : Findings
        Receives faults.

    Raises
    ------
    Impossible
        If there are more ways to do the tasks than can be planned.
    """
    fields, works, window = farm.fields, farm.work, farm.window
    order = {(task.work, task.field): number for number, task in enumerate(tasks)}
    entries = [
        (order[one.work, place], number)
        for number, one in enumerate(pairs)
        if one.fits
        for place in one.fields
        if (one.work, place) in order
    ]
    if len(entries) > MOST_CHOICES:
        found.fault("too-many-choices", "/work", choices=len(entries), most=MOST_CHOICES)
        found.stop_at_faults()
    chosen = [pairs[number] for _, number in entries]
    priced = _is_priced(farm)
    choices = Choices(
        _whole([task for task, _ in entries]),
        _whole([one.tractor for one in chosen]),
        _whole([one.implement for one in chosen]),
        np.array([one.area_rate for one in chosen]),
        np.array([_cost_rate(one, farm, priced) for one in chosen]),
    )
    numbers = {work.name: number for number, work in enumerate(works)}
    orders = [
        (order[numbers[one.work], task.field], number, SAME_DAY if one.same_day else one.rest_days)
        for number, task in enumerate(tasks)
        for one in works[task.work].after
        if (numbers[one.work], task.field) in order
    ]
    losses = np.array([_price(fields[task.field].daily_loss) for task in tasks])
    weights = np.maximum(losses, _LEAST_WEIGHT * losses.mean()) if losses.any() else np.ones(len(tasks))
    season = Season(
        Tasks(
            np.array([float(fields[task.field].area) for task in tasks]),
            weights,
            _whole([task.opens for task in tasks]),
            _whole([task.due for task in tasks]),
            _whole([task.field for task in tasks]),
            np.array([_one(works[task.work].fit_share) for task in tasks]),
            np.array([task.done for task in tasks]),
            _whole([task.done_on for task in tasks]),
        ),
        choices,
        Orders(*(_whole([one[column] for one in orders]) for column in range(3))),
        _machines(farm.fleet.tractors, window),
        _machines(farm.fleet.implements, window),
        crew,
        ways_of(farm, found),
        float(window.workday) * share,
        length,
    )
    return Program(season, [number for _, number in entries])


def longer(season: Season, length: FloatArray) -> Season:
    """Return a season with more days at its end, of this `length` over the mean [1]."""
    return season._replace(length=np.concatenate([season.length, length]))


def worked_days(window: Window, days: int) -> npt.NDArray[np.bool_]:
    """Return which of so many `days` from the first of the window on are worked: those that are not days off."""
    off = window.days_off
    if off is None:
        return np.ones(days, dtype=np.bool_)
    weekdays = {WEEKDAYS.index(one) for one in off.weekdays}
    dates = (window.start + dt.timedelta(days=day) for day in range(days))
    return np.array([date.weekday() not in weekdays and date not in off.dates for date in dates])


def length_of(farm: Farm, days: int) -> FloatArray:
    """Return what days off, daylight and lamps leave of the workday on each of so many `days` from the first on [1]."""
    return np.where(worked_days(farm.window, days), _lit(farm, days), 0.0)


def _lit(farm: Farm, days: int) -> FloatArray:
    light, window = farm.driving.daylight, farm.window
    if light is None:
        return np.ones(days)
    first = window.start.timetuple().tm_yday
    lit = daylight(np.radians(light.latitude), (first - 1.0 + np.arange(days, dtype=np.float64)) % 365.0 + 1.0)
    return np.minimum((lit + _price(light.lamps)) / float(window.workday), 1.0)


def ways_of(farm: Farm, found: Findings) -> Ways:
    """Return what takes time beside the work: the least block, changing implements and the road."""
    driving, workday, count = farm.driving, float(farm.window.workday), len(farm.fields)
    if driving.least_block is None:
        found.assume("least-block", "/driving/least_block", _LEAST_BLOCK * workday, "drawbar-default")
    least = _LEAST_BLOCK if driving.least_block is None else min(float(driving.least_block) / workday, 1.0)
    hitch = np.inf if driving.hitch_change is None else float(driving.hitch_change)
    if driving.travel_times is not None:
        times = driving.travel_times
        if len(times) != count or any(len(row) != count for row in times):
            found.fault("travel-times-shape", "/driving/travel_times", fields=count)
            found.stop_at_faults()
        between = np.array([[float(one) for one in row] for row in times])
        return Ways(least, hitch, np.vstack([between, np.zeros(count)]))
    placed = [field.at for field in farm.fields]
    if all(one is None for one in placed):
        return Ways(least, hitch, np.zeros((count + 1, count)))
    for number, one in enumerate(placed):
        if one is None:
            found.fault("places-for-all-or-none", f"/fields/{number}")
    found.stop_at_faults()
    speed = float(found.fallback(driving.travel_speed, "/driving/travel_speed", "travel_speed"))
    detour = float(found.fallback(driving.detour, "/driving/detour", _DETOUR))
    at = np.array([(float(one.east), float(one.north)) for one in placed if one is not None])
    yard = driving.yard
    starts = np.vstack([at, [(float(yard.east), float(yard.north))] if yard is not None else at[:1]])
    away = np.hypot(*(starts[:, np.newaxis, :] - at).transpose(2, 0, 1)) * detour / speed
    if yard is None:
        away[-1] = 0.0
    return Ways(least, hitch, away)


def hourly_cost(pairing: Pairing, farm: Farm) -> float:
    """Return what tractor and implement cost, in money for each time at work [1/s]."""
    return _price(farm.fleet.tractors[pairing.tractor].hourly_cost) + _price(
        farm.fleet.implements[pairing.implement].hourly_cost
    )


def _whole(numbers: Sequence[int]) -> IntArray:
    return np.array(numbers, dtype=np.intp)


def _price(given: float | None) -> float:
    return 0.0 if given is None else float(given)


def _machines(machines: Sequence[Owned], window: Window) -> Machines:
    def day(date: dt.date | None, otherwise: dt.date) -> int:
        return ((date or otherwise) - window.start).days

    shared = [one.neighbor for one in machines]
    away = [
        (number, day(span.first, window.start), day(span.last, window.start))
        for number, one in enumerate(machines)
        for span in one.away
    ]
    return Machines(
        _whole([day(one.available_from, window.start) for one in machines]),
        _whole([day(one.available_to, dt.date.max) for one in machines]),
        np.array([_one(one.here) if one.neighbor is None else _price(one.here) for one in machines]),
        _whole([0 if one is None else day(one.start, window.start) for one in shared]),
        np.array([np.inf if one is None else float(one.days) * float(window.workday) for one in shared]),
        np.array(away, dtype=np.intp).reshape(-1, 3),
    )


def _one(share: float | None) -> float:
    return 1.0 if share is None else float(share)


def _is_priced(farm: Farm) -> bool:
    """Whether anything has a price; if not, the least fuel is the least cost."""
    fleet, prices = farm.fleet, farm.prices
    hourly = (one.hourly_cost for one in (*fleet.tractors, *fleet.implements, *(fleet.operators or [])))
    return any(_price(cost) > 0.0 for cost in (*hourly, prices.fuel, prices.labor))


def _cost_rate(pairing: Pairing, farm: Farm, priced: bool) -> float:
    """Return money for each time at work [1/s]; fuel in litres where nothing has a price."""
    if not priced:
        return 1e3 * pairing.fuel_rate
    return pairing.fuel_rate * _price(farm.prices.fuel) + hourly_cost(pairing, farm)
