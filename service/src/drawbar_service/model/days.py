"""A record of suitable days week by week, and the window it gives in each of its years.

:func:`record_of` reads a record, :meth:`Record.windows` cuts the same window out of every year, whole weeks and parts
of weeks alike, and :func:`years_of` gives what a window of this year may have: the years themselves, or, where the
weeks of this year so far are known, the years moved by them. Whoever replays a plan over real years takes
:attr:`YearsOfDays.daily`.

Weeks have the numbers of ISO 8601. A window takes the days of the same week and weekday in each year, so that one that
starts with a week takes whole weeks of every year.
"""

import datetime
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple, Protocol

import numpy as np
from numpy.typing import NDArray

from drawbar_service.engine.arrays import FloatArray, Real
from drawbar_service.engine.years import NEIGHBOURS, followed
from drawbar_service.model.findings import Findings
from drawbar_service.reference import SUITABLE_WEEKS, SuitableWeekRow, UnknownReference, suitable_weeks

A_WEEK = 7
LEAST_YEARS = 3
"""Recorded years below which a window has no chance [1]."""
LEAST_COMPARED = 5
"""Recorded years below which this year's weeks are not compared with theirs [1]."""
MEMORY = 10
"""Weeks up to now whose mean says how wet the soil is, where its moisture is not known [1]."""
_FADING = 0.8
"""What a week counts for in that mean, over the one after it [1]."""
BEFORE = 4
"""Weeks before now whose topsoil moisture says, beside that of now, how far down the soil is wet [1]."""
_LATEST = 28
"""Days before a window within which a week still says something of it [1]."""


class RecordedWeek(Protocol):
    """A week of a record, or of this year so far."""

    @property
    def year(self) -> int | None:
        """Of the week by ISO 8601."""
        ...

    @property
    def week(self) -> int | None:
        """Its number by ISO 8601."""
        ...

    @property
    def week_ending(self) -> datetime.date | None:
        """Its last day, in place of year and week."""
        ...

    @property
    def days(self) -> float | None:
        """Suitable days [1]."""
        ...

    @property
    def topsoil(self) -> float | None:
        """Mean class of topsoil moisture at its end: 0 very short, 1 short, 2 adequate, 3 surplus [1]."""
        ...


class GivenRecord(Protocol):
    """A record: its weeks, or the id of one that is shipped."""

    @property
    def id(self) -> str | None:
        """Of a shipped record."""
        ...

    @property
    def weeks(self) -> Sequence[RecordedWeek] | None:
        """In any order."""
        ...

    @property
    def place(self) -> str | None:
        """Where they were recorded."""
        ...

    @property
    def own(self) -> bool | None:
        """Whether that is the place the work is at; None: yes for weeks, no for a shipped record."""
        ...


class Record(NamedTuple):
    """Suitable days and topsoil moisture by calendar day; NaN where nothing is recorded."""

    first: int
    """Ordinal of the first day"""
    days: FloatArray
    """A seventh of those of its week, each day [1]"""
    topsoil: FloatArray
    """That of its week's end [1]"""

    def years(self) -> range:
        """Return the years by ISO 8601 in which a window can start."""
        last = self.first + len(self.days) - 1
        return range(
            datetime.date.fromordinal(self.first).isocalendar().year,
            datetime.date.fromordinal(last).isocalendar().year + 1,
        )

    def windows(self, start: datetime.date, days: int, *, later: int = 0) -> FloatArray:
        """Return the suitable days of each calendar day of a window (last axis) in each year (first axis) [1].

        Parameters
        ----------
        start : date
            First day of the window; in each year its week and weekday are meant.
        days : int
            Calendar days [1].
        later : int
            Days to move the window by [1].

        Notes
        -----
        NaN where nothing is recorded.
        """
        starts = self.starts(start) + later
        return self._at(self.days, starts[:, np.newaxis] + np.arange(days))

    def starts(self, start: datetime.date) -> FloatArray:
        """Return the ordinal of the day that has the week and weekday of `start`, in each year."""
        week, weekday = start.isocalendar()[1:]
        away = A_WEEK * (week - 1) + weekday - 1
        return np.array([datetime.date.fromisocalendar(year, 1, 1).toordinal() + away for year in self.years()])

    def totals(self, ends: FloatArray, days: int) -> FloatArray:
        """Return the suitable days of so many `days` up to the `ends` (ordinals) [1]."""
        return np.sum(self._at(self.days, ends[..., np.newaxis] - np.arange(days)), axis=-1)

    def topsoil_at(self, ends: FloatArray) -> FloatArray:
        """Return the topsoil moisture of the weeks that hold these days (ordinals) [1]."""
        return self._at(self.topsoil, ends)

    def _at(self, figures: FloatArray, ordinals: FloatArray) -> FloatArray:
        places = np.asarray(ordinals, dtype=np.intp) - self.first
        inside = (places >= 0) & (places < len(figures))
        return np.where(inside, figures[np.where(inside, places, 0)], np.nan)


class YearsOfDays(NamedTuple):
    """How the days of a window turned out in each recorded year, or would from where this year stands."""

    totals: FloatArray
    """Suitable days up to the end of day 1, 2 ... (last axis) of each year (first axis) [1]"""
    years: tuple[int, ...]
    """The years by ISO 8601"""
    days: int
    """Calendar days of the window; `totals` may reach further [1]"""
    earlier: FloatArray | None
    """As `totals`, for a window that starts a week earlier and ends with this one; None where too few years have it"""
    plain: FloatArray | None
    """`totals` as recorded, where they are moved by the weeks of this year; None where they are not"""

    @property
    def daily(self) -> FloatArray:
        """Suitable part of each calendar day (last axis) of each year (first axis) [1]."""
        return np.diff(self.totals[:, : self.days], axis=-1, prepend=0.0)

    @property
    def share(self) -> float:
        """Mean share of days that are suitable [1]."""
        return float(np.mean(self.totals[:, self.days - 1])) / self.days

    def window_totals(self, days: int) -> FloatArray:
        """Return the totals of the window, or of one that starts a week earlier where it has a week more `days` [1].

        Raises
        ------
        ValueError
            If it is another window, or too few years have the week before.
        """
        if days == self.days:
            return self.totals[:, :days]
        if days != self.days + A_WEEK or self.earlier is None:
            raise ValueError(f"a window of {days} days, where the record was cut for {self.days}")
        return self.earlier

    @property
    def window(self) -> FloatArray:
        """Suitable days of the whole window in each year [1]."""
        return self.totals[:, self.days - 1]


def record_of(given: GivenRecord, found: Findings, pointer: str) -> Record | None:
    """Return a record; None if a fault was noted at its place below `pointer`."""
    if (given.id is None) == (given.weeks is None):
        found.fault("record-once", pointer)
        return None
    if given.id is not None:
        return _shipped(given.id, given.own, found, pointer)
    assert given.weeks is not None
    if given.own is False:
        found.warn("record-elsewhere", pointer, place=given.place or "another place")
    return record_of_weeks(given.weeks, found, f"{pointer}/weeks")


def _shipped(id: str, own: bool | None, found: Findings, pointer: str) -> Record | None:
    try:
        rows = suitable_weeks(id)
    except UnknownReference as error:
        found.unknown(f"{pointer}/id", error)
        return None
    found.use(rows[0].source)
    if own is not True:
        found.warn("record-elsewhere", f"{pointer}/id", place=rows[0].place)
    return _laid_out([(row.week_ending.toordinal(), row.days_suitable, _topsoil(row)) for row in rows])


def _topsoil(row: SuitableWeekRow) -> float | None:
    if row.topsoil_short is None or row.topsoil_adequate is None or row.topsoil_surplus is None:
        return None
    return (row.topsoil_short + 2.0 * row.topsoil_adequate + 3.0 * row.topsoil_surplus) / 100.0


def record_of_weeks(weeks: Sequence[RecordedWeek], found: Findings, pointer: str) -> Record | None:
    """Return the record of some weeks in any order; None if a fault was noted at one of them, below `pointer`."""
    ends = [last_day(one, found, f"{pointer}/{at}") for at, one in enumerate(weeks)]
    if any(end is None for end in ends):
        return None
    placed = sorted((end, at) for at, end in enumerate(ends) if end is not None)
    for (before, first), (after, second) in pairwise(placed):
        if after - before < A_WEEK:
            found.fault("weeks-overlap", f"{pointer}/{max(first, second)}", other=min(first, second), end=_iso(before))
            return None
    return _laid_out([(end, weeks[at].days, weeks[at].topsoil) for end, at in placed])


def last_day(one: RecordedWeek, found: Findings, pointer: str) -> int | None:
    """Return the ordinal of the last day of a week; None if a fault was noted."""
    if (one.year is None) != (one.week is None) or (one.week_ending is None and one.year is None):
        found.fault("week-unknown", pointer)
        return None
    if one.year is None or one.week is None:
        assert one.week_ending is not None
        return one.week_ending.toordinal()
    year, week = int(one.year), int(one.week)
    try:
        monday = datetime.date.fromisocalendar(year, week, 1)
    except ValueError:
        found.fault("no-such-week", f"{pointer}/week", year=year, week=week)
        return None
    if one.week_ending is None:
        return monday.toordinal() + A_WEEK - 1
    if one.week_ending.isocalendar()[:2] != (year, week):
        of = one.week_ending.isocalendar()
        found.fault("week-of-date", f"{pointer}/week_ending", year=year, week=week, of_year=of.year, of_week=of.week)
        return None
    return one.week_ending.toordinal()


def _iso(ordinal: int) -> str:
    return datetime.date.fromordinal(ordinal).isoformat()


def _laid_out(weeks: Sequence[tuple[int, Real | None, Real | None]]) -> Record:
    first, last = min(one[0] for one in weeks) - A_WEEK + 1, max(one[0] for one in weeks)
    days, topsoil = np.full((2, last - first + 1), np.nan)
    for end, suitable, moisture in weeks:
        week = slice(end - first - A_WEEK + 1, end - first + 1)
        if suitable is not None:
            days[week] = float(suitable) / A_WEEK
        if moisture is not None:
            topsoil[week] = float(moisture)
    return Record(first, days, topsoil)


class Past(NamedTuple):
    """What this year has been like so far."""

    end: int
    """Ordinal of the last day that is known"""
    days: tuple[float, ...]
    """Suitable days of the last week, of the one before, and a fading mean of :data:`MEMORY` weeks, as known [1]"""
    topsoil: float | None
    """At the end of the last week [1]"""
    before: float | None
    """:data:`BEFORE` weeks earlier [1]"""


def past_of(weeks: Sequence[RecordedWeek], found: Findings, pointer: str) -> Past | None:
    """Return what the weeks of this year so far say; None if a fault was noted, or they say nothing."""
    record = record_of_weeks(weeks, found, pointer)
    if record is None:
        return None
    end = record.first + len(record.days) - 1
    moisture, before = (float(record.topsoil_at(np.array(end - A_WEEK * back))) for back in (0, BEFORE))
    figures = [float(one) for one in signs_at(record, np.array(end))]
    days = tuple(figures[: next((at for at, one in enumerate(figures) if np.isnan(one)), len(figures))])
    if not days and np.isnan(moisture):
        found.fault("nothing-so-far", pointer)
        return None
    return Past(end, days, None if np.isnan(moisture) else moisture, None if np.isnan(before) else before)


def signs_at(record: Record, ends: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Return the days of the weeks up to the `ends` (ordinals), of those before, and a fading mean of all [1]."""
    weeks = np.stack([record.totals(ends - back * A_WEEK, A_WEEK) for back in range(MEMORY)])
    counts = (_FADING ** np.arange(MEMORY)).reshape(-1, *(1,) * (weeks.ndim - 1)) * ~np.isnan(weeks)
    mean = np.sum(np.where(np.isnan(weeks), 0.0, weeks) * counts, axis=0) / np.maximum(np.sum(counts, axis=0), 1e-9)
    # Of the last two weeks alone it would say nothing that they do not.
    known = np.count_nonzero(counts[2:], axis=0) > 0
    return weeks[0], weeks[1], np.where(known, mean, np.nan)


def years_of(
    record: Record, past: Past | None, start: datetime.date, days: int, found: Findings, pointer: str
) -> YearsOfDays | None:
    """Return the window of a `record` in each of its years; None if a fault was noted.

    Parameters
    ----------
    record : Record
    past : Past or None
        This year so far; the years are then moved by it.
    start : date
        First day of the window, after the `past`.
    days : int
        Calendar days [1].
    found : Findings
        Receives warnings and faults.
    pointer : str
        Where the record stands in the request.
    """
    whole = record.windows(start, days)
    # Where this year is told week by week, what the record has of it after that is what is asked about.
    this = np.array([past is not None and year == start.isocalendar().year for year in record.years()])
    known = ~np.isnan(whole).any(axis=-1) & ~this
    count = int(np.count_nonzero(known))
    if count < LEAST_YEARS:
        found.fault("record-not-of-window", pointer, years=count, least=LEAST_YEARS)
        return None
    partial = int(np.count_nonzero(~known & ~np.isnan(whole).all(axis=-1)))
    found.warn("years-left-out", pointer, where=partial > 0, left_out=partial, years=count)
    longest = _as_far_as_all_know(record, start, days, known)
    daily = record.windows(start, longest)
    names = tuple(year for year, one in zip(record.years(), known, strict=True) if one)
    earlier = record.windows(start, A_WEEK + days, later=-A_WEEK)
    full = earlier[~np.isnan(earlier).any(axis=-1)]
    plain = YearsOfDays(
        np.cumsum(daily[known], axis=-1),
        names,
        days,
        np.cumsum(full, axis=-1) if len(full) >= LEAST_YEARS else None,
        None,
    )
    return plain if past is None else _moved(plain, record, past, start, found)


def _as_far_as_all_know(record: Record, start: datetime.date, days: int, known: NDArray[np.bool_]) -> int:
    """Return how many days from the `start` all years that know the window know."""
    further = record.windows(start, 366)[known]
    unknown: NDArray[np.bool_] = np.asarray(np.isnan(further).any(axis=0))
    return max(int(np.argmax(unknown)) if unknown.any() else 366, days)


def _moved(plain: YearsOfDays, record: Record, past: Past, start: datetime.date, found: Findings) -> YearsOfDays:
    """Return the years of a window as they would be from where this year stands."""
    gap = start.toordinal() - past.end
    if gap > _LATEST:
        found.warn("so-far-long-ago", "/so_far", days=gap)
        return plain
    shifts = range(-NEIGHBOURS * A_WEEK, NEIGHBOURS * A_WEEK + 1, A_WEEK)
    totals = np.stack([np.cumsum(record.windows(start, plain.days, later=shift), axis=-1) for shift in shifts])
    ends = np.stack([record.starts(start) - gap + shift for shift in shifts])
    signs: list[FloatArray] = list(signs_at(record, ends)[: len(past.days)])
    figures = list(past.days)
    if past.topsoil is not None:
        moisture = record.topsoil_at(ends)
        if np.count_nonzero(~np.isnan(moisture[NEIGHBOURS])) >= LEAST_COMPARED:
            # What the older weeks say is in the moisture of the soil.
            signs, figures = _with_topsoil(record, past, ends, moisture, signs, figures)
        else:
            found.warn("topsoil-not-recorded", "/so_far")
    this = record.years().index(start.isocalendar().year) if start.isocalendar().year in record.years() else None
    if this is not None:
        totals[:, this] = np.nan
    while len(signs) > 1 and _compared(signs, totals) < LEAST_COMPARED:
        signs, figures = signs[:-1], figures[:-1]
    if not signs or _compared(signs, totals) < LEAST_COMPARED:
        found.warn("so-far-not-compared", "/so_far", least=LEAST_COMPARED)
        return plain
    moved = followed(np.array(figures), np.stack(signs, axis=-1), totals)
    return plain._replace(
        totals=moved.totals,
        years=tuple(record.years()[int(year)] for year in moved.years),
        earlier=None,
        plain=plain.totals,
    )


def _with_topsoil(
    record: Record, past: Past, ends: FloatArray, moisture: FloatArray, signs: list[FloatArray], figures: list[float]
) -> tuple[list[FloatArray], list[float]]:
    """Return the last week with topsoil moisture now and some weeks ago, or the last two weeks with that of now."""
    assert past.topsoil is not None
    before = record.topsoil_at(ends - A_WEEK * BEFORE)
    if past.before is None or np.count_nonzero(~np.isnan(before[NEIGHBOURS])) < LEAST_COMPARED:
        return [*signs[:2], moisture], [*figures[:2], past.topsoil]
    return [*signs[:1], moisture, before], [*figures[:1], past.topsoil, past.before]


def _compared(signs: list[FloatArray], totals: FloatArray) -> int:
    """Return how many years of the window itself have all `signs` and its days."""
    here = np.stack([one[NEIGHBOURS] for one in (*signs, totals[..., -1])])
    return int(np.count_nonzero(~np.isnan(here).any(axis=0)))


SHIPPED = tuple(dict.fromkeys(row.record for row in SUITABLE_WEEKS.rows.values()))
"""Ids of the records that are shipped."""
