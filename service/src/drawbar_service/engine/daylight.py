"""How long the day is.

From the declination of the sun by the day of the year, FAO Irrigation and Drainage Paper 56, equations 24, 25 and 34.
"""

from math import pi

from drawbar_service.engine.arrays import Real, arccos, cos, larger, sin, smaller

_DAY = 86_400.0
"""[s]"""


def daylight(latitude: Real, day_of_year: Real) -> Real:
    """Return the time from sunrise to sunset [s].

    Parameters
    ----------
    latitude : float or array
        North of the equator [rad].
    day_of_year : float or array
        1 on the first of January [1].

    Notes
    -----
    The sun counts as a point and the horizon as flat; twilight is not counted. Beyond the polar circles a day is 0 or
    24 h long. Source: FAO Irrigation and Drainage Paper 56, from memory; within some minutes.
    """
    declination = 0.409 * sin(2.0 * pi / 365.0 * day_of_year - 1.39)
    height = sin(latitude) * sin(declination) / (cos(latitude) * cos(declination))
    return _DAY / pi * arccos(smaller(1.0, larger(-1.0, -height)))
