"""How many days are fit for field work, as a request says it, and the chance of enough of them."""

from typing import Annotated, NamedTuple

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.shared.implement import RowId
from drawbar_service.engine.completion import (
    Suitability,
    chance_of_days,
    greatest_spread,
    spread_from_range,
    suitability,
)
from drawbar_service.quantities import Share
from drawbar_service.reference import UnknownReference, suitable_days

Days = Annotated[float, Meta(ge=0.0, le=366.0)]
DaysByYear = Annotated[list[Days], Meta(min_length=3, max_length=200)]
PeriodDays = Annotated[int, Meta(ge=2, le=366)]
Years = Annotated[int, Meta(ge=2, le=200)]


class SuitableDays(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How many days are fit for field work: a record, a mean with its spread, or a row of the table."""

    period_days: Annotated[
        PeriodDays | None,
        Meta(description="Calendar days the figures are about; the window itself if left out."),
    ] = None
    history: Annotated[
        DaysByYear | None, Meta(description="Suitable days of each recorded year.", examples=[[12.5, 9.0, 17.0, 14.0]])
    ] = None
    mean: Annotated[Days | None, Meta(description="Suitable days in a middling year.")] = None
    spread: Annotated[Days | None, Meta(description="Standard deviation from year to year.")] = None
    least: Annotated[Days | None, Meta(description="In the worst year, in place of a spread.")] = None
    most: Annotated[Days | None, Meta(description="In the best year.")] = None
    years: Annotated[Years | None, Meta(description="Number of years behind mean, least and most.")] = None
    row: Annotated[
        RowId | None,
        Meta(description="Row of `/v1/reference/suitable-days`.", examples=["illinois-central.spring"]),
    ] = None


class Weather(NamedTuple):
    """How days turn out."""

    fit: Suitability
    mean_error: float
    """Standard error of the mean share [1]; 0 where the number of years is not known."""
    period: int
    """Calendar days the figures are about [1]; beyond them they say nothing."""
    recorded: list[float] | None
    """Suitable days of each year, if the record is of the window itself."""

    @property
    def share(self) -> float:
        """Mean share of days that are suitable [1]."""
        return float(self.fit.share)

    def chance(self, needed: float, days: int) -> Share:
        """Return the chance that so many suitable days are among `days`, with its range where years are few."""
        shares = np.clip(self.share + np.array([0.0, -2.0, 2.0]) * self.mean_error, 0.0, 1.0)
        found = np.asarray(chance_of_days(needed, float(days), shares, self.fit.correlation))
        middle, low, high = (float(one) for one in found)
        return Share.ranged(middle, low, high) if self.mean_error else Share(middle)


def weather_of(given: SuitableDays, days: int, ledger: Ledger, pointer: str) -> Weather | None:
    """Return how days turn out in a window of so many `days`; None if the ledger holds a fault.

    Parameters
    ----------
    given : SuitableDays
    days : int
        Calendar days of the window.
    ledger : Ledger
        Told of assumptions, warnings and faults.
    pointer : str
        Where the suitable days stand in the request.
    """
    ways = [name for name in ("history", "mean", "row") if getattr(given, name) is not None]
    if len(ways) != 1:
        ledger.fault(pointer, "give one of history, mean and row: how many days are fit for field work")
        return None
    if given.row is not None:
        return _from_table(given.row, days, ledger, pointer)
    period = given.period_days or days
    if given.history is not None:
        if any(one > period for one in given.history):
            ledger.fault(f"{pointer}/history", f"no year has more suitable days than the {period} of the period")
            return None
        mean, spread = float(np.mean(given.history)), float(np.std(given.history, ddof=1))
        weather = _fitted(mean, spread, period, len(given.history), days, ledger, pointer, "history")
        return weather._replace(recorded=given.history) if period == days else weather
    assert given.mean is not None
    if given.mean > period:
        ledger.fault(f"{pointer}/mean", f"at most the {period} calendar days of the period")
        return None
    if given.spread is not None:
        widest = float(greatest_spread(given.mean, float(period)))
        # The spread of a few years is reckoned with one year less than there are.
        if given.spread > widest * (1.0 if given.years is None else float(np.sqrt(given.years / (given.years - 1.0)))):
            ledger.fault(
                f"{pointer}/spread",
                f"at most {widest:.3g}: with {given.mean:g} of {period} days suitable, years that are all fit or all "
                "unfit differ by no more",
            )
            return None
        return _fitted(given.mean, given.spread, period, given.years, days, ledger, pointer, "spread")
    if given.least is None or given.most is None or given.years is None:
        ledger.fault(
            f"{pointer}/spread",
            "required with a mean: the standard deviation from year to year, or least, most and years in its place",
        )
        return None
    if not given.least <= given.mean <= given.most <= period:
        ledger.fault(f"{pointer}/least", "least, mean and most rise, and none is beyond the period")
        return None
    spread = float(spread_from_range(given.least, given.most, float(given.years)))
    ledger.assume(
        f"{pointer}/spread", f"{spread:.3g}", f"From the range of {given.years} years, taken as normal.", "derived"
    )
    return _fitted(given.mean, spread, period, given.years, days, ledger, pointer, "least")


def _from_table(id: str, days: int, ledger: Ledger, pointer: str) -> Weather | None:
    try:
        row = suitable_days(id)
    except UnknownReference as error:
        ledger.unknown(f"{pointer}/row", error)
        return None
    ledger.use(row.source)
    if row.least_days is None or row.most_days is None:
        ledger.fault(
            f"{pointer}/row",
            f"{row.id} tells no spread, and without one a chance would be too sure of itself; give its mean "
            f"({row.mean_days:g} of {row.calendar_days:g} days) with a spread of your own",
        )
        return None
    ledger.warn(
        "rough-estimate",
        f"{pointer}/row",
        f"Days of {row.place}, {row.period}: a large region at its own time of year. A record of your own is better.",
    )
    spread = float(spread_from_range(row.least_days, row.most_days, float(row.years)))
    return _fitted(row.mean_days, spread, int(row.calendar_days), int(row.years), days, ledger, pointer, "row")


def _fitted(
    mean: float, spread: float, period: int, years: int | None, days: int, ledger: Ledger, pointer: str, member: str
) -> Weather:
    share = mean / period
    if spread * spread < period * share * (1.0 - share):
        ledger.warn(
            "outside-range",
            f"{pointer}/{member}",
            "Years differ by less than chance alone would make them; days are then taken as independent, which is the "
            "least they can differ.",
        )
    if days > period:
        ledger.warn(
            "outside-range",
            f"{pointer}/period_days",
            f"The window is {days} days long, the figures are about {period}; days beyond are taken as alike.",
        )
    error = spread / period / float(np.sqrt(years)) if years is not None else 0.0
    return Weather(suitability(mean, spread, float(period)), error, period, None)
