"""How many days are fit for field work, and the chance of enough of them."""

from collections.abc import Sequence
from typing import NamedTuple, Protocol

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real, choose, larger, smaller, sqrt
from drawbar_service.engine.completion import (
    Suitability,
    chance_of_days,
    greatest_spread,
    spread_from_range,
    suitability,
)
from drawbar_service.model.findings import Findings
from drawbar_service.model.span import Span
from drawbar_service.reference import UnknownReference, suitable_days
from drawbar_service.rows import as_rows


class SuitableDays(Protocol):
    """Days fit for field work: a record, a mean with its spread, or a row of the table."""

    @property
    def period_days(self) -> int | None:
        """Calendar days the figures are about; None: those of the window [1]."""
        ...

    @property
    def history(self) -> Sequence[float] | None:
        """Suitable days of each recorded year [1]."""
        ...

    @property
    def mean(self) -> float | None:
        """Suitable days in a middling year [1]."""
        ...

    @property
    def spread(self) -> float | None:
        """Standard deviation from year to year [1]."""
        ...

    @property
    def least(self) -> float | None:
        """Suitable days of the worst year [1]."""
        ...

    @property
    def most(self) -> float | None:
        """Suitable days of the best year [1]."""
        ...

    @property
    def years(self) -> int | None:
        """Number of years behind the other figures [1]."""
        ...

    @property
    def row(self) -> str | None:
        """Row of the table of suitable days."""
        ...


class Weather(NamedTuple):
    """How days turn out."""

    fit: Suitability
    mean_error: Real
    """Standard error of the mean share [1]; 0 where the number of years is not known."""
    period: Real
    """Calendar days the figures are about [1]; beyond them they say nothing."""
    recorded: FloatArray | None
    """Suitable days of each year along the last axis, if the record is of the window itself [1]."""

    @property
    def share(self) -> Real:
        """Mean share of days that are suitable [1]."""
        return self.fit.share

    def shares(self, *, ends: bool = True) -> Span[Real]:
        """Return the mean share of suitable days [1] and the ends of what it may be, NaN where it is not uncertain."""
        if not ends or (isinstance(self.mean_error, float) and self.mean_error == 0.0):
            return Span(self.share)
        away = 2.0 * choose(self.mean_error > 0.0, self.mean_error, np.nan)
        return Span(self.share, larger(self.share - away, 0.0), smaller(self.share + away, 1.0))

    def chance(self, needed: Real, days: int) -> Span[Real]:
        """Return the chance that so many suitable days are among `days`, with its range where years are few [1]."""
        return self.shares().map(lambda share: real(chance_of_days(needed, float(days), share, self.fit.correlation)))


def weather_of(given: SuitableDays, days: int, found: Findings, pointer: str) -> Weather | None:
    """Return how days turn out in a window of so many `days`; None if a fault was noted.

    Parameters
    ----------
    given : SuitableDays
    days : int
        Calendar days of the window.
    found : Findings
        Receives assumptions, warnings and faults.
    pointer : str
        Where the suitable days stand in the request.
    """
    ways = [name for name in ("history", "mean", "row") if getattr(given, name) is not None]
    if len(ways) != 1:
        found.fault("suitable-once", pointer)
        return None
    if given.row is not None:
        return _from_table(given.row, days, found, pointer)
    period = days if given.period_days is None else given.period_days
    if given.history is not None:
        return _from_record(given.history, period, days, found, pointer)
    assert given.mean is not None
    return _from_mean(given, given.mean, period, days, found, pointer)


def _from_record(history: Sequence[float], period: Real, days: int, found: Findings, pointer: str) -> Weather | None:
    if any(one > period for one in history):
        found.fault("record-beyond-period", f"{pointer}/history", period=period)
        return None
    record = by_year(history)
    mean, spread = real(np.mean(record, axis=-1)), real(np.std(record, axis=-1, ddof=1))
    weather = _fitted(mean, spread, period, len(history), days, found, pointer, "history")
    return weather._replace(recorded=record) if period == days else weather


def real(found: FloatArray | float) -> Real:
    """Return what arrays with further axes came to: a float, or a number for each row."""
    return as_rows(found) if isinstance(found, np.ndarray) and found.ndim else float(found)


def by_year(history: Sequence[Real]) -> FloatArray:
    """Return a record as one array, years along the last axis, that holds no :class:`~drawbar_service.rows.Rows`."""
    years = [np.asarray(one, dtype=np.float64).view(np.ndarray) for one in history]
    return np.stack(np.broadcast_arrays(*years), axis=-1)


def _from_mean(
    given: SuitableDays, mean: Real, period: Real, days: int, found: Findings, pointer: str
) -> Weather | None:
    if mean > period:
        found.fault("mean-beyond-period", f"{pointer}/mean", period=period)
        return None
    if given.spread is not None:
        widest = greatest_spread(mean, 1.0 * period)
        # The spread of a few years is calculated with one year less than there are.
        few: Real = 1.0 if given.years is None else sqrt(given.years / (given.years - 1.0))
        if given.spread > widest * few:
            found.fault("spread-too-wide", f"{pointer}/spread", widest=widest, mean=mean, period=period)
            return None
        return _fitted(mean, given.spread, period, given.years, days, found, pointer, "spread")
    if given.least is None or given.most is None or given.years is None:
        found.fault("no-spread", f"{pointer}/spread")
        return None
    if not (given.least <= mean and mean <= given.most and given.most <= period):
        found.fault("least-to-most", f"{pointer}/least")
        return None
    spread = real(spread_from_range(given.least, given.most, 1.0 * given.years))
    found.assume("spread-from-range", f"{pointer}/spread", spread, "derived", years=given.years)
    return _fitted(mean, spread, period, given.years, days, found, pointer, "least")


def _from_table(id: str, days: int, found: Findings, pointer: str) -> Weather | None:
    try:
        row = suitable_days(id)
    except UnknownReference as error:
        found.unknown(f"{pointer}/row", error)
        return None
    found.use(row.source)
    if row.least_days is None or row.most_days is None:
        found.fault("row-without-spread", f"{pointer}/row", row=row.id, mean=row.mean_days, days=row.calendar_days)
        return None
    found.warn("suitable-far-away", f"{pointer}/row", place=row.place, period=row.period)
    spread = real(spread_from_range(row.least_days, row.most_days, row.years))
    return _fitted(row.mean_days, spread, row.calendar_days, row.years, days, found, pointer, "row")


def _fitted(
    mean: Real, spread: Real, period: Real, years: Real | None, days: int, found: Findings, pointer: str, member: str
) -> Weather:
    share = mean / period
    alike = spread * spread < period * share * (1.0 - share)
    found.warn("years-alike", f"{pointer}/{member}", where=alike)
    found.warn("window-beyond-figures", f"{pointer}/period_days", where=period < days, days=days, period=period)
    error: Real = spread / period / sqrt(1.0 * years) if years is not None else 0.0
    return Weather(suitability(mean, spread, 1.0 * period), error, period, None)
