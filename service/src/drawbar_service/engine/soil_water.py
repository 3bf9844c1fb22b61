"""Days fit for field work from daily weather: water in the soil, its warmth, and frost.

Two stores of water: a thin topsoil that rain wets and sun dries within days, and the soil below it, fed by what drains
from the topsoil, which remembers weeks. Snow lies until it melts. A day is the fitter the drier both stores are, the
less rain falls on it, the warmer the season, and without snow. Every function takes days along the last axis.
"""

from typing import NamedTuple

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real

_DAYS_A_YEAR = 365.0
_MELT = 2.5
"""Snow that a degree above freezing melts in a day [mm/K]; degree-day factors of snow lie at 2 to 5, from memory."""


class SoilWater(NamedTuple):
    """Coefficients of the stores and of the share of fit days; fitted offline."""

    topsoil: float
    """Water the topsoil holds between dry and full [mm]"""
    subsoil: float
    """That of the soil below [mm]"""
    topsoil_drains: float
    """Share of a full topsoil's water that drains in a day [1]"""
    subsoil_drains: float
    """That of the soil below [1]"""
    evaporation: float
    """Of a wet topsoil, over reference evapotranspiration [1]"""
    season: float
    """Share of today's temperature in the warmth of the season [1]"""
    level: float
    """Logit of the share of fit days on dry, cold soil without rain [1]"""
    by_topsoil: float
    """Fall of the logit from a dry to a full topsoil [1]"""
    by_subsoil: float
    """Fall of the logit from a dry to a full soil below [1]"""
    by_rain: float
    """Fall of the logit at 15 mm of rain or more on the day [1]"""
    by_warmth: float
    """Rise of the logit from 0 to 15 degC of the season [1]"""
    by_snow: float
    """Fall of the logit under 10 mm of water as snow or more [1]"""


class Ground(NamedTuple):
    """Coefficients of the temperature of the soil at 10 cm."""

    lag: float
    """Share of yesterday [1]"""
    towards_year: float
    """How far it is drawn to the mean of the year [1]"""
    warmer: float
    """By how much soil without snow is warmer than the air in the mean [K]"""
    freezing: float
    """Cold that its water takes up in freezing before it falls below 0 degC [K]"""


UNDER_GRASS = Ground(0.874, 0.079, 0.47, 5.0)
"""The first three fitted by ``tests/long/fit_frost.py`` to soil under grass, autumn 2020, 31 stations of the US Climate
Reference Network; the last a round figure. All water of a moist topsoil would take up some 30 K, but the first ice is
what stops work."""


class Soil(NamedTuple):
    """The soil at the end of each day."""

    topsoil: FloatArray
    """Filled share of its store [1]"""
    subsoil: FloatArray
    """Filled share of its store [1]"""
    season: FloatArray
    """Temperature smoothed over about a month [degC]"""
    snow: FloatArray
    """Water that lies as snow [mm]"""
    temperature: FloatArray
    """Of the soil at working depth [degC]"""


def reference_evapotranspiration(
    day_of_year: FloatArray, high: FloatArray, low: FloatArray, latitude: Real
) -> FloatArray:
    """Return the reference evapotranspiration of a day by Hargreaves and Samani [mm].

    Parameters
    ----------
    day_of_year : array
        1 to 366.
    high, low : array
        Air temperatures [degC].
    latitude : float
        [rad]

    Notes
    -----
    0.0023 Ra (T + 17.8) sqrt(high - low), Ra the radiation above the atmosphere as evaporation (FAO Irrigation and
    Drainage Paper 56, equations 21 and 52, from memory).
    """
    angle = 2.0 * np.pi * day_of_year / _DAYS_A_YEAR
    distance = 1.0 + 0.033 * np.cos(angle)
    declination = 0.409 * np.sin(angle - 1.39)
    sunset = np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))
    lit = sunset * np.sin(latitude) * np.sin(declination) + np.cos(latitude) * np.cos(declination) * np.sin(sunset)
    radiation = 0.408 * 24.0 * 60.0 / np.pi * 0.082 * distance * lit
    mean = (high + low) / 2.0
    return np.maximum(0.0023 * radiation * (mean + 17.8) * np.sqrt(np.maximum(high - low, 1.0)), 0.0)


def soil_of(
    rain: FloatArray,
    high: FloatArray,
    low: FloatArray,
    evapotranspiration: FloatArray,
    water: SoilWater,
    *,
    drainage: Real = 1.0,
    beneath: Ground = UNDER_GRASS,
) -> Soil:
    """Return the soil at the end of each day, from a start at seven tenths full.

    Parameters
    ----------
    rain : array
        Rain and melted snow that falls in a day [mm], days along the last axis.
    high, low : array
        Air temperatures [degC].
    evapotranspiration : array
        Reference evapotranspiration [mm].
    water : SoilWater
    drainage : float
        How fast the soil drains, over the soils the coefficients were fitted on [1].
    beneath : Ground
        Coefficients of the temperature at 10 cm.

    Notes
    -----
    What a store drains in a day grows with the cube of how full it is. Half of what a full topsoil cannot take runs
    off, the other half goes below. The temperature of the soil at 10 cm has the form of SWAT's (Neitsch et al. 2011,
    from memory): a share of yesterday's, the rest of the air's, drawn somewhat towards the mean of the year; under
    snow, less. It falls below freezing only once water has frozen, and rises above it once that has thawed.
    """
    mean = (high + low) / 2.0
    yearly = np.mean(mean, axis=-1)
    shape = mean.shape[:-1]
    topsoil, subsoil = np.full(shape, 0.7 * water.topsoil), np.full(shape, 0.7 * water.subsoil)
    snow, season, ground, ice = np.zeros(shape), np.full(shape, 12.0), np.full(shape, 12.0), np.zeros(shape)
    found: list[tuple[FloatArray, ...]] = []
    for day in range(mean.shape[-1]):
        air, falls, dries = mean[..., day], rain[..., day], evapotranspiration[..., day]
        as_snow = falls * np.clip((2.0 - air) / 4.0, 0.0, 1.0)
        snow = snow + as_snow
        melted = np.minimum(snow, np.maximum(_MELT * air, 0.0))
        snow = snow - melted
        topsoil = topsoil + falls - as_snow + melted
        over = np.maximum(topsoil - water.topsoil, 0.0)
        topsoil = topsoil - over
        drained = np.minimum(water.topsoil_drains * drainage, 1.0) * topsoil * (topsoil / water.topsoil) ** 2
        topsoil = topsoil - drained
        wet = np.minimum(1.5 * topsoil / water.topsoil, 1.0)
        taken = np.minimum(water.evaporation * dries * wet, topsoil)
        topsoil = topsoil - taken
        subsoil = np.minimum(subsoil + drained + 0.5 * over, water.subsoil)
        subsoil = subsoil - np.minimum(water.subsoil_drains * drainage, 1.0) * subsoil * (subsoil / water.subsoil) ** 2
        rooted = np.minimum(1.5 * subsoil / water.subsoil, 1.0)
        subsoil = np.maximum(subsoil - 0.7 * np.maximum(dries - taken, 0.0) * rooted, 0.0)
        season = season + water.season * (np.where(snow > 10.0, np.maximum(air, -1.0), air) - season)
        cover = snow / (snow + np.exp(6.055 - 0.3002 * np.minimum(snow, 100.0)))
        surface = cover * ground + (1.0 - cover) * (air + beneath.warmer)
        drawn = surface + beneath.towards_year * (yearly + beneath.warmer - surface)
        ground = beneath.lag * ground + (1.0 - beneath.lag) * drawn
        freezes = np.clip(-ground, 0.0, beneath.freezing - ice)
        thaws = np.clip(ground, 0.0, ice)
        ice, ground = ice + freezes - thaws, ground + freezes - thaws
        found.append((topsoil / water.topsoil, subsoil / water.subsoil, season, snow, ground))
    return Soil(*(np.stack(one, axis=-1) for one in zip(*found, strict=True)))


def fit_share(soil: Soil, rain: FloatArray, snow_depth: FloatArray | None, water: SoilWater) -> FloatArray:
    """Return the share of each day that is fit for field work [1].

    Parameters
    ----------
    soil : Soil
    rain : array
        That falls on the day [mm].
    snow_depth : array or None
        Snow on the ground as measured [mm], NaN where it was not; None: as the weather makes it.
    water : SoilWater
    """
    snow = soil.snow
    if snow_depth is not None:
        # Fresh snow has a tenth of the density of water.
        snow = np.where(np.isnan(snow_depth), snow, snow_depth / 10.0)
    logit = (
        water.level
        - water.by_topsoil * soil.topsoil
        - water.by_subsoil * soil.subsoil
        - water.by_rain * np.minimum(rain, 15.0) / 15.0
        + water.by_warmth * np.clip(soil.season, 0.0, 15.0) / 15.0
        - water.by_snow * np.minimum(snow, 10.0) / 10.0
    )
    return 1.0 / (1.0 + np.exp(-logit))


def freeze_up(temperature: FloatArray) -> int | None:
    """Return the first day that starts a week of frozen soil; None if there is none.

    `temperature` [degC] is that of the soil by day, from the beginning of autumn on.
    """
    frozen = np.convolve(temperature < 0.0, np.ones(7), mode="valid") >= 7.0
    return int(np.argmax(frozen)) if frozen.any() else None
