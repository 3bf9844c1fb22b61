"""How long the day is.

From the declination of the sun by the day of the year, FAO Irrigation and Drainage Paper 56, equations 24, 25 and 34.
"""

import numpy as np

from drawbar_service.engine.arrays import FloatArray, Real

_DAY = 86_400.0


def daylight(latitude: Real, day_of_year: FloatArray) -> FloatArray:
    """Return the time from sunrise to sunset [s].

    Parameters
    ----------
    latitude : float
        North of the equator [rad].
    day_of_year : array
        1 on the first of January [1].

    Notes
    -----
    The sun counts as a point and the horizon as flat; twilight is not counted. Beyond the polar circles a day is 0 or
    24 h long. Source: FAO Irrigation and Drainage Paper 56, from memory; within some minutes.
    """
    declination = 0.409 * np.sin(2.0 * np.pi / 365.0 * day_of_year - 1.39)
    sunset = np.arccos(np.clip(-np.tan(latitude) * np.tan(declination), -1.0, 1.0))
    return _DAY / np.pi * sunset
