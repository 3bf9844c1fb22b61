"""Freeze-up calculated from air temperature and rain against soil temperature measured at 10 cm, autumn 2020.

High, low, rain and soil temperature under grass of 31 stations of the US Climate Reference Network (NOAA, National
Centers for Environmental Information; work of the US federal government), 2020, as stored in the public repository
zmoon/uscrn (MIT): those between 38 and 49.5 degrees north and 70 and 105 degrees west with soil temperatures of that
autumn.
"""

import csv
import datetime
import gzip
import io
from functools import cache
from pathlib import Path
from typing import NamedTuple

import numpy as np

from drawbar_service.engine.soil_water import Ground, SoilWater, freeze_up, soil_of
from drawbar_service.reference import soil_water

DATA = Path(__file__).parent / "data"
AUTUMN = datetime.date(2020, 9, 1)
PARTS = 5
"""Every fifth station is left out in turn."""
FROM_MEMORY = Ground(0.8, 0.12, 0.0, 0.0)
"""As the service had it before."""


class Stations(NamedTuple):
    """Weather and soil by station and day of 2020."""

    names: list[str]
    latitude: np.ndarray
    high: np.ndarray
    low: np.ndarray
    rain: np.ndarray
    soil: np.ndarray

    def only(self, where):
        names = [name for name, here in zip(self.names, where, strict=True) if here]
        return Stations(names, *(one[where] for one in self[1:]))


class Autumn(NamedTuple):
    """Soil from September to December at a station."""

    station: str
    latitude: float
    temperature: np.ndarray
    freezes: int | None
    """Days after the first of September"""


class FrostScore(NamedTuple):
    kelvin: float
    bias: float
    days: float


@cache
def stations() -> Stations:
    with gzip.open(DATA / "soil_temperature_2020.csv.gz", "rt") as file:
        rows = list(csv.DictReader(io.StringIO(file.read())))
    names = list(dict.fromkeys(row["station"] for row in rows))
    columns = ("latitude", "high_C", "low_C", "rain_mm", "soil_10cm_C")
    figures = np.array([[float(row[one]) for one in columns] for row in rows]).reshape(len(names), -1, len(columns))
    latitude, *rest = np.moveaxis(figures, -1, 0)
    return Stations(names, latitude[:, 0], *rest)


def calculated(ground: Ground, given: Stations) -> np.ndarray:
    """Soil temperature from September on by the service's model."""
    row = soil_water("station")
    water = SoilWater(*(getattr(row, name) for name in SoilWater._fields))
    nothing = np.zeros_like(given.rain)
    found = soil_of(given.rain, given.high, given.low, nothing, water, beneath=ground)
    return found.temperature[:, (AUTUMN - datetime.date(2020, 1, 1)).days :]


def left_out() -> list[Ground]:
    with (DATA / "soil_temperature_left_out.csv").open() as file:
        return [Ground(*(float(row[name]) for name in Ground._fields)) for row in csv.DictReader(file)]


def of_each_station() -> tuple[list[Autumn], list[Autumn], list[Autumn]]:
    """Each autumn by coefficients fitted without the station, by those of before, and measured."""
    given = stations()
    ours = np.empty((len(given.names), 122))
    for part, ground in enumerate(left_out()):
        here = np.arange(len(ours)) % PARTS == part
        ours[here] = calculated(ground, given.only(here))
    return tuple(
        [
            Autumn(name, float(latitude), one, freeze_up(one))
            for name, latitude, one in zip(given.names, given.latitude, soil, strict=True)
        ]
        for soil in (ours, calculated(FROM_MEMORY, given), given.soil[:, -122:])
    )


def _days(autumns) -> np.ndarray:
    return np.array([len(one.temperature) if one.freezes is None else one.freezes for one in autumns], dtype=float)


def off_by(found: Autumn, measured: Autumn) -> float:
    """Root of the mean square of what a temperature is off by, in K."""
    return float(np.sqrt(np.mean((found.temperature - measured.temperature) ** 2)))


def score(found, measured) -> FrostScore:
    away = np.array([one.temperature - here.temperature for one, here in zip(found, measured, strict=True)])
    days = _days(found) - _days(measured)
    return FrostScore(float(np.sqrt(np.mean(away**2))), float(away.mean()), float(np.sqrt(np.mean(days**2))))


def score_of_the_mean(measured) -> float:
    """What the mean date of the other stations is off by, in days."""
    days = _days(measured)
    others = (days.sum() - days) / (len(days) - 1)
    return float(np.sqrt(np.mean((others - days) ** 2)))


def date(day: int | None) -> str:
    if day is None:
        return "-"
    found = AUTUMN + datetime.timedelta(day)
    return f"{found.day} {found:%b}"
