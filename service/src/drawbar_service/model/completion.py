"""The chance to be done in time, what would raise it, and when the work is done.

How many suitable days the work takes, and the chance that the window has them. Every function takes a job of numbers
or of one for each row; days of a window are then a further axis.
"""

import datetime
from collections.abc import Sequence
from typing import Final, Literal, NamedTuple, Protocol, TypeAlias

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real, larger
from drawbar_service.engine.completion import (
    Interval,
    chance_by_day,
    likely_capacities,
    share_of_years,
    spread_of_suitable_days,
    suitable_days_needed,
)
from drawbar_service.engine.years import ChanceOfYears, chance_of_years
from drawbar_service.model.days import (
    A_WEEK,
    GivenRecord,
    Past,
    RecordedWeek,
    YearsOfDays,
    past_of,
    record_of,
    years_of,
)
from drawbar_service.model.findings import Findings
from drawbar_service.model.span import Span
from drawbar_service.model.suitable import SuitableDays, Weather, real, weather_of
from drawbar_service.model.timeliness import Delay, Timeliness, delay
from drawbar_service.reference import UnknownReference, breakdown
from drawbar_service.rows import RowsDiffer

LeverName: TypeAlias = Literal[
    "longer-day", "another-machine", "wider-tool", "faster", "one-pass-fewer", "a-week-earlier"
]

LONGEST_WINDOW = 366
"""Days a window may have [1]."""
YEARS = (1900, 2200)
"""Years a window may lie in."""
LEVELS: Final = (0.5, 0.8, 0.9)
"""Chances that dates are found for [1]."""
WIDER, FASTER = 1.25, 1.10
"""How much wider or faster a lever makes the machine [1]."""
AN_HOUR = 3600.0
A_DAY = 86_400.0
MOST_CELLS = 2**19
"""Chances of a block of rows, for each likely capacity and day, that are worked at once: memory stays bounded."""


class FieldWork(Protocol):
    """Work to be done in a window."""

    @property
    def area(self) -> float:
        """Land to work [m^2]."""
        ...

    @property
    def done(self) -> float | None:
        """Of it worked already [m^2]."""
        ...

    @property
    def passes(self) -> int:
        """Over the land [1]."""
        ...

    @property
    def capacity(self) -> float:
        """Effective field capacity of one machine [m^2/s]."""
        ...

    @property
    def capacity_low(self) -> float | None:
        """It is below this 5 times in 100 [m^2/s]."""
        ...

    @property
    def capacity_high(self) -> float | None:
        """It is above this 5 times in 100 [m^2/s]."""
        ...

    @property
    def machine_count(self) -> int:
        """At work side by side [1]."""
        ...

    @property
    def workday(self) -> float:
        """Time at work on a suitable day [s]."""
        ...

    @property
    def time_lost(self) -> float | None:
        """Share of it lost to breakdowns and waiting [1]."""
        ...

    @property
    def breakdowns(self) -> str | None:
        """Row of the breakdown table, in place of the time lost."""
        ...

    @property
    def start(self) -> datetime.date:
        """First day of the window."""
        ...

    @property
    def end(self) -> datetime.date:
        """Last day of the window."""
        ...

    @property
    def suitable(self) -> SuitableDays | None:
        """How many days are fit for field work; None where a record says it."""
        ...

    @property
    def record(self) -> GivenRecord | None:
        """Of suitable days week by week; None where there is none."""
        ...

    @property
    def so_far(self) -> Sequence[RecordedWeek] | None:
        """Weeks of this year up to now."""
        ...

    @property
    def timeliness(self) -> Timeliness | None:
        """What delay costs; None not to ask."""
        ...


class Window(NamedTuple):
    """The days there are for the work."""

    start: datetime.date
    """First day that is left"""
    days: int
    """Of it, both ends counted [1]"""
    past: Past | None
    """What this year was like up to a day before it; None where nothing is told"""


def window_of(work: FieldWork, found: Findings) -> Window:
    """Return the window, less what has passed of it; assumptions and faults go to `found`."""
    start, days = work.start, (work.end - work.start).days + 1
    if not YEARS[0] <= start.year <= YEARS[1]:
        found.fault("year-of-window", "/start", first=YEARS[0], last=YEARS[1])
    if not 1 <= days <= LONGEST_WINDOW:
        found.fault("days-of-window", "/end", longest=LONGEST_WINDOW, days=days)
    if work.so_far is None:
        return Window(start, days, None)
    if work.record is None:
        found.fault("so-far-without-record", "/so_far")
        return Window(start, days, None)
    past = past_of(work.so_far, found, "/so_far")
    if past is None or past.end < start.toordinal():
        return Window(start, days, past)
    if past.end >= work.end.toordinal():
        found.fault("nothing-left-of-window", "/so_far", end=datetime.date.fromordinal(past.end).isoformat())
        return Window(start, days, past)
    start = datetime.date.fromordinal(past.end + 1)
    found.assume("window-left", "/start", start.isoformat(), "derived")
    return Window(start, (work.end - start).days + 1, past)


def days_of(work: FieldWork, window: Window, found: Findings) -> Weather | YearsOfDays | None:
    """Return how the days of a window turn out; None if a fault was noted."""
    if work.suitable is not None and work.record is None:
        return weather_of(work.suitable, window.days, found, "/suitable")
    if work.record is None or work.suitable is not None:
        found.fault("suitable-or-record", "/suitable")
        return None
    record = record_of(work.record, found, "/record")
    if record is None or found.refused:
        return None
    return years_of(record, window.past, window.start, window.days, found, "/record")


class Job(NamedTuple):
    """The work; a lever changes one of its members."""

    area: Real
    """Left to work [m^2]"""
    passes: Real
    """[1]"""
    capacity: Real
    """Of one machine, the median [m^2/s]"""
    pace: FloatArray
    """Capacities that are equally likely, over the median, along the last axis [1]"""
    machines: Real
    """[1]"""
    workday: Real
    """[s]"""
    time_lost: Real
    """[1]"""
    repair_time: Real
    """Time each machine stands for repairs [s]"""
    days: int
    """Of the window, both ends counted [1]"""

    def needed(self) -> Real:
        """Return the suitable days it takes at the median capacity [1]."""
        return suitable_days_needed(
            self.area * self.passes, self.capacity, self.workday, self.machines, self.time_lost, self.repair_time
        )

    def likely_needs(self) -> FloatArray:
        """Return the suitable days it takes at each of the likely capacities, along the last axis [1]."""
        area, capacity, workday, machines, lost, repair = (
            np.asarray(one, dtype=np.float64)[..., np.newaxis]
            for one in (
                self.area * self.passes,
                self.capacity,
                self.workday,
                self.machines,
                self.time_lost,
                self.repair_time,
            )
        )
        return np.asarray(suitable_days_needed(area, capacity * self.pace, workday, machines, lost, repair))


class Lever(NamedTuple):
    """One thing changed."""

    name: LeverName
    changed: Job
    chance: Real
    """To be done in time then [1]"""
    gain: Real
    """That chance less the one now [1]"""
    saves: Real | None
    """Cost of delay saved [money]"""


def job_of(work: FieldWork, days: int, found: Findings) -> Job:
    """Return the work as a job in a window of so many `days`; assumptions, warnings and faults go to `found`."""
    done: Real = 0.0 if work.done is None else work.done
    if done >= work.area:
        found.fault("nothing-left", "/done")
    lost, repair_time = _time_lost(work, found)
    return Job(
        work.area - done,
        1.0 * work.passes,
        work.capacity,
        _pace(work, found),
        1.0 * work.machine_count,
        work.workday,
        lost,
        repair_time,
        days,
    )


def _time_lost(work: FieldWork, found: Findings) -> tuple[Real, Real]:
    """Return the share of work time that is lost [1], and the time each machine stands besides [s]."""
    if work.breakdowns is None:
        return found.fallback(work.time_lost, "/time_lost", "time_lost"), 0.0
    if work.time_lost is not None:
        found.fault("time-lost-once", "/breakdowns")
    try:
        row = breakdown(work.breakdowns)
    except UnknownReference as error:
        found.unknown("/breakdowns", error)
        return 0.0, 0.0
    found.use(row.source)
    found.warn("breakdown-hours", "/breakdowns", hours=row.hours_per_year, operation=row.operation, note=row.note)
    return 0.0, row.hours_per_year * AN_HOUR


def _pace(work: FieldWork, found: Findings) -> FloatArray:
    low, middle, high = work.capacity_low, work.capacity, work.capacity_high
    if low is None and high is None:
        return np.ones(1)
    if low is None or high is None:
        found.fault("both-capacities", "/capacity_low" if low is None else "/capacity_high")
        return np.ones(1)
    below, above = low <= middle, middle <= high
    for name, fits in (("capacity_low", below), ("capacity_high", above)):
        if not fits:
            found.fault("capacities-rise", f"/{name}")
    if below and above and low < high:
        likely = likely_capacities(middle, low, high)
        return likely / np.asarray(middle, dtype=np.float64)[..., np.newaxis]
    return np.ones(1)


def chance(job: Job, weather: Weather | YearsOfDays, *, ends: bool = True) -> Span[Real]:
    """Return the chance to be done by the last day of the window [1], with its range where years are few."""
    if isinstance(weather, YearsOfDays):
        found = of_years(job, weather, weather.window_totals(job.days), ends=ends, only_last=True)
        value, low, high = (real(one[..., -1]) for one in (found.chance, found.low, found.high))
        return Span(value, low, high) if ends else Span(value)
    return weather.shares(ends=ends).map(
        lambda share: real(_by_day(job, weather, share, job.days, only_last=True)[..., 0])
    )


def of_years(
    job: Job, weather: YearsOfDays, totals: FloatArray, *, ends: bool = False, only_last: bool = False
) -> ChanceOfYears:
    """Return the means, over all likely capacities, of what recorded years say; `totals` [1] by year and day."""
    needs = job.likely_needs()
    _keep_bounded(needs.shape, totals.shape[-1])
    found = chance_of_years(totals, needs, moved=weather.plain is not None, ends=ends, only_last=only_last)
    return ChanceOfYears(*(np.mean(np.ascontiguousarray(np.swapaxes(one, -1, -2)), axis=-1) for one in found))


def _by_day(job: Job, weather: Weather, share: Real, longest: int, *, only_last: bool = False) -> FloatArray:
    """Return the mean of the chances at all likely capacities, for windows of 0, 1 ... `longest` days."""
    needs = job.likely_needs()
    shares, correlations = (
        np.asarray(one)[:, np.newaxis] if isinstance(one, np.ndarray) else one
        for one in (share, weather.fit.correlation)
    )
    _keep_bounded(np.broadcast_shapes(needs.shape, np.shape(shares), np.shape(correlations)), longest)
    chances = chance_by_day(needs, longest, shares, correlations)
    if only_last:
        return np.mean(np.ascontiguousarray(chances[..., -1]), axis=-1, keepdims=True)
    return np.mean(chances, axis=-2)


def _keep_bounded(shape: tuple[int, ...], longest: int) -> None:
    """Raise if so many rows are too many to be worked at once; the last axis is that of likely capacities."""
    if len(shape) < 2:
        return
    most = max(MOST_CELLS // (shape[-1] * (longest + 1)), 1)
    if shape[0] > most:
        raise RowsDiffer(np.arange(shape[0]) // most)


def known_days(job: Job, weather: Weather | YearsOfDays) -> Real:
    """Return how many days from the first of the window the suitable days are known for [1]."""
    if isinstance(weather, YearsOfDays):
        return float(weather.totals.shape[-1])
    return larger(float(job.days), 1.0 * weather.period)


def by_date(job: Job, weather: Weather | YearsOfDays) -> FloatArray:
    """Return the chances [1] to be done by the end of day 1, 2 ... along the last axis, NaN where no days are known."""
    if isinstance(weather, YearsOfDays):
        return of_years(job, weather, weather.totals).chance
    known = known_days(job, weather)
    chances = _by_day(job, weather, weather.share, int(np.max(known)))[..., 1:]
    if not isinstance(known, np.ndarray):
        return chances
    days = np.arange(1.0, chances.shape[-1] + 1.0)
    return np.where(days <= known.view(np.ndarray)[:, np.newaxis], chances, np.nan)


def days_spread(job: Job, weather: Weather | YearsOfDays) -> Real:
    """Return the standard deviation of the number of suitable days in the window [1]."""
    if isinstance(weather, YearsOfDays):
        return float(np.std(weather.window, ddof=1))
    return spread_of_suitable_days(weather.fit.share, weather.fit.correlation, float(job.days))


def recorded_days(weather: Weather | YearsOfDays) -> FloatArray | None:
    """Return the suitable days of each recorded year [1], along the last axis; None without a record of the window."""
    if not isinstance(weather, YearsOfDays):
        return weather.recorded
    return (weather.totals if weather.plain is None else weather.plain)[:, weather.days - 1]


def recorded_share(job: Job, weather: Weather | YearsOfDays) -> Interval | None:
    """Return the share of recorded years with enough days [1]; None if there is no record of the window."""
    recorded = recorded_days(weather)
    if recorded is None:
        return None
    found = share_of_years(recorded, job.needed())
    return Interval(real(found.share), real(found.low), real(found.high))


def delay_of(
    timeliness: Timeliness | None, loss: Span[Real] | None, job: Job, weather: Weather | YearsOfDays
) -> Delay | None:
    """Return what delay costs; None if nobody asked. `loss` is the share of the yield lost for each day [1/d]."""
    if timeliness is None or loss is None:
        return None
    return delay(timeliness, loss, job.area, job.area / job.needed(), weather.share)


def levers(
    job: Job, weather: Weather | YearsOfDays, timeliness: Timeliness | None, loss: Span[Real] | None
) -> list[Lever]:
    """Return what would help, in no order; `loss` is the share of the yield lost for each day [1/d]."""
    changes: list[tuple[LeverName, Job]] = [
        ("another-machine", job._replace(machines=job.machines + 1.0)),
        ("wider-tool", job._replace(capacity=job.capacity * WIDER)),
        ("faster", job._replace(capacity=job.capacity * FASTER)),
    ]
    if not isinstance(weather, YearsOfDays) or weather.earlier is not None:
        changes.append(("a-week-earlier", job._replace(days=job.days + A_WEEK)))
    if job.workday + AN_HOUR <= A_DAY:
        changes.append(("longer-day", job._replace(workday=job.workday + AN_HOUR)))
    if job.passes > 1.0:
        changes.append(("one-pass-fewer", job._replace(passes=job.passes - 1.0)))
    now, cost = chance(job, weather, ends=False).value, delay_of(timeliness, loss, job, weather)
    found: list[Lever] = []
    for name, changed in changes:
        then, less = chance(changed, weather, ends=False).value, delay_of(timeliness, loss, changed, weather)
        saves = cost.expected.value - less.expected.value if cost is not None and less is not None else None
        found.append(Lever(name, changed, then, then - now, saves))
    return found


def places_by_gain(found: list[Lever]) -> list[Real]:
    """Return the places of levers, that which gains most first; of those that gain the same, that which saves most."""
    keys = [one.gain for one in found] + [0.0 if one.saves is None else one.saves for one in found]
    gains, saves = np.split(np.stack(np.broadcast_arrays(*keys)), 2)
    return [real(place) for place in np.lexsort((-saves, -gains), axis=0)]
