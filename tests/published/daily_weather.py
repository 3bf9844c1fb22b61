"""Daily weather of Iowa and the weeks recorded there, to fit days from weather and to score them.

High, low [degF], precipitation, snow depth [in] of the state's average (IA0000) and of two stations, October 2006 to
2024, as stored in the public repository akrherz/iem-database (Apache-2.0); observations of the US federal network.
"""

import csv
import datetime
import gzip
import io
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from drawbar_service.engine.soil_water import SoilWater, fit_share, reference_evapotranspiration, soil_of
from drawbar_service.reference import suitable_weeks

FILE = Path(__file__).parent / "data" / "daily_weather_iowa.csv.gz"
KINDS = {"region": ("IA0000",), "station": ("IATAME", "IA0200")}
YEARS = range(2007, 2025)
LATITUDE = np.radians(42.0)
DAYS = 431
"""Each year runs from 1 October of the year before."""


class Weather(NamedTuple):
    """By year and day from 1 October before."""

    rain: np.ndarray
    high: np.ndarray
    low: np.ndarray
    evapotranspiration: np.ndarray


class Weeks(NamedTuple):
    """Recorded weeks."""

    year: np.ndarray
    week: np.ndarray
    last: np.ndarray
    """Day of its end, counted from 1 October of the year before"""
    days: np.ndarray

    def only(self, where):
        return Weeks(*(one[where] for one in self))


def lines():
    with gzip.open(FILE, "rt") as file:
        return list(csv.DictReader(io.StringIO(file.read())))


@cache
def by_day(station):
    """High and low [degC] and precipitation [mm] of a station, by date."""
    return {
        datetime.date.fromisoformat(row["day"]): (
            (float(row["high_F"]) - 32.0) / 1.8,
            (float(row["low_F"]) - 32.0) / 1.8,
            float(row["precip_in"]) * 25.4,
        )
        for row in lines()
        if row["station"] == station
    }


@cache
def weather_of(station):
    days = by_day(station)
    starts = [datetime.date(year - 1, 10, 1) for year in YEARS]
    dates = [[start + datetime.timedelta(one) for one in range(DAYS)] for start in starts]
    high, low, rain = np.moveaxis(np.array([[days[date] for date in year] for year in dates]), -1, 0)
    day_of_year = np.array([[date.timetuple().tm_yday for date in year] for year in dates], dtype=float)
    return Weather(rain, high, low, reference_evapotranspiration(day_of_year, high, low, LATITUDE))


@cache
def recorded_weeks():
    rows = [
        (row.year, row.week, (row.week_ending - datetime.date(row.year - 1, 10, 1)).days, row.days_suitable)
        for row in suitable_weeks("iowa")
        if row.week <= 48
    ]
    year, week, last, days = zip(*rows, strict=True)
    return Weeks(np.array(year), np.array(week), np.array(last), np.array(days))


def predicted(weather, water, weeks):
    """Days of weeks by the model [1]."""
    soil = soil_of(weather.rain, weather.high, weather.low, weather.evapotranspiration, SoilWater(*water))
    shares = fit_share(soil, weather.rain, None, SoilWater(*water))
    running = np.concatenate([np.zeros((len(YEARS), 1)), np.cumsum(shares, axis=-1)], axis=-1)
    at = weeks.year - YEARS[0]
    return running[at, weeks.last + 1] - running[at, weeks.last - 6]
