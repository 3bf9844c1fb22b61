"""Days fit for field work, and freeze-up, from daily weather of one place."""

import datetime
from collections.abc import Sequence
from itertools import groupby
from typing import Final, Literal, NamedTuple, Protocol, TypeAlias

import numpy as np

from drawbar_service.engine.arrays import FloatArray
from drawbar_service.engine.soil_water import (
    Soil,
    SoilWater,
    fit_share,
    freeze_up,
    reference_evapotranspiration,
    soil_of,
)
from drawbar_service.model.findings import Findings
from drawbar_service.reference import SoilWaterRow, drainage, soil_water

Drainage: TypeAlias = Literal["poor", "moderate", "good"]

A_WEEK = 7
FITTED_WEEKS: Final = (13, 48)
"""Weeks of the year the model was fitted to; others are not answered."""
SETTLING = 60
"""Days after which the start no longer matters much [1]."""
LEAST_WINTERS = 3
"""Winters below which freeze-up has no dates [1]."""
MOST_MISSING = 0.1
"""Share of days without a figure above which there is no answer [1]."""
_SCORE_OF_80 = 1.2815515655446004
_LATITUDE = 42.0
_FULL = 3.0
"""Moisture of a full topsoil on the scale of records: surplus [1]."""
_AUTUMN = (9, 1)
"""Month and day from which frozen soil is looked for."""
_WINTER_DAYS = 153
"""From then to the end of January [1]."""


class DailyWeather(Protocol):
    """Weather of one place, day by day."""

    @property
    def first(self) -> datetime.date:
        """First day."""
        ...

    @property
    def rain(self) -> Sequence[float | None]:
        """Rain and melted snow that fell [mm]."""
        ...

    @property
    def high(self) -> Sequence[float | None]:
        """Highest air temperature [degC]."""
        ...

    @property
    def low(self) -> Sequence[float | None]:
        """Lowest air temperature [degC]."""
        ...

    @property
    def snow_depth(self) -> Sequence[float | None] | None:
        """Snow on the ground [mm]."""
        ...

    @property
    def latitude(self) -> float | None:
        """North of the equator [deg]."""
        ...

    @property
    def drainage(self) -> Drainage:
        """How fast the soil drains."""
        ...

    @property
    def averaged(self) -> bool:
        """Whether the figures are averages over a region, not of one station."""
        ...

    @property
    def from_week(self) -> int:
        """First week that is added up for each year."""
        ...

    @property
    def to_week(self) -> int:
        """Last one."""
        ...


class WeekOfDays(NamedTuple):
    """A week; 8 of 10 such weeks lie between `low` and `high`."""

    year: int
    week: int
    end: datetime.date
    days: float
    """Suitable [1]"""
    low: float
    high: float
    topsoil: float
    """Moisture at its end, from 0 dry to 3 full [1]"""


class TotalOfDays(NamedTuple):
    """Suitable days of the weeks that are added up; 8 of 10 such years lie between `low` and `high`."""

    year: int
    days: float
    low: float
    high: float


class Frost(NamedTuple):
    """When the soil froze: None where it did not by the end of January, or the figures end before."""

    by_year: dict[int, datetime.date | None]

    def days(self) -> FloatArray:
        """Return days after the beginning of autumn, of the years it froze in [1]."""
        return np.array(
            [(one - datetime.date(year, *_AUTUMN)).days for year, one in self.by_year.items() if one is not None],
            dtype=np.float64,
        )

    def likely(self, share: float) -> datetime.date | None:
        """Return the date, in the last of the years, by which the soil froze in a `share` of years [1].

        None where that many years did not see it by the end of January, or there are fewer than 3.
        """
        days = np.sort(self.days())
        place = int(np.ceil(share * len(self.by_year))) - 1
        if len(days) < LEAST_WINTERS or place >= len(days):
            return None
        return datetime.date(max(self.by_year), *_AUTUMN) + datetime.timedelta(float(days[place]))


class DaysOfWeather(NamedTuple):
    """What the weather makes of the days."""

    weeks: list[WeekOfDays]
    totals: list[TotalOfDays]
    frost: Frost


class _Series(NamedTuple):
    first: datetime.date
    rain: FloatArray
    high: FloatArray
    low: FloatArray
    snow_depth: FloatArray | None


def days_of_weather(given: DailyWeather, found: Findings) -> DaysOfWeather:
    """Return suitable days by week and year, and freeze-up; assumptions, warnings and faults go to `found`."""
    series = _series(given, found)
    if given.from_week > given.to_week:
        found.fault("weeks-turned-round", "/to_week", first=given.from_week)
    found.stop_at_faults()
    row = soil_water("region" if given.averaged else "station")
    found.use(row.source, "hargreaves", "swat-2009", "uscrn-2020")
    latitude = given.latitude
    if latitude is None:
        latitude = _LATITUDE
        found.assume("latitude-of-fit", "/latitude", latitude, row.source)
    drains = drainage(given.drainage)
    found.use(drains.source)
    found.warn("drainage-class", "/drainage", where=given.drainage != "moderate", rate=drains.rate, note=drains.note)
    water = water_of(row)
    soil = _soil(series, water, float(np.radians(latitude)), drains.rate)
    shares = fit_share(soil, series.rain, series.snow_depth, water)
    found.go_on()
    weeks = _weeks(series.first, shares, soil, row)
    if not weeks:
        found.fault("no-whole-week", "/rain", settling=SETTLING, first=FITTED_WEEKS[0], last=FITTED_WEEKS[1])
        found.stop_at_faults()
    found.warn("days-of-iowa", "/rain")
    return DaysOfWeather(weeks, _totals(weeks, given, row), _frost(series.first, soil.temperature))


def water_of(row: SoilWaterRow) -> SoilWater:
    """Return the coefficients of a row of the table."""
    return SoilWater(*(getattr(row, name) for name in SoilWater._fields))


def _series(given: DailyWeather, found: Findings) -> _Series:
    members = {"rain": given.rain, "high": given.high, "low": given.low}
    if given.snow_depth is not None:
        members["snow_depth"] = given.snow_depth
    figures: dict[str, FloatArray] = {}
    for name, values in members.items():
        if len(values) != len(given.rain):
            found.fault("series-differ", f"/{name}", days=len(values), rain=len(given.rain))
        known = np.array([np.nan if one is None else float(one) for one in values])
        missing = int(np.count_nonzero(np.isnan(known)))
        if name != "snow_depth":
            if missing > MOST_MISSING * len(known):
                found.fault("too-much-missing", f"/{name}", missing=missing, days=len(known))
            found.warn(
                f"missing-{'rain' if name == 'rain' else 'temperature'}", f"/{name}", where=missing > 0, days=missing
            )
            known = np.where(np.isnan(known), 0.0, known) if name == "rain" else _carried(known)
        figures[name] = known
    if len(figures["high"]) == len(figures["low"]) and (below := figures["high"] < figures["low"]).any():
        at = int(np.argmax(below))
        day = given.first + datetime.timedelta(at)
        found.fault("high-below-low", f"/high/{at}", date=day.isoformat(), low=float(figures["low"][at]))
    return _Series(given.first, figures["rain"], figures["high"], figures["low"], figures.get("snow_depth"))


def _carried(values: FloatArray) -> FloatArray:
    """Return `values` with each missing one on the straight line between its neighbours."""
    known = np.flatnonzero(~np.isnan(values))
    return np.interp(np.arange(len(values)), known, values[known]) if len(known) else np.zeros(len(values))


def _soil(series: _Series, water: SoilWater, latitude: float, rate: float) -> Soil:
    dates = (series.first + datetime.timedelta(day) for day in range(len(series.rain)))
    day_of_year = np.array([date.timetuple().tm_yday for date in dates], dtype=np.float64)
    dries = reference_evapotranspiration(day_of_year, series.high, series.low, latitude)
    return soil_of(series.rain, series.high, series.low, dries, water, drainage=rate)


def _weeks(first: datetime.date, shares: FloatArray, soil: Soil, row: SoilWaterRow) -> list[WeekOfDays]:
    weeks: list[WeekOfDays] = []
    to_sunday = 7 - first.isoweekday()
    for end in range(to_sunday, len(shares), A_WEEK):
        date = first + datetime.timedelta(end)
        year, week, _ = date.isocalendar()
        if end < max(SETTLING, A_WEEK - 1) or not FITTED_WEEKS[0] <= week <= FITTED_WEEKS[1]:
            continue
        days = float(np.sum(shares[end - A_WEEK + 1 : end + 1]))
        away = _SCORE_OF_80 * _spread(days, row)
        moisture = _FULL * float(soil.topsoil[end])
        weeks.append(WeekOfDays(year, week, date, days, max(days - away, 0.0), min(days + away, 7.0), moisture))
    return weeks


def _spread(days: float, row: SoilWaterRow) -> float:
    """Return the standard deviation of the recorded days of a week about the calculated ones [1]."""
    return row.spread * float(np.sqrt(max(days * (A_WEEK - days), 0.0)))


def _totals(weeks: list[WeekOfDays], given: DailyWeather, row: SoilWaterRow) -> list[TotalOfDays]:
    totals: list[TotalOfDays] = []
    numbers = list(range(given.from_week, given.to_week + 1))
    apart = np.abs(np.subtract.outer(numbers, numbers))
    together = row.same_year + (1.0 - row.same_year) * row.next_week**apart
    for year, group in groupby(weeks, key=lambda one: one.year):
        inside = [one for one in group if given.from_week <= one.week <= given.to_week]
        if len(inside) < len(numbers):
            continue
        spreads = np.array([_spread(one.days, row) for one in inside])
        days = sum(one.days for one in inside)
        away = _SCORE_OF_80 * float(np.sqrt(spreads @ together @ spreads))
        totals.append(TotalOfDays(year, days, max(days - away, 0.0), min(days + away, 7.0 * len(inside))))
    return totals


def _frost(first: datetime.date, temperature: FloatArray) -> Frost:
    last = first + datetime.timedelta(len(temperature) - 1)
    by_year: dict[int, datetime.date | None] = {}
    for year in range(first.year, last.year + 1):
        autumn = datetime.date(year, *_AUTUMN)
        start = (autumn - first).days
        if start < SETTLING or start >= len(temperature):
            continue
        day = freeze_up(temperature[start : start + _WINTER_DAYS])
        # A record that ends before the soil froze says nothing of that year.
        if day is not None or start + _WINTER_DAYS <= len(temperature):
            by_year[year] = None if day is None else autumn + datetime.timedelta(day)
    return Frost(by_year)
